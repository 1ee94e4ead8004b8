"""The check of filling and emptying, its rows of the report and its section of the packet."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from assemblies.report.blocks import Block, Figure, Figures, Report
from assemblies.report.check import Check, Checked, Made, Rows, SectionOf, State
from assemblies.report.figures import amount
from parts.findings import Finding, Taken
from parts.lengths import LengthUnit, mark_length

if TYPE_CHECKING:
    from assemblies.motion.filling.found import Filling

__all__ = ["FILLING"]


def _run(made: Made) -> Checked:
    from assemblies.liquid.state import LiquidState
    from assemblies.motion.filling.found import filling_of

    state = made.of(LiquidState)
    found = filling_of(made.order, made.design, state) if state is not None else None
    if found is None:
        return Checked(state="passed" if state is not None else "not-run")
    said = tuple(_said(found))
    stops, open_ = any(f.level == "stop" for f in said), bool(found.over_why)
    answer: State = "failed" if stops else "not-covered" if open_ else "passed"
    return Checked(state=answer, findings=said, figures=found, taken=tuple(_taken(found)))


def _taken(found: Filling) -> Iterator[Taken]:
    if found.calm and not found.calm.given:
        yield Taken(
            what="bore of the hose that fills it",
            value=found.calm.bore_mm,
            unit="mm",
            why="how fast it may be filled",
            say="[liquid] hose",
            weight=1.2,
        )


def _said(found: Filling) -> Iterator[Finding]:
    from assemblies.motion.filling.flow import SOURCE

    feed = found.feed_l_min
    if feed is None:
        return
    source = f"{SOURCE}; Francis over an edge (ISO 1438 gives the range); a quarter in doubt: judgement"
    if found.over is not None and not found.over.holds:
        over = found.over
        yield Finding(
            level="stop",
            check="filling",
            where="feed",
            why=f"fed with {feed:g} L/min, it must stand {over.head_mm:.1f} mm high to run off {over.way}, and "
            f"{over.most_mm:.1f} mm up it runs over elsewhere",
            do="a smaller feed, a larger overflow, or a lower one",
            source=source,
        )
    for one in found.behind:
        if not one.holds:
            yield Finding(
                level="stop",
                check="filling",
                where=one.port,
                why=f"at {feed:g} L/min {one.port} needs {one.head_mm:.1f} mm over its middle, and {one.most_mm:.1f} mm up "
                "the weir is drowned",
                do="a larger port, a lower one, or a smaller feed",
                source=source,
            )
    if found.over_why:
        yield Finding(
            level="care",
            check="filling",
            where="feed",
            why=f"not covered: what runs over at {feed:g} L/min: {found.over_why}",
            do="try it with water over a tray",
            source="judgement: limit of this method",
        )
    elif found.over is None and found.brim_min is not None:
        yield Finding(
            level="care",
            check="filling",
            where="feed",
            why=f"nothing takes off what is fed: left on at {feed:g} L/min, it runs over the rim {_minutes(found.brim_min)} "
            "after it is as full as ordered",
            do='a [[port]] with kind = "overflow", a [[lip]], or somebody beside it',
            source="volume over flow",
        )
    if found.calm and feed > found.calm.l_min:
        yield Finding(
            level="care",
            check="filling",
            where="feed",
            why=f"{feed:g} L/min through {found.calm.bore_mm:g} mm may slop: {found.calm.limit} from "
            f"{found.calm.l_min:.1f} L/min",
            do="a wider hose, its end under the surface, or a slower feed",
            source="momentum of the jet on the liquid; speed of a calm jet: judgement",
        )


def _minutes(minutes: float) -> str:
    """In words of a clock, rounded up: as long as it may take.

    >>> _minutes(0.3), _minutes(2.51)
    ('18 s', '2 min 31 s')
    """
    seconds = math.ceil(60.0 * minutes - 1e-9)
    return f"{seconds} s" if seconds < 90 else f"{seconds // 60} min {seconds % 60} s"


def _rows(made: Made, found: Filling) -> Rows:
    return {
        "filling": {
            "drains": [vars(one) for one in found.drains],
            "feed_L_min": found.feed_l_min,
            "fill_min": found.fill_min,
            "brim_min": found.brim_min,
            "over": {**vars(found.over), "holds": found.over.holds} if found.over else None,
            "behind": [{**vars(one), "holds": one.holds} for one in found.behind],
            "calm": vars(found.calm) if found.calm else None,
        }
    }


def _blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """How long it drains, what takes off the feed, how fast it may be filled."""
    q = report.get("filling")
    if q:
        yield Figures(items=[*_drains(q, unit), *_fed(q, unit)])


def _drains(q: Report, unit: LengthUnit) -> Iterator[Figure]:
    for one in q["drains"]:
        told = f"not covered: {one['why']}"
        if one["seconds"] is not None:
            told = (
                f"{_minutes(one['seconds'] / 60.0)} from {mark_length(one['head_mm'], unit)} over its middle; then "
                f"{amount(one['left_l'], 'L')} run out slower"
            )
        yield Figure(
            label=f"Empties through {one['port']} (bore {one['bore_mm']:.3g} mm)",
            value=told,
            why="Torricelli, coefficient 0.61, free jet; a hose makes it slower (Brater and King, from memory)",
        )


def _fed(q: Report, unit: LengthUnit) -> Iterator[Figure]:
    if q["feed_L_min"] is not None:
        yield Figure(
            label=f"Full at {q['feed_L_min']:g} L/min", value=f"after {_minutes(q['fill_min'])}", why="volume over flow"
        )
    over = q["over"]
    if over:
        rough = "; below the published range of the formula: give or take a quarter" if over["rough"] else ""
        yield Figure(
            label="Runs off",
            value=f"{over['way']}, standing {mark_length(over['head_mm'], unit)} high there, at most "
            f"{mark_length(over['most_mm'], unit)}",
            why=f"Francis or Torricelli, a quarter added{rough}",
        )
    for one in q["behind"]:
        yield Figure(
            label=f"{one['port']}, behind the weir",
            value=f"needs {mark_length(one['head_mm'], unit)} over its middle, has {mark_length(one['most_mm'], unit)}",
            why="Torricelli, a quarter added",
        )
    if q["calm"]:
        calm = q["calm"]
        yield Figure(
            label="Fill no faster than",
            value=f"{amount(calm['l_min'], 'L/min', 1)} through {calm['bore_mm']:.3g} mm: "
            f"{amount(calm['in_a_minute_l'], 'L', 1)} in a minute",
            why=f"{calm['limit']}; splash is not in it: an estimate (judgement)",
        )


FILLING: Final = Check(
    name="filling",
    run=_run,
    after=("liquid",),
    questions=("hold",),
    rows=_rows,
    sections=(SectionOf(id="filling", station="use", title="Filling and emptying", blocks=_blocks),),
)
