"""Cautions: one row of the table `cautions` for each hazard and step, and which steps an order needs.

A *step* is a word such as `saw`, `drill`, `solvent`, `water-load`; each belongs to a *station*, the place in the shop
where it is shown. Cautions of the drill press and of tapping stand in the table `drilling_cautions` and are given here
too, so that each is written once.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Final

from assemblies.design.model import Design
from assemblies.motion.case_kinds import CASE_KINDS
from assemblies.order import Order
from assemblies.shop.nest.machined import machined_holes
from parts.findings import SeamwrightError
from parts.shape.piece import Hole
from parts.tables import cite, load

__all__ = ["STATIONS", "Caution", "cautions_for", "cautions_of", "steps_of"]

#: Each step, in order of work, with its station.
STATIONS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "saw": "cut",
        "small-pieces": "cut",
        "router": "cut",
        "laser": "cut",
        "score": "cut",
        "air": "cut",
        "drill": "drill",
        "tap": "drill",
        "heat": "heat",
        "edges": "edges",
        "solvent": "bond",
        "oven": "wait",
        "gas-pressure": "test",
        "pneumatics": "test",
        "water-load": "test",
        "water-mains": "test",
        "carry": "test",
        "moving-rig": "test",
        "rotating": "test",
        "gears": "test",
    }
)
_DEFERS: Final = "Local codes and a licensed engineer have the last word."
_PROCESS_STEP: Final = {"saw": "saw", "router": "router", "laser": "laser", "score-and-snap": "score"}
#: A piece under these by hand along a saw fence needs a carrier; as the caution `small-carrier` says.
_SHORT_MM: Final = 300.0
_NARROW_MM: Final = 50.0
#: Rows of `drilling_cautions` by the step they belong to.
_DRILLING: Final = {"drill": ("always", "through", "wet"), "tap": ("tapped",)}


@dataclass(frozen=True, kw_only=True)
class Caution:
    """One caution; `text` ends by deferring to local codes where law or licence applies."""

    id: str
    step: str
    station: str
    hazard: str
    text: str
    source: str


@cache
def cautions_for(step: str) -> tuple[Caution, ...]:
    """The cautions of a step.

    Raises:
        SeamwrightError: there is no such step.

    >>> [c.id for c in cautions_for("small-pieces")]
    ['small-carrier', 'small-last']
    """
    if step not in STATIONS:
        raise SeamwrightError(f"no step {step!r}; there are: {', '.join(STATIONS)}")
    return tuple(_of_table(step)) + tuple(_of_drilling(step))


def _of_table(step: str) -> Iterator[Caution]:
    for row in load("cautions"):
        if row["step"] == step:
            text = f"{row['text']} {_DEFERS}" if row["defers"] == "yes" else row["text"]
            yield _caution(row, row["caution"], step, row["hazard"], text)


def _of_drilling(step: str) -> Iterator[Caution]:
    for row in load("drilling_cautions"):
        if row["when"] in _DRILLING.get(step, ()):
            yield _caution(row, f"{step}-{row['id']}", step, "drilling", row["text"])


def _caution(row: Mapping[str, str], name: str, step: str, hazard: str, text: str) -> Caution:
    source = cite(row["source"], row["clause"], row["how_known"])
    return Caution(id=name, step=step, station=STATIONS[step], hazard=hazard, text=text, source=source)


def steps_of(order: Order, design: Design, *, bonded: bool = True) -> tuple[str, ...]:
    """The steps that need a caution for this order, in order of work.

    Args:
        order, design: what is made.
        bonded: whether any seam is bonded with solvent.
    """
    steps = set(_cutting_steps(order, design)) | set(_drilling_steps(order, design))
    if bonded:
        steps |= {"edges", "solvent", "oven"}  # annealing after bonding is offered in every plan
    if any(p.bends for p in design.pieces):
        steps |= {"heat", "oven"}
    if order.cutting.edge == "annealed":
        steps.add("oven")
    if design.cavities:
        steps |= {"gas-pressure", "water-load", "water-mains"}
    steps |= set(_moving_steps(order, design))
    return tuple(step for step in STATIONS if step in steps)


def _cutting_steps(order: Order, design: Design) -> Iterator[str]:
    for piece in design.pieces:
        step = _PROCESS_STEP[piece.process or order.cutting.process]
        yield step
        short, long = sorted(piece.outline.size_mm)
        if step == "saw" and (long < _SHORT_MM or short < _NARROW_MM):
            yield "small-pieces"
    yield "air"


def _drilling_steps(order: Order, design: Design) -> Iterator[str]:
    holes: list[Hole] = []
    for piece in design.pieces:
        machined = machined_holes(order, piece)
        holes += [hole for hole in piece.holes if hole not in machined]
    if holes:
        yield "drill"
    if any(hole.thread for hole in holes):
        yield "tap"


def _moving_steps(order: Order, design: Design) -> Iterator[str]:
    for case in order.case:
        yield from CASE_KINDS[case.kind].cautions
    if design.cavities:
        yield "carry"
    if any(joint.kind == "gear mesh" for joint in design.joints):
        yield "gears"


def cautions_of(steps: Iterable[str]) -> tuple[Caution, ...]:
    """Every caution of these steps, in order of work."""
    return tuple(one for step in steps for one in cautions_for(step))
