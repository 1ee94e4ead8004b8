"""Walls inside a box for electronics, and tabs as seams of the bonding plan."""

from __future__ import annotations

from functools import cache

import pytest
from shapely import Polygon

from assemblies.examine import Examined, examine
from assemblies.kinds import kind, schemas, starter
from assemblies.kinds.enclosure.build import build_enclosure
from assemblies.order import Order, OrderError, read_order_text

STARTER = starter("enclosure")
WALL = '[[enclosure.wall]]\nruns = "across"\nat = 70\n\n'
ROOM = (("at   = [45, -2]", "at   = [40, -2]"), ("size = [48, 26]", "size = [40, 26]"))
T, CLEARANCE = 4.92, 0.1


def edited(*pairs: tuple[str, str], wall: str = WALL) -> Order:
    text = STARTER.replace("# Extras", wall + "# Extras", 1)
    for old, new in pairs:
        assert old in text, old
        text = text.replace(old, new, 1)
    return read_order_text(text, schemas(), "order.toml")


@cache
def walled() -> Examined:
    names = ("build", "fit", "apart", "tabs", "bond")
    return examine(edited(*ROOM), [check for check in kind("enclosure").checks() if check.name in names])


def test_a_wall_inside_stands_flush_outside_with_its_tabs_and_goes_in() -> None:
    """By hand: 120 wide inside and 58 high (70 less the posts' 12), tabs of 4.92 through bottom, front and back."""
    found = walled()
    wall = found.design.instance("wall-1")
    assert wall.piece.outline.size_mm == pytest.approx((120.0 + 2.0 * T, 58.0 + T))
    low, high = wall.box
    assert (low[0], high[0]) == pytest.approx((70.0 - T / 2.0, 70.0 + T / 2.0))
    assert (low[1], high[1], low[2]) == pytest.approx((-60.0 - T, 60.0 + T, 0.0))
    report = found.report
    assert report["checks"]["fit"] == "passed"
    assert not report["fit"]["interferences"]
    assert not [f for f in report["findings"] if "no straight way out" in f["why"]]


def test_each_tab_has_its_slot_wider_by_the_clearance() -> None:
    """In the world: every slot of bottom and front holds one tab of the wall; across by the sheet and the clearance."""
    design = walled().design
    wall = design.instance("wall-1")
    outline = Polygon(wall.piece.outline.outer.points())
    for face, cut in (("bottom", 0.5), ("front", 0.5)):
        panel = design.instance(face)
        slots = [loop.bounds_mm for loop in panel.piece.outline.inner]
        mine = []
        for x0, y0, x1, y1 in slots:
            ends = [panel.world(x, y, T / 2.0) for x, y in ((x0, y0), (x1, y1))]
            if all(abs(end[0] - 70.0) < 10.0 for end in ends):
                mine.append((ends, x1 - x0, y1 - y0))
        assert mine, face
        for ends, _, long in mine:
            middle = tuple((a + b) / 2.0 for a, b in zip(*ends, strict=True))
            u, v, w = wall.local(middle)  # type: ignore[arg-type]
            assert w == pytest.approx(T / 2.0)
            assert outline.buffer(-cut).covers(
                Polygon([(u - 1, v - 1), (u + 1, v - 1), (u + 1, v + 1), (u - 1, v + 1)])
            )
            assert long > 5.0
    bonded = [s for s in walled().report["bonding"]["seams"] if "wall-1" in (s["a"], s["b"])]
    assert {s["a"] for s in bonded} == {"bottom", "front", "back"}
    assert all(s["gap"] == pytest.approx(CLEARANCE / 2.0) for s in bonded)


def test_tabs_are_seams_of_the_bonding_plan_one_for_each_edge() -> None:
    """By hand: along 180 of front and bottom every part meets the other sheet with its width, every one of the n - 1 flanks
    with a square of the thickness; at each flank both roots lose the mouth of their relief, two radii long."""
    report = walled().report
    tabbed = {(s["a"], s["b"]): s for s in report["bonding"]["seams"] if s["seam"].startswith("T")}
    walls = ("front", "back", "left", "right")
    assert set(tabbed) == {
        *(("bottom", wall) for wall in walls), *((a, b) for a in walls[:2] for b in walls[2:]),
        *((face, "wall-1") for face in ("bottom", "front", "back")),
    }  # fmt: skip
    one, edge = (
        tabbed["bottom", "front"],
        next(t for t in report["tabs"] if t["edge"] == "front and back on the bottom"),
    )
    flanks = edge["parts"] - 1
    assert one["area"] == pytest.approx(180.0 * T + flanks * T * T - flanks * 4.0 * edge["relief"] * T, rel=0.02)
    assert one["gap"] == pytest.approx(0.05)  # half of the normal clearance, as drawn
    assert one["mL"] == pytest.approx(one["area"] * 0.05 / 1000.0)
    assert report["bonding"]["amount"]["net_mL"] == pytest.approx(
        sum(s["mL"] for s in report["bonding"]["seams"]), rel=1e-4
    )
    assert set(report["bonding"]["taped"]) >= {"bottom", *walls}


def test_a_box_on_screws_has_a_wall_whose_ends_only_touch_what_comes_off() -> None:
    design = build_enclosure(
        edited(
            ('joints  = "tabs"', 'joints = "screwed"'), ('fit     = "normal"', "#"), ("at   = [-55, -6]", "at   = [-48, -6]"),
            ("at   = [45, -2]", "at   = [38, -2]"), ("size = [48, 26]", "size = [30, 26]"),
            ("at   = [-50, 0]", "at   = [-40, 0]"), ("at = 70", "at = 62"),
        )
    )  # fmt: skip
    kinds = {j.a: j.kind for j in design.joints if j.b == "wall-1"}
    assert kinds == {"bottom": "tab and slot", "front": "loose", "back": "loose"}
    assert design.instance("wall-1").piece.outline.size_mm[0] == pytest.approx(120.0)


WRONG = [
    ((*ROOM, ('"laser"', '"saw"'), ('joints  = "tabs"', 'joints = "bonded"'), ('fit     = "normal"', "#")), "not by saw"),
    ((*ROOM, ("at = 70", "at = 70\nheight = 65")), "under the corner posts"),
    ((*ROOM, ("at = 70", "at = 80")), "stands in the corner"),
    ((*ROOM, ("at = 70", "at = 10")), "runs through controller"),
    ((("at = 70", "at = 60"),), "are in each other's way on the front"),
    ((*ROOM, ("at = 70", "at = 70\nheight = 10")), "too short for three parts"),
    ((*ROOM, ('runs = "across"', 'runs = "up"')), "along"),
]  # fmt: skip


@pytest.mark.parametrize(("pairs", "says"), WRONG, ids=[says for _, says in WRONG])
def test_a_wall_that_cannot_be_is_refused_at_its_key(pairs: tuple[tuple[str, str], ...], says: str) -> None:
    with pytest.raises(OrderError) as refused:
        build_enclosure(edited(*pairs))
    assert says in str(refused.value)
