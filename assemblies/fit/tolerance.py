"""Tolerance loops: what gap each seam can really have once the pieces are cut and taped.

Tape pulls a butt seam shut, so its gap is only what keeps two faces from lying flat: the cut's squareness and
straightness. A *captive* piece fills a space that other pieces set. Its gap is what the loop through those pieces
leaves over, and tape cannot close it: closing one of its seams opens another.

Which seams are captive follows from the contacts along one direction. Every seam that joins two groups of pieces
not yet connected can be closed. A seam that closes a loop is captive, with one exception: a plate drawn against two
parallel edges settles on both, because it can still turn a little (ends drawn in on a front and a back); a third
edge is one too many.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from assemblies.design.model import Design, Placed
from assemblies.fit.faces import round_faces
from assemblies.fit.seams import Seam
from parts.findings import NotCovered
from parts.stock.sheet import thickness_tolerance_mm
from parts.vectors import Vector, dot

__all__ = ["Allowances", "Gap", "Loop", "Term", "captive_loops", "gap_of"]

_PARALLEL = 5e-5  # directions up to 0.57 degrees apart count as one, as in the search for seams


@dataclass(frozen=True, kw_only=True)
class Allowances:
    """How far real pieces differ from drawn ones (plus or minus, mm).

    Attributes:
        tolerance_mm: on a cut size.
        repeat_mm: between two equal sizes of one cut group; also how straight a cut edge runs (judgement), and how
            near a piece can be trimmed to an opening that is measured first (judgement).
        squareness_mm: out of square over the width of a cut edge.
        process_tolerance_mm: tolerance of pieces cut by another process than the order's, by process.
        reading_mm: of a caliper.
        as_cut: instances already cut, whose sizes are readings.
    """

    tolerance_mm: float
    repeat_mm: float
    squareness_mm: float
    process_tolerance_mm: Mapping[str, float] = field(default_factory=dict)
    reading_mm: float = 0.02
    as_cut: frozenset[str] = frozenset()

    def of(self, placed: Placed) -> float:
        """The tolerance on a cut size of this instance."""
        if placed.name in self.as_cut:
            return self.reading_mm
        return self.process_tolerance_mm.get(placed.piece.process or "", self.tolerance_mm)


@dataclass(frozen=True, kw_only=True)
class Term:
    """One size in a loop: sign +1 widens the gap, -1 narrows it."""

    piece: str
    size: str
    sign: int
    nominal_mm: float
    plus_minus_mm: float


@dataclass(frozen=True, kw_only=True)
class Loop:
    """A captive piece between the pieces that set its space.

    Attributes:
        piece: the captive instance.
        between: the two instances it stands between.
        seams: ids of its two seams along this direction.
        direction: of the loop, unit.
        left_over_mm: sum of the two gaps as drawn.
        terms: the sizes in the loop; paired sizes of one cut group appear as one term `repeat`.
        spread_mm: greatest difference from `left_over_mm`, worst case.
        rss_mm: the same by root-sum-square.
    """

    piece: str
    between: tuple[str, str]
    seams: tuple[str, ...]
    direction: Vector
    left_over_mm: float
    terms: tuple[Term, ...]
    spread_mm: float
    rss_mm: float


@dataclass(frozen=True, kw_only=True)
class Gap:
    """The gap of one seam, mm: as drawn, least, greatest, and the likely greatest (root-sum-square)."""

    nominal: float
    min: float
    max: float
    rss: float
    captive: bool


def _by_direction(seams: Iterable[Seam]) -> list[tuple[Vector, list[Seam]]]:
    """Seams grouped by the direction of their normals, whatever the sign."""
    groups: list[tuple[Vector, list[Seam]]] = []
    for seam in seams:
        mine = next((group for axis, group in groups if abs(dot(axis, seam.normal)) > 1.0 - _PARALLEL), None)
        if mine is None:
            groups.append((_forward(seam.normal), [seam]))
        else:
            mine.append(seam)
    return groups


def _forward(axis: Vector) -> Vector:
    """The direction or its opposite: towards right, back or up, whichever is the most of it."""
    most = max(axis, key=abs)
    return axis if most > 0.0 else (-axis[0], -axis[1], -axis[2])


def captive_loops(design: Design, seams: Sequence[Seam], allow: Allowances) -> tuple[Loop, ...]:
    """The loops that leave a gap tape cannot close, one for each captive piece and direction.

    Args:
        design: the placed pieces.
        seams: those that are bonded; play in a joint that is not hurts nothing.
        allow: how far sizes may be off.
    """
    loops: list[Loop] = []
    for axis, group in _by_direction(s for s in seams if s.a_end != "round"):
        loops.extend(_loops_along(design, axis, group, allow))
    loops.extend(_round_loop(design, seam, allow) for seam in seams if seam.a_end == "round")
    return tuple(loops)


def _round_loop(design: Design, seam: Seam, allow: Allowances) -> Loop:
    """A disc in a round opening: no tape closes it, what is left over is the difference of the two diameters."""
    wide = seam.length_mm / math.pi
    rims = {f.piece for n in (seam.a, seam.b) for f in round_faces(design.instance(n)) if not f.hollow}
    disc = next(n for n in (seam.b, seam.a) if n in rims and abs(design.instance(n).piece.size_mm[0] - wide) < 1e-6)
    ring = _other(seam, disc)
    sizes = ((ring, 1, wide + 2.0 * seam.gap_mm), (disc, -1, wide))
    terms = tuple(
        Term(piece=n, size="diameter", sign=sign, nominal_mm=d, plus_minus_mm=allow.of(design.instance(n)))
        for n, sign, d in sizes
    )
    return _closed_loop(disc, (ring, ring), (seam.id,), seam.normal, 2.0 * seam.gap_mm, terms)


def _closed_loop(
    piece: str, between: tuple[str, str], ids: tuple[str, ...], axis: Vector, left_over: float, terms: tuple[Term, ...]
) -> Loop:
    return Loop(
        piece=piece,
        between=between,
        seams=ids,
        direction=axis,
        left_over_mm=left_over,
        terms=terms,
        spread_mm=sum(t.plus_minus_mm for t in terms),
        rss_mm=math.sqrt(sum(t.plus_minus_mm**2 for t in terms)),
    )


def _loops_along(design: Design, axis: Vector, group: list[Seam], allow: Allowances) -> Iterable[Loop]:
    order = {p.name: i for i, p in enumerate(design.placed)}
    group = sorted(group, key=lambda s: (max(order[s.a], order[s.b]), min(order[s.a], order[s.b]), s.id))
    closed: list[Seam] = []  # seams that tape can close
    drawn: dict[tuple[str, str], list[Seam]] = {}  # by the plate face they lie on
    captive: dict[str, Loop] = {}
    for seam in group:
        around = _path(closed, seam.a, seam.b)
        _check_rigid(design, [seam.a, seam.b, *(there for _, there in around or ())] if around is not None else [])
        if around is None or _settles(seam, drawn, closed):
            closed.append(seam)
            for face in _plate_faces(seam):
                drawn.setdefault(face, []).append(seam)
            continue
        piece = _spacer(seam, order)
        if piece in captive:
            continue
        loop = _loop(design, axis, piece, group, closed, allow)
        if loop is not None:
            captive[piece] = loop
            closed = [s for s in closed if piece not in (s.a, s.b)]
    return captive.values()


def _check_rigid(design: Design, names: Sequence[str]) -> None:
    """Refuse a loop that goes through a bent piece: its faces stand to each other as its bends came out, not as it was cut."""
    for name in names:
        if "bends" in design.instance(name).piece.features:
            raise NotCovered(
                f"{name}: a gap that goes through a bent piece is not covered: how true its bends come out is not known"
            )


def _plate_faces(seam: Seam) -> tuple[tuple[str, str], tuple[str, str]]:
    """The two faces that meet in the seam, each by piece and end."""
    return (seam.a, seam.a_end), (seam.b, seam.b_end)


def _settles(seam: Seam, drawn: Mapping[tuple[str, str], Sequence[Seam]], closed: Sequence[Seam]) -> bool:
    """True when the plate so far lies on exactly one edge, parallel to this one, of what this seam's piece hangs on.

    Edges of pieces that hang on nothing but the plate do not count: they slide to it.
    """
    for plate, end in _plate_faces(seam):
        new = _other(seam, plate)
        apart = [s for s in closed if plate not in (s.a, s.b)]
        fixed = [s for s in drawn.get((plate, end), ()) if _path(apart, _other(s, plate), new) is not None]
        if len(fixed) == 1 and abs(dot(fixed[0].along, seam.along)) > 1.0 - _PARALLEL:
            return True
    return False


def _spacer(seam: Seam, order: Mapping[str, int]) -> str:
    """The piece that stands between: the one meeting with a cut edge, else the one bonded later."""
    edges = [n for n, end in ((seam.a, seam.a_end), (seam.b, seam.b_end)) if end not in ("near", "far")]
    return edges[0] if len(edges) == 1 else max(seam.a, seam.b, key=lambda n: order[n])


def _path(closed: Sequence[Seam], start: str, goal: str) -> list[tuple[Seam, str]] | None:
    """Seams walked from start to goal, each with the piece it is left towards; None when not connected."""
    links: dict[str, list[tuple[Seam, str]]] = {}
    for seam in closed:
        links.setdefault(seam.a, []).append((seam, seam.b))
        links.setdefault(seam.b, []).append((seam, seam.a))
    back: dict[str, tuple[str, Seam] | None] = {start: None}
    queue = deque([start])
    while queue:
        here = queue.popleft()
        if here == goal:
            steps: list[tuple[Seam, str]] = []
            while (came := back[here]) is not None:
                steps.append((came[1], here))
                here = came[0]
            return steps[::-1]
        for seam, there in links.get(here, ()):
            if there not in back:
                back[there] = (here, seam)
                queue.append(there)
    return None


def _facing(seam: Seam, piece: str, axis: Vector) -> tuple[float, str]:
    """Place along the axis, and name, of the seam's face on this piece."""
    at = dot(seam.centre, axis)
    if piece == seam.a:
        return at, seam.a_end
    return at + seam.gap_mm * dot(seam.normal, axis), seam.b_end


