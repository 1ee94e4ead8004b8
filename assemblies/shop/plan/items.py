"""Every piece to cut, with what it needs around it, by order, copy and instance."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from assemblies.design.model import Design, Placed
from assemblies.order import Order
from assemblies.shop.plan.edges import SIDES, Edge, edges_of
from assemblies.shop.stock.process import ProcessChoice, choose_process
from parts.findings import SeamwrightError
from parts.lengths import LengthUnit
from parts.shape.part import require
from parts.shape.piece import Piece
from parts.stock.rules import rule
from parts.stock.sheet import sheet_words

__all__ = ["CutItem", "Key", "Wanted", "cut_items", "instance_name"]

Allowance = tuple[float, float, float, float]


Key = tuple[str, str, float]


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """An order with its design; `spares` says how many more of a part are cut."""

    order: Order
    design: Design
    spares: Mapping[str, int]


@dataclass(frozen=True, kw_only=True)
class CutItem:
    """Equal pieces of one order.

    Attributes:
        order: the order's name; revision as ordered; units of its words.
        piece: the part.
        names: of the instances, unique in the plan.
        sides: for each name the face that goes outside: `far`, `near`, or empty for a spare.
        choice: how it is cut.
        allowance_mm: left on at left, right, bottom and top.
        may_turn: whether it may lie either way on the sheet.
        edges: what is done to each of its edges.
        bears_mm: by how much its sheet may be off from the thickness that the sizes follow; None where nothing is joined.
    """

    order: str
    revision: str
    units: LengthUnit
    piece: Piece
    names: tuple[str, ...]
    sides: tuple[str, ...]
    choice: ProcessChoice
    allowance_mm: Allowance
    may_turn: bool
    edges: tuple[Edge, ...] = ()
    bears_mm: float | None = None

    @property
    def key(self) -> Key:
        """Process, material and nominal thickness."""
        return self.choice.process or "", self.piece.sheet.material, self.piece.sheet.nominal_mm

    @property
    def sheet_words(self) -> str:
        """Thickness and material of its sheet, in the order's units."""
        sheet = self.piece.sheet
        return f"{sheet_words(sheet.material, sheet.nominal_mm, self.units)} {sheet.material}"


def instance_name(placed: str, copy: int) -> str:
    """The name of one instance of the k-th rig (from 0): the first keeps the design's, the others get `.2`, `.3` ...

    >>> instance_name("front", 0), instance_name("front", 2)
    ('front', 'front.3')
    """
    return placed if copy == 0 else f"{placed}.{copy + 1}"


def cut_items(wanted: Sequence[Wanted]) -> list[CutItem]:
    """Every piece that the orders ask for, the equal ones together.

    With several orders each name has its order's before it: `ripple-trough.front`.

    Raises:
        SeamwrightError: two orders of one name, or a spare of a part that is not there.
    """
    names = [one.order.name for one in wanted]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice:
        raise SeamwrightError(
            f"two orders are called {twice}: their pieces could not be told apart. Give one another name, or raise quantity"
        )
    parts = {piece.name for one in wanted for piece in one.design.pieces}
    for part in {part for one in wanted for part in one.spares}:
        if part not in parts:
            raise SeamwrightError(f"no part {part!r} to cut a spare of; there are: {', '.join(sorted(parts))}")
    return [item for one in wanted for item in _items(one, f"{one.order.name}." if len(wanted) > 1 else "")]


def _items(one: Wanted, prefix: str) -> Iterator[CutItem]:
    order, design = one.order, one.design
    same: dict[tuple[Piece, Allowance, bool], list[Placed]] = {}
    edges = edges_of(design, order)
    for placed in design.placed:
        piece = placed.piece.as_cut
        if piece is None:  # sawn to length from tube, of no sheet
            continue
        require(piece, "the cutting plan", "bends", "pockets", "bevels")
        same.setdefault((piece, _allowance(order, piece, edges.get(piece.name, ())), piece.may_turn), []).append(placed)
    centre = _centre(design)
    spared: set[str] = set()
    for (piece, allowance, may_turn), group in same.items():
        names = [(instance_name(p.name, k), _outside(p, centre)) for k in range(design.quantity) for p in group]
        if piece.name not in spared:
            spared.add(piece.name)
            names += [(f"{piece.name}.spare{n}", "") for n in range(1, one.spares.get(piece.name, 0) + 1)]
        yield CutItem(
            order=order.name,
            revision=order.revision,
            units=order.units,
            piece=piece,
            names=tuple(f"{prefix}{name}" for name, _ in names),
            sides=tuple(side for _, side in names),
            choice=choose_process(piece, order.cutting.process),
            allowance_mm=allowance,
            may_turn=may_turn,
            edges=edges.get(piece.name, ()),
            bears_mm=_bears_mm(one),
        )


def _bears_mm(one: Wanted) -> float | None:
    """What the seams can bear: as the order says, else the rule `sheet_match`."""
    if len(one.design.placed) < 2:
        return None
    return one.order.limits.gap if one.order.says("limits", "gap") else rule("sheet_match")


def _allowance(order: Order, piece: Piece, edges: Sequence[Edge]) -> Allowance:
    """What is left on at each side: what the work on its edge takes off, and what is trimmed flush afterwards."""
    round_it = rule("machining_allowance") if order.cutting.edge == "machined" else 0.0
    takes = {edge.side: edge.takes_mm for edge in edges}
    left, right, bottom, top = (max(takes.get(side, round_it), piece.oversize_mm) for side in SIDES)
    return left, right, bottom, top


def _centre(design: Design) -> tuple[float, float, float]:
    boxes = [p.box for p in design.placed]
    x, y, z = ((min(b[0][k] for b in boxes) + max(b[1][k] for b in boxes)) / 2.0 for k in range(3))
    return x, y, z


def _outside(placed: Placed, centre: tuple[float, float, float]) -> str:
    """The face that looks away from the middle of the whole thing."""
    low, high = placed.box
    away = sum(((low[k] + high[k]) / 2.0 - centre[k]) * placed.z[k] for k in range(3))
    return "far" if away >= 0.0 else "near"
