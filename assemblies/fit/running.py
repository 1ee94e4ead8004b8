"""Judges of joints without faces that meet: gears that run together, bores on one axis, plates on standoffs. All measure the
placed outlines."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from assemblies.design.model import BarMesh, Bore, Design, Joint, Mesh, Placed, Posts
from parts.findings import Finding, NotCovered
from parts.shape.outline import Arc, Circle, Loop
from parts.vectors import Vector, dot

if TYPE_CHECKING:
    from shapely import Polygon

__all__ = ["bore_mm", "judge_bores", "judge_mesh", "judge_posts", "mesh_gaps"]

_STEPS: Final = 12  # places of a pitch that teeth are looked at in
_SAGITTA_MM = 0.0005
_ROUNDING_MM = 0.01  # what two outlines of arcs may be off by
_PARALLEL = 1e-9
_ON_AXIS_MM = 1e-3


def mesh_gaps(design: Design, joint: Joint) -> tuple[tuple[float, float], ...]:
    """At each of the steps through a pitch: the area in which two gears overlap, mm2, and the gap between them, mm.

    A bar is looked at all through its travel: a step is five twelfths of a pitch, so that five pitches have every phase, or
    one twelfth where it travels less.

    Raises:
        NotCovered: gears whose axes are not parallel, or a joint that does not say how they run.
    """
    from shapely.affinity import rotate

    if not isinstance(joint.by, Mesh | BarMesh):
        raise NotCovered(f"{joint.a} and {joint.b}: how they mesh is not said")
    a, b = design.instance(joint.a), design.instance(joint.b)
    if abs(dot(a.z, b.z)) < 1.0 - _PARALLEL:
        raise NotCovered(f"{joint.a} and {joint.b}: gears whose axes are not parallel")
    if isinstance(joint.by, BarMesh):
        return _bar_gaps(a, b, joint.by)
    centres = [a.local(axis)[:2] for axis in joint.by.axes]
    one, other = (_near(_flat(a, p), centres, i) for i, p in enumerate((a, b)))
    out = []
    for step in range(_STEPS):
        turn = 2.0 * math.pi / joint.by.teeth[0] * step / _STEPS
        back = -turn * joint.by.teeth[0] / joint.by.teeth[1]
        first = rotate(one, turn, origin=centres[0], use_radians=True)
        second = rotate(other, back, origin=centres[1], use_radians=True)
        out.append((float(first.intersection(second).area), float(first.distance(second))))
    return tuple(out)


def _bar_gaps(wheel: Placed, bar: Placed, by: BarMesh) -> tuple[tuple[float, float], ...]:
    """In the bar's own axes: it moves along x and the wheel turns; both cut to what is near the wheel."""
    from shapely import clip_by_rect
    from shapely.affinity import rotate, translate

    round_one, long_one = _flat(bar, wheel), _flat(bar, bar)
    x, y, _ = bar.local(by.axis)
    count = math.ceil(by.travel_mm / by.pitch_mm * (_STEPS if by.travel_mm <= 5.0 * by.pitch_mm else _STEPS / 5.0))
    low, high = long_one.bounds[1] - by.pitch_mm, long_one.bounds[3] + by.pitch_mm
    window = x - 4.0 * by.pitch_mm, low, x + 4.0 * by.pitch_mm, high
    out = []
    for step in range(count + 1):
        way = by.travel_mm * (step / count - 0.5)
        turned = rotate(round_one, math.tau * way / by.a_turn_mm, origin=(x, y), use_radians=True)
        first, second = clip_by_rect(turned, *window), clip_by_rect(translate(long_one, way), *window)
        if first.is_empty or second.is_empty:  # it has run out, and is far
            first, second = turned, translate(long_one, way)
        out.append((float(first.intersection(second).area), float(first.distance(second))))
    return tuple(out)


def _flat(frame: Placed, placed: Placed) -> Polygon:
    """An outline in another piece's axes, without its cut-outs."""
    from shapely import Polygon

    points = placed.piece.outline.outer.points(_SAGITTA_MM)
    return Polygon([frame.local(placed.world(u, v, 0.0))[:2] for u, v in points])


def _near(shape: Polygon, centres: list[tuple[float, float]], own: int) -> Polygon:
    """The part that comes to the other gear within the steps: a sector of it, which is quicker to turn and as true."""
    from shapely import Polygon

    (x, y), (ox, oy) = centres[own], centres[1 - own]
    way, far = (
        math.atan2(oy - y, ox - x),
        2.0 * math.hypot(*(shape.bounds[2] - shape.bounds[0], shape.bounds[3] - shape.bounds[1])),
    )
    edge = [(x + far * math.cos(way + s), y + far * math.sin(way + s)) for s in (-1.2, -0.6, 0.0, 0.6, 1.2)]
    part = shape.intersection(Polygon([(x, y), *edge]))
    return part if part.geom_type == "Polygon" else shape


