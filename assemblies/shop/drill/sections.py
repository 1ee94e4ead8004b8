"""What the packet says of drilling and tapping."""

from __future__ import annotations

from collections.abc import Iterator

from assemblies.report.blocks import Block, Para, Picture, Report, Rows
from assemblies.report.figures import amount
from parts.lengths import LengthUnit, dial_length, mark_length

__all__ = ["drill_blocks"]


def drill_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """For each drilled part its holes from the datum, and how each sort is drilled and tapped."""
    for part in report.get("drill") or ():
        names = " ".join(p["name"] for p in report["placed"] if p["part"] == part["part"])
        faces = list(dict.fromkeys(h["face"] for h in part["holes"]))
        stack = f"Drill {part['stack']} together." if part["stack"] > 1 else "Drill one at a time."
        cut = f" Not listed: {_holes_cut(part['machined'])} with the outline." if part["machined"] else ""
        yield Para(
            text=f"{part['part']}, {part['count']} off. Datum: {part['datum']}. {stack} Backing: {part['backing']}."
            + (f" Lay it {faces[0]}." if len(faces) == 1 else "")
            + cut
        )
        yield Picture(
            key=f"part-{part['part']}",
            about=names,
            at_work=True,
            alt=f"Drawing of {part['part']}; to lay on it, at true size: templates/{part['part']}.pdf",
        )
        yield _holes(part, names, unit, one_face=len(faces) == 1)
        yield _settings(part, unit)


def _holes_cut(count: int) -> str:
    return "1 hole that is cut" if count == 1 else f"{count} holes that are cut"


def _holes(part: Report, names: str, unit: LengthUnit, *, one_face: bool) -> Rows:
    vise = any(_handles(h) for h in part["holes"])
    header = ["hole", "x", "y", "drill", "depth", "thread"]
    rows = []
    for hole in part["holes"]:
        depth = "through" if hole["depth"] is None else mark_length(hole["depth"], unit)
        row = [
            str(hole["number"]),
            *(dial_length(v, unit) for v in hole["at"]),
            hole["drill"],
            depth,
            hole["thread"] or "",
        ]
        rows.append([*row, *([] if one_face else [hole["face"]]), *([_handles(hole)] if vise else [])])
    header += [] if one_face else ["face up"]
    header += ["vise handles"] if vise else []
    return Rows(
        title=f"Holes of {part['part']}",
        header=header,
        rows=rows,
        right="rrrlrl".ljust(len(header), "l"),
        keys=[names] * len(rows),
        note=f"Zero: {part['zero']}." if part["zero"] else "",
    )


def _settings(part: Report, unit: LengthUnit) -> Rows:
    """One row for each way of drilling; several holes share one."""
    rows: dict[tuple[str, ...], list[str]] = {}
    for h in part["holes"]:
        point = f"{h['point'][0]:g} to {h['point'][1]:g}°" if h["point"] else ""
        rpm = f"{h['rpm'][0]:.0f} to {h['rpm'][1]:.0f}" if h["rpm"] else ""
        pecks = f"{h['pecks']} of {mark_length(h['peck_depth'], unit)}" if h["pecks"] else ""
        tap = ""
        if h["thread"]:
            tap = (
                f"{h['tap']}, {h['tap_turns']:g} turns, {h['tap_chips']}; {amount(h['percent'], '%', 0)} of full thread"
            )
        rows.setdefault((h["drill"], h["bit"], point, rpm, pecks, h["coolant"] or "", tap), []).append(str(h["number"]))
    return Rows(
        title=f"How to drill {part['part']}",
        header=("holes", "drill", "bit", "point", "rpm", "pecks", "coolant", "tap"),
        rows=[(", ".join(numbers), *row) for row, numbers in rows.items()],
        right="lllrrrll",
    )


def _handles(hole: Report) -> str:
    said = []
    for axis in "xy":
        handle = hole[f"{axis}_handle"]
        if handle:
            past = ", overshoot and come back" if handle["run_past"] else ""
            said.append(f"{axis}: {handle['turns']} turns {handle['divisions']:g} divisions{past}")
    return ", ".join(said)
