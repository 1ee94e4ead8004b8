"""The blow of liquid that has not moved yet: against finite differences, against what the waves leave, and by statics."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import spsolve

from assemblies.liquid.waves.housner import housner_pressure, housner_rect, housner_round
from assemblies.liquid.waves.impulse import BoxBlow, RoundBlow, rect_share, round_blow_share
from assemblies.liquid.waves.modes import round_share
from assemblies.liquid.waves.panel import RAMP_PERIODS, wet_panel_period

RHO = 998.2


def blow(length: float, depth: float, push: float = 9810.0) -> BoxBlow:
    return BoxBlow(
        middle=(0.0, 0.0, 0.0), length=length, width=400.0, depth=depth, push=(push, 0.0), density_kg_m3=RHO
    )  # fmt: skip


def differences(length: float, depth: float, cells: int) -> tuple[float, float]:
    """Pressure at the foot of the end wall, and on it in the mean, of rho a h: Laplace's equation by finite differences.

    Five-point cells, their middles half a cell off the walls (ghost cells for the slopes), the surface at nil.
    """
    high, wide = cells, round(cells * length / depth)
    step = depth / high
    rows, columns, values = [], [], []
    right = np.zeros(high * wide)
    for i in range(wide):
        for j in range(high):
            at, diagonal = i * high + j, 0.0
            for di, dj in ((1, 0), (-1, 0), (0, 1), (0, -1)):
                ni, nj = i + di, j + dj
                if nj == high:
                    diagonal -= 2.0  # half a cell from the surface
                elif 0 <= ni < wide and nj >= 0:
                    rows.append(at), columns.append(ni * high + nj), values.append(1.0)
                    diagonal -= 1.0
                elif nj >= 0:
                    right[at] += di * step  # dp/dx = -1: outward slope is -di
            rows.append(at), columns.append(at), values.append(diagonal)
    found = spsolve(coo_matrix((values, (rows, columns))).tocsr(), right).reshape(wide, high)
    wall = found[0] + step / 2.0
    return float(1.5 * wall[0] - 0.5 * wall[1]) / depth, float(wall.mean()) / depth


@pytest.mark.parametrize(("length", "depth"), [(900.0, 400.0), (500.0, 250.0), (150.0, 300.0)])
def test_it_is_what_finite_differences_give(length: float, depth: float) -> None:
    foot, mean = differences(length, depth, 80)
    of = RHO * 9810.0 * depth * 1e-12
    z = (np.arange(400) + 0.5) * depth / 400.0
    wall = blow(length, depth)(np.stack([0.0 * z - length / 2.0, 0.0 * z, z], axis=1))
    assert wall.mean() / of == pytest.approx(mean, rel=3e-3)
    assert blow(length, depth)(np.array([[-length / 2.0, 7.0, 0.0]]))[0] / of == pytest.approx(foot, rel=3e-3)


def test_the_foot_of_the_end_wall_of_a_metre_of_tank_feels_two_and_a_half_kilopascal() -> None:
    """Order `surge`: with 3.92 kPa of still head 6.6 kPa, twice the blow 9.4."""
    foot = blow(900.0, 400.0)(np.array([[-450.0, 0.0, 0.0], [450.0, 0.0, 0.0], [0.0, 0.0, 0.0], [-450.0, 0.0, 401.0]]))
    assert foot[0] * 1e3 == pytest.approx(2.73, abs=0.01)
    assert foot[1] == -foot[0]
    assert foot[2:] == pytest.approx([0.0, 0.0], abs=1e-12)


@pytest.mark.parametrize(("length", "depth"), [(900.0, 400.0), (200.0, 150.0), (600.0, 50.0)])
def test_what_strikes_is_what_the_waves_leave(length: float, depth: float) -> None:
    """Shares of the odd modes, 8 L tanh(n pi h/L) / (n^3 pi^3 h), are the rest of the mass."""
    n = np.arange(1, 4001, 2)
    waves = float((8.0 * length * np.tanh(n * math.pi * depth / length) / (n**3 * math.pi**3 * depth)).sum())
    assert rect_share(length, depth) == pytest.approx(1.0 - waves, abs=1e-6)
    assert rect_share(length, depth) <= housner_rect(length, depth).fixed <= 1.12 * rect_share(length, depth)
    foot = blow(length, depth)(np.array([[-length / 2.0, 0.0, 0.0]]))[0] * 1e6
    bound = housner_pressure(length * 1e-3, depth * 1e-3, 9.81, RHO)
    assert foot <= bound <= 1.27 * foot


@pytest.mark.parametrize(("radius", "depth"), [(500.0, 1000.0), (100.0, 60.0)])
def test_the_same_of_a_cylinder(radius: float, depth: float) -> None:
    """What strikes and the first wave are nearly all of it (its next modes hold under 4 %); the wall's push by quadrature."""
    share = round_blow_share(radius, depth)
    assert 0.96 < share + round_share(radius, depth) < 1.0
    assert housner_round(2.0 * radius, depth).fixed == pytest.approx(share, rel=0.06)  # no bound in a shallow one
    of = RoundBlow(middle=(5.0, 6.0, 7.0), radius=radius, depth=depth, push=(0.0, 2000.0), density_kg_m3=RHO)
    turn, z = np.meshgrid((np.arange(120) + 0.5) * math.tau / 120, (np.arange(200) + 0.5) * depth / 200)
    points = np.stack([5.0 + radius * np.cos(turn), 6.0 + radius * np.sin(turn), 7.0 + z], axis=-1).reshape(-1, 3)
    force = -(of(points) * np.sin(turn.ravel())).sum() * radius * math.tau / 120 * depth / 200
    assert force == pytest.approx(share * RHO * math.pi * radius**2 * depth * 2000.0 * 1e-12, rel=2e-3)


def test_a_box_pushed_cornerwise_is_both_pushes_at_once() -> None:
    points = np.array([[-100.0, -30.0, 5.0], [40.0, 50.0, 20.0]])
    parts = [
        BoxBlow(middle=(0.0, 0.0, 0.0), length=200.0, width=100.0, depth=60.0, push=push, density_kg_m3=RHO)(points)
        for push in ((300.0, 0.0), (0.0, 400.0), (300.0, 400.0))
    ]
    assert parts[2] == pytest.approx(parts[0] + parts[1])
    assert parts[2][0] > parts[0][0] > 0.0


def test_a_wet_panel_swings_slower_the_more_liquid_it_moves() -> None:
    """Against the dry strip's closed form, (pi/s)^2 sqrt(D/m); with liquid the mass is that of s/pi more."""
    dry = wet_panel_period(200.0, 6.0, 3300.0, liquid_kg_m3=1e-9)
    stiff = 3300.0 * 216.0 / (12.0 * (1.0 - 0.37**2))
    assert dry == pytest.approx(math.tau / ((math.pi / 200.0) ** 2 * math.sqrt(stiff / (1190e-12 * 6.0))))
    wet = wet_panel_period(200.0, 6.0, 3300.0)
    assert wet / dry == pytest.approx(math.sqrt(1.0 + 1000.0 * 200.0 / math.pi / (1190.0 * 6.0)))
    assert wet_panel_period(200.0, 6.0, 3300.0, across_mm=30.0) > wet
    assert 1.0 / (math.pi * RAMP_PERIODS) < 0.11
