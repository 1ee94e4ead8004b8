"""Walls inside a tank: sizes by hand, the room that they take, what they bear, and what cannot be."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import trimesh

from assemblies.design.inside import hollowed
from assemblies.design.model import Design
from assemblies.fit import seams
from assemblies.kinds import schemas
from assemblies.kinds.tank.build import build_tank
from assemblies.liquid.engine import capacity, settle
from assemblies.liquid.loads.cases import gravity_at_tilt, still
from assemblies.order import OrderError, read_order_text
from assemblies.strength.bonds.allowed import allowed_stress
from assemblies.strength.inner.walls import inners_of, passed, unit_plate
from assemblies.strength.plates.plate import plate
from assemblies.strength.proof.uses import Loaded, Use
from parts.findings import NotCovered
from parts.stock.material import material

TOP = """title = "t"
name = "parted"
kind = "tank"
[sheet]
thickness = 6
measured = [6.0]
[tank]
size = [300, 200, 150]
"""
DIVIDER = '[[inner]]\nkind = "divider"\nat = -60\nholes = [[-50, 25], [50, 25], [0, 70]]\nhole = 16\n'
BAFFLE = '[[inner]]\nkind = "baffle"\nat = 60\nheight = 70\n'
HUNG = '[[inner]]\nkind = "baffle"\nat = 60\nheight = 120\ngap = 20\n'
ALONG = '[[inner]]\nkind = "baffle"\nacross = "length"\nat = 30\nheight = 60\nthickness = 4\n'


def tank(text: str, top: str = TOP) -> Design:
    return build_tank(read_order_text(top + text, schemas()))


def test_where_walls_stand_by_hand() -> None:
    both = tank(DIVIDER + HUNG)
    assert both.instance("divider").box == ((-63.0, -100.0, 6.0), (-57.0, 100.0, 156.0))
    assert both.instance("baffle").box == ((57.0, -100.0, 26.0), (63.0, 100.0, 126.0))
    along = tank(ALONG).instance("baffle")
    assert along.box == ((-150.0, 28.0, 6.0), (150.0, 32.0, 66.0))
    hole = both.instance("divider").piece.holes[0]
    assert both.instance("divider").world(hole.x_mm, hole.y_mm, 0.0) == pytest.approx((-63.0, -50.0, 31.0))
    found = {(s.a, s.b): round(s.area_mm2, 6) for s in seams(both) if s.b in ("divider", "baffle")}
    assert found == {
        ("front", "divider"): 900, ("back", "divider"): 900, ("bottom", "divider"): 1200, ("front", "baffle"): 600,
        ("back", "baffle"): 600,
    }  # fmt: skip


def room(solids: Iterable[tuple[Any, Any]], holes: Iterable[tuple[float, float, float]] = ()) -> trimesh.Trimesh:
    """The inside as a mesh less boxes, which have round holes along x of a radius at (y, z)."""
    made = trimesh.creation.box(bounds=((-150, -100, 6), (150, 100, 156)))
    for low, high in solids:
        wall = trimesh.creation.box(bounds=(low, high))
        for y, z, r in holes:
            drill = trimesh.creation.cylinder(radius=r, height=20, sections=128)
            drill.apply_transform(trimesh.transformations.rotation_matrix(math.pi / 2, (0, 1, 0)))
            drill.apply_translation(((low[0] + high[0]) / 2.0, y, z))
            wall = wall.difference(drill)
        made = made.difference(wall)
    return made


@pytest.mark.parametrize("text", [BAFFLE, HUNG, ALONG, BAFFLE + HUNG.replace("60", "-100")])
def test_the_room_left_is_what_another_library_cuts_out(text: str) -> None:
    """Full, and tilted to the back as far as no pool is parted: trimesh with manifold."""
    design = tank(text)
    mesh = room(p.box for p in design.placed if p.piece.role == "inner")
    cavity, odd = hollowed(design)
    assert odd == ()
    assert capacity(cavity) == pytest.approx(mesh.volume, rel=1e-9)
    for degrees in (10.0, 25.0):
        gravity = gravity_at_tilt(math.radians(degrees), (0.0, 1.0, 0.0))
        up = -np.array(gravity) / np.linalg.norm(gravity)
        held = mesh.slice_plane((0.0, 100.0, 156.0), -up, cap=True)
        assert capacity(cavity, gravity) == pytest.approx(held.volume, rel=1e-7)


def test_holes_add_their_round_room_exactly_and_let_one_level_be() -> None:
    design = tank(DIVIDER)
    cavity, odd = hollowed(design)
    assert odd == ()
    drilled = 3 * math.pi * 8**2 * 6
    assert capacity(cavity) == pytest.approx(300 * 200 * 150 - 200 * 150 * 6 + drilled, rel=1e-12)
    mesh = room([design.instance("divider").box], [(-50, 31, 8), (50, 31, 8), (0, 76, 8)])
    assert capacity(cavity) == pytest.approx(mesh.volume, rel=2e-6)  # a circle of 128 sides
    assert settle(cavity, 300 * 200 * 60.0).level_mm == pytest.approx(66.0, abs=1.5)
    with pytest.raises(NotCovered, match="2 pools"):
        settle(cavity, 294 * 200 * 12.0)  # 12 mm deep: under the holes, whose lower edge is 17 mm up


def test_a_square_passage_is_never_lower_than_the_hole_it_stands_for() -> None:
    """So that no two pools are taken for one: its corners lie inside its own height, r sqrt(pi)/2 under the middle."""
    (block,) = hollowed(tank(DIVIDER))[0].solids
    low, high = block.passages[0]
    assert (high[1] - low[1]) * (high[2] - low[2]) == pytest.approx(math.pi * 64)
    assert low[2] > 31.0 - 8.0
    assert (low[0], high[0]) == (block.low[0], block.high[0])


@pytest.mark.parametrize("text", [DIVIDER, BAFFLE + DIVIDER, HUNG])
def test_pieces_and_room_fill_the_outside(text: str) -> None:
    design = tank(text)
    sheet = sum(p.piece.volume_mm3 for p in design.placed)
    assert sheet + capacity(hollowed(design)[0]) == pytest.approx(312 * 212 * 156, rel=1e-12)


# --- what they bear --------------------------------------------------------------------------------------------------


def test_a_hung_baffle_is_a_beam_between_two_walls() -> None:
    """By hand: supported ql2/8, clamped edges ql2/12, of a strip 100 high and 200 long, q 1 MPa; Poisson's ratio 0."""
    unit = unit_plate(200.0, 100.0, 0.0, ("left", "right"))
    assert unit.moment[0] == pytest.approx(200**2 / 8, rel=0.01)
    assert unit.edge[0] == pytest.approx(200**2 / 12, rel=0.03)
    assert unit.bow[0] == pytest.approx(5 * 200**4 / (384 * 1e6 / 12), rel=0.01)


