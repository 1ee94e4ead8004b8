"""Nests held to what shapely measures, and parallel curves to Steiner's formula and to shapely's own."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st
from samples import design, flat, panel, pieces_of_all_sorts, tapped_plate

from assemblies.design.model import Placed
from assemblies.shop.layout.job import LayoutError
from assemblies.shop.nest.model import Nest, NestPlace, NestSpec, NestStock, put
from assemblies.shop.nest.nest import cut_speed_mm_s, default_spec, nest, nest_items, nest_row
from assemblies.shop.nest.offset import offset
from assemblies.shop.nest.paths import check_size_change, piece_cuts, tab_places
from parts.findings import NotCovered, SeamwrightError
from parts.shape.outline import Arc, Circle, Loop, Vertex, rectangle, rounded_rectangle
from parts.shape.piece import Bend, Bevel, Hole, Piece
from parts.shape.tube import sawn_tube
from parts.stock.tube import TubeStock
from parts.tables import load

EIGHTH = math.tan(math.pi / 8)
ELL = Loop(tuple(Vertex(*p) for p in [(0, 0), (180, 0), (180, 60), (60, 60), (60, 170), (0, 170)]))
CEE = Loop(tuple(Vertex(*p) for p in [(0, 0), (80, 0), (80, 30), (50, 30), (50, 34), (80, 34), (80, 70), (0, 70)]))
BELL = Loop(
    tuple(Vertex(*p) for p in [(0, 0), (20, 0), (20, 8), (40, 8), (40, 0), (60, 0), (60, 20), (40, 20), (40, 12),
                               (20, 12), (20, 20), (0, 20)])
)  # fmt: skip
FLASK = Loop((Vertex(0, 0), Vertex(100, 0), Vertex(100, 50), Vertex(60, 50, -1.0), Vertex(40, 50), Vertex(0, 50)))
LOOPS = {"rectangle": rectangle(100, 60), "rounded": rounded_rectangle(100, 60, 10), "ell": ELL, "cee": CEE, "bell": BELL,
         "flask": FLASK, "lens": Loop((Vertex(0, 10, 0.5), Vertex(30, 10, 0.5)))}  # fmt: skip


def polygon(loop: Loop | Circle) -> shapely.Polygon:
    return shapely.Polygon(loop.points(0.0005))


def signed_area(loops: tuple[Loop | Circle, ...]) -> float:
    return sum(math.copysign(o.area_mm2, o.signed_area_mm2 if isinstance(o, Loop) else 1.0) for o in loops)


# ---- parallel curves


@pytest.mark.parametrize("name", LOOPS)
@pytest.mark.parametrize("by", [0.1, 1.5, 3.0, 6.0, -0.1, -1.5, -3.0, -12.0])
def test_a_parallel_curve_is_the_one_shapely_gives_with_chords(name, by):
    loop = LOOPS[name]
    found = offset(loop, by)
    chords = polygon(loop).buffer(by, quad_segs=256)
    # chords leave an arc by 0.0005 mm in the source; the growth's own chords by less
    assert signed_area(found) == pytest.approx(chords.area, abs=0.002 * loop.length_mm + 1e-9)
    parts = 0 if chords.is_empty else len(getattr(chords, "geoms", [chords]))
    assert sum(1 for o in found if isinstance(o, Circle) or o.signed_area_mm2 > 0) == parts


@pytest.mark.published
@given(st.integers(3, 12), st.floats(5, 200), st.floats(0.01, 30), st.booleans())
def test_the_area_and_length_grow_by_steiners_formula(corners, radius, by, arcs):
    """Steiner: a convex outline grown by r has area A + P r + pi r^2 and length P + 2 pi r."""
    bulge = 0.1 if arcs else 0.0
    loop = Loop(
        tuple(
            Vertex(radius * math.cos(k * math.tau / corners), radius * math.sin(k * math.tau / corners), bulge)
            for k in range(corners)
        )
    )
    (grown,) = offset(loop, by)
    assert grown.area_mm2 == pytest.approx(loop.area_mm2 + loop.length_mm * by + math.pi * by**2, rel=1e-9)
    assert grown.length_mm == pytest.approx(loop.length_mm + math.tau * by, rel=1e-9)


def test_arcs_stay_arcs_and_lines_stay_lines():
    (grown,) = offset(rounded_rectangle(100, 60, 10), 3.0)
    assert [v.bulge for v in grown.vertices if v.bulge] == [pytest.approx(EIGHTH)] * 4
    assert sorted(s.radius_mm for s in grown.segments() if isinstance(s, Arc)) == [pytest.approx(13.0)] * 4
    (shrunk,) = offset(rounded_rectangle(100, 60, 10), -3.0)
    assert sorted(s.radius_mm for s in shrunk.segments() if isinstance(s, Arc)) == [pytest.approx(7.0)] * 4
    assert offset(rounded_rectangle(60, 60, 30 - 1e-12), -5.0)[0].area_mm2 == pytest.approx(math.pi * 25**2, rel=1e-6)


def test_a_clockwise_loop_gives_the_same_curve():
    turned = Loop(tuple(reversed(ELL.vertices)))
    assert turned.signed_area_mm2 < 0
    assert offset(turned, 3.0)[0].area_mm2 == pytest.approx(offset(ELL, 3.0)[0].area_mm2)


def test_circles_that_touch_leave_no_crumbs():
    """A pentagon of arcs, whose parallel arcs only touch: once found as a path of one corner."""
    loop = Loop(tuple(Vertex(32 * math.cos(k * math.tau / 5), 32 * math.sin(k * math.tau / 5), 0.1) for k in range(5)))
    assert [len(o.vertices) for o in offset(loop, 2.0)] == [10]


def test_a_loop_that_crosses_itself_has_no_path_and_the_piece_is_named():
    knot = Loop((Vertex(0, 0), Vertex(100, 60), Vertex(100, 0), Vertex(0, 90)))
    with pytest.raises(SeamwrightError, match="knot: "):
        piece_cuts(flat("knot", knot), 6.0, "router")


def test_a_slot_no_wider_than_the_cutter_has_no_path():
    slot = rounded_rectangle(60, 6, 3)
    assert offset(slot, -3.0) == ()
    assert offset(slot, -3.01) == ()
    (path,) = offset(slot, -2.9)
    assert path.bounds_mm == pytest.approx((2.9, 2.9, 57.1, 3.1))


def test_a_neck_splits_the_path_and_a_mouth_closes():
    assert len(offset(BELL, -3.0)) == 2  # the neck is 4 mm
    assert len(offset(BELL, -1.9)) == 1
    assert len(offset(CEE, 2.5)) == 1  # mouth of 4 mm, nothing behind it
    pocket = Loop(
        tuple(Vertex(*p) for p in [(0, 0), (80, 0), (80, 30), (60, 30), (60, 10), (20, 10), (20, 60), (60, 60), (60, 34),
                                   (80, 34), (80, 70), (0, 70)])
    )  # fmt: skip
    grown = offset(pocket, 3.0)
    assert [o.signed_area_mm2 > 0 for o in grown] == [True, False]
    assert grown[1].area_mm2 == pytest.approx(
        34 * 44, rel=0.01
    )  # 40 x 50 behind a mouth of 4 mm, less its arcs at the lips


corners = st.lists(st.tuples(st.integers(0, 12), st.integers(0, 12)), min_size=3, max_size=9, unique=True)


@given(st.floats(1e-6, 2.0), st.sampled_from([0.1, 1.0, 3.0, 10.0]), st.sampled_from([1.0, -1.0]))
@example(0.075, 3.0, 1.0)
def test_a_corner_that_is_nearly_straight_gets_the_curve_that_shapely_gets(deep, by, way):
    """The middle of a long edge, drawn in or out by a little: 0.075 mm in 150, by 3 mm, was refused."""
    points = [(0.0, 0.0), (150.0, way * deep), (300.0, 0.0), (300.0, 80.0), (0.0, 80.0)]
    (found,) = offset(Loop(tuple(Vertex(x, y) for x, y in points)), by)
    assert found.area_mm2 == pytest.approx(shapely.Polygon(points).buffer(by, quad_segs=4096).area, rel=2e-7)


@given(corners, st.sampled_from([0.1, 1.0, 2.5, 3.0, -0.1, -1.0, -2.5, -3.0]))
@settings(max_examples=150)
def test_any_simple_polygon_gets_the_curve_that_shapely_gets(points, by):
    mid = sum(x for x, _ in points) / len(points) + 0.013, sum(y for _, y in points) / len(points) + 0.007
    ring = sorted(points, key=lambda p: math.atan2(p[1] - mid[1], p[0] - mid[0]))
    source = shapely.Polygon([(10 * x, 10 * y) for x, y in ring])
    if not source.is_valid or source.area < 50:
        return
    loop = Loop(tuple(Vertex(10 * x, 10 * y) for x, y in ring))
    chords = source.buffer(by, quad_segs=128)
    assert signed_area(offset(loop, by)) == pytest.approx(chords.area, abs=2e-4 * source.length + 0.01)


# ---- paths


@pytest.mark.parametrize("kerf", [0.2, 3.0, 6.0])
@pytest.mark.parametrize("piece", pieces_of_all_sorts(), ids=lambda p: p.name)
def test_outlines_grow_and_cut_outs_shrink_by_exactly_half_the_kerf(piece, kerf):
    cuts = piece_cuts(piece, kerf, "router")
    net, cut = piece.outline.outer.bounds_mm, cuts.outer.bounds_mm
    assert cut == pytest.approx((net[0] - kerf / 2, net[1] - kerf / 2, net[2] + kerf / 2, net[3] + kerf / 2), abs=1e-9)
    for loop in piece.outline.inner:
        x0, y0, x1, y1 = loop.bounds_mm
        wanted = pytest.approx((x0 + kerf / 2, y0 + kerf / 2, x1 - kerf / 2, y1 - kerf / 2), abs=1e-9)
        assert any(path.bounds_mm == wanted for path in cuts.inner)


@pytest.mark.parametrize("loop", [*LOOPS.values(), Circle(0, 0, 40)], ids=[*LOOPS, "circle"])
def test_what_the_cutter_leaves_standing_is_the_net_piece(loop):
    """The cutter, rolled along its path, leaves the piece: never less, and more only in inside corners."""
    (path, *_) = offset(loop, 3.0)
    swept = polygon(path).exterior.buffer(3.0, quad_segs=128)
    left = polygon(path).difference(swept)
    net = polygon(loop)
    assert net.difference(left.buffer(0.01)).area == pytest.approx(0.0, abs=1e-6)
    assert left.buffer(-3.0).buffer(3.0).difference(net.buffer(3.0)).area == pytest.approx(0.0, abs=0.01)


def test_a_path_that_is_off_is_refused():
    net = rectangle(100, 60)
    with pytest.raises(SeamwrightError, match=r"0\.010000 mm off half the kerf"):
        check_size_change("p", net, offset(net, 3.01)[0], 3.0)
    with pytest.raises(SeamwrightError, match="off half the kerf"):
        check_size_change("p", net, rectangle(106, 66, -3, -3), 3.0)  # its corners are further away
    with pytest.raises(SeamwrightError, match="off half the kerf"):
        check_size_change("p", Circle(0, 0, 10), Circle(0, 0, 12), 3.0)
    with pytest.raises(SeamwrightError, match="off half the kerf"):
        check_size_change("p", Circle(0, 0, 10), Circle(0.1, 0, 13), 3.0)


def findings(piece: Piece, kerf: float, process: str = "router") -> list[tuple[str, str]]:
    return [(f.level, f.why) for f in piece_cuts(piece, kerf, process).findings]


def test_inside_corners_are_held_against_the_cutter():
    ell = flat("ell", ELL)
    ((level, why),) = findings(ell, 6.0)
    assert level == "care"
    left = 9 * (1 - math.pi / 4)  # a sharp corner filled by a quarter circle of 3 mm
    assert f"radius of 3 mm; {left:.2f} mm2 stays uncut" in why
    assert findings(ell, 0.2, "laser") == []
    window = flat("w", rectangle(100, 80), inner=(rectangle(40, 30, 20, 20),))
    ((_, why),) = findings(window, 6.0)
    assert f"{4 * left:.2f} mm2 stays uncut" in why
    rounded = flat("r", rectangle(100, 80), inner=(rounded_rectangle(40, 30, 3, 20, 20),))
    assert findings(rounded, 6.0) == []
    assert [level for level, _ in findings(rounded, 6.5)] == ["care"]


def test_cut_outs_too_small_or_too_narrow_for_the_cutter_are_said():
    small = flat("s", rectangle(100, 80), inner=(rectangle(5, 5, 20, 20),))
    assert [level for level, _ in findings(small, 6.0)] == ["stop"]
    bell = Loop(tuple(Vertex(v.x_mm + 20, v.y_mm + 20) for v in BELL.vertices))
    assert [(level, "necks" in why) for level, why in findings(flat("b", rectangle(100, 80), inner=(bell,)), 6.0)] == [
        ("care", True)
    ]


def test_bores_are_cut_where_the_cutter_has_room_and_else_drilled():
    sampler = pieces_of_all_sorts()[-1]
    router, laser = piece_cuts(sampler, 3.0, "router"), piece_cuts(sampler, 0.2, "laser")
    assert len(router.drills) == 5  # 5.5 mm is under twice 3 mm
    assert [c.radius_mm for c in laser.inner] == [pytest.approx(5.5 / 2 - 0.1)]
    assert sorted(2 * c.radius_mm for c in laser.drills) == pytest.approx([4.0, 5.0, 5.2, 8.0])


# ---- nests


def net_polygon(place: NestPlace) -> shapely.Polygon:
    return shapely.Polygon(place.outer.points(0.001), [loop.points(0.001) for loop in place.inner])


def check(found: Nest, items: list[tuple[str, Piece]]) -> None:
    """Every piece once; inside the margin with its cut; none nearer to another than two cuts and the spacing."""
    assert sorted(p.name for s in found.sheets for p in s.placed) == sorted(name for name, _ in items)
    wanted = dict(items)
    for sheet in found.sheets:
        spec = sheet.spec
        shapes = [net_polygon(p) for p in sheet.placed]
        edge = spec.margin_mm + spec.kerf_mm - 1e-6
        for place, shape in zip(sheet.placed, shapes, strict=True):
            assert place.piece == wanted[place.name]
            assert shape.area == pytest.approx(place.piece.outline.area_mm2, rel=1e-3)  # chords
            x0, y0, x1, y1 = place.outer.bounds_mm
            assert min(x0, y0) >= edge
            assert x1 <= sheet.stock.width_mm - edge
            assert y1 <= sheet.stock.height_mm - edge
            assert (x0, y0, x1 - x0, y1 - y0) == pytest.approx((place.x_mm, place.y_mm, *place.size_mm), abs=1e-9)
        for i, a in enumerate(shapes):
            for b in shapes[:i]:
                assert a.distance(b) >= spec.gap_mm - 1e-6


def board(width: float = 600.0, height: float = 500.0, count: int | None = None) -> tuple[NestStock, ...]:
    return (NestStock(name="S", width_mm=width, height_mm=height, count=count),)


shapes = st.one_of(
    st.tuples(st.integers(20, 260), st.integers(20, 220)).map(lambda s: flat(f"p{s[0]}x{s[1]}", rectangle(*s))),
    st.integers(10, 100).map(lambda r: flat(f"disc{r}", Circle(r, r, r))),
    st.integers(60, 110).map(lambda r: flat(f"ring{r}", Circle(r, r, r), inner=(Circle(r, r, r - 15.0),))),
    st.sampled_from([flat("ell", ELL), flat("cee", CEE), flat("flask", FLASK)]),
)


@given(st.lists(shapes, min_size=1, max_size=14), st.sampled_from([("router", 6.0), ("router", 3.0), ("laser", 0.2)]),
       st.sampled_from([0.0, 2.0, 5.0]), st.sampled_from([0.0, 8.0]))  # fmt: skip
@settings(max_examples=30)
def test_any_mix_of_shapes_keeps_spacing_and_margin_and_loses_nothing(pieces, machine, spacing, margin):
    items = [(f"n{k}", piece) for k, piece in enumerate(pieces)]
    spec = NestSpec(process=machine[0], kerf_mm=machine[1], spacing_mm=spacing, margin_mm=margin, tries=1)
    check(nest(items, board(), spec), items)


def ring_and_discs() -> list[tuple[str, Piece]]:
    ring = flat("ring", Circle(150, 150, 150), inner=(Circle(150, 150, 130),))
    return [("ring", ring), *((f"disc-{k}", flat("disc", Circle(35, 35, 35))) for k in range(4))]


def test_small_pieces_lie_in_the_holes_of_large_ones_and_are_cut_first():
    items = ring_and_discs()
    found = nest(items, board(340, 340), default_spec("router"))
    check(found, items)
    assert len(found.sheets) == 1  # the ring fills the sheet: the discs can only be in its hole
    paths = [(p.name, p.role) for p in found.sheets[0].paths]
    assert paths[-2:] == [("ring", "inner"), ("ring", "outer")]
    assert {name for name, _ in paths[:4]} == {f"disc-{k}" for k in range(4)}


def test_small_pieces_are_cut_last():
    items = [("small", panel("s", 300, 60)), *((f"p{k}", panel("p", 150, 100)) for k in range(4))]
    (sheet,) = nest(items, board(), default_spec("laser")).sheets
    assert sheet.paths[-1].name == "small"  # under 80 mm wide


def inside(a: Loop | Circle, b: Loop | Circle) -> bool:
    return shapely.Polygon(b.points()).contains(shapely.Polygon(a.points()))


@pytest.mark.parametrize("process", ["router", "laser"])
def test_nothing_is_cut_on_a_piece_that_has_come_free(process):
    rounds = flat("lid", rounded_rectangle(120, 90, 10), inner=(rounded_rectangle(40, 30, 5, 40, 30),),
                  holes=(Hole(x_mm=15, y_mm=15, kind="through", diameter_mm=20),))  # fmt: skip
    items = [*ring_and_discs(), *((f"lid-{k}", rounds) for k in range(3)), ("plate", tapped_plate())]
    plates = [
        (n, flat(p.name, p.outline.outer, inner=p.outline.inner, holes=p.holes, thickness_mm=12)) for n, p in items
    ]
    (sheet,) = nest(plates, board(700, 500), default_spec(process)).sheets
    for i, path in enumerate(sheet.paths):
        for later in sheet.paths[i + 1 :]:
            if path.role != "drill":  # whatever a closed cut sets free holds nothing that is cut later
                assert not inside(later.loop, path.loop)
    assert {p.role for p in sheet.paths} == {"drill", "inner", "outer"}


def test_small_pieces_hang_on_tabs_on_the_router_and_not_on_the_laser():
    items = [
        ("plate", panel("plate", 50, 40)),
        ("wall", panel("wall", 300, 150)),
        ("disc", flat("d", Circle(20, 20, 20))),
    ]
    for process in ("router", "laser"):
        (sheet,) = nest(items, board(), default_spec(process)).sheets
        tabs = {p.name: p for p in sheet.paths if p.role == "outer"}
        assert [len(tabs[n].tabs) for n in ("plate", "wall", "disc")] == (
            [3, 0, 3] if process == "router" else [0, 0, 0]
        )
        for path in tabs.values():
            for x, y in path.tabs:
                assert shapely.Point(x, y).distance(polygon(path.loop).exterior) < 1e-3


def test_tabs_are_apart():
    for loop in (*LOOPS.values(), Circle(0, 0, 20)):
        spots = tab_places(loop, 3)
        assert len(spots) >= 3
        assert min(math.dist(a, b) for i, a in enumerate(spots) for b in spots[:i]) > 5


def test_equal_rectangles_fill_a_sheet_as_a_hand_would():
    """12 of 180 x 140, 16 mm apart: 3 across (3 x 180 + 2 x 16 = 572) and 4 up (608), 16 mm in from the sheet's edge."""
    items = [(f"p{k}", panel("p", 180, 140)) for k in range(12)]
    found = nest(items, board(572 + 32.3, 608 + 32.3), default_spec("router"))
    check(found, items)
    assert len(found.sheets) == 1


