"""A tank's filling and emptying: each drain, the overflow against the feed, and how fast it may be filled.

*Calm*: as fast as the jet may come without slopping over, of two limits the lower: its push, ρQ²/a, sets the surface as steep
as an even acceleration of so much on all that is in it, and twice that when it starts (mechanics; only the push, no splash:
an estimate); and the speed from which a jet draws air and splashes (judgement).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from assemblies.design.model import Design
from assemblies.liquid.engine import G_MM_S2, settle
from assemblies.liquid.shapes.openings import OVER_THE_RIM, Lip, Port
from assemblies.liquid.state import LiquidState
from assemblies.motion.filling.flow import draining, head_for, lip_needs
from assemblies.motion.pour.weir import DOUBT, LEAST_HEAD_MM
from assemblies.order import Order, PortSpec
from parts.findings import NotCovered
from parts.stock.rules import rule
from parts.stock.thread import thread

__all__ = ["Behind", "Calm", "Drain", "Filling", "Over", "filling_of"]

_UP: Final = (0.0, 0.0, 1.0)
_CALM_MM_S: Final = 1000.0  # of the jet; judgement
_SHALLOW: Final = 0.05  # of the longest side: shallower, the theory of waves has nothing to say
_HOSE_MM: Final = 13.0  # a half-inch hose; judgement


@dataclass(frozen=True, kw_only=True)
class Drain:
    """How long a port empties it, s, and what is left when it begins to suck air, L; or why that is not known."""

    port: str
    bore_mm: float
    head_mm: float
    seconds: float | None = None
    left_l: float | None = None
    why: str = ""


@dataclass(frozen=True, kw_only=True)
class Over:
    """What runs over at the feed: by which way, how high it then stands over that edge or middle, how high it may.

    Attributes:
        way: how it goes.
        head_mm, most_mm: with a quarter in doubt; up to where it would run over elsewhere.
        rough: the head is below the published range.
    """

    way: str
    head_mm: float
    most_mm: float
    rough: bool

    @property
    def holds(self) -> bool:
        return self.head_mm <= self.most_mm


@dataclass(frozen=True, kw_only=True)
class Behind:
    """A port behind a weir: the head that the feed needs over its middle, and what there is up to the weir's edge, mm."""

    port: str
    head_mm: float
    most_mm: float

    @property
    def holds(self) -> bool:
        return self.head_mm <= self.most_mm


@dataclass(frozen=True, kw_only=True)
class Calm:
    """The fastest that it may be filled without slopping, L/min; what goes in within a minute so, L; what limits it."""

    l_min: float
    in_a_minute_l: float
    limit: str
    bore_mm: float
    given: bool


@dataclass(frozen=True, kw_only=True)
class Filling:
    """All of it; `feed_l_min` and what hangs on it where the order names one."""

    drains: tuple[Drain, ...] = ()
    feed_l_min: float | None = None
    fill_min: float | None = None
    over: Over | None = None
    over_why: str = ""
    brim_min: float | None = None
    behind: tuple[Behind, ...] = ()
    calm: Calm | None = None


def filling_of(order: Order, design: Design, state: LiquidState) -> Filling | None:
    """What is known of it; None where the order names neither a feed nor a port that drains or fills."""
    feed = order.liquid.feed if order.liquid else None
    asked = feed is not None or any(port.kind in ("drain", "fill") for port in order.port)
    if not asked or state.fill_l <= 0.0:
        return None
    drains = tuple(_drains(order, state))
    if feed is None:
        return Filling(drains=drains, calm=_calm(order, state))
    flow = feed * 1e6 / 60.0
    over, why = None, ""
    try:
        over = _over(order, state, flow)
    except NotCovered as error:
        why = str(error)
    return Filling(
        drains=drains,
        feed_l_min=feed,
        fill_min=state.fill_l / feed,
        over=over,
        over_why=why,
        brim_min=(state.capacity_l - state.fill_l) / feed,
        behind=tuple(_behind(order, design, state, flow)),
        calm=_calm(order, state),
    )


def _viscosity(state: LiquidState) -> float:
    """Kinematic, mm2/s."""
    return state.fluid.viscosity_mpa_s / state.fluid.density_kg_m3 * 1e3


def _bore(port: PortSpec) -> float:
    """Of a thread, that of the fitting in it."""
    return thread(port.thread).major_mm * rule("fitting_bore") if port.thread else port.diameter or 0.0


def _specs(order: Order) -> dict[str, PortSpec]:
    return {f"{port.kind}-{index + 1}": port for index, port in enumerate(order.port)}


