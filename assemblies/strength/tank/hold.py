"""Will it hold: the liquid in it, its weight and balance, and the strength of every panel, seam and plate."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from assemblies.design.mass import Body, combine, piece_body
from assemblies.design.model import Design
from assemblies.liquid import capacity, settle, volume_for_depth
from assemblies.liquid.fluids import Fluid, fluid, own_fluid
from assemblies.liquid.handling import carry_findings
from assemblies.order import Order
from assemblies.strength.bonds.allowed import environment
from assemblies.strength.proof.cases import LoadedCases, load_cases
from assemblies.strength.proof.liquid_rows import liquid_section
from assemblies.strength.proof.uses import Loaded, Proof, SeamUse, Settings, Use
from assemblies.strength.tank.bow import proof_findings, unproven, unresolved_panels
from assemblies.strength.tank.good_for import Asked, good_for, probes
from assemblies.strength.tank.prove import prove
from assemblies.strength.tank.rows import strength_section
from assemblies.strength.tank.scope import known_liquid, liquid_findings, outside_method, sound, taken
from assemblies.strength.tank.sheet import sheet_findings
from parts.findings import Finding, NotCovered, SeamwrightError, worst

__all__ = ["Held", "hold", "outside_box", "proof_of", "use_at_fills", "use_at_motions"]


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
        environment=environment(order.liquid.temperature if order.liquid else 20.0, known=known_liquid(order)),
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
        depth = cavity.depth_mm
        if fill.depth_mm > depth + 1e-9:
            raise order.refuse(
                ("liquid", "fill"), f"{fill.depth_mm:g} mm is deeper than the inside", f"0 to {depth:g} mm"
            )
        try:
            volume = volume_for_depth(cavity, min(fill.depth_mm, depth)) if fill.depth_mm > 0 else 0.0
        except SeamwrightError as error:
            what = f"{fill.depth_mm:g} mm is over the lowest brim or overflow"
            raise order.refuse(("liquid", "fill"), what, f"0 to {most / 1e6:.3f} L") from error
    if volume > most * (1.0 + 1e-9):
        raise order.refuse(
            ("liquid", "fill"),
            f"{volume / 1e6:.3f} L is over what it holds to its lowest brim or overflow",
            f"0 to {most / 1e6:.3f} L",
        )
    return min(volume, most), most


@dataclass(frozen=True, kw_only=True)
class _Given:
    """What every proof of an order and a design starts from."""

    fluid: Fluid
    volume_mm3: float
    most_mm3: float
    dry: Body
    loaded: LoadedCases

    def asked(self, design: Design, settings: Settings) -> Asked:
        """The same as `good_for` takes it."""
        return Asked(
            design=design,
            settings=settings,
            volume_mm3=self.volume_mm3,
            most_mm3=self.most_mm3,
            density=self.fluid.density_kg_m3,
            dry=self.dry,
        )


def _given(order: Order, design: Design) -> _Given:
    liquid = _fluid(order)
    volume, most = fill_mm3(order, design)
    dry = combine(piece_body(p) for p in design.placed)
    loaded = load_cases(design.cavities[0], volume, most, liquid.density_kg_m3, dry, order.case)
    return _Given(fluid=liquid, volume_mm3=volume, most_mm3=most, dry=dry, loaded=loaded)


def hold(order: Order, design: Design, proof: Proof | None = None) -> Held:
    """Prove that the design holds its liquid in every case of the order.

    Args:
        order, design: what was ordered and built.
        proof: of this very design, with its probes, where choosing its thickness has solved it already.

    Raises:
        OrderError: a liquid or fill that cannot be, a limit over the method's own.
    """
    if len(design.cavities) != 1:
        return _not_covered(f"{design.kind}: the box method needs one cavity")
    given, settings = _given(order, design), settings_of(order)
    section, said = liquid_section(
        design,
        given.fluid,
        given.volume_mm3,
        given.most_mm3,
        given.dry,
        given.loaded,
        assumed=order.liquid is None,
    )
    asked = given.asked(design, settings)
    outside = [*_scope(order, design, given), *given.loaded.outside]
    findings: list[Finding] = [*outside, *given.loaded.findings, *liquid_findings(order, given.loaded), *said]
    unsound = tuple(sound(order, design))
    findings += [*taken(order, section), *unsound, *_carry(section)]
    try:
        proof = proof or prove(design, given.loaded.cases, settings, probes(asked))
    except NotCovered as error:
        return _not_covered(str(error), section, findings)
    far = unproven(design, proof)
    outside += (*far, *unresolved_panels(proof))
    findings += [*proof_findings(design, proof), *far, *sheet_findings(order, design, proof)]
    strength = strength_section(design, proof)
    strength |= {"good_for": vars(good_for(asked, proof)), "covered": not outside}
    state = "not-covered" if outside else "passed"  # where the method ends, its figures fail nothing either
    if any(f.level == "stop" and f.check == "strength" for f in (findings if not outside else unsound)):
        state = "failed"
    spills = worst([f for f in findings if f.check == "liquid"]) == "stop"
    wet = "failed" if spills else "not-covered" if given.loaded.outside else "passed"
    return Held(
        checks={"strength": state, "liquid": wet},
        findings=tuple(findings),
        liquid=section,
        strength=strength,
        proof=proof,
    )


def outside_box(order: Order, design: Design) -> tuple[Finding, ...]:
    """What of a design and its cases the method does not reach, as far as that is known without a proof."""
    given = _given(order, design)
    return *_scope(order, design, given), *given.loaded.outside


def _scope(order: Order, design: Design, given: _Given) -> list[Finding]:
    brim = settle(design.cavities[0], given.most_mm3)
    return outside_method(order, design, given.most_mm3, brim.level_mm - brim.lowest_mm)


def _carry(section: Mapping[str, Any]) -> tuple[Finding, ...]:
    """What is to be known before it is lifted. Of a liquid that is only taken, `taken` says that it spills."""
    wet, brim = section["fill_L"] > 0.0 and section["open"], section["full_to"] == "brim"
    return carry_findings(
        section["mass_full"],
        part_filled=wet and not brim,
        empty_kg=section["mass_empty"],
        brim_full=wet and brim and not section["assumed"],
    )


def proof_of(order: Order, design: Design, *, probing: bool = False, orders: tuple[int, ...] = (0, 1)) -> Proof:
    """The proof alone, for choosing a thickness.

    Args:
        probing: add what `hold` wants to know of the chosen one.
        orders: as in `box_cases`; of one order alone it is no proof, only a look at what it may come to.
    """
    given, settings = _given(order, design), settings_of(order)
    probed = probes(given.asked(design, settings)) if probing else ()
    return prove(design, given.loaded.cases, settings, probed, orders=orders)


def use_at_fills(order: Order, design: Design, parts: Sequence[float]) -> list[float]:
    """The greatest use of panels and seams when it is filled with these shares of the ordered volume, an overflow standing
    at each fill; infinite where that is not covered; all in one solution."""
    given = _given(order, design)
    density = given.fluid.density_kg_m3
    cases: list[Loaded] = []
    covered: list[bool] = []
    for k, part in enumerate(parts):
        volume = part * given.volume_mm3
        one = load_cases(design.cavities[0], volume, volume, density, given.dry, order.case)
        cases += [replace(case, name=f"{k}") for case in one.cases]
        # at a sudden start liquid leaves by that overflow at once
        covered.append(not one.outside and all(c.load.dynamic_factor == 1.0 for c in one.cases))
    return _greatest(prove(design, cases, settings_of(order)), covered)


def use_at_motions(order: Order, design: Design, parts: Sequence[float]) -> list[float]:
    """The same with the ordered fill, when it is pushed with these shares of the ordered accelerations."""
    given = _given(order, design)
    cases: list[Loaded] = []
    covered: list[bool] = []
    for k, part in enumerate(parts):
        specs = [
            c if c.acceleration is None else c.model_copy(update={"acceleration": c.acceleration * part})
            for c in order.case
        ]
        one = load_cases(
            design.cavities[0], given.volume_mm3, given.most_mm3, given.fluid.density_kg_m3, given.dry, specs
        )
        cases += [replace(case, name=f"{k}") for case in one.cases]
        covered.append(not one.outside)
    return _greatest(prove(design, cases, settings_of(order)), covered)


def _greatest(proof: Proof, covered: Sequence[bool]) -> list[float]:
    found = [0.0 if one else math.inf for one in covered]
    everything: list[Use | SeamUse] = [*proof.uses, *proof.seams]
    for one in everything:
        found[int(one.case)] = max(found[int(one.case)], one.use)
    return found


def _not_covered(why: str, section: Mapping[str, Any] | None = None, said: list[Finding] | None = None) -> Held:
    finding = Finding(
        level="care",
        check="strength",
        where="whole",
        why=why,
        do="have it proven another way",
        source="judgement: limit of this method",
    )
    findings = [finding, *(said or [])]
    wet = "failed" if worst([f for f in findings if f.check == "liquid"]) == "stop" else "passed"
    states = {"strength": "not-covered", "liquid": "not-covered" if section is None else wet}
    return Held(checks=states, findings=tuple(findings), liquid=section or {}, strength={}, proof=None)
