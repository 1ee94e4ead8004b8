"""A shoe of metal: its drawing, its model, the template of what it is bolted to; pins and lanyard where they go."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import pytest

from assemblies.design.model import Design
from assemblies.design.shown import as_shown, offsets_of, shoe_parts
from assemblies.kinds import kind, schemas
from assemblies.order import read_order
from assemblies.packet.bench.shoe_drawing import elsewhere, shoe_sheets, write_shoe_models
from assemblies.packet.drawings.assembly_drawing import list_rows
from assemblies.packet.drawings.drawing_words import DrawingSettings
from assemblies.packet.ink.primitives import Text
from assemblies.packet.models.hardware import hardware
from assemblies.shop.drill.counterpart import counterparts

ORDERS = Path(__file__).parents[3] / "orders"
FORCES = {"jaw": 58.0, "spread": 101.0, "along": 62.0}


@cache
def design(name: str = "swap-trough") -> Design:
    order = read_order(ORDERS / f"{name}.toml", schemas())
    return kind(order.kind).build(order)


def test_the_section_has_what_a_machinist_gauges() -> None:
    """By hand: slot open 90 + 0.65 at its lips; between pins of 6 at its floor 90 + 2 x 11.85 cot 60 + 0.65 - 6 (1 + cot 30) =
    87.94; Machinery's Handbook, dovetail slides."""
    (release,) = elsewhere(design())
    sheets = shoe_sheets(design(), release, FORCES, DrawingSettings())
    wanted = 90.0 + 2.0 * 11.85 / math.tan(math.radians(60.0)) + 0.65 - 6.0 * (1.0 + 1.0 / math.tan(math.radians(30.0)))
    values = [d.value_mm for d in sheets[0].dimensions]
    assert min(abs(v - wanted) for v in values) < 1e-6
    assert min(abs(v - 90.65) for v in values) < 1e-6
    said = " ".join(item.text for item in sheets[0].items if isinstance(item, Text))
    for words in ("MADE ELSEWHERE, NOT CUT HERE", "flank 60", "root R 1", "aluminium", "M6", "58 N", "at least 120 N"):
        assert words in said, words
    plan = [round(d.value_mm, 2) for d in sheets[1].dimensions]
    middle = release.shoe.base.size_mm[0] / 2.0
    assert round(middle + release.length / 2.0 + release.reach, 2) in plan  # the line of the pins
    assert round(middle - release.length / 2.0 - release.shoe.stop[0], 2) in plan  # the stop
    assert len(sheets) == 2 + len({one.piece for one in release.shoe.made})


def test_a_shoe_of_acrylic_is_made_here_alone(tmp_path: Path) -> None:
    assert elsewhere(design("bench-trough")) == ()
    write_shoe_models(design("bench-trough"), tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_what_a_metal_shoe_is_bolted_to_is_tapped_where_its_base_has_its_holes() -> None:
    """Clearance holes of M6 in the base, so that the rig has the thread; seen from the plate x runs the other way (bottom)."""
    (other,) = counterparts(design())
    (release,) = design().releases
    assert (other.plates, {h.made for h in other.holes}) == (("shoe-1",), {"tapped"})
    wide = release.shoe.base.size_mm
    mine = sorted((round(h.x_mm - wide[0] / 2.0, 6), round(h.y_mm - wide[1] / 2.0, 6)) for h in release.shoe.base.holes)
    there = sorted(
        (round(x - other.size[0] / 2.0, 6), round(y - other.size[1] / 2.0, 6)) for x, y in (h.at for h in other.holes)
    )
    assert there == mine  # symmetrical about both middles


@pytest.mark.parametrize("name", ["swap-trough", "bench-trough", "lift-off-column"])
def test_pins_and_lanyard_are_seen_in_their_bores_and_listed(name: str) -> None:
    one, (release,) = design(name), design(name).releases
    bodies = list(hardware(one, None))
    pins = [body for body in bodies if body.kind == "pin"]
    assert len(pins) == release.pins
    strip = one.instance(release.strip)
    bores = [strip.world(h.x_mm, h.y_mm, 0.0) for h in strip.piece.holes if h.diameter_mm == release.bore]
    for body in pins:
        assert min(math.dist(body.at, bore) for bore in bores) < 1e-6
        assert body.shape.points[:, 2].max() == pytest.approx(release.grip)
    assert sum(body.kind == "band" for body in bodies) == release.pins
    assert any(body.kind == "shackle" for body in bodies)
    rows = {row[2]: row for row in list_rows(one, DrawingSettings())}
    assert (rows["locking-pin"][1], rows["locking-pin"][3]) == (str(release.pins), "steel, bought")
    names = [p.name for p in as_shown(one).placed]
    assert len(set(names)) == len(names)
    shown = offsets_of(one, {release.strip: (0.0, 0.0, -50.0)})
    assert shown["pin-1-1"][2] == pytest.approx(-50.0 + 1.5 * release.grip)


def test_a_metal_shoe_is_shown_where_one_of_acrylic_would_stand() -> None:
    (release,) = design().releases
    kinds = {p.piece.kind for p in as_shown(design()).placed}
    assert {"aluminium", "pin", "shackle", "screw"} <= kinds
    assert "aluminium" not in {p.piece.kind for p in design().placed}
    lips = [p.world(0.0, p.piece.outline.size_mm[1], 0.0)[1] for p in shoe_parts(release)[1:3]]
    assert abs(lips[1] - lips[0]) == pytest.approx(release.narrow + release.clearance)
