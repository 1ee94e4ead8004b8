"""The report in words, for a terminal of 80 columns. Reads the report only."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from typing import Any

from assemblies.report.base import asked_and_passed
from assemblies.report.found import at_steps, shown_findings
from assemblies.report.sections import TAKEN, taken_words
from parts.lengths import MM_PER_INCH, nearest_64th, write_length, write_named

__all__ = ["fit_text", "hold_text", "summary", "table"]

_VERDICT = {
    "go": "GO: every check that this kind needs has passed.",
    "stop": "STOP: do not build it so.",
    "not-proven": "NOT PROVEN: no check says stop, but not every check has been made.",
}


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
    verdict = _VERDICT[report["verdict"]]
    passed, unseen = asked_and_passed(report)
    if passed and unseen:
        names = " and ".join(passed)
        verdict = f"{names[0].upper()}{names[1:]} passed; {' and '.join(unseen)} not looked at."
    elif report["verdict"] == "not-proven" and "not-covered" in report["checks"].values():
        verdict = "NOT PROVEN: what is not covered may not be built on these figures."
    elif report.get("until"):
        verdict = textwrap.fill(f"Not proven until {' and '.join(report['until'])}.", 80)
    text = f"{report['title']} (revision {report['revision']})\n{verdict}\nChecks: {checks}."
    if "shop_file" in report:
        text += f"\nShop file: {report['shop_file']}."
    return text + ("\n`seamwright make` makes every check." if "not-run" in report["checks"].values() else "")


def pieces_text(report: dict[str, Any], unit: Any) -> str:
    """The pieces to cut."""
    rows = []
    for part in report["parts"]:
        *sides, thick = part["size"]
        sizes = [*(write_length(value, unit) for value in sides), write_named(thick, unit)]
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


def findings_text(report: dict[str, Any], *steps: str) -> str:
    """What is said: what, why, what to do, by whose rule; of the usual cautions those of some stations of work."""
    lines = [textwrap.fill(str(f), 80, subsequent_indent="     ") for f in shown_findings(report, *steps)]
    rest = [f for f in at_steps(report) if f.step not in steps]
    if rest:
        where = " and ".join(dict.fromkeys({"cut": "cutting", "use": "use"}[f.step] for f in rest))
        lines.append(f"The usual cautions ({len(rest)}) stand in the packet, at the steps of {where}.")
    return "\n".join(lines)


def taken_text(report: dict[str, Any], unit: Any, *, every: bool = False) -> str:
    """What is taken because the order does not say it, in one paragraph; with `every` a line each, with what hangs on it."""
    said = [(*taken_words(one, unit), one) for one in report.get("taken", ())]
    if not said:
        return ""
    if not every:
        return textwrap.fill(f"{TAKEN}: {'; '.join(f'{what} {value}' for what, value, _ in said)}.", 80)
    lines = [f"{what}: {value}. On it hangs: {one['why']}. Say it as {one['say']}." for what, value, one in said]
    return "\n".join([f"{TAKEN}:", *(textwrap.fill(line, 80, subsequent_indent="  ") for line in lines)])


def fit_text(report: dict[str, Any], unit: Any) -> str:
    """What `fit` prints."""
    blocks = [verdict_text(report), pieces_text(report, unit), seams_text(report), findings_text(report)]
    blocks.append(taken_text(report, unit))
    hits = report["fit"].get("interferences")
    if hits is None:
        blocks.insert(3, "The solids were not compared.")
    return "\n\n".join(block for block in blocks if block)


def strength_text(report: dict[str, Any], *, every: bool = False) -> str:
    """Per case the panel, the seam and the plates used most; with `every` all that was looked at, sorted by case."""
    strength = report["strength"]
    covered = strength["covered"]
    kinds = [
        [(row, "whole tank") for row in sunk(strength)],
        [(row, _part(row)) for row in strength["cases"]],
        [(row, row["seam"]) for row in strength["seams"]],
        [(row, row["plates"]) for row in strength["mounting"]],
        [(row, f"{row['plate']} {row['thread']}") for row in strength["threads"] if "case" in row],
    ]
    shown = []
    for case in dict.fromkeys(row["case"] for found in kinds for row, _ in found):
        for found in kinds:
            mine = sorted((pair for pair in found if pair[0]["case"] == case), key=lambda pair: -pair[0]["use"])
            shown += mine if every else mine[:1]
    header = ["case", "part", "stress", "allowed", "bow", "allowed", "use", ""]
    proven = covered and not strength.get("until")
    rows = _fitted(header, [_strength_row(row, part, proven) for row, part in shown])
    said = "Stress in MPa (threads: N), bow in mm." + ("" if every else " Most used of each case; --all prints all.")
    whole = sunk(strength)
    said += f"\n{_whole_line(whole)}" if whole else ""
    if not covered:
        said += "\n" + textwrap.fill(_NOT_COVERED, 80)
    elif not proven:
        said += "\n" + textwrap.fill(f"no pass until {strength['until']}: these figures are for sheet as drawn.", 80)
    if any(row.get("beyond_method") for row, _ in shown):
        said += "\n" + textwrap.fill(
            f"beyond: it bows more than {strength['largest_bow']:g} thicknesses, where linear plate theory gives no figure; "
            "the stresses of that panel and its seams are rough too.",
            80,
        )
    return table(header, rows, "llrrrrrl") + "\n" + said


def sunk(strength: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The rows of the tank as one in which it moves at all: one that lies flat does not."""
    return [row for row in strength.get("whole", ()) if max(row["sag"], row["drop"]) >= 0.005]


