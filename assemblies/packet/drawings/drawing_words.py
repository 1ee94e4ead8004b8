"""What a part's drawing says in words: the order's facts, the notes, the fields of the title block."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from assemblies.design.shown import MADE_ELSEWHERE
from assemblies.packet.drawings.callouts import Group
from assemblies.packet.drawings.dimensions import figure
from assemblies.packet.drawings.drawing_views import Projection, is_round, pitch_circles, sharp_corners
from assemblies.packet.drawings.title_block import PAPER_NAMES, TitleFacts
from assemblies.shop.plan.edges import Edge
from parts.findings import NotCovered
from parts.lengths import LengthUnit
from parts.shape import outline as shape
from parts.shape.bent import bend_lines, sorted_bends
from parts.shape.piece import Mark, Piece
from parts.stock.tube import TubeCut

__all__ = ["DrawingSettings", "PartFacts", "material_of", "notes_of", "scale_name", "settings_for", "title_facts"]


@dataclass(frozen=True, kw_only=True)
class DrawingSettings:
    """How drawings are made: units of the figures, `a4` or `letter`, projection method, the other unit in brackets."""

    units: LengthUnit = "mm"
    paper: str = "a4"
    projection: Projection = "first"
    dual: bool = False


@dataclass(frozen=True, kw_only=True)
class PartFacts:
    """What the order says about a part.

    Attributes:
        design, title, revision: of the order.
        count: how many in one assembly; `quantity`: how many assemblies.
        process: how it is cut; tolerance_mm: plus and minus on a size.
        repeat_mm: between pieces of one cut group; alike: the other parts of its group.
        edges: what is done to each of its edges once it is sawn.
    """

    design: str
    title: str
    revision: str
    count: int
    quantity: int
    process: str
    tolerance_mm: float
    repeat_mm: float
    alike: tuple[str, ...] = ()
    edges: tuple[Edge, ...] = ()


def settings_for(units: LengthUnit, paper: str | None = None, projection: Projection | None = None) -> DrawingSettings:
    """First angle on A4 for an order in mm, third angle on US letter for one in inches; else as it is told."""
    if units == "in":
        return DrawingSettings(units="in", paper=paper or "letter", projection=projection or "third")
    return DrawingSettings(paper=paper or "a4", projection=projection or "first")


def scale_name(scale: float) -> str:
    """
    >>> scale_name(0.2), scale_name(1.0), scale_name(5.0)
    ('1:5', '1:1', '5:1')
    """
    return f"{scale:.0f}:1" if scale >= 1.0 else f"1:{1.0 / scale:.0f}"


def _size(value_mm: float, settings: DrawingSettings) -> str:
    """A size with its unit, and with the other one in brackets where both are asked for."""
    first = f"{figure(value_mm, settings.units)} {settings.units}"
    other: LengthUnit = "in" if settings.units == "mm" else "mm"
    return f"{first} [{figure(value_mm, other)} {other}]" if settings.dual else first


def _edge_words(edges: Sequence[Edge], settings: DrawingSettings) -> str:
    """What is done to which edges, as drawn; what is taken off was left on by the saw."""
    alike: dict[tuple[str, str, float], list[str]] = {}
    for edge in edges:
        alike.setdefault((edge.work, edge.use, edge.takes_mm), []).append(edge.side)
    return "; ".join(
        f"{', '.join(sides)}: {work} ({use})" + (f", cut {_size(takes, settings)} larger for it" if takes else "")
        for (work, use, takes), sides in alike.items()
    )


def notes_of(
    piece: Piece, facts: PartFacts, settings: DrawingSettings, groups: Sequence[Group], tabled: bool
) -> list[str]:
    """The numbered notes of a part's drawing."""

    def size(value: float) -> str:
        return _size(value, settings)

    corner = "the corner of its box: two stops touch its left and lower edge" if is_round(piece) else "lower left"
    notes = [
        f"0 is the datum corner, {corner}, with the far face towards you, as here; all places are from it.",
        "Made elsewhere, not cut here; net sizes."
        if piece.kind in MADE_ELSEWHERE
        else f"Net sizes, no kerf added; true outline: profiles/{piece.name}.dxf."
        if not piece.is_tube
        else "A length of tube, sawn and both ends squared on the lathe; its diameters are those of the tube in hand."
        if piece.as_cut is None
        else f"Rolled hot from its blank, profiles/{piece.name}-blank.dxf, bonded along, trimmed and squared.",
    ]
    notes += _seam_notes(piece, size)
    if facts.alike:
        notes.append(
            f"Cut at one setting with {', '.join(facts.alike)} (group {piece.cut_group}): common sizes equal within "
            f"{size(facts.repeat_mm)}."
        )
    if facts.edges:
        notes.append(f"Edges once sawn: {_edge_words(facts.edges, settings)}.")
    outer = piece.outline.outer
    if isinstance(outer, shape.Loop):
        radii = sorted({round(s.radius_mm, 3) for s in outer.segments() if isinstance(s, shape.Arc)})
        if len(radii) == 1:
            notes.append(f"Arcs of the outline R{figure(radii[0], settings.units, dual=settings.dual)}.")
        if (len(radii) > 1) or len(list(sharp_corners(outer))) > 12:
            notes.append("The outline is not dimensioned in full: cut it from its profile.")
    for _, _, radius in pitch_circles(piece):
        notes.append(f"Pitch circle Ø{figure(2.0 * radius, settings.units, dual=settings.dual)}.")
    notes += _bevel_notes(piece, size)
    notes += _pocket_notes(piece, size)
    notes += [
        f"Engrave {mark.text} on the face towards you, {size(mark.height_mm)} high, middle at {size(mark.x_mm)}, "
        f"{size(mark.y_mm)}{_rule_words(mark, size)}."
        for mark in piece.marks
    ]
    for line, bend in zip(bend_lines(piece), sorted_bends(piece), strict=True):
        start, end = (f"{size(x)}, {size(y)}" for x, y in ((line.x0_mm, line.y0_mm), (line.x1_mm, line.y1_mm)))
        notes.append(
            f"Bend {math.degrees(bend.angle_rad):.4g}° to inside R{size(bend.inside_radius_mm)}, {bend.side} face hollow, its "
            f"middle at the line from {start} to {end}; as bent: last sheet."
        )
    if tabled and groups:
        notes.append(
            "Places in the table; marks count along each row from the lower left, and one without room is left out."
        )
    return [f"{k}. {note}" for k, note in enumerate(notes, 1)]


