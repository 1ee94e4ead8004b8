"""How the whole load goes through the attachment plates: bond, bolts, threads.

All plates on one face act together. The force and moment of a case about the middle of their bonded areas are shared as in
a group of rigid pads: tension by distance from the neutral axes, shear evenly plus torsion by radius (elastic bolt-group
method, Shigley, Mechanical Engineering Design; from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from assemblies.design.model import Placed
from assemblies.strength.bonds.allowed import allowed_stress, factor_of
from assemblies.strength.plates.basis import Array
from parts.shape.piece import Hole
from parts.shape.tapped import full_thread_mm, longest_bolt_mm
from parts.stock.material import Duration, Material
from parts.stock.thread import thread
from parts.vectors import Vector

__all__ = [
    "Group",
    "GroupLoad",
    "Pads",
    "ThreadLoad",
    "group_load",
    "longest_bolt",
    "pad_pull",
    "plate_groups",
    "thread_loads",
    "tightening_torque_nm",
]

_CORNERS = ((1, 1), (1, -1), (-1, 1), (-1, -1))
_HEAD = 1.5  # width of a bolt's head or washer, in diameters of its clearance hole
_NO_THREAD_MM = 1e-6  # a plate so thin that no thread is left: the use is then huge, but a number


@dataclass(frozen=True, kw_only=True, eq=False)
class Pads:
    """The bonded faces of a group in its plane.

    Attributes:
        centres, sizes: of the pads in the plane, mm (n, 2), from the middle of all.
        middle: the middle in the world. frame: two directions in the plane and its normal, from the tank to the rig.
    """

    centres: Array
    sizes: Array
    middle: Array
    frame: tuple[Array, Array, Array]

    @property
    def corners(self) -> Array:
        """The corners of every pad in the plane (4 n, 2)."""
        return np.concatenate([self.centres + self.sizes / 2.0 * np.array(s) for s in _CORNERS])

    def reaction(self, force_n: Vector, at_mm: Vector) -> tuple[Array, Array]:
        """What the rig gives back (force, and moment about the middle) to a tank that pulls with a force at a point."""
        force = -np.array(force_n)
        return force, np.cross(np.array(at_mm) - self.middle, force)


@dataclass(frozen=True, kw_only=True)
class Group:
    """All plates whose bonded faces lie in one plane. `outward` is the unit normal from the tank to the rig."""

    plates: tuple[Placed, ...]
    outward: Vector

    @property
    def names(self) -> str:
        return ", ".join(p.name for p in self.plates)

    @cached_property
    def pads(self) -> Pads:
        """The bonded faces in their plane."""
        n, e1 = np.array(self.outward), np.array(self.plates[0].x)
        e2 = np.cross(n, e1)
        centres, sizes = [], []
        for plate in self.plates:
            width, height, thick = plate.piece.size_mm
            centres.append(plate.world(width / 2.0, height / 2.0, 0.0 if np.dot(plate.z, n) > 0 else thick))
            sizes.append((width, height) if abs(np.dot(plate.x, e1)) > 0.5 else (height, width))
        world, boxes = np.array(centres), np.array(sizes)
        areas = boxes[:, 0] * boxes[:, 1]
        middle = (world * areas[:, None]).sum(axis=0) / areas.sum()
        flat = np.stack([(world - middle) @ e1, (world - middle) @ e2], axis=1)
        return Pads(centres=flat, sizes=boxes, middle=middle, frame=(e1, e2, n))


def pad_pull(group: Group, force_n: Vector, at_mm: Vector) -> tuple[Pads, Array]:
    """The pads, and their pull on the tank's face as (at the middle, per mm along the two directions), MPa: rigid pads."""
    pads = group.pads
    areas = pads.sizes[:, 0] * pads.sizes[:, 1]
    tensor = _tensor(pads.centres, areas, areas[:, None] * pads.sizes**2 / 12.0)
    force, moment = pads.reaction(force_n, at_mm)
    e1, e2, n = pads.frame
    slope = np.linalg.solve(tensor, np.array([-(moment @ e2), moment @ e1]))
    return pads, np.array([force @ n / areas.sum(), *slope])


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
    """The worst bolt of a plate: pull and shear (N), what its thread or its head may hold (N), bearing (MPa).

    `thread` is the thread's designation, or the hole that the bolt goes through to what the plate is bolted to; then
    `engagement_mm` is the plate's thickness and `area_mm2` what the head presses on.
    """

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
    """Plates to mount it by, grouped by the plane of their inner face."""
    found: dict[tuple[float, ...], list[Placed]] = {}
    normals: dict[tuple[float, ...], Vector] = {}
    for plate in placed:
        if plate.piece.role != "mount":
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


def _tensor(points: Array, weights: Array, own: Array) -> Array:
    """Second moments about the origin, [[x x, x y], [x y, y y]]; `own` (n, 2) is what each adds about its own middle."""
    xx, yy = (float((own[:, k] + weights * points[:, k] ** 2).sum()) for k in (0, 1))
    xy = float((weights * points[:, 0] * points[:, 1]).sum())
    return np.array([[xx, xy], [xy, yy]])


