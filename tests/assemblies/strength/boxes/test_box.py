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

from assemblies.strength import BoxResult, Brace, Liquid, OnPlates, Strip, box, box_cases, plate
from assemblies.strength.boxes import frame

MODULUS, POISSON = 3200.0, 0.37
WATER = Liquid(density_kg_m3=1000.0, depth_mm=400.0, gravity_m_s2=9.81)
ROWS = list(csv.DictReader((Path(__file__).parent / "solid_boxes.csv").read_text(encoding="utf-8").splitlines()))
SOLIDS = {solid.name: solid for solid in solid_box.every()}
RIMS = {
    "strip inward": Strip(width=30.0, thickness=6.0),
    "strip outward": Strip(width=30.0, thickness=6.0, place="outward"),
}


def a_box(pressure=WATER, base="flat", rim="free", thicknesses=10.0) -> BoxResult:
    return box(600.0, 300.0, 400.0, thicknesses, MODULUS, POISSON, pressure, base, rim)


@cache
def modelled(name: str) -> BoxResult:
    solid = SOLIDS[name]
    thick = {panel: getattr(solid, panel) for panel in solid_box.SIDES}
    base = OnPlates(rectangles=solid.pads) if solid.base == "pads" else solid.base
    sizes = (solid.length, solid.width, solid.height)
    return box(*sizes, thick, solid.modulus, solid.poisson, solid.pressure, base, RIMS.get(name, "free"))


def ours(name: str, quantity: str) -> float:
    """What a row of solid_boxes.csv means in our result."""
    solid, got = SOLIDS[name], modelled(name)
    panel, what = quantity.split(" ", 1)
    span = {"left": solid.width, "right": solid.width}.get(panel, solid.length)
    place = (span / 2.0, solid.width / 2.0 if panel == "bottom" else solid.height)
    field, fibre = got.panels[panel].field(*place) if panel in got.panels else None, 6.0 / getattr(solid, panel) ** 2
    if what.startswith("at "):
        seam = next(s for s in got.seams.values() if {s.a, s.b} == {panel, what[3:]})
        return seam.stress_a if seam.a == panel else seam.stress_b
    return float({"w": field.w, "rim": fibre * field.mx, "mid x": fibre * field.mx, "mid y": fibre * field.my}[what])


def allowed(row: dict[str, str]) -> float:
    """Share of the value that we may be off; the floor of a share of the box's largest such value is in `floor`."""
    box_name, quantity = row["box"], row["quantity"]
    if quantity == "bottom w":
        return 0.09  # the joint is stiffer than plates that meet at their middle planes: the sag comes 2 to 8 % high
    if box_name == "on plates":
        return 0.09  # the plate under the floor's edge in the solid model also holds the wall's foot
    if box_name.startswith("strip") and quantity.endswith(("w", "rim")):
        return 0.07  # the strip's corners and the wall that stretches with it are estimates
    return 0.05


def floor(row: dict[str, str]) -> float:
    """4 % of the largest value of the same sort in the box (5 % on plates): small ones beside large ones are not
    told apart better.
    """
    moved = row["quantity"].endswith(" w")
    same = [abs(float(r["value"])) for r in ROWS if r["box"] == row["box"] and r["quantity"].endswith(" w") == moved]
    return (0.05 if row["box"] == "on plates" else 0.04) * max(same)


@pytest.mark.published
@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r['box']}: {r['quantity']}")
def test_box_agrees_with_a_solid_model(row):
    """Source: solid_box.py beside this file, quadratic bricks in CalculiX 2.20; two meshes agree within 3 % of each
    value.
    """
    value, got = float(row["value"]), ours(row["box"], row["quantity"])
    if (row["box"], row["quantity"]) == ("on plates", "bottom at left"):
        assert (
            got > value
        )  # the plate reaches under the wall's foot there and takes most of this moment: ours is on the safe side
        return
    assert abs(got - value) <= max(allowed(row) * abs(value), floor(row))


