"""Reads the exchange structure of ISO 10303-21 (a STEP file) far enough to hold it against a design. No
kernel.

Values come out as Python ones: `Ref` for `#12`, str, float, tuple for a list, `Enum` for `.T.`, None for `$`
and `*`, and `(TYPE, args)` for a typed value. Strings are taken to be plain ASCII on one line, as all our
names are.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, NewType

__all__ = ["Entity", "Ref", "StepText"]

Ref = NewType("Ref", int)
_ENTITY = re.compile(r"#(\d+)\s*=\s*(\w*)\s*(\((?:[^';]|'[^']*')*\))\s*;")
_TOKEN = re.compile(r"'([^']*)'|#(\d+)|(\.[A-Z0-9_]+\.)|([-+]?\d[\d.]*(?:E[-+]?\d+)?)|(\w+)|([(),$*])")


@dataclass(frozen=True)
class Entity:
    """One instance: its type (empty for a complex one) and the text of its arguments."""

    type: str
    text: str

    @property
    def args(self) -> tuple[Any, ...]:
        """The arguments as values."""
        values, _ = _read(list(_TOKEN.finditer(self.text)), 1)
        return values

    def refs(self) -> list[Ref]:
        """Every instance the arguments name."""
        return [Ref(int(m[2])) for m in _TOKEN.finditer(self.text) if m[2]]


def _read(tokens: list[re.Match[str]], i: int) -> tuple[tuple[Any, ...], int]:
    """Values from token `i` (just inside a bracket) to its closing bracket, and the place after it."""
    values: list[Any] = []
    while True:
        string, ref, enum, number, word, mark = tokens[i].groups()
        i += 1
        if mark == ")":
            return tuple(values), i
        if mark == "(":
            inner, i = _read(tokens, i)
            values.append(inner)
        elif word is not None:
            inner, i = _read(tokens, i + 1)
            values.append((word, inner))
        elif string is not None:
            values.append(string)
        elif ref is not None:
            values.append(Ref(int(ref)))
        elif number is not None:
            values.append(float(number))
        elif mark != ",":
            values.append(enum)  # None for $ and *


class StepText:
    """A STEP file as its header and its instances."""

    def __init__(self, text: str) -> None:
        self.header, _, data = text.partition("DATA;")
        self.entities = {Ref(int(m[1])): Entity(m[2], m[3]) for m in _ENTITY.finditer(data)}
        self._of_type: dict[str, list[Ref]] = {}
        for ref, entity in self.entities.items():
            self._of_type.setdefault(entity.type, []).append(ref)

    def __getitem__(self, ref: Ref) -> Entity:
        return self.entities[ref]

    def of(self, kind: str) -> Iterator[tuple[Ref, tuple[Any, ...]]]:
        """Every instance of a type, with its arguments, in the order of the file."""
        for ref in self._of_type.get(kind, ()):
            yield ref, self.entities[ref].args

    def below(self, top: Ref) -> set[Ref]:
        """Everything that `top` names, and what that names, with `top`."""
        seen, todo = {top}, [top]
        while todo:
            for ref in self.entities[todo.pop()].refs():
                if ref not in seen:
                    seen.add(ref)
                    todo.append(ref)
        return seen

    def vector(self, ref: Ref) -> tuple[float, float, float]:
        """The numbers of a CARTESIAN_POINT or DIRECTION."""
        x, y, z = self.entities[ref].args[1]
        return x, y, z
