"""The scene that page and picture show, held to the design, to the plans of its moves, and to meshes cut by manifold3d."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from types import SimpleNamespace

import manifold3d
import numpy as np
import pytest
import trimesh
from asked import ask
from moving import moving_order
from shapely import Polygon
from shapely.affinity import rotate
from starters import bare, two_plates

from assemblies.examine import Examined, begin, examine
from assemblies.kinds import kind, schemas, starter
from assemblies.liquid.engine import settle, volume_for_depth
from assemblies.liquid.shapes.cavity import box, round_cavity
from assemblies.liquid.shapes.cells import Block
from assemblies.motion.plans.moves import Moves, PlannedSlide, PlannedTurn
from assemblies.motion.plans.plays import Play, plays
from assemblies.motion.plans.slide import plan_slide
from assemblies.order import Order, read_order
from assemblies.packet.models.hardware import hardware
from assemblies.packet.models.scene import Scene, scene_of
from assemblies.packet.models.shapes import Shape, closed
from assemblies.packet.models.trains import spins
from assemblies.packet.pages.view_data import view_data

UP = (0.0, 0.0, 1.0)


def order(text: str) -> Order:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "order.toml"
        path.write_text(text)
        return read_order(path, schemas())


@pytest.fixture(scope="module")
def found() -> Examined:
    """What its checks of fit, liquid and motion answer, and what is to be bought."""
    wanted = {"build", "fit", "apart", "loads", "liquid", "motion", "bond", "buying"}
    checks = [check for check in kind("tank").asked(None, solids=False) if check.name in wanted]
    return examine(order(moving_order()), checks)


@pytest.fixture(scope="module")
def scene(found: Examined) -> Scene:
    return scene_of(found)


@pytest.fixture(scope="module")
def geared() -> Scene:
    return scene_of(ask(order(starter("gearbox")), "hold"))


def solid(shape: Shape) -> trimesh.Trimesh:
    mesh = trimesh.Trimesh(shape.points, shape.triangles, process=False)
    assert mesh.is_watertight
    return mesh


def below(shape: Shape, up: tuple[float, float, float], level: float) -> float:
    """Volume of a room under a plane, by manifold3d."""
    mesh = manifold3d.Mesh(shape.points.astype(np.float32), shape.triangles.astype(np.uint32))
    whole = manifold3d.Manifold(mesh)
    assert whole.status() == manifold3d.Error.NoError
    return float(whole.trim_by_plane([-c for c in up], -level).volume())


def play(scene: Scene, name: str) -> Play:
    return next(one for one in scene.plays if one.name == name)


# ---- what stands in it


def test_every_instance_is_in_the_scene_and_in_the_pages_data(found: Examined, scene: Scene) -> None:
    names = [p.name for p in found.design.placed]
    assert [p.name for p in scene.placed] == names
    data = view_data(found.report, scene, "mm")
    assert data is not None
    assert [p["name"] for p in data["pieces"]] == names
    assert {tuple(p["offset"]) for p in data["pieces"]} != {(0.0, 0.0, 0.0)}


def test_the_water_of_the_scene_is_the_fill(scene: Scene) -> None:
    assert scene.pool is not None
    assert scene.pool.volume_mm3 == pytest.approx(300.0 * 200.0 * 120.0)
    assert below(scene.pool.room, UP, scene.pool.level_mm) == pytest.approx(scene.pool.volume_mm3, rel=1e-5)


@pytest.mark.parametrize("name", ["round", "leaning", "islands"])
def test_any_room_is_closed_and_cut_at_its_level_holds_what_is_in_it(name: str) -> None:
    """Cylinders, and a box with two blocks in it and strips on its rim; a round wall in chords holds 0.1 % less."""
    rim = Block(name="rim", low=(-130.0, -80.0, 150.0), high=(130.0, 80.0, 156.0))
    blocks = tuple(
        Block(name=f"b{x:g}", low=(x, -20.0, 0.0), high=(x + 30.0, 20.0, 200.0 if x > 0 else 60.0))
        for x in (-60.0, 40.0)
    )
    cavity = {
        "round": round_cavity(90.0, 200.0),
        "leaning": round_cavity(90.0, 200.0, axis=(0.3, 0.1, 1.0)),
        "islands": replace(
            box(300.0, 200.0, 150.0, above=rim), solids=(blocks[0], replace(blocks[1], high=(70.0, 20.0, 150.0)))
        ),
    }[name]
    volume = volume_for_depth(cavity, 90.0)
    rest = settle(cavity, volume)
    assert below(closed(cavity), UP, rest.level_mm) == pytest.approx(volume, rel=1e-3)


def test_bolts_stand_in_their_holes_as_many_as_are_bought(found: Examined, scene: Scene) -> None:
    bolts = [b for b in scene.bodies if b.kind == "bolt"]
    assert len(bolts) == sum(f.count for f in found.design.fasteners) == 11
    assert Counter(b.kind for b in scene.bodies) == {"bolt": 11, "washer": 14, "nut": 3}
    for bolt in bolts:
        plate = next(p for p in scene.placed if p.name == f"plate-{3 if abs(bolt.axis[0]) > 0.5 else bolt.piece[-1]}")
        u, v, _ = plate.local(bolt.at)
        assert min(math.hypot(u - h.x_mm, v - h.y_mm) for h in plate.piece.holes) < 1e-6
    for bolt in (b for b in bolts if b.axis[2] > 0.5):  # from below into a blind thread: in it, and short of the floor
        plate = next(p for p in scene.placed if p.name == bolt.piece)
        (_, _, low), (_, _, high) = plate.box
        assert bolt.at[2] < low < bolt.at[2] + float(bolt.shape.points[:, 2].max()) < high


@pytest.mark.parametrize("text", ["gearbox", "prop-mount", "panels", "lid-screwed"])
def test_all_that_is_bought_for_a_kind_finds_its_place(text: str) -> None:
    if text == "lid-screwed":
        one = order((Path(__file__).parents[3] / "orders" / "lid-screwed.toml").read_text())
    else:
        one = order(starter(text))
    design = begin(one).design
    bodies = list(hardware(design, None))
    assert sum(b.kind == "bolt" for b in bodies) == sum(f.count for f in design.fasteners)
    if text == "gearbox":
        assert Counter(b.kind for b in bodies)["shaft"] == 3
        assert Counter(b.kind for b in bodies)["bearing"] == 6


def test_every_body_is_closed(scene: Scene, geared: Scene) -> None:
    shapes = {b.shape for b in (*scene.bodies, *geared.bodies)}
    assert len(shapes) > 6
    for shape in shapes:
        assert solid(shape).volume == pytest.approx(shape.volume_mm3)
        assert shape.volume_mm3 > 10.0


# ---- seams that do not seal


def test_each_bad_seam_has_its_face_and_its_figure() -> None:
    bad = ask(order(two_plates().replace("repeat     = 0.05", "repeat     = 0.4")), "fit")
    scene, fit = scene_of(bad), bad.report["fit"]
    faulty = [s for s in fit["seams"] if s["seals"] != "ok" or not s["goes_in"]]
    assert len(scene.marks) == len(faulty) > 0
    assert {f.id for f in scene.seams if f.level != "ok"} == {s["id"] for s in faulty} == {m.id for m in scene.marks}
    for face, seam in zip(scene.seams, fit["seams"], strict=True):
        size = sorted(q - p for p, q in zip(face.low, face.high, strict=True))
        assert size[2] == pytest.approx(seam["length"], abs=1.0)
        assert size[1] == pytest.approx(seam["width"], abs=1.0)


# ---- what moves


def test_a_slide_ends_at_its_target_and_moves_as_its_schedule(found: Examined, scene: Scene) -> None:
    moves = found.made.of(Moves)
    assert moves is not None
    (one,), seen = moves.slides, play(scene, "glide across")
    assert seen.places[-1] == seen.places[seen.times >= one.plan.path.time].min() == 600.0
    assert seen.times[-1] > one.plan.path.time
    inside = seen.times < one.plan.path.time
    assert seen.places[inside] == pytest.approx(one.plan.path.at(seen.times[inside])[0])
    assert (np.diff(seen.places) >= -1e-9).all()


def ripple_volume(seen: Play, row: int) -> float:
    """Of the liquid under the swinging surface, as prisms on its triangles."""
    one = seen.ripple
    assert one is not None
    height = seen.levels[row] + one.heights[row] @ one.shapes - one.floor_mm
    a, b, c = (one.places[one.triangles[:, k]] for k in range(3))
    (ux, uy), (vx, vy) = (b - a).T, (c - a).T
    areas = (ux * vy - uy * vx) / 2.0
    assert (areas > 0.0).all()
    return float((areas * height[one.triangles].mean(axis=1)).sum())


def test_the_first_waves_hold_the_volume_and_come_near_all_waves_at_the_walls(found: Examined, scene: Scene) -> None:
    moves = found.made.of(Moves)
    assert moves is not None
    (one,), seen = moves.slides, play(scene, "glide across")
    pool, ripple = one.plan.pool, seen.ripple
    assert pool is not None
    assert ripple is not None
    rows = range(0, len(seen.times), 17)
    assert [ripple_volume(seen, k) for k in rows] == pytest.approx([7.2e6] * len(rows), rel=1e-4)
    right = int(np.argmax(ripple.places[:, 0]))
    shown = ripple.heights @ ripple.shapes[:, right]
    whole = pool.levels(pool.swing.along(one.plan.path, seen.times))[:, 0]
    assert abs(whole).max() > 3.0
    assert abs(shown - whole).max() < 0.12 * abs(whole).max()


def test_a_round_tank_ripples_along_its_way() -> None:
    cavity = round_cavity(120.0, 200.0, base=(5.0, -3.0, 6.0))
    spec = next(c for c in order(moving_order()).case if c.name == "glide across")
    way = spec.model_copy(update={"direction": (0.6, 0.8, 0.0)})
    plan = plan_slide(way, cavity, volume_for_depth(cavity, 100.0))
    moves = Moves(slides=(PlannedSlide(plan=plan, mass_kg=5.0, damping=0.01, safe_stop=None),))
    (seen,) = plays(SimpleNamespace(case=(way,)), moves, None)  # type: ignore[arg-type]
    assert seen.ripple is not None
    k = int(abs(seen.ripple.heights[:, 0]).argmax())
    assert ripple_volume(seen, k) == pytest.approx(volume_for_depth(cavity, 100.0), rel=5e-3)  # 48 chords round it
    height = seen.ripple.heights[k] @ seen.ripple.shapes
    ahead = (seen.ripple.places - np.array([5.0, -3.0])) @ np.array([0.6, 0.8])
    assert abs(ahead[abs(height).argmax()]) == pytest.approx(120.0, rel=1e-9), "highest at the wall on the way"
    assert seen.ripple.floor_mm == 6.0


def test_a_pour_ends_upright_with_as_much_less_as_it_is_to_pour(found: Examined, scene: Scene) -> None:
    moves = found.made.of(Moves)
    assert moves is not None
    (one,), seen = moves.turns, play(scene, "pour two litres")
    assert isinstance(one, PlannedTurn)
    assert seen.angles[0] == seen.angles[-1] == 0.0
    assert seen.kept[0] == pytest.approx(7.2e6)
    assert seen.kept[-1] == float(one.plan.left[-1])
    assert (
        one.plan.real is not None
    )  # by the schedule it pours more than it is to: what still stands over the lip comes back
    assert float(one.plan.real.delivered[-1]) == pytest.approx(2e6, rel=1e-3)
    assert 2e6 < seen.kept[0] - seen.kept[-1] < 2.5e6
    assert (np.diff(seen.kept) <= 1e-6).all()
    assert max(seen.angles) == pytest.approx(float(one.plan.angles.max()), rel=1e-3)
    assert seen.pivot == (0.0, 0.0, 140.0)


def leaned(seen: Play) -> Iterator[tuple[tuple[float, float, float], float, float]]:
    """What is up in the rig's axes (turned back about its axis), level, volume kept, at ten times."""
    ax, ay, _ = seen.axis
    for k in np.linspace(0, len(seen.times) - 1, 10).astype(int):
        s, c = math.sin(seen.angles[k]), math.cos(seen.angles[k])
        yield (-ay * s, ax * s, c), float(seen.levels[k]), float(seen.kept[k])


