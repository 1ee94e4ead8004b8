"""The report in words, for a terminal of 80 columns. Reads the report only."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Any

from parts.lengths import write_length

__all__ = ["fit_text", "hold_text", "summary", "table"]

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
                s["id"],
                f"{s['a']} - {s['b']}",
                f"{s['length']:.1f}",
                f"{s['width']:.1f}",
                f"{gap['min']:.2f}..{gap['max']:.2f}",
                "captive" if s["captive"] else "taped",
                "yes" if s["goes_in"] else "NO",
                s["seals"],
            ]
        )
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


def strength_text(report: dict[str, Any], *, every: bool = False) -> str:
    """Per case the panel, the seam and the plates used most; with `every` all that was looked at, sorted by case."""
    strength = report["strength"]
    kinds = [
        [(row, _part(row)) for row in strength["cases"]],
        [(row, row["seam"]) for row in strength["seams"]],
        [(row, row["plates"]) for row in strength["mounting"]],
        [(row, f"{row['plate']} {row['thread']}") for row in strength["threads"] if "case" in row],
    ]
    rows = []
    for case in dict.fromkeys(row["case"] for found in kinds for row, _ in found):
        for found in kinds:
            mine = sorted((pair for pair in found if pair[0]["case"] == case), key=lambda pair: -pair[0]["use"])
            rows += [_strength_row(row, part) for row, part in (mine if every else mine[:1])]
    header = ["case", "part", "stress", "allowed", "bow", "allowed", "use", ""]
    said = "Stress in MPa (threads: N), bow in mm." + ("" if every else " Most used of each case; --all prints all.")
    return table(header, rows, "llrrrrrl") + "\n" + said


def _part(row: dict[str, Any]) -> str:
    return str(row["piece"]) + (" (hole)" if row["what"] == "hole" else "")


def _strength_row(row: dict[str, Any], part: str) -> list[str]:
    stress, allowed = (row["pull"], row["holds"]) if "pull" in row else (row["stress"], row["allowed"])
    digits = 0 if "pull" in row else 2
    bow = "deflection" in row and row["what"] == "panel"
    return [
        _short(row["case"], 14),
        _short(part, 18),
        f"{stress:.{digits}f}",
        f"{allowed:.{digits}f}",
        f"{row['deflection']:.2f}" if bow else "",
        f"{row['allowed_deflection']:.2f}" if bow else "",
        f"{100 * row['use']:.0f} %",
        "holds" if row["use"] <= 1.0 else "FAILS",
    ]


def _short(text: str, most: int) -> str:
    return text if len(text) <= most else text[: most - 1] + "~"


def plates_text(report: dict[str, Any]) -> str:
    """Longest bolt and torque of each kind of plate."""
    found: dict[tuple[str, float, float], list[str]] = {}
    for row in report["strength"]["threads"]:
        if row.get("torque_Nm") is not None:
            found.setdefault((row["thread"], row["longest_bolt"], row["torque_Nm"]), []).append(row["plate"])
    lines = [
        f"{', '.join(names)}: {thread}, bolt at most {reach:.1f} mm into the plate, tighten to at most {torque:.1f} N m."
        for (thread, reach, torque), names in found.items()
    ]
    return "\n".join(textwrap.fill(line, 80) for line in lines)


def liquid_text(report: dict[str, Any]) -> str:
    """Fill, weight and balance in a few lines."""
    q = report["liquid"]
    spill = [v for v in q["spill_tilt"].values() if v is not None]
    tips = q["tips_at"]
    lines = [
        f"{q['name']}: {q['fill_L']:.2f} L of {q['capacity_L']:.2f} L, {q['fill_depth']:.0f} mm deep, "
        f"{q['freeboard']:.0f} mm freeboard.",
        f"Weight {q['mass_empty']:.2f} kg empty, {q['mass_full']:.2f} kg full; centre of mass full at "
        f"z = {q['centre_full'][2]:.0f} mm.",
    ]
    if spill:
        lines.append(f"It starts to pour at {min(spill):.0f} degrees.")
    if tips["tilt"] is not None:
        lines.append(f"Standing free it tips over at {tips['tilt']:.0f} degrees.")
    good = report["strength"].get("good_for")
    if good:
        lines.append(
            f"By strength it holds {good['fill_l']:.1f} L for good, a sudden start of "
            f"{good['acceleration_m_s2']:.1f} m/s2 and a slow tilt of {good['tilt_deg']:.0f} degrees"
            + (
                ""
                if good["dry_acceleration_m_s2"] is None
                else f"; it spills from {good['dry_acceleration_m_s2']:.2f} m/s2"
            )
            + "."
        )
    return "\n".join(textwrap.fill(line, 80) for line in lines)


def hold_text(report: dict[str, Any], unit: Any, *, every: bool = False) -> str:
    """What `hold` prints."""
    blocks = [verdict_text(report)]
    if report["liquid"]:
        blocks.append(liquid_text(report))
    if report["strength"]:
        blocks += [strength_text(report, every=every), plates_text(report)]
    blocks += [findings_text(report), _DEFER]
    return "\n\n".join(block for block in blocks if block)


_DEFER = textwrap.fill(
    "Local codes and licensed practice decide. Test before use: brim full for 24 h over a tray, then guarded moves with "
    "water at 25, 50, 75 and 100 % of the speed; never first over electronics or people.",
    80,
)


def summary(report: dict[str, Any], unit: Any) -> str:
    """What `make` prints."""
    return "\n\n".join(
        block for block in (verdict_text(report), pieces_text(report, unit), findings_text(report)) if block
    )
