"""The sizes of a quick-release plate, from its order: strip, slot, jaws, pins."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final, Protocol

from assemblies.design.model import Placed
from assemblies.kinds.mount import Keys
from assemblies.order import Order, OrderError, PlateSpec
from assemblies.order.errors import Key
from assemblies.order.tables.plate import ReleaseSpec
from parts.findings import SeamwrightError
from parts.make.strip import Bevelled, bevelled, growth_apart
from parts.shape.piece import Piece
from parts.stock.sheet import Sheet
from parts.stock.thread import Thread, thread
from parts.vectors import Vector, cross, dot

__all__ = [
    "BESIDE",
    "LANYARD_MM",
    "MARGIN_MM",
    "PIN_PLAY_MM",
    "Asked",
    "Bearer",
    "Laid",
    "laid_of",
    "pins_across",
    "tab_mm",
    "wide_mm",
]

#: Common practice, no source: play of a sliding fit besides growth; air at the ends of the jaws, and of the base around what
#: stands on it; room for a finger past the tank's face; play of a pin in its hole.
_PLAY_MM, _ENDS_MM, MARGIN_MM, _FINGER_MM, PIN_PLAY_MM = 0.1, 2.0, 5.0, 10.0, 0.2
_FARTHEST_MM: Final = 80.0  # from the plate to the edge of the face: a longer strip whips (judgement)
#: Width of a jaw on its base, in diameters of its screws (judgement), and at least in those of its holes: one to either side.
_ROOT, BESIDE = 4.0, 3.0
LANYARD_MM: Final = 8.0  # what a lanyard's shackle or knot goes through (common practice, no source)
_GAUGES: Final = (6.0, 8.0, 5.0, 4.0, 3.0, 2.0)  # pins to measure over


class Bearer(Protocol):
    """What a plate is bonded to: its order, low and high corner of its outside, the way out of a face, sheet for extras."""

    @property
    def order(self) -> Order: ...

    @property
    def corners(self) -> tuple[Vector, Vector]: ...

    def outward(self, face: str, /) -> Vector: ...

    def sheet(self, thickness_mm: float, readings_mm: tuple[float, ...] = (), /) -> Sheet: ...


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What the order says of one plate: `key` is of the plate's table, `at` of the table of its release."""

    shell: Bearer
    spec: PlateSpec
    keys: Keys
    own: ReleaseSpec
    plate: Placed
    key: Key
    at: Key

    def refuse(self, name: str, what: str, allowed: str) -> OrderError:
        return self.shell.order.refuse((*self.at, name), what, allowed)


@dataclass(frozen=True, kw_only=True)
class Laid:
    """Sizes (mm) as of `Release`, and the plate's own axes: middle of its outer face, the way out, away from the tank."""

    origin: Vector
    pull: Vector
    out: Vector
    length: float
    narrow: float
    sheet: Sheet
    sizes: Bevelled
    gauge: float
    play: float
    screw: Thread
    root: float
    reach: float

    @property
    def depth(self) -> float:
        return self.sheet.thickness_mm

    @property
    def back(self) -> float:
        return (self.sizes.wide - self.narrow) / 2.0

    @property
    def lip(self) -> float:
        return self.root + self.back

    @property
    def block(self) -> float:
        """Width of the rail and of the stop."""
        return _ROOT * self.screw.major_mm

    @property
    def slot(self) -> float:
        """From the middle to the lip of a jaw."""
        return (self.narrow + self.play) / 2.0

    @property
    def jaw(self) -> float:
        return self.length - 2.0 * _ENDS_MM

    def put(self, name: str, piece: Piece, along: float, across: float, out: float, *, turned: bool = False) -> Placed:
        """An instance, the lower-left corner of its near face there, x the way out or, turned, the way in."""
        side = cross(self.out, self.pull)
        x, y, z = (self.origin[k] + along * self.pull[k] + across * side[k] + out * self.out[k] for k in range(3))
        a, b, c = self.pull
        return Placed(
            name=name, piece=piece, origin=(x, y, z), x=(0.0 - a, 0.0 - b, 0.0 - c) if turned else self.pull, z=self.out
        )


