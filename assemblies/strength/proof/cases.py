"""From the order's cases to load cases with the mass they move."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from assemblies.design.mass import Body, combine
from assemblies.liquid.engine import G_MM_S2, Settled
from assemblies.liquid.loads import cases as liquid_cases
from assemblies.liquid.loads.cases import LiquidCase, Wave
from assemblies.liquid.rigid import liquid_body
from assemblies.liquid.shapes.cavity import Cavity
from assemblies.liquid.waves.modes import HIGHEST
from assemblies.motion.case_kinds import CASE_KINDS, way_of
from assemblies.order import CaseSpec, Liquid
from assemblies.strength.proof.uses import Loaded
from assemblies.strength.proof.vents import vent_finding
from parts.findings import Finding, NotCovered
from parts.stock.material import DURATIONS, Duration, Repeated, Stay, material

__all__ = [
    "BRIM",
    "OVERNIGHT",
    "STILL",
    "LoadedCases",
    "load_cases",
    "loaded",
    "standing_of",
    "stay_of",
    "stop_given",
    "thrown_up",
]

STILL = "still"
BRIM = "brim full, 24 h"
OVERNIGHT = "left full overnight"
_AT_MM = 0.01  # liquid that is nearer stands at it
_ALL = 1e-6  # of the volume: what is kept of liquid that is all thrown out


@dataclass(frozen=True, kw_only=True)
class LoadedCases:
    """What loads a thing.

    Attributes:
        cases: to prove.
        outside: what no method here reaches, of liquid and strength alike.
        liquid_outside: what that of the liquid alone does not reach.
        findings: what else is to be said.
        lost_l, lost_by: by case, litres that leave, and which way ("over the rim").
        thrown: cases in which all of it leaves.
        waves: by case with a sudden start, the highest of the first waves.
    """

    cases: tuple[Loaded, ...]
    outside: tuple[Finding, ...]
    findings: tuple[Finding, ...]
    lost_l: dict[str, float]
    lost_by: dict[str, str]
    liquid_outside: tuple[Finding, ...] = ()
    thrown: frozenset[str] = frozenset()
    waves: Mapping[str, Wave] = field(default_factory=dict)

    @property
    def stays_in(self) -> bool:
        """Whether all of it is covered, and no sudden start or stop spills."""
        spilt = any(self.lost_l[name] > 1e-6 for name in self.waves)
        return not (self.outside or self.liquid_outside or self.thrown or spilt)


def loaded(name: str, case: LiquidCase, dry: Body, volume_mm3: float) -> Loaded:
    """A liquid case with the mass that pulls on what carries the tank.

    After a sudden start the liquid that will leave is still there: the whole volume counts, where the settled liquid is.
    """
    liquid = case.liquid
    if liquid.centre_mm is None:
        return Loaded(name=name, load=case.load, mass_kg=dry.mass_kg, centre_mm=dry.centre_mm)
    whole = combine([dry, liquid_body(liquid)])
    if case.load.dynamic_factor == 1.0 or liquid.kept_mm3 >= volume_mm3:
        return Loaded(name=name, load=case.load, mass_kg=whole.mass_kg, centre_mm=whole.centre_mm)
    wet = volume_mm3 * liquid.density_kg_m3 * 1e-9
    mass = dry.mass_kg + wet
    x, y, z = ((dry.mass_kg * a + wet * b) / mass for a, b in zip(dry.centre_mm, liquid.centre_mm, strict=True))
    return Loaded(name=name, load=case.load, mass_kg=mass, centre_mm=(x, y, z))


def load_cases(
    cavity: Cavity,
    volume_mm3: float,
    brim_mm3: float,
    density: float,
    dry: Body,
    specs: Sequence[CaseSpec],
    standing: Duration = "permanent",
) -> LoadedCases:
    """Standing still for as long as it stands full, brim full for a day, and each ordered case in all its variants; a tank that
    is filled for minutes is forgotten full overnight, too.

    Args:
        cavity, volume_mm3, brim_mm3, density: the liquid as used, and what the cavity holds at most.
        dry: everything but the liquid.
        specs: the order's cases.
        standing: how long it stands full: no case of standing lasts longer.
    """
    many = _Many(cavity=cavity, dry=dry)
    many.add(STILL, liquid_cases.still(cavity, volume_mm3, duration=standing, density_kg_m3=density), volume_mm3)
    if stay_of(standing) == "minutes":
        forgotten = liquid_cases.still(cavity, volume_mm3, name=OVERNIGHT, duration="hours", density_kg_m3=density)
        many.add(OVERNIGHT, forgotten, volume_mm3)
    brim = liquid_cases.still(cavity, brim_mm3, name=BRIM, duration="hours", density_kg_m3=density)
    many.add(BRIM, brim, brim_mm3)
    for spec in specs:
        kind = CASE_KINDS[spec.kind]
        try:
            for case in kind.loads(spec, cavity, volume_mm3, density, dry.mass_kg):
                case = _no_longer(case, standing) if not kind.moving else case
                if case.part == "planned":
                    many.proves(spec, case, volume_mm3)
                elif not thrown_up(spec) or case.part == "start":
                    many.add(spec.name, case, volume_mm3)
                elif not stop_given(spec, specs):
                    many.stop(spec, case, volume_mm3)
        except NotCovered as error:
            if thrown_up(spec) and stop_given(spec, specs) and many.has(spec.name):
                continue  # the stop that would be taken is not: another is given
            many.outside[spec.name, "ends"] = _outside(spec.name, f"not covered: {error}")
    many.breathes(brim_mm3, brim.liquid.level_mm)
    return many.all()


@dataclass(kw_only=True)
class _Many:
    """Cases as they are found."""

    cavity: Cavity
    dry: Body
    found: list[Loaded] = field(default_factory=list)
    outside: dict[tuple[str, str], Finding] = field(default_factory=dict)
    said: dict[tuple[str, str], Finding] = field(default_factory=dict)
    liquid_outside: dict[tuple[str, str], Finding] = field(default_factory=dict)
    lost: dict[str, float] = field(default_factory=dict)
    ways: dict[str, str] = field(default_factory=dict)
    thrown: set[str] = field(default_factory=set)
    waves: dict[str, Wave] = field(default_factory=dict)
    reached: dict[str, dict[str, None]] = field(default_factory=dict)  # by port, cases

    def has(self, name: str) -> bool:
        """Whether the start of a case is there already."""
        return any(one.name == name for one in self.found)

    def add(self, name: str, case: LiquidCase, volume: float) -> None:
        """A case, with what leaves in it and how high its waves are."""
        self.found.append(loaded(name, case, self.dry, volume))
        gone = case.liquid.lost_mm3 / 1e6
        if gone >= self.lost.get(name, 0.0):
            self.lost[name], self.ways[name] = gone, case.liquid.cavity.way_out(case.liquid.over)
        if _empties(case, volume):
            self.thrown.add(name)
        if name != BRIM:  # what is filled to its vent has no air in it
            self.wets(name, case.liquid)
        if case.wave and case.wave.height_mm >= (self.waves[name].height_mm if name in self.waves else 0.0):
            self.waves[name] = case.wave
        if case.wave and case.wave.share > HIGHEST:
            self.liquid_outside[name, "waves"] = _breaks(name, self.waves[name])
        if case.wave and not self.cavity.lips and case.wave.rise_mm > case.wave.freeboard_mm:
            self.liquid_outside[name, "lid"] = _strikes(name, self.waves[name])

    def wets(self, name: str, liquid: Settled) -> None:
        """Note the ports that it stands at."""
        for port in self.cavity.ports if liquid.kept_mm3 > 0.0 else ():
            x, y, z = port.lowest(liquid.up)
            if x * liquid.up[0] + y * liquid.up[1] + z * liquid.up[2] <= liquid.level_mm + _AT_MM:
                self.reached.setdefault(port.name, {})[name] = None

    def breathes(self, most_mm3: float, brim_mm: float) -> None:
        """Whether air gets in and out of what is closed."""
        reached = {name: tuple(cases) for name, cases in self.reached.items()}
        finding = vent_finding(self.cavity, reached, most_mm3, brim_mm)
        if finding:
            self.outside["lid", "vent"] = finding

    def stop(self, spec: CaseSpec, case: LiquidCase, volume: float) -> None:
        """The stop of what is thrown up, taken as sudden as its start: what it would spill is no finding of the order's own."""
        self.found.append(loaded(spec.name, case, self.dry, volume))
        if _empties(case, volume):
            self.liquid_outside[spec.name, "stop"] = _stop_unsaid(spec)

    def proves(self, spec: CaseSpec, case: LiquidCase, volume: float) -> None:
        """A load of a planned move: what its liquid does is for the check of the motion to say."""
        self.found.append(loaded(spec.name, case, self.dry, volume))
        self.wets(spec.name, case.liquid)

    def all(self) -> LoadedCases:
        return LoadedCases(
            cases=tuple(self.found),
            outside=tuple(self.outside.values()),
            findings=tuple(self.said.values()),
            lost_l=self.lost,
            lost_by=self.ways,
            liquid_outside=tuple(self.liquid_outside.values()),
            thrown=frozenset(self.thrown),
            waves=self.waves,
        )