@pytest.mark.published
def test_the_plain_box_meets_the_figures_of_an_earlier_study():
    """Inside 600 x 300 x 400, 10 mm, full of water: another set of C3D20 models, five meshes. On a flat base w 1.87
    mm, mid-rim outer face 0.998, corner 1.194, base 2.562 MPa; hung (one mesh): 1.972 mm, floor 0.157 mm and 0.791
    MPa, corner 1.249, base 2.183 MPa."""
    flat, hung = a_box(), a_box(base="hung")
    front = flat.panels["front"].field(300.0, 400.0)
    assert float(front.w) == pytest.approx(1.87, rel=0.05)
    assert 6.0 * float(front.mx) / 100.0 == pytest.approx(0.998, rel=0.05)
    assert flat.seams["front-left"].stress_a == pytest.approx(1.194, rel=0.10)
    assert flat.seams["front-bottom"].stress_a == pytest.approx(2.562, rel=0.10)
    floor_mid = hung.panels["bottom"].field(300.0, 150.0)
    assert float(hung.panels["front"].field(300.0, 400.0).w) == pytest.approx(1.972, rel=0.08)
    assert float(floor_mid.w) == pytest.approx(0.157, rel=0.08)
    assert 6.0 * float(floor_mid.my) / 100.0 == pytest.approx(0.791, rel=0.12)
    assert hung.seams["front-left"].stress_a == pytest.approx(1.249, rel=0.12)
    assert hung.seams["front-bottom"].stress_a == pytest.approx(2.183, rel=0.12)


@pytest.mark.published
def test_a_single_panel_brackets_the_box_but_does_not_stand_for_it():
    """The same study: clamped on three sides -42 %, supported on three sides +186 % on the rim's deflection."""
    true = float(a_box().panels["front"].field(300.0, 400.0).w)
    for kind, off in (("clamped", -0.42), ("supported", 1.86)):
        edges = {"left": kind, "right": kind, "bottom": kind, "top": "free"}
        single = plate(600.0, 400.0, 10.0, MODULUS, POISSON, edges, (0.0, 9.81e-6 * 400.0))
        assert float(single.field(300.0, 400.0).w) / true - 1.0 == pytest.approx(off, abs=0.03)


def test_the_seams_carry_the_whole_load():
    """Force along the seams of a panel against the pressure on it; what is left is the point force at the free
    corners.
    """
    for base in ("flat", "hung"):
        got = a_box(base=base)
        load = 9.81e-6 * 400.0**2 / 2.0 * 600.0
        held = 0.0
        for name in ("front-left", "front-right", "front-bottom"):
            seam = got.seams[name]
            held += float(np.trapezoid(seam.force_a, seam.places_mm))
        assert held == pytest.approx(load, rel=0.05)
    floor_load = 9.81e-6 * 400.0 * 600.0 * 300.0
    held = sum(float(np.trapezoid(s.force_b, s.places_mm)) for n, s in got.seams.items() if n.endswith("bottom"))
    assert held == pytest.approx(floor_load, rel=0.05)


def test_what_one_panel_gives_at_a_seam_the_other_takes():
    """Moments of the two panels at a seam agree where plates meet at their middle planes; read inside, they nearly
    do.
    """
    got = a_box(base="hung")
    for seam in got.seams.values():
        inner = slice(20, 180)
        assert seam.moment_a[inner] == pytest.approx(seam.moment_b[inner], abs=0.06 * np.max(np.abs(seam.moment_a)))


def test_a_symmetric_box_has_equal_opposite_walls():
    got = a_box(base="hung")
    for one, other in (("left", "right"), ("front", "back")):
        a, b = got.panels[one], got.panels[other]
        assert a.deflection.value == pytest.approx(b.deflection.value, rel=1e-9)
        assert a.stress.value == pytest.approx(b.stress.value, rel=1e-9)
        x = np.linspace(20.0, 280.0, 5)
        assert a.field(x, 200.0).mx == pytest.approx(b.field(x, 200.0).mx, rel=1e-6)


