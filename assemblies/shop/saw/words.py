"""The saw plan in words, one line for each thing a person does at the saw."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby

from assemblies.report.figures import number_words
from assemblies.shop.layout.job import NM_PER_MM
from assemblies.shop.saw.model import Blank, SawPlan, SawStep
from parts.lengths import MM_PER_INCH, LengthUnit, nearest_64th, write_length

__all__ = ["say_plan", "say_step"]

_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_HOLDS = {"rip": "fence", "crosscut": "fence", "sled": "sled, stop", "guide": "straightedge", "snap": "rule"}
_DOES = {"rip": "rip", "crosscut": "crosscut", "sled": "crosscut", "guide": "saw by hand", "snap": "score and snap"}


def say_plan(plan: SawPlan, unit: LengthUnit, most: int | None = None) -> list[str]:
    """The steps in words; strips that come off one blank at one setting are one line.

    Args:
        plan: its steps in order.
        unit: of the lengths.
        most: pieces that are named; of more, all that is cut at one setting is one line: how many of what.
    """
    if most is None or len(plan.pieces) <= most:
        return [_say_run(run, unit) for run in _runs(plan)]
    names = [part.name for part in plan.parts]
    return [_say_setting(list(steps), names, unit) for _, steps in groupby(plan.steps, lambda step: step.setting)]


def say_step(step: SawStep, unit: LengthUnit) -> str:
    """One cut in words, with the setting in the unit (inches: nearest 1/64, the true decimal beside it)."""
    return _say_run([step], unit)


def _runs(plan: SawPlan) -> Iterator[list[SawStep]]:
    run: list[SawStep] = []
    for step in plan.steps:
        if run and not (step.setting == run[-1].setting and run[-1].rest == step.blank and step.cut.role == "strip"):
            yield run
            run = []
        run.append(step)
    if run:
        yield run


def _say_setting(steps: Sequence[SawStep], parts: Sequence[str], unit: LengthUnit) -> str:
    """All cuts at one setting: from how many blanks of which sheets, and how many of each thing lie between blade and fence."""
    first, last = steps[0], steps[-1]
    numbers = f"{first.number}" if first is last else f"{first.number} to {last.number}"
    does = ", ".join(
        dict.fromkeys("trim off the factory edge" if s.cut.role == "trim" else _DOES[s.mode] for s in steps)
    )
    rests, cut_on = {step.rest for step in steps}, {step.blank for step in steps}
    blanks = Counter(step.blank.what == "sheet" for step in steps if step.blank not in rests)
    kept = Counter(_sort(step.kept, parts, unit) for step in steps)
    fallen = [step.rest for step in steps if step.rest is not None and step.rest not in cut_on]
    fall = Counter("waste" if blank.what == "waste" else _sort(blank, parts, unit) for blank in fallen)
    held = f"{_HOLDS[first.mode]} {write_length(first.setting_nm / NM_PER_MM, unit)} (setting {first.setting})"
    on = " and ".join(_counted(n, "sheet" if whole else "blank") for whole, n in sorted(blanks.items(), reverse=True))
    made, off = (", ".join(f"{n} x {what}" for what, n in found.items()) for found in (kept, fall))
    where = number_words(sorted({step.blank.sheet + 1 for step in steps}))
    at = f"{on} ({'sheets' if ' ' in where else 'sheet'} {where})"
    return f"{numbers}. {held}: {does}, {at}: {made}; {f'what falls off: {off}' if off else 'only chips fall off'}"


def _counted(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def _sort(blank: Blank, parts: Sequence[str], unit: LengthUnit) -> str:
    """What a piece, offcut or blank is without its number, and its size."""
    what = parts[blank.part] if blank.part is not None else blank.what
    return _become(replace(blank, name=what), unit)


def _say_run(run: list[SawStep], unit: LengthUnit) -> str:
    first, last = run[0], run[-1]
    numbers = f"{first.number}" if len(run) == 1 else f"{first.number} to {last.number}"
    setting = write_length(first.setting_nm / NM_PER_MM, unit)
    count = len(run)
    what = f"{_NUMBERS[count] if count < len(_NUMBERS) else count} strips from " if count > 1 else ""
    verb = "trim the factory edge off" if first.cut.role == "trim" else _DOES[first.mode]
    kept = ", ".join(_become(step.kept, unit) for step in run)
    fall = "only chips fall off" if last.rest is None else f"{_become(last.rest, unit)} falls off"
    held = f"{_HOLDS[first.mode]} {setting} (setting {first.setting})"
    return f"{numbers}. {held}: {verb} {what}{first.blank.name}, {_edge(first)}: {kept}; {fall}"


def _edge(step: SawStep) -> str:
    """Which edge the distance is measured from: the sheet's own, as it came, or one that was sawn before."""
    to = {"sled": "against the stop", "guide": "measured from", "snap": "measured from"}.get(
        step.mode, "against the fence"
    )
    cut = step.cut
    if cut.role == "trim":
        return f"its other factory edge {to}" if to.startswith("against") else f"{to} its other factory edge"
    own = (cut.blank.x if cut.axis == "x" else cut.blank.y) == 0
    which = "its own edge" if own else "its fresh-cut edge"
    return f"{which} {to}" if to.startswith("against") else f"{to} {which}"


def _become(blank: Blank, unit: LengthUnit) -> str:
    sizes = blank.size_mm
    if unit == "in" and blank.what != "piece":  # to the nearest 1/64 is enough for what is not yet, or never, a piece
        sizes = tuple(float(nearest_64th(v)[0] * MM_PER_INCH) for v in sizes)  # type: ignore[assignment]  # two of two
    w, h = (write_length(v, unit) for v in sizes)
    return f"{blank.name} ({w} x {h})"
