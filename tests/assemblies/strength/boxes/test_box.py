"""Boxes: solid models, equilibrium, symmetry, supports, what is refused."""

from __future__ import annotations

import csv
import itertools
import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import solid_box
from solved_box import solved, value

from assemblies.strength import Box, BoxResult, Brace, Liquid, Load, OnPlates, Pad, Strip, box, plate, tank_spec
from assemblies.strength.boxes import box as box_room
from assemblies.strength.boxes import knots
from assemblies.strength.boxes.folded import Folded
from assemblies.strength.boxes.surface import JOINT
from assemblies.strength.boxes.work import work_on

MODULUS, POISSON = 3200.0, 0.37
WATER = Liquid(density_kg_m3=1000.0, depth_mm=400.0, gravity_m_s2=9.81)
ROWS = list(csv.DictReader((Path(__file__).parent / "solid_boxes.csv").read_text(encoding="utf-8").splitlines()))
SOLIDS = {solid.name: solid for solid in solid_box.every()}
LIDDED = dict.fromkeys(("left", "right", "front", "back", "bottom", "lid"), 10.0)
FEET = tuple(Pad(panel="bottom", low=(x, 50.0), high=(x + 100.0, 250.0), thickness=12.0) for x in (50.0, 450.0))


def a_box(pressure=WATER, base="flat", rim="free", thicknesses=10.0) -> BoxResult:
    return box(600.0, 300.0, 400.0, thicknesses, MODULUS, POISSON, pressure, base, rim)


def out(got: BoxResult, panel: str, a: float, b: float) -> float:
    return float(got.sheets[panel].outward(np.array([a]), np.array([b]))[0, 0, 0])


@cache
def modelled(name: str) -> BoxResult:
    return solved(SOLIDS[name])


@pytest.mark.published
@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r['box']}: {r['quantity']}")
def test_box_agrees_with_a_solid_model(row):
    """Source: solid_box.py beside this file, quadratic bricks in CalculiX 2.20; two meshes agree within 3 % of each value. 5
    %, or 4 % of the box's largest of its sort; a joint as it is judged, 5 % low to 20 % high."""
    wanted, got = float(row["value"]), value(SOLIDS[row["box"]], modelled(row["box"]), row["quantity"])
    moved = row["quantity"].endswith(" w")
    same = [abs(float(r["value"])) for r in ROWS if r["box"] == row["box"] and r["quantity"].endswith(" w") == moved]
    if (row["box"], row["quantity"]) == ("on plates", "bottom at left"):
        assert got > wanted  # the plate reaches under the wall's foot there and takes most of this moment
    elif " at " in row["quantity"]:
        assert -0.05 * wanted - 0.04 * max(same) < JOINT * got - wanted < 0.20 * wanted + 0.04 * max(same)
    else:
        assert abs(got - wanted) <= max(0.05 * abs(wanted), 0.04 * max(same))


@pytest.mark.published
def test_the_plain_box_meets_the_figures_of_an_earlier_study():
    """Inside 600 x 300 x 400, 10 mm, full of water: another set of C3D20 models, five meshes. On a flat base w 1.87
    mm, mid-rim outer face 0.998, corner 1.194, base 2.562 MPa."""
    flat = a_box()
    assert out(flat, "front", 300.0, 400.0) == pytest.approx(1.87, rel=0.05)
    assert flat.stress("front", 300.0, 400.0, 1.0)[0] == pytest.approx(0.998, rel=0.05)
    assert 0.95 < flat.seam("front", "left")[0] / 1.194 < 1.20  # as it is judged, with its twist
    assert 0.95 < flat.seam("front", "bottom")[0] / 2.562 < 1.20


@pytest.mark.published
def test_a_single_panel_brackets_the_box_but_does_not_stand_for_it():
    """The same study: clamped on three sides -42 %, supported on three sides +186 % on the rim's deflection."""
    true = out(a_box(), "front", 300.0, 400.0)
    for kind, off in (("clamped", -0.42), ("supported", 1.86)):
        edges = {"left": kind, "right": kind, "bottom": kind, "top": "free"}
        single = plate(600.0, 400.0, 10.0, MODULUS, POISSON, edges, (0.0, 9.81e-6 * 400.0))
        assert float(single.field(300.0, 400.0).w) / true - 1.0 == pytest.approx(off, abs=0.08)


