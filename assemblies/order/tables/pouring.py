"""Edges that pour, walls inside and what is engraved, as an order has them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Literal

from pydantic import Field

from assemblies.order.errors import Refused
from assemblies.order.values import Distance, Joined, Length, Place, Point2, Table, Text, up_to

__all__ = ["EngraveSpec", "InnerSpec", "LipSpec", "Upright"]

Upright = Literal["left", "right", "front", "back"]


class LipSpec(Joined):
    """Where it is to be poured from, or runs over first: a low place of one wall's rim."""

    on: Upright
    """The wall that it is in; of a weir the wall behind it. e.g. `"right"`"""
    kind: Literal["trough", "notch", "weir", "low-rim"]
    """A trough bonded on before a notch, a notch alone, a weir (a lower wall inside, with a room behind it), or the rim cut
    lower. e.g. `"trough"`"""
    width: Length | None = None
    """Width of the opening, of a trough inside. Default: of a low-rim the whole wall. e.g. `60`"""
    depth: Length | None = None
    """How far its level edge lies under the rim. Default: half its width, at most a quarter of the inside's depth. e.g. `25`"""
    at: Place = 0.0
    """Its middle, right of the middle of that wall seen from outside. e.g. `-20`"""
    out: Length | None = None
    """How far a trough reaches out from the wall. Default: as far as it is wide. e.g. `45`"""
    behind: Length | None = None
    """How deep the room behind a weir is. Default: 40 mm. e.g. `50`"""
    thickness: Length | None = None
    """Of the sheet of a trough or a weir. Default: that of the wall. e.g. `6`"""

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """Keys that its kind has not, or wants."""
        kind = data.get("kind")
        if kind in ("trough", "notch") and "width" not in data:
            yield Refused(f"a {kind} without its width", "width", ("kind",))
        for key, owner in (("out", ("trough",)), ("behind", ("weir",)), ("thickness", ("trough", "weir"))):
            if key in data and kind in _LIPS and kind not in owner:
                yield Refused(f"a {kind} has no {key}", f'{key} with kind = "{owner[0]}"', (key,))
        if kind == "weir" and "width" in data:
            yield Refused("a weir is as wide as the inside", "no width", ("width",))
        if "at" in data and (kind == "weir" or (kind == "low-rim" and "width" not in data)):
            yield Refused(f"a {kind} as long as its wall has its place already", "no at", ("at",))


_LIPS = ("trough", "notch", "weir", "low-rim")


class InnerSpec(Joined):
    """What is bonded in from wall to wall: a baffle (lower than the rim, or with room below it), a divider with holes, or a
    ramp, which is a sloped floor."""

    kind: Literal["baffle", "divider", "ramp"]
    """A baffle, which liquid passes over or under, a divider, which it passes through, or a ramp. e.g. `"baffle"`"""
    across: Literal["width", "length"] = "width"
    """Which way it runs: across the width, from front to back, or along the length, from left to right. e.g. `"width"`"""
    at: Place = 0.0
    """Where its middle stands, along the other way, from the middle of the inside. e.g. `60`"""
    height: Length | None = None
    """Of its upper edge, or of the high end of a ramp, over the floor. Default: of a divider as high as the walls. e.g. `80`"""
    rises: Upright | None = None
    """Of a ramp: the wall that it rises to. e.g. `"left"`"""
    foot: Length | None = None
    """Of a ramp: how high its upper face lies at its low end. Default: as low as it goes, in whole millimetres. e.g. `12`"""
    gap: Distance = 0.0
    """Room between a baffle and the floor. e.g. `15`"""
    thickness: Length | None = None
    """Thickness of its sheet. Default: that of the order. e.g. `6`"""
    holes: Annotated[tuple[Point2, ...], Field(max_length=24)] = ()
    """Middles of holes: along it from its middle (to the back, or to the right), and up from the floor. e.g.
    `[[-40, 15], [40, 15]]`"""
    hole: Length | None = None
    """Diameter of the holes. e.g. `12`"""

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """A divider that nothing passes, a baffle that is none, holes without their size."""
        kind = data.get("kind")
        if ("holes" in data) != ("hole" in data):
            yield Refused("holes and hole go together", "both, or neither", ("holes" if "holes" in data else "hole",))
        if kind == "divider" and "holes" not in data:
            yield Refused("a divider without holes makes two tanks", "holes and hole, or two orders", ("kind",))
        if kind == "divider" and "gap" in data:
            yield Refused("a divider stands on the floor", 'no gap, or kind = "baffle"', ("gap",))
        if kind in ("baffle", "ramp") and "height" not in data:
            yield Refused(f"a {kind} without its height", "height, of its upper edge over the floor", ("kind",))
        if kind == "ramp" and "rises" not in data:
            yield Refused("a ramp without the wall that it rises to", "rises", ("kind",))
        for key in ("rises", "foot") if kind in ("baffle", "divider") else ():
            if key in data:
                yield Refused(f"a {kind} has no {key}", f'{key} with kind = "ramp"', (key,))
        for key in ("at", "across", "gap", "holes") if kind == "ramp" else ():
            if key in data:
                yield Refused(f"a ramp goes from wall to wall, and has no {key}", f"no {key}", (key,))


class EngraveSpec(Table):
    """What is engraved on the outside of its walls, in single lines: the level of the ordered fill, and a name."""

    fill: Upright | None = None
    """The wall that has the fill line with its depth. e.g. `"front"`"""
    name: Upright | None = None
    """The wall that has the name, in the middle over its lower edge. e.g. `"front"`"""
    text: Text | None = None
    """What is engraved as its name. Default: the order's name in capitals. e.g. `"TROUGH 2"`"""
    letters: Annotated[Length, up_to(lambda: 50.0)] = 5.0
    """Height of the letters. e.g. `6`"""
