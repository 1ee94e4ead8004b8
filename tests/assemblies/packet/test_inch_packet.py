"""An order in inches is in inches wherever people read it: one whole packet, every file of it, and what the commands print."""

from __future__ import annotations

import csv
import html
import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import ezdxf
import pytest

from assemblies.examine import Examined, examine
from assemblies.kinds import schemas
from assemblies.order import read_order_text
from assemblies.packet.write import write_packet
from assemblies.report.terminal.answers import fit_text, hold_text, summary
from assemblies.report.terminal.cutting import cut_text
from parts.in_unit import said_in

ORDER = """
title = "Bubble wall"
name = "bubble-wall"
kind = "tank"
units = "in"
[sheet]
thickness = "1/4"
[tank]
size = [12, 8, 7]
measure = "outside"
lid = "screwed"
[liquid]
fill = 4
[support]
kind = "plates"
retention = "cradle"
[[strip]]
where = "rim"
size = [1.5, "3/8"]
[[panel]]
name = "lid"
thickness = "1/4"
process = "router"
[[port]]
kind = "vent"
on = "lid"
at = [0, 0]
diameter = "1/2"
[[port]]
kind = "drain"
on = "left"
at = [0, -1.5]
diameter = "13/16"
[[plate]]
on = "bottom"
at = [[-3, 0], [3, 0]]
size = [3, 3]
thickness = "5/8"
thread = "1/4-20 UNC"
pattern = "grid 2 in 2x2"
holes = "tapped"
[[case]]
name = "along the rail"
kind = "slide"
direction = [1, 0, 0]
acceleration = "0.1 g"
"""
#: Bars by which the scale of a print is checked, in both units; screws bought by their metric name.
BOTH = re.compile(r"\b100 mm\b|\bM\d+(?:\.\d+)? x \d+ mm\b")
MM = re.compile(r"[0-9] ?mm\b(?![²³])")
SOURCES = ("other saw rules give 300 to 400 mm", "per 2 mm", "(0.4 + 0.1 t) mm")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Examined, Path]:
    folder = tmp_path_factory.mktemp("inch") / "bubble-wall"
    return write_packet(examine(read_order_text(ORDER, schemas())), folder), folder


def metric(text: str) -> list[str]:
    """What is said in mm."""
    text = " ".join(text.split())
    for words in SOURCES:
        text = text.replace(words, "")
    text = BOTH.sub("", text)
    return [text[max(0, found.start() - 60) : found.end() + 20] for found in MM.finditer(text)]


def printed(path: Path) -> str:
    program = shutil.which("pdftotext")
    assert program, "pdftotext is not installed; Debian: apt-get install poppler-utils"
    return subprocess.run([program, str(path), "-"], capture_output=True, text=True, check=True).stdout


def page(text: str) -> str:
    """What a page shows: no scripts, drawings or tags."""
    bare = re.sub(r"(?s)<(script|style|svg)\b.*?</\1>", " ", text)
    return html.unescape(re.sub(r"<[^>]+>", " ", bare))


def texts(folder: Path) -> Iterator[tuple[str, str]]:
    """Every file of the packet that people read, as text."""
    for path in sorted(folder.rglob("*")):
        name = str(path.relative_to(folder))
        if path.suffix == ".pdf":
            yield name, printed(path)
        elif path.suffix == ".html":
            yield name, page(path.read_text())
        elif path.suffix == ".svg":
            yield name, " ".join(re.findall(r"<text[^>]*>([^<]*)", path.read_text()))
        elif path.suffix == ".dxf":
            yield name, " / ".join(t.dxf.text for t in ezdxf.readfile(path).modelspace().query("TEXT"))


def test_no_file_of_an_inch_order_speaks_of_mm(made: tuple[Examined, Path]) -> None:
    found, folder = made
    read = dict(texts(folder))
    kinds = {Path(name).suffix for name in read}
    assert kinds == {".pdf", ".html", ".svg", ".dxf"}
    assert len(read) > 25
    assert "cutting/nest-1.dxf" in read
    assert all(found.report[key] for key in ("cutting", "nesting", "drill", "bonding", "counterparts"))
    assert {name: said for name, text in read.items() if (said := metric(text))} == {}
    assert all(" in" in text for name, text in read.items() if name.startswith(("packet", "labels", "templates")))


def test_no_command_speaks_of_mm_to_an_inch_order(made: tuple[Examined, Path]) -> None:
    found, _ = made
    report = found.report
    for question, text in (
        ("fit", fit_text(report, "in", found.sections)),
        ("hold", hold_text(report, "in", found.sections, every=True)),
        ("cut", cut_text(report)),
        ("make", summary(report, "in", found.sections)),
    ):
        assert metric(text) == [], question
        assert re.search(r"\d in\b", text), question
    assert metric(fit_text(report, "mm", found.sections)) != []  # the sieve finds what is there


def test_every_length_of_a_table_stands_in_inches_too(made: tuple[Examined, Path]) -> None:
    _, folder = made
    for name in ("parts", "seams", "drill"):
        with (folder / f"{name}.csv").open(newline="") as file:
            rows = list(csv.DictReader(file))
        lengths = [key for key in rows[0] if key.endswith("_mm")]
        assert lengths, name
        for row in rows:
            for key in lengths:
                inches = row[key.removesuffix("_mm") + "_in"]
                assert inches == row[key] or float(inches) == pytest.approx(float(row[key]) / 25.4, abs=1e-6)


def test_sheets_are_bought_and_trimmed_in_round_sizes(made: tuple[Examined, Path]) -> None:
    """A fence or stop stands at a 64th; where a factory edge is trimmed off, at an eighth."""
    cuts = [text for text in made[0].report["cutting"]["words"] if "falls off" in text]
    trims = [text for text in cuts if "trim the factory edge" in text]
    assert trims
    for text in cuts:
        at = re.search(r"(?:fence|stop|straightedge) (?:\d+ )?\d+(?:/(\d+))? in\b", text)
        assert at, text
        assert int(at[1] or 1) in ((1, 2, 4, 8) if text in trims else (1, 2, 4, 8, 16, 32, 64)), text


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("may be 5.00 to 7.00 mm thick (± 1.00 mm)", "may be 0.197 to 0.276 in thick (± 0.039 in)"),
        ("at least 9.6 mm", "at least 0.378 in"),
        ("at most 9.6 mm", "at most 0.377 in"),
        ("hole of 12.7 mm at (25.4, -12.5)", "hole of 1/2 in at (1.000, -0.492)"),
        ("for the last 300 mm", "for the last 12 in"),
        ("a screw M4 x 16 mm, the 3.4 mm drill", "a screw M4 x 16 mm, the 3.4 mm drill"),
        ("300 mm2 and 5 mm/s stay [page J, 2 mm]", "300 mm2 and 5 mm/s stay [page J, 2 mm]"),
    ],
)  # fmt: skip
def test_a_sentence_is_said_in_inches(text: str, said: str) -> None:
    """By hand: 25.4 mm to the inch; a least is rounded up, a most down, a round figure up to a quarter."""
    assert said_in(text, "in") == said
    assert said_in(text, "mm") == text
