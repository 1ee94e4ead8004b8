"""What a rim strip and braces carry: themselves, their joints, their bonds on the walls.

A strip's and a brace's forces are those of the beams that are solved with the tank (`boxes.terms`).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from assemblies.strength.boxes.box import BoxResult
from assemblies.strength.boxes.lines import Line
from assemblies.strength.boxes.setting import FACES, PLANES, WALLS, Brace, Strip, outward
from assemblies.strength.boxes.surface import JOINT, Sheet, principal
from assemblies.strength.boxes.terms import brace_moves
from assemblies.strength.plates.basis import Array
from assemblies.strength.plates.given import rigidity
from assemblies.strength.tank.read import JointRead

__all__ = ["Bar", "brace_reads", "strip_reads"]

_PLACES = np.linspace(0.0, 1.0, 121)
#: Bent level, a strip carries up to this many times what is found where it meets the next one (computed: in solids 0 to 30 %
#: more at the corners of a frame of 40 x 8 mm).
_FRAME = 1.3
_PEAK = 1.5  # of a mean shear: parabolic over a section; and where a bond ends with its wall (judgement)


@dataclass(frozen=True, kw_only=True, eq=False)
class Bar:
    """A strip or brace: its largest stress per load, MPa, and where along it."""

    name: str
    stress: Array
    at: Array


def _bond(name: str, butts: str, stresses: tuple[Array, Array, Array], places: Array) -> JointRead:
    """At its worst place; each stress (loads, places)."""
    peel, pull, shear = stresses
    combined = principal(peel + pull, 0.0, shear)
    best = np.argmax(combined, axis=1)
    loads = np.arange(len(best))
    got = [values[loads, best] for values in (peel, pull, shear, combined)]
    return JointRead(
        name=name, butts=butts, bending=got[0], tension=got[1], shear=got[2], combined=got[3], at=places[best]
    )


def strip_reads(result: BoxResult) -> Iterator[Bar | JointRead]:
    """A strip along each wall, its bond there, and the butt joints of the short ones against the long ones."""
    strip = result.spec.strip
    if strip is None:
        return
    for wall in WALLS:
        sheet = result.sheets[wall]
        ends = [strip.width - result.spec.thick[n] for n, (axis, _) in FACES.items() if axis == sheet.axes[0]]
        places = ends[0] + (sheet.sizes[0] - ends[0] - ends[1]) * _PLACES
        pull, level, upright, shear, twist = _section(strip, sheet, places)
        stress = principal(pull + level + upright, 0.0, np.hypot(shear, twist))
        best = np.argmax(stress, axis=1)
        yield Bar(name=f"rim-{wall}", stress=stress[np.arange(len(best)), best], at=places[best])
        yield _on_wall(result, wall, places)
        if wall in ("left", "right"):
            butt = [JOINT * one[:, [0, -1]] for one in (level + upright, np.maximum(pull, 0.0), np.hypot(shear, twist))]
            for k, long in enumerate(("front", "back")):
                each = (butt[0][:, k : k + 1], butt[1][:, k : k + 1], butt[2][:, k : k + 1])
                yield _bond(f"rim-{wall}-rim-{long}", f"rim-{wall}", each, places[[0, -1]][k : k + 1])


def _section(strip: Strip, sheet: Sheet, places: Array) -> tuple[Array, Array, Array, Array, Array]:
    """Stresses in a strip's section at places along it: pull, bending level and upright (in size), shear across, twist."""
    spec, (n, s, z) = sheet.spec, PLANES[sheet.name]
    axial, level, upright, torsion = strip.stiffness(spec.modulus, spec.poisson)
    inward = -outward(sheet.name)
    inset, rise = inward * strip.inset(sheet.thickness), strip.thickness / 2.0
    top = np.array([sheet.sizes[1]])

    def of(component: int, along: int, up: int = 0) -> Array:
        return sheet.moved(places, top, component, along, up)[:, :, 0]

    area = strip.width * strip.thickness
    pull = axial * (of(s, 1) - inset * of(n, 2) - rise * of(z, 2)) / area
    bent = level * (of(n, 2) + rise * of(n, 2, 1))
    bowed = upright * (of(z, 2) - inset * of(n, 2, 1))
    over = level * (of(n, 3) + rise * of(n, 3, 1))
    down = upright * (of(z, 3) - inset * of(n, 3, 1))
    twist = torsion * np.abs(of(n, 1, 1))
    return (
        pull,
        _FRAME * np.abs(bent) * 6.0 / (strip.thickness * strip.width**2),
        np.abs(bowed) * 6.0 / (strip.width * strip.thickness**2),
        _PEAK * np.hypot(over, down) / area,
        twist * min(strip.width, strip.thickness) / (torsion / (spec.modulus / (2.0 * (1.0 + spec.poisson)))),
    )