def _level(state: LiquidState, volume_l: float) -> float:
    return settle(state.cavity, volume_l * 1e6, density_kg_m3=state.fluid.density_kg_m3).level_mm


def _drains(order: Order, state: LiquidState) -> Iterator[Drain]:
    level, specs = _level(state, state.fill_l), _specs(order)
    for port in state.cavity.ports:
        spec = specs.get(port.name)
        if port.kind != "drain" or spec is None:
            continue
        bore, middle = _bore(spec), port.circle.centre[2]
        head = level - middle
        try:
            seconds, left = draining(state.cavity, level, middle, bore, _viscosity(state))
            settle(state.cavity, left)  # in one pool to the end
        except NotCovered as error:
            yield Drain(port=port.name, bore_mm=bore, head_mm=head, why=str(error))
        else:
            yield Drain(port=port.name, bore_mm=bore, head_mm=head, seconds=seconds, left_l=left / 1e6)


def _over(order: Order, state: LiquidState, flow: float) -> Over | None:
    """What runs over first when it is fed on; None where that is the rim.

    Raises:
        NotCovered: it has no way out; the law of that way ends.
    """
    ways = sorted(state.cavity.openings, key=lambda way: way.lowest(_UP)[2])
    if not ways:
        raise NotCovered("it is closed, and is filled against its own air")
    first = ways[0]
    if isinstance(first, Lip) and first.way == OVER_THE_RIM:
        return None
    flow *= 1.0 + DOUBT
    rest = [way.lowest(_UP)[2] for way in ways if way is not first and not _same(way, first)]
    at = first.lowest(_UP)[2]
    if isinstance(first, Port):
        spec = _specs(order)[first.name]
        head, at, rough = head_for(_bore(spec), flow), first.circle.centre[2], False
        way = f"through {first.name}"
    else:
        whole = first.way.startswith("over the weir")
        head = lip_needs(math.dist(first.corners[0], first.corners[-1]), flow, 0 if whole else 2)
        rough, way = head < LEAST_HEAD_MM, first.way
    return Over(way=way, head_mm=head, most_mm=min(rest, default=math.inf) - at, rough=rough)


def _same(one: Lip | Port, other: Lip | Port) -> bool:
    """Whether a rim ends at the very corner of an edge: it is no way out lower than its own."""
    return isinstance(one, Lip) and isinstance(other, Lip) and one.way == other.way


def _behind(order: Order, design: Design, state: LiquidState, flow: float) -> Iterator[Behind]:
    """Ports that stand behind a weir, which must carry what comes over it."""
    known = {port.name for port in state.cavity.ports}
    weirs = [lip for lip in state.cavity.lips if lip.way.startswith("over the weir")]
    if not weirs:
        return
    edge = min(corner[2] for lip in weirs for corner in lip.corners)
    height = max(p.box[1][2] for p in design.placed if p.piece.role == "shell")
    low = min(c[2] for face in state.cavity.faces for c in face.corners)
    for name, port in _specs(order).items():
        if name not in known and port.kind in ("spout", "overflow") and port.on != "lid":
            middle = low if port.on == "bottom" else height / 2.0 + port.at[1]
            yield Behind(port=name, head_mm=head_for(_bore(port), flow * (1.0 + DOUBT)), most_mm=edge - middle)


def _calm(order: Order, state: LiquidState) -> Calm | None:
    """How fast it may be filled: looked at from where waves have a theory up to the ordered fill."""
    given = order.liquid.hose if order.liquid else None
    fills = [_bore(port) for port in order.port if port.kind == "fill"]
    bore = given or (min(fills) if fills else _HOSE_MM)
    area = math.pi * bore**2 / 4.0
    low, high = zip(*(state.cavity.body.span(way) for way in ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0))), strict=True)
    length = max(b - a for a, b in zip(low, high, strict=True))
    floor = state.cavity.body.span(_UP)[0]
    limits = []
    for share in (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0):
        try:
            still = settle(state.cavity, share * state.fill_l * 1e6)
        except NotCovered:
            continue
        if still.level_mm - floor >= _SHALLOW * length and still.freeboard_mm > 0.0:
            limits.append(math.sqrt(still.freeboard_mm * G_MM_S2 * still.kept_mm3 * area / length))
    if not limits:
        return None
    flow = min(*limits, _CALM_MM_S * area) if limits else _CALM_MM_S * area
    l_min = flow * 60e-6
    why = "its push" if flow < _CALM_MM_S * area else f"a jet of {_CALM_MM_S / 1000.0:g} m/s draws air and splashes"
    return Calm(
        l_min=l_min, in_a_minute_l=min(l_min, state.fill_l), limit=why, bore_mm=bore, given=bool(given or fills)
    )
