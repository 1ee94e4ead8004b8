"""The cuts that free the pieces of one sheet, each as the saw makes it: blank in, what is kept, what falls off.

*Fence setting*: the distance from fence to blade, which is the size of what is kept. The good edge lies on the fence, the
blade takes its kerf beyond the setting, and the rest of the blank falls off on the other side; strips of one width come
off one after the other at one setting. *Short of the kerf*: a rest narrower than the blade is all chips.

Lengths are whole nanometres, so that pieces, kerf, waste and offcuts add up to the sheet exactly.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import product
from typing import Literal, NamedTuple

from assemblies.shop.layout.tree import Axis, Block, Leaf, Node

__all__ = ["PLAIN", "WAYS", "Box", "Cut", "Sawn", "Way", "saw_sheet", "trim_sheet", "trimmed"]

Role = Literal["trim", "size", "strip", "halve"]


class Way(NamedTuple):
    """How a layout is sawn, where it can be sawn in several ways.

    Attributes:
        early: a block is cut to its size before its strips come off it, where that makes one large rest.
        sled: a crosscut that could go on the fence goes on the sled, where its distance is set there anyway.
        small: the narrowest strip comes off first, not the widest.
        loose: a single piece that comes last is cut out of all that is left, not out of a strip of its width.
    """

    early: bool = True
    sled: bool = False
    small: bool = False
    loose: bool = False


PLAIN = Way()
WAYS = tuple(
    Way(early, sled, *more)
    for *more, sled, early in product((False, True), (False, True), (False, True), (True, False))
)


@dataclass(frozen=True)
class Box:
    """A rectangle on the sheet, from the sheet's lower-left corner."""

    x: int
    y: int
    w: int
    h: int

    @property
    def area(self) -> int:
        return self.w * self.h

    def along(self, axis: Axis) -> int:
        return self.w if axis == "x" else self.h

    def split(self, axis: Axis, at: int, kerf: int) -> tuple[Box, Box | None]:
        """The part below `at` (from the box's own edge) and the part beyond the kerf, None when nothing is beyond."""
        rest = self.along(axis) - at - kerf
        if axis == "x":
            return Box(self.x, self.y, at, self.h), Box(self.x + at + kerf, self.y, rest, self.h) if rest > 0 else None
        return Box(self.x, self.y, self.w, at), Box(self.x, self.y + at + kerf, self.w, rest) if rest > 0 else None


@dataclass(frozen=True, kw_only=True)
class Cut:
    """One straight cut.

    Attributes:
        blank: what is laid on the saw.
        axis: the direction in which the setting is measured; the cut runs square to it.
        setting: from fence to blade.
        kept, rest: what lies between fence and blade, and what falls off beyond the kerf (None: only chips).
        role: `trim` takes a factory edge off, `size` takes off a rest, `strip` cuts one strip of several, `halve` breaks
            a large sheet down and leaves every strip oversize until its own cut.
    """

    blank: Box
    axis: Axis
    setting: int
    kept: Box
    rest: Box | None
    role: Role

    @property
    def edge(self) -> int:
        """Length of the edge on the fence, which is the length of the cut."""
        return self.blank.h if self.axis == "x" else self.blank.w

    @property
    def kerf_area(self) -> int:
        return self.blank.area - self.kept.area - (self.rest.area if self.rest else 0)


@dataclass
class Sawn:
    """All that comes of one sheet: cuts in an order in which they can be made, pieces, and boxes left over."""

    cuts: list[Cut] = field(default_factory=list)
    pieces: list[tuple[int, Box]] = field(default_factory=list)
    rests: list[Box] = field(default_factory=list)


