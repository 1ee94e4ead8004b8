"""One cut piece of sheet: a flat outline, its holes, and what else is done to it.

The piece lies with the lower-left corner of its outline's box at (0, 0), the face called *near* at thickness 0 and the face
called *far* at the full thickness. Area, volume and mass are derived, never stored.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Final, Literal

from parts.findings import SeamwrightError
from parts.shape.outline import Circle, Line, Loop, Outline, drawn_in, inside_by, rectangle, side_of
from parts.shape.part import Feature, require
from parts.stock.sheet import Sheet
from parts.stock.tube import TubeCut
from parts.tables import load

__all__ = ["Bend", "Bevel", "Hole", "HoleKind", "Mark", "Piece", "Pocket", "Role", "Side", "check_hole_fits", "holds"]

HoleKind = Literal["through", "tapped", "blind", "countersunk"]
Side = Literal["near", "far"]
Role = Literal["shell", "lid", "stiffener", "mount", "inner"]


#: From letter to letter, in heights.
ADVANCE: Final = 0.75
_HIGH, _WIDE = 12.0, 6.0  # of the grid of the table
_Stroke = tuple[tuple[float, float], ...]


@cache
def _glyphs() -> dict[str, tuple[_Stroke, ...]]:
    found = {}
    for row in load("strokes"):
        lines = (line.split() for line in row["strokes"].split("/"))
        found[row["character"]] = tuple(
            tuple((float(int(p[0], 16)), float(int(p[1], 16))) for p in line) for line in lines
        )
    return {" ": (), **found}


@dataclass(frozen=True, kw_only=True)
class Mark:
    """A line of text about its middle, mm, in the piece's own axes, seen on its far face; with `rule_mm` a level line besides,
    from its first x to its second at a height.

    Raises:
        SeamwrightError: a character without a glyph, no height.

    >>> Mark(text="I", x_mm=10.0, y_mm=5.0, height_mm=6.0).strokes
    (((10.0, 2.0), (10.0, 8.0)),)
    """

    text: str
    x_mm: float
    y_mm: float
    height_mm: float
    rule_mm: tuple[float, float, float] | None = None

    def __post_init__(self) -> None:
        lost = sorted(set(self.text) - set(_glyphs()))
        if lost or not self.text.strip():
            raise SeamwrightError(f"{self.text!r} cannot be engraved: A to Z, 0 to 9, spaces and - + . / :")
        if not self.height_mm > 0.0:
            raise SeamwrightError(f"letters {self.height_mm!r} mm high")

    @property
    def length_mm(self) -> float:
        """From the left of the first letter to the right of the last."""
        return self.height_mm * (ADVANCE * (len(self.text) - 1) + _WIDE / _HIGH)

    @property
    def strokes(self) -> tuple[_Stroke, ...]:
        """The lines to run along, each a chain of points."""
        unit, left, low = self.height_mm / _HIGH, self.x_mm - self.length_mm / 2.0, self.y_mm - self.height_mm / 2.0
        x0, x1, level = self.rule_mm or (0.0, 0.0, 0.0)
        return (((x0, level), (x1, level)),) * (self.rule_mm is not None) + tuple(
            tuple((round(left + k * ADVANCE * self.height_mm + x * unit, 6), round(low + y * unit, 6)) for x, y in line)
            for k, letter in enumerate(self.text)
            for line in _glyphs()[letter]
        )


@dataclass(frozen=True, kw_only=True)
class Hole:
    """A drilled hole.

    Attributes:
        x_mm, y_mm: centre, from the lower-left corner of the outline's box.
        kind: what it is for.
        diameter_mm: the hole's, or the thread's when tapped.
        depth_mm: full-diameter depth from `side`; None goes through.
        thread: designation, when tapped.
        drill_mm: the bore that is drilled (and modelled); the diameter when None.
        side: the face it is drilled from.
        sink_mm: diameter of the 90 degree countersink on `side` (countersunk only).
    """

    x_mm: float
    y_mm: float
    kind: HoleKind
    diameter_mm: float
    depth_mm: float | None = None
    thread: str | None = None
    drill_mm: float | None = None
    side: Side = "far"
    sink_mm: float | None = None

    @property
    def bore_mm(self) -> float:
        """Diameter of the modelled cylinder."""
        return self.diameter_mm if self.drill_mm is None else self.drill_mm

    def length_mm(self, thickness_mm: float) -> float:
        """How deep the full bore goes in a sheet of this thickness."""
        return thickness_mm if self.depth_mm is None else min(self.depth_mm, thickness_mm)

    def volume_mm3(self, thickness_mm: float) -> float:
        """What the drill takes out: the bore, and the countersink's cone outside the bore."""
        bore = math.pi * self.bore_mm**2 / 4.0 * self.length_mm(thickness_mm)
        if self.kind != "countersunk" or self.sink_mm is None:
            return bore
        big, small = self.sink_mm / 2.0, self.bore_mm / 2.0
        deep = big - small  # 90 degrees: as deep as it is wider
        cone = math.pi * deep * (big**2 + big * small + small**2) / 3.0
        return bore + cone - math.pi * small**2 * deep


