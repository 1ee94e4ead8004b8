"""A planned turn: leaned over a side to pour, by a schedule, and back; with what its weight does about the pivot.

The lean up to the first drop and the way back are smooth (quintic of least jerk, at most 10 degrees a second); a flow comes on
and goes off within a second. The schedule pours as much more as still stands over the lip when it turns back, so that what
really runs comes to what is wanted (`pour.lag`). Valid: slow turns, so that the surface stays level.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Final

import numpy as np

from assemblies.design.mass import Body
from assemblies.liquid.engine import G_MM_S2, Settled
from assemblies.liquid.waves.modes import HIGHEST, rect_mode
from assemblies.motion.path.profile import Array
from assemblies.motion.plans.turning import over
from assemblies.motion.pour.lag import Lag, lag
from assemblies.motion.pour.tilts import Tilts, tilts
from assemblies.motion.pour.weir import lip_head, warning
from assemblies.order import CaseSpec
from parts.findings import NotCovered
from parts.vectors import Vector

if TYPE_CHECKING:
    from assemblies.liquid.shapes.cavity import Cavity

__all__ = ["Fall", "Jet", "Turn", "plan_turn"]

_LEAD_DEG_S: Final = 10.0  # the fastest lean without a flow; judgement
_SHORTEST_S: Final = 2.0  # of a lean without a flow; judgement
_SWELL_S: Final = 1.0  # in which a flow comes on, and goes off
_TICK_S: Final = 0.02
_MOST_TICKS: Final = 60_000
_QUARTER: Final = math.pi / 2.0
_PEAK: Final = 15.0 / 8.0  # of a quintic's greatest speed, of its mean
_NIL_NMM: Final = 1.0  # less is no torque
_DROPS_MM: Final = (100.0, 200.0, 400.0)
_PERIODS: Final = 3.0  # that a smooth lean must last for its liquid to stay level
_LEVEL: Final = 0.02  # of gravity: the push on its way that tips the surface too little to count
_CLINGS_MM: Final = 5.0  # under such a head a stream runs down the outside rather than falling free; judgement


@dataclass(frozen=True, kw_only=True)
class Jet:
    """Where the stream lands: so far out from the lip, by how far below it."""

    below: float
    out: float


@dataclass(frozen=True, kw_only=True)
class Fall:
    """The first place of a turn at which its weight drives it on when power fails."""

    tilt_rad: float
    torque_nmm: float


@dataclass(frozen=True, kw_only=True, eq=False)
class Turn:
    """A planned turn, by its samples from rest to rest.

    Attributes:
        spec: as ordered.
        toward: the side that goes down.
        out, back: the rig leaned with what stays in it, and with what is left at the end.
        times, angles: s, rad.
        left: what is in it, by the schedule, mm3.
        flows: by the schedule, mm3/s.
        turns_back: the sample from which it leans back; one past the last where it does not.
        wanted: what it is to pour in all, mm3.
        period: of the first wave toward that side, s; nil where it is dry.
        depth: of the liquid at rest, mm.
        reach: from the pivot to the liquid, mm.
    """

    spec: CaseSpec
    toward: Vector
    out: Tilts
    back: Tilts
    times: Array
    angles: Array
    left: Array
    flows: Array
    turns_back: int
    wanted: float
    period: float
    depth: float
    reach: float

    @property
    def hasty(self) -> str:
        """Why its surface does not stay level; nothing where it does. The limits are judgement."""
        if not self.period:
            return ""
        lean = (
            self.times[-1]
            if self.turns_back > len(self.times) - 1
            else self.times[-1] - self.times[self.turns_back - 1]
        )
        push = float((np.abs(self.pushes) + self.rates**2).max()) * self.reach
        if lean < _PERIODS * self.period:
            return f"it leans within {lean:.1f} s, under {_PERIODS:.0f} periods of its waves ({self.period:.2f} s each)"
        if push > _LEVEL * G_MM_S2:
            return (
                f"its liquid is pushed with {push / 1000.0:.2f} m/s2 on its way, over {100.0 * _LEVEL:.0f} % of gravity"
            )
        if self.head is not None and self.head > HIGHEST * self.depth:
            return (
                f"its greatest flow stands {self.head:.0f} mm over the lip, over {100.0 * HIGHEST:.0f} % of the depth"
            )
        return ""

    @cached_property
    def rates(self) -> Array:
        return np.asarray(np.gradient(self.angles, self.times))

    @cached_property
    def pushes(self) -> Array:
        return np.asarray(np.gradient(self.rates, self.times))

    @cached_property
    def torques(self) -> Array:
        """Of the weight about the pivot along the way, N mm; positive drives it on."""
        found = np.interp(self.angles, self.out.angles, self.out.torques)
        late = np.arange(len(self.times)) >= self.turns_back
        return np.where(late, np.interp(self.angles, self.back.angles, self.back.torques), found)

    @cached_property
    def real(self) -> Lag | None:
        """The flow as it really runs; None over what is no level lip."""
        if self.out.lip_mm is None:
            return None
        return lag(self.times, self._room(), np.interp(self.angles, self.out.angles, self.out.areas), self.out.lip_mm)

    def _room(self) -> Array:
        """What it holds to its lip along the way; before the first drop, what is in it."""
        return np.asarray(np.interp(self.angles, self.out.angles, self.out.kept))

    @property
    def peak_flow(self) -> float:
        return float(self.flows.max())

    @property
    def head(self) -> float | None:
        """Over the lip at the greatest flow, mm."""
        if self.out.lip_mm is None or self.peak_flow <= 0.0:
            return None
        return lip_head(self.out.lip_mm, self.peak_flow)

    @property
    def doubt(self) -> str:
        """What is to be said of its flow."""
        return "" if self.head is None else warning(self.head)

    @property
    def offset(self) -> float | None:
        """How much sooner to start for the flow to be there when it is wanted, s."""
        if self.real is None or self.real.behind_s is None or self.peak_flow <= 0.0:
            return None
        return float(self.real.standing.max()) / self.peak_flow

    @property
    def jets(self) -> tuple[Jet, ...]:
        """Where the stream at its greatest lands: it leaves level at the speed of critical flow (from memory)."""
        if self.out.lip_mm is None or self.peak_flow <= 0.0:
            return ()
        speed = (G_MM_S2 * self.peak_flow / self.out.lip_mm) ** (1.0 / 3.0)
        return tuple(Jet(below=b, out=speed * math.sqrt(2.0 * b / G_MM_S2)) for b in _DROPS_MM)

    @property
    def clings(self) -> bool:
        return self.head is not None and self.head < _CLINGS_MM

    @cached_property
    def fall(self) -> Fall | None:
        """Where it first falls on by itself; None of a pivot that returns it all the way."""
        on = np.flatnonzero(self.torques > _NIL_NMM)
        if not len(on):
            return None
        k = int(on[0])
        return Fall(tilt_rad=float(self.angles[k]), torque_nmm=float(self.torques[k]))


def plan_turn(spec: CaseSpec, cavity: Cavity, volume: float, density: float, dry: Body, pivot: Vector) -> Turn:
    """Plan a turn.

    Args:
        pivot: in the rig's axes, mm.

    Raises:
        NotCovered: over a quarter turn; it cannot pour that much; it takes so long that its schedule has too many samples.
    """
    toward = over(spec)
    last = _QUARTER if spec.pour is not None else math.radians(abs(spec.angle or 0.0))
    if last > _QUARTER + 1e-9:
        raise NotCovered(f"a planned turn of over 90 degrees ({math.degrees(last):g})")
    out = tilts(cavity, volume, min(last, _QUARTER), toward=toward, pivot=pivot, dry=dry, density_kg_m3=density)
    wanted = volume - float(out.kept[-1])
    if spec.pour is not None:
        wanted = spec.pour * 1e6
        if out.first_rad is None or wanted > volume - float(out.kept[-1]) + 1.0:
            raise NotCovered(
                f"it is to pour {spec.pour:g} L; by a quarter turn {(volume - float(out.kept[-1])) / 1e6:.3f} L leave"
            )
    if spec.pour is None and spec.time is not None:
        samples = _by_angle(out, last, spec.time, volume)
    elif wanted <= 0.0:
        raise NotCovered("nothing pours at that angle, so that it has no flow: give a time")
    else:
        samples = _poured(spec, out, volume, wanted)
    times, angles, left, flows, turns_back = samples
    back = tilts(
        cavity,
        float(left[-1]),
        max(float(angles.max()), 1e-3),
        toward=toward,
        pivot=pivot,
        dry=dry,
        density_kg_m3=density,
    )
    return Turn(
        spec=spec,
        toward=toward,
        out=out,
        back=back,
        times=times,
        angles=angles,
        left=left,
        flows=flows,
        turns_back=turns_back,
        wanted=max(wanted, 0.0),
        **_stirred(out.states[0].liquid, toward, pivot),
    )


def _stirred(rest: Settled, toward: Vector, pivot: Vector) -> dict[str, float]:
    """Period, depth and reach of the liquid."""
    if rest.centre_mm is None:
        return {"period": 0.0, "depth": 0.0, "reach": 0.0}
    low, high = rest.cavity.body.span(toward)
    depth = rest.level_mm - rest.lowest_mm
    return {
        "period": rect_mode(high - low, depth, G_MM_S2).period_s,
        "depth": depth,
        "reach": math.dist(rest.centre_mm, pivot),
    }


_Samples = tuple[Array, Array, Array, Array, int]


def _quintic(share: Array) -> Array:
    """From 0 to 1, smoothly at both ends."""
    s = np.clip(share, 0.0, 1.0)
    return np.asarray(s**3 * (10.0 - 15.0 * s + 6.0 * s * s))


def _lean_time(angle: float) -> float:
    return max(math.degrees(angle) * _PEAK / _LEAD_DEG_S, _SHORTEST_S)


def _ticks(time: float) -> Array:
    """Samples from 0 to a time, which is one of them."""
    count = math.ceil(time / _TICK_S)
    if count > _MOST_TICKS:
        raise NotCovered(f"a turn of {time:.0f} s: its schedule has too many samples")
    return np.linspace(0.0, time, count + 1)


def _by_angle(out: Tilts, last: float, time: float, volume: float) -> _Samples:
    """Turned smoothly to an angle in a time, whatever pours."""
    if time <= 0.0:
        raise NotCovered("a turn in no time")
    times = _ticks(time)
    angles = last * _quintic(times / time)
    left = np.minimum(np.interp(angles, out.angles, out.kept), volume)
    return times, angles, left, np.asarray(np.maximum(-np.gradient(left, times), 0.0)), len(times)


def _poured(spec: CaseSpec, out: Tilts, volume: float, wanted: float) -> _Samples:
    """Leaned to the first drop, poured by flow or time, and leaned back where a volume was asked for; corrected for what
    still stands over the lip when it turns back."""
    most = volume - float(out.kept[-1])
    total = wanted
    found = _schedule(spec, out, volume, total)
    if spec.pour is None or out.lip_mm is None:
        return found
    for _ in range(4):
        real = lag(
            found[0], np.interp(found[1], out.angles, out.kept), np.interp(found[1], out.angles, out.areas), out.lip_mm
        )
        short = wanted - float(real.delivered[-1])
        if abs(short) < 1e-4 * wanted or total + short > most:
            break
        total += short
        found = _schedule(spec, out, volume, total)
    return found


def _schedule(spec: CaseSpec, out: Tilts, volume: float, total: float) -> _Samples:
    assert out.first_rad is not None
    pieces = list(_parts(spec, out, volume, total))
    times, start = [], 0.0
    for t, *_ in pieces:
        times.append(t + start)
        start += float(t[-1])
    joined = [np.concatenate([p[k][(1 if n else 0) :] for n, p in enumerate(pieces)]) for k in (1, 2, 3)]
    clock = np.concatenate([t[(1 if n else 0) :] for n, t in enumerate(times)])
    back = len(pieces[0][0]) + len(pieces[1][0]) - 1
    return clock, joined[0], joined[1], joined[2], back if len(pieces) > 2 else len(clock)


def _parts(spec: CaseSpec, out: Tilts, volume: float, total: float) -> Iterator[tuple[Array, Array, Array, Array]]:
    """Time, angle, what is left and flow of the lean up to the first drop, the pour, and the way back."""
    first = out.first_rad or 0.0
    lead = _ticks(_lean_time(first)) if first > 0.0 else np.array([0.0])
    share = lead / lead[-1] if len(lead) > 1 else lead
    yield lead, first * _quintic(share), np.full(len(lead), volume), np.zeros(len(lead))
    if spec.time is not None:
        if spec.time <= 0.0:
            raise NotCovered("a pour in no time")
        times = _ticks(spec.time)
        s = times / spec.time
        poured, flows = total * _quintic(s), total / spec.time * 30.0 * (s * (1.0 - s)) ** 2
    else:
        assert spec.flow is not None
        flow = spec.flow * 1e6
        swell = min(_SWELL_S, total / flow)
        times = _ticks(total / flow + swell)
        poured, flows = _swelling(times, flow, swell, float(times[-1]))
        poured *= total / poured[-1]
    left = volume - poured
    angles = out.angle_of(left)
    angles[0] = first
    yield times, angles, left, flows
    if spec.pour is not None:
        end = float(angles[-1])
        ways = _ticks(_lean_time(end))
        yield ways, end * (1.0 - _quintic(ways / ways[-1])), np.full(len(ways), left[-1]), np.zeros(len(ways))


def _swelling(times: Array, flow: float, swell: float, end: float) -> tuple[Array, Array]:
    """What has poured and the flow, which comes on smoothly in `swell` seconds and goes off so before the end."""
    on, off = np.clip(times / swell, 0.0, 1.0), np.clip((end - times) / swell, 0.0, 1.0)

    def area(s: Array) -> Array:  # of the quintic, from 0
        return np.asarray(s**4 * (2.5 - 3.0 * s + s * s))

    flows = flow * np.minimum(_quintic(on), _quintic(off))
    steady = np.clip(times, swell, end - swell) - swell
    poured = flow * (swell * area(on) + steady + swell * (0.5 - area(off)))
    return poured, flows
