"""The inverse question: for this tank, the largest fill, acceleration and tilt it is good for."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from assemblies.design import Design, Vector
from assemblies.liquid import cases as liquid_cases
from assemblies.liquid.cases import LiquidCase
from assemblies.liquid.pour import spill_acceleration, spill_tilt
from assemblies.liquid.rigid import Body
from assemblies.strength.cases import BRIM, STILL, loaded
from assemblies.strength.prove import prove
from assemblies.strength.uses import Loaded, Proof, Settings, Use
from parts.findings import NotCovered, SeamwrightError
from parts.material import Material

__all__ = ["Asked", "GoodFor", "good_for", "probes"]

_PUSHES = (9.80665,)  # m/s2, solved together with the cases
_TILTS = (25.0, 50.0)  # degrees; an open tank leaned further holds less and less
_SEALED_TILTS = (*_TILTS, 75.0, 90.0)
_FINER = 5  # places solved between the last that passes and the first that fails
_NEAR = 0.5  # a direction that uses less than this where another fails is not looked at again
_WAYS: tuple[Vector, ...] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (-1.0, 0.0, 0.0), (0.0, -1.0, 0.0))


@dataclass(frozen=True, kw_only=True)
class GoodFor:
    """What it is good for, by strength; and, apart from strength, when it spills.

    Attributes:
        fill_l: the largest fill that may stay in it for good, at most its capacity.
        acceleration_m_s2: the largest sudden sideways start or stop at the order's fill, looked at up to 1 g.
        tilt_deg: the largest slow tilt at the order's fill, looked at up to 90.
        dry_acceleration_m_s2: the largest sudden start or stop that spills nothing (half of the steady one).
        dry_tilt_deg: the tilt at which it starts to pour.
    """

    fill_l: float
    acceleration_m_s2: float
    tilt_deg: float
    dry_acceleration_m_s2: float | None
    dry_tilt_deg: float | None


@dataclass(frozen=True, kw_only=True)
class Asked:
    """Of which tank the question is asked: design, settings, its fill, the most it holds, density, the dry body."""

    design: Design
    settings: Settings
    volume_mm3: float
    most_mm3: float
    density: float
    dry: Body

    @property
    def ways(self) -> tuple[Vector, ...]:
        """Directions to look in: two are enough for a tank that is the same to the left as to the right."""
        thick = {p.name: p.piece.thickness_mm for p in self.design.placed}
        alike = thick.get("left") == thick.get("right") and thick.get("front") == thick.get("back")
        x, y, _ = self.dry.centre_mm
        return _WAYS[:2] if alike and max(abs(x), abs(y)) < 1e-3 else _WAYS

    def case(self, what: str, value: float, way: Vector) -> LiquidCase:
        """A fill (share of the most it holds), a push (m/s2) or a tilt (degrees) as a load case."""
        cavity, volume, density = self.design.cavities[0], self.volume_mm3, self.density
        if what == "fill":
            return liquid_cases.still(cavity, value * self.most_mm3, density_kg_m3=density)
        if what == "push":
            return liquid_cases.slide(cavity, volume, value * 1e3, direction=way, density_kg_m3=density)
        return liquid_cases.tilt(cavity, volume, math.radians(value), toward=way, density_kg_m3=density)

    def loaded(self, what: str, value: float, ways: Sequence[Vector]) -> list[Loaded]:
        """The same with the mass they move, under a name that says which they are; none where the liquid engine ends."""
        volume = value * self.most_mm3 if what == "fill" else self.volume_mm3
        found = []
        for way in ways[:1] if what == "fill" else ways:
            try:
                found.append(loaded(_name(what, value, way), self.case(what, value, way), self.dry, volume))
            except NotCovered:
                continue
        return found


def _name(what: str, value: float, way: Vector) -> str:
    return f"{what} {value!r} {way[0]:g} {way[1]:g}"


def probes(asked: Asked) -> list[Loaded]:
    """What to solve together with the order's own cases: the most of each push and tilt that is looked at."""
    return [
        case
        for what in ("push", "tilt")
        for value in _first(asked, what)
        for case in asked.loaded(what, value, asked.ways)
    ]


def _first(asked: Asked, what: str) -> tuple[float, ...]:
    """The values looked at first."""
    if what == "fill":
        return (min(asked.volume_mm3 / asked.most_mm3, 1.0), 1.0)
    if asked.volume_mm3 <= 0.0:
        return ()
    if what == "push":
        return _PUSHES
    return _TILTS if asked.design.cavities[0].lips else _SEALED_TILTS


