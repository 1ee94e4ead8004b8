"""Moves beside methods of another kind: potential flow by finite elements of this file, meshes cut by trimesh."""

from __future__ import annotations

import math

import numpy as np
import pytest
import trimesh

from assemblies.design.mass import Body
from assemblies.liquid import box, round_cavity, volume_for_depth
from assemblies.liquid.waves.modes import rect_waves
from assemblies.motion.path.profile import s_curve
from assemblies.motion.pour.tilts import lean, tilts, worst_lean
from assemblies.motion.swing.response import Swing

G = 9806.65
NO_INERTIA = ((0.0, 0.0, 0.0),) * 3


def surface_flow(length: float, depth: float, across: int, down: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Linear potential flow in a box, four-node elements: x of the surface's nodes, its mass matrix, and the flow up out of
    it by its potential (all nodes below taken out)."""
    nx, nz = across + 1, down + 1
    a, b = length / across, depth / down
    kx = b / a / 6.0 * np.array([[2, -2, -1, 1], [-2, 2, 1, -1], [-1, 1, 2, -2], [1, -1, -2, 2]])
    kz = a / b / 6.0 * np.array([[2, 1, -1, -2], [1, 2, -2, -1], [-1, -2, 2, 1], [-2, -1, 1, 2]])
    stiff = np.zeros((nx * nz, nx * nz))
    for j in range(down):
        for i in range(across):
            at = np.array([j * nx + i, j * nx + i + 1, (j + 1) * nx + i + 1, (j + 1) * nx + i])
            stiff[np.ix_(at, at)] += kx + kz
    top = np.arange((nz - 1) * nx, nz * nx)
    rest = np.arange((nz - 1) * nx)
    up = stiff[np.ix_(top, top)] - stiff[np.ix_(top, rest)] @ np.linalg.solve(
        stiff[np.ix_(rest, rest)], stiff[np.ix_(rest, top)]
    )
    mass = np.zeros((nx, nx))
    for i in range(across):
        mass[i : i + 2, i : i + 2] += a / 6.0 * np.array([[2.0, 1.0], [1.0, 2.0]])
    return np.linspace(-length / 2.0, length / 2.0, nx), mass, up


@pytest.mark.parametrize(("length", "depth"), [(300.0, 100.0), (500.0, 60.0)])
def test_a_move_lifts_the_liquid_as_finite_elements_of_potential_flow_do(length: float, depth: float) -> None:
    path = s_curve(600.0, 500.0, 1500.0, 12_000.0).path
    x, mass, up = surface_flow(length, depth, 64, 12)
    flow = np.linalg.solve(mass, up)
    n, dt = len(x), 0.002
    times = np.arange(0.0, path.time + 1.5, dt)
    pushes = path.at(times + dt / 2.0)[2]
    # level' = flow potential, potential' = -g level - a x, by the trapezoidal rule
    both = np.block([[np.zeros((n, n)), flow], [-G * np.eye(n), np.zeros((n, n))]])
    step = np.linalg.solve(np.eye(2 * n) - dt / 2.0 * both, np.eye(2 * n) + dt / 2.0 * both)
    give = np.linalg.solve(np.eye(2 * n) - dt / 2.0 * both, np.concatenate([np.zeros(n), -dt * x]))
    state, ahead = np.zeros(2 * n), [0.0]
    for push in pushes[:-1]:
        state = step @ state + give * push
        ahead.append(float(state[n - 1]))
    swing = Swing(rect_waves(length, depth, G, 21), G)
    modes = swing.along(path, times).q.sum(axis=1)
    highest = abs(modes).max()
    assert highest > 10.0
    assert np.array(ahead) == pytest.approx(modes, abs=0.03 * highest)
    assert abs(np.array(ahead)).max() == pytest.approx(highest, rel=0.02)


def cut(mesh: trimesh.Trimesh, volume: float, tilt: float, lip: tuple[float, float, float]) -> trimesh.Trimesh:
    """What stays in a leaned vessel, cut from a mesh of its inside: level with the lip, or lower where less is in it."""
    up = np.array([-math.sin(tilt), 0.0, math.cos(tilt)])
    brim = mesh.slice_plane(lip, -up, cap=True)
    if brim.volume <= volume:
        return brim
    low, high = float((mesh.vertices @ up).min()), float(np.dot(lip, up))
    for _ in range(50):
        middle = (low + high) / 2.0
        part = mesh.slice_plane(up * middle, -up, cap=True)
        low, high = (middle, high) if part.volume < volume else (low, middle)
    return mesh.slice_plane(up * high, -up, cap=True)


@pytest.mark.parametrize(
    "degrees", [25.0, *(pytest.param(float(d), marks=pytest.mark.slow) for d in range(4, 88, 4) if d != 24)]
)
def test_the_pour_keeps_and_turns_as_a_mesh_that_is_cut(degrees: float) -> None:
    tank = box(300.0, 250.0, 200.0)
    volume, tilt = volume_for_depth(tank, 150.0), math.radians(degrees)
    mesh = trimesh.creation.box((300.0, 250.0, 200.0), trimesh.transformations.translation_matrix((0.0, 0.0, 100.0)))
    left = cut(mesh, volume, tilt, (150.0, 0.0, 200.0))
    pivot, dry = (40.0, 0.0, -30.0), Body(mass_kg=2.0, centre_mm=(0.0, 0.0, 80.0), inertia_kg_mm2=NO_INERTIA)
    found = lean(tank, volume, tilt, pivot=pivot, dry=dry)
    assert found.liquid.kept_mm3 == pytest.approx(min(left.volume, volume), rel=1e-6)

    def torque(mass: float, centre: np.ndarray) -> float:
        arm = centre - np.array(pivot)
        return float(mass * 9.80665 * (arm[0] * math.cos(tilt) + arm[2] * math.sin(tilt)))

    assert found.liquid_nmm == pytest.approx(torque(left.volume * 998.2e-9, left.center_mass), rel=1e-5)
    assert found.dry_nmm == pytest.approx(torque(2.0, np.array([0.0, 0.0, 80.0])), rel=1e-12)


def test_a_round_tank_pours_as_a_mesh_of_many_sides_that_is_cut() -> None:
    tank = round_cavity(100.0, 250.0)
    volume, tilt = volume_for_depth(tank, 180.0), math.radians(50.0)
    mesh = trimesh.creation.cylinder(100.0, 250.0, sections=400)
    mesh.apply_translation((0.0, 0.0, 125.0))
    left = cut(mesh, volume, tilt, (100.0, 0.0, 250.0))
    found = lean(tank, volume, tilt)
    assert found.liquid.kept_mm3 == pytest.approx(left.volume, rel=3e-4)
    assert found.liquid.centre_mm == pytest.approx(tuple(left.center_mass), abs=0.1)


def test_the_worst_lean_is_no_less_than_any_other() -> None:
    tank = box(300.0, 250.0, 200.0)
    volume = volume_for_depth(tank, 150.0)
    worst = worst_lean(tank, volume, math.pi / 2.0, pivot=(0.0, 0.0, 100.0))
    others = [abs(lean(tank, volume, math.radians(d), pivot=(0.0, 0.0, 100.0)).torque_nmm) for d in range(91)]
    assert abs(worst.torque_nmm) >= max(others)
    assert 30.0 < math.degrees(worst.tilt_rad) < 60.0


def test_the_table_of_tilts_gives_back_the_tilt_of_what_is_left() -> None:
    from assemblies.liquid import spill_tilt

    tank = box(300.0, 250.0, 200.0)
    volume = volume_for_depth(tank, 150.0)
    table = tilts(tank, volume, math.pi / 2.0)
    assert table.lip_mm == pytest.approx(250.0)
    for share in (0.95, 0.8, 0.667, 0.5, 0.3, 0.1, 0.02):
        exact = spill_tilt(tank, share * volume)
        assert math.degrees(float(table.angle_of(np.array(share * volume)))) == pytest.approx(
            math.degrees(exact), abs=0.01
        )
