"""Low places of a wall's rim, and the trough that is bonded on before one."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Final

from assemblies.design.model import Placed
from assemblies.kinds.sheets import extra_sheet
from assemblies.kinds.tank.box import FRAMES, face_point, place
from assemblies.kinds.tank.mounts.bolts import plate_name
from assemblies.kinds.tank.shell import Extra, Shell, lying
from assemblies.order import Faults, LipSpec, Order
from assemblies.order.errors import Key
from parts.findings import Taken
from parts.make.panel import panel
from parts.make.polygon import polygon
from parts.shape.piece import Hole, Mark, Piece
from parts.stock.rules import rule
from parts.stock.sheet import Sheet
from parts.stock.thread import thread
from parts.vectors import Vector, cross

if TYPE_CHECKING:
    from assemblies.liquid.shapes.openings import Lip

__all__ = [
    "Low",
    "check_plates",
    "cut_panel",
    "depth_of",
    "lips_of",
    "lips_taken",
    "low_places",
    "troughs",
    "wall_local",
]

_SHARE: Final = 0.25  # of the inside's depth, unless the order says how deep; judgement
_LEAST_SILL_MM: Final = 5.0  # over the floor; judgement
_UP: Final[Vector] = (0.0, 0.0, 1.0)


@dataclass(frozen=True, kw_only=True)
class Low:
    """A low place of a wall's rim.

    Attributes:
        spec, index: as ordered.
        low, high: of the opening, right of the middle of the wall as seen from outside, mm.
        sill: height of its level edge in the world, mm.
        whole: it takes the whole wall.
        beside: how far what is bonded on before it stands out beside and below it, mm.
        name: of it, and of its pieces.
    """

    spec: LipSpec
    index: int
    low: float
    high: float
    sill: float
    whole: bool
    beside: float
    name: str

    @property
    def key(self) -> Key:
        return ("lip", self.index)

    def ends(self, shell: Shell) -> tuple[Vector, ...]:
        """Places along its level edge, at the inner face of its wall: both ends, and each millimetre between them."""
        up, inside = self.sill - shell.box.outside_mm[2] / 2.0, shell.box.inside
        count = max(2, math.ceil(self.high - self.low))
        found = []
        for k in range(count + 1):
            right = self.low + (self.high - self.low) * k / count
            point = face_point(*shell.corners, self.spec.on, right, up)
            x, y, z = (min(max(c, a), b) for c, a, b in zip(point, *inside, strict=True))
            found.append((x, y, z))
        return tuple(found)

    def meets(self, low: float, high: float, top: float) -> bool:
        """Whether something on the wall from `low` to `high`, up to a height, runs into it."""
        return self.low - self.beside < high and low < self.high + self.beside and top > self.sill - self.beside


def low_places(shell: Shell, sheets: Mapping[str, Sheet], lid: str, faults: Faults) -> tuple[Low, ...]:
    """The low places that the order asks for; those that are refused are left out.

    Args:
        shell: the box.
        sheets: of its panels.
        lid: what lies on its rim.
        faults: what is refused goes there.
    """
    found: list[Low] = []
    for index, spec in enumerate(shell.order.lip):
        with faults.step():
            if spec.kind != "weir":
                _check_rim(shell.order, index, lid)
                one = _low(shell, sheets, index, spec)
                _check_beside(shell, one, found)
                found.append(one)
    return tuple(found)


def _check_rim(order: Order, index: int, lid: str) -> None:
    """Refuse a low place under what closes it over."""
    if lid in ("bonded", "screwed"):
        raise order.refuse(("lip", index), f"a {lid} lid closes the rim over it", 'lid = "none" or "loose"')
    if any(strip.where == "rim" for strip in order.strip):
        raise order.refuse(("lip", index), "rim strips close the rim over it", "no rim strips, or no lip")


def _low(shell: Shell, sheets: Mapping[str, Sheet], index: int, spec: LipSpec) -> Low:
    """One of them, once it is sure to lie in its wall."""
    order, axis = shell.order, 0 if spec.on in ("front", "back") else 1
    (start, _, floor), (end, _, top) = shell.box.inside
    if axis == 1:
        start, end = shell.box.inside[0][1], shell.box.inside[1][1]
    wall, wide = sheets[spec.on], spec.width or end - start
    depth = depth_of(spec, wide, top - floor)
    whole = spec.width is None
    if depth > top - floor - _LEAST_SILL_MM:
        most = f"up to {top - floor - _LEAST_SILL_MM:g} mm"
        raise order.refuse(("lip", index, "depth"), f"its edge would lie {depth:g} mm under the rim", most)
    if not whole and depth < _radius(wall) + 1.0:
        least = f"at least {_radius(wall) + 1.0:g} mm, its corners are rounded by {_radius(wall):g} mm"
        raise order.refuse(("lip", index, "depth"), f"its edge would lie {depth:g} mm under the rim", least)
    right = spec.at * _sense(spec.on)
    room = (start + wall.thickness_mm, end - wall.thickness_mm)
    if not whole and not room[0] <= right - wide / 2.0 <= right + wide / 2.0 <= room[1]:
        what = f"{wide:g} mm about {spec.at:g} mm reaches the corner of the {spec.on} wall"
        allowed = f"within {room[1] - room[0]:g} mm about its middle, or a low-rim without a width"
        raise order.refuse(("lip", index, "width"), what, allowed)
    if not whole and wide < 2.0 * _radius(wall) + 1.0:
        least = f"at least {2.0 * _radius(wall) + 1.0:g} mm"
        raise order.refuse(("lip", index, "width"), f"{wide:g} mm between rounded corners", least)
    if whole and spec.on in order.as_cut:
        what = "its height as cut would be told twice"
        raise order.refuse(("as-cut", spec.on), what, f"no [as-cut] of the {spec.on}, which is cut lower")
    beside = (spec.thickness or wall.thickness_mm) if spec.kind == "trough" else 0.0
    middle = (start + end) / 2.0 * _sense(spec.on)
    at = middle if whole else spec.at
    return Low(
        spec=spec,
        index=index,
        low=at - wide / 2.0,
        high=at + wide / 2.0,
        sill=top - depth,
        whole=whole,
        beside=beside,
        name=_name(order, index, spec),
    )


def _name(order: Order, index: int, spec: LipSpec) -> str:
    same = [i for i, one in enumerate(order.lip) if one.kind == spec.kind]
    return spec.kind if len(same) == 1 else f"{spec.kind}-{same.index(index) + 1}"


def _sense(on: str) -> float:
    """Whether right, seen from outside, is along its axis or against it."""
    return sum(FRAMES[on][0])


def depth_of(spec: LipSpec, wide: float, inside: float) -> float:
    most = _SHARE * inside
    return spec.depth or (most if spec.width is None else min(wide / 2.0, most))


def _radius(wall: Sheet) -> float:
    """Of the corners that go in: what a wall that is bent by liquid bears, and a cutter leaves."""
    return max(rule("notch_radius"), wall.thickness_mm / 2.0)


def _check_beside(shell: Shell, one: Low, others: Sequence[Low]) -> None:
    """Refuse what would stand in another, in a strip or a port."""
    order, on = shell.order, one.spec.on
    clash = next(
        (o for o in others if o.spec.on == on and o.meets(one.low - one.beside, one.high + one.beside, 1e9)), None
    )
    if clash:
        raise order.refuse(one.key, f"the {one.name} runs into the {clash.name}", "places side by side")
    for name, low, high in _strips(shell, on):
        if one.low < high and low < one.high:
            raise order.refuse(one.key, f"the {one.name} opens where {name}", "a place clear of it")
    height = shell.box.outside_mm[2]
    for index, port in enumerate(order.port):
        if port.on == on:
            wide = thread(port.thread).major_mm if port.thread else port.diameter or 0.0
            if one.meets(port.at[0] - wide / 2.0, port.at[0] + wide / 2.0, height / 2.0 + port.at[1] + wide / 2.0):
                raise order.refuse(("port", index, "at"), f"it lies in the {one.name}", "a place clear of it")


def _strips(shell: Shell, on: str) -> Iterator[tuple[str, float, float]]:
    """What stands at the inner face of a wall, or lies across its rim: right of the middle seen from outside, from and to."""
    axis, sense = (0 if on in ("front", "back") else 1), _sense(on)
    start, end = shell.box.inside[0][axis], shell.box.inside[1][axis]
    for strip in shell.order.strip:
        if strip.where == "inside-corner":
            deep = strip.size[0] if axis == 0 else strip.size[1]
            for a, b in ((start, start + deep), (end - deep, end)):
                yield "a corner strip stands", min(a * sense, b * sense), max(a * sense, b * sense)
        if strip.where == "brace" and axis == 0:
            for at in strip.at:
                yield "a brace lies", at * sense - strip.size[0] / 2.0, at * sense + strip.size[0] / 2.0


def check_plates(shell: Shell, low: Sequence[Low], plates: Extra, faults: Faults) -> None:
    """Refuse plates that stand in a low place of their wall, or in what is bonded on before it."""
    first = 1
    placed = {one.name: one for one in plates.placed}
    for index, spec in enumerate(shell.order.plate):
        for i, at in enumerate(spec.at):
            plate, half = placed.get(plate_name(first + i)), spec.size[0] / 2.0
            for one in low:
                if plate and one.spec.on == spec.on and one.meets(at[0] - half, at[0] + half, plate.box[1][2]):
                    with faults.step():
                        what = f"{plate.name} stands in the {one.name}"
                        raise shell.order.refuse(("plate", index, "at", i), what, "a place clear of it")
        first += len(spec.at)


def cut_panel(
    shell: Shell,
    name: str,
    size: tuple[float, float],
    low: Sequence[Low],
    *,
    holes: Sequence[Hole] = (),
    marks: Sequence[Mark] = (),
    kind: str = "panel",
    process: str | None = None,
) -> Piece:
    """A panel of the box with the low places of its rim.

    Args:
        size: before anything is cut from its rim.
        low: those of this panel.
    """
    (width, height), sheet = size, shell.sheets[name]
    keys: dict[str, Any] = {"holes": holes, "cut_group": "box", "process": process, "kind": kind}
    if not low:
        made = panel(name, width, height, sheet, **keys)
    else:
        right, floor = wall_local(shell, name, (0.0, 0.0))
        if low[0].whole:
            made = panel(name, width, low[0].sill + floor, sheet, **keys)
        else:
            points = [(0.0, 0.0), (width, 0.0), (width, height)]
            for one in sorted(low, key=lambda one: -one.low):
                a, b, sill = one.low + right, one.high + right, one.sill + floor
                points += [(b, height), (b, sill), (a, sill), (a, height)]
            made = polygon(name, [*points, (0.0, height)], sheet, inside_radius_mm=_radius(sheet), **keys)
    return replace(made, marks=tuple(marks)) if marks else made


def wall_local(shell: Shell, on: str, at: tuple[float, float]) -> tuple[float, float]:
    """In a wall's own axes: a place right of its middle seen from outside, at a height of the world."""
    blank = place(on, panel(on, *shell.box.size_mm(on), shell.sheets[on]), on, shell.box.slot(on)[0])
    u, v, _ = blank.local(face_point(*shell.corners, on, at[0], at[1] - shell.box.outside_mm[2] / 2.0))
    return u, v


