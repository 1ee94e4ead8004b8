"""Walls inside a tank, from wall to wall: baffles, dividers with holes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from assemblies.design.model import Placed
from assemblies.design.place import FACES
from assemblies.kinds.sheets import extra_sheet
from assemblies.kinds.tank.box import FRAMES, face_point
from assemblies.kinds.tank.pouring.lips import Low
from assemblies.kinds.tank.shell import Shell, lying
from assemblies.order import Faults, InnerSpec, Order
from assemblies.order.errors import Key
from parts.findings import SeamwrightError
from parts.make.panel import panel
from parts.shape.piece import Hole
from parts.stock.sheet import Sheet
from parts.stock.thread import thread
from parts.vectors import Vector

__all__ = ["FRAMES_ACROSS", "check_clear", "inner_walls"]

_LEAST_MM: Final = 5.0  # of a wall's height, and of the room beside it; judgement
#: x and normal of a wall by the way it runs: to the back, or to the right.
FRAMES_ACROSS: Final[dict[str, tuple[Vector, Vector]]] = {"width": FACES["right"], "length": FACES["front"]}


def inner_walls(
    shell: Shell, low: Sequence[Low], standing: Sequence[Placed], top_mm: float, faults: Faults
) -> tuple[Placed, ...]:
    """Every baffle and divider in its place; those that are refused are left out.

    Args:
        shell: the box.
        low: places where a wall's rim is cut away.
        standing: what stands inside already.
        top_mm: how high they may reach in the world.
        faults: what is refused goes there.
    """
    found: list[Placed] = []
    for index, spec in enumerate(shell.order.inner):
        with faults.step():
            if spec.kind == "ramp":
                continue
            one = _wall(shell, index, spec, top_mm)
            check_clear(shell, ("inner", index), one, low, (*standing, *found))
            found.append(one)
    return tuple(found)


def name_of(order: Order, index: int) -> str:
    """The name of a wall inside: its kind, with a number where there are several."""
    kind = order.inner[index].kind
    same = [i for i, one in enumerate(order.inner) if one.kind == kind]
    return kind if len(same) == 1 else f"{kind}-{same.index(index) + 1}"


def _wall(shell: Shell, index: int, spec: InnerSpec, top_mm: float) -> Placed:
    order, (low, high) = shell.order, shell.box.inside
    along, across = (0, 1) if spec.across == "width" else (1, 0)
    sheet = _sheet(order, index, spec)
    t, room, floor = sheet.thickness_mm, (low[along], high[along]), low[2]
    most = top_mm - floor
    height = (spec.height or most) - spec.gap
    if spec.height is not None and spec.height > most + 1e-9:
        what = f"it would reach {spec.height:g} mm over the floor"
        raise order.refuse(("inner", index, "height"), what, f"up to {most:g} mm")
    if height < _LEAST_MM:
        what = f"{height:g} mm are left of it between its lower and its upper edge"
        raise order.refuse(("inner", index, "height"), what, f"at least {_LEAST_MM:g} mm")
    start = spec.at - t / 2.0
    if not room[0] + _LEAST_MM <= start <= room[1] - _LEAST_MM - t:
        what = f"a wall of {t:g} mm about {spec.at:g} mm leaves the inside"
        allowed = f"{room[0] + _LEAST_MM + t / 2.0:g}..{room[1] - _LEAST_MM - t / 2.0:g} mm"
        raise order.refuse(("inner", index, "at"), what, allowed)
    width = high[across] - low[across]
    holes = tuple(
        Hole(x_mm=x + width / 2.0, y_mm=y - spec.gap, kind="through", diameter_mm=spec.hole or 0.0)
        for x, y in spec.holes
    )
    name = name_of(order, index)
    try:
        piece = panel(name, width, height, sheet, holes=holes, cut_group="box", kind=spec.kind, role="inner")
    except SeamwrightError as error:
        raise order.refuse(("inner", index, "holes"), str(error), "holes inside the wall") from error
    _check_holes(order, index, holes)
    corner = (start, low[1], floor + spec.gap) if along == 0 else (low[0], start, floor + spec.gap)
    return lying(name, piece, FRAMES_ACROSS[spec.across], corner)


def _sheet(order: Order, index: int, spec: InnerSpec) -> Sheet:
    thick = spec.thickness or order.sheet.thickness
    if isinstance(thick, str):
        raise order.refuse(("inner", index, "thickness"), "the sheet is still to be chosen", "a thickness of its own")
    return extra_sheet(order, thick)


def _check_holes(order: Order, index: int, holes: Sequence[Hole]) -> None:
    """Refuse holes that run into each other."""
    for i, one in enumerate(holes):
        for other in holes[:i]:
            if (one.x_mm - other.x_mm) ** 2 + (one.y_mm - other.y_mm) ** 2 <= one.diameter_mm**2:
                key: Key = ("inner", index, "holes", i)
                raise order.refuse(key, "it runs into another hole", "holes with sheet between them")


def check_clear(shell: Shell, key: Key, one: Placed, low: Sequence[Low], standing: Sequence[Placed]) -> None:
    """Refuse a wall that stands in another thing, before a port, or in a low place of the rim."""
    order = shell.order
    clash = next((p.name for p in standing if _meet(one, p)), None)
    if clash:
        raise order.refuse(key, f"{one.name} stands in {clash}", "a place clear of it")
    (x0, y0, z0), (x1, y1, z1) = one.box
    for place in low:
        for edge in place.ends(shell):
            if x0 - 1e-6 <= edge[0] <= x1 + 1e-6 and y0 - 1e-6 <= edge[1] <= y1 + 1e-6 and z1 > place.sill:
                raise order.refuse(key, f"{one.name} ends in the {place.name}", "a place clear of it, or a lower wall")
    for index, (box, name) in enumerate(_ports(shell)):
        if all(a < d and c < b for a, b, c, d in zip((x0, y0, z0), (x1, y1, z1), *box, strict=True)):
            raise order.refuse(("port", index, "at"), f"{one.name} stands before {name}", "a place clear of it")


def _meet(one: Placed, other: Placed) -> bool:
    (a, b), (c, d) = one.box, other.box
    return all(a[k] < d[k] - 1e-6 and c[k] < b[k] - 1e-6 for k in range(3))


def _ports(shell: Shell) -> Iterator[tuple[tuple[Vector, Vector], str]]:
    """The box about each port, as deep as its wall and a little more on both sides, and its name."""
    for index, port in enumerate(shell.order.port):
        half = (thread(port.thread).major_mm if port.thread else port.diameter or 0.0) / 2.0
        x, y, z = face_point(*shell.corners, port.on, *port.at)
        deep = shell.sheets[port.on].thickness_mm + 1.0
        reach = [deep if abs(n) > 0.5 else half for n in FRAMES[port.on][1]]
        low = (x - reach[0], y - reach[1], z - reach[2])
        yield (low, (x + reach[0], y + reach[1], z + reach[2])), f"{port.kind}-{index + 1}"
