"""What is said and shown of planned spins: findings, rows of the report, texts, curves."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any, Final

import numpy as np

from assemblies.motion.drive.motor import motor_findings
from assemblies.motion.plans.limits import limit, limit_source
from assemblies.motion.plans.spin import PARTS, PlannedSpin, SpunLiquid
from assemblies.motion.spin.vortex import vortex
from assemblies.motion.told.finding import said, unheld
from assemblies.report.blocks import Block, Para, Rows
from assemblies.report.panels import Curve, Limit, Panel
from parts.findings import Finding, Taken

__all__ = ["spin_blocks", "spin_findings", "spin_panels", "spin_rows", "spin_taken"]

_SURFACE: Final = "forced vortex (White, Fluid Mechanics, ch. 2; from memory), held to quadrature"
_RIM_MM: Final = 61  # places across the surface


def spin_findings(one: PlannedSpin) -> Iterator[Finding]:
    """Of one spin: what leaves, what holds it, what stands around it, how it is balanced."""
    liquid = one.liquid
    if liquid is not None and liquid.spilled > 0.0:
        from_rpm = one.spills_from
        slow = "it is full to the rim" if from_rpm is None else f"from {from_rpm:.0f} rpm on"
        why = (
            f"spills: at {one.rpm:.0f} rpm {liquid.spilled / 1e6:.3f} L run over the rim ({slow}): the surface stands "
            f"{liquid.rise:.0f} mm higher at the wall than in the middle"
        )
        do = "fill less, spin more slowly, or hold it in with a screwed lid (one that is laid on is lifted off)"
        yield said("stop", one.spec.name, why, do, _SURFACE)
    if not one.turned:
        why = "nothing bolts it to what turns it: it has neither a flange on plates nor the boss of a motor"
        do = 'support kind = "plates" with a flange, or the boss of a motor'
        yield said("stop", one.spec.name, why, do, "judgement: what only stands on a turntable walks off it")
    if not one.held:
        yield unheld(one.spec.name, "spins")
    if not one.spec.guard:
        why = (
            f"no guard stands around it: its rim runs at {one.rim_speed:.1f} m/s, a quarter of it flies with "
            f"{one.fragment:.1f} J, and {one.energy:.1f} J turn in all"
        )
        do = "put a guard around it that stops such a piece (ISO 14120), nobody in its plane; write guard = true"
        yield said(
            "stop",
            one.spec.name,
            why,
            do,
            f"computed: half of mass and speed squared; {limit_source('largest_fragment')}",
        )
    yield from _balanced(one)
    yield from motor_findings(one.spec.name, one.motor)


def _balanced(one: PlannedSpin) -> Iterator[Finding]:
    allowed = one.allowed
    if one.off <= allowed.off_mm * (1.0 + 1e-9):
        return
    known = one.spec.off_centre is not None or one.built > allowed.off_mm
    less = one.mass_kg * (one.off - allowed.off_mm)
    why = (
        f"the middle of its {one.mass_kg:.1f} kg lies {one.off:.2f} mm off the axis"
        f"{'' if one.spec.off_centre is not None else f' (as drawn {one.built:.2f} mm, the rest is taken)'}; balance grade "
        f"G {one.grade:g} of ISO 21940-11 allows {allowed.off_mm:.2f} mm at {one.rpm:.0f} rpm: it pulls sideways with "
        f"{one.pulls:.1f} N that turn with it, where {allowed.force_n:.1f} N are allowed"
    )
    do = (
        f"balance it: {1000.0 * less / one.rim:.0f} g or more at its rim opposite the heavy side, or spin more slowly; then "
        f'write off-centre = "{math.floor(100.0 * allowed.off_mm) / 100.0:.2f} mm" or what is left'
    )
    yield said(
        "stop" if known else "care",
        one.spec.name,
        why,
        do,
        f"computed: grade over speed; {limit_source('balance_grade_slow')}",
    )


def spin_taken(one: PlannedSpin) -> Iterator[Taken]:
    """Where the order is silent."""
    name = one.spec.name
    if one.spec.ramp is None:
        yield Taken(
            what=f"how long it takes up to its speed: {name}",
            value=one.ramp,
            unit="s",
            why="the torque of its drive",
            say="[[case]] ramp",
            weight=3.0,
        )
    if one.spec.off_centre is None:
        yield Taken(
            what=f"how far its mass lies off the axis: {name}",
            value=round(one.off, 3),
            unit="mm",
            why="how hard it shakes what carries it",
            say="[[case]] off-centre",
            weight=2.0,
        )


def spin_rows(one: PlannedSpin) -> dict[str, Any]:
    """`motion.moves` of the report; rpm, mm, s, N, N m, J."""
    liquid, hoop, allowed = one.liquid, one.hoop, one.allowed
    return {
        "speed": one.rpm,
        "ramp": one.ramp,
        "hold": one.hold,
        "time": float(one.samples[0][-1]),
        "turns": float(one.samples[1][-1]) / math.tau,
        "follows": one.follows or None,
        "liquid": None
        if liquid is None
        else {
            "closed": liquid.closed,
            "rise": liquid.rise,
            "centre": max(liquid.vertex, 0.0),
            "dry": liquid.dry,
            "edge": min(liquid.edge, liquid.height),
            "head": liquid.edge,
            "height": liquid.height,
            "depth": liquid.depth,
            "wets_lid_from": liquid.wets if liquid.closed and liquid.wets < liquid.radius else None,
            "lift": liquid.lift,
            "spilled_L": liquid.spilled / 1e6,
            "spills_from": one.spills_from,
            "dries_from": one.dries_from,
            "sloshes_at": one.sloshes_at,
            "by_speed": list(_by_speed(one)),
        },
        "hoop": None if hoop is None else {"pressure": hoop.pressure, "spin": hoop.thin_spin, "stress": hoop.thick},
        "balance": {
            "grade": one.grade,
            "off": one.off,
            "built": one.built,
            "allowed": allowed.off_mm,
            "force": one.pulls,
            "allowed_force": allowed.force_n,
            "unbalance": one.mass_kg * one.off,
            "allowed_unbalance": allowed.unbalance,
        },
        "rim": one.rim,
        "rim_speed": one.rim_speed,
        "energy": one.energy,
        "fragment": one.fragment,
        "guard": one.spec.guard,
        "mass": one.mass_kg,
        "inertia": one.inertia,
        "torque": one.torque / 1000.0,
        "power": one.torque / 1000.0 * one.omega,
        "pictures_per_s": one.spec.pictures,
    }


def _by_speed(one: PlannedSpin) -> Iterator[dict[str, Any]]:
    """An open vessel at each part of its speed."""
    liquid = one.liquid
    assert liquid is not None
    if liquid.closed:
        return
    for part in PARTS:
        found = vortex(liquid.radius, liquid.height, liquid.depth, part * one.omega)
        yield {
            "rpm": part * one.rpm,
            "centre": found.centre,
            "edge": found.edge,
            "dry": found.dry,
            "spilled_L": found.spilled / 1e6,
        }


def spin_blocks(move: Mapping[str, Any]) -> Iterator[Block]:
    """Texts and tables of one, from its rows."""
    liquid, hoop, even = move["liquid"], move["hoop"], move["balance"]
    if liquid is not None:
        yield Para(text=_stands(liquid))
        if liquid["by_speed"]:
            yield Rows(
                title="The surface by speed",
                header=("rpm", "middle mm", "at the wall mm", "dry radius mm", "spilled L"),
                rows=[
                    (
                        f"{r['rpm']:.0f}",
                        f"{r['centre']:.1f}",
                        f"{r['edge']:.1f}",
                        f"{r['dry']:.1f}",
                        f"{r['spilled_L']:.3f}",
                    )
                    for r in liquid["by_speed"]
                ],
                right="rrrrr",
                note="over the floor, once the liquid turns as fast as the tube",
            )
        yield Para(
            text=f"The liquid follows in about {move['follows']:.0f} s, give or take a factor of two (judgement), and turns "
            f"on as long when the tube has stopped. At rest its first wave goes round at {liquid['sloshes_at']:.0f} rpm: near "
            "that speed what is off the axis makes it swing, so pass it without a halt."
        )
    if hoop is not None:
        yield Para(
            text=f"Around the tube {hoop['stress']:.3f} MPa, of which {hoop['spin']:.4f} MPa by its own mass; what bending "
            "adds at its foot is under Loads."
        )
    yield Rows(
        title=f"Balance: grade G {even['grade']:g} of ISO 21940-11 (taken: G 16 under "
        f"{limit('balance_slow_under'):.0f} rpm, else G 6.3)",
        header=("", "off the axis mm", "kg mm", "N"),
        rows=[
            ("as ordered or taken", f"{even['off']:.2f}", f"{even['unbalance']:.2f}", f"{even['force']:.2f}"),
            ("allowed", f"{even['allowed']:.2f}", f"{even['allowed_unbalance']:.2f}", f"{even['allowed_force']:.2f}"),
        ],
        right="lrrr",
    )
    guard = "A guard stands around it, as ordered: it" if move["guard"] else "It has no guard: one"
    yield Para(
        text=f"{move['energy']:.1f} J turn at full speed, {move['rim_speed']:.1f} m/s at the rim. {guard} must stop a quarter "
        f"of what turns at the speed of the rim, {move['fragment']:.1f} J; nobody stands in the plane that it turns in."
    )
    yield Rows(
        title=f"Drive: {move['torque']:.3f} N m to start and stop it, {move['speed']:.0f} rpm",
        header=("up in s", "at speed s", "turns in all", "N m", "W", "kg mm2"),
        rows=[
            (
                f"{move['ramp']:.0f}",
                f"{move['hold']:.0f}",
                f"{move['turns']:.1f}",
                f"{move['torque']:.3f}",
                f"{move['power']:.1f}",
                f"{move['inertia']:.0f}",
            )
        ],
        right="rrrrrr",
        note="at the axis, without friction and without a safety; all of the liquid taken to turn along",
    )


def _stands(liquid: Mapping[str, Any]) -> str:
    text = f"The surface rises {liquid['rise']:.1f} mm from middle to wall: "
    text += (
        f"the floor is dry out to {liquid['dry']:.1f} mm from the axis"
        if liquid["dry"] > 0.0
        else f"it stands {liquid['centre']:.1f} mm over the floor in the middle"
    )
    text += f" and {liquid['edge']:.1f} mm over it at the wall, of {liquid['height']:.1f} mm."
    if liquid["closed"]:
        return text + (
            f" It stands against the lid from {liquid['wets_lid_from']:.1f} mm off the axis on, and lifts it with "
            f"{liquid['lift']:.1f} N."
            if liquid["wets_lid_from"] is not None
            else " It does not reach the lid."
        )
    if liquid["spills_from"] is not None:
        text += f" It spills from {liquid['spills_from']:.0f} rpm on,"
    return f"{text} {'' if liquid['spills_from'] is None else 'and '}the floor is bared from {liquid['dries_from']:.0f} rpm on."


def spin_panels(one: PlannedSpin) -> Iterator[tuple[str, tuple[Panel, ...], str]]:
    """What is drawn of one: the end of its picture's key, what it shows, words for it."""
    times, angles, rates, _ = one.samples
    thin = slice(None, None, max(len(times) // 400, 1))
    yield (
        "schedule",
        (
            Panel(x="s", y="turns", curves=(Curve(name="", x=times[thin], y=angles[thin] / math.tau),)),
            Panel(x="s", y="rpm", curves=(Curve(name="", x=times[thin], y=rates[thin] * 60.0 / math.tau),)),
        ),
        f"Turns and speed of {one.spec.name} over time",
    )
    if one.liquid is not None:
        yield (
            "surface",
            (_across(one.liquid),),
            f"The surface of the liquid in {one.spec.name} at full speed, with the rim",
        )


def _across(liquid: SpunLiquid) -> Panel:
    r = np.linspace(-liquid.radius, liquid.radius, _RIM_MM)
    return Panel(
        x="mm from the axis",
        y="mm over the floor",
        curves=(
            Curve(name="at full speed", x=r, y=liquid.level(r)),
            Curve(name="at rest", x=r, y=np.full(_RIM_MM, liquid.depth)),
        ),
        limits=(Limit(name="lid" if liquid.closed else "rim", value=liquid.height),),
    )
