"""The report: plain data, built once from what the checks returned; every file of the packet is made from it.

Lengths are in mm, areas in mm2, volumes of liquid in L, mass in kg, stress in MPa, force in N, angles in degrees.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from assemblies.design.model import Design, Placed
from assemblies.design.shown import as_shown
from assemblies.report.plain import plain
from parts.findings import Finding, worst
from parts.shape.piece import Hole, Piece

__all__ = ["VERSION", "Report", "asked_and_passed", "base_report", "close_report", "titled"]

VERSION = 1
Report = dict[str, Any]


def base_report(design: Design) -> Report:
    """What every report holds: name, parts, places. Checks add their sections; `close_report` gives the verdict."""
    return {
        "version": VERSION,
        "name": design.name,
        "title": design.title,
        "kind": design.kind,
        "revision": design.revision,
        "quantity": design.quantity,
        "verdict": "not-proven",
        "checks": {},
        "parts": [_part(piece, design.placed) for piece in design.pieces],
        "placed": [_placed(placed) for placed in design.placed],
        **({"shown": list(shown)} if (shown := _shown(design)) else {}),
        "fasteners": design.fasteners,
        "findings": [],
    }


def _shown(design: Design) -> tuple[str, ...]:
    """The parts that the exploded view has besides the pieces, in the order of its items."""
    ours = {piece.name for piece in design.pieces}
    return tuple(dict.fromkeys(p.piece.name for p in as_shown(design).placed if p.piece.name not in ours))


def _part(piece: Piece, placed: Iterable[Placed]) -> Report:
    sheet = piece.sheet
    return {
        "part": piece.name,
        "kind": piece.kind,
        "size": list(piece.size_mm),
        "count": sum(p.piece == piece for p in placed),
        "sheet": {
            "material": sheet.material,
            "nominal": sheet.nominal_mm,
            "thickness": sheet.thickness_mm,
            "readings": list(sheet.readings_mm),
        },
        "mass": piece.mass_kg,
        "cut_group": piece.cut_group,
        "process": piece.process,
        "file": f"drawings/{piece.name}.pdf" if piece.is_tube else f"profiles/{piece.name}.dxf",
        "holes": [_hole(hole) for hole in piece.holes],
    }


def _hole(hole: Hole) -> Report:
    return {
        "at": [hole.x_mm, hole.y_mm],
        "kind": hole.kind,
        "diameter": hole.diameter_mm,
        "depth": hole.depth_mm,
        "thread": hole.thread,
        "drill": hole.bore_mm,
        "side": hole.side,
        "sink": hole.sink_mm,
    }


def _placed(placed: Placed) -> Report:
    return {
        "name": placed.name,
        "part": placed.piece.name,
        "origin": list(placed.origin),
        "x": list(placed.x),
        "z": list(placed.z),
    }


def close_report(
    report: Report,
    checks: Mapping[str, str],
    required: Iterable[str],
    findings: Iterable[Finding],
    until: Iterable[str] = (),
) -> Report:
    """The finished report: checks, findings (gravest first, each once) and the verdict, all numbers rounded.

    The verdict is `stop` when a check failed or a finding says stop, `go` only when every required check has passed, else
    `not-proven`; then `until` has what would prove it, where a check says so.
    """
    said = sorted(dict.fromkeys(findings), key=lambda f: ("stop", "care", "note").index(f.level))
    if worst(said) == "stop" or "failed" in checks.values():
        verdict = "stop"
    else:
        verdict = "go" if all(checks.get(name) == "passed" for name in required) else "not-proven"
    known = [text for text in until if text] if verdict == "not-proven" else []
    verdicts = {"verdict": verdict, **({"until": known} if known else {})}
    closed: Report = plain({**report, **verdicts, "checks": dict(checks), "findings": said})
    return closed


def asked_and_passed(report: Mapping[str, Any]) -> tuple[list[str], list[str]]:
    """What was asked, if all of it has passed and nothing says stop, and what was not checked; else nothing was passed.

    >>> asked_and_passed({"verdict": "not-proven", "checks": {"fit": "passed", "strength": "not-run"}})
    (['fit'], ['strength'])
    """
    states = report["checks"]
    asked = [name for name, state in states.items() if state != "not-run"]
    passed = report["verdict"] != "stop" and all(states[name] == "passed" for name in asked)
    return (asked if passed else []), [name for name in states if name not in asked]


def titled(report: Mapping[str, Any], title: str) -> str:
    """A title as it stands on what is worked from: where anything says stop, that stands first.

    >>> titled({"verdict": "stop", "findings": []}, "ripple-trough rev A"), titled({"findings": []}, "x")
    ('STOP, do not make: ripple-trough rev A', 'x')
    """
    stop = report.get("verdict") == "stop" or any(f["level"] == "stop" for f in report["findings"])
    return f"STOP, do not make: {title}" if stop else title
