"""Low places of a tank's rim, troughs before them, and what is engraved: sizes by hand, what they hold, where it goes first."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh
from ezdxf import readfile

from assemblies.design.inside import hollowed
from assemblies.design.model import Design, Placed
from assemblies.fit import seams
from assemblies.kinds import schemas
from assemblies.kinds.tank.build import build_tank
from assemblies.liquid.engine import capacity, settle
from assemblies.liquid.loads.cases import gravity_at_tilt
from assemblies.liquid.pour import first_way, pours_at, spill_tilt
from assemblies.liquid.state import filled
from assemblies.order import OrderError, read_order_text
from assemblies.packet.dxf.profile_dxf import write_profile
from assemblies.strength.inner.trough import MOST_AT_WALL, far_out, troughs_of
from assemblies.strength.tank.box_scope import box_findings
from assemblies.strength.tank.model import tank_model
from parts.make.panel import panel

TOP = """title = "t"
name = "pour-tray"
kind = "tank"
[sheet]
thickness = 6
measured = [6.0]
[tank]
size = [300, 200, 150]
"""
LIQUID = '[liquid]\nfill = "90 mm"\n'
TROUGH = '[[lip]]\non = "right"\nkind = "trough"\nwidth = 60\ndepth = 30\nout = 40\n'
NOTCH = '[[lip]]\non = "front"\nkind = "notch"\nwidth = 50\ndepth = 20\nat = -40\n'


def tank(text: str, top: str = TOP) -> Design:
    return build_tank(read_order_text(top + text, schemas()))


@pytest.fixture(scope="module")
def tray() -> Design:
    """Inside 300 x 200 x 150 in 6 mm, outside 312 x 212 x 156; a trough on the right, a notch in the front."""
    return tank(LIQUID + TROUGH + NOTCH + '[engrave]\nfill = "front"\nname = "back"\n')


def test_the_pieces_of_a_trough_by_hand(tray: Design) -> None:
    """Its floor is level with the notch's edge at 156 - 30 = 126; its sides stand beside it up to the rim."""
    floor, left, right = (tray.instance(f"trough-{n}").box for n in ("floor", "side-left", "side-right"))
    assert floor == ((156.0, -30.0, 120.0), (196.0, 30.0, 126.0))
    assert left == ((156.0, -36.0, 120.0), (196.0, -30.0, 156.0))
    assert right == ((156.0, 30.0, 120.0), (196.0, 36.0, 156.0))
    found = {(s.a, s.b): s for s in seams(tray) if "trough" in s.b}
    assert {pair: round(s.area_mm2, 9) for pair, s in found.items()} == {
        ("right", "trough-floor"): 60 * 6, ("right", "trough-side-left"): 36 * 6, ("right", "trough-side-right"): 36 * 6,
        ("trough-floor", "trough-side-left"): 40 * 6, ("trough-floor", "trough-side-right"): 40 * 6,
    }  # fmt: skip
    assert max(abs(s.gap_mm) for s in found.values()) < 1e-9


@pytest.mark.parametrize("on", ["left", "right", "front", "back"])
def test_pieces_and_room_fill_the_outside_whichever_wall_is_cut(on: str) -> None:
    """A notch 40 wide, 25 deep: outside = sheet + room inside + what the notch takes, its corners of 3 mm not."""
    design = tank(f'[[lip]]\non = "{on}"\nkind = "notch"\nwidth = 40\ndepth = 25\nat = 12\n')
    sheet = sum(p.piece.volume_mm3 for p in design.placed)
    taken = (40 * 25 - 2 * (1 - math.pi / 4) * 9) * 6
    assert sheet + 300 * 200 * 150 + taken == pytest.approx(312 * 212 * 156, rel=1e-12)
    lip = design.cavities[0].lips[-1]
    right = {"front": (1, 0), "back": (-1, 0), "right": (0, 1), "left": (0, -1)}[on]
    middle = [sum(c[k] for c in lip.corners) / 2.0 for k in range(3)]
    assert middle[0] * right[0] + middle[1] * right[1] == pytest.approx(12.0)
    assert middle[2] == pytest.approx(156 - 25)
    wall = design.instance(on)
    inside = wall.local((middle[0], middle[1], middle[2] + 1.0))
    assert inside[2] == pytest.approx(0.0)  # on the inner face of the wall, and over its edge there is no sheet
    assert not _holds(wall.piece.outline.outer.points(), inside[:2])
    assert _holds(wall.piece.outline.outer.points(), (inside[0], inside[1] - 2.0))