def test_a_lone_panel_of_it_is_a_plate():
    """Navier: a lid whose neighbours are a tenth as thick bends nearly as a supported plate does."""
    thick = dict.fromkeys(("left", "right", "front", "back", "bottom"), 1.0) | {"lid": 10.0}
    got = a_box({"lid": 1e-3}, base="edges", thicknesses=thick)
    edges = dict.fromkeys(("left", "right", "bottom", "top"), "supported")
    alone = plate(600.0, 300.0, 10.0, MODULUS, POISSON, edges, (1e-3, 0.0))
    edge = np.mean([out(got, "lid", a, b) for a, b in ((300.0, 0.0), (300.0, 300.0), (0.0, 150.0), (600.0, 150.0))])
    assert out(got, "lid", 300.0, 150.0) - edge == pytest.approx(float(alone.field(300.0, 150.0).w), rel=0.04)


def test_halves_and_quarters_are_the_whole():
    """Solved in mirrored parts or at once: the same."""
    spec = tank_spec((600.0, 300.0, 400.0), 10.0, MODULUS, POISSON, OnPlates(pads=FEET), "free", density_kg_m3=1190.0)
    lines = knots.lines_of(spec, 1)
    uneven = Load(push=lambda _, x, y, z: 1e-6 * (400.0 + 0.3 * x - 0.2 * y - z), pull_mm_s2=(900.0, -500.0, -9810.0))
    work = work_on(spec, lines, [uneven])
    every = [
        Folded(spec=spec, lines=lines, mirrored=(x, y)).solve(work)
        for x, y in itertools.product((True, False), repeat=2)
    ]
    for other in every[:3]:
        for name, coefficients in every[3].items():
            assert other[name] == pytest.approx(coefficients, abs=1e-9 * np.abs(coefficients).max())


def test_a_brace_off_the_middle_is_the_same_seen_from_the_other_end():
    def rim(at):
        got = a_box(rim=Brace(at_mm=at, width=30.0, thickness=8.0))
        return [out(got, "front", a, 400.0) for a in (100.0, 300.0, 500.0)]

    assert rim(200.0) == pytest.approx(rim(400.0)[::-1], rel=1e-6)


def pressed(got: BoxResult) -> np.ndarray:
    """Force and moment (about the left inner edge) of the plates under the floor, N and N mm, by the layer's stiffness
    M / (tp + t/2), M the modulus with sides held."""
    stiff = MODULUS * (1.0 - POISSON) / ((1.0 + POISSON) * (1.0 - 2.0 * POISSON)) / (12.0 + 5.0)
    nodes, weights = np.polynomial.legendre.leggauss(6)
    total = np.zeros(2)
    for pad in FEET:
        for low_a, low_b in itertools.product(np.arange(10) * 10.0 + pad.low[0], np.arange(10) * 20.0 + pad.low[1]):
            a, b = low_a + 5.0 * (nodes + 1.0), low_b + 10.0 * (nodes + 1.0)
            share = stiff * 50.0 * np.outer(weights, weights) * got.sheets["bottom"].outward(a, b)[0]
            total += share.sum(), (share * a[:, None]).sum()
    return total


def test_plates_carry_the_weight_of_the_liquid():
    load = 9.81e-6 * 400.0 * 600.0 * 300.0
    assert pressed(a_box(base=OnPlates(pads=FEET))) == pytest.approx((load, load * 300.0), rel=2e-3)


def test_a_sideways_push_tips_the_box_onto_the_far_plates():
    """Couple of the plates = push times its height above their undersides, less what their sliding takes at their tops."""
    force, moment = pressed(a_box({"right": 1e-3}, base=OnPlates(pads=FEET)))
    assert force == pytest.approx(0.0, abs=0.1)
    assert 1e-3 * 300.0 * 400.0 * 200.0 < moment < 1e-3 * 300.0 * 400.0 * 222.0


def test_own_weight_is_that_of_the_sheet():
    """A tank hung by its rim: what pulls up through the middle of the walls is what hangs below."""
    spec = tank_spec((600.0, 300.0, 400.0), 10.0, MODULUS, POISSON, "hung", "free", density_kg_m3=1190.0)
    push = {"weight": Load(push=lambda _, x, y, z: 0.0 * x, pull_mm_s2=(0.0, 0.0, -9810.0))}["weight"]
    (got,) = Box(spec=spec).solve([push])
    up = 0.0
    for name in ("left", "right", "front", "back"):
        sheet = got.sheets[name]
        places, weights = np.polynomial.legendre.leggauss(24)
        a = sheet.sizes[0] / 2.0 * (places + 1.0)
        up += float((sheet.forces(a, np.array([200.0])).n[1][0, :, 0] * weights).sum()) * sheet.sizes[0] / 2.0
    below = 1190e-12 * 9810.0 * (10.0 * 620.0 * 320.0 + 10.0 * 200.0 * (2.0 * 620.0 + 2.0 * 300.0))
    assert up == pytest.approx(below, rel=0.03)  # what passes within the corners is not counted


