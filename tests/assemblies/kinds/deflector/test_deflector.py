"""Deflectors: what is built, heated, bent and lit, what is stopped, and what is refused."""

from __future__ import annotations

import math
from functools import cache

import pytest
from starters import bare

from assemblies.examine import Examined, examine
from assemblies.kinds import kind, schemas
from assemblies.kinds.deflector.build import build_deflector
from assemblies.kinds.deflector.light import hottest, trace
from assemblies.kinds.deflector.mirror import best_spot, mirror, thrown_back
from assemblies.order import Order, OrderError, read_order_text
from parts.shape.bent import bent, heated

START = bare("deflector")
CURVE = 'shape  = "curved"              # curved: over a former | bent: along straight lines (legs, bends, inside)'
LAMP = START[START.index("[deflector.light.lamp]") : START.index("[deflector.heat]")]
BENT = (
    START.replace('shape  = "curved" ', 'shape  = "bent" ').replace("radius = 400 ", "legs = [60, 220, 60] # ")
    .replace("angle  = 40 ", "bends = [50, 50] #").replace("ends   = [45, 45] ", "inside = 9 # ")
    .replace('by   = "oven" ', 'by   = "strip" ').replace('air  = "180 C" ', "# ").replace("shrinkage =", "# ")
    .replace('surface = "film" ', 'surface = "clear" ').replace("reflects =", "# ")
)  # fmt: skip


def ordered(text: str = START) -> Order:
    return read_order_text(text, schemas(), "order.toml")


@cache
def held(text: str = START) -> Examined:
    return examine(ordered(text), kind("deflector").asked("hold", solids=False))


def edited(old: str, new: str, text: str = START) -> str:
    assert old in text, old
    return text.replace(old, new, 1)


def said(found: Examined, level: str = "") -> str:
    return " | ".join(
        f"{f['level']}: {f['where']}: {f['why']}" for f in found.report["findings"] if f["level"].startswith(level)
    )


def test_the_starter_holds() -> None:
    checks = held().report["checks"]
    assert {name: checks[name] for name in ("bend", "light", "strength")} == dict.fromkeys(
        ("bend", "light", "strength"), "passed"
    )
    assert said(held(), "stop") == ""
    assert {"bending", "light", "own-weight"} <= {s.id for s in held().sections}


def test_once_heated_it_is_as_long_as_its_ends_and_the_middle_of_its_arc() -> None:
    piece = build_deflector(ordered()).placed[0].piece
    made = heated(piece)
    thick = 4.02 / (1.0 - 0.018) ** 2
    arc = math.radians(40.0) * (400.0 + thick / 2.0)
    assert made.outline.size_mm == pytest.approx((90.0 + arc, 240.0))
    assert piece.outline.size_mm == pytest.approx(((90.0 + arc) / 0.982, 240.0 / 0.982))
    assert [h.diameter_mm for h in made.holes] == pytest.approx([4.8 * 0.982] * 4)  # at least the 4.5 of ISO 273
    assert bent(piece).bands[0].inside_mm == 400.0
    low, high = build_deflector(ordered()).placed[0].box
    assert low[2] == pytest.approx(0.0, abs=1e-9)
    assert low[0] == pytest.approx(-high[0], abs=1e-9)  # level from end to end


def test_the_sheet_of_heat_is_that_of_its_doors() -> None:
    sheet = held().report["bending"][0]
    line = sheet["lines"][0]
    assert (line["former_radius"], line["former_angle_deg"]) == pytest.approx(
        ((400.0 + sheet["thick_formed"] / 2.0) * 0.985 - sheet["thick_formed"] / 2.0, 40.0 / 0.985), rel=1e-6
    )
    assert sheet["minutes_least"] < sheet["minutes"] < sheet["minutes_most"]
    assert sheet["cold_radius"] > 300.0 * sheet["thick_formed"] > line["inside"]  # it cannot be curved cold
    assert sheet["ribs"]["count"] == 5
    text = " ".join(sheet["steps"])
    for word in ("24 h at 80", "shrinks as it warms", "former", "gauge", "before any solvent"):
        assert word in text


def test_rays_agree_with_the_closed_forms_of_a_round_mirror() -> None:
    """All light on the arc alone, its flat ends cut short: 801 rays against the formulas."""
    hung = build_deflector(ordered()).placed[0]
    found, by_hand = trace(hung, 600.0, 240.0), mirror(400.0, 120.0, 600.0, True)
    assert (found.edge_mm, found.spot_mm / 2.0) == pytest.approx((by_hand.focus_edge, by_hand.half), rel=1e-6)
    assert found.focus_mm == pytest.approx(by_hand.focus, rel=1e-5)
    assert (found.narrow_at_mm, found.narrow_mm / 2.0) == pytest.approx(best_spot(400.0, 120.0), rel=1e-4)
    assert found.turned_deg == pytest.approx(2.0 * math.degrees(by_hand.turned), rel=1e-6)
    assert found.lost == 0.0


