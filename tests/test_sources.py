"""What is printed as a source names a document, or says what it is instead."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from asked import ask
from starters import bare

from assemblies.cutting import cut_orders
from assemblies.kinds import schemas
from assemblies.order import read_order_text
from assemblies.shop.stock.rack import Rack, Slot
from parts.tables import NO_DOCUMENT, documents_in, load, names

MARKS = ("judgement", "common practice", "from memory", "computed", "the order")
DOCUMENTS = re.compile(
    r"\b(ISO|EN|IEC|ASME|ASTM|ANSI|OSHA|NIOSH|HSE|EPA|NFPA|PED|40 CFR|DIN|BS|NEMA|VESA|UFGS|UNESCO|"
    r"National Bureau of Standards|Formulas for Stress and Strain|Stress Concentration Factors|Mechanical Engineering Design|"
    r"Ontario exposure limits)\b"
)
#: Words for a document that cannot be found again by them alone: a letter must follow.
LOOSE = re.compile(
    r"\b(pages?|manuals?|guides?|guidelines|briefs?|articles?|handbooks?|brochures?|websites?|suppliers?|distributors?|makers?|"
    r"repositor(?:y|ies)|library|encyclopa?edia)\b(?! [A-Z]{1,2}\b)",
    re.IGNORECASE,
)


def loose(text: str) -> list[str]:
    return LOOSE.findall(text)


def founded(text: str) -> bool:
    return bool(DOCUMENTS.search(text) or documents_in(text))


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
    "hard slide on a slope": (
        ('"0.8 m/s2"', '"2 m/s2"\ndistance = 600\nspeed = 0.5\nprofile = "steady"\nrepeat = 3'),
        ("[1, 0, 0]", "[1, 0, 0.1]"),
    ),
    "pours on": (
        ('kind = "slide"', 'kind = "turn"\ntoward = "right"\npour = "2 L"\nflow = "0.1 L/s"\npivot = [0, 0, 0]'),
        ("direction = [1, 0, 0]\n", ""), ('acceleration = "0.8 m/s2"\n', ""),
    ),
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
    said = set(sources(report))
    vague = {s for s in said if loose(s) and not s.startswith(tuple(NO_DOCUMENT.values()))}
    return vague | {s for s in said if not founded(s) and not any(mark in s for mark in MARKS)}


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
    assert said["gloves for the solvent"] == "from memory: glove makers' permeation tables"
    assert said["exhaust at the bench"] == "computed: arithmetic of the plan, to the limit of OSHA 29 CFR 1910.1052"


ROWS = [(name, row) for name in names() if name != "documents" for row in load(name)]


@pytest.mark.parametrize("name", [name for name in names() if name != "documents"])
def test_a_rows_source_is_a_document_or_what_stands_for_one_and_never_a_reason(name: str) -> None:
    for row in load(name):
        said = row["source"]
        if said in NO_DOCUMENT.values():
            assert said == NO_DOCUMENT[row["how_known"]], dict(row)
        else:
            assert founded(said), dict(row)
        assert not loose(said), dict(row)
        assert not loose(row["clause"]) or said in NO_DOCUMENT.values(), dict(row)


def test_every_document_by_letter_is_listed_once_and_cited() -> None:
    listed = [row["document"] for row in load("documents")]
    assert len({name.split()[1] for name in listed}) == len(listed), "one letter, one document"
    root = Path(__file__).parents[1]
    in_code = "".join(p.read_text(encoding="utf-8") for p in (root / "assemblies").rglob("*.py"))
    in_tests = "".join(p.read_text(encoding="utf-8") for p in (root / "tests/published/data").glob("*.csv"))
    cited = {d for _, row in ROWS for d in documents_in(f"{row['source']} {row['clause']}")}
    cited |= set(documents_in(in_tests)) | {d for d in documents_in(in_code) if d in listed}
    assert cited == set(listed)


def test_a_documents_checksum_is_that_of_the_file_that_is_kept() -> None:
    data = Path(__file__).parent / "published" / "data"
    kept = 0
    for row in load("documents"):
        if row["checksum"] != "not kept":
            path = data / row["clause"].split()[2]
            assert row["checksum"] == f"sha256 {hashlib.sha256(path.read_bytes()).hexdigest()}", row["document"]
            kept += 1
    assert kept >= 9


def test_published_is_only_what_was_read_in_a_document_whose_file_is_kept() -> None:
    kept = {row["document"] for row in load("documents") if row["checksum"] != "not kept"}
    for name, row in ROWS:
        if row["how_known"] == "published":
            assert set(documents_in(row["source"])) & kept, (name, dict(row))


def test_no_more_rows_are_from_memory_than_there_were() -> None:
    """521 of 960 once; series, formulas and data that quote the standards confirm the rest."""
    late = ("gear", "nuts", "cutouts", "rack_panel", "heat", "cylinders")  # tables that came later
    old = [row for name, row in ROWS if not name.startswith(late)]
    assert sum(row["how_known"] == "from-memory" for row in old) <= 223
