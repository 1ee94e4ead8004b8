"""Strips on the rim, in the corners and across the top, and the lid that goes over them."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from assemblies.design.model import Fastener, Joint, Placed
from assemblies.kinds.tank.bores import port_hole
from assemblies.kinds.tank.box import place
from assemblies.kinds.tank.shell import Extra, Shell, inside_panel, lying
from assemblies.order import Faults, Order, StripSpec
from assemblies.order.errors import Key
from assemblies.order.files import MOST
from parts.findings import Finding, SeamwrightError
from parts.make.panel import panel
from parts.shape.hole_rules import thickness_for_mm
from parts.shape.piece import Hole, Piece
from parts.shape.tapped import tapped_hole
from parts.stock.rules import rule
from parts.stock.sheet import stocked
from parts.stock.thread import clearance, thread
from parts.vectors import Vector

__all__ = ["Rim", "add_lid", "add_strips", "corner_top"]

_ACROSS: tuple[Vector, Vector] = ((0.0, 1.0, 0.0), (0.0, 0.0, 1.0))  # flat, with the length along y
_DIGITS = 9
_LID_THREADS = {
    "mm": "M4",
    "in": "8-32 UNC",
}  # of a screwed lid; judgement: what takes hold in a strip as thick as the walls


@dataclass(frozen=True, kw_only=True)
class Rim:
    """Where a lid would sit: its height, the opening inside it, and the strips on it by their face."""

    top_mm: float
    opening: tuple[Vector, Vector]
    strips: tuple[Placed, ...] = ()


def add_strips(shell: Shell, lid: str, faults: Faults) -> tuple[tuple[Placed, ...], Rim | None]:
    """Rim strips, inside corner strips and braces, and the rim they leave.

    A *rim strip* lies flat on the rim, its outer edge flush with the outside; those along the length run long. An
    *inside corner strip* stands in each upright corner with its width along the front or back. A *brace* lies
    across the top from front to back at the given places along the length.

    What is refused goes to `faults`: a strip wider than there is room for, or in another's place. Without a sound rim
    there is None.
    """
    many = sum(len(spec.at) for spec in shell.order.strip)
    if many > MOST:
        with faults.step():
            raise shell.order.refuse(("strip",), f"{many} braces", f"at most {MOST} in all")
        return (), None
    specs = _sound_strips(shell.order, lid, faults)
    if lid == "screwed" and not any(s.where == "rim" for _, s in specs):
        thick = _strip_for_screws(shell)
        width = max(rule("rim_strip_width"), 3.0 * shell.sheets["front"].nominal_mm)
        specs.append((-1, StripSpec.model_construct(where="rim", size=(width, thick), at=())))
    placed: list[Placed] = []
    low, high = shell.box.inside
    top = shell.box.outside_mm[2]
    bare = rim = Rim(top_mm=top, opening=(low, high))
    rims = [(index, spec) for index, spec in specs if spec.where == "rim"]
    for index, spec in rims:
        with faults.step():
            strips, rim = _rim_strips(shell, index, spec, rim)
            placed += strips
    sound = rim is not bare or not any(spec.where == "rim" for spec in (*shell.order.strip, *(s for _, s in rims)))
    braces: list[Placed] = []
    for index, spec in specs:
        with faults.step():
            if spec.where == "inside-corner" and sound:
                placed += _corner_strips(shell, index, spec, corner_top(shell, lid, rim))
            elif spec.where == "brace":
                braces += _braces(shell, index, spec, rim, braces)
    return (*placed, *braces), rim if sound else None


def _strip_for_screws(shell: Shell) -> float:
    """The thinnest stocked sheet, mm, that has all the thread that the lid's screws want; at least that of the walls."""
    wanted = max(
        shell.sheets["front"].nominal_mm, thickness_for_mm(tapped_hole(0.0, 0.0, _LID_THREADS[shell.order.units]))
    )
    listed = stocked(shell.order.sheet.material, shell.order.units)
    return next((t for t in listed if t >= wanted), shell.sheets["front"].nominal_mm)


