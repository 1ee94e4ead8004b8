"""Overlap, containment, contact and floating pieces, held to volumes worked out by hand."""

from __future__ import annotations

import math
import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import design, flat, panel, tank

from assemblies.design.model import Placed
from assemblies.fit.interference import (
    LEAST_DEPTH_MM,
    Interference,
    _near_pairs,
    _swept,
    floating,
    interferences,
    placed_solid,
)
from parts.shape.outline import Circle, rectangle
from parts.shape.piece import Hole
from parts.vectors import Vector, cross


def at(name: str, piece, origin: Vector, x: Vector = (1, 0, 0), z: Vector = (0, 0, 1)) -> Placed:  # type: ignore[no-untyped-def]
    return Placed(name=name, piece=piece, origin=origin, x=x, z=z)


def shifted(placed: Placed, dx: float, dy: float, dz: float) -> Placed:
    ox, oy, oz = placed.origin
    return replace(placed, origin=(ox + dx, oy + dy, oz + dz))


def test_a_tank_that_only_touches_has_none_and_is_one_group() -> None:
    assert interferences(design()) == ()
    assert floating(design()) == ()


def test_a_panel_shifted_by_0_3_mm_is_named_with_its_volume() -> None:
    placed = list(tank())
    placed[3] = shifted(placed[3], 0.0, 0.3, 0.0)  # left end, 0.3 mm into the back: 0.3 x 6 x 144
    (one,) = interferences(design(*placed))
    assert (one.a, one.b) == ("back", "left")
    assert one.volume_mm3 == pytest.approx(0.3 * 6 * 144, rel=1e-9)


def test_a_panel_made_0_3_mm_longer_is_named_with_its_volume() -> None:
    placed = list(tank())
    longer = panel("bottom", 300.0, 188.3)
    placed[2] = replace(placed[2], piece=longer)
    assert interferences(design(*placed)) == (
        Interference(a="back", b="bottom", volume_mm3=pytest.approx(0.3 * 300 * 6, rel=1e-9)),
    )


def test_a_piece_wholly_inside_another_is_caught() -> None:
    block, chip = panel("block", 100, 100, 20), panel("chip", 10, 10, 3)
    (one,) = interferences(design(at("block", block, (0, 0, 0)), at("chip", chip, (40, 40, 8))))
    assert one.volume_mm3 == pytest.approx(300.0, rel=1e-9)


def test_two_pieces_in_one_place_are_caught() -> None:
    wall = panel("wall", 100, 100)
    (one,) = interferences(design(at("one", wall, (0, 0, 0)), at("two", wall, (0, 0, 0))))
    assert one.volume_mm3 == pytest.approx(wall.volume_mm3, rel=1e-9)


def test_a_disc_in_a_bore_of_its_own_size_only_touches() -> None:
    ring = flat("ring", Circle(50, 50, 50), inner=(Circle(50, 50, 30),))
    plug = flat("plug", Circle(30, 30, 30))
    sits = design(at("ring", ring, (0, 0, 0)), at("plug", plug, (20, 20, 0)))
    assert interferences(sits) == ()
    assert floating(sits) == ()
    loose = flat("loose", Circle(29, 29, 29))
    apart = design(at("ring", ring, (0, 0, 0)), at("loose", loose, (21, 21, 0)))
    assert floating(apart) == (("loose",),)  # a gap of 1 mm all round, though the boxes overlap wholly
    assert floating(apart, touch_mm=1.001) == ()


def test_a_disc_too_large_for_the_bore_overlaps_by_a_ring() -> None:
    ring = flat("ring", Circle(50, 50, 50), inner=(Circle(50, 50, 30),))
    plug = flat("plug", Circle(30.2, 30.2, 30.2))
    (one,) = interferences(design(at("ring", ring, (0, 0, 0)), at("plug", plug, (19.8, 19.8, 0))))
    assert one.volume_mm3 == pytest.approx(math.pi * (30.2**2 - 30**2) * 6, rel=1e-6)


def test_a_peg_in_a_drilled_hole_is_free_and_beside_it_is_not() -> None:
    hole = Hole(x_mm=20, y_mm=20, kind="through", diameter_mm=10.0)
    board = flat("board", rectangle(60, 60), holes=(hole,))
    peg = flat("peg", Circle(4, 4, 4), thickness_mm=20)
    assert interferences(design(at("board", board, (0, 0, 0)), at("peg", peg, (16, 16, -7)))) == ()
    (one,) = interferences(design(at("board", board, (0, 0, 0)), at("peg", peg, (40, 40, -7))))
    assert one.volume_mm3 == pytest.approx(math.pi * 16 * 6, rel=1e-9)


def turned(degrees: float) -> Vector:
    return math.cos(math.radians(degrees)), math.sin(math.radians(degrees)), 0.0


