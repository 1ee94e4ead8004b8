"""Sudden starts and stops with all the liquid in: the envelope of their loads, held to statics."""

from __future__ import annotations

import math

import numpy as np
import pytest
from liquid_shapes import G

from assemblies.liquid import box, round_cavity, settle
from assemblies.liquid.loads.cases import LiquidCase, slide
from assemblies.liquid.loads.sudden import starts
from assemblies.liquid.shapes.cavity import Cavity, Mesh
from assemblies.liquid.waves.modes import highest_wave
from parts.findings import NotCovered

RHO = 998.2
LENGTH, WIDTH, DEPTH = 300.0, 200.0, 130.0
TANK = box(LENGTH, WIDTH, 400.0)
FILL = LENGTH * WIDTH * DEPTH
MASS = RHO * FILL * 1e-9
N = 200


def push_of(case: LiquidCase, top: float = DEPTH) -> tuple[float, float, float]:
    """The resultant (N) of a case's pressure on the box, by the midpoint rule on its faces, from the floor to `top`."""
    s = (np.arange(N) + 0.5) / N - 0.5
    a, b = (m.ravel() for m in np.meshgrid(s, s))
    x, y, z = a * LENGTH, a * WIDTH, (b + 0.5) * top
    flat = np.full(N * N, 0.0)

    def mean(face: str, points: list[np.ndarray]) -> float:
        return float(case.load.pressure(face, np.stack(points, axis=1)).mean())

    ends = [mean(n, [flat + side * LENGTH / 2.0, y, z]) for n, side in (("right", 1.0), ("left", -1.0))]
    sides = [mean(n, [x, flat + side * WIDTH / 2.0, z]) for n, side in (("back", 1.0), ("front", -1.0))]
    floor = mean("bottom", [x, b * WIDTH, flat])
    return (ends[0] - ends[1]) * WIDTH * top, (sides[0] - sides[1]) * LENGTH * top, -floor * LENGTH * WIDTH


def share(span: float) -> float:
    """What no wave takes with it: 1 - sum 8 L tanh(n pi h/L) / (n^3 pi^3 h), n odd (as in test_blow)."""
    n = np.arange(1, 2001, 2)
    return 1.0 - float((8.0 * span * np.tanh(n * math.pi * DEPTH / span) / (n**3 * math.pi**3 * DEPTH)).sum())


@pytest.mark.parametrize("way", [(1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.6, 0.8, 0.0)])
def test_the_blow_sums_to_the_weight_and_twice_the_impulsive_mass_times_the_push(
    way: tuple[float, float, float],
) -> None:
    """Within 1 %. Named by the mutation "impulsive term halved"."""
    a = 2000.0
    struck = starts(TANK, FILL, a, direction=way, density_kg_m3=RHO)[0]
    force = push_of(struck)
    assert force[2] == pytest.approx(-MASS * G * 1e-3, rel=0.01)
    for k, span in ((0, LENGTH), (1, WIDTH)):
        assert force[k] == pytest.approx(-2.0 * share(span) * MASS * a * way[k] * 1e-3, rel=0.01, abs=1e-6)
    assert struck.load.dynamic_factor == 2.0
    assert struck.load.acceleration == pytest.approx(tuple(2.0 * a * w for w in way))
    assert struck.liquid.lost_mm3 == 0.0


def test_what_has_come_to_rest_in_a_push_sums_to_mass_times_what_pulls_on_it() -> None:
    """Within 0.1 %, of the steady push and, at twice the slope, of the first waves."""
    a = 800.0
    steady = slide(TANK, FILL, a, density_kg_m3=RHO)
    assert steady.liquid.force_n == pytest.approx((-MASS * a * 1e-3, 0.0, -MASS * G * 1e-3), rel=1e-3, abs=1e-9)
    assert push_of(steady, 400.0) == pytest.approx(steady.liquid.force_n, rel=1e-2, abs=1e-6)
    waves = next(c for c in starts(TANK, FILL, a, density_kg_m3=RHO) if c.wave)
    assert waves.liquid.force_n == pytest.approx((-2.0 * MASS * a * 1e-3, 0.0, -MASS * G * 1e-3), rel=1e-3, abs=1e-9)
    assert waves.wave is not None
    assert waves.wave.rise_mm == pytest.approx(LENGTH * a / G)
    assert waves.wave.share == pytest.approx(highest_wave(LENGTH, DEPTH) * LENGTH * a / G / DEPTH)
    assert 0.9 < highest_wave(LENGTH, DEPTH) < 1.0
    assert waves.wave.freeboard_mm == pytest.approx(400.0 - DEPTH)


def test_a_start_that_comes_on_over_three_periods_of_its_panels_strikes_once() -> None:
    foot = np.array([[-LENGTH / 2.0, 0.0, 0.0]])
    head = RHO * G * DEPTH * 1e-12

    def blow(**ramp: float) -> float:
        return float(starts(TANK, FILL, 900.0, density_kg_m3=RHO, **ramp)[0].load.pressure("left", foot)[0]) - head

    twice = blow()
    assert blow(ramp_s=0.29, panel_s=0.1) == blow(ramp_s=5.0) == blow(panel_s=0.1) == twice > 0.0
    assert blow(ramp_s=0.3, panel_s=0.1) == pytest.approx(twice / 2.0)
    with pytest.raises(ValueError, match="ramp"):
        blow(ramp_s=-1.0)


