"""Slotted holes: the shape by hand, and that it is known again from the outline alone."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from parts.findings import SeamwrightError
from parts.shape.outline import Arc, Circle, Loop, Vertex, rectangle, rounded_rectangle
from parts.shape.slot import Slot, slot_loop, slots_of


def test_a_slot_by_hand():
    """6.6 wide, travel 12: 12 x 6.6 and a disc of 6.6; ends are half circles about the two end places."""
    slot = Slot(x_mm=20, y_mm=30, width_mm=6.6, travel_mm=12, along_rad=math.pi / 2)
    loop = slot_loop(slot)
    assert loop.area_mm2 == pytest.approx(12 * 6.6 + math.pi * 3.3**2)
    assert loop.bounds_mm == pytest.approx((16.7, 20.7, 23.3, 39.3))
    arcs = [s for s in loop.segments() if isinstance(s, Arc)]
    assert [(round(a.cx_mm, 9), round(a.cy_mm, 9)) for a in arcs] == [(20, 36), (20, 24)]
    assert slot.ends == (pytest.approx((20, 24)), pytest.approx((20, 36)))


@given(st.floats(-500, 500), st.floats(-500, 500), st.floats(1, 30), st.floats(0.5, 200), st.floats(0, 3.1))
def test_every_slot_is_known_again(x, y, wide, travel, along):
    (found,) = slots_of([slot_loop(Slot(x_mm=x, y_mm=y, width_mm=wide, travel_mm=travel, along_rad=along))])
    assert (found.x_mm, found.y_mm, found.width_mm, found.travel_mm) == pytest.approx((x, y, wide, travel), abs=2e-6)
    assert abs(math.sin(found.along_rad - along)) * travel < 1e-4


def test_other_loops_are_no_slots():
    bow_tie = Loop((Vertex(0, 0), Vertex(10, 0, 1.0), Vertex(10, 6), Vertex(0, 6, -1.0)))
    others = [rectangle(10, 5), rounded_rectangle(20, 10, 3), Circle(0, 0, 5), bow_tie]
    assert slots_of(others) == ()


@pytest.mark.parametrize(("wide", "travel"), [(0, 5), (5, 0), (-1, 5)])
def test_a_slot_of_no_width_or_no_travel_is_refused(wide, travel):
    with pytest.raises(SeamwrightError, match="slot"):
        slot_loop(Slot(x_mm=0, y_mm=0, width_mm=wide, travel_mm=travel, along_rad=0))
