"""A lid that is screwed to the ring: where its screws stand, what it keeps in, what it bears, what is refused."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import pytest
from asked import ask
from round_orders import START, built, lidded, with_keys

from assemblies.kinds import schemas
from assemblies.liquid.state import LiquidState
from assemblies.order import OrderError, read_order_text
from assemblies.strength.proof.loads import Loads
from assemblies.strength.round.checks import round_tank_of
from assemblies.strength.round.lid import Cover, lifted_lid
from assemblies.strength.round.prove import Prover
from parts.findings import NotCovered
from parts.stock.material import material
from parts.stock.thread import thread

COVER = Cover(
    lid=10.0, ring=10.0, circle=105.0, edge=115.0, middle=97.5, outside=100.0, wall=5.0, count=6, screw=4.0, hole=4.5,
    thread_mm2=60.0, vent=0.0, sheet=material("cast-pmma"),
)  # fmt: skip


def test_screws_stand_beside_the_tube_and_go_through_lid_and_ring() -> None:
    """By hand: M4 between 199.93 + 4 + 2 and 230 - 4.5 - 12 mm; six at the least, at most 120 mm apart."""
    design = built(lidded())
    lid, ring = design.instance("lid"), design.instance("ring")
    assert [h.kind for h in ring.piece.holes] == ["tapped"] * 6
    places = [(h.x_mm, h.y_mm) for h in lid.piece.holes]
    assert places == [(h.x_mm, h.y_mm) for h in ring.piece.holes]
    radius = (199.9333 + 4.0 + 2.0 + 230.0 - 4.5 - 12.0) / 4.0
    assert [math.hypot(x - 115.0, y - 115.0) for x, y in places] == pytest.approx([radius] * 6, abs=0.02)
    assert lid.box[0][2] == pytest.approx(ring.box[1][2])
    (screw,) = [f for f in design.fasteners if f.piece == "lid"]
    assert (screw.through, screw.count, screw.thread) == (("lid", "ring"), 6, "M4")
    assert [j.kind for j in design.joints] == ["screwed"]
    assert any("gasket" in one.item for one in design.bought)


def test_it_keeps_in_what_an_open_tank_pours_and_breathes_by_its_vent() -> None:
    """No lip is left; the vent in the middle, 12 mm wide, stands at the top: at 40 degrees the starter's fill is under it."""
    state = ask(read_order_text(lidded(), schemas()), "hold").made.of(LiquidState)
    assert state is not None
    assert state.cavity.lips == ()
    (vent,) = [p for p in state.cavity.ports if p.kind == "vent"]
    assert vent.free_mm2 == pytest.approx(math.pi * 36.0)
    open_one = ask(read_order_text(START, schemas()), "hold").made.of(LiquidState)
    assert open_one is not None
    kept = [
        next(k.kept_l for k in one.at_tilt if k.toward == "right" and k.tilt_deg == 45.0) for one in (state, open_one)
    ]
    assert kept[0] > kept[1]


def test_without_a_vent_it_is_not_covered_and_the_advice_is_a_key_of_this_kind() -> None:
    bare = ask(read_order_text(lidded(""), schemas()), "hold")
    assert bare.made.got["strength"].state == "not-covered"
    (said,) = [f for f in bare.made.findings if "closed box" in f.why]
    assert said.do.startswith("a vent through the middle of the lid: [round-tank] vent = ")
    vented = ask(read_order_text(lidded(), schemas()), "hold")
    assert vented.made.got["strength"].state == "passed"


def test_a_lift_by_hand() -> None:
    """1000 N evenly over a bore of radius 95: a plate of radius 105 on its edge, (3 + nu) q c2 / 16; its screws with the
    prising of a clamped edge; the ring's cantilever of 5 mm; the seam's moment of 7.5 mm about the wall's middle."""
    found, q = lifted_lid(COVER, 95.0, 1000.0), 1000.0 / (math.pi * 95.0**2)
    nu = COVER.sheet.poisson
    assert found.panel == pytest.approx(6.0 * (3.0 + nu) / 16.0 * q * 105.0**2 / 100.0, rel=1e-6)
    total = q * math.pi * 105.0**2
    assert found.pull == pytest.approx((total + 2.0 * math.pi * 105.0 * q * 105.0**2 / 8.0 / 10.0) / 6.0, rel=1e-9)
    assert found.thread == pytest.approx(math.sqrt(3.0) * found.pull / 60.0)
    assert found.ring == pytest.approx(6.0 * 1000.0 / (2.0 * math.pi * 100.0) * 5.0 / 100.0)
    assert found.bending == pytest.approx(6.0 * 1000.0 / (2.0 * math.pi * 97.5) * 7.5 / 25.0)
    assert found.tension == pytest.approx(1000.0 / (2.0 * math.pi * 97.5 * 5.0))
    assert found.at_screws > found.panel


