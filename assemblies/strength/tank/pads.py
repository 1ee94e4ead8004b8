"""Attachment plates on the tank: which face carries what, and how they peel off where the panel lifts off them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from assemblies.design.model import Design
from assemblies.strength.bonds.allowed import Allowed
from assemblies.strength.bonds.bolts import ThreadLoad, edge_loads, thread_loads
from assemblies.strength.bonds.mounting import Group, group_load, plate_groups
from assemblies.strength.boxes.box import BoxResult
from assemblies.strength.boxes.setting import PLANES, Pad, outward
from assemblies.strength.boxes.terms import layer_stiffness
from assemblies.strength.plates.basis import Array, gauss
from assemblies.strength.proof.uses import Loaded, MountUse, SeamUse, Settings
from assemblies.strength.tank.model import TankModel
from parts.findings import Finding
from parts.vectors import Vector

__all__ = ["Lifts", "clamps", "groups_of", "mount_uses", "pad_findings", "peel_uses", "pulls"]

_LOOK = np.linspace(0.0, 1.0, 21)  # places across a plate at which the bond is looked at
_POINTS = 16  # along each side of a plate, where its pull is added up
#: Where little load goes over an edge the lift is not settled: at least this share of the plate's largest movement is taken
#: (computed: 0.24 um in a solid where 0.04 to 0.20 were found, beside 2.2). Where much goes over it the layer's pull is 1.2 to
#: 1.7 times the mean strain of the solid's (the true peak is singular).
LEAST: Final = 0.1
_UNSURE = 1.25  # what plates on two opposite walls take in bending is by one method only


def groups_of(design: Design, model: TankModel, settings: Settings) -> tuple[Group, ...]:
    """The groups of plates that carry the tank; none when it is not carried by plates."""
    if settings.support != "plates":
        return ()
    x, y, z = (p + s / 2.0 for p, s in zip(model.low, model.size, strict=True))
    return plate_groups(design.carried, (x, y, z), [f for f in design.fasteners if f.piece not in design.left_behind])


def _opposite(groups: Sequence[Group]) -> bool:
    return len(groups) == 2 and sum(p * q for p, q in zip(*(g.outward for g in groups), strict=True)) < -0.999


def pulls(groups: Sequence[Group], model: TankModel, result: BoxResult, cases: Sequence[Loaded]) -> list[list[_Pull]]:
    """Per case what each group is pulled with, and at which point of the world.

    One group carries all. Two on opposite walls carry what their layers say, bending taken larger by what is in doubt. Any
    other set depends on how stiff the rig is: each is proven for the whole load (judgement, safe for plates and bond).
    """
    if not _opposite(groups):
        return [[(case.force_n, case.centre_mm) for _ in groups] for case in cases]
    each = [_layer_pull(group, model, result) for group in groups]
    return [[_at_point(group, *pull, k) for group, pull in zip(groups, each, strict=True)] for k in range(len(cases))]


_Pull = tuple[Vector, Vector]
#: Each plate of a group by itself, and what its own layer is pulled with.
Clamps = tuple[tuple[Group, _Pull], ...]


def clamps(groups: Sequence[Group], model: TankModel, result: BoxResult, loads: int) -> list[list[Clamps]]:
    """Per load and group what each of several plates holds down by itself, as the tank that bends between them turns it.

    The whole of a group is in balance by statics; that the plates clamp the floor between them pulls at their own bolts
    besides, and only the field knows by how much.
    """
    own = [
        [replace(group, plates=(plate,)) for plate in group.plates] if len(group.plates) > 1 else [] for group in groups
    ]
    found = [[(one, _layer_pull(one, model, result)) for one in ones] for ones in own]
    return [[tuple((one, _at_point(one, *pull, k)) for one, pull in ones) for ones in found] for k in range(loads)]


def _at_point(group: Group, force: Array, moment: Array, k: int) -> _Pull:
    """A force and a moment about a group's middle as the same force at another point."""
    pull, turn = force[k], _UNSURE * moment[k]
    x, y, z = group.pads.middle + np.cross(pull, turn) / max(float(pull @ pull), 1e-12)
    return (float(pull[0]), float(pull[1]), float(pull[2])), (float(x), float(y), float(z))


def _layer_pull(group: Group, model: TankModel, result: BoxResult) -> tuple[Array, Array]:
    """What the tank pulls a group's plates with, N, and about their middle, N mm: (loads, 3) each."""
    force = moment = np.zeros((next(iter(result.sheets.values())).coefficients.shape[0], 3))
    nodes, weights = gauss(_POINTS)
    for placed in group.plates:
        pad = model.pads[placed.name]
        sheet, (n, i, j), side = result.sheets[pad.panel], PLANES[pad.panel], outward(pad.panel)
        low, high = _clipped(model, pad)
        a, b = low[0] + (high[0] - low[0]) * nodes, low[1] + (high[1] - low[1]) * nodes
        area = (high[0] - low[0]) * (high[1] - low[1]) * np.outer(weights, weights)
        press, slide = layer_stiffness(model.spec, pad)
        lever = side * slide * pad.thickness / 2.0
        pull = np.zeros((len(force), 3, *area.shape))
        pull[:, n] = press * sheet.moved(a, b, n)
        pull[:, i] = slide * sheet.moved(a, b, i) - lever * sheet.moved(a, b, n, 1, 0)
        pull[:, j] = slide * sheet.moved(a, b, j) - lever * sheet.moved(a, b, n, 0, 1)
        pull *= area
        arm = np.zeros((3, *area.shape))
        arm[i] = a[:, None] + model.low[i] - group.pads.middle[i]
        arm[j] = b[None, :] + model.low[j] - group.pads.middle[j]
        force = force + pull.sum(axis=(2, 3))
        moment = moment + np.cross(arm[None], pull, axis=1).sum(axis=(2, 3))
    return force, moment


