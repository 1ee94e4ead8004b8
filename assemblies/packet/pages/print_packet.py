"""packet.pdf: the packet for the wall of the shop, a page or more for each station, and the card to laminate.

Made from the same sections as the page. The text goes to the typesetter as data, never as markup, so that whatever stands in an
order comes out as it was written. Fonts are ours and embedded; the same report gives the same bytes.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, Literal

from assemblies.packet.ink.faces import FONTS, printable
from assemblies.packet.ink.pdf import OURS
from assemblies.packet.pictures.line_drawing import Spread, exploded_svg
from assemblies.report.blocks import (
    STATIONS,
    Bars,
    Block,
    Cautions,
    Figures,
    Para,
    Picture,
    Remark,
    Remarks,
    Rows,
    Section,
    Step,
    Steps,
)
from assemblies.report.figures import percent, rest_words
from assemblies.report.sections import verdict_words
from parts.lengths import LengthUnit

if TYPE_CHECKING:
    from assemblies.examine import Examined

__all__ = ["Paper", "packet_pdf", "write_print"]

Paper = Literal["a4", "letter"]
_HERE: Final = Path(__file__).parent
_TYPST_PAPER: Final = {"a4": "a4", "letter": "us-letter"}
_TICKED: Final = ("cut", "drill", "dry-fit", "bond")  # stations where a row about a piece is work to tick off
_SHORT_CELL: Final = 28  # letters: a column of such texts is as wide as they are
_SHORT_ROWS: Final = 8  # a table no longer than this is not broken over two pages, nor one of so few letters:
_SHORT_TEXT: Final = 1500
_WIDTH_PT: Final = 500.0  # the text's width on A4, less a box to tick
_LETTER_PT: Final = 5.0  # of the table's font, on average
_AIR_PT: Final = 8.0  # around the text of a cell
_BAR_END: Final = 1.2  # of the allowed: as far as a bar is drawn
_PRINT_WIDTH_MM: Final = 182.0  # between the margins of A4
_PART: Final = "part-"  # how the key of a part's views begins
_VIEWS_SCALE: Final = 0.7  # of a part's drawing at most, whose figures are 2.5 mm high: the whole sheet is in drawings/
_VIEWS_MM: Final = (86.0, 70.0)  # room for the views of one part: two beside each other
_SVG_FONT: Final = 'font-family="system-ui, sans-serif"'


def packet_pdf(
    report: Mapping[str, Any],
    made: Sequence[Section],
    unit: LengthUnit,
    pictures: Mapping[str, str],
    *,
    paper: Paper | None = None,
) -> bytes:
    """The packet as PDF.

    Args:
        report: as in report.json.
        made: its sections.
        unit: in which lengths are shown.
        pictures: SVG files by the key that `Picture` blocks use; one that is not there is left out.
        paper: the default is A4 for an order in mm, US letter for one in inches.
    """
    import typst

    on = paper or ("letter" if unit == "in" else "a4")
    data = json.dumps(_printable(_data(report, made, pictures, on)))
    pdf: bytes = typst.compile(
        str(_HERE / "print" / "packet.typ"),
        root=str(_HERE / "print"),
        font_paths=[str(FONTS)],
        ignore_system_fonts=True,
        format="pdf",
        sys_inputs={"data": data},
    )
    return _signed(pdf)


def _signed(pdf: bytes) -> bytes:
    """The file with our name as its maker where the library puts its own; as long as before, for the file counts its bytes."""

    def named(found: re.Match[bytes]) -> bytes:
        return found[1] + OURS.encode().ljust(len(found[0]) - len(found[1]) - len(found[2])) + found[2]

    for made in (rb"(/Creator\()Typst[^)]*(\))", rb"(<xmp:CreatorTool>)Typst[^<]*(</)", rb'(x:xmptk=")xmp-writer(")'):
        pdf = re.sub(made, named, pdf)
    pdf = pdf.replace(f"/Keywords({OURS})".encode(), f"/Producer({OURS})".encode())
    return pdf.replace(f"<pdf:Keywords>{OURS}</pdf:Keywords>".encode(), f"<pdf:Producer>{OURS}</pdf:Producer>".encode())


def _printable(value: Any) -> Any:
    """The same data with every text as it can be printed."""
    if isinstance(value, str):
        return printable(value)
    if isinstance(value, dict):
        return {key: _printable(inner) for key, inner in value.items()}
    return [_printable(inner) for inner in value] if isinstance(value, list | tuple) else value


def write_print(found: Examined, pictures: Mapping[str, str], seen: Spread, folder: Path) -> None:
    """Write `packet.pdf` into the packet's folder, with the sheets' drawings that are there by now.

    Args:
        pictures: of its sheets and parts.
        seen: how it looks exploded.

    The exploded view is drawn anew, as wide as the print, so that its numbers and sizes can be read on the wall.

    Raises:
        OSError: it cannot be written.
    """
    unit = found.order.units
    shown = {**pictures, "exploded": exploded_svg(found.design, seen, width_mm=_PRINT_WIDTH_MM, unit=unit)}
    pdf = packet_pdf(found.report, found.sections, unit, shown, paper=found.order.shop.paper)
    (folder / "packet.pdf").write_bytes(pdf)


def _data(
    report: Mapping[str, Any], made: Sequence[Section], pictures: Mapping[str, str], paper: Paper
) -> dict[str, Any]:
    """Everything that the template shows, as plain data."""
    word, sentence = verdict_words(report)
    about = [report["name"], report["kind"], f"revision {report['revision']}", f"{report['quantity']} to make"]
    return {
        "paper": _TYPST_PAPER[paper],
        "title": report["title"],
        "name": report["name"],
        "ours": OURS,
        "revision": report["revision"],
        "about": ", ".join(about),
        "verdict": {"word": word, "sentence": sentence},
        "stations": _stations(made, pictures, f"{word}. {sentence}"),
        "card": next((_card(s) for s in made if s.id == "card"), None),
        "pictures": {key: svg.replace(_SVG_FONT, 'font-family="DejaVu Sans"', 1) for key, svg in pictures.items()},
    }


def _stations(made: Sequence[Section], pictures: Mapping[str, str], said: str) -> list[dict[str, Any]]:
    """Each station with its sections and the drawings that have pages of their own; without what is not there.

    What stands in the verdict's frame already (`said`) is not said again.
    """
    out = []
    for station, title in STATIONS.items():
        across: list[dict[str, Any]] = []
        shown: list[dict[str, Any]] = []
        for section in (s for s in made if s.station == station):
            blocks: list[dict[str, Any]] = []
            for block in section.blocks:
                if _is_empty(block, pictures) or block == Para(text=said):
                    continue
                if isinstance(block, Picture) and station == "cut":
                    across.append(_block(block, section))
                elif isinstance(block, Picture) and block.key.startswith(_PART):
                    _add_view(blocks, block, pictures[block.key])
                else:
                    blocks.append(_block(block, section))
            if blocks:
                shown.append({"title": section.title, "blocks": blocks})
        if shown:
            out.append({"title": title, "across": across, "sections": shown})
    return out


def _add_view(blocks: list[dict[str, Any]], block: Picture, svg: str) -> None:
    """The views of a part, beside those of the part before it where there is room."""
    wide, high = (float(v) for v in re.findall(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg)[0])
    scale = min(_VIEWS_SCALE, _VIEWS_MM[0] / wide, _VIEWS_MM[1] / high)
    if not blocks or blocks[-1]["kind"] != "Views":
        blocks.append({"kind": "Views", "items": []})
    blocks[-1]["items"].append({"key": block.key, "alt": block.alt, "wide_mm": round(wide * scale, 2)})


def _is_empty(block: Block, pictures: Mapping[str, str]) -> bool:
    if isinstance(block, Picture):
        return block.key not in pictures
    if isinstance(block, Rows):
        return not block.rows
    return not (block.text if isinstance(block, Para) else block.items)


def _block(block: Block, section: Section) -> dict[str, Any]:
    data = {"kind": type(block).__name__, **asdict(block)}
    if isinstance(block, Rows):
        data |= _rows(block, section)
    elif isinstance(block, Figures):
        long = any(len(item.value) > _SHORT_CELL for item in block.items)
        data["widths"] = [0, 1.0 if long else 0, 1.4]
    elif isinstance(block, Steps):
        data["items"] = [_step(number, step) for number, step in enumerate(block.items, 1)]
    elif isinstance(block, Bars):
        data |= _bars(block)
    elif isinstance(block, Remarks):
        data["items"] = [_remark(item) for item in block.items]
    elif isinstance(block, Cautions):
        groups: dict[str, list[dict[str, Any]]] = {}
        for item in block.items:
            groups.setdefault(item.where, []).append(_remark(item))
        data["groups"] = [{"where": where, "items": items} for where, items in groups.items()]
    if data.get("title") == section.title:
        data["title"] = ""
    return data


def _rows(block: Rows, section: Section) -> dict[str, Any]:
    """A table without its empty columns; with boxes to tick where a row is work on a piece."""
    kept = [k for k in range(len(block.header)) if any(row[k] for row in block.rows)]
    rows = [[_quoted(row[k]) if block.header[k] == "source" else row[k] for k in kept] for row in block.rows]
    right = [block.right[k : k + 1] == "r" for k in kept]
    header = [block.header[k] for k in kept]
    wide = _wide([header, *rows])
    return {
        "header": header,
        "rows": [[_parts(text) if leans else text for text, leans in zip(row, right, strict=True)] for row in rows],
        "right": right,
        "small": [name == "source" and len(kept) > 1 for name in header],
        "widths": _widths(rows) if wide > _WIDTH_PT else [0.0] * len(kept),
        "dense": len(kept) > 5 and wide > _WIDTH_PT,
        "tick": section.station in _TICKED and (bool(block.keys) or section.station == "drill"),
        "short": len(rows) <= _SHORT_ROWS and sum(len(text) for row in rows for text in row) <= _SHORT_TEXT,
    }


def _longest(rows: Sequence[Sequence[str]]) -> list[int]:
    return [max(len(text) for text in column) for column in zip(*rows, strict=True)]


def _wide(rows: Sequence[Sequence[str]]) -> float:
    """About how many points wide a table of unbroken texts is."""
    return sum(_LETTER_PT * length + _AIR_PT for length in _longest(rows))


def _widths(rows: Sequence[Sequence[str]]) -> list[float]:
    """Shares of the width by column: 0 is as wide as its text, for columns of short texts."""
    return [math.sqrt(min(n, 3 * _SHORT_CELL)) if n > _SHORT_CELL else 0.0 for n in _longest(rows)]


def _parts(text: str) -> str | list[str]:
    """A short length with what it is off by, in two parts that stay whole where a column is narrow."""
    parts = re.split(r" (?=[+-]\d)", text)
    return parts if len(parts) == 2 and len(text) <= _SHORT_CELL else text


def _step(number: int, step: Step) -> dict[str, Any]:
    text = re.sub(rf"^{number}\. ", "", step.text)  # the number stands beside the box
    return {**asdict(step), "text": _quoted(text)}


def _remark(item: Remark) -> dict[str, Any]:
    """A remark whose sentences end."""
    said = {"text": _ended(item.text), "do": _ended(item.do), "source": item.source}
    return {**asdict(item), **{key: _quoted(text) for key, text in said.items()}}


def _quoted(text: str) -> str:
    """What stands between backticks, words of an order that the page sets as code, in quotes.

    >>> _quoted("give the readings as `measured`")
    'give the readings as “measured”'
    """
    return re.sub(r"`([^`]{2,60})`", "“\\1”", text)


def _ended(text: str) -> str:
    return text if not text or text[-1] in ".!?" else f"{text}."


def _bars(block: Bars) -> dict[str, Any]:
    """The bars with their length, and each reason once, lettered where there are several."""
    whys = list(dict.fromkeys(item.why for item in block.items if item.why))
    marks = {why: chr(ord("a") + k) if len(whys) > 1 else "" for k, why in enumerate(whys)}
    items = [
        {
            "label": item.label,
            "text": item.text,
            "percent": item.instead or percent(item.use),
            "over": not item.use <= 1.0,
            "share": min(max(item.use, 0.0), _BAR_END) if math.isfinite(item.use) else _BAR_END,
            "mark": marks.get(item.why, ""),
        }
        for item in block.items
    ]
    return {
        "items": items,
        "rest": rest_words(block.rest),
        "notes": [{"mark": mark, "text": why} for why, mark in marks.items()],
    }


def _card(section: Section) -> dict[str, Any]:
    """What goes on the card: the section without sources; a table of one column is the label."""
    parts: list[dict[str, Any]] = []
    label: list[str] = []
    for block in section.blocks:
        if isinstance(block, Cautions):
            continue
        if isinstance(block, Rows) and len(block.header) == 1:
            label += [row[0] for row in block.rows]
        elif isinstance(block, Rows):
            kept = [k for k, name in enumerate(block.header) if name != "source"]
            parts.append(
                {
                    "kind": "Rows",
                    "title": block.title,
                    "header": kept,
                    "rows": [[row[k] for k in kept] for row in block.rows],
                }
            )
        else:
            parts.append({"kind": type(block).__name__, **asdict(block)})
    return {"parts": parts, "label": label}
