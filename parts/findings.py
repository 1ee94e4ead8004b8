"""What a check says, and the errors the project raises.

A *finding* is one thing one check says about one place: `stop` (do not build it so), `care` (build it with care) or `note`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = ["Finding", "Level", "NotCovered", "SeamwrightError", "worst"]

Level = Literal["stop", "care", "note"]
_RANK: dict[str, int] = {"stop": 0, "care": 1, "note": 2}
_SAID: dict[str, str] = {"stop": "STOP", "care": "CARE", "note": "note"}


class SeamwrightError(ValueError):
    """Base of every error about what the user gave; its text is one clear sentence."""


class NotCovered(SeamwrightError):
    """The method does not reach this case: no pass may be given."""


@dataclass(frozen=True, kw_only=True, order=True)
class Finding:
    """One thing one check says.

    Attributes:
        level: `stop`, `care` or `note`.
        check: the check that speaks (`fit`, `holes`, `sheet`, `strength`, ...).
        where: the piece, seam or order field it is about.
        why: what was found, with figures and units.
        do: what to do about it; empty for a note that asks for nothing.
        source: document and clause, or `common practice, no source`, `from memory`, `judgement`.
    """

    level: Level
    check: str
    where: str
    why: str
    do: str = ""
    source: str = ""

    def __str__(self) -> str:
        """In one line, as it is printed.

        >>> print(Finding(level="care", check="fit", where="lid", why="it sags", do="stiffen it", source="judgement"))
        CARE fit, lid: it sags. Do: stiffen it. [judgement]
        """
        do = f" Do: {self.do}." if self.do else ""
        source = f" [{self.source}]" if self.source else ""
        return f"{_SAID[self.level]} {self.check}, {self.where}: {self.why}.{do}{source}"


def worst(findings: tuple[Finding, ...] | list[Finding]) -> Level | None:
    """The gravest level among the findings, or None when there are none."""
    return min((f.level for f in findings), key=lambda level: _RANK[level], default=None)
