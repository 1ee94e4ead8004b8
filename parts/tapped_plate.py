"""Tapped plates: attachment plates with a pattern of threaded holes, bonded on so that a rig can be bolted to them."""

from __future__ import annotations

from collections.abc import Sequence

from parts.outline import Circle, Outline, rectangle
from parts.piece import Hole, Piece, Side
from parts.rules import rule
from parts.sheet import Sheet
from parts.thread import DEFAULT_PERCENT, tap_drill, thread

__all__ = ["chamfer_mm", "full_thread_mm", "longest_bolt_mm", "tapped_hole", "tapped_plate"]


def tapped_hole(
    x_mm: float,
    y_mm: float,
    name: str,
    *,
    percent: float = DEFAULT_PERCENT,
    drill_mm: float | None = None,
    depth_mm: float | None = None,
    side: Side = "far",
) -> Hole:
    """A hole for a tap, drilled with the real drill nearest the wanted percent of thread, or with the one given.

    Raises:
        ThreadError: unknown thread.
    """
    found = thread(name)
    bore = tap_drill(found, percent).drill.diameter_mm if drill_mm is None else drill_mm
    return Hole(
        x_mm=x_mm,
        y_mm=y_mm,
        kind="tapped",
        diameter_mm=found.major_mm,
        depth_mm=depth_mm,
        thread=found.name,
        drill_mm=bore,
        side=side,
    )


def tapped_plate(
    name: str,
    width_mm: float,
    height_mm: float,
    sheet: Sheet,
    thread_name: str,
    centres: Sequence[tuple[float, float]],
    *,
    percent: float = DEFAULT_PERCENT,
    drill_mm: float | None = None,
    depth_mm: float | None = None,
    pilot_mm: float | None = None,
    side: Side = "far",
    cut_group: str = "",
) -> Piece:
    """A rectangular plate tapped at `centres`, counted from its middle; `pilot_mm` opens a round hole in the middle.

    >>> from parts.sheet import Sheet
    >>> inch = Sheet(material="cast-pmma", nominal_mm=12.7)
    >>> grid = [(x, y) for x in (-12.7, 12.7) for y in (-12.7, 12.7)]
    >>> plate = tapped_plate("plate", 50.8, 50.8, inch, "1/4-20", grid, percent=72)
    >>> round(plate.holes[0].bore_mm / 25.4 * 64, 6), plate.holes[0].x_mm
    (13.0, 12.7)

    Raises:
        SeamwrightError: a hole that runs through an edge, an unknown thread.
    """
    mid_x, mid_y = width_mm / 2.0, height_mm / 2.0
    pilot = () if pilot_mm is None else (Circle(mid_x, mid_y, pilot_mm / 2.0),)
    holes = tuple(
        tapped_hole(mid_x + x, mid_y + y, thread_name, percent=percent, drill_mm=drill_mm, depth_mm=depth_mm, side=side)
        for x, y in centres
    )
    return Piece(
        name=name,
        kind="tapped-plate",
        outline=Outline(rectangle(width_mm, height_mm), pilot),
        holes=holes,
        sheet=sheet,
        cut_group=cut_group,
    )


def chamfer_mm(hole: Hole) -> float:
    """Depth of the 90 degree chamfer before tapping, from the bore out to the shop rule's diameter."""
    pipe = hole.thread is not None and thread(hole.thread).system == "pipe"
    wide = rule("pipe_chamfer_diameter" if pipe else "thread_chamfer_diameter") * hole.diameter_mm
    return max(0.0, (wide - hole.bore_mm) / 2.0)


def full_thread_mm(hole: Hole, thickness_mm: float) -> float:
    """Length of full thread a bolt can engage: the hole's length less its chamfers (both faces when it goes through).

    >>> hole = tapped_hole(25, 25, "M6")
    >>> round(full_thread_mm(hole, 12.0) / 6.0, 1)
    1.6
    """
    faces = 2 if hole.depth_mm is None else 1
    return max(0.0, hole.length_mm(thickness_mm) - faces * chamfer_mm(hole))


def longest_bolt_mm(hole: Hole, thickness_mm: float) -> float:
    """The deepest a bolt may reach into a plate whose back is closed, without pressing on what is behind.

    A bolt that bottoms out pushes the plate off its bond.
    """
    return max(0.0, hole.length_mm(thickness_mm) - rule("bolt_end_clearance"))
