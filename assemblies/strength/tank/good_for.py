"""The inverse question: for this tank, the largest fill, acceleration and tilt it is good for."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import count

from assemblies.design.model import Design
from assemblies.liquid.engine import G_MM_S2
from assemblies.liquid.loads import cases as liquid_cases
from assemblies.liquid.loads.cases import LiquidCase
from assemblies.liquid.loads.sudden import starts, wave_rise
from assemblies.liquid.pour import spill_acceleration
from assemblies.liquid.state import Filled
from assemblies.liquid.waves.modes import HIGHEST
from assemblies.strength.plates.limits import SETTLED
from assemblies.strength.proof.cases import BRIM, STILL, loaded
from assemblies.strength.proof.figures import GoodFor
from assemblies.strength.proof.loads import Loads
from assemblies.strength.proof.uses import Loaded, Place, Proof, by_place
from assemblies.strength.tank.prove import Tank, prove, tank_of
from assemblies.strength.tank.sheet import Thin, as_thin
from parts.findings import NotCovered, SeamwrightError
from parts.stock.material import Duration, Material
from parts.vectors import Vector

__all__ = ["Asked", "good_for", "probes"]

_PUSHES = (9.80665,)  # m/s2, solved together with the cases
_TILTS = (25.0, 50.0)  # degrees; an open tank leaned further holds less and less
_SEALED_TILTS = (*_TILTS, 75.0, 90.0)
# places solved about the one that is read, in parts of what lies between
_ROUNDS = ((-0.2, 0.0, 0.15), (-0.08, 0.0, 0.08))
_NEAR = 0.5  # a direction that uses less than this where another fails is not checked again
_HALF = 0.5**0.5
_FEW: tuple[Vector, ...] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (_HALF, _HALF, 0.0))
_WAYS: tuple[Vector, ...] = (
    *_FEW,
    (-1.0, 0.0, 0.0),
    (0.0, -1.0, 0.0),
    (-_HALF, _HALF, 0.0),
    (-_HALF, -_HALF, 0.0),
    (_HALF, -_HALF, 0.0),
)
_Uses = Mapping[Place, float]


@dataclass(frozen=True, kw_only=True)
class _Known:
    """A fill, push or tilt, and how far each place is then used."""

    value: float
    uses: _Uses

    @property
    def greatest(self) -> float:
        return max(self.uses.values(), default=0.0)


_NOTHING = _Known(value=0.0, uses={})


@dataclass(frozen=True, kw_only=True)
class Asked:
    """Of which tank the question is asked, and at which thickness its sheets are taken."""

    loads: Loads
    thin: Thin = field(default_factory=dict)

    @property
    def design(self) -> Design:
        return self.loads.design

    @property
    def filled(self) -> Filled:
        return self.loads.filled

    @cached_property
    def tank(self) -> Tank:
        """As it is solved.

        Raises:
            NotCovered: it is no box of five panels.
        """
        return as_thin(tank_of(self.design, self.loads.settings, self.filled.bodies), self.thin)

    @property
    def ways(self) -> tuple[Vector, ...]:
        """Directions to look in: three are enough for a tank that is the same to the left as to the right, front as back."""
        thick = {p.name: p.piece.thickness_mm for p in self.design.placed}
        alike = thick.get("left") == thick.get("right") and thick.get("front") == thick.get("back")
        x, y, _ = self.filled.empty.centre_mm
        return _FEW if alike and max(abs(x), abs(y)) < 1e-3 else _WAYS

    @property
    def spilling_ways(self) -> tuple[Vector, ...]:
        """The same, with the directions of the corners instead of half-way ones: there the liquid rises furthest.

        Raises:
            NotCovered: a cavity without flat walls.
        """
        corners = [corner for face in self.filled.cavity.faces for corner in face.corners]
        if not corners:
            raise NotCovered(f"{self.design.name}: the box method needs five panels and one cavity of flat faces")
        length, width = (max(c[k] for c in corners) - min(c[k] for c in corners) for k in (0, 1))
        diagonal = math.hypot(length, width)
        return tuple(
            (math.copysign(length, x) / diagonal, math.copysign(width, y) / diagonal, 0.0) if x and y else (x, y, 0.0)
            for x, y, _ in self.ways
        )

    @cached_property
    def dry_push(self) -> float | None:
        """The largest sudden start that spills nothing in any direction, m/s2 (half of the steady one)."""
        cavity, volume = self.filled.cavity, self.filled.volume_mm3
        if not (volume > 0.0 and cavity.openings):
            return None
        ways = dict.fromkeys((*self.ways, *self.spilling_ways))
        return _least(lambda way: spill_acceleration(cavity, volume, way) / 2e3, tuple(ways))

    @cached_property
    def wave_push(self) -> float | None:
        """The sudden start whose first waves are as high as their theory reaches, or reach a lid, in the worst way, m/s2."""
        filled = self.filled
        if not filled.volume_mm3 > 0.0:
            return None
        rest = filled.settled()
        if rest.surface_area_mm2 <= 0.0:
            return None
        waves = [wave_rise(rest, way) for way in (*self.ways, *self.spilling_ways)]
        push = HIGHEST * (rest.level_mm - rest.lowest_mm) / max(height for _, height in waves)
        if not filled.cavity.lips:  # under a lid they must not strike it
            push = min(push, rest.freeboard_mm / max(rise for rise, _ in waves))
        return push * G_MM_S2 / 1e3

    def cases(self, what: str, value: float, way: Vector) -> tuple[LiquidCase, ...]:
        """A fill (share of the most it holds), a push (m/s2) or a tilt (degrees) as load cases: all of a sudden start's."""
        cavity, volume, density = self.filled.cavity, self.filled.volume_mm3, self.filled.fluid.density_kg_m3
        if what == "fill":
            return (liquid_cases.still(cavity, value * self.filled.most_mm3, density_kg_m3=density),)
        if what == "push":
            return starts(cavity, volume, value * 1e3, direction=way, density_kg_m3=density)
        return (liquid_cases.tilt(cavity, volume, math.radians(value), toward=way, density_kg_m3=density),)

    def loaded(self, what: str, value: float, ways: Sequence[Vector]) -> list[Loaded]:
        """The same with the mass they move, under a name that says which they are; none where the liquid engine ends."""
        volume = value * self.filled.most_mm3 if what == "fill" else self.filled.volume_mm3
        found = []
        for way in ways[:1] if what == "fill" else ways:
            try:
                cases = self.cases(what, value, way)
            except NotCovered:
                continue
            name = _name(what, value, way)
            found += [loaded(f"{name}#{k}", case, self.filled.empty, volume) for k, case in enumerate(cases)]
        return found