def test_the_same_nest_every_time():
    items = [*ring_and_discs(), ("ell", flat("ell", ELL)), ("p", panel("p", 100, 80))]
    one, two = (nest(items, board(), default_spec("laser")) for _ in range(2))
    assert one == two


def test_names_twice_mixed_sheets_bends_and_pieces_too_large_are_refused():
    p = panel("p", 100, 80)
    with pytest.raises(SeamwrightError, match="two pieces to nest are called a"):
        nest([("a", p), ("a", p)], board(), default_spec("router"))
    with pytest.raises(SeamwrightError, match="different sheets"):
        nest([("a", p), ("b", panel("q", 100, 80, 3.0))], board(), default_spec("router"))
    bent = replace(p, bends=(Bend(x_mm=50, y_mm=0, along_rad=math.pi / 2, angle_rad=1, inside_radius_mm=12),))
    flat, laid = (nest([("a", one)], board(), default_spec("router")).sheets[0].placed[0] for one in (p, bent))
    assert (laid.x_mm, laid.y_mm, laid.size_mm) == (flat.x_mm, flat.y_mm, flat.size_mm)  # it is cut flat
    bevelled = replace(p, bevels=(Bevel(edge=0, angle_rad=0.7),))
    square = nest([("a", bevelled)], board(), default_spec("router")).sheets[0].placed[0]
    assert square.size_mm == flat.size_mm  # and its bevel cut last
    mast = sawn_tube("m", TubeStock(material="cast-pmma", outside_mm=60.0, wall_mm=3.0), 200.0)
    with pytest.raises(NotCovered, match="a tube"):
        nest([("a", mast)], board(), default_spec("router"))
    with pytest.raises(LayoutError, match=r"large: 700 x 80 mm .* fits no sheet of S 600 x 500"):
        nest([("a", panel("large", 700, 80))], board(), default_spec("router"))
    with pytest.raises(LayoutError, match="hold 2 of 3 pieces"):
        nest([(f"p{k}", panel("q", 400, 400)) for k in range(3)], board(count=2), default_spec("router"))
    with pytest.raises(LayoutError, match="no sheet"):
        nest([("a", p)], (), default_spec("router"))
    assert nest([], board(), default_spec("router")).sheets == ()


