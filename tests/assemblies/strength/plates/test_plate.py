"""Single plates: closed forms, invariants, supports inside, what is refused."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assemblies.strength import Bed, Edge, Prop, Rib, plate

SIDES = ("left", "right", "bottom", "top")
MODULUS, POISSON, THICK = 3200.0, 0.37, 6.0
KINDS = st.sampled_from(["clamped", "supported", "free"])


def edges(left="supported", right="supported", bottom="supported", top="supported"):
    return {"left": left, "right": right, "bottom": bottom, "top": top}


def rigidity(thick=THICK):
    return MODULUS * thick**3 / 12.0 / (1.0 - POISSON**2)


def solve(sides, pressure=(1e-3, 0.0), width=400.0, height=250.0, **more):
    return plate(width, height, THICK, MODULUS, POISSON, sides, pressure, **more)


def test_a_sine_load_on_a_supported_plate_has_its_closed_form():
    """Navier: w = q / (pi^4 D (1/a^2 + 1/b^2)^2) under q sin(pi x/a) sin(pi y/b). Timoshenko art. 28, from memory."""
    a, b, q = 400.0, 250.0, 1e-3
    got = solve(edges(), lambda x, y: q * np.sin(math.pi * x / a) * np.sin(math.pi * y / b))
    s = 1 / a**2 + 1 / b**2
    w = q / (math.pi**4 * rigidity() * s**2)
    assert got.deflection.value == pytest.approx(w, rel=1e-9)
    assert got.mid == pytest.approx(w, rel=1e-9)
    assert (got.deflection.x_mm, got.deflection.y_mm) == pytest.approx((200.0, 125.0))
    assert float(got.field(a / 2, b / 2).mx) == pytest.approx(
        q * (1 / a**2 + POISSON / b**2) / (math.pi * s) ** 2, rel=1e-7
    )
    twist = q * (1 - POISSON) / (math.pi**2 * s**2 * a * b)
    assert abs(got.twist.value) == pytest.approx(twist, rel=1e-7)


def test_a_plate_with_two_free_sides_is_a_wide_beam():
    """Cylindrical bending under a load that keeps the free sides straight: nu = 0 makes it exact. Beam formulas q
    l^4 / 8 E I.
    """
    q, span = 1e-3, 250.0
    got = plate(400.0, span, THICK, MODULUS, 0.0, edges("free", "free", "clamped", "free"), (q, 0.0))
    stiff = MODULUS * THICK**3 / 12.0
    assert got.deflection.value == pytest.approx(q * span**4 / (8.0 * stiff), rel=1e-6)
    assert got.edges["bottom"].extreme.value == pytest.approx(-q * span**2 / 2.0, rel=1e-6)
    assert got.stress.value == pytest.approx(6.0 * q * span**2 / 2.0 / THICK**2, rel=1e-6)


@pytest.mark.parametrize("kind", ["clamped", "supported"])
def test_no_load_gives_nothing_at_all(kind):
    got = solve(edges(kind, kind, kind, "free"), (0.0, 0.0))
    assert got.deflection.value == 0.0
    assert got.stress.value == 0.0
    assert got.error_moment == 0.0


@given(sides=st.tuples(KINDS, KINDS, KINDS, KINDS).filter(lambda s: s.count("free") < 3 and s[2] != "free"))
def test_a_mirrored_plate_mirrors_its_answer(sides):
    left, right, bottom, top = sides
    push = lambda x, y: 1e-3 * (1.0 + 2.0 * x / 400.0 - y / 250.0)  # noqa: E731
    one = solve(edges(left, right, bottom, top), push)
    other = solve(edges(right, left, bottom, top), lambda x, y: push(400.0 - x, y))
    x, y = np.linspace(10.0, 390.0, 7), 160.0
    a, b = one.field(x, y), other.field(400.0 - x, y)
    scale = np.max(np.abs(a.mx)) + np.max(np.abs(a.my))
    assert a.w == pytest.approx(b.w, rel=1e-6, abs=1e-9 * abs(one.deflection.value))
    for name, sign in (("mx", 1.0), ("my", 1.0), ("mxy", -1.0)):
        assert getattr(a, name) == pytest.approx(sign * getattr(b, name), abs=1e-6 * scale)


@given(sides=st.tuples(KINDS, KINDS, KINDS, KINDS).filter(lambda s: s.count("free") < 3 and s[2] != "free"))
def test_a_turned_plate_turns_its_answer(sides):
    left, right, bottom, top = sides
    one = solve(edges(left, right, bottom, top))
    other = solve(edges(bottom, top, left, right), width=250.0, height=400.0)
    assert one.deflection.value == pytest.approx(other.deflection.value, rel=1e-6)
    assert one.edges["bottom"].normal == pytest.approx(other.edges["left"].normal, abs=1e-5 * abs(one.moment.value))


def test_answers_add_up_and_scale_with_the_load():
    sides = edges("clamped", "supported", "clamped", "free")
    first, second = (lambda x, y: 1e-3 * x / 400.0), (lambda x, y: 2e-3 * (y / 250.0) ** 2)
    both = solve(sides, lambda x, y: 2.0 * first(x, y) - second(x, y))
    x, y = np.meshgrid(np.linspace(0, 400, 9), np.linspace(0, 250, 9))
    a, b, c = (solve(sides, p).field(x, y) for p in (first, second, lambda x, y: 2.0 * first(x, y) - second(x, y)))
    assert c.my == pytest.approx(2.0 * a.my - b.my, abs=1e-8 * abs(both.moment.value))
    assert c.w == pytest.approx(2.0 * a.w - b.w, abs=1e-8 * abs(both.deflection.value))


def test_twice_the_size_at_the_same_pressure_keeps_the_stress_and_doubles_the_deflection():
    sides = edges("clamped", "clamped", "clamped", "free")
    one = plate(300.0, 200.0, 5.0, MODULUS, POISSON, sides, (0.0, 2e-3))
    two = plate(600.0, 400.0, 10.0, MODULUS, POISSON, sides, (0.0, 2e-3))
    assert two.stress.value == pytest.approx(one.stress.value, rel=1e-9)
    assert two.deflection.value == pytest.approx(2.0 * one.deflection.value, rel=1e-9)


def test_half_the_thickness_is_eight_times_the_deflection():
    thin, thick = (plate(300.0, 200.0, t, MODULUS, POISSON, edges(), (1e-4, 0.0)) for t in (3.0, 6.0))
    assert thin.deflection.value == pytest.approx(8.0 * thick.deflection.value, rel=1e-9)
    assert thin.stress.value == pytest.approx(4.0 * thick.stress.value, rel=1e-9)


def test_a_very_stiff_stiffener_is_a_supported_edge():
    held = solve(edges("clamped", "clamped", "clamped", "supported"))
    stiff = solve(edges("clamped", "clamped", "clamped", Edge(translation=0.0, bending=1e7 * rigidity() * 400.0)))
    assert stiff.mid == pytest.approx(held.mid, rel=1e-5)
    assert stiff.edges["bottom"].extreme.value == pytest.approx(held.edges["bottom"].extreme.value, rel=1e-4)


def test_very_stiff_springs_are_a_clamped_and_a_supported_edge():
    unit = rigidity() / 250.0
    clamped = solve(edges(bottom="clamped", top="clamped"))
    sprung = solve(
        edges(bottom=Edge(rotation=1e6 * unit), top=Edge(translation=1e8 * unit / 250.0**2, rotation=1e6 * unit))
    )
    assert sprung.mid == pytest.approx(clamped.mid, rel=1e-4)
    assert sprung.edges["bottom"].extreme.value == pytest.approx(clamped.edges["bottom"].extreme.value, rel=1e-3)


def test_soft_springs_lie_between_supported_and_clamped_and_fall_steadily():
    unit = rigidity() / 250.0
    mids = [solve(edges(bottom=Edge(rotation=k * unit))).mid for k in (0.0, 0.3, 1.0, 3.0, 10.0)]
    assert mids[0] == pytest.approx(solve(edges()).mid, rel=1e-12)
    assert all(a > b for a, b in itertools.pairwise(mids))
    assert mids[-1] > solve(edges(bottom="clamped")).mid


def test_an_edge_spring_carries_its_moment():
    """M at the edge = k times its slope: the natural condition of an elastic edge."""
    k = 2.0 * rigidity() / 250.0
    got = solve(edges(bottom=Edge(rotation=k)))
    slope = (got.field(200.0, 1e-3).w - got.field(200.0, 0.0).w) / 1e-3
    assert float(got.field(200.0, 0.0).my) == pytest.approx(-k * float(slope), rel=2e-3)


def test_a_rib_across_the_middle_that_is_held_makes_two_plates():
    """Both halves alike: by symmetry the middle line is a clamped edge."""
    whole = solve(edges(), width=400.0, supports=[Rib(x_mm=200.0)])
    half = solve(edges(right="clamped"), width=200.0)
    assert whole.deflection.value == pytest.approx(half.deflection.value, rel=1e-5)
    assert float(whole.field(200.0, 125.0).mx) == pytest.approx(float(half.field(200.0, 125.0).mx), rel=1e-3)


def test_a_level_rib_agrees_with_an_upright_one():
    upright = solve(edges(), width=400.0, height=250.0, supports=[Rib(x_mm=130.0, translation=0.0, bending=1e8)])
    level = solve(edges(), width=250.0, height=400.0, supports=[Rib(y_mm=130.0, translation=0.0, bending=1e8)])
    assert upright.deflection.value == pytest.approx(level.deflection.value, rel=1e-9)


def test_a_point_spring_carries_its_force_and_a_rigid_prop_does_not_move():
    soft, rigid = Prop(x_mm=150.0, y_mm=100.0, stiffness=50.0), Prop(x_mm=150.0, y_mm=100.0)
    free = solve(edges())
    sprung, propped = solve(edges(), supports=[soft]), solve(edges(), supports=[rigid])
    at = [float(r.field(150.0, 100.0).w) for r in (free, sprung, propped)]
    assert at[0] > at[1] > at[2]
    assert at[2] == pytest.approx(0.0, abs=1e-9)
    # superposition: the spring's force pushes the plate back through the plate's own compliance there
    unit = at[0] - at[1]
    stiffer = solve(edges(), supports=[Prop(x_mm=150.0, y_mm=100.0, stiffness=100.0)])
    compliance = unit / (50.0 * at[1])
    assert float(stiffer.field(150.0, 100.0).w) == pytest.approx(at[0] / (1.0 + 100.0 * compliance), rel=1e-6)


def test_a_centre_load_on_a_supported_square_has_its_closed_form():
    """w = 0.01160 P a^2 / D at the centre of a supported square (Timoshenko table 23, from memory: 0.01160)."""
    free = solve(edges(), width=300.0, height=300.0)
    k = 20.0
    sprung = solve(edges(), width=300.0, height=300.0, supports=[Prop(x_mm=150.0, y_mm=150.0, stiffness=k)])
    compliance = (free.mid - sprung.mid) / (k * sprung.mid)
    assert compliance == pytest.approx(0.01160 * 300.0**2 / rigidity(), rel=0.005)  # a point load: slow to converge


def test_a_plate_on_four_props_hangs_on_them():
    props = [Prop(x_mm=x, y_mm=y) for x in (50.0, 350.0) for y in (40.0, 210.0)]
    got = solve(edges("free", "free", "free", "free"), supports=props)
    assert [float(got.field(p.x_mm, p.y_mm).w) for p in props] == pytest.approx([0.0] * 4, abs=1e-9)
    assert float(got.field(200.0, 125.0).w) > 0.0


def test_a_plate_on_an_elastic_bed_sinks_by_pressure_over_stiffness():
    """All edges free on a Winkler bed: w = p / k everywhere, no bending."""
    got = solve(edges("free", "free", "free", "free"), (2e-3, 0.0), supports=[Bed(stiffness=0.05)])
    assert float(got.field(77.0, 31.0).w) == pytest.approx(0.04, rel=1e-9)
    assert got.stress.value < 1e-6
    whole = solve(edges(), (2e-3, 0.0), supports=[Bed(stiffness=0.05)])
    parts = solve(
        edges(),
        (2e-3, 0.0),
        supports=[Bed(stiffness=0.05, x_mm=r, y_mm=(0.0, 250.0)) for r in ((0.0, 170.0), (170.0, 400.0))],
    )
    assert parts.mid == pytest.approx(whole.mid, rel=1e-6)


def test_the_error_estimate_holds_the_true_error():
    """A corner between a clamped and a free edge converges slowest; reference: the open table's two methods, their
    mean.
    """
    got = plate(200.0, 400.0, 8.0, 3000.0, 0.37, edges("clamped", "clamped", "clamped", "free"), (1e-3, 0.0))
    side = got.edges["left"].extreme.value / (1e-3 * 400.0**2)
    assert abs(side / -0.0236763 - 1.0) < max(3.0 * got.error_moment, 0.005)
    assert 0.0 < got.error_moment < 0.01
    assert 0.0 < got.error_deflection < 0.001


def test_a_support_too_sharp_for_the_method_is_said():
    """Over a rigid point the moment has no end: it grows with every order."""
    got = solve(edges(), supports=[Prop(x_mm=200.0, y_mm=125.0)])
    assert got.error_moment > 0.02
    assert any("sharper than the method resolves" in f.why for f in got.findings)
    assert not solve(edges("clamped", "clamped", "clamped", "free")).findings


def test_where_thin_plate_theory_ends_is_said():
    thick = plate(100.0, 100.0, 8.0, MODULUS, POISSON, edges(*["clamped"] * 4), (1e-3, 0.0))
    assert [f.level for f in thick.findings] == ["care"]
    assert "span/20" in thick.findings[0].why
    assert "span/11" in plate(80.0, 80.0, 8.0, MODULUS, POISSON, edges(), (1e-3, 0.0)).findings[0].why
    assert not plate(100.0, 100.0, 8.0, MODULUS, POISSON, edges(), (1e-3, 0.0)).findings
    bowed = plate(
        600.0, 400.0, 5.0, MODULUS, POISSON, edges("supported", "supported", "supported", "free"), (0.0, 4e-4)
    )
    assert 2.5 < bowed.deflection.value < 15.0
    assert "over half the thickness" in bowed.findings[0].why
    assert "free to move" in bowed.findings[0].why


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"width": math.nan}, "width"),
        ({"height": -1.0}, "height"),
        ({"thickness": 0.0}, "thickness"),
        ({"modulus": math.inf}, "modulus"),
        ({"modulus": "stiff"}, "modulus"),
        ({"poisson": 0.5}, "poisson"),
        ({"poisson": -1.0}, "poisson"),
        ({"poisson": math.nan}, "poisson"),
        ({"edges": {"left": "clamped"}}, "edges"),
        ({"edges": edges(left="glued")}, "left"),
        ({"edges": edges(*["free"] * 4)}, "holds"),
        ({"edges": edges("free", "free", "free", "supported")}, "holds"),
        ({"edges": edges(left=Edge(translation=-1.0))}, "translation"),
        ({"pressure": (math.nan, 0.0)}, "pressure"),
        ({"pressure": 3.0}, "pressure"),
        ({"pressure": lambda x, y: x / 0.0 if False else np.full_like(x, np.nan)}, "pressure"),
        ({"supports": [Rib(x_mm=500.0)]}, "off the plate"),
        ({"edges": edges(*["free"] * 4), "supports": [Prop(x_mm=x, y_mm=9.0) for x in (9.0, 99.0, 300.0)]}, "holds"),
        ({"supports": [Rib()]}, "rib"),
        ({"supports": [Prop(x_mm=-1.0, y_mm=10.0)]}, "off the plate"),
        ({"supports": [Prop(x_mm=1.0, y_mm=10.0, stiffness=0.0)]}, "stiffness"),
        ({"supports": [Bed(stiffness=1.0, x_mm=(0.0, 100.0))]}, "bed"),
        ({"supports": [Bed(stiffness=1.0, x_mm=(0.0, 100.0), y_mm=(90.0, 80.0))]}, "bed"),
        ({"supports": ["a post"]}, "supports"),
    ],
)
def test_nonsense_is_refused_by_name(change, says):
    given_values = {
        "width": 400.0,
        "height": 250.0,
        "thickness": 6.0,
        "modulus": 3200.0,
        "poisson": 0.37,
        "edges": edges(),
        "pressure": (1e-3, 0.0),
    }
    with pytest.raises(ValueError, match=says):
        plate(**(given_values | change))


def test_a_side_holds_what_navier_says():
    """V = D (w_xxx + (2 - nu) w_xyy) on a supported side under a sine load, and with the corner forces the sides
    hold the load.
    """
    a, b, q = 400.0, 250.0, 1e-3
    got = solve(edges(), lambda x, y: q * np.sin(math.pi * x / a) * np.sin(math.pi * y / b))
    amplitude = got.mid * rigidity() * (math.pi / a) * ((math.pi / a) ** 2 + (2.0 - POISSON) * (math.pi / b) ** 2)
    places = got.edges["left"].places_mm
    expected = amplitude * np.sin(math.pi * places / b)
    for side in ("left", "right"):
        assert got.bent.holding_force(side) == pytest.approx(expected, abs=1e-5 * amplitude)
    held = sum(float(np.trapezoid(got.bent.holding_force(s), got.edges[s].places_mm)) for s in SIDES)
    corners = 4.0 * 2.0 * abs(float(got.field(0.0, 0.0).mxy))
    assert held - corners == pytest.approx(4.0 * q * a * b / math.pi**2, rel=1e-4)


def test_no_peak_is_read_in_a_corner_where_thin_plate_theory_is_singular():
    """Towards the corner of a clamped and a free edge the moments never settle, the nearer they are read."""
    edges = {"left": "clamped", "right": "clamped", "bottom": "clamped", "top": "free"}
    got = plate(300.0, 150.0, 6.0, 3200.0, 0.0, edges, (0.001, 0.002))
    for peak in (got.mx_min, got.moment, got.stress):
        for x in (0.0, 300.0):
            for y in (0.0, 150.0):
                assert math.hypot(peak.x_mm - x, peak.y_mm - y) >= 0.02 * 150.0 - 1e-9


def test_peaks_of_a_long_plate_are_not_missed_between_the_places_that_are_looked_at():
    """Of a narrow clamped plate the moment along it is largest near its ends, over a part as short as it is narrow."""
    edges = dict.fromkeys(("left", "right", "bottom", "top"), "clamped")
    got = plate(100.0, 500.0, 6.0, 3200.0, 0.3, edges, (0.001, 0.0))
    everywhere = got.bent.grid(np.linspace(0.0, 1.0, 201), np.linspace(0.0, 1.0, 1601))
    assert abs(got.twist.value) == pytest.approx(np.max(np.abs(everywhere.mxy)), rel=1e-3)
    assert got.my_line.value == pytest.approx(np.max(everywhere.my[100]), rel=1e-3)