def _rule_words(mark: Mark, size: Callable[[float], str]) -> str:
    """The level line under a text that has one."""
    if mark.rule_mm is None:
        return ""
    x0, x1, y = mark.rule_mm
    return f"; under it a level line from {size(x0)} to {size(x1)}, {size(y)} up"


def _seam_notes(piece: Piece, size: Callable[[float], str]) -> list[str]:
    """Where the seam along a rolled tube is, by its place in this view."""
    sheet = piece.sheet
    if not isinstance(sheet, TubeCut) or sheet.rolled is None:
        return []
    outer, turn = sheet.tube.outside_mm / 2.0, sheet.rolled.seam_rad
    x, y = (size(outer * (1.0 + way)) for way in (math.cos(turn), math.sin(turn)))
    return [f"Seam along the whole length, the line across the wall at {x}, {y}: keep it there when the tube is set."]


def _bevel_notes(piece: Piece, size: Callable[[float], str]) -> list[str]:
    """Bevels that are alike, with the edges that have them."""
    found: dict[str, list[str]] = {}
    for bevel in piece.bevels:
        face = "the face towards you" if bevel.side == "far" else "the other face"
        text = f"{math.degrees(bevel.angle_rad):.4g}° from square, {size(piece.cut_back_mm(bevel))} back on {face}"
        found.setdefault(text, []).append(piece.edge_side(bevel.edge))
    return [
        f"Bevel {', '.join(sides)} edge{'s' if len(sides) > 1 else ''}: {text}; the other face has the size drawn."
        for text, sides in found.items()
    ]


