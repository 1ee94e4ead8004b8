"""Quick-release plates: sizes by hand, what holds and what lets go, statics by another method, wrong orders, the demos."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from assemblies.design.model import Design
from assemblies.design.release import Release
from assemblies.examine import Examined, examine
from assemblies.fit.apart.sweep import Sweeps
from assemblies.kinds import kind, schemas
from assemblies.order import Order, OrderError, read_order_text
from assemblies.strength.bonds.release import Rules, load_of, release_uses, wanted_n
from assemblies.strength.proof.release.check import RELEASE
from assemblies.strength.tank.checks import LOADS
from parts.stock.material import material

ORDERS = Path(__file__).parents[3] / "orders"
TAN = math.tan(math.radians(60.0))


def text(name: str, *edits: tuple[str, str]) -> str:
    made = (ORDERS / f"{name}.toml").read_text(encoding="utf-8")
    for old, new in edits:
        assert old in made, old
        made = made.replace(old, new, 1)
    return made


def order(name: str, *edits: tuple[str, str]) -> Order:
    return read_order_text(text(name, *edits), schemas())


def built(name: str, *edits: tuple[str, str]) -> Design:
    return kind("tank").build(order(name, *edits))


@cache
def bench() -> Examined:
    return examine(order("bench-trough"))


@cache
def held(name: str, *edits: tuple[str, str]) -> Examined:
    return examine(order(name, *edits), (LOADS, RELEASE))


def said(found: Examined, level: str) -> str:
    return " | ".join(
        f["why"] for f in found.report["findings"] if f["check"] == "quick-release" and f["level"] == level
    )


def test_strip_and_slot_have_the_sizes_of_a_hand_calculation() -> None:
    """Plate 180 x 90, strip and jaws of 12: wide = 90 + 2 x 12 / tan 60 = 103.856; over pins of 6: 90 + 6 (1 + cot 30) =
    106.392; clearance 90 x 0.3 % x half + 0.1 = 0.235, in shims 0.25. The jaws' foot: 3 holes of 7."""
    design = built("bench-trough")
    (one,) = design.releases
    strip, jaw = design.instance("slide-1").piece, design.instance("shoe-1-fixed").piece
    assert strip.outline.size_mm[1] == pytest.approx(90.0 + 24.0 / TAN)
    assert strip.outer_at(0.0).bounds_mm[3] - strip.outer_at(0.0).bounds_mm[1] == pytest.approx(90.0)
    assert (one.sizes.over_pins, one.gauge) == (
        pytest.approx(90.0 + 6.0 * (1.0 + 1.0 / math.tan(math.radians(30.0)))),
        6.0,
    )
    assert one.clearance == pytest.approx(0.25)
    assert jaw.outline.size_mm[1] == pytest.approx(21.0 + 12.0 / TAN)
    lip = jaw.outer_at(1.0).bounds_mm
    assert lip[3] - lip[1] == pytest.approx(21.0)


def test_the_open_slot_is_wider_than_the_strip_by_its_clearance_and_holds_it_down() -> None:
    """In the world: from lip to lip, and the strip leaves along the slot alone while the jaws are there."""
    design = built("bench-trough")
    (one,) = design.releases
    fixed, clamped = (design.instance(f"shoe-1-{which}") for which in ("fixed", "clamped"))
    lips = [p.world(0.0, p.piece.outline.size_mm[1], 0.0)[1] for p in (fixed, clamped)]
    assert abs(lips[1] - lips[0]) == pytest.approx(one.narrow + one.clearance)
    ways = Sweeps(design.placed)
    names = [p.name for p in design.placed]
    strip = names.index("slide-1")
    there = np.array([name.startswith("shoe-1") for name in names])
    there[names.index("shoe-1")] = False  # the seat itself
    assert ways.blocker(strip, one.pull, there) is None
    for way in ((0.0, 0.0, 1.0), (0.0, 1.0, 0.0), (0.0, -1.0, 0.0), (-1.0, 0.0, 0.0)):
        assert ways.blocker(strip, way, there) is not None, way