@dataclass(frozen=True, kw_only=True)
class Bend:
    """A straight heat bend right across the flat piece.

    Attributes:
        x_mm, y_mm: a point of its line, which is the middle of the arc laid flat.
        along_rad: the way of the line.
        angle_rad: by how much it is bent.
        inside_radius_mm: of the face that becomes hollow.
        side: that face.
        neutral: where the line lies whose length is kept, as a share of the thickness from the hollow face.
    """

    x_mm: float
    y_mm: float
    along_rad: float
    angle_rad: float
    inside_radius_mm: float
    side: Side = "far"
    neutral: float = 0.5

    def allowance_mm(self, thickness_mm: float) -> float:
        """Length of the arc laid flat: angle (R + k t)."""
        return self.angle_rad * (self.inside_radius_mm + self.neutral * thickness_mm)


@dataclass(frozen=True, kw_only=True)
class Pocket:
    """A milled or turned recess with a flat floor and upright walls: its outline in the piece's own axes, how deep, from which
    side, and what stands in it at the full thickness; a groove is one round an island."""

    outline: Loop | Circle
    depth_mm: float
    side: Side = "far"
    islands: tuple[Loop | Circle, ...] = ()

    @property
    def loops(self) -> tuple[Loop | Circle, ...]:
        """Outline and islands."""
        return (self.outline, *self.islands)

    @property
    def area_mm2(self) -> float:
        """Of its floor."""
        return self.outline.area_mm2 - sum(loop.area_mm2 for loop in self.islands)

    def takes(self, loop: Loop | Circle) -> bool:
        """Whether a loop lies wholly in its floor."""
        return holds(self.outline, loop) and not any(holds(island, loop) for island in self.islands)

    def span_mm(self, thickness_mm: float) -> tuple[float, float]:
        """Where it lies in a sheet of this thickness: from and to, counted from the near face."""
        return (thickness_mm - self.depth_mm, thickness_mm) if self.side == "far" else (0.0, self.depth_mm)


@dataclass(frozen=True, kw_only=True)
class Bevel:
    """A straight edge cut at an angle over the whole thickness.

    Attributes:
        edge: number of the segment of the outer outline, from 0.
        angle_rad: from square, over 0 and under a quarter turn.
        side: the face that it is cut back on; on the other the outline is true.
    """

    edge: int
    angle_rad: float
    side: Side = "far"