def _share(
    force: Array,
    moment: Array,
    points: Array,
    total: float,
    tensor: Array,
    frame: tuple[Array, Array, Array],
    rim: Array,
) -> tuple[Array, Array]:
    """Normal and in-plane stress (or force, when `total` is a count) at points about the group's middle (n, 2).

    A moment that a single bolt or a straight row of them cannot carry by unequal pulls is carried by prying: every bolt
    pulls the same, the plates' nearer edge (`rim`: their corners) presses.
    """
    e1, e2, n = frame
    pull = (force @ n) / total + np.zeros(len(points))
    bent = np.array([-(moment @ e2), moment @ e1])
    sizes, ways = np.linalg.eigh(tensor)
    for size, way in zip(sizes, ways.T, strict=True):
        along = float(bent @ way)
        if size > 1e-6 * total:
            pull = pull + along / size * (points @ way)
        elif abs(along) > 1e-9:
            ends = rim @ way
            pull = pull + abs(along) / (total * max(min(float(ends.max()), -float(ends.min())), 1e-3))
    polar = float(np.trace(tensor))
    turn = float(moment @ n)
    twist = turn / polar if polar > 1e-6 * total else 0.0
    shear1 = (force @ e1) / total - twist * points[:, 1]
    shear2 = (force @ e2) / total + twist * points[:, 0]
    held = 0.0 if twist or abs(turn) <= 1e-9 else abs(turn) / float(np.linalg.norm(rim, axis=1).max()) / total
    return pull, np.hypot(shear1, shear2) + held


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
    pads = group.pads
    areas = pads.sizes[:, 0] * pads.sizes[:, 1] * bonded
    tensor = _tensor(pads.centres, areas, areas[:, None] * pads.sizes**2 / 12.0)
    force, moment = pads.reaction(force_n, at_mm)
    pull, shear = _share(force, moment, pads.corners, float(areas.sum()), tensor, pads.frame, pads.corners)
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
    """The worst bolt of each plate: shares of the bolt group, pull-out by the standard's internal-thread shear area; of a bolt
    that goes through, by the bearing of its head.

    The stress that may shear the thread is the design stress over the square root of 3 (von Mises).
    """
    pads = group.pads
    e1, e2, n = pads.frame
    world, owners = [], []
    holds_by = "tapped" if any(h.thread for p in group.plates for h in p.piece.holes) else "through"
    for plate in group.plates:
        outer = plate.piece.thickness_mm if np.dot(plate.z, n) > 0 else 0.0
        for hole in plate.piece.holes:
            if hole.kind == holds_by:
                world.append(plate.world(hole.x_mm, hole.y_mm, outer))
                owners.append((plate, hole))
    if not owners:
        return ()
    places = np.array(world)
    centre = places.mean(axis=0)  # in the plane of the rig, where the bolts leave the plates
    flat = np.stack([(places - centre) @ e1, (places - centre) @ e2], axis=1)
    rim = pads.corners + np.array([(pads.middle - centre) @ e1, (pads.middle - centre) @ e2])
    force = -np.array(force_n)
    moment = np.cross(np.array(at_mm) - centre, force)
    tensor = _tensor(flat, np.ones(len(flat)), np.zeros((len(flat), 2)))
    pulls, shears = _share(force, moment, flat, float(len(flat)), tensor, pads.frame, rim)
    out: dict[str, ThreadLoad] = {}
    limit = allowed_stress(material, duration, environment=environment, factor=factor).value
    for (plate, hole), pull, shear in zip(owners, pulls, shears, strict=True):
        length, area, holds = _held(hole, plate.piece.thickness_mm, limit)
        pull, shear = max(0.0, float(pull)), float(shear)
        bearing = shear / (hole.diameter_mm * max(length, _NO_THREAD_MM))
        use = max(pull / max(holds, _NO_THREAD_MM), bearing / limit)
        load = ThreadLoad(
            plate=plate.name,
            thread=hole.thread or f"{hole.diameter_mm:g} mm hole",
            pull_n=pull,
            shear_n=shear,
            engagement_mm=length,
            area_mm2=area,
            holds_n=holds,
            bearing_mpa=bearing,
            use=use,
        )
        if plate.name not in out or (load.use, load.pull_n) > (out[plate.name].use, out[plate.name].pull_n):
            out[plate.name] = load
    return tuple(out.values())


def _held(hole: Hole, thickness_mm: float, limit_mpa: float) -> tuple[float, float, float]:
    """Length (mm), area (mm2) and what it holds (N): the thread's shear area, or the ring that a head presses on.

    A head, or its washer, is taken as one and a half times as wide as its clearance hole (judgement: a socket head of ISO 4762
    is about that; a washer of ISO 7089 is wider).
    """
    if hole.thread is not None:
        length = full_thread_mm(hole, thickness_mm)
        area = thread(hole.thread).internal_shear_area_mm2(length)
        return length, area, area * limit_mpa / math.sqrt(3.0)
    ring = math.pi / 4.0 * hole.diameter_mm**2 * (_HEAD**2 - 1.0)
    return thickness_mm, ring, ring * limit_mpa


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
