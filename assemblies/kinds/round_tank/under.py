"""What is under a round tank: the flange's holes, the bosses of motor and drain."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from assemblies.design import Fastener, Placed
from assemblies.design.onto import Onto, Proud
from assemblies.kinds.round_tank.laid import LAND, Laid
from assemblies.kinds.round_tank.tables import DrainSpec, MotorSpec
from parts.findings import SeamwrightError
from parts.make.disc import disc
from parts.shape.outline import Circle
from parts.shape.piece import Hole
from parts.shape.tapped import full_thread_mm, tapped_hole
from parts.stock.mounting import Pattern, hole_circle, pattern
from parts.stock.thread import clearance, thread

__all__ = ["apart", "bolts", "drain", "flange", "motor"]


def flange(laid: Laid) -> tuple[list[Placed], list[Hole]]:
    """The holes of the bolt circle."""
    order, spec = laid.order, laid.spec.flange
    if spec is None:
        return [], []
    wide = clearance(thread(spec.thread)).diameter_mm
    land = LAND * thread(spec.thread).major_mm
    least, most = laid.beside_mm + wide + 2.0 * land, spec.outside - wide - 2.0 * land
    if laid.groove and spec.outside < laid.groove.least_disc_mm:
        raise order.refuse(
            ("round-tank", "flange", "outside"),
            f"{spec.outside:g} mm leaves too little outside a groove of {laid.groove.wide_mm:g} mm",
            f"at least {laid.groove.least_disc_mm:g} mm",
        )
    if spec.outside <= laid.tube.outside_mm or not least <= spec.circle <= most:
        raise order.refuse(
            ("round-tank", "flange", "circle"),
            f"bolts {spec.thread} on a circle of {spec.circle:g} mm do not stand between the tube and the edge of the base",
            f"{least:.1f} to {most:.1f} mm"
            if least <= most
            else f"a base of {least + wide + 2.0 * land:.0f} mm or more",
        )
    places, neighbour = hole_circle(spec.bolts, spec.circle)
    if neighbour < 3.0 * wide:
        raise order.refuse(
            ("round-tank", "flange", "bolts"),
            f"{spec.bolts} bolts stand {neighbour:.1f} mm apart",
            f"fewer: at least {3.0 * wide:.1f} mm apart",
        )
    return [], [laid.through(x, y, wide) for x, y in places]


def bolts(laid: Laid, bosses: Sequence[Placed]) -> Iterator[Fastener]:
    """The bolts of the flange, and what they hold it against: tapped on their circle, open where a boss hangs down."""
    spec, half = laid.spec.flange, laid.disc_mm / 2.0
    if spec is None:
        return
    places, _ = hole_circle(spec.bolts, spec.circle)
    circle = Pattern(
        name=f"{spec.bolts} bolts",
        centres=places,
        hole="clearance",
        thread=thread(spec.thread).name,
        counterpart="tapped",
        circle_mm=spec.circle,
        source="the order",
        clause="round-tank.flange",
        how_known="computed",
    )
    hung = [(one.piece.size_mm, one.origin) for one in bosses]
    yield Fastener(
        name=f"bolt {spec.thread}",
        piece="base",
        through=("base",),
        thread=spec.thread,
        count=spec.bolts,
        note="through the flange into what it stands on; a washer under each head",
        ends="counterpart",
        onto=Onto(
            name="",
            side="near",
            pattern=circle,
            at=(half, half),
            proud=tuple(
                Proud(x_mm=half + x + w / 2.0, y_mm=half + y + w / 2.0, wide_mm=w, high_mm=t, what="hung")
                for (w, _, t), (x, y, _) in hung
            ),
        ),
    )


def _boss(
    laid: Laid,
    name: str,
    spec: MotorSpec | DrainSpec,
    at: tuple[float, float],
    holes: tuple[Hole, ...],
    inner: tuple[Circle, ...] = (),
) -> Placed:
    """A disc bonded under the base, within the bore of the tube."""
    key = ("round-tank", name, "boss")
    reach = math.hypot(*at) + spec.boss / 2.0
    if reach > laid.tube.inside_mm / 2.0:
        raise laid.order.refuse(
            key,
            f"a boss of {spec.boss:g} mm there reaches {reach:.1f} mm out, beyond the bore of the tube",
            f"at most {laid.tube.inside_mm / 2.0 - math.hypot(*at):.1f} mm from its middle",
        )
    sheet = laid.sheet_of(spec.thickness)
    try:
        piece = disc(f"{name}-boss", spec.boss, sheet, holes=holes, inner=inner, kind="boss", role="stiffener")
    except SeamwrightError as error:
        raise laid.order.refuse(key, str(error), "a larger boss") from error
    half = spec.boss / 2.0
    return Placed(name=piece.name, piece=piece, origin=(at[0] - half, at[1] - half, -sheet.thickness_mm))


def motor(laid: Laid) -> tuple[list[Placed], list[Hole]]:
    spec = laid.spec.motor
    if spec is None:
        return [], []
    key = ("round-tank", "motor", "pattern")
    try:
        face = pattern(spec.pattern, thread=spec.thread, unit=laid.order.units)
    except SeamwrightError as error:
        raise laid.order.refuse(key, str(error), "a pattern and a thread that go together") from error
    if face.thread is None:
        raise laid.order.refuse(key, "a grid does not say its thread", "thread in [round-tank.motor]")
    half, thick = spec.boss / 2.0, laid.sheet_of(spec.thickness).thickness_mm
    drilled = []
    for x, y in face.centres:
        if face.counterpart in ("clearance", "any"):
            drilled.append(tapped_hole(half + x, half - y, face.thread, side="near"))
        else:
            raise laid.order.refuse(
                key,
                f"{face.name} is tapped itself: its screws would come through the floor of the tank",
                "a pattern whose counterpart has clearance holes, or an adapter plate",
            )
    full = full_thread_mm(drilled[0], thick)
    if full < thread(face.thread).major_mm:
        raise laid.order.refuse(
            ("round-tank", "motor", "thickness"),
            f"{face.thread} finds {full:.1f} mm of thread in {thick:g} mm: less than its diameter",
            "a thicker boss",
        )
    inner = (Circle(half, half, face.pilot_mm / 2.0),) if face.pilot_mm else ()
    return [_boss(laid, "motor", spec, (0.0, 0.0), tuple(drilled), inner)], []


def drain(laid: Laid) -> tuple[list[Placed], list[Hole]]:
    spec = laid.spec.drain
    if spec is None:
        return [], []
    half, thick = spec.boss / 2.0, laid.sheet_of(spec.thickness).thickness_mm
    try:
        tapped = tapped_hole(half, half, spec.thread, side="near")
    except SeamwrightError as error:
        raise laid.order.refuse(
            ("round-tank", "drain", "thread"), str(error), "a thread of `seamwright show threads`"
        ) from error
    if full_thread_mm(tapped, thick) <= 0.0:
        raise laid.order.refuse(
            ("round-tank", "drain", "thickness"), f"{spec.thread} finds no thread in {thick:g} mm", "a thicker boss"
        )
    return [_boss(laid, "drain", spec, spec.at, (tapped,))], [laid.through(*spec.at, tapped.bore_mm)]


def apart(laid: Laid, bosses: list[Placed]) -> None:
    """Two bosses that do not meet."""
    if len(bosses) < 2:
        return
    spec = laid.spec
    assert spec.motor
    assert spec.drain
    apart = math.hypot(*spec.drain.at) - (spec.motor.boss + spec.drain.boss) / 2.0
    if apart < 1.0:
        raise laid.order.refuse(
            ("round-tank", "drain", "at"),
            f"its boss and that of the motor are {apart:.1f} mm apart",
            "a place further out",
        )
