"""One place of an order's text changed: it reads as asked, and every other byte is as it was."""

from __future__ import annotations

import difflib
import json
import tomllib
from collections.abc import Iterator
from typing import Any

import pytest

from assemblies.kinds import FOLDERS, starter
from assemblies.page.edit import Edit, EditError, edited, written
from assemblies.page.form import edits_of, form

KINDS = tuple(folder.replace("_", "-") for folder in FOLDERS)
TEXT = """# top
a = 1 # c

# about tank
[tank]
size      = [300, 200, # first
   150]    # length
fill      = '1/4"' # in an inch order
n         = 0x1F
p = {x = 1, y = [1, 2]} # in
q.r = 3

# about b
[b]
c = 1

[[plate]] # one
at = [[0, 0]]

# about two
[[plate]]
# in two
at = [[1, 1],
      [2, 2]]

# end"""


def changed(before: str, after: str) -> tuple[list[str], list[str]]:
    """The lines that went and those that came, with their ends."""
    lines = list(difflib.unified_diff(before.splitlines(True), after.splitlines(True), n=0))[2:]
    return [line[1:] for line in lines if line[0] == "-"], [line[1:] for line in lines if line[0] == "+"]


@pytest.mark.parametrize(
    ("edit", "went", "came"),
    [
        (Edit(do="set", key=("a",), value="2"), ["a = 1 # c\n"], ["a = 2 # c\n"]),
        (Edit(do="set", key=("tank", "size", 1), value="220.50"),
         ["size      = [300, 200, # first\n"], ["size      = [300, 220.50, # first\n"]),
        # libraries-2.md, section 4, guard 5: the kind of quotes and the hexadecimal stay
        (Edit(do="set", key=("tank", "fill"), value='"3/8\\""'),
         ["fill      = '1/4\"' # in an inch order\n"], ["fill      = '3/8\"' # in an inch order\n"]),
        (Edit(do="set", key=("tank", "n"), value="32"), ["n         = 0x1F\n"], ["n         = 0x20\n"]),
        # guard 3: a new key stands above the comment that belongs to the next table
        (Edit(do="set", key=("tank", "lid"), value='"loose"'), [], ['lid = "loose"\n']),
        (Edit(do="set", key=("top",), value="0.1"), [], ["top = 0.1\n"]),
        (Edit(do="set", key=("tank", "p", "z"), value="0.1"),
         ["p = {x = 1, y = [1, 2]} # in\n"], ["p = {x = 1, y = [1, 2], z = 0.1} # in\n"]),
        (Edit(do="set", key=("tank", "q", "s"), value="4"), [], ["q.s = 4\n"]),
        (Edit(do="unset", key=("tank", "size")), ["size      = [300, 200, # first\n", "   150]    # length\n"], []),
        (Edit(do="unset", key=("tank", "p", "x")), ["p = {x = 1, y = [1, 2]} # in\n"], ["p = { y = [1, 2]} # in\n"]),
        (Edit(do="add", key=("plate",), many=True, pairs=(("at", "[[3, 3]]"),)),
         [], ["[[plate]]\n", "at = [[3, 3]]\n", "\n"]),
        # guard 4: the comment of the next one stays
        (Edit(do="remove", key=("plate", 0)), ["[[plate]] # one\n", "at = [[0, 0]]\n", "\n"], []),
        (Edit(do="remove", key=("plate", 1)), ["[[plate]]\n", "# in two\n", "at = [[1, 1],\n", "      [2, 2]]\n"], []),
        (Edit(do="remove", key=("b",)), ["[b]\n", "c = 1\n"], []),
        (Edit(do="add", key=("rig",)), ["# end"], ["# end\n", "\n", "[rig]\n"]),
        (Edit(do="set", key=("limits", "gap"), value="0.1"), ["# end"], ["# end\n", "\n", "[limits]\n", "gap = 0.1\n"]),
    ],
)  # fmt: skip
@pytest.mark.parametrize("windows", [False, True])
def test_only_the_lines_of_the_change_change(edit: Edit, went: list[str], came: list[str], windows: bool) -> None:
    if windows:  # guards 1 and 2: the mark of byte order and the ends of lines stay
        before = "\ufeff" + TEXT.replace("\n", "\r\n")
        went, came = ([line.replace("\n", "\r\n") for line in lines] for lines in (went, came))
    else:
        before = TEXT
    after = edited(before, [edit])
    assert changed(before, after) == (went, came)
    assert after.startswith("\ufeff") == windows


def test_a_value_that_would_bring_another_key_with_it_is_refused() -> None:
    with pytest.raises(EditError, match="no place"):
        edited(TEXT, [Edit(do="set", key=("tank", "lid"), value="1\nother = 2")])


def test_a_new_key_stands_directly_below_the_last_of_its_table() -> None:
    lines = edited(TEXT, [Edit(do="set", key=("tank", "lid"), value="1")]).splitlines()
    assert lines[lines.index("lid = 1") - 1] == "q.r = 3"
    assert lines[lines.index("[b]") - 1] == "# about b"


@pytest.mark.parametrize(
    "edit",
    [
        Edit(do="set", key=("plate", 7, "at"), value="1"), Edit(do="set", key=("a", "b"), value="1"),
        Edit(do="unset", key=("nothing",)),
        Edit(do="remove", key=("plate", 2)), Edit(do="add", key=("b",)), Edit(do="set", key=("tank", "size", 9), value="1"),
        Edit(do="set", key=("tank", "p", "x", "y"), value="1"),
    ],
)  # fmt: skip
def test_what_has_no_place_is_refused_in_words(edit: Edit) -> None:
    with pytest.raises(EditError, match=r"there is no such|is there already|cannot be changed|no place"):
        edited(TEXT, [edit])


