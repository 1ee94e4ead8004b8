"""`show order`, `show rack`, `show shop`: every key is there, says what it means, and its example is taken."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, Any

import pytest
from click.testing import CliRunner
from pydantic import BaseModel, TypeAdapter

from assemblies.cli import cli
from assemblies.kinds import keys, kinds
from assemblies.order import Order, ShopFile
from assemblies.order.files import tuples
from assemblies.order.keys import tables_of
from assemblies.series.spec import SeriesSpec
from assemblies.shop.stock.rack import RackSpec
from parts.keys import KeyOf


def models() -> Iterator[tuple[type[BaseModel], str]]:
    yield from ((Order, ""), (ShopFile, ""), (RackSpec, ""), (SeriesSpec, ""))
    for one in kinds().values():
        yield from ((table, key) for key, table in one.tables.items())


KEYS = {f"{model.__name__} {key.path}": (model, key) for model, at in models()
        for table in tables_of(model, at) for key in table.keys}  # fmt: skip


def field_at(model: type[BaseModel], key: KeyOf) -> Any:
    """The field that a key path leads to."""
    *tables, last = key.path.split(".")
    here: Any = model
    for part in tables:
        fields = {f.alias or n: f for n, f in here.model_fields.items()}
        if part in fields:  # the first part of a kind's own table is its key in the order
            here = next(m for m in found(fields[part].annotation))
    return next(f for n, f in here.model_fields.items() if (f.alias or n) == last)


def found(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for inner in getattr(annotation, "__args__", ()):
        yield from found(inner)


@pytest.mark.parametrize("name", KEYS)
def test_every_key_says_what_it_means_and_takes_its_own_example(name: str) -> None:
    model, key = KEYS[name]
    assert len(key.means) > 5, "write a text below the field"
    assert key.allowed
    assert key.example
    value = tuples(tomllib.loads(f"value = {key.example}"))["value"]
    field = field_at(model, key)
    kind = Annotated[(field.annotation, *field.metadata)] if field.metadata else field.annotation
    TypeAdapter(kind).validate_python(value, context={"units": "mm"})


def test_what_is_kept_is_what_the_tables_say() -> None:
    """`python -m assemblies.kinds.keys` writes it anew."""
    kept = Path(keys.__file__).parent / "keys.json"
    assert kept.read_text(encoding="utf-8") == keys.kept_text()
    assert list(keys.kept_keys()) == list(keys.order_keys())
    own = {(f"kind {one.name}", key) for one in kinds().values() for key in one.tables}
    assert own - {(whose, table.head.strip("[]").partition(".")[0]) for whose, table in keys.kept_keys()} == set()


def test_every_field_of_every_table_is_a_key() -> None:
    """Counted by hand from the fields, tables among them left out."""

    def fields(model: type[BaseModel]) -> int:
        inner = [next(found(f.annotation), None) for f in model.model_fields.values()]
        return sum(1 if m is None else fields(m) for m in inner)

    for model, at in models():
        assert sum(len(t.keys) for t in tables_of(model, at)) == fields(model)


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (["order", "tank.size"], "size  (needed)"),
        (["order", "sheet"], "[sheet]  (every kind)"),
        (["order", "cutting.kerf"], "kerf  (default that of the process)"),
        (["order", "panels.piece.disc"], "A disc: its diameter."),
        (["rack"], "[[offcut]]  (stock file)"),
        (["shop", "shop.fence"], "The widest setting of the saw's fence."),
        (["shop", "rates"], "Any of `seamwright show rates`, by name."),
    ],
)
def test_a_key_is_shown_where_it_is_asked_for(args: list[str], says: str) -> None:
    done = CliRunner().invoke(cli, ["show", *args], catch_exceptions=False)
    assert done.exit_code == 0
    assert says in done.output
    assert max(map(len, done.output.splitlines())) <= 80


def test_a_key_that_is_none_gets_the_nearest() -> None:
    done = CliRunner().invoke(cli, ["show", "order", "tank.sise"])
    assert "no key 'tank.sise' (did you mean \"tank.size\"?)" in str(done.exception)
