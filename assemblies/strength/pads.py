"""Attachment plates on the tank: which face carries what, what they do to a wall, how they peel off a bending floor."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.polynomial.legendre import legval2d, legvander

from assemblies.design import Design, Vector
from assemblies.strength.allowed import Allowed
from assemblies.strength.basis import Array, gauss
from assemblies.strength.box import BoxResult
from assemblies.strength.mounting import Group, group_load, pad_pull, plate_groups, thread_loads
from assemblies.strength.setting import OnPlates
from assemblies.strength.tank_model import Field, TankModel
from assemblies.strength.uses import Loaded, MountUse, SeamUse, Settings
from parts.findings import Finding

__all__ = ["groups_of", "mount_uses", "pad_findings", "peel_uses", "shares", "wall_pads"]

_DEGREE = (
    16  # of the pads' pressure: of 10 to 24, where stresses have settled to 2 % and the plates' integrals still reach
)
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


def wall_pads(groups: Sequence[Group], model: TankModel, case: Loaded) -> dict[str, Field]:
    """What plates bonded to walls put into them: the pull of rigid pads, as a pressure outward (MPa)."""
    share = shares(groups)
    found = {}
    for group in groups:
        panel = _panel_of(group)
        if panel != "bottom":
            found[panel] = _pad_field(group, model, panel, _shared(case.force_n, share), case.centre_mm)
    return found


def _panel_of(group: Group) -> str:
    x, y, z = group.outward
    if abs(z) > 0.5:
        return "bottom"
    if abs(x) > 0.5:
        return "right" if x > 0 else "left"
    return "back" if y > 0 else "front"


def _pad_field(group: Group, model: TankModel, panel: str, force: Vector, at: Vector) -> Field:
    """The pull of rigid pads as the smooth pressure that does the same work on every polynomial up to _DEGREE each way.

    A plate's functions are polynomials, and their integrals are taken at too few places to see the steps at a pad's edges.
    """
    pads, (even, slope1, slope2) = pad_pull(group, force, at)
    e1, e2, _ = pads.frame
    sides = np.array(
        [*model.size[:2]] if panel == "bottom" else [model.size[panel in ("left", "right")], model.size[2]]
    )
    nodes, weights = gauss(_DEGREE // 2 + 2)  # exact for a straight pressure times a polynomial
    table = np.zeros((_DEGREE + 1, _DEGREE + 1))
    for centre, size in zip(pads.centres, pads.sizes, strict=True):
        ends = [pads.middle + (centre[0] + k * size[0]) * e1 + (centre[1] + k * size[1]) * e2 for k in (-0.5, 0.5)]
        inside = np.array([model.inside_uv(panel, (float(x), float(y), float(z))) for x, y, z in ends])
        low, high = np.clip(inside.min(axis=0), 0.0, sides), np.clip(inside.max(axis=0), 0.0, sides)
        u, v = (a + (b - a) * nodes for a, b in zip(low, high, strict=True))
        off = model.world(panel, *np.meshgrid(u, v, indexing="ij")) - pads.middle
        pull = even + slope1 * (off @ e1) + slope2 * (off @ e2)
        left, right = (
            legvander(2.0 * x / side - 1.0, _DEGREE) * (weights * step)[:, None]
            for x, side, step in zip((u, v), sides, high - low, strict=True)
        )
        table += left.T @ pull @ right
    norm = 2.0 * np.arange(_DEGREE + 1) + 1.0
    table *= np.outer(norm / sides[0], norm / sides[1])

    def of(u: Array, v: Array) -> Array:
        return np.asarray(legval2d(2.0 * u / sides[0] - 1.0, 2.0 * v / sides[1] - 1.0, table))

    return of


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
        out.append(MountUse(case=case.name, group=group, bond=bond, threads=threads))
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
        yield Finding(
            level="care",
            check="strength",
            where=", ".join(walls),
            why="the wall's bending right beside the plates is rounded off: stresses there are 7 to 15 % low where a plate is "
            "a sixth of the wall's length or more, up to 45 % low where it is a sixteenth; deflections are within 1 %",
            do="keep the use of that wall under 0.65, or take larger plates",
            source="computed: the same box with three times as many functions",
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
