"""A sloped floor: its pieces and bevels by hand, the room over it, its seams by the kernel, and what cannot be."""

from __future__ import annotations

import math

import numpy as np
import pytest
import trimesh

from assemblies.design.inside import hollowed
from assemblies.design.model import Design
from assemblies.fit import seams
from assemblies.fit.check import check_fit
from assemblies.fit.checks import fit_rules
from assemblies.fit.lines import line_contacts
from assemblies.kinds import schemas
from assemblies.kinds.tank.build import build_tank
from assemblies.liquid.engine import capacity, settle, volume_for_depth
from assemblies.liquid.loads.cases import gravity_at_tilt, still
from assemblies.liquid.loads.sudden import starts
from assemblies.order import OrderError, read_order_text
from assemblies.strength.inner.walls import inners_of, unit_plate
from assemblies.strength.proof.uses import Loaded
from parts.findings import NotCovered

TOP = """title = "t"
name = "ramp"
kind = "tank"
[sheet]
thickness = 6
measured = [6.0]
[tank]
size = [300, 200, 150]
"""
RAMP = '[[inner]]\nkind = "ramp"\nrises = "left"\nheight = 50\nfoot = 10\n'
ANGLE = math.atan2(40, 300)


def tank(text: str, top: str = TOP) -> Design:
    return build_tank(read_order_text(top + text, schemas()))


@pytest.fixture(scope="module")
def design() -> Design:
    return tank(RAMP)


def test_the_ramp_and_its_bevels_by_hand(design: Design) -> None:
    """From 10 mm at the right to 50 at the left over 300: both ends upright, so bevelled by the slope, one on each face."""
    ramp = design.instance("ramp")
    width, length, _ = ramp.piece.size_mm
    assert (width, length) == pytest.approx((200.0, 300.0 / math.cos(ANGLE) + 6.0 * math.tan(ANGLE)))
    assert [(b.edge, b.side) for b in ramp.piece.bevels] == [(0, "far"), (2, "near")]
    assert [b.angle_rad for b in ramp.piece.bevels] == pytest.approx([ANGLE, ANGLE])
    assert ramp.piece.volume_mm3 == pytest.approx(200.0 * 300.0 / math.cos(ANGLE) * 6.0)
    # its upper face at both ends, 6 mm being the tank's own floor
    assert ramp.world(0.0, 6.0 * math.tan(ANGLE), 6.0) == pytest.approx((150.0, -100.0, 16.0))
    assert ramp.world(0.0, length, 6.0) == pytest.approx((-150.0, -100.0, 56.0))


@pytest.mark.parametrize("rises", ["left", "right", "front", "back"])
def test_every_seam_of_a_ramp_lies_flat_whichever_way_it_rises(rises: str) -> None:
    design = tank(RAMP.replace('"left"', f'"{rises}"'))
    found = {s.a if s.b == "ramp" else s.b: s for s in seams(design) if "ramp" in (s.a, s.b)}
    assert set(found) == {"left", "right", "front", "back", "ramp-rest-1", "ramp-rest-2"}
    assert max(abs(s.gap_mm) for s in found.values()) < 1e-9
    run, across = (300.0, 200.0) if rises in ("left", "right") else (200.0, 300.0)
    slope = math.atan2(40.0, run)
    ends = ("left", "right") if rises in ("left", "right") else ("front", "back")
    for name in ends:
        assert found[name].area_mm2 == pytest.approx(across * 6.0 / math.cos(slope))
    for name in {"left", "right", "front", "back"} - set(ends):
        assert found[name].area_mm2 == pytest.approx(run / math.cos(slope) * 6.0)
    assert [c for c in line_contacts(design) if "ramp" in c.a + c.b] == []


