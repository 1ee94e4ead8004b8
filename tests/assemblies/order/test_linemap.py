"""Every key of a TOML text is found on the line on which it is written, whatever the form."""

from __future__ import annotations

import tomllib
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from assemblies.order.errors import Key
from assemblies.order.toml.linemap import line_map, nearest_line

_NASTY = ["", "a", "[x]", "# no comment", "= 1", "{ } , ]", "é", "a.b"]
_SCALARS = ["1", "-2.5", "true", "1979-05-27", "0x1F", "1e5", "inf"]


class _Writer:
    """Writes random TOML and notes on which line each key is written."""

    def __init__(self, draw: Any) -> None:
        self.draw, self.text, self.lines, self.names = draw, "", {}, 0

    def put(self, text: str) -> None:
        self.text += text

    @property
    def line(self) -> int:
        return self.text.count("\n") + 1

    def name(self) -> tuple[str, str]:
        """A fresh key: as written, and as it is read."""
        self.names += 1
        form = self.draw(
            st.sampled_from(["{}", '"{}"', "'{}'", '"[{}]"', "'#{}'", '"{}.x"', '"\\u00e9=é{}"', '"\\"{}"'])
        )
        written = form.format(f"k{self.names}")
        return written, tomllib.loads(f"{written} = 1").popitem()[0]

    def note(self, key: Key) -> None:
        self.lines[key] = self.line

    def gap(self) -> None:
        """White space that an array allows."""
        self.put(self.draw(st.sampled_from(["", " ", "\n", '\n  # ] , [ "\n', "\t"])))

    def string(self) -> None:
        body = self.draw(st.sampled_from(_NASTY))
        form = self.draw(
            st.sampled_from(['"{}"', "'{}'", '"""{}\n\\"""\n"""', "'''\n{}\n'''", '"\\"{}\\\\"', '"""{}"""""'])
        )
        self.put(form.format(body))

    def value(self, key: Key, depth: int) -> None:
        kind = self.draw(
            st.sampled_from(["scalar", "string", "array", "inline"] if depth < 3 else ["scalar", "string"])
        )
        if kind == "scalar":
            self.put(self.draw(st.sampled_from(_SCALARS)))
        elif kind == "string":
            self.string()
        elif kind == "array":
            self.put("[")
            for index in range(self.draw(st.integers(0, 3))):
                self.gap()
                self.note((*key, index))
                self.value((*key, index), depth + 1)
                self.gap()
                self.put(",")
            self.gap()
            self.put("]")
        else:
            self.put("{")
            for index in range(self.draw(st.integers(0, 3))):
                self.put(", " if index else " ")
                self.pair(key, depth + 1)
            self.put(" }")

    def pair(self, base: Key, depth: int) -> None:
        written, read = self.name()
        key = (*base, read)
        if self.draw(st.booleans()):
            more, inner = self.name()
            self.note(key)
            written, key = f"{written} . {more}", (*key, inner)
        self.note(key)
        self.put(f"{written} = ")
        self.value(key, depth)

    def pairs(self, base: Key) -> None:
        for _ in range(self.draw(st.integers(0, 3))):
            self.put(self.draw(st.sampled_from(["", "\n", "# [not] a = table\n", "  "])))
            self.pair(base, 0)
            self.put(self.draw(st.sampled_from(["\n", " # end\n"])))

    def table(self) -> None:
        written, read = self.name()
        self.note((read,))
        self.put(f"[{written}]\n")
        self.pairs((read,))

    def tables(self) -> None:
        """An array of tables, with a table in its last one."""
        written, read = self.name()
        for index in range(self.draw(st.integers(1, 3))):
            if index == 0:
                self.note((read,))
            self.note((read, index))
            self.put(f"[[ {written} ]] # one\n")
            self.pairs((read, index))
        more, inner = self.name()
        self.note((read, index, inner))
        self.put(f"[{written}.{more}]\n")
        self.pairs((read, index, inner))


@st.composite
def _texts(draw: Any) -> tuple[str, dict[Key, int]]:
    writer = _Writer(draw)
    writer.pairs(())
    for _ in range(draw(st.integers(0, 3))):
        writer.table() if draw(st.booleans()) else writer.tables()
    return writer.text, writer.lines


def _keys(value: Any, key: Key = ()) -> set[Key]:
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return {key, *(k for part, inner in items for k in _keys(inner, (*key, part)))} - {()}


@given(_texts())
def test_every_key_maps_to_the_line_on_which_it_is_written(sample: tuple[str, dict[Key, int]]) -> None:
    text, lines = sample
    found = line_map(text)
    assert found == lines
    assert set(found) == _keys(tomllib.loads(text))


def test_a_key_that_is_not_there_takes_the_line_of_the_table_around_it() -> None:
    lines = line_map("[a]\nb = 1\n[[c]]\n")
    assert nearest_line(lines, ("a", "missing")) == 1
    assert nearest_line(lines, ("c", 0, "missing")) == 3
    assert nearest_line(lines, ("other",)) is None