@dataclass(frozen=True, kw_only=True)
class _Saw:
    kerf: int
    handle: int
    spare: int
    way: Way
    out: Sawn

    def cut(self, box: Box, axis: Axis, at: int, role: Role) -> tuple[Box, Box | None]:
        kept, rest = box.split(axis, at, self.kerf)
        self.out.cuts.append(Cut(blank=box, axis=axis, setting=at, kept=kept, rest=rest, role=role))
        return kept, rest

    def size(self, box: Box, axis: Axis, at: int) -> Box:
        """Cut a box to size where it is longer; what falls off is left over."""
        if box.along(axis) == at:
            return box
        kept, rest = self.cut(box, axis, at, "size")
        self.drop(rest)
        return kept

    def drop(self, rest: Box | None) -> None:
        if rest is not None:
            self.out.rests.append(rest)

    def free(self, node: Node, box: Box) -> None:
        """Cut everything of a node out of a box."""
        if isinstance(node, Leaf):
            first: Axis = "x" if (box.w - node.w) * box.h >= (box.h - node.h) * box.w else "y"
            for axis in (first, other(first)):
                box = self.size(box, axis, node.w if axis == "x" else node.h)
            self.out.pieces.append((node.part, box))
            return
        axis, across = node.axis, other(node.axis)
        high, along = _extent(node, across), _extent(node, axis)
        over, beside = box.along(across) - high, box.along(axis) - along
        if over > 0 and self.way.early:
            full = sum(_extent(s, across) == high for s in node.strips)
            stacked = any(isinstance(s, Block) and _extent(s, across) == high for s in node.strips)
            roomy = stacked and over >= self.spare + self.kerf
            at = high + self.spare if roomy else high  # so that the last of a stack has a cut of its own too
            if over * box.along(axis) >= beside * box.along(across):
                box = self.size(box, across, at)
            elif full > 1:
                box = self.size(self.size(box, axis, along + self._room(along, beside)), across, at)
        self.strips(node.strips, axis, box)

    def _room(self, along: int, beside: int) -> int:
        """What a block is left longer by, so that every halving and every last strip still gets a cut of its own."""
        for room in (self.spare * (1 + 2 * along // self.handle), self.spare):
            if beside >= room + self.kerf:
                return room
        return 0

    def strips(self, strips: tuple[Node, ...], axis: Axis, box: Box) -> None:
        """Cut strips off a box one after the other; a long box is halved between two of them first."""
        sizes = [_extent(s, axis) for s in strips]
        over = box.along(axis) - sum(sizes) - self.kerf * (len(sizes) - 1)
        half = self.half(sizes, box.along(axis)) if over >= 2 * self.spare else None
        if half is not None:
            at = sum(sizes[: half + 1]) + self.kerf * half + self.spare
            kept, rest = self.cut(box, axis, at, "halve")
            assert rest is not None  # the strips beyond lie in it
            self.strips(strips[: half + 1], axis, kept)
            self.strips(strips[half + 1 :], axis, rest)
            return
        left: Box | None = box
        for number, (strip, size) in enumerate(zip(strips, sizes, strict=True)):
            assert left is not None  # the tree fits its box
            if self.way.loose and number == len(strips) - 1 and isinstance(strip, Leaf):
                self.free(strip, left)
                return
            kept = left
            if left.along(axis) > size:
                kept, left = self.cut(left, axis, size, "strip")
            else:
                left = None
            self.free(strip, kept)
        self.drop(left)

    def half(self, sizes: list[int], length: int) -> int | None:
        """The strip after which a long box is halved: the cut lies in the middle fifth of it; None for no halving."""
        if length <= self.handle:
            return None
        ends = [sum(sizes[: k + 1]) + self.kerf * k + self.spare for k in range(len(sizes) - 1)]
        near = [k for k, end in enumerate(ends) if 2 * length <= 5 * end <= 3 * length]
        return min(near, key=lambda k: abs(2 * ends[k] + self.kerf - length), default=None)


def other(axis: Axis) -> Axis:
    return "y" if axis == "x" else "x"


def _extent(node: Node, axis: Axis) -> int:
    return node.w if axis == "x" else node.h


def saw_sheet(
    tree: Node, width: int, height: int, kerf: int, trim: int, handle: int, round_to: int = 1, way: Way = PLAIN
) -> Sawn:
    """The cuts that free a tree from a sheet.

    Args:
        tree: what to cut; it fits the sheet less `trim` on every edge.
        width, height, kerf: of sheet and blade.
        trim: factory edge taken off. The left and the lower edge are trimmed first; the other two margins stay on what
            falls off beyond the last pieces.
        handle: a blank longer than this is halved first where that costs no piece.
        round_to: the trimmed sheet is a whole number of these.
        way: how, where there are several.
    """
    out = Sawn()
    saw = _Saw(kerf=kerf, handle=handle, spare=kerf + 2_000_000, way=way, out=out)  # 2 mm beyond the blade: judgement
    saw.free(tree, trim_sheet(out, width, height, kerf, trim, round_to))
    return out


def trim_sheet(out: Sawn, width: int, height: int, kerf: int, trim: int, round_to: int) -> Box:
    """A sheet with its first two factory edges taken off; the cuts, and what falls off, go into `out`."""
    box = Box(0, 0, width, height)
    axes: tuple[Axis, ...] = ("x", "y") if trim else ()
    for axis in axes:
        box = _trim(out, box, axis, box.along(axis) - trimmed(box.along(axis), trim, round_to), kerf)
    return box


def trimmed(length: int, trim: int, round_to: int) -> int:
    """What a length is once its first factory edge is off: a round size, with at least `trim` taken off.

    >>> trimmed(2440, 12, 10), trimmed(2440, 0, 10)
    (2420, 2440)
    """
    return (length - trim) // round_to * round_to if trim else length


def _trim(out: Sawn, box: Box, axis: Axis, trim: int, kerf: int) -> Box:
    """Take the lower factory edge off: the far edge lies on the fence, and what is kept is the far part."""
    strip = max(0, trim - kerf)
    if axis == "x":
        kept = Box(box.x + trim, box.y, box.w - trim, box.h)
        rest = Box(box.x, box.y, strip, box.h)
    else:
        kept = Box(box.x, box.y + trim, box.w, box.h - trim)
        rest = Box(box.x, box.y, box.w, strip)
    cut = Cut(blank=box, axis=axis, setting=kept.along(axis), kept=kept, rest=rest if strip else None, role="trim")
    out.cuts.append(cut)
    if cut.rest is not None:
        out.rests.append(cut.rest)
    return kept
