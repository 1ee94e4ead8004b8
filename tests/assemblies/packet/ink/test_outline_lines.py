"""Outlines as primitives: their points lie where the outline's own points lie."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assemblies.packet.ink.outline_lines import loop_lines
from assemblies.packet.ink.primitives import Circle, Ellipse, Line
from parts.shape import outline as shape
from parts.shape.outline import rounded_rectangle


def ends(item: object) -> tuple[tuple[float, float], tuple[float, float]]:
    if isinstance(item, Line):
        return (item.x0, item.y0), (item.x1, item.y1)
    assert isinstance(item, Ellipse)
    return item.at(item.start_rad), item.at(item.start_rad + item.sweep_rad)


@given(st.floats(30, 300), st.floats(30, 300), st.floats(1, 14), st.floats(0.02, 0.9), st.sampled_from((-1, 1)))
def test_the_items_join_vertex_to_vertex_and_enclose_the_outlines_area(
    w: float, h: float, r: float, b: float, s: int
) -> None:
    corners = rounded_rectangle(w, h, r).vertices
    loop = shape.Loop((*corners[:-1], shape.Vertex(corners[-1].x_mm, corners[-1].y_mm, s * b)))
    joined = [ends(item) for item in loop_lines(loop)]
    assert [start for start, _ in joined] == [pytest.approx((v.x_mm, v.y_mm), abs=1e-6) for v in loop.vertices]
    for (_, end), (start, _) in pairwise([*joined, joined[0]]):
        assert end == pytest.approx(start, abs=1e-6)
    # Green's theorem, an arc as a polygon of 400 chords: their sagitta leaves less than 1e-4 of the area
    points = [p for item in loop_lines(loop) for p in along(item)]
    area = sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairwise([*points, points[0]])) / 2.0
    assert area == pytest.approx(shape.Outline(outer=loop).area_mm2, rel=1e-4)


def along(item: object) -> list[tuple[float, float]]:
    if isinstance(item, Ellipse):
        return [item.at(item.start_rad + item.sweep_rad * k / 400) for k in range(400)]
    return [ends(item)[0]]


def test_a_circle_stays_a_circle_on_its_layer() -> None:
    (item,) = loop_lines(shape.Circle(3.0, 4.0, 2.5), "hidden")
    assert item == Circle(x=3.0, y=4.0, radius=2.5, layer="hidden")
    assert {i.layer for i in loop_lines(rounded_rectangle(9, 8, 1), "dimension") if isinstance(i, Line | Ellipse)} == {
        "dimension"
    }
