"""The scene: all that page and picture show of a whole, in one record. Pieces in their places and ways out, what is bought, its
liquid at rest, the seams that meet and those that do not seal, and the moves that can be played.

Millimetres, z up, in the axes of the design.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final, Literal

from assemblies.design.model import Placed
from assemblies.packet.models.hardware import Body, hardware
from assemblies.packet.models.shapes import Shape, closed
from assemblies.packet.models.trains import gears_play
from assemblies.report.figures import amount, between
from parts.lengths import LengthUnit, gauge_length
from parts.vectors import Vector

if TYPE_CHECKING:
    from assemblies.examine import Examined
    from assemblies.motion.plans.plays import Play

__all__ = ["FROM", "Mark", "Pool", "Scene", "SeamFace", "marks_of", "scene_of"]

Report = Mapping[str, Any]
Level = Literal["ok", "care", "stop"]
#: Towards the eye of page and picture: right, front, above. Judgement.
FROM: Final[Vector] = (0.62, -1.0, 0.58)
_THIN_MM: Final = 2.0  # a seam's face is drawn where the boxes of its pieces meet in so little
_LEAST_MM: Final = 0.8
_DOT_MM: Final = 3.2
_ROUND: Final = math.tau / 60.0  # rad/s of one turn a minute


@dataclass(frozen=True, kw_only=True, eq=False)
class Pool:
    """Liquid at rest: all that it can fill, the height of its surface, its volume; and what it is called."""

    name: str
    room: Shape
    level_mm: float
    volume_mm3: float


@dataclass(frozen=True, kw_only=True)
class SeamFace:
    """Where two pieces meet, as a box: its low and high corner."""

    id: str
    a: str
    b: str
    level: Level
    low: Vector
    high: Vector


@dataclass(frozen=True, kw_only=True)
class Mark:
    """What does not seal, go in or fit: how grave, what, shortly with its figure and whole, where, whose, which are red."""

    level: Level
    id: str
    short: str
    text: str
    at: Vector
    pieces: tuple[str, ...]
    red: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, eq=False)
class Scene:
    """What is shown.

    Attributes:
        placed: every instance.
        ways: by name, how far it is moved when all is taken apart.
        bodies: what is bought.
        pool: its liquid, as it stands.
        seams, marks: where pieces meet; what is wrong with them.
        plays: what moves.
    """

    placed: tuple[Placed, ...]
    ways: Mapping[str, Vector] = field(default_factory=dict)
    bodies: tuple[Body, ...] = ()
    pool: Pool | None = None
    seams: tuple[SeamFace, ...] = ()
    marks: tuple[Mark, ...] = ()
    plays: tuple[Play, ...] = ()


def scene_of(found: Examined) -> Scene:
    """The scene of an examined order; of what was not asked there is nothing in it."""
    from assemblies.fit.apart.explode import Exploded
    from assemblies.motion.plans.moves import Moves
    from assemblies.shop.handover.buying import Buying

    made, report = found.made, found.report
    exploded, fit = made.of(Exploded), report.get("fit")
    boxes = {p.name: p.box for p in made.design.placed}
    return Scene(
        placed=made.design.placed,
        ways={} if exploded is None else dict(exploded.offsets),
        bodies=tuple(hardware(made.design, made.of(Buying))),
        pool=_pool(found),
        seams=() if fit is None else tuple(_face(seam, boxes) for seam in fit["seams"]),
        marks=tuple(marks_of(report, found.order.units)),
        plays=tuple(_plays(found, made.of(Moves))),
    )


def _pool(found: Examined) -> Pool | None:
    from assemblies.liquid.state import LiquidState

    state = found.made.of(LiquidState)
    if state is None or state.fill_l <= 0.0:
        return None
    low, _ = state.cavity.body.span((0.0, 0.0, 1.0))
    return Pool(
        name=state.fluid.name,
        room=closed(state.cavity),
        level_mm=low + state.fill_depth_mm,
        volume_mm3=state.fill_l * 1e6,
    )


def _plays(found: Examined, moves: Any) -> Iterator[Play]:
    from assemblies.kinds.gearbox.figures import Gears
    from assemblies.liquid.state import LiquidState
    from assemblies.motion.plans.plays import plays

    yield from plays(found.order, moves, found.made.of(LiquidState))
    gears = found.made.of(Gears)
    turning = gears_play(found.design, gears.gears[0].speed * _ROUND) if gears is not None else None
    if turning is not None:
        yield turning


def _face(seam: Report, boxes: Mapping[str, tuple[Vector, Vector]]) -> SeamFace:
    """Where the boxes of its pieces meet in a face; a dot at its middle where they lie askew."""
    (low_a, high_a), (low_b, high_b) = boxes[seam["a"]], boxes[seam["b"]]
    low = [max(p, q) for p, q in zip(low_a, low_b, strict=True)]
    high = [min(p, q) for p, q in zip(high_a, high_b, strict=True)]
    size = [q - p for p, q in zip(low, high, strict=True)]
    middle = [(p + q) / 2.0 for p, q in zip(low, high, strict=True)]
    if not -_THIN_MM < min(size) < _THIN_MM or sorted(size)[1] < _THIN_MM:
        middle, size = list(seam["centre"]), [_DOT_MM] * 3
    half = [max(s, _LEAST_MM) / 2.0 for s in size]
    ends = [tuple(m + sign * h for m, h in zip(middle, half, strict=True)) for sign in (-1.0, 1.0)]
    return SeamFace(id=seam["id"], a=seam["a"], b=seam["b"], level=_level(seam), low=ends[0], high=ends[1])  # type: ignore[arg-type]


def _level(seam: Report) -> Level:
    level: Level = "stop" if not seam["goes_in"] else seam["seals"]
    return level


def marks_of(report: Report, unit: LengthUnit) -> Iterator[Mark]:
    """What the report says does not seal, go in or fit; its figures in this unit."""
    if "fit" in report:
        yield from _seam_marks(report["fit"], unit)
        yield from _hit_marks(report)


def _seam_marks(fit: Report, unit: LengthUnit) -> Iterator[Mark]:
    captive = {seam: loop["piece"] for loop in fit.get("loops", ()) for seam in loop["seams"]}
    for s in fit["seams"]:
        if _level(s) == "ok":
            continue
        most, over = gauge_length(s["gap"]["max"], unit), gauge_length(-s["gap"]["min"], unit)
        said, red = [], []
        if not s["goes_in"]:
            said.append(f"may not go in, up to {over} too large")
            red = [captive[s["id"]]] if s["id"] in captive else [s["a"], s["b"]]
        if s["seals"] != "ok":
            grave = "thin solvent does not bridge it" if s["seals"] == "stop" else "more than is good"
            said.append(f"the gap may be {most}: {grave}")
        short = f"gap {most}" if s["goes_in"] else f"{over} too large"
        text = f"Seam {s['id']}, {between(s)}: {'; '.join(said)}."
        yield _mark(_level(s), (s["id"], short), text, s["centre"], [s["a"], s["b"]], red)


def _hit_marks(report: Report) -> Iterator[Mark]:
    middles = {frozenset((s["a"], s["b"])): s["centre"] for s in report["fit"]["seams"]}
    origins = {p["name"]: p["origin"] for p in report["placed"]}
    for hit in report["fit"].get("interferences") or ():
        pair, volume = [hit["a"], hit["b"]], amount(hit["volume_mm3"], "mm3", 1)
        at = middles.get(frozenset(pair), origins[hit["b"]])
        text = f"{hit['a']} and {hit['b']} run into each other: they share {volume}."
        yield _mark("stop", ("overlap", volume), text, at, pair, pair)


def _mark(
    level: Level, short: tuple[str, str], text: str, at: Sequence[float], pieces: Sequence[str], red: Sequence[str]
) -> Mark:
    return Mark(
        level=level,
        id=short[0],
        short=short[1],
        text=text,
        at=(at[0], at[1], at[2]),
        pieces=tuple(pieces),
        red=tuple(red),
    )