def _size_word(placed: Placed, axis: Vector) -> str:
    for word, direction in (("width", placed.x), ("height", placed.y), ("thickness", placed.z)):
        if abs(dot(direction, axis)) > 1.0 - _PARALLEL:
            return word
    return "size"


def _loop(
    design: Design, axis: Vector, piece: str, group: Sequence[Seam], closed: Sequence[Seam], allow: Allowances
) -> Loop | None:
    """The loop of a captive piece: from its low seam round through the other pieces to its high seam."""
    own = sorted((s for s in group if piece in (s.a, s.b)), key=lambda s: _facing(s, piece, axis)[0])
    if len(own) < 2:
        return None
    low, high = own[0], own[-1]
    others = [s for s in closed if piece not in (s.a, s.b)]
    first, last = _other(low, piece), _other(high, piece)
    walk = _path(others, first, last)
    if walk is None:
        return None
    # The opening: from the low neighbour's face, through the neighbours, to the high neighbour's face.
    spans: list[tuple[str, float]] = []
    here, (at, _) = first, _facing(low, first, axis)
    for seam, there in walk:
        leave, _ = _facing(seam, here, axis)
        spans.append((here, leave - at))
        at, _ = _facing(seam, there, axis)
        here = there
    leave, _ = _facing(high, last, axis)
    spans.append((last, leave - at))
    own_span = _facing(high, piece, axis)[0] - _facing(low, piece, axis)[0]
    spans.append((piece, -own_span))
    terms = _terms(design, axis, piece, [s for s in spans if abs(s[1]) > 1e-9], allow)
    left_over = sum(s.gap_mm for s in (low, high))
    return _closed_loop(piece, (first, last), tuple(s.id for s in own), axis, left_over, terms)