def test_panels_are_read_as_seen_from_outside():
    """A push on one half of each wall alone: u runs to the right as seen from outside, whatever the axes do."""
    push = {
        wall: (lambda u, v, m=m: 1e-3 * (u < m))
        for wall, m in (("front", 300), ("back", 300), ("left", 150), ("right", 150))
    }
    got = a_box(push)
    for wall, m in (("front", 300.0), ("back", 300.0), ("left", 150.0), ("right", 150.0)):
        panel = got.panels[wall]
        assert float(panel.field(m / 2.0, 250.0).w) > float(panel.field(1.5 * m, 250.0).w)
    space = a_box(lambda x, y, z: 1e-3 * (x < 300.0) * (y > -1.0))
    assert float(space.panels["front"].field(150.0, 250.0).w) > float(space.panels["front"].field(450.0, 250.0).w)
    assert float(space.panels["back"].field(450.0, 250.0).w) > float(space.panels["back"].field(150.0, 250.0).w)


def test_a_turned_box_turns_its_answer():
    """Length and width exchanged, pressure turned with them: front becomes right, and so on round."""
    push = lambda x, y, z: 1e-6 * np.maximum(400.0 + 0.2 * x - 0.3 * y - z, 0.0)  # noqa: E731
    one = box(600.0, 300.0, 400.0, 10.0, MODULUS, POISSON, push, "hung", "free")
    turned = lambda x, y, z: push(y, 300.0 - x, z)  # noqa: E731  # x' = 300 - y, y' = x
    other = box(300.0, 600.0, 400.0, 10.0, MODULUS, POISSON, turned, "hung", "free")
    for name, became in (("front", "right"), ("right", "back"), ("back", "left"), ("left", "front")):
        assert other.panels[became].deflection.value == pytest.approx(one.panels[name].deflection.value, rel=1e-6)
        assert other.panels[became].stress.value == pytest.approx(one.panels[name].stress.value, rel=1e-4)
    assert other.panels["bottom"].mid == pytest.approx(one.panels["bottom"].mid, rel=1e-6)


def test_no_load_and_scaling():
    empty = a_box(Liquid(density_kg_m3=1000.0, depth_mm=0.0), base="hung")
    assert all(p.stress.value == 0.0 and p.deflection.value == 0.0 for p in empty.panels.values())
    one = a_box(lambda x, y, z: 1e-6 * (400.0 - z), base="hung")
    two = box(1200.0, 600.0, 800.0, 20.0, MODULUS, POISSON, lambda x, y, z: 1e-6 * (400.0 - z / 2.0), "hung", "free")
    for name, panel in one.panels.items():
        assert two.panels[name].stress.value == pytest.approx(panel.stress.value, rel=1e-6)
        assert two.panels[name].deflection.value == pytest.approx(2.0 * panel.deflection.value, rel=1e-6)


def test_several_pressures_at_once_are_the_same_as_one_by_one():
    pressures = [WATER, Liquid(density_kg_m3=1000.0, depth_mm=200.0), {"front": 1e-3}]
    together = box_cases(600.0, 300.0, 400.0, 10.0, MODULUS, POISSON, pressures, "hung", "free")
    for pressure, got in zip(pressures, together, strict=True):
        alone = a_box(pressure, base="hung")
        assert got.panels["front"].stress.value == pytest.approx(alone.panels["front"].stress.value, rel=1e-9)
        assert got.seams["left-bottom"].stress_b == pytest.approx(alone.seams["left-bottom"].stress_b, rel=1e-9)
        for side, pull in alone.panels["left"].bent.pull.items():
            assert got.panels["left"].bent.pull[side] == pytest.approx(pull, rel=1e-9, abs=1e-9)


def test_a_mapping_and_a_liquid_agree():
    by_panel = dict.fromkeys(("left", "right", "front", "back"), (0.0, 9.81e-06 * 400.0)) | {"bottom": 9.81e-6 * 400.0}
    one, other = a_box(by_panel, base="hung"), a_box(base="hung")
    assert one.panels["front"].stress.value == pytest.approx(other.panels["front"].stress.value, rel=1e-9)
    assert one.panels["bottom"].mid == pytest.approx(other.panels["bottom"].mid, rel=1e-9)


