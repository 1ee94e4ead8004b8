"""From a file to an order, or to every fault it has."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from assemblies.order.errors import near_hint, shown
from assemblies.order.files import Check, Sort, text_of, tuples
from assemblies.order.model import Order, OrderSource
from assemblies.order.shop_file import ShopFile, find_shop, read_shop
from assemblies.order.values import Table

__all__ = ["ORDER_FILE", "KindTables", "order_from", "order_of", "read_order", "read_order_text"]

ORDER_FILE: Final = Sort(noun="an order file", largest_bytes=262_144, instead="`seamwright start tank` prints one")
#: Tables of an `Order` that only some kinds read.
SHARED: Final = ("panel", "plate", "rig", "strip", "port", "lip", "inner", "engrave", "as-cut")
KindTables = Mapping[str, Mapping[str, type[Table] | None]]
"""By a kind's name: the tables that only this kind has, by their key. The one that bears the kind's name must be given."""


def read_order(path: str | Path, kinds: KindTables, shop: Path | None = None) -> Order:
    """The order in a file.

    Args:
        path: a regular file, TOML 1.0, UTF-8 with or without byte-order mark.
        kinds: the tables of each kind.
        shop: the shop file; by default the nearest `shop.toml` beside the order or above it, if there is one.

    Raises:
        OrderError: everything that is wrong with it, at once.
    """
    text = text_of(Path(path), ORDER_FILE)
    given = shop or find_shop(Path(path))
    return read_order_text(text, kinds, str(path), read_shop(given, Path(path)) if given else None)


def read_order_text(text: str, kinds: KindTables, file: str = "order", shop: ShopFile | None = None) -> Order:
    """The order in a text; `file` is only named in messages.

    Raises:
        OrderError: as `read_order`.
    """
    check, plain = Check.of_text(text, file)
    return order_from(check, plain, kinds, shop)


def order_from(check: Check, plain: dict[str, Any], kinds: KindTables, shop: ShopFile | None = None) -> Order:
    """The order in the data of a file, changed since it was read perhaps; `check` has its name and lines.

    Raises:
        OrderError: as `read_order`.
    """
    plain = dict(plain)
    units = "in" if plain.get("units") == "in" else "mm"
    keys = _own_keys(plain, kinds)
    given = {key: plain.pop(key) for key in keys if key in plain}
    order = check.table(Order, plain, (), {"units": units, "shop": shop}, keys)
    tables = _kind_tables(check, plain, given, kinds, units)
    check.settle()
    assert order is not None
    thickness = plain["sheet"]["thickness"]
    order.sheet._asked = thickness if isinstance(thickness, str) else f"{thickness} {units}"
    order._tables = tables
    order._source = OrderSource(file=check.file, lines=check.lines, cutting=frozenset(plain.get("cutting", ())))
    return order if shop is None else _in_shop(order, shop)


def _own_keys(plain: Mapping[str, Any], kinds: KindTables) -> tuple[str, ...]:
    """The keys of tables that only some kinds have: of its own kind where it has no other key, so that no other is loaded."""
    kind = plain.get("kind")
    common = {field.alias or name for name, field in Order.model_fields.items()}
    own = kinds[kind] if isinstance(kind, str) and kind in kinds else None
    some = (own,) if own is not None and all(key in common or key in own for key in plain) else kinds.values()
    return tuple(dict.fromkeys(key for tables in some for key in tables if key not in SHARED))


def _in_shop(order: Order, shop: ShopFile) -> Order:
    """The order with what the shop says where it says nothing itself."""
    out = order.model_copy(update={"shop": order.shop.over(shop.shop), "edges": order.edges.over(shop.edges)})
    out._shop_file = shop
    return out


def order_of(data: Mapping[str, Any], source: str) -> Order:
    """An order from what a program gives, under the keys of a file; without tables of its kind.

    Args:
        data: keys and values as in a file; lists may be tuples.
        source: what is named in messages.

    Raises:
        OrderError: everything that is wrong with it, at once.
    """
    check = Check(source, {})
    order = check.table(Order, tuples(dict(data)), (), {"units": "in" if data.get("units") == "in" else "mm"})
    check.settle()
    assert order is not None
    order._source = OrderSource(file=source, lines={}, cutting=frozenset(data.get("cutting", ())))
    return order


def _kind_tables(
    check: Check, plain: Mapping[str, Any], given: Mapping[str, Any], kinds: KindTables, units: str
) -> dict[str, Table]:
    """The tables of the order's kind that are given; what is wrong with them is said."""
    kind = plain.get("kind")
    if not isinstance(kind, str):
        return {}  # said already
    if kind not in kinds:
        check.say(("kind",), f"{shown(kind)} is not a kind{near_hint(kind, kinds)}", ", ".join(kinds))
        return {}
    own = kinds[kind]
    for key in [*given, *(k for k in SHARED if k in plain)]:
        if key not in own:
            allowed = ", ".join(f"[{k}]" for k, table in own.items() if table is not None)
            check.say((key,), f'a [{key}] table in an order of kind "{kind}"', allowed)
    if kind in own and kind not in given:
        check.say((kind,), "is missing", f"a [{kind}] table")
    models = {key: model for key, model in own.items() if model is not None}
    found = {
        key: check.table(models[key], data, (key,), {"units": units}) for key, data in given.items() if key in models
    }
    return {key: table for key, table in found.items() if table is not None}
