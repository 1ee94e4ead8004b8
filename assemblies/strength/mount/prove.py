"""Whether a mount holds: every plate, bolt, bond and standoff under every pull, its first frequency, the sag of the prop."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from assemblies.strength.bonds.allowed import allowed_stress, factor_of
from assemblies.strength.mount.beams import gusset_section
from assemblies.strength.mount.bricks import BracketPlate
from assemblies.strength.mount.given import Bolted, Mount, Pull
from assemblies.strength.mount.joints import BoltUse, bolt_use, bond_use, torque_arm
from assemblies.strength.mount.parts import Part, bonds_of, depth_of, parts_of, standing_on, sways_of
from assemblies.strength.mount.pulls import amplified, pulls
from assemblies.strength.plates.limits import BEYOND, COARSE
from parts.findings import NotCovered
from parts.stock.material import Stay
from parts.vectors import Vector

__all__ = ["APART", "MountProof", "MountUse", "prove"]

#: The first frequency of what is carried stays this many times over the shake (common practice, no source).
APART: Final = 3.0
_PEEL = 3.0  # judgement: at a gusset's upper end the bond peels more than its mean
_HEIGHTS = 9
#: Thin plates on bolts four thicknesses off sag up to 15 % less than solids (computed: `test_solid_bracket.py`).
_THICK: Final = 1.15
#: At holes a bracket's upright as a sheet bears less than as a solid, down to 0.59 of it (computed: `test_sheets_bracket.py`).
_NOTCHED: Final = {"base": 1.0, "upright": 1.7}


@dataclass(frozen=True, kw_only=True)
class MountUse:
    """One thing under one pull: what it bears, what it may, in `unit`, and the use; `what` says which limit it is."""

    case: str
    where: str
    what: str
    value: float
    allowed: float
    unit: str
    use: float


@dataclass(frozen=True, kw_only=True)
class MountProof:
    """The uses, worst first; the first frequency and its part of the shake's; the sag of the prop for good; the torque to which
    each side's bolts are tightened at most, N m: it stays in the sheet for good; whether a bracket was taken as sheets, for
    want of room for bricks."""

    uses: tuple[MountUse, ...]
    frequency_hz: float
    felt: float
    sag_mm: float
    sag_allowed_mm: float
    bolts: tuple[tuple[str, str, BoltUse], ...]
    torques: tuple[tuple[str, str, float], ...]
    as_sheets: bool = False


def prove(mount: Mount) -> MountProof:
    """The proof of a mount.

    Raises:
        NotCovered: where the method ends: resonance, one bolt under a turn, a bow of several thicknesses, stress that does not
            settle.
    """
    parts = [part for rig in mount.rig.placings for part in parts_of(replace(mount, rig=rig))]
    frequency = _frequency(mount, parts)
    felt = amplified(mount.moves.shake, frequency)
    every, bolts, sag = [], [], 0.0
    for pull in pulls(mount.moves, felt):
        for side in (mount.rig, mount.held):
            found = max((_bolts(mount, parts, one, pull) for one in side.placings), key=lambda one: one.use)
            bolts.append((pull.name, side.side, found))
            every.append(_bolt_row(side, pull, found))
        every += list(_plates(mount, parts, pull))
        every += list(_bonds(mount, pull))
        every += list(_ends_of_bonds(mount, parts, pull))
        if pull.duration == "permanent" and pull.name == "at rest":
            sag = _sag(mount, parts, pull)
    allowed_sag = mount.rules.sag_mm or (mount.rules.sag_of_reach or 0.0) * _reach(mount)
    every.append(_row("at rest", "prop", "sinks", sag, allowed_sag, "mm"))
    if mount.moves.shake:
        every.append(_row("moving", "whole", "shaken", APART * mount.moves.shake, frequency, "Hz"))
    return MountProof(
        uses=tuple(sorted(every, key=lambda one: -one.use)),
        frequency_hz=frequency,
        felt=felt,
        sag_mm=sag,
        sag_allowed_mm=allowed_sag,
        bolts=tuple(bolts),
        torques=tuple(_torque(mount, s) for s in (mount.rig, mount.held)),
        as_sheets=any(_notched(mount, part) > 1.0 for part in parts),
    )


def _torque(mount: Mount, side: Bolted) -> tuple[str, str, float]:
    """T = K F d (as `bonds.bolts.tightening_torque_nm`)."""
    return (
        side.side,
        side.thread,
        factor_of("bolt_nut_factor") * torque_arm(side, _limit_for(mount, "permanent")) / 1000.0,
    )


def _row(case: str, where: str, what: str, value: float, allowed: float, unit: str) -> MountUse:
    return MountUse(case=case, where=where, what=what, value=value, allowed=allowed, unit=unit, use=value / allowed)


def _bolt_row(side: Bolted, pull: Pull, found: BoltUse) -> MountUse:
    what = f"{side.thread} {'thread' if side.tapped else 'metal let in' if side.pocket else 'slot' if side.slot_mm else 'head'}"
    return MountUse(
        case=pull.name,
        where=f"{side.side} bolts in {side.plate.name}",
        what=what,
        value=found.pull_n,
        allowed=found.holds_n,
        unit="N",
        use=found.use,
    )


def _reach(mount: Mount) -> float:
    """From the rig's bolts to the prop's centre of mass."""
    return max(math.dist(mount.rig.centre, mount.prop.centre_mm), 1.0)


def _frequency(mount: Mount, parts: Sequence[Part]) -> float:
    """The first frequency from below: what each part would swing at alone, added by Dunkerley's rule (Blevins; from memory)."""
    found: dict[str, float] = {}
    for part in parts:
        value, error = part.result.frequency_hz
        _settled(part.plate.name, error)
        _see_settled(part)
        found[part.plate.name] = min(found.get(part.plate.name, math.inf), value * (1.0 - error))
    return 1.0 / math.sqrt(sum(1.0 / one**2 for one in (*found.values(), *sways_of(mount))))


