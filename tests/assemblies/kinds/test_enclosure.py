"""The kind `enclosure`: what it refuses, that its pieces go together, and what its checks say.

Figures beside the code's: tabs summed by hand, areas by shapely, the stack written out, stress by its share of what is allowed.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from shapely import Polygon

from assemblies.design import Design
from assemblies.fit.check import check_fit
from assemblies.fit.checks import fit_rules
from assemblies.kinds import kind, schemas, starter
from assemblies.kinds.enclosure.build import build_enclosure, laid_out
from assemblies.kinds.enclosure.checks import Tabs, Warmth
from assemblies.order import Order, OrderError, read_order_text
from assemblies.packet.dxf.profile_dxf import check_profile, write_profile
from assemblies.packet.ink.readback import WrongFile
from assemblies.report.check import Made, run_checks
from assemblies.shop.drill.counterpart import counterparts
from parts.make.tabs import sheet_fit, tab_count, tab_edge
from parts.shape.piece import Mark

STARTER = starter("enclosure")
BOND = (('joints  = "tabs"', 'joints  = "bonded"'), ('fit     = "normal"', "#"))
SCREW = (('joints  = "tabs"', 'joints  = "screwed"'), ('fit     = "normal"', '#'), ("at   = [-55, -6]", "at   = [-48, -6]"),
         ("at   = [45, -2]", "at   = [38, -2]"), ("at   = [-50, 0]", "at   = [-40, 0]"))  # fmt: skip


def edited(*pairs: tuple[str, str]) -> Order:
    text = STARTER
    for old, new in pairs:
        assert old in text, old
        text = text.replace(old, new, 1)
    return read_order_text(text, schemas(), "order.toml")


def asked(order: Order, *names: str) -> Made:
    checks = [c for c in kind("enclosure").checks() if c.name in names]
    return run_checks(Made(order=order, design=build_enclosure(order)), checks)[0]


def whys(made: Made, level: str) -> list[str]:
    return [f.why for f in made.findings if f.level == level]


WRONG = [
    ([("thickness = 5", 'thickness = "choose"'), ("measured  = [4.92, 4.90, 4.94]", "#")], "is not chosen here"),
    ([("[enclosure]\n", '[liquid]\nfill = "1 L"\n[enclosure]\n')], "holds no liquid"),
    ([('process    = "laser"', 'process    = "saw"')], "cut by router or laser, not by saw"),
    ([('joints  = "tabs"', 'joints  = "bonded"')], "only tabs have a fit"),
    ([('fit     = "normal"', 'fit     = "press"')], "close"),
    ([("size    = [180, 120, 70]", "size    = [40, 120, 70]")], "leave no room"),
    ([('part = "D16"', 'part = "D17"')], "no cut-out 'D17'"),
    ([("size = [48, 26]", "")], "width and height"),
    ([("at   = [-10, -6]", "at   = [-45, -6]")], "are in each other's way on the front"),
    ([("at   = [-10, -6]", "at   = [-10, -30]")], "inside the box there are"),
    ([("at   = [-50, 0]", "at   = [-74, 20]")], "a corner post are in each other's way"),
    ([("thin   = 1.5", "thin   = 2")], "a sub-panel of 2 mm"),
    ([('behind = "sub-panel"\nthin   = 1.5', "")], "would leave that of 4.92 mm"),  # floor 1.6 mm: under the least
    ([("length = 60", "length = 2")], "is no longer than it is wide"),
    ([("tall     = 20", "tall     = 80")], "in a box 70 mm deep"),
    ([("size     = [85, 56]", "size     = [200, 56]")], "does not lie inside the box"),
    ([("size     = [85, 56]", "size     = [40, 56]")], "lie beside the board"),
    ([('text   = "STOP"', 'text   = "Stop"')], "cannot be engraved"),
    ([("at     = [-55, 14]", "at     = [-55, -6]")], "runs into D22"),
    ([('by = "table"', 'by = "t-slot"\npattern = "grid 20 2x1"')], "is no pattern on T-slots"),
    ([("drip    = 10", "drip = 0"), ('by = "table"', 'by = "rack"\nunits = 2')], "a rack panel on tabs is not made here"),
    ([*BOND, ("drip    = 10", "drip = 0"), ('by = "table"', 'by = "rack"\nunits = 1')], "a panel of 1 units has 43.65"),
    ([("volts   = 24", "volts = 24\ngasket = 4")], "leaves under 1 mm beside it"),
    ([("level = -40", "# level")], "a level and water beside it go together"),
    ([('thread  = "M4" ', 'thread  = "M4"\npost = [9, 12]')], "leaves too little beside M4"),
    ([("kerf       = 0.2", "kerf = 12"), ('"laser"', '"router"')], "too short for three parts"),
]  # fmt: skip


@pytest.mark.parametrize(("pairs", "said"), WRONG, ids=[said for _, said in WRONG])
def test_a_wrong_order_is_refused_with_one_clear_error(pairs: list[tuple[str, str]], said: str) -> None:
    with pytest.raises(OrderError) as refused:
        build_enclosure(edited(*pairs))
    assert len(refused.value.problems) == 1
    assert said in str(refused.value)


VARIANTS = {
    "tabs": (),
    "router": (('"laser"', '"router"'), ("kerf       = 0.2", "kerf = 3.0")),
    "bonded": BOND,
    "gasket": (*BOND, ("volts   = 24", "volts = 24\ngasket = 2")),
    "hinged": (
        *BOND,
        ('lid     = "screwed"', 'lid = "hinged"'),
        ("at     = [25, 18]", "at = [0, 5]"),
        ("at   = [-50, 0]", "at = [-70, -5]"),
    ),
    "screwed": SCREW,
    "rack": (*BOND, ("drip    = 10", "drip = 0"), ('by = "table"', 'by = "rack"\nunits = 2')),
    "rail": (
        *BOND,
        ('by = "table"', 'by = "din-rail"\non = "bottom"\npattern = "grid 25 1x2"\nthread = "M4"'),
        ("at       = [-20, 0]", "at = [-40, 0]"),
    ),
}


@pytest.mark.parametrize("name", VARIANTS)
def test_every_way_of_joining_goes_together(name: str) -> None:
    order = edited(*VARIANTS[name])
    design = build_enclosure(order)
    fit = check_fit(design, fit_rules(order), solids=name in ("tabs", "router", "screwed"))
    assert fit.findings == ()
    assert fit.interferences in ((), None)


@pytest.fixture(scope="module")
def design() -> Design:
    return build_enclosure(edited())


def test_the_walls_and_the_bottom_fill_the_shell_but_for_reliefs_and_clearance(design: Design) -> None:
    """Seen flat: what the tabs of one piece leave the other takes, less the clearance, and the reliefs besides."""
    edges = laid_out(edited()).edges
    assert edges is not None
    t, shell = edges.thickness, [design.instance(n).piece for n in ("bottom", "front", "back", "left", "right")]
    outer = sum(Polygon(p.outline.outer.points(1e-4)).area for p in shell)
    length, width, depth = 180.0, 120.0, 70.0
    plain = (
        (length + 2 * t) * (width + 2 * t) + 2.0 * depth * (length + 2 * t) + 2.0 * depth * width
    )  # bonded: butt joints
    flanks = 2 * 8 + 2 * 6 + 4 * 2  # nine, seven and three parts: parts less one in each edge
    lost = flanks * edges.clearance / 2.0 * t
    reliefs = 2 * flanks * math.pi * edges.relief**2 / 2.0  # half a circle in each piece at every flank
    assert outer == pytest.approx(plain - lost - reliefs, abs=0.5)


@pytest.mark.parametrize(
    ("length", "thick", "kerf", "clearance"),
    [(189.84, 4.92, 0.2, 0.1), (57.3, 3.1, 0.18, 0.05), (301.0, 9.7, 6.0, 0.2)],
)
def test_as_cut_tabs_and_gaps_add_up_to_the_edge_exactly(
    length: float, thick: float, kerf: float, clearance: float
) -> None:
    edge = tab_edge(length, tab_count(length, thick, 2.2 * kerf), thick, kerf, clearance)
    spans = sorted([*edge.a_cut, *edge.b_cut])
    gaps = [b[0] - a[1] for a, b in pairwise(spans)]
    assert sum(b - a for a, b in spans) + sum(gaps) == pytest.approx(length, abs=1e-12)
    assert gaps == pytest.approx([clearance / 2.0] * len(gaps))
    assert edge.tab_cut + edge.gap_cut == pytest.approx(2.0 * length / len(spans))
    assert edge.tab_drawn - edge.tab_cut == pytest.approx(kerf)


def test_a_sheet_that_is_not_measured_is_said_and_a_measured_one_is_not() -> None:
    loose = asked(edited(("measured  = [4.92, 4.90, 4.94]", "#")), "tabs")
    assert any("stand back by up to 0.90 mm" in w for w in whys(loose, "care"))  # 5 mm cast: 0.4 + 0.1 t
    assert whys(asked(edited(), "tabs"), "care") == []
    assert not sheet_fit(5.0, 0.9, 5.0).always_fits


def test_a_pocket_behind_takes_its_own_volume_and_the_opening_in_its_floor_only_once(design: Design) -> None:
    front = design.instance("front").piece
    (pocket,) = front.pockets
    assert pocket.depth_mm == pytest.approx(4.92 - 3.2)  # a D16 clamps 3.2 mm
    ring = math.pi * (12.0**2 - 8.05**2)
    assert front.volume_mm3 == pytest.approx(front.outline.area_mm2 * 4.92 - ring * pocket.depth_mm)


def test_warmth_is_judged_with_a_quarter_more_and_the_smaller_of_sealed_and_vented() -> None:
    found = asked(edited(), "warmth").need(Warmth)
    assert found.vented is not None
    assert found.vented.rise < found.sealed.air
    assert found.air_c == pytest.approx(30.0 + 1.25 * found.vented.rise)
    area = 3 * (3.0 * 57.0 + math.pi * 9.0 / 4.0)
    assert found.low_area == pytest.approx(area)
    hot = asked(edited(("power   = 6", "power = 14")), "warmth")
    assert hot.got["warmth"].state == "failed"
    assert any("over 60" in w for w in whys(hot, "stop"))
    lone = asked(edited(("at     = [25, 18]", "at     = [25, -18]")), "warmth")
    assert lone.need(Warmth).vented is None
    assert any("no draught" in w for w in whys(lone, "care"))


def test_a_box_against_a_wall_gets_warmer() -> None:
    free, wall = (
        asked(edited(("power   = 6", f'stands = "{s}"\npower = 6')), "warmth").need(Warmth).air_c
        for s in ("free", "corner")
    )
    assert wall > free + 1.0


@pytest.mark.parametrize(
    ("pair", "said"),
    [
        (('supply  = "extra-low"', 'supply = "mains"'), "a licensed electrician decides"),
        (('cells   = "none"', 'cells = "lithium"'), "lithium cells"),
        (('part = "M16"', 'part = "M16"\ncarries = "mains"'), "carries mains"),
    ],
)
def test_mains_and_lithium_are_never_passed(pair: tuple[str, str], said: str) -> None:
    made = asked(edited(pair), "supply")
    assert made.got["supply"].state == "not-covered"
    assert any(said in w for w in whys(made, "care"))


@pytest.mark.parametrize(
    ("pairs", "said"),
    [
        ([("volts   = 24", "volts = 75")], "75 V dc is no extra-low voltage: at most 60"),
        ([('where = "beside"', 'where = "above"'), ("level = -40", "#")], "water stands over the box"),
        (
            [("level = -40", "level = 30")],
            "is 30 mm over the table",
        ),  # the D22: 4.92 + 35 - 6 - 11.25 is under, the others over
        ([("level = -40", "level = 10")], "screw holes in the bottom"),
        ([('on   = "back"\nat   = [-50, 0]', 'on   = "lid"\nat   = [0, 0]')], "it opens in the lid"),
    ],
)
def test_voltage_and_water_stop_what_must_not_be(pairs: list[tuple[str, str]], said: str) -> None:
    made = asked(edited(*pairs), "supply")
    assert made.got["supply"].state == "failed"
    if "30 mm" in said:
        assert any("its lower edge in the front" in w and "water comes to 30" in w for w in whys(made, "stop"))
    else:
        assert any(said in w for w in whys(made, "stop"))


def test_nothing_is_claimed_of_tightness_and_that_it_burns_is_said() -> None:
    made = asked(edited(), "supply")
    assert any(w.startswith("PMMA burns") for w in whys(made, "care"))
    assert any("no protection class is claimed" in w for w in whys(made, "note"))


def test_what_stands_on_the_lid_is_proven_and_a_box_that_hangs_is_not_covered() -> None:
    made = asked(edited(*BOND, ("contents = 0.6", "contents = 0.6\nstands-on = 20")), "warmth", "strength")
    assert made.got["strength"].state == "failed"
    assert any("use " in w for w in whys(made, "stop"))
    use = {u.where: u.use for u in made.got["strength"].figures}  # type: ignore[attr-defined]
    assert use["lid, 20 kg standing on it"] / use["lid, a hand pushing with 100 N"] == pytest.approx(
        20 * 9.80665 / 100 * 15.0 / 5.0
    )


def test_tabs_are_reported_as_cut_and_as_drawn() -> None:
    rows = asked(edited(), "tabs").got["tabs"].figures
    assert isinstance(rows, tuple)
    first = rows[0]
    assert isinstance(first, Tabs)
    assert first.parts == 9
    assert first.gap_cut - first.tab_cut == pytest.approx(0.1)
    assert first.length == pytest.approx(180 + 2 * 4.92)


def test_labels_are_open_lines_on_their_own_layer(design: Design, tmp_path) -> None:
    front = design.instance("front").piece
    (mark,) = front.marks
    path = tmp_path / "front.dxf"
    write_profile(front, path)
    lost = replace(front, marks=(Mark(text="STOP", x_mm=mark.x_mm + 1.0, y_mm=mark.y_mm, height_mm=6.0),))
    with pytest.raises(WrongFile, match="mark"):
        check_profile(path, lost)
    xs = [x for stroke in mark.strokes for x, _ in stroke]
    assert (min(xs) + max(xs)) / 2.0 == pytest.approx(mark.x_mm, abs=0.3 * 6.0)
    assert max(y for s in mark.strokes for _, y in s) - min(y for s in mark.strokes for _, y in s) == pytest.approx(6.0)


@pytest.mark.parametrize(
    ("by", "on", "pattern", "made", "name"),
    [
        ("wall", "back", '"grid 60 2x1"', "plug", "wall"),
        ("wall", "bottom", "[[-40, -20], [35, -12], [30, 25]]", "plug", "wall"),
        ("t-slot", "bottom", '"T-slot 20 mm 2x2"', "slot-nut", "rail"),
    ],
)
def test_what_it_is_mounted_on_has_a_template(by: str, on: str, pattern: str, made: str, name: str) -> None:
    """Its holes lie behind those of the face, seen from the box; three places of no symmetry would show a mirror image."""
    said = f'by = "{by}"\non = "{on}"\npattern = {pattern}' + ('\nthread = "M4"' if by == "wall" else "")
    moved = ("at       = [-20, 0]", "at = [-45, 0]")
    design = build_enclosure(edited(*BOND, ('by = "table"', said), moved))
    (other,) = counterparts(design)
    assert (other.side, other.face, other.plates) == (name, on, (on,))
    assert {h.made for h in other.holes} == {made}
    (bolt,) = [f for f in design.fasteners if f.onto is not None]
    placed = design.instance(on)
    low = placed.box[0]
    out = placed.z if bolt.onto.side == "far" else tuple(-c for c in placed.z)
    assert out == {"back": (0.0, 1.0, 0.0), "bottom": (0.0, 0.0, -1.0)}[on]
    got = sorted(h.at for h in other.holes)
    drilled = {(h.x_mm, h.y_mm) for h in placed.piece.holes}
    worlds = [placed.world(x, y, 0.0) for x, y in bolt.onto.places]
    assert all(min(math.dist(at, one) for one in drilled) < 1e-6 for at in bolt.onto.places)
    if on == "bottom":
        seen = sorted((x - low[0], y - low[1]) for x, y, _ in worlds)
    else:  # looking out of the box to the back: right is right
        seen = sorted((x - low[0], z - low[2]) for x, _, z in worlds)
    assert got == [pytest.approx(at, abs=1e-5) for at in seen]


def test_a_rail_s_clip_has_its_own_holes() -> None:
    assert counterparts(build_enclosure(edited(*VARIANTS["rail"]))) == ()
