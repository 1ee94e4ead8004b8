"""Will it hold: the liquid in it, its weight and balance, and the strength of every panel, seam and plate."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from assemblies.design import Design
from assemblies.hold_rows import liquid_section, strength_section
from assemblies.liquid import capacity, volume_for_depth
from assemblies.liquid.fluids import Fluid, crazing_finding, fluid, own_fluid
from assemblies.liquid.handling import carry_findings
from assemblies.liquid.rigid import combine, piece_body
from assemblies.order import Order
from assemblies.strength.allowed import environment, factor_of, factor_source
from assemblies.strength.cases import LoadedCases, load_cases
from assemblies.strength.good_for import good_for
from assemblies.strength.prove import Proof, Settings, prove
from parts.findings import Finding, NotCovered, SeamwrightError, worst

__all__ = ["Held", "hold", "proof_of"]

_MOVING = ("slide", "turn", "spin", "launch", "carry")


@dataclass(frozen=True, kw_only=True)
class Held:
    """What came of it: states of the checks, findings, and the report's sections."""

    checks: Mapping[str, str]
    findings: tuple[Finding, ...]
    liquid: Mapping[str, Any]
    strength: Mapping[str, Any]
    proof: Proof | None

    @property
    def passed(self) -> bool:
        return all(state == "passed" for state in self.checks.values())


def settings_of(order: Order) -> Settings:
    """What the order asks of the proof."""
    limits, support = order.limits, order.support
    given: dict[str, Any] = {} if limits.joint is None else {"joint": limits.joint}
    return Settings(
        support=support.kind if support else "flat",
        factor=limits.factor,
        bonded=limits.bonded_area,
        environment=environment(order.liquid.temperature if order.liquid else 20.0),
        deflection_of_span=limits.deflection.of_span,
        deflection_mm=limits.deflection.mm,
        **given,
    )


def _fluid(order: Order) -> Fluid:
    """The order's liquid.

    Raises:
        OrderError: a liquid that is not in the table and has no figures, or one outside its temperatures.
    """
    liquid = order.liquid
    if liquid is None:
        return fluid("water")
    try:
        if liquid.density is not None:
            return own_fluid(liquid.name, liquid.density, liquid.viscosity or 1.0, liquid.temperature)
        return fluid(liquid.name, liquid.temperature)
    except SeamwrightError as error:
        raise order.refuse(("liquid", "name"), str(error), "a liquid of the table, or its density") from error


def fill_mm3(order: Order, design: Design) -> tuple[float, float]:
    """The volume it is filled with, and the most it holds at rest (mm3).

    Raises:
        OrderError: a fill over the lowest brim or overflow.
    """
    cavity = design.cavities[0]
    most = capacity(cavity)
    if order.liquid is None:
        return most, most
    fill = order.liquid.fill
    if fill.volume_l is not None:
        volume = fill.volume_l * 1e6
    else:
        assert fill.depth_mm is not None
        depth = max(c[2] for f in cavity.faces for c in f.corners) - min(c[2] for f in cavity.faces for c in f.corners)
        if fill.depth_mm > depth + 1e-9:
            raise order.refuse(
                ("liquid", "fill"), f"{fill.depth_mm:g} mm is deeper than the inside", f"0 to {depth:g} mm"
            )
        volume = volume_for_depth(cavity, min(fill.depth_mm, depth)) if fill.depth_mm > 0 else 0.0
    if volume > most * (1.0 + 1e-9):
        raise order.refuse(
            ("liquid", "fill"),
            f"{volume / 1e6:.3f} L is over what it holds to its lowest brim or overflow",
            f"0 to {most / 1e6:.3f} L",
        )
    return min(volume, most), most


def hold(order: Order, design: Design) -> Held:
    """Prove that the design holds its liquid in every case of the order.

    Raises:
        OrderError: a liquid or fill that cannot be.
    """
    if len(design.cavities) != 1:
        return _not_covered(f"{design.kind}: the box method needs one cavity")
    liquid = _fluid(order)
    volume, most = fill_mm3(order, design)
    dry = combine(piece_body(p) for p in design.placed)
    loaded = load_cases(design.cavities[0], volume, most, liquid.density_kg_m3, dry, order.case)
    section, depth = liquid_section(design, liquid, volume, most, dry, loaded)
    outside = [*_outside_method(order, design, most, depth), *loaded.findings]
    findings: list[Finding] = [*outside, *_liquid_findings(order, loaded), *_edge_findings(order, design)]
    findings += _retention(order)
    findings += carry_findings(section["mass_full"], part_filled=0.0 < volume < most)
    try:
        proof = prove(design, loaded.cases, settings_of(order))
    except NotCovered as error:
        return _not_covered(str(error), section)
    findings += [*proof.findings, *_thin_sheet(design, proof)]
    strength = strength_section(design, proof)
    strength["good_for"] = vars(
        good_for(design, settings_of(order), volume_mm3=volume, most_mm3=most, density=liquid.density_kg_m3, dry=dry)
    )
    failed = any(f.level == "stop" and f.check == "strength" for f in findings)
    state = "failed" if failed else "not-covered" if outside else "passed"
    wet = "failed" if worst([f for f in findings if f.check == "liquid"]) == "stop" else "passed"
    return Held(
        checks={"strength": state, "liquid": wet},
        findings=tuple(findings),
        liquid=section,
        strength=strength,
        proof=proof,
    )


