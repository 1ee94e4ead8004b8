"""The bonding plan as numbered steps, each with its station, its figures and the cautions that go with it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from assemblies.design.model import Design
from assemblies.motion.case_kinds import CASE_KINDS
from assemblies.order import Order
from assemblies.shop.bond.figures import Air, Annealing, BondFigures, Gauge
from assemblies.shop.bond.plan import TAPED, BondingPlan, SeamPlan, inside_box
from assemblies.shop.bond.solvent import Exposure
from assemblies.shop.care.cautions import cautions_for, steps_of
from assemblies.shop.care.proof import proof_stages
from assemblies.shop.care.rules import cited, figure, wait, wait_says
from parts.lengths import LengthUnit, gauge_length, mark_length, write_named

__all__ = ["BondStep", "bonding_steps", "exposure_row"]

_HEATED = ("laser", "score-and-snap")
_MANUAL = "manual A, p. 21 and 28; page F (secondary)"
_PRACTICE = "common practice, no source"


@dataclass(frozen=True, kw_only=True)
class BondStep:
    """One step, by the name of its station; `figures` are those of its text, `cautions` the ids of those it bears."""

    step: int = 0
    station: str
    text: str
    where: tuple[str, ...]
    figures: Mapping[str, object]
    cautions: tuple[str, ...]
    source: str


def bonding_steps(order: Order, design: Design, plan: BondingPlan, known: BondFigures) -> tuple[BondStep, ...]:
    """Every step, numbered from 1, through the stations edges, tape, bond, wait, test.

    Lengths in the words are in the order's units, in inches to 1/64 where they are marked with a rule; the figures are in mm.
    """
    steps = [
        *_edges(order, design, plan),
        *_along(plan, known.gauge, order.units),
        *_rests(plan),
        *_tape(design, plan, known.gauge, order.units),
        _ready(plan, known.air, order.units),
        *_bond(plan),
        *_saddles(plan),
        *_plates(plan),
        *_waits(order, design),
        _annealing(known.anneal, order.units),
        *_tests(order, design),
    ]
    return tuple(replace(one, step=number) for number, one in enumerate(steps, start=1))


def exposure_row(one: Exposure) -> Mapping[str, object]:
    """An exposure as the report holds it."""
    return {
        "solvent": one.solvent,
        "average": one.limit.average,
        "peak_ppm": one.peak_ppm,
        "mean_ppm": one.mean_ppm,
        "limit_ppm": one.limit.ppm,
        "standing": one.limit.standing,
        "times_limit": one.times_limit,
        "mL_to_limit": one.ml_to_limit,
        "fresh_air_m3": one.fresh_air_m3,
        "source": one.limit.source,
    }


def _step(
    station: str, text: str, *, source: str, where: Sequence[str] = (), caution: Sequence[str] = (), **figures: object
) -> BondStep:
    ids = tuple(one.id for step in caution for one in cautions_for(step))
    return BondStep(station=station, text=text, where=tuple(where), figures=figures, cautions=ids, source=source)


def _edges(order: Order, design: Design, plan: BondingPlan) -> Iterator[BondStep]:
    pieces = list(dict.fromkeys(n for s in plan.seams for n in (s.seam.a, s.seam.b)))
    yield _step(
        "edges",
        "Leave an edge that came smooth and square from a sharp saw or cutter. Scrape any other, or wet-sand it on a "
        "flat block, square to the faces, until the saw marks are gone. Leave the faces of the sheet as they are.",
        where=pieces,
        caution=("edges",),
        source=_MANUAL,
    )
    yield _step(
        "edges",
        "Never flame- or buff-polish an edge that will be bonded, and never sand it dry on a belt: it is rounded or under "
        "stress and crazes when solvent comes.",
        source=_MANUAL,
    )
    heated = [n for n in pieces if (design.instance(n).piece.process or order.cutting.process) in _HEATED]
    if heated and order.cutting.edge == "as-cut":
        yield _step(
            "edges",
            "These edges were lasered or snapped: machine or anneal them first. No solvent on them as they are.",
            where=heated,
            source=_MANUAL,
        )
    peel = figure("peel_back")
    yield _step(
        "edges",
        f"Turn the masking film back {mark_length(peel.value, order.units)} from every seam, on both faces; leave the rest "
        "on. Wipe dry with a clean lint-free cloth; no fingers, no spirit.",
        where=pieces,
        source=cited(peel).source,
        peel_back=cited(peel),
    )


def _along(plan: BondingPlan, gauge: Gauge, unit: LengthUnit) -> Iterator[BondStep]:
    """A tube that is rolled is closed before anything is turned to it, and its base bonded on."""
    for one in (s for s in plan.seams if s.kind == "along"):
        dry, air = wait("handling"), wait("water")
        yield _step(
            "edges",
            f"Before base, ring and trough: close the {one.seam.a}, {mark_length(one.seam.length_mm, unit)} along "
            f"({one.seam.id}, {one.ml:.2f} mL). On its drum, over a strip that does not take solvent, turn the seam up and "
            "draw it together with bands beside each end and along it; inside faces flush. The "
            f"{gauge_length(gauge.leaf, unit)} leaf must not go in anywhere: else trim both edges again, together. "
            "Run the needle along from one end, once; leave the bands on and the seam up. After "
            f"{dry.value:g} h off the drum; after {air.value:g} h anneal it again, then read the tube and turn to it.",
            where=[one.seam.id],
            source=_PRACTICE,
            caution=("solvent", "oven"),
            mL=one.ml,
            leaf_mm=gauge.leaf,
            dry=cited(dry),
        )


def _rests(plan: BondingPlan) -> Iterator[BondStep]:
    """What a sloped floor lies on while it is bonded is bonded first, while it can be reached."""
    seams = [s for s in plan.seams if s.kind == "rest"]
    if seams:
        names = ", ".join(f"{s.seam.a} to {s.seam.b} ({s.seam.id}, {s.ml:.2f} mL)" for s in seams)
        yield _step(
            "edges",
            f"Before the box is taped up, bond what the sloped floor rests on, each square on its line: {names}. They carry "
            "the sloped floor at its angle while it is bonded, and stay in. It is laid on them dry: no solvent there.",
            where=[s.seam.id for s in seams],
            source=_PRACTICE,
            caution=("solvent",),
            mL=sum(s.ml for s in seams),
        )


def _tape(design: Design, plan: BondingPlan, gauge: Gauge, unit: LengthUnit) -> Iterator[BondStep]:
    if plan.taped:
        pitch = figure("tape_tab_pitch")
        yield _step(
            "tape",
            "Put these pieces together dry on a flat bench and tape them: on the outside only, for solvent creeps under "
            f"tape and marks the face. Tabs pulled across each seam every {mark_length(pitch.value, unit)}, then one length "
            "along it; where the needle must come from outside, tabs only. Fold the ends over to pull by. Force nothing.",
            where=plan.taped,
            source=cited(pitch).source,
            tape_m=plan.tape_m,
        )
    yield _step(
        "tape",
        f"Try every seam with a feeler gauge: the {gauge_length(gauge.leaf, unit)} leaf must not go in anywhere. Where it "
        f"does, tape again or dress the edge. Where the {gauge_length(gauge.stop_leaf, unit)} leaf goes in, stop: thin "
        "solvent will not close it.",
        where=[s.seam.id for s in plan.seams if s.kind in TAPED],
        source=cited(figure("leaf_step")).source,
        leaf_mm=gauge.leaf,
        stop_leaf_mm=gauge.stop_leaf,
    )
    captive = [s.seam.id for s in plan.seams if s.fit.gap.captive]
    if captive:
        yield _step(
            "tape",
            "Tape cannot close these: their space is set by other pieces. Try them first and with most care.",
            where=captive,
            source="computed: tolerance loops of the dry fit",
        )
    space = inside_box(design)
    if space is not None:
        length, width, _ = (b - a for a, b in zip(*space, strict=True))
        may = figure("diagonals")
        is_round = design.cavities[0].cylinder is not None
        across = length if is_round else (length**2 + width**2) ** 0.5
        what = "across the bore at the rim in three directions" if is_round else "both diagonals inside the rim"
        yield _step(
            "tape",
            f"Measure {what}: {mark_length(across, unit)} each, equal within "
            f"{mark_length(may.value, unit)}. The rim lies flat.",
            source=cited(may).source,
            diagonal_mm=across,
            alike_within=cited(may),
        )


def _times(ratio: float) -> str:
    """How many times a limit: two figures, never with an exponent.

    >>> _times(0.123), _times(6.14), _times(110.8)
    ('0.12', '6.1', '111')
    """
    return f"{ratio:.2g}" if ratio < 10.0 else f"{ratio:.0f}"


def _ready(plan: BondingPlan, air: Air, unit: LengthUnit) -> BondStep:
    warm, least, worst = figure("shop_temperature"), figure("shop_temperature_least"), air.worst
    needle = figure("needle_bore")
    return _step(
        "bond",
        f"Keep the room at {warm.low:g} to {warm.high:g} °C, never under {least.value:g} °C. Load {plan.draw_ml:g} mL "
        f"into a syringe "
        f"with a blunt {gauge_length(needle.value, unit)} needle; try it on an offcut. If all of it evaporates, "
        f"the air of a {air.room.volume_m3:g} m³ room holds {worst.mean_ppm:.3g} ppm over {worst.limit.average}, "
        f"{_times(worst.times_limit)} times the limit of {worst.limit.ppm:g} ppm ({worst.solvent}), and more at the "
        "bench: run the exhaust at the seam.",
        source=cited(warm).source,
        caution=("solvent",),
        draw_mL=plan.draw_ml,
        temperature=cited(warm),
        needle=cited(needle),
        exposure=exposure_row(worst),
    )


def _annealing(anneal: Annealing, unit: LengthUnit) -> BondStep:
    cool = f", cooled over at least {anneal.cool_hours:.3g} h" if anneal.cool_hours else ", cooled slowly"
    substance = anneal.sheet.substance
    return _step(
        "wait",
        f"Anneal a rig that moves or stays filled: {anneal.hours:.3g} h at "
        f"{substance.figure('anneal_temperature').value:g} °C for {write_named(anneal.thick_mm, unit)}{cool}, "
        f"out of the oven below {figure('anneal_out_below').value:g} °C. Another source says {anneal.other_hours:.3g} "
        f"h: the longer is "
        "taken.",
        source=cited(substance.figure("anneal_time")).source,
        caution=("oven",),
        hours=anneal.hours,
    )


def _bond(plan: BondingPlan) -> Iterator[BondStep]:
    rows = [s for s in plan.seams if s.kind in TAPED]
    for (down, _, feed), group in groupby(rows, key=lambda s: (s.down, s.floor, s.feed)):
        yield _seam_group(down, feed, list(group))
    if rows:
        yield _tape_off()


def _seam_group(down: str | None, feed: str, seams: Sequence[SeamPlan]) -> BondStep:
    lie = f"Lay it on the bench with {down} down" if down else "Stand it so that the round seam lies level"
    side = (
        "From inside, run the needle along the corner"
        if feed == "inside"
        else "From outside, between the tabs, touch the needle to the seam and move along"
    )
    names = ", ".join(f"{s.seam.a} to {s.seam.b} ({s.seam.id}, {s.ml:.2f} mL)" for s in seams)
    return _step(
        "bond",
        f"{lie}: {names}. {side} without stopping and let the seam wick; one side only, no more than it takes. Blot "
        "any run at once; don't wipe.",
        where=[s.seam.id for s in seams],
        source=_MANUAL,
        caution=("solvent",),
        mL=sum(s.ml for s in seams),
    )


def _tape_off() -> BondStep:
    off, first = wait("tape-off"), wait("set")
    return _step(
        "wait",
        f"Move nothing. After {60 * off.value:.0f} min take the tape off, look at every seam against a light, and top up "
        "any dry spot or bubble with the needle, once only.",
        source=cited(off).source,
        tape_off=cited(off),
        first_set=cited(first),
    )


def _saddles(plan: BondingPlan) -> Iterator[BondStep]:
    """What stands on the outside of a tube: set on it as one, its thin seams first, then its wedges filled."""
    seams = [s for s in plan.seams if s.kind == "saddle"]
    for wall, group in groupby(seams, key=lambda s: s.seam.a):
        rows = list(group)
        thin, wide = ([s for s in rows if (s.fit.seals == "ok") == good] for good in (True, False))
        names, filled = (", ".join(f"{s.seam.b} ({s.seam.id}, {s.ml:.2f} mL)" for s in some) for some in (thin, wide))
        on = f"Lay the {wall} on its side in a vee, its notch up, and set the finished trough on it, flush with the notch."
        run = f" From outside run thin solvent into {names}, once." if thin else ""
        tack = " Tack both its ends with a drop." if not thin else ""
        fill = (
            f" Then fill {filled}: thickened cement, two thin beads along each, inside and outside, the second when the first "
            "is dry; press nothing, for it shrinks and pulls."
            if wide
            else ""
        )
        yield _step(
            "bond",
            f"{on}{run}{tack}{fill} Leave it so until its tape comes off.",
            where=[s.seam.id for s in rows],
            source=_PRACTICE,
            caution=("solvent",),
            mL=sum(s.ml for s in rows),
        )


def _plates(plan: BondingPlan) -> Iterator[BondStep]:
    seams = [s for s in plan.seams if s.kind == "plate"]
    for down, group in groupby(seams, key=lambda s: s.down):
        rows = list(group)
        plates = [s.seam.a if s.seam.b == down else s.seam.b for s in rows]
        yield _step(
            "bond",
            f"Attachment plates last. Turn the work so that the outside of {down} faces up and is level. Mark each place, "
            "set the plate with a square against two stops, bolt a straight bar to plates that share a grid. Solvent at "
            "the edges, from one side, until it shows all round; then a light weight, no clamp. "
            "Keep it out of tapped holes: treat a thread that got wet as lost.",
            where=[*plates, *(s.seam.id for s in rows)],
            source=_PRACTICE,
            caution=("solvent",),
            mL=sum(s.ml for s in rows),
        )
    if seams:
        yield _step(
            "wait",
            f"Leave the weight on and the plates alone for {60 * wait('tape-off').value:.0f} min; look for dry spots "
            "through the plate and mark their share of the area.",
            source=_PRACTICE,
            tape_off=cited(wait("tape-off")),
        )


def _waits(order: Order, design: Design) -> Iterator[BondStep]:
    names = ["handling"]
    if design.cavities:
        names.append("water")
    kinds = [CASE_KINDS[case.kind] for case in order.case]
    if any(kind.moving for kind in kinds):
        names.append("motion")
    if any(kind.late for kind in kinds):
        names.append("throw")
    for name in names:
        time = wait(name)
        long = f"{time.value:g} h" if time.value < 48 else f"{time.value:g} h ({time.value / 24:g} days)"
        yield _step("wait", f"{long}: {wait_says(name)}", source=cited(time).source, after=cited(time))


def _tests(order: Order, design: Design) -> Iterator[BondStep]:
    steps = steps_of(order, design)
    still = [step for step in ("gas-pressure", "water-load", "water-mains") if step in steps]
    moving = [step for step in ("water-mains", "moving-rig", "pneumatics", "rotating") if step in steps]
    for stage in proof_stages(order, design):
        yield _step(
            "test",
            f"{stage.text} Passed when: {stage.passes}. Sign.",
            source=_PRACTICE,
            where=[stage.case],
            caution=still if stage.part_of_speed is None else moving,
            stage=stage.number,
            earliest_h=stage.earliest_h,
        )