def _sound_strips(order: Order, lid: str, faults: Faults) -> list[tuple[int, StripSpec]]:
    """The strips that would not stand in each other, nor in the lid's way; the others are refused."""
    out = []
    for index, spec in enumerate(order.strip):
        own = Faults()
        with own.step():
            if spec.where == "brace" and lid != "none":
                raise order.refuse(
                    ("strip", index, "where"), "a brace across the top under a lid", 'lid = "none", or no brace'
                )
            if spec.where != "brace" and any(s.where == spec.where for s in order.strip[:index]):
                raise order.refuse(("strip", index, "where"), f"{spec.where!r} is given twice", "once")
        with own.step():
            if spec.where != "brace" and spec.at:
                raise order.refuse(("strip", index, "at"), f"{spec.where!r} has its places already", "no places")
        with faults.step():
            own.settle()
            out.append((index, spec))
    return out


def corner_top(shell: Shell, lid: str, rim: Rim) -> float:
    """How high what stands inside may reach: to the walls' rim, clear of strips, a lid or what it carries below it."""
    top = shell.box.outside_mm[2]
    if lid != "loose":
        covered = lid != "none" or bool(rim.strips)  # what is bonded in under something must not have to be exact
        return top - 2.0 * rule("lid_clearance") if covered else top
    return min(top, rim.top_mm - shell.sheets["lid"].thickness_mm - 2.0 * rule("lid_clearance"))


def _strip(shell: Shell, name: str, length: float, spec: StripSpec, process: str | None = None) -> Piece:
    width, thick = spec.size
    return panel(
        name, length, width, shell.sheet(thick), cut_group="strips", kind="strip", process=process, role="stiffener"
    )


def _rim_strips(shell: Shell, index: int, spec: StripSpec, rim: Rim) -> tuple[list[Placed], Rim]:
    width, _ = spec.size
    (x0, y0, _), (x1, y1, _) = shell.corners
    walls = max(shell.box.thickness_mm[p] for p in ("left", "right", "front", "back"))
    if not walls < width < min(x1 - x0, y1 - y0) / 2.0 - 1.0:
        key: Key = ("strip", index, "size") if index >= 0 else (shell.order.kind, "lid")
        raise shell.order.refuse(
            key, f"a rim strip {width:g} mm wide", f"wider than the walls ({walls:g} mm) and leaving an opening"
        )
    long_piece = _strip(shell, "rim-long", x1 - x0, spec)
    short_piece = _strip(shell, "rim-short", y1 - y0 - 2.0 * width, spec)
    z = rim.top_mm
    placed = [
        place("rim-front", long_piece, "lid", (x0, y0, z)),
        place("rim-back", long_piece, "lid", (x0, y1 - width, z)),
        lying("rim-left", short_piece, _ACROSS, (x0, y0 + width, z)),
        lying("rim-right", short_piece, _ACROSS, (x1 - width, y0 + width, z)),
    ]
    top = z + long_piece.thickness_mm
    opening = ((x0 + width, y0 + width, z), (x1 - width, y1 - width, top))
    return placed, Rim(top_mm=top, opening=opening, strips=tuple(placed))


def _corner_strips(shell: Shell, index: int, spec: StripSpec, top_mm: float) -> list[Placed]:
    width, _ = spec.size
    (x0, y0, z0), (x1, y1, _) = shell.box.inside
    if top_mm - z0 < 1.0:
        raise shell.order.refuse(("strip", index, "where"), "no room for corner strips below the lid", "a deeper tank")
    piece = _strip(shell, "corner-strip", top_mm - z0, spec)
    thick = piece.thickness_mm
    if 2.0 * width >= x1 - x0 or 2.0 * thick >= y1 - y0:
        raise shell.order.refuse(
            ("strip", index, "size"),
            f"corner strips {width:g} x {thick:g} mm meet inside",
            f"under half of {x1 - x0:g} x {y1 - y0:g} mm",
        )
    out = []
    for name, x, y, inward in (
        ("corner-front-left", x0, y0, 1.0),
        ("corner-front-right", x1 - width, y0, 1.0),
        ("corner-back-left", x0, y1 - thick, -1.0),
        ("corner-back-right", x1 - width, y1 - thick, -1.0),
    ):
        out.append(lying(name, piece, ((0.0, 0.0, 1.0), (0.0, inward, 0.0)), (x, y, z0)))
    return out