def test_what_presses_further_out_bends_the_lid_less_than_what_is_taken() -> None:
    """A free plate under a load on a ring of radius b: largest moment at its middle, P ((1 + nu) ln(a / b) + (1 - nu)
    (a2 - b2) / (2 a2)) / 4 pi (Timoshenko, art. 16, from memory); liquid that turns presses outside 0.5 of the bore."""
    nu, a = COVER.sheet.poisson, 105.0
    even = lifted_lid(COVER, 95.0, 1.0).panel
    for b in (60.0, 75.0, 95.0):
        moment = ((1.0 + nu) * math.log(a / b) + (1.0 - nu) * (a * a - b * b) / (2.0 * a * a)) / (4.0 * math.pi)
        assert 6.0 * moment / 100.0 < even


def test_what_the_lid_bears_is_where_its_worst_use_is_one() -> None:
    found = ask(read_order_text(lidded(), schemas()), "hold")
    loads = found.made.of(Loads)
    assert loads is not None
    tank = round_tank_of(found.design, loads)
    assert tank.cover is not None
    assert tank.cover.thread_mm2 < thread("M4").internal_shear_area_mm2(tank.cover.ring)  # less its chamfers
    prover = Prover(tank, loads.settings)
    bears = prover.lid_bears_n("minutes")
    uses, seams = prover.under_lift("spun", "minutes", bears)
    assert max(one.use for one in (*uses, *seams)) == pytest.approx(1.0)
    assert {(u.piece, u.what) for u in uses} == {("lid", "panel"), ("lid", "hole"), ("ring", "panel"), ("ring", "hole")}
    assert prover.lid_bears_n("permanent") < bears
    assert found.report["strength"]["lid_bears_n"]["minutes"] == pytest.approx(bears)
    bare = Prover(replace(tank, cover=None), loads.settings)
    with pytest.raises(NotCovered, match="nothing holds down"):
        bare.under_lift("spun", "minutes", 1.0)


WRONG: Mapping[str, tuple[str, str, str]] = {
    "without a ring": ("vent = 12", "", "round-tank.ring"),
    "a ring too narrow for its screws": ("", "[round-tank.ring]\noutside = 214\n", "at least 2"),
    "a circle on the tube": ("", "[round-tank.ring]\noutside = 230\ncircle = 202\n", "round-tank.ring.circle"),
    "a circle off the ring": ("", "[round-tank.ring]\noutside = 230\ncircle = 228\n", "round-tank.ring.circle"),
    "too few screws": ("", "[round-tank.ring]\noutside = 230\nbolts = 4\n", "round-tank.ring.bolts"),
    "screws that meet": ("", '[round-tank.ring]\noutside = 260\nthread = "M8"\nbolts = 48\n', "mm apart"),
    "a ring too thin for its thread": ("", "[round-tank.ring]\noutside = 230\nthickness = 4\n", "less than its diameter"),
    "a thread that is none": ("", '[round-tank.ring]\noutside = 230\nthread = "N4"\n', "round-tank.ring.thread"),
    "a vent as wide as the lid": ("vent = 150", "[round-tank.ring]\noutside = 230\n", "round-tank.vent"),
    "a vent of nothing": ("vent = 0", "[round-tank.ring]\noutside = 230\n", "round-tank.vent"),
    "a lid without thickness": ("lid-thickness = -2", "[round-tank.ring]\noutside = 230\n", "round-tank.lid-thickness"),
}  # fmt: skip


@pytest.mark.parametrize("what", WRONG)
def test_wrong_orders_of_a_screwed_lid_are_refused_at_their_place(what: str) -> None:
    keys, ring, says = WRONG[what]
    with pytest.raises(OrderError, match=says.replace(".", r"\.")):
        built(lidded(keys, ring))


@pytest.mark.parametrize(
    ("keys", "tables", "says"),
    [
        ("vent = 12", "", "round-tank.vent"),
        ("lid-thickness = 8", "", "there is no lid"),
        ('lid = "loose"', "[round-tank.ring]\noutside = 230\nbolts = 8\n", "round-tank.ring.bolts"),
    ],
)
def test_keys_of_a_screwed_lid_without_it_are_refused(keys: str, tables: str, says: str) -> None:
    with pytest.raises(OrderError, match=says):
        built(with_keys(START, keys, tables))
