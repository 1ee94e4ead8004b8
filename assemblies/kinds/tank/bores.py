"""What is bored into a tank's panels: ports, and the holes of bolts that go through the wall."""

from __future__ import annotations

from collections.abc import Sequence

from assemblies.design.model import Placed
from assemblies.kinds.tank.box import face_point
from assemblies.kinds.tank.mounts.bolts import plate_name
from assemblies.kinds.tank.shell import Extra, Shell, inside_panel, outside_of
from assemblies.order import Faults, PortSpec
from assemblies.order.errors import Key
from parts.findings import SeamwrightError
from parts.shape.piece import Hole
from parts.shape.spots import spots_of
from parts.shape.tapped import tapped_hole

__all__ = ["bore_panels", "port_hole"]


def bore_panels(shell: Shell, blanks: Sequence[Placed], plates: Extra, faults: Faults) -> dict[str, tuple[Hole, ...]]:
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
    bolted = {one.piece: one for one in plates.fasteners if one.piece != one.through[0]}
    number = 0
    for index, spec in enumerate(shell.order.plate):
        for i in range(len(spec.at)):
            number += 1
            name = plate_name(number)
            if name in bolted:
                with faults.step():
                    key = ("plate", index, "at", i)
                    out[spec.on] += _bolt_holes(shell, by_name[spec.on], standing[name], spec.on, key)
    for index, port in enumerate(shell.order.port):
        if port.on in by_name:
            with faults.step():
                hole = port_hole(shell, by_name[port.on], index, port)
                out[port.on].append(inside_panel(shell, by_name[port.on], hole, ("port", index, "at")))
                _uncovered(shell, by_name[port.on], hole, plates, index)
    return {name: tuple(holes) for name, holes in out.items()}


def _bolt_holes(shell: Shell, blank: Placed, plate: Placed, face: str, key: Key) -> list[Hole]:
    """The clearance holes in the wall behind a plate, as wide as the plate's own."""
    out = []
    for spot in spots_of(plate.piece):
        u, v, _ = blank.local(plate.world(spot.x_mm, spot.y_mm, 0.0))
        bolt = Hole(x_mm=u, y_mm=v, kind="through", diameter_mm=spot.width_mm, side=outside_of(face))
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