def _settled(where: str, error: float) -> None:
    if error > COARSE:
        raise NotCovered(
            f"{where}: its stress does not settle on finer meshes: something is sharper than the method resolves"
        )


def _see_settled(part: Part) -> None:
    """See that the stress of no pull along an axis is in doubt by more than a tenth of the largest of them."""
    units = [part.result.stress([float(k == i) for i in range(3)]) for k in range(3)]
    _settled(part.plate.name, max(one.error * one.value for one in units) / max(one.value for one in units))


def _limit(mount: Mount, pull: Pull, joint: float = 1.0) -> float:
    return _limit_for(mount, pull.duration, joint)


def _limit_for(mount: Mount, duration: Stay, joint: float = 1.0) -> float:
    return allowed_stress(mount.material, duration, joint=joint, factor=mount.rules.factor).value


def _bolts(mount: Mount, parts: Sequence[Part], side: Bolted, pull: Pull) -> BoltUse:
    """The worst of a side's bolts in all the ways of a pull."""
    limit, for_good = _limit(mount, pull), _limit_for(mount, "permanent")
    above = [n for n in mount.placed if n != "base"] if side.side == "rig" else []
    names = (*above, side.plate.name) if side.side == "rig" else ()
    carried = standing_on(mount, *names)
    rig = [p for p in parts if p.plate is side.plate and side.side == "rig"]
    worst: BoltUse | None = None
    for way in pull.ways:
        bent: list[float] = []
        for (
            part
        ) in rig:  # what bends between the bolts pulls on them by itself; the sheet's own z looks away from the rig
            found = -part.result.pulls(part.weights(way)).reshape(len(side.places), -1).sum(axis=1)
            bent = [max(a, b) for a, b in zip(bent or [0.0] * len(found), found.tolist(), strict=True)]
        one = bolt_use(side, carried, way, limit, for_good, bent)
        if worst is None or one.use > worst.use:
            worst = one
    assert worst is not None
    return worst


def _plates(mount: Mount, parts: Iterable[Part], pull: Pull) -> Iterator[MountUse]:
    """The stress of each plate at its worst place: bending with what is in doubt, and what goes through it in its plane."""
    limit = _limit(mount, pull)
    for part in parts:
        most = 0.0
        for way in pull.ways:
            read = part.result.stress(part.weights(way))
            bow = part.result.deflection(part.weights(way)).value
            if bow > BEYOND * part.plate.piece.thickness_mm:
                raise NotCovered(
                    f"{part.plate.name} bows more than {BEYOND:g} thicknesses: linear theory gives no figure there"
                )
            most = max(most, _notched(mount, part) * (read.safe + part.in_plane(way)))
        yield _row(pull.name, part.plate.name, "stress", most, limit, "MPa")
    if mount.gussets:
        most = max(_gusset(mount, way) for way in pull.ways)
        yield _row(pull.name, "gussets", "stress", most, limit, "MPa")
    if mount.standoffs:
        one = mount.standoffs
        carried = standing_on(mount, "top")
        most = max(math.hypot(way[0], way[1]) for way in pull.ways) * carried.mass_kg / len(one.places) * one.length_mm
        yield _row(
            pull.name, "standoffs", "stress", most * 32.0 / (math.pi * one.diameter_mm**3), one.allowed_mpa, "MPa"
        )


