"""From placed boxes to the tree of straight cuts that frees them.

*Leaf*: one piece. *Block*: strips side by side along one axis, a kerf between each two. A block is as small as what it
holds, so all that is left over ends up together, beside the last strip or above the block.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from assemblies.shop.layout.engine import Put
from parts.findings import SeamwrightError

__all__ = ["Axis", "Block", "Leaf", "Node", "cut_tree"]

Axis = Literal["x", "y"]


@dataclass(frozen=True)
class Leaf:
    """One piece as it lies on the sheet."""

    part: int
    w: int
    h: int


@dataclass(frozen=True)
class Block:
    """Strips side by side along `axis`, in the order in which they are cut."""

    axis: Axis
    strips: tuple[Leaf | Block, ...]
    kerf: int

    @property
    def w(self) -> int:
        return self._along if self.axis == "x" else max(s.w for s in self.strips)

    @property
    def h(self) -> int:
        return self._along if self.axis == "y" else max(s.h for s in self.strips)

    @property
    def _along(self) -> int:
        return sum(s.w if self.axis == "x" else s.h for s in self.strips) + self.kerf * (len(self.strips) - 1)


Node = Leaf | Block


def cut_tree(puts: Sequence[Put], kerf: int, small: bool = False) -> Node:
    """The tree of cuts for the pieces of one sheet.

    Where a set of pieces can be cut along both axes, the axis that gives fewer different strip widths goes first, then
    the one with fewer strips. The widest strip comes first, with `small` the narrowest.

    Raises:
        SeamwrightError: the pieces cannot be freed by straight cuts (no plan of this room is like that).
    """
    if len(puts) == 1:
        return Leaf(puts[0].part, puts[0].w, puts[0].h)
    blocks: list[Block] = []
    for axis in ("x", "y"):
        groups = _groups(puts, axis, kerf)
        if len(groups) > 1:
            strips: list[Node] = []
            for group in groups:
                node = cut_tree(group, kerf, small)
                strips += node.strips if isinstance(node, Block) and node.axis == axis else [node]
            strips.sort(key=lambda s: (-(s.w if axis == "x" else s.h), -(s.h if axis == "x" else s.w), _first(s)))
            if small:
                strips.sort(key=lambda s: s.w if axis == "x" else s.h)
            blocks.append(Block(axis, tuple(strips), kerf))
    if not blocks:
        raise SeamwrightError(f"{len(puts)} pieces cannot be freed by straight cuts with a kerf of {kerf} nm")
    return min(blocks, key=lambda b: (len({s.w if b.axis == "x" else s.h for s in b.strips}), len(b.strips)))


def _first(node: Node) -> int:
    """The lowest part number of a node: makes the order of equal strips definite."""
    return node.part if isinstance(node, Leaf) else min(_first(s) for s in node.strips)


def _groups(puts: Sequence[Put], axis: Axis, kerf: int) -> list[list[Put]]:
    """Pieces between two neighbouring cuts square to the axis."""
    spans = sorted(puts, key=lambda p: (p.x, p.y) if axis == "x" else (p.y, p.x))
    groups: list[list[Put]] = []
    reach = -1
    for put in spans:
        low, size = (put.x, put.w) if axis == "x" else (put.y, put.h)
        if not groups or low >= reach + kerf:
            groups.append([])
        groups[-1].append(put)
        reach = max(reach, low + size)
    return groups
