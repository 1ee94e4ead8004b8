"""What a check says, and the errors the project raises.

A *finding* is one thing one check says about one place: `stop` (do not build it so), `care` (build it with care) or `note`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

__all__ = ["Change", "Finding", "Level", "NotCovered", "Remedy", "SeamwrightError", "Taken", "sentence", "worst"]

Level = Literal["stop", "care", "note"]
_RANK: dict[str, int] = {"stop": 0, "care": 1, "note": 2}
_SAID: dict[str, str] = {"stop": "STOP", "care": "CARE", "note": "NOTE"}


class SeamwrightError(ValueError):
    """Base of every error about what the user gave; its text is one clear sentence."""


class NotCovered(SeamwrightError):
    """The method does not reach this case: no pass may be given."""


#: What of a piece is changed: its width and height, its width alone, its thickness, how far a hole's centre is from the
#: edge, a hole's diameter, a vent that is added in it; or what of the whole order.
Change = Literal["size", "width", "thickness", "inside", "diameter", "measured", "vent"]


@dataclass(frozen=True, kw_only=True, order=True)
class Remedy:
    """A change that makes a finding go, with its figure: what `do` says is written from it, so that both are the same.

    Attributes:
        piece: the part or instance that is changed.
        change: what of it.
        least: to at least this, mm; width and height of a `size`. A `diameter` is at most this.
        at: the hole that it is about, in the piece's own axes, mm; None for the whole piece.
    """

    piece: str
    change: Change
    least: tuple[float, ...]
    at: tuple[float, float] | None = None


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
        remedy: the change that `do` speaks of, where that has a figure that can be followed.
        step: the station of work at whose steps it is said, for a usual caution; `method`: a note on how it is worked out that
            cannot bring any use to its limit, said with the sources; empty: it goes with the verdict.
    """

    level: Level
    check: str
    where: str
    why: str
    do: str = ""
    source: str = ""
    remedy: Remedy | None = field(default=None, compare=False)
    step: Literal["", "cut", "use", "method"] = ""

    def __str__(self) -> str:
        """In one line, as it is printed: what is wrong, then where, then what to do.

        >>> print(Finding(level="care", check="fit", where="lid", why="it sags", do="stiffen it", source="judgement"))
        CARE: It sags. At lid (fit). Do: stiffen it. [judgement]
        """
        do = f" Do: {self.do}." if self.do else ""
        source = f" [{self.source}]" if self.source else ""
        return f"{_SAID[self.level]}: {sentence(self.why)}. At {self.where} ({self.check}).{do}{source}"


@dataclass(frozen=True, kw_only=True)
class Taken:
    """Something that is taken because the order does not say it.

    Attributes:
        what: in a few words.
        value: what is taken for it; a length in mm where `unit` is "mm".
        why: what depends on it.
        say: where the order, or the shop file, says it.
        weight: by what factor the figure that hangs on it most may change when it is otherwise; in lists the largest is first.
            Judgement, but for what is computed where it is made.
        unit: of a number.
    """

    what: str
    value: float | str
    why: str
    say: str
    weight: float
    unit: str = ""


def sentence(text: str) -> str:
    """A text with a capital letter first, unless it begins with the name of a piece, a figure or a sign.

    >>> sentence("it sags"), sentence("plate-a sags"), sentence("2 of 4 holes"), sentence("lid: it sags")
    ('It sags', 'plate-a sags', '2 of 4 holes', 'Lid: it sags')
    """
    first = text.split(" ", 1)[0].rstrip(",:;.")
    return text[:1].upper() + text[1:] if first.isalpha() and first.islower() else text


def worst(findings: tuple[Finding, ...] | list[Finding]) -> Level | None:
    """The gravest level among the findings, or None when there are none."""
    return min((f.level for f in findings), key=lambda level: _RANK[level], default=None)
