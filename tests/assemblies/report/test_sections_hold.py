"""What page and print show of a proof: no figure beyond the method, and what was taken where the order says nothing."""

from __future__ import annotations

from functools import cache
from typing import Any

from asked import ask
from reports import said, sections_of

from assemblies.kinds import schemas, starter
from assemblies.order import read_order_text
from assemblies.packet.pages.page import page
from assemblies.packet.pages.print_packet import _bars
from assemblies.report.blocks import Bar, Bars, Figure, Figures

THIN = """title = "Thin"
name = "thin"
kind = "tank"
[sheet]
thickness = 3
[tank]
size = [900, 400, 400]
"""
DRY = '[liquid]\nfill = "0 mm"\n'


@cache
def report(text: str) -> dict[str, Any]:
    return ask(read_order_text(text, schemas()), "hold").report


def figures(given: dict[str, Any]) -> dict[str, Figure]:
    made = sections_of(given, "mm")
    return {item.label: item for s in made for b in s.blocks if isinstance(b, Figures) for item in b.items}


def bars(given: dict[str, Any]) -> list[Bars]:
    return [b for s in sections_of(given, "mm") if s.id == "loads" for b in s.blocks if isinstance(b, Bars)]


def test_page_and_print_show_no_bow_beyond_the_method():
    given = report(THIN)
    far = [r for r in given["strength"]["cases"] if r["beyond_method"]]
    words = said(sections_of(given, "mm"))
    made = page(given, sections_of(given, "mm"), "mm", model=None, pictures={})
    assert far
    for row in far:
        for shown in (f"{row['deflection']:.2f} mm", f"{round(100 * row['use'])} %"):
            assert shown not in words
            assert shown not in made
    assert "bows beyond the method, more than 3 thicknesses; 4 mm allowed" in made
    assert '<span class="use">beyond</span>' in made


def test_a_bar_beyond_the_method_keeps_its_use_and_prints_the_word():
    (front,) = [b for b in bars(report(THIN))[0].items if b.label == "front"]
    row = next(r for r in report(THIN)["strength"]["cases"] if (r["case"], r["piece"]) == ("still", "front"))
    assert front.use == row["use"] > 1.0
    printed = _bars(Bars(title="", items=[front, Bar(label="back", use=0.4, text="", why="")]))["items"]
    assert [item["percent"] for item in printed] == ["beyond", "40 %"]
    assert printed[0]["over"]


def test_what_is_taken_is_shown_beside_the_liquid_and_its_fill():
    shown = figures(report(THIN))
    assert shown["Liquid"].value.endswith("assumed, the order has no [liquid]")
    assert shown["Fill"].value.endswith("assumed, full to the brim")
    assert "no [liquid]: assumed: water at 20 °C" in said(sections_of(report(THIN), "mm"))
    assert "taken" not in figures(report(starter("tank")))["Liquid"].value


def test_a_dry_thing_shows_no_push_and_no_tilt_that_were_not_looked_at():
    assert "Largest sudden start that spills nothing, by strength" in figures(report(starter("tank")))
    dry = figures(report(THIN + DRY))
    assert "Largest permanent fill" in dry
    assert not [label for label in dry if "by strength" in label]
