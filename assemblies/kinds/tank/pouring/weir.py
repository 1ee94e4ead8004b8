"""A weir: a lower wall inside, over which liquid runs evenly into a room behind it, and from there out by a port or a lip."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from assemblies.design.model import Placed
from assemblies.kinds.sheets import extra_sheet
from assemblies.kinds.tank.box import FRAMES, face_point
from assemblies.kinds.tank.pouring.inner import FRAMES_ACROSS, check_clear
from assemblies.kinds.tank.pouring.lips import Low, depth_of
from assemblies.kinds.tank.shell import Shell, lying
from assemblies.order import Faults, LipSpec, Order, PortSpec
from parts.findings import Taken
from parts.make.panel import panel
from parts.vectors import Vector

if TYPE_CHECKING:
    from assemblies.liquid.shapes.cells import Block
    from assemblies.liquid.shapes.openings import Lip

__all__ = ["Weir", "weirs"]

_BEHIND_MM: Final = 40.0  # judgement: a hand with a brush goes in
_LEAST_MM: Final = 10.0  # of the room behind it, and of the weir's height; judgement


@dataclass(frozen=True, kw_only=True)
class Weir:
    """A weir and the room behind it.

    Attributes:
        spec, index: as ordered.
        placed: the wall.
        low, high: corners of the room behind it, up to the rim.
        edge: height of its edge in the world, mm.
        ends: of that edge, on the wet side.
    """

    spec: LipSpec
    index: int
    placed: Placed
    low: Vector
    high: Vector
    edge: float
    ends: tuple[Vector, Vector]

    def takes(self, shell: Shell, port: PortSpec) -> bool:
        """Whether a port opens into the room behind it."""
        inside, at = shell.box.inside, face_point(*shell.corners, port.on, *port.at)
        x, y, z = (min(max(c, a), b) for c, a, b in zip(at, *inside, strict=True))
        return self.has([(x, y, z)])

    def has(self, points: Sequence[Vector]) -> bool:
        """Whether the room behind it has all of these places."""
        return all(
            a - 1e-6 <= c <= b + 1e-6 for point in points for a, c, b in zip(self.low, point, self.high, strict=True)
        )

    @property
    def lip(self) -> Lip:
        from assemblies.liquid.shapes.openings import Lip

        return Lip(name=self.placed.name, corners=self.ends, way=f"over the {self.placed.name} on the {self.spec.on}")

    @property
    def dry(self) -> tuple[Block, Block]:
        """The room behind it and that over its edge, which the liquid before it does not fill."""
        from assemblies.liquid.shapes.cells import Block

        (x0, y0, _), (x1, y1, _) = self.placed.box
        return (
            Block(name=f"room behind the {self.placed.name}", low=self.low, high=self.high),
            Block(name=f"room over the {self.placed.name}", low=(x0, y0, self.edge), high=(x1, y1, self.high[2])),
        )

    def taken(self, top_mm: float) -> Iterator[Taken]:
        """What the order leaves open of it."""
        axis = 0 if self.spec.on in ("left", "right") else 1
        if self.spec.depth is None:
            yield Taken(
                what=f"depth of the edge of the {self.placed.name}",
                value=top_mm - self.edge,
                unit="mm",
                why="what it holds and where it runs over",
                say="[[lip]] depth",
                weight=1.3,
            )
        if self.spec.behind is None:
            yield Taken(
                what=f"room behind the {self.placed.name}",
                value=self.high[axis] - self.low[axis],
                unit="mm",
                why="how much stands before it",
                say="[[lip]] behind",
                weight=1.2,
            )


def weirs(shell: Shell, low: Sequence[Low], standing: Sequence[Placed], faults: Faults) -> tuple[Weir, ...]:
    """The weirs that the order asks for; those that are refused are left out.

    Args:
        shell: the box.
        low: places where a wall's rim is cut away.
        standing: what stands inside already.
        faults: what is refused goes there.
    """
    found: list[Weir] = []
    for index, spec in enumerate(shell.order.lip):
        if spec.kind == "weir":
            with faults.step():
                one = _weir(shell, index, spec)
                check_clear(shell, ("lip", index), one.placed, low, (*standing, *(w.placed for w in found)))
                _check_behind(shell, one, standing)
                _check_out(shell, one, low)
                found.append(one)
    return tuple(found)


def _name(order: Order, index: int) -> str:
    same = [i for i, one in enumerate(order.lip) if one.kind == "weir"]
    return "weir" if len(same) == 1 else f"weir-{same.index(index) + 1}"


def _weir(shell: Shell, index: int, spec: LipSpec) -> Weir:
    order, (low, high) = shell.order, shell.box.inside
    axis, end = (0 if spec.on in ("left", "right") else 1), sum(FRAMES[spec.on][1])
    sheet = shell.sheets[spec.on] if spec.thickness is None else extra_sheet(order, spec.thickness)
    t, behind = sheet.thickness_mm, spec.behind or _BEHIND_MM
    deep, room = high[2] - low[2], high[axis] - low[axis]
    height = deep - depth_of(spec, 0.0, deep)
    if height < _LEAST_MM:
        what, most = f"its edge would lie {deep - height:g} mm under the rim", f"up to {deep - _LEAST_MM:g} mm"
        raise order.refuse(("lip", index, "depth"), what, most)
    if not _LEAST_MM <= behind <= room - t - _LEAST_MM:
        what = f"{behind:g} mm behind a weir of {t:g} mm in {room:g} mm"
        raise order.refuse(("lip", index, "behind"), what, f"{_LEAST_MM:g}..{room - t - _LEAST_MM:g} mm")
    start = high[axis] - behind - t if end > 0.0 else low[axis] + behind
    name, across = _name(order, index), 1 - axis
    piece = panel(name, high[across] - low[across], height, sheet, cut_group="box", kind="weir", role="inner")
    corner = [low[0], low[1], low[2]]
    corner[axis] = start
    placed = lying(name, piece, FRAMES_ACROSS["width" if axis == 0 else "length"], corner)
    back, wet = (start + t, start) if end > 0.0 else (start, start + t)
    first, last = list(low), list(high)
    first[axis], last[axis] = (back, high[axis]) if end > 0.0 else (low[axis], back)
    ends = []
    for k in (low, high):
        point = [k[0], k[1], low[2] + height]
        point[axis] = wet
        ends.append((point[0], point[1], point[2]))
    return Weir(
        spec=spec,
        index=index,
        placed=placed,
        low=(first[0], first[1], first[2]),
        high=(last[0], last[1], last[2]),
        edge=low[2] + height,
        ends=(ends[0], ends[1]),
    )


def _check_behind(shell: Shell, one: Weir, standing: Sequence[Placed]) -> None:
    """Refuse a wall in the room behind a weir."""
    inside = [p.name for p in standing if p.piece.role == "inner" and _in(one, p)]
    if inside:
        raise shell.order.refuse(
            ("lip", one.index), f"{inside[0]} stands behind the {one.placed.name}", "it stands before it"
        )


def _in(one: Weir, placed: Placed) -> bool:
    (a, b) = placed.box
    return all(a[k] < one.high[k] - 1e-6 and one.low[k] < b[k] - 1e-6 for k in range(3))


def _check_out(shell: Shell, one: Weir, low: Sequence[Low]) -> None:
    """Refuse a weir whose room behind fills up: it must run out lower than the weir's edge."""
    ports = [p for p in shell.order.port if p.kind in ("spout", "overflow") and one.takes(shell, p)]
    half = shell.box.outside_mm[2] / 2.0
    runs = [p for p in ports if p.on == "bottom" or half + p.at[1] < one.edge]
    runs_over = [place for place in low if place.spec.on == one.spec.on and place.sill < one.edge]
    if not runs and not runs_over:
        what = f"what runs over the {one.placed.name} has no way out of the room behind it below its edge"
        allowed = 'a [[port]] with kind = "spout" there, or a lip on the same wall that lies lower'
        raise shell.order.refuse(("lip", one.index), what, allowed)
