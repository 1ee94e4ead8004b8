"""Places of many holes: one line for each sort, and a table of marks and coordinates from the datum corner."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import count, product

from assemblies.packet.drawings.callouts import Feature, Group, spec_line
from assemblies.packet.drawings.dimensions import figure
from assemblies.packet.drawings.drawing_words import DrawingSettings
from assemblies.packet.drawings.title_block import table, wrapped
from assemblies.packet.ink.primitives import Text, text_width_mm
from assemblies.packet.ink.sheet_items import Mark

__all__ = ["HoleTable", "hole_table", "marked"]

_ROW, _TEXT, _LINE = 4.2, 2.0, 3.4


@dataclass(frozen=True, kw_only=True)
class HoleTable:
    """Marks and their places, and one line for each group."""

    lines: tuple[str, ...]
    rows: tuple[tuple[str, str, str], ...]
    widths: tuple[float, float, float]

    def _columns(self, room: float) -> int:
        return max(1, int((room + 3.0) / (sum(self.widths) + 3.0)))

    def _wrapped(self, room: float) -> list[str]:
        return [part for line in self.lines for part in wrapped(line, room, _TEXT)]

    def height(self, room: float) -> float:
        """How high it is, all in one."""
        deep = math.ceil(len(self.rows) / self._columns(room))
        return _LINE * len(self._wrapped(room)) + 2.0 + _ROW * (deep + 1)

    def draw(self, left: float, top: float, room: float) -> list[Mark]:
        """All of it."""
        return self.pages(left, top, room, math.inf)[0]

    def pages(self, left: float, top: float, room: float, high: float) -> list[list[Mark]]:
        """All of it in pieces no higher than `high`: the lines, then the table."""
        out: list[list[Mark]] = [[]]
        y = top
        for line in self._wrapped(room):
            if y - _LINE < top - high:
                out.append([])
                y = top
            y -= _LINE
            out[-1].append(Text(x=left, y=y + 0.9, text=line, height=_TEXT))
        y -= 1.0
        rest, columns = list(self.rows), self._columns(room)
        while rest:
            deep = math.ceil(len(rest) / columns)
            if math.isfinite(high):
                deep = min(deep, int((y - top + high) / _ROW) - 1)
            if deep < 1:
                out.append([])
                y = top
                continue
            shown, rest = rest[: deep * columns], rest[deep * columns :]
            x = left
            for k in range(0, len(shown), deep):
                some = [("hole", "x", "y"), *shown[k : k + deep]]
                out[-1] += table(some, self.widths, x, y, _ROW, _TEXT, right=(False, True, True))
                x += sum(self.widths) + 3.0
            y = top - high  # the next page
        return out


def hole_table(groups: Sequence[Group], settings: DrawingSettings) -> HoleTable:
    """The table of a part's features."""
    lines: list[str] = []
    rows: list[tuple[str, str, str]] = []
    for letter, group in zip(_letters(), groups, strict=False):
        lines.append(f"{letter}: {spec_line(group)}")
    for mark, f in marked(groups):
        x, y = (figure(v, settings.units, dual=settings.dual) for v in (f.x_mm, f.y_mm))
        rows.append((mark, x, y))
    cells = [("hole", "x", "y"), *rows]
    widest = [max(text_width_mm(row[k], _TEXT, bold=row is cells[0]) for row in cells) + 3.0 for k in range(3)]
    return HoleTable(lines=tuple(lines), rows=tuple(rows), widths=(widest[0], widest[1], widest[2]))


def marked(groups: Sequence[Group]) -> Iterator[tuple[str, Feature]]:
    """Every feature with its mark: the letter of its group, and a number where there are several."""
    for letter, group in zip(_letters(), groups, strict=False):
        for k, feature in enumerate(group.features, 1):
            yield (f"{letter}{k}" if len(group.features) > 1 else letter), feature


def _letters() -> Iterator[str]:
    """A, B, ... Z without I and O, then AA, AB and so on without end."""
    for length in count(1):
        for letters in product("ABCDEFGHJKLMNPQRSTUVWXYZ", repeat=length):
            yield "".join(letters)
