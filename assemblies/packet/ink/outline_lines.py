"""A flat outline as drawing primitives, true lines and arcs: what drawings, templates and nests show of a piece."""

from __future__ import annotations

from collections.abc import Iterator

from assemblies.packet.ink.primitives import Circle, Ellipse, Layer, Line, Primitive
from parts.shape import outline as shape

__all__ = ["loop_lines"]


def loop_lines(loop: shape.Loop | shape.Circle, layer: Layer = "visible") -> Iterator[Primitive]:
    """The lines and arcs of a loop in its own mm, in its own order."""
    if isinstance(loop, shape.Circle):
        yield Circle(x=loop.x_mm, y=loop.y_mm, radius=loop.radius_mm, layer=layer)
        return
    for segment in loop.segments():
        if isinstance(segment, shape.Line):
            yield Line(x0=segment.x0_mm, y0=segment.y0_mm, x1=segment.x1_mm, y1=segment.y1_mm, layer=layer)
        else:
            yield Ellipse(
                x=segment.cx_mm,
                y=segment.cy_mm,
                a=segment.radius_mm,
                b=segment.radius_mm,
                turn_rad=0.0,
                start_rad=segment.start_rad,
                sweep_rad=segment.sweep_rad,
                layer=layer,
            )