def _whole_line(rows: Sequence[dict[str, Any]]) -> str:
    """How the tank as one moves where it moves most."""
    worst = max(rows, key=lambda row: float(row["use"]))
    return textwrap.fill(
        f"Whole tank, {worst['case']}: its floor sinks {worst['sag']:.2f} mm, its edges {worst['drop']:.2f} mm; it leans "
        f"{worst['lean']:.2f} degrees.",
        80,
    )


_NOT_COVERED = (
    "no pass: what is not covered (below) is not in these figures; where a use is under 100 % the method for plain boxes "
    "finds no fault, and nothing more."
)


def _part(row: dict[str, Any]) -> str:
    return str(row["piece"]) + (" (hole)" if row["what"] == "hole" else "")


def _strength_row(row: dict[str, Any], part: str, proven: bool) -> list[str]:
    if "sag" in row:
        figures = ["", "", f"{max(row['sag'], row['drop']):.2f}", f"{row['allowed']:.2f}", _used(row["use"])]
        return [row["case"], part, *figures, "FAILS" if row["use"] > 1.0 else "holds" if proven else "no pass"]
    stress, allowed = (row["pull"], row["holds"]) if "pull" in row else (row["stress"], row["allowed"])
    digits = 0 if "pull" in row else 2
    bow, far = "deflection" in row and row["what"] == "panel", row.get("beyond_method", False)
    places = 2 if bow and row["allowed_deflection"] >= 0.1 else 4
    fails = row["use"] > 1.0
    return [
        row["case"],
        part,
        f"{stress:.{digits}f}",
        f"{allowed:.{digits}f}",
        ("beyond" if far else f"{row['deflection']:.{places}f}") if bow else "",
        f"{row['allowed_deflection']:.{places}f}" if bow else "",
        "" if far and row["governs"] == "deflection" else _used(row["use"]),
        "FAILS" if fails else "no pass" if far or not proven else "holds",
    ]


def _used(use: float) -> str:
    """A use in whole percent: what is over the limit is never rounded down to it."""
    whole = round(100.0 * use)
    return f"{whole + 1 if use > 1.0 and whole <= 100 else whole} %"


def _fitted(header: Sequence[str], rows: Sequence[Sequence[str]]) -> list[list[str]]:
    """The rows with case and part shortened so that the table keeps to 80 columns."""
    figures = sum(max(len(line[i]) for line in (header, *rows)) + 2 for i in range(2, len(header)))
    case = min(max(len(line[0]) for line in (header, *rows)), _CASE)
    part = 80 - figures - case - 2
    return [[_short(row[0], case), _short(row[1], part), *row[2:]] for row in rows]


_CASE = 15  # as long as the longest of the cases that are always there


def _short(text: str, most: int) -> str:
    return text if len(text) <= most else text[: most - 1] + "~"


def plates_text(report: dict[str, Any]) -> str:
    """Longest bolt and torque of each kind of plate."""
    found: dict[tuple[str, float | None, float], list[str]] = {}
    for row in report["strength"]["threads"]:
        if row.get("torque_Nm") is not None:
            found.setdefault((row["thread"], row["longest_bolt"], row["torque_Nm"]), []).append(row["plate"])
    lines = [
        f"{', '.join(names)}: {thread}, {_reach(reach)}tighten to at most {torque:.{1 if torque >= 0.95 else 2}f} N m."
        for (thread, reach, torque), names in found.items()
    ]
    return "\n".join(textwrap.fill(line, 80) for line in lines)


def _reach(mm: float | None) -> str:
    return "" if mm is None else f"bolt at most {mm:.1f} mm into the plate, "


