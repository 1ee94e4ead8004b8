"""Sources as short numbers with one list: one document with all that is taken from it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from assemblies.report.blocks import Rows, Section

__all__ = ["Cited", "quoted"]

_MOST = 4  # things from one document before it is named again


class Cited:
    """The packet's sources by number: those of its list as they stand there, any other in the order in which it is met."""

    def __init__(self, made: Sequence[Section]) -> None:
        rows = [b for s in made if s.id == "sources" for b in s.blocks if isinstance(b, Rows) and len(b.header) == 1]
        self.numbers = {row[0]: k for k, row in enumerate((r for b in rows for r in b.rows), 1)}
        self._longest = sorted((text for text in self.numbers if len(text) > 8), key=len, reverse=True)

    def mark(self, source: str) -> str:
        """`[12]`; nothing where nothing is cited."""
        if not source:
            return ""
        return f"[{self.numbers.setdefault(source, len(self.numbers) + 1)}]"

    def within(self, why: str) -> str:
        """A reason with the sources that it ends with, or is, as numbers."""
        if why in self.numbers:
            return self.mark(why)
        for source in self._longest:
            for joint in ("; ", ": ", ". "):
                if why.endswith(joint + source):
                    return self.within(why[: -len(joint + source)]) + joint + self.mark(source)
        return why

    def caution(self, text: str) -> str:
        """A caution that ends with its source in brackets."""
        match = re.fullmatch(r"(.*) \[([^\[\]]+)\]", text, re.S)
        return f"{match[1]} {self.mark(match[2])}" if match and match[2] in self.numbers else text

    def listed(self) -> list[dict[str, Any]]:
        """The list: one document with all that is taken from it, each by its number."""
        out: list[dict[str, Any]] = []
        texts = {str(number): quoted(text) for text, number in self.numbers.items()}
        for number, text in texts.items():
            head, known = _document(text)
            if not out or (out[-1]["head"], out[-1]["known"]) != (head, known) or len(out[-1]["items"]) == _MOST:
                out.append({"head": head, "known": known, "items": []})
            out[-1]["items"].append([number, text.removesuffix(known).removeprefix(head).strip(" ,:;")])
        for one in out:
            if len(one["items"]) == 1:  # as it is written
                number = one["items"][0][0]
                one.update(head=texts[number], known="", items=[[number, ""]])
        return out


def _document(text: str) -> tuple[str, str]:
    """What a source begins with, up to where several of one document part, and how it is known, in brackets at its end."""
    match = re.fullmatch(r"(.*?)( \([a-z -]+\))?", text, re.S)
    assert match
    known = match[2] or ""
    for kind in ("judgement", "computed", "from memory", "common practice, no source"):
        if match[1].startswith(kind):
            return kind, known
    head, comma, _ = match[1].rpartition(", ")
    return (head if comma else match[1]), known


def quoted(text: str) -> str:
    """What stands between backticks, words of an order that the page sets as code, in quotes.

    >>> quoted("give the readings as `measured`")
    'give the readings as “measured”'
    """
    return re.sub(r"`([^`]{2,60})`", "“\\1”", text)
