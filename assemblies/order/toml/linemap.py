"""On which line each key of a TOML text stands. Scans only texts that the TOML reader has already accepted.

Keys inside an inline table or an array are found by the line on which they are written.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from assemblies.order.errors import Key

__all__ = ["Statement", "line_map", "nearest_line", "statements"]

_BLANK: Final = re.compile(r"(?:[ \t\r]|\#[^\n]*)*")
_BLANK_LINES: Final = re.compile(r"(?:[ \t\r\n]|\#[^\n]*)*")
_STRING: Final = re.compile(r'''"""(?:\\.|[^\\])*?"{3,5}|\'\'\'.*?'{3,5}|"(?:\\.|[^"\\])*"|'[^']*\'''', re.DOTALL)
_BARE_KEY: Final = re.compile(r"[A-Za-z0-9_-]+")
_BARE_VALUE: Final = re.compile(r"[^,\]}#\n]*")


class _Scanner:
    """Walks the text once; knows strings, comments and brackets, nothing of values."""

    def __init__(self, text: str) -> None:
        self.text, self.at, self.line = text, 0, 1
        self.lines: dict[Key, int] = {}
        self.counts: dict[Key, int] = {}

    def peek(self, width: int = 1) -> str:
        return self.text[self.at : self.at + width]

    def step(self, width: int = 1) -> None:
        self.line += self.text.count("\n", self.at, self.at + width)
        self.at += width

    def take(self, form: re.Pattern[str]) -> str:
        """What matches here, stepped over; empty when nothing does."""
        matched = form.match(self.text, self.at)
        if matched is None:
            return ""
        self.step(len(matched[0]))
        return matched[0]

    def note(self, key: Key, line: int) -> None:
        self.lines.setdefault(key, line)

    def key(self) -> Key:
        """Read a dotted key."""
        parts: list[str] = []
        while True:
            self.take(_BLANK)
            quoted = self.take(_STRING)
            parts.append(tomllib.loads(f"key = {quoted}")["key"] if quoted else self.take(_BARE_KEY))
            self.take(_BLANK)
            if self.peek() != ".":
                return tuple(parts)
            self.step()

    def value(self, base: Key) -> None:
        self.take(_BLANK)
        if self.peek() == "[":
            self.array(base)
        elif self.peek() == "{":
            self.inline(base)
        elif not self.take(_STRING):
            self.take(_BARE_VALUE)

    def array(self, base: Key) -> None:
        self.step()
        index = 0
        while True:
            self.take(_BLANK_LINES)
            if self.peek() == "]":
                return self.step()
            if self.peek() == ",":
                self.step()
                index += 1
                continue
            self.note((*base, index), self.line)
            self.value((*base, index))

    def inline(self, base: Key) -> None:
        self.step()
        while True:
            self.take(_BLANK_LINES)
            if self.peek() == "}":
                return self.step()
            if self.peek() == ",":
                self.step()
                continue
            self.pair(base)

    def pair(self, base: Key) -> Key:
        """Read `key = value`."""
        line = self.line
        key = self.key()
        for length in range(1, len(key) + 1):
            self.note((*base, *key[:length]), line)
        self.step()  # the equals sign
        self.value((*base, *key))
        return (*base, *key)

    def header(self) -> Key:
        """Read `[a.b]` or `[[a.b]]`; an array of tables counts on."""
        brackets = 2 if self.peek(2) == "[[" else 1
        self.step(brackets)
        name = self.key()
        self.step(brackets)
        path: Key = ()
        for i, part in enumerate(name):
            path = (*path, part)
            self.note(path, self.line)
            if brackets == 2 and i == len(name) - 1:
                self.counts[path] = self.counts.get(path, -1) + 1
            if path in self.counts:
                path = (*path, self.counts[path])
                self.note(path, self.line)
        return path

    def run(self) -> dict[Key, int]:
        base: Key = ()
        while True:
            self.take(_BLANK_LINES)
            if self.at >= len(self.text):
                return self.lines
            if self.peek() == "[":
                base = self.header()
            else:
                self.pair(base)


def line_map(text: str) -> dict[Key, int]:
    """Line (from 1) of every key path; items of arrays by their index (from 0).

    Args:
        text: legal TOML; anything else is not found out here.

    >>> line_map('a = 1\\n[b]\\nc = {d = 2}\\n')[("b", "c", "d")]
    3
    """
    return _Scanner(text).run()


@dataclass(frozen=True)
class Statement:
    """A header or a pair of key and value: its key path, items by their index from 0; its first and last line, from 1."""

    key: Key
    head: bool
    first: int
    last: int


class _Teller(_Scanner):
    """Notes each statement as it goes by."""

    def __init__(self, text: str) -> None:
        super().__init__(text)
        self.told: list[Statement] = []
        self.deep = 0

    def header(self) -> Key:
        line = self.line
        key = super().header()
        self.told.append(Statement(key, True, line, self.line))
        return key

    def pair(self, base: Key) -> Key:
        line = self.line
        self.deep += 1
        key = super().pair(base)
        self.deep -= 1
        if not self.deep:  # not one inside an inline table
            self.told.append(Statement(key, False, line, self.line))
        return key


def statements(text: str) -> list[Statement]:
    """Every header and pair of a legal TOML text, in their order.

    >>> [(s.key, s.first, s.last) for s in statements("[b]\\nc.d = [1,\\n2]\\n")]
    [(('b',), 1, 1), (('b', 'c', 'd'), 2, 3)]
    """
    teller = _Teller(text)
    teller.run()
    return teller.told


def nearest_line(lines: Mapping[Key, int], key: Key) -> int | None:
    """The line of a key, or of the nearest table around it that stands in the file."""
    for length in range(len(key), 0, -1):
        if key[:length] in lines:
            return lines[key[:length]]
    return None