def test_nothing_stands_in_anything_and_seams_close_by_the_kernel(design: Design) -> None:
    """The kernel's own solids: no volume in common, and the ramp touches what it is bonded to."""
    order = read_order_text(TOP + RAMP, schemas())
    found = check_fit(design, fit_rules(order), solids=True)
    assert found.interferences == ()
    from OCP.BRepExtrema import BRepExtrema_DistShapeShape

    from parts.shape.kernel import place
    from parts.shape.solid import body

    shapes = {p.name: body(p.piece).Moved(place(p.origin, p.x, p.z)) for p in design.placed}
    for name in ("left", "right", "front", "back", "ramp-rest-1", "ramp-rest-2"):
        assert BRepExtrema_DistShapeShape(shapes["ramp"], shapes[name]).Value() == pytest.approx(0.0, abs=1e-7)
    assert BRepExtrema_DistShapeShape(shapes["ramp"], shapes["bottom"]).Value() > 1.0


def test_pieces_room_and_what_is_dry_fill_the_outside(design: Design) -> None:
    """Under the ramp, between its lower face and the floor, the dry room, less its rests, and the hole in the floor."""
    sheet = sum(p.piece.volume_mm3 for p in design.placed)
    drop = 6.0 / math.cos(ANGLE)
    under = 200.0 * 300.0 * (10.0 - drop + 50.0 - drop) / 2.0
    rests = sum(p.piece.volume_mm3 for p in design.placed if p.piece.kind == "ramp-rest")
    weep = math.pi * 9.0 * 6.0
    assert sheet + capacity(design.cavities[0]) + under - rests + weep == pytest.approx(312 * 212 * 156, rel=1e-12)


def over(design: Design) -> trimesh.Trimesh:
    """The room over the ramp: another library cuts the box by the plane of its upper face."""
    room = trimesh.creation.box(bounds=((-150, -100, 6), (150, 100, 156)))
    return room.slice_plane((150.0, 0.0, 16.0), (math.sin(ANGLE), 0.0, math.cos(ANGLE)), cap=True)


@pytest.mark.parametrize("way", [(1.0, 0.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.6, -0.8, 0.0)])
@pytest.mark.parametrize("degrees", [0.5, 7.0, 33.0, 70.0])
def test_what_stands_over_a_ramp_is_what_another_library_cuts(
    design: Design, degrees: float, way: tuple[float, ...]
) -> None:
    cavity, room = design.cavities[0], over(design)
    gravity = gravity_at_tilt(math.radians(degrees), way)  # type: ignore[arg-type]
    up = -np.array(gravity) / np.linalg.norm(gravity)
    rim = min(((x, y, 156.0) for x in (-150.0, 150.0) for y in (-100.0, 100.0)), key=lambda p: float(np.dot(p, up)))
    held = room.slice_plane(rim, -up, cap=True)
    assert capacity(cavity, gravity) == pytest.approx(held.volume, rel=1e-9)
    half = settle(cavity, 0.4 * held.volume, gravity)
    part = room.slice_plane(up * half.level_mm, -up, cap=True)
    assert part.volume == pytest.approx(0.4 * held.volume, rel=1e-6)
    assert half.centre_mm == pytest.approx(tuple(part.center_mass), abs=1e-3)
    # the weight of the liquid is what all its faces carry
    assert half.force_n == pytest.approx(tuple(0.4 * held.volume * 998.2e-12 * g for g in gravity), rel=1e-7, abs=1e-9)


def test_depth_counts_from_the_low_end(design: Design) -> None:
    """10 mm over the low end: a wedge 75 mm long, for the slope is 40 on 300."""
    assert volume_for_depth(design.cavities[0], 10.0) == pytest.approx(200.0 * 75.0 * 10.0 / 2.0)
    assert hollowed(design) == (design.cavities[0], ())


def test_the_engraved_level_counts_from_the_low_end() -> None:
    made = tank(RAMP + '[liquid]\nfill = "80 mm"\n[engrave]\nfill = "front"\n')
    (mark,) = made.instance("front").piece.marks
    assert mark.text == "FILL 80 MM"
    assert mark.rule_mm is not None
    assert mark.rule_mm[2] == pytest.approx(6.0 + 10.0 + 80.0)


