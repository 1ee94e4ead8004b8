"""The order of bends: later ones clear the heater and what is bent already."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from samples import panel

from assemblies.shop.heat.former import gauge, ribs
from assemblies.shop.heat.turns import order_of_bends
from parts.findings import SeamwrightError
from parts.shape.bent import bent
from parts.shape.outline import Arc, Line
from parts.shape.piece import Bend

UP = math.pi / 2.0


def order(long: float, *bends: tuple[float, float, str], heater: float = 60.0) -> tuple[tuple[int, str], ...] | None:
    """Of a strip 4 mm thick with bends (middle, degrees, hollow face)."""
    made = replace(panel("p", long, 80.0, 4.0), bends=tuple(
        Bend(x_mm=x, y_mm=0.0, along_rad=UP, angle_rad=math.radians(a), inside_radius_mm=8.0, side=side)  # type: ignore[arg-type]
        for x, a, side in bends
    ))  # fmt: skip
    return order_of_bends(bent(made).bands, 0.0, long, heater)


def test_a_single_bend_lies_on_the_heater_with_the_face_that_is_stretched() -> None:
    assert order(200.0, (100.0, 90.0, "far")) == ((0, "near"),)
    assert order(200.0, (100.0, 90.0, "near")) == ((0, "far"),)


def test_a_leg_that_stands_beside_the_heater_turns_the_other_face_down() -> None:
    """A Z: the first leg, bent down to the near side 30 mm away, would stand in the heater's body."""
    found = order(200.0, (80.0, 90.0, "near"), (110.0, 90.0, "far"))
    assert found is not None
    assert found[1] == (1, "far")  # near face down it would be


def test_far_from_the_heater_either_face_may_lie_on_it() -> None:
    assert order(300.0, (80.0, 90.0, "near"), (180.0, 90.0, "far")) == ((0, "far"), (1, "near"))


def test_between_legs_that_stand_up_and_down_close_by_there_is_no_last_bend() -> None:
    """Three bends 30 mm apart: the middle one cannot be last, as its neighbours stand on either side."""
    found = order(300.0, (100.0, 90.0, "near"), (130.0, 90.0, "far"), (160.0, 90.0, "near"))
    assert found is None or found[-1][0] != 1
    assert order(300.0, (100.0, 90.0, "near"), (130.0, 90.0, "far"), (160.0, 90.0, "near"), heater=20.0) is not None


def test_a_strip_that_would_roll_into_itself_has_no_order() -> None:
    assert order(400.0, (60.0, 90.0, "far"), (110.0, 90.0, "far"), (160.0, 90.0, "far"), (210.0, 90.0, "far")) is None


def test_a_gauge_touches_arc_and_legs() -> None:
    loop = gauge(50.0, math.radians(60.0), 40.0)
    arcs = [s for s in loop.segments() if isinstance(s, Arc)]
    lines = sorted(s.length_mm for s in loop.segments() if isinstance(s, Line))
    assert [(a.radius_mm, abs(a.sweep_rad)) for a in arcs] == [(pytest.approx(50.0), pytest.approx(math.radians(60.0)))]
    assert lines[:2] == pytest.approx([40.0, 40.0])
    assert lines[2] == pytest.approx(2.0 * (50.0 * 0.5 + 40.0 * math.cos(math.radians(30.0))))


def test_ribs_carry_the_former_less_its_skin_and_stand_on_a_base() -> None:
    made = ribs(394.0, math.radians(40.6), (45.0, 45.0), 240.0)
    arc = next(s for s in made.outline.outer.segments() if isinstance(s, Arc))  # type: ignore[union-attr]
    assert arc.radius_mm == pytest.approx(391.0)
    assert abs(arc.sweep_rad) == pytest.approx(math.radians(40.6))
    assert (made.count, made.apart_mm) == (5, 60.0)
    wide, high = made.outline.size_mm
    assert wide == pytest.approx(2.0 * (391.0 * math.sin(math.radians(20.3)) + 60.0 * math.cos(math.radians(20.3))))
    for loop in made.outline.inner:
        x0, y0, x1, y1 = loop.bounds_mm
        assert min(x0, y0, wide - x1, high - y1) > 5.0
    with pytest.raises(SeamwrightError, match="has no ribs"):
        ribs(394.0, 3.3, (45.0, 45.0), 240.0)
    with pytest.raises(SeamwrightError, match="has no ribs"):
        ribs(2.0, 1.0, (45.0, 45.0), 240.0)
