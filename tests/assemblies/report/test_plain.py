"""Records made plain: by the names of their fields, numbers rounded, everything else as JSON has it."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from decimal import Decimal
from enum import Enum
from pathlib import PurePosixPath
from types import MappingProxyType

import numpy as np
import pytest

from assemblies.report.plain import plain
from parts.findings import Finding


@dataclass(frozen=True, kw_only=True)
class Inner:
    size: tuple[float, ...]
    names: frozenset[str] = frozenset({"b", "a"})


@dataclass(frozen=True, kw_only=True)
class Outer:
    inner: Inner
    each: tuple[Inner, ...] = ()
    by_name: MappingProxyType[str, Inner] = field(default_factory=lambda: MappingProxyType({}))

    @property
    def not_told(self) -> str:
        raise AssertionError("only fields are told")


class Colour(Enum):
    RED = "red"


def test_a_record_is_told_by_its_fields_in_their_order_however_deep():
    one = Inner(size=(1.0, 2.0000004))
    found = plain(Outer(inner=one, each=(one,), by_name=MappingProxyType({"x": one})))
    told = {"size": [1.0, 2.0], "names": ["a", "b"]}
    assert json.dumps(found) == json.dumps({"inner": told, "each": [told], "by_name": {"x": told}})


def test_a_finding_is_told_as_the_report_has_always_had_it():
    one = Finding(level="care", check="a", where="b", why="c", do="d", source="e")
    assert list(plain(one).items()) == list(vars(one).items())


@pytest.mark.parametrize(
    ("value", "said"),
    [(1.23456789, "1.234568"), (-1e-9, "0.0"), (-0.0, "0.0"), (np.float64(0.1), "0.1"), (np.float32(0.5), "0.5"),
     (np.int64(3), "3"), (np.array([1.0, 2.0]), "[1.0, 2.0]"), (Decimal("12.30"), "12.3"), (True, "true"), (7, "7"),
     (None, "null"), (Colour.RED, '"red"'), (PurePosixPath("a/b"), '"a/b"'), (range(2), None)],
)  # fmt: skip
def test_every_kind_of_value_is_as_json_has_it_or_refused(value, said):
    if said is None:
        with pytest.raises(TypeError, match="range has no plain form"):
            plain(value)
    else:
        assert json.dumps(plain(value)) == said


def test_what_is_plain_stays_the_same():
    once = plain({"a": [1.23456789, {"b": (2, "x", None)}]})
    assert plain(once) == once
