"""On which line each key of a TOML text stands. Scans only texts that the TOML reader has already accepted.

Keys inside an inline table or an array are found by the line on which they are written.
"""

from __future__ import annotations

from assemblies.order.errors import Key

__all__ = ["line_map", "nearest_line"]


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

    def blank(self, *, newlines: bool) -> None:
        """Skip white space and comments."""
        while self.at < len(self.text):
            char = self.peek()
            if char == "#":
                end = self.text.find("\n", self.at)
                self.step((end if end >= 0 else len(self.text)) - self.at)
            elif char in " \t\r" or (newlines and char == "\n"):
                self.step()
            else:
                return

    def string(self) -> str:
        """Skip a string and give its bare content (escapes left as written)."""
        quote = self.peek()
        if self.peek(3) == quote * 3:
            start = self.at + 3
            self.step(3)
            while self.peek(3) != quote * 3:
                self.step(2 if self.peek() == "\\" and quote == '"' else 1)
            end = self.at
            self.step(3)
            while self.peek() == quote:
                self.step()
            return self.text[start:end]
        self.step()
        start = self.at
        while self.peek() != quote:
            self.step(2 if self.peek() == "\\" and quote == '"' else 1)
        end = self.at
        self.step()
        return self.text[start:end]

    def key(self) -> Key:
        """Read a dotted key."""
        parts: list[str] = []
        while True:
            self.blank(newlines=False)
            if self.peek() in "\"'":
                raw = self.string()
                parts.append(raw.encode().decode("unicode_escape") if "\\" in raw else raw)
            else:
                start = self.at
                while self.peek() and (self.peek().isalnum() or self.peek() in "-_"):
                    self.step()
                parts.append(self.text[start : self.at])
            self.blank(newlines=False)
            if self.peek() != ".":
                return tuple(parts)
            self.step()

    def note(self, base: Key, key: Key) -> None:
        for length in range(1, len(key) + 1):
            self.lines.setdefault((*base, *key[:length]), self.line)

    def value(self, base: Key) -> None:
        self.blank(newlines=True)
        char = self.peek()
        if char in ('"', "'"):
            self.string()
        elif char == "[":
            self.array(base)
        elif char == "{":
            self.inline(base)
        else:
            while self.peek() and self.peek() not in ",]}#\n":
                self.step()

    def array(self, base: Key) -> None:
        self.step()
        index = 0
        while True:
            self.blank(newlines=True)
            if self.peek() == "]":
                self.step()
                return
            if self.peek() == ",":
                self.step()
                index += 1
                continue
            self.lines.setdefault((*base, index), self.line)
            self.value((*base, index))

    def inline(self, base: Key) -> None:
        self.step()
        while True:
            self.blank(newlines=True)
            if self.peek() == "}":
                self.step()
                return
            if self.peek() == ",":
                self.step()
                continue
            self.pair(base)

    def pair(self, base: Key) -> None:
        line = self.line
        key = self.key()
        for length in range(1, len(key) + 1):
            self.lines.setdefault((*base, *key[:length]), line)
        self.step()  # the equals sign
        self.value((*base, *key))

    def header(self) -> Key:
        """Read `[a.b]` or `[[a.b]]`; an array of tables counts on."""
        double = self.peek(2) == "[["
        self.step(2 if double else 1)
        name = self.key()
        self.step(2 if double else 1)
        path: Key = ()
        for i, part in enumerate(name):
            path = (*path, part)
            last = i == len(name) - 1
            if last and double:
                self.lines.setdefault(path, self.line)
                self.counts[path] = self.counts.get(path, -1) + 1
            if path in self.counts:
                path = (*path, self.counts[path])
            self.lines.setdefault(path, self.line)
        return path

    def run(self) -> dict[Key, int]:
        base: Key = ()
        while True:
            self.blank(newlines=True)
            if self.at >= len(self.text):
                return self.lines
            if self.peek() == "[":
                base = self.header()
            else:
                self.pair(base)


def line_map(text: str) -> dict[Key, int]:
    """Line (from 1) of every key path; items of arrays by their index.

    >>> line_map('a = 1\\n[b]\\nc = {d = 2}\\n')[("b", "c", "d")]
    3
    """
    return _Scanner(text).run()


def nearest_line(lines: dict[Key, int], key: Key) -> int | None:
    """The line of a key, or of the nearest table around it that stands in the file."""
    for length in range(len(key), 0, -1):
        if key[:length] in lines:
            return lines[key[:length]]
    return None
