"""The curves of planned moves, for whoever draws them: the schedule with its limits, levels at the walls, the surface at its
key moments, kept volume and torque over the tilt."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Final

import numpy as np

from assemblies.liquid.waves.modes import rect_shapes
from assemblies.motion.plans.moves import Moves, PlannedSlide, PlannedTurn
from assemblies.motion.schedule import slugs
from assemblies.motion.told.spun import spin_panels
from assemblies.motion.told.thrown import throw_panels
from assemblies.report.panels import Curve, Limit, Panel

__all__ = ["move_panels"]

_SAMPLES: Final = 400
_AFTER: Final = 2.0  # periods after the stop that are shown
_ALONG: Final = 41  # places along the surface


def move_panels(moves: Moves) -> Mapping[str, tuple[tuple[Panel, ...], str]]:
    """By the key of its picture, what it shows and words for it."""
    short = slugs(moves.names)
    out: dict[str, tuple[tuple[Panel, ...], str]] = {}
    for one in moves.slides:
        key, name = f"move-{short[one.spec.name]}", one.spec.name
        out[f"{key}-schedule"] = (
            tuple(_path(one)),
            f"Place, speed and acceleration of {name} over time, with their limits",
        )
        if one.plan.pool is not None:
            out[f"{key}-rise"] = (_levels(one),), f"Level at each wall over time in {name}, with rim and limit"
            surface = tuple(_surface(one))
            if surface:
                out[f"{key}-surface"] = surface, f"The surface at key moments of {name}, with the rim"
    for turn in moves.turns:
        key, name = f"move-{short[turn.spec.name]}", turn.spec.name
        out[f"{key}-schedule"] = tuple(_leaning(turn)), f"Tilt and flow of {name} over time"
        out[f"{key}-kept"] = tuple(_over_tilt(turn)), f"Kept volume and torque about the pivot over the tilt of {name}"
    for spin in moves.spins:
        out |= {f"move-{short[spin.spec.name]}-{end}": (panels, words) for end, panels, words in spin_panels(spin)}
    for throw in moves.throws:
        out |= {f"move-{short[throw.spec.name]}-{end}": (panels, words) for end, panels, words in throw_panels(throw)}
    return out


def _path(one: PlannedSlide) -> Iterator[Panel]:
    path, spec = one.plan.path, one.spec
    times = np.unique(np.concatenate([np.linspace(0.0, path.time, _SAMPLES), path.times]))
    place, speed, push = path.at(times)
    assert spec.speed is not None
    assert spec.speed.mm_s is not None
    assert spec.acceleration is not None
    top, most = spec.speed.mm_s / 1000.0, spec.acceleration
    yield Panel(x="s", y="place m", curves=(Curve(name="", x=times, y=place / 1000.0),))
    yield Panel(
        x="s",
        y="speed m/s",
        curves=(Curve(name="", x=times, y=speed / 1000.0),),
        limits=(Limit(name="most", value=top),),
    )
    yield Panel(
        x="s",
        y="acceleration m/s2",
        curves=(Curve(name="", x=times, y=push / 1000.0),),
        limits=(Limit(name="most", value=most), Limit(name="", value=-most)),
    )


def _levels(one: PlannedSlide) -> Panel:
    pool, path = one.plan.pool, one.plan.path
    assert pool is not None
    end = path.time + _AFTER * math.tau / float(pool.swing.omega.min())
    times = np.linspace(0.0, end, 2 * _SAMPLES)
    levels = pool.levels(pool.swing.along(path, times))
    curves = [Curve(name=name, x=times, y=levels[:, k]) for k, (name, _) in enumerate(pool.names)]
    curves += [Curve(name=name, x=times, y=-levels[:, k]) for k, (_, name) in enumerate(pool.names)]
    limits = [Limit(name="rim", value=pool.freeboard)]
    if pool.limit < pool.freeboard:
        limits.append(Limit(name="a fifth of the depth", value=pool.limit))
    return Panel(x="s", y="level mm", curves=tuple(curves), limits=tuple(limits))


def _surface(one: PlannedSlide) -> Iterator[Panel]:
    """Along a box that is moved along one side: level, highest at either end, and at the stop."""
    pool, path = one.plan.pool, one.plan.path
    if pool is None or len(pool.dims) != 3 or len(pool.names) != 1:
        return
    length, x = pool.dims[0], np.linspace(-0.5, 0.5, _ALONG)
    shapes = rect_shapes(x, len(pool.swing.waves)).T
    times = pool.swing.times(path)
    state = pool.swing.along(path, times)
    ahead = pool.levels(state)[:, 0]
    for k in sorted({int(ahead.argmin()), int(ahead.argmax()), int(abs(times - path.time).argmin())}):
        level = Curve(name="", x=x * length, y=shapes @ state.q[k] + pool.depth)
        rim = Limit(name="rim", value=pool.depth + pool.freeboard)
        rest = Curve(name="at rest", x=x * length, y=np.full(_ALONG, pool.depth))
        yield Panel(x=f"mm, at {times[k]:.2f} s", y="surface mm", curves=(level, rest), limits=(rim,))


def _leaning(one: PlannedTurn) -> Iterator[Panel]:
    plan = one.plan
    yield Panel(x="s", y="tilt degrees", curves=(Curve(name="", x=plan.times, y=np.degrees(plan.angles)),))
    if plan.peak_flow > 0.0:
        flows = [Curve(name="by the schedule", x=plan.times, y=plan.flows / 1e6)]
        if plan.real is not None:
            flows.append(Curve(name="as it runs", x=plan.times, y=plan.real.flows / 1e6))
        yield Panel(x="s", y="flow L/s", curves=tuple(flows))


def _over_tilt(one: PlannedTurn) -> Iterator[Panel]:
    out, back = one.plan.out, one.plan.back
    here = out.angles <= one.plan.angles.max() + 1e-9
    tilt = np.degrees(out.angles[here])
    yield Panel(x="degrees", y="kept L", curves=(Curve(name="", x=tilt, y=out.kept[here] / 1e6),))
    torques = [Curve(name="out", x=tilt, y=out.torques[here] / 1000.0)]
    if one.plan.turns_back < len(one.plan.times):
        torques.append(Curve(name="back", x=np.degrees(back.angles), y=back.torques / 1000.0))
    yield Panel(
        x="degrees", y="torque N m", curves=tuple(torques), limits=(Limit(name="drives it on above", value=0.0),)
    )
