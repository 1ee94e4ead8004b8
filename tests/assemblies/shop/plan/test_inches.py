"""What a shop that works in inches reads: sheets by the name they are ordered by, lengths as its rule shows them."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Any

import pytest
from asked import ask
from reports import sections_of
from shop_orders import every_text, order

from assemblies.cutting import cut_orders
from assemblies.examine import Examined
from assemblies.kinds import schemas
from assemblies.order import Order, read_order_text
from assemblies.shop.stock.rack import Rack, Slot

INCH = """
title = "Rail tank"
name = "rail-tank"
kind = "tank"
units = "in"

[sheet]
thickness = 0.354

[tank]
size = [14, 9, 8]

[liquid]
fill = 5.5

[[plate]]
on = "back"
at = [[-4, 0], [4, 0]]
size = [2.5, 2.5]
thickness = "1/2"
thread = "1/4-20 UNC"
pattern = "grid 1 2x2"
"""


def inch(*edits: tuple[str, str]) -> Order:
    text = INCH
    for old, new in edits:
        assert old in text, old
        text = text.replace(old, new)
    return read_order_text(text, schemas())


@pytest.fixture(scope="module")
def found() -> Examined:
    return ask(inch())


def stocks(report: dict[str, Any]) -> list[str]:
    return [sheet["stock"] for sheet in report["cutting"]["sheets"]]


def test_usual_sheets_are_named_as_the_order_names_them(found: Examined) -> None:
    assert stocks(found.report)[0] == "0.354 in 48 x 96 in cast"
    assert stocks(found.report)[1].startswith("1/2 in cut to size 5 ")
    assert stocks(cut_orders([inch(("0.354", "0.236"))]).report)[0] == "0.236 in 48 x 96 in cast"
    assert stocks(cut_orders([inch(("0.354", "'6 mm'"))]).report)[0] == "6 mm (sold as 1/4 in) 48 x 96 in cast"
    assert stocks(cut_orders([order()]).report)[0] == "6 mm 1220 x 2440 mm"


def test_a_rack_is_named_as_the_rack_names_it() -> None:
    shelf = Rack(
        slots=tuple(
            Slot(label=label, material="cast-pmma", thickness_mm=thick, width_mm=1219.2, height_mm=2438.4, quantity=2)
            for label, thick in (("C-0.354 by the door", 8.9916), ("C-half", 12.7))
        ),
        units="in",
    )
    done = cut_orders([inch()], shelf)
    assert stocks(done.report) == ["C-0.354 by the door", "C-half"]
    labels = [rest["label"] for sheet in done.report["cutting"]["sheets"] for rest in sheet["offcuts"]]
    assert labels
    size = r"(\d+ )?(\d+/\d+ )?x (\d+ )?(\d+/\d+ )?in( \(\d\))?"
    assert all(re.fullmatch(rf"(0\.354|1/2) in {size}", label) for label in labels), labels


def test_no_sheet_is_named_by_what_conversion_makes_of_it(found: Examined) -> None:
    """0.354 in is 8.9916 mm: nobody orders that."""
    assert [text for text in every_text(found.report) if "8.99" in text and "rev A" not in text] == []
    sheets = [f["where"] for f in found.report["findings"] if f["check"] == "sheet"]
    assert sheets == ["1/2 in cast-pmma sheet", "0.354 in cast-pmma sheet"]


def test_a_piece_too_large_is_said_in_inches() -> None:
    (stop,) = cut_orders([inch(("[14, 9, 8]", "[40, 9, 8]"), ("0.354", "0.25"))], _small()).plan.faults[:1]
    assert stop.where == "front"
    assert stop.why == (
        "front (40 1/2 x 8 1/4 in) is larger than every sheet of 1/4 in cast-pmma: on the nearest, S (30 x 30 in), "
        "it is 10 1/2 in too wide"
    )
    assert stop.do == "put a sheet of at least 40 1/2 x 8 1/4 in on the rack, or order a smaller piece"


def _small() -> Rack:
    slots = [
        Slot(label=f"S{k}" if k else "S", material="cast-pmma", thickness_mm=t, width_mm=762, height_mm=762)
        for k, t in enumerate((6.35, 12.7))
    ]
    return Rack(slots=tuple(slots), units="in")


def bench(found: Examined) -> list[str]:
    return [row["text"] for row in found.report["bonding"]["steps"]]


def said(found: Examined, words: str) -> str:
    (text,) = [text for text in bench(found) if words in text]
    return text


def test_the_bench_works_in_inches(found: Examined) -> None:
    """By hand: 12 mm is 30.2 sixty-fourths; 14 and 9 in give a diagonal of 16.643 in, 41.2/64 over 16; 0.5 mm is 1.3/64."""
    assert "film back 15/32 in from" in said(found, "masking film")
    assert "16 41/64 in each, equal within 1/64 in" in said(found, "diagonals")
    assert "every 3 15/16 in" in said(found, "Tabs pulled")
    assert "the 0.004 in leaf" in said(found, "feeler")
    assert "for 1/2 in" in said(found, "Anneal")
    assert [text for text in bench(found) if re.search(r"\d mm\b", text)] == []


def test_the_figures_of_the_bench_stay_in_mm(found: Examined) -> None:
    figures: dict[str, Any] = {}
    for row in found.report["bonding"]["steps"]:
        figures |= row["figures"]
    assert figures["peel_back"]["value"] == 12.0
    assert figures["diagonal_mm"] == pytest.approx(25.4 * (14**2 + 9**2) ** 0.5)
    assert figures["alike_within"]["value"] == 0.5


def test_what_is_marked_with_a_rule_is_a_sixty_fourth(found: Examined) -> None:
    marked = re.findall(r"(?:(\d+) )?(\d+)/(\d+) in\b", " ".join(bench(found)))
    assert marked
    assert all(64 % int(under) == 0 and Fraction(int(top), int(under)) < 1 for _, top, under in marked)


def test_the_packet_shows_the_sheet_by_its_name_and_gauges_in_inches(found: Examined) -> None:

    from assemblies.packet.pictures.line_drawing import exploded_svg, spread

    assert found.exploded is not None
    shown = str(sections_of(found.report, "in"))
    assert "× 0.354 in" in shown
    assert "0.010 in" in shown  # the needle
    assert "0.004 in" in shown  # the feeler leaf
    assert "15/32 in" in shown  # the film
    assert re.search(r"(?<![0-9] )23/64 in \(0\.354", shown) is None  # what the thickness is in sixty-fourths
    assert "0.354 in" in exploded_svg(found.design, spread(found.design, found.exploded), unit="in")