@dataclass(frozen=True, kw_only=True)
class Piece:
    """One kind of cut piece; identical pieces share one.

    Attributes:
        name: the part's name, ASCII, unique in the design.
        kind: `panel`, `base`, `tapped-plate`, `drilled-plate`, `disc`, `ring`, `strip`, ...: the word for it in lists and
            drawings.
        role: what it is to the whole, which checks go by. *shell* makes the body; a *lid* goes over it; a *stiffener* is
            bonded to the finished shell; a *mount* is what the whole is bolted by; *inner* pieces stand inside.
        outline: the flat truth, lower-left corner of its box at (0, 0).
        holes: drilled holes, inside the outline.
        sheet: what it is cut from.
        bends, pockets, bevels: heat bends, milled recesses inside the outline, edges that are not square; if any.
        marks: what is engraved on its far face.
        shrinks: the shares of its width and height that it loses when it is first heated, before it is bent; the outline is
            as it is cut.
        cut_group: pieces of one group are ripped at one fence setting or in one machine set-up.
        process: how it is cut, where it differs from the order's.
        oversize_mm: left on all round when it is cut, to be trimmed flush after bonding; the outline has it not.
        may_turn: whether it may lie either way on the sheet. Pieces that differ in these two alone are one part: they are
            cut one by one, and are equal once they are made.
    """

    name: str
    kind: str
    outline: Outline
    holes: tuple[Hole, ...] = ()
    sheet: Sheet
    bends: tuple[Bend, ...] = ()
    pockets: tuple[Pocket, ...] = ()
    bevels: tuple[Bevel, ...] = ()
    marks: tuple[Mark, ...] = ()
    shrinks: tuple[float, float] = (0.0, 0.0)
    cut_group: str = ""
    process: str | None = None
    role: Role = "shell"
    oversize_mm: float = field(default=0.0, compare=False)
    may_turn: bool = field(default=True, compare=False)

    def __post_init__(self) -> None:
        x0, y0, _, _ = self.outline.bounds_mm
        if abs(x0) > 1e-9 or abs(y0) > 1e-9:
            raise SeamwrightError(f"{self.name}: outline starts at ({x0:g}, {y0:g}) mm, not at (0, 0)")
        for hole in self.holes:
            check_hole_fits(self.name, self.outline, hole, self.thickness_mm)
        for pocket in self.pockets:
            _check_pocket(self, pocket)
        if self.bevels:
            _check_bevels(self)
        for bend in self.bends:
            _check_bend(self, bend)
        if self.shrinks != (0.0, 0.0) and not self.bends:
            raise SeamwrightError(f"{self.name}: it shrinks as it is heated, and has no bend to be heated for")

    @property
    def stock(self) -> Sheet:
        """What it is cut from, as of any part."""
        return self.sheet

    @property
    def features(self) -> tuple[Feature, ...]:
        """What it has beside a flat outline with holes."""
        has: tuple[tuple[Feature, bool], ...] = (
            ("bends", bool(self.bends)),
            ("pockets", bool(self.pockets)),
            ("bevels", bool(self.bevels)),
            ("tube", isinstance(self.sheet, TubeCut)),
        )
        return tuple(name for name, there in has if there)

    @property
    def is_tube(self) -> bool:
        """Whether it is a length of tube: its outline is the section, its thickness the length."""
        return isinstance(self.sheet, TubeCut)

    @property
    def as_cut(self) -> Piece | None:
        """What is cut of sheet for it: itself; the blank of a tube that is rolled; None of a tube that is bought."""
        if not isinstance(self.sheet, TubeCut):
            return self
        blank = self.sheet.rolled
        if blank is None:
            return None
        return Piece(
            name=f"{self.name}-blank",
            kind="blank",
            outline=Outline(rectangle(*blank.size_mm)),
            sheet=blank.sheet,
            process=self.process,
            role=self.role,
        )

    @property
    def thickness_mm(self) -> float:
        return self.sheet.thickness_mm

    @property
    def size_mm(self) -> tuple[float, float, float]:
        """Width, height and thickness."""
        return (*self.outline.size_mm, self.thickness_mm)

    @property
    def volume_mm3(self) -> float:
        """Outline times thickness, less holes and pockets (each inside the outline, none overlapping but for what opens in a
        pocket's floor); a bend keeps it. Between bevelled faces by Simpson's rule, which is exact there."""
        require(self, "the volume", "bends", "pockets", "bevels", "tube")
        area = self.outline.area_mm2
        if self.bevels:
            low, mid, high = (self.outer_at(share).area_mm2 for share in (0.0, 0.5, 1.0))
            area += (low + 4.0 * mid + high) / 6.0 - self.outline.outer.area_mm2
        solid = area * self.thickness_mm
        solid -= sum(pocket.area_mm2 * pocket.depth_mm for pocket in self.pockets)
        solid += sum(loop.area_mm2 * pocket.depth_mm for pocket in self.pockets for loop in self.openings_in(pocket))
        return solid - sum(hole.volume_mm3(self.thickness_mm) for hole in self.holes)

    def outer_at(self, share: float) -> Loop | Circle:
        """The outer loop at a share of the thickness from the near face: the outline, less what bevels cut back there."""
        return (
            _outer_at(self.outline.outer, self.bevels, self.thickness_mm, share) if self.bevels else self.outline.outer
        )

    def cut_back_mm(self, bevel: Bevel) -> float:
        """By how much a bevelled edge is cut back on its side, along the face."""
        return self.thickness_mm * math.tan(bevel.angle_rad)

    def edge_side(self, edge: int) -> str:
        """Where a straight edge of the outer outline lies: `left`, `right`, `bottom`, `top`, else its number from 1."""
        assert isinstance(self.outline.outer, Loop)
        return side_of(self.outline.outer, edge) or f"number {edge + 1}"

    def openings_in(self, pocket: Pocket) -> tuple[Loop | Circle, ...]:
        """The cut-outs and through bores that open in a pocket's floor, so that it does not take them out again."""
        return tuple(loop for loop in self.profile.inner if pocket.takes(loop))

    @property
    def mass_kg(self) -> float:
        return self.volume_mm3 * 1e-9 * self.sheet.density_kg_m3

    @property
    def profile(self) -> Outline:
        """What a cutter that goes right through would follow: cut-outs and through bores as inner loops."""
        bores = tuple(Circle(h.x_mm, h.y_mm, h.bore_mm / 2.0) for h in self.holes if h.depth_mm is None)
        return replace(self.outline, inner=(*self.outline.inner, *bores))


