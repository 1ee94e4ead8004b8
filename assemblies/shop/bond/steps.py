"""The bonding plan as numbered steps, each with its station, its figures and the cautions that go with it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any

from assemblies.design.model import Design
from assemblies.liquid.case_kinds import CASE_KINDS
from assemblies.order import Order
from assemblies.shop.bond.plan import BondingPlan, SeamPlan, inside_box
from assemblies.shop.care.cautions import cautions_for, steps_of
from assemblies.shop.care.proof import proof_stages
from assemblies.shop.care.rules import figure, plain, wait, wait_says
from parts.lengths import LengthUnit, gauge_length, mark_length, write_named

__all__ = ["bonding_steps"]

Row = dict[str, Any]
_HEATED = ("laser", "score-and-snap")
_MANUAL = "sheet maker's fabrication manual, pp. 21 and 28; plastics distributor's knowledge page on joining acrylic"
_PRACTICE = "common practice, no source"


def bonding_steps(order: Order, design: Design, plan: BondingPlan, section: Mapping[str, Any]) -> list[Row]:
    """Every step, numbered from 1, through the stations edges, tape, bond, wait, test.

    Lengths in the words are in the order's units, in inches to 1/64 where they are marked with a rule; the figures are in mm.

    Args:
        order, design: what is made.
        plan: of its bonding.
        section: the rest of the report's `bonding`; `gap`, `air` and `anneal` are read.
    """
    rows = [
        *_edges(order, design, plan),
        *_tape(design, plan, section["gap"]["leaf"], section["gap"]["stop_leaf"], order.units),
        _ready(plan, section["air"], order.units),
        *_bond(plan),
        *_plates(plan),
        *_waits(order, design),
        _annealing(section["anneal"], order.units),
        *_tests(order, design),
    ]
    return [{"step": k, **row} for k, row in enumerate(rows, start=1)]


def _row(
    station: str, text: str, *, source: str, where: Sequence[str] = (), caution: Sequence[str] = (), **figures: Any
) -> Row:
    return {
        "station": station,
        "text": text,
        "where": list(where),
        "figures": figures,
        "cautions": [c.id for step in caution for c in cautions_for(step)],
        "source": source,
    }


def _edges(order: Order, design: Design, plan: BondingPlan) -> Iterator[Row]:
    pieces = list(dict.fromkeys(n for s in plan.seams for n in (s.seam.a, s.seam.b)))
    yield _row(
        "edges",
        "Leave an edge that came smooth and square from a sharp saw or cutter. Scrape any other, or wet-sand it on a "
        "flat block, square to the faces, until the saw marks are gone. Leave the faces of the sheet as they are.",
        where=pieces, caution=("edges",), source=_MANUAL,
    )  # fmt: skip
    yield _row(
        "edges",
        "Never flame- or buff-polish an edge that will be bonded, and never sand it dry on a belt: it is rounded or under "
        "stress and crazes when solvent comes.",
        source=_MANUAL,
    )  # fmt: skip
    heated = [n for n in pieces if (design.instance(n).piece.process or order.cutting.process) in _HEATED]
    if heated and order.cutting.edge == "as-cut":
        yield _row(
            "edges",
            "These edges were lasered or snapped: machine or anneal them first. No solvent on them as they are.",
            where=heated,
            source=_MANUAL,
        )
    peel = figure("peel_back")
    yield _row(
        "edges",
        f"Turn the masking film back {mark_length(peel.value, order.units)} from every seam, on both faces; leave the rest "
        "on. Wipe dry with a clean lint-free cloth; no fingers, no spirit.",
        where=pieces, source=plain(peel)["source"], peel_back=plain(peel),
    )  # fmt: skip


def _tape(design: Design, plan: BondingPlan, leaf_mm: float, stop_mm: float, unit: LengthUnit) -> Iterator[Row]:
    if plan.taped:
        pitch = figure("tape_tab_pitch")
        yield _row(
            "tape",
            "Put these pieces together dry on a flat bench and tape them: on the outside only, for solvent creeps under "
            f"tape and marks the face. Tabs pulled across each seam every {mark_length(pitch.value, unit)}, then one length "
            "along it; where the needle must come from outside, tabs only. Fold the ends over to pull by. Force nothing.",
            where=plan.taped, source=plain(pitch)["source"], tape_m=plan.tape_m,
        )  # fmt: skip
    yield _row(
        "tape",
        f"Try every seam with a feeler gauge: the {gauge_length(leaf_mm, unit)} leaf must not go in anywhere. Where it does, "
        f"tape again or dress the edge. Where the {gauge_length(stop_mm, unit)} leaf goes in, stop: thin solvent will not "
        "close it.",
        where=[s.seam.id for s in plan.seams if s.kind != "plate"],
        source=plain(figure("leaf_step"))["source"], leaf_mm=leaf_mm, stop_leaf_mm=stop_mm,
    )  # fmt: skip
    captive = [s.seam.id for s in plan.seams if s.fit.gap.captive]
    if captive:
        yield _row(
            "tape",
            "Tape cannot close these: their space is set by other pieces. Try them first and with most care.",
            where=captive,
            source="computed: tolerance loops of the dry fit",
        )
    space = inside_box(design)
    if space is not None:
        length, width, _ = (b - a for a, b in zip(*space, strict=True))
        may = figure("diagonals")
        across = (length**2 + width**2) ** 0.5
        yield _row(
            "tape",
            f"Measure both diagonals inside the rim: {mark_length(across, unit)} each, alike within "
            f"{mark_length(may.value, unit)}. The rim lies flat.",
            source=plain(may)["source"], diagonal_mm=across, alike_within=plain(may),
        )  # fmt: skip


def _times(ratio: float) -> str:
    """How many times a limit: two figures, never with an exponent.

    >>> _times(0.123), _times(6.14), _times(110.8)
    ('0.12', '6.1', '111')
    """
    return f"{ratio:.2g}" if ratio < 10.0 else f"{ratio:.0f}"


def _ready(plan: BondingPlan, air: Mapping[str, Any], unit: LengthUnit) -> Row:
    warm, least, worst = figure("shop_temperature"), figure("shop_temperature_least"), air["worst"]
    return _row(
        "bond",
        f"Room at {warm.low:g} to {warm.high:g} C, never under {least.value:g} C. Draw {plan.draw_ml:g} mL into a syringe "
        f"with a blunt {gauge_length(figure('needle_bore').value, unit)} needle; try it on an offcut. If all of it evaporates, "
        f"a room of {air['room_m3']:g} m3 holds {worst['mean_ppm']:.3g} ppm over {worst['average']}, "
        f"{_times(worst['times_limit'])} times the limit of {worst['limit_ppm']:g} ppm ({worst['solvent']}), and more at the "
        "bench: exhaust at the seam, running.",
        source=plain(warm)["source"], caution=("solvent",), draw_mL=plan.draw_ml, temperature=plain(warm),
        needle=plain(figure("needle_bore")), exposure=worst,
    )  # fmt: skip


def _annealing(anneal: Mapping[str, Any], unit: LengthUnit) -> Row:
    cool = f", cooled over at least {anneal['cool_hours']:.3g} h" if anneal["cool_hours"] else ", cooled slowly"
    return _row(
        "wait",
        f"Annealing, for what moves or stays filled: {anneal['hours']:.3g} h at {anneal['temperature']['value']:g} C for "
        f"{write_named(anneal['thickness'], unit)}{cool}, out below {anneal['out_below']['value']:g} C. Another source says "
        f"{anneal['hours_other_source']:.3g} h: the longer is taken.",
        source=anneal["time"]["source"], caution=("oven",), hours=anneal["hours"],
    )  # fmt: skip


def _bond(plan: BondingPlan) -> Iterator[Row]:
    rows = [s for s in plan.seams if s.kind != "plate"]
    for (down, _, feed), group in groupby(rows, key=lambda s: (s.down, s.floor, s.feed)):
        yield _seam_group(down, feed, list(group))
    if rows:
        yield _tape_off()


def _seam_group(down: str | None, feed: str, seams: Sequence[SeamPlan]) -> Row:
    lie = f"Lay it down on {down}" if down else "Stand it so that the round seam lies level"
    side = (
        "From inside, run the needle along the corner"
        if feed == "inside"
        else "From outside, between the tabs, touch the needle to the seam and move along"
    )
    names = ", ".join(f"{s.seam.a} to {s.seam.b} ({s.seam.id}, {s.ml:.2f} mL)" for s in seams)
    return _row(
        "bond",
        f"{lie}: {names}. {side} without stopping and let the seam drink; one side only, no more than it takes. Dab a "
        "run off at once, do not wipe.",
        where=[s.seam.id for s in seams], source=_MANUAL, caution=("solvent",), mL=sum(s.ml for s in seams),
    )  # fmt: skip


def _tape_off() -> Row:
    off, first = wait("tape-off"), wait("set")
    return _row(
        "wait",
        f"Move nothing. After {60 * off.value:.0f} min take the tape off, look at every seam against a light, and refill "
        "with the needle what stayed dry or shows bubbles; once only.",
        source=plain(off)["source"], tape_off=plain(off), first_set=plain(first),
    )  # fmt: skip


def _plates(plan: BondingPlan) -> Iterator[Row]:
    seams = [s for s in plan.seams if s.kind == "plate"]
    for down, group in groupby(seams, key=lambda s: s.down):
        rows = list(group)
        plates = [s.seam.a if s.seam.b == down else s.seam.b for s in rows]
        yield _row(
            "bond",
            f"Attachment plates last. Turn the work so that the outside of {down} faces up and is level. Mark each place, "
            "set the plate with a square against two stops, bolt a straight bar to plates that share a grid. Solvent at "
            "the edges, from one side, until it shows all round; then a light weight, no clamp. "
            "Keep it out of tapped holes: a thread that got wet counts as lost.",
            where=[*plates, *(s.seam.id for s in rows)], source=_PRACTICE, caution=("solvent",), mL=sum(s.ml for s in rows),
        )  # fmt: skip
    if seams:
        yield _row(
            "wait",
            f"Leave the weight on and the plates alone for {60 * wait('tape-off').value:.0f} min; look for dry spots "
            "through the plate and mark their share of the area.",
            source=_PRACTICE, tape_off=plain(wait("tape-off")),
        )  # fmt: skip


def _waits(order: Order, design: Design) -> Iterator[Row]:
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
        yield _row("wait", f"{long}: {wait_says(name)}", source=plain(time)["source"], after=plain(time))


def _tests(order: Order, design: Design) -> Iterator[Row]:
    steps = steps_of(order, design)
    still = [step for step in ("gas-pressure", "water-load", "water-mains") if step in steps]
    moving = [step for step in ("water-mains", "moving-rig", "pneumatics", "rotating") if step in steps]
    for stage in proof_stages(order, design):
        yield _row(
            "test", f"{stage.text} Passed when: {stage.passes}. Sign.", source=_PRACTICE, where=[stage.case],
            caution=still if stage.part_of_speed is None else moving, stage=stage.number, earliest_h=stage.earliest_h,
        )  # fmt: skip