def _holds(points: tuple[tuple[float, float], ...], at: tuple[float, float]) -> bool:
    """Whether a place lies in a polygon, by the angles to its corners."""
    arms = [(x - at[0], y - at[1]) for x, y in points]
    turn = sum(
        math.atan2(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1]) for a, b in zip(arms, arms[1:] + arms[:1], strict=True)
    )  # fmt: skip
    return abs(turn) > math.pi


def test_a_low_rim_takes_the_whole_wall_or_a_part_of_it() -> None:
    whole = tank('[[lip]]\non = "front"\nkind = "low-rim"\ndepth = 12\n')
    assert whole.instance("front").piece.size_mm == (312.0, 144.0, 6.0)
    assert whole.instance("front").box[0][2] == 0.0
    assert whole.instance("back").piece.size_mm == (312.0, 156.0, 6.0)
    assert capacity(whole.cavities[0]) == pytest.approx(300 * 200 * 138)
    part = tank('[[lip]]\non = "front"\nkind = "low-rim"\nwidth = 200\ndepth = 12\n')
    assert part.instance("front").piece.outline.area_mm2 == pytest.approx(
        312 * 156 - 200 * 12 + 2 * (1 - math.pi / 4) * 9
    )
    assert capacity(part.cavities[0]) == pytest.approx(300 * 200 * 138)


def test_liquid_goes_first_over_the_lowest_edge_on_the_side_that_goes_down(tray: Design) -> None:
    """Level 96; the trough's edge at x 150, z 126: atan(30/150); the notch's at y -100, z 136: atan(40/100)."""
    cavity, volume = tray.cavities[0], 300 * 200 * 90.0
    right = spill_tilt(cavity, volume, (1.0, 0.0, 0.0))
    front = spill_tilt(cavity, volume, (0.0, -1.0, 0.0))
    assert math.degrees(right) == pytest.approx(math.degrees(math.atan(30 / 150)))
    assert math.degrees(front) == pytest.approx(math.degrees(math.atan(40 / 100)))
    assert first_way(cavity, right) == "through the trough on the right"
    assert first_way(cavity, front, (0.0, -1.0, 0.0)) == "through the notch on the front"
    assert first_way(cavity, 0.2, (0.0, 1.0, 0.0)) == "through the trough on the right"
    assert first_way(cavity, 0.8, (0.0, 1.0, 0.0)) == "over the rim"
    # towards the end of the trough's edge, 150 by 30 from the middle, it pours soonest of all
    assert pours_at(cavity, volume) == pytest.approx(math.atan(30 / math.hypot(150, 30)))


@pytest.mark.parametrize("degrees", [5.0, 18.0, 35.0, 62.0])
def test_what_a_tilted_tray_keeps_is_what_another_library_cuts_off(tray: Design, degrees: float) -> None:
    """trimesh: the room as a box, cut by the level plane through the lowest corner of the trough's edge."""
    gravity = gravity_at_tilt(math.radians(degrees), (1.0, 0.0, 0.0))
    up = -np.array(gravity) / np.linalg.norm(gravity)
    room = trimesh.creation.box(extents=(300, 200, 150))
    room.apply_translation((0, 0, 81))
    held = room.slice_plane((150.0, 30.0, 126.0), -up, cap=True)
    assert capacity(tray.cavities[0], gravity) == pytest.approx(held.volume, rel=1e-9)
    found = settle(tray.cavities[0], 300 * 200 * 119.0, gravity)
    assert found.over == ("trough",)
    assert found.kept_mm3 == pytest.approx(held.volume, rel=1e-9)


def test_the_level_and_the_name_are_engraved_on_the_outside(tray: Design, tmp_path: Path) -> None:
    """The fill line of 90 mm stands 96 mm over the underside, over the middle third of the front; read back by ezdxf."""
    (fill,), (name,) = tray.instance("front").piece.marks, tray.instance("back").piece.marks
    assert (fill.text, name.text) == ("FILL 90 MM", "POUR-TRAY")
    assert fill.rule_mm == (104.0, 208.0, 96.0)
    assert name.x_mm == pytest.approx(156.0)
    path = tmp_path / "front.dxf"
    write_profile(tray.instance("front").piece, path)
    lines = readfile(path).modelspace().query('LWPOLYLINE[layer=="mark"]')
    assert (156.0 - 52.0, 96.0) in [tuple(round(v, 6) for v in line.get_points("xy")[0]) for line in lines]
    assert len(lines) == len(fill.strokes)


