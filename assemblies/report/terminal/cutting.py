"""The cutting plan in words, for a terminal of 80 columns. Reads the report only."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from typing import Any

from assemblies.report.figures import drawn_sheets
from assemblies.report.terminal.answers import findings_text
from assemblies.report.terminal.console import WIDE, table
from parts.in_unit import said_in
from parts.lengths import LengthUnit, write_length

__all__ = ["cut_text", "rack_text", "steps_text"]


def cut_text(report: dict[str, Any]) -> str:
    """What `cut` prints."""
    cutting, nesting = report.get("cutting"), report.get("nesting")
    unit: LengthUnit = (cutting or nesting or {"units": "mm"})["units"]
    blocks = [_head(report), _not_whole(report)]
    if cutting:
        blocks += [sheets_text(cutting), _tools(cutting, unit), steps_text(cutting), _edges(cutting)]
    if nesting:
        blocks += [_nests(nesting, unit), _tools(nesting, unit)]
    blocks.append(_rests([sheet for section in (cutting, nesting) if section for sheet in section["sheets"]], unit))
    if "cost" in report:
        blocks.append(_cost(report["cost"]))
    blocks.append(findings_text(report, unit, "cut"))
    return "\n\n".join(block for block in blocks if block)


def _head(report: dict[str, Any]) -> str:
    if "orders" in report:
        rows = [f"{o['quantity']} x {o['title']} (revision {o['revision']})" for o in report["orders"]]
        return "One cutting plan for:\n" + "\n".join(f"  {row}" for row in rows)
    many = f", {report['quantity']} of it" if report["quantity"] > 1 else ""
    return f"{report['title']} (revision {report['revision']}{many})"


def _not_whole(report: dict[str, Any]) -> str:
    """A warning above a plan in which some pieces have no place; empty where all have."""
    planned = [section for name in ("cutting", "nesting") if (section := report.get(name))]
    if planned and all(section["complete"] for section in planned):
        return ""
    more = " What follows is only part of the plan: do not start cutting." if planned else ""
    return textwrap.fill(f"STOP: not every piece can be cut from these sheets.{more}", WIDE)


def sheets_text(cutting: dict[str, Any]) -> str:
    """The sheets to fetch and what comes out of each."""
    unit: LengthUnit = cutting["units"]
    rows = []
    for sheet in drawn_sheets(cutting):
        names = ", ".join(placed["name"] for placed in sheet["placed"])
        size = " x ".join(write_length(v, unit) for v in sheet["size"])
        which = sheet["said"].split(" ", 1)[1]
        rows.append([which, sheet["stock"], size, f"{sheet['mass']:.1f}", _short(names, 34)])
    lines = [table(["sheet", "stock", "size", "kg", "pieces"], rows, "rllrl")]
    balance = cutting["balance"]
    share = {k: 100.0 * balance[k] / balance["stock"] for k in ("pieces", "offcuts", "kerf", "waste")}
    lines.append(
        f"Of the sheet {share['pieces']:.1f} % parts, {share['offcuts']:.1f} % offcuts, {share['kerf']:.1f} % chips, "
        f"{share['waste']:.1f} % waste. {cutting['mass']:.1f} kg to fetch."
    )
    lines += _proven(cutting)
    if cutting["price"] is not None:
        lines.append(f"Price of the sheets: {cutting['price']:.2f}.")
    if any("." in placed["name"] for sheet in cutting["sheets"] for placed in sheet["placed"]):
        lines.append("The number (or spare) after the dot is the rig's; before it, with several orders, the order's.")
    return "\n".join([lines[0], *(textwrap.fill(line, WIDE) for line in lines[1:])])


def _tools(section: dict[str, Any], unit: LengthUnit) -> str:
    out = []
    for row in section["processes"]:
        text = f"By {row['process']}: {', '.join(row['parts'])}. {row['tool']}. {row['caution']}. [{row['source']}]"
        out.append(textwrap.fill(said_in(text, unit), WIDE, subsequent_indent="   "))
    return "\n".join(out)


def steps_text(cutting: dict[str, Any]) -> str:
    """The numbered steps; "20 to 22" are three cuts at one setting."""
    head = f"Cuts ({len(cutting['steps'])} at {cutting['settings']} settings; the side named first goes against the fence):"
    return "\n".join([textwrap.fill(head, WIDE), *(_hung(line) for line in cutting["words"])])


def _edges(cutting: dict[str, Any]) -> str:
    """What is done to the edges once they are sawn, a line for each sort of work."""
    unit: LengthUnit = cutting["units"]
    does: dict[tuple[str, str, float], dict[str, list[str]]] = {}
    for edge in cutting["edges"]:
        its = does.setdefault((edge["work"], edge["use"], edge["takes_mm"]), {})
        its.setdefault(edge["part"], []).append(edge["side"])
    out = []
    for (work, use, takes), parts in does.items():
        off = f", {write_length(takes, unit)} off each" if takes else ""
        out.append(_hung(f"{work} ({use}{off}): " + "; ".join(f"{p} {', '.join(s)}" for p, s in parts.items())))
    return "\n".join(["Edges, once sawn:", *out]) if out else ""


def _hung(line: str) -> str:
    return textwrap.fill(line, WIDE, subsequent_indent="    ", break_on_hyphens=False)


def _rests(sheets: Sequence[dict[str, Any]], unit: LengthUnit) -> str:
    rows = [
        f'  {rest["name"]}: {" x ".join(write_length(v, unit) for v in rest["size"])}, label it "{rest["label"]}"'
        for sheet in sheets
        for rest in sheet["offcuts"]
    ]
    return "\n".join(["Offcuts, back on the rack:", *rows]) if rows else ""


def _nests(nesting: dict[str, Any], unit: LengthUnit) -> str:
    lines = []
    for number, sheet in enumerate(nesting["sheets"], 1):
        names = ", ".join(placed["name"] for placed in sheet["placed"])
        size = " x ".join(write_length(v, unit) for v in sheet["size"])
        time = "time not known" if sheet["minutes"] is None else f"about {sheet['minutes']:.0f} min"
        text = f"  {number}. {sheet['process']}, {sheet['stock']} ({size}): {names}; {sheet['cut_length'] / 1e3:.1f} m, {time}"
        if sheet["offcuts"]:
            count = len(sheet["offcuts"])
            text += f"; once the parts are out, saw {count} offcut{'s' if count > 1 else ''} square"
        lines.append(textwrap.fill(text, WIDE, subsequent_indent="     "))
    lines += [textwrap.fill(line, WIDE) for line in _proven(nesting)]
    return "\n".join(["Nested for router or laser (paths: `seamwright make`):", *lines])


def _proven(section: dict[str, Any]) -> list[str]:
    """Of each sort of sheet whether fewer or cheaper ones would do."""
    return [
        f"{row['sheet']}, {'proven best' if row['best'] else 'not proven best'}: {row['text']}."
        for row in section["proven"]
    ]


def _cost(cost: dict[str, Any]) -> str:
    each = f", {cost['each']:.2f} each" if cost["quantity"] > 1 else ""
    bonded = any(line["what"] == "tape and bond" for line in cost["lines"])  # seams are known once the fit is checked
    head = "Quote" if bonded else "Quote without taping and bonding, which `seamwright make` includes"
    text = f"{head}: {cost['total']:.2f} {cost['currency']}{each}, {cost['hours']:.1f} h of work ({cost['rates']})."
    return textwrap.fill(text, WIDE)


def rack_text(report: dict[str, Any], booked: str | None) -> str:
    """What changes on the rack; `booked` is what was written where, None when nothing was."""
    used: dict[str, int] = {}
    cutting, nesting = report.get("cutting") or {}, report.get("nesting") or {}
    for sheet in [*cutting.get("sheets", []), *nesting.get("sheets", [])]:
        used[sheet["stock"]] = used.get(sheet["stock"], 0) + 1
    lines = [*_changes(used, [*cutting.get("sheets", []), *nesting.get("sheets", [])])]
    lines.append(booked or "Nothing was changed; --book writes this rack and keeps the old file.")
    return "\n".join(["The rack afterwards:", *lines])


def _changes(used: dict[str, int], sheets: Sequence[dict[str, Any]]) -> Iterator[str]:
    yield from (f"  - {count} x {label}" for label, count in used.items())
    for sheet in sheets:
        yield from (f"  + {rest['label']}" for rest in sheet["offcuts"])


def _short(text: str, most: int) -> str:
    return text if len(text) <= most else text[: most - 1] + "~"
