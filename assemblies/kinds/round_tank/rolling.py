"""A tube that is rolled hot from sheet: the blank to cut, how it is heated and rolled, its one seam along."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from assemblies.kinds.round_tank.laid import WAYS
from assemblies.kinds.round_tank.tables import RolledSpec, RoundTankSpec
from assemblies.order import Order
from assemblies.report.blocks import Block, Figure, Figures, Para, Report, Step, Steps
from assemblies.report.check import Check, Checked, Made, Rows, SectionOf
from assemblies.shop.heat.plan import Heat, HeatSheet, heat_sheet
from assemblies.shop.heat.rules import heat_rule, heat_source
from parts.findings import Finding, SeamwrightError, Taken
from parts.lengths import LengthUnit, gauge_length, mark_length
from parts.make.bend import blank
from parts.make.panel import panel
from parts.shape.piece import Bend, Piece
from parts.shape.tube import closing_mpa, rolled
from parts.stock.material import material
from parts.stock.sheet import Sheet
from parts.stock.tube import Blank, TubeCut, TubeStock

__all__ = ["ROLL", "blank_of", "seam_side"]

_NEUTRAL: Final = 0.5  # hot sheet keeps the length of its middle: common practice, no source
_NOT_QUITE: Final = math.tau * (1.0 - 1e-6)  # a bend goes round by less than a whole turn


def blank_of(order: Order, spec: RoundTankSpec, tube: TubeStock, length_mm: float) -> Blank | None:
    """The sheet that the tube is rolled from, None where it is bought.

    Raises:
        OrderError: a seam that leaves no sheet, or is wider than solvent bridges.
    """
    own = spec.rolled
    if own is None:
        return None
    if own.gap > order.limits.gap:
        raise order.refuse(
            ("round-tank", "rolled", "gap"),
            f"a seam of {own.gap:g} mm is wider than solvent bridges",
            f"at most {order.limits.gap:g} mm, [limits] gap: trim its edges together",
        )
    sheet = Sheet(material=spec.tube, nominal_mm=spec.wall, readings_mm=spec.measured_wall)
    try:
        round_it = rolled(tube.outside_mm, tube.wall_mm, length_mm, own.gap).developed_mm
        wide, high, _ = blank((round_it + 2.0 * own.trim, length_mm + 2.0 * own.trim), tube.wall_mm, _shrinks(own))
    except SeamwrightError as error:
        raise order.refuse(("round-tank", "rolled"), str(error), "a tube that can be rolled") from error
    side = WAYS[seam_side(spec)]
    return Blank(sheet=sheet, size_mm=(wide, high), shrinks=_shrinks(own), gap_mm=own.gap, seam_rad=math.radians(side))


def seam_side(spec: RoundTankSpec) -> str:
    """The side that the seam along stands on: as said, or that which is furthest round from lip and drain; of equals the back,
    where it is seen least."""
    if spec.rolled is not None and spec.rolled.seam is not None:
        return spec.rolled.seam
    keep = [WAYS[spec.lip.on]] if spec.lip else []
    if spec.drain and any(spec.drain.at):
        x, y = spec.drain.at
        keep.append(math.degrees(math.atan2(y, x)))
    return max(("back", "left", "right", "front"), key=lambda side: round(_clear(WAYS[side], keep), 6))


def _clear(side_deg: float, keep_deg: Sequence[float]) -> float:
    """How far round from what is kept clear of, degrees."""
    return min((abs((side_deg - one + 180.0) % 360.0 - 180.0) for one in keep_deg), default=180.0)


def _shrinks(own: RolledSpec) -> tuple[float, float]:
    if own.shrinkage is not None:
        return own.shrinkage[0] / 100.0, own.shrinkage[1] / 100.0
    share = material("cast-pmma").figure("heat_shrink").value / 100.0
    return share, share


@dataclass(frozen=True, kw_only=True)
class _Roll:
    """A rolled tube as it is to be: round it at the middle of its wall, its length, the drum's diameter, mm; where its seam is.

    Attributes:
        open_mm, across_mm, drawn_mpa: how far off its edges are trimmed, by how much smaller across that makes it once bands
            draw it shut, and what that bends it with.
        sheet, steps: its blank in the oven, and every step.
    """

    round_mm: float
    long_mm: float
    drum_mm: float
    side: str
    open_mm: float
    across_mm: float
    drawn_mpa: float
    sheet: HeatSheet
    steps: tuple[str, ...] = ()


def _roll(made: Made) -> Checked:
    spec = made.order.table
    assert isinstance(spec, RoundTankSpec)
    piece = next((p for p in made.design.pieces if isinstance(p.sheet, TubeCut) and p.sheet.rolled), None)
    if piece is None or spec.rolled is None:
        return Checked()
    tube = piece.sheet.tube  # type: ignore[attr-defined]
    forming = piece.sheet.substance.figure("forming_temperature", "sheet").value
    heat = Heat(
        by="oven",
        air_c=min(forming + heat_rule("oven_over"), heat_rule("oven_most")),
        film=heat_rule("film"),
        heater_mm=heat_rule("heater_body"),
        opening=None,
    )
    sheet = heat_sheet(_bent_blank(piece), heat)
    off = 2.0 * made.order.cutting.tolerance  # both edges
    to_be = _Roll(
        round_mm=math.pi * (tube.outside_mm - tube.wall_mm) - spec.rolled.gap,
        long_mm=piece.thickness_mm,
        drum_mm=tube.inside_mm,
        side=seam_side(spec),
        open_mm=off,
        across_mm=off / math.pi,
        drawn_mpa=closing_mpa(tube.outside_mm, tube.wall_mm, off, tube.substance.modulus_mpa),
        sheet=sheet,
    )
    steps = (*sheet.steps[: 3 if any(sheet.shrinks) else 2], *_steps(sheet, to_be, spec.rolled))
    return Checked(
        state="passed",
        findings=(_said(piece),),
        figures=replace(to_be, steps=steps),
        taken=tuple(_taken(spec.rolled, heat)),
    )


def _bent_blank(piece: Piece) -> Piece:
    """The blank with one bend that goes all round."""
    sheet = piece.sheet
    assert isinstance(sheet, TubeCut)
    assert sheet.rolled
    wide, high = sheet.rolled.size_mm
    return replace(
        panel(f"{piece.name}-blank", wide, high, sheet.rolled.sheet, kind="blank"),
        shrinks=sheet.rolled.shrinks,
        bends=(
            Bend(
                x_mm=wide * (1.0 - sheet.rolled.shrinks[0]) / 2.0,
                y_mm=0.0,
                along_rad=math.pi / 2.0,
                angle_rad=_NOT_QUITE,
                inside_radius_mm=sheet.tube.inside_mm / 2.0,
                neutral=_NEUTRAL,
            ),
        ),
    )


def _steps(sheet: HeatSheet, to_be: _Roll, own: RolledSpec) -> Iterator[str]:
    yield (
        f"With cotton gloves roll it round a drum {to_be.drum_mm:.1f} mm in diameter; draw a band of cloth tight round it, so "
        f"that the flat ends lie on each other where {own.trim:g} mm are trimmed off."
    )
    yield f"Let it cool on the drum under {heat_rule('let_go_below'):g} °C, covered, away from draughts."
    yield (
        f"Trim both edges along, square, to {to_be.round_mm:.1f} mm round at the middle of the wall, and the ends to "
        f"{to_be.long_mm:.1f} mm; on the drum the edges are to meet all along, at most {own.gap or 0.1:g} mm apart."
    )
    cool = f", then {sheet.cool_hours:.1f} h to cool in the shut oven" if sheet.cool_hours else ""
    yield f"Anneal it on the drum before solvent touches it: {sheet.anneal_hours:.1f} h at {sheet.anneal_c:g} °C{cool}."
    yield (
        f"Bond the seam along before any other, {to_be.long_mm:.0f} mm, as the bonding plan has it; then anneal again. "
        f"Mark the tube: the seam stands {_STANDS[to_be.side]}."
    )
    yield (
        "Read it: across in three directions (measured-outside), the wall at four places (measured-wall), and how far it "
        "stands off a template of its outside at the seam (peak). Turn discs and grooves to these."
    )


def _said(piece: Piece) -> Finding:
    return Finding(
        level="care",
        check="roll",
        where=piece.name,
        why="the seam along it is pulled by the liquid all its life, and liquid can creep along it where it meets the base",
        do="make a sample of the same sheet and seam and break it; run solvent once more where the seam meets base and ring, "
        "and look there first in the proof test",
        source="common practice, no source",
    )


def _taken(own: RolledSpec, heat: Heat) -> Iterator[Taken]:
    if own.shrinkage is None:
        share = _shrinks(own)[0]
        yield Taken(
            what="shrinkage of the blank on first heating",
            value=f"{share * 100.0:g} % both ways",
            why="size of the blank; heat a 200 mm square of the sheet free and measure it",
            say="[round-tank.rolled] shrinkage",
            weight=1.25,
        )
    yield Taken(
        what="air of the oven",
        value=heat.air_c,
        unit="C",
        why=f"heating time of the blank; {heat_source('oven_over')}",
        say="a test piece",
        weight=1.4,
    )


_STANDS: Final = {side: f"at the {side}" if side in ("front", "back") else f"on the {side}" for side in WAYS}


def _rows(made: Made, roll: _Roll) -> Rows:
    sheet = roll.sheet
    return {
        "rolling": {
            "piece": sheet.part,
            "size": sheet.flat_cut,
            "thick": sheet.thick,
            "round": roll.round_mm,
            "long": roll.long_mm,
            "drum": roll.drum_mm,
            "seam_side": roll.side,
            "open": roll.open_mm,
            "across": roll.across_mm,
            "drawn_mpa": roll.drawn_mpa,
            "minutes": sheet.minutes,
            "minutes_least": sheet.minutes_least,
            "minutes_most": sheet.minutes_most,
            "air_c": sheet.air_c,
            "forming_c": sheet.forming_c,
            "film": sheet.film,
            "cold_radius": sheet.cold_radius,
            "steps": roll.steps,
        }
    }


def _blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    roll = report.get("rolling")
    if not roll:
        return
    round_it, high = (mark_length(side, unit) for side in roll["size"])
    yield Para(text=f"The tube is rolled from {roll['piece']}, cut {round_it} by {high}, trim and shrinkage in it.")
    yield Figures(
        items=[
            Figure(
                label="Trimmed, round it at the middle of its wall",
                value=mark_length(roll["round"], unit),
                why="pi times outside less wall, less its gap: hot sheet keeps the length of its middle",
            ),
            Figure(label="Drum, outside", value=mark_length(roll["drum"], unit), why="the bore"),
            Figure(
                label="Seam along stands",
                value=_STANDS[roll["seam_side"]],
                why="clear of lip and drain; liquid at rest pulls at it alike all around",
            ),
            Figure(
                label="Trimmed too short, bands still draw it shut",
                value=mark_length(roll["open"], unit),
                why=f"both edges by the tolerance of the cut: it is then {gauge_length(roll['across'], unit)} less across and "
                f"bent with {roll['drawn_mpa']:.2f} MPa, E t d / (3 pi R²), until annealed; too long, trim again",
            ),
            Figure(
                label="Heating",
                value=f"{roll['minutes']:.0f} min at {roll['air_c']:.0f} °C",
                why=f"until the middle is at {roll['forming_c']:.0f} °C, film {roll['film']:g} W/(m² K); conduction alone",
            ),
            Figure(
                label="If the air moves more or less",
                value=f"{roll['minutes_least']:.0f} to {roll['minutes_most']:.0f} min",
                why="from brisk to weakly moved oven air, by the table of heating rules",
            ),
            Figure(
                label="Rolled cold it would need an inside radius of",
                value=mark_length(roll["cold_radius"], unit),
                why="E t / 2 sigma less half a thickness, permanent",
            ),
        ]
    )
    yield Steps(title="Roll it and bond it along", items=[Step(text=text) for text in roll["steps"]])


ROLL: Final = Check(
    name="roll",
    run=_roll,
    questions=("cut",),
    rows=_rows,
    sections=(SectionOf(id="rolling", station="heat", title="Roll the tube", blocks=_blocks),),
)