def test_thrown_up_the_floor_feels_its_head_and_twice_what_is_added() -> None:
    up = starts(TANK, FILL, 5000.0, direction=(0.0, 0.0, 1.0), density_kg_m3=RHO)
    floor = [float(c.load.pressure("bottom", np.zeros((1, 3)))[0]) for c in up]
    whole = RHO * DEPTH * 1e-12
    assert floor[0] == pytest.approx(whole * (G + 2.0 * 5000.0))
    assert push_of(up[0])[2] == pytest.approx(-MASS * (G + 2.0 * 5000.0) * 1e-3)
    # the drive drops: from g + a to free fall at once, and as far again
    assert floor[1] == pytest.approx(-whole * (G + 5000.0))
    assert up[1].load.effective == pytest.approx((0.0, 0.0, G + 5000.0))
    assert len(up) == 2


def test_when_the_drive_drops_the_steady_slope_is_struck_back() -> None:
    """At the walls' feet: still head, half a length's a/g more or less of it, and twice the blow the other way."""
    a = 900.0
    feet = {"left": np.array([[-LENGTH / 2.0, 0.0, 0.0]]), "right": np.array([[LENGTH / 2.0, 0.0, 0.0]])}
    cases = starts(TANK, FILL, a, density_kg_m3=RHO)
    struck, drop = cases[0], cases[-1]
    for face, side in (("left", 1.0), ("right", -1.0)):
        blow = struck.load.pressure(face, feet[face])[0] - RHO * G * DEPTH * 1e-12
        wanted = RHO * 1e-12 * (G * DEPTH + side * a * LENGTH / 2.0) - blow
        assert drop.load.pressure(face, feet[face])[0] == pytest.approx(wanted)
    assert drop.load.acceleration == pytest.approx((-a, 0.0, 0.0))


def test_what_falls_faster_than_gravity_leaves_its_liquid_behind() -> None:
    """The head is gone at once, and the panels swing as far back: no more than that, however fast it falls."""
    foot = np.array([[0.0, 0.0, 0.0]])
    for a, head in ((4000.0, G - 8000.0), (10000.0, -G), (30000.0, -G)):
        cases = starts(TANK, FILL, a, direction=(0.0, 0.0, -1.0), density_kg_m3=RHO)
        assert cases[0].load.pressure("bottom", foot)[0] == pytest.approx(RHO * DEPTH * 1e-12 * head)
        assert (max(c.liquid.lost_mm3 for c in cases) == pytest.approx(FILL)) == (a > G)
    with pytest.raises(NotCovered, match="weightless"):
        starts(TANK, FILL, G, direction=(0.0, 0.0, -1.0))


def test_waves_that_spill_are_a_load_of_their_own_beside_the_steady_push() -> None:
    low = box(LENGTH, WIDTH, 150.0)
    cases = starts(low, FILL, 900.0, density_kg_m3=RHO)
    waves = next(c for c in cases if c.wave)
    assert waves.wave is not None
    assert (waves.wave.rise_mm, waves.wave.freeboard_mm) == (pytest.approx(27.53, abs=0.01), pytest.approx(20.0))
    assert waves.liquid.lost_mm3 > 0.0
    assert any(c.load.dynamic_factor == 1.0 and c.liquid.lost_mm3 == 0.0 for c in cases)
    assert len(starts(TANK, FILL, 900.0)) == 3  # nothing spills: the steady slope lies between rest and the waves


def test_a_cylinder_is_struck_too_and_what_is_neither_is_not_covered() -> None:
    drum = round_cavity(100.0, 300.0)
    volume = settle(drum, 1e6).kept_mm3
    struck = starts(drum, volume, 1000.0, density_kg_m3=RHO)[0]
    wall = np.array([[-100.0, 0.0, 0.0], [100.0, 0.0, 0.0]])
    low, high = struck.load.pressure("wall", wall)
    assert low > settle(drum, volume).pressure(wall)[0] > high
    tetra = Cavity(mesh=Mesh(
        points=((0.0, 0.0, 0.0), (100.0, 0.0, 0.0), (0.0, 100.0, 0.0), (0.0, 0.0, 100.0)),
        triangles=((0, 2, 1), (0, 1, 3), (1, 2, 3), (2, 0, 3)),
    ))  # fmt: skip
    with pytest.raises(NotCovered, match="upright box"):
        starts(tetra, 1e4, 500.0)
    assert starts(tetra, 1e4, 500.0, direction=(0.0, 0.0, 1.0))


def test_liquid_that_fills_a_closed_box_moves_as_one_piece() -> None:
    shut = box(LENGTH, WIDTH, DEPTH, lid="sealed")
    struck = starts(shut, FILL, 1000.0, density_kg_m3=RHO)[0]
    walls = struck.load.pressure("left", np.array([[-LENGTH / 2.0, 0.0, DEPTH], [LENGTH / 2.0, 0.0, DEPTH]]))
    assert walls == pytest.approx([2.0 * RHO * 1000.0 * LENGTH * 1e-12, 0.0])
    assert push_of(struck)[0] == pytest.approx(-2.0 * MASS * 1.0)


def test_a_dry_rig_that_starts_has_its_own_inertia_alone() -> None:
    (dry,) = starts(TANK, 0.0, 1000.0)
    assert dry.load.acceleration == pytest.approx((2000.0, 0.0, 0.0))
    assert dry.load.pressure("left", np.array([[-LENGTH / 2.0, 0.0, 0.0]])) == pytest.approx([0.0])


def test_liquid_that_is_left_behind_under_a_lid_strikes_it() -> None:
    shut = box(LENGTH, WIDTH, 150.0, lid="sealed")
    with pytest.raises(NotCovered, match="strikes the lid"):
        starts(shut, FILL, 20000.0, direction=(0.0, 0.0, -1.0))
    assert starts(shut, FILL, 5000.0, direction=(0.0, 0.0, -1.0))