def test_a_stiffer_rim_moves_less_and_without_end_it_is_held():
    free, held = a_box(), a_box(rim="supported")
    widths = [a_box(rim=Strip(width=w, thickness=6.0)) for w in (12.0, 20.0, 30.0, 50.0)]
    rims = [float(b.panels["front"].field(300.0, 400.0).w) for b in (free, *widths)]
    assert all(a > b > 0.0 for a, b in itertools.pairwise(rims))
    endless = a_box(rim=Strip(width=3000.0, thickness=0.5, place="centred"))
    mids = [float(b.panels["front"].field(300.0, 200.0).w) for b in (endless, held)]
    assert mids[0] == pytest.approx(mids[1], rel=1e-3)


def test_a_brace_holds_the_rim_where_it_is():
    free, braced = a_box(), a_box(rim=Brace(at_mm=300.0, width=40.0, thickness=10.0))
    at = float(braced.panels["front"].field(300.0, 400.0).w)
    assert abs(at) < 0.03 * float(free.panels["front"].field(300.0, 400.0).w)
    # the bar's stretch is its force over E A per length: the force is what the rim lost
    sides = a_box(rim=Brace(at_mm=150.0, width=40.0, thickness=10.0, along="length"))
    assert abs(float(sides.panels["left"].field(150.0, 400.0).w)) < 0.1 * abs(
        float(free.panels["left"].field(150.0, 400.0).w)
    )


def test_a_bonded_lid_bends_with_the_walls():
    lid = a_box(rim="supported", thicknesses=dict.fromkeys(("left", "right", "front", "back", "bottom", "lid"), 10.0))
    held = a_box(rim="supported")
    assert lid.panels["lid"].deflection.value != 0.0
    assert lid.seams["front-lid"].stress_a > 0.3
    assert lid.panels["front"].mid < held.panels["front"].mid


def test_a_thinner_floor_takes_the_walls_moment_with_more_stress():
    thick = dict.fromkeys(("left", "right", "front", "back"), 10.0)
    seam = a_box(thicknesses=thick | {"bottom": 5.0}).seams["front-bottom"]
    assert seam.stress_b == pytest.approx(4.0 * seam.stress_a, rel=1e-9)


def test_plates_under_all_of_the_floor_hold_it_flat():
    under = OnPlates(rectangles=((-10.0, 610.0, -10.0, 310.0),), stiffness=1e3)
    on_plates, flat = a_box(base=under), a_box()
    assert on_plates.panels["front"].deflection.value == pytest.approx(flat.panels["front"].deflection.value, rel=0.03)
    assert abs(on_plates.panels["bottom"].deflection.value) < 1e-3


FEET = ((50.0, 150.0, 50.0, 250.0), (450.0, 550.0, 50.0, 250.0))


def pressed(got: BoxResult, stiff: float) -> tuple[float, float]:
    """Force of the plates on the floor (N), and its moment about the left inner edge of the floor (N mm)."""
    force = moment = 0.0
    nodes, weights = np.polynomial.legendre.leggauss(4)  # in each of 25 strips: the floor is smooth piece by piece
    starts, tall = np.repeat(np.arange(25) / 25.0, 4), np.tile(weights, 25) / 50.0
    shares = starts + np.tile((nodes + 1.0) / 50.0, 25)
    for x0, x1, y0, y1 in FEET:
        x, y = x0 + (x1 - x0) * shares, y0 + (y1 - y0) * shares
        field = got.panels["bottom"].field(*np.meshgrid(x, y, indexing="ij"))
        share = stiff * (x1 - x0) * (y1 - y0) * (field.w @ tall)
        force, moment = force + float(tall @ share), moment + float(tall @ (share * x))
    return force, moment


@pytest.mark.parametrize("weight", [0.0, 80.0])
def test_plates_carry_the_weight_of_the_liquid_and_of_the_walls(weight):
    got = a_box(base=OnPlates(rectangles=FEET, stiffness=50.0, weight_n=weight))
    load = 9.81e-6 * 400.0 * 600.0 * 300.0 + weight
    assert pressed(got, 50.0) == pytest.approx((load, load * 300.0), rel=1e-4)


