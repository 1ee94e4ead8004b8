"""The order of assembly, and the exploded view: every piece out along a way it can really go. No kernel.

*Taking apart*. Attachment plates come off first, since they are bonded last; next what is only laid or screwed on
(a lid with its locating strips); next what is bonded to the finished walls (a lid, strips), the highest first. Then the
*shell*, again and again: of all pieces that can leave in a straight line, hitting nothing that is still there, the lowest
goes (by the underside of its box), of two equally low the one whose name comes first. *Assembly* is that order
backwards, so that strips and lid come after what they are bonded to and the last step bonds the plates; a tank's shell is
thus built bottom up side down, its base going in after its walls. What is bonded to a piece that is only laid on is put on
that piece first and goes in with it. A plate that other pieces shut in waits for them, and a `care` says so. Pieces of
which none can leave *lock each other*: a `care` names the smallest such group found, and one of them is drawn out all the
same. Faces that touch may slide. Which way of several a piece takes is told at `ways_out`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from assemblies.design.model import Axis, Design, Placed
from assemblies.fit.apart.sweep import Sweeps
from assemblies.fit.joints import joint_kind
from assemblies.fit.running import bore_mm
from parts.findings import Finding
from parts.vectors import Vector

__all__ = ["EYE", "Exploded", "Step", "assembly_rows", "explode", "ways_out"]

#: Least and greatest gap between exploded pieces, as parts of the design's diagonal: small pieces go less far.
#: Judgement.
_LEAST_GAP, _GREATEST_GAP = 0.07, 0.16
_FARTHEST = 0.9  # and no piece goes farther than this part of the diagonal to be seen
_SMALL = 0.4  # of the diagonal: such a piece is to be seen whole
_CLEAR_MM = 1e-9
_TOUCH_MM = 1e-6
#: Of ways equally far outward: up, then front, right, left, back, down.
_AXES: tuple[Vector, ...] = (
    (0.0, 0.0, 1.0),
    (0.0, -1.0, 0.0),
    (1.0, 0.0, 0.0),
    (-1.0, 0.0, 0.0),
    (0.0, 1.0, 0.0),
    (0.0, 0.0, -1.0),
)

_There = NDArray[np.bool_]
_Floats = NDArray[np.float64]

#: Towards the eye of the isometric picture: right, front, above.
EYE: Vector = (1.0 / math.sqrt(3.0), -1.0 / math.sqrt(3.0), 1.0 / math.sqrt(3.0))


@dataclass(frozen=True, kw_only=True)
class Step:
    """One piece put in its place.

    Attributes:
        step: from 1, in order of assembly.
        name: the instance.
        direction: unit vector along which it leaves; it comes in the other way.
        distance_mm: how far out along it the exploded view shows the piece.
        free: False when it has no straight way out and is drawn out regardless.
        carrier: the piece it is bonded to before that goes in, such as a loose lid; None where it goes in by itself.
    """

    step: int
    name: str
    direction: Vector
    distance_mm: float
    free: bool = True
    carrier: str | None = None

    @property
    def offset(self) -> Vector:
        """Where the exploded view moves the piece, mm."""
        x, y, z = self.direction
        return x * self.distance_mm, y * self.distance_mm, z * self.distance_mm


@dataclass(frozen=True, kw_only=True)
class Exploded:
    """A design taken apart.

    Attributes:
        steps: in order of assembly.
        offsets: for each instance its full way out; a part of it, the same for all, gives a picture half way.
        findings: pieces that lock each other, plates that cannot come last.
    """

    steps: tuple[Step, ...]
    offsets: Mapping[str, Vector]
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True)
class _Exit:
    """How one piece leaves, in order of taking apart."""

    number: int
    direction: Vector
    free: bool


def explode(design: Design) -> Exploded:
    """Take a design apart, piece by piece, and lay the pieces out so that their boxes are apart.

    The answer depends on the design alone, not on the order of its pieces.

    Raises:
        NotCovered: bends that `parts.shape.bent` does not cover; a joint of a kind that has no judge.
    """
    placed = tuple(sorted(design.placed, key=lambda p: p.name))
    apart = [j for j in design.joints if not joint_kind(j.kind).bonded]
    loose = frozenset(j.b for j in apart)
    last = frozenset(name for one in design.releases for name in one.names)
    exits, findings = _take_apart(placed, loose, _threaded(design), last)
    distances = _spread(placed, exits[::-1])
    carriers = _carriers(placed, {frozenset((j.a, j.b)) for j in apart}, loose)
    steps = tuple(
        Step(
            step=k,
            name=placed[way.number].name,
            direction=way.direction,
            distance_mm=distances[way.number],
            free=way.free,
            carrier=carriers.get(placed[way.number].name),
        )
        for k, way in enumerate(_carried_after(placed, exits[::-1], carriers), start=1)
    )
    return Exploded(steps=steps, offsets={s.name: s.offset for s in steps}, findings=tuple(findings))


def assembly_rows(exploded: Exploded) -> list[dict[str, object]]:
    """The report's `assembly`: plain data, in order of assembly."""
    return [
        {
            "step": s.step,
            "name": s.name,
            "direction": list(s.direction),
            "distance": s.distance_mm,
            "carrier": s.carrier,
        }
        for s in exploded.steps
    ]


