"""The checks of a round tank's strength: what loads it, and the proof."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from assemblies.report.blocks import Block, Figure, Figures, Report
from assemblies.report.check import Check, Checked, Made, Rows, SectionOf, State, not_covered
from assemblies.report.figures import amount
from assemblies.strength.proof.checks import without_loads
from assemblies.strength.proof.sections import load_blocks
from parts.findings import Finding, NotCovered, Taken
from parts.lengths import LengthUnit
from parts.shape.outline import Circle
from parts.stock.material import Stay
from parts.stock.tube import TubeCut, tube_tolerance

if TYPE_CHECKING:
    from assemblies.design import Design
    from assemblies.strength.proof.figures import GoodFor, Strength
    from assemblies.strength.proof.loads import Loads
    from assemblies.strength.proof.uses import Loaded, Proof, SeamUse, Use
    from assemblies.strength.round.lid import Cover
    from assemblies.strength.round.prove import RoundTank

__all__ = ["LOADS", "STRENGTH", "round_tank_of"]

_UPRIGHT = 1e-9  # of a direction's parts aside
_ABOVE: Final = ("tube", "ring", "lid", "trough-")  # pieces that stand on the base
_STEPS: Final = 24  # of halving the largest fill


def _loads(made: Made) -> Checked:
    from assemblies.liquid.state import filled
    from assemblies.strength.inner.trough import far_out
    from assemblies.strength.proof.cases import load_cases, standing_of
    from assemblies.strength.proof.loads import Loads, settings_of

    order, design = made.order, made.design
    given = filled(order, design)
    cases = load_cases(
        given.cavity,
        given.volume_mm3,
        given.most_mm3,
        given.fluid.density_kg_m3,
        given.empty,
        order.case,
        standing_of(order.liquid),
    )
    outside = tuple(
        not_covered("strength", why) for why in _outside(made, given.most_mm3, given.brim_depth_mm, cases.cases)
    )
    loads = Loads(
        order=order,
        design=design,
        filled=given,
        settings=settings_of(order),
        cases=cases,
        outside=(*outside, *far_out(design, given.fluid.density_kg_m3), *cases.outside),
    )
    said = tuple(_vent(f) for f in (*loads.outside, *cases.findings))
    return Checked(state="not-covered" if loads.outside else "passed", findings=said, figures=loads)


def _vent(finding: Finding) -> Finding:
    """The missing vent by the key of a round tank."""
    remedy = finding.remedy
    if remedy is None or remedy.change != "vent":
        return finding
    return replace(finding, do=f"a vent through the middle of the lid: [round-tank] vent = {remedy.least[0]:g} or more")


def _outside(made: Made, most_mm3: float, brim_mm: float, cases: tuple[Loaded, ...]) -> Iterator[str]:
    """Why no pass may be given, whatever the figures."""
    from assemblies.strength.bonds.allowed import factor_of

    support = made.order.support
    if support is not None and support.kind == "hung":
        yield "a round tank that hangs: what holds it by its rim is not calculated"
    if most_mm3 > factor_of("largest_volume") * 1e6:
        yield f"it holds {most_mm3 / 1e6:.0f} L; the method ends at {factor_of('largest_volume'):g} L"
    if brim_mm > factor_of("largest_head"):
        yield f"it is {brim_mm:.0f} mm deep; the method ends at {factor_of('largest_head'):g} mm"
    for name in dict.fromkeys(case.name for case in cases if not _evenly(case)):
        yield (
            f"{name}: liquid that is tilted or pushed aside does not press evenly around the wall; at rest, turning and thrown "
            "straight up it is covered here"
        )
    if support is None or support.kind != "plates":
        for name in dict.fromkeys(case.name for case in cases if case.load.effective[2] >= 0.0):
            yield f"{name}: it is stopped harder than gravity and only stands on what carries it: nothing holds it down"


def _evenly(case: Loaded) -> bool:
    """Whether its load is the same all around."""
    x, y, z = case.load.effective
    return math.hypot(x, y) <= _UPRIGHT * abs(z)


LOADS: Final = Check(
    name="loads", run=_loads, questions=("hold",), rows=lambda made, loads: {"liquid": {}, "strength": {}}
)


def round_tank_of(design: Design, loads: Loads) -> RoundTank:
    """What is proven: sheet and tube as thin as they may come, the base as wide as it may be.

    Raises:
        NotCovered: pieces that are no round tank.
    """
    from assemblies.strength.bonds.allowed import factor_of
    from assemblies.strength.round.prove import G_M_S2, RoundTank

    placed = {p.name: p for p in design.placed}
    if not {"base", "tube"} <= set(placed) or not isinstance(placed["tube"].piece.sheet, TubeCut):
        raise NotCovered(f"{design.kind}: this method is for a tube bonded to a disc")
    spec, tube = loads.order.table, placed["tube"].piece.sheet.tube
    read = getattr(spec, "measured_wall", ())
    from_sheet, rolled = placed["tube"].piece.sheet.rolled, getattr(spec, "rolled", None)
    least = from_sheet.sheet.thickness_range_mm[0] if from_sheet else tube.wall_mm - tube_tolerance(tube)[1]
    wall = min(read) if read else least
    base, kind = placed["base"].piece, loads.order.support.kind if loads.order.support else "flat"
    thin = base.sheet.thickness_range_mm[0]
    flange, motor = getattr(spec, "flange", None), getattr(spec, "motor", None)
    middle = (tube.inside_mm + wall) / 2.0
    spans = None if kind == "flat" else flange.circle / 2.0 if kind == "plates" and flange else middle
    deep = max((one.depth_mm for one in base.pockets), default=0.0)
    pad = None
    if design.releases:
        plate = placed[design.releases[0].plate].piece
        pad, spans = (min(plate.size_mm[:2]) / 2.0, plate.thickness_mm), None
    return RoundTank(
        bore=tube.inside_mm,
        wall=wall,
        base=thin,
        floor=base.thickness_mm,
        spans=spans,
        pad=pad,
        tube=tube.substance,
        disc=base.sheet.substance,
        flange=base.size_mm[0] > tube.outside_mm + 2.0 * tube.wall_mm,
        inset=abs(placed["tube"].origin[2]) < 1e-9,
        groove=deep,
        hole="drain-boss" in placed,
        boss=motor.boss / 2.0 if motor else 0.0,
        motor_n=motor.mass * G_M_S2 if motor else 0.0,
        lid=placed["lid"].piece.sheet.thickness_range_mm[0] if "lid" in placed else 0.0,
        cover=_cover(design, wall),
        density=loads.filled.fluid.density_kg_m3,
        seam=(rolled.joint or loads.settings.joint) if rolled else 0.0,
        peak=(factor_of("seam_peaking") if rolled.peak is None else rolled.peak) if rolled else 0.0,
        bolts=_bolts(design),
        above_kg=math.fsum(loads.filled.bodies[name].mass_kg for name in placed if name.startswith(_ABOVE)),
    )


def _bolts(design: Design) -> tuple[int, float, float] | None:
    """Those of the flange: how many, their washers (twice their width: ISO 7089, from memory) and their holes."""
    from parts.stock.thread import clearance, thread

    found = next((one for one in design.fasteners if one.piece == "base"), None)
    if found is None:
        return None
    screw = thread(found.thread)
    return found.count, 2.0 * screw.major_mm, clearance(screw).diameter_mm


def _cover(design: Design, wall: float) -> Cover | None:
    """A lid that is screwed on, and what to; None where none is."""
    from assemblies.strength.round.lid import Cover
    from parts.shape.tapped import full_thread_mm
    from parts.stock.thread import clearance, thread

    screws = next((one for one in design.fasteners if one.piece == "lid"), None)
    if screws is None:
        return None
    lid, ring, tube = (design.instance(name).piece for name in ("lid", "ring", "tube"))
    thin, hole, screw = ring.sheet.thickness_range_mm[0], ring.holes[0], thread(screws.thread)
    half = ring.size_mm[0] / 2.0
    vent = max((loop.radius_mm for loop in lid.outline.inner if isinstance(loop, Circle)), default=0.0)
    outside = tube.size_mm[0] / 2.0
    return Cover(
        lid=lid.sheet.thickness_range_mm[0],
        ring=thin,
        circle=math.hypot(hole.x_mm - half, hole.y_mm - half),
        edge=half,
        middle=outside - wall / 2.0,
        outside=outside,
        wall=wall,
        count=screws.count,
        screw=screw.major_mm,
        hole=clearance(screw).diameter_mm,
        thread_mm2=screw.internal_shear_area_mm2(full_thread_mm(hole, thin)),
        vent=vent,
        sheet=min((lid.sheet.substance, ring.sheet.substance), key=lambda m: m.design_stress("permanent").value),
    )


def _strength(made: Made) -> Checked:
    from assemblies.strength.inner.trough import no_handles
    from assemblies.strength.proof.figures import Strength
    from assemblies.strength.proof.loads import Loads
    from assemblies.strength.proof.taken import strength_taken
    from assemblies.strength.round.prove import prove

    loads = made.of(Loads)
    if loads is None:
        return without_loads(made)
    tank = round_tank_of(made.design, loads)
    cases = [case for case in loads.cases.cases if _evenly(case)]
    proof = prove(tank, cases, loads.settings)
    proof = replace(proof, seams=(*proof.seams, *_troughs(made.design, tank, cases, loads)))
    said = [*_over(proof), *no_handles(made.design)]
    stops = [f for f in said if f.level == "stop"]
    far = [not_covered("strength", why) for why in _too_soft(tank, proof)]
    outside = bool(loads.outside or far)
    figures = Strength(
        proof=proof, good_for=_good_for(tank, loads), covered=not outside, beyond=frozenset(), tightening=()
    )
    state: State = "failed" if stops else "not-covered" if outside else "passed"
    taken = (*strength_taken(made.order, made.design), *_taken(made, tank))
    return Checked(state=state, findings=(*said, *far), figures=figures, taken=taken)


def _troughs(design: Design, tank: RoundTank, cases: Sequence[Loaded], loads: Loads) -> Iterator[SeamUse]:
    """The bond of a trough on the tube; where thickened cement fills what thin solvent does not bridge, it counts as what is
    bonded and not yet inspected."""
    from assemblies.fit.curved import SADDLE
    from assemblies.fit.seams import seams
    from assemblies.strength.bonds.allowed import allowed_stress
    from assemblies.strength.inner.trough import trough_uses, troughs_of
    from parts.stock.rules import rule

    troughs, given = troughs_of(design), loads.settings
    if not troughs:
        return
    filled = any(seam.gap_mm > rule("gap_ok") for seam in seams(design) if seam.kind == SADDLE)
    joint = given.joint * (given.bonded if filled else 1.0)
    sheet = design.instance(f"{troughs[0].name}-floor").piece.sheet.substance
    for case in cases:
        stays = case.load.duration
        weaker = min((tank.tube, sheet), key=lambda m: m.design_stress(stays).value)
        allowed = allowed_stress(weaker, stays, environment=given.environment, joint=joint, factor=given.factor)
        yield from trough_uses(troughs, case, allowed)


def _too_soft(tank: RoundTank, proof: Proof) -> Iterator[str]:
    """A base or lid that bows by more than half of its thickness: the plate is no thin one of small deflection."""
    from assemblies.strength.round.prove import LIFTED

    for piece, thick in (("base", tank.base), ("lid", tank.lid)):
        most = max((u.deflection for u in proof.uses if u.piece == piece and u.case != LIFTED), default=0.0)
        if thick and most > thick / 2.0:
            yield f"the {piece} bows {most:.2f} mm, over half of its {thick:.2f} mm: the method ends there"


def _over(proof: Proof) -> Iterator[Finding]:
    """What is over its limit, each place by its worst case; of a tank that is lifted only, a caution."""
    from assemblies.strength.round.prove import LIFTED

    worst: dict[tuple[str, bool], Use | SeamUse] = {}
    every: list[Use | SeamUse] = [*proof.uses, *proof.seams]
    for one in every:
        where = str(getattr(one, "piece", None) or getattr(one, "seam", ""))
        key = (where, one.case == LIFTED)
        if one.use > 1.0 and (key not in worst or one.use > worst[key].use):
            worst[key] = one
    for (where, lifted), one in worst.items():
        stress = getattr(one, "combined", None) or getattr(one, "stress", 0.0)
        bows = getattr(one, "governs", "stress") == "deflection"
        figures = (
            f"bows {one.deflection:.2f} mm of {one.allowed_deflection:.2f} mm allowed"  # type: ignore[union-attr]
            if bows
            else f"{stress:.2f} MPa of {one.allowed.value:.2f} MPa allowed"
        )
        yield Finding(
            level="care" if lifted else "stop",
            check="strength",
            where=where,
            why=f"{one.case}: {figures}",
            do="empty it before it is lifted"
            if lifted
            else "a thicker base, a thicker wall, less liquid, or a base that lies flat on what it stands on",
            source="computed: shell and plate of revolution, see the section on loads",
        )


def _good_for(tank: RoundTank, loads: Loads) -> GoodFor:
    """The fill that may stay for good; a round tank is proven at rest alone, so it may be neither pushed nor tilted full."""
    from assemblies.strength.proof.figures import GoodFor
    from assemblies.strength.round.prove import Prover

    prover, brim = Prover(tank, loads.settings), loads.filled.brim_depth_mm

    def holds(depth: float) -> bool:
        uses, seams = prover.at("fill", "permanent", tank, depth)
        return max([u.use for u in uses] + [s.use for s in seams], default=0.0) <= 1.0

    low, high = 0.0, brim
    for _ in range(0 if holds(brim) else _STEPS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if holds(middle) else (low, middle)
    depth = brim if high == brim else low
    litres = min(math.pi / 4.0 * tank.bore**2 * depth, loads.filled.most_mm3) / 1e6
    return GoodFor(
        fill_l=litres,
        acceleration_m_s2=0.0,
        tilt_deg=0.0,
        dry_acceleration_m_s2=None,
        dry_tilt_deg=loads.filled.pours_at_deg,
    )


def _taken(made: Made, tank: RoundTank) -> Iterator[Taken]:
    spec = made.order.table
    if not getattr(spec, "measured_wall", ()):
        drawn = next(p.piece.sheet.tube.wall_mm for p in made.design.placed if isinstance(p.piece.sheet, TubeCut))
        yield Taken(
            what="readings of the tube",
            value=tank.wall,
            unit="mm",
            why="its wall is proven as thin as tube may come",
            say="[round-tank] measured-outside, measured-wall",
            weight=(drawn / tank.wall) ** 2,
        )


def _rows(made: Made, strength: Strength) -> Rows:
    from assemblies.strength.proof.loads import Loads
    from assemblies.strength.proof.rows import strength_rows
    from assemblies.strength.round.prove import Prover

    rows = strength_rows(made, strength)
    section = dict(rows["strength"])
    section["good_for"] = {**section["good_for"], "acceleration_m_s2": None, "tilt_deg": None}  # neither was looked at
    loads = made.of(Loads)
    if loads is not None and any(one.piece == "lid" for one in made.design.fasteners):
        prover = Prover(round_tank_of(made.design, loads), loads.settings)
        section["lid_bears_n"] = {stay: prover.lid_bears_n(stay) for stay in LID_STAYS}
    return {"strength": section}


def _blocks(report: Report, unit: LengthUnit = "mm") -> Iterator[Block]:
    """Loads, and how hard the lid may be pushed up."""
    yield from load_blocks(report, unit)
    bears = report.get("strength", {}).get("lid_bears_n")
    if bears:
        yield Figures(
            items=[
                Figure(
                    label=f"The screwed lid bears a lift from beneath, for {stay}",
                    value=amount(n, "N", 0),
                    why=_LID_WHY,
                )
                for stay, n in bears.items()
            ]
        )


LID_STAYS: Final[tuple[Stay, ...]] = ("minutes", "permanent")
_LID_WHY: Final = "the least of lid, screws' threads, ring and the ring's seam, each by an upper bound of its stress"


STRENGTH: Final = Check(
    name="strength",
    run=_strength,
    after=("loads", "liquid"),
    questions=("hold",),
    rows=_rows,
    sections=(SectionOf(id="loads", station="plan", title="Loads", blocks=_blocks, before="liquid"),),
)
