"""What is otherwise than in the packet that stood there before: verdict, pieces, sizes, holes. From the two reports alone."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

from assemblies.report.base import VERSION
from parts.lengths import LengthUnit, write_length

__all__ = ["changed_text", "changes"]

Report = Mapping[str, Any]


def changed_text(before: Report | None, now: Report, unit: LengthUnit) -> str:
    """What `make` says over an older packet, a line each; nothing where there was none, or nothing has changed."""
    lines = list(changes(before, now, unit)) if before is not None and before.get("version") == VERSION else []
    if not lines:
        return ""
    assert before is not None
    return "\n".join(
        ["", "", f"Changed since the packet of revision {before['revision']} that stood there:"]
        + [textwrap.fill(line, 80, initial_indent="  ", subsequent_indent="    ") for line in lines]
    )


def changes(before: Report, now: Report, unit: LengthUnit) -> Iterator[str]:
    """Each change in words: the verdict, how many are made, then part by part."""
    if before["verdict"] != now["verdict"]:
        yield f"verdict: {before['verdict']} before, {now['verdict']} now"
    if before["quantity"] != now["quantity"]:
        yield f"quantity: {before['quantity']} before, {now['quantity']} now"
    old, new = ({part["part"]: part for part in report["parts"]} for report in (before, now))
    for name in [*old, *(name for name in new if name not in old)]:
        if name not in new:
            yield f"{name}: no longer made"
        elif name not in old:
            yield f"{name}: new, {new[name]['count']} of {_size(new[name], unit)}"
        else:
            yield from _part(old[name], new[name], unit)


def _part(old: Report, new: Report, unit: LengthUnit) -> Iterator[str]:
    name = new["part"]
    if old["count"] != new["count"]:
        yield f"{name}: {old['count']} of it before, {new['count']} now"
    if _size(old, unit) != _size(new, unit):
        yield f"{name}: {_size(old, unit)} before, {_size(new, unit)} now"
    if old["sheet"]["material"] != new["sheet"]["material"]:
        yield f"{name}: of {old['sheet']['material']} before, {new['sheet']['material']} now"
    gone, come = (_holes(a, unit) - _holes(b, unit) for a, b in ((old, new), (new, old)))
    for words, count in gone.items():
        yield f"{name}: no longer {_times(count)}{words}"
    for words, count in come.items():
        yield f"{name}: new {_times(count)}{words}"


def _size(part: Report, unit: LengthUnit) -> str:
    return " x ".join(write_length(value, unit) for value in part["size"])


def _holes(part: Report, unit: LengthUnit) -> Counter[str]:
    return Counter(_hole(hole, unit) for hole in part["holes"])


def _hole(hole: Report, unit: LengthUnit) -> str:
    what = f"hole {hole['thread']}" if hole["thread"] else f"hole of {write_length(hole['diameter'], unit)}"
    sunk = f", countersunk to {write_length(hole['sink'], unit)}" if hole["sink"] else ""
    deep = "" if hole["depth"] is None else f", {write_length(hole['depth'], unit)} deep"
    return f"{what}{sunk}{deep} at {', '.join(write_length(value, unit) for value in hole['at'])}, {hole['side']} face"


def _times(count: int) -> str:
    return f"{count} x " if count > 1 else ""