def _carriers(placed: Sequence[Placed], apart: set[frozenset[str]], loose: frozenset[str]) -> dict[str, str]:
    """What is bonded to a larger piece that is itself only laid on, and goes in with that one.

    Args:
        placed: all instances.
        apart: pairs that touch and are not bonded.
        loose: what is only laid or screwed on.
    """
    laid = sorted((p for p in placed if p.name in loose), key=lambda p: (-p.piece.outline.area_mm2, p.name))
    out: dict[str, str] = {}
    for k, small in enumerate(laid):
        for large in laid[:k]:
            if frozenset((small.name, large.name)) not in apart and _touch(small.box, large.box):
                out[small.name] = out.get(large.name, large.name)
                break
    return out


def _touch(a: tuple[Vector, Vector], b: tuple[Vector, Vector]) -> bool:
    """Whether two boxes meet in a face: overlap along two axes, and just touch along the third."""
    over = sorted(min(a[1][k], b[1][k]) - max(a[0][k], b[0][k]) for k in range(3))
    return abs(over[0]) < _TOUCH_MM < over[1]


def _carried_after(placed: Sequence[Placed], exits: Sequence[_Exit], carriers: Mapping[str, str]) -> list[_Exit]:
    """Exits in order of assembly, what is carried right after what carries it."""
    own = [way for way in exits if placed[way.number].name not in carriers]
    out: list[_Exit] = []
    for way in own:
        name = placed[way.number].name
        out += [way, *(w for w in exits if carriers.get(placed[w.number].name) == name)]
    return out


def ways_out(placed: Placed, centre: Vector) -> tuple[Vector, ...]:
    """Directions to try, the best first.

    First the piece's own normal if it points away from the design's centre (a wall goes straight out, a plate away
    from the face it sits on); then its own axes and the world's, the more outward the earlier.
    """
    low, high = placed.box
    away = tuple((a + b) / 2.0 - c for a, b, c in zip(low, high, centre, strict=True))
    reach = math.hypot(*away) or 1.0
    normal = _snapped(placed.z)
    own = [_snapped(placed.x), _snapped(placed.y)]
    ways = dict.fromkeys([normal, _minus(normal), *_AXES, *own, *(_minus(d) for d in own)])

    def rank(way: Vector) -> tuple[bool, float]:
        outward = round(_dot(way, away) / reach, 9)
        is_normal = way in (normal, _minus(normal))
        return not (is_normal and outward > 0.0), -outward

    first = {way: k for k, way in enumerate(_AXES)}
    return tuple(sorted(ways, key=lambda way: (*rank(way), first.get(way, len(first)))))


def _threaded(design: Design) -> frozenset[str]:
    """What sits on a shaft or a screw that a joint knows of: it leaves along that, so along its own normal."""
    axes = [j.by.axis for j in design.joints if isinstance(j.by, Axis)]
    return frozenset(p.name for p in design.placed if any(bore_mm(p, axis) is not None for axis in axes))


