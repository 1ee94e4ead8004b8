"""Mass, inertia, tipping and lifting, against trimesh and the closed forms."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st
from liquid_shapes import G, vector
from samples import flat
from scipy.spatial.transform import Rotation

from assemblies.design.mass import Body, combine, cuboid, piece_body
from assemblies.design.model import Placed
from assemblies.liquid import box, capacity, settle, volume_for_depth
from assemblies.liquid.balance import tip_check, tip_limit
from assemblies.liquid.loads.handling import carry_findings, drop_factor, lift_limits, recommended_weight
from assemblies.liquid.rigid import liquid_body
from parts.findings import NotCovered
from parts.shape.outline import Circle, Loop, Vertex, rectangle
from parts.shape.piece import Bend, Hole, Piece
from parts.tables import load

PLACES = st.tuples(*[st.floats(-300.0, 300.0)] * 3)
SIZES = st.tuples(*[st.floats(1.0, 300.0)] * 3)


@given(st.lists(st.tuples(SIZES, PLACES, st.floats(500.0, 3000.0)), min_size=1, max_size=5))
def test_blocks_together_agree_with_trimesh(blocks: list[tuple[tuple[float, ...], tuple[float, ...], float]]) -> None:
    whole = combine(cuboid(size, at, rho) for size, at, rho in blocks)  # type: ignore[arg-type]
    mass, first, about_origin = 0.0, np.zeros(3), np.zeros((3, 3))
    for size, at, rho in blocks:
        solid = trimesh.creation.box(size, trimesh.transformations.translation_matrix(at))
        solid.density = rho * 1e-9
        mass, first = mass + solid.mass, first + solid.mass * solid.center_mass
        arm = solid.center_mass
        about_origin += solid.moment_inertia + solid.mass * (np.eye(3) * (arm @ arm) - np.outer(arm, arm))
    assert whole.mass_kg == pytest.approx(mass, rel=1e-9)
    assert whole.centre_mm == pytest.approx(first / mass, abs=1e-6)
    assert np.array(whole.about((0.0, 0.0, 0.0))) == pytest.approx(about_origin, abs=1e-9 * np.trace(about_origin))


def _placed(piece: Piece, seed: int = 3) -> tuple[Placed, Rotation]:
    turn = Rotation.random(random_state=seed)
    x, _, z = turn.as_matrix().T
    return Placed(name="p", piece=piece, origin=(10.0, -20.0, 30.0), x=vector(x), z=vector(z)), turn


def test_a_rounded_piece_with_a_cut_out_and_bores_is_the_sum_of_its_parts() -> None:
    """A slot shape (rectangle and two half discs), less a round cut-out and a blind bore from the far face."""
    outer = Loop((Vertex(20.0, 0.0), Vertex(120.0, 0.0, 1.0), Vertex(120.0, 40.0), Vertex(20.0, 40.0, 1.0)))
    bore = Hole(x_mm=30.0, y_mm=25.0, kind="blind", diameter_mm=6.0, depth_mm=4.0)
    piece = flat("slot", outer, inner=(Circle(90.0, 18.0, 10.0),), holes=(bore,), thickness_mm=6.0)
    placed, turn = _placed(piece)
    found, rho = piece_body(placed), piece.sheet.density_kg_m3

    def disc(x: float, y: float, r: float, low: float, high: float, sign: float = -1.0) -> Body:
        m, h = sign * math.pi * r * r * (high - low) * rho * 1e-9, high - low
        side = m * (3.0 * r * r + h * h) / 12.0
        return Body(
            mass_kg=m,
            centre_mm=(x, y, (low + high) / 2),
            inertia_kg_mm2=((side, 0, 0), (0, side, 0), (0, 0, m * r * r / 2)),
        )

    def half(x: float, way: float) -> Body:  # a half disc: its centre stands 4 r / 3 pi off the chord
        m = math.pi * 400.0 / 2.0 * 6.0 * rho * 1e-9
        off = way * 4.0 * 20.0 / (3.0 * math.pi)
        flat_x, flat_y = m * 100.0 - m * off * off, m * 100.0  # of x squared and y squared about the centre
        thick = m * 3.0
        rows = ((flat_y + thick, 0, 0), (0, flat_x + thick, 0), (0, 0, flat_x + flat_y))
        return Body(mass_kg=m, centre_mm=(x + off, 20.0, 3.0), inertia_kg_mm2=rows)

    expected = combine(
        [
            cuboid((100, 40, 6), (70, 20, 3), rho),
            half(20.0, -1.0),
            half(120.0, 1.0),
            disc(90, 18, 10, 0, 6),
            disc(30, 25, 3, 2, 6),
        ]
    )
    assert found.mass_kg == pytest.approx(piece.mass_kg, rel=1e-12)
    assert found.mass_kg == pytest.approx(expected.mass_kg, rel=1e-12)
    assert found.centre_mm == pytest.approx(placed.world(*expected.centre_mm), abs=1e-9)
    frame = turn.as_matrix()
    assert np.array(found.inertia_kg_mm2) == pytest.approx(
        frame @ np.array(expected.inertia_kg_mm2) @ frame.T, abs=1e-9
    )


def test_a_countersunk_hole_takes_its_cone_from_its_own_face() -> None:
    hole = Hole(x_mm=50.0, y_mm=50.0, kind="countersunk", diameter_mm=6.0, sink_mm=12.0, side="far")
    piece = flat("plate", rectangle(100.0, 100.0), holes=(hole,), thickness_mm=10.0)
    body = piece_body(Placed(name="p", piece=piece, origin=(0.0, 0.0, 0.0)))
    assert body.mass_kg == pytest.approx(piece.mass_kg, rel=1e-12)
    # the plate, less the bore, less the ring from radius 3 to 6 - z at depth z, over 3 mm
    rho, ring, moment = piece.sheet.density_kg_m3 * 1e-9, 0.0, 0.0
    for z, w in zip(*np.polynomial.legendre.leggauss(4), strict=True):
        z = 1.5 + 1.5 * z
        area = math.pi * ((6.0 - z) ** 2 - 9.0)
        ring, moment = ring + 1.5 * w * area, moment + 1.5 * w * area * (10.0 - z)
    rest = (1e4 - math.pi * 9.0) * 10.0
    assert body.centre_mm[2] == pytest.approx((rest * 5.0 - moment) / (rest - ring), rel=1e-12)
    assert body.mass_kg == pytest.approx((rest - ring) * rho, rel=1e-12)


def test_a_bent_piece_and_no_mass_are_refused() -> None:
    bent = Piece(
        name="b", kind="panel", outline=flat("x", rectangle(10, 10)).outline, sheet=flat("x", rectangle(10, 10)).sheet,
        bends=(Bend(x_mm=5.0, y_mm=0.0, along_rad=1.0, angle_rad=1.0, inside_radius_mm=6.0),),
    )  # fmt: skip
    with pytest.raises(ValueError, match="bent"):
        piece_body(Placed(name="b", piece=bent, origin=(0.0, 0.0, 0.0)))
    with pytest.raises(ValueError, match="mass"):
        combine([])
    with pytest.raises(ValueError, match="above 0"):
        cuboid((1.0, 1.0, 1.0), (0.0, 0.0, 0.0), 0.0)
    with pytest.raises(ValueError, match="none is left"):
        liquid_body(settle(box(10, 10, 10), 0.0))


def test_inertia_about_an_axis_moves_by_the_parallel_axis_theorem() -> None:
    body = cuboid((10.0, 20.0, 30.0), (5.0, 0.0, 0.0), 1000.0)
    assert body.about_axis((0.0, 7.0, 0.0), (0.0, 0.0, 4.0)) == pytest.approx(
        body.inertia_kg_mm2[2][2] + body.mass_kg * (25.0 + 49.0), rel=1e-13
    )


SQUARE = [(-150.0, -100.0), (150.0, -100.0), (150.0, 100.0), (-150.0, 100.0)]


def test_a_dry_block_tips_over_its_short_side_where_the_closed_form_says() -> None:
    block = cuboid((300.0, 200.0, 400.0), (0.0, 0.0, 200.0), 1190.0)
    found, edge = tip_check(block, SQUARE, 0.0), tip_limit(200.0, 100.0)
    assert found.tilt_rad == pytest.approx(edge.tilt_rad, rel=1e-12)
    assert found.acceleration_mm_s2 == pytest.approx(edge.acceleration_mm_s2, rel=1e-12)
    assert abs(found.tilt_toward[1]) == 1.0
    clockwise = tip_check(block, SQUARE[::-1], 0.0)
    assert clockwise.tilt_rad == pytest.approx(edge.tilt_rad, rel=1e-12)


def test_a_mass_off_the_middle_tips_over_the_near_edge_when_pushed_away_from_it() -> None:
    """Its centre 90 mm right of the middle of a base of +/-150: pushed to the left it falls over the right edge."""
    block = cuboid((20.0, 20.0, 100.0), (90.0, 0.0, 150.0), 1190.0)
    found = tip_check(block, SQUARE, 0.0)
    assert found.push_along == pytest.approx((-1.0, 0.0, 0.0))
    assert found.tilt_toward == pytest.approx((1.0, 0.0, 0.0))
    assert found.acceleration_mm_s2 == pytest.approx(G * 60.0 / 150.0, rel=1e-12)
    assert found.tilt_rad == pytest.approx(math.atan(60.0 / 150.0), rel=1e-12)


def test_liquid_that_shifts_tips_a_tank_sooner_by_the_closed_form() -> None:
    """Moments with the liquid's centre off by L^2 tan/(12 h) and up by L^2 tan^2/(24 h), pushed along y (L = 200)."""
    cavity = box(300.0, 200.0, 600.0)
    volume = volume_for_depth(cavity, 150.0)
    shell = cuboid((300.0, 200.0, 600.0), (0.0, 0.0, 300.0), 200.0)
    found = tip_check(shell, SQUARE, 0.0, cavity=cavity, volume=volume)
    assert found.acceleration_mm_s2 is not None
    tan, liquid = found.acceleration_mm_s2 / G, volume * 998.2e-9
    shift, lift = 200.0**2 * tan / (12 * 150.0), 200.0**2 * tan**2 / (24 * 150.0)
    turn = shell.mass_kg * (100.0 - 300.0 * tan) + liquid * (100.0 - shift - (75.0 + lift) * tan)
    assert turn == pytest.approx(0.0, abs=1e-9 * liquid * 100.0)
    frozen = tip_check(combine([shell, liquid_body(settle(cavity, volume))]), SQUARE, 0.0)
    assert frozen.acceleration_mm_s2 is not None
    assert found.acceleration_mm_s2 < frozen.acceleration_mm_s2
    assert found.mass_kg == pytest.approx(shell.mass_kg + liquid, rel=1e-12)