def test_a_round_side_spreads_the_beam_as_the_closed_form_says() -> None:
    text = edited('lit    = "hollow"', 'lit    = "round"')
    hung = build_deflector(ordered(text)).placed[0]
    thick = bent(hung.piece).bands[0].thick_mm
    found, by_hand = trace(hung, 600.0, 240.0), mirror(400.0 + thick, 120.0, 600.0, False)
    assert found.spot_mm / 2.0 == pytest.approx(by_hand.half, rel=1e-6)
    assert found.focus_mm == pytest.approx(by_hand.focus, rel=1e-5)
    assert (found.narrow_at_mm, found.narrow_mm) == (
        0.0, pytest.approx(2.0 * mirror(400.0 + thick, 120.0, 1e-9, False).half, rel=1e-6),
    )  # fmt: skip
    light = held(text).report["light"]
    assert "nowhere narrower than 265 mm" in light["sentences"][1]
    assert light["gathers"] > 50.0  # its back is hollow, and its film throws back there too


def test_flat_legs_turn_the_beam_by_twice_their_slope() -> None:
    """Two legs 20 degrees to either side of level: rays leave at 40 degrees, and cross."""
    text = edited("legs = [60, 220, 60]", "legs = [150, 150]", BENT).replace("bends = [50, 50]", "bends = [40]")
    hung = build_deflector(ordered(text)).placed[0]
    found = trace(hung, 400.0)
    assert found.turned_deg == pytest.approx(80.0, abs=1e-6)
    assert thrown_back(1.49) == pytest.approx(held(text).report["light"]["thrown_back"], abs=1e-6)


def test_the_hottest_place_of_a_round_mirror_is_as_bright_as_the_picture_of_the_sun() -> None:
    """Near the paraxial focus the sun's picture is f x 0.53 degrees wide, and all but the outer rays fall into it."""
    hung = build_deflector(ordered()).placed[0]
    gathers, at = hottest(hung, 0.0, math.radians(0.53))
    picture = 200.0 * math.radians(0.53)
    assert 190.0 < at < 200.0
    assert 0.6 * 274.0 / picture < gathers < 274.0 / picture


LONG = START.replace("measured  = [4.02, 4.00, 4.04]", "").replace("ends   = [45, 45]", "ends   = [600, 45]")
STOPS = [
    ('guard  = "shroud"', 'guard  = "none"', START, "burns skin"),
    ('guard  = "shroud"', 'guard  = "none"', edited('lit    = "hollow"', 'lit    = "round"'), "before a hollow side"),
    ('surface = "film"', 'surface = "silvered"', START, "crazes, clouds"),
    ("power    = 12", "power    = 500", START, "it softens"),
    ("radius = 400", "radius = 7", edited("angle  = 40", "angle  = 90"), "under 2 thicknesses"),
    ("thickness = 4 ", "thickness = 2 ", LONG, "its own weight"),
    ("inside = 9", "inside = 6", BENT, "under 2 thicknesses"),
    ("inside = 9", "inside = 40", BENT, "a strip heater warms at most"),
    ("legs = [60, 220, 60]", "legs = [60, 25, 60]", BENT, "heated bands"),
    ("legs = [60, 220, 60]", "legs = [16, 220, 60]", edited("bolts  = 2", "bolts  = 0", BENT), "cannot be held"),
    ("legs = [60, 220, 60]", "legs = [28, 220, 60]", BENT, "goes oval"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "text", "words"), STOPS, ids=[row[3] for row in STOPS])
def test_what_burns_crazes_or_cannot_be_bent_is_stopped(old: str, new: str, text: str, words: str) -> None:
    found = held(edited(old, new, text))
    assert words in said(found, "stop")
    assert found.report["verdict"] == "stop"


def test_without_its_lamp_the_heat_is_not_covered() -> None:
    found = held(START.replace(LAMP, ""))
    assert found.report["checks"]["light"] == "not-covered"
    assert found.report["light"]["sun_flux"] > 10_000.0  # the rest is said all the same
    assert "how warm the sheet gets under it is not covered" in said(found, "care")
    no_light = START[: START.index("[deflector.light]")] + START[START.index("[deflector.heat]") :]
    assert held(no_light).report["checks"]["light"] == "not-covered"


def test_without_a_test_strip_nothing_is_proven_and_one_is_cut() -> None:
    found = held(edited('opening   = "1.5 %"', "#").replace("test-strip = true", "#"))
    assert found.report["checks"]["bend"] == "not-proven"
    assert "test strip" in " ".join(found.report["until"])
    assert "test-strip" in [p.name for p in found.design.placed]
    given = build_deflector(ordered(edited("test-strip = true", "test-strip = false")))
    assert "test-strip" not in [p.name for p in given.placed]


def test_the_test_strip_is_of_the_same_sheet_and_bend() -> None:
    design = build_deflector(ordered())
    part, strip = design.instance("deflector").piece, design.instance("test-strip").piece
    assert strip.sheet == part.sheet
    assert strip.shrinks == part.shrinks
    assert bent(strip).bands[0].inside_mm == bent(part).bands[0].inside_mm
    assert strip.bends[0].angle_rad == pytest.approx(part.bends[0].angle_rad)


