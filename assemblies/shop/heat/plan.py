"""The heat and bend sheet of one part: temperatures and times, each bend with its band, the order, the former, the steps."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from assemblies.shop.heat.former import Ribs, gauge, ribs
from assemblies.shop.heat.oven import heating_time
from assemblies.shop.heat.rules import heat_rule
from assemblies.shop.heat.turns import order_of_bends
from parts.make.bend import HEATED_IN_T, cold_radius, former
from parts.shape.bent import Band, bent, heated
from parts.shape.outline import Loop
from parts.shape.piece import Piece, Side
from parts.tables import load

__all__ = ["Gauge", "Heat", "HeatSheet", "Line", "heat_sheet", "reach_mm"]

By = Literal["strip", "oven"]
_SOFT_T = sum(HEATED_IN_T) / 2.0  # thicknesses


@dataclass(frozen=True, kw_only=True)
class Heat:
    """How a part is heated, as its order says.

    Attributes:
        by: along its bend lines by a strip heater, or all of it in an oven.
        air_c, film: of the oven, or what the strip heater acts like.
        heater_mm: width of the strip heater's body.
        opening: the share of its angle by which a test strip opened; None where none was made.
    """

    by: By
    air_c: float
    film: float
    heater_mm: float
    opening: float | None


@dataclass(frozen=True, kw_only=True)
class Line:
    """One bend: places on the flat sheet as cut, from its first edge, mm; `turn` counts in the order of bending."""

    number: int
    angle_deg: float
    inside: float
    in_t: float
    arc: float
    start: float
    middle: float
    end: float
    heated: float
    hollow: Side
    turn: int
    heater_face: Side
    former_radius: float
    former_angle_deg: float


@dataclass(frozen=True, kw_only=True)
class Gauge:
    """A plate that lies in the hollow side of a bend."""

    name: str
    outline: Loop


@dataclass(frozen=True, kw_only=True)
class HeatSheet:
    """How one part is heated and bent. Temperatures C, times minutes or hours, lengths mm."""

    part: str
    by: By
    thick: float
    thick_formed: float
    flat_cut: tuple[float, float]
    flat_formed: tuple[float, float]
    shrinks: tuple[float, float]
    forming_c: float
    forming_least_c: float
    forming_most_c: float
    air_c: float
    film: float
    minutes: float
    minutes_least: float
    minutes_most: float
    face_c: float
    turned_over: bool
    dry_c: float
    dry_hours: float
    anneal_c: float
    anneal_hours: float
    cool_hours: float | None
    cold_radius: float
    opening: float | None
    lines: tuple[Line, ...]
    can_be_bent: bool
    ribs: Ribs | None
    gauges: tuple[Gauge, ...]
    steps: tuple[str, ...]


def heat_sheet(piece: Piece, heat: Heat) -> HeatSheet:
    """The heat and bend sheet of a bent piece."""
    made, hot = bent(piece), heated(piece)
    stuff, thick = piece.sheet.substance, hot.thickness_mm
    bands = made.bands
    turns = (
        order_of_bends(bands, *reach_mm(hot, bands), heat.heater_mm)
        if heat.by == "strip"
        else tuple((k, _out(b)) for k, b in enumerate(bands))
    )
    lines = tuple(_line(k, band, piece, thick, turns, heat) for k, band in enumerate(bands))
    forming = stuff.figure("forming_temperature", "sheet")
    fast, likely, slow = (
        _minutes(piece, heat, film, forming.value)
        for film in (heat_rule("film_most"), heat.film, heat_rule("film_least"))
    )
    per_mm, cool = stuff.figure("anneal_time").value, stuff.figure("anneal_cooling").value * thick
    made_of = HeatSheet(
        part=piece.name,
        by=heat.by,
        thick=piece.thickness_mm,
        thick_formed=thick,
        flat_cut=piece.outline.size_mm,
        flat_formed=hot.outline.size_mm,
        shrinks=piece.shrinks,
        forming_c=forming.value,
        forming_least_c=forming.low or forming.value,
        forming_most_c=forming.high or forming.value,
        air_c=heat.air_c,
        film=heat.film,
        minutes=likely[0],
        minutes_least=min(fast[0], likely[0]),
        minutes_most=max(slow[0], likely[0]),
        face_c=likely[1],
        turned_over=heat.by == "strip" and piece.thickness_mm > heat_rule("strip_one_side"),
        dry_c=heat_rule("dry_temperature"),
        dry_hours=heat_rule("dry_hours"),
        anneal_c=stuff.figure("anneal_temperature").value,
        anneal_hours=max(_rule_of("anneal_least_hours"), per_mm * thick),
        cool_hours=cool if thick > _rule_of("anneal_cool_over") else None,
        cold_radius=cold_radius(thick, stuff.figure("modulus").value, stuff.design_stress("permanent").value),
        opening=heat.opening,
        lines=lines,
        can_be_bent=turns is not None,
        ribs=_ribs(piece, heat, bands, lines),
        gauges=tuple(_gauges(bands)),
        steps=(),
    )
    return replace(made_of, steps=tuple(_steps(made_of)))


def _rule_of(name: str) -> float:
    return next(float(row["value"]) for row in load("bonding_rules") if row["rule"] == name)


def _out(band: Band) -> Side:
    return "near" if band.side > 0 else "far"


def reach_mm(hot: Piece, bands: tuple[Band, ...]) -> tuple[float, float]:
    """From and to where the sheet reaches across its bend lines."""
    angle = hot.bends[0].along_rad
    ends = [math.sin(angle) * x - math.cos(angle) * y for x in (0.0, hot.size_mm[0]) for y in (0.0, hot.size_mm[1])]
    return min(*ends, bands[0].start_mm), max(*ends, bands[-1].end_mm)


def _minutes(piece: Piece, heat: Heat, film: float, target: float) -> tuple[float, float]:
    """Minutes until the middle is warm, or the far face where it is heated from one side; and the temperature of the faces."""
    stuff = piece.sheet.substance
    one_side = heat.by == "strip" and piece.thickness_mm <= heat_rule("strip_one_side")
    thick = piece.thickness_mm * (2.0 if one_side else 1.0)
    found = heating_time(
        thick * 1e-3,
        film,
        heat.air_c,
        heat_rule("room"),
        target,
        stuff.figure("thermal_conductivity").value,
        stuff.density_kg_m3,
        stuff.figure("specific_heat").value,
    )
    return found.time_s / 60.0, found.face_c


def _line(
    number: int, band: Band, piece: Piece, thick: float, turns: tuple[tuple[int, Side], ...] | None, heat: Heat
) -> Line:
    arc = band.end_mm - band.start_mm
    grows = 1.0 / (1.0 - piece.shrinks[0])
    turn = next((k for k, (which, _) in enumerate(turns or ()) if which == number), number)
    face = turns[turn][1] if turns else _out(band)
    radius, angle = former(band.inside_mm, thick, band.angle_rad, heat.opening or 0.0)
    return Line(
        number=number + 1,
        angle_deg=math.degrees(band.angle_rad),
        inside=band.inside_mm,
        in_t=band.inside_mm / thick,
        arc=arc,
        start=band.start_mm * grows,
        middle=(band.start_mm + band.end_mm) / 2.0 * grows,
        end=band.end_mm * grows,
        heated=max(arc, _SOFT_T * thick),
        hollow="far" if band.side > 0 else "near",
        turn=turn + 1,
        heater_face=face,
        former_radius=radius,
        former_angle_deg=math.degrees(angle),
    )


def _ribs(piece: Piece, heat: Heat, bands: tuple[Band, ...], lines: tuple[Line, ...]) -> Ribs | None:
    """Of a part formed over one curve in the oven."""
    if (
        heat.by != "oven" or len(bands) != 1 or bands[0].angle_rad > math.pi
    ):  # what goes further round is rolled on a drum
        return None
    first, last = reach_mm(heated(piece), bands)
    legs = bands[0].start_mm - first, last - bands[0].end_mm
    return ribs(lines[0].former_radius, math.radians(lines[0].former_angle_deg), legs, bands[0].width_mm)


def _gauges(bands: tuple[Band, ...]) -> Iterator[Gauge]:
    """One gauge for each sort of bend."""
    sorts = dict.fromkeys((round(b.inside_mm, 6), round(b.angle_rad, 9)) for b in bands if b.angle_rad <= math.pi)
    for number, (inside, angle) in enumerate(sorts, 1):
        yield Gauge(name=f"gauge-{number}", outline=gauge(inside, angle, 40.0))


def _steps(sheet: HeatSheet) -> Iterator[str]:
    yield (
        f"Take the masking off and dry the sheet: {sheet.dry_hours:g} h at {sheet.dry_c:g} °C in the oven, standing free. Wet "
        "sheet blisters."
    )
    if any(sheet.shrinks):
        yield (
            f"Lay it free, without clamps: it shrinks as it warms, from {sheet.flat_cut[0]:.1f} x {sheet.flat_cut[1]:.1f} to "
            f"{sheet.flat_formed[0]:.1f} x {sheet.flat_formed[1]:.1f} mm, and thickens from {sheet.thick:.2f} to "
            f"{sheet.thick_formed:.2f} mm."
        )
    time = f"{sheet.minutes:.0f} min at {sheet.air_c:.0f} °C (between {sheet.minutes_least:.0f} and {sheet.minutes_most:.0f})"
    if sheet.by == "oven":
        yield (
            f"Heat it hanging or on a clean flat board: {time}, until it hangs limp all over. The sheet is to be at "
            f"{sheet.forming_least_c:.0f} to {sheet.forming_most_c:.0f} °C."
        )
        yield "With cotton gloves lay it over the former, hollow side down, middle on middle; draw the ends on."
    else:
        yield (
            "Mark the middle and both ends of each heated band with a soft crayon, on the face that will be hollow; never "
            "scribe."
        )
        over = " Turn it over half-way." if sheet.turned_over else " The wire at least 3 mm off the sheet."
        yield f"Heat one band at a time, {time}, until the sheet bends by its own weight.{over}"
        for line in sorted(sheet.lines, key=lambda one: one.turn):
            yield (
                f"Bend {line.number}: {line.heater_face} face on the heater; bend to {line.former_angle_deg:.1f}°, "
                f"{line.hollow} face hollow, inside radius {line.former_radius:.1f} mm; hold it in a jig."
            )
    yield (
        f"Let it cool on {'the former' if sheet.by == 'oven' else 'its jig'} under {heat_rule('let_go_below'):g} °C, covered, "
        "away from draughts; cold air on one face warps it."
    )
    yield "Lay the gauge in the hollow side, at both ends and in the middle. Write down what it opens by."
    cool = (
        f", then {sheet.cool_hours:.1f} h to cool in the shut oven"
        if sheet.cool_hours
        else ", then cool it in the shut oven"
    )
    yield (
        f"Anneal it before any solvent, thread locker or cleaner with alcohol touches it: {sheet.anneal_hours:.1f} h at "
        f"{sheet.anneal_c:g} °C on its {'former' if sheet.by == 'oven' else 'jig'}{cool}. Sheet bent and not annealed crazes."
    )
