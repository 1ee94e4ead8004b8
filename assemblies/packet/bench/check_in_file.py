"""`check-in.toml`: the check-in page as lines of an order file, to be filled in and copied into the order.

Every line is a comment until it is filled in: what was not read has no value, and a line that is left half filled in is
refused. What the order has already stands without its `#`, so that the file can take the place of the order's own tables.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, Final, get_args

from assemblies.order.specs import Wall
from assemblies.packet.ink.readback import expect, write_checked
from assemblies.report.figures import between
from parts.lengths import MM_PER_INCH, LengthUnit, dial_length, gauge_length, write_named

__all__ = ["check_in_text", "write_check_in"]

Report = Mapping[str, Any]
_BARE: Final = re.compile(r"[A-Za-z0-9_-]+")
_HEAD: Final = """\
# {name}, revision {revision}: what was read at the bench, one rig
#
# Fill in a figure, take the "# " off the front of its line and of the [table] above it. Leave the rest as it is: a line
# with "#" in front says nothing. Then copy it all to the end of the order file, in place of tables of the same name that
# it has, and make the packet again. Figures are in {unit} unless they say otherwise: "5.82 mm" or "0.229 in", in quotes.
"""


def check_in_text(report: Report, unit: LengthUnit, *, as_cut: bool) -> str:
    """The file as text.

    Args:
        report: as in report.json, with its `check_in`.
        unit: of the order.
        as_cut: whether orders of its kind take [as-cut].
    """
    found = report["check_in"]
    head = _HEAD.format(name=report["name"], revision=report["revision"], unit=unit)
    walls = get_args(Wall) if as_cut else ()
    parts = (_sheets(found, unit), _as_cut(found, walls, unit), _record(report, walls, unit))
    return "\n".join([head, *("\n".join(lines) + "\n" for lines in map(list, parts) if lines)])


def _sheets(found: Report, unit: LengthUnit) -> Iterator[str]:
    """Readings stand where the order gives that sheet its thickness, so these lines cannot be copied as they are."""
    yield "# Sheets, film off: copy each of these lines to where the order says how thick that sheet is, under that line"
    for sheet in found["sheets"]:
        named = f"{sheet['material']} {write_named(sheet['nominal'], unit)}, for {', '.join(sheet['parts'])}"
        yield f"# measured = [{_figures(sheet['readings'], unit) or ' , , '}]  # {named}"


def _as_cut(found: Report, walls: tuple[str, ...], unit: LengthUnit) -> Iterator[str]:
    rows = [size for size in found["sizes"] if size["name"] in walls]
    if rows:
        yield from _table("[as-cut]  # width, height, edges worked", [_size(size, unit) for size in rows])


def _record(report: Report, walls: tuple[str, ...], unit: LengthUnit) -> Iterator[str]:
    found = report["check_in"]
    sizes = [_size(size, unit) for size in found["sizes"] if size["name"] not in walls]
    gaps = [_gap(gap, unit) for gap in found["gaps"]]
    proof = [list(_step(step)) for step in found["proof"]]
    lines = [
        f'revision = "{found["of_revision"]}"',
        _text("by", found["by"], "who read it"),
        _text("date", found["date"], "such as 2026-11-30"),
    ]
    said = any(not line.startswith("#") for line in (*sizes, *gaps, *lines[1:], *(step[0] for step in proof)))
    yield from (_off("[record]", said), _off(lines[0], said), *lines[1:])
    if sizes:
        yield ""
        yield from _table("[record.sizes]  # other cut pieces: width, height, edges worked", sizes)
    if gaps:
        yield ""
        yield from _table(
            "[record.gaps]  # by feeler, taped up: the largest gap of each seam, 0 where no leaf goes in", gaps
        )
    for step in proof:
        yield ""
        yield from step


def _table(head: str, lines: list[str]) -> Iterator[str]:
    """The lines under their head, which is a comment as long as they all are."""
    yield _off(head, any(not line.startswith("#") for line in lines))
    yield from lines


def _off(line: str, said: bool) -> str:
    return line if said else f"# {line}"


def _size(size: Report, unit: LengthUnit) -> str:
    width, height = (dial_length(mm, unit) for mm in size["asked"])
    asked = f"asked {width.removesuffix(f' {unit}')} x {height}, ± {gauge_length(size['plus_minus'], unit)}"
    name = size["name"] if _BARE.fullmatch(size["name"]) else json.dumps(size["name"])
    return _off(f"{name} = [{_figures(size['read'] or (), unit) or ' , '}]  # {asked}", size["read"] is not None)


def _gap(gap: Report, unit: LengthUnit) -> str:
    asked = f"{between(gap)}: up to {gauge_length(gap['ok'], unit)}; over {gauge_length(gap['stop'], unit)} stop"
    read = "" if gap["read"] is None else f" {_figures([gap['read']], unit)}"
    return _off(f"{gap['seam']} ={read}  # {asked}", gap["read"] is not None)


def _step(step: Report) -> Iterator[str]:
    at = "" if step["speed_percent"] is None else f" at {step['speed_percent']:g} % of the speed"
    done = step["result"] is not None
    yield _off(f"[[record.proof]]  # {step['case']}{at}", done)
    yield _off(f"step = {step['step']}", done)
    yield _text("result", step["result"], '"passed" or "failed"')
    for key, why in (("by", "who saw it"), ("date", "such as 2026-11-30"), ("remarks", "what was seen")):
        yield _text(key, step[key], why)


def _text(key: str, value: str | None, why: str) -> str:
    """A text in quotes, which JSON writes as TOML reads it."""
    return f"# {key} =  # {why}" if value is None else f"{key} = {json.dumps(value, ensure_ascii=False)}"


def _figures(values: Any, unit: LengthUnit) -> str:
    """Lengths as bare numbers of the order's unit, exact enough to be read back the same."""
    per = float(MM_PER_INCH) if unit == "in" else 1.0
    return ", ".join(f"{mm / per:.9g}" for mm in values)


def write_check_in(report: Report, unit: LengthUnit, path: Path, *, as_cut: bool) -> None:
    """Write the file; it is read back as TOML, and has no value that was not read.

    Raises:
        WrongFile: it did not read back so.
    """
    found = report["check_in"]

    def check(written: Path) -> None:
        data = tomllib.loads(written.read_text(encoding="utf-8"))
        record = data.get("record", {})
        sizes = {**data.get("as-cut", {}), **record.get("sizes", {})}
        expect(
            written, set(sizes) == {s["name"] for s in found["sizes"] if s["read"] is not None}, "sizes are other ones"
        )
        gaps = {g["seam"] for g in found["gaps"] if g["read"] is not None}
        expect(written, set(record.get("gaps", {})) == gaps, "gaps are other ones")
        steps = [p["step"] for p in found["proof"] if p["result"]]
        expect(written, [p["step"] for p in record.get("proof", ())] == steps, "steps are other ones")

    write_checked(path, check_in_text(report, unit, as_cut=as_cut).encode("utf-8"), check)
