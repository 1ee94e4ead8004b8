"""The inverse question: for this tank, the largest fill, acceleration and tilt it is good for."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from assemblies.design import Design, Vector
from assemblies.liquid import cases as liquid_cases
from assemblies.liquid.cases import LiquidCase
from assemblies.liquid.pour import spill_acceleration, spill_tilt
from assemblies.liquid.rigid import Body
from assemblies.strength.cases import loaded
from assemblies.strength.prove import prove
from assemblies.strength.uses import Loaded, Settings
from parts.findings import NotCovered, SeamwrightError

__all__ = ["Asked", "GoodFor", "good_for", "probes"]

_MOST = {
    "fill": (1.0,),
    "push": (9.80665,),
    "tilt": (20.0, 45.0, 70.0, 90.0),
}  # looked at first, together with the cases
_FINER = 7  # places between the last that passes and the first that fails, twice: to 1/64 of that
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

    def cases(self, what: str, value: float) -> Iterator[LiquidCase]:
        """A fill (share of the most it holds), a push (m/s2) or a tilt (degrees) as load cases."""
        cavity = self.design.cavities[0]
        if what == "fill":
            yield liquid_cases.still(cavity, value * self.most_mm3, density_kg_m3=self.density)
            return
        for way in self.ways:
            if what == "push":
                yield liquid_cases.slide(
                    cavity, self.volume_mm3, value * 1e3, direction=way, density_kg_m3=self.density
                )
            else:
                yield liquid_cases.tilt(
                    cavity, self.volume_mm3, math.radians(value), toward=way, density_kg_m3=self.density
                )

    def loaded(self, what: str, value: float) -> list[Loaded]:
        """The same with the mass they move, under a name that says which they are; none where the liquid engine ends."""
        volume = value * self.most_mm3 if what == "fill" else self.volume_mm3
        try:
            return [loaded(_name(what, value), case, self.dry, volume) for case in self.cases(what, value)]
        except NotCovered:
            return []


def _name(what: str, value: float) -> str:
    return f"{what} {value!r}"


def probes(asked: Asked) -> list[Loaded]:
    """What to solve together with the order's own cases: the most of each that is looked at."""
    wanted = _MOST if asked.volume_mm3 > 0.0 else {"fill": _MOST["fill"]}
    return [case for what, values in wanted.items() for value in values for case in asked.loaded(what, value)]


def good_for(asked: Asked, used: Mapping[str, float], *, stands: bool = True) -> GoodFor:
    """The limits, each one solved: it passes, and a sixty-fourth of the range looked at further it does not.

    Args:
        asked: of which tank.
        used: use of every probe, by its name.
        stands: whether it holds its fill at rest; when not, it is good for no push and no tilt.
    """
    limit = _limits(asked, used, ("fill", "push", "tilt") if stands else ("fill",))
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
    between: dict[str, tuple[float, float]] = {}
    limit: dict[str, float] = {}
    for what, most in ((what, _MOST[what]) for what in wanted):
        passed, failed = _bracket(what, most, used)
        limit[what] = passed
        if failed is not None:
            between[what] = (passed, failed)
    for _ in range(2 if between else 0):
        grid = {what: _inside(*ends) for what, ends in between.items()}
        cases = [case for what, values in grid.items() for value in values for case in asked.loaded(what, value)]
        used = prove(asked.design, (), asked.settings, probes=cases).probed
        for what, values in grid.items():
            passed, failed = _bracket(what, values, used)
            low, high = between[what]
            between[what] = (max(low, passed), high if failed is None else failed)
            limit[what] = between[what][0]
    return limit


def _inside(low: float, high: float) -> list[float]:
    return [low + (high - low) * k / (_FINER + 1) for k in range(1, _FINER + 1)]


def _bracket(what: str, values: Sequence[float], used: Mapping[str, float]) -> tuple[float, float | None]:
    """The last value before the first that fails (0 when the first does), and that one.

    A value that was not solved (no liquid, or beyond the liquid engine) neither passes nor fails.
    """
    passed = 0.0
    for value in values:
        use = used.get(_name(what, value))
        if use is None:
            continue
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
