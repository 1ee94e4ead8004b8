"""In which order to make the cuts of a job, so that fence and stop block are moved as seldom as can be.

A cut can be made once its blank is there. All cuts at the present setting are made before it is changed; the next setting
is one at which no cut will be left to do later, if there is one, and among those the one with the largest blank.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from assemblies.shop.saw.cuts import Box, Cut

__all__ = ["Turn", "in_order"]

Key = tuple[str, int]


@dataclass(frozen=True)
class Turn:
    """One cut in the order: its sheet, its mode, and the number of the setting it is made at."""

    sheet: int
    cut: Cut
    mode: str
    setting: int


def in_order(cuts: Sequence[tuple[int, Cut, str]]) -> list[Turn]:
    """Order (sheet, cut, mode); modes that differ never share a setting, rip and crosscut do (both are on the fence)."""
    waiting: dict[tuple[int, Box], tuple[int, Cut, str]] = {
        (sheet, cut.blank): (sheet, cut, m) for sheet, cut, m in cuts
    }
    made = {(sheet, box) for sheet, cut, _ in cuts for box in (cut.kept, cut.rest) if box is not None}
    ready: dict[Key, list[tuple[int, Cut, str]]] = {}
    left: dict[Key, int] = {}
    for entry in waiting.values():
        key = _key(entry)
        left[key] = left.get(key, 0) + 1
        if (entry[0], entry[1].blank) not in made:
            ready.setdefault(key, []).append(entry)
    turns: list[Turn] = []
    setting = 0
    while ready:
        key = max(ready, key=lambda k: (_reached(ready[k], k, waiting) == left[k], _largest(ready[k]), k))
        setting += 1
        while ready.get(key):
            entry = min(ready[key], key=lambda e: (e[0], -e[1].blank.area, e[1].blank.x, e[1].blank.y))
            if turns and turns[-1].setting == setting and turns[-1].cut.rest is not None:
                after = waiting.get((turns[-1].sheet, turns[-1].cut.rest))
                entry = after if after in ready[key] else entry  # strips of one blank one after the other
            ready[key].remove(entry)
            left[key] -= 1
            turns.append(Turn(entry[0], entry[1], entry[2], setting))
            for box in (entry[1].kept, entry[1].rest):
                follower = waiting.get((entry[0], box)) if box is not None else None
                if follower is not None:
                    ready.setdefault(_key(follower), []).append(follower)
        del ready[key]
    return turns


def _key(entry: tuple[int, Cut, str]) -> Key:
    return ("fence" if entry[2] in ("rip", "crosscut") else entry[2]), entry[1].setting


def _largest(entries: list[tuple[int, Cut, str]]) -> int:
    return max(entry[1].blank.area for entry in entries)


def _reached(
    entries: list[tuple[int, Cut, str]], key: Key, waiting: dict[tuple[int, Box], tuple[int, Cut, str]]
) -> int:
    """How many cuts can be made at a setting, one leading to the next, before it has to be changed."""
    count = 0
    stack = list(entries)
    while stack:
        sheet, cut, _ = stack.pop()
        count += 1
        for box in (cut.kept, cut.rest):
            follower = waiting.get((sheet, box)) if box is not None else None
            if follower is not None and _key(follower) == key:
                stack.append(follower)
    return count