def _take_apart(
    placed: Sequence[Placed], loose: frozenset[str], threaded: frozenset[str], last: frozenset[str]
) -> tuple[list[_Exit], list[Finding]]:
    """Every piece's exit in order of taking apart. The pieces come sorted by name; `loose` ones are not bonded on, `last` ones
    go on after or with the plates."""
    sweeps = Sweeps(placed)
    centre = _centre(placed)
    ways = [
        tuple(w for w in ways_out(p, centre) if p.name not in threaded or abs(_dot(w, p.z)) > 1.0 - 1e-9)
        for p in placed
    ]
    lowest = sorted(range(len(placed)), key=lambda k: (round(placed[k].box[0][2], 6), placed[k].name))
    plates = [k for k in lowest if placed[k].piece.role == "mount" or placed[k].name in last]
    rest = [k for k in lowest if k not in plates]
    lids = [k for k in rest if placed[k].name in loose]
    bonded = [k for k in rest if placed[k].name not in loose]
    added = [k for k in bonded if placed[k].piece.role in ("stiffener", "lid")]
    added.sort(key=lambda k: -round(placed[k].box[1][2], 6))
    shell = [k for k in bonded if k not in added]
    there = np.ones(len(placed), dtype=bool)
    exits: list[_Exit] = []
    findings: list[Finding] = []
    shut_in: dict[int, list[str]] = {}
    while there.any():
        way = _first_free(sweeps, ways, plates, there)
        if way is None:
            tries = (_first_free(sweeps, ways, some, there) for some in (lids, added, shell))
            way = next((found for found in tries if found is not None), None)
            for plate in plates if way else ():
                if there[plate] and way is not None:
                    shut_in.setdefault(plate, []).append(placed[way.number].name)
        if way is None:
            locked = _core(sweeps, ways, lowest, there)
            findings.append(_locked([placed[k].name for k in sorted(locked)]))
            number = next(k for k in lowest if k in locked)
            way = _Exit(number, ways[number][0], free=False)
        there[way.number] = False
        exits.append(way)
    findings.extend(_plate_not_last(placed[k].name, names) for k, names in shut_in.items())
    return exits, findings


def _first_free(
    sweeps: Sweeps, ways: Sequence[tuple[Vector, ...]], numbers: Sequence[int], there: _There
) -> _Exit | None:
    """The first of the pieces that can leave, and its best way."""
    for number in numbers:
        if there[number]:
            for way in ways[number]:
                if sweeps.blocker(number, way, there) is None:
                    return _Exit(number, way, free=True)
    return None


def _core(sweeps: Sweeps, ways: Sequence[tuple[Vector, ...]], lowest: Sequence[int], there: _There) -> set[int]:
    """A smallest group that locks itself: without any one of them the rest come apart."""

    def stuck(some: _There) -> _There:
        left = some.copy()
        while (way := _first_free(sweeps, ways, lowest, left)) is not None:
            left[way.number] = False
        return left

    core = stuck(there)
    for number in lowest:
        if core[number]:
            without = core.copy()
            without[number] = False
            rest = stuck(without)
            if rest.any():
                core = rest
    return {int(k) for k in np.flatnonzero(core)}


def _spread(placed: Sequence[Placed], exits: Sequence[_Exit]) -> dict[int, float]:
    """How far each piece goes: past all that stand in its way in the exploded state, and a gap that suits its size.

    A piece that goes away from the eye of the picture, such as a plate under a bottom, goes on until it is seen.
    """
    boxes = np.array([p.box for p in placed]).reshape(-1, 2, 3)
    diagonal = float(np.linalg.norm(boxes[:, 1].max(axis=0) - boxes[:, 0].min(axis=0))) if len(boxes) else 0.0
    out: dict[int, float] = {}
    done = np.zeros((0, 2, 3))
    eye = np.array(EYE)
    for way in sorted(exits, key=lambda way: _dot(way.direction, EYE) < 0.0):  # what may be hidden by others after them
        box, direction = boxes[way.number], np.array(way.direction)
        size = float(np.linalg.norm(box[1] - box[0]))
        gap = diagonal * (_LEAST_GAP + (_GREATEST_GAP - _LEAST_GAP) * size / diagonal)
        distance = math.ceil((_clear_of(box, direction, done) + gap) * 10.0) / 10.0
        if direction @ eye < 0.0:
            distance = _into_sight(box, direction, distance, done, diagonal)
        out[way.number] = distance
        done = np.concatenate([done, (box + distance * direction)[None]])
    return out