@pytest.mark.parametrize("name", ["pour two litres", "lean back"])
def test_its_level_cuts_off_what_is_kept_at_every_tilt(scene: Scene, name: str) -> None:
    seen = play(scene, name)
    assert scene.pool is not None
    assert float(seen.angles.max()) > 0.3
    for up, level, kept in leaned(seen):
        assert below(scene.pool.room, up, level) == pytest.approx(kept, rel=1e-3)


def test_what_is_not_proven_says_so_and_what_is_not_planned_stands_leaned(found: Examined, scene: Scene) -> None:
    moves = found.made.of(Moves)
    assert moves is not None
    assert [p.kind for p in scene.plays] == ["slide", "turn", "stand"]
    for one in scene.plays[:2]:
        assert one.proven == (one.name in moves.passed)
    (angle,) = play(scene, "lean back").angles
    assert math.degrees(angle) == pytest.approx(40.0)
    data = view_data(found.report, scene, "mm")
    assert data is not None
    for one, shown in zip(scene.plays, data["plays"], strict=True):
        assert shown["words"].endswith("not proven") == (not one.proven)


# ---- gears


def test_gears_turn_by_their_teeth_with_all_that_sits_on_their_shaft(geared: Scene) -> None:
    (seen,) = geared.plays
    rate = {name: spin.rate for spin in seen.spins for name in spin.names}
    assert Counter(name for spin in seen.spins for name in spin.names) == {
        n: 1 for k in "1234" for n in (f"gear-{k}", f"hub-{k}")
    }
    teeth = {p.name: p.piece for p in geared.placed if p.piece.kind == "gear"}
    assert set(teeth) == {"gear-1", "gear-2", "gear-3", "gear-4"}
    assert rate["gear-1"] / rate["gear-4"] == pytest.approx(12.0, rel=0.005)  # as ordered
    assert rate["gear-1"] == pytest.approx(30.0 * math.tau / 60.0)
    assert rate["gear-2"] == rate["gear-3"] == rate["hub-2"]
    assert seen.times[-1] * abs(rate["gear-4"]) == pytest.approx(math.tau)
    for spin in seen.spins:  # each on its own axis
        for name in spin.names:
            one = next(p for p in geared.placed if p.name == name)
            w, h, _ = one.piece.size_mm
            assert one.world(w / 2.0, h / 2.0, 0.0)[:2] == pytest.approx(
                spin.at[:2], abs=1.5
            )  # odd teeth stand out unevenly