def test_a_sideways_push_tips_the_box_onto_the_far_plates():
    """Couple of the plates = push times its height above the middle of the floor."""
    got = a_box({"right": 1e-3}, base=OnPlates(rectangles=FEET, stiffness=50.0))
    force, moment = pressed(got, 50.0)
    assert force == pytest.approx(0.0, abs=0.01)
    assert moment == pytest.approx(1e-3 * 300.0 * 400.0 * 205.0, rel=1e-3)


def test_the_neighbours_pull_is_in_the_stress():
    """Wall stress at the joint = bending and pull together: p W / (2 t) in size where the neighbour is long and
    low.
    """
    got = a_box(base="hung")
    front = got.panels["front"]
    bending = 6.0 * abs(front.moment.value) / 100.0
    assert bending + 0.03 < front.stress.value < bending + 0.1  # the floor's edge pulls 0.6 N/mm on 10 mm
    pull = front.bent.pull["left"]
    assert np.interp(200.0, got.seams["front-left"].places_mm, pull) == pytest.approx(
        9.81e-6 * 200.0 * 300.0 / 2.0, rel=0.35
    )


def test_the_error_estimate_is_small_for_every_box_here():
    for name in SOLIDS:
        for panel in modelled(name).panels.values():
            assert panel.error_moment < 0.02


PLATES = {
    "a row of two": ((50.0, 100.0, 75.0, 125.0), (200.0, 250.0, 75.0, 125.0)),
    "four": tuple((x, x + 50.0, y, y + 50.0) for x in (50.0, 200.0) for y in (30.0, 120.0)),
    "not alike": ((40.0, 90.0, 75.0, 125.0), (200.0, 250.0, 75.0, 125.0)),
    "across a diagonal": ((50.0, 100.0, 30.0, 80.0), (200.0, 250.0, 120.0, 170.0)),
    "no two in line": ((40.0, 90.0, 30.0, 80.0), (190.0, 240.0, 130.0, 180.0)),
}
UNLIKE = {"across a diagonal", "no two in line"}  # not mirrored either way


@pytest.mark.parametrize("name", PLATES)
def test_a_floor_on_plates_is_resolved_or_says_by_how_much_not(name, monkeypatch):
    """Held to the same method with many more functions beside the plates, where the floor bends within a few mm."""

    def floor():
        return box(300.0, 200.0, 150.0, 5.0, MODULUS, POISSON, WATER, OnPlates(rectangles=PLATES[name]), "free").panels[
            "bottom"
        ]

    got = floor()
    monkeypatch.setattr(frame, "LEVELS", ((3 if name in UNLIKE else 5, True),))
    monkeypatch.setattr(frame, "MOST_UNKNOWNS", math.inf)
    fine = floor()
    assert fine.error_moment < 0.015
    assert got.stress.value == pytest.approx(fine.stress.value, rel=max(got.error_moment, 0.01))
    assert got.deflection.value == pytest.approx(fine.deflection.value, rel=0.02)
    assert got.error_moment <= (0.1 if name in UNLIKE else 0.05)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"length": math.nan}, "length"),
        ({"width": 0.0}, "width"),
        ({"height": "tall"}, "length"),
        ({"thicknesses": {"left": 10.0}}, "thicknesses"),
        ({"thicknesses": -3.0}, "thicknesses"),
        ({"thicknesses": dict.fromkeys(("left", "right", "front", "back", "bottom", "lid"), 5.0)}, "lid"),
        ({"poisson": 0.6}, "poisson"),
        ({"pressure": {"roof": 1.0}}, "roof"),
        ({"pressure": 5.0}, "pressure"),
        ({"pressure": {"front": math.nan}}, "pressure"),
        ({"pressure": lambda x, y, z: np.full_like(x, np.inf)}, "pressure"),
        ({"base": "plates"}, "base"),
        ({"base": OnPlates(rectangles=())}, "base"),
        ({"base": OnPlates(rectangles=((10.0, 5.0, 0.0, 20.0),))}, "base"),
        ({"rim": "glued"}, "rim"),
        ({"rim": [Strip(width=10.0, thickness=5.0)] * 2}, "rim"),
        ({"rim": Strip(width=10.0, thickness=5.0, place="under")}, "place"),
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
