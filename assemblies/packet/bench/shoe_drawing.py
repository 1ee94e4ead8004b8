"""The drawing of a shoe of metal, for whoever makes it: `made-elsewhere/<shoe>.pdf`, `.dxf` and `.step`.

The first sheet is the section across the slot with what it is gauged by; the others are its parts, as drawings of pieces are.
Two pins of one diameter in the acute corners gauge the slot: between them it measures wide - D (1 + cot(angle / 2))
(Machinery's Handbook, dovetail slides; from memory).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from assemblies.design.model import Design
from assemblies.design.release import Release
from assemblies.design.shown import shoe_parts
from assemblies.packet.drawings.dimensions import FIRST_ROW, PITCH, Rows, Wanted, across, figure
from assemblies.packet.drawings.drawing import SCALES, part_sheets
from assemblies.packet.drawings.drawing_words import DrawingSettings, PartFacts, material_of, scale_name
from assemblies.packet.drawings.drawings_out import Drawn, write_sheets
from assemblies.packet.drawings.title_block import (
    HEIGHT,
    PAPER_NAMES,
    PAPERS,
    TitleFacts,
    border,
    frame_of,
    title_block,
    wrapped,
)
from assemblies.packet.ink.primitives import Circle, Line, Polyline, Text
from assemblies.packet.ink.sheet_items import Box, Item, Sheet
from assemblies.packet.models.step import write_step
from parts.shape.piece import Piece
from parts.stock.rules import rule

__all__ = ["elsewhere", "shoe_sheets", "write_shoe_models", "write_shoes"]

Ring = tuple[tuple[float, float], ...]
_HATCH: Final = 2.4  # between hatch lines, paper mm
_TEXT, _ROW = 2.2, 3.6
_ABOVE, _BELOW = 34.0, 44.0  # room for the dimensions of the section, paper mm
_ROOT: Final = 52.0  # width of the enlarged corner with its words, paper mm
_MARK: Final = "MADE ELSEWHERE, NOT CUT HERE"


def elsewhere(design: Design) -> tuple[Release, ...]:
    """The quick-release plates whose shoes are made elsewhere."""
    return tuple(one for one in design.releases if one.shoe.made)


def write_shoes(drawn: Drawn, rows: Sequence[Mapping[str, Any]], folder: Path) -> None:
    """Drawings of every shoe of metal; nothing where there is none.

    Args:
        rows: `releases` of the report.
        folder: the packet's; `made-elsewhere` is made in it.

    Raises:
        NotCovered, WrongFile, OSError: as `write_drawings`.
    """
    for release in elsewhere(drawn.design):
        place = folder / "made-elsewhere"
        place.mkdir(exist_ok=True)
        row = next(one for one in rows if one["strip"] == release.strip)
        sheets = shoe_sheets(drawn.design, release, row["forces"], drawn.settings)
        write_sheets(sheets, place / release.shoe.name, f"{drawn.design.title}: {release.shoe.name}")


def write_shoe_models(design: Design, folder: Path) -> None:
    """A STEP model of every shoe of metal, open, its parts by name.

    Raises:
        KernelError, WrongFile, OSError: as `write_step`.
    """
    for release in elsewhere(design):
        (folder / "made-elsewhere").mkdir(exist_ok=True)
        shoe = Design(
            name=f"{design.name}-{release.shoe.name}",
            title=f"{design.title}: {release.shoe.name}",
            kind=design.kind,
            revision=design.revision,
            placed=shoe_parts(release),
        )
        write_step(shoe, folder / "made-elsewhere" / f"{release.shoe.name}.step")


def shoe_sheets(
    design: Design, release: Release, forces: Mapping[str, float], settings: DrawingSettings
) -> tuple[Sheet, ...]:
    """The section across the slot, then the parts.

    Args:
        forces: what the shoe must bear, as the report has it, N.

    Raises:
        NotCovered: a part is too large for any scale.
    """
    sheets = [_section_sheet(design, release, forces, settings), _plan_sheet(design, release, settings)]
    for piece in dict.fromkeys(one.piece for one in release.shoe.made):
        sheets += part_sheets(piece, _facts(piece, design, release), settings)
    return tuple(sheets)


def _facts(piece: Piece, design: Design, release: Release) -> PartFacts:
    return PartFacts(
        design=f"{design.name}/{release.shoe.name}",
        title=design.title,
        revision=design.revision,
        count=release.shoe.count,
        quantity=design.quantity,
        process="milled",
        tolerance_mm=rule("shoe_tolerance"),
        repeat_mm=rule("shoe_tolerance"),
    )


def _section_sheet(design: Design, release: Release, forces: Mapping[str, float], settings: DrawingSettings) -> Sheet:
    size, shoe = PAPERS[settings.paper], release.shoe
    frame = frame_of(*size)
    wide, high = shoe.base.size_mm[1], shoe.base.thickness_mm + release.depth
    room = frame[2] - frame[0] - 50.0
    scale = next((s for s in SCALES if wide * s <= room), SCALES[-1])
    left = (frame[0] + frame[2] - wide * scale) / 2.0 - 5.0
    low = frame[3] - _ABOVE - high * scale - 8.0
    items: list[Item] = [*_section(release, (left, low), scale, settings)]
    notes = [
        line
        for k, note in enumerate(_notes(release, forces, settings), 1)
        for line in wrapped(f"{k}. {note}", frame[2] - frame[0] - 8.0, _TEXT)
    ]
    top = low - _BELOW
    items.append(Text(x=frame[0] + 4.0, y=top + 4.0, text=_MARK, height=3.5, bold=True))
    items += [Text(x=frame[0] + 4.0, y=top - _ROW * (k + 1), text=line, height=_TEXT) for k, line in enumerate(notes)]
    below = (frame[0] + 4.0, frame[1] + HEIGHT + 4.0, frame[2] - 4.0, top - _ROW * len(notes) - 8.0)
    items += _root(release, below, settings)
    return _closed(design, release, settings, "section", scale, items)


def _plan_sheet(design: Design, release: Release, settings: DrawingSettings) -> Sheet:
    frame = frame_of(*PAPERS[settings.paper])
    room = (frame[0] + 4.0, frame[1] + HEIGHT + 4.0, frame[2] - 4.0, frame[3] - 8.0)
    items, scale = _plan(release, room, settings)
    return _closed(design, release, settings, "plan", scale, items)


def _closed(
    design: Design, release: Release, settings: DrawingSettings, name: str, scale: float, items: Sequence[Item]
) -> Sheet:
    size, shoe = PAPERS[settings.paper], release.shoe
    frame = frame_of(*size)
    facts = TitleFacts(
        title=design.title,
        part=shoe.name,
        identification=f"{design.name}/{shoe.name}",
        document="part made elsewhere",
        revision=design.revision,
        scale=scale_name(scale),
        sheet=name,
        paper=PAPER_NAMES[settings.paper],
        material=material_of(shoe.made[0].piece),
        thickness="see the section",
        quantity=str(shoe.count * design.quantity),
        mass="by its maker",
        tolerance=f"± {figure(rule('shoe_tolerance'), settings.units)} {settings.units} on sizes and places",
        projection=settings.projection,
        units=settings.units,
    )
    everything = (*border(*size), *title_block(facts, frame[2], frame[1]), *items)
    return Sheet(width_mm=size[0], height_mm=size[1], scale=scale, views=(), items=everything)


def _rings(release: Release) -> dict[str, Ring]:
    """The section of each part across the slot, along the way out: across from the middle, up from the base's underside."""
    shoe, base, back = release.shoe, release.shoe.base.thickness_mm, release.back
    top, slot, half = base + release.depth, (release.narrow + release.clearance) / 2.0, shoe.base.size_mm[1] / 2.0
    outer = slot + shoe.lip
    jaw = ((outer, base), (outer, top), (slot, top), (slot + back, base))
    return {
        "base": ((-half, 0.0), (half, 0.0), (half, base), (-half, base)),
        "fixed": tuple((-x, y) for x, y in jaw),
        "clamped": jaw,
        "rail": ((outer, base), (outer + shoe.rail, base), (outer + shoe.rail, top), (outer, top)),
    }


