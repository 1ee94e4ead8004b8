"""Sections as the plain data that the print's template sets: what stands on which station's pages, sources as numbers.

A *unit* is what stands together: a heading with its first block, a table, a step. Narrow units stand in two columns, as even
as they go; a *wide* one has the whole width. Nothing that a section says is left out, but for the drawings of parts that are
not worked on at a station: they are files of their own.
"""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import asdict, replace
from typing import Any, Final

from assemblies.packet.pages.cited import Cited, quoted
from assemblies.report.blocks import (
    STATIONS,
    Bar,
    Bars,
    Block,
    Cautions,
    Figure,
    Figures,
    Form,
    Para,
    Picture,
    Remark,
    Remarks,
    Rows,
    Section,
    Step,
    Steps,
)
from assemblies.report.figures import alike, percent

__all__ = ["stations"]

_TICKED: Final = ("cut", "drill", "dry-fit", "bond")  # stations where a row about a piece is work to tick off
_SHORT_CELL: Final = 28  # letters: a column of such texts is as wide as they are
_COLUMN_PT: Final = 272.0  # of the two on A4; letter is wider
_LETTER_PT: Final = 3.9  # of the table's font, on average
_AIR_PT: Final = 6.0  # around the text of a cell
_LEAST_PT: Final = 66.0  # of a column of long texts
_TICK_PT: Final = 16.0
_FEW, _LONG, _SOME = 3, 10, 5  # rows: of a table as good as text, of one that is parted, of its parts
_LISTED: Final = 3  # documents in one paragraph of the list of sources
_FRAMED: Final = 4  # cautions in one frame
_FILLED: Final = 6  # rows of a form that stay together
_BAR_END: Final = 1.2  # of the allowed: as far as a bar is drawn
_PAGE_MM: Final = 188.0  # of the whole width
_COLUMN_MM: Final = 91.0
_PART: Final = "part-"  # how the key of a part's views begins
_LARGER: Final = 1.02  # and its smallest, of 2 mm, are 8 points then, where there is room
_READ: Final = 0.84  # the least scale of a drawing whose figures are 2.5 mm high: 8 points
#: Stations without pages of their own, and whose they end: what comes after hand-over goes to the file with the signed test,
#: the check-in to where the most of it is read.
_ENDS: Final[Mapping[str, Sequence[str]]] = {
    "check-in": ("dry-fit", "test"),
    "after": ("test",),
    "sources": ("use", "test", "after"),
}


def stations(made: Sequence[Section], pictures: Mapping[str, str], said: str) -> list[dict[str, Any]]:
    """Each station that has pages, with its units; what is not there makes none.

    Args:
        made: the sections.
        pictures: by key; a picture that is not there is left out.
        said: what stands in the verdict's frame already, and is not said again.
    """
    cited = Cited(made)
    by_station: dict[str, list[Section]] = {}
    own = {section.station for section in made}
    for section in made:
        by_station.setdefault(_home(section.station, own), []).append(section)
    out: list[dict[str, Any]] = []
    for station, title in STATIONS.items():
        units = []
        for section in _pictures_first(by_station.get(station, ()), station):
            more = list(_units(section, title, pictures, said, cited))
            if more and section.station != station:
                more[0]["station"] = STATIONS[section.station]
                more[0]["fresh"] = section.station == "check-in"  # below all that stands before it
            units += more
        if units:
            out.append({"title": title, "units": units})
    for one in out:  # the list has every number once all else is numbered
        one["units"] = [unit for each in one["units"] for unit in _listed(each, cited)]
    return out


def _home(station: str, own: Collection[str]) -> str:
    """On whose pages a station's sections stand: its own, or the first of those it may end that have some."""
    return next((name for name in _ENDS.get(station, ()) if name in own), station)


def _listed(unit: dict[str, Any], cited: Cited) -> Iterator[dict[str, Any]]:
    """The unit itself; where it is the place of the list of sources, that list, a few documents in each unit."""
    if unit["block"]["kind"] != "Sources" or unit["block"]["rows"]:
        yield unit
        return
    for k, one in enumerate(_paragraphs(cited.listed(), "")):
        yield {**one, **{key: unit[key] for key in ("title", "station") if k == 0 and key in unit}}


