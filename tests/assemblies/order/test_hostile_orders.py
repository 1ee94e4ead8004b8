"""Texts made to break a reader: each gives an order or an OrderError in plain words, and in a short time."""

from __future__ import annotations

import re
import time
import tomllib
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from starters import two_plates

from assemblies.design.model import Design
from assemblies.kinds import schemas
from assemblies.kinds.tank.build import build_tank
from assemblies.order import Order, OrderError, read_order_text
from assemblies.order.errors import MOST_SHOWN
from assemblies.order.toml.not_toml import DEEPEST, too_deep

START = two_plates()
N = 200_000
LONGEST_S = 8.0  # the slowest takes about 1 s on an idle core; the machine may be shared
AT = "[[-87.5, 0], [87.5, 0]]"
#: Words of the checking library or of Python that no message may show.
JARGON = re.compile(
    r"[Ii]nput should|validation|pydantic|tuple|NoneType|<class|Traceback|dict|True|False|value_error|_type"
)

HOSTILE: dict[str, Callable[[], str]] = {
    "open brackets": lambda: "[" * N,
    "open array": lambda: "a = " + "[" * N,
    "long dotted key": lambda: "a" + ".a" * (N // 2) + " = 1",
    "long dotted header": lambda: "[a" + ".a" * (N // 2) + "]",
    "spaced dots": lambda: "a" + " . a" * (N // 4) + " = 1",
    "open tables": lambda: "a = " + "{a=" * (N // 3),
    "one word": lambda: "a" * N,
    "quotes": lambda: '"' * N,
    "escaped quotes": lambda: 'a = "' + '\\"' * (N // 2),
    "escaped quotes, no string": lambda: '\\"' * (N // 2),
    "open long string": lambda: 'a = """' + '\\"""' * (N // 4) + "\\",
    "single quotes": lambda: "'" * N,
    "spaces": lambda: "a" + " " * N + "= 1",
    "line ends": lambda: "\n" * N + "a",
    "carriage returns": lambda: "\r" * N,
    "nothing but zero bytes": lambda: "\0" * N,
    "endless number": lambda: f"{START}\nx = {'9' * N}",
    "endless number by underscores": lambda: f"a = {'1_' * (N // 2)}1",
    "endless hexadecimal number": lambda: f"{START}\nx = 0x{'f' * N}",
    "number of 60 digits": lambda: START.replace("quantity = 1", f"quantity = {'9' * 60}"),
    "endless exponent": lambda: f"{START}\nx = 1e{'9' * N}",
    "12000 unknown keys": lambda: "".join(f"k{i} = 1\n" for i in range(12_000)) + START,
    "20000 places": lambda: START.replace(AT, "[" + "[1,2]," * 20_000 + "]"),
    "100000 places that are none": lambda: START.replace(AT, "[" + "9," * 100_000 + "]"),
    "40000 readings": lambda: START.replace("[5.82, 5.80, 5.84]", "[" + "5.8," * 40_000 + "]"),
    "15000 empty plates": lambda: START + "[[plate]]\n" * 15_000,
    "120 lists of 900 wrong places": lambda: START + f"\n[[plate]]\nat = [{'9,' * 900}]" * 120,
    "nested lists of tables": lambda: START + "[[a]]\n[[a.b]]\n" * 8000,
    "deep headers": lambda: START + "".join(f"[a.b.c.d.e.f.g.h{i}]\n" for i in range(6000)),
    "long title": lambda: START.replace("Ripple trough for the harbour stage", "x" * N),
    "long name": lambda: START.replace('"ripple-trough"', f'"{"a-" * (N // 2)}"'),
    "long pattern": lambda: START.replace("grid 25 2x2", "grid " + "2" * N),
    "long thread": lambda: START.replace('"M6"', f'"{"M" * N}"'),
    "long kind": lambda: START.replace('kind  = "tank"', f'kind = "{"t" * N}"'),
    "long key": lambda: "a" * N + " = 1\n" + START,
    "long length": lambda: START.replace('"120 mm"', f'"{"1" * N} mm"'),
    "long volume": lambda: START.replace('"120 mm"', f'"{"1" * N} L"'),
}  # fmt: skip


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_text_is_refused_soon_in_few_words(name: str) -> None:
    text = HOSTILE[name]()
    start = time.process_time()
    with pytest.raises(OrderError) as caught:
        read_order_text(text, schemas(), "order.toml")
    assert time.process_time() - start < LONGEST_S
    said = str(caught.value).splitlines()
    assert len(said) <= MOST_SHOWN + 1
    assert max(map(len, said)) < 600
    assert not JARGON.search(str(caught.value))


@pytest.mark.parametrize("field", sorted(set(re.findall(r"^([a-z-]+) *= *-?[0-9]", START, re.MULTILINE))))
@pytest.mark.parametrize("number", ["1000000000", "-1000000000", "0", "1e300", "inf", "nan", "0.1e-300"])
def test_no_number_in_any_field_breaks_the_reader_or_the_builder(field: str, number: str) -> None:
    text = re.sub(rf"^({field} *= *)[0-9.]+", rf"\g<1>{number}", START, flags=re.MULTILINE)
    assert text != START
    _taken_or_refused(text)


def test_depth_is_told_by_its_line_and_strings_do_not_count() -> None:
    assert too_deep("a = 1\nb = " + "[" * (DEEPEST + 1)) == 2
    assert too_deep("b = " + "[" * DEEPEST + "]" * DEEPEST) is None
    assert too_deep("a" + '."b c"' * (DEEPEST + 1) + " = 1") == 1
    assert too_deep('a = "' + "a." * 100 + '"\nb = """\n' + "[" * 100 + '"""\n# ' + "{" * 100) is None
    assert too_deep("a = [" + "1.5, " * 100 + "]") is None


def _taken_or_refused(text: str) -> Order | None:
    """The order, built; None when it is refused as it should be. Anything else is a fault."""
    try:
        order = read_order_text(text, schemas(), "order.toml")
        assert isinstance(build_tank(order), Design)
    except OrderError as error:
        said = str(error)
        if not error.problems:
            pytest.fail("refused without a reason")
        assert not JARGON.search(re.sub(r"'[^']*'?|is not TOML.*", "", said)), said
        assert all(line.startswith(("order.toml:", "and ")) for line in said.splitlines())
        return None
    return order


def test_the_starter_order_and_its_rewriting_are_taken() -> None:
    assert _taken_or_refused(START)
    assert _taken_or_refused("".join(f"{_toml(k)} = {_toml(v)}\n" for k, v in tomllib.loads(START).items()))


@settings(max_examples=150)
@given(st.lists(st.tuples(st.integers(0, len(START)), st.integers(0, 3), st.text(max_size=3)), min_size=1, max_size=4))
def test_an_order_with_letters_changed_is_taken_or_refused(changes: list[tuple[int, int, str]]) -> None:
    text = START
    for at, drop, put in changes:
        text = text[:at] + put + text[at + drop :]
    _taken_or_refused(text)


_LINES = START.splitlines(keepends=True)


@settings(max_examples=100)
@given(
    st.lists(
        st.tuples(st.sampled_from(range(len(_LINES))), st.sampled_from(range(len(_LINES)))), min_size=1, max_size=3
    )
)
def test_an_order_with_lines_moved_or_doubled_is_taken_or_refused(moves: list[tuple[int, int]]) -> None:
    lines = list(_LINES)
    for here, there in moves:
        lines[there] = lines[here]
    _taken_or_refused("".join(lines))


_ANY = st.recursive(
    st.one_of(
        st.booleans(), st.integers(-(10**9), 10**9), st.integers(), st.floats(), st.text(max_size=8),
        st.sampled_from(["6 mm", "1/4 in", "none", "bottom", "M6", "grid 25 2x2", "1/0 in", "choose", "lid", "rim"]),
    ),
    lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(st.sampled_from("ab"), inner, max_size=2)),
    max_leaves=6,
)  # fmt: skip


def _spots(value: Any, key: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [key, *(spot for part, inner in items for spot in _spots(inner, (*key, part)))]


_SPOTS = [spot for spot in _spots(tomllib.loads(START)) if spot]


def _toml(value: Any) -> str:
    """A value as an inline TOML value."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_toml(str(k))} = {_toml(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_toml, value)) + "]"
    if isinstance(value, str):
        return '"' + "".join(c if c.isalnum() and c.isascii() else f"\\U{ord(c):08X}" for c in value) + '"'
    return repr(value)


@settings(max_examples=250)
@given(st.lists(st.tuples(st.sampled_from(_SPOTS), _ANY), min_size=1, max_size=3))
def test_an_order_with_values_changed_is_taken_or_refused(changes: list[tuple[tuple[Any, ...], Any]]) -> None:
    data: Any = tomllib.loads(START)
    for spot, value in changes:
        here = data
        for part in spot[:-1]:
            try:
                here = here[part]
            except (KeyError, IndexError, TypeError):
                break
        else:
            last = spot[-1]
            if isinstance(here, dict) or (isinstance(here, list) and isinstance(last, int) and len(here) > last):
                here[last] = value
    _taken_or_refused("".join(f"{_toml(k)} = {_toml(v)}\n" for k, v in data.items()))