def _on_wall(result: BoxResult, wall: str, places: Array) -> JointRead:
    """The bond on a wall's upper edge: what the wall's section brings there, and what the strip holds back of it."""
    sheet, t = result.sheets[wall], result.spec.thick[wall]
    forces = sheet.forces(places, np.array([sheet.sizes[1]])).seen((slice(None), slice(None), 0), swapped=True)
    n, top = PLANES[wall][0], np.array([sheet.sizes[1]])
    bend, nu = rigidity(result.spec.modulus, t, result.spec.poisson), result.spec.poisson
    held = bend * (sheet.moved(places, top, n, 0, 3) + (2.0 - nu) * sheet.moved(places, top, n, 2, 1))[:, :, 0]
    peel, pull = 6.0 * np.abs(forces.m[0]) / t**2, np.maximum(forces.n[0], 0.0) / t
    along = np.abs(forces.n[2]) / t + 6.0 * np.abs(forces.m[2]) / t**2
    return _bond(f"{wall}-rim", wall, (peel, pull, np.hypot(along, _PEAK * np.abs(held) / t)), places)


def brace_reads(result: BoxResult, names: tuple[str, ...]) -> Iterator[Bar | JointRead]:
    """Each brace, and its bond at the worse of its ends."""
    lines = _lines(result)
    for brace, name in zip(result.spec.braces, names, strict=True):
        yield from _brace(result, brace, name, lines)


def _lines(result: BoxResult) -> tuple[Line, Line, Line]:
    front, left = result.sheets["front"].lines, result.sheets["left"].lines
    return front[0], left[0], front[1]


def _brace(result: BoxResult, brace: Brace, name: str, lines: tuple[Line, Line, Line]) -> Iterator[Bar | JointRead]:
    spec = result.spec
    axial, upright, level, torsion = brace.stiffness(spec.modulus, spec.poisson)
    span, moves = spec.spans[brace.axis], brace_moves(spec, brace, lines)
    near, far = (
        {
            what: sum(np.tensordot(result.sheets[n].coefficients, work[0], axes=3) for n, work in move.items())
            for what, move in end.items()
        }
        for end in moves
    )
    wide, thick = brace.width, brace.thickness
    pull = axial / span * (far["along"] - near["along"])
    ends = []
    for turn, move, stiff in (("lean", "up", upright), ("sweep", "across", level)):
        chord = (far[move] - near[move]) / span
        one, other = near[turn] - chord, far[turn] - chord
        ends.append((stiff / span * (4.0 * one + 2.0 * other), stiff / span * (4.0 * other + 2.0 * one)))
    up, side = (np.maximum(np.abs(a), np.abs(b)) for a, b in ends)
    lift, slip = (np.abs(a + b) / span for a, b in ends)
    twist = torsion / span * np.abs(far["turn"] - near["turn"])
    section = np.maximum(pull, 0.0) / (wide * thick) + 6.0 * up / (wide * thick**2) + 6.0 * side / (thick * wide**2)
    at = np.full(len(section), brace.at_mm)
    polar = torsion / (spec.modulus / (2.0 * (1.0 + spec.poisson)))
    yield Bar(name=name, stress=principal(section, 0.0, twist * min(wide, thick) / polar), at=at)
    walls = ("front", "back") if brace.axis == 1 else ("left", "right")
    over = spec.strip.width if spec.strip else min(spec.thick[wall] for wall in walls)
    area, turned = wide * over, wide * over * (wide**2 + over**2) / 12.0
    shear = _PEAK * np.hypot(pull, slip) / area + side * np.hypot(wide, over) / 2.0 / turned
    peel = 6.0 * up / (wide * over**2) + 6.0 * twist / (over * wide**2)
    stresses = tuple(one[:, None] for one in (peel, lift / area, shear))
    yield _bond(
        f"{walls[0]}-{walls[1]}-brace-{brace.at_mm:.0f}", "brace", (stresses[0], stresses[1], stresses[2]), at[:1]
    )
