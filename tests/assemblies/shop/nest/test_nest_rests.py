"""What is left of nested sheets: held to a search over all rectangles of a grid, to shapely, and to the saw's own rule."""

from __future__ import annotations

import math
from itertools import combinations, product

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import flat, panel
from starters import two_plates

from assemblies.cutting import cut_orders
from assemblies.kinds import schemas
from assemblies.order import read_order_text
from assemblies.shop.nest.model import NestPlace, NestSheet, NestSpec, NestStock
from assemblies.shop.nest.nest import default_spec, nest
from assemblies.shop.nest.rests import nest_balance, nest_rests
from assemblies.shop.saw.model import SawShop
from assemblies.shop.stock.rack import Rack, Slot
from parts.shape.outline import Circle, Loop, rectangle, rounded_rectangle
from parts.shape.piece import Hole
from parts.stock.rules import rule

KEEP = 100.0  # the shop rule; judgement


def test_nests_and_saw_keep_by_one_rule() -> None:
    assert rule("offcut_keep") == SawShop().keep_mm == KEEP


def by_hand(
    wide: float, high: float, *boxes: tuple[float, float, float, float], spec: NestSpec | None = None
) -> NestSheet:
    """Plain rectangles where they are said to lie: lower-left corner and size."""
    placed = tuple(
        NestPlace(name=f"p{k}", piece=panel(f"p{k}", w, h), x_mm=x, y_mm=y, quarter_turns=0)
        for k, (x, y, w, h) in enumerate(boxes)
    )
    return NestSheet(
        stock=NestStock(name="C6", width_mm=wide, height_mm=high), thickness_mm=6.0, material="cast-pmma",
        spec=spec or NestSpec(process="router", kerf_mm=6.0, spacing_mm=4.0), placed=placed, paths=(), cut_length_mm=0.0,
        minutes=None,
    )  # fmt: skip


def test_one_piece_in_a_corner_leaves_a_strip_above_and_one_beside() -> None:
    # net to 310 and 210; cut 6, web 4, cut 6: 326 and 226 from there on
    found = nest_rests(by_hand(1000.0, 600.0, (10.0, 10.0, 300.0, 200.0)))
    assert [r.box for r in found] == [(326.0, 0.0, 1000.0, 600.0), (0.0, 226.0, 320.0, 600.0)]
    balance = nest_balance(by_hand(1000.0, 600.0, (10.0, 10.0, 300.0, 200.0)), found)
    assert balance.offcuts == 674.0 * 600.0 + 320.0 * 374.0
    assert balance.kerf == 600.0 * 6.0 + 320.0 * 6.0  # the cut between them counts once
    assert balance.pieces + balance.kerf + balance.waste + balance.offcuts == pytest.approx(600_000.0, rel=1e-12)


@pytest.mark.parametrize(("side", "kept"), [(1115.9, 0), (1116.0, 1)])
def test_a_rest_is_kept_from_the_rules_side_on(side: float, kept: int) -> None:
    assert len(nest_rests(by_hand(side, 400.0, (10.0, 10.0, 990.0, 380.0)))) == kept


def test_what_is_trimmed_off_a_factory_edge_does_not_count() -> None:
    assert len(nest_rests(by_hand(1136.0, 400.0, (10.0, 10.0, 990.0, 380.0)), trim_mm=10.0)) == 1
    assert nest_rests(by_hand(1135.9, 400.0, (10.0, 10.0, 990.0, 380.0)), trim_mm=10.0) == ()


SMALL = st.integers(0, 11)
BOX = st.tuples(SMALL, SMALL, st.integers(1, 4), st.integers(1, 4))


@settings(max_examples=80)
@given(st.lists(BOX, min_size=1, max_size=5))
def test_the_first_rest_is_the_largest_rectangle_that_reaches_an_edge(boxes: list[tuple[int, int, int, int]]) -> None:
    """Against every rectangle of a grid of 12 x 12 fields of 101 mm. Kerf and spacing are next to nothing."""
    fine = NestSpec(process="laser", kerf_mm=1e-9, spacing_mm=0.0, margin_mm=0.0)
    inside = [(x, y, min(w, 12 - x), min(h, 12 - y)) for x, y, w, h in boxes]
    sheet = by_hand(1212.0, 1212.0, *(tuple(101.0 * v for v in box) for box in inside), spec=fine)  # type: ignore[misc]
    taken = {(i, j) for x, y, w, h in inside for i in range(x, x + w) for j in range(y, y + h)}
    best = 0
    for (x0, x1), (y0, y1) in product(combinations(range(13), 2), repeat=2):
        if 0 in (x0, y0) or 12 in (x1, y1):
            fields = (x1 - x0) * (y1 - y0)
            if fields > best and not any((i, j) in taken for i in range(x0, x1) for j in range(y0, y1)):
                best = fields
    found = nest_rests(sheet)
    areas = [r.width_mm * r.height_mm / 101.0**2 for r in found]
    assert (areas[0] if areas else 0.0) == pytest.approx(best, abs=1e-6)
    assert areas == sorted(areas, reverse=True)


PIECES = st.lists(st.integers(0, 4), min_size=1, max_size=8)