def _section(release: Release, at: tuple[float, float], scale: float, settings: DrawingSettings) -> Iterator[Item]:
    shoe = release.shoe
    half, base = shoe.base.size_mm[1] / 2.0, shoe.base.thickness_mm
    top = base + release.depth

    def on(x: float, y: float) -> tuple[float, float]:
        return at[0] + (x + half) * scale, at[1] + y * scale

    rings = _rings(release)
    for k, (name, ring) in enumerate(rings.items()):
        yield Polyline(points=tuple(on(*p) for p in ring), closed=True, layer="visible", of=name)
        yield from _hatched([on(*p) for p in ring], 1.0 if k % 2 else -1.0)
    narrow, wide = release.narrow / 2.0, release.sizes.wide / 2.0
    strip = ((-narrow, top), (narrow, top), (wide, base), (-wide, base))
    yield Polyline(points=tuple(on(*p) for p in strip), closed=True, layer="hidden", of="strip")
    yield Text(x=on(0.0, top)[0], y=on(0.0, (top + base) / 2.0)[1] - 1.0, text="strip", height=_TEXT, anchor="middle")
    slot = (release.narrow + release.clearance) / 2.0
    corner, r = slot + release.back, release.gauge / 2.0
    middle = corner - r / math.tan(math.radians(release.angle_deg) / 2.0)
    for sign in (-1.0, 1.0):
        x, y = on(sign * middle, base + r)
        yield Circle(x=x, y=y, radius=r * scale, layer="dimension", of="gauge")
        yield Text(
            x=x + sign * 3.0,
            y=y - 1.0,
            text=f"{release.angle_deg:g}°",
            height=_TEXT,
            anchor="start" if sign > 0 else "end",
        )
    for name, ring in rings.items():
        x, y = on(sum(p[0] for p in ring) / len(ring), top)
        if name == "base":
            x, y = on(-half, 0.0)
        yield Text(
            x=x - 2.0 * (name == "base"),
            y=y + 1.5,
            text=name,
            height=_TEXT,
            anchor="end" if name == "base" else "middle",
        )
    line = slot + shoe.lip - shoe.heel
    for sign in (-1.0, 1.0):
        x, y0 = on(sign * line, -1.0 / scale)
        yield Line(x0=x, y0=y0, x1=x, y1=on(0.0, top)[1] + 2.0, layer="centre", of="screw")

    def row(a: float, b: float, foot: float, number: int, value: float, text: str = "") -> Item:
        ends = on(a, 0.0)[0], on(b, 0.0)[0]
        feet = on(0.0, foot)[1], on(0.0, foot)[1]
        up = foot >= top - 1e-9
        edge = on(0.0, top)[1] + FIRST_ROW + 2.0 if up else at[1] - FIRST_ROW
        where = edge + PITCH * number if up else edge - PITCH * number
        return across("x", ends, feet, where, value, text or figure(value, settings.units, dual=settings.dual))

    def named(value: float, word: str) -> str:
        return f"{figure(value, settings.units, dual=settings.dual)} {word}"

    yield row(-slot, slot, top, 0, 2.0 * slot, named(2.0 * slot, "open"))
    yield row(-slot - shoe.lip, -slot, top, 1, shoe.lip)
    yield row(slot, slot + shoe.lip, top, 1, shoe.lip)
    yield row(slot + shoe.lip, slot + shoe.lip + shoe.rail, top, 2, shoe.rail)
    yield row(-middle + r, middle - r, base, 0, 2.0 * (middle - r), named(2.0 * (middle - r), "between pins"))
    yield row(-corner, corner, base, 1, 2.0 * corner, named(2.0 * corner, "open"))
    yield row(-line, line, base, 2, 2.0 * line, named(2.0 * line, "screws"))
    yield row(-half, half, 0.0, 3, 2.0 * half)
    edge = on(half, 0.0)[0]
    for number, (a, b, text) in enumerate(
        ((0.0, base, named(base, "at least")), (base, top, f"{figure(release.depth, settings.units)} \u2212 0.1"))
    ):
        ends = on(0.0, a)[1], on(0.0, b)[1]
        yield across("y", ends, (edge, edge), edge + FIRST_ROW + PITCH * number, b - a, text, beyond=True)


