"""Panels with openings: held to boxes as solids (`solid_opening.py` made `solid_opening.json`), and where nothing is said."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from assemblies.design.model import Placed
from assemblies.strength.sheets.openings import Opened, more_at_neighbours, opened
from parts.findings import NotCovered
from parts.make.panel import panel
from parts.make.polygon import polygon
from parts.shape.outline import Circle, Loop, rectangle, rounded_rectangle
from parts.shape.piece import Hole
from parts.stock.sheet import Sheet

SOLIDS = json.loads((Path(__file__).parent / "solid_opening.json").read_text(encoding="utf-8"))
SHEET = Sheet(material="cast-pmma", nominal_mm=6.0, readings_mm=(6.0,))


def wall(*cuts: Loop | Circle, size: tuple[float, float] = (312.0, 156.0), holes: tuple[Hole, ...] = ()) -> Placed:
    return Placed(
        name="front", piece=panel("front", *size, SHEET, cut_outs=cuts, holes=holes), origin=(0, 0, 0), z=(0, -1, 0)
    )


def moved(x0: float, x1: float, y0: float, y1: float, radius: float) -> Loop:
    loop = rounded_rectangle(x1 - x0, y1 - y0, radius)
    return Loop(tuple(replace(v, x_mm=v.x_mm + x0, y_mm=v.y_mm + y0) for v in loop.vertices))


def notched(x0: float, x1: float, z: float, radius: float) -> Placed:
    corners = [(0, 0), (312, 0), (312, 156), (x1, 156), (x1, z), (x0, z), (x0, 156), (0, 156)]
    piece = polygon("front", corners, SHEET, inside_radius_mm=radius)
    return Placed(name="front", piece=piece, origin=(0, 0, 0), z=(0, -1, 0))


@pytest.mark.parametrize("name", ["dry", "notch", "wet"])
def test_nothing_of_the_solid_box_grows_more_than_is_taken(name: str) -> None:
    """Its bow by the panel's own factor; neighbours and joints by theirs. What is small in its box is left out."""
    one = SOLIDS[name]
    x0, x1, z0, z1 = one["opening"]
    cut = moved(x0 + 6.0, x1 + 6.0, z0 + 6.0, z1 + 6.0, 6.0)
    found = opened(notched(x0 + 6.0, x1 + 6.0, z0 + 6.0, 6.0) if name == "notch" else wall(cut), 0.37, free_rim=True)
    beside = more_at_neighbours({"front": found})
    assert 1.0 < found.bow < 1.25
    seen = 0
    for figure, whole in one["whole"].items():
        largest = max(abs(v) for k, v in one["whole"].items() if k.endswith(" w") == figure.endswith(" w"))
        if abs(whole) < 0.25 * largest:
            continue
        seen += 1
        limit = {"front w": found.bow, "front rim": found.stress}.get(figure, beside)
        assert abs(one["cut"][figure]) <= limit * abs(whole) * 1.005, figure
    assert seen >= 5


def test_the_edge_of_an_opening_bears_more_than_the_whole_wall() -> None:
    round_hole = opened(
        wall(holes=(Hole(x_mm=156.0, y_mm=78.0, kind="through", diameter_mm=60.0),)), 0.37, free_rim=True
    )
    assert round_hole.stress > 1.4
    blunt, sharp = (opened(wall(moved(116, 196, 96, 136, r)), 0.37, free_rim=True) for r in (10.0, 4.0))
    assert sharp.stress > 1.1 * blunt.stress


def test_the_free_edge_is_the_one_that_is_up() -> None:
    """The same wall cut lying on its side: its outline turned by a quarter."""
    upright = opened(wall(moved(116, 196, 96, 136, 10.0)), 0.37, free_rim=True)
    lying = replace(wall(moved(96, 136, 116, 196, 10.0), size=(156.0, 312.0)), x=(0.0, 0.0, 1.0))
    turned = opened(lying, 0.37, free_rim=True)
    assert turned.stress == pytest.approx(upright.stress, rel=0.05)
    assert turned.bow == pytest.approx(upright.bow, rel=0.01)


@pytest.mark.parametrize(("cut", "why"), [
    (rectangle(80.0, 40.0, 116.0, 96.0), "sharper than a radius of 3.0 mm"),
    (moved(116, 196, 96, 136, 2.0), "sharper than a radius"),
    (moved(20, 292, 20, 140, 20.0), "no longer holds its neighbours"),
])  # fmt: skip
def test_where_the_method_ends(cut: Loop, why: str) -> None:
    with pytest.raises(NotCovered, match=why):
        opened(wall(cut), 0.37, free_rim=True)


@pytest.mark.parametrize(("one", "rim", "why"), [
    (notched(116, 196, 130, 0.0), True, "goes in sharply"),
    (notched(116, 196, 130, 2.0), True, "sharper than a radius of 3.0 mm"),
    (notched(116, 196, 130, 3.0), False, "no rectangle but for low places of its free rim"),
    (replace(notched(116, 196, 130, 3.0), x=(-1.0, 0.0, 0.0), z=(0.0, 1.0, 0.0)), True, ""),
    (replace(notched(116, 196, 130, 3.0), x=(0.0, 0.0, 1.0)), True, "no rectangle but for"),
])  # fmt: skip
def test_only_a_free_rim_may_have_low_places(one: Placed, rim: bool, why: str) -> None:
    if not why:
        assert opened(one, 0.37, free_rim=rim).stress > 1.0
        return
    with pytest.raises(NotCovered, match=why):
        opened(one, 0.37, free_rim=rim)


def test_neighbours_are_taken_larger_by_twice_the_bow() -> None:
    every = {"front": Opened(stress=2.0, bow=1.1), "back": Opened(stress=2.0, bow=1.02)}
    assert more_at_neighbours(every) == pytest.approx(1.24)
    assert more_at_neighbours(every, "front") == pytest.approx(1.04)