def _paragraphs(rows: Sequence[dict[str, Any]], title: str) -> Iterator[dict[str, Any]]:
    """Documents run in, a few in each paragraph."""
    for k in range(0, len(rows), _LISTED):
        block = {"kind": "Sources", "title": title if k == 0 else "", "rows": rows[k : k + _LISTED]}
        yield {"title": "", "wide": False, "block": block}


def _pictures_first(made: Sequence[Section], station: str) -> Sequence[Section]:
    """At the saw: the sheets before what is said about them."""
    if station != "cut":
        return made
    return [
        replace(section, blocks=sorted(section.blocks, key=lambda block: not isinstance(block, Picture)))
        for section in made
    ]


def _units(
    section: Section, station: str, pictures: Mapping[str, str], said: str, cited: Cited
) -> Iterator[dict[str, Any]]:
    """A section's units; the first bears its title."""
    title = "" if section.title == station else section.title
    if section.id == "card":
        yield _card(section, cited)
        return
    if section.id == "sources":
        yield {"title": title, "wide": False, "block": {"kind": "Sources", "rows": []}}
        for block in section.blocks:
            if isinstance(block, Rows) and len(block.header) > 1:
                rows = [{"head": what, "known": "", "items": [[name, ""]]} for name, what in block.rows]
                yield from _paragraphs(rows, block.title)
        return
    shown = [b for b in section.blocks if not _is_empty(b, pictures) and b != Para(text=said)]
    yield from _titled(title, [unit for b in shown for unit in _split(b, section, cited, pictures)])