def _braces(shell: Shell, index: int, spec: StripSpec, rim: Rim, others: list[Placed]) -> list[Placed]:
    width, _ = spec.size
    (x0, y0, _), (x1, y1, _) = shell.corners
    if not spec.at:
        raise shell.order.refuse(
            ("strip", index, "at"), "a brace without places", "places along the length, such as [0]"
        )
    piece = _strip(shell, f"brace-kind-{index + 1}", y1 - y0, spec)
    out: list[Placed] = []
    for i, at in enumerate(spec.at):
        if not x0 <= at - width / 2.0 <= at + width / 2.0 <= x1:
            raise shell.order.refuse(
                ("strip", index, "at", i), f"a brace at {at:g} mm lies off the tank", f"{x0:g}..{x1:g} mm"
            )
        one = lying(f"brace-{index + 1}-{i + 1}", piece, _ACROSS, (at - width / 2.0, y0, rim.top_mm))
        (low, *_), (high, *_) = one.box
        for other in (*others, *out):
            if low < other.box[1][0] - 1e-6 and other.box[0][0] < high - 1e-6:
                key = ("strip", index, "at", i)
                raise shell.order.refuse(key, f"{one.name} stands in {other.name}", "braces side by side")
        out.append(one)
    return out


def add_lid(shell: Shell, lid: str, rim: Rim) -> Extra:
    """The lid on the rim: the outside's size, with locating strips (loose) or screw holes (screwed).

    Raises:
        OrderError: a port through the lid's edge.
    """
    if lid == "none":
        return Extra()
    sheet = shell.sheets["lid"]
    (x0, y0, _), (x1, y1, _) = shell.corners
    screws = _screw_places(shell, rim) if lid == "screwed" else []
    wide = clearance(thread(_LID_THREADS[shell.order.units])).diameter_mm
    holes = tuple(Hole(x_mm=x - x0, y_mm=y - y0, kind="through", diameter_mm=wide) for x, y in screws)
    process = next((spec.process for spec in shell.order.panel if spec.name == "lid"), None)
    lid_piece = panel("lid", x1 - x0, y1 - y0, sheet, cut_group="box", role="lid", process=process)
    blank = place("lid", lid_piece, "lid", (x0, y0, rim.top_mm))
    faults = Faults()
    for index, port in enumerate(shell.order.port):
        if port.on == "lid":
            with faults.step():
                hole = port_hole(shell, blank, index, port)
                holes = (*holes, inside_panel(shell, blank, hole, ("port", index, "at"), rim.opening))
    faults.settle()
    placed = place("lid", replace(lid_piece, holes=holes), "lid", blank.box[0])
    under = [p.name for p in rim.strips] or ["left", "right", "front", "back"]
    if lid == "bonded":
        return Extra(placed=(placed,), findings=tuple(_sealed(shell)))
    if lid == "screwed":
        buy = Fastener(
            name=f"screw {_LID_THREADS[shell.order.units]}",
            piece="lid",
            through=("lid", *under),
            thread=_LID_THREADS[shell.order.units],
            count=len(screws),
            note="with a flat washer; finger tight and a quarter turn, no more",
        )
        return Extra(
            placed=(placed,),
            joints=tuple(Joint(a=n, b="lid", kind="screwed") for n in under),
            fasteners=(buy,),
            bored=_tap_strips(shell, rim, screws),
        )
    locators = _locators(shell, rim)
    walls = {*under, "left", "right", "front", "back"}
    joints = [Joint(a=n, b="lid", kind="loose") for n in under]
    joints += [Joint(a=n, b=loc.name, kind="loose") for n in sorted(walls) for loc in locators]
    return Extra(placed=(placed, *locators), joints=tuple(joints))


