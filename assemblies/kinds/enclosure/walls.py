"""The bare faces of a box, before anything is cut into them: their outlines, toothed where they are joined by tabs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from assemblies.kinds.enclosure.openings import Face
from assemblies.kinds.enclosure.spec import EnclosureSpec
from assemblies.order import Order
from parts.findings import NotCovered, SeamwrightError
from parts.make.tabs import Fit, SheetFit, TabEdge, Teeth, fit_clearance_mm, sheet_fit, tab_count, tab_edge, toothed
from parts.shape.outline import rectangle
from parts.stock.cutout import rack_figure, rack_panel
from parts.stock.rules import rule
from parts.stock.sheet import Sheet

__all__ = ["Edges", "bare_faces", "edges_of"]

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
        long=edge(length + 2.0 * t), short=edge(width), upright=edge(depth + t), fit=fit, clearance=clearance, kerf=kerf,
        thickness=t, relief=relief, off=sheet_fit((low + high) / 2.0, (high - low) / 2.0, t),
    )  # fmt: skip


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
        "lid": Face("lid", rectangle(*lids), (lid_low[0] + length / 2, lid_low[1] + width / 2), "near",
                    (*lid_low, lid_low[0] + length, lid_low[1] + width)),
    }  # fmt: skip
    bottom_low = t, 0.0 if rack else t
    if edges is None:
        faces["bottom"] = Face("bottom", rectangle(full, deep - t if rack else deep),
                               (t + length / 2, bottom_low[1] + width / 2), "far",
                               (*bottom_low, t + length, bottom_low[1] + width))  # fmt: skip
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
