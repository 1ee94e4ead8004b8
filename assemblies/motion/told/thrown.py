"""What is said and shown of planned throws: findings, rows of the report, texts, curves."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any, Final

import numpy as np

from assemblies.liquid.engine import G_MM_S2
from assemblies.motion.plans.throw import EFFICIENCY, PlannedThrow
from assemblies.motion.told.finding import said, unheld
from assemblies.report.blocks import Block, Para, Rows
from assemblies.report.panels import Curve, Panel
from parts.findings import Finding, Taken
from parts.tables import load

__all__ = ["throw_blocks", "throw_findings", "throw_panels", "throw_rows", "throw_taken"]

_SAMPLES: Final = 61
_MECHANICS: Final = "mechanics: whatever is slowed harder than gravity leaves behind anything loose in it"


def throw_findings(one: PlannedThrow) -> Iterator[Finding]:
    """Of one throw: what holds it, what stands around it, what leaves, what its stop takes."""
    if not one.held:
        yield unheld(one.spec.name, "is thrown")
    if not one.spec.guard:
        why = (
            f"no guard stands around it: {one.mass_kg:.1f} kg come up at {one.speed / 1000.0:.2f} m/s with {one.energy:.1f} J, "
            f"and would rise {one.height:.0f} mm if nothing stopped them"
        )
        do = "put a guard around it and over it (ISO 14120), nobody over or before it; write guard = true"
        yield said("stop", one.spec.name, why, do, "computed: mechanics")
    if one.lost > 0.0:
        why = (
            f"on its slanted way up {one.lost / 1e6:.3f} L spill over the wall behind already, before its stop: what leaves "
            "at the stop is so much less"
        )
        yield said(
            "care",
            one.spec.name,
            why,
            "throw it steeper, less hard, or fill less",
            "computed: free surface square to the push",
        )
    if one.end.leaves and one.volume > 0.0:
        why = (
            f"its stop takes {one.end.deceleration / 1000.0:.0f} m/s2, more than gravity: all {one.volume / 1e6:.2f} L leave "
            f"the cup and rise up to {one.height:.0f} mm, {one.aloft:.2f} s in the air"
        )
        if one.reach:
            why += f", and {one.reach:.0f} mm aside"
        yield said("care", one.spec.name, why, "nobody over or before it, nothing electric where it lands", _MECHANICS)
    yield from _stop(one)


def _stop(one: PlannedThrow) -> Iterator[Finding]:
    takes, given = one.takes, one.spec.absorbs
    what = "cushion" if one.spec.stop == "cushioned" else "bumper"
    why = f"its {what} must take {takes:.2f} J at each shot, the drive still on"
    if takes > one.end.energy:
        why += ", when it is fired empty"
    if given is None:
        do = "hold that against the data sheet of the cylinder, and write absorbs; over it, a shock absorber outside"
        yield said(
            "care", one.spec.name, why, do, "computed: energy of what moves, and the work of the drive along the stop"
        )
    elif takes > given:
        why += f", and takes {given:.2f} J: it strikes through"
        do = "less pressure, a shock absorber outside, or a larger bore with a longer cushion"
        yield said(
            "stop", one.spec.name, why, do, "computed: energy of what moves, and the work of the drive along the stop"
        )


def throw_taken(one: PlannedThrow) -> Iterator[Taken]:
    """Where the order is silent."""
    name, spec = one.spec.name, one.spec
    if spec.supply is None and spec.reservoir is None:
        yield Taken(
            what=f"what feeds its cylinder: {name}",
            value="any amount of air",
            why="its speed: so it is the most",
            say="[[case]] supply, reservoir",
            weight=3.0,
        )
    if spec.cushion is None:
        yield Taken(
            what=f"the way of its stop: {name}",
            value=one.cushion,
            unit="mm",
            why="how hard it is stopped",
            say="[[case]] cushion",
            weight=2.0,
        )


def throw_rows(one: PlannedThrow) -> dict[str, Any]:
    """`motion.moves` of the report; bar, mm, s, N, m/s, J, MPa, L."""
    spec, run, end = one.spec, one.run, one.end
    assert spec.pressure is not None
    return {
        "bore": spec.bore,
        "series": one.series,
        "rod": one.rod,
        "pressure": spec.pressure * 10.0,
        "stroke": spec.stroke,
        "angle": math.degrees(one.steep),
        "mass": one.mass_kg,
        "thrust": one.force,
        "thrust_sold": one.pushes,
        "acceleration": run.acceleration / 1000.0,
        "time": one.run.time,
        "speed": one.speed / 1000.0,
        "bounds": {
            "thrust": run.speed / 1000.0,
            "fed": _m(one.fed),
            "surges": _m(one.surges),
            "reservoir": _m(one.shut_in),
        },
        "floor_mpa": run.floor_mpa,
        "depth": one.depth,
        "spilled_L": one.lost / 1e6,
        "stop": {
            "kind": spec.stop,
            "way": one.cushion,
            "deceleration": end.deceleration / 1000.0,
            "leaves": end.leaves,
            "let_off": end.let_off_n,
            "driven": end.driven_n,
            "energy": end.energy,
            "absorbs": spec.absorbs,
        },
        "empty": None
        if one.empty is None
        else {
            "speed": one.empty.speed / 1000.0,
            "deceleration": one.empty.end.deceleration / 1000.0,
            "energy": one.empty.end.energy,
            "mass": one.empty.mass_kg,
        },
        "leaves_L": one.volume / 1e6 if end.leaves else 0.0,
        "height": one.height,
        "aloft": one.aloft,
        "reach": one.reach,
        "energy": one.energy,
        "air_L": one.air / 1e6,
        "guard": spec.guard,
    }


def _m(speed: float | None) -> float | None:
    return None if speed is None else speed / 1000.0


def throw_blocks(move: Mapping[str, Any]) -> Iterator[Block]:
    """Texts and tables of one, from its rows: what compressed air can do comes first."""
    air = [row["text"] for row in load("cautions") if row["step"] == "pneumatics"]
    yield Para(text=f"Compressed air first. {' '.join(air)}")
    guard = "A guard stands around it, as ordered." if move["guard"] else "It has no guard yet."
    yield Para(
        text=f"{guard} Nobody over or before it: the first shot is fired from outside the guard, at the pressure that just "
        "lifts it, the hand on the dump valve."
    )
    bounds, stop = move["bounds"], move["stop"]
    names = (
        ("thrust", "full thrust along the stroke, no friction"),
        ("reservoir", "the air that is shut in"),
        ("fed", "what valve and tube feed steadily"),
        ("surges", "how far it may outrun that, swinging on its air"),
    )
    yield Rows(
        title=f"Speed at the end of the stroke: {move['speed']:.2f} m/s at the most",
        header=("bound", "m/s"),
        rows=[(words, f"{bounds[key]:.2f}") for key, words in names if bounds[key] is not None],
        right="lr",
        note="the least of the first two and the greater of the last two; bounds, no forecast: friction and the air before the "
        "piston slow it",
    )
    yield Rows(
        title=f"Cylinder {move['series']}-{move['bore']:g}, {move['pressure']:.1f} bar; {move['mass']:.2f} kg",
        header=("thrust N", f"with {100.0 * EFFICIENCY:.0f} % N", "m/s2", "floor MPa", "free air a shot L"),
        rows=[
            (
                f"{move['thrust']:.0f}",
                f"{move['thrust_sold']:.0f}",
                f"{move['acceleration']:.1f}",
                f"{move['floor_mpa']:.4f}",
                f"{move['air_L']:.2f}",
            )
        ],
        right="rrrrr",
        note="m/s2 and floor by full thrust, not yet sudden; the air is that of a stroke out and back",
    )
    yield Rows(
        title=f"Stop: {stop['kind']}, in {stop['way']:g} mm",
        header=("m/s2", "let off N", "drive on N", "takes J", "by its data sheet J"),
        rows=[
            (
                f"{stop['deceleration']:.0f}",
                f"{stop['let_off']:.0f}",
                f"{stop['driven']:.0f}",
                f"{stop['energy']:.2f}",
                "not said" if stop["absorbs"] is None else f"{stop['absorbs']:.2f}",
            )
        ],
        right="rrrrr",
    )
    empty = move["empty"]
    if empty is not None:
        yield Para(
            text=f"Fired empty, {empty['mass']:.2f} kg, it comes up at {empty['speed']:.2f} m/s at the most, and its stop must "
            f"take {empty['energy']:.2f} J: the harder of the two is held against what its stop takes."
        )
    yield Para(text=_leaves(move))


def _leaves(move: Mapping[str, Any]) -> str:
    if not move["leaves_L"]:
        return "The stop is softer than gravity: the liquid stays in."
    text = (
        f"The stop is harder than gravity: {move['leaves_L']:.2f} L leave the cup, rise up to {move['height']:.0f} mm over its "
        f"place at the stop and are {move['aloft']:.2f} s in the air"
    )
    aside = f", {move['reach']:.0f} mm aside" if move["reach"] else ""
    return f"{text}{aside}; in drops they fly less far."


def throw_panels(one: PlannedThrow) -> Iterator[tuple[str, tuple[Panel, ...], str]]:
    """Speed along the stroke and the stop, and the height of what leaves, at the most that can be."""
    assert one.spec.stroke is not None
    run = np.linspace(0.0, one.spec.stroke, _SAMPLES)
    speed = np.minimum(np.sqrt(2.0 * one.run.acceleration * run), one.speed)
    brake = np.linspace(0.0, one.cushion, _SAMPLES)
    way = Curve(
        name="",
        x=np.concatenate([run, one.spec.stroke + brake]),
        y=np.concatenate([speed, one.speed * np.sqrt(1.0 - brake / one.cushion)]) / 1000.0,
    )
    panels = [Panel(x="mm of the stroke, and of the stop", y="m/s at the most", curves=(way,))]
    if one.end.leaves and one.volume > 0.0:
        times = np.linspace(0.0, one.aloft, _SAMPLES)
        height = one.speed * math.sin(one.steep) * times - G_MM_S2 * times**2 / 2.0
        panels.append(Panel(x="s", y="mm over the stop", curves=(Curve(name="what leaves", x=times, y=height),)))
    yield "schedule", tuple(panels), f"Speed of {one.spec.name} along its stroke, and the flight of what leaves"
