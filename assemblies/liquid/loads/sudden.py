"""What a sudden start or stop does, with all the liquid in: a case's load is the envelope of

- *the blow*: the liquid has not moved yet. On top of the still head the pressure of the whole mass (`waves.impulse`), twice
  it, as a panel that is loaded at once swings to twice; once where the start comes on over three periods of a wet panel;
- *the first waves*: the surface twice as steep as the steady one; none of the liquid's waves stands higher at a wall;
- *the steady push*: the tilted surface, where it is not between the others;
- *the drop of the drive*: from the steady push, all at once, to none (up: to free fall).

A stop is a start the other way, as sudden where no more is said. What falls faster than gravity leaves its liquid behind: the
blow of that is the still head gone at once.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from assemblies.liquid.engine import G_MM_S2, WATER_KG_M3, Settled, settle
from assemblies.liquid.loads.cases import STEADY_SOURCE, SUDDEN, SUDDEN_SOURCE, LiquidCase, Wave, pushed_along, slide
from assemblies.liquid.loads.loadcase import Duration, LoadCase, face_of
from assemblies.liquid.shapes.cavity import Cavity
from assemblies.liquid.shapes.wet import Array
from assemblies.liquid.waves.impulse import BoxBlow, RoundBlow
from assemblies.liquid.waves.modes import highest_wave
from assemblies.liquid.waves.panel import RAMP_PERIODS
from parts.findings import NotCovered, SeamwrightError
from parts.vectors import Vector, finite, finite_vector

__all__ = ["Struck", "blow", "starts", "wave_rise"]

_BLOW_SOURCE: Final = "pressure of liquid that has not moved yet: linear potential theory, rigid walls (Lamb, art. 11)"
_WAVE_SOURCE: Final = "first waves: twice the steady rise, an upper bound (41 modes give 0.91 to 0.96 of it)"
_SQUARE: Final = 1e-9  # of gravity: less is no push that way
_ALL: Final = 1e-6  # of the liquid: what is left when all of it has gone
_FULL: Final = 1e-9  # of the height: what is left above liquid that fills what is closed
_LEAST_G: Final = 0.01 * G_MM_S2  # less lets go of the liquid


def starts(
    cavity: Cavity,
    volume: float,
    acceleration_mm_s2: float,
    *,
    direction: Vector = (1.0, 0.0, 0.0),
    name: str = "start",
    duration: Duration = "minutes",
    density_kg_m3: float = WATER_KG_M3,
    gravity: Vector = (0.0, 0.0, -G_MM_S2),
    ramp_s: float | None = None,
    panel_s: float | None = None,
    rise_mm: float | None = None,
) -> tuple[LiquidCase, ...]:
    """Every load of a rig that starts suddenly along `direction`, and whose drive then drops.

    Args:
        cavity, volume, density_kg_m3, gravity: the liquid at rest; gravity in mm/s2.
        acceleration_mm_s2: its size.
        direction: any length.
        name, duration: of the case.
        ramp_s, panel_s: how long the acceleration takes to come on, and the period of the slowest wet panel
            (`waves.panel`); from three periods on the blow counts once.
        rise_mm: how high its waves stand at the wall, where that is known of a whole move; else twice the steady rise.

    Raises:
        SeamwrightError: a negative acceleration, a ramp or period that is none.
        NotCovered: liquid in what is not an upright box or cylinder is pushed sideways; nearly weightless; it falls onto a lid.
    """
    push = pushed_along(direction, acceleration_mm_s2)
    at_rest = settle(cavity, volume, finite_vector(gravity, "gravity"), density_kg_m3=density_kg_m3)
    move = _Move(rest=at_rest, push=push, factor=_factor(ramp_s, panel_s), name=name, duration=duration, rise=rise_mm)
    return tuple(move.cases())


def _factor(ramp_s: float | None, panel_s: float | None) -> float:
    """How often the blow counts."""
    for value, what in ((ramp_s, "ramp"), (panel_s, "period of a panel")):
        if value is not None and not (finite(value) and value >= 0.0):
            raise SeamwrightError(f"{what}: {value!r} s, must be finite and not negative")
    if ramp_s is None or panel_s is None or ramp_s < RAMP_PERIODS * panel_s * (1.0 - 1e-9):
        return SUDDEN
    return 1.0


@dataclass(frozen=True, kw_only=True)
class _Move:
    """A sudden start: the liquid at rest, the push, how often its blow counts."""

    rest: Settled
    push: Vector
    factor: float
    name: str
    duration: Duration
    rise: float | None = None

    @property
    def gravity(self) -> Vector:
        return self.rest.gravity

    @property
    def along(self) -> float:
        """The part of the push against gravity, mm/s2."""
        return sum(a * u for a, u in zip(self.push, self.rest.up, strict=True))

    @property
    def side(self) -> Vector:
        """What is square to it."""
        x, y, z = (a - self.along * u for a, u in zip(self.push, self.rest.up, strict=True))
        return (x, y, z) if math.hypot(x, y, z) > _SQUARE * math.hypot(*self.gravity) else (0.0, 0.0, 0.0)

    def cases(self) -> Iterator[LiquidCase]:
        yield self._blow()
        pull = math.hypot(*self.gravity) + self.along  # what still holds the liquid down
        if self.rest.kept_mm3 == 0.0:
            return
        steady = self._steady(self.push)
        if pull <= 0.0 and steady.liquid.kept_mm3 > _ALL * self.rest.kept_mm3:
            raise NotCovered("it drops away from its liquid, which strikes the lid: how hard is not calculated")
        if any(self.side) and pull > _LEAST_G:
            wave = self._steady(_sum(self.push, _times(self.side, self._slopes(pull) - 1.0)))
            load = replace(wave.load, dynamic_factor=SUDDEN, source=f"{STEADY_SOURCE}; {_WAVE_SOURCE}")
            yield replace(wave, load=load, wave=self._wave(pull))
            if wave.liquid.lost_mm3 > 0.0:
                yield steady
        elif steady.liquid.lost_mm3 > 0.0:
            yield steady
        if steady.liquid.kept_mm3 > 0.0:
            yield self._drop(steady.liquid)

    def _slopes(self, pull: float) -> float:
        """How many times as steep as under the steady push the surface stands in the waves."""
        return SUDDEN if self.rise is None else SUDDEN * self.rise * pull / wave_rise(self.rest, self.side)[0]

    def _steady(self, push: Vector) -> LiquidCase:
        size = math.hypot(*push)
        return slide(
            self.rest.cavity,
            self.rest.given_mm3,
            size,
            direction=push if size else (1.0, 0.0, 0.0),
            name=self.name,
            duration=self.duration,
            density_kg_m3=self.rest.density_kg_m3,
            gravity=self.gravity,
        )

    def _wave(self, pull: float) -> Wave:
        rise, height = wave_rise(self.rest, self.side)
        return Wave(
            rise_mm=rise / pull,
            height_mm=height / pull,
            freeboard_mm=self.rest.freeboard_mm,
            depth_mm=self.rest.level_mm - self.rest.lowest_mm,
        )

    def _blow(self) -> LiquidCase:
        """All of it still in place."""
        down = max(self.along, -math.hypot(*self.gravity))  # what falls faster leaves the liquid behind
        field = Struck(
            rest=self.rest, share=self.factor * down / math.hypot(*self.gravity), push=_times(self.side, self.factor)
        )
        return self._struck(field, _times(self.push, self.factor), self.rest)

    def _drop(self, steady: Settled) -> LiquidCase:
        """From the steady push to none; thrown up, to free fall."""
        fall = math.hypot(*self.gravity) + self.along if self.along > 0.0 else 0.0
        change = _sum(_times(self.side, -1.0), _times(self.rest.up, -fall))
        flat = (
            self.rest
            if steady.lost_mm3 == 0.0
            else settle(self.rest.cavity, steady.kept_mm3, self.gravity, density_kg_m3=self.rest.density_kg_m3)
        )
        field = Struck(
            rest=steady, share=-self.factor if fall else 0.0, push=_times(self.side, -self.factor), flat=flat
        )
        return self._struck(field, _sum(self.push, _times(change, self.factor)), steady)

    def _struck(self, field: Struck, acceleration: Vector, liquid: Settled) -> LiquidCase:
        source = f"{STEADY_SOURCE}; {_BLOW_SOURCE}" + (f"; {SUDDEN_SOURCE}" if self.factor != 1.0 else "")
        load = LoadCase(
            name=self.name,
            duration=self.duration,
            gravity=self.gravity,
            acceleration=acceleration,
            pressure=field,
            dynamic_factor=self.factor,
            source=source,
        )
        return LiquidCase(load=load, liquid=liquid)


def wave_rise(rest: Settled, side: Vector) -> tuple[float, float]:
    """Twice the steady rise of liquid that is pushed suddenly, square to gravity, at the place that rises most; and how high
    the higher of its waves is, along and across, by 41 modes: both times gravity (mm2/s2)."""
    cavity, depth = rest.cavity, rest.level_mm - rest.lowest_mm
    ends = cavity.upright_box
    if ends is None:
        low, high = cavity.body.span(_unit(side))
        rise = (high - low) * math.hypot(*side)
        return rise, rise
    spans = [(high - low, abs(push)) for low, high, push in zip(*ends, side, strict=True) if push]
    return (
        sum(span * push for span, push in spans),
        max(highest_wave(span, depth) * span * push for span, push in spans),
    )


class Struck:
    """The pressure of settled liquid that is struck: its own, a share more of that, and the blow of a push sideways.

    Below nil at a wall that the tank runs away from: what a panel feels that swings back is no less than that.
    """

    def __init__(self, *, rest: Settled, share: float, push: Vector, flat: Settled | None = None) -> None:
        """`push` with its factor, mm/s2; `flat`: the liquid with its surface level, where `rest` is not."""
        self._rest, self._share = rest, share
        self._blow = blow(flat or rest, push) if any(push) and rest.kept_mm3 > 0.0 else None

    def __call__(self, face: str, points: Array) -> Array:
        places = face_of(self._rest.cavity, face, points)
        found = self._rest.pressure(places) * (1.0 + self._share)
        return found if self._blow is None else found + self._blow(places)


def blow(rest: Settled, push: Vector) -> BoxBlow | RoundBlow | _Whole:
    """The pressure of liquid at rest whose tank is pushed at once, square to gravity (mm/s2).

    Pieces that stand in it count as liquid: their own mass is pushed by the same walls.

    Raises:
        NotCovered: no upright box or cylinder.
    """
    cavity = rest.cavity
    if not cavity.openings and rest.freeboard_mm <= _FULL * (rest.limit_mm - rest.lowest_mm):
        return _Whole(rest=rest, push=push)
    depth = rest.level_mm - rest.lowest_mm
    upright = math.hypot(rest.up[0], rest.up[1]) < _SQUARE
    sideways, density = (push[0], push[1]), rest.density_kg_m3
    if upright and cavity.cylinder is not None and math.hypot(*cavity.cylinder.axis[:2]) < _SQUARE:
        base = cavity.cylinder.base
        return RoundBlow(
            middle=(base[0], base[1], rest.lowest_mm),
            radius=cavity.cylinder.radius_mm,
            depth=depth,
            push=sideways,
            density_kg_m3=density,
        )
    ends = None if cavity.slopes else cavity.upright_box
    if upright and ends is not None:
        (x0, y0, _), (x1, y1, _) = ends
        return BoxBlow(
            middle=((x0 + x1) / 2.0, (y0 + y1) / 2.0, rest.lowest_mm),
            length=x1 - x0,
            width=y1 - y0,
            depth=depth,
            push=sideways,
            density_kg_m3=density,
        )
    raise NotCovered(
        "liquid that is pushed suddenly in what is not an upright box or cylinder: how it strikes is not calculated"
    )


@dataclass(frozen=True, kw_only=True)
class _Whole:
    """Liquid that fills what is closed: it has no waves, and moves as one piece; nil at the place that presses least."""

    rest: Settled
    push: Vector

    def __call__(self, points: Array) -> Array:
        way = np.array(self.push)
        _, high = self.rest.cavity.body.span(_unit(self.push))
        size = float(np.linalg.norm(way))
        return np.asarray((high - np.asarray(points, float) @ (way / size)) * size * self.rest.density_kg_m3 * 1e-12)


def _unit(push: Vector) -> Vector:
    size = math.hypot(*push)
    return push[0] / size, push[1] / size, push[2] / size


def _times(vector: Vector, factor: float) -> Vector:
    return vector[0] * factor, vector[1] * factor, vector[2] * factor


def _sum(one: Vector, other: Vector) -> Vector:
    return one[0] + other[0], one[1] + other[1], one[2] + other[2]
