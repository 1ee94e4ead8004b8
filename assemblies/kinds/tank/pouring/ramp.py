"""A sloped floor: a plate from wall to wall, both its ends bevelled upright, on two rests that carry it while it is bonded
and stay.

The room under it stays dry: a hole in the tank's own floor lets the vapour of the solvent out, and shows a leak.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from assemblies.design.model import Joint, Placed
from assemblies.kinds.sheets import extra_sheet
from assemblies.kinds.tank.box import FRAMES, face_point
from assemblies.kinds.tank.shell import Shell, outside_of
from assemblies.order import Faults, InnerSpec, PortSpec
from parts.findings import Taken
from parts.make.panel import panel
from parts.make.polygon import polygon
from parts.shape.piece import Bevel, Hole
from parts.stock.rules import rule
from parts.stock.thread import thread
from parts.vectors import Vector, cross

if TYPE_CHECKING:
    from assemblies.liquid.shapes.cells import Slope

__all__ = ["Ramp", "ramps"]

_UNDER_MM: Final = 1.0  # between the floor and the lower end; judgement: it must not be what it rests on
_STEEPEST: Final = math.radians(30.0)  # judgement: a blade tilts to 45, and what is steeper is a wall
_FLATTEST: Final = math.radians(0.5)  # judgement: less is within what a wall is out of square
_REST: Final = (0.12, 0.88)  # of the length: what the rests reach over; judgement
_LEAST_REST_MM: Final = 8.0
_REST_IN: Final = 0.25  # of the width: how far in from the walls they stand; judgement
_SLACK_MM: Final = 1e-6


@dataclass(frozen=True, kw_only=True)
class Ramp:
    """A sloped floor and its rests.

    Attributes:
        spec, index: as ordered.
        placed: the ramp, then its rests.
        low: a point of its upper face at its low end.
        toward: level, to where it rises.
        angle: of its slope, rad.
        foot, room: height of its upper face over the floor at its low end; how long it is, level.
    """

    spec: InnerSpec
    index: int
    placed: tuple[Placed, ...]
    low: Vector
    toward: Vector
    angle: float
    foot: float
    room: float

    @property
    def joints(self) -> tuple[Joint, ...]:
        """It is laid on its rests: no needle reaches them once it is in."""
        return tuple(Joint(a=rest.name, b="ramp", kind="loose") for rest in self.placed[1:])

    @property
    def slope(self) -> Slope:
        """What the liquid has for a floor."""
        from assemblies.liquid.shapes.cells import Slope

        (dx, dy, _), sin, cos = self.toward, math.sin(self.angle), math.cos(self.angle)
        return Slope(name="ramp", point=self.low, normal=(-dx * sin, -dy * sin, cos))

    def height_at(self, point: Sequence[float]) -> float:
        """Of its upper face in the world, over or under a point."""
        along = sum((p - q) * d for p, q, d in zip(point[:2], self.low[:2], self.toward[:2], strict=True))
        return self.low[2] + along * math.tan(self.angle)

    def weep(self, shell: Shell, taken: Sequence[Placed]) -> Hole:
        """A hole in the floor under its high end, clear of plates.

        Raises:
            OrderError: there is no room for one.
        """
        bore, (start, end) = rule("weep_hole"), shell.box.inside
        blank = next(p for p in taken if p.name == "bottom")
        across = cross((0.0, 0.0, 1.0), self.toward)
        width = sum((b - a) * abs(c) for a, b, c in zip(start, end, across, strict=True))
        middle = [(a + b) / 2.0 for a, b in zip(start, end, strict=True)]
        for aside in (0.0, 0.3, -0.3, 0.42, -0.42):
            at = [
                m + d * (self.room / 2.0 - 3.0 * bore) + c * aside * width
                for m, d, c in zip(middle, self.toward, across, strict=True)
            ]
            clear = not any(
                p.name != "bottom"
                and p.box[0][2] < start[2] + _SLACK_MM
                and all(p.box[0][k] - bore < at[k] < p.box[1][k] + bore for k in (0, 1))
                for p in taken
            )
            clear = clear and not any(
                all(p.box[0][k] - bore < at[k] < p.box[1][k] + bore for k in (0, 1)) for p in self.placed[1:]
            )
            if clear:
                u, v, _ = blank.local((at[0], at[1], 0.0))
                return Hole(x_mm=u, y_mm=v, kind="through", diameter_mm=bore, side=outside_of("bottom"))
        what = "there is no room in the floor for the hole that its dry room needs"
        raise shell.order.refuse(("inner", self.index), what, "plates clear of a side of its high end")

    def taken(self) -> tuple[Taken, ...]:
        """What the order leaves open of it."""
        return (
            (
                Taken(
                    what="foot of the ramp",
                    value=self.foot,
                    unit="mm",
                    why="what stays under its low end, and its slope",
                    say="[[inner]] foot",
                    weight=1.05,
                ),
            )
            if self.spec.foot is None
            else ()
        )


def ramps(shell: Shell, standing: Sequence[Placed], faults: Faults) -> tuple[Ramp, ...]:
    """The sloped floor that the order asks for, if any; what is refused is left out.

    Args:
        shell: the box.
        standing: what stands inside already.
        faults: what is refused goes there: two of them, one that is too steep, a port that it closes.
    """
    found: list[Ramp] = []
    for index, spec in enumerate(shell.order.inner):
        if spec.kind == "ramp":
            with faults.step():
                if found:
                    raise shell.order.refuse(("inner", index), "a second sloped floor", "one")
                one = _ramp(shell, index, spec)
                _check_clear(shell, one, standing)
                found.append(one)
    return tuple(found)


def _ramp(shell: Shell, index: int, spec: InnerSpec) -> Ramp:
    assert spec.rises is not None
    assert spec.height is not None
    order, (start, end), toward = shell.order, shell.box.inside, FRAMES[spec.rises][1]
    axis = 0 if toward[0] else 1
    thick = spec.thickness or order.sheet.thickness
    if isinstance(thick, str):
        raise order.refuse(("inner", index, "thickness"), "the sheet is still to be chosen", "a thickness of its own")
    sheet, room = extra_sheet(order, thick), end[axis] - start[axis]
    t, deep, foot = sheet.thickness_mm, end[2] - start[2], spec.foot
    if foot is None:
        foot = float(math.ceil(t / math.cos(math.atan2(spec.height, room)) + _UNDER_MM))
    angle = math.atan2(spec.height - foot, room)
    if not _FLATTEST <= angle <= _STEEPEST:
        what = f"from {foot:g} to {spec.height:g} mm over {room:g} mm it slopes {math.degrees(angle):.1f} degrees"
        allowed = f"{math.degrees(_FLATTEST):g} to {math.degrees(_STEEPEST):g} degrees"
        raise order.refuse(("inner", index, "height"), what, allowed)
    if spec.height > deep - _LEAST_REST_MM:
        what = f"its high end would be {spec.height:g} mm up in {deep:g} mm"
        raise order.refuse(("inner", index, "height"), what, f"up to {deep - _LEAST_REST_MM:g} mm")
    drop = t / math.cos(angle)
    if foot < drop + _UNDER_MM - _SLACK_MM:
        what = f"its upper face {foot:g} mm up, its lower one would touch the floor"
        raise order.refuse(("inner", index, "foot"), what, f"at least {math.ceil(drop + _UNDER_MM):g} mm")
    low = [(a + b) / 2.0 for a, b in zip(start, end, strict=True)]
    low[axis] = start[axis] if toward[axis] > 0.0 else end[axis]
    low[2] = start[2] + foot
    one = Ramp(
        spec=spec,
        index=index,
        placed=(),
        low=(low[0], low[1], low[2]),
        toward=toward,
        angle=angle,
        foot=foot,
        room=room,
    )
    width = end[1 - axis] - start[1 - axis]
    back = t * math.tan(angle)
    piece = panel("ramp", width, room / math.cos(angle) + back, sheet, cut_group="box", kind="ramp", role="inner")
    piece = replace(
        piece, bevels=(Bevel(edge=0, angle_rad=angle, side="far"), Bevel(edge=2, angle_rad=angle, side="near"))
    )
    (dx, dy, _), sin, cos = toward, math.sin(angle), math.cos(angle)
    x = cross(toward, (0.0, 0.0, 1.0))
    origin = [v - c * width / 2.0 for v, c in zip(low, x, strict=True)]
    origin[2] -= drop
    ramp = Placed(
        name="ramp", piece=piece, origin=(origin[0], origin[1], origin[2]), x=x, z=(-dx * sin, -dy * sin, cos)
    )
    return replace(one, placed=(ramp, *_rests(shell, one, ramp, drop)))


def _rests(shell: Shell, one: Ramp, ramp: Placed, drop: float) -> tuple[Placed, Placed]:
    """Two uprights on the floor whose upper edges lie under the ramp."""
    floor, sheet, up = shell.box.inside[0][2], ramp.piece.sheet, math.tan(one.angle)
    first = max(_REST[0] * one.room, (_LEAST_REST_MM - one.foot + drop) / up)
    last = max(_REST[1] * one.room, first + _LEAST_REST_MM)
    if last > one.room - _LEAST_REST_MM:
        what = "there is no room under it for the rests that carry it while it is bonded"
        raise shell.order.refuse(("inner", one.index, "height"), what, "a higher end, or a higher foot")
    low, high = (one.foot - drop + s * up for s in (first, last))
    corners = [(0.0, 0.0), (last - first, 0.0), (last - first, high), (0.0, low)]
    piece = polygon("ramp-rest", corners, sheet, cut_group="ramp", kind="ramp-rest", role="inner")
    z = cross(one.toward, (0.0, 0.0, 1.0))
    width = ramp.piece.size_mm[0]
    found = []
    for name, share in (("ramp-rest-1", _REST_IN), ("ramp-rest-2", 1.0 - _REST_IN)):
        at = [
            p + d * first + c * (width * (share - 0.5) - sheet.thickness_mm / 2.0)
            for p, d, c in zip(one.low, one.toward, z, strict=True)
        ]
        found.append(Placed(name=name, piece=piece, origin=(at[0], at[1], floor), x=one.toward, z=z))
    return found[0], found[1]


def _check_clear(shell: Shell, one: Ramp, standing: Sequence[Placed]) -> None:
    """Refuse what would stand in it or under it, and ports that it closes."""
    order = shell.order
    for other in standing:
        (a, b), inside = other.box, shell.box.inside
        within = all(a[k] < inside[1][k] - _SLACK_MM and inside[0][k] + _SLACK_MM < b[k] for k in range(3))
        if within and any(one.height_at((x, y)) > a[2] + _SLACK_MM for x in (a[0], b[0]) for y in (a[1], b[1])):
            raise order.refuse(
                ("inner", one.index), f"{other.name} stands where it lies", "nothing on the floor beside it"
            )
    for index, port in enumerate(order.port):
        _check_port(shell, one, index, port)


def _check_port(shell: Shell, one: Ramp, index: int, port: PortSpec) -> None:
    if port.on == "lid":
        return
    at = face_point(*shell.corners, port.on, *port.at)
    wide = (thread(port.thread).major_mm if port.thread else port.diameter) or 0.0
    side = FRAMES[port.on][0]
    ends = [[p + s * c * wide / 2.0 for p, c in zip(at, side, strict=True)] for s in (-1.0, 1.0)]
    if port.on == "bottom" or at[2] - wide / 2.0 < max(one.height_at(e) for e in ends) - _SLACK_MM:
        raise shell.order.refuse(("port", index, "at"), "the ramp closes it", "a place over the ramp")