def test_a_sudden_push_of_liquid_on_a_slope_is_not_covered(design: Design) -> None:
    with pytest.raises(NotCovered, match="not an upright box"):
        starts(design.cavities[0], 300 * 200 * 60.0, 500.0)


def test_a_ramp_bears_what_stands_on_it_and_its_own_weight(design: Design) -> None:
    """Filled to 100 mm over the low end: 100 mm there, 60 mm at the high end; 6 mm of sheet at 1190 kg/m3 besides."""
    (one,) = inners_of(design)
    case = still(design.cavities[0], volume_for_depth(design.cavities[0], 100.0), density_kg_m3=1000.0)
    even, grows = one.pressures(Loaded(name="still", load=case.load, mass_kg=1.0, centre_mm=(0.0, 0.0, 0.0)), "bottom")
    g = 9.80665e-9
    assert one.held == ("left", "right", "bottom", "top")
    # taken along the lower face, which is 6 mm deeper
    assert even == pytest.approx((60.0 + 6.0 / math.cos(ANGLE)) * 1000.0 * g + 6.0 * 1190.0 * g, rel=0.03)
    assert even + grows == pytest.approx((100.0 + 6.0 / math.cos(ANGLE)) * 1000.0 * g + 6.0 * 1190.0 * g, rel=0.03)
    # a square plate held all round, nu 0.3: 0.0479 q a2 supported at its middle, 0.0513 q a2 at its clamped edge
    # (Timoshenko and Woinowsky-Krieger, tables 8 and 35)
    unit = unit_plate(100.0, 100.0, 0.3, one.held)
    assert unit.edge[0] == pytest.approx(0.0513 * 100.0**2, rel=0.01)
    assert unit.moment[0] == pytest.approx(0.0513 * 100.0**2, rel=0.01)
    assert unit.bow[0] == pytest.approx(0.00406 * 100.0**4 / (1e6 / 12.0 / (1.0 - 0.09)), rel=0.01)


WRONG = {
    "without a height": (RAMP.replace("height = 50\n", ""), "without its height"),
    "without a wall to rise to": (RAMP.replace('rises = "left"\n', ""), "the wall that it rises to"),
    "rising to the floor": (RAMP.replace('"left"', '"bottom"'), "left"),
    "a place": (RAMP + "at = 20\n", "goes from wall to wall"),
    "a gap": (RAMP + "gap = 20\n", "goes from wall to wall"),
    "holes": (RAMP + "holes = [[0, 20]]\nhole = 12\n", "goes from wall to wall"),
    "a baffle that rises": ('[[inner]]\nkind = "baffle"\nheight = 50\nrises = "left"\n', "a baffle has no rises"),
    "too steep": (RAMP.replace("height = 50", "height = 140").replace('"left"', '"front"').replace("foot = 10", "foot = 8"),
                  "33.4 degrees"),
    "level": (RAMP.replace("height = 50", "height = 11"), "slopes 0.2 degrees"),
    "its foot in the floor": (RAMP.replace("foot = 10", "foot = 5"), "would touch the floor"),
    "over the rim": (RAMP.replace("height = 50", "height = 149"), "149 mm up in 150 mm"),
    "two of them": (RAMP + RAMP.replace("left", "right"), "a second sloped floor"),
    "a baffle that stands in it": (RAMP + '[[inner]]\nkind = "baffle"\nat = 0\nheight = 90\n', "stands where it lies"),
    "a corner strip in it": (RAMP + '[[strip]]\nwhere = "inside-corner"\nsize = [20, 6]\n', "stands where it lies"),
    "a drain under it": (RAMP + '[[port]]\nkind = "drain"\non = "left"\nat = [0, -50]\ndiameter = 16\n', "the ramp closes it"),
    "a drain in the floor": (
        RAMP + '[[port]]\nkind = "drain"\non = "bottom"\nat = [0, 0]\ndiameter = 16\n', "the ramp closes it",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", WRONG)
def test_wrong_ramps_are_refused_with_their_reason(name: str) -> None:
    text, says = WRONG[name]
    with pytest.raises(OrderError) as caught:
        tank(text)
    assert says in str(caught.value)