def judge_mesh(design: Design, joint: Joint) -> Iterator[Finding]:
    """Turned through a pitch, a bar through its travel, gears overlap nowhere and keep the gap that is meant."""
    assert isinstance(joint.by, Mesh | BarMesh)
    gaps = mesh_gaps(design, joint)
    area, least, most = max(g[0] for g in gaps), min(g[1] for g in gaps), max(g[1] for g in gaps)
    low, high = joint.by.gap_mm
    through = "a pitch" if isinstance(joint.by, Mesh) else f"the bar's travel of {joint.by.travel_mm:.1f} mm"
    where, source = f"{joint.a} and {joint.b}", f"computed: placed outlines turned through {through}"
    levels = [p.box for p in (design.instance(joint.a), design.instance(joint.b))]
    if min(b[1][2] for b in levels) - max(b[0][2] for b in levels) <= 0.0 and abs(design.instance(joint.a).z[2]) > 0.5:
        yield Finding(
            level="stop",
            check="fit",
            where=where,
            why="they are to run together and lie at different heights",
            do="place them at one height",
            source=source,
        )
    elif area > 0.0:
        yield Finding(
            level="stop",
            check="fit",
            where=where,
            why=f"turned through {through} their teeth overlap by up to {area:.3f} mm2",
            do="set the shafts further apart, or thin the teeth",
            source=source,
        )
    elif least < low - _ROUNDING_MM or most > high + _ROUNDING_MM:
        yield Finding(
            level="stop",
            check="fit",
            where=where,
            why=f"turned through {through} the gap between their teeth goes from {least:.3f} to {most:.3f} mm, "
            f"meant are {low:.3f} to {high:.3f}",
            do="correct the places of the shafts",
            source=source,
        )


def judge_bores(design: Design, joint: Joint) -> Iterator[Finding]:
    """Either instance has a bore on the axis, and what goes into it has the play that is meant."""
    if not isinstance(joint.by, Bore):
        raise NotCovered(f"{joint.a} and {joint.b}: what goes into their bores is not said")
    source = "computed: placed outlines"
    for name, into, (low, high) in zip((joint.a, joint.b), joint.by.into_mm, joint.by.play_mm, strict=True):
        bore = bore_mm(design.instance(name), joint.by.axis)
        if bore is None:
            yield Finding(
                level="stop",
                check="fit",
                where=name,
                why=f"it has no bore on the axis that it shares with {joint.a}",
                do="correct its place, or give it a bore",
                source=source,
            )
        elif not low - _ON_AXIS_MM <= bore - into <= high + _ON_AXIS_MM:
            yield Finding(
                level="stop",
                check="fit",
                where=name,
                why=f"what goes into its bore of {bore:.3f} mm is {into:.3f} mm: a play of {bore - into:.3f} mm, "
                f"meant are {low:.3f} to {high:.3f}; pressed in, PMMA crazes",
                do="correct the bore",
                source=source,
            )


def judge_posts(design: Design, joint: Joint) -> Iterator[Finding]:
    """Two plates stand as far apart as their standoffs are long, with a hole in both for the screws of each."""
    if not isinstance(joint.by, Posts):
        raise NotCovered(f"{joint.a} and {joint.b}: what holds them apart is not said")
    plates = [design.instance(name) for name in (joint.a, joint.b)]
    if abs(dot(plates[0].z, plates[1].z)) < 1.0 - _PARALLEL:
        raise NotCovered(f"{joint.a} and {joint.b}: standoffs between plates that are not parallel")
    source = "computed: placed outlines"
    for at in joint.by.at:
        gaps = [abs(p.local(at)[2] - p.piece.thickness_mm / 2.0) - p.piece.thickness_mm / 2.0 for p in plates]
        if abs(sum(gaps) - joint.by.long_mm) > _ON_AXIS_MM:
            yield Finding(
                level="stop",
                check="fit",
                where=f"{joint.a} and {joint.b}",
                why=f"they stand {sum(gaps):.3f} mm apart, and their standoffs are {joint.by.long_mm:g} mm long",
                do="correct their places",
                source=source,
            )
            return
    for plate in plates:
        bare = sum(bore_mm(plate, at) is None for at in joint.by.at)
        if bare:
            yield Finding(
                level="stop",
                check="fit",
                where=plate.name,
                why=f"it has no hole for the screws of {bare} of {len(joint.by.at)} standoffs",
                do="give it a hole at each",
                source=source,
            )


def bore_mm(placed: Placed, axis: Vector) -> float | None:
    """The diameter of the bore about a point, through a piece; of one with a flat or a keyway that of its round part."""
    u, v, _ = placed.local(axis)

    def on(x: float, y: float) -> bool:
        return math.hypot(x - u, y - v) <= _ON_AXIS_MM

    for loop in placed.piece.profile.inner:
        if isinstance(loop, Circle):
            if on(loop.x_mm, loop.y_mm):
                return 2.0 * loop.radius_mm
        elif isinstance(loop, Loop):
            for arc in loop.segments():
                if isinstance(arc, Arc) and on(arc.cx_mm, arc.cy_mm):
                    return 2.0 * arc.radius_mm
    return None
