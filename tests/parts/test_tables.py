"""The loader refuses every kind of bad table by file and line, and every table of the project passes it."""

from __future__ import annotations

import re

import pytest

from parts import tables
from parts.tables import TableError, load, names, read_table

GOOD = "size,depth_mm,source,clause,how_known\na,1,Book,p. 1,published\nb,2,Book,p. 2,computed\n"

BAD = [
    ("size,,source,clause,how_known\na,1,B,c,published\n", "t.csv:1: blank header"),
    ("size, depth,source,clause,how_known\na,1,B,c,published\n", "t.csv:1: padded header ' depth'"),
    ("\ufeffsize,depth,source,clause,how_known\na,1,B,c,published\n", "t.csv:1: padded header"),
    ("size,size,source,clause,how_known\na,1,B,c,published\n", "t.csv:1: header 'size' stands twice"),
    ("size,depth\na,1\n", "t.csv:1: the last columns must be"),
    ("source,clause,how_known\nB,c,published\n", "t.csv:1: the last columns must be"),
    ("", "t.csv:1: the last columns must be"),
    (GOOD + "c,3,Book,p. 3\n", "t.csv:4: 4 cells where the header has 5"),
    (GOOD + "c,3,Book,p. 3,published,x\n", "t.csv:4: 6 cells where the header has 5"),
    (GOOD + "\n", "t.csv:4: 0 cells"),
    (GOOD + "a,3,Book,p. 3,published\n", "t.csv:4: key a is already in line 2"),
    (GOOD + ",3,Book,p. 3,published\n", "t.csv:4: empty key (size)"),
    (GOOD + "c,3 ,Book,p. 3,published\n", "t.csv:4: padded cell '3 ' in column depth_mm"),
    (GOOD + "c, 3,Book,p. 3,published\n", "t.csv:4: padded cell ' 3' in column depth_mm"),
    (GOOD + "c,3,,p. 3,published\n", "t.csv:4: empty source"),
    (GOOD + "c,3,-,p. 3,published\n", "t.csv:4: empty source"),
    (GOOD + "c,3,Book,,published\n", "t.csv:4: empty clause"),
    (GOOD + "c,3,Book,p. 3,\n", "t.csv:4: empty how_known"),
    (GOOD + "c,3,Book,p. 3,rumour\n", "t.csv:4: how_known 'rumour' is none of published, secondary"),
    (GOOD + 'c,"3,Book,p. 3,published\n', "t.csv:4: unexpected end of data"),
    ("size,depth,source,clause,how_known\n", "t.csv:1: a table without rows"),
]


def test_a_good_table_is_read_whole_and_cannot_be_changed(tmp_path):
    (tmp_path / "t.csv").write_text(GOOD, encoding="utf-8")
    rows = read_table(tmp_path / "t.csv")
    assert [dict(row) for row in rows] == [
        {"size": "a", "depth_mm": "1", "source": "Book", "clause": "p. 1", "how_known": "published"},
        {"size": "b", "depth_mm": "2", "source": "Book", "clause": "p. 2", "how_known": "computed"},
    ]
    with pytest.raises(TypeError):
        rows[0]["size"] = "c"


@pytest.mark.parametrize(("text", "why"), BAD)
def test_a_bad_table_is_refused_by_file_and_line(tmp_path, text, why):
    (tmp_path / "t.csv").write_text(text, encoding="utf-8")
    with pytest.raises(TableError) as caught:
        read_table(tmp_path / "t.csv")
    assert str(caught.value).startswith(why)


def test_a_table_that_is_not_utf8_is_refused(tmp_path):
    (tmp_path / "t.csv").write_bytes(GOOD.encode() + b"\xff,1,B,c,published\n")
    with pytest.raises(TableError, match=r"t\.csv: not UTF-8"):
        read_table(tmp_path / "t.csv")


def test_a_key_of_two_columns_allows_what_one_column_forbids(tmp_path):
    (tmp_path / "t.csv").write_text(GOOD + "a,3,Book,p. 3,published\n", encoding="utf-8")
    assert len(read_table(tmp_path / "t.csv", key=("size", "depth_mm"))) == 3
    with pytest.raises(TableError, match="no key column 'width'"):
        read_table(tmp_path / "t.csv", key=("size", "width"))


@pytest.mark.parametrize("name", ["", "nothing", "../lengths", "pmma.csv", "a/b"])
def test_an_unknown_table_is_refused_with_the_names_there_are(name):
    with pytest.raises(TableError, match=r"no table .*: there are .*pmma"):
        load(name)


@pytest.mark.parametrize("name", names())
def test_every_table_of_the_project_passes_the_loader(name):
    rows = load(name)
    assert rows is load(name)
    for row in rows:
        assert tuple(row)[-3:] == tables.PROVENANCE


@pytest.mark.parametrize("name", names())
def test_no_source_is_a_web_address(name):
    for row in load(name):
        assert not re.search(r"https?:|www\.|\.(com|org|net|io|de|pl|nl|uk)\b", " ".join(row.values())), dict(row)


@pytest.mark.parametrize("name", names())
def test_sizes_with_a_unit_in_their_header_are_numbers(name):
    for row in load(name):
        for header, cell in row.items():
            if re.search(r"_(mm|in|mm2|in2|mpa|kg_m3)$", header) and cell:
                float(cell)