def _other(seam: Seam, piece: str) -> str:
    return seam.b if piece == seam.a else seam.a


def _terms(
    design: Design, axis: Vector, captive: str, spans: Sequence[tuple[str, float]], allow: Allowances
) -> tuple[Term, ...]:
    """Sizes with their plus-or-minus; equal sizes of one cut group with opposite signs pair off to one repeat error.

    So does a size still to be cut with one that is cut already: the fence is set to the piece in hand. Two that are cut are
    what they read.
    """
    known = all(name in allow.as_cut for name, _ in spans if name != captive) and captive not in allow.as_cut
    loose: list[Term] = []
    waiting: dict[tuple[str, str, float], list[Term]] = {}
    pairs: list[Term] = []
    for name, span in spans:
        placed = design.instance(name)
        term = _term(placed, axis, span, allow, trimmed=known and name == captive)
        key = _pair_key(placed, term, allow)
        if key is None:
            loose.append(term)
            continue
        match = next((w for w in waiting.get(key, ()) if w.sign != term.sign and _one_to_cut(w, term, allow)), None)
        if match is None:
            waiting.setdefault(key, []).append(term)
            continue
        waiting[key].remove(match)
        both = f"{match.piece} and {term.piece}"
        error = allow.repeat_mm if term.size != "thickness" else _within_one_sheet(placed)
        pairs.append(Term(piece=both, size="repeat", sign=1, nominal_mm=0.0, plus_minus_mm=error))
    return (*pairs, *loose, *(t for terms in waiting.values() for t in terms))