def test_pins_and_lanyard_stand_where_a_hand_gets_at_them_and_go_through_strip_and_base() -> None:
    design = built("bench-trough")
    strip, base = design.instance("slide-1"), design.instance("shoe-1")
    edge = max(p.box[1][0] for p in design.placed if p.piece.role == "shell")
    pins = [strip.world(h.x_mm, h.y_mm, 0.0) for h in strip.piece.holes if h.diameter_mm == 6.2]
    bores = [base.world(h.x_mm, h.y_mm, 0.0) for h in base.piece.holes if h.diameter_mm == 6.2]
    assert len(pins) == 2
    assert np.array(sorted(pins))[:, :2] == pytest.approx(np.array(sorted(bores))[:, :2])
    assert all(p[0] - 3.1 > edge for p in pins)
    (lanyard,) = [strip.world(h.x_mm, h.y_mm, 0.0) for h in strip.piece.holes if h.diameter_mm == 8.0]
    assert lanyard[0] - 4.0 > base.box[1][0]  # in the air, past the base


def test_the_bench_demo_goes_together_holds_and_stands_in_every_list() -> None:
    found = bench()
    report = found.report
    assert {c: report["checks"][c] for c in ("fit", "strength", "liquid", "quick-release")} == dict.fromkeys(
        ("fit", "strength", "liquid", "quick-release"), "passed"
    )
    assert not report["fit"]["interferences"]
    bonded = {(s["a"], s["b"]) for s in report["fit"]["seams"]}
    assert {
        ("plate-1", "slide-1"),
        ("shoe-1", "shoe-1-fixed"),
        ("shoe-1", "shoe-1-rail"),
        ("shoe-1", "shoe-1-stop"),
    } <= bonded
    assert not any({"shoe-1-clamped", "slide-1"} == {a, b} or {"shoe-1", "shoe-1-clamped"} == {a, b} for a, b in bonded)
    bevels = {(b["part"], b["side"], b["face"], round(b["angle"], 6)) for b in report["cutting"]["bevels"]}
    assert bevels == {
        ("slide", "bottom", "near", 30.0), ("slide", "top", "near", 30.0), ("jaw-fixed", "top", "far", 30.0),
        ("jaw-clamped", "top", "far", 30.0),
    }  # fmt: skip
    (other,) = report["counterparts"]
    assert (other["plates"], len(other["holes"])) == (["shoe-1"], 6)  # not the jaws' screws, not the pins
    assert {"slide", "shoe", "jaw-fixed", "jaw-clamped"} <= {sheet["part"] for sheet in report["drill"]}
    bought = {one["item"].split(",")[0]: one["amount"] for one in report["buying"]["parts"]}
    assert bought["ball lock pin 6 mm"] == 2
    steps = [step["name"] for step in report["assembly"]]
    assert steps.index("plate-1") < steps.index("slide-1") < steps.index("shoe-1")
    (row,) = report["releases"]
    assert (row["shoe"]["of"], row["pins"]) == ("acrylic", 2)
    assert {use["what"] for use in row["uses"]} >= {
        "bond of strip and plate", "bond of the fixed jaw", "bond of the rail", "bond of the stop", "bolts of the shoe",
        "screws of the clamped jaw", "pin in its bores",
    }  # fmt: skip
    assert all(0.0 < use["use"] <= 1.0 for use in row["uses"])


def test_what_stays_on_the_rig_is_no_load_of_the_tank() -> None:
    """The tank's mass: walls, plate and strip, by their own masses; not the shoe's 1.1 kg."""
    found = bench()
    carried = sum(p.piece.mass_kg for p in found.design.placed if not p.name.startswith("shoe"))
    assert found.report["liquid"]["mass_empty"] == pytest.approx(carried)
    assert sum(p.piece.mass_kg for p in found.design.placed) > carried + 1.0