def test_a_tank_that_pours_out_as_it_leans_is_judged_by_what_is_left() -> None:
    cavity = box(280.0, 180.0, 100.0, low=(-140.0, -90.0, 300.0))
    stand = cuboid((300.0, 200.0, 10.0), (0.0, 0.0, 5.0), 1190.0)
    brim = tip_check(stand, SQUARE, 0.0, cavity=cavity, volume=capacity(cavity))
    sealed = box(280.0, 180.0, 100.0, low=(-140.0, -90.0, 300.0), lid="sealed")
    held = tip_check(stand, SQUARE, 0.0, cavity=sealed, volume=capacity(cavity))
    assert brim.tilt_rad is not None
    assert held.tilt_rad is not None
    left = settle(cavity, capacity(cavity), (0.0, G * math.sin(brim.tilt_rad), -G * math.cos(brim.tilt_rad)))
    whole = combine([stand, liquid_body(left)])
    assert (100.0 - abs(whole.centre_mm[1])) / whole.centre_mm[2] == pytest.approx(math.tan(brim.tilt_rad), rel=1e-9)
    assert held.tilt_rad != pytest.approx(brim.tilt_rad, rel=1e-3)


@pytest.mark.parametrize(
    ("ask", "says"),
    [
        (lambda: tip_limit(200.0, 100.0, offset_mm=100.0), "falls at rest"),
        (lambda: tip_limit(0.0, 100.0), "height"),
        (lambda: tip_limit(200.0, math.nan), "half base"),
        (lambda: tip_limit(200.0, 100.0, acceleration_mm_s2=-1.0), "acceleration"),
        (lambda: tip_limit(200.0, 100.0, g_mm_s2=0.0), "gravity"),
        (lambda: tip_check(cuboid((1, 1, 1), (500, 0, 1), 1.0), SQUARE, 0.0), "falls at rest"),
        (lambda: tip_check(cuboid((1, 1, 1), (0, 0, 1), 1.0), SQUARE[:2], 0.0), "corners"),
        (lambda: tip_check(cuboid((1, 1, 1), (0, 0, 1), 1.0), [(0, 0), (1, 1), (2, 2)], 0.0), "area"),
        (lambda: tip_check(cuboid((1, 1, 1), (0, 0, 1), 1.0), [*SQUARE, (0.0, 0.0)], 0.0), "convex"),
        (lambda: lift_limits(0.0), "mass"),
        (lambda: recommended_weight(30, 75, 30, 0, 1, 1, "none"), "coupling"),  # type: ignore[arg-type]
        (lambda: recommended_weight(30, 75, 30, 0, 1, 1, "good", system="stone"), "system"),  # type: ignore[arg-type]
        (lambda: recommended_weight(-1, 75, 30, 0, 1, 1, "good"), "horizontal"),
        (lambda: recommended_weight(30, 75, 30, 0, -1, 1, "good"), "lifts"),
        (lambda: recommended_weight(30, 75, 30, 0, 1, 0, "good"), "hours"),
        (lambda: drop_factor(-1.0, 1.0), "drop height"),
        (lambda: drop_factor(1.0, 0.0), "deflection"),
    ],
)
def test_no_input_is_refused_with_its_reason(ask: object, says: str) -> None:
    assert callable(ask)
    with pytest.raises(ValueError, match=says):
        ask()