def _plan(release: Release, room: Box, settings: DrawingSettings) -> tuple[list[Item], float]:
    """The shoe as it lies on the rig: parts and holes on its base, with what counts along the slot; and its scale."""
    base, *parts = shoe_parts(release)
    wide, high, _ = base.piece.size_mm
    most = (room[2] - room[0] - 60.0) / wide, (room[3] - room[1] - PITCH * 8.0 - 12.0) / high
    scale = next((s for s in SCALES if s <= min(most)), SCALES[-1])
    left, low = room[0] + 40.0, room[3] - 12.0 - high * scale
    items: list[Item] = [Text(x=left, y=room[3] - 4.0, text="Seen from the plate, slot up", height=_TEXT, bold=True)]

    def rectangle(low_uv: tuple[float, float], high_uv: tuple[float, float], name: str) -> Polyline:
        (u0, v0), (u1, v1) = low_uv, high_uv
        ring = ((u0, v0), (u1, v0), (u1, v1), (u0, v1))
        return Polyline(
            points=tuple((left + u * scale, low + (high - v) * scale) for u, v in ring), closed=True, of=name
        )

    items.append(rectangle((0.0, 0.0), (wide, high), base.name))
    stops = {wide, wide / 2.0 + release.length / 2.0 + release.reach}
    for one in parts:
        x0, y0, x1, y1 = one.piece.outer_at(0.0).bounds_mm
        ends = [base.local(one.world(u, v, 0.0))[:2] for u, v in ((x0, y0), (x1, y1))]
        (u0, v0), (u1, v1) = ((f(p[0] for p in ends), f(p[1] for p in ends)) for f in (min, max))
        items.append(rectangle((u0, v0), (u1, v1), one.name))
        word = one.piece.name.split("-")[-1]
        x, y = left + (u0 + u1) / 2.0 * scale, low + (high - (v0 + v1) / 2.0) * scale
        items.append(Text(x=x, y=y - 0.8, text=word, height=2.0, anchor="middle"))
        stops |= {u0, u1} if one.name.endswith(("stop", "fixed")) else set()
    for hole in base.piece.holes:
        at, radius = (
            (left + hole.x_mm * scale, low + (high - hole.y_mm) * scale),
            max(hole.diameter_mm, hole.bore_mm) / 2.0,
        )
        items.append(Circle(x=at[0], y=at[1], radius=radius * scale))
        items += [
            Line(x0=at[0] - a, y0=at[1] - b, x1=at[0] + a, y1=at[1] + b, layer="centre")
            for a, b in ((radius * scale + 1.5, 0.0), (0.0, radius * scale + 1.5))
        ]
    rows = Rows(axis="x", origin=(left, low), scale=scale, units=settings.units, dual=settings.dual)
    items += rows.draw([Wanted(to_mm=u) for u in sorted(stops) if u > 1e-6])
    upright = Rows(axis="y", origin=(left, low), scale=scale, units=settings.units, dual=settings.dual)
    items += upright.draw([Wanted(to_mm=high)])
    items.append(Text(x=left + wide * scale + 2.0, y=low + high * scale / 2.0, text="out", height=_TEXT))
    return items, scale


