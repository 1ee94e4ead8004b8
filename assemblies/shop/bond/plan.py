"""The bonding plan: which seam after which, how it lies, from which side the needle runs, how much solvent.

Everything is put together dry and taped first; only then solvent goes in, seam by seam. *Down*: the piece that lies on
the bench while a seam is filled, so that the seam is level and the solvent stays in it: of a sheet face and a cut edge
the face lies down, of two faces the larger piece. *Inside*: a seam that opens onto the space for liquid and that a hand
reaches is filled from there, away from the tape.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from assemblies.design.model import Design
from assemblies.fit import Fit, joint_kind
from assemblies.fit.apart.explode import Exploded
from assemblies.fit.check import SeamFit
from assemblies.fit.curved import ALONG, SADDLE
from assemblies.fit.seams import Seam
from assemblies.shop.bond.solvent import Room, Solvent, solvent
from assemblies.shop.bond.tabbed import tabbed_seams
from assemblies.shop.care.rules import figure
from parts.vectors import Vector, cross

__all__ = ["REST", "TAPED", "BondSettings", "BondingPlan", "SeamPlan", "bonding_plan", "inside_box"]

REST = "ramp-rest"  # the kind of piece that a sloped floor rests on
#: Kinds of seams that are put together dry and taped with the whole.
TAPED = ("corner", "lid")
_RANKS = ("along", "rest", "corner", "saddle", "lid", "plate")
_FACES = ("near", "far")
_TOUCH_MM = 0.5  # a seam this near the space for liquid opens onto it
_ROUNDING_MM = 1e-6  # a size at a limit is inside it
_LEAST_MOUTH_MM = 1.0  # and it does so over at least this length


@dataclass(frozen=True, kw_only=True)
class BondSettings:
    """What the shop says of itself; what it does not say is assumed, and the report says so.

    Attributes:
        solvent: a name of the table `solvents`; None is "not stated", and then the worst of the table is reckoned with.
        room_m3, air_changes_h: of the room; None takes the rules `room` and `air_changes`.
        clamped_mm: thickness of what the plates are bolted to; None takes the rule `clamped`.
    """

    solvent: str | None = None
    room_m3: float | None = None
    air_changes_h: float | None = None
    clamped_mm: float | None = None

    @property
    def chosen(self) -> Solvent | None:
        """The stated solvent.

        Raises:
            SolventError: it is not in the table.
        """
        return None if self.solvent is None else solvent(self.solvent)

    @property
    def room(self) -> Room:
        """The room to reckon with.

        Raises:
            SolventError: no volume, or air changes below 0.
        """
        return Room(
            volume_m3=figure("room").value if self.room_m3 is None else self.room_m3,
            air_changes_h=figure("air_changes").value if self.air_changes_h is None else self.air_changes_h,
        )


@dataclass(frozen=True, kw_only=True)
class SeamPlan:
    """How one seam is bonded.

    Attributes:
        number: from 1, in order of bonding.
        fit: the seam and its gap.
        kind: `along` of a tube that is rolled, `rest` of what carries a sloped floor while it is bonded, `corner`, `saddle` of
            an edge on the outside of a tube, `lid` or `plate`.
        down: the piece that lies on the bench; None where the seam runs round.
        floor: unit vector in the design's axes that points to the floor then.
        turn: True when the work must be turned over from the seam before.
        feed: `inside`, `outside` or `edges` (a plate, all round).
        gap_mm: what the solvent has to fill.
        ml: that volume.
        tape_m: along the outside of the seam, tabs across it counted in; 0 for a plate.
    """

    number: int
    fit: SeamFit
    kind: str
    down: str | None
    floor: Vector
    turn: bool
    feed: str
    gap_mm: float
    ml: float
    tape_m: float

    @property
    def seam(self) -> Seam:
        return self.fit.seam


@dataclass(frozen=True, kw_only=True)
class BondingPlan:
    """The bonding of one made thing; `draw_ml` is `net_ml` with its losses, up to the next mark of the syringe."""

    seams: tuple[SeamPlan, ...]
    taped: tuple[str, ...]
    net_ml: float
    draw_ml: float
    tape_m: float

    @property
    def turns(self) -> int:
        return sum(s.turn for s in self.seams)


def bonding_plan(design: Design, fit: Fit, exploded: Exploded) -> BondingPlan | None:
    """The bonding of a design, or None when nothing of it is bonded.

    Millilitres of a seam are its area times the greatest gap it can have, at least the rule `least_film`; in all they are
    multiplied by the rule `losses`.
    """
    bonded = [*(s for s in fit.seams if joint_kind(s.seam.kind).bonded), *tabbed_seams(design)]
    if not bonded:
        return None
    space = inside_box(design)
    rows: list[SeamPlan] = []
    lying: Vector | None = None
    for number, laid in enumerate(
        _in_order([_laid(design, one) for one in bonded], _stages(design, exploded)), start=1
    ):
        one, gap = laid.fit, _gap(laid.fit)
        rows.append(
            SeamPlan(
                number=number,
                fit=one,
                kind=laid.kind,
                down=laid.down,
                floor=laid.floor,
                turn=lying is not None and lying != laid.floor,
                feed=_feed(one.seam, laid.kind, space),
                gap_mm=gap,
                ml=one.seam.area_mm2 * gap / 1000.0,
                tape_m=0.0 if laid.kind == "plate" else _tape_m(one.seam),
            )
        )
        lying = laid.floor
    net = sum(s.ml for s in rows)
    step = figure("draw_step").value
    taped = {n for s in rows if s.kind in TAPED for n in (s.seam.a, s.seam.b)}
    return BondingPlan(
        seams=tuple(rows),
        taped=tuple(p.name for p in design.placed if p.name in taped),
        net_ml=net,
        draw_ml=step * math.ceil(net * figure("losses").value / step - 1e-9),
        tape_m=figure("tape_spare").value * sum(s.tape_m for s in rows),
    )


def _gap(one: SeamFit) -> float:
    return max(one.gap.max, figure("least_film").value)


def _kind(design: Design, seam: Seam) -> str:
    if seam.kind in (ALONG, SADDLE):
        return seam.kind
    pieces = [design.instance(n).piece for n in (seam.a, seam.b)]
    if any(piece.kind == REST for piece in pieces):
        return "rest"
    roles = {piece.role for piece in pieces}
    if any({seam.a, seam.b} <= {one.plate, *one.names} for one in design.releases):
        return "plate"
    return "plate" if "mount" in roles else "lid" if "lid" in roles else "corner"


@dataclass(frozen=True, kw_only=True)
class _Laid:
    """A seam with its kind and how it lies, as in `SeamPlan`."""

    fit: SeamFit
    kind: str
    down: str | None
    floor: Vector


def _laid(design: Design, one: SeamFit) -> _Laid:
    down, floor = _down(design, one.seam)
    return _Laid(fit=one, kind=_kind(design, one.seam), down=down, floor=floor)


def _in_order(bonded: Sequence[_Laid], step: Mapping[str, int]) -> list[_Laid]:
    """The seam along a rolled tube first, then what a sloped floor rests on, corners, saddles, the lid, plates last; among them
    in order of assembly, turning the work as little as can be.

    Strips that go on one after the other at one height are all taped before any of them is bonded: they count as one step.
    """
    last = max(step.values(), default=0) + 1
    groups: dict[tuple[int, int], list[_Laid]] = {}
    for one in bonded:
        rank = _RANKS.index(one.kind)
        there = max(step.get(name, last) for name in (one.fit.seam.a, one.fit.seam.b))
        groups.setdefault((rank, there), []).append(one)
    out: list[_Laid] = []
    lying: Vector | None = None
    for key in sorted(groups):
        by_floor: dict[Vector, list[_Laid]] = {}
        for one in groups[key]:
            by_floor.setdefault(one.floor, []).append(one)
        for seams in by_floor.values():
            firsts = list(dict.fromkeys(one.down for one in seams))
            seams.sort(key=lambda one: firsts.index(one.down))
        for floor in sorted(by_floor, key=lambda way: way != lying):  # what lies right already comes first
            out += by_floor[floor]
            lying = floor
    return out


def _stages(design: Design, exploded: Exploded) -> dict[str, int]:
    """The step of each piece; of strips that follow one another and end at one height, the last one's."""
    out: dict[str, int] = {}
    height: float | None = None
    for step in reversed(exploded.steps):
        one = design.instance(step.name)
        top = round(one.box[1][2], 6) if one.piece.role == "stiffener" else None
        after = out.get(exploded.steps[step.step].name) if step.step < len(exploded.steps) else None
        out[step.name] = after if after is not None and top is not None and top == height else step.step
        height = top
    return out