def proof_of(order: Order, design: Design) -> Proof:
    """The proof alone, for choosing a thickness."""
    liquid = _fluid(order)
    volume, most = fill_mm3(order, design)
    dry = combine(piece_body(p) for p in design.placed)
    loaded = load_cases(design.cavities[0], volume, most, liquid.density_kg_m3, dry, order.case)
    return prove(design, loaded.cases, settings_of(order))


def _not_covered(why: str, section: Mapping[str, Any] | None = None) -> Held:
    finding = Finding(
        level="care",
        check="strength",
        where="whole",
        why=why,
        do="have it proven another way",
        source="limit of this method",
    )
    states = {"strength": "not-covered", "liquid": "not-covered" if section is None else "passed"}
    return Held(checks=states, findings=(finding,), liquid=section or {}, strength={}, proof=None)


def _outside_method(order: Order, design: Design, most_mm3: float, depth_mm: float) -> list[Finding]:
    """Where no pass is given, and who decides."""
    why: list[str] = []
    liquid = order.liquid
    sheet = design.instance("bottom").piece.sheet if any(p.name == "bottom" for p in design.placed) else None
    if most_mm3 / 1e6 > factor_of("largest_volume"):
        why.append(f"it holds {most_mm3 / 1e6:.0f} L, over {factor_of('largest_volume'):.0f} L")
    if depth_mm > factor_of("largest_head"):
        why.append(f"{depth_mm:.0f} mm of liquid, over {factor_of('largest_head'):.0f} mm")
    if liquid is not None and sheet is not None:
        most = sheet.substance.figure("service_temperature").value
        if liquid.temperature > most:
            why.append(f"{liquid.temperature:g} C is over the sheet's service temperature of {most:g} C")
    if not design.cavities[0].lips and not any(p.open for p in design.cavities[0].ports):
        why.append("a sealed vessel: gas pressure is not in this method")
    if any(case.over_people for case in order.case):
        why.append("it hangs or moves over people")
    return [
        Finding(
            level="care",
            check="strength",
            where="whole",
            why=f"not covered: {text}",
            do="a chartered engineer or the authority that licenses such equipment decides; local codes come first",
            source=factor_source("largest_volume") if "over" in text else "limit of this method",
        )
        for text in why
    ]


def _liquid_findings(order: Order, loaded: LoadedCases) -> Iterator[Finding]:
    if order.liquid is not None and (bad := crazing_finding(order.liquid.name)) is not None:
        yield bad
    for name, litres in loaded.lost_l.items():
        if litres > 1e-6:
            spec = next((c for c in order.case if c.name == name), None)
            poured = spec is not None and spec.kind == "turn"
            yield Finding(
                level="note" if poured else "care",
                check="liquid",
                where=name,
                why=f"{litres:.3f} L leave over the rim",
                do="" if poured else "fill less, move more gently, or add a lid",
                source="free surface square to the effective gravity",
            )


def _edge_findings(order: Order, design: Design) -> Iterator[Finding]:
    """Edges that heat has stressed are no edges for a wet seam until machined or annealed."""
    if order.cutting.edge != "as-cut":
        return
    for placed in design.placed:
        process = placed.piece.process or order.cutting.process
        if process in ("laser", "score-and-snap") and placed.piece.kind in ("panel", "base"):
            yield Finding(
                level="stop",
                check="strength",
                where=placed.name,
                why=f"its edge is cut by {process}: stressed or uneven, it crazes or leaks in a wet seam",
                do='machine or anneal the edges and say so with edge = "machined" or "annealed" in [cutting]',
                source="sheet maker's fabrication manual, pages on cementing (secondary)",
            )


def _retention(order: Order) -> Iterator[Finding]:
    """What moves, hangs or stands over people on bond alone needs something that holds when the bond lets go."""
    support = order.support
    moving = [c.name for c in order.case if c.kind in _MOVING or c.over_people]
    hangs = support is not None and support.kind == "hung"
    how = "it hangs" if hangs else f"it moves in {', '.join(moving)}"
    if (moving or hangs) and (support is None or support.retention == "none"):
        yield Finding(
            level="stop",
            check="strength",
            where="support",
            why=f"{how} on bond alone, with nothing to hold it if a bond lets go",
            do='give [support] a retention: "through-bolts", "cradle" or "lanyard"',
            source="common practice, no source",
        )


def _thin_sheet(design: Design, proof: Proof) -> Iterator[Finding]:
    """What unmeasured sheet does at the least thickness its standard allows: stress with 1/t2, deflection with 1/t3."""
    worst_of: dict[str, float] = {}
    for use in proof.uses:
        sheet = design.instance(use.piece).piece.sheet
        if not sheet.is_measured:
            ratio = sheet.thickness_mm / sheet.thickness_range_mm[0]
            thin = max(use.stress / use.allowed.value * ratio**2, use.deflection / use.allowed_deflection * ratio**3)
            worst_of[use.piece] = max(worst_of.get(use.piece, 0.0), thin)
    over = {name: use for name, use in worst_of.items() if use > 1.0}
    if over and all(u.use <= 1.0 for u in proof.uses):
        name, most_used = max(over.items(), key=lambda item: item[1])
        least = design.instance(name).piece.sheet.thickness_range_mm[0]
        yield Finding(
            level="care",
            check="strength",
            where=", ".join(over),
            why=f"proven at the nominal thickness; sheet as thin as its standard allows ({least:.2f} mm) would be used to "
            f"{100 * most_used:.0f} % in {name}",
            do="measure the sheet and give the readings as `measured`",
            source="thickness tolerance of the sheet",
        )