def test_a_symmetric_box_has_equal_opposite_walls():
    got = a_box(base="edges")
    for one, other in (("left", "right"), ("front", "back")):
        assert out(got, one, 100.0, 200.0) == pytest.approx(out(got, other, 100.0, 200.0), rel=1e-9)
        assert got.seam(one, "bottom") == pytest.approx(got.seam(other, "bottom"), rel=1e-9)


def test_panels_are_pushed_as_seen_from_outside():
    """A push on one half of each wall alone: u runs to the right as seen from outside, whatever the axes do."""
    push = {
        wall: (lambda u, v, m=m: 1e-3 * (u < m))
        for wall, m in (("front", 300), ("back", 300), ("left", 150), ("right", 150))
    }
    got = a_box(push)
    for wall, side, turned in (
        ("front", 600.0, False),
        ("back", 600.0, True),
        ("left", 300.0, True),
        ("right", 300.0, False),
    ):
        low, high = (out(got, wall, share * side, 250.0) for share in (0.25, 0.75))
        assert (low < high) == turned
    space = a_box(lambda x, y, z: 1e-3 * (x < 300.0) * (y > -1.0))
    for wall in ("front", "back"):
        assert out(space, wall, 150.0, 250.0) > out(space, wall, 450.0, 250.0)


def test_a_turned_box_turns_its_answer():
    """Length and width exchanged, pressure turned with them: front becomes right, and so on round."""
    push = lambda x, y, z: 1e-6 * np.maximum(400.0 + 0.2 * x - 0.3 * y - z, 0.0)  # noqa: E731
    one = box(600.0, 300.0, 400.0, 10.0, MODULUS, POISSON, push, "edges", "free")
    turned = lambda x, y, z: push(y, 300.0 - x, z)  # noqa: E731  # x' = 300 - y, y' = x
    other = box(300.0, 600.0, 400.0, 10.0, MODULUS, POISSON, turned, "edges", "free")
    for (name, a), (became, b) in ((("front", 200.0), ("right", 200.0)), (("right", 100.0), ("back", 200.0))):
        assert out(other, became, b, 300.0) == pytest.approx(out(one, name, a, 300.0), rel=1e-4)
    assert other.seam("right", "bottom") == pytest.approx(one.seam("front", "bottom"), rel=1e-4)


def test_no_load_and_scaling():
    empty = a_box(Liquid(density_kg_m3=1000.0, depth_mm=0.0), base="edges")
    assert all(not sheet.coefficients.any() for sheet in empty.sheets.values())
    one = a_box(lambda x, y, z: 1e-6 * (400.0 - z), base="edges")
    two = box(1200.0, 600.0, 800.0, 20.0, MODULUS, POISSON, lambda x, y, z: 1e-6 * (400.0 - z / 2.0), "edges", "free")
    for name in one.sheets:
        assert out(two, name, 400.0, 300.0) == pytest.approx(2.0 * out(one, name, 200.0, 150.0), rel=1e-6)
        assert two.stress(name, 400.0, 300.0, 1.0) == pytest.approx(one.stress(name, 200.0, 150.0, 1.0), rel=1e-6)


def test_a_mapping_and_a_liquid_agree():
    by_panel = dict.fromkeys(("left", "right", "front", "back"), (0.0, 9.81e-06 * 400.0)) | {"bottom": 9.81e-6 * 400.0}
    one, other = a_box(by_panel, base="edges"), a_box(base="edges")
    assert one.seam("front", "left") == pytest.approx(other.seam("front", "left"), rel=1e-9)


def test_a_stiffer_rim_moves_less():
    boxes = (a_box(), *(a_box(rim=Strip(width=w, thickness=6.0)) for w in (12.0, 20.0, 30.0, 50.0)))
    rims = [out(b, "front", 300.0, 400.0) for b in boxes]
    assert all(a > b > 0.0 for a, b in itertools.pairwise(rims))


def test_a_brace_holds_the_rim_where_it_is():
    free, braced = a_box(), a_box(rim=Brace(at_mm=300.0, width=40.0, thickness=10.0))
    assert abs(out(braced, "front", 300.0, 400.0)) < 0.03 * out(free, "front", 300.0, 400.0)
    sides = a_box(rim=Brace(at_mm=150.0, width=40.0, thickness=10.0, along="length"))
    assert abs(out(sides, "left", 150.0, 400.0)) < 0.1 * abs(out(free, "left", 150.0, 400.0))