@pytest.mark.parametrize(
    "lift",
    [
        {"horizontal": 64.0}, {"height": 176.0}, {"travel": 176.0}, {"angle_deg": 136.0}, {"lifts_per_min": 16.0},
        {"hours": 9.0}, {"liquid": True},
    ],
    ids=lambda lift: next(iter(lift)),
)  # fmt: skip
def test_beyond_its_range_the_lifting_equation_is_not_covered(lift: dict[str, float]) -> None:
    usual = {
        "horizontal": 30.0, "height": 75.0, "travel": 30.0, "angle_deg": 0.0, "lifts_per_min": 1.0, "hours": 1.0,
        "coupling": "good",
    }  # fmt: skip
    assert recommended_weight(**usual).weight > 0.0  # type: ignore[arg-type]
    with pytest.raises(NotCovered):
        recommended_weight(**{**usual, **lift})  # type: ignore[arg-type]


def test_every_row_of_the_frequency_table_is_used_and_falls_with_pace_and_hours() -> None:
    for row in load("lifting_frequency"):
        pace, hours = float(row["lifts_per_min"]), float(row["hours_up_to"])
        for height, column in ((74.9, "low_hands"), (75.0, "high_hands")):
            found = recommended_weight(25.0, height, 25.0, 0.0, pace, hours, "good")
            assert found.frequency == float(row[column])
            easier = recommended_weight(25.0, height, 25.0, 0.0, pace / 2.0, hours / 2.0, "good")
            assert easier.frequency >= found.frequency
        assert float(row["low_hands"]) <= float(row["high_hands"])
    assert recommended_weight(25.0, 75.0, 25.0, 0.0, 4.5, 1.0, "good").frequency == 0.80  # the next busier row