def _down(design: Design, seam: Seam) -> tuple[str | None, Vector]:
    """The piece that lies on the bench, and the direction to the floor in the design's axes."""
    if seam.kind == ALONG:  # seam up: down is from it to the axis
        return None, _clean(-c for c in cross(seam.normal, seam.along))
    if seam.kind == SADDLE:  # the tube lies on its side, what is set on it stands up
        return seam.a, _clean(-round(c / max(map(abs, seam.normal))) for c in seam.normal)
    if seam.a_end == "round":
        return None, _clean(tuple(-c for c in seam.normal))
    flat_a, flat_b = seam.a_end in _FACES, seam.b_end in _FACES
    if flat_a == flat_b:
        areas = [design.instance(n).piece.outline.area_mm2 for n in (seam.a, seam.b)]
        a_down = areas[0] >= areas[1]
    else:
        a_down = flat_a
    # `normal` points out of a, towards b: with a below it points up.
    return (seam.a, _clean(tuple(-c for c in seam.normal))) if a_down else (seam.b, _clean(seam.normal))


def _clean(way: Iterable[float]) -> Vector:
    x, y, z = (round(c, 9) + 0.0 for c in way)
    return x, y, z


def inside_box(design: Design) -> tuple[Vector, Vector] | None:
    """The box round the space for liquid, or None when the design has none or only what a mesh describes."""
    corners: list[Vector] = []
    for cavity in design.cavities:
        corners += [c for face in cavity.faces for c in face.corners]
        if cavity.cylinder is not None:
            base, top, r = cavity.cylinder.base, cavity.cylinder.rim.centre, cavity.cylinder.radius_mm
            wide = [r * math.sqrt(max(0.0, 1.0 - a * a)) for a in cavity.cylinder.axis]
            for end in (base, top):
                for sign in (-1.0, 1.0):
                    x, y, z = (c + sign * w for c, w in zip(end, wide, strict=True))
                    corners.append((x, y, z))
    if not corners:
        return None
    low = (min(c[0] for c in corners), min(c[1] for c in corners), min(c[2] for c in corners))
    high = (max(c[0] for c in corners), max(c[1] for c in corners), max(c[2] for c in corners))
    return low, high


