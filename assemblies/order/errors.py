"""What is wrong with an order, each fault at its place in the file."""

from __future__ import annotations

from dataclasses import dataclass

from parts.findings import SeamwrightError

__all__ = ["MOST_SHOWN", "Key", "OrderError", "Problem", "key_text"]

Key = tuple[str | int, ...]
MOST_SHOWN = 20


def key_text(key: Key) -> str:
    """A key path as written in messages.

    >>> key_text(("plate", 0, "at"))
    'plate[1].at'
    """
    out = ""
    for part in key:
        out += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if out else part
    return out


@dataclass(frozen=True, kw_only=True)
class Problem:
    """One fault: where it stands, what was wrong, what is allowed."""

    file: str
    line: int | None
    key: Key
    what: str
    allowed: str

    def __str__(self) -> str:
        where = self.file if self.line is None else f"{self.file}:{self.line}"
        key = f" {key_text(self.key)}:" if self.key else ""
        allowed = f"; allowed: {self.allowed}" if self.allowed else ""
        return f"{where}:{key} {self.what}{allowed}"


class OrderError(SeamwrightError):
    """An order that cannot be taken; holds every problem found."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        self.problems = problems
        lines = [str(problem) for problem in problems[:MOST_SHOWN]]
        if len(problems) > MOST_SHOWN:
            lines.append(f"and {len(problems) - MOST_SHOWN} more")
        super().__init__("\n".join(lines))