def test_leaning_pieces_whose_boxes_overlap_but_which_stand_apart_are_free_and_need_no_kernel() -> None:
    wall = panel("wall", 100, 40)
    x = turned(45)
    z = cross(x, (0.0, 0.0, 1.0))
    step = tuple(20.0 * c for c in z)
    pair = design(at("one", wall, (0, 0, 0), x, z), at("two", wall, step, x, z))
    assert _swept(*np.array([p.box for p in pair.placed]).transpose(1, 0, 2), LEAST_DEPTH_MM) == [(0, 1)]
    assert list(_near_pairs(pair, LEAST_DEPTH_MM)) == []
    assert interferences(pair) == ()
    assert floating(pair) == (("two",),)


@settings(max_examples=20)
@given(st.floats(0.0, 360.0), st.floats(-80.0, 80.0), st.floats(0.5, 5.9))
def test_the_common_volume_of_two_stacked_panels_does_not_depend_on_how_they_stand(
    about_z: float, lean: float, deep: float
) -> None:
    x = turned(about_z)
    side, c, s = cross((0.0, 0.0, 1.0), x), math.cos(math.radians(lean)), math.sin(math.radians(lean))
    z = (s * side[0], s * side[1], c)
    wall = panel("wall", 80, 50)
    offset = tuple((6.0 - deep) * k for k in z)
    (one,) = interferences(design(at("low", wall, (0, 0, 0), x, z), at("high", wall, offset, x, z)))
    assert one.volume_mm3 == pytest.approx(80 * 50 * deep, rel=1e-6)
    resting = tuple(6.0 * k for k in z)
    stack = design(at("low", wall, (0, 0, 0), x, z), at("high", wall, resting, x, z))
    assert interferences(stack) == ()
    assert floating(stack) == ()


@given(
    st.lists(st.tuples(*[st.floats(-50, 50)] * 3, *[st.floats(0.1, 60)] * 3), min_size=2, max_size=25), st.floats(-1, 1)
)
def test_the_sweep_finds_what_trying_every_pair_finds(rows: list[tuple[float, ...]], reach: float) -> None:
    low = np.array([row[:3] for row in rows])
    high = low + np.array([row[3:] for row in rows])
    every = [
        (i, j)
        for i in range(len(rows))
        for j in range(i + 1, len(rows))
        if (np.minimum(high[i], high[j]) - np.maximum(low[i], low[j]) >= reach).all()
    ]
    assert sorted(_swept(low, high, reach)) == every


def test_floating_groups_are_listed_with_all_their_pieces() -> None:
    far = tank(at=(2000.0, 0.0, 0.0), prefix="far-")[:3]
    lone = at("lone", panel("chip", 20, 20), (0.0, 0.0, 50.0))
    assert floating(design(*tank(), lone, *far)) == (("lone",), ("far-front", "far-back", "far-bottom"))


def test_a_gap_counts_as_touching_up_to_the_given_width() -> None:
    wall = panel("wall", 50, 50)
    pair = design(at("low", wall, (0, 0, 0)), at("high", wall, (0, 0, 6.2)))
    assert floating(pair, touch_mm=0.21) == ()
    assert floating(pair, touch_mm=0.19) == (("high",),)


def test_no_pieces_and_one_piece_are_no_interference_and_float_nowhere() -> None:
    one = design(at("one", panel("wall", 5, 5), (0, 0, 0)))
    empty = replace(one, placed=())
    for each in (one, empty):
        assert interferences(each) == ()
        assert floating(each) == ()


def test_placed_solids_agree_with_the_placement() -> None:
    for placed in tank():
        box = placed_solid(placed).BoundingBox(1e-9)
        low, high = placed.box
        assert (box.xmin, box.ymin, box.zmin) == pytest.approx(low, abs=1e-6)
        assert (box.xmax, box.ymax, box.zmax) == pytest.approx(high, abs=1e-6)


def test_a_pair_that_the_kernel_cannot_intersect_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    import OCP.BRepAlgoAPI

    from parts.shape.solid import KernelError

    def fail(*_: object) -> None:
        raise RuntimeError("command not done")

    monkeypatch.setattr(OCP.BRepAlgoAPI, "BRepAlgoAPI_Common", fail)
    block = panel("block", 100, 100, 20)
    with pytest.raises(KernelError, match=r"^one and two: the kernel could not intersect them"):
        interferences(design(at("one", block, (0, 0, 0)), at("two", block, (1, 1, 1))))


def test_pieces_that_only_touch_are_told_apart_without_the_kernel() -> None:
    code = (
        "import sys; sys.path.insert(0, 'tests/kit');"
        "from samples import design; from assemblies.fit.interference import interferences;"
        "assert interferences(design()) == (); assert not {'cadquery', 'OCP'} & set(sys.modules)"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
