"""What is wrong with an order, each fault at its place in the file."""

from __future__ import annotations

import datetime
import difflib
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, Final

from parts.findings import SeamwrightError
from parts.tables import load

__all__ = [
    "MOST_SHOWN",
    "Faults",
    "Key",
    "OrderError",
    "Problem",
    "Refused",
    "in_order",
    "key_text",
    "near_hint",
    "shown",
]

Key = tuple[str | int, ...]
MOST_SHOWN: Final = 20
_LONGEST_SHOWN: Final = 60
_LONGEST_GUESSED: Final = 60


def key_text(key: Key) -> str:
    """A key path as written in messages; items count from 1.

    >>> key_text(("plate", 0, "at"))
    'plate[1].at'
    """
    out = ""
    for part in key:
        if isinstance(part, int):
            out += f"[{part + 1}]"
            continue
        name = part if part.isprintable() and part else f'"{part}"' if not part else repr(part)
        name = name if len(name) <= _LONGEST_SHOWN else f"{name[: _LONGEST_SHOWN - 3]}..."
        out += f".{name}" if out else name
    return out


def in_order(line: int | None, key: Key) -> tuple[int, list[tuple[bool, int, str]]]:
    """What faults are sorted by: their lines, on one line their keys, items by number.

    >>> in_order(4, ("at", 5)) < in_order(4, ("at", 27)) < in_order(5, ())
    True
    """
    return line or 0, [(True, 0, part) if isinstance(part, str) else (False, part, "") for part in key]


def shown(value: Any) -> str:
    """A value of the file as it may stand in a message: short, on one line, as TOML writes it.

    >>> shown((1, True, "a")), shown({"a": 1})
    ("[1, true, 'a']", 'a table')
    """
    text = _plain(value)
    return text if len(text) <= _LONGEST_SHOWN else f"{text[: _LONGEST_SHOWN - 3]}..."


def _plain(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, tuple | list):
        few = [_plain(item) for item in value[:_LONGEST_SHOWN]]
        return f"[{', '.join(few)}]" if not any(isinstance(item, dict) for item in value) else "a list of tables"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    return repr(value)


def near_hint(word: str, known: Iterable[str]) -> str:
    """` (did you mean "..."?)`, or nothing when nothing known is near, by what it means or else by its letters."""
    known, word = tuple(known), word[:_LONGEST_GUESSED]
    plain = word.strip().lower().replace(" ", "-").replace("_", "-")
    near = [plain] if plain in known else [r["meant"] for r in load("meant_words") if r["word"] == plain]
    near = [meant for meant in near if meant in known] or difflib.get_close_matches(word, known, n=1)
    return f' (did you mean "{near[0]}"?)' if near else ""


class Refused(ValueError):
    """A value that cannot be taken, as its reader says it.

    Attributes:
        what: what was wrong.
        allowed: what would be taken.
        key: where, counted from the place that is being read.
    """

    def __init__(self, what: str, allowed: str = "", key: Key = ()) -> None:
        self.what, self.allowed, self.key = what, allowed, key
        super().__init__(what)


@dataclass(frozen=True, kw_only=True)
class Problem:
    """One fault: where it stands, what was wrong, what is allowed."""

    file: str
    line: int | None
    key: Key
    what: str
    allowed: str

    def __str__(self) -> str:
        file = self.file if self.file.isprintable() else repr(self.file)
        where = file if self.line is None else f"{file}:{self.line}"
        key = f" {key_text(self.key)}:" if self.key else ""
        allowed = f"; allowed: {self.allowed}" if self.allowed else ""
        return f"{where}:{key} {self.what}{allowed}"


class OrderError(SeamwrightError):
    """An order that cannot be taken.

    Attributes:
        problems: in the order of their lines; the text shows the first `MOST_SHOWN`.
        more: how many others there are that were only counted, in a hopeless file.
    """

    def __init__(self, problems: Sequence[Problem], more: int = 0) -> None:
        self.problems = tuple(problems)
        self.more = more
        lines = [str(problem) for problem in self.problems[:MOST_SHOWN]]
        left = more + len(self.problems) - len(lines)
        if left:
            lines.append(f"and {left} more")
        super().__init__("\n".join(lines))


class Faults:
    """Gathers what is refused step by step, so that all of it is said at once."""

    def __init__(self) -> None:
        self._problems: list[Problem] = []
        self._more = 0

    @contextmanager
    def step(self) -> Iterator[None]:
        """One step that may be refused without stopping the others."""
        try:
            yield
        except OrderError as error:
            self._problems += error.problems
            self._more += error.more

    def settle(self) -> None:
        """Refuse the order if any step was.

        Raises:
            OrderError: with everything gathered, in the order of the lines.
        """
        if self._problems:
            once = dict.fromkeys(self._problems)
            raise OrderError(sorted(once, key=lambda p: in_order(p.line, p.key)), more=self._more)
