"""What the page is told of an order's text, in three answers: sizes, seams and liquid at once; what holds; then everything.

The last is what `make` says: the same checks, asked of the same text. Until it has come the verdict is never go.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final

from assemblies.examine import Examined, begin, examine
from assemblies.kinds import kind, schemas
from assemblies.order import Order, OrderError, Problem, read_order_text
from assemblies.order.files import Check as Reading
from assemblies.order.shop_file import find_shop, read_shop
from assemblies.page.figures import Row, held_rows, liquid_rows, size_rows, whole_rows
from assemblies.report.check import Check, Checked
from assemblies.report.found import shown_findings
from assemblies.report.sections import verdict_words
from parts.findings import SeamwrightError

__all__ = ["Ground", "Message", "data_of", "order_in", "quick", "refused", "shown_verdict", "solved"]

Message = dict[str, Any]
#: What is still to come after each answer, as the page names it.
TO_COME: Final[Mapping[str, tuple[str, ...]]] = {
    "chosen": ("sizes", "strength", "liquid", "solids", "cutting plan"),
    "sizes": ("strength", "liquid when moved", "solids", "cutting plan"),
    "held": ("solids", "cutting plan"),
    "whole": (),
}


@dataclass(frozen=True, kw_only=True)
class Ground:
    """Where an order stands: its file as messages name it, the shop file that was named if any, and the part of the rig that
    the file itself named when it was read: no other path in a text from the page is followed."""

    file: str
    shop: str | None = None
    rig_file: str | None = None


def data_of(text: str, file: str) -> dict[str, Any]:
    """The text's own data, as JSON has it.

    Raises:
        OrderError: it is no TOML.
    """
    _, plain = Reading.of_text(text.removeprefix("\ufeff"), file)
    found: dict[str, Any] = json.loads(json.dumps(plain, default=str))
    return found


def order_in(text: str, ground: Ground) -> Order:
    """The order in a text, read as the command reads the file.

    Raises:
        OrderError: everything that is wrong with it.
    """
    text = text.removeprefix("\ufeff")
    path = Path(ground.file)
    given = Path(ground.shop) if ground.shop else find_shop(path)
    order = read_order_text(text, schemas(), ground.file, read_shop(given, path) if given else None)
    named = order.rig.file if order.rig is not None else None
    if named is not None and named != ground.rig_file:
        raise order.refuse(
            ("rig", "file"), "a file is not opened from this page", "the file that the order named when it was opened"
        )
    return order


def refused(error: SeamwrightError, file: str = "") -> Message:
    """What is wrong with the order in `file`, each fault at its key; of another file, such as the shop's, by its name."""
    problems = (
        error.problems
        if isinstance(error, OrderError)
        else (Problem(file="", line=None, key=(), what=str(error), allowed=""),)
    )
    told = [
        {
            "key": list(p.key),
            "line": p.line,
            "allowed": p.allowed,
            "what": p.what if p.file in ("", file) else f"{p.file}: {p.what}",
        }
        for p in problems
    ]
    return {
        "stage": "refused",
        "problems": told,
        "more": getattr(error, "more", 0),
        "verdict": {"tone": "refused", "word": "Not an order yet", "text": "What is wrong stands at its field."},
    }


def shown_verdict(report: Mapping[str, Any], to_come: Sequence[str]) -> dict[str, str]:
    """The verdict as the page shows it: a stop as soon as one is known, go only when nothing is still to come.

    >>> shown_verdict({"verdict": "go", "checks": {"fit": "passed"}}, ["strength"])["tone"]
    'working'
    >>> shown_verdict({"verdict": "go", "checks": {"fit": "passed"}}, [])["tone"]
    'go'
    """
    verdict = report["verdict"]
    if verdict == "go" and "not-run" in report["checks"].values():
        verdict = "not-proven"
    if not to_come:
        word, text = verdict_words({**report, "verdict": verdict})
        return {"tone": verdict, "word": word, "text": text}
    left = f"Still to come: {', '.join(to_come)}."
    if verdict == "stop":
        return {"tone": "stop", "word": "Stop", "text": left}
    return {"tone": "working", "word": "Working", "text": left}