def test_what_a_wall_on_the_floor_bears_is_the_plate_s_own_result() -> None:
    """Solved at its true thickness and modulus, both pressures at once: the sum of the parts is that, or a little more."""
    unit = unit_plate(200.0, 150.0, 0.37, ("left", "right", "bottom"))
    edges = {"left": "clamped", "right": "clamped", "bottom": "clamped", "top": "free"}
    load = (0.0004, 0.0009)
    clamped = plate(200.0, 150.0, 6.0, 3200.0, 0.37, edges, load)
    loose = {s: how.replace("clamped", "supported") for s, how in edges.items()}
    supported = plate(200.0, 150.0, 6.0, 3200.0, 0.37, loose, load)
    edge = max(abs(clamped.edges[s].extreme.value) for s in ("left", "right", "bottom"))
    assert 1.0 <= (load[0] * unit.edge[0] + load[1] * unit.edge[1]) / edge < 1.2
    most = max(abs(clamped.moment.value), abs(supported.moment.value))
    assert 1.0 <= (load[0] * unit.moment[0] + load[1] * unit.moment[1]) / most < 1.2
    bow = (load[0] * unit.bow[0] + load[1] * unit.bow[1]) * 1e6 / 3200.0 / 6.0**3
    assert 1.0 - 1e-6 <= bow / supported.deflection.value < 1.2


def bare(name: str, stress: float = 0.3) -> Use:
    nothing = allowed_stress(material("cast-pmma"), "permanent")
    return Use(
        case="still", piece=name, stress=stress, allowed=nothing, at_mm=(0.0, 0.0), deflection=0.0, allowed_deflection=1.0,
        deflection_at_mm=(0.0, 0.0), error=0.0,
    )  # fmt: skip


def loaded(design: Design, depth: float) -> Loaded:
    cavity = design.cavities[0]
    case = still(cavity, 300 * 200 * depth, density_kg_m3=1000.0)
    return Loaded(name="still", load=case.load, mass_kg=1.0, centre_mm=(0.0, 0.0, 0.0))


@pytest.mark.parametrize("depth", [40.0, 100.0, 149.0])
@pytest.mark.parametrize("text", [DIVIDER, BAFFLE, HUNG, ALONG])
def test_the_pressure_taken_is_nowhere_less_than_the_liquid_gives(text: str, depth: float) -> None:
    design = tank(text)
    (one,) = inners_of(design)
    even, foot = one.pressures(loaded(design, depth), "bottom")
    _, height = one.size
    low = one.placed.box[0][2]
    for v in np.linspace(0.0, height, 50):
        head = max(6.0 + depth - (low + v), 0.0) * 1000.0 * 9.80665e-9
        assert even + foot * (1.0 - v / height) >= head * (1.0 - 1e-9)
    # hydrostatic: the parts meet at the foot, to what the places of the look miss of the level
    assert even + foot == pytest.approx(max(6.0 + depth - low, 0.0) * 1000.0 * 9.80665e-9, rel=0.06)