def test_bends_lie_where_the_strip_formula_says_and_strips_lie_on_its_ends() -> None:
    design = build_deflector(ordered(BENT))
    piece = design.placed[0].piece
    back = (9.0 + 4.02) * math.tan(math.radians(25.0))
    arc = math.radians(50.0) * (9.0 + 2.01)
    assert [b.x_mm for b in piece.bends] == pytest.approx([60.0 - back + arc / 2.0, 280.0 - 3.0 * back + 1.5 * arc])
    assert piece.shrinks == (0.0, 0.0)
    fit = examine(ordered(BENT), kind("deflector").asked("fit", solids=False)).made.got["fit"]
    assert not [f for f in fit.findings if f.level == "stop"]
    assert {p.name for p in design.placed} >= {"strip-first", "strip-last"}


def test_the_sheets_of_a_part_show_it_flat_and_bent() -> None:
    from assemblies.packet.drawings.drawing import part_sheets
    from assemblies.packet.drawings.drawing_words import PartFacts
    from assemblies.packet.ink.primitives import Ellipse, Text

    facts = PartFacts(
        design="d", title="t", revision="A", count=1, quantity=1, process="saw", tolerance_mm=0.2, repeat_mm=0.05
    )
    flat, as_bent = part_sheets(build_deflector(ordered()).placed[0].piece, facts)
    assert "4. Bend 40" in " ".join(m.text for m in flat.marks if isinstance(m, Text)).replace("3. Bend", "4. Bend")
    arcs = [m for m in as_bent.marks if isinstance(m, Ellipse) and m.of == "bent"]
    thick = bent(build_deflector(ordered()).placed[0].piece).bands[0].thick_mm
    assert sorted(a.a / as_bent.scale for a in arcs) == pytest.approx([400.0, 400.0 + thick])
    assert any("R400, 40°" in m.text for m in as_bent.marks if isinstance(m, Text))


WRONG: list[tuple[str, str, str]] = [
    ('air  = "180 C"', 'air  = "195 C"', "may catch fire"),
    ('air  = "180 C"', 'air  = "165 C"', "does not warm cast-pmma"),
    ('oven = "forced-air"', 'oven = "kitchen"', "a kitchen oven: never"),
    ('oven = "forced-air"', 'oven = "pizza"', "is no oven for sheet"),
    ('by   = "oven"', 'by   = "cold"', "held curved cold"),
    ('air  = "180 C"', "heater = 60", "is of a strip heater"),
    ("radius = 400", "", "is missing; allowed: a curved deflector needs it"),
    ("radius = 400", "radius = 400\nlegs = [100, 100]", "a curved deflector has none"),
    ("angle  = 40", "angle  = 200", "out of range"),
    ("radius = 400", "radius = -5", "over 0"),
    ("width  = 240", "width  = 20", "bolts 14.4 mm from either side"),
    ("ends   = [45, 45]", "ends   = [10, 45]", "a hole or cut-out in a bend"),
    ('opening   = "1.5 %"', 'opening   = "40 %"', "out of range"),
    ('shrinkage = ["1.8 %", "1.8 %"]', 'shrinkage = ["18 %", "1.8 %"]', "out of range"),
    ('surface = "film"', 'surface = "clear"', "follows from its refractive index"),
    ('guard  = "shroud"', 'guard  = "hope"', "none"),
    ("spread   = 40", "", "spread"),
    ("[sheet]", '[liquid]\nfill = "1 L"\n[sheet]', "holds no liquid"),
    ("thickness = 4 ", 'thickness = "choose" #', "choose"),
    ("bolts  = 2", "bolts  = 2.5", "whole number"),
]  # fmt: skip
WRONG_BENT = [
    ("bends = [50, 50]", "bends = [50]", "1 bends for 3 legs"),
    ("bends = [50, 50]", "bends = [50, 0]", "a bend of 0 degrees is none"),
    ("bends = [50, 50]", "bends = [50, 170]", "out of range"),
    ("legs = [60, 220, 60]", "legs = [6, 220, 60]", "is shorter than its bends"),
    ('lit    = "hollow"', 'lit    = "round"', "of bends both sides are hollow"),
    ('by   = "strip"', 'by   = "strip"\nair = "180 C"', "is of an oven"),
    ("legs = [60, 220, 60]", "legs = [60, 10, 60]", "is shorter than its bends"),
]


@pytest.mark.parametrize(("old", "new", "words", "text"), [
    *((*row, START) for row in WRONG), *((*row, BENT) for row in WRONG_BENT),
])  # fmt: skip
def test_a_wrong_order_is_refused_with_one_clear_error(old: str, new: str, words: str, text: str) -> None:
    with pytest.raises(OrderError) as refused:
        build_deflector(ordered(edited(old, new, text)))
    assert len(refused.value.problems) == 1, refused.value.problems
    assert words in str(refused.value)


def test_the_same_order_gives_the_same_figures() -> None:
    one, two = (examine(ordered(), kind("deflector").asked("hold", solids=False)).report for _ in range(2))
    assert one == two