def quick(text: str, ground: Ground) -> Message:
    """The first answer: whether it is an order, its sizes, seams and level, and what the view shows. No kernel, no proof."""
    data = data_of(text, ground.file)
    try:
        order = order_in(text, ground)
        if not isinstance(order.sheet.thickness, float):  # choosing it takes proofs: they come with the second answer
            empty = {"verdict": "not-proven", "checks": {}}
            return {
                "stage": "chosen",
                "data": data,
                "tables": list(kind(order.kind).shared),
                "to_come": list(TO_COME["chosen"]),
                "units": order.units,
                "verdict": shown_verdict(empty, TO_COME["chosen"]),
            }
        return {"data": data, "tables": list(kind(order.kind).shared), **_sized(order)}
    except SeamwrightError as error:
        return {"data": data, **refused(error, ground.file)}


def _quick_checks(order: Order) -> tuple[Check, ...]:
    from assemblies.fit.checks import APART, BUILD, HOLES, SEAMS, SHEETS

    names = {one.name for one in kind(order.kind).checks()}
    return tuple(one for one in (SHEETS, HOLES, BUILD, SEAMS, APART) if one.name in names)


def _sized(order: Order, found: Examined | None = None) -> Message:
    """Sizes, seams, liquid and the view; of what was examined already, or at once."""
    from assemblies.fit.apart.explode import Exploded
    from assemblies.liquid.state import filled
    from assemblies.packet.models.scene import marks_of
    from assemblies.page.model import model_of

    found = found or examine(order, _quick_checks(order), begin(order))
    given = filled(order, found.design) if len(found.design.cavities) == 1 else None
    exploded = found.made.of(Exploded)
    red = {name for mark in marks_of(found.report, order.units) if mark.level == "stop" for name in mark.red}
    rows = [*size_rows(found.report, order.units), *(liquid_rows(given, order.units) if given is not None else ())]
    return {
        **_told("sizes", found, rows),
        "view": model_of(found.design, exploded.offsets if exploded else {}, given, red),
    }


def _told(stage: str, found: Examined, rows: Sequence[Row]) -> Message:
    report, unit = found.report, found.order.units
    return {
        "stage": stage,
        "units": unit,
        "to_come": list(TO_COME[stage]),
        "verdict": shown_verdict(report, TO_COME[stage]),
        "checks": report["checks"],
        "rows": [vars(row) for row in rows],
        "findings": [
            {"level": f.level, "where": f.where, "why": f.why, "do": f.do, "source": f.source, "check": f.check}
            for f in shown_findings(report, unit=unit)
        ],
    }


def solved(text: str, ground: Ground) -> Iterator[Message]:
    """The other two answers: what `hold` proves, then all that `make` asks, with nothing asked twice."""
    try:
        order = order_in(text, ground)
        one = kind(order.kind)
        began = begin(order)
        chosen = not isinstance(order.sheet.thickness, float)
        if chosen:
            sized = _sized(order, examine(order, _quick_checks(order), began))
            yield {**sized, "to_come": list(TO_COME["sizes"])}
        found = examine(order, one.asked("hold"), began)
        rows = list(held_rows(found.report, found.sections))
        yield _told("held", found, rows)
        found = examine(order, one.asked(), replace(found.made, got=_kept(one.checks(), found.made.got)))
        yield {
            **_told("whole", found, [*held_rows(found.report, found.sections), *whole_rows(found.report, order.units)]),
            "report": found.report,
        }
    except SeamwrightError as error:
        yield refused(error, ground.file)


def _kept(every: Sequence[Check], got: Mapping[str, Checked]) -> dict[str, Checked]:
    """Answers that stand when the rest is asked too: all that they read is among them."""
    names, kept = {one.name for one in every}, dict[str, Checked]()
    left = {one.name: one for one in every if one.name in got}
    kept |= {name: answer for name, answer in got.items() if name not in names}
    while ready := [n for n, one in left.items() if all(a in kept for a in one.after if a in names)]:
        for name in ready:
            kept[name] = got[name]
            del left[name]
    return kept