def _into_sight(box: _Floats, direction: _Floats, nearest: float, others: _Floats, diagonal: float) -> float:
    """The least distance at which no other box stands before the piece, or else before its middle; else the nearest.

    A large piece, such as a wall, need only show its middle.
    """
    middle, half = box.mean(axis=0), (box[1] - box[0]) / 2.0
    corners = middle + 0.9 * half * np.array(list(product((-1.0, 1.0), repeat=3)))
    small = float(np.linalg.norm(2.0 * half)) < _SMALL * diagonal
    distances = np.arange(nearest, _FARTHEST * diagonal, max(_FARTHEST * diagonal / 100.0, 0.1))
    for points in (corners, middle[None]) if small else (middle[None],):
        for distance in distances:
            if not _is_hidden(points + distance * direction, others):
                return math.ceil(float(distance) * 10.0) / 10.0
    return nearest


def _is_hidden(points: _Floats, boxes: _Floats) -> bool:
    """Whether a box stands between the eye and any of the points (n, 3)."""
    times = (boxes[None] - points[:, None, None]) / np.array(EYE)
    enter = times.min(axis=2).max(axis=2)  # a line of sight is in a box while it is between all its pairs of planes
    leave = times.max(axis=2).min(axis=2)
    return bool(((leave > 0.0) & (enter < leave - _CLEAR_MM)).any())


def _clear_of(box: _Floats, direction: _Floats, others: _Floats) -> float:
    """How far a box must go along a direction until it is past every other box that lies on its way."""
    if not len(others):
        return 0.0
    enter, leave = np.full(len(others), -np.inf), np.full(len(others), np.inf)
    for axis in range(3):
        to_low, to_high = others[:, 0, axis] - box[1, axis], others[:, 1, axis] - box[0, axis]
        step = direction[axis]
        if abs(step) < 1e-12:
            apart = (to_low > -_CLEAR_MM) | (to_high < _CLEAR_MM)
            leave[apart] = -np.inf
            continue
        times = np.sort(np.stack([to_low, to_high]) / step, axis=0)
        enter, leave = np.maximum(enter, times[0]), np.minimum(leave, times[1])
    on_the_way = (leave - enter > _CLEAR_MM) & (leave > 0.0)
    return float(leave[on_the_way].max(initial=0.0))


def _centre(placed: Sequence[Placed]) -> Vector:
    """The middle of the box round everything."""
    lows, highs = zip(*(p.box for p in placed), strict=True) if placed else (((0.0,) * 3,), ((0.0,) * 3,))
    x, y, z = ((min(low[k] for low in lows) + max(high[k] for high in highs)) / 2.0 for k in range(3))
    return x, y, z


def _snapped(way: Vector) -> Vector:
    """The same direction of unit length, an axis exactly where it is one within rounding."""
    for axis in _AXES:
        if _dot(way, axis) > 1.0 - 1e-15:
            return axis
    long = math.hypot(*way)
    x, y, z = (round(c / long, 15) + 0.0 for c in way)
    return x, y, z


def _minus(a: Vector) -> Vector:
    return 0.0 - a[0], 0.0 - a[1], 0.0 - a[2]


def _dot(a: Sequence[float], b: Sequence[float]) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _care(names: Sequence[str], why: str, do: str) -> Finding:
    return Finding(
        level="care",
        check="assembly",
        where=", ".join(names),
        why=why,
        do=do,
        source="computed: geometry of the placed outlines",
    )


def _locked(names: Sequence[str]) -> Finding:
    listed = " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)
    return _care(
        names,
        f"no straight way out: {listed} lock each other, so they cannot go together one by one in a straight line",
        "Split or turn one of them, or put them together as a group before the rest.",
    )


def _plate_not_last(name: str, waits_for: Sequence[str]) -> Finding:
    return _care(
        [name],
        f"this attachment plate cannot be bonded on last: it only comes off once these are off: {', '.join(waits_for)}",
        "Bond it before them, or move it to a face that stays open.",
    )