# ---- statics


@cache
def drawn() -> tuple[Design, Release]:
    design = built("bench-trough")
    return design, design.releases[0]


def seat_z() -> float:
    return drawn()[1].origin[2] - 12.0


def test_simple_loads_come_to_the_flanks_as_statics_has_it() -> None:
    """Straight off: half on each flank. Across: the flank climbs, V cot 60. A moment along the slot without weight: M over the
    seat's width; standing on its weight it lifts nothing until the weight's own moment is used up."""
    one, low = drawn()[1], seat_z()
    off = load_of(one, (0.0, 0.0, 100.0), (0.0, 0.0, low))
    assert (off.flank, off.end, off.jaw) == pytest.approx((50.0, 0.0, 50.0))
    across = load_of(one, (0.0, 30.0, 0.0), (0.0, 0.0, low))
    assert (across.flank, across.jaw) == pytest.approx((0.0, 30.0 / TAN))
    high = load_of(one, (0.0, 30.0, 0.0), (0.0, 0.0, low + 80.0))
    assert high.flank == pytest.approx(30.0 * 80.0 / one.sizes.wide)
    stands = load_of(one, (0.0, 30.0, -60.0), (0.0, 0.0, low + 80.0))
    assert (stands.flank, stands.seat) == pytest.approx((0.0, 60.0))  # 2400 N mm against 60 x 51.9
    along = load_of(one, (25.0, 0.0, 0.0), (0.0, 0.0, low))
    assert (along.along, along.jaw) == pytest.approx((25.0, 0.0))
    assert wanted_n(along) == pytest.approx(25.0)


@settings(max_examples=40, deadline=None)
@given(
    *(st.floats(-100.0, 100.0) for _ in range(3)), st.floats(-60.0, 60.0), st.floats(-40.0, 40.0), st.floats(0.0, 200.0)
)
def test_flanks_are_never_taken_for_less_than_equilibrium_demands(
    fx: float, fy: float, fz: float, x: float, y: float, high: float
) -> None:
    """By another method: corners of the seat that push, ends of both flanks that hold down, the least greatest flank by linear
    programming under the same force off the seat and the same two moments."""
    one, low = drawn()[1], seat_z()
    load = load_of(one, (fx, fy, fz), (x, y, low + high))
    half, wide = one.length / 2.0, one.sizes.wide / 2.0
    corners = [(a * half, b * wide) for a in (-1, 1) for b in (-1, 1)]
    # unknown: 4 pushes up, 4 holds down, the greatest flank
    lift = [fz, y * fz - high * fy, -(x * fz - high * fx)]  # up; about x; about y
    rows = [
        [1.0] * 4 + [-1.0] * 4 + [0.0],
        [c[1] for c in corners] + [-c[1] for c in corners] + [0.0],
        [-c[0] for c in corners] + [c[0] for c in corners] + [0.0],
    ]
    flank = [
        [0.0] * 4 + [1.0 if c[1] * side > 0.0 else 0.0 for c in corners] + [-1.0] for side in (-1.0, 1.0)
    ]  # fmt: skip
    found = linprog(
        [0.0] * 8 + [1.0], A_ub=flank, b_ub=[0.0, 0.0], A_eq=rows, b_eq=[-v for v in lift], bounds=(0.0, None)
    )
    assert found.success
    assert load.flank + load.end >= found.fun - 1e-6


def uses(force: tuple[float, float, float], pins: int = 2) -> dict[str, float]:
    design, one = drawn()
    rules = Rules(joint=0.4, bonded=0.5, environment=1.0, factor=1.0)
    found = release_uses(
        design,
        replace(one, pins=pins),
        "hard",
        force,
        (0.0, 0.0, seat_z() + 60.0),
        material("cast-pmma"),
        "minutes",
        rules,
    )
    return {use.what: use.use for use in found}


