"""The tap for a threaded hole: its kind, how many turns, and what thread the real drill leaves.

*Spiral-point (gun) tap*: pushes the chips ahead, out of the far side; for through holes only. *Bottoming tap*: cuts to
the floor of a blind hole, after a plug tap has started the thread.
"""

from __future__ import annotations

from dataclasses import dataclass

from assemblies.shop.drill.speed import drilling_rule
from parts.findings import SeamwrightError
from parts.shape.piece import Hole
from parts.shape.tapped import chamfer_mm
from parts.stock.thread import percent_thread, thread

__all__ = ["Tapping", "tapping"]


@dataclass(frozen=True, kw_only=True)
class Tapping:
    """How one hole is tapped.

    Attributes:
        thread: its name.
        kind: the tap, or the taps in turn.
        percent: percent of thread that the real drill leaves.
        pitch_mm: how far one turn takes the tap.
        turns: turns of the tap from where it starts to cut: through, until its full threads are out at the other face;
            blind, until half a turn above the floor.
        full_thread_mm: full thread in the finished hole, chamfers and the bottoming tap's own chamfer taken off.
    """

    thread: str
    kind: str
    percent: float
    pitch_mm: float
    turns: float
    full_thread_mm: float


def tapping(hole: Hole, thickness_mm: float, bore_mm: float) -> Tapping:
    """How a tapped hole is tapped after a drill of `bore_mm`.

    Common practice, no source: a gun tap for through holes; pipe taps come with straight flutes. The threads of chamfer
    are those of the table `drilling`.

    >>> from parts.make.tapped_plate import tapped_hole
    >>> found = tapping(tapped_hole(20, 20, "M5"), 15.0, 4.3)
    >>> round(found.percent, 1), found.kind, found.turns
    (67.4, 'spiral-point (gun) tap', 24.0)

    Raises:
        SeamwrightError: the hole has no thread.
    """
    if hole.thread is None:
        raise SeamwrightError(f"the hole at ({hole.x_mm:g}, {hole.y_mm:g}) mm has no thread")
    found = thread(hole.thread)
    length, pitch = hole.length_mm(thickness_mm), found.pitch_mm
    if hole.depth_mm is None:
        kind = "straight pipe tap" if found.system == "pipe" else "spiral-point (gun) tap"
        turns = length / pitch + drilling_rule("chamfer_threads_plug")
        full = length - 2.0 * chamfer_mm(hole)
    else:
        kind = "plug tap to start, then bottoming tap"
        turns = length / pitch - drilling_rule("tap_floor")
        full = length - chamfer_mm(hole) - drilling_rule("chamfer_threads_bottoming") * pitch
    return Tapping(
        thread=found.name,
        kind=kind,
        percent=percent_thread(found, bore_mm),
        pitch_mm=pitch,
        turns=max(0.0, round(2.0 * turns) / 2.0),
        full_thread_mm=max(0.0, full),
    )
