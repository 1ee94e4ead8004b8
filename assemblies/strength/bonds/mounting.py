"""How the whole load goes through the attachment plates and their bond; what their bolts carry stands in `bolts`.

All plates on one face act together. The force and moment of a case about the middle of their bonded areas are shared as in
a group of rigid pads: tension by distance from the neutral axes, shear evenly plus torsion by radius (elastic bolt-group
method, Shigley, Mechanical Engineering Design; from memory).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from assemblies.design.model import Fastener, Placed
from assemblies.strength.bonds.allowed import allowed_stress
from assemblies.strength.bonds.heads import Bolted
from assemblies.strength.plates.basis import Array
from parts.stock.material import Duration, Material
from parts.stock.thread import thread
from parts.vectors import Vector

__all__ = ["Group", "GroupLoad", "Pads", "bolted_of", "group_load", "pad_pull", "plate_groups", "share", "tensor"]

_CORNERS = ((1, 1), (1, -1), (-1, 1), (-1, -1))


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
    """All plates whose bonded faces lie in one plane.

    Attributes:
        outward: the unit normal from the tank to the rig.
        face: the two far corners of the tank's face that they lie on; None where all of each plate is taken as bonded.
        bolted: what the bolts of each plate go through besides, by its name.
    """

    plates: tuple[Placed, ...]
    outward: Vector
    face: tuple[Vector, Vector] | None = None
    bolted: Mapping[str, Bolted] = field(default_factory=dict)

    @property
    def names(self) -> str:
        return ", ".join(p.name for p in self.plates)

    @cached_property
    def pads(self) -> Pads:
        """The bonded faces in their plane: of each plate what lies on the tank's face."""
        n, e1 = np.array(self.outward), np.array(self.plates[0].x)
        e2 = np.cross(n, e1)
        centres, sizes = [], []
        for plate in self.plates:
            low, high = _bonded(plate, self.face, n)
            centres.append((low + high) / 2.0)
            sizes.append((abs((high - low) @ e1), abs((high - low) @ e2)))
        world, boxes = np.array(centres), np.array(sizes)
        areas = boxes[:, 0] * boxes[:, 1]
        middle = (world * areas[:, None]).sum(axis=0) / areas.sum()
        flat = np.stack([(world - middle) @ e1, (world - middle) @ e2], axis=1)
        return Pads(centres=flat, sizes=boxes, middle=middle, frame=(e1, e2, n))


def _bonded(plate: Placed, face: tuple[Vector, Vector] | None, n: Array) -> tuple[Array, Array]:
    """The two far corners of what of a plate's inner face lies on the tank's face."""
    width, height, thick = plate.piece.size_mm
    inner = 0.0 if np.dot(plate.z, n) > 0 else thick
    ends = np.array([plate.world(0.0, 0.0, inner), plate.world(width, height, inner)])
    low, high = ends.min(axis=0), ends.max(axis=0)
    if face is not None:
        across = np.abs(n) < 0.5
        low = np.where(across, np.maximum(low, face[0]), low)
        high = np.where(across, np.minimum(high, face[1]), high)
    return low, high


def pad_pull(group: Group, force_n: Vector, at_mm: Vector) -> tuple[Pads, Array]:
    """The pads, and their pull on the tank's face as (at the middle, per mm along the two directions), MPa: rigid pads."""
    pads = group.pads
    areas = pads.sizes[:, 0] * pads.sizes[:, 1]
    spread = tensor(pads.centres, areas, areas[:, None] * pads.sizes**2 / 12.0)
    force, moment = pads.reaction(force_n, at_mm)
    e1, e2, n = pads.frame
    slope = np.linalg.solve(spread, np.array([-(moment @ e2), moment @ e1]))
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


def plate_groups(
    placed: Sequence[Placed], tank_centre: Vector, fasteners: Sequence[Fastener] = ()
) -> tuple[Group, ...]:
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
    body = _face([p for p in placed if p.piece.role in ("shell", "lid")])
    through = {one.piece: bolted_of(one, placed) for one in fasteners}
    return tuple(Group(plates=tuple(p), outward=normals[key], face=body, bolted=through) for key, p in found.items())


def bolted_of(one: Fastener, placed: Sequence[Placed]) -> Bolted:
    """What a plate's bolts go through; of several of one sort the thinnest."""
    passed = [p.piece for p in placed if p.name in one.through and p.name != one.piece]
    walls = [p.thickness_mm for p in passed if p.role == "shell"]
    backing = [p.thickness_mm for p in passed if p.role == "stiffener"]
    return Bolted(
        screw_mm=thread(one.thread).major_mm, wall_mm=min(walls, default=0.0), backing_mm=min(backing, default=0.0)
    )


def _face(shell: Sequence[Placed]) -> tuple[Vector, Vector] | None:
    """The two far corners of the body, whose sides plates are bonded to; None where there is none."""
    if not shell:
        return None
    corners = np.array([corner for p in shell for corner in p.box])
    (x0, y0, z0), (x1, y1, z1) = corners.min(axis=0), corners.max(axis=0)
    return (float(x0), float(y0), float(z0)), (float(x1), float(y1), float(z1))


def tensor(points: Array, weights: Array, own: Array) -> Array:
    """Second moments about the origin, [[x x, x y], [x y, y y]]; `own` (n, 2) is what each adds about its own middle."""
    xx, yy = (float((own[:, k] + weights * points[:, k] ** 2).sum()) for k in (0, 1))
    xy = float((weights * points[:, 0] * points[:, 1]).sum())
    return np.array([[xx, xy], [xy, yy]])


def share(
    force: Array,
    moment: Array,
    points: Array,
    total: float,
    spread: Array,
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
    sizes, ways = np.linalg.eigh(spread)
    for size, way in zip(sizes, ways.T, strict=True):
        along = float(bent @ way)
        if size > 1e-6 * total:
            pull = pull + along / size * (points @ way)
        elif abs(along) > 1e-9:
            ends = rim @ way
            pull = pull + abs(along) / (total * max(min(float(ends.max()), -float(ends.min())), 1e-3))
    polar = float(np.trace(spread))
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
    spread = tensor(pads.centres, areas, areas[:, None] * pads.sizes**2 / 12.0)
    force, moment = pads.reaction(force_n, at_mm)
    pull, shear = share(force, moment, pads.corners, float(areas.sum()), spread, pads.frame, pads.corners)
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
