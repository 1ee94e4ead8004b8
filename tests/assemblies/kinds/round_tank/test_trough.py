"""A trough before a notch in the tube: its pieces by hand, its solids on the tube, what pours over it, what its bond bears."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest
from asked import ask
from round_orders import START, built, with_keys

from assemblies.examine import Examined
from assemblies.fit.check import check_fit
from assemblies.fit.checks import fit_rules
from assemblies.fit.curved import curvature_mm
from assemblies.fit.seams import seams
from assemblies.kinds import schemas
from assemblies.liquid.state import LiquidState
from assemblies.order import OrderError, read_order_text
from assemblies.strength.proof.figures import Strength
from parts.shape.mesh import mesh

TROUGH = '[round-tank.lip]\nkind = "trough"\nwidth = 40\ndepth = 30\nout = 45\non = "{}"\n'
START = START.replace('fill  = "250 mm"', 'fill  = "240 mm"')
FRONT = with_keys(START, "", TROUGH.format("front"))
RADIUS, BORE, WALL = 199.9333 / 2.0, 189.9333 / 2.0, 5.0  # by the starter's readings


@pytest.fixture(scope="module")
def asked() -> Examined:
    return ask(read_order_text(FRONT, schemas()))


def test_its_pieces_by_hand(asked: Examined) -> None:
    """Floor: 45 mm and the tube's sagitta over 20 mm. Sides: bevelled to the tangent 22.5 mm off the middle."""
    floor, side = (asked.design.instance(name).piece for name in ("trough-floor", "trough-side-left"))
    sagitta = RADIUS - math.sqrt(RADIUS**2 - 20.0**2)
    assert floor.size_mm == pytest.approx((40.0, 45.0 + sagitta, 5.0), abs=1e-3)
    segment = RADIUS**2 * math.asin(20.0 / RADIUS) - 20.0 * math.sqrt(RADIUS**2 - 400.0)
    assert floor.volume_mm3 == pytest.approx((40.0 * (45.0 + sagitta) - segment) * 5.0, rel=1e-5)
    (bevel,) = side.bevels
    assert bevel.angle_rad == pytest.approx(math.asin(22.5 / RADIUS), abs=1e-6)
    outer = math.sqrt(RADIUS**2 - 22.5**2) - math.tan(bevel.angle_rad) * 2.5
    assert side.size_mm == pytest.approx((RADIUS + 45.0 - outer, 35.0, 5.0), abs=1e-3)
    assert asked.design.instance("trough-side-right").piece == side


@pytest.mark.parametrize("side", ["front", "back", "left", "right"])
def test_its_solids_stand_on_the_tube_where_fit_says(side: str) -> None:
    """By the corners of the meshes: none is inside the tube's circle; a side's end stands off by the seam's gap."""
    design = built(with_keys(START, "", TROUGH.format(side)))
    way = {"front": (0, -1), "back": (0, 1), "left": (-1, 0), "right": (1, 0)}[side]
    gaps = {s.b: s for s in seams(design) if s.kind == "saddle"}
    assert set(gaps) == {"trough-floor", "trough-side-left", "trough-side-right"}
    for name, seam in gaps.items():
        placed = design.instance(name)
        points = np.array([placed.world(*p) for p in mesh(placed.piece).points_mm])
        off = np.hypot(points[:, 0], points[:, 1])
        near = off[off < RADIUS + 2.0]
        assert near.min() == pytest.approx(RADIUS + seam.gap_mm, abs=2e-3)
        assert near.min() > RADIUS - 2e-3
        assert (points[:, :2] @ np.array(way)).max() == pytest.approx(RADIUS + 45.0, abs=1e-3)
        assert (points[:, 2].min(), points[:, 2].max()) == pytest.approx(
            (
                design.instance("tube").box[1][2] - 35.0,
                design.instance("tube").box[1][2] - (30.0 if "floor" in name else 0.0),
            )
        )
    assert gaps["trough-side-left"].gap_mm == pytest.approx(
        curvature_mm(RADIUS, 2.5 / math.cos(math.asin(22.5 / RADIUS))), abs=1e-4
    )
    assert gaps["trough-floor"].gap_mm == 0.0
    assert gaps["trough-floor"].length_mm == pytest.approx(2.0 * RADIUS * math.asin(20.0 / RADIUS), abs=1e-3)


def test_the_kernel_finds_no_two_pieces_in_each_other() -> None:
    order = read_order_text(FRONT, schemas())
    fit = check_fit(built(FRONT), fit_rules(order))
    assert fit.passed
    assert fit.interferences == ()
    assert {s.seals for s in fit.seams} == {"ok"}


def test_it_pours_through_the_trough_first() -> None:
    """By hand: the level goes through the notch's inner edge, at (r, 270); down the trough it only goes on."""
    found = ask(read_order_text(with_keys(START, "", TROUGH.format("right")), schemas()), "hold")
    state = found.made.of(LiquidState)
    assert state is not None
    area = math.pi * BORE**2
    assert state.capacity_l == pytest.approx(area * 270.0 / 1e6, rel=1e-6)
    kept = {k.toward: k for k in state.at_tilt if k.tilt_deg == 30.0}
    assert kept["right"].kept_l == pytest.approx(area * (270.0 - BORE * math.tan(math.radians(30.0))) / 1e6, rel=1e-6)
    assert len(kept) > 1
    assert all(k.kept_l > kept["right"].kept_l for side, k in kept.items() if side != "right")
    assert "through the trough on the right" in str(found.report["liquid"])


