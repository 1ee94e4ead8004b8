"""What must hold for any cavity, fill and gravity; random polyhedra against trimesh's clipping."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st
from liquid_shapes import G, as_mesh, below, random_hull, turned, vector
from scipy.spatial.transform import Rotation

from assemblies.liquid import Cavity, Circle3, Lip, Mesh, Port, box, capacity, round_cavity, settle
from parts.findings import NotCovered, SeamwrightError

SEEDS = st.integers(0, 10_000)
SHARES = st.floats(1e-4, 0.9999)
ANGLES = st.floats(0.0, 180.0)
ROUND = st.floats(0.0, 360.0)


def pull(tilt: float, around: float, size: float = G) -> tuple[float, float, float]:
    down = Rotation.from_euler("yz", [-tilt, around], degrees=True).apply([0.0, 0.0, -size])
    return vector(down)


@given(SEEDS, SHARES, ANGLES, ROUND)
def test_a_convex_polyhedron_agrees_with_trimesh(seed: int, share: float, tilt: float, around: float) -> None:
    cavity, solid = random_hull(seed)
    volume = share * solid.volume
    s = settle(cavity, volume, pull(tilt, around))
    wet = below(solid, s.up, s.level_mm)
    assert wet.volume == pytest.approx(volume, rel=1e-9)  # trimesh merges corners nearer than 1e-8
    assert s.centre_mm == pytest.approx(wet.center_mass, abs=1e-6)
    inertia = wet.moment_inertia * s.density_kg_m3 * 1e-9
    assert np.array(s.inertia_kg_mm2) == pytest.approx(inertia, abs=1e-7 * np.abs(inertia).max())
    walls = sum(face.area_mm2 for face in s.faces)
    assert walls + s.surface_area_mm2 == pytest.approx(wet.area, rel=1e-7)


@given(SEEDS, SHARES, ANGLES, ROUND, st.integers(0, 99))
def test_turning_rig_and_gravity_together_changes_nothing(
    seed: int, share: float, tilt: float, around: float, other: int
) -> None:
    cavity, solid = random_hull(seed)
    turn, step = Rotation.random(random_state=other), np.array([30.0, -500.0, 70.0])
    g = pull(tilt, around)
    a = settle(cavity, share * solid.volume, g)
    b = settle(turned(cavity, turn, step), share * solid.volume, vector(turn.apply(g)))
    assert a.centre_mm is not None
    assert b.centre_mm == pytest.approx(turn.apply(a.centre_mm) + step, abs=1e-8)
    assert b.force_n == pytest.approx(turn.apply(a.force_n), abs=1e-9)
    assert b.level_mm - b.lowest_mm == pytest.approx(a.level_mm - a.lowest_mm, abs=1e-8)


@given(st.sampled_from(["box", "drum"]), st.floats(0.0, 3.0), ANGLES, ROUND, st.floats(200.0, 5e4))
def test_kept_and_lost_make_the_given_and_the_centre_lies_below_the_surface(
    kind: str, share: float, tilt: float, around: float, size: float
) -> None:
    cavity = box(300.0, 200.0, 150.0) if kind == "box" else round_cavity(80.0, 220.0, axis=(0.1, 0.2, 1.0))
    volume = share * capacity(cavity)
    s = settle(cavity, volume, pull(tilt, around, size))
    assert s.kept_mm3 + s.lost_mm3 == pytest.approx(volume, rel=1e-13)
    assert s.kept_mm3 >= 0.0
    assert s.lost_mm3 >= 0.0
    assert s.freeboard_mm >= -1e-9
    assert bool(s.over) == (s.lost_mm3 > 0.0)
    weight = np.array(s.gravity) * 1e-3 * s.mass_kg
    # where next to nothing is left (sides at 90 degrees) rounding of the lip's height is all there is: 1e-6 mm3
    assert np.array(s.force_n) == pytest.approx(weight, abs=1e-9 * np.linalg.norm(weight) + 1e-13 * size)
    if s.kept_mm3 > 1e-3:
        assert s.centre_mm is not None
        assert float(s.depth(s.centre_mm)) > 0.0
        assert cavity.body.fill(s.up, s.level_mm)[0] == pytest.approx(s.kept_mm3, rel=1e-11)


@given(SEEDS, ANGLES, ROUND, st.lists(SHARES, min_size=2, max_size=6, unique=True))
def test_more_liquid_stands_higher(seed: int, tilt: float, around: float, shares: list[float]) -> None:
    cavity, solid = random_hull(seed)
    levels = [settle(cavity, share * solid.volume, pull(tilt, around)).level_mm for share in sorted(shares)]
    assert all(low <= high for low, high in pairwise(levels))


def test_twice_the_size_presses_twice_as_hard_and_weighs_eight_times() -> None:
    small, large = (settle(box(k * 30, k * 20, k * 15), k**3 * 6000.0, (2000.0, 0.0, -G)) for k in (1.0, 2.0))
    assert large.mass_kg == pytest.approx(8.0 * small.mass_kg, rel=1e-12)
    foot = np.array([-15.0, 0.0, 0.0])
    assert large.pressure(2.0 * foot) == pytest.approx(2.0 * small.pressure(foot), rel=1e-12)


def test_mirrored_push_gives_mirrored_liquid() -> None:
    right, left = (settle(box(300, 200, 150), 7e6, (a, 0.0, -G)) for a in (3000.0, -3000.0))
    assert right.centre_mm is not None
    assert left.centre_mm == pytest.approx(
        (-right.centre_mm[0], right.centre_mm[1], right.centre_mm[2]), rel=1e-12, abs=1e-9
    )
    assert left.face("left").force_n[0] == pytest.approx(-right.face("right").force_n[0], rel=1e-12)


@pytest.mark.parametrize("tilt", [0.0, 20.0, 70.0, 100.0, 180.0])
def test_a_drum_is_the_limit_of_a_many_sided_prism(tilt: float) -> None:
    solid = trimesh.creation.cylinder(radius=80.0, height=200.0, sections=720)
    prism, drum = as_mesh(solid), round_cavity(80.0, 200.0, base=(0.0, 0.0, -100.0), lid="sealed")
    for share in (0.1, 0.6):
        a, b = (settle(c, share * capacity(c), pull(tilt, 30.0)) for c in (prism, drum))
        # 720 sides have 1 - 1.3e-5 of the circle's area
        assert a.kept_mm3 == pytest.approx(b.kept_mm3, rel=2e-5)
        assert a.centre_mm == pytest.approx(b.centre_mm, abs=2e-3)
        assert np.array(a.inertia_kg_mm2) == pytest.approx(np.array(b.inertia_kg_mm2), rel=1e-4, abs=1e-3)


@pytest.mark.parametrize(("tilt", "around"), [(0.0, 0.0), (35.0, 20.0), (110.0, 200.0)])
def test_a_hollow_mesh_with_one_pool_agrees_with_trimesh(tilt: float, around: float) -> None:
    """A ring-shaped trough (not convex)."""
    solid = trimesh.creation.annulus(r_min=40.0, r_max=100.0, height=120.0, sections=48)
    core = trimesh.creation.cylinder(radius=40.0, height=120.0, sections=48)
    assert solid.convex_hull.volume - core.volume == pytest.approx(solid.volume, rel=1e-9)
    cavity = as_mesh(solid)
    for share in (0.3, 0.8):
        s = settle(cavity, share * solid.volume, pull(tilt, around))
        parts = [below(part, s.up, s.level_mm) for part in (solid.convex_hull, core)]  # capping a ring needs more
        volumes = [part.volume for part in parts]
        centre = (volumes[0] * parts[0].center_mass - volumes[1] * parts[1].center_mass) / (volumes[0] - volumes[1])
        assert volumes[0] - volumes[1] == pytest.approx(share * solid.volume, rel=1e-9)
        assert s.centre_mm == pytest.approx(centre, abs=1e-6)
        assert s.force_n == pytest.approx(np.array(s.gravity) * 1e-3 * s.mass_kg, abs=1e-9)


def arch() -> trimesh.Trimesh:
    """A gate standing on two legs, extruded by hand."""
    outline = [(0, 0), (30, 0), (30, 60), (70, 60), (70, 0), (100, 0), (100, 100), (0, 100)]
    front = [(0, 1, 2), (0, 2, 7), (7, 2, 3), (7, 3, 6), (3, 4, 5), (3, 5, 6)]
    points = [(x, y, z) for z in (0.0, 50.0) for x, y in outline]
    sides = [q for k in range(8) for q in ((k, (k + 1) % 8, k + 8), ((k + 1) % 8, (k + 1) % 8 + 8, k + 8))]
    lids = [(a, c, b) for a, b, c in front] + [(a + 8, b + 8, c + 8) for a, b, c in front]
    solid = trimesh.Trimesh(points, sides + lids, process=False)
    assert solid.is_volume
    return solid


def test_two_pools_are_not_covered_until_they_join() -> None:
    solid = arch()
    cavity, down = as_mesh(solid), (0.0, -G, 0.0)
    with pytest.raises(NotCovered, match="2 pools"):
        settle(cavity, 0.2 * solid.volume, down)
    joined = settle(cavity, 1.5e5 + 2.0 * 30.0 * 60.0 * 50.0, down)  # legs full and 150 cm3 over them
    assert joined.level_mm == pytest.approx(60.0 + 1.5e5 / (100.0 * 50.0), rel=1e-12)


def test_an_open_mesh_needs_its_edge_as_lip_and_then_pours_over_it() -> None:
    lidless = box(300.0, 200.0, 150.0)
    points = [(x, y, z) for x in (-150.0, 150.0) for y in (-100.0, 100.0) for z in (0.0, 150.0)]
    corner = {p: k for k, p in enumerate(points)}
    triangles, names = [], []
    for face in lidless.faces:
        ring = [corner[c] for c in face.corners]
        triangles += [(ring[0], ring[1], ring[2]), (ring[0], ring[2], ring[3])]
        names += [face.name] * 2
    mesh = Mesh(points=tuple(points), triangles=tuple(triangles), names=tuple(names))
    with pytest.raises(ValueError, match="bare and no lip"):
        Cavity(mesh=mesh)
    rim = tuple(p for p in points if p[2] == 150.0)
    cavity = Cavity(mesh=mesh, lips=(Lip(name="rim", corners=rim),))
    for tilt in (0.0, 30.0, 75.0):
        a, b = (settle(c, 6e6, pull(tilt, 15.0)) for c in (cavity, lidless))
        assert (a.kept_mm3, a.lost_mm3) == pytest.approx((b.kept_mm3, b.lost_mm3), rel=1e-12, abs=1e-6)
        assert a.force_n == pytest.approx(b.force_n, rel=1e-11, abs=1e-11)


@pytest.mark.parametrize(
    ("mesh", "says"),
    [
        (lambda s: (s.vertices, [(a, c, b) for a, b, c in s.faces], ("wall",)), "clockwise"),
        (lambda s: (s.vertices, [(0, 1, 99)], ("wall",)), "out of range"),
        (lambda s: (s.vertices, s.faces, ("a", "b")), "names for"),
        (lambda s: ([*s.vertices[:-1], (np.nan, 0.0, 0.0)], s.faces, ("wall",)), "not finite"),
    ],
)
def test_no_mesh_is_refused(mesh: object, says: str) -> None:
    assert callable(mesh)
    points, triangles, names = mesh(trimesh.creation.box((10.0, 20.0, 30.0)))
    with pytest.raises(ValueError, match=says):
        Cavity(
            mesh=Mesh(
                points=tuple(map(vector, points)), triangles=tuple(tuple(map(int, t)) for t in triangles), names=names
            )
        )


def hole(centre: tuple[float, float, float], normal: tuple[float, float, float]) -> Port:
    return Port(name="drain", circle=Circle3(centre=centre, normal=normal, radius_mm=5.0))


def box_mesh(port: Port) -> Cavity:
    solid = trimesh.creation.box((300.0, 200.0, 150.0))
    made = as_mesh(solid, ("shell",))
    return Cavity(mesh=made.mesh, ports=(port,))


BOX_PORTS = [
    ((-150.0, 0.0, 60.0), (-1.0, 0.0, 0.0)),
    ((150.0, 99.0, 149.0), (1.0, 0.0, 0.0)),
    ((20.0, 100.0, 150.0), (0.0, 1.0, 0.0)),
    ((20.0, 30.0, 0.0), (0.0, 0.0, 1.0)),
]
OFF_WALLS = [  # centre, normal, and how far (mm) the nearest wall of the box is
    ((0.0, 0.0, 60.0), (1.0, 0.0, 0.0), "60"),
    ((156.0, 0.0, 60.0), (1.0, 0.0, 0.0), "6"),
    ((154.0, 103.0, 60.0), (1.0, 0.0, 0.0), "5"),
    ((0.0, 0.0, -4.0), (0.0, 0.0, 1.0), "4"),
    ((0.0, 0.0, 150.0), (0.0, 0.0, 1.0), "100"),  # in the open top
    ((150.2, 0.0, 60.0), (1.0, 0.0, 0.0), "0.2"),
]


@pytest.mark.parametrize(("centre", "normal"), BOX_PORTS)
def test_a_port_in_a_wall_is_taken(centre: tuple[float, float, float], normal: tuple[float, float, float]) -> None:
    assert box(300.0, 200.0, 150.0, ports=[hole(centre, normal)]).ports[0].open
    lower = (centre[0], centre[1], centre[2] - 75.0)
    assert box_mesh(hole(lower, normal)).ports[0].open


@pytest.mark.parametrize(("centre", "normal", "far"), OFF_WALLS)
@pytest.mark.parametrize("is_open", [True, False])
def test_a_port_on_no_wall_is_refused_with_how_far_it_is_off(
    centre: tuple[float, float, float], normal: tuple[float, float, float], far: str, is_open: bool
) -> None:
    """Open, it would empty the tank to its own height; the distances are those of the box by hand."""
    port = Port(name="drain", circle=hole(centre, normal).circle, open=is_open)
    with pytest.raises(SeamwrightError, match=rf"port 'drain': .* lies on no wall .* is {far} mm away"):
        box(300.0, 200.0, 150.0, ports=[port])


def test_a_port_that_stands_across_its_wall_is_refused() -> None:
    """Its lowest point would be its centre's height, not a radius lower."""
    with pytest.raises(SeamwrightError, match=r"stands across the wall left"):
        box(300.0, 200.0, 150.0, ports=[hole((-150.0, 0.0, 60.0), (0.0, 0.0, 1.0))])