def test_a_bonded_lid_bends_with_the_walls():
    lid = a_box(thicknesses=LIDDED)
    assert out(lid, "lid", 300.0, 150.0) != 0.0
    assert lid.seam("front", "lid")[0] > 0.3
    assert out(lid, "front", 300.0, 400.0) < 0.05 * out(a_box(), "front", 300.0, 400.0)


def test_plates_under_all_of_the_floor_hold_it_flat():
    under = OnPlates(pads=(Pad(panel="bottom", low=(-10.0, -10.0), high=(610.0, 310.0), thickness=1.0),))
    on_plates = a_box(base=under)
    assert out(on_plates, "front", 300.0, 400.0) == pytest.approx(out(a_box(), "front", 300.0, 400.0), rel=0.05)
    assert abs(out(on_plates, "bottom", 300.0, 150.0)) < 1e-3


ON_PLATES = {
    "a row of two": ((50.0, 75.0), (200.0, 75.0)),
    "four": tuple((x, y) for x in (50.0, 200.0) for y in (30.0, 120.0)),
    "not alike": ((40.0, 75.0), (200.0, 75.0)),
    "across a diagonal": ((50.0, 30.0), (200.0, 120.0)),
}


@pytest.mark.parametrize("name", ON_PLATES)
def test_a_tank_on_plates_is_resolved(name, monkeypatch):
    """Held to the same method with many more functions."""
    pads = tuple(Pad(panel="bottom", low=(x, y), high=(x + 50.0, y + 50.0), thickness=12.0) for x, y in ON_PLATES[name])

    def read():
        got = box(300.0, 200.0, 150.0, 5.0, MODULUS, POISSON, WATER, OnPlates(pads=pads), "free")
        return [
            out(got, "bottom", 150.0, 100.0),
            out(got, "front", 150.0, 150.0),
            *(float(got.seam(a, b)[0]) for a, b in (("bottom", "front"), ("front", "bottom"), ("front", "left"))),
        ]

    rough, resolved = (
        read(),
        knots.resolved(tank_spec((300.0, 200.0, 150.0), 5.0, MODULUS, POISSON, OnPlates(pads=pads), "free")),
    )
    monkeypatch.setattr(box_room, "_BUBBLES", 3)
    monkeypatch.setattr(knots, "_LONGEST", 0.6)
    if name == "across a diagonal":  # not mirrored: so many knots would take long, and it is said
        assert not resolved
        monkeypatch.setattr(knots, "_MOST", math.inf)
    assert rough == pytest.approx(read(), rel=0.02 if resolved else 0.07)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"length": math.nan}, "size"),
        ({"width": 0.0}, "size"),
        ({"height": "tall"}, "size"),
        ({"thicknesses": {"left": 10.0}}, "thicknesses"),
        ({"thicknesses": -3.0}, "thicknesses"),
        ({"thicknesses": LIDDED, "rim": Strip(width=10.0, thickness=5.0)}, "lid"),
        ({"poisson": 0.6}, "poisson"),
        ({"pressure": {"roof": 1.0}}, "roof"),
        ({"pressure": 5.0}, "pressure"),
        ({"pressure": {"front": math.nan}}, "pressure"),
        ({"pressure": lambda x, y, z: np.full_like(x, np.inf)}, "pressure"),
        ({"base": "plates"}, "base"),
        ({"base": OnPlates(pads=())}, "base"),
        ({"base": OnPlates(pads=(Pad(panel="bottom", low=(10.0, 0.0), high=(5.0, 20.0), thickness=9.0),))}, "base"),
        ({"base": OnPlates(pads=(Pad(panel="roof", low=(1.0, 0.0), high=(5.0, 20.0), thickness=9.0),))}, "roof"),
        ({"rim": "glued"}, "rim"),
        ({"rim": [Strip(width=10.0, thickness=5.0)] * 2}, "rim"),
        ({"rim": Brace(at_mm=700.0, width=20.0, thickness=5.0)}, "brace"),
        ({"rim": Brace(at_mm=100.0, width=20.0, thickness=5.0, along="up")}, "along"),
    ],
)
def test_nonsense_is_refused_by_name(change, says):
    values = {
        "length": 600.0, "width": 300.0, "height": 400.0, "thicknesses": 10.0, "modulus": 3200.0, "poisson": 0.37,
        "pressure": WATER, "base": "flat", "rim": "free",
    }  # fmt: skip
    with pytest.raises(ValueError, match=says):
        box(**(values | change))
