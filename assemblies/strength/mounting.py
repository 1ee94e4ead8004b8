"""How the whole load goes through the attachment plates: bond, bolts, threads.

All plates on one face act together. The force and moment of a case about the middle of their bonded areas are shared as in
a group of rigid pads: tension by distance from the neutral axes, shear evenly plus torsion by radius (elastic bolt-group
method, Shigley, Mechanical Engineering Design; from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from assemblies.design import Placed, Vector
from assemblies.strength.allowed import allowed_stress, factor_of
from assemblies.strength.basis import Array
from parts.material import Duration, Material
from parts.tapped_plate import full_thread_mm, longest_bolt_mm
from parts.thread import thread

__all__ = ["Group", "GroupLoad", "ThreadLoad", "group_load", "plate_groups", "thread_loads", "tightening_torque_nm"]


@dataclass(frozen=True, kw_only=True)
class Group:
    """All plates whose bonded faces lie in one plane. `outward` is the unit normal from the tank to the rig."""

    plates: tuple[Placed, ...]
    outward: Vector

    @property
    def names(self) -> str:
        return ", ".join(p.name for p in self.plates)


@dataclass(frozen=True, kw_only=True)
class GroupLoad:
    """What a case does to a group's bond, MPa.

    Attributes:
        tension: largest pull across the bond (peel included), 0 when it only presses. shear: largest in its plane.
        combined: largest principal stress of the two. allowed: for the duration, with the joint's share.
        force_n, moment_nmm: on the tank about the bond's middle.
        use: combined over allowed.
    """

    tension: float
    shear: float
    combined: float
    allowed: float
    force_n: Vector
    moment_nmm: Vector
    use: float


@dataclass(frozen=True, kw_only=True)
class ThreadLoad:
    """The worst bolt of a plate: pull and shear (N), what its thread may hold (N), bearing (MPa)."""

    plate: str
    thread: str
    pull_n: float
    shear_n: float
    engagement_mm: float
    area_mm2: float
    holds_n: float
    bearing_mpa: float
    use: float


def plate_groups(placed: Sequence[Placed], tank_centre: Vector) -> tuple[Group, ...]:
    """Tapped plates grouped by the plane of their inner face."""
    found: dict[tuple[float, ...], list[Placed]] = {}
    normals: dict[tuple[float, ...], Vector] = {}
    for plate in placed:
        if plate.piece.kind != "tapped-plate":
            continue
        width, height, thick = plate.piece.size_mm
        middle = plate.world(width / 2.0, height / 2.0, thick / 2.0)
        away = sum((m - c) * z for m, c, z in zip(middle, tank_centre, plate.z, strict=True))
        sign = 1.0 if away >= 0.0 else -1.0
        out = (sign * plate.z[0], sign * plate.z[1], sign * plate.z[2])
        face = plate.world(0.0, 0.0, 0.0 if sign > 0 else thick)
        level = sum(f * o for f, o in zip(face, out, strict=True))
        key = (*(round(o, 6) for o in out), round(level, 4))
        found.setdefault(key, []).append(plate)
        normals[key] = out
    return tuple(Group(plates=tuple(p), outward=normals[key]) for key, p in found.items())


def _frame(group: Group) -> tuple[Array, Array, Array]:
    n = np.array(group.outward)
    first = np.array(group.plates[0].x)
    return first, np.cross(n, first), n


def _share(
    force: Array,
    moment: Array,
    points: Array,
    weights: Array,
    inertia: tuple[float, float],
    frame: tuple[Array, Array, Array],
) -> tuple[Array, Array]:
    """Normal and in-plane stress (or force, with unit weights) at points about the group's middle (n x 2)."""
    e1, e2, n = frame
    total = weights.sum()
    i1, i2 = inertia  # about e1 and e2
    pull = (force @ n) / total + np.zeros(len(points))
    if i1 > 0.0:
        pull = pull + (moment @ e1) * points[:, 1] / i1
    if i2 > 0.0:
        pull = pull - (moment @ e2) * points[:, 0] / i2
    polar = i1 + i2
    twist = (moment @ n) / polar if polar > 0.0 else 0.0
    shear1 = (force @ e1) / total - twist * points[:, 1]
    shear2 = (force @ e2) / total + twist * points[:, 0]
    return pull, np.hypot(shear1, shear2)


def _flat(group: Group) -> tuple[Array, Array, Array, tuple[Array, Array, Array]]:
    """Middles of the plates in the group's plane, their sizes, the group's middle in the world, the frame."""
    frame = _frame(group)
    e1, e2, n = frame
    centres, sizes = [], []
    for plate in group.plates:
        width, height, thick = plate.piece.size_mm
        inner = 0.0 if np.dot(plate.z, n) > 0 else thick
        centres.append(plate.world(width / 2.0, height / 2.0, inner))
        along = abs(np.dot(plate.x, e1)) > 0.5
        sizes.append((width, height) if along else (height, width))
    world, boxes = np.array(centres), np.array(sizes)
    areas = boxes[:, 0] * boxes[:, 1]
    middle = (world * areas[:, None]).sum(axis=0) / areas.sum()
    flat = np.stack([(world - middle) @ e1, (world - middle) @ e2], axis=1)
    return flat, boxes, middle, frame


