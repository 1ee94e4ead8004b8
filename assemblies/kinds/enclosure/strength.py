"""Strength of a box for electronics: a hand or what stands on its lid and walls, and its weight on the screws of its lid.

Each face is a sheet held along the walls that it lies on or is bonded to (a lid at its walls, which it presses on), pushed
where it has most room. Not covered: a rack panel that carries the box by its ends, a box that hangs on its screws.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from assemblies.kinds.enclosure.build import Laid, laid_out
from assemblies.kinds.enclosure.openings import moved
from assemblies.kinds.enclosure.sections import use_blocks
from assemblies.report.check import Check, Checked, Made, Rows, SectionOf, not_covered
from parts.findings import Finding, NotCovered, Taken
from parts.process.aside import shared
from parts.shape.outline import Circle, Loop, Outline, rectangle, rounded_rectangle
from parts.shape.slot import slots_of
from parts.shape.tapped import full_thread_mm
from parts.stock.material import Duration, material

__all__ = ["STRENGTH", "BoxUse"]

HAND_N: Final = 100.0  # judgement: a hand that steadies itself on the lid
THUMB_N: Final = 50.0  # judgement: a thumb on a button, a hand that turns the box round
_PAD_MM: Final = 8.0  # judgement: radius of a thumb, or of what stands on it
_GRAVITY: Final = 9.80665
_LIFT: Final = 2.0  # judgement: jerked up by its lid
_CONTENTS_KG: Final = 1.0


@dataclass(frozen=True, kw_only=True)
class BoxUse:
    """One place: what bears on it, of what it may."""

    where: str
    use: float
    text: str
    why: str


def _strength(made: Made) -> Checked:
    laid = laid_out(made.order)
    spec = laid.spec
    outside: list[Finding] = []
    mount = spec.mount
    if laid.rack:
        outside.append(not_covered("strength", "a rack panel that carries the box by its ends: get a shelf under it"))
    elif mount is not None and mount.by != "table":
        outside.append(
            not_covered("strength", f"a box that hangs on its {mount.on} by screws: how that bends is not calculated")
        )
    uses, said = [], []
    try:
        uses = list(_uses(made, laid))
    except NotCovered as error:
        outside.append(not_covered("strength", str(error)))
    for one in uses:
        if one.use > 1.0:
            said.append(
                Finding(
                    level="stop",
                    check="strength",
                    where=one.where,
                    why=f"use {100 * one.use:.0f} %: {one.text}",
                    do="a thicker sheet, less that stands on it, or a smaller face",
                    source=one.why,
                )
            )
    taken = []
    if spec.contents is None:
        taken.append(
            Taken(
                what="mass of what is built in",
                value=f"{_CONTENTS_KG:g} kg",
                why="what hangs on the screws of the lid",
                say="[enclosure] contents",
                weight=1.5,
            )
        )
    state = "failed" if said else "not-covered" if outside else "passed"
    return Checked(state=state, findings=(*said, *outside), figures=tuple(uses), taken=tuple(taken))  # type: ignore[arg-type]


def _uses(made: Made, laid: Laid) -> Iterator[BoxUse]:
    spec = laid.spec
    walls = ("front", "back", "left", "right")
    lid, *pushed = shared(_stress_mpa, [(made, laid, name) for name in ("lid", *walls)])
    if spec.stands_on:
        yield _borne(
            made, laid, "lid", lid * spec.stands_on * _GRAVITY, "permanent", f"{spec.stands_on:g} kg standing on it"
        )
    yield _borne(made, laid, "lid", lid * HAND_N, "minutes", f"a hand pushing with {HAND_N:g} N")
    for name, found in zip(walls, pushed, strict=True):
        yield _borne(made, laid, name, found * THUMB_N, "minutes", f"a thumb pushing with {THUMB_N:g} N")
    yield _lifted(made, laid)


def _borne(made: Made, laid: Laid, name: str, stress: float, duration: Duration, what: str) -> BoxUse:
    from assemblies.strength.bonds.allowed import allowed_stress, warmth

    made_of, limits = material(made.order.sheet.material), made.order.limits
    allowed = allowed_stress(made_of, duration, environment=warmth(_warm(made, laid)), factor=limits.factor).value
    return BoxUse(
        where=f"{name}, {what}",
        use=stress / allowed,
        text=f"{stress:.2f} of {allowed:.2f} MPa",
        why="bending by finite elements, held at the middles of the walls it lies on; a wall on three sides",
    )


def _stress_mpa(made: Made, laid: Laid, name: str) -> float:
    """Largest stress of a face, MPa, for each N on a pad where it has most room."""
    from assemblies.strength.sheets.given import Attached, Held, Recess, SheetLoad, Spot
    from assemblies.strength.sheets.sheet import sheet

    piece = made.design.instance(name).piece
    thin = laid.sheet.thickness_mm if laid.sheet.is_measured else laid.sheet.thickness_range_mm[0]
    made_of, (at, room) = material(made.order.sheet.material), _roomiest(laid, name)
    if room < 1.2 * _PAD_MM:
        raise NotCovered(f"{name}: its openings leave no room of {2.4 * _PAD_MM:.0f} mm across to push on")
    x, y, wide, high = _span(laid, name)
    sides = [((0.0, 0.0), (wide, 0.0)), ((0.0, 0.0), (0.0, high)), ((wide, 0.0), (wide, high))]
    if name == "lid":
        sides.append(((0.0, high), (wide, high)))
    at = at[0] - x, at[1] - y
    body = Attached(
        name="what pushes",
        at=(Spot(x_mm=at[0], y_mm=at[1], radius_mm=_PAD_MM, stiff=True),),
        mass_kg=1.0,
        centre_mm=(*at, 0.0),
    )
    inner = tuple(shape for loop in _openings(laid, name) if _within(shape := moved(loop, -x, -y), wide, high))
    pockets = ((moved(p.outline, -x, -y), p.depth_mm) for p in piece.pockets)
    recesses = [Recess(outline=loop, left_mm=thin - deep) for loop, deep in pockets if _within(loop, wide, high)]
    result = sheet(
        Outline(rectangle(wide, high), inner),
        thin,
        made_of.modulus_mpa,
        made_of.poisson,
        held=[Held(at=side) for side in sides],
        loads=[SheetLoad(pull=(0.0, 0.0, -1000.0))],
        bodies=[body],
        recesses=recesses,
        joint_mm=thin,
        settled=0.06,
    )
    return result.stress([1.0]).safe


def _span(laid: Laid, name: str) -> tuple[float, float, float, float]:
    """The part of a face that bends: low corner, width and height, to the middles of the walls that it is held by."""
    x0, y0, x1, y1 = laid.faces[name].free
    half = laid.t / 2.0
    return x0 - half, y0 - half, x1 - x0 + 2.0 * half, y1 - y0 + (2.0 if name == "lid" else 1.0) * half


def _openings(laid: Laid, name: str) -> Iterator[Loop | Circle]:
    """What opens in a face; the slots of a vent as one opening as large as all of them: what is between them bears nothing."""
    face = laid.faces[name]
    yield from (loop for loop in face.inner if not slots_of([loop]))
    yield from (Circle(h.x_mm, h.y_mm, h.bore_mm / 2.0) for h in face.holes)
    for what, (x0, y0, x1, y1) in face.openings:
        if what.startswith("vent"):
            yield rounded_rectangle(x1 - x0, y1 - y0, min(laid.radius, (y1 - y0) / 2.01), x0, y0)


def _within(loop: Loop | Circle, wide: float, high: float) -> bool:
    x0, y0, x1, y1 = loop.bounds_mm
    return min(x0, y0) > 0.0 and x1 < wide and y1 < high


def _warm(made: Made, laid: Laid) -> float:
    """How warm its sheet gets, C: that of the check of the warmth."""
    from assemblies.kinds.enclosure.checks import Warmth

    found = made.of(Warmth)
    return laid.spec.ambient if found is None else found.face_c


def _roomiest(laid: Laid, name: str) -> tuple[tuple[float, float], float]:
    """The place of a face that is farthest from its walls and openings, near its middle where several are; and how far."""
    from shapely import Point, Polygon, unary_union

    face = laid.faces[name]
    x0, y0, x1, y1 = face.free
    loops = [*face.inner, *(p.outline for p in face.pockets)]
    shapes = [Polygon(loop.points(0.2)) for loop in loops]
    shapes += [Point(h.x_mm, h.y_mm).buffer(h.bore_mm / 2.0) for h in face.holes]
    void = unary_union(shapes)
    best = ((x0 + x1) / 2.0, (y0 + y1) / 2.0), -1.0
    for i in range(1, 24):
        for j in range(1, 24):
            x, y = x0 + (x1 - x0) * i / 24.0, y0 + (y1 - y0) * j / 24.0
            room = min(x - x0, x1 - x, y - y0, y1 - y)
            if not void.is_empty:
                point = Point(x, y)
                room = min(room, -1.0 if void.contains(point) else float(void.distance(point)))
            if room > best[1] + 1e-9:
                best = (x, y), room
    return best


def _lifted(made: Made, laid: Laid) -> BoxUse:
    """All its weight, jerked up, on the screws and bonds of the posts; one of them takes two shares."""
    from assemblies.strength.bonds.allowed import allowed_stress, factor_of, warmth
    from assemblies.strength.bonds.post import post_holds
    from parts.stock.thread import thread

    spec = laid.spec
    posts = [p for p in made.design.placed if p.name.startswith("post-")]
    (hole,), (side, _, thick) = posts[0].piece.holes, posts[0].piece.size_mm
    made_of, warm = material(made.order.sheet.material), warmth(_warm(made, laid))
    joint = factor_of("joint_solvent") if made.order.limits.joint is None else made.order.limits.joint
    stress, bond = (
        allowed_stress(made_of, "minutes", environment=warm, joint=j, factor=made.order.limits.factor).value
        / math.sqrt(3.0)
        for j in (1.0, joint)
    )
    walls = 1.0 if spec.joints == "screwed" else 2.0
    holds = post_holds(
        side, thread(spec.thread).major_mm, full_thread_mm(hole, thick), stress, walls * side * thick, bond
    )
    contents = _CONTENTS_KG if spec.contents is None else spec.contents
    mass = contents + sum(p.piece.mass_kg for p in made.design.placed)
    force = 2.0 * _LIFT * mass * _GRAVITY / len(posts)
    return BoxUse(
        where="corner posts, lifted by the lid",
        use=force / holds.holds,
        text=f"{force:.0f} of {holds.holds:.0f} N a post, its {holds.governs} governs",
        why="thread stripped at basic size (ASME B1.1 appendix B), bond in shear; twice the weight, one post two shares"
        " (judgement)",
    )


def _rows(made: Made, found: tuple[BoxUse, ...]) -> Rows:
    return {"box_uses": found}


#: What lid, walls and posts bear.
STRENGTH: Final = Check(
    name="strength",
    run=_strength,
    after=("warmth",),
    questions=("hold",),
    rows=_rows,
    sections=(SectionOf(id="box-uses", station="test", title="What it bears", blocks=use_blocks),),
)
