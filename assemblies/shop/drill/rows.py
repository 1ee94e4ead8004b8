"""The drill sheet as plain rows of the report, as `drill.csv`, and what must be said about it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from assemblies.report.check import Rows
from assemblies.shop.drill.cross_slide import HandleReading
from assemblies.shop.drill.sheet import DrillRow, DrillSheet, real_bore_mm
from assemblies.shop.drill.speed import drilling_rule, drilling_source, point_height_mm
from parts.findings import Finding
from parts.shape.spots import spots_of
from parts.stock.rules import rule, rule_source
from parts.stock.thread import LEAST_PERCENT, MOST_PERCENT
from parts.tables import cite, load

__all__ = ["drill_csv_rows", "drill_findings", "drill_header", "drill_section"]

_FACE = {"far": "far face up", "near": "near face up (piece turned over)"}


def drill_section(sheets: Iterable[DrillSheet]) -> list[Rows]:
    """The report's `drill`: one entry for each drilled part."""
    return [_entry(sheet) for sheet in sheets]


def _entry(sheet: DrillSheet) -> Rows:
    return {
        "part": sheet.piece.name,
        "count": sheet.count,
        "size": sheet.piece.size_mm,
        "datum": datum_words(sheet),
        "stack": sheet.stack,
        "loads": sheet.loads,
        "machined": sheet.machined,
        "backing": "flat scrap board, tight under the sheet",
        "zero": _zero_words(sheet),
        "holes": [_hole(row, sheet) for row in sheet.rows],
        "cautions": [{"text": c["text"], "source": _caution_source(c)} for c in _cautions(sheet)],
    }


def datum_words(sheet: DrillSheet) -> str:
    """Which corner everything is measured from."""
    where = (
        "lower left corner of the far face"
        if sheet.corner
        else "two stops touching the left and the lower edge, far face up"
    )
    turned = "; near face up it is the lower right one, and x counts to the left" if "near" in sheet.sides else ""
    return where + turned


def _zero_words(sheet: DrillSheet) -> str | None:
    if sheet.rows[0].x_turns is None:
        return None
    return (
        "touch each datum edge with a round pin in the chuck, move in by half its diameter and set the dial to 0; "
        f"always approach from the same side to take up backlash; if you overshoot, back off {sheet.backlash_turns:g} "
        f"turn and come in again"
    )


def _hole(row: DrillRow, sheet: DrillSheet) -> Rows:
    tap = row.tap
    return {
        "number": row.number,
        "at": (row.x_mm, row.y_mm),
        "face": _FACE[row.side],
        "kind": row.kind,
        "drill": _drill(row),
        "drill_mm": real_bore_mm(row),
        "drill_error": row.drill_error_mm,
        "bit": row.bit,
        "point": row.point_deg,
        "rpm": row.rpm,
        "feed": row.feed_mm_rev,
        "depth": row.depth_mm,
        "pecks": row.pecks.number,
        "peck_depth": row.pecks.depth_mm,
        "coolant": row.coolant,
        "countersink": row.hole.sink_mm,
        "chamfer": row.edge_mm,
        "chamfer_other_face": row.edge_far_mm,
        "thread": tap.thread if tap else None,
        "percent": tap.percent if tap else None,
        "tap": tap.kind if tap else None,
        "tap_turns": tap.turns if tap else None,
        "tap_chips": "back half a turn after each turn" if tap else None,
        "full_thread": tap.full_thread_mm if tap else None,
        "x_handle": _handle(row.x_turns, row.x_back),
        "y_handle": _handle(row.y_turns, row.y_back),
    }


def _drill(row: DrillRow) -> str:
    """What it is drilled with, as it is asked for."""
    return row.drill.label if row.drill else f"{row.hole.bore_mm:g} mm, circle cutter or router"


@dataclass(frozen=True, kw_only=True)
class Handle:
    """A setting of the vise's handle: whole turns and divisions, how far that is off (mm), run past and back or not."""

    turns: int
    divisions: int
    error: float
    run_past: bool


def _handle(reading: HandleReading | None, back: bool) -> Handle | None:
    if reading is None:
        return None
    return Handle(turns=reading.turns, divisions=reading.divisions, error=reading.error_mm, run_past=back)


def _cautions(sheet: DrillSheet) -> Iterator[Mapping[str, str]]:
    through = any(row.depth_mm is None for row in sheet.rows)
    wet = any(row.coolant.startswith("water") for row in sheet.rows)
    tapped = any(row.tap for row in sheet.rows)
    holds = {
        "always": True,
        "through": through,
        "wet": wet,
        "tapped": tapped,
        "stack": sheet.stack > 1,
        "hand": sheet.held == "hand",
    }
    for caution in load("drilling_cautions"):
        if holds[caution["when"]]:
            yield caution


def _caution_source(caution: Mapping[str, str]) -> str:
    return cite(caution["source"], caution["clause"], caution["how_known"])


def drill_header() -> tuple[str, ...]:
    """The columns of `drill.csv`."""
    return (
        "part",
        "count",
        "stack",
        "hole",
        "x_mm",
        "y_mm",
        "face",
        "kind",
        "drill",
        "drill_mm",
        "bit",
        "point_min_deg",
        "point_max_deg",
        "rpm_min",
        "rpm_max",
        "depth_mm",
        "pecks",
        "peck_depth_mm",
        "coolant",
        "countersink_mm",
        "chamfer_mm",
        "chamfer_other_face_mm",
        "thread",
        "percent_of_thread",
        "tap",
        "tap_turns",
        "x_turns",
        "x_divisions",
        "x_run_past",
        "y_turns",
        "y_divisions",
        "y_run_past",
    )


