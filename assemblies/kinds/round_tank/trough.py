"""The trough before a notch in the tube: a floor whose inner end is cut to the tube's curve, and two sides whose ends are
bevelled to its tangent. It is bonded together first and set on the tube as one.

An arc is cut in a flat outline as easily as a line; the upright sides cannot be cut so, and a straight bevel leaves a wedge on
both sides of the line that it touches in: `fit` judges it.
"""

from __future__ import annotations

import math
from typing import Final

from assemblies.design import Joint, Placed
from assemblies.kinds.round_tank.laid import WAYS, Laid
from assemblies.kinds.round_tank.tables import LipSpec
from assemblies.kinds.sheets import extra_sheet
from parts.findings import Finding
from parts.make.panel import panel
from parts.shape.outline import Loop, Outline, Vertex
from parts.shape.piece import Bevel, Piece
from parts.stock.sheet import Sheet
from parts.vectors import Vector

__all__ = ["trough", "trough_said", "way_of"]

_STEEPEST: Final = math.radians(45.0)  # of a bevel: saws tilt so far; common practice, no source
_LEAST_MM: Final = 5.0  # that it reaches out, and of its wall's height; judgement


def way_of(lip: LipSpec) -> tuple[float, float]:
    """The level way that it pours to."""
    turn = math.radians(WAYS[lip.on])
    return float(round(math.cos(turn))), float(round(math.sin(turn)))


def trough(laid: Laid) -> tuple[tuple[Placed, ...], tuple[Joint, ...]]:
    """Floor and sides, and their joints with the tube; none where the order has no trough.

    Raises:
        OrderError: one so wide that its sides cannot be bevelled to the tube, or that hardly stands out.
    """
    lip = laid.spec.lip
    if lip is None or lip.kind != "trough":
        return (), ()
    sheet = extra_sheet(laid.order, lip.thickness or laid.spec.wall)
    radius, half, t = laid.tube.outside_mm / 2.0, lip.width / 2.0, sheet.thickness_mm
    middle = half + t / 2.0  # of the end of a side, from the middle of the trough
    if middle + t / 2.0 > radius * math.sin(_STEEPEST):
        raise laid.order.refuse(
            ("round-tank", "lip", "width"),
            f"sides {t:g} mm thick beside {lip.width:g} mm meet the tube at over {math.degrees(_STEEPEST):g} degrees",
            f"at most {2.0 * (radius * math.sin(_STEEPEST) - t):.0f} mm with that sheet",
        )
    out = lip.out or lip.width
    if out < _LEAST_MM:
        raise laid.order.refuse(
            ("round-tank", "lip", "out"), f"a trough that reaches {out:g} mm out", f"at least {_LEAST_MM:g} mm"
        )
    angle = math.asin(middle / radius)
    starts = math.sqrt(radius**2 - half**2)  # where the floor's corners lie on the tube
    inner = radius * math.cos(angle) - math.tan(angle) * t / 2.0  # where the outer face of a side ends
    low = laid.top_mm - lip.depth - t
    floor = _floor(lip.width, radius + out - starts, radius, sheet)
    side = _side(radius + out - inner, lip.depth + t, angle, sheet)
    (dx, dy), up = way_of(lip), (0.0, 0.0, 1.0)
    way, across = (dx, dy, 0.0), (dy, -dx, 0.0)  # out, and square to it: across x out is up

    def at(forward: float, aside: float, high: float) -> Vector:
        return dx * forward + dy * aside, dy * forward - dx * aside, high

    back = (-across[0], -across[1], 0.0)
    placed = (
        Placed(name="trough-floor", piece=floor, origin=at(starts, -half, low), x=across, z=up),
        Placed(name="trough-side-left", piece=side, origin=at(inner, half, low), x=way, z=across),
        Placed(name="trough-side-right", piece=side, origin=at(inner, -half, laid.top_mm), x=way, z=back),
    )
    return placed, tuple(Joint(a="tube", b=one.name, kind="saddle") for one in placed)


def _floor(width: float, long: float, radius: float, sheet: Sheet) -> Piece:
    """As wide as the notch, its lower end hollow to the tube."""
    bows = -math.tan(math.asin(width / 2.0 / radius) / 2.0)  # a quarter of the arc, into the piece
    corners = (Vertex(0.0, 0.0, bows), Vertex(width, 0.0), Vertex(width, long), Vertex(0.0, long))
    return Piece(name="trough-floor", kind="trough", outline=Outline(Loop(corners)), sheet=sheet, role="stiffener")


def _side(long: float, high: float, angle: float, sheet: Sheet) -> Piece:
    """Its left end bevelled, so that the face towards the trough, the near one, is the shorter."""
    piece = panel("trough-side", long, high, sheet, cut_group="trough", kind="trough", role="stiffener")
    outer = piece.outline.outer
    assert isinstance(outer, Loop)
    left = next(k for k in range(len(outer.vertices)) if piece.edge_side(k) == "left")
    return Piece(
        name=piece.name,
        kind=piece.kind,
        outline=piece.outline,
        sheet=sheet,
        bevels=(Bevel(edge=left, angle_rad=angle, side="near"),),
        cut_group=piece.cut_group,
        role="stiffener",
    )


def trough_said(laid: Laid) -> Finding:
    """How its pieces are fitted to the tube."""
    return Finding(
        level="note",
        check="build",
        where="trough",
        why="its floor's end is cut to the outside of the tube, and its sides' ends are bevelled to it, by its readings",
        do="try them on the tube in hand; dress the floor's end with abrasive paper laid on the tube itself",
        source="common practice, no source",
    )