def _sealed(shell: Shell) -> Iterator[Finding]:
    if not any(p.kind in ("fill", "overflow") for p in shell.order.port):
        yield Finding(
            level="care",
            check="lid",
            where="lid",
            why="a bonded lid with no fill or overflow port: it cannot be filled, and shut-in air presses when warm",
            do='add a [[port]] with kind = "fill" and one with kind = "vent", or a loose or screwed lid',
            source="common practice, no source",
        )


def _locators(shell: Shell, rim: Rim) -> tuple[Placed, ...]:
    """Four strips under a loose lid, a clearance inside the opening; those at the ends stay clear of the long ones."""
    sheet = shell.sheets["lid"]
    play, width = rule("lid_clearance"), rule("lid_strip_width")
    (x0, y0, _), (x1, y1, _) = rim.opening
    x0, y0, x1, y1 = x0 + play, y0 + play, x1 - play, y1 - play
    z = rim.top_mm - sheet.thickness_mm
    out = []
    if x1 - x0 > 0.0 and y1 - y0 > 2.0 * width:
        long = panel("locator-long", x1 - x0, width, sheet, cut_group="strips", kind="strip", role="stiffener")
        out.append(place("locator-front", long, "lid", (x0, y0, z)))
        out.append(place("locator-back", long, "lid", (x0, y1 - width, z)))
    clear = 2.0 * (width + 5.0)
    if x1 - x0 > 2.0 * width and y1 - y0 - clear > width:
        short = panel(
            "locator-short", y1 - y0 - clear, width, sheet, cut_group="strips", kind="strip", role="stiffener"
        )
        out.append(lying("locator-left", short, _ACROSS, (x0, y0 + clear / 2.0, z)))
        out.append(lying("locator-right", short, _ACROSS, (x1 - width, y0 + clear / 2.0, z)))
    return tuple(out)


def _screw_places(shell: Shell, rim: Rim) -> list[tuple[float, float]]:
    """World x and y of the screws: along the middle of the strips, corners first, no further apart than the pitch."""
    (x0, y0, _), (x1, y1, _) = shell.corners
    inset = (rim.opening[0][0] - x0) / 2.0
    x0, y0, x1, y1 = x0 + inset, y0 + inset, x1 - inset, y1 - inset
    across = max(1, math.ceil((x1 - x0) / rule("screw_pitch")))
    deep = max(1, math.ceil((y1 - y0) / rule("screw_pitch")))
    out = [(x0 + i * (x1 - x0) / across, y) for y in (y0, y1) for i in range(across + 1)]
    out += [(x, y0 + i * (y1 - y0) / deep) for x in (x0, x1) for i in range(1, deep)]
    return out


def _tap_strips(shell: Shell, rim: Rim, screws: list[tuple[float, float]]) -> dict[str, Placed]:
    """The rim strips with the lid's screws tapped into them."""
    out = {}
    for strip in rim.strips:
        low, high = strip.box
        holes = []
        for x, y in screws:
            if low[0] <= x <= high[0] and low[1] <= y <= high[1]:
                u, v, _ = strip.local((x, y, low[2]))
                # front and back strips are one part: their holes may not differ by rounding
                holes.append(tapped_hole(round(u, _DIGITS), round(v, _DIGITS), _LID_THREADS[shell.order.units]))
        try:
            out[strip.name] = replace(strip, piece=replace(strip.piece, holes=tuple(holes)))
        except SeamwrightError as error:
            raise shell.order.refuse(
                (shell.order.kind, "lid"), str(error), "wider rim strips, or another lid"
            ) from error
    return out