def _notched(mount: Mount, part: Part) -> float:
    """By how much the stress of a bracket's plate is taken larger where it was calculated as a sheet."""
    as_sheet = mount.style == "bracket" and not isinstance(part.result, BracketPlate)
    return _NOTCHED[part.plate.name] if as_sheet else 1.0


def _gusset(mount: Mount, way: Vector) -> float:
    """The largest stress at the gussets' rear edges, at heights over the base: upright and gussets as one section."""
    assert mount.gussets
    upright = mount.placed["upright"]
    long, _, t = upright.piece.size_mm
    thick = next(p.piece.thickness_mm for n, p in mount.placed.items() if n.startswith("gusset"))
    carried, foot, most = standing_on(mount, "upright"), upright.box[0], 0.0
    for k in range(_HEIGHTS):
        high = mount.gussets.rise_mm * k / _HEIGHTS
        arm_y, arm_z = carried.centre_mm[1] - (foot[1] + t / 2.0), carried.centre_mm[2] - foot[2] - high
        turn = abs(arm_y * way[2] - arm_z * way[1]) * carried.mass_kg
        section = gusset_section(long, t, len(mount.gussets.places), thick, depth_of(mount, high), turn)
        most = max(most, section.stress_gusset, -section.stress_face)
    return most


def _bonds(mount: Mount, pull: Pull) -> Iterator[MountUse]:
    limit = _limit(mount, pull, mount.rules.joint)
    for bond, carried in bonds_of(mount):
        most = max(bond_use(bond, carried, way).combined for way in pull.ways)
        yield _row(pull.name, bond.name, "bond", most, limit, "MPa")
    if mount.gussets:
        upright = mount.placed["upright"]
        thick = next(p.piece.thickness_mm for n, p in mount.placed.items() if n.startswith("gusset"))
        carried = standing_on(mount, "upright")
        count, rise = len(mount.gussets.places), mount.gussets.rise_mm
        unit = gusset_section(
            upright.piece.size_mm[0], upright.piece.thickness_mm, count, thick, mount.gussets.reach_mm, 0.0
        ).bond_shear
        most = 0.0
        for way in pull.ways:
            shear = unit * math.hypot(way[0], way[1]) * carried.mass_kg + abs(way[2]) * carried.mass_kg / (
                count * thick * rise
            )
            peel = _PEEL * abs(way[1]) * carried.mass_kg / (count * thick * rise)
            peel += abs(way[0]) * carried.mass_kg / (count * thick * rise)
            most = max(most, peel / 2.0 + math.hypot(peel / 2.0, shear))
        yield _row(pull.name, "gussets on upright", "bond", most, limit, "MPa")


def _ends_of_bonds(mount: Mount, parts: Sequence[Part], pull: Pull) -> Iterator[MountUse]:
    """Where a bracket's bonds on its base bear most: in the mean over one thickness, as the sheet about them gives way."""
    limit = _limit(mount, pull, mount.rules.joint)
    for part in parts:
        if isinstance(part.result, BracketPlate) and part.result.whole:
            for name, where in (("toe", "toes of gussets on base"), ("root", "root of upright on base")):
                most = max(part.result.bond(name, part.weights(way)) for way in pull.ways)
                yield _row(pull.name, where, "bond", most, limit, "MPa")


def _sag(mount: Mount, parts: Sequence[Part], pull: Pull) -> float:
    """How far the prop's centre moves by its weight for good: the bending of each plate, added up."""
    creeps = mount.material.modulus_mpa / mount.material.creep_modulus(pull.duration).value
    most = 0.0
    for way in pull.ways:
        by_plate: dict[str, float] = {}
        for part in parts:
            thick = 1.0 if isinstance(part.result, BracketPlate) else _THICK
            moved = thick * math.hypot(*part.prop_moves(mount.prop, way))
            by_plate[part.plate.name] = max(by_plate.get(part.plate.name, 0.0), moved)
        most = max(most, creeps * sum(by_plate.values()))
    return most
