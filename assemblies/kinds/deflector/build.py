"""The deflector in its place: lit side down, the strips under its bolts' heads on its back, the test strip beside it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from assemblies.design import Design, Fastener, Joint, Placed, flat_parts
from assemblies.kinds.deflector.tables import DeflectorSpec
from assemblies.order import Order
from assemblies.shop.heat.plan import Heat
from assemblies.shop.heat.rules import heat_rule, heat_source
from parts.findings import SeamwrightError, Taken
from parts.make.bend import allowance, bend_lines, blank
from parts.make.panel import panel
from parts.shape.bent import bent
from parts.shape.piece import Bend, Hole, Piece
from parts.stock.sheet import Sheet
from parts.stock.thread import clearance, thread

__all__ = ["Formed", "build_deflector", "formed"]

_ACROSS = math.pi / 2.0  # bend lines run along the piece's y
_STRIP_WIDE = 50.0  # of a test strip; judgement
_STRIP_LEG = 60.0
_STRIP_ARC = 300.0  # the longest arc of one
_BESIDE = 40.0  # from the deflector to the test strip


@dataclass(frozen=True, kw_only=True)
class Formed:
    """The deflector, how it is heated, and what of that was taken."""

    spec: DeflectorSpec
    piece: Piece
    heat: Heat
    taken: tuple[Taken, ...]


def build_deflector(order: Order, thickness: object = None) -> Design:
    """The deflector that an order means.

    Raises:
        OrderError: what only building shows: bends that do not go in, ends too short for their bolts.
    """
    made = formed(order)
    spec, piece = made.spec, made.piece
    placed, joints, fasteners = [_hung(piece)], list[Joint](), list[Fastener]()
    if spec.bolts and spec.strips:
        for name, part, hole in _strips(made, placed[0]):
            placed.append(part)
            joints.append(Joint(a=piece.name, b=name, kind="bolted"))
            fasteners.append(
                Fastener(
                    name=f"screw {spec.thread}",
                    piece=name,
                    through=(name, piece.name),
                    thread=thread(spec.thread).name,
                    count=spec.bolts,
                    ends="counterpart",
                    note=f"through {hole:g} mm holes into what it is hung from; a washer under each head",
                )
            )
    wanted = spec.heat.test_strip
    if wanted or (wanted is None and spec.heat.opening is None):
        placed.append(_test_strip(made, placed[0]))
        joints.append(Joint(a=piece.name, b="test-strip", kind="sample"))
    return Design(
        name=order.name,
        title=order.title,
        kind=order.kind,
        revision=order.revision,
        placed=tuple(placed),
        joints=tuple(joints),
        fasteners=tuple(fasteners),
        quantity=order.quantity,
        taken=made.taken,
        retention=order.support.retention if order.support else "none",
    )


def formed(order: Order) -> Formed:
    """The deflector as a piece."""
    spec = order.table
    assert isinstance(spec, DeflectorSpec)
    if order.liquid is not None:
        raise order.refuse(("liquid",), "a deflector holds no liquid", "no [liquid] table here")
    if not isinstance(order.sheet.thickness, float):
        raise order.refuse(("sheet", "thickness"), "the thickness of a deflector is not chosen here", "a thickness")
    sheet = Sheet(material=order.sheet.material, nominal_mm=order.sheet.thickness, readings_mm=order.sheet.measured)
    heat, taken = _heat(order, spec, sheet)
    shrinks = _shrinks(spec, sheet, heat)
    if any(shrinks) and spec.heat.shrinkage is None:
        taken.append(
            Taken(
                what="shrinkage on first heating",
                value=f"{shrinks[0] * 100.0:g} % and {shrinks[1] * 100.0:g} %",
                why="size to cut; heat a 200 mm square of the sheet free and measure it",
                say="[deflector.heat] shrinkage",
                weight=1.5,
            )
        )
    _, _, thick = blank((1.0, 1.0), sheet.thickness_mm, shrinks)
    try:
        long, bends = _bends(spec, thick)
        holes = tuple(_holes(spec, long, shrinks))
        return Formed(
            spec=spec, piece=_cut(order, spec, sheet, shrinks, long, bends, holes), heat=heat, taken=tuple(taken)
        )
    except SeamwrightError as error:
        key = "legs" if spec.shape == "bent" else "ends"
        raise order.refuse(
            ("deflector", key), str(error), "longer legs or ends, other radii, fewer bends or bolts"
        ) from error


def _heat(order: Order, spec: DeflectorSpec, sheet: Sheet) -> tuple[Heat, list[Taken]]:
    own, taken = spec.heat, list[Taken]()
    by = own.by or ("oven" if spec.shape == "curved" else "strip")
    forming = sheet.substance.figure("forming_temperature", "sheet").value
    if own.film is None:
        taken.append(
            Taken(
                what="heat that the air brings to a face",
                value=heat_rule("film"),
                unit="W/(m2 K)",
                why=f"heating time; {heat_source('film')}",
                say="[deflector.heat] film",
                weight=heat_rule("film") / heat_rule("film_least"),
            )
        )
    air = own.air
    if air is not None and air < forming + 2.0:
        raise order.refuse(
            ("deflector", "heat", "air"),
            f"an oven of {air:g} °C does not warm {sheet.material} to its {forming:g} °C",
            f"{forming + heat_rule('oven_over'):g} °C or so",
        )
    if air is None:
        air = min(forming + heat_rule("oven_over"), heat_rule("oven_most")) if by == "oven" else heat_rule("strip_air")
        taken.append(
            Taken(
                what="air of the oven" if by == "oven" else "what the strip heater acts like",
                value=air,
                unit="C",
                why="heating time",
                say="[deflector.heat] air" if by == "oven" else "a test strip",
                weight=1.4,
            )
        )
    heater = own.heater or heat_rule("heater_body")
    opening = None if own.opening is None else own.opening / 100.0
    return Heat(by=by, air_c=air, film=own.film or heat_rule("film"), heater_mm=heater, opening=opening), taken  # type: ignore[arg-type]


def _shrinks(spec: DeflectorSpec, sheet: Sheet, heat: Heat) -> tuple[float, float]:
    """Shares lost across and along the bend lines; sheet that stays cold beside a heated band is held by it."""
    if heat.by == "strip":
        return 0.0, 0.0
    if spec.heat.shrinkage is not None:
        return spec.heat.shrinkage[0] / 100.0, spec.heat.shrinkage[1] / 100.0
    if sheet.material == "cast-pmma":
        share = sheet.substance.figure("heat_shrink").value / 100.0
        return share, share
    return sheet.substance.figure("heat_shrink").value / 100.0, -0.005  # along the machine's way, and across it


def _bends(spec: DeflectorSpec, thick: float) -> tuple[float, list[Bend]]:
    """Length of the formed sheet laid flat, and its bends on it."""
    lit, back = ("near", "far")
    if spec.shape == "curved":
        assert spec.radius is not None
        assert spec.angle is not None
        ends = spec.ends or (0.0, 0.0)
        angle = math.radians(spec.angle)
        arc = allowance(angle, spec.radius, thick, spec.neutral)
        side = lit if spec.lit == "hollow" else back
        return ends[0] + arc + ends[1], [_bend(ends[0] + arc / 2.0, angle, spec.radius, side, spec.neutral)]
    assert spec.legs is not None
    assert spec.bends is not None
    inside = spec.inside or 2.0 * thick
    angles = [math.radians(abs(one)) for one in spec.bends]
    laid = bend_lines(spec.legs, [inside] * len(angles), thick, angles, spec.neutral)
    return laid.flat, [
        _bend(at[1], angle, inside, lit if way > 0.0 else back, spec.neutral)
        for at, angle, way in zip(laid.bends, angles, spec.bends, strict=True)
    ]


def _bend(at: float, angle: float, inside: float, side: str, neutral: float) -> Bend:
    return Bend(
        x_mm=at,
        y_mm=0.0,
        along_rad=_ACROSS,
        angle_rad=angle,
        inside_radius_mm=inside,
        side="near" if side == "near" else "far",
        neutral=neutral,
    )


def _holes(spec: DeflectorSpec, long: float, shrinks: tuple[float, float]) -> Iterator[Hole]:
    """Those of the bolts, on the formed sheet laid flat; where it shrinks, with a drill one fit larger."""
    if not spec.bolts:
        return
    drill = clearance(thread(spec.thread), "loose" if any(shrinks) else "normal").diameter_mm
    edge = spec.edge or 3.0 * drill
    room = spec.width - 2.0 * edge
    if room < 0.0:
        raise SeamwrightError(f"bolts {edge:g} mm from either side of a width of {spec.width:g} mm")
    for x in (edge, long - edge):
        for k in range(spec.bolts):
            y = edge + room * k / (spec.bolts - 1) if spec.bolts > 1 else spec.width / 2.0
            yield Hole(x_mm=x, y_mm=y, kind="through", diameter_mm=drill)


def _cut(
    order: Order,
    spec: DeflectorSpec,
    sheet: Sheet,
    shrinks: tuple[float, float],
    long: float,
    bends: list[Bend],
    holes: tuple[Hole, ...],
) -> Piece:
    """The sheet as it is cut: as much larger as it will shrink."""
    grow = [1.0 / (1.0 - share) for share in shrinks]
    flat = panel(
        "deflector",
        long * grow[0],
        spec.width * grow[1],
        sheet,
        corner_radius_mm=spec.corner * math.sqrt(grow[0] * grow[1]),
        holes=[replace(h, x_mm=h.x_mm * grow[0], y_mm=h.y_mm * grow[1]) for h in holes],
        kind="bent-sheet",
    )
    piece = replace(flat, bends=tuple(replace(one, x_mm=one.x_mm * grow[0]) for one in bends), shrinks=shrinks)
    bent(piece)
    return piece


def _hung(piece: Piece) -> Placed:
    """Level from end to end: turned about the bend lines by half of what it is bent, its lowest point at 0."""
    half = sum(b.angle_rad * (1.0 if b.side == "near" else -1.0) for b in piece.bends) / 2.0
    loose = Placed(
        name=piece.name,
        piece=piece,
        origin=(0.0, 0.0, 0.0),
        x=(math.cos(half), 0.0, math.sin(half)),
        z=(-math.sin(half), 0.0, math.cos(half)),
    )
    return _moved(loose, *_middle_and_low(loose))


def _middle_and_low(placed: Placed) -> tuple[float, float, float]:
    low, high = placed.box
    return -(low[0] + high[0]) / 2.0, -(low[1] + high[1]) / 2.0, -low[2]


def _moved(placed: Placed, x: float, y: float, z: float) -> Placed:
    a, b, c = placed.origin
    return replace(placed, origin=(a + x, b + y, c + z))


def _strips(made: Formed, hung: Placed) -> Iterator[tuple[str, Placed, float]]:
    """A flat strip on the back of either flat end, with the holes of the bolts."""
    spec, parts = made.spec, flat_parts(hung)
    normal = clearance(thread(spec.thread)).diameter_mm
    edge = spec.edge or 3.0 * made.piece.holes[0].diameter_mm
    first: Piece | None = None
    for name, part in (("strip-first", parts[0].placed), ("strip-last", parts[-1].placed)):
        own = part.piece
        if len(own.holes) != spec.bolts:
            raise SeamwrightError(f"an end too short for its bolts {edge:g} mm from the edge")
        wide = min(2.0 * edge, own.outline.size_mm[0])
        start = 0.0 if first is None else own.outline.size_mm[0] - wide
        strip = panel(
            "strip",
            round(wide, 6),
            round(own.outline.size_mm[1], 6),
            made.piece.sheet,
            holes=[
                Hole(x_mm=round(h.x_mm - start, 6), y_mm=round(h.y_mm, 6), kind="through", diameter_mm=normal)
                for h in own.holes
            ],
            kind="strip",
            role="stiffener",
            cut_group="strips",
        )
        if first is not None and strip != first:
            strip = replace(strip, name="strip-other")
        first = first or strip
        yield (
            name,
            Placed(name=name, piece=strip, origin=part.world(start, 0.0, own.thickness_mm), x=part.x, z=part.z),
            normal,
        )


def _test_strip(made: Formed, hung: Placed) -> Placed:
    """A strip of the same sheet with the same bend, as far as it goes, beside the deflector."""
    first, thick = made.piece.bends[0], bent(made.piece).bands[0].thick_mm
    angle = min(first.angle_rad, _STRIP_ARC / (first.inside_radius_mm + thick / 2.0))
    arc = allowance(angle, first.inside_radius_mm, thick, first.neutral)
    grow = [1.0 / (1.0 - share) for share in made.piece.shrinks]
    flat = panel(
        "test-strip",
        (arc + 2.0 * _STRIP_LEG) * grow[0],
        _STRIP_WIDE * grow[1],
        made.piece.sheet,
        kind="test-strip",
        role="inner",
    )
    bend = replace(first, x_mm=flat.outline.size_mm[0] / 2.0, angle_rad=angle, side="near")
    loose = _hung(replace(flat, bends=(bend,), shrinks=made.piece.shrinks))
    (_, low_y, _), _ = hung.box
    return _moved(loose, 0.0, low_y - _BESIDE - loose.box[1][1], 0.0)