def standing_of(liquid: Liquid | None) -> Duration:
    """How long a tank stands full: each time, and how much of the time in all.

    Filled as often as is said; else once a day for minutes or hours, and for days as long as it then stands empty (judgement).
    What is never empty stands full for good.
    """
    if liquid is None or liquid.stays == "permanent":
        return "permanent"
    hours = material("cast-pmma").figure("stay", liquid.stays).value
    fills = liquid.fills_per_day or (1.0 if liquid.stays != "days" else 12.0 / hours)
    share = fills * hours / 24.0
    return "permanent" if share >= 1.0 else Repeated(stay=liquid.stays, share=share)


def stay_of(standing: Duration) -> Stay:
    """How long it is there each time."""
    return standing.stay if isinstance(standing, Repeated) else standing


def _no_longer(case: LiquidCase, standing: Duration) -> LiquidCase:
    """A case of standing, no longer than the tank stands full."""
    if DURATIONS.index(stay_of(case.load.duration)) < DURATIONS.index(stay_of(standing)):
        return case
    return replace(case, load=replace(case.load, duration=standing))


def _empties(case: LiquidCase, volume: float) -> bool:
    return volume > 0.0 and case.liquid.kept_mm3 <= _ALL * volume


def thrown_up(spec: CaseSpec) -> bool:
    """Whether its stop is no mirror of its start: what is thrown up comes to rest by gravity, or by a cushion of its own."""
    return CASE_KINDS[spec.kind].upward and not any(way_of(spec)[:2])