def holds(outer: Loop | Circle, loop: Loop | Circle) -> bool:
    """Whether a loop lies wholly in another: in its circle, or in its box where that is no circle (its corners are small)."""
    x0, y0, x1, y1 = outer.bounds_mm
    a, b, c, d = loop.bounds_mm
    if not (x0 <= a and y0 <= b and c <= x1 and d <= y1):
        return False
    if not isinstance(outer, Circle):
        return True
    if isinstance(loop, Circle):
        return math.hypot(loop.x_mm - outer.x_mm, loop.y_mm - outer.y_mm) + loop.radius_mm <= outer.radius_mm
    return all(math.hypot(x - outer.x_mm, y - outer.y_mm) <= outer.radius_mm for x, y in loop.points())


def _check_pocket(piece: Piece, pocket: Pocket) -> None:
    if not 0.0 < pocket.depth_mm < piece.thickness_mm:
        raise SeamwrightError(
            f"{piece.name}: pocket depth {pocket.depth_mm:g} mm must be over 0 and under the thickness "
            f"{piece.thickness_mm:g} mm"
        )
    x0, y0, x1, y1 = pocket.outline.bounds_mm
    width, height = piece.outline.size_mm
    if min(x0, y0, width - x1, height - y1) < -1e-9:
        raise SeamwrightError(
            f"{piece.name}: a pocket over {x0:g}..{x1:g} x {y0:g}..{y1:g} mm leaves the piece of {width:g} x {height:g} mm"
        )
    if not all(holds(pocket.outline, island) for island in pocket.islands):
        raise SeamwrightError(f"{piece.name}: what stands in a pocket reaches out of it")


