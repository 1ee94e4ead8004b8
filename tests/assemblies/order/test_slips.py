"""Slips of the pen are named: the comma, the quote, the key given twice, the other unit, another word for the same."""

from __future__ import annotations

from pathlib import Path

import pytest

from assemblies.kinds import kind, schemas
from assemblies.order import OrderError, read_order_text
from assemblies.order.errors import near_hint
from parts.findings import SeamwrightError

START = """title = "Wave trough"
name = "wave"
kind = "tank"
units = "mm"
[sheet]
thickness = 6
[tank]
size = [300, 200, 150]
[liquid]
fill = "120 mm"
"""


def build(text: str) -> None:
    order = read_order_text(text, schemas(), "o.toml")
    kind(order.kind).build(order)


def said(text: str) -> str:
    with pytest.raises(SeamwrightError) as caught:
        build(text)
    return str(caught.value)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("= 6", "= 5,5", "o.toml:6: sheet.thickness: 5,5 has a decimal comma; allowed: a decimal point: 5.5"),
        ("= 6", "= 6 mm", 'sheet.thickness: 6 mm has no quotes round it; allowed: thickness = "6 mm"'),
        ("= 6", "= 1/4", 'sheet.thickness: 1/4 has no quotes round it; allowed: thickness = "1/4"'),
        ('"Wave trough"', "Wave trough", 'title: Wave trough has no quotes round it; allowed: title = "Wave trough"'),
        ('"Wave trough"', '"Wave trough', 'o.toml:1: title: the closing quote is missing; allowed: title = "Wave trough"'),
        ('"wave"', 'wave"', 'o.toml:2: name: the opening quote is missing; allowed: name = "wave"'),
        ("= 6", "= 6\nthickness = 8", "o.toml:7: sheet.thickness: is given twice, first on line 6"),
        ("[liquid]", "[sheet]\n[liquid]", "o.toml:9: sheet: the table is given twice, first on line 5"),
        ("thickness = 6", "thickness: 6", "a colon where an equals sign belongs; allowed: thickness = 6"),
        ("thickness = 6", "thickness 6", "sheet.thickness: has no equals sign; allowed: thickness = 6"),
        ("= 6", "= 6\nturn = True", "sheet.turn: True has a capital letter; allowed: true"),
        ("= 6", "= 6\nmeasured = []", "sheet.measured: has no readings"),
        ("150]", "150]\nruns-long = []", "tank.runs-long: [] is not an order of the three groups"),
        ("[300, 200, 150]", "[12.6, 7, 2.75]", '12.6 x 7 x 2.75 mm is no tank of 6 mm sheet: these look like inches'),
        ('"mm"\n', '"in"\n', "tank.size: 300 x 200 x 150 in would hold 147484 L: these look like millimetres"),
    ],
)  # fmt: skip
def test_a_slip_is_named_with_what_would_do(old: str, new: str, says: str) -> None:
    assert old in START
    assert says in said(START.replace(old, new, 1))


@pytest.mark.parametrize("size", ["[300, 200, 150]", "[60, 40, 30]", "[1500, 150, 80]"])
def test_sizes_that_make_sense_are_not_called_a_slip(size: str) -> None:
    order = read_order_text(START.replace("[300, 200, 150]", size).replace('"120 mm"', "10"), schemas())
    assert kind("tank").build(order).placed


@pytest.mark.parametrize(
    ("text", "litres"),
    [("6 L", 6.0), ("2.5 litres", 2.5), ("750 mL", 0.75), ("40 cl", 0.4),
     # NIST SP 811 (2008), appendix B.8: US gallon 3.785 412 E-03 m3, liquid quart 9.463 529 E-04 m3; from memory
     ("0.5 gal", 1.892706), ("2 qt", 1.8927059), ("1 quart", 0.9463529)],
)  # fmt: skip
def test_a_volume_is_read_in_the_units_people_pour_by(text: str, litres: float) -> None:
    order = read_order_text(START.replace("120 mm", text), schemas())
    assert order.liquid is not None
    assert order.liquid.fill.volume_l == pytest.approx(litres, rel=1e-6)


@pytest.mark.parametrize(
    ("word", "known", "meant"),
    [("tilt", ("still", "slide", "turn"), "turn"), ("bolts", ("none", "through-bolts"), "through-bolts"),
     ("acrylic", ("cast-pmma", "extruded-pmma"), "cast-pmma"), ("Saw", ("saw", "laser"), "saw"),
     ("sadle", ("saddle", "flat"), "saddle")],
)  # fmt: skip
def test_the_nearest_word_is_one_of_its_meaning_before_one_of_its_letters(word, known, meant) -> None:
    assert near_hint(word, known) == f' (did you mean "{meant}"?)'


def test_an_axis_by_its_letter_is_written_out() -> None:
    case = '[[case]]\nname = "pour"\nkind = "turn"\nangle = 60\naxis = "-y"\n'
    assert "case[1].axis: '-y' is not a list; allowed: three numbers: [0, -1, 0]" in said(START + case)


def test_a_file_that_is_none_is_still_said_to_be_none(tmp_path: Path) -> None:
    with pytest.raises(OrderError, match="is not TOML: "):
        read_order_text("[[[", schemas())