def drill_csv_rows(sheets: Iterable[DrillSheet]) -> Iterator[Sequence[object]]:
    """The rows of `drill.csv`: one a hole."""
    for sheet in sheets:
        for row in sheet.rows:
            tap = row.tap
            yield (
                sheet.piece.name,
                sheet.count,
                sheet.stack,
                row.number,
                row.x_mm,
                row.y_mm,
                _FACE[row.side],
                row.kind,
                _drill(row),
                real_bore_mm(row),
                row.bit,
                *row.point_deg,
                *row.rpm,
                row.depth_mm,
                row.pecks.number,
                row.pecks.depth_mm,
                row.coolant,
                row.hole.sink_mm,
                row.edge_mm,
                row.edge_far_mm,
                *((tap.thread, tap.percent, tap.kind, tap.turns) if tap else (None,) * 4),
                *_turned(row.x_turns, row.x_back),
                *_turned(row.y_turns, row.y_back),
            )


def _turned(reading: HandleReading | None, back: bool) -> tuple[object, ...]:
    return (None,) * 3 if reading is None else (reading.turns, reading.divisions, back)


def drill_findings(sheets: Iterable[DrillSheet]) -> list[Finding]:
    """What the drill press cannot do as the design asks."""
    found: list[Finding] = []
    for sheet in sheets:
        for row in sheet.rows:
            found += [*_floor(sheet, row), *_size(sheet, row), *_thread(sheet, row)]
    return list(dict.fromkeys(found))


def _where(row: DrillRow) -> str:
    return f"hole {row.number} of {row.hole.bore_mm:.4g} mm at ({row.x_mm:g}, {row.y_mm:g})"


def _floor(sheet: DrillSheet, row: DrillRow) -> Iterator[Finding]:
    if row.depth_mm is None or _into_pocket(sheet, row):
        return
    tip = point_height_mm(real_bore_mm(row), row.point_deg[0])
    left, want = sheet.piece.thickness_mm - row.depth_mm - tip, drilling_rule("blind_floor")
    if left >= want - 1e-6:
        return
    through = left <= 0.0
    yield Finding(
        level="stop" if through else "care",
        check="drill",
        where=sheet.piece.name,
        why=f"{_where(row)}: {row.depth_mm:g} mm deep in {sheet.piece.thickness_mm:g} mm, "
        f"the {row.point_deg[0]:g} degree point "
        + ("comes out of the other face" if through else f"leaves {left:.2f} mm of floor, under {want:g} mm"),
        do=f"drill at most {sheet.piece.thickness_mm - tip - want:.2f} mm deep, or finish with a flat-ended cutter",
        source=drilling_source("blind_floor"),
    )


def _into_pocket(sheet: DrillSheet, row: DrillRow) -> bool:
    """Whether a hole ends in a pocket of the other face, where there is no floor to leave."""
    at = row.hole.x_mm, row.hole.y_mm
    return any(spot.pocket is not None and at == (spot.x_mm, spot.y_mm) for spot in spots_of(sheet.piece))


def _size(sheet: DrillSheet, row: DrillRow) -> Iterator[Finding]:
    if row.drill is None:
        yield Finding(
            level="note",
            check="drill",
            where=sheet.piece.name,
            why=f"{_where(row)} is over the largest twist drill",
            do="use a circle cutter at its slowest speed with the sheet clamped on its backing, or the router",
            source="judgement",
        )
    elif abs(row.drill_error_mm) > drilling_rule("same_drill"):
        yield Finding(
            level="care",
            check="drill",
            where=sheet.piece.name,
            why=f"{_where(row)}: the nearest, the {row.drill.label} drill, is {row.drill_error_mm:+.2f} mm off",
            do="ask for the size of a real drill (seamwright show drills)",
            source=drilling_source("same_drill"),
        )


def _thread(sheet: DrillSheet, row: DrillRow) -> Iterator[Finding]:
    if row.tap is None:
        return
    tap = row.tap
    if not LEAST_PERCENT - 1e-6 <= tap.percent <= MOST_PERCENT + 1e-6 and not tap.thread.startswith("G "):
        yield Finding(
            level="care",
            check="drill",
            where=sheet.piece.name,
            why=f"{_where(row)}: drill {row.drill.label if row.drill else '-'} leaves {tap.percent:.0f} % "
            f"of the thread {tap.thread}; "
            f"{LEAST_PERCENT:g} to {MOST_PERCENT:g} % are wanted",
            do="ask for another percent or drill",
            source="judgement",
        )
    need = rule("engagement_min") * row.hole.diameter_mm
    if row.depth_mm is not None and tap.full_thread_mm < need - 1e-6:
        yield Finding(
            level="care",
            check="drill",
            where=sheet.piece.name,
            why=f"{tap.thread}, {row.depth_mm:g} mm deep: a bottoming tap leaves {tap.full_thread_mm:.1f} mm of full thread, "
            f"under one diameter ({need:.1f} mm)",
            do="drill deeper, use a thicker plate, or let the hole go through",
            source=rule_source("engagement_min"),
        )