def _full_for_good(proof: Proof, material: Material) -> float:
    """Greatest use when it stays full to the brim for good: the brim test's loads against the lasting allowances."""
    stress = material.design_stress("hours").value / material.design_stress("permanent").value
    bow = material.creep_modulus("hours").value / material.creep_modulus("permanent").value
    brim = [one for one in proof.everything if one.case == BRIM]
    return max(max(u.stress_use * stress, u.bow_use * bow) if isinstance(u, Use) else u.use * stress for u in brim)


def good_for(asked: Asked, proof: Proof) -> GoodFor:
    """The limits: each was solved and passes, and a sixth of what lies between pass and failure further it does not.

    Nothing is read between what was solved: once liquid spills, the use no longer grows evenly. A tank that does not hold
    its fill at rest is good for no push and no tilt.

    Args:
        asked: of which tank.
        proof: of its cases, with the probes.
    """
    used = dict(proof.probed)
    material = asked.design.instance("bottom").piece.sheet.substance
    used[_name("fill", 1.0, asked.ways[0])] = _full_for_good(proof, material)
    stands = all(one.use <= 1.0 for one in proof.everything if one.case == STILL)
    if stands:
        used[_name("fill", asked.volume_mm3 / asked.most_mm3, asked.ways[0])] = (
            1.0  # at most: the order's own fill passes
        )
    limit = _limits(asked, used, ("fill", "push", "tilt") if stands else ("fill",))
    if limit.get("tilt") == _TILTS[-1]:
        limit["tilt"] = 90.0  # open, and it passed where it still holds much: further over it only pours out
    cavity, volume = asked.design.cavities[0], asked.volume_mm3
    pours = volume > 0.0 and bool(cavity.lips)
    ways = asked.ways if pours else ()
    return GoodFor(
        fill_l=limit["fill"] * asked.most_mm3 / 1e6,
        acceleration_m_s2=limit.get("push", 0.0),
        tilt_deg=limit.get("tilt", 0.0),
        dry_acceleration_m_s2=_least(lambda way: spill_acceleration(cavity, volume, way) / 2e3, ways),
        dry_tilt_deg=_least(lambda way: math.degrees(spill_tilt(cavity, volume, way)), ways),
    )


def _limits(asked: Asked, used: Mapping[str, float], wanted: Sequence[str]) -> dict[str, float]:
    limit: dict[str, float] = {}
    between: dict[str, tuple[float, float]] = {}
    ways: dict[str, tuple[Vector, ...]] = {}
    for what in wanted:
        limit[what], failed = _bracket(_known(what, _first(asked, what), asked.ways, used))
        if failed is not None:
            between[what] = (limit[what], failed)
            near = [way for way in asked.ways if used.get(_name(what, failed, way), 0.0) > _NEAR]
            ways[what] = tuple(near) or asked.ways
    if not between:
        return limit
    grid = {what: _inside(*ends) for what, ends in between.items()}
    cases = [case for what in grid for value in grid[what] for case in asked.loaded(what, value, ways[what])]
    used = prove(asked.design, (), asked.settings, probes=cases).probed
    for what in between:
        limit[what] = max(limit[what], _bracket(_known(what, grid[what], ways[what], used))[0])
    return limit


def _inside(low: float, high: float) -> list[float]:
    return [low + (high - low) * k / (_FINER + 1) for k in range(1, _FINER + 1)]


_Use = tuple[float, float]  # a value and its greatest use


def _known(what: str, values: Sequence[float], ways: Sequence[Vector], used: Mapping[str, float]) -> list[_Use]:
    """Of the values that were solved, the greatest use over the directions."""
    found = []
    for value in values:
        uses = [used[name] for way in ways if (name := _name(what, value, way)) in used]
        if uses:
            found.append((value, max(uses)))
    return found


def _bracket(known: Sequence[_Use]) -> tuple[float, float | None]:
    """The last value before the first that fails (0 when the first does), and that one."""
    passed = 0.0
    for value, use in known:
        if use > 1.0:
            return passed, value
        passed = value
    return passed, None


def _least(spill: Callable[[Vector], float], ways: Sequence[Vector]) -> float | None:
    """The least over all directions; None when nothing spills in any."""
    found = []
    for way in ways:
        try:
            found.append(spill(way))
        except SeamwrightError:  # in this direction it reaches no way out
            continue
    return min(found, default=None)