def test_the_engraved_level_of_a_volume_is_where_it_stands() -> None:
    design = tank('[liquid]\nfill = "6 L"\n[engrave]\nfill = "left"\n')
    (mark,) = design.instance("left").piece.marks
    assert mark.text == "FILL 100 MM"
    # the left wall stands on the bottom, 6 mm over the underside
    assert mark.rule_mm is not None
    assert mark.rule_mm[2] == pytest.approx(100.0)


def test_a_trough_bends_its_wall_by_what_stands_out_of_it(tray: Design) -> None:
    """By hand: 60 x 30 of liquid at 3000 kg/m3 and 6 x (60 + 2 x 36) of sheet at 1190, 40 mm out, twice."""
    (trough,) = troughs_of(tray)
    load = (60 * 30 * 3000 + 6 * (60 + 72) * 1190) * 1e-9 * 9.80665
    assert trough.wall == "right"
    assert trough.load_n_mm == pytest.approx(load)
    assert list(far_out(tray)) == []
    long = tank(TROUGH.replace("out = 40", "out = 190").replace("width = 60", "width = 120"))
    (said,) = far_out(long)
    load = (120 * 30 * 3000 + 6 * (120 + 72) * 1190) * 1e-9 * 9.80665
    stress = 6 * 2 * load * 190**2 / 2 / ((120 + 12) * 36)
    assert f"with {stress:.2f} MPa" in said.why
    assert stress > MOST_AT_WALL * 5.0


def test_the_bond_of_a_trough_is_that_of_its_own_section(tray: Design) -> None:
    """Second moments by summing a fine grid of the section."""
    (trough,) = troughs_of(tray)
    y, z = np.meshgrid(np.arange(-35.95, 36, 0.1), np.arange(0.05, 36, 0.1))
    there = (np.abs(y) > 30) | (z < 6)
    area = there.sum() * 0.01
    middle = z[there].mean()
    inertia = ((z[there] - middle) ** 2).sum() * 0.01
    found = trough.section
    assert found[0] == pytest.approx(area)
    assert found[1] == pytest.approx(inertia / (36 - middle), rel=1e-4)
    assert found[2] == pytest.approx(inertia / middle, rel=1e-4)


WRONG = {
    "a notch without a width": ('[[lip]]\non = "right"\nkind = "notch"\n', "without its width"),
    "a kind that is none": ('[[lip]]\non = "right"\nkind = "spout"\nwidth = 60\n', "trough"),
    "in the floor": ('[[lip]]\non = "bottom"\nkind = "notch"\nwidth = 60\n', "left"),
    "reach of a notch": (NOTCH + "out = 30\n", "a notch has no out"),
    "deeper than the tank": (TROUGH.replace("depth = 30", "depth = 148"), "148 mm under the rim"),
    "shallower than its corners": (TROUGH.replace("depth = 30", "depth = 3"), "rounded by 3 mm"),
    "over a corner": (TROUGH + "at = 70\n", "reaches the corner of the right wall"),
    "wider than its wall": (TROUGH.replace("width = 60", "width = 195"), "reaches the corner"),
    "narrower than its corners": (TROUGH.replace("width = 60", "width = 6"), "between rounded corners"),
    "two in one place": (TROUGH + NOTCH.replace("front", "right"), "runs into the trough"),
    "under rim strips": (TROUGH + '[[strip]]\nwhere = "rim"\nsize = [30, 6]\n', "rim strips close the rim"),
    "under a brace": (NOTCH + '[[strip]]\nwhere = "brace"\nsize = [40, 6]\nat = [-40]\n', "a brace lies"),
    "at a corner strip": (
        NOTCH.replace("-40", "-110") + '[[strip]]\nwhere = "inside-corner"\nsize = [20, 6]\n', "a corner strip stands",
    ),
    "a port in it": (NOTCH + '[[port]]\nkind = "spout"\non = "front"\nat = [-40, 60]\ndiameter = 20\n', "lies in the notch"),
    "a plate before it": (
        TROUGH + '[[plate]]\non = "right"\nat = [0, 20]\nsize = [60, 60]\nthickness = 12\nthread = "M5"\n'
        'pattern = "grid 30 2x2"\n', "stands in the trough",
    ),
    "a place of a whole rim": ('[[lip]]\non = "front"\nkind = "low-rim"\nat = 20\n', "has its place already"),
    "engraved without a fill": ('[engrave]\nfill = "front"\n', "no [liquid]"),
    "letters that cannot be": ('[engrave]\nname = "front"\ntext = "Rinne ü"\n', "cannot be engraved"),
    "a text without its face": ('[engrave]\ntext = "TRAY"\n', "the face that it goes on"),
    "a name longer than its wall": (
        '[engrave]\nname = "left"\ntext = "A NAME THAT IS FAR TOO LONG FOR IT"\nletters = 12\n', "within 12 mm",
    ),
    "a level in the notch": (
        '[liquid]\nfill = "128 mm"\n' + NOTCH.replace("at = -40\n", "") + '[engrave]\nfill = "front"\n', "a low place",
    ),
    "filled over the trough": ('[liquid]\nfill = "125 mm"\n' + TROUGH, "over the lowest brim"),
}  # fmt: skip