def test_it_is_bonded_together_then_set_on_the_tube(asked: Examined) -> None:
    rows = asked.report["bonding"]["seams"]
    assert [row["kind"] for row in rows][-3:] == ["saddle"] * 3
    (step,) = [s for s in asked.report["bonding"]["steps"] if "trough" in s["text"] and "vee" in s["text"]]
    assert "thickened" not in step["text"]
    assert step["cautions"]
    assert {row["b"] for row in rows if row["kind"] == "corner"} >= {"trough-side-left", "trough-side-right"}


def test_its_pieces_are_cut_and_drilled_for_nothing(asked: Examined) -> None:
    placed = [(s["thickness"], p["name"]) for s in asked.report["nesting"]["sheets"] for p in s["placed"]]
    assert sorted(name for thick, name in placed if thick == 5.0) == [
        "trough-floor",
        "trough-side-left",
        "trough-side-right",
    ]


def _filled(thickness: float) -> Any:
    """A narrow tube, whose curve leaves thick sides a wide wedge."""
    small = "measured-outside = [100.0]\nwall = 3\nmeasured-wall = [3.0]"
    lip = f'[round-tank.lip]\nkind = "trough"\nwidth = 20\ndepth = 20\nthickness = {thickness}\n'
    text = with_keys(
        START.replace("outside = 200 ", "outside = 100 ").replace("outside = 270", "outside = 180"), small, lip
    )
    text = text.replace("circle  = 240", "circle  = 145")
    return text.replace("[66, 0]", "[0, 0]")


@pytest.mark.parametrize(("thickness", "level", "joint"), [(3.0, "ok", 0.4), (10.0, "care", 0.2), (18.0, "stop", 0.2)])
def test_a_wide_wedge_is_filled_or_refused_and_counts_half(thickness: float, level: str, joint: float) -> None:
    """Wedge by hand: R - sqrt(R2 - h2), h half the bevelled end; 10 mm: h = 5.24, 0.28 mm; 18 mm: h = 9.73, 0.96 mm."""
    found = ask(read_order_text(_filled(thickness), schemas()))
    thick = found.design.instance("trough-side-left").piece.thickness_mm  # 10 mm is the sheet that was read
    half = thick / 2.0 / math.cos(math.asin((10.0 + thick / 2.0) / 50.0))
    row = next(s for s in found.report["fit"]["seams"] if s["b"] == "trough-side-left" and s["a"] == "tube")
    assert row["seals"] == level
    assert row["gap"]["nominal"] == pytest.approx(50.0 - math.sqrt(2500.0 - half**2), abs=1e-6)
    steps = " ".join(s["text"] for s in found.report["bonding"]["steps"])
    assert ("thickened cement" in steps) == (level != "ok")
    figures = found.made.of(Strength)
    assert figures is not None
    trough = next(s for s in figures.proof.seams if s.seam == "trough-tube")
    assert trough.allowed.joint == pytest.approx(joint)


WRONG: Mapping[str, tuple[str, str, str]] = {
    "with no width": ("", 'kind = "trough"\ndepth = 20', "round-tank.lip.width"),
    "with no depth": ("", 'kind = "trough"\nwidth = 40', "round-tank.lip.depth"),
    "of a kind that is none": ("", 'kind = "gutter"\nwidth = 40\ndepth = 20', "round-tank.lip.kind"),
    "a notch that reaches out": ("", "width = 40\ndepth = 20\nout = 30", "round-tank.lip.out"),
    "a notch of a sheet": ("", 'kind = "notch"\nwidth = 40\ndepth = 20\nthickness = 5', "round-tank.lip.thickness"),
    "that hardly stands out": ("", 'kind = "trough"\nwidth = 40\ndepth = 20\nout = 2', "round-tank.lip.out"),
    "that reaches in": ("", 'kind = "trough"\nwidth = 40\ndepth = 20\nout = -30', "round-tank.lip.out"),
    "of no sheet": ("", 'kind = "trough"\nwidth = 40\ndepth = 20\nthickness = 0', "round-tank.lip.thickness"),
    "with sides too steep": ("", 'kind = "trough"\nwidth = 90\ndepth = 20\nthickness = 30', "round-tank.lip.width"),
    "as wide as the bore": ("", 'kind = "trough"\nwidth = 180\ndepth = 20', "round-tank.lip.width"),
    "down to the floor": ("", 'kind = "trough"\nwidth = 40\ndepth = 280', "round-tank.lip.depth"),
    "under a lid": ('lid = "loose"', 'kind = "trough"\nwidth = 40\ndepth = 20', "a lid lies over"),
    "in a length of angle": ("", 'kind = "trough"\nwidth = 40\ndepth = 20\nout = "30 deg"', "round-tank.lip.out"),
    "with the seam along in it": ("", 'width = 40\ndepth = 20\non = "left"\n[round-tank.rolled]\nseam = "left"', "rolled.seam"),
}  # fmt: skip


@pytest.mark.parametrize("what", WRONG)
def test_wrong_orders_of_troughs_are_refused_at_their_place(what: str) -> None:
    keys, lip, says = WRONG[what]
    with pytest.raises(OrderError, match=says.replace(".", r"\.")):
        built(with_keys(START, keys, f"[round-tank.lip]\n{lip}\n"))