@given(SEEDS, st.integers(0, 9999))
def test_distances_to_walls_agree_with_trimesh(seed: int, other: int) -> None:
    """Of each triangle, from anywhere; and nil from a place on it."""
    cavity, solid = random_hull(seed)
    chance = np.random.default_rng(other)
    low, high = solid.bounds
    point = low + (high - low) * chance.uniform(-0.5, 1.5, 3)
    nearest = trimesh.triangles.closest_point(solid.triangles, np.tile(point, (len(solid.faces), 1)))
    names, distances, _ = cavity.body.beside(vector(point))
    assert distances == pytest.approx(np.linalg.norm(nearest - point, axis=1), rel=1e-7, abs=1e-9)
    place = chance.dirichlet([1.0, 1.0, 1.0]) @ solid.triangles[len(names) // 2]
    assert cavity.body.beside(vector(place))[1][len(names) // 2] == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("centre", "normal", "says"),
    [
        ((80.0, 0.0, 100.0), (1.0, 0.0, 0.0), None),
        ((0.0, -80.0, 5.0), (0.0, 1.0, 0.0), None),
        ((30.0, 20.0, 0.0), (0.0, 0.0, -1.0), None),
        ((30.0, 20.0, 220.0), (0.0, 0.0, 1.0), "no wall .* wall, is 43.9 mm"),  # no lid: 80 - |(30, 20)|
        ((70.0, 0.0, 100.0), (1.0, 0.0, 0.0), "no wall .* wall, is 10 mm"),
        ((83.0, 0.0, -4.0), (1.0, 0.0, 0.0), "no wall .* wall, is 5 mm"),
        ((0.0, 0.0, -4.0), (0.0, 0.0, 1.0), "no wall .* bottom, is 4 mm"),
        ((80.0, 0.0, 100.0), (0.0, 1.0, 0.0), "across the wall wall"),
    ],
)
def test_a_drums_ports_lie_in_its_wall_or_floor(
    centre: tuple[float, float, float], normal: tuple[float, float, float], says: str | None
) -> None:
    if says is None:
        assert round_cavity(80.0, 220.0, ports=[hole(centre, normal)]).ports[0].open
        return
    with pytest.raises(SeamwrightError, match=says):
        round_cavity(80.0, 220.0, ports=[hole(centre, normal)])
