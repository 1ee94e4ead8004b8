"""Pieces put in their places by words: which way they look, where their low corner is, what they stand against.

*left* and *right* are along x, *front* and *back* along y, *down* and *up* along z, the lesser first. The *box* of a placed
piece is the box about its outline, square to the axes.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Final

from assemblies.design.model import Placed
from parts.findings import SeamwrightError
from parts.shape.outline import Circle
from parts.shape.piece import Piece
from parts.vectors import Vector, _minus, cross, dot, finite, finite_vector

__all__ = ["FACES", "WAYS", "put"]

#: Axis and sense of each word.
WAYS: Final[Mapping[str, tuple[int, int]]] = {
    "left": (0, -1),
    "right": (0, 1),
    "front": (1, -1),
    "back": (1, 1),
    "down": (2, -1),
    "up": (2, 1),
}
#: x and normal of a piece by the way its far face looks. Upright: x to the right and y up as seen by who looks at the far face.
#: Lying: x to the right; y to the back when it looks up, to the front when it looks down.
FACES: Final[Mapping[str, tuple[Vector, Vector]]] = {
    "front": ((1.0, 0.0, 0.0), (0.0, -1.0, 0.0)),
    "back": ((-1.0, 0.0, 0.0), (0.0, 1.0, 0.0)),
    "left": ((0.0, -1.0, 0.0), (-1.0, 0.0, 0.0)),
    "right": ((0.0, 1.0, 0.0), (1.0, 0.0, 0.0)),
    "up": ((1.0, 0.0, 0.0), (0.0, 0.0, 1.0)),
    "down": ((1.0, 0.0, 0.0), (0.0, 0.0, -1.0)),
}
_UP: Final[Vector] = (0.0, 0.0, 1.0)
_STEEPEST: Final = 90.0  # degrees, exclusive: from there on other words say it
_SQUARE: Final = 1e-9


def put(
    name: str,
    piece: Piece,
    *,
    faces: str = "up",
    turn: int = 0,
    low: Vector | None = None,
    on: Placed | None = None,
    edge: str | None = None,
    flush: Sequence[str] = (),
    offset: Vector = (0.0, 0.0, 0.0),
    lean: float = 0.0,
    rises: str | None = None,
) -> Placed:
    """A piece in its place.

    Args:
        name: of the instance.
        piece: what is placed.
        faces: the way its far face looks: `up down front back left right`.
        turn: quarter turns in its own plane, in degrees (0, 90, 180, 270), to the left as seen by who looks at its far face.
        low: the low corner of its box (least x, y and z) in the world, mm. Either this, or `on` and `edge`.
        on: the instance that it stands against.
        edge: the side of the box of `on` that it stands against, outside: `front back left right`, or `up` on top of it, `down`
            under it.
        flush: sides of `on` with which it is flush, such as `("left",)`. Where nothing is said it is in the middle, and beside
            another piece (`front back left right`) its lower end is flush with that piece's lower end.
        offset: moved by this much from there, mm.
        lean: degrees under 90 by which it is turned about its lower edge, once it has its place. Upright: over 0 its head goes
            away from where it faces, under 0 that way. Lying: one side rises. The edge that it is turned about stays where it
            was, and is its lowest.
        rises: the side that rises of a piece that lies: `left right front back`; `right` where nothing is said.

    Raises:
        SeamwrightError: a word that is none, a place that is missing or given twice, a piece to stand against that leans.
    """
    _word(name, "faces", faces, WAYS)
    if turn not in (0, 90, 180, 270):
        raise SeamwrightError(f"{name}: turn = {turn!r}; it is one of 0, 90, 180, 270 (degrees)")
    x, z = FACES[faces]
    y = cross(z, x)
    x = {0: x, 90: y, 180: _minus(x), 270: _minus(y)}[turn]
    loose = Placed(name=name, piece=piece, origin=(0.0, 0.0, 0.0), x=x, z=z)
    below, above = loose.box
    size = _vector([above[k] - below[k] for k in range(3)])
    start = _start(name, size, low, on, edge, flush, offset)
    origin = _vector([start[k] - below[k] for k in range(3)])
    return _leaned(Placed(name=name, piece=piece, origin=origin, x=x, z=z), faces, lean, rises)


def _vector(numbers: Sequence[float]) -> Vector:
    """Three numbers, without the sign of a zero."""
    x, y, z = (0.0 if n == 0.0 else n for n in numbers)
    return x, y, z


def _word(name: str, what: str, given: object, words: Sequence[str] | Mapping[str, object]) -> None:
    if given not in words:
        raise SeamwrightError(f"{name}: {what} = {given!r}; it is one of {', '.join(words)}")


def _start(
    name: str,
    size: Vector,
    low: Vector | None,
    on: Placed | None,
    edge: str | None,
    flush: Sequence[str],
    offset: Vector,
) -> Vector:
    """The low corner of its box, before it leans."""
    if (low is None) == (on is None):
        both = "both low and on are given" if on is not None else "its place is missing"
        raise SeamwrightError(f"{name}: {both}; give low, or on and edge")
    if on is None:
        if edge is not None or flush or any(offset):
            said = "edge" if edge is not None else "flush" if flush else "offset"
            raise SeamwrightError(
                f"{name}: {said} counts from the piece that it stands on; give on, or say it all in low"
            )
        return finite_vector(low, f"{name}: low")  # type: ignore[arg-type]
    if edge is None:
        raise SeamwrightError(f"{name}: on = {on.name!r} without edge; it is one of {', '.join(WAYS)}")
    moved = finite_vector(offset, f"{name}: offset")
    start = _against(name, size, on, edge, flush)
    return _vector([start[k] + moved[k] for k in range(3)])


def _against(name: str, size: Vector, on: Placed, edge: str, flush: Sequence[str]) -> list[float]:
    _word(name, "edge", edge, WAYS)
    axis, sense = WAYS[edge]
    if any(_SQUARE < abs(v) < 1.0 - _SQUARE for way in (on.x, on.z) for v in way):
        raise SeamwrightError(f"{name}: {on.name} leans, so nothing stands flush against the box about it; give low")
    if isinstance(on.piece.outline.outer, Circle) and abs(on.z[axis]) < 0.5:
        raise SeamwrightError(f"{name}: {on.name} is round, so nothing stands flush against its rim; give low")
    low, high = on.box
    start = [(low[k] + high[k] - size[k]) / 2.0 for k in range(3)]
    start[axis] = high[axis] if sense > 0 else low[axis] - size[axis]
    if axis != 2:
        start[2] = low[2]
    told: dict[int, str] = {}
    for word in (flush,) if isinstance(flush, str) else flush:
        _word(name, "flush", word, WAYS)
        k, end = WAYS[word]
        if k == axis:
            raise SeamwrightError(f"{name}: it stands at the {edge} of {on.name}, so it is not flush {word} with it")
        if told.setdefault(k, word) != word:
            raise SeamwrightError(f"{name}: flush {told[k]} and {word} at once; in the middle is where nothing is said")
        start[k] = high[k] - size[k] if end > 0 else low[k]
    return start


def _leaned(placed: Placed, faces: str, lean: float, rises: str | None) -> Placed:
    """Turned about its lower edge."""
    name, lying = placed.name, faces in ("up", "down")
    if not (finite(lean) and abs(lean) < _STEEPEST):
        raise SeamwrightError(f"{name}: lean = {lean!r}; it is under {_STEEPEST:g} degrees either way")
    if rises is not None:
        _word(name, "rises", rises, ("left", "right", "front", "back"))
        if not (lying and lean):
            why = (
                "it does not lean"
                if lying
                else f"it stands upright and faces {faces}; lean alone says where its head goes"
            )
            raise SeamwrightError(f"{name}: rises = {rises!r}, but {why}")
    if not lean:
        return placed
    if lying and lean < 0.0:
        raise SeamwrightError(f"{name}: lean = {lean:g} of a piece that lies; give it over 0, and the side that rises")
    if lying:
        way = _way(rises or "right")
        return _turned(placed, way, _UP, _minus(way), lean)
    head = _minus(_way(faces)) if lean > 0.0 else _way(faces)
    return _turned(placed, _UP, head, head, abs(lean))


def _way(word: str) -> Vector:
    axis, sense = WAYS[word]
    return _vector([float(sense) if k == axis else 0.0 for k in range(3)])


def _turned(placed: Placed, start: Vector, toward: Vector, hinge: Vector, degrees: float) -> Placed:
    """Turned by so much from one direction toward another, about the lower edge of its box that lies to the side `hinge`."""
    axis, angle = cross(start, toward), math.radians(degrees)
    low, high = placed.box
    pivot = _vector([high[k] if hinge[k] > 0.0 else low[k] for k in range(3)])

    def turned(v: Vector) -> Vector:
        along, beside = dot(axis, v), cross(axis, v)
        cos, sin = math.cos(angle), math.sin(angle)
        return _vector([v[k] * cos + beside[k] * sin + axis[k] * along * (1.0 - cos) for k in range(3)])

    arm = turned(_vector([placed.origin[k] - pivot[k] for k in range(3)]))
    origin = _vector([pivot[k] + arm[k] for k in range(3)])
    return Placed(name=placed.name, piece=placed.piece, origin=origin, x=turned(placed.x), z=turned(placed.z))