def test_the_ideal_lift_is_the_load_constant() -> None:
    assert recommended_weight(20.0, 75.0, 10.0, 0.0, 0.1, 1.0, "good").weight == 23.0
    assert recommended_weight(10.0, 30.0, 10.0, 0.0, 0.1, 1.0, "good", system="us").weight == 51.0
    poor, fair = (recommended_weight(20.0, 50.0, 10.0, 0.0, 0.1, 1.0, grip).coupling for grip in ("poor", "fair"))  # type: ignore[arg-type]
    assert (poor, fair) == (0.9, 0.95)


def test_carrying_says_once_which_figures_are_passed_the_strictest_first_and_to_drain() -> None:
    """The figures of the table lifting_limits: 15, 16, 23, 25 and 25 kg."""
    mass, loose = carry_findings(24.0, part_filled=True, empty_kg=3.0)
    assert (mass.level, loose.level) == ("care", "care")
    assert re.findall(r"([0-9.]+) kg", mass.why) == ["24.0", "15", "16", "23"]
    assert mass.source == lift_limits(24.0)[1].source  # of the strictest
    assert "empty: 3.0 kg" in mass.do
    assert "drain" in loose.do
    assert "NIOSH" in loose.source
    (one,) = carry_findings(15.5, part_filled=False)
    assert re.findall(r"([0-9.]+) kg", one.why) == ["15.5", "15"]
    assert "drain" not in one.do  # there is nothing in it
    assert carry_findings(15.0, part_filled=False) == ()
    (heavy,) = carry_findings(90.0, part_filled=False, empty_kg=20.0)
    assert "empty it is still 20.0 kg" in heavy.do
    assert [f.why for f in carry_findings(9.0, part_filled=False, brim_full=True)] == [
        "an open tank that is full to its brim spills as soon as it is lifted"
    ]
