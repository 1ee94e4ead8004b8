"""Attachment plates and ports: what is bonded on to the outside of a tank's faces and bored into its panels."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from assemblies.design.model import Fastener, Placed
from assemblies.kinds.sheets import extra_sheet
from assemblies.kinds.tank.box import face_point, place
from assemblies.kinds.tank.shell import Extra, Shell, inside_panel, outside_of
from assemblies.order import Faults, Order, PlateSpec, PortSpec
from assemblies.order.errors import Key
from assemblies.order.files import MOST
from parts.findings import Finding, SeamwrightError
from parts.make.tapped_plate import tapped_plate
from parts.shape.hole_rules import least_plate_mm, rounded_up
from parts.shape.piece import Hole, Piece
from parts.shape.tapped import longest_bolt_mm, tapped_hole
from parts.stock.mounting import Pattern, pattern, pattern_findings
from parts.stock.rules import rule, rule_source
from parts.stock.sheet import Sheet
from parts.stock.thread import LEAST_PERCENT, MOST_PERCENT, clearance, percent_thread, thread
from parts.vectors import Vector

__all__ = ["add_plates", "bore_panels", "plate_pieces", "port_hole"]

_MOST_HOLES: Final = 1000  # tapped holes in all plates together: more is a slip of the pen
_SLACK_MM: Final = 1e-6


Made = tuple[Piece, list[Finding]] | None
"""A plate with what its pattern has to say; None where it was refused."""


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
        holes += len(made[0].holes) * len(spec.at) if made else 0
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
    placed: list[Placed] = []
    fasteners: list[Fastener] = []
    findings: list[Finding] = []
    for index, spec in enumerate(shell.order.plate):
        piece, said = made[index] or (None, [])
        findings += said
        for i, at in enumerate(spec.at if piece else ()):
            assert piece is not None
            with faults.step():
                one = _plate_on_face(shell, _plate_name(first + i), piece, spec.on, at)
                _check_place(shell, spec, one, placed, ("plate", index, "at", i))
                placed.append(one)
                fasteners.append(_plate_bolts(one.name, piece, spec))
                findings += _overhang(shell, spec, one)
        first += len(spec.at)
    return Extra(placed=tuple(placed), fasteners=tuple(fasteners), findings=(*findings, *_grid(shell, placed)))


def _plate_name(number: int) -> str:
    return f"plate-{number}"


def _plate_thread(order: Order, index: int, spec: PlateSpec) -> None:
    """Refuse a thread that is not known, and a drill that leaves too little of it or too much."""
    refuse = order.refuse
    try:
        screw = thread(spec.thread)
        if spec.through_wall:
            clearance(screw)
    except SeamwrightError as error:
        allowed = "a thread of `seamwright show threads`"
        raise refuse(("plate", index, "thread"), str(error), allowed) from error
    percent = spec.percent if spec.drill is None else percent_thread(screw, spec.drill)
    if not LEAST_PERCENT <= percent <= MOST_PERCENT:
        key = ("plate", index, "percent" if spec.drill is None else "drill")
        what = f"{percent:.0f} % of the thread {screw.name}"
        raise refuse(key, what if spec.drill is None else f"a drill of {spec.drill:g} mm leaves {what}",
                     f"{LEAST_PERCENT:g} to {MOST_PERCENT:g} %")  # fmt: skip


def _plate_pattern(order: Order, index: int, spec: PlateSpec, thread_name: str | None) -> Pattern:
    try:
        return pattern(spec.pattern, thread=thread_name, unit=order.units)
    except SeamwrightError as error:
        raise order.refuse(
            ("plate", index, "pattern"), str(error), "a pattern of `seamwright show mountings`"
        ) from error


def _plate_sheet(order: Order, index: int, spec: PlateSpec) -> Sheet:
    try:
        return extra_sheet(order, spec.thickness, spec.measured)
    except SeamwrightError as error:
        raise order.refuse(("plate", index, "measured"), str(error), "readings of this sheet") from error


def _plate_piece(order: Order, index: int, spec: PlateSpec, faults: Faults) -> Made:
    """The plate, and what its pattern has to say."""
    screw = sheet = found = None
    with faults.step():
        _plate_thread(order, index, spec)
        screw = spec.thread
    with faults.step():
        sheet = _plate_sheet(order, index, spec)
    with faults.step():
        found = _plate_pattern(order, index, spec, screw)
    if screw is None or sheet is None or found is None:
        return None
    with faults.step():
        piece = _tapped(order, index, spec, sheet, found)
        return piece, [*pattern_findings(found, piece.name, found.hole), *_screwed_from_behind(spec, found, piece)]
    return None


def _screwed_from_behind(spec: PlateSpec, found: Pattern, piece: Piece) -> Iterator[Finding]:
    """Clearance holes take screws whose heads are on the tank's side, where a bonded plate has no room for them."""
    if found.hole == "clearance" and not spec.through_wall:
        yield Finding(
            level="care",
            check="plates",
            where=piece.name,
            why=f"what {found.name} bolts to is tapped, so that the plate has clearance holes of "
            f"{piece.holes[0].diameter_mm:g} mm for {found.thread}: the heads of the screws come between plate and {spec.on}",
            do="write through-wall = true, so that they go in from inside, sealed under their heads; or sink them into the "
            "plate's back and screw it on before it is bonded: then it stays on",
            source="judgement",
        )


