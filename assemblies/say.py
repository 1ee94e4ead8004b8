"""The report in words, for a terminal of 80 columns. Reads the report only."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Any

from parts.lengths import write_length

__all__ = ["fit_text", "summary", "table"]

_VERDICT = {
    "go": "GO: every check that this kind needs has passed.",
    "stop": "STOP: do not build it so.",
    "not-proven": "NOT PROVEN: no check says stop, but not every check has been made.",
}
_LEVEL = {"stop": "STOP", "care": "CARE", "note": "note"}


def table(header: Sequence[str], rows: Sequence[Sequence[str]], right: str = "") -> str:
    """Aligned columns; those whose letter in `right` is `r` lean right."""
    lines = [header, *rows]
    wide = [max(len(line[i]) for line in lines) for i in range(len(header))]
    lean = right.ljust(len(header), "l")
    out = []
    for line in lines:
        cells = [c.rjust(w) if s == "r" else c.ljust(w) for c, w, s in zip(line, wide, lean, strict=True)]
        out.append("  ".join(cells).rstrip())
    return "\n".join(out)


def verdict_text(report: dict[str, Any]) -> str:
    """The verdict with the state of each check."""
    checks = ", ".join(f"{name} {state}" for name, state in report["checks"].items())
    return f"{report['title']} (revision {report['revision']})\n{_VERDICT[report['verdict']]}\nChecks: {checks}."


def pieces_text(report: dict[str, Any], unit: Any) -> str:
    """The pieces to cut."""
    rows = []
    for part in report["parts"]:
        sizes = [write_length(value, unit) for value in part["size"]]
        rows.append([str(part["count"]), part["part"], *sizes, f"{part['mass']:.3f}"])
    return table(["", "part", "width", "height", "thick", "kg each"], rows, "rlrrrr")


def seams_text(report: dict[str, Any]) -> str:
    """The seams, with the gap each may have."""
    rows = []
    for s in report["fit"]["seams"]:
        gap = s["gap"]
        rows.append(
            [
                s["id"], f"{s['a']} - {s['b']}", f"{s['length']:.1f}", f"{s['width']:.1f}",
                f"{gap['min']:.2f}..{gap['max']:.2f}", "captive" if s["captive"] else "taped",
                "yes" if s["goes_in"] else "NO", s["seals"],
            ]
        )  # fmt: skip
    return table(["seam", "between", "mm", "wide", "gap mm", "", "goes in", "seals"], rows, "llrrrlll")


def findings_text(report: dict[str, Any]) -> str:
    """Every finding: what, why, what to do, by whose rule."""
    out = []
    for f in report["findings"]:
        text = f"{_LEVEL[f['level']]} {f['check']}, {f['where']}: {f['why']}."
        if f["do"]:
            text += f" Do: {f['do']}."
        if f["source"]:
            text += f" [{f['source']}]"
        out.append(textwrap.fill(text, 80, subsequent_indent="     "))
    return "\n".join(out)


def fit_text(report: dict[str, Any], unit: Any) -> str:
    """What `fit` prints."""
    blocks = [verdict_text(report), pieces_text(report, unit), seams_text(report), findings_text(report)]
    hits = report["fit"].get("interferences")
    if hits is None:
        blocks.insert(3, "The solids were not compared.")
    return "\n\n".join(block for block in blocks if block)


def summary(report: dict[str, Any], unit: Any) -> str:
    """What `make` prints."""
    return "\n\n".join(
        block for block in (verdict_text(report), pieces_text(report, unit), findings_text(report)) if block
    )