def _check_bend(piece: Piece, bend: Bend) -> None:
    if not (0.0 < bend.angle_rad < math.tau and bend.inside_radius_mm >= 0.0 and 0.0 <= bend.neutral <= 0.5):
        raise SeamwrightError(
            f"{piece.name}: a bend by {math.degrees(bend.angle_rad):g} degrees to an inside radius of "
            f"{bend.inside_radius_mm:g} mm with its neutral line at {bend.neutral:g}"
        )


@cache
def _outer_at(outer: Loop, bevels: tuple[Bevel, ...], thickness_mm: float, share: float) -> Loop:
    by = [0.0] * len(outer.vertices)
    for bevel in bevels:
        back = share if bevel.side == "far" else 1.0 - share
        by[bevel.edge] += back * thickness_mm * math.tan(bevel.angle_rad)
    return drawn_in(outer, by)


def _check_bevels(piece: Piece) -> None:
    outer = piece.outline.outer
    edges = outer.segments() if isinstance(outer, Loop) else ()
    for bevel in piece.bevels:
        if not (0 <= bevel.edge < len(edges) and isinstance(edges[bevel.edge], Line)):
            raise SeamwrightError(
                f"{piece.name}: a bevel on edge {bevel.edge}, which is no straight edge of its outline"
            )
        if not 0.0 < bevel.angle_rad < math.pi / 2.0:
            raise SeamwrightError(f"{piece.name}: a bevel of {math.degrees(bevel.angle_rad):g} degrees from square")
    if len({bevel.edge for bevel in piece.bevels}) < len(piece.bevels):
        raise SeamwrightError(f"{piece.name}: two bevels on one edge")
    try:
        faces = [piece.outer_at(share) for share in (0.0, 1.0)]
    except SeamwrightError as error:
        raise SeamwrightError(f"{piece.name}: its bevels are too deep: {error}") from error
    reach = [(h.x_mm, h.y_mm, max(h.bore_mm, h.sink_mm or 0.0) / 2.0) for h in piece.holes]
    loops = (*piece.outline.inner, *(pocket.outline for pocket in piece.pockets))
    reach += [(*point, 0.0) for loop in loops for point in loop.points()]
    for face in faces:
        assert isinstance(face, Loop)
        if any(inside_by(face, x, y) < r - 1e-9 for x, y, r in reach):
            raise SeamwrightError(f"{piece.name}: a hole, pocket or cut-out runs out through a bevelled edge")


def check_hole_fits(piece: str, outline: Outline, hole: Hole, thickness_mm: float) -> None:
    """Refuse a hole that cannot be in this outline.

    Raises:
        SeamwrightError: a size that is no size, deeper than the sheet, or outside the outline's box.
    """
    widest = max(hole.diameter_mm, hole.bore_mm, hole.sink_mm or 0.0)
    if not (math.isfinite(widest) and hole.bore_mm > 0.0):
        raise SeamwrightError(f"{piece}: a hole of diameter {hole.bore_mm:g} mm")
    if hole.depth_mm is not None and not 0.0 < hole.depth_mm < thickness_mm:
        raise SeamwrightError(
            f"{piece}: hole depth {hole.depth_mm:g} mm must be over 0 and under the thickness {thickness_mm:g} mm"
        )
    x0, y0, x1, y1 = outline.bounds_mm
    r = widest / 2.0
    if not (x0 + r < hole.x_mm < x1 - r and y0 + r < hole.y_mm < y1 - r):
        raise SeamwrightError(
            f"{piece}: the hole of {widest:g} mm at ({hole.x_mm:g}, {hole.y_mm:g}) mm runs through the edge; "
            f"its centre must stay {r:g} mm inside 0..{x1:g} x 0..{y1:g} mm"
        )