def _tapped(order: Order, index: int, spec: PlateSpec, sheet: Sheet, found: Pattern) -> Piece:
    try:
        return tapped_plate(
            _part_name(order, index),
            *spec.size,
            sheet,
            spec.thread,
            found.centres,
            percent=spec.percent,
            drill_mm=spec.drill,
            pilot_mm=found.pilot_mm,
            side=outside_of(spec.on),
            cut_group="plates",
            made=found.hole,
        )
    except SeamwrightError as error:
        key = ("plate", index, "pattern")
        raise order.refuse(
            key, str(error), f"a pattern that lies inside the plate{_size_for(found, spec, sheet)}"
        ) from error


def _size_for(found: Pattern, spec: PlateSpec, sheet: Sheet) -> str:
    """The plate that the pattern would need; empty where the one that was ordered is as large."""
    name = found.thread or spec.thread
    plain = Hole(x_mm=0.0, y_mm=0.0, kind="through", diameter_mm=clearance(thread(name)).diameter_mm)
    hole = plain if found.hole == "clearance" else tapped_hole(0.0, 0.0, name)
    holes = [replace(hole, x_mm=x, y_mm=y) for x, y in found.centres]
    width, height = least_plate_mm(holes, sheet.thickness_mm)
    if width <= spec.size[0] and height <= spec.size[1]:
        return ""
    wide, high = rounded_up(max(width, spec.size[0])), rounded_up(max(height, spec.size[1]))
    return f"; {found.name} needs one of at least {wide:g} x {high:g} mm"


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


