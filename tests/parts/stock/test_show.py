"""What `show` prints: every row of every table, aligned, with sources."""

from __future__ import annotations

import re
import subprocess
import sys

import pytest

from parts.findings import SeamwrightError
from parts.stock.show import SUBJECTS, show
from parts.tables import documents_in, load

FIRST_COLUMNS = [
    ("threads", "threads_inch", "size"),
    ("threads", "threads_metric", "size"),
    ("threads", "threads_pipe", "size"),
    ("drills", "drills", "name"),
    ("sheets", "sheet_stock", "asked"),
    ("mountings", "mounting", "name"),
    ("mountings", "tslot", "grid"),
    ("cutouts", "cutouts", "name"),
    ("cutouts", "rack_panel", "figure"),
]


@pytest.mark.parametrize("subject", SUBJECTS)
def test_a_page_fits_the_screen_and_is_plain_text(subject):
    text = show(subject)
    assert text.endswith("\n")
    assert text.isascii()
    for line in text.splitlines():
        assert len(line) <= 100
        assert line == line.rstrip()


@pytest.mark.parametrize("subject", SUBJECTS)
def test_every_number_in_brackets_has_its_source_and_every_source_is_used(subject):
    body, _, sources = show(subject).partition("\nSources\n")
    listed = [int(n) for n in re.findall(r"^  \[(\d+)\]", sources, flags=re.M)]
    assert listed == list(range(1, len(listed) + 1))
    assert {int(n) for n in re.findall(r"\[(\d+)\]", body)} == set(listed)
    how = "from memory|judgement|computed"
    known = rf"\((published|secondary|{how})\)|\] ({how}|common practice, no source)"
    assert len(re.findall(known, re.sub(r"\s+", " ", sources))) >= len(listed)
    cited = documents_in(re.sub(r"\s+", " ", sources))
    assert all(f"  {name}: " in sources for name in cited)
    assert not re.search(r"https?:|www\.|\.com\b", sources)


@pytest.mark.parametrize(("subject", "table", "column"), FIRST_COLUMNS)
def test_every_row_of_the_table_is_shown(subject, table, column):
    text = show(subject).partition("\nSources\n")[0]
    for row in load(table):
        name = row[column].removesuffix(" mm") if table == "drills" else row[column]
        assert re.search(rf"(^|\s){re.escape(name)}(\s|$)", text, flags=re.M), name


def test_every_property_is_shown_with_its_value():
    lines = show("materials").splitlines()
    for row in load("pmma"):
        name = row["property"].replace("_", " ")
        assert any(line.startswith(f"{name} ") and f" {row['value']}  {row['unit']}" in line for line in lines), row


def test_columns_are_aligned():
    lines = show("threads").splitlines()
    head = next(i for i, line in enumerate(lines) if line.startswith("thread "))
    at = lines[head].index("close")
    rows = lines[head + 2 : head + 2 + 33]
    assert [line[at - 2 : at] for line in rows] == ["  "] * 33
    assert all(line[at] != " " for line in rows)
    assert lines[head + 2 + 33] == ""


def test_the_row_of_a_quarter_inch_thread_is_the_computed_one():
    """Major 6.350, pitch 1.270, minor 4.975 mm; #4 leaves 63 %; 17/64, 9/32, 19/64; shear 13.69 mm2/mm."""
    row = next(line for line in show("threads").splitlines() if line.startswith("1/4-20 UNC"))
    cells = re.split(r"  +", row)
    assert cells[:7] == ["1/4-20 UNC", "6.350", "1.270", "4.975", "#4", "5.31", "63"]
    assert cells[7:11] == ["17/64 in", "9/32 in", "19/64 in", "13.69"]


@pytest.mark.parametrize("text", ["thread", "", "x" * 999])
def test_an_unknown_subject_is_refused(text):
    with pytest.raises(SeamwrightError) as caught:
        show(text)
    assert ("did you mean threads?" if text == "thread" else "there are threads, drills") in str(caught.value)
    assert len(str(caught.value)) < 150


def test_showing_imports_nothing_heavy():
    code = (
        "import sys; from parts.stock.show import show, SUBJECTS; [show(s) for s in SUBJECTS]; "
        "heavy = {'numpy', 'scipy', 'cadquery', 'OCP', 'shapely', 'numba', 'ezdxf', 'pydantic'}; "
        "print(sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
