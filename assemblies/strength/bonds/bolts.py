"""What the bolts of attachment plates carry: threads, heads, and what they do to a plate that reaches past its face."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from assemblies.design.model import Placed
from assemblies.strength.bonds.allowed import allowed_stress, factor_of
from assemblies.strength.bonds.mounting import Group, share, tensor
from assemblies.strength.plates.basis import Array
from parts.shape.piece import Hole
from parts.shape.tapped import full_thread_mm, longest_bolt_mm
from parts.stock.material import Duration, Material
from parts.stock.thread import thread
from parts.vectors import Vector

__all__ = ["EdgeLoad", "ThreadLoad", "edge_loads", "held_by", "longest_bolt", "thread_loads", "tightening_torque_nm"]

_OFF_MM = 0.01  # less is flush
_HEAD = 1.5  # width of a bolt's head or washer, in diameters of its clearance hole
_NO_THREAD_MM = 1e-6  # a plate so thin that no thread is left: the use is then huge, but a number


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


@dataclass(frozen=True, kw_only=True)
class EdgeLoad:
    """A plate that reaches past the edge of the face it is bonded to, under the pull of its bolts.

    Attributes:
        off_mm: how far it reaches past the edge.
        peel: the largest pull across its own bond, MPa: its bolts' pulls about the middle of what is bonded.
        peel_allowed: for the duration, with the joint's share.
        bending: stress in the plate at the edge, where its bolts beyond bend it, MPa.
        bending_allowed: for the duration.
    """

    plate: str
    off_mm: float
    peel: float
    peel_allowed: float
    bending: float
    bending_allowed: float

    @property
    def use(self) -> float:
        return max(self.peel / self.peel_allowed, self.bending / self.bending_allowed)


@dataclass(frozen=True, kw_only=True)
class _Bolts:
    """The bolts of a group: plate and hole of each, place in the plane from the pads' middle (n, 2), pull and shear (N)."""

    owners: tuple[tuple[Placed, Hole], ...]
    places: Array
    pulls: Array
    shears: Array


def _bolts(group: Group, force_n: Vector, at_mm: Vector) -> _Bolts | None:
    """Shares of the bolt group, where the bolts leave the plates; None where there are none."""
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
        return None
    places = np.array(world)
    centre = places.mean(axis=0)  # in the plane of the rig
    flat = np.stack([(places - centre) @ e1, (places - centre) @ e2], axis=1)
    off = np.array([(pads.middle - centre) @ e1, (pads.middle - centre) @ e2])
    force = -np.array(force_n)
    moment = np.cross(np.array(at_mm) - centre, force)
    spread = tensor(flat, np.ones(len(flat)), np.zeros((len(flat), 2)))
    pulls, shears = share(force, moment, flat, float(len(flat)), spread, pads.frame, pads.corners + off)
    return _Bolts(owners=tuple(owners), places=flat - off, pulls=np.maximum(pulls, 0.0), shears=shears)


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
    bolts = _bolts(group, force_n, at_mm)
    if bolts is None:
        return ()
    out: dict[str, ThreadLoad] = {}
    limit = allowed_stress(material, duration, environment=environment, factor=factor).value
    for (plate, hole), pull, shear in zip(bolts.owners, bolts.pulls.tolist(), bolts.shears.tolist(), strict=True):
        length, area, holds = held_by(hole, plate.piece.thickness_mm, limit)
        bearing = shear / (hole.diameter_mm * max(length, _NO_THREAD_MM))
        load = ThreadLoad(
            plate=plate.name,
            thread=hole.thread or f"{hole.diameter_mm:g} mm hole",
            pull_n=pull,
            shear_n=shear,
            engagement_mm=length,
            area_mm2=area,
            holds_n=holds,
            bearing_mpa=bearing,
            use=max(pull / max(holds, _NO_THREAD_MM), bearing / limit),
        )
        if plate.name not in out or (load.use, load.pull_n) > (out[plate.name].use, out[plate.name].pull_n):
            out[plate.name] = load
    return tuple(out.values())


def edge_loads(
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
) -> tuple[EdgeLoad, ...]:
    """What the bolts do to plates that reach past the edge of their face: each by itself, as a cantilever past that edge.

    Peel is the elastic pull over the rectangle that is bonded, F / A + M y / I each way; bending is M / (b t2 / 6) at the edge
    by the bolts beyond it, times the table's factor of a hole. Formulas of beam
    bending and of eccentric load on a rectangle (Roark's Formulas for Stress and Strain; from memory).
    """
    bolts = _bolts(group, force_n, at_mm)
    if bolts is None:
        return ()
    whole = replace(group, face=None).pads
    shift = np.array([(group.pads.middle - whole.middle) @ e for e in whole.frame[:2]])
    peel_allowed = allowed_stress(material, duration, environment=environment, joint=joint, factor=factor).value
    limit = allowed_stress(material, duration, environment=environment, factor=factor).value
    out = []
    for k, plate in enumerate(group.plates):
        middle, size = group.pads.centres[k], group.pads.sizes[k]
        over = (whole.sizes[k] - size) / 2.0 + np.abs(
            whole.centres[k] - shift - middle
        )  # the far side's overhang, each way
        if over.max() <= _OFF_MM:
            continue
        mine = [i for i, (owner, _) in enumerate(bolts.owners) if owner is plate]
        places, pulls = bolts.places[mine] - middle, bolts.pulls[mine]
        turning = np.abs(pulls @ places)
        peel = float(pulls.sum() + (6.0 * turning / size).sum()) / float(size.prod()) / bonded
        thick, widths = plate.piece.thickness_mm, whole.sizes[k][::-1]
        beyond = np.maximum(np.abs(places) - size / 2.0, 0.0)
        bending = 6.0 * (pulls @ beyond) / (widths * thick**2) * factor_of("hole_stress")
        out.append(
            EdgeLoad(
                plate=plate.name,
                off_mm=float(over.max()),
                peel=peel,
                peel_allowed=peel_allowed,
                bending=float(bending.max()),
                bending_allowed=limit,
            )
        )
    return tuple(out)


def held_by(hole: Hole, thickness_mm: float, limit_mpa: float) -> tuple[float, float, float]:
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
