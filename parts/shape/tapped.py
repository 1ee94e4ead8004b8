"""Tapped holes: bore, chamfer, how much full thread they have, the longest bolt they take."""

from __future__ import annotations

from parts.shape.piece import Hole, Side
from parts.stock.rules import rule
from parts.stock.thread import DEFAULT_PERCENT, tap_drill, thread

__all__ = ["chamfer_mm", "full_thread_mm", "longest_bolt_mm", "tapped_hole"]


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


def chamfer_mm(hole: Hole) -> float:
    """Depth of the 90 degree chamfer before tapping, from the bore out to the shop rule's diameter."""
    pipe = hole.thread is not None and thread(hole.thread).system == "pipe"
    wide = rule("pipe_chamfer_diameter" if pipe else "thread_chamfer_diameter") * hole.diameter_mm
    return max(0.0, (wide - hole.bore_mm) / 2.0)


def full_thread_mm(hole: Hole, thickness_mm: float) -> float:
    """Length of full thread a bolt can engage: the hole's length less its chamfers (both faces when it goes through).

    >>> hole = tapped_hole(25, 25, "M5")
    >>> round(full_thread_mm(hole, 15.0) / 5.0, 1)
    2.6
    """
    faces = 2 if hole.depth_mm is None else 1
    return max(0.0, hole.length_mm(thickness_mm) - faces * chamfer_mm(hole))


def longest_bolt_mm(hole: Hole, thickness_mm: float) -> float:
    """The deepest a bolt may reach into a plate whose back is closed, without pressing on what is behind.

    A bolt that bottoms out pushes the plate off its bond.
    """
    return max(0.0, hole.length_mm(thickness_mm) - rule("bolt_end_clearance"))
