"""Blocks as text for a terminal of 80 columns: the same sections as page and print show, pictures and reasons left out."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

from assemblies.report.blocks import (
    Bar,
    Bars,
    Block,
    Cautions,
    Figures,
    Form,
    Para,
    Picture,
    Remark,
    Remarks,
    Rows,
    Section,
    Steps,
)
from assemblies.report.figures import percent

__all__ = ["WIDE", "filled", "section_text", "table"]

WIDE = 80
_GAP = "  "
_FEW = 5  # bars of one case, unless all are asked for
_LEAST = 8  # columns that a cell keeps when a table is narrowed


def filled(text: str, hang: str = "") -> str:
    """A paragraph within the columns; lines after the first begin with `hang`."""
    return textwrap.fill(text, WIDE, subsequent_indent=hang, break_on_hyphens=False)


def table(header: Sequence[str], rows: Sequence[Sequence[str]], right: str = "") -> str:
    """Aligned columns; those whose letter in `right` is `r` lean right. Cells of too wide a table run on below."""
    lines = [header, *rows] if any(header) else list(rows)
    lean = right.ljust(len(header), "l")
    wide = _widths(lines, lean)
    out = []
    for line in lines:
        cells = [textwrap.wrap(c, w, break_on_hyphens=False) or [""] for c, w in zip(line, wide, strict=True)]
        for k in range(max(len(cell) for cell in cells)):
            parts = [cell[k] if k < len(cell) else "" for cell in cells]
            shown = [p.rjust(w) if side == "r" else p.ljust(w) for p, w, side in zip(parts, wide, lean, strict=True)]
            out.append(_GAP.join(shown).rstrip())
    return "\n".join(out)


def _widths(lines: Sequence[Sequence[str]], lean: str) -> list[int]:
    """As wide as what stands in each column; where that is too much the widest of words give way, then figures run on below
    their number; a word is broken only then."""
    wide = [max([1, *(len(line[k]) for line in lines)]) for k in range(len(lean))]
    words = [max([_LEAST, *(len(word) for line in lines for word in line[k].split())]) for k in range(len(lean))]
    over = sum(wide) + len(_GAP) * (len(lean) - 1) - WIDE
    for least in (
        [w if s == "r" else word for w, word, s in zip(wide, words, lean, strict=True)],
        words,
        [_LEAST] * len(lean),
    ):
        while over > 0:
            room = [w - n for w, n in zip(wide, least, strict=True)]
            if max(room) <= 0:
                break
            k = max(range(len(lean)), key=lambda k: (room[k] > 0, wide[k]))
            wide[k] -= 1
            over -= 1
    return wide


def section_text(section: Section, *, every: bool = False) -> str:
    """A section with its heading; of many bars those that are used most, unless `every` one is asked for."""
    said = [text for text in (_said(block, every=every) for block in section.blocks) if text]
    return "\n\n".join([section.title.upper(), *said]) if said else ""


def _said(block: Block, *, every: bool) -> str:
    match block:
        case Para():
            return filled(block.text)
        case Figures():
            return "\n".join(filled(f"{f.label}: {f.value}", "  ") for f in block.items)
        case Rows():
            rows = table(block.header, block.rows, block.right)
            return "\n".join(text for text in (block.title, rows, filled(block.note)) if text)
        case Steps():
            steps = [filled(f"{step.number or k}. {step.text}", "    ") for k, step in enumerate(block.items, 1)]
            return "\n".join([block.title, *steps] if block.title else steps)
        case Bars():
            return _bars(block, every=every)
        case Remarks() | Cautions():
            return "\n".join(filled(_remark(one), "     ") for one in block.items)
        case Picture() | Form():  # what is seen, or filled in by hand, is for paper
            return ""


def _remark(one: Remark) -> str:
    do = f" Do: {one.do}." if one.do else ""
    where = f" {one.where}" if one.where else ""
    return f"{one.level}{where}: {one.text}.{do}" + (f" [{one.source}]" if one.source else "")


def _bars(block: Bars, *, every: bool) -> str:
    items: Iterable[Bar] = [*block.items, *block.rest]
    shown = list(items) if every else [*block.items, *block.rest][:_FEW]
    rows = [(one.label, one.text, one.instead or percent(one.use), "FAILS" if one.use > 1.0 else "") for one in shown]
    return "\n".join([block.title, table(("", "", "", ""), rows, "llrl")])