def _titled(title: str, units: Sequence[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    for k, unit in enumerate(units):
        yield {**unit, "title": title if k == 0 else ""}


def _split(block: Block, section: Section, cited: Cited, pictures: Mapping[str, str]) -> Iterator[dict[str, Any]]:
    """A block as units: each step and each group of cautions is one."""
    if isinstance(block, Steps):
        for k, step in enumerate(block.items):
            yield _unit(
                replace(block, title=block.title if k == 0 else "", items=[step]), section, cited, pictures, k + 1
            )
    elif isinstance(block, Cautions):
        groups: dict[str, list[Remark]] = {}
        for item in block.items:
            groups.setdefault(item.where, []).append(item)
        framed = [items[k : k + _FRAMED] for items in groups.values() for k in range(0, len(items), _FRAMED)]
        for k, items in enumerate(framed):
            unit = _unit(Cautions(items=items), section, cited, pictures)
            unit["block"]["first"] = k == 0
            yield unit
    elif isinstance(block, Remarks):
        for k, item in enumerate(block.items):
            yield _unit(replace(block, title=block.title if k == 0 else "", items=[item]), section, cited, pictures)
    elif isinstance(block, Figures):
        run: list[Figure] = []
        for one in block.items:
            if run and run[-1].why != one.why:
                yield _unit(Figures(items=run), section, cited, pictures)
                run = []
            run.append(one)
        yield _unit(Figures(items=run), section, cited, pictures)
    elif isinstance(block, Form):
        for k in range(0, len(block.rows), _FILLED):
            last = k + _FILLED >= len(block.rows)
            title, note = block.title if k == 0 else "", block.note if last else ""
            few = replace(block, rows=block.rows[k : k + _FILLED], title=title, note=note)
            yield _unit(few, section, cited, pictures)
    elif isinstance(block, Bars):
        unit = _unit(block, section, cited, pictures)
        empty = {"title": "", "items": [], "low": [], "notes": []}
        for part in (("title", "items"), ("low",), ("notes",)):
            if any(unit["block"][key] for key in part):
                yield {**unit, "block": {**unit["block"], **empty, **{key: unit["block"][key] for key in part}}}
    else:
        unit = _unit(block, section, cited, pictures)
        lines = unit["block"].get("lines", False)
        many = isinstance(block, Rows) and len(block.rows) > _LONG and not unit["wide"]
        yield from _by_rows(unit, 1 if lines else _SOME) if lines or many else [unit]


def _by_rows(unit: dict[str, Any], some: int) -> Iterator[dict[str, Any]]:
    """A table in parts of some rows: the first has its title, the last its note; what is set as text has its heads once."""
    whole = unit["block"]
    for k in range(0, len(whole["rows"]), some):
        block = {**whole, "rows": whole["rows"][k : k + some]}
        if k > 0:
            block |= {"title": "", "header": [] if whole["lines"] else whole["header"]}
        if k + some < len(whole["rows"]):
            block["note"] = ""
        yield {**unit, "block": block}


def _is_empty(block: Block, pictures: Mapping[str, str]) -> bool:
    """What shows nothing; a part's drawing stands where the part is worked on, and only if it can be read there."""
    if isinstance(block, Picture):
        if block.key.startswith(_PART) and block.key in pictures:
            return not block.at_work or _size(pictures[block.key])[0] * _READ > _PAGE_MM
        return block.screen or block.key not in pictures
    if isinstance(block, Rows | Form):
        return not block.rows
    if isinstance(block, Bars):
        return not block.items and not block.rest
    return not (block.text if isinstance(block, Para) else block.items)


def _size(svg: str) -> tuple[float, float]:
    """Width and height of a drawing, mm."""
    wide, high = re.findall(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg)[0]
    return float(wide), float(high)


def _unit(block: Block, section: Section, cited: Cited, pictures: Mapping[str, str], number: int = 0) -> dict[str, Any]:
    data: dict[str, Any] = {"kind": type(block).__name__}
    wide = False
    if isinstance(block, Rows):
        data |= _rows(block, section, cited)
        wide = data.pop("wide")
    elif isinstance(block, Form):
        data |= _form(block)
    elif isinstance(block, Figures):
        data["items"] = _figures(block.items, cited)
    elif isinstance(block, Steps):
        data |= {"title": block.title, "items": [_step(number, step, cited) for step in block.items]}
    elif isinstance(block, Bars):
        data |= _bars(block, section, cited)
    elif isinstance(block, Remarks):
        data |= {"title": block.title, "items": [_remark(item, cited) for item in block.items]}
    elif isinstance(block, Cautions):
        data |= {"first": True, "where": block.items[0].where, "items": [_remark(item, cited) for item in block.items]}
    elif isinstance(block, Picture):
        across, wide = _PAGE_MM, True
        if block.at_work:
            across = _LARGER * _size(pictures[block.key])[0]
            wide = across * _READ > _COLUMN_MM
            across = min(across, _PAGE_MM if wide else _COLUMN_MM)
        told = block.at_work or not block.about
        data |= {"key": block.key, "alt": block.alt, "told": told, "across_mm": round(across, 2)}
    else:
        data["text"] = quoted(block.text)
    if data.get("title") == section.title:
        data["title"] = ""
    return {"title": "", "wide": wide, "block": data}


def _figures(items: Sequence[Figure], cited: Cited) -> list[dict[str, str]]:
    """Values; a reason that several in a row share stands under the last of them."""
    out = []
    for k, item in enumerate(items):
        same = k + 1 < len(items) and items[k + 1].why == item.why
        out.append({"label": item.label, "value": item.value, "why": "" if same else cited.within(item.why)})
    return out


def _rows(block: Rows, section: Section, cited: Cited) -> dict[str, Any]:
    """A table without its empty columns; with boxes to tick where a row is work on a piece."""
    kept = [k for k in range(len(block.header)) if any(row[k] for row in block.rows)]
    source = [block.header[k] == "source" for k in kept]
    rows = [
        [cited.mark(row[k]) if cites else quoted(row[k]) for k, cites in zip(kept, source, strict=True)]
        for row in block.rows
    ]
    header = ["" if cites else block.header[k] for k, cites in zip(kept, source, strict=True)]
    right = [block.right[k : k + 1] == "r" for k in kept]
    tick = section.station in _TICKED and (bool(block.keys) or section.station == "drill")
    longest = [max(map(len, column)) for column in zip(header, *rows, strict=True)]
    need = _TICK_PT * tick + sum(_LEAST_PT if n > _SHORT_CELL else _LETTER_PT * n + _AIR_PT for n in longest)
    loose = (
        block.terse or sum(n > _SHORT_CELL for n in longest) > 1 or (len(rows) <= _FEW and not tick)
    )  # reads as well as text
    return {
        "title": block.title,
        "header": header,
        "rows": [[_parts(text) if leans else text for text, leans in zip(row, right, strict=True)] for row in rows],
        "right": right,
        "widths": [
            _share(column) if n > _SHORT_CELL else 0.0
            for n, column in zip(longest, zip(*rows, strict=True), strict=True)
        ],
        "tick": tick,
        "lines": need > _COLUMN_PT and loose,
        "wide": need > _COLUMN_PT and not loose,
        "note": cited.within(block.note.removesuffix(".")) + "." if block.note else "",
    }


def _form(block: Form) -> dict[str, Any]:
    """A form, cell by cell: its text, and whether it is a box."""
    rows = [
        [{"text": quoted(text or ""), "box": k in block.boxes and text != ""} for k, text in enumerate(row)]
        for row in block.rows
    ]
    return {"title": block.title, "header": list(block.header), "rows": rows, "note": block.note}


def _share(column: Sequence[str]) -> float:
    """The share of the width of a column of long texts: as they are long on average."""
    return math.sqrt(max(_SHORT_CELL, sum(map(len, column)) / len(column)))


def _parts(text: str) -> str | list[str]:
    """A short length with what it is off by, in two parts that stay whole where a column is narrow."""
    parts = re.split(r" (?=[+-]\d)", text)
    return parts if len(parts) == 2 and len(text) <= _SHORT_CELL else text


def _step(number: int, step: Step, cited: Cited) -> dict[str, Any]:
    text = re.sub(rf"^{number}\. ", "", step.text)  # the number stands beside the box
    return {
        "number": step.number or str(number),
        "text": quoted(text),
        "cautions": [cited.caution(quoted(c)) for c in step.cautions],
        "source": cited.mark(step.source),
        "sign": step.sign,
    }


def _remark(item: Remark, cited: Cited) -> dict[str, Any]:
    """A remark whose sentences end."""
    said = {"text": quoted(_ended(item.text)), "do": quoted(_ended(item.do)), "source": cited.mark(item.source)}
    return {**asdict(item), **said}


def _ended(text: str) -> str:
    return text if not text or text[-1] in ".!?" else f"{text}."


def _bars(block: Bars, section: Section, cited: Cited) -> dict[str, Any]:
    """The bars with their length, what is little used in one line; under the last each reason of the section once, lettered."""
    every = [b for b in section.blocks if isinstance(b, Bars)]
    whys = list(dict.fromkeys(item.why for b in every for item in (*b.items, *b.rest) if item.why))
    marks = {why: _letter(k) if len(whys) > 1 else "" for k, why in enumerate(whys)}
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
    last = block is every[-1]
    notes = [{"mark": mark, "text": cited.within(why)} for why, mark in marks.items()] if last else []
    return {"title": block.title, "items": items, "low": _low(block.rest, marks), "notes": notes}


def _letter(k: int) -> str:
    """a to z, then aa, ab ..."""
    return (chr(ord("a") + k // 26 - 1) if k >= 26 else "") + chr(ord("a") + k % 26)


def _low(bars: Sequence[Bar], marks: Mapping[str, str]) -> list[dict[str, str]]:
    """What is little used: those with the same figures are named together."""
    return [
        {"labels": names, "percent": percent(bar.use), "text": bar.text, "mark": marks.get(bar.why, "")}
        for names, bar in alike(bars)
    ]


def _card(section: Section, cited: Cited) -> dict[str, Any]:
    """What goes on the card; a table of one column is the label. Cautions and the reasons of its figures stand outside."""
    parts: list[dict[str, Any]] = []
    label: list[str] = []
    whys: list[dict[str, str]] = []
    cautions: list[dict[str, Any]] = []
    for block in section.blocks:
        if isinstance(block, Cautions):
            cautions += [_remark(item, cited) for item in block.items]
        elif isinstance(block, Rows) and len(block.header) == 1:
            label += [row[0] for row in block.rows]
        elif isinstance(block, Rows):
            cites = [name == "source" for name in block.header]
            rows = [[cited.mark(text) if c else text for c, text in zip(cites, row, strict=True)] for row in block.rows]
            parts.append({"kind": "Rows", "title": block.title, "rows": rows})
        elif isinstance(block, Figures):
            parts.append({"kind": "Figures", "items": [{"label": i.label, "value": i.value} for i in block.items]})
            whys += _figures(block.items, cited)
        elif isinstance(block, Para):
            parts.append({"kind": "Para", "text": block.text})
    return {
        "title": "",
        "wide": True,
        "block": {"kind": "Card", "parts": parts, "label": label, "whys": whys, "cautions": cautions},
    }