def _name(what: str, value: float, way: Vector) -> str:
    return f"{what} {value!r} {way[0]:g} {way[1]:g}"


def _probed(probed: Mapping[str, Mapping[Place, float]], what: str, value: float, way: Vector) -> _Uses:
    """The greatest uses over the loads of one fill, push or tilt; none where it was not solved."""
    name = _name(what, value, way)
    uses: dict[Place, float] = {}
    for k in count():
        one = probed.get(f"{name}#{k}")
        if one is None:
            return uses
        uses |= {place: max(use, uses.get(place, 0.0)) for place, use in one.items()}
    raise AssertionError


def probes(asked: Asked) -> list[Loaded]:
    """What to solve together with the order's own cases: the most of each push and tilt that is looked at."""
    return [
        case
        for what in ("push", "tilt")
        for value in _first(asked, what)
        for case in asked.loaded(what, value, asked.ways)
    ]


def _first(asked: Asked, what: str) -> tuple[float, ...]:
    """The pushes or tilts looked at first."""
    if asked.filled.volume_mm3 <= 0.0:
        return ()
    if what == "push":
        limits = [limit for limit in (asked.dry_push, asked.wave_push) if limit is not None]
        return tuple(min(push, *limits) for push in _PUSHES)
    return _TILTS if asked.filled.cavity.lips else _SEALED_TILTS


def _lasting(proof: Proof, case: str, was: Duration, held_for: Duration, material: Material) -> _Uses:
    """Uses of a case's loads if they were to stay for another duration."""
    stress = material.design_stress(was).value / material.design_stress(held_for).value
    bow = material.creep_modulus(was).value / material.creep_modulus(held_for).value
    every = by_place(one for one in proof.everything if one.case == case)
    return {place: use * (bow if place[2] == "bow" else stress) for place, use in every.items()}


def good_for(asked: Asked, proof: Proof) -> GoodFor:
    """The limits: each was solved and passes, and a little further on it does not.

    Where a limit lies is read between what is known, then places round it are solved, twice over: once liquid spills the
    use no longer grows evenly, so that no place is taken unsolved. A tank that does not hold its fill at rest is good for
    no push and no tilt.

    Args:
        asked: of which tank.
        proof: of its cases, with the probes.
    """
    material = asked.design.instance("bottom").piece.sheet.substance
    stands = all(one.use <= 1.0 for one in proof.everything if one.case == STILL)
    limit = _limits(asked, proof, material, ("fill", "push", "tilt") if stands else ("fill",))
    cavity, volume = asked.filled.cavity, asked.filled.volume_mm3
    if cavity.lips and limit.get("tilt") == _TILTS[-1]:
        limit["tilt"] = 90.0  # it passed where it still holds much: further over it only pours out
    pours = volume > 0.0 and bool(cavity.lips)
    return GoodFor(
        fill_l=limit["fill"] * asked.filled.most_mm3 / 1e6,
        acceleration_m_s2=limit.get("push", 0.0),
        tilt_deg=limit.get("tilt", 0.0),
        dry_acceleration_m_s2=asked.dry_push if pours else None,
        wave_acceleration_m_s2=asked.wave_push,
        dry_tilt_deg=asked.filled.pours_at_deg if pours else None,
    )


