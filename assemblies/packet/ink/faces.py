"""The two faces that everything on paper is set in, and what becomes of characters that they do not have.

They are subsets of DejaVu Sans Condensed 2.37 (plain and bold), kept in `fonts/` with their licence: Latin, Greek and Cyrillic
letters, the signs of drawings, and the replacement character U+FFFD, which stands for whatever else an order says. The page
and the SVG files are set in the reader's own faces and keep the text as it was written.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import Any, Final

from parts.findings import Finding

__all__ = ["BOLD", "FONTS", "PLAIN", "REPLACEMENT", "faces", "letters", "missing_finding", "printable", "unprintable"]

FONTS: Final = Path(__file__).with_name("fonts")
PLAIN, BOLD = "DejaVuSansCondensed", "DejaVuSansCondensed-Bold"
REPLACEMENT: Final = "\ufffd"
_LAST: Final = 0xFFFF  # ends the table of a face, and is no character
_NAMED: Final = 12  # characters that a finding names; the rest are counted


@cache
def faces() -> dict[str, Any]:
    """Both faces by name, made known to the PDF library."""
    from reportlab.pdfbase.pdfmetrics import registerFont
    from reportlab.pdfbase.ttfonts import TTFont

    found = {}
    for name in (PLAIN, BOLD):
        found[name] = TTFont(name, str(FONTS / f"{name}.ttf"))
        registerFont(found[name])
    return found


@cache
def letters() -> frozenset[str]:
    """Every character that both faces have."""
    have = [set(face.face.charToGlyph) for face in faces().values()]
    return frozenset(chr(code) for code in set.intersection(*have) if code != _LAST)


def printable(text: str) -> str:
    """The text as it can be printed: composed, without marks that show nothing, and U+FFFD for what the faces lack.

    Source: Unicode Standard, annex 15 (form NFC).

    >>> printable("u\\u0308ber \\u6ce2")
    'über �'
    """
    if text.isascii():
        return text
    have = letters()
    return "".join(c if c in have or c in "\n\r\t" else REPLACEMENT for c in _seen(text))


def unprintable(text: str) -> list[str]:
    """The characters of a text that are printed as U+FFFD, each once, in their order."""
    if text.isascii():
        return []
    have = letters()
    return list(dict.fromkeys(c for c in _seen(text) if c not in have and c not in "\n\r\t"))


def _seen(text: str) -> str:
    """Composed, and without the characters that choose or join a form and show nothing by themselves."""
    return "".join(c for c in unicodedata.normalize("NFC", text) if not _shows_nothing(c))


def _shows_nothing(character: str) -> bool:
    selects = "\ufe00" <= character <= "\ufe0f" or "\U000e0100" <= character <= "\U000e01ef"  # variation selectors
    return selects or unicodedata.category(character) == "Cf"


def missing_finding(report: Mapping[str, Any]) -> Finding | None:
    """A care naming the characters of the report that cannot be printed, and where the first stands; None if all can be."""
    first, found = "", dict[str, None]()
    for where, text in _texts(report, ""):
        lacking = unprintable(text)
        first = first or (where if lacking else "")
        found |= dict.fromkeys(lacking)
    if not found:
        return None
    named = [f"{c} (U+{ord(c):04X})" for c in list(found)[:_NAMED]]
    more = f" and {len(found) - _NAMED} more" if len(found) > _NAMED else ""
    return Finding(
        level="care",
        check="print",
        where=first,
        why=f"the faces for paper do not have {', '.join(named)}{more}: {REPLACEMENT} stands there in packet.pdf, labels, "
        "templates and drawings; packet.html shows them",
        do="also write it in Latin, Greek or Cyrillic letters, or print packet.html",
        source="the faces in this tool: DejaVu Sans Condensed 2.37, a part of it",
    )


def _texts(value: Any, where: str) -> Iterable[tuple[str, str]]:
    """Every text of plain data, and the key that it stands under."""
    if isinstance(value, str):
        yield where, value
    elif isinstance(value, Mapping):
        for key, inner in value.items():
            yield from _texts(inner, str(key))
    elif isinstance(value, list | tuple):
        for inner in value:
            yield from _texts(inner, where)
