"""Orders and designs that were passed, or not stopped, until a guard was set; and checks that run for every design."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest
from asked import ask
from held import hold

from assemblies import examine as examining
from assemblies.cutting import cut_orders
from assemblies.design.model import Design
from assemblies.kinds import kind, schemas, starter
from assemblies.liquid import Cavity, Mesh, round_cavity
from assemblies.liquid.state import filled
from assemblies.order import Order, OrderError, read_order_text
from parts.shape.piece import Hole

ORDERS = Path(__file__).parent.parent / "orders"


def order(name: str) -> Order:
    return read_order_text((ORDERS / f"{name}.toml").read_text(encoding="utf-8"), schemas())


def quick(given: Order) -> list[dict[str, str]]:
    """What is said of an order without strength and kernel."""
    return list(ask(given, "fit").report["findings"])


@pytest.mark.parametrize(
    ("name", "check", "where", "why"),
    [
        ("plate-overhang", "plates", "plate-1", "2 of its 4 holes lie at or past the edge"),
        ("plate-overhang", "plates", "plate-2", "2 of its 4 holes lie at or past the edge"),
        ("plate-30-percent", "plates", "plate-1", "only 30 % of it lies on the bottom face"),
        (
            "thin-plate-thread",
            "holes",
            "plate",
            "M8: 0.4 diameters of full thread after chamfers, under the minimum of 1",
        ),
    ],
)
def test_an_order_of_the_trial_is_stopped(name: str, check: str, where: str, why: str) -> None:
    found = [f for f in quick(order(name)) if f["check"] == check and f["where"] == where and why in f["why"]]
    assert [f["level"] for f in found] == ["stop"]


def test_the_pieces_still_to_be_cut_follow_the_one_that_is() -> None:
    """The trial's bottom, 0.3 mm over: "cut bottom last" was said of a piece that was cut."""
    said = quick(order("as-cut"))
    assert [f for f in said if f["check"] == "fit" and f["level"] != "note"] == []
    to_cut = {f["where"]: f for f in said if f["check"] == "fit"}
    assert set(to_cut) == {"left", "right", "front", "back"}
    assert "150.30 x 200.00 mm" in to_cut["left"]["why"]
    assert {f["do"] for f in to_cut.values()} == {"for its width set the fence to the bottom in your hand"}


def wet(fill: str) -> Order:
    text = starter("tank")
    assert 'fill = "120 mm"' in text
    return read_order_text(text.replace('fill = "120 mm"', f'fill = "{fill}"'), schemas())


def drum(given: Order) -> Design:
    """The starter's panels about a drum, 80 mm in radius and 140 deep."""
    inside = round_cavity(80.0, 140.0, base=(0.0, 0.0, 6.0))
    return replace(kind("tank").build(given, None), cavities=(inside,))


def test_a_round_cavity_is_filled_by_depth_and_its_strength_is_not_covered() -> None:
    given = wet("120 mm")
    inside = filled(given, drum(given))
    assert (inside.volume_mm3, inside.most_mm3) == pytest.approx(
        (math.pi * 6400.0 * 120.0, math.pi * 6400.0 * 140.0), rel=1e-9
    )
    held = hold(given, drum(given))
    assert held.checks["strength"] == "not-covered"
    assert held.liquid["fill_depth"] == pytest.approx(120.0)


def test_a_round_cavity_filled_over_its_depth_is_refused() -> None:
    given = wet("145 mm")
    with pytest.raises(OrderError, match="145 mm is deeper than the inside"):
        filled(given, drum(given))


@pytest.mark.parametrize("lean", [0.0, 0.3, math.pi / 2])
def test_the_depth_of_a_drum_is_that_of_its_silhouette(lean: float) -> None:
    one = round_cavity(80.0, 140.0, axis=(math.sin(lean), 0.0, math.cos(lean)), lid="sealed")
    assert one.depth_mm == pytest.approx(140.0 * math.cos(lean) + 160.0 * math.sin(lean))


def test_a_mesh_has_a_depth_too() -> None:
    corners = ((0.0, 0.0, 1.0), (9.0, 0.0, 1.0), (0.0, 9.0, 1.0), (0.0, 0.0, 8.0))
    mesh = Mesh(points=corners, triangles=((0, 2, 1), (0, 1, 3), (0, 3, 2), (1, 2, 3)))
    assert Cavity(mesh=mesh).depth_mm == pytest.approx(7.0)


def test_holes_and_sheets_of_any_design_are_looked_at_whatever_its_builder_does(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A kind whose builder says nothing: a hole 2 mm from the edge is a stop all the same, in `examine` and in `cut`."""

    def careless(given: Order, thickness: object) -> Design:
        design = kind("tank").build(given, None)
        hole = Hole(x_mm=2.0, y_mm=50.0, kind="through", diameter_mm=3.0)
        bad = [
            replace(p, piece=replace(p.piece, name=p.name, holes=(hole,))) for p in design.placed if p.name == "left"
        ]
        return replace(design, placed=(*bad, *(p for p in design.placed if p.name != "left")), findings=())

    one = replace(kind("tank"), build=careless)
    monkeypatch.setattr(examining, "kind", lambda name: one)
    given = wet("120 mm")
    for said in (quick(given), cut_orders([given]).report["findings"]):
        assert ("stop", "left") in [(f["level"], f["where"]) for f in said if f["check"] == "holes"]
        assert any(f["check"] == "sheet" for f in said)
