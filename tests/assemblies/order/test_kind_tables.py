"""Tables that only one kind has: read for that kind, refused for the others."""

from __future__ import annotations

import pytest

from assemblies.kinds import schemas
from assemblies.order import Length, Order, OrderError, Table, read_order_text


class Shelf(Table):
    span: Length


class Bracket(Table):
    arm: Length = 50.0


KINDS = {**schemas(), "shelf": {"shelf": Shelf, "bracket": Bracket}, "loose-panels": {"bracket": Bracket}}
HEAD = 'title = "t"\nname = "n"\nkind = "{}"\nunits = "in"\n[sheet]\nthickness = "6 mm"\n'


def read(kind: str, more: str) -> Order:
    return read_order_text(HEAD.format(kind) + more, KINDS)


def refused(kind: str, more: str) -> list[tuple[str, str, str]]:
    with pytest.raises(OrderError) as caught:
        read(kind, more)
    return [(".".join(map(str, p.key)), p.what, p.allowed) for p in caught.value.problems]


def test_a_kind_has_tables_of_its_own_in_the_units_of_the_order() -> None:
    order = read("shelf", "[shelf]\nspan = 10\n[bracket]\narm = 2\n")
    assert order.tables == {"shelf": Shelf(span=254.0), "bracket": Bracket(arm=50.8)}
    assert order.table is order.tables["shelf"]


def test_only_the_one_that_bears_its_name_must_be_there() -> None:
    assert set(read("shelf", "[shelf]\nspan = 10\n").tables) == {"shelf"}
    assert refused("shelf", "[bracket]\narm = 2\n") == [("shelf", "is missing", "a [shelf] table")]
    assert read("loose-panels", "").tables == {}


def test_tables_of_other_kinds_are_refused_and_all_faults_said_at_once() -> None:
    found = refused("shelf", '[shelf]\nspan = "x"\n[tank]\nsize = [1, 1, 1]\n[bracket]\nleg = 3\n')
    assert ("tank", 'a [tank] table in an order of kind "shelf"', "[shelf], [bracket]") in found
    assert [key for key, *_ in found] == ["shelf.span", "tank", "bracket.leg"]
    assert refused("tank", "[tank]\nsize = [10, 10, 10]\n[bracket]\n") == [
        ("bracket", 'a [bracket] table in an order of kind "tank"', "[tank]")
    ]


def test_a_kinds_own_table_takes_no_key_that_every_order_has() -> None:
    common = {field.alias or name for name, field in Order.model_fields.items()}
    assert [key for own in schemas().values() for key, table in own.items() if table and key in common] == []
