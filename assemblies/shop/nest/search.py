"""Where the pieces go: lowest place first, on a grid that is never optimistic or beside a piece that lies already; then slid
down and left until they touch.

A cell of the grid is taken when any part of a piece, grown by its own cut and half the spacing, may lie in it; so two
pieces that share no cell keep their distance. All places of a piece on a sheet are tested at once by a correlation
(fast Fourier transform). Holes of large pieces are free cells like any other.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Final

from assemblies.shop.layout.job import LayoutError
from assemblies.shop.nest.model import NestPlace, NestSpec, NestStock, put
from parts.shape.outline import Circle, Loop
from parts.shape.piece import Piece

__all__ = ["Laid", "search"]

_CELLS: Final = 500  # along the longer side of a sheet: 5 mm on a common one
_LEAST_CELL_MM: Final = 2.0
_CLEAR_MM: Final = 1e-6
_SAGITTA_MM: Final = 0.01  # arcs as chords in the search
_SAFE_MM: Final = 0.03  # more than chords of both pieces and of the growth can hide


@dataclass(kw_only=True)
class Laid:
    """One sheet with what lies on it."""

    stock: NestStock
    placed: list[NestPlace] = field(default_factory=list)


@dataclass(frozen=True, kw_only=True)
class _Shape:
    """A piece turned one way: its grown outline with the box's lower left at (0, 0), and the cells it may touch."""

    piece: Piece
    quarter_turns: int
    grown: Any
    width_mm: float
    height_mm: float
    mask: Any


class _Shapes:
    """Shapes made once for each outline and turn."""

    def __init__(self, spec: NestSpec, cell_mm: float) -> None:
        self.spec, self.cell = spec, cell_mm
        self._made: dict[tuple[Any, int], _Shape] = {}

    def of(self, piece: Piece) -> list[_Shape]:
        """All turns of a piece that differ."""
        out: list[_Shape] = []
        for turn in self.spec.turns:
            key = piece.outline, turn
            if key not in self._made:
                self._made[key] = self._make(piece, turn)
            shape = self._made[key]
            if not any(shape.grown.equals_exact(other.grown, 1e-6, normalize=True) for other in out):
                out.append(shape)
        return out

    def _make(self, piece: Piece, turn: int) -> _Shape:
        grown = _polygon(NestPlace(name="", piece=piece, x_mm=0.0, y_mm=0.0, quarter_turns=turn), self.spec.grow_mm)
        x0, y0, x1, y1 = grown.bounds
        return _Shape(
            piece=piece,
            quarter_turns=turn,
            grown=grown,
            width_mm=x1 - x0,
            height_mm=y1 - y0,
            mask=_touched(grown, x0, y0, self.cell, math.ceil((x1 - x0) / self.cell), math.ceil((y1 - y0) / self.cell)),
        )


def _polygon(place: NestPlace, grow_mm: float) -> Any:
    """The piece where it lies, grown all round; nothing of it is outside what it needs."""
    from shapely import Polygon

    def ring(loop: Loop | Circle) -> tuple[tuple[float, float], ...]:
        return put(loop, place).points(_SAGITTA_MM)

    outline = place.piece.outline
    return Polygon(ring(outline.outer), [ring(loop) for loop in outline.inner]).buffer(grow_mm + _SAFE_MM, quad_segs=16)


def _touched(polygon: Any, x0: float, y0: float, cell: float, columns: int, rows: int) -> Any:
    """Cells (rows x columns, lower left at x0, y0) that the polygon may touch."""
    import numpy as np
    import shapely

    fat = polygon.buffer(0.75 * cell, quad_segs=4)  # a touched cell's centre is within 0.71 of a cell
    shapely.prepare(fat)
    xs = x0 + (np.arange(columns) + 0.5) * cell
    ys = y0 + (np.arange(rows) + 0.5) * cell
    grid_x, grid_y = np.meshgrid(xs, ys)
    return shapely.intersects_xy(fat, grid_x, grid_y)