def group_load(
    group: Group,
    force_n: Vector,
    at_mm: Vector,
    material: Material,
    duration: Duration,
    *,
    bonded: float,
    joint: float,
    environment: float,
    factor: float,
) -> GroupLoad:
    """The bond of a group under the tank's inertia and weight, a force at a point of the world.

    Args:
        force_n: what the tank and its liquid pull with.
        at_mm: their common centre of mass.
        bonded: the share of each plate's area that counts until it is inspected.
        joint, environment, factor: as in `allowed_stress`.
    """
    flat, boxes, middle, frame = _flat(group)
    areas = boxes[:, 0] * boxes[:, 1] * bonded
    own1 = boxes[:, 0] * boxes[:, 1] ** 3 / 12.0 * bonded
    own2 = boxes[:, 1] * boxes[:, 0] ** 3 / 12.0 * bonded
    inertia = (
        float((own1 + areas * flat[:, 1] ** 2).sum()),
        float((own2 + areas * flat[:, 0] ** 2).sum()),
    )
    force = -np.array(force_n)  # what the rig gives back pulls the plates outward when the tank pulls away
    moment = np.cross(np.array(at_mm) - middle, force)
    corners = np.concatenate([flat + boxes / 2.0 * np.array(s) for s in ((1, 1), (1, -1), (-1, 1), (-1, -1))])
    pull, shear = _share(force, moment, corners, areas, inertia, frame)
    tension, sheared = np.maximum(pull, 0.0), shear
    combined = tension / 2.0 + np.sqrt((tension / 2.0) ** 2 + sheared**2)
    allowed = allowed_stress(material, duration, environment=environment, joint=joint, factor=factor).value
    return GroupLoad(
        tension=float(tension.max()),
        shear=float(sheared.max()),
        combined=float(combined.max()),
        allowed=allowed,
        force_n=(float(force[0]), float(force[1]), float(force[2])),
        moment_nmm=(float(moment[0]), float(moment[1]), float(moment[2])),
        use=float(combined.max()) / allowed,
    )


def thread_loads(
    group: Group,
    force_n: Vector,
    at_mm: Vector,
    material: Material,
    duration: Duration,
    *,
    environment: float,
    factor: float,
) -> tuple[ThreadLoad, ...]:
    """The worst bolt of each plate: shares of the bolt group, pull-out by the standard's internal-thread shear area.

    The stress that may shear the thread is the design stress over the square root of 3 (von Mises).
    """
    _, _, middle, frame = _flat(group)
    e1, e2, n = frame
    world, owners = [], []
    for plate in group.plates:
        for hole in plate.piece.holes:
            if hole.thread is not None:
                world.append(plate.world(hole.x_mm, hole.y_mm, 0.0))
                owners.append((plate, hole))
    if not owners:
        return ()
    places = np.array(world)
    centre = places.mean(axis=0)
    flat = np.stack([(places - centre) @ e1, (places - centre) @ e2], axis=1)
    # the bolts' plane is the outside of the plates; the bond's middle serves as its height: conservative by a plate
    heart = centre + n * float((middle - centre) @ n)
    force = -np.array(force_n)
    moment = np.cross(np.array(at_mm) - heart, force)
    inertia = (float((flat[:, 1] ** 2).sum()), float((flat[:, 0] ** 2).sum()))
    pulls, shears = _share(force, moment, flat, np.ones(len(flat)), inertia, frame)
    out: dict[str, ThreadLoad] = {}
    limit = allowed_stress(material, duration, environment=environment, factor=factor).value
    for (plate, hole), pull, shear in zip(owners, pulls, shears, strict=True):
        assert hole.thread is not None
        length = full_thread_mm(hole, plate.piece.thickness_mm)
        area = thread(hole.thread).internal_shear_area_mm2(length)
        holds = area * limit / math.sqrt(3.0)
        pull, shear = max(0.0, float(pull)), float(shear)
        bearing = shear / (hole.diameter_mm * length) if length > 0.0 else math.inf
        use = max(pull / holds if holds > 0.0 else math.inf, bearing / limit)
        load = ThreadLoad(
            plate=plate.name,
            thread=hole.thread,
            pull_n=pull,
            shear_n=shear,
            engagement_mm=length,
            area_mm2=area,
            holds_n=holds,
            bearing_mpa=bearing,
            use=use,
        )
        if plate.name not in out or load.use > out[plate.name].use:
            out[plate.name] = load
    return tuple(out.values())


def tightening_torque_nm(plate: Placed, material: Material, factor: float = 1.0) -> float | None:
    """The torque not to exceed: it stays in the thread for good, so the permanent design stress counts.

    Source: T = K F d with K from the table `strength_factors`.
    """
    hole = next((h for h in plate.piece.holes if h.thread is not None), None)
    if hole is None or hole.thread is None:
        return None
    length = full_thread_mm(hole, plate.piece.thickness_mm)
    area = thread(hole.thread).internal_shear_area_mm2(length)
    holds = area * allowed_stress(material, "permanent", factor=factor).value / math.sqrt(3.0)
    return factor_of("bolt_nut_factor") * holds * hole.diameter_mm / 1000.0


def longest_bolt(plate: Placed) -> float:
    """The deepest reach of a bolt into a plate whose back is closed, mm."""
    return longest_bolt_mm(plate.piece.holes[0], plate.piece.thickness_mm)
