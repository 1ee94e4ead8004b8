"""Attachment plates and ports: what is bonded on to the outside of a tank's faces and bored into its panels."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from assemblies.design import Fastener, Placed, Vector
from assemblies.kinds.box import face_point, place
from assemblies.kinds.tank_shell import Extra, Shell, inside_panel, outside_of
from assemblies.order import PlateSpec, PortSpec
from parts.findings import Finding, SeamwrightError
from parts.mounting import Pattern, pattern
from parts.piece import Hole, Piece
from parts.rules import rule, rule_source
from parts.tapped_plate import longest_bolt_mm, tapped_hole, tapped_plate
from parts.thread import clearance, thread

__all__ = ["add_plates", "bore_panels", "port_hole"]


def add_plates(shell: Shell) -> Extra:
    """Every `[[plate]]` in its place on the outside of its face.

    Raises:
        OrderError: an unknown pattern or thread, a hole through the plate's edge, a plate off its face or on another.
    """
    placed: list[Placed] = []
    fasteners: list[Fastener] = []
    findings: list[Finding] = []
    for index, spec in enumerate(shell.order.plate):
        piece = _plate_piece(shell, index, spec)
        for at in spec.at:
            name = f"plate-{len(placed) + 1}"
            one = _plate_on_face(shell, name, piece, spec.on, at)
            _check_on_face(shell, index, spec, one)
            clash = next((p.name for p in placed if _share_space(p, one)), None)
            if clash:
                raise shell.order.refuse(("plate", index, "at"), f"{name} stands in {clash}", "plates side by side")
            placed.append(one)
            fasteners.append(_plate_bolts(name, piece, spec))
            findings += _overhang(shell, spec, one)
    return Extra(placed=tuple(placed), fasteners=tuple(fasteners), findings=(*findings, *_grid(shell, placed)))


def _plate_pattern(shell: Shell, index: int, spec: PlateSpec) -> Pattern:
    try:
        return pattern(spec.pattern, thread=spec.thread, unit=shell.order.units)
    except SeamwrightError as error:
        raise shell.order.refuse(
            ("plate", index, "pattern"), str(error), "a pattern of `seamwright show mountings`"
        ) from error


def _plate_piece(shell: Shell, index: int, spec: PlateSpec) -> Piece:
    found = _plate_pattern(shell, index, spec)
    try:
        return tapped_plate(
            _part_name(shell, index),
            *spec.size,
            shell.sheet(spec.thickness, spec.measured),
            spec.thread,
            found.centres,
            percent=spec.percent,
            drill_mm=spec.drill,
            pilot_mm=found.pilot_mm,
            side=outside_of(spec.on),
            cut_group="plates",
        )
    except SeamwrightError as error:
        raise shell.order.refuse(("plate", index), str(error), "a plate that holds its pattern") from error


def _part_name(shell: Shell, index: int) -> str:
    return (
        "plate"
        if len(shell.order.plate) == 1
        else f"plate-{'abcdefghijklmnopqrstuvwxyz'[index % 26]}{index // 26 or ''}"
    )


def _plate_on_face(shell: Shell, name: str, piece: Piece, face: str, at: tuple[float, float]) -> Placed:
    centre = face_point(*shell.corners, face, *at)
    loose = place(name, piece, face, (0.0, 0.0, 0.0))
    low, high = loose.box
    out = shell.outward(face)
    start = [centre[k] - (high[k] - low[k]) * (0.5 if out[k] == 0 else 0.0 if out[k] > 0 else 1.0) for k in range(3)]
    return place(name, piece, face, start)


def _check_on_face(shell: Shell, index: int, spec: PlateSpec, one: Placed) -> None:
    low, high = one.box
    face_low, face_high = shell.corners
    out = shell.outward(spec.on)
    for k in range(3):
        if out[k] == 0 and (low[k] >= face_high[k] - 1e-9 or high[k] <= face_low[k] + 1e-9):
            raise shell.order.refuse(
                ("plate", index, "at"),
                f"{one.name} lies off the {spec.on} face",
                f"a centre that leaves part of the plate on the face of {face_high[0] - face_low[0]:g} x "
                f"{face_high[1] - face_low[1]:g} x {face_high[2] - face_low[2]:g} mm",
            )


def _share_space(one: Placed, other: Placed) -> bool:
    (alow, ahigh), (blow, bhigh) = one.box, other.box
    return all(alow[k] < bhigh[k] - 1e-6 and blow[k] < ahigh[k] - 1e-6 for k in range(3))


def _overhang(shell: Shell, spec: PlateSpec, one: Placed) -> Iterator[Finding]:
    low, high = one.box
    face_low, face_high = shell.corners
    out = shell.outward(spec.on)
    on = whole = 1.0
    for k in range(3):
        if out[k] == 0:
            on *= min(high[k], face_high[k]) - max(low[k], face_low[k])
            whole *= high[k] - low[k]
    if on < 0.5 * whole:
        yield Finding(
            level="care",
            check="plates",
            where=one.name,
            why=f"only {100 * on / whole:.0f} % of it lies on the {spec.on} face: the rest peels at the bond",
            do="move it onto the face, or carry the load by another plate too",
            source="judgement",
        )


def _plate_bolts(name: str, piece: Piece, spec: PlateSpec) -> Fastener:
    hole = piece.holes[0]
    longest = None if spec.through_wall else longest_bolt_mm(hole, piece.thickness_mm)
    note = (
        "comes through the wall: seal under its head"
        if spec.through_wall
        else "longer bottoms out on the wall and prises the plate off"
    )
    return Fastener(
        name=f"bolt {hole.thread}",
        piece=name,
        thread=hole.thread or "",
        count=len(piece.holes),
        longest_mm=longest,
        note=note,
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


def bore_panels(shell: Shell, blanks: Sequence[Placed], plates: Extra) -> dict[str, tuple[Hole, ...]]:
    """The holes of each panel: ports, and bolt holes behind plates that go through the wall.

    Raises:
        OrderError: a port or bolt hole that runs through its panel's edge, an unknown thread.
    """
    by_name = {b.name: b for b in blanks}
    out: dict[str, list[Hole]] = {name: [] for name in by_name}
    names = iter(p for p in plates.placed)
    for index, spec in enumerate(shell.order.plate):
        for _ in spec.at:
            plate = next(names)
            if not spec.through_wall:
                continue
            wide = clearance(thread(spec.thread)).diameter_mm
            for hole in plate.piece.holes:
                u, v, _w = by_name[spec.on].local(plate.world(hole.x_mm, hole.y_mm, 0.0))
                bolt = Hole(x_mm=u, y_mm=v, kind="through", diameter_mm=wide, side=outside_of(spec.on))
                out[spec.on].append(inside_panel(shell, by_name[spec.on], bolt, ("plate", index, "at")))
    for index, port in enumerate(shell.order.port):
        if port.on in by_name:
            hole = port_hole(shell, by_name[port.on], index, port)
            out[port.on].append(inside_panel(shell, by_name[port.on], hole, ("port", index, "at")))
    return {name: tuple(holes) for name, holes in out.items()}


def port_hole(shell: Shell, blank: Placed, index: int, port: PortSpec) -> Hole:
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