def _pocket_notes(piece: Piece, size: Callable[[float], str]) -> list[str]:
    """Pockets that are alike, each with where it lies: about a hole, or by its middle."""
    found: dict[tuple[str, str], int] = {}
    holes = {(round(hole.x_mm, 3), round(hole.y_mm, 3)) for hole in piece.holes}
    for pocket in piece.pockets:
        x0, y0, x1, y1 = pocket.outline.bounds_mm
        x, y = round((x0 + x1) / 2.0, 3), round((y0 + y1) / 2.0, 3)
        wide = f"Ø{size(x1 - x0)}" if isinstance(pocket.outline, shape.Circle) else f"{size(x1 - x0)} × {size(y1 - y0)}"
        where = "each about its hole" if (x, y) in holes else f"middle at {size(x)}, {size(y)}"
        face = "the face towards you" if pocket.side == "far" else "the other face"
        if piece.is_tube:  # a notch in its rim
            wide = f"{size(max(x1 - x0, y1 - y0))} wide"
        for island in pocket.islands[:1]:  # a ring: a groove that is turned
            a0, _, a1, _ = island.bounds_mm
            wide = f"{wide} outside, Ø{size(a1 - a0)} inside"
        text = f"{wide}, {size(pocket.depth_mm)} deep from {face}, {where}"
        key = "notch in the rim" if piece.is_tube else "groove" if pocket.islands else "pocket", text
        found[key] = found.get(key, 0) + 1
    return [f"{count} {word}{'s' if count > 1 else ''}: {text}." for (word, text), count in found.items()]


def material_of(piece: Piece) -> str:
    """What it is made of, sheet or tube."""
    if piece.kind in MADE_ELSEWHERE:
        return f"{piece.kind}: made elsewhere, not cut here"
    title = piece.sheet.substance.title
    return title.replace("sheet", "tube") if piece.is_tube else title


def title_facts(
    piece: Piece, facts: PartFacts, settings: DrawingSettings, scale: float, count: int
) -> Callable[[int], TitleFacts]:
    """The title block of each sheet, by its number."""
    sheet, elsewhere = piece.sheet, piece.kind in MADE_ELSEWHERE

    def size(value: float) -> str:
        return _size(value, settings)

    try:
        spread = f" ± {size(sheet.tolerance_mm)}"
    except NotCovered:
        spread = ""
    measured = f", measured (nominal {size(sheet.nominal_mm)})" if sheet.is_measured else ""

    def block(number: int) -> TitleFacts:
        return TitleFacts(
            title=facts.title,
            part=piece.name,
            identification=f"{facts.design}/{piece.name}",
            document="part drawing",
            revision=facts.revision,
            scale=scale_name(scale),
            sheet=f"{number} of {count}",
            paper=PAPER_NAMES[settings.paper],
            material=material_of(piece),
            thickness=f"{size(sheet.tube.wall_mm)} wall, {size(piece.thickness_mm)} long"
            if isinstance(sheet, TubeCut)
            else size(piece.thickness_mm) + ("" if elsewhere else spread + measured),
            quantity=f"{facts.count * facts.quantity}" + (f" ({facts.count} each)" if facts.quantity > 1 else ""),
            mass="by its maker" if elsewhere else f"{piece.mass_kg:.3f} kg",
            projection=settings.projection,
            units=settings.units,
            tolerance=f"± {size(sheet.tolerance_mm)} on the length"
            if piece.is_tube
            else f"± {size(facts.tolerance_mm)} on sizes and places ({facts.process})",
        )

    return block