def made(text: str) -> None:
    order = read_order_text(TOP + text, schemas())
    filled(order, build_tank(order))


@pytest.mark.parametrize("name", WRONG)
def test_wrong_lips_and_engravings_are_refused_with_their_reason(name: str) -> None:
    text, says = WRONG[name]
    with pytest.raises(OrderError) as caught:
        made(text)
    assert says in str(caught.value)


def test_a_fixed_lid_closes_a_low_place_and_a_loose_one_does_not() -> None:
    top = TOP + 'lid = "{}"\n'
    assert tank(TROUGH, top.format("loose")).instance("lid")
    for lid in ("bonded", "screwed"):
        with pytest.raises(OrderError, match="closes the rim over it"):
            tank(TROUGH, top.format(lid))


def test_what_the_order_leaves_open_of_a_trough_is_said() -> None:
    design = tank('[[lip]]\non = "right"\nkind = "trough"\nwidth = 60\n')
    assert {t.say: t.value for t in design.taken if "lip" in t.say} == {"[[lip]] depth": 30.0, "[[lip]] out": 60.0}
    assert design.instance("trough-floor").piece.size_mm == (60.0, 60.0, 6.0)


# --- weirs -----------------------------------------------------------------------------------------------------------

WEIR = '[[lip]]\non = "right"\nkind = "weir"\ndepth = 45\nbehind = 50\n'
SPOUT = '[[port]]\nkind = "spout"\non = "right"\nat = [0, -50]\ndiameter = 20\n'


@pytest.mark.parametrize(("on", "box"), [
    ("right", ((94.0, -100.0, 6.0), (100.0, 100.0, 111.0))),
    ("left", ((-100.0, -100.0, 6.0), (-94.0, 100.0, 111.0))),
    ("front", ((-150.0, -50.0, 6.0), (150.0, -44.0, 111.0))),
    ("back", ((-150.0, 44.0, 6.0), (150.0, 50.0, 111.0))),
])  # fmt: skip
def test_a_weir_holds_what_stands_before_it(on: str, box: object) -> None:
    """Inside 300 x 200 x 150: 50 behind a weir of 6 mm, its edge 45 under the rim."""
    design = tank((WEIR + SPOUT).replace('"right"', f'"{on}"'))
    assert design.instance("weir").box == box
    cavity, odd = hollowed(design)
    assert odd == ()
    assert capacity(cavity) == pytest.approx((244 * 200 if on in ("left", "right") else 300 * 144) * 105)
    way = {"right": (1.0, 0.0, 0.0), "left": (-1.0, 0.0, 0.0), "front": (0.0, -1.0, 0.0), "back": (0.0, 1.0, 0.0)}[on]
    assert first_way(cavity, 0.1, way) == f"over the weir on the {on}"


@pytest.mark.parametrize("degrees", [4.0, 20.0, 50.0])
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_tilted_weir_keeps_what_another_library_cuts_off(degrees: float, sign: float) -> None:
    """Towards it over its edge; away from it over its edge, too, until the other wall's rim is lower."""
    cavity, _ = hollowed(tank(WEIR + SPOUT))
    gravity = gravity_at_tilt(math.radians(degrees), (sign, 0.0, 0.0))
    up = -np.array(gravity) / np.linalg.norm(gravity)
    before = trimesh.creation.box(bounds=((-150, -100, 6), (94, 100, 156)))
    lowest = min(((94.0, 0.0, 111.0), (-150.0, 0.0, 156.0)), key=lambda p: float(np.dot(p, up)))
    held = before.slice_plane(lowest, -up, cap=True)
    assert capacity(cavity, gravity) == pytest.approx(held.volume, rel=1e-9)
    assert settle(cavity, 0.9 * held.volume, gravity).lost_mm3 == 0.0