def _one_to_cut(one: Term, other: Term, allow: Allowances) -> bool:
    """Whether at least one of two equal sizes is still to be cut (a thickness is not cut)."""
    return one.size == "thickness" or not {one.piece, other.piece} <= allow.as_cut


def _spread(placed: Placed) -> float:
    """How far the thickness may be from the size that is drawn: half the range of the readings, else what the standard
    allows of the sheet that is sold under that name."""
    sheet = placed.piece.sheet
    low, high = sheet.thickness_range_mm
    return (high - low) / 2.0 if sheet.is_measured else sheet.tolerance_mm


def _within_one_sheet(placed: Placed) -> float:
    """How far two places of one sheet differ in thickness: by the range of its readings; unmeasured, by half the range
    that the standard allows between sheets of one name (judgement: within one sheet it is less)."""
    sheet = placed.piece.sheet
    return 2.0 * _spread(placed) if sheet.is_measured else thickness_tolerance_mm(sheet.material, sheet.nominal_mm)


def _term(placed: Placed, axis: Vector, span: float, allow: Allowances, *, trimmed: bool) -> Term:
    word = _size_word(placed, axis)
    error = _spread(placed) if word == "thickness" else allow.repeat_mm if trimmed else allow.of(placed)
    return Term(piece=placed.name, size=word, sign=1 if span > 0 else -1, nominal_mm=abs(span), plus_minus_mm=error)


def _pair_key(placed: Placed, term: Term, allow: Allowances) -> tuple[str, str, float] | None:
    """What two sizes must share to differ by the repeat error only; None when nothing pairs with this one."""
    if term.size == "thickness":
        return ("sheet", repr(placed.piece.sheet), round(term.nominal_mm, 6))
    if not placed.piece.cut_group:
        return None
    return ("cut", placed.piece.cut_group, round(term.nominal_mm, 6))


def gap_of(seam: Seam, loop: Loop | None, allow: Allowances) -> Gap:
    """The gap of one seam: drawn, least, greatest, likely.

    A cut edge adds its squareness and straightness to the greatest gap; a captive piece adds what its loop leaves
    over, all of it at one seam (the piece pushed to the other side).
    """
    edges = sum(end not in ("near", "far") for end in (seam.a_end, seam.b_end))
    wedge = [allow.squareness_mm] * edges
    if loop is None:
        wedge += [allow.repeat_mm] * edges
        return Gap(
            nominal=seam.gap_mm,
            min=seam.gap_mm,
            max=seam.gap_mm + sum(wedge),
            rss=seam.gap_mm + math.sqrt(sum(w * w for w in wedge)),
            captive=False,
        )
    low, high = sorted((seam.gap_mm, loop.left_over_mm))
    return Gap(
        nominal=seam.gap_mm,
        min=low - loop.spread_mm,
        max=high + loop.spread_mm + sum(wedge),
        rss=high + math.sqrt(loop.rss_mm**2 + sum(w * w for w in wedge)),
        captive=True,
    )
