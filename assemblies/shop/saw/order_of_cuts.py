"""In which order to make the cuts of a job, so that fence and stop block are moved as seldom as can be.

A cut can be made once its blank is there. All cuts at the present setting are made before it is changed; the next setting
is one at which no cut will be left to do later, if there is one, and among those the one with the largest blank. Where that
sets one distance twice, a search looks for an order that does not (`fewest_settings`).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from assemblies.shop.saw.cuts import Box, Cut

__all__ = ["Key", "Turn", "fewest_settings", "in_order", "key_of"]

Key = tuple[str, int]

_STATES: Final = 2000
_CUTS: Final = 1000  # of a larger job the plain rule's order is taken


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
        key = key_of(entry)
        left[key] = left.get(key, 0) + 1
        if (entry[0], entry[1].blank) not in made:
            ready.setdefault(key, []).append(entry)
    turns: list[Turn] = []
    setting = 0
    keys = fewest_settings(cuts)
    while ready:
        key = max(ready, key=lambda k: (_reached(ready[k], k, waiting) == left[k], _largest(ready[k]), k))
        if keys is not None:
            key = keys[setting]
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
                    ready.setdefault(key_of(follower), []).append(follower)
        del ready[key]
    return turns


def fewest_settings(cuts: Sequence[tuple[int, Cut, str]]) -> list[Key] | None:
    """The settings one after the other with the fewest changes; None where the plain rule does as well.

    All that can be cut at a setting is cut before it changes, so only the choice where no setting can be finished matters:
    all choices are tried there, one change more at a time, up to a number of states.
    """
    if len(cuts) > _CUTS:
        return None
    number = {(sheet, cut.blank): k for k, (sheet, cut, _) in enumerate(cuts)}
    after: list[list[int]] = [
        [number[sheet, box] for box in (cut.kept, cut.rest) if box is not None and (sheet, box) in number]
        for sheet, cut, _ in cuts
    ]
    behind = {k for row in after for k in row}
    keys = [key_of(entry) for entry in cuts]
    sizes = [cut.blank.area for _, cut, _ in cuts]
    left = Counter(keys)
    first = frozenset(k for k in range(len(cuts)) if k not in behind)
    states = _STATES

    def cut_all(ready: frozenset[int], key: Key) -> tuple[frozenset[int], int]:
        stack, rest, count = [k for k in ready if keys[k] == key], {k for k in ready if keys[k] != key}, 0
        while stack:
            count += 1
            for follower in after[stack.pop()]:
                (stack.append if keys[follower] == key else rest.add)(follower)
        return frozenset(rest), count

    def look(ready: frozenset[int], left: Counter[Key], more: int) -> list[Key] | None:
        """A sequence that ends with at most `more` settings."""
        nonlocal states
        if not ready:
            return []
        states -= 1
        if len(left) > more or states < 0:
            return None
        moves = {key: cut_all(ready, key) for key in {keys[k] for k in ready}}
        order = sorted(moves, key=lambda key: (-max(sizes[k] for k in ready if keys[k] == key), key))
        done = [key for key in order if moves[key][1] == left[key]]
        for key in done[:1] or order:  # what can be finished is finished: that is never worse
            rest, count = moves[key]
            found = look(rest, left - Counter({key: count}), more - 1)
            if found is not None:
                return [key, *found]
        return None

    for more in range(len(left), len(left) + 4):
        found = look(first, left, more)
        if found is not None:
            return found
        if states < 0:
            break
    return None


def key_of(entry: tuple[int, Cut, str]) -> Key:
    """What is set for a cut: the fence, the stop of the sled, a straightedge or rule, and the distance."""
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
            if follower is not None and key_of(follower) == key:
                stack.append(follower)
    return count
