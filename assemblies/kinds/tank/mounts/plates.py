"""Attachment plates: what is bonded on to the outside of a tank's faces so that a rig can be bolted to it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Final

from assemblies.design.model import Placed, shoe_base
from assemblies.kinds.mount import Mount, mount
from assemblies.kinds.sheets import extra_sheet
from assemblies.kinds.tank.box import face_point, place
from assemblies.kinds.tank.mounts.bolts import backing, bolt_findings, plate_bolts, plate_name
from assemblies.kinds.tank.mounts.release import keys_of, plain_plate, release_plate
from assemblies.kinds.tank.shell import Extra, Shell, outside_of
from assemblies.order import Faults, Order, PlateSpec
from assemblies.order.errors import Key
from assemblies.order.files import MOST
from parts.findings import Finding, SeamwrightError, Taken
from parts.shape.piece import Piece
from parts.shape.spots import Spot, spots_of
from parts.stock.mounting import pattern_findings
from parts.stock.rules import rule, rule_source
from parts.stock.sheet import Sheet
from parts.vectors import Vector

__all__ = ["add_plates", "grid_findings", "plate_pieces", "plates_taken", "retention"]

_MOST_HOLES: Final = 1000  # tapped holes in all plates together: more is a slip of the pen
_SLACK_MM: Final = 1e-6


Made = Mount | None
"""A plate with what its pattern decides; None where it was refused."""


def plate_pieces(order: Order, faults: Faults) -> list[Made]:
    """The piece of each `[[plate]]`; nothing of it depends on the tank.

    Args:
        order: what was ordered.
        faults: what is refused goes there: an unknown pattern or thread, a hole through the plate's edge, too many holes.
    """
    many = sum(len(spec.at) for spec in order.plate)
    if many > MOST:
        with faults.step():
            raise order.refuse(("plate",), f"{many} plates", f"at most {MOST} in all")
        return [None] * len(order.plate)
    holes = 0
    out: list[Made] = []
    for index, spec in enumerate(order.plate):
        made = _plate_piece(order, index, spec, faults)
        holes += len(made.pattern.centres) * len(spec.at) if made else 0
        if holes > _MOST_HOLES:
            made = None
            with faults.step():
                key = ("plate", index, "pattern")
                raise order.refuse(key, f"{holes} holes so far", f"at most {_MOST_HOLES} in all")
        out.append(made)
    return out


def add_plates(shell: Shell, made: Sequence[Made], faults: Faults) -> Extra:
    """Every `[[plate]]` in its place on the outside of its face; plates that are refused are left out.

    Args:
        shell: the box.
        made: the piece of each, from `plate_pieces`.
        faults: what is refused goes there: a plate off its face or on another.
    """
    first = 1
    every: list[Extra] = []
    plates: list[Placed] = []
    anchors: list[Placed] = []
    for index, spec in enumerate(shell.order.plate):
        one = made[index]
        if one is not None:
            every.append(Extra(findings=tuple(pattern_findings(one.pattern, one.piece.name))))
            for i, at in enumerate(spec.at):
                with faults.step():
                    added = _add_plate(shell, spec, one, first + i, at, plates, ("plate", index, "at", i))
                    every.append(added)
                    if spec.style == "quick-release":
                        quick = _released(shell, index, spec, added.placed[0], first + i, faults)
                        every += [quick] if quick else []
                        anchors += [shoe_base(r) for r in quick.releases] if quick else []
        first += len(spec.at)
    return Extra(
        placed=tuple(p for one in every for p in one.placed),
        joints=tuple(j for one in every for j in one.joints),
        fasteners=tuple(f for one in every for f in one.fasteners),
        bought=tuple(b for one in every for b in one.bought),
        releases=tuple(r for one in every for r in one.releases),
        findings=(*(f for one in every for f in one.findings), *grid_findings(shell.order, [*plates, *anchors])),
    )


def _released(shell: Shell, index: int, spec: PlateSpec, plate: Placed, number: int, faults: Faults) -> Extra | None:
    """Strip and shoe of a quick-release plate."""
    suffix = _part_name(shell.order, index).removeprefix("plate")
    made = release_plate(shell, spec, keys_of(spec), plate, number, suffix, ("plate", index), faults)
    if made is None:
        return None
    return Extra(
        placed=made.placed, joints=made.joints, fasteners=made.fasteners, bought=made.bought, releases=(made.release,)
    )


def _add_plate(
    shell: Shell, spec: PlateSpec, made: Mount, number: int, at: tuple[float, float], plates: list[Placed], key: Key
) -> Extra:
    """One plate in its place, with its bolts and what lies under their heads."""
    one = _plate_on_face(shell, plate_name(number), made.piece, spec.on, at)
    _check_place(shell, spec, one, plates, key)
    plates.append(one)
    if spec.style == "quick-release":
        return Extra(placed=(one,), findings=tuple(_overhang(shell, spec, made, one)))
    behind = backing(shell, spec, made, one, number, key) if made.holes == "through" else ()
    return Extra(
        placed=(one, *behind),
        fasteners=(plate_bolts(shell, spec, made, one, behind),),
        findings=(*_overhang(shell, spec, made, one), *bolt_findings(shell, spec, made, one, behind)),
    )


def _plate_sheet(order: Order, index: int, spec: PlateSpec) -> Sheet:
    try:
        return extra_sheet(order, spec.thickness, spec.measured)
    except SeamwrightError as error:
        raise order.refuse(("plate", index, "measured"), str(error), "readings of this sheet") from error


def _plate_piece(order: Order, index: int, spec: PlateSpec, faults: Faults) -> Made:
    sheet = None
    with faults.step():
        sheet = _plate_sheet(order, index, spec)
    if spec.style == "quick-release":
        return plain_plate(order, ("plate", index), spec, _part_name(order, index), sheet, faults)
    return mount(
        order,
        ("plate", index),
        keys_of(spec),
        _part_name(order, index),
        spec.size,
        sheet,
        faults,
        side=outside_of(spec.on),
        cut_group="plates",
    )


def _part_name(order: Order, index: int) -> str:
    return "plate" if len(order.plate) == 1 else f"plate-{'abcdefghijklmnopqrstuvwxyz'[index % 26]}{index // 26 or ''}"


def _plate_on_face(shell: Shell, name: str, piece: Piece, face: str, at: tuple[float, float]) -> Placed:
    centre = face_point(*shell.corners, face, *at)
    loose = place(name, piece, face, (0.0, 0.0, 0.0))
    low, high = loose.box
    out = shell.outward(face)
    start = [centre[k] - (high[k] - low[k]) * (0.5 if out[k] == 0 else 0.0 if out[k] > 0 else 1.0) for k in range(3)]
    return place(name, piece, face, start)


def _check_place(shell: Shell, spec: PlateSpec, one: Placed, others: Sequence[Placed], key: Key) -> None:
    low, high = one.box
    face_low, face_high = shell.corners
    out = shell.outward(spec.on)
    for k in range(3):
        if out[k] == 0 and (low[k] >= face_high[k] - 1e-9 or high[k] <= face_low[k] + 1e-9):
            raise shell.order.refuse(
                key,
                f"{one.name} lies off the {spec.on} face",
                f"a centre that leaves part of the plate on the face of {face_high[0] - face_low[0]:g} x "
                f"{face_high[1] - face_low[1]:g} x {face_high[2] - face_low[2]:g} mm",
            )

    clash = next((p.name for p in others if _share_space(p, one)), None)
    if clash:
        raise shell.order.refuse(key, f"{one.name} stands in {clash}", "plates side by side")


def _share_space(one: Placed, other: Placed) -> bool:
    (alow, ahigh), (blow, bhigh) = one.box, other.box
    return all(alow[k] < bhigh[k] - 1e-6 and blow[k] < ahigh[k] - 1e-6 for k in range(3))


def _overhang(shell: Shell, spec: PlateSpec, made: Mount, one: Placed) -> Iterator[Finding]:
    """Holes at or past the edge of the face, and plates that do not lie wholly on it."""
    low, high = one.box
    face_low, face_high = shell.corners
    across = [k for k in range(3) if shell.outward(spec.on)[k] == 0]
    spots = spots_of(one.piece)
    off = sum(not _on_face(shell, spec.on, one, spot) for spot in spots if made.holes != "clearance")
    if off:
        yield Finding(
            level="stop",
            check="plates",
            where=one.name,
            why=f"{off} of its {len(spots)} holes {'lies' if off == 1 else 'lie'} at or past the edge of the "
            f"{spec.on} face: nothing is bonded behind them",
            do="move it onto the face, or take a pattern that stays on it",
            source="judgement",
        )
    on = math.prod(min(high[k], face_high[k]) - max(low[k], face_low[k]) for k in across)
    share = on / math.prod(high[k] - low[k] for k in across)
    if share < 1.0 - _SLACK_MM:
        yield Finding(
            level="stop" if share <= 0.5 + _SLACK_MM else "care",
            check="plates",
            where=one.name,
            why=f"only {100.0 * share:.0f} % of it lies on the {spec.on} face: "
            + (
                "the rest peels at the bond"
                if share <= 0.5 + _SLACK_MM
                else "strength counts that alone as bonded, and looks at how its bolts peel it off at the edge and bend it"
            ),
            do="move it onto the face, or take a smaller plate",
            source="judgement",
        )


def _on_face(shell: Shell, face: str, one: Placed, spot: Spot) -> bool:
    """Whether a hole lies on the face with its whole width."""
    low, high = shell.corners
    radius = spot.width_mm / 2.0 + _SLACK_MM
    ends = [one.world(x, y, 0.0) for x, y in spot.ends]
    across = [k for k in range(3) if shell.outward(face)[k] == 0]
    return all(low[k] < end[k] - radius and end[k] + radius < high[k] for end in ends for k in across)


def grid_findings(order: Order, placed: Sequence[Placed]) -> Iterator[Finding]:
    """All holes of all plates on one face must lie on one grid of the rig's pitch."""
    if order.rig is None or order.rig.grid is None:
        return
    pitch = order.rig.grid
    by_face: dict[Vector, list[tuple[str, Vector]]] = {}
    for one in placed:
        for spot in spots_of(one.piece):
            by_face.setdefault(one.z, []).append((one.name, one.world(spot.x_mm, spot.y_mm, 0.0)))
    for normal, points in by_face.items():
        first = points[0][1]
        off: dict[str, float] = {}
        for name, point in points:
            steps = [abs((point[k] - first[k]) / pitch) for k in range(3) if abs(normal[k]) < 0.5]
            miss = max(abs(s - round(s)) * pitch for s in steps)
            if miss > rule("grid_slack") + 1e-9:
                off[name] = max(off.get(name, 0.0), miss)
        for name, miss in off.items():
            yield Finding(
                level="stop",
                check="plates",
                where=name,
                why=f"a hole lies {miss:.2f} mm off the rig's {pitch:g} mm grid counted from {points[0][0]}",
                do=f"place plates and pattern in steps of {pitch:g} mm",
                source=rule_source("grid_slack"),
            )


def retention(order: Order, plates: Extra) -> str:
    """What still holds it if a bond lets go: as the order says, or bolts through the wall where every plate has them."""
    said = order.support.retention if order.support else "none"
    mounts = {one.name for one in plates.placed if one.piece.role == "mount"}
    mounts -= {name for one in plates.releases for name in one.names}
    bolted = {one.piece for one in plates.fasteners if one.piece != one.through[0]}
    return "through-bolts" if said == "none" and mounts and mounts <= bolted else said


def plates_taken(order: Order, plates: Extra) -> Iterator[Taken]:
    """What the order leaves open of its plates: how much thread, where they have one."""
    made, number = {one.name: one.piece for one in plates.placed}, 1
    for plate in order.plate:
        name = plate_name(number) if plate.style == "bonded" else f"shoe-{number}"
        tapped = name in made and made[name].kind == "tapped-plate"
        number += len(plate.at)
        if tapped and "percent" not in plate.model_fields_set and plate.drill is None:
            what, say = "percent of thread in the plates", "[[plate]] percent"
            yield Taken(what=what, value=plate.percent, unit="%", why="the tap drill", say=say, weight=1.05)
