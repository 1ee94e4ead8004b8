"""Places of many holes: one line for each sort, and a table of marks and coordinates from the datum corner."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from assemblies.packet.callouts import Feature, Group, spec_line
from assemblies.packet.dimensions import figure
from assemblies.packet.drawing_words import DrawingSettings
from assemblies.packet.primitives import Text, text_width_mm
from assemblies.packet.sheet_items import Mark
from assemblies.packet.title_block import table, wrapped

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

    def draw(
        self, left: float, top: float, room: float, rows: Sequence[tuple[str, str, str]] | None = None
    ) -> list[Mark]:
        """All of it, or only some of its rows."""
        out: list[Mark] = []
        lines = self._wrapped(room)
        for k, line in enumerate(lines, 1):
            out.append(Text(x=left, y=top - _LINE * k + 0.9, text=line, height=_TEXT))
        top -= _LINE * len(lines) + 1.0
        shown = list(self.rows if rows is None else rows)
        deep = math.ceil(len(shown) / self._columns(room))
        for k in range(0, len(shown), deep):
            some = [("hole", "x", "y"), *shown[k : k + deep]]
            out += table(some, self.widths, left, top, _ROW, _TEXT, right=(False, True, True))
            left += sum(self.widths) + 3.0
        return out

    def deepest(self, room: float, high: float) -> int:
        """How many rows go into a height."""
        deep = int((high - _LINE * len(self._wrapped(room)) - 2.0) / _ROW) - 1
        return deep * self._columns(room)


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
    """A, B, ... Z without I and O, then AA, AB and so on."""
    plain = "ABCDEFGHJKLMNPQRSTUVWXYZ"
    yield from plain
    for first in plain:
        yield from (first + second for second in plain)
