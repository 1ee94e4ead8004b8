"""The checks of pieces placed one by one: strength, which no method here reaches yet, and the liquid that they hold."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from assemblies.report.check import Check, Checked, Made, Rows, not_covered
from parts.findings import NotCovered
from parts.vectors import Vector, cross, dot, unit

if TYPE_CHECKING:
    from collections.abc import Iterator

    from assemblies.design import Design
    from assemblies.liquid.shapes.cavity import Cavity, Face

__all__ = ["HELD", "STRENGTH", "check_closed"]

_ON_WALL_MM = 1e-3  # a face this near to the cavity's is its wall: what is drawn, not what is cut
_OPEN_MM2 = 1e-3  # less is rounding
_FACING = 1e-9


def _strength(made: Made) -> Checked:
    raise NotCovered(
        "no method here covers pieces placed one by one: neither their plates nor their bonds and fasteners are checked"
    )


#: What stands in place of a proof: it is said that there is none.
STRENGTH: Final = Check(name="strength", run=_strength, questions=("hold",))


def _held(made: Made) -> Checked:
    """What the liquid does in every case that loads it; nothing is said of what holds it but that it is closed."""
    from assemblies.liquid.state import filled
    from assemblies.strength.proof.cases import load_cases, standing_of
    from assemblies.strength.proof.loads import Loads, settings_of

    order, design = made.order, made.design
    try:
        if len(design.cavities) != 1:
            raise NotCovered(f"{len(design.cavities)} cavities: only one can hold the liquid")
        check_closed(design, design.cavities[0])
    except NotCovered as error:
        return Checked(state="not-covered", findings=(not_covered("liquid", str(error)),))
    given = filled(order, design)
    density = given.fluid.density_kg_m3
    stays = standing_of(order.liquid)
    cases = load_cases(given.cavity, given.volume_mm3, given.most_mm3, density, given.empty, order.case, stays)
    loads = Loads(
        order=order, design=design, filled=given, settings=settings_of(order), cases=cases, outside=cases.outside
    )
    return Checked(
        state="not-covered" if cases.outside else "passed", findings=(*cases.outside, *cases.findings), figures=loads
    )


def _held_rows(made: Made, loads: object) -> Rows:
    """The keys that are filled by what stands on it, so that they stand there whatever that comes to."""
    return {"liquid": {}, "strength": {}}


#: What a cavity is filled with and what then moves; the check of the liquid reads it.
HELD: Final = Check(name="loads", run=_held, questions=("hold",), rows=_held_rows)


def check_closed(design: Design, cavity: Cavity) -> None:
    """See that pieces close every face of a cavity, and that none stands in it.

    Raises:
        NotCovered: a face that is open somewhere, by a hole, a gap or a wall too small; a piece inside.
    """
    inside = list(_inside(design, cavity))
    if inside:
        raise NotCovered(
            f"{', '.join(inside)} {'stands' if len(inside) == 1 else 'stand'} in the liquid, and what that takes up or "
            "shuts off is not calculated"
        )
    for face in cavity.faces:
        bare = _open_mm2(design, face)
        if bare > _OPEN_MM2:
            raise NotCovered(f"the {face.name} of the liquid is not closed: {bare:.4g} mm2 of it lie against no piece")


def _inside(design: Design, cavity: Cavity) -> Iterator[str]:
    """The instances whose boxes reach into the box of a cavity."""
    corners = [corner for face in cavity.faces for corner in face.corners]
    low, high = ([pick(c[k] for c in corners) for k in range(3)] for pick in (min, max))
    for placed in design.placed:
        start, end = placed.box
        if all(start[k] < high[k] - _ON_WALL_MM and low[k] + _ON_WALL_MM < end[k] for k in range(3)):
            yield placed.name


def _open_mm2(design: Design, face: Face) -> float:
    """How much of a face of the liquid lies against no piece; every opening in a piece counts as open."""
    from shapely import Point, Polygon, unary_union

    from assemblies.fit.faces import flat_faces

    first, second, third = face.corners[:3]
    e1 = unit(_step(first, second), face.name)
    out = unit(cross(e1, _step(second, third)), face.name)
    e2 = cross(out, e1)

    def flat(point: Vector) -> tuple[float, float]:
        step = _step(first, point)
        return dot(step, e1), dot(step, e2)

    shut = []
    for wall in (wall for placed in design.placed for wall in flat_faces(placed)):
        if dot(wall.normal, out) < -1.0 + _FACING and abs(dot(_step(first, wall.origin), out)) <= _ON_WALL_MM:
            rings = [[flat(wall.world(p)) for p in ring] for ring in (wall.polygon, *wall.cut_outs)]
            holes = [Point(*flat(wall.world((x, y)))).buffer(r) for x, y, r in wall.circles]
            shut.append(Polygon(rings[0], rings[1:]).difference(unary_union(holes)))
    return float(Polygon([flat(corner) for corner in face.corners]).difference(unary_union(shut)).area)


def _step(start: Vector, end: Vector) -> Vector:
    return end[0] - start[0], end[1] - start[1], end[2] - start[2]