def _overhang(shell: Shell, spec: PlateSpec, one: Placed) -> Iterator[Finding]:
    """Holes at or past the edge of the face, and plates that do not lie wholly on it."""
    low, high = one.box
    face_low, face_high = shell.corners
    across = [k for k in range(3) if shell.outward(spec.on)[k] == 0]
    off = 0
    for hole in one.piece.holes:
        place, radius = one.world(hole.x_mm, hole.y_mm, 0.0), hole.diameter_mm / 2.0 + _SLACK_MM
        off += any(place[k] - radius <= face_low[k] or place[k] + radius >= face_high[k] for k in across)
    if off:
        yield Finding(
            level="stop",
            check="plates",
            where=one.name,
            why=f"{off} of its {len(one.piece.holes)} holes {'lies' if off == 1 else 'lie'} at or past the edge of the "
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


def _plate_bolts(name: str, piece: Piece, spec: PlateSpec) -> Fastener:
    hole = piece.holes[0]
    into = hole.thread is None
    longest = None if spec.through_wall or into else longest_bolt_mm(hole, piece.thickness_mm)
    notes = ["comes through the wall: seal under its head"] if spec.through_wall else []
    notes += ["screws into what the plate is bolted to: its depth is the maker's to say"] if into else []
    screw = thread(spec.thread).name
    return Fastener(
        name=f"bolt {screw}",
        piece=name,
        through=(spec.on, name) if spec.through_wall else (name,),
        thread=screw,
        count=len(piece.holes),
        longest_mm=longest,
        note="; ".join(notes) or "any longer and it bottoms out on the wall and prises the plate off",
    )


def _grid(shell: Shell, placed: Sequence[Placed]) -> Iterator[Finding]:
    """All holes of all plates on one face must lie on one grid of the rig's pitch."""
    if shell.order.rig is None or shell.order.rig.grid is None:
        return
    pitch = shell.order.rig.grid
    by_face: dict[Vector, list[tuple[str, Vector]]] = {}
    for one in placed:
        for hole in one.piece.holes:
            by_face.setdefault(one.z, []).append((one.name, one.world(hole.x_mm, hole.y_mm, 0.0)))
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


def bore_panels(
    shell: Shell, blanks: Sequence[Placed], plates: Extra, faults: Faults
) -> dict[str, tuple[Hole, ...]]:  # fmt: skip
    """The holes of each panel: ports, and bolt holes behind plates that go through the wall.

    Args:
        shell: the box.
        blanks: its panels without holes.
        plates: those that were not refused.
        faults: what is refused goes there: a hole through its panel's edge, a port behind a plate.
    """
    by_name = {b.name: b for b in blanks}
    out: dict[str, list[Hole]] = {name: [] for name in by_name}
    standing = {plate.name: plate for plate in plates.placed}
    number = 0
    for index, spec in enumerate(shell.order.plate):
        for i in range(len(spec.at)):
            number += 1
            plate = standing.get(_plate_name(number))
            if spec.through_wall and plate is not None:
                with faults.step():
                    out[spec.on] += _bolt_holes(shell, by_name[spec.on], plate, spec, ("plate", index, "at", i))
    for index, port in enumerate(shell.order.port):
        if port.on in by_name:
            with faults.step():
                hole = port_hole(shell, by_name[port.on], index, port)
                out[port.on].append(inside_panel(shell, by_name[port.on], hole, ("port", index, "at")))
                _uncovered(shell, by_name[port.on], hole, plates, index)
    return {name: tuple(holes) for name, holes in out.items()}


def _bolt_holes(shell: Shell, blank: Placed, plate: Placed, spec: PlateSpec, key: Key) -> list[Hole]:
    """The clearance holes in the wall behind a plate."""
    wide = clearance(thread(spec.thread)).diameter_mm
    out = []
    for hole in plate.piece.holes:
        u, v, _ = blank.local(plate.world(hole.x_mm, hole.y_mm, 0.0))
        bolt = Hole(x_mm=u, y_mm=v, kind="through", diameter_mm=wide, side=outside_of(spec.on))
        out.append(inside_panel(shell, blank, bolt, key))
    return out


def _uncovered(shell: Shell, blank: Placed, hole: Hole, plates: Extra, index: int) -> None:
    """Refuse a port that a plate on the same face covers."""
    centre, radius = blank.world(hole.x_mm, hole.y_mm, 0.0), hole.diameter_mm / 2.0
    out = shell.outward(blank.name)
    for plate in plates.placed:
        if plate.z != blank.z and plate.z != out:
            continue
        low, high = plate.box
        spans = zip(low, high, centre, out, strict=True)
        if all(a - radius < c < b + radius for a, b, c, normal in spans if normal == 0):
            raise shell.order.refuse(("port", index, "at"), f"{plate.name} covers it", "a place clear of the plates")


def port_hole(shell: Shell, blank: Placed, index: int, port: PortSpec) -> Hole:
    """The hole of a port, in its panel's own axes.

    Raises:
        OrderError: an unknown thread.
    """
    u, v, _ = blank.local(face_point(*shell.corners, port.on, *port.at))
    if port.thread is None:
        assert port.diameter is not None
        return Hole(x_mm=u, y_mm=v, kind="through", diameter_mm=port.diameter, side=outside_of(port.on))
    try:
        return tapped_hole(u, v, port.thread, side=outside_of(port.on))
    except SeamwrightError as error:
        raise shell.order.refuse(
            ("port", index, "thread"), str(error), "a thread of `seamwright show threads`"
        ) from error