@settings(max_examples=25)
@given(PIECES, st.sampled_from(["router", "laser"]), st.sampled_from([(900.0, 600.0), (1200.0, 400.0)]))
def test_rests_keep_clear_of_every_cut_and_the_areas_balance(
    kinds: list[int], process: str, size: tuple[float, float]
) -> None:
    bored = flat("bored", rectangle(50, 50), holes=(Hole(x_mm=25, y_mm=25, kind="through", diameter_mm=6.6),))
    made = [
        panel("wall", 210.0, 130.0), flat("disc", Circle(60.0, 60.0, 60.0)), bored,
        flat("frame", rounded_rectangle(180, 140, 10), inner=(rounded_rectangle(120, 80, 8, 30, 30),)), panel("strip", 240, 20),
    ]  # fmt: skip
    items = [(f"{made[k].name}-{n}", made[k]) for n, k in enumerate(kinds)]
    spec = default_spec(process)  # type: ignore[arg-type]
    found = nest(items, [NestStock(name="C6", width_mm=size[0], height_mm=size[1])], spec)
    for sheet in found.sheets:
        rests = nest_rests(sheet)
        balance = nest_balance(sheet, rests)
        whole = shapely.box(0.0, 0.0, *size)
        kerf = spec.kerf_mm / 2.0
        swept = shapely.union_all([ring(p.loop).buffer(kerf, quad_segs=64) for p in sheet.paths if p.role != "drill"])
        pieces = shapely.union_all([area(p, process) for p in sheet.placed])
        boxes = [shapely.box(*r.box) for r in rests]
        for rest in boxes:
            assert min(rest.bounds[2] - rest.bounds[0], rest.bounds[3] - rest.bounds[1]) >= KEEP
            assert rest.distance(swept) >= spec.spacing_mm + spec.kerf_mm - 1e-6
            assert whole.contains(rest)
        for one, other in combinations(boxes, 2):
            assert one.distance(other) >= spec.kerf_mm - 1e-9
        parted = shapely.union_all([b.buffer(spec.kerf_mm, join_style="mitre") for b in boxes]).intersection(whole)
        chips = swept.area + parted.difference(shapely.union_all(boxes)).area
        assert balance.stock == size[0] * size[1]
        assert balance.pieces == pytest.approx(pieces.area, abs=2.0)  # arcs as chords
        assert balance.offcuts == pytest.approx(sum(b.area for b in boxes))
        # chords, and 0.054 kerf squared too much in each of the frame's 4 inside corners (rounded here: nothing)
        assert balance.kerf == pytest.approx(chips, rel=2e-3)
        whole_waste = whole.difference(shapely.union_all([swept, pieces, parted, *boxes])).area
        assert balance.waste == pytest.approx(whole_waste, abs=2e-3 * chips + 2.0)
        assert balance.pieces + balance.kerf + balance.waste + balance.offcuts == pytest.approx(
            balance.stock, rel=1e-12
        )


def ring(loop: Loop | Circle) -> shapely.LinearRing:
    return shapely.LinearRing(loop.points(0.001))


def area(place: NestPlace, process: str) -> shapely.Polygon:
    """Without cut-outs, and without bores that are cut: here one of 6.6 mm that only a beam can run round in."""
    net = shapely.Polygon(place.outer.points(0.001), [loop.points(0.001) for loop in place.inner])
    if place.piece.holes and process == "laser":
        return net.difference(net.centroid.buffer(3.3, quad_segs=256))
    return net


LASER = two_plates().replace('"saw" ', '"laser" ')


def rack_of(*sizes: tuple[str, float, float, float, int]) -> Rack:
    return Rack(
        slots=tuple(
            Slot(
                label=label,
                material="cast-pmma",
                thickness_mm=t,
                width_mm=w,
                height_mm=h,
                quantity=count,
                trim_mm=5.0,
                price=80,
            )
            for label, t, w, h, count in sizes
        )
    )


def test_offcuts_of_nests_go_back_on_the_rack_with_labels_and_are_paid_back() -> None:
    order = read_order_text(LASER, schemas())
    done = cut_orders([order], rack_of(("C6", 6.0, 1220.0, 1000.0, 2), ("C12", 12.0, 600.0, 400.0, 1)))
    sheets = done.report["nesting"]["sheets"]
    assert [s["stock"] for s in sheets] == ["C6", "C12"]
    labels = [o["label"] for s in sheets for o in s["offcuts"]]
    assert len(labels) >= 2
    assert done.rack is not None
    back = [s for s in done.rack.slots if s.kind == "offcut"]
    assert [s.label for s in back] == labels
    assert [s.label for s in done.rack.slots if s.kind == "sheet"] == ["C6"]
    assert {(s.quantity, s.price, s.trim_mm) for s in back} == {(1, None, 5.0)}
    listed = [o["size"] for s in sheets for o in s["offcuts"]]
    assert [[s.width_mm, s.height_mm] for s in back] == [pytest.approx(size) for size in listed]
    assert sheets[0]["offcuts"][0]["name"] == "N1 offcut 1"
    for sheet in sheets:
        balance = sheet["balance"]
        parts = math.fsum(balance[k] for k in ("pieces", "kerf", "waste", "offcuts"))
        assert parts == pytest.approx(balance["stock"], abs=1e-5)
        assert balance["offcuts"] == pytest.approx(math.fsum(math.prod(o["size"]) for o in sheet["offcuts"]), abs=1e-3)
        assert balance["pieces"] / balance["stock"] == pytest.approx(sheet["used"], abs=1e-6)
    credit = [line for line in done.report["cost"]["lines"] if line["group"] == "offcuts"]
    assert [line["quantity"] for line in credit] == [
        pytest.approx(sheet["balance"]["offcuts"] / 1e6, abs=1e-4) for sheet in sheets
    ]


def test_an_offcut_of_a_nest_is_cut_from_in_the_next_plan() -> None:
    first = cut_orders(
        [read_order_text(LASER, schemas())], rack_of(("C6", 6.0, 1220.0, 1000.0, 1), ("C12", 12.0, 600.0, 400.0, 1))
    )
    assert first.rack is not None
    again = cut_orders([read_order_text(LASER, schemas())], first.rack)
    assert not again.plan.faults
    used = {s["stock"] for s in again.report["nesting"]["sheets"]}
    assert used <= {s.label for s in first.rack.slots}
    assert len(used) == 2
