"""The bare faces of a box, before anything is cut into them: their outlines, toothed where they are joined by tabs; and walls
inside it with their slots."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from assemblies.kinds.enclosure.openings import Face, shifted
from assemblies.kinds.enclosure.spec import EnclosureSpec, WallSpec
from assemblies.order import Order
from parts.findings import NotCovered, SeamwrightError
from parts.make.tabs import (
    Fit,
    SheetFit,
    TabEdge,
    Teeth,
    fit_clearance_mm,
    sheet_fit,
    tab_count,
    tab_edge,
    through_slot,
    toothed,
)
from parts.shape.outline import Loop, Outline, Vertex, rectangle
from parts.shape.piece import Piece
from parts.stock.cutout import rack_figure, rack_panel
from parts.stock.rules import rule
from parts.stock.sheet import Sheet

__all__ = ["Edges", "Inner", "bare_faces", "edges_of", "inner_wall"]

_NARROW: Final = 3.0  # reliefs' radii that stay beside the two of them in a gap
_SLACK: Final = 0.05  # a relief is so much wider than the cutter, so that it is a turn of it and not a plunge


@dataclass(frozen=True, kw_only=True)
class Edges:
    """The toothed edges of a box: along front and back (piece A: these, B: the bottom), along the ends (A: these), upright
    (A: front and back, B: the ends).

    Attributes:
        relief: radius of the reliefs, mm.
        off: how far the ends of tabs stand back (least) or proud (largest) of the outside where the sheet is not measured.
    """

    long: TabEdge
    short: TabEdge
    upright: TabEdge
    fit: Fit
    clearance: float
    kerf: float
    thickness: float
    relief: float
    off: SheetFit


def edges_of(order: Order, spec: EnclosureSpec, sheet: Sheet) -> Edges | None:
    """The tabs of an order; None where its walls are joined otherwise.

    Raises:
        SeamwrightError: what cannot be cut with a saw, or is too narrow.
    """
    if spec.joints != "tabs":
        return None
    process, kerf, t = order.cutting.process, order.cutting.kerf, sheet.thickness_mm
    if process not in ("router", "laser"):
        raise SeamwrightError(f"tabs are cut by router or laser, not by {process}")
    fit: Fit = spec.fit or "normal"
    clearance = fit_clearance_mm(fit)
    least = max(rule("inside_corner_min"), rule("inside_corner_thickness_min") * t)
    relief = round(max(least, kerf / 2.0 + _SLACK if process == "router" else 0.0), 3)
    length, width, depth = spec.size

    def edge(long: float) -> TabEdge:
        return tab_edge(long, tab_count(long, t, (4.0 + _NARROW) * relief), t, kerf, clearance)

    low, high = (t, t) if sheet.is_measured else _range(sheet)
    return Edges(
        long=edge(length + 2.0 * t),
        short=edge(width),
        upright=edge(depth + t),
        fit=fit,
        clearance=clearance,
        kerf=kerf,
        thickness=t,
        relief=relief,
        off=sheet_fit((low + high) / 2.0, (high - low) / 2.0, t),
    )


def _range(sheet: Sheet) -> tuple[float, float]:
    try:
        return sheet.thickness_range_mm
    except NotCovered:
        return sheet.thickness_mm, sheet.thickness_mm


def bare_faces(order: Order, spec: EnclosureSpec, t: float, edges: Edges | None) -> dict[str, Face]:
    """All six, by name.

    Raises:
        SeamwrightError: a rack panel smaller than the box, gaps too narrow for their reliefs.
    """
    (length, width, depth), drip = spec.size, spec.drip
    rack = spec.mount is not None and spec.mount.by == "rack"
    full, deep = length + 2.0 * t, width + 2.0 * t
    over = (0.0 if spec.lid == "hinged" else drip) + (0.0 if rack else drip)  # behind and in front
    lids = full + 2.0 * drip, (deep - t if rack else deep) + over
    lid_low = drip + t, (0.0 if rack else drip + t)
    faces = {
        "lid": Face(
            "lid",
            rectangle(*lids),
            (lid_low[0] + length / 2, lid_low[1] + width / 2),
            "near",
            (*lid_low, lid_low[0] + length, lid_low[1] + width),
        )
    }
    bottom_low = t, 0.0 if rack else t
    if edges is None:
        faces["bottom"] = Face(
            "bottom",
            rectangle(full, deep - t if rack else deep),
            (t + length / 2, bottom_low[1] + width / 2),
            "far",
            (*bottom_low, t + length, bottom_low[1] + width),
        )
        for name, wide, inset in (("front", full, t), ("back", full, t), ("left", width, 0.0), ("right", width, 0.0)):
            faces[name] = Face(
                name, rectangle(wide, depth), (wide / 2, depth / 2), "near", (inset, 0.0, wide - inset, depth)
            )
        if rack:
            faces["front"] = _rack_front(spec, t)
        return faces
    high = depth + t
    a, b = edges.long.a_cut, edges.long.b_cut
    short_a, short_b = (tuple((x + t, y + t) for x, y in spans) for spans in (edges.short.a_cut, edges.short.b_cut))
    upright_a, upright_b = edges.upright.a_cut, edges.upright.b_cut

    def teeth(spans: tuple[tuple[float, float], ...]) -> Teeth:
        return Teeth(spans=spans, depth_mm=edges.upright.depth)

    wall = toothed(
        "front", full, high, {"bottom": teeth(a), "left": teeth(upright_a), "right": teeth(upright_a)}, edges.relief
    )
    end = toothed(
        "left",
        deep,
        high,
        {"bottom": teeth(short_a), "left": teeth(upright_b), "right": teeth(upright_b)},
        edges.relief,
    )
    floor = toothed(
        "bottom",
        full,
        deep,
        {"bottom": teeth(b), "top": teeth(b), "left": teeth(short_b), "right": teeth(short_b)},
        edges.relief,
    )
    for name, outer, wide in (("front", wall, full), ("back", wall, full), ("left", end, deep), ("right", end, deep)):
        faces[name] = Face(name, outer, (wide / 2, t + depth / 2), "near", (t, t, wide - t, high))
    faces["bottom"] = Face("bottom", floor, (full / 2, deep / 2), "far", (t, t, full - t, deep - t))
    return faces


def _rack_front(spec: EnclosureSpec, t: float) -> Face:
    """The front as a panel of a 19-inch rack, the box behind its middle."""
    assert spec.mount is not None
    assert spec.mount.units is not None
    panel, (length, _, depth) = rack_panel(spec.mount.units), spec.size
    if length + 2.0 * t > rack_figure("inside"):
        raise SeamwrightError(
            f"the box is {length + 2 * t:.1f} mm long outside: between the posts of a rack are {rack_figure('inside'):g}"
        )
    if depth + 2.0 * t > panel.height:
        raise SeamwrightError(
            f"the box is {depth + 2 * t:.1f} mm high: a panel of {spec.mount.units} units has {panel.height:g}"
        )
    x, y = panel.width / 2.0, panel.height / 2.0
    free = x - length / 2.0, y - depth / 2.0, x + length / 2.0, y + depth / 2.0
    return Face("front", rectangle(panel.width, panel.height), (x, y), "near", free)


@dataclass(frozen=True, kw_only=True)
class Inner:
    """A wall inside.

    Attributes:
        piece, faces: what it is, and the way it faces.
        low: where its low corner stands, from the middle of the floor inside.
        slotted, touched: what its tabs go into, what its ends only touch.
    """

    piece: Piece
    faces: str
    low: tuple[float, float, float]
    slotted: tuple[str, ...]
    touched: tuple[str, ...]


def inner_wall(
    order: Order,
    spec: EnclosureSpec,
    wall: WallSpec,
    number: int,
    sheet: Sheet,
    faces: dict[str, Face],
    height: float,
    relief: float,
) -> Inner:
    """Make one, and cut its slots into the faces.

    Args:
        height: of it over the bottom.
        relief: radius of the reliefs at the roots of its tabs and in the corners of its slots.

    Raises:
        SeamwrightError: what cannot be cut with a saw, tabs or slots without room.
    """
    process, kerf, t = order.cutting.process, order.cutting.kerf, sheet.thickness_mm
    if process not in ("router", "laser"):
        raise SeamwrightError(f"slots for tabs are cut by router or laser, not by {process}")
    clearance = fit_clearance_mm(spec.fit or "normal")
    across = wall.runs == "across"
    long = spec.size[1] if across else spec.size[0]
    ends = ("front", "back") if across else ("left", "right")
    loose = across and spec.joints == "screwed"  # front and back come off

    def tabs(length: float) -> tuple[tuple[float, float], ...]:
        return tab_edge(length, tab_count(length, t, (4.0 + _NARROW) * relief), t, kerf, clearance).b_cut

    under, beside = tabs(long), () if loose else tabs(height)
    out = 0.0 if loose else t
    teeth = {"bottom": Teeth(spans=tuple((a + out, b + out) for a, b in under), depth_mm=t)}
    if not loose:
        up = Teeth(spans=tuple((a + t, b + t) for a, b in beside), depth_mm=t)
        teeth |= {"left": up, "right": up}
    name = f"wall-{number}"
    outer = toothed(name, long + 2.0 * out, height + t, teeth, relief)  # type: ignore[arg-type]
    piece = Piece(name=name, kind="panel", outline=Outline(outer), sheet=sheet, cut_group="walls", role="inner")
    wide = through_slot(t, kerf, clearance, 1e3 * t, clearance).width_cut
    floor = faces["bottom"]
    x0, y0, x1, y1 = floor.free
    for a, b in under:
        long_cut = through_slot(t, kerf, clearance, b - a, clearance / 2.0).length_cut
        middle = (a + b) / 2.0
        at = ((x0 + x1) / 2.0 + wall.at, y0 + middle) if across else (x0 + middle, (y0 + y1) / 2.0 + wall.at)
        _slot(floor, name, at, (wide, long_cut) if across else (long_cut, wide), relief)
    for end in () if loose else ends:
        face = faces[end]
        x0, y0, x1, _ = face.free
        off = wall.at if end in ("front", "right") else -wall.at
        for a, b in beside:
            long_cut = through_slot(t, kerf, clearance, b - a, clearance / 2.0).length_cut
            _slot(face, name, ((x0 + x1) / 2.0 + off, y0 + (a + b) / 2.0), (wide, long_cut), relief)
    low = (wall.at - t / 2.0, -long / 2.0 - out) if across else (-long / 2.0 - out, wall.at - t / 2.0)
    return Inner(
        piece=piece,
        faces="right" if across else "front",
        low=(*low, -t),
        slotted=("bottom", *(() if loose else ends)),
        touched=ends if loose else (),
    )


def _slot(face: Face, what: str, at: tuple[float, float], size: tuple[float, float], relief: float) -> None:
    """A slot about a place, half circles beside its corners on its long sides."""
    wide, high = size
    turned = high > wide
    long, short = (high, wide) if turned else (wide, high)
    if long < (4.0 + _NARROW) * relief:
        raise SeamwrightError(f"{what}: a slot {long:.1f} mm long has no room for reliefs of radius {relief:.2f} mm")
    x, y, r = long / 2.0, short / 2.0, 2.0 * relief
    half = [(-x, -y, 1.0), (-x + r, -y, 0.0), (x - r, -y, 1.0), (x, -y, 0.0)]
    ring = half + [(-a, -b, bulge) for a, b, bulge in half]
    loop = Loop(tuple(Vertex(*((at[0] - b, at[1] + a) if turned else (at[0] + a, at[1] + b)), c) for a, b, c in ring))
    box = (-short / 2.0 - relief, -long / 2.0, short / 2.0 + relief, long / 2.0)
    box = box if turned else (box[1], box[0], box[3], box[2])
    face.take(f"{what} in a slot", shifted(box, *at))
    face.openings.append((f"slots of {what}", shifted(box, *at)))
    face.inner.append(loop)