def test_every_part_is_used_more_by_more_load_and_one_pin_is_taken_as_drawn() -> None:
    """Ten times the load is ten times the use; of two pins one bears all, of three two do. By hand: 600 N along bend one pin
    of 6 by 600 x 6 N mm: 32 x 3600 / (pi 216) = 169.8 MPa of 70."""
    small, large = uses((60.0, 30.0, 20.0)), uses((600.0, 300.0, 200.0))
    assert all(large[what] == pytest.approx(10.0 * use) for what, use in small.items())
    assert all(use > 0.0 for use in small.values())
    along = uses((600.0, 0.0, 0.0))
    assert along["pin, bent"] == pytest.approx(32.0 * 600.0 * 6.0 / (math.pi * 216.0) / 70.0)
    assert uses((600.0, 0.0, 0.0), pins=3)["pin, bent"] == pytest.approx(along["pin, bent"] / 2.0)


def test_a_load_over_what_it_bears_is_a_stop() -> None:
    """A pin of 2 mm: bent by the tank's weight of 60 N along the slot, 60 x 7.5 x 32 / (pi 8) = 570 MPa of 70."""
    found = held("swap-trough", ("shoes = 2", "shoes = 2\npin = 2"))
    assert found.report["checks"]["quick-release"] == "failed"
    assert "pin, bent" in said(found, "stop")


# ---- what must be there


METAL = ('style = "quick-release"', 'style = "quick-release"\n[plate.release]\nshoe = "steel"')
SLIDE = '[[case]]\nname = "go"\nkind = "slide"\ndirection = [1, 0, 0]\nacceleration = "0.3 m/s2"\n'


@pytest.mark.parametrize(
    ("name", "edits", "stop"),
    [
        ("bench-trough", (('[support]\nkind = "plates"', f'{SLIDE}[support]\nkind = "plates"\nretention = "lanyard"'),),
         "acrylic"),
        ("bench-trough", (('on = "bottom"', 'on = "back"'), ("size = [180, 90]", "size = [180, 60]")), "hangs on its flanks"),
        ("swap-trough", (("shoes = 2", "shoes = 2\npins = 1"),), "friction is no lock"),
        ("swap-trough", (('retention = "lanyard"', 'retention = "none"'),), "no retention"),
        ("swap-trough", (('on = "bottom"', 'on = "back"'), ('pull = "right"', 'pull = "down"'), ("[180, 90]", "[100, 90]")),
         "pulled out downward"),
        ("swap-trough", (("clearance = 0.65", "clearance = 2.9\nwear = 1"),), "under its lip"),
    ],
)  # fmt: skip
def test_what_friction_or_bonds_alone_would_hold_is_a_stop(
    name: str, edits: tuple[tuple[str, str], ...], stop: str
) -> None:
    found = held(name, *edits)
    assert stop in said(found, "stop")
    assert found.report["checks"]["quick-release"] == "failed"


def test_a_shoe_of_metal_is_proven_by_its_maker_alone() -> None:
    rated, unrated = held("swap-trough"), held("swap-trough", ("rated = 400\n", ""))
    assert rated.report["checks"]["quick-release"] == "passed"
    assert unrated.report["checks"]["quick-release"] == "not-proven"
    assert "rates it for at least" in unrated.made.got["quick-release"].until
    weak = held("swap-trough", ("rated = 400", "rated = 40"))
    assert "as its maker rates it" in said(weak, "stop")


def test_a_still_one_with_one_pin_is_warned_of() -> None:
    found = held("bench-trough", ('style = "quick-release"', 'style = "quick-release"\n[plate.release]\npins = 1'))
    assert found.report["checks"]["quick-release"] == "passed"
    assert "friction is no lock" in said(found, "care")