def liquid_text(report: dict[str, Any], unit: Any) -> str:
    """Fill, weight and balance in a few lines."""
    q = report["liquid"]
    low = q["pours_at"]
    tips = q["tips_at"]
    name = f"{q['name']} (taken: the order has no [liquid])" if q["assumed"] else q["name"]
    lines = [
        f"{name}: {q['fill_L']:.2f} L of {q['capacity_L']:.2f} L, {_length(q['fill_depth'], unit)} deep, "
        f"{_FULL.get(q['full_to']) or _length(q['freeboard'], unit) + ' freeboard'}.",
        f"It weighs {q['mass_empty']:.2f} kg empty, {q['mass_full']:.2f} kg full; centre of mass full at "
        f"z = {_length(q['centre_full'][2], unit)}.",
    ]
    if low is not None:
        lines.append(
            f"In the worst direction it starts to pour at a tilt of {_degrees(low)}."
            if low >= 0.05
            else "It pours from the first tilt."
        )
    if tips["tilt"] is not None:
        lines.append(f"Standing free it tips over at {_degrees(tips['tilt'])}.")
    good = report.get("strength", {}).get("good_for")
    if good:
        spills = _spills_from(good["dry_acceleration_m_s2"])
        covered = report["strength"]["covered"] and not report["strength"].get("until")
        said = [_good_for(good, wet=q["fill_L"] > 0.0) if covered else "", spills if covered else spills.capitalize()]
        lines += [text + "." for text in ["; ".join(text for text in said if text)] if text]
    return "\n".join(textwrap.fill(line, 80) for line in lines)


_FULL = {"brim": "full to the brim", "opening": "full to its lowest opening", "lid": "full to its lid"}
_NO_PUSH = 0.005  # m/s2: less is none
_ONE_G = 9.8  # m/s2; a sudden start is looked at up to 1 g


def _good_for(good: dict[str, Any], *, wet: bool) -> str:
    """What it holds by strength."""
    fill = good["fill_l"]
    text = f"By strength it holds {f'{fill:.1f} L' if fill > 0.0 else 'no fill'} for good"
    push, tilt, dry = good["acceleration_m_s2"], good["tilt_deg"], good["dry_acceleration_m_s2"]
    wave = good["wave_acceleration_m_s2"]
    if wet and push == 0.0 and tilt == 0.0:
        text += "; as it is filled, no sudden start and no tilt"
    elif wet:
        start = f"a sudden start of {push:.1f} m/s2" + (" at least" if push >= _ONE_G else "")
        if dry is not None and dry < _NO_PUSH:
            start = "no sudden start"
        elif dry is not None and push >= dry * (1.0 - 1e-6):
            start = "any sudden start that spills nothing"
        elif wave is not None and push >= wave * (1.0 - 1e-6):
            start += " (its first waves are then a fifth of the depth)"
        text += f", {start} and {'any' if tilt >= 90.0 else 'a'} slow tilt"
        text += " up to 90 degrees" if tilt >= 90.0 else f" of {_degrees(tilt)}"
    return text


def _spills_from(dry: float | None) -> str:
    if dry is None:
        return ""
    return (
        f"in the worst direction it spills from {dry:.2f} m/s2" if dry >= _NO_PUSH else "it spills from the first push"
    )


def _degrees(angle: float) -> str:
    text = f"{angle:.{0 if angle >= 0.95 else 1}f}"
    return f"{text} degree{'' if text == '1' else 's'}"


def _length(mm: float, unit: Any) -> str:
    """A depth to the mm, or to the 1/64 in."""
    return f"{mm:.0f} mm" if unit == "mm" else write_length(nearest_64th(mm)[0] * MM_PER_INCH, unit)


def hold_text(report: dict[str, Any], unit: Any, *, every: bool = False) -> str:
    """What `hold` prints."""
    blocks = [verdict_text(report)]
    if report.get("liquid"):
        blocks.append(liquid_text(report, unit))
    if report.get("strength"):
        blocks += [strength_text(report, every=every), plates_text(report)]
    blocks += [findings_text(report, "use"), taken_text(report, unit, every=every)]
    blocks.append(_DEFER if "liquid" in report else _DECIDES)
    return "\n\n".join(block for block in blocks if block)


_DECIDES = "Local codes and licensed practice decide."
_DEFER = textwrap.fill(
    f"{_DECIDES} Test before use: brim full for 24 h over a tray, then guarded moves with "
    "water at 25, 50, 75 and 100 % of the speed; never first over electronics or people.",
    80,
)


def summary(report: dict[str, Any], unit: Any) -> str:
    """What `make` prints."""
    return "\n\n".join(
        block
        for block in (
            verdict_text(report),
            pieces_text(report, unit),
            findings_text(report),
            taken_text(report, unit),
        )
        if block
    )