@pytest.mark.parametrize(
    "wrong", [{"kerf_mm": 0}, {"kerf_mm": math.nan}, {"spacing_mm": -1}, {"margin_mm": 1e9}, {"turns": ()}]
)
def test_a_machine_that_cannot_be_is_refused(wrong):
    with pytest.raises(SeamwrightError):
        NestSpec(**{"process": "router", "kerf_mm": 6.0, "spacing_mm": 4.0, **wrong})


@pytest.mark.parametrize("turn", range(4))
def test_turning_keeps_bulges_and_areas(turn):
    place = NestPlace(name="a", piece=flat("flask", FLASK), x_mm=12.5, y_mm=7.25, quarter_turns=turn)
    loop = put(FLASK, place)
    assert loop.signed_area_mm2 == pytest.approx(FLASK.signed_area_mm2)
    assert [v.bulge for v in loop.vertices] == [v.bulge for v in FLASK.vertices]
    assert loop.bounds_mm == pytest.approx((12.5, 7.25, 12.5 + place.size_mm[0], 7.25 + place.size_mm[1]))


# ---- speed and time


@pytest.mark.published
def test_laser_speeds_are_those_of_the_page_and_nothing_thicker_is_guessed():
    """A laser maker's page on cutting acrylic, 50 W: 17, 13, 10, 8.5, 6.5 mm/s at 3, 4, 5, 6, 8 mm."""
    spec = default_spec("laser")
    assert [cut_speed_mm_s(spec, t) for t in (3, 4, 5, 6, 8)] == [17, 13, 10, 8.5, 6.5]
    assert cut_speed_mm_s(spec, 7) == pytest.approx(51.5 / 7, rel=0.01)  # speed x thickness is 51 mm2/s within 2 %
    assert cut_speed_mm_s(spec, 8.1) is None
    assert {float(r["thickness_mm"]) for r in load("laser_speeds")} == {3, 4, 5, 6, 8}
    found = nest([("a", panel("p", 100, 80, 10.0))], board(), spec)
    assert found.sheets[0].minutes is None
    assert [f.level for f in found.findings] == ["note"]
    thick = nest([("a", panel("p", 100, 80, 15.0))], board(), spec)
    assert next((f.level, f.why) for f in thick.findings) == ("stop", "sheet of 15 mm: the laser is for 1 to 12 mm")