class _Board:
    """A sheet being laid: what its cells hold, and the exact outlines on it."""

    def __init__(self, stock: NestStock, spec: NestSpec, cell_mm: float) -> None:
        import numpy as np

        self.stock, self.spec, self.cell = stock, spec, cell_mm
        self.low = spec.margin_mm - spec.spacing_mm / 2.0
        self.width, self.height = stock.width_mm - 2 * self.low, stock.height_mm - 2 * self.low
        self.columns = max(1, math.ceil(self.width / cell_mm))
        self.rows = max(1, math.ceil(self.height / cell_mm))
        self.taken = np.zeros((self.rows, self.columns), dtype=np.float32)
        self.outlines: list[Any] = []
        self.placed: list[NestPlace] = []
        self.top = 0.0
        self._grown_tree: Any = None

    @cached_property
    def _size(self) -> tuple[int, int]:
        from scipy.fft import next_fast_len

        return next_fast_len(self.rows, True), next_fast_len(self.columns, True)

    def spectrum(self) -> Any:
        from scipy.fft import rfft2

        return rfft2(self.taken, self._size)

    def lowest(self, shape: _Shape, spectrum: Any, masks: dict[Any, Any]) -> tuple[int, int] | None:
        """Row and column of the lowest, then leftmost free place; None where there is none."""
        import numpy as np
        from scipy.fft import irfft2, rfft2

        last_column = math.floor((self.width - shape.width_mm) / self.cell + 1e-9)
        last_row = math.floor((self.height - shape.height_mm) / self.cell + 1e-9)
        if last_column < 0 or last_row < 0:
            return None
        key = id(shape), self._size
        if key not in masks:
            masks[key] = np.conj(rfft2(shape.mask.astype(np.float32), self._size))
        hits = irfft2(spectrum * masks[key], self._size)[: last_row + 1, : last_column + 1]
        free = hits < 0.5
        rows = np.flatnonzero(free.any(axis=1))
        return (int(rows[0]), int(np.argmax(free[rows[0]]))) if rows.size else None

    def free(self, shape: _Shape, x: float, y: float) -> bool:
        """Whether the grown shape may have its box's lower left here: on the sheet and clear of all others, exactly."""
        from shapely.affinity import translate

        if x < self.low or y < self.low:
            return False
        if (
            x + shape.width_mm > self.low + self.width + _CLEAR_MM
            or y + shape.height_mm > self.low + self.height + _CLEAR_MM
        ):
            return False
        if not self.outlines:
            return True
        x0, y0, *_ = shape.grown.bounds
        moved = translate(shape.grown, x - x0, y - y0)
        return bool(self._tree.query(moved, predicate="intersects").size == 0)

    @property
    def _tree(self) -> Any:
        from shapely import STRtree

        if self._grown_tree is None:
            self._grown_tree = STRtree(self.outlines)
        return self._grown_tree

    def beside(self, shape: _Shape, better_than: tuple[float, float] | None) -> tuple[float, float] | None:
        """The lowest, then leftmost place right of, or on top of, the box of a piece that lies already."""
        spots = {(self.low, self.low)}
        for x0, y0, x1, y1 in (outline.bounds for outline in self.outlines):
            spots |= {
                (x1 + _CLEAR_MM, y0),
                (x1 + _CLEAR_MM, self.low),
                (x0, y1 + _CLEAR_MM),
                (self.low, y1 + _CLEAR_MM),
            }
        for y, x in sorted((y, x) for x, y in spots):
            if better_than is not None and (y, x) >= better_than:
                return None
            if self.free(shape, x, y):
                return x, y
        return None

    def settle(self, shape: _Shape, x: float, y: float) -> tuple[float, float]:
        """Slide a shape down and left as far as it goes."""
        return _slide(x, y, self.cell, lambda a, b: self.free(shape, a, b))

    def add(self, name: str, shape: _Shape, piece: Piece, x: float, y: float) -> None:
        from shapely.affinity import translate

        x0, y0, *_ = shape.grown.bounds
        outline = translate(shape.grown, x - x0, y - y0)
        self.outlines.append(outline)
        self._grown_tree = None
        self.placed.append(
            NestPlace(name=name, piece=piece, x_mm=x - x0, y_mm=y - y0, quarter_turns=shape.quarter_turns)
        )
        self.top = max(self.top, y + shape.height_mm)
        c0, r0 = (max(0, math.floor((v - self.low) / self.cell) - 1) for v in (x, y))
        columns = min(self.columns - c0, math.ceil(shape.width_mm / self.cell) + 3)
        rows = min(self.rows - r0, math.ceil(shape.height_mm / self.cell) + 3)
        cells = _touched(outline, self.low + c0 * self.cell, self.low + r0 * self.cell, self.cell, columns, rows)
        self.taken[r0 : r0 + rows, c0 : c0 + columns] += cells


def _slide(x: float, y: float, cell: float, free: Callable[[float, float], bool]) -> tuple[float, float]:
    for _ in range(3):
        before = x, y
        for step in (cell, cell / 4.0, cell / 16.0):
            for _ in range(4):
                if free(x, y - step):
                    y -= step
                else:
                    break
            for _ in range(4):
                if free(x - step, y):
                    x -= step
                else:
                    break
        if (x, y) == before:
            break
    return x, y