def _root(release: Release, room: Box, settings: DrawingSettings) -> Iterator[Item]:
    """The acute corner of the slot, enlarged, with a gauge pin in it."""
    deep, back, r = release.depth, release.back, release.gauge / 2.0
    most = _ROOT - 14.0
    scale = next((s for s in SCALES if (back + release.gauge * 1.5) * s <= most and deep * s <= most), SCALES[-1])
    x0, y0 = room[2] - 6.0, room[3] - 10.0 - deep * scale
    corner = (x0 - 4.0, y0)
    lip = (corner[0] - back * scale, y0 + deep * scale)
    yield Text(
        x=room[2] - _ROOT, y=room[3] - 2.0, text=f"Root of a flank ({scale_name(scale)})", height=_TEXT, bold=True
    )
    for a, b in (((room[2] - _ROOT, y0), (x0, y0)), (corner, lip), (lip, (x0, lip[1]))):
        yield Line(x0=a[0], y0=a[1], x1=b[0], y1=b[1], layer="visible", of="root")
    angle = math.radians(release.angle_deg)
    middle = (corner[0] - r / math.tan(angle / 2.0) * scale, y0 + r * scale)
    yield Circle(x=middle[0], y=middle[1], radius=r * scale, layer="dimension", of="root")
    pin = figure(release.gauge, settings.units, dual=settings.dual)
    yield Text(x=middle[0], y=middle[1] - 1.0, text=f"Ø{pin}", height=_TEXT, anchor="middle")
    relief = figure(rule("release_relief"), settings.units, dual=settings.dual)
    for k, words in enumerate(
        (f"flank {release.angle_deg:g}° to the floor", f"root R {relief} at most", "lip broken by 0.5 mm")
    ):
        yield Text(x=room[2] - _ROOT, y=y0 - 5.0 - _ROW * k, text=words, height=_TEXT)
    yield Line(x0=room[2] - 22.0, y0=y0 - 4.0, x1=corner[0], y1=corner[1], layer="leader", of="root")