def _feed(seam: Seam, kind: str, space: tuple[Vector, Vector] | None) -> str:
    """From which side the needle runs."""
    if kind == "plate":
        return "edges"
    if kind in ("along", "rest", "saddle", "lid") or space is None or not _hand_goes_in(space):
        return "outside"
    return "inside" if _opens_onto(seam, space) else "outside"


def _hand_goes_in(space: tuple[Vector, Vector]) -> bool:
    """A hand enters from above: two sides wide enough, and not too deep."""
    length, width, depth = (b - a for a, b in zip(*space, strict=True))
    wide, deep = figure("hand_opening").value, figure("hand_reach").value
    return min(length, width) >= wide - _ROUNDING_MM and depth <= deep + _ROUNDING_MM


def _opens_onto(seam: Seam, space: tuple[Vector, Vector]) -> bool:
    """True when an edge of the seam runs along the space for liquid."""
    if not seam.corners:
        return True  # a ring or disc in a tube that holds liquid
    ends = zip(seam.corners, (*seam.corners[1:], seam.corners[0]), strict=True)
    return any(_inside_length(p, q, space) >= _LEAST_MOUTH_MM for p, q in ends)


def _inside_length(p: Vector, q: Vector, space: tuple[Vector, Vector]) -> float:
    """Length of the line from p to q that lies in the box, grown by what counts as touching."""
    start, end = 0.0, 1.0
    for k in range(3):
        low, high, way = space[0][k] - _TOUCH_MM, space[1][k] + _TOUCH_MM, q[k] - p[k]
        if abs(way) < 1e-12:
            if not low <= p[k] <= high:
                return 0.0
            continue
        enter, leave = sorted(((low - p[k]) / way, (high - p[k]) / way))
        start, end = max(start, enter), min(end, leave)
    return max(0.0, end - start) * math.dist(p, q)


def _tape_m(seam: Seam) -> float:
    """Along the seam once, and a tab across it every `tape_tab_pitch`, at least two."""
    tabs = max(2, math.ceil(seam.length_mm / figure("tape_tab_pitch").value))
    return (seam.length_mm + tabs * figure("tape_tab_length").value) / 1000.0