def _clipped(model: TankModel, pad: Pad) -> tuple[Array, Array]:
    """A plate's corners as far as its panel goes, inside coordinates."""
    a0, a1, b0, b1 = model.spec.under(pad)
    off = np.array([model.spec.offsets[k] for k in PLANES[pad.panel][1:]])
    return np.array([a0, b0]) - off, np.array([a1, b1]) - off


def _worst_threads(threads: Sequence[ThreadLoad]) -> tuple[ThreadLoad, ...]:
    """Of each plate the load that uses its threads most."""
    worst: dict[str, ThreadLoad] = {}
    for one in threads:
        if one.plate not in worst or (one.use, one.pull_n) > (worst[one.plate].use, worst[one.plate].pull_n):
            worst[one.plate] = one
    return tuple(worst.values())


def mount_uses(
    groups: Sequence[Group],
    pulled: Sequence[_Pull],
    clamped: Sequence[Clamps],
    model: TankModel,
    case: Loaded,
    settings: Settings,
) -> list[MountUse]:
    """Bond and threads of every group in a case."""
    duration, out = case.load.duration, []
    for group, (force, at), alone in zip(groups, pulled, clamped, strict=True):
        bond = group_load(
            group,
            force,
            at,
            model.material,
            duration,
            bonded=settings.bonded,
            joint=settings.joint,
            environment=settings.environment,
            factor=settings.factor,
        )
        substance = group.plates[0].piece.sheet.substance
        threads = _worst_threads(
            [
                load
                for pads, (pull, where) in ((group, (force, at)), *alone)
                for load in thread_loads(
                    pads, pull, where, substance, duration, environment=settings.environment, factor=settings.factor
                )
            ]
        )
        edges = edge_loads(
            group,
            force,
            at,
            group.plates[0].piece.sheet.substance,
            duration,
            bonded=settings.bonded,
            joint=settings.joint,
            environment=settings.environment,
            factor=settings.factor,
        )
        out.append(MountUse(case=case.name, group=group, bond=bond, threads=threads, edges=edges))
    return out


class Lifts:
    """Per plate how far the panel lifts off it at most under each load, or is taken to, the share of that which is in doubt,
    and where (mm along the panel)."""

    def __init__(self, model: TankModel, result: BoxResult) -> None:
        self.peel: dict[str, Array] = {}
        self.at: dict[str, Array] = {}
        self.doubt: dict[str, Array] = {}
        for name, pad in model.pads.items():
            low, high = _clipped(model, pad)
            a, b = low[0] + (high[0] - low[0]) * _LOOK, low[1] + (high[1] - low[1]) * _LOOK
            out = result.sheets[pad.panel].outward(a, b).reshape(-1, len(a) * len(b))
            best = np.argmin(out, axis=1)
            lift = np.maximum(-out.min(axis=1), 0.0)
            press, _ = layer_stiffness(model.spec, pad)
            taken = np.maximum(lift, LEAST * np.abs(out).max(axis=1))
            self.peel[name], self.doubt[name] = press * taken, 1.0 - lift / np.maximum(taken, 1e-12)
            self.at[name] = a[best // len(b)]


def peel_uses(
    mounts: Sequence[MountUse],
    lifts: Lifts,
    k: int,
    model: TankModel,
    case: Loaded,
    settings: Settings,
    allowed: Allowed,
) -> Iterator[SeamUse]:
    """The bond between a panel and its plates where the bending panel lifts off them: stiffness of the layer times the lift;
    with the shear of the group it is in, as the largest principal stress."""
    shear = {plate.name: m.bond.shear for m in mounts for plate in m.group.plates}
    for name, pad in model.pads.items():
        peel = float(lifts.peel[name][k]) / settings.bonded
        yield SeamUse(
            case=case.name,
            seam=f"{pad.panel}-{name}",
            butts=name,
            bending=peel,
            tension=0.0,
            shear=shear[name],
            combined=peel / 2.0 + float(np.hypot(peel / 2.0, shear[name])),
            allowed=allowed,
            at_mm=float(lifts.at[name][k]),
            doubt=float(lifts.doubt[name][k]),
        )


def pad_findings(groups: Sequence[Group]) -> Iterator[Finding]:
    """What has been assumed about plates."""
    if len(groups) > 1 and not _opposite(groups):
        yield Finding(
            level="care",
            check="strength",
            where="support",
            why="plates on several faces: what each bond carries depends on how stiff the rig is, so each face is proven for "
            "the whole load, and the tank as held by all of them",
            do="carry it by the plates of one face, or of two opposite walls",
            source="judgement",
        )