def _hatched(ring: Sequence[tuple[float, float]], way: float) -> Iterator[Line]:
    """Narrow lines at 45 degrees within a convex ring (ISO 128-3, from memory); neighbours lean against each other."""
    values = [y - way * x for x, y in ring]
    step = _HATCH * math.sqrt(2.0)
    for n in range(math.ceil(min(values) / step), math.floor(max(values) / step) + 1):
        c, found = n * step, []
        for (x0, y0), (x1, y1) in zip(ring, [*ring[1:], ring[0]], strict=True):
            d0, d1 = y0 - way * x0 - c, y1 - way * x1 - c
            if (d0 < 0.0) != (d1 < 0.0):
                t = d0 / (d0 - d1)
                found.append((x0 + t * (x1 - x0), y0 + t * (y1 - y0)))
        if len(found) == 2:
            yield Line(x0=found[0][0], y0=found[0][1], x1=found[1][0], y1=found[1][1], layer="dimension", of="hatch")


def _notes(release: Release, forces: Mapping[str, float], settings: DrawingSettings) -> Iterator[str]:
    shoe = release.shoe

    def size(mm: float) -> str:
        return f"{figure(mm, settings.units)} {settings.units}"

    most = max(2.0 * forces["jaw"], abs(forces["along"]))
    relief = size(rule("release_relief"))
    yield (
        f"Metal: {shoe.made_of}. Base, fixed jaw, rail and stop may be one piece; the clamped jaw is apart. Drawn open: the "
        f"clamped jaw against its rail, {size(release.clearance)} of play for the strip."
    )
    yield (
        f"Gauge the slot, open, over its floor: two pins of {size(release.gauge)} in the acute corners, "
        f"{size(release.sizes.between_pins + release.clearance)} between them; a strip measures "
        f"{size(release.sizes.over_pins)} over the same pins. Between = wide \u2212 D (1 + cot(angle / 2))."
    )
    yield (
        f"Flanks {release.angle_deg:g}° to the floor of the slot, within 0.1°. Root of each flank relieved with R {relief} "
        f"at most, lip broken by 0.5 mm: the strip's sharp edge is broken by {relief}. Jaws lower than the strip is thick, so "
        "that the strip stands on the floor and its plate rides clear."
    )
    yield (
        f"Clamped jaw: {shoe.screws} screws {shoe.screw} with star grips through wide holes into the base; the fixed jaw has "
        "as many in snug holes. The clamp is friction and no lock."
    )
    yield (
        f"{release.pins} pin bores {size(release.bore)} through the base, {size(release.reach)} past the plate's end: drilled "
        f"through strip and base in one, or to the drawing of the base. The stop closes the slot at the other end."
    )
    if shoe.holes == "tapped":
        yield f"{len(shoe.base.holes)} holes {shoe.bolt} tapped for bolts from the rig: none may stand up into the slot."
    else:
        yield (
            f"{len(shoe.base.holes)} holes for bolts {shoe.bolt} into the rig: their heads are sunk below the floor of the "
            "slot; the base is as thick as that wants, and no thinner than drawn."
        )
    yield (
        f"Must bear, with no friction counted: {forces['jaw']:.0f} N off its seat and {forces['spread']:.0f} N outward at each "
        f"jaw, {forces['along']:.0f} N along the slot at stop and at each pin. Its maker says what it is rated for: at least "
        f"{math.ceil(most / 10.0) * 10} N."
    )
