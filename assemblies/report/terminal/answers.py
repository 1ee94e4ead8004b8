"""The report in words, for a terminal of 80 columns. Reads the report only."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from typing import Any, Final

from assemblies.report.base import asked_and_passed
from assemblies.report.blocks import Section
from assemblies.report.found import at_steps, shown_findings
from assemblies.report.sections import TAKEN, taken_words
from assemblies.report.terminal.console import section_text
from parts.in_unit import said_in
from parts.lengths import LengthUnit

__all__ = ["fit_text", "hold_text", "move_text", "summary"]

_VERDICT = {
    "go": "GO: all required checks passed.",
    "stop": "STOP: do not build it as ordered.",
    "not-proven": "NOT PROVEN: nothing says stop, but not every check has been run.",
}


def verdict_text(report: dict[str, Any]) -> str:
    """The verdict with the state of each check."""
    checks = ", ".join(f"{name} {state}" for name, state in report["checks"].items())
    verdict = _VERDICT[report["verdict"]]
    passed, unseen = asked_and_passed(report)
    if passed and unseen:
        names = " and ".join(passed)
        verdict = f"{names[0].upper()}{names[1:]} passed; {' and '.join(unseen)} not checked."
    elif report["verdict"] == "not-proven" and "not-covered" in report["checks"].values():
        verdict = "NOT PROVEN: part of it is not covered. Do not build it on these figures."
    elif report.get("until"):
        verdict = textwrap.fill(f"Not proven until {' and '.join(report['until'])}.", 80)
    text = f"{report['title']} (revision {report['revision']})\n{verdict}\nChecks: {checks}."
    if "shop_file" in report:
        text += f"\nShop file: {report['shop_file']}."
    return text + ("\n`seamwright make` runs every check." if "not-run" in report["checks"].values() else "")


def findings_text(report: dict[str, Any], unit: LengthUnit, *steps: str) -> str:
    """What is said: what, why, what to do, by whose rule; of the usual cautions those of some stations of work."""
    lines = [
        textwrap.fill(str(f), 80, subsequent_indent="     ", break_on_hyphens=False)
        for f in shown_findings(report, *steps, unit=unit)
    ]
    rest = [f for f in at_steps(report) if f.step not in steps]
    usual = [f for f in rest if f.step != "method"]
    if usual:
        where = " and ".join(dict.fromkeys({"cut": "cutting", "use": "use"}[f.step] for f in usual))
        lines.append(f"The usual cautions ({len(usual)}) are in the packet, with the steps for {where}.")
    if len(rest) > len(usual):
        many = len(rest) - len(usual)
        lines.append(f"Notes on method ({many}) that change no result are in the packet, before its sources.")
    return "\n".join(lines)


def taken_text(report: dict[str, Any], unit: LengthUnit, *, every: bool = False) -> str:
    """What is taken because the order does not say it, in one paragraph; with `every` a line each, with what depends on it."""
    said = [(*taken_words(one, unit), one) for one in report.get("taken", ())]
    if not said:
        return ""
    if not every:
        return textwrap.fill(f"{TAKEN}: {'; '.join(f'{what}: {value}' for what, value, _ in said)}.", 80)
    lines = [
        f"{what}: {value}. Affects: {said_in(one['why'], unit)}. Set it with {one['say']}." for what, value, one in said
    ]
    return "\n".join([f"{TAKEN}:", *(textwrap.fill(line, 80, subsequent_indent="  ") for line in lines)])


def _reach(mm: float | None, unit: LengthUnit) -> str:
    return "" if mm is None else said_in(f"bolt at most {mm:.1f} mm into the plate, ", unit)


def move_text(report: dict[str, Any], unit: LengthUnit, shown: Iterable[Section]) -> str:
    """What `move` prints."""
    told = [section_text(one) for one in shown if one.id == "motion"]
    blocks = [verdict_text(report), *told, findings_text(report, unit, "use"), taken_text(report, unit)]
    return "\n\n".join(block for block in blocks if block)


def plates_text(report: dict[str, Any], unit: LengthUnit) -> str:
    """Longest bolt and torque of each kind of plate."""
    found: dict[tuple[str, float | None, float], list[str]] = {}
    for row in report["strength"]["threads"]:
        if row.get("torque_Nm") is not None:
            found.setdefault((row["thread"], row["longest_bolt"], row["torque_Nm"]), []).append(row["plate"])
    lines = [
        f"{', '.join(names)}: {thread}, {_reach(reach, unit)}tighten to at most {torque:.{1 if torque >= 0.95 else 2}f} N m."
        for (thread, reach, torque), names in found.items()
    ]
    return "\n".join(textwrap.fill(line, 80) for line in lines)


def fit_text(report: dict[str, Any], unit: LengthUnit, shown: Iterable[Section]) -> str:
    """What `fit` prints: `shown` are the sections of the checks that it asks."""
    told = [section_text(one) for one in shown if one.id == "pieces" or one.station == "dry-fit"]
    blocks = [verdict_text(report), *told]
    if report["fit"].get("interferences") is None:
        blocks.append("The solids were not compared.")
    blocks += [findings_text(report, unit), taken_text(report, unit)]
    return "\n\n".join(block for block in blocks if block)


def hold_text(report: dict[str, Any], unit: LengthUnit, shown: Iterable[Section], *, every: bool = False) -> str:
    """What `hold` prints: of each case what is used most, or with `every` all."""
    told = [section_text(one, every=every) for one in shown if one.station == "plan" and one.id not in _TOLD]
    blocks = [verdict_text(report), *told]
    if report.get("strength"):
        blocks += ["" if every else "Most used of each case; --all prints all.", plates_text(report, unit)]
    blocks += [
        findings_text(report, unit, "use", *(("method",) if every else ())),
        taken_text(report, unit, every=every),
    ]
    blocks.append(_DEFER if "liquid" in report else _DECIDES)
    return "\n\n".join(block for block in blocks if block)


#: Sections of the plan that a terminal says in its own way, or another command does.
_TOLD: Final = ("verdict", "taken", "pieces")
_DECIDES = "Local codes and a licensed engineer have the last word."
_DEFER = textwrap.fill(
    f"{_DECIDES} Test before use: brim full for 24 h over a tray, then guarded moves with "
    "water at 25, 50, 75 and 100 % of the speed; never first over electronics or people.",
    80,
)


def summary(report: dict[str, Any], unit: LengthUnit, shown: Iterable[Section]) -> str:
    """What `make` prints."""
    pieces = [section_text(one) for one in shown if one.id == "pieces"]
    blocks = [verdict_text(report), *pieces, findings_text(report, unit), taken_text(report, unit)]
    return "\n\n".join(block for block in blocks if block)
