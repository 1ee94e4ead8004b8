"""What is in it and how it stands: what a thing is filled with, and the figures of the check of the liquid."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

from assemblies.design import Design, Placed
from assemblies.design.inside import hollowed, inside_pieces
from assemblies.design.mass import Body, combine, piece_body
from assemblies.liquid.balance import tip_check
from assemblies.liquid.engine import Settled, capacity, depth_for_volume, settle, volume_for_depth
from assemblies.liquid.fluids import Fluid, fluid, own_fluid
from assemblies.liquid.loads.cases import gravity_at_tilt
from assemblies.liquid.pour import first_way, pours_at, spill_tilt
from assemblies.liquid.rigid import liquid_body
from assemblies.liquid.shapes.cavity import Cavity
from assemblies.liquid.shapes.openings import OVER_THE_RIM
from assemblies.order import Order
from parts.findings import Finding, NotCovered, SeamwrightError
from parts.vectors import Vector

__all__ = ["Filled", "Kept", "LiquidState", "filled", "liquid_state"]

_TILTS_DEG = (15.0, 30.0, 45.0, 60.0, 75.0, 90.0)
_WAYS: Mapping[str, Vector] = {
    "right": (1.0, 0.0, 0.0),
    "left": (-1.0, 0.0, 0.0),
    "back": (0.0, 1.0, 0.0),
    "front": (0.0, -1.0, 0.0),
}
_UP: Vector = (0.0, 0.0, 1.0)


@dataclass(frozen=True, kw_only=True)
class Filled:
    """A thing and what is poured into it.

    Attributes:
        fluid: what it is; `assumed` where the order names none.
        cavity: what holds it.
        volume_mm3, most_mm3: as ordered; to the lowest brim or overflow.
        brim: as it stands with the most in it.
        displaced: pieces that stand in it and whose room is not taken out: its level is not right then.
        bodies: each instance by name, without the liquid.
        empty: all of them as one.
    """

    fluid: Fluid
    assumed: bool
    cavity: Cavity
    volume_mm3: float
    most_mm3: float
    brim: Settled
    displaced: tuple[str, ...] = ()
    bodies: Mapping[str, Body]
    empty: Body

    @cached_property
    def pours_at_deg(self) -> float | None:
        """The least tilt in any direction at which it starts to pour, degrees."""
        return _degrees(pours_at(self.cavity, self.volume_mm3))

    @property
    def brim_depth_mm(self) -> float:
        return self.brim.level_mm - self.brim.lowest_mm

    def whole(self, liquid: Settled) -> Body:
        """With what is in it, as it stands."""
        return self.empty if liquid.centre_mm is None else combine([self.empty, liquid_body(liquid)])

    def settled(self, gravity: Vector | None = None) -> Settled:
        """The ordered liquid at rest, or under another gravity (mm/s2)."""
        density = self.fluid.density_kg_m3
        if gravity is None:
            return settle(self.cavity, self.volume_mm3, density_kg_m3=density)
        return settle(self.cavity, self.volume_mm3, gravity, density_kg_m3=density)


@dataclass(frozen=True, kw_only=True)
class Kept:
    """What is left at a slow tilt toward a side: its litres, mass and centre of the whole (the thing's own axes)."""

    toward: str
    tilt_deg: float
    kept_l: float
    whole: Body


@dataclass(frozen=True, kw_only=True)
class LiquidState:
    """The liquid at rest, its weight and its balance.

    Attributes:
        fluid: what it is; `assumed` where the order names none.
        cavity: what holds it.
        capacity_l, fill_l: to the lowest brim or overflow; as ordered.
        fill_depth_mm, brim_depth_mm, freeboard_mm: as filled, when full, and what is left over the surface.
        open: it has a rim that liquid can leave over.
        full_to: `brim`, `opening` or `lid` where no more goes in; else None.
        empty, full: the thing without and with its liquid.
        about_mm: the point that moments of inertia are given about.
        spill_tilt_deg: by the side leaned over, where it starts to pour; None where it never does to 90 degrees.
        pours_at_deg: the same in the worst direction of all.
        spill_by: by the side leaned over, which way it goes first ("over the right", "through the trough on the right").
        at_tilt: what is left at slow tilts.
        tips_at_deg, tips_at_push_m_s2: standing free; None where nothing tips it.
        lost_l, lost_by: by case, what leaves, and which way.
    """

    fluid: Fluid
    assumed: bool
    cavity: Cavity
    capacity_l: float
    fill_l: float
    fill_depth_mm: float
    brim_depth_mm: float
    freeboard_mm: float | None
    open: bool
    full_to: Literal["brim", "opening", "lid"] | None
    empty: Body
    full: Body
    about_mm: tuple[float, float, float]
    spill_tilt_deg: Mapping[str, float | None]
    at_tilt: tuple[Kept, ...]
    tips_at_deg: float | None
    tips_at_push_m_s2: float | None
    lost_l: Mapping[str, float]
    lost_by: Mapping[str, str] = field(default_factory=dict)
    pours_at_deg: float | None = None
    spill_by: Mapping[str, str] = field(default_factory=dict)


def filled(order: Order, design: Design) -> Filled:
    """What a design of one cavity is filled with.

    Raises:
        OrderError: a liquid or fill that cannot be.
    """
    liquid = _fluid(order)
    cavity, odd = hollowed(design)
    if _pools(order, cavity):
        cavity, odd = design.cavities[0], tuple(p.name for p in inside_pieces(design))
    most = capacity(cavity)
    bodies = {p.name: piece_body(p) for p in design.carried}
    return Filled(
        fluid=liquid,
        assumed=order.liquid is None,
        cavity=cavity,
        volume_mm3=_fill_mm3(order, cavity, most),
        most_mm3=most,
        brim=settle(cavity, most, density_kg_m3=liquid.density_kg_m3),
        displaced=odd,
        bodies=bodies,
        empty=combine(bodies.values()),
    )


def _pools(order: Order, cavity: Cavity) -> bool:
    """Whether what stands in it parts the liquid, full or as ordered."""
    most = capacity(cavity)
    try:
        for volume in (most, _fill_mm3(order, cavity, most)) if cavity.solids else ():
            settle(cavity, volume)
    except NotCovered:
        return True
    return False


def _fluid(order: Order) -> Fluid:
    """The order's liquid.

    Raises:
        OrderError: a liquid that is not in the table and has no figures, or one outside its temperatures.
    """
    liquid = order.liquid
    if liquid is None:
        return fluid("water")
    try:
        if liquid.density is not None:
            return own_fluid(liquid.name, liquid.density, liquid.viscosity or 1.0, liquid.temperature)
        return fluid(liquid.name, liquid.temperature)
    except SeamwrightError as error:
        raise order.refuse(("liquid", "name"), str(error), "a liquid of the table, or its density") from error


def _fill_mm3(order: Order, cavity: Cavity, most: float) -> float:
    """The ordered volume; the most it holds where the order names no liquid."""
    if order.liquid is None:
        return most
    fill = order.liquid.fill
    if fill.volume_l is not None:
        volume = fill.volume_l * 1e6
    else:
        assert fill.depth_mm is not None
        depth = cavity.depth_mm
        if fill.depth_mm > depth + 1e-9:
            raise order.refuse(
                ("liquid", "fill"), f"{fill.depth_mm:g} mm is deeper than the inside", f"0 to {depth:g} mm"
            )
        try:
            volume = volume_for_depth(cavity, min(fill.depth_mm, depth)) if fill.depth_mm > 0 else 0.0
        except SeamwrightError as error:
            what = f"{fill.depth_mm:g} mm is over the lowest brim, overflow or other open hole"
            deepest = depth_for_volume(cavity, most)
            allowed = f"at most {math.floor(10.0 * deepest) / 10.0:g} mm, which is {most / 1e6:.3f} L"
            raise order.refuse(("liquid", "fill"), what, allowed) from error
    if volume > most * (1.0 + 1e-9):
        raise order.refuse(
            ("liquid", "fill"),
            f"{volume / 1e6:.3f} L is over what it holds to its lowest brim or overflow",
            f"0 to {most / 1e6:.3f} L",
        )
    return min(volume, most)


def liquid_state(
    design: Design, given: Filled, lost_l: Mapping[str, float], lost_by: Mapping[str, str]
) -> tuple[LiquidState, tuple[Finding, ...]]:
    """The liquid, its weight and balance, and what is to be said where it does not stand by itself.

    Args:
        design: of one cavity.
        given: what is in it.
        lost_l, lost_by: by case, what leaves, and which way.
    """
    cavity, volume = given.cavity, given.volume_mm3
    rest = given.settled()
    low = min(p.box[0][2] for p in _bearing(design))
    tilt, push, falls = _tips(design, given, low)
    spills = {name: _spills(cavity, volume, name) for name in _WAYS}
    state = LiquidState(
        fluid=given.fluid,
        assumed=given.assumed,
        cavity=cavity,
        capacity_l=given.most_mm3 / 1e6,
        fill_l=volume / 1e6,
        fill_depth_mm=rest.level_mm - rest.lowest_mm if volume > 0.0 else 0.0,
        brim_depth_mm=given.brim_depth_mm,
        freeboard_mm=rest.freeboard_mm,
        open=bool(cavity.lips),
        full_to=_full_to(cavity, rest.level_mm) if 0.0 < given.most_mm3 * (1.0 - 1e-9) <= volume else None,
        empty=given.empty,
        full=given.whole(rest),
        about_mm=(0.0, 0.0, low),
        spill_tilt_deg={name: angle for name, (angle, _) in spills.items()},
        spill_by={name: by for name, (_, by) in spills.items()},
        at_tilt=tuple(_at_tilts(given)),
        tips_at_deg=tilt,
        tips_at_push_m_s2=push,
        lost_l=lost_l,
        lost_by=lost_by,
        pours_at_deg=given.pours_at_deg,
    )
    return state, falls


def _full_to(cavity: Cavity, level: float) -> Literal["brim", "opening", "lid"]:
    """Where the liquid stands when no more goes in: at its `brim`, at the lowest `opening` below it, or under its `lid`."""
    if cavity.lips and level >= min(lip.lowest(_UP)[2] for lip in cavity.lips) - 1e-6:
        return "brim"
    return "opening" if any(port.open for port in cavity.ports) else "lid"


def _tips(design: Design, given: Filled, low: float) -> tuple[float | None, float | None, tuple[Finding, ...]]:
    """The tilt (degrees) and push (m/s2) that tip it over standing free; with a finding when it does not even stand."""
    try:
        tip = tip_check(
            given.empty,
            _footprint(design, low),
            low,
            cavity=given.cavity,
            volume=given.volume_mm3,
            density_kg_m3=given.fluid.density_kg_m3,
            directions=_alike(given.empty),
        )
    except NotCovered as error:
        unknown = Finding(
            level="care",
            check="handling",
            where="whole",
            do="set it down in a cradle",
            why=f"where it tips over standing free is not covered: {error}",
            source="judgement: limit of this method",
        )
        return None, None, (unknown,)
    except SeamwrightError as error:
        falls = Finding(
            level="care",
            check="handling",
            where="whole",
            why=f"standing free, it falls over: {error}",
            do="set it down in a cradle",
            source="computed: centre of mass against footprint",
        )
        return 0.0, 0.0, (falls,)
    push = None if tip.acceleration_mm_s2 is None else tip.acceleration_mm_s2 / 1000.0
    return _degrees(tip.tilt_rad), push, ()


def _alike(dry: Body) -> tuple[Vector, ...]:
    """Directions to look in: two are enough for what weighs the same on both sides of its middle."""
    x, y, _ = dry.centre_mm
    return tuple(_WAYS.values()) if max(abs(x), abs(y)) > 1e-3 else (_WAYS["right"], _WAYS["back"])


def _at_tilts(given: Filled) -> Iterator[Kept]:
    """What is kept at slow tilts to the right and to the back; where the engine ends, nothing."""
    for name in ("right", "back"):
        for tilt in _TILTS_DEG if given.volume_mm3 > 0.0 else ():
            try:
                left = given.settled(gravity_at_tilt(math.radians(tilt), _WAYS[name]))
            except NotCovered:
                continue
            yield Kept(toward=name, tilt_deg=tilt, kept_l=left.kept_mm3 / 1e6, whole=given.whole(left))


def _degrees(angle: float | None) -> float | None:
    return None if angle is None else math.degrees(angle)


def _spills(cavity: Cavity, volume: float, side: str) -> tuple[float | None, str]:
    """The tilt at which it starts to pour, degrees, and by which way; None when it reaches none up to a quarter turn."""
    try:
        angle = spill_tilt(cavity, volume, toward=_WAYS[side])
    except SeamwrightError:
        return None, ""
    way = first_way(cavity, angle, _WAYS[side])
    return math.degrees(angle), f"over the {side}" if way == OVER_THE_RIM else way


def _bearing(design: Design) -> tuple[Placed, ...]:
    """What it can stand on: no boss under a base, for which what carries it leaves room; no shoe, which stays on the rig."""
    return tuple(p for p in design.carried if p.piece.kind != "boss")


def _footprint(design: Design, low: float) -> tuple[tuple[float, float], ...]:
    """The box around everything that stands at the lowest level."""
    boxes = [p.box for p in _bearing(design) if abs(p.box[0][2] - low) < 1e-6]
    x0, y0 = min(b[0][0] for b in boxes), min(b[0][1] for b in boxes)
    x1, y1 = max(b[1][0] for b in boxes), max(b[1][1] for b in boxes)
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)