def outline(scene: Scene, name: str) -> Polygon:
    from assemblies.fit.apart.facets import chains

    placed = next(p for p in scene.placed if p.name == name)
    return Polygon([placed.world(x, y, 0.0)[:2] for x, y in chains(placed.piece, 0.01, False)[0].points])


@pytest.mark.parametrize("time", [0.0, 0.137, 1.9, 11.3])
def test_teeth_stay_clear_of_each_other_as_they_turn(geared: Scene, time: float) -> None:
    (seen,) = geared.plays
    spun = {
        name: rotate(outline(geared, name), spin.rate * time, origin=spin.at[:2], use_radians=True)
        for spin in seen.spins
        for name in spin.names
        if name.startswith("gear")
    }
    for a, b in (("gear-1", "gear-2"), ("gear-3", "gear-4")):
        assert spun[a].intersection(spun[b]).area == 0.0
        assert spun[a].distance(spun[b]) < 1.0, "they mesh"


def test_what_has_no_gears_has_nothing_that_turns() -> None:
    assert spins(begin(order(bare("tank"))).design, 1.0) == ()


# ---- the same every time


def test_the_same_scene_gives_the_same_data(found: Examined, scene: Scene) -> None:
    assert view_data(found.report, scene, "in") == view_data(found.report, scene_of(found), "in")


def test_data_are_plain_and_small(found: Examined, scene: Scene) -> None:
    import json

    assert len(json.dumps(view_data(found.report, scene, "mm"))) < 120_000