def test_play_grows_with_wear_and_shrinks_in_damp_air() -> None:
    """By hand, steel or aluminium: 0.65 dry; damp 0.65 - 90 x 0.003 = 0.38; worn 0.65 + 2 x 0.2 / sin 60 = 1.112; lift is half
    of it times tan 60."""
    (row,) = held("swap-trough").report["releases"]
    sideways = [state["sideways"] for state in row["slack"]]
    assert sideways == pytest.approx([0.65, 0.38, 0.65 + 0.4 / math.sin(math.radians(60.0))])
    assert [state["lift"] for state in row["slack"]] == pytest.approx([0.5 * s * TAN for s in sideways], rel=1e-5)
    assert row["slides_deg"] == pytest.approx(math.degrees(math.atan(0.1)))


# ---- wrong orders


WRONG: dict[str, tuple[str, tuple[tuple[str, str], ...], tuple[str, ...], str]] = {
    "an unknown style": ("bench-trough", (('"quick-release"', '"quick"'),), ("style",), "is not"),
    "a release of a bonded plate": ("swap-trough", (('style = "quick-release"\n', ""),), ("release",), "stays on"),
    "a slot": ("bench-trough", (("style =", "slot = 8\nstyle ="),), ("slot",), "plain or tapped"),
    "metal let in": ("bench-trough", (('holes = "tapped"', 'let-in = "nut"'),), ("let-in",), "plain or tapped"),
    "bolts through the wall": ("bench-trough", (('"tapped"', '"through"'),), ("holes",), "the wall has no bolts"),
    "a throw": ("swap-trough", (('kind = "slide"', 'kind = "throw"'),), ("style",), "is a throw"),
    "a steep flank": ("swap-trough", (("shoes = 2", "angle = 80"),), ("angle",), "45"),
    "a strip that jams": ("swap-trough", (("0.65", "0.2"),), ("clearance",), "jams"),
    "a narrow jaw": ("swap-trough", (("shoes = 2", "jaw = 15"),), ("jaw",), "too little beside its screws"),
    "pins that do not fit": ("swap-trough", (("shoes = 2", "pins = 4"), ("[180, 90]", "[180, 60]")), ("pins",), "at most 2"),
    "no way to the pins": ("swap-trough", (("[240, 150", "[400, 150"),), ("pull",), "no hand would get"),
    "two shoes of acrylic": ("bench-trough", (('release"', 'release"\n[plate.release]\nshoes = 2'),), ("shoes",), "one; or"),
    "heads in the slot": ("bench-trough", (('"tapped"', '"clearance"'),), ("holes",), "stand in the slot"),
    "a rating of acrylic": ("bench-trough", (('release"', 'release"\n[plate.release]\nrated = 99'),), ("rated",), "made here"),
    "a base of metal": ("swap-trough", (("shoes = 2", "base = 15"),), ("base",), "its maker"),
    "readings of nothing": ("swap-trough", (("thickness = 12\n", ""),), ("measured",), "not named"),
    "a bevel by laser": ("swap-trough", (("shoes = 2", 'cut = "laser"'),), ("cut",), "router"),
    "bolts in the jaws": ("bench-trough", (('"grid 40 3x2"', "[[-78, -62], [78, 62]]"),), ("pattern",), "too near"),
    "a pattern off the base": ("bench-trough", (('"grid 40 3x2"', '"grid 200 3x2"'),), ("pattern",), "pattern"),
    "a strip too thin": (
        "swap-trough", (("thickness = 12\nmeasured = [11.8, 11.9]", "thickness = 1"),), ("thickness",), "thicker",
    ),
}  # fmt: skip


@pytest.mark.parametrize("which", WRONG)
def test_a_wrong_order_is_refused_at_its_key(which: str) -> None:
    name, edits, key, says = WRONG[which]
    with pytest.raises(OrderError) as caught:
        built(name, *edits)
    assert any(problem.key[-len(key) :] == key and says in str(problem) for problem in caught.value.problems), str(
        caught.value
    )
    assert all(problem.line for problem in caught.value.problems)
