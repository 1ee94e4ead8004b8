"""What the bolts of attachment plates carry: threads, heads, and what they do to a plate that reaches past its face."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from assemblies.design.model import Placed
from assemblies.strength.bonds.allowed import allowed_stress, factor_of
from assemblies.strength.bonds.heads import Bolted, bearing_mpa, held, slide_n, washer_bending_mpa
from assemblies.strength.bonds.mounting import Group, share, tensor
from assemblies.strength.plates.basis import Array
from parts.shape.spots import Spot, spots_of
from parts.shape.tapped import longest_bolt_mm
from parts.stock.material import Duration, Material
from parts.vectors import Vector

__all__ = ["EdgeLoad", "ThreadLoad", "edge_loads", "longest_bolt", "thread_loads", "tightening_torque_nm"]

_OFF_MM = 0.01  # less is flush
_LEAST_N = 1e-6  # what holds nothing: the use is then huge, but a number


@dataclass(frozen=True, kw_only=True)
class ThreadLoad:
    """The worst bolt of a plate: pull and shear (N), what its thread or its head may hold (N), bearing (MPa).

    `thread` is the thread's designation, or the hole or slot that the bolt goes through; then `engagement_mm` is the thickness
    of the sheet that it bears on and `area_mm2` what its head or nut presses on. `wall_mpa` is the bending of a wall that
    hangs on the bolt's head; `slide_n` what friction holds along a slot, None where there is none.
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
    wall_mpa: float = 0.0
    slide_n: float | None = None


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
    """The bolts of a group: plate and spot of each, place in the plane from the pads' middle (n, 2), pull and shear (N)."""

    owners: tuple[tuple[Placed, Spot], ...]
    places: Array
    pulls: Array
    shears: Array


def _bolts(group: Group, force_n: Vector, at_mm: Vector, end: int = 0) -> _Bolts | None:
    """Shares of the bolt group, where the bolts leave the plates; None where there are none.

    Args:
        end: where bolts stand that go through slots: in their middle, or at their first (-1) or last (1) end.
    """
    pads = group.pads
    e1, e2, n = pads.frame
    world, owners = [], []
    for plate in group.plates:
        outer = plate.piece.thickness_mm if np.dot(plate.z, n) > 0 else 0.0
        for spot in spots_of(plate.piece):
            x, y = (spot.x_mm, spot.y_mm) if end == 0 else spot.ends[0 if end < 0 else -1]
            world.append(plate.world(x, y, outer))
            owners.append((plate, spot))
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
    out: dict[str, ThreadLoad] = {}
    limit = allowed_stress(material, duration, environment=environment, factor=factor).value
    for_good = allowed_stress(material, "permanent", environment=environment, factor=factor).value
    for end in (-1, 0, 1) if any(spot.slot for p in group.plates for spot in spots_of(p.piece)) else (0,):
        bolts = _bolts(group, force_n, at_mm, end)
        if bolts is None:
            return ()
        for (plate, spot), pull, shear in zip(bolts.owners, bolts.pulls.tolist(), bolts.shears.tolist(), strict=True):
            load = _load(plate, spot, pull, shear, group.bolted.get(plate.name, Bolted()), limit, for_good, material)
            worst = out.get(plate.name)
            if worst is None or (load.use, load.pull_n) > (worst.use, worst.pull_n):
                out[plate.name] = load
    return tuple(out.values())


def _load(
    plate: Placed,
    spot: Spot,
    pull: float,
    shear: float,
    bolted: Bolted,
    limit: float,
    for_good: float,
    material: Material,
) -> ThreadLoad:
    """One bolt under its share, at the stress that is allowed for the case; it is tightened for good."""
    thick = plate.piece.thickness_mm
    has = held(spot, thick, bolted, limit)
    bearing = bearing_mpa(spot, shear, has.length_mm, bolted)
    wall = washer_bending_mpa(pull, spot, bolted, max(plate.piece.outline.size_mm) / 2.0, material.poisson)
    uses, slides = [pull / max(has.pull_n, _LEAST_N), bearing / limit, wall / limit], None
    if spot.slot is not None:
        slides = slide_n(held(spot, thick, bolted, for_good).pull_n, pull)
        uses.append(shear / max(slides, _LEAST_N))
    name = spot.hole.thread if spot.hole else None
    return ThreadLoad(
        plate=plate.name,
        thread=name or f"{spot.width_mm:g} mm {'slot' if spot.slot else 'hole'}",
        pull_n=pull,
        shear_n=shear,
        engagement_mm=has.length_mm,
        area_mm2=has.area_mm2,
        holds_n=has.pull_n,
        bearing_mpa=bearing,
        use=max(uses),
        wall_mpa=wall,
        slide_n=slides,
    )


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


def tightening_torque_nm(
    plate: Placed, material: Material, factor: float = 1.0, bolted: Bolted | None = None
) -> float | None:
    """The torque not to exceed: it stays in the thread, or under the head, for good, so the permanent design stress counts.

    Args:
        bolted: what its bolts go through besides, and their size; needed where they are not screwed into the plate.

    Source: T = K F d with K from the table `strength_factors`.
    """
    spots = spots_of(plate.piece)
    screw = bolted.screw_mm if bolted else None
    if not spots:
        return None
    spot = spots[0]
    wide = spot.width_mm if spot.hole is not None and spot.hole.thread is not None else screw
    if wide is None:
        return None
    limit = allowed_stress(material, "permanent", factor=factor).value
    return (
        factor_of("bolt_nut_factor")
        * held(spot, plate.piece.thickness_mm, bolted or Bolted(), limit).pull_n
        * wide
        / 1000.0
    )


def longest_bolt(plate: Placed) -> float:
    """The deepest reach of a bolt into a plate whose back is closed, mm."""
    return longest_bolt_mm(plate.piece.holes[0], plate.piece.thickness_mm)