WRONG_WEIRS = {
    "no way out": (WEIR, "no way out of the room behind it"),
    "a way out above its edge": (WEIR + SPOUT.replace("-50", "60"), "no way out"),
    "only a drain": (WEIR + SPOUT.replace('"spout"', '"drain"'), "no way out"),
    "a way out before it": (WEIR + SPOUT.replace('"right"', '"left"'), "no way out"),
    "a width": (WEIR + "width = 100\n", "as wide as the inside"),
    "a place": (WEIR + "at = 10\n", "its place already"),
    "a reach": (WEIR + "out = 10\n", "a weir has no out"),
    "deeper than the tank": (WEIR.replace("depth = 45", "depth = 145") + SPOUT, "145 mm under the rim"),
    "no room behind it": (WEIR.replace("behind = 50", "behind = 4") + SPOUT, "4 mm behind a weir"),
    "no room before it": (WEIR.replace("behind = 50", "behind = 290") + SPOUT, "290 mm behind a weir"),
    "a room behind a notch": (NOTCH + "behind = 30\n", "a notch has no behind"),
    "a wall behind it": (WEIR + SPOUT + '[[inner]]\nkind = "baffle"\nat = 125\nheight = 40\n', "stands behind the weir"),
    "a wall in it": (WEIR + SPOUT + '[[inner]]\nkind = "baffle"\nat = 97\nheight = 40\n', "stands in baffle"),
    "before a port": (WEIR + SPOUT.replace("[0, -50]", "[0, 0]").replace('"right"', '"back"').replace("[0, 0]", "[-97, 0]"),
                      "stands before spout-1"),
}  # fmt: skip


@pytest.mark.parametrize("name", WRONG_WEIRS)
def test_wrong_weirs_are_refused_with_their_reason(name: str) -> None:
    text, says = WRONG_WEIRS[name]
    with pytest.raises(OrderError) as caught:
        made(text)
    assert says in str(caught.value)


def test_a_weir_may_run_out_by_a_trough_on_its_own_wall() -> None:
    """Which is no way out of what stands before it."""
    design = tank(WEIR + TROUGH.replace("depth = 30", "depth = 80"))
    cavity, _ = hollowed(design)
    assert [lip.name for lip in cavity.lips] == ["left", "front", "back", "weir"]
    assert capacity(cavity) == pytest.approx(244 * 200 * 105)


def test_a_whole_wall_that_is_lower_is_solved_as_it_is_but_where_the_tank_hangs() -> None:
    """By the scope of strength, and by what is solved; a part of a rim is covered too."""
    whole = tank('[[lip]]\non = "front"\nkind = "low-rim"\ndepth = 12\n')
    assert list(box_findings(whole, "flat")) == []
    assert tank_model(whole, "flat").spec.tops == {"front": pytest.approx(138.0)}
    assert tank_model(whole, "flat").size[2] == pytest.approx(150.0)
    (said,) = box_findings(whole, "hung")
    assert said.where == "front"
    assert "lower than the other walls over its whole length, and it hangs by its rim" in said.why
    assert tank_model(whole, "hung").spec.tops == {}
    assert list(box_findings(tank(TROUGH), "flat")) == []


def test_what_ends_on_a_low_wall_or_closes_the_rim_over_it_is_not_covered() -> None:
    """Of designs that were not made from an order, which refuses them."""
    whole = tank('[[lip]]\non = "front"\nkind = "low-rim"\ndepth = 12\n')
    for name, why in (
        ("rim-front", "strips lie along the rim"),
        ("brace-1", "a brace ends there"),
        ("lid", "a lid is bonded on"),
    ):
        piece = panel(name, 300.0, 20.0, whole.instance("front").piece.sheet)
        over = Placed(name=name, piece=piece, origin=(-150.0, -10.0, 156.0))
        found = box_findings(replace(whole, placed=(*whole.placed, over)), "flat")
        assert any(why in said.why for said in found), name