def test_a_divider_gives_its_edge_to_the_walls_and_lasts_minutes() -> None:
    design = tank(DIVIDER)
    (one,) = inners_of(design)
    case = loaded(design, 100.0)
    assert one.duration(case) == "minutes"
    sheet = allowed_stress(material("cast-pmma"), "minutes")
    thick = {"front": 6.0, "back": 6.0, "bottom": 6.0}
    walls = {n: bare(n) for n in thick}
    found = passed(one, case, walls, thick, sheet, sheet, (None, 1 / 200), 1.0)
    own, *beside = found.uses
    even, foot = one.pressures(case, "bottom")
    unit = unit_plate(200.0, 150.0, 0.37, ("left", "right", "bottom"))
    assert own.stress == pytest.approx(3.0 * 6.0 * (even * unit.moment[0] + foot * unit.moment[1]) / 36.0)
    edge = 6.0 * (even * unit.edge[0] + foot * unit.edge[1]) / 36.0
    assert {(u.piece, round(u.stress, 9)) for u in beside} == {(n, round(0.3 + edge, 9)) for n in thick}
    assert {s.seam for s in found.seams} == {"divider-front", "divider-back", "divider-bottom"}
    assert all(s.bending == pytest.approx(edge) and s.combined > edge for s in found.seams)


def test_a_dam_lasts_as_long_as_the_case() -> None:
    (dam,), (hung,) = inners_of(tank(BAFFLE)), inners_of(tank(HUNG))
    assert dam.duration(loaded(tank(BAFFLE), 40.0)) == "permanent"
    assert hung.duration(loaded(tank(HUNG), 40.0)) == "minutes"
    assert (dam.on, hung.on) == (("front", "back", "bottom"), ("front", "back"))


def test_a_struck_wall_takes_the_largest_pressure_of_either_end() -> None:
    design = tank(BAFFLE)
    (one,) = inners_of(design)
    case = loaded(design, 100.0)

    def field(face: str, points: np.ndarray) -> np.ndarray:
        return np.where(points[:, 0] > 140.0, 0.01, -0.002)

    struck = replace(case, load=replace(case.load, pressure=field))
    assert one.pressures(struck, "bottom") == pytest.approx((0.01, 0.0))


WRONG = {
    "a divider without holes": ('[[inner]]\nkind = "divider"\nat = 0\n', "makes two tanks"),
    "holes without their size": (BAFFLE + "holes = [[0, 20]]\n", "go together"),
    "a size without holes": (BAFFLE + "hole = 12\n", "go together"),
    "a baffle without a height": ('[[inner]]\nkind = "baffle"\nat = 0\n', "without its height"),
    "a divider over a gap": (DIVIDER + "gap = 10\n", "stands on the floor"),
    "a kind that is none": ('[[inner]]\nkind = "wall"\nat = 0\n', "baffle"),
    "higher than the walls": (BAFFLE.replace("height = 70", "height = 151"), "up to 150 mm"),
    "all gap": (BAFFLE + "gap = 68\n", "2 mm are left"),
    "in the end wall": (BAFFLE.replace("at = 60", "at = 148"), "leaves the inside"),
    "two in one place": (BAFFLE + DIVIDER.replace("-60", "62"), "stands in baffle"),
    "walls that cross": (BAFFLE + ALONG, "stands in baffle-1"),
    "a hole through its edge": (DIVIDER.replace("[0, 70]", "[0, 145]"), "runs through the edge"),
    "holes that meet": (DIVIDER.replace("[0, 70]", "[-40, 25]"), "runs into another hole"),
    "more holes than may be": (
        DIVIDER.replace("[0, 70]", ", ".join(f"[0, {k}]" for k in range(30, 60))), "at most 24",
    ),
    "before a port": (
        BAFFLE + '[[port]]\nkind = "spout"\non = "front"\nat = [60, -40]\ndiameter = 20\n',
        "stands before spout-1",
    ),
    "in a corner strip": (
        BAFFLE.replace("at = 60", "at = 140") + '[[strip]]\nwhere = "inside-corner"\nsize = [20, 6]\n',
        "stands in corner-front-right",
    ),
    "in a notch": (DIVIDER + '[[lip]]\non = "front"\nkind = "notch"\nwidth = 60\nat = -60\n', "ends in the notch"),
    "of a sheet that is to be chosen": (BAFFLE, "still to be chosen"),
}  # fmt: skip


@pytest.mark.parametrize("name", WRONG)
def test_wrong_walls_are_refused_with_their_reason(name: str) -> None:
    text, says = WRONG[name]
    top = TOP.replace("thickness = 6\nmeasured = [6.0]", 'thickness = "choose"') if "chosen" in name else TOP

    def made() -> None:
        build_tank(read_order_text(top + text, schemas()), 6.0)

    with pytest.raises(OrderError) as caught:
        made()
    assert says in str(caught.value)