def stop_given(spec: CaseSpec, specs: Sequence[CaseSpec]) -> bool:
    """Whether another case goes the other way."""
    way = way_of(spec)
    return any(
        CASE_KINDS[one.kind].sudden and sum(a * b for a, b in zip(way, way_of(one), strict=True)) < 0.0
        for one in specs
        if one is not spec
    )


def _percent(share: float) -> str:
    """In whole percent: what is over a limit is never rounded down to it."""
    return f"{math.ceil(100.0 * share - 1e-9)}"


def _breaks(where: str, wave: Wave) -> Finding:
    """Of waves that are too high for their theory."""
    return Finding(
        level="care",
        check="liquid",
        where=where,
        why=f"not covered: the first waves of a sudden start or stop would be {wave.height_mm:.1f} mm high, "
        f"{_percent(wave.share)} % of the depth of {wave.depth_mm:.0f} mm: over {_percent(HIGHEST)} % they break and splash, "
        "and neither their height nor what they strike is calculated; the blow before them is in the strength figures",
        do="start and stop more gently, or fill deeper",
        source="judgement: limit of linear waves",
    )


def _strikes(where: str, wave: Wave) -> Finding:
    """Of waves under a lid."""
    return Finding(
        level="care",
        check="liquid",
        where=where,
        why=f"not covered: the first waves of a sudden start or stop rise {wave.rise_mm:.1f} mm at the wall and strike the "
        f"lid, {wave.freeboard_mm:.1f} mm over the liquid: how hard is not calculated",
        do="start and stop more gently, or fill less",
        source="judgement: limit of linear waves",
    )


def _outside(where: str, why: str) -> Finding:
    return Finding(
        level="care",
        check="strength",
        where=where,
        why=why,
        do="get it proven another way",
        source="judgement: limit of this method",
    )


def _stop_unsaid(spec: CaseSpec) -> Finding:
    """Of a throw whose stop the order does not give."""
    assert spec.acceleration is not None
    return Finding(
        level="care",
        check="liquid",
        where=spec.name,
        why=f"not covered: the order does not say how it is stopped; as suddenly as it starts, at {spec.acceleration:g} m/s2, "
        f"it drops away from its liquid (from {G_MM_S2 / 1000.0:.2f} m/s2 on), and all of it is thrown out",
        do='give the stop as a case: kind = "throw", direction = [0, 0, -1], its acceleration under '
        f"{G_MM_S2 / 1000.0:.1f} m/s2 (a cushion)",
        source="mechanics: whatever drops faster than gravity leaves behind anything loose in it",
    )