@pytest.mark.parametrize(
    ("typed", "sort", "value"),
    [
        ("120", "any", 120), ("0.10", "any", 0.1), ("120 mm", "any", "120 mm"), ("7 3/8 in", "any", "7 3/8 in"),
        ("1/4", "any", "1/4"),
        ("2", "text", "2"), ('say "so"', "text", 'say "so"'), ("front, left", "list", ["front", "left"]),
        ("5.82, 5.80", "list", [5.82, 5.8]),
        ("[7 3/8 in, 2]", "list", ["7 3/8 in", 2]), ("[[0, 0], [60, 1/2]]", "any", [[0, 0], [60, "1/2"]]),
        ("true", "any", True),
        ('["a, b", c]', "list", ["a, b", "c"]), ("1 # x", "any", "1 # x"),
        ("a\nb = 2", "any", "a\nb = 2"), ("[1\n]\nb = [2]", "list", [["1"], "b = [2]"]),
    ],
)  # fmt: skip
def test_what_is_typed_becomes_one_value_and_never_more(typed: str, sort: Any, value: Any) -> None:
    if sort == "list" and "\n" in typed:
        assert list(tomllib.loads(f"x = {written(typed, sort)}")) == ["x"]
        return
    assert tomllib.loads(f"x = {written(typed, sort)}") == {"x": value}


def leaves(data: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Every value of an order; a list of plain parts by its first, as its field has it."""
    if isinstance(data, dict):
        for key, value in data.items():
            yield from leaves(value, (*path, key))
    elif isinstance(data, list) and data and isinstance(data[0], dict):
        for n, value in enumerate(data):
            yield from leaves(value, (*path, n))
    elif isinstance(data, list) and data and not isinstance(data[0], list):
        yield (*path, 0)
    else:
        yield path


def at(data: Any, path: tuple[Any, ...]) -> Any:
    for part in path:
        data = data[part]
    return data


def other(value: Any) -> str:
    """Another value of the same sort, as it would be typed."""
    if isinstance(value, bool):
        return "false" if value else "true"
    if isinstance(value, int | float):
        return f"{value + 1}"
    return f"{value} x" if isinstance(value, str) else "[[1, 2]]"


EVERY = [(kind, path) for kind in KINDS for path in leaves(tomllib.loads(starter(kind)))]


def test_the_starters_have_many_fields() -> None:
    assert len(EVERY) > 150


@pytest.mark.parametrize("kind", KINDS)
def test_every_field_of_a_starter_is_changed_alone(kind: str) -> None:
    text = starter(kind)
    before = tomllib.loads(text)
    paths = [path for whose, path in EVERY if whose == kind]
    for path in paths[:: 4 if kind == "panels" else 1]:  # its pieces and places have the same keys
        typed = other(at(before, path))
        edits = edits_of([{"do": "set", "key": list(path), "typed": typed}])
        after = edited(text, edits)
        wanted = json.loads(json.dumps(before))
        at(wanted, path[:-1])[path[-1]] = tomllib.loads(f"x = {edits[0].value}")["x"]
        assert tomllib.loads(after) == wanted, path
        went, came = changed(text, after)
        assert len(went) == len(came) == 1 or isinstance(at(before, path), list), path
        assert [line.partition("#")[2] for line in went] == [line.partition("#")[2] for line in came], (
            path
        )  # its comment stays


@pytest.mark.parametrize("kind", KINDS)
def test_every_table_that_can_be_added_is_taken_away_again_without_a_trace(kind: str) -> None:
    text = starter(kind)
    data = tomllib.loads(text)
    for table in form():
        if table["kind"] not in ("", kind) or not table["path"]:
            continue
        path = table["path"].split(".")
        there = data
        for part in path:
            there = there.get(part, {}) if isinstance(there, dict) else there
        if there and not table["many"]:
            continue
        added = edited(text, edits_of([{"do": "add", "key": path}]))
        new = at(tomllib.loads(added), tuple(path))
        new = new[-1] if table["many"] else new
        assert set(new) == {key["name"] for key in table["keys"] if key["needed"]}
        last = [len(at(tomllib.loads(added), tuple(path))) - 1] if table["many"] else []
        gone = edited(added, edits_of([{"do": "remove", "key": [*path, *last]}]))
        assert gone.split() == text.split(), path
        assert [line for line in gone.splitlines() if line] == [line for line in text.splitlines() if line]


@pytest.mark.parametrize(
    "asked",
    [
        None, 3, {"do": "set"}, {"do": "set", "key": [], "typed": "1"}, {"do": "set", "key": ["nothing"], "typed": "1"},
        {"do": "set", "key": ["tank", "size"], "typed": 1}, {"do": "set", "key": ["tank", "size", -1], "typed": "1"},
        {"do": "add", "key": ["tank", "size"]},
        {"do": "run", "key": ["tank"]}, {"do": "set", "key": ["tank", True], "typed": "1"},
        {"do": "set", "key": ["title"], "typed": "x" * 6000},
        {"do": "set", "key": ["__class__", "x"], "typed": "1"},
    ],
)  # fmt: skip
def test_what_is_no_change_is_refused(asked: Any) -> None:
    with pytest.raises(EditError):
        edits_of([asked])