def troughs(shell: Shell, low: Sequence[Low], faults: Faults) -> Extra:
    """Floor and sides of each trough: the floor level with the edge of its notch, the sides up to the rim."""
    placed: list[Placed] = []
    for one in low:
        if one.spec.kind == "trough":
            with faults.step():
                placed += _trough(shell, one)
    return Extra(placed=tuple(placed))


def _trough(shell: Shell, one: Low) -> Iterator[Placed]:
    sheet = shell.sheets[one.spec.on] if one.spec.thickness is None else extra_sheet(shell.order, one.spec.thickness)
    t, wide, out = sheet.thickness_mm, one.high - one.low, one.spec.out or one.high - one.low
    x, z = FRAMES[one.spec.on]
    height = shell.box.outside_mm[2]
    floor = panel(f"{one.name}-floor", wide, out, sheet, cut_group=one.name, kind="trough", role="stiffener")
    deep = height - one.sill + t
    side = panel(f"{one.name}-side", out, deep, sheet, cut_group=one.name, kind="trough", role="stiffener")

    def low_of(left: float, right: float, up: float) -> list[float]:
        ends = [face_point(*shell.corners, one.spec.on, r, up - height / 2.0) for r in (left, right)]
        return [min(p, q, p + out * n, q + out * n) for p, q, n in zip(*ends, z, strict=True)]

    yield lying(f"{one.name}-floor", floor, (x, _UP), low_of(one.low, one.high, one.sill - t))
    across = cross(z, _UP)
    for word, left in (("left", one.low - t), ("right", one.high)):
        yield lying(f"{one.name}-side-{word}", side, (z, across), low_of(left, left + t, one.sill - t))


def lips_of(shell: Shell, low: Sequence[Low]) -> tuple[Lip, ...]:
    """The edges over which liquid leaves by them: level, at the inner face of the wall."""
    from assemblies.liquid.shapes.openings import Lip

    found = []
    for one in low:
        edge = one.ends(shell)
        found.append(Lip(name=one.name, corners=(edge[0], edge[-1]), way=_way(one)))
    return tuple(found)


def _way(one: Low) -> str:
    if one.spec.kind == "low-rim":
        return f"over the low rim on the {one.spec.on}"
    return f"through the {one.spec.kind} on the {one.spec.on}"


def lips_taken(order: Order, low: Sequence[Low], top: float) -> Iterator[Taken]:
    """What the order leaves open of them."""
    for one in low:
        if one.spec.depth is None:
            yield Taken(
                what=f"depth of the {one.name} under the rim",
                value=top - one.sill,
                unit="mm",
                why="what it holds and pours",
                say="[[lip]] depth",
                weight=1.3,
            )
        if one.spec.kind == "trough" and one.spec.out is None:
            yield Taken(
                what=f"how far the {one.name} reaches out",
                value=one.high - one.low,
                unit="mm",
                why="where it pours",
                say="[[lip]] out",
                weight=1.1,
            )
