"""Every key of every table, with values of every sort: refused in plain words that say what is allowed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, get_args

import pytest
from pydantic import BaseModel

from assemblies.kinds import kinds, schemas
from assemblies.order import Order, OrderError, read_order_text

VALUES = (
    "true", "-1", "0", "1e9", "0.5", '"x"', '""', "[]", "{}", "[[]]", "[[[1, 2]]]", "nan", "2026-01-01", "[1]",
    "[true, true]", '["x", "y"]', "[{}]", "99999999999999999", '"1/0 in"',
)  # fmt: skip
#: Words of the checking library or of Python that no message may show.
JARGON = re.compile(r"[Ii]nput should|pydantic|\btuple|NoneType|<class|_type\b|\bTrue|\bFalse|\bNone\b|\bdict\b")


def _table_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next(filter(None, map(_table_in, get_args(annotation))), None)


def _headers() -> Iterator[tuple[str, type[BaseModel]]]:
    """The header of each table of the file, and the table; the top of the file has none."""
    yield "", Order
    for name, field in Order.model_fields.items():
        table = _table_in(field.annotation)
        if table is not None:
            header = field.alias or name
            yield (f"[[{header}]]" if "tuple" in str(field.annotation) else f"[{header}]"), table
    for name in kinds():
        yield f"[{name}]", schemas()[name][name]


KEYS = [(header, field.alias or name) for header, table in _headers() for name, field in table.model_fields.items()]


def test_the_keys_of_all_tables_are_tried() -> None:
    assert {("", "as-cut"), ("[sheet]", "thickness"), ("[[plate]]", "slot-way"), ("[tank]", "runs-long")} <= set(KEYS)
    assert len(KEYS) >= 80


@pytest.mark.parametrize(("header", "key"), KEYS)
def test_a_key_says_what_it_takes_whatever_else_it_is_given(header: str, key: str) -> None:
    before = f'kind = "{header[1:-1]}"\n{header}\n' if header[1:-1] in kinds() else f"{header}\n"
    refused = 0
    for value in VALUES:
        with pytest.raises(OrderError) as caught:  # title, sheet and more are always missing
            read_order_text(f"{before}{key} = {value}\n", schemas())
        for problem in caught.value.problems:
            if problem.what == "is missing" or key not in problem.key:
                continue
            refused += 1
            said = str(problem)
            assert problem.line == before.count("\n") + 1, said
            assert problem.allowed or "looks like" in problem.what, said
            assert "is not allowed;" not in said
            assert not JARGON.search(re.sub(r"'[^']*'", "", said)), said
    assert refused