def test_length_and_time_of_one_panel_by_hand():
    (sheet,) = nest([("a", panel("p", 100, 80, 6.0))], board(), default_spec("laser")).sheets
    length = 2 * 180 + math.tau * 0.1  # the beam's middle runs on quarter circles round the corners
    assert sheet.cut_length_mm == pytest.approx(length)
    start = sheet.paths[0].loop.vertices[0]
    way = math.hypot(start.x_mm, start.y_mm)
    assert sheet.minutes == pytest.approx((length / 8.5 + 1.0 + way / 200) / 60)
    (sheet,) = nest([("a", panel("p", 100, 80, 6.0))], board(), default_spec("router")).sheets
    way = math.hypot(sheet.paths[0].loop.vertices[0].x_mm, sheet.paths[0].loop.vertices[0].y_mm)
    # 6 mm in two passes of half a 6 mm cutter at 18000 / 60 x 0.05 = 15 mm/s
    assert sheet.minutes == pytest.approx((2 * ((360 + math.tau * 3) / 15 + 3.0) + way / 80) / 60)


# ---- design and report


def test_only_what_the_machine_cuts_is_nested_for_every_rig_by_sheet():
    routed = replace(panel("lid", 200, 100), process="router")
    plan = design(
        Placed(name="lid", piece=routed, origin=(0, 0, 0)),
        Placed(name="wall", piece=panel("wall", 300, 100), origin=(0, 0, 50)),
        Placed(name="base", piece=replace(panel("base", 100, 100, 12.0), process="router"), origin=(0, 0, 90)),
    )  # fmt: skip
    plan = replace(plan, quantity=2)
    found = nest_items(plan, "router")
    assert {key: [n for n, _ in items] for key, items in found.items()} == {
        ("cast-pmma", 6.0): ["lid", "lid.2"], ("cast-pmma", 12.0): ["base", "base.2"],
    }  # fmt: skip
    assert {n for items in nest_items(plan, "laser", "laser").values() for n, _ in items} == {"wall", "wall.2"}


def test_the_section_is_plain_and_says_what_lies_where():
    import json

    found = nest(ring_and_discs(), board(340, 340), default_spec("router"))
    sheet = json.loads(json.dumps(nest_row(found.sheets[0], 3)))
    assert sheet["file"] == "cutting/nest-3.dxf"
    assert (sheet["process"], sheet["kerf"], sheet["size"]) == ("router", 6.0, [340.0, 340.0])
    assert all(c["text"] and c["source"] for c in sheet["cautions"])
    assert "eye protection" in sheet["cautions"][0]["text"]
    assert sorted(p["name"] for p in sheet["placed"]) == ["disc-0", "disc-1", "disc-2", "disc-3", "ring"]
    assert math.fsum(p["length"] for p in sheet["order"]) == pytest.approx(sheet["cut_length"])
    assert sheet["used"] == pytest.approx((math.pi * (150**2 - 130**2) + 4 * math.pi * 35**2) / 340**2)
