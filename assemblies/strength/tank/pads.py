"""Attachment plates on the tank: which face carries what, what they do to a wall, how they peel off a bending floor."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from assemblies.design.model import Design
from assemblies.strength.bonds.allowed import Allowed
from assemblies.strength.bonds.bolts import edge_loads, thread_loads
from assemblies.strength.bonds.mounting import Group, group_load, pad_pull, plate_groups
from assemblies.strength.boxes.box import BoxResult
from assemblies.strength.boxes.setting import OnPlates, Pad
from assemblies.strength.plates.basis import Array
from assemblies.strength.proof.uses import Loaded, MountUse, SeamUse, Settings
from assemblies.strength.tank.model import TankModel
from parts.findings import Finding
from parts.vectors import Vector

__all__ = ["groups_of", "mount_uses", "pad_findings", "peel_uses", "shares", "wall_pads"]

_LOOK = np.linspace(0.0, 1.0, 21)  # places across a pad at which the bond is looked at


def groups_of(design: Design, model: TankModel, settings: Settings) -> tuple[Group, ...]:
    """The groups of plates that carry the tank; none when it is not carried by plates."""
    if settings.support != "plates":
        return ()
    x, y, z = (p + s / 2.0 for p, s in zip(model.low, model.size, strict=True))
    return plate_groups(design.placed, (x, y, z))


def shares(groups: Sequence[Group]) -> float:
    """What part of the load each group is taken to carry.

    Two groups on opposite walls carry half each. Any other set is statically indeterminate: each is proven for the whole
    load (judgement, safe for plates and bond).
    """
    if len(groups) == 2:
        a, b = (g.outward for g in groups)
        if sum(p * q for p, q in zip(a, b, strict=True)) < -0.999:
            return 0.5
    return 1.0


def _shared(force: Vector, share: float) -> Vector:
    x, y, z = (f * share for f in force)
    return x, y, z


def wall_pads(groups: Sequence[Group], model: TankModel, case: Loaded) -> dict[str, tuple[Pad, ...]]:
    """What plates bonded to walls put into them: the pull of rigid pads, each over its own face."""
    share = shares(groups)
    found = {}
    for group in groups:
        panel = _panel_of(group)
        if panel != "bottom":
            found[panel] = _pads_on(group, model, panel, _shared(case.force_n, share), case.centre_mm)
    return found


def _panel_of(group: Group) -> str:
    x, y, z = group.outward
    if abs(z) > 0.5:
        return "bottom"
    if abs(x) > 0.5:
        return "right" if x > 0 else "left"
    return "back" if y > 0 else "front"


def _pads_on(group: Group, model: TankModel, panel: str, force: Vector, at: Vector) -> tuple[Pad, ...]:
    """The pads of a group on a wall, as far as they lie on it between the inner faces of its neighbours."""
    pads, (even, slope1, slope2) = pad_pull(group, force, at)
    e1, e2, _ = pads.frame
    sides = (model.size[panel in ("left", "right")], model.size[2])

    def pull(u: Array, v: Array) -> Array:
        off = model.world(panel, u, v) - pads.middle
        return np.asarray(even + slope1 * (off @ e1) + slope2 * (off @ e2))

    found = []
    for centre, size in zip(pads.centres, pads.sizes, strict=True):
        ends = [pads.middle + (centre[0] + k * size[0]) * e1 + (centre[1] + k * size[1]) * e2 for k in (-0.5, 0.5)]
        inside = np.array([model.inside_uv(panel, (float(x), float(y), float(z))) for x, y, z in ends])
        low, high = np.clip(inside.min(axis=0), 0.0, sides), np.clip(inside.max(axis=0), 0.0, sides)
        if np.all(high > low):
            corners = (float(low[0]), float(low[1])), (float(high[0]), float(high[1]))
            found.append(Pad(low=corners[0], high=corners[1], pressure=pull))
    return tuple(found)


def mount_uses(groups: Sequence[Group], model: TankModel, case: Loaded, settings: Settings) -> list[MountUse]:
    """Bond and threads of every group in a case."""
    force, duration = _shared(case.force_n, shares(groups)), case.load.duration
    out = []
    for group in groups:
        bond = group_load(
            group,
            force,
            case.centre_mm,
            model.material,
            duration,
            bonded=settings.bonded,
            joint=settings.joint,
            environment=settings.environment,
            factor=settings.factor,
        )
        threads = thread_loads(
            group,
            force,
            case.centre_mm,
            group.plates[0].piece.sheet.substance,
            duration,
            environment=settings.environment,
            factor=settings.factor,
        )
        edges = edge_loads(
            group,
            force,
            case.centre_mm,
            group.plates[0].piece.sheet.substance,
            duration,
            bonded=settings.bonded,
            joint=settings.joint,
            environment=settings.environment,
            factor=settings.factor,
        )
        out.append(MountUse(case=case.name, group=group, bond=bond, threads=threads, edges=edges))
    return out


def peel_uses(
    mounts: Sequence[MountUse], model: TankModel, case: Loaded, result: BoxResult, settings: Settings, allowed: Allowed
) -> Iterator[SeamUse]:
    """The bond between floor and plates where the bending floor lifts off them: stiffness of the bond times the lift.

    The bond is as stiff as the floor's sheet across its thickness (judgement, the box's own figure); with the shear of the
    group it is in, as the largest principal stress.
    """
    if not isinstance(model.base, OnPlates) or "bottom" not in result.panels:
        return
    floor = result.panels["bottom"]
    stiff = model.base.stiffness or model.material.modulus_mpa / model.thickness["bottom"]
    below = [(p.name, m.bond.shear) for m in mounts if _panel_of(m.group) == "bottom" for p in m.group.plates]
    length, width, _ = model.size
    for (name, shear), (x0, x1, y0, y1) in zip(below, model.base.rectangles, strict=True):
        u, v = np.clip(x0 + (x1 - x0) * _LOOK, 0.0, length), np.clip(y0 + (y1 - y0) * _LOOK, 0.0, width)
        bent = floor.bent
        w = bent.grid((u + bent.origin[0]) / bent.element.width, (v + bent.origin[1]) / bent.element.height).w
        i, j = np.unravel_index(int(np.argmin(w)), w.shape)
        peel = max(0.0, -float(w[i, j])) * stiff / settings.bonded
        yield SeamUse(
            case=case.name,
            seam=f"bottom-{name}",
            butts=name,
            bending=peel,
            tension=0.0,
            shear=shear,
            combined=peel / 2.0 + float(np.hypot(peel / 2.0, shear)),
            allowed=allowed,
            at_mm=float(u[i]),
        )


def pad_findings(groups: Sequence[Group]) -> Iterator[Finding]:
    """What has been assumed about plates."""
    walls = sorted({_panel_of(g) for g in groups} - {"bottom"})
    if walls:
        yield Finding(
            level="note",
            check="strength",
            where=", ".join(walls),
            why="the plates on it are taken as rigid pads that push and pull on the wall; the wall under them is counted "
            "no thicker",
            source="elastic bolt-group method with rigid pads (Shigley, Mechanical Engineering Design; from memory)",
        )
    if len(groups) > 1 and shares(groups) == 1.0:
        yield Finding(
            level="care",
            check="strength",
            where="support",
            why="plates on several faces: which of them carries is not known, so each face is proven for the whole load",
            do="carry it by the plates of one face, or of two opposite walls",
            source="judgement",
        )