def search(items: Sequence[tuple[str, Piece]], stock: Sequence[NestStock], spec: NestSpec) -> list[Laid]:
    """Lay every piece; of several orders of laying the one with the fewest sheets, then the lowest last sheet.

    Raises:
        LayoutError: a piece fits no sheet, or the sheets do not hold all of them.
    """
    if not items:
        return []
    if not stock:
        raise LayoutError("no sheet to nest on")
    cell = max(_LEAST_CELL_MM, max(max(s.width_mm, s.height_mm) for s in stock) / _CELLS)
    shapes = _Shapes(spec, cell)
    masks: dict[Any, Any] = {}
    _check_fit(items, stock, spec, shapes)
    best: tuple[tuple[float, ...], list[Laid]] | None = None
    short: LayoutError | None = None
    for order in _orders(items)[: max(1, spec.tries)]:
        try:
            boards = _lay(order, stock, spec, cell, shapes, masks)
        except LayoutError as error:
            short = error
            continue
        score = (float(len(boards)), sum(b.stock.width_mm * b.stock.height_mm for b in boards), boards[-1].top)
        if best is None or score < best[0]:
            best = score, [Laid(stock=b.stock, placed=b.placed) for b in boards]
    if best is None:
        assert short is not None
        raise short
    return best[1]


def _orders(items: Sequence[tuple[str, Piece]]) -> list[list[tuple[str, Piece]]]:
    def by(measure: Callable[[float, float, float], float]) -> list[tuple[str, Piece]]:
        def key(item: tuple[str, Piece]) -> tuple[float, str, str]:
            name, piece = item
            width, height = piece.outline.size_mm
            return -measure(width, height, piece.outline.area_mm2), piece.name, name

        return sorted(items, key=key)

    return [
        by(lambda w, h, area: w * h),
        by(lambda w, h, area: max(w, h)),
        by(lambda w, h, area: area),
        by(lambda w, h, area: min(w, h)),
        by(lambda w, h, area: w + h),
    ]


def _check_fit(items: Sequence[tuple[str, Piece]], stock: Sequence[NestStock], spec: NestSpec, shapes: _Shapes) -> None:
    room = 2.0 * (spec.margin_mm - spec.spacing_mm / 2.0)
    for piece in dict.fromkeys(piece for _, piece in items):
        if not any(
            s.width_mm - room >= shape.width_mm - 1e-9 and s.height_mm - room >= shape.height_mm - 1e-9
            for s in stock
            for shape in shapes.of(piece)
        ):
            w, h = piece.outline.size_mm
            raise LayoutError(
                f"{piece.name}: {w:g} x {h:g} mm with its cut and a margin of {spec.margin_mm:g} mm fits no sheet of "
                + ", ".join(f"{s.name} {s.width_mm:g} x {s.height_mm:g}" for s in stock)
            )


def _lay(
    order: Sequence[tuple[str, Piece]],
    stock: Sequence[NestStock],
    spec: NestSpec,
    cell: float,
    shapes: _Shapes,
    masks: dict[Any, Any],
) -> list[_Board]:
    boards: list[_Board] = []
    left = {s.name: math.inf if s.count is None else s.count for s in stock}
    for name, piece in order:
        if any(_try(board, name, piece, shapes, masks) for board in boards):
            continue
        for sheet in stock:
            if left[sheet.name] > 0:
                board = _Board(sheet, spec, cell)
                if _try(board, name, piece, shapes, masks):
                    left[sheet.name] -= 1
                    boards.append(board)
                    break
        else:
            done = sum(len(board.placed) for board in boards)
            raise LayoutError(f"the sheets on hand hold {done} of {len(order)} pieces: {name} has no place")
    return boards


def _try(board: _Board, name: str, piece: Piece, shapes: _Shapes, masks: dict[Any, Any]) -> bool:
    spectrum = board.spectrum()
    best: tuple[tuple[float, float, float], _Shape] | None = None
    for shape in shapes.of(piece):
        cell = board.lowest(shape, spectrum, masks)
        spot = None if cell is None else (board.low + cell[1] * board.cell, board.low + cell[0] * board.cell)
        spot = board.beside(shape, None if spot is None else (spot[1], spot[0])) or spot
        if spot is None:
            continue
        score = max(board.top, spot[1] + shape.height_mm), spot[1], spot[0]
        if best is None or score < best[0]:
            best = score, shape
    if best is None:
        return False
    (_, y, x), shape = best
    x, y = board.settle(shape, x, y)
    board.add(name, shape, piece, x, y)
    return True
