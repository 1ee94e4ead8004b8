"""The check-in page: forms to fill in by hand; what was read already stands in its box, with what is out of tolerance said."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import zip_longest
from typing import Final

from assemblies.report.blocks import Block, Form, Para, Report
from parts.lengths import LengthUnit, dial_length, gauge_length, write_named

__all__ = ["check_in_blocks"]

_READINGS: Final = 3
_MANY: Final = 60  # pieces: of more, those not yet read stand in one row for all that are to be alike (judgement)


def check_in_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """One rig, from the readings of its sheets to the results of its proof test."""
    found = report.get("check_in")
    if not found:
        return
    yield Para(
        text="One copy for each rig. Fill it in as you go; then put the figures into `check-in.toml` and copy that into the "
        "order: the next packet shows them beside what was asked."
    )
    yield Form(
        title="",
        boxes=(1, 2),
        header=("rig", "read by", "date"),
        rows=[(f"{report['name']}, revision {found['of_revision']}", found["by"], found["date"])],
    )
    yield Form(
        title=f"Sheets, masking film off, {unit}",
        boxes=(2, 3, 4),
        header=("sheet", "allowed", *(str(k + 1) for k in range(_READINGS))),
        rows=[(_sheet_name(s, unit), _allowed(s, unit), *_readings(s, unit)) for s in found["sheets"]],
        note="At two corners and the middle.",
    )
    sizes = found["sizes"]
    if sizes:
        shown = sizes if len(sizes) <= _MANY else list(_some(sizes))
        yield Form(
            title=f"Cut sizes, edges worked, {unit}",
            boxes=(2, 3),
            header=("piece", "asked", "width", "height"),
            rows=[(s["name"], _asked(s, unit), *_size(s, unit)) for s in shown],
            note=f"Tolerance {' or '.join(dict.fromkeys('± ' + gauge_length(s['plus_minus'], unit) for s in sizes))}.",
        )
    gaps = found["gaps"]
    if gaps:
        ok, stop = (gauge_length(gaps[0][key], unit) for key in ("ok", "stop"))
        cells = [(g["seam"], _gap(g, unit)) for g in gaps]
        half = -(-len(cells) // 2)
        yield Form(
            title="Largest gap of each seam by feeler, taped up",
            boxes=(1, 3),
            header=("seam", "gap", "seam", "gap"),
            rows=[(*one, *other) for one, other in zip_longest(cells[:half], cells[half:], fillvalue=("", ""))],
            note=f"Seams as in the table of the dry fit. Up to {ok}: bond it. Over that: tape it tighter. Over {stop}: stop.",
        )
    if found["proof"]:
        yield Form(
            title="Proof test",
            boxes=(2, 3),
            header=("step", "what", "passed?", "date, by, remarks"),
            rows=[(str(p["step"]), _what(p), _result(p), _when(p)) for p in found["proof"]],
        )


def _sheet_name(sheet: Report, unit: LengthUnit) -> str:
    return f"{sheet['material']} {write_named(sheet['nominal'], unit)}"


def _bare(mm: float, unit: LengthUnit) -> str:
    """A length without its unit, which stands at the head."""
    return dial_length(mm, unit).removesuffix(f" {unit}")


def _allowed(sheet: Report, unit: LengthUnit) -> str:
    if sheet["least"] is None:
        return "not known"
    return f"{_bare(sheet['least'], unit)} to {_bare(sheet['greatest'], unit)}"


def _readings(sheet: Report, unit: LengthUnit) -> list[str | None]:
    """A box each; what is more than the boxes stands in the last."""
    read = [_bare(r, unit) for r in sheet["readings"]]
    boxes: list[str | None] = [*read[: _READINGS - 1], ", ".join(read[_READINGS - 1 :])]
    shown = [*boxes, *[None] * _READINGS][:_READINGS]
    if sheet["outside"]:
        shown[-1] = f"{shown[-1] or ''} OUT OF TOLERANCE".strip()
    return [text or None for text in shown]


def _some(sizes: Sequence[Report]) -> Iterator[Report]:
    """Pieces that were read, each; of the others one row for all of a size, under the first one's name."""
    alike: dict[tuple[float, ...], list[Report]] = {}
    for size in sizes:
        if size["read"] is None:
            alike.setdefault(tuple(size["asked"]), []).append(size)
        else:
            yield size
    for group in alike.values():
        more = f" and {len(group) - 1} alike" if len(group) > 1 else ""
        yield {**group[0], "name": f"{group[0]['name']}{more}"}


def _asked(size: Report, unit: LengthUnit) -> str:
    width, height = (_bare(mm, unit) for mm in size["asked"])
    return f"{width} x {height}"


def _size(size: Report, unit: LengthUnit) -> Iterator[str | None]:
    for k, over in enumerate(size["over"]):
        if size["read"] is None:
            yield None
        else:
            much = "too large" if over > 0.0 else "too small"
            yield _bare(size["read"][k], unit) + (f": {gauge_length(abs(over), unit)} {much}" if over else "")


def _gap(gap: Report, unit: LengthUnit) -> str | None:
    if gap["read"] is None:
        return None
    said = ": STOP" if gap["read"] > gap["stop"] else ": too wide" if gap["read"] > gap["ok"] else ""
    return f"{gauge_length(gap['read'], unit)}{said}"


def _what(proof: Report) -> str:
    at = "" if proof["speed_percent"] is None else f" at {proof['speed_percent']:g} % speed"
    return f"{proof['case']}{at}"


def _result(proof: Report) -> str | None:
    return {None: None, "passed": "yes", "failed": "NO: FAILED"}[proof["result"]]


def _when(proof: Report) -> str | None:
    return ", ".join(text for text in (proof["date"], proof["by"], proof["remarks"]) if text) or None