def laid_of(asked: Asked) -> Laid:
    own, plate, shell = asked.own, asked.plate, asked.shell
    axis, sign = {"right": (0, 1.0), "left": (0, -1.0), "up": (1, 1.0), "down": (1, -1.0)}[own.pull]
    a, b, c = (sign * one + 0.0 for one in (plate.x, plate.y)[axis])
    out, sides = shell.outward(asked.spec.on), plate.piece.outline.size_mm
    outer = plate.piece.thickness_mm if dot(out, plate.z) > 0.0 else 0.0
    origin = plate.world(sides[0] / 2.0, sides[1] / 2.0, outer)
    sheet, screw = _sheet(asked), thread(own.screw)
    gauge, sizes = _sizes(asked, sides[1 - axis], sheet)
    play = _play(asked, sides[1 - axis])
    wide = wide_mm(screw, play)
    root = max(_ROOT * screw.major_mm, BESIDE * wide)
    if own.jaw is not None:
        root = own.jaw - (sizes.wide - sides[1 - axis]) / 2.0
        if root < BESIDE * wide:
            least = own.jaw - root + BESIDE * wide
            raise asked.refuse(
                "jaw",
                f"{max(root, 0.0):.1f} mm of it stand on the base: too little beside its screws",
                f"at least {math.ceil(least):g} mm",
            )
    laid = Laid(
        origin=origin,
        pull=(a, b, c),
        out=out,
        length=sides[axis],
        narrow=sides[1 - axis],
        sheet=sheet,
        sizes=sizes,
        gauge=gauge,
        play=play,
        screw=screw,
        root=root,
        reach=0.0,
    )
    return replace(laid, reach=_reach(asked, laid))


def wide_mm(screw: Thread, play: float) -> float:
    """The holes of the clamped jaw: it moves by its play."""
    return screw.major_mm + max(2.0, 2.0 * play)


def _sheet(asked: Asked) -> Sheet:
    own, spec = asked.own, asked.spec
    thick, readings = (
        (own.thickness, own.measured) if own.thickness else (spec.thickness, own.measured or spec.measured)
    )
    try:
        return asked.shell.sheet(thick, readings)
    except SeamwrightError as error:
        raise asked.refuse("measured", str(error), "readings of this sheet") from error


def _sizes(asked: Asked, narrow: float, sheet: Sheet) -> tuple[float, Bevelled]:
    """The pins that it is measured over, and what follows of its angle."""
    said = ""
    for gauge in _GAUGES:
        try:
            return gauge, bevelled(narrow, sheet.thickness_mm, asked.own.angle, gauge, sheet.thickness_mm)
        except SeamwrightError as error:
            said = str(error)
    raise asked.refuse("thickness", said, "a thicker strip")


def _play(asked: Asked, narrow: float) -> float:
    """Sideways play: what damp air takes of it, and that of a sliding fit."""
    grows = narrow * growth_apart(asked.own.shoe)
    if asked.own.clearance is None:
        return math.ceil((grows + _PLAY_MM) * 20.0) / 20.0  # shims come in steps of 0.05 mm
    if asked.own.clearance <= grows:
        raise asked.refuse(
            "clearance",
            f"the strip grows by {grows:.2f} mm in damp air, and jams in {asked.own.clearance:g} mm",
            f"at least {math.ceil((grows + _PLAY_MM) * 20.0) / 20.0:g} mm",
        )
    return asked.own.clearance


def _reach(asked: Asked, laid: Laid) -> float:
    """From the plate's end to the line of the pins: past the tank's face, so that a hand gets there from above."""
    k = next(k for k in range(3) if abs(laid.pull[k]) > 0.5)
    edge = asked.shell.corners[laid.pull[k] > 0.0][k]
    far = max((edge - laid.origin[k]) * laid.pull[k] - laid.length / 2.0, 0.0)
    if far > _FARTHEST_MM:
        raise asked.refuse(
            "pull",
            f"the face reaches {far:.0f} mm past the plate there: no hand would get at the pins",
            f"a plate within {_FARTHEST_MM:g} mm of the face's edge, or another way out",
        )
    least = laid.block + MARGIN_MM - 2.5 * asked.own.pin  # the base is as long on both sides of the plate's middle
    return max(far + _FINGER_MM + asked.own.pin / 2.0, least)


def pins_across(asked: Asked, laid: Laid) -> list[float]:
    """Where the pins stand across the slot."""
    pin, count = asked.own.pin, asked.own.pins
    room = laid.narrow - 5.0 * pin
    if room < 4.0 * pin * (count - 1):
        most = max(int(room / (4.0 * pin)) + 1, 0) if room >= 0.0 else 0
        what = f"{count} pins of {pin:g} mm in a strip of {laid.narrow:g} mm"
        raise asked.refuse("pins", what, f"at most {most}, or thinner ones")
    return [0.0] if count == 1 else [room * (i / (count - 1) - 0.5) for i in range(count)]


def tab_mm(asked: Asked, laid: Laid) -> float:
    """How far the strip reaches past the plate: over the base's end, with the lanyard's hole in the air."""
    return laid.reach + 2.5 * asked.own.pin + 4.0 + 2.0 * LANYARD_MM
