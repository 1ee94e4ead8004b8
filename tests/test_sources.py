"""What is printed as a source names a document, or says what it is instead."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from asked import ask
from starters import bare

from assemblies.cutting import cut_orders
from assemblies.kinds import schemas
from assemblies.order import read_order_text
from assemblies.shop.stock.rack import Rack, Slot

MARKS = ("judgement", "common practice", "from memory", "computed", "the order")
DOCUMENTS = re.compile(
    r"\b(ISO|EN|IEC|ASME|ASTM|ANSI|OSHA|NIOSH|HSE|EPA|NFPA|PED|page|pages|manual|guide|guidelines|brief|data sheet|"
    r"Formulas for Stress and Strain|documentation|exposure limits|sampling method)\b"
)
STRIPS = '\n[[strip]]\nwhere = "rim"\nsize = [30, 6]\n[[strip]]\nwhere = "inside-corner"\nsize = [12, 12]\n'
PORT = '\n[[port]]\nkind = "drain"\non = "left"\nat = [0, -50]\nthread = "G 1/4"\n'
IN_THE_WAY = "\n[as-cut]\nfront = [309.0, 155.0]\n"
ORDERS = {
    "starter": (),
    "chosen": (("thickness = 6 ", 'thickness = "choose" '), ("measured  = [5.82, 5.80, 5.84]", "")),
    "strips and a loose lid": (('lid       = "none"', 'lid = "loose"'), ("[[case]]", STRIPS + "[[case]]")),
    "bonded lid, port": (('lid       = "none"', 'lid = "bonded"'), ("[[case]]", PORT + "[[case]]")),
    "cut askew": (("[[case]]", IN_THE_WAY + "[[case]]"),),
    "spills, over people": (('"0.8 m/s2"', '"6 m/s2"\nover-people = true'),),
    "dry, hung": (('fill = "120 mm"', 'fill = "0 mm"'), ('kind = "plates"', 'kind = "hung"')),
    "own liquid": (('name = "water"', 'name = "brine"\ndensity = 1200'),),
    "thin, deep": (
        ("thickness = 6 ", "thickness = 2 "), ("[5.82, 5.80, 5.84]", "[2.0]"), ("[300, 200, 150]", "[900, 500, 450]"),
        ('"120 mm"', '"440 mm"'),
    ),
    "no process can": (('"saw"', '"score-and-snap"'), ("thickness = 6 ", "thickness = 60 "), ("[5.82, 5.80, 5.84]", "[60]")),
}  # fmt: skip


def sources(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        for key, inner in value.items():
            if key == "source" and isinstance(inner, str):
                yield inner
            else:
                yield from sources(inner)
    elif isinstance(value, list | tuple):
        for inner in value:
            yield from sources(inner)


def unfounded(report: dict[str, Any]) -> set[str]:
    return {s for s in sources(report) if not DOCUMENTS.search(s) and not any(mark in s for mark in MARKS)}


def text(*edits: tuple[str, str]) -> str:
    out = bare("tank")
    for old, new in edits:
        assert old in out, old
        out = out.replace(old, new)
    return out


@pytest.mark.parametrize("name", ORDERS)
def test_every_source_names_a_document_or_says_what_it_is(name: str) -> None:
    found = ask(read_order_text(text(*ORDERS[name]), schemas()))
    assert len(set(sources(found.report))) > 20
    assert unfounded(found.report) == set()


def test_so_does_a_plan_that_cannot_be_cut() -> None:
    order = read_order_text(text(), schemas())
    for width in (200.0, 400.0):  # too small for a piece; too few
        slots = [
            Slot(label=f"C{t:g}", material="cast-pmma", thickness_mm=t, width_mm=width, height_mm=400.0)
            for t in (6.0, 12.0)
        ]
        done = cut_orders([order], Rack(slots=tuple(slots)))
        assert done.stops
        assert unfounded(done.report) == set()


def test_what_is_bought_is_founded_where_its_figure_is() -> None:
    """The amount of solvent and the length of tape by their rules, gloves and exhaust by the cautions that ask for them."""
    buying = ask(read_order_text(text(), schemas())).report["buying"]
    said = {row["item"]: row["source"] for part in ("bonding", "protection") for row in buying[part]}
    assert said["thin solvent for PMMA, class not stated"].startswith(
        "judgement: one refill as large as the first fill"
    )
    assert said["tape, low tack, solvent-proof"] == "judgement: between tabs pulled across a seam"
    assert said["gloves for the solvent"] == "glove makers' permeation tables (from memory)"
    assert (
        said["exhaust at the bench"] == "arithmetic of the plan; OSHA 29 CFR 1910.1052 for dichloromethane (computed)"
    )
