"""What a flange is bolted to: its circle the right way round, and where a boss hangs down into it."""

from __future__ import annotations

import math

import pytest
from round_orders import START, built, with_keys

from assemblies.shop.drill.counterpart import counterparts


def test_the_flange_has_a_template_of_what_it_stands_on() -> None:
    """By hand: six on 240 about (135, 135) of a base of 270; seen from above, right is right; the drain 66 to the right."""
    (other,) = counterparts(built(START))
    assert (other.plates, other.face, other.size, other.up, other.right) == (
        ("base",), "bottom", (270.0, 270.0), "back", "right",
    )  # fmt: skip
    wanted = {
        (135.0 + 120.0 * math.cos(math.pi * k / 3.0), 135.0 + 120.0 * math.sin(math.pi * k / 3.0)) for k in range(6)
    }
    assert sorted(h.at for h in other.holes) == [pytest.approx(at, abs=1e-5) for at in sorted(wanted)]
    assert {(h.made, h.thread) for h in other.holes} == {("tapped", "M6")}
    marks = {mark.what: mark.loop for mark in other.marks}
    assert set(marks) == {"edge", "hung"}
    assert (marks["edge"].x_mm, marks["edge"].radius_mm) == pytest.approx((135.0, 135.0))
    assert (marks["hung"].x_mm, marks["hung"].y_mm, marks["hung"].radius_mm) == pytest.approx((201.0, 135.0, 27.0))
    (laid,) = other.patterns
    assert (laid.at, laid.circle) == ((135.0, 135.0), 240.0)


def test_every_bolt_of_the_template_lies_under_its_hole_in_the_base() -> None:
    """Five bolts: no turn of half a circle is itself, so that a mirror image would show."""
    design = built(START.replace("bolts   = 6", "bolts   = 5"))
    (other,) = counterparts(design)
    base = design.instance("base")
    holes = [base.world(h.x_mm, h.y_mm, 0.0)[:2] for h in base.piece.holes if h.diameter_mm < 10.0]
    got = [(x - 135.0, y - 135.0) for x, y in (h.at for h in other.holes)]
    assert len(holes) == len(got) == 5
    for x, y in holes:
        assert min(math.dist((x, y), at) for at in got) < 1e-5


def test_without_a_flange_it_has_none() -> None:
    text = with_keys(START).replace("[round-tank.flange]", "[gone]")
    head, _, rest = text.partition("[gone]")
    text = head + rest.partition("\n\n")[2]
    head, _, rest = text.partition("[round-tank.drain]")
    text = (head + rest.partition("\n\n")[2]).replace('kind = "plates"', 'kind = "flat"')
    assert counterparts(built(text)) == ()