def _limits(asked: Asked, proof: Proof, material: Material, wanted: Sequence[str]) -> dict[str, float]:
    """The greatest fill (share of the most it holds), push and tilt that passes."""
    brackets = {what: _bracket([_NOTHING, *_read(asked, proof, material, what)]) for what in wanted}
    ways = {what: _near(asked, proof, what, high) for what, (_, high) in brackets.items() if high is not None}
    for spread in _ROUNDS:
        grid = {
            what: _round_about(what, low, high, spread) for what, (low, high) in brackets.items() if high is not None
        }
        cases = [case for what, values in grid.items() for v in values for case in asked.loaded(what, v, ways[what])]
        if not cases:
            break
        solved = prove(asked.tank, (), cases, orders=(1,)).probed
        probed = {name: _unsure(proof, uses) for name, uses in solved.items()}
        for what, values in grid.items():
            low, high = brackets[what]
            assert high is not None
            brackets[what] = _bracket([low, *_known(what, values, ways[what], probed), high])
    return {what: low.value for what, (low, _) in brackets.items()}


def _unsure(proof: Proof, uses: _Uses) -> _Uses:
    """Uses of one order of the solution, stresses taken larger by the error that the proof has of their panel."""
    errors = {one.piece: max(u.error for u in proof.uses if u.piece == one.piece) for one in proof.uses}
    errors |= {s.seam: max(errors.get(panel, 0.0) for panel in s.seam.split("-")) for s in proof.seams}
    unsure = {name: 1.0 + error for name, error in errors.items() if error > SETTLED}
    return {place: use * (unsure.get(place[0], 1.0) if place[2] == "stress" else 1.0) for place, use in uses.items()}


def _read(asked: Asked, proof: Proof, material: Material, what: str) -> list[_Known]:
    """What the proof says of a fill, push or tilt."""
    if what == "fill":
        own = _lasting(proof, STILL, asked.loads.standing, "permanent", material)
        share = min(asked.filled.volume_mm3 / asked.filled.most_mm3, 1.0)
        brim = _Known(value=1.0, uses=_lasting(proof, BRIM, "hours", "permanent", material))
        return [_Known(value=share, uses=own), brim] if 0.0 < share < 1.0 else [brim]
    at_rest = _Known(value=0.0, uses=_lasting(proof, STILL, asked.loads.standing, "minutes", material))
    probed = {name: _unsure(proof, uses) for name, uses in proof.probed.items()}
    return [at_rest, *_known(what, _first(asked, what), asked.ways, probed)]


def _near(asked: Asked, proof: Proof, what: str, failed: _Known) -> tuple[Vector, ...]:
    """The directions that may govern."""
    used = {way: _probed(proof.probed, what, failed.value, way) for way in asked.ways}
    return tuple(way for way, uses in used.items() if max(uses.values(), default=0.0) > _NEAR) or asked.ways


def _round_about(what: str, low: _Known, high: _Known, spread: Sequence[float]) -> list[float]:
    """Places between a passing and a failing one, about where the first use of any place reads 1."""
    a, b = low.value, high.value
    at = min(_crossing(what, (a, low.uses.get(place, 0.0)), (b, use)) for place, use in high.uses.items() if use > 1.0)
    shares = {min(max((at - a) / (b - a) + off, 0.02), 0.98) for off in spread}
    return [a + (b - a) * share for share in sorted(shares)]


def _crossing(what: str, low: tuple[float, float], high: tuple[float, float]) -> float:
    """Where a use reads 1: that of a fill grows with a power (with the third, where only one is known), that of a push or
    tilt evenly."""
    (a, used_a), (b, used_b) = low, high
    if what == "fill":
        power = math.log(used_b / used_a) / math.log(b / a) if a > 0.0 and used_a > 0.0 else 3.0
        return float(b * used_b ** (-1.0 / power))
    return a + (b - a) * (1.0 - used_a) / (used_b - used_a)


def _known(
    what: str, values: Sequence[float], ways: Sequence[Vector], probed: Mapping[str, Mapping[Place, float]]
) -> list[_Known]:
    """Of the values that were solved, the greatest uses over the directions."""
    found = []
    for value in values:
        uses: dict[Place, float] = {}
        for way in ways:
            for place, use in _probed(probed, what, value, way).items():
                uses[place] = max(uses.get(place, 0.0), use)
        if uses:
            found.append(_Known(value=value, uses=uses))
    return found


def _bracket(known: Sequence[_Known]) -> tuple[_Known, _Known | None]:
    """The last that passes before the first that fails, and that one."""
    passed = known[0]
    for one in known:
        if one.greatest > 1.0:
            return passed, one
        passed = one
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
