"""The keys of an order as `show order` tells them: made from the tables of all kinds, and kept, so that it is told at once.

`python -m assemblies.kinds.keys` writes them anew; a test compares.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path

from parts.keys import KeyOf, TableOf

__all__ = ["kept_keys", "kept_text", "order_keys"]

_KEPT = "keys.json"


def order_keys() -> Iterator[tuple[str, TableOf]]:
    """Every table of an order, made from the models; each with the kinds that have it."""
    from assemblies.kinds import kinds
    from assemblies.order import Order
    from assemblies.order.keys import tables_of

    yield from (("every kind", table) for table in tables_of(Order))
    for one in kinds().values():
        for key, model in one.tables.items():
            yield from ((f"kind {one.name}", table) for table in tables_of(model, key, f"[{key}]"))


def kept_text() -> str:
    """What the file of kept keys must hold."""
    rows = [
        [
            whose,
            table.head,
            table.about,
            *([k.path, k.means, k.allowed, k.units, k.default, k.example] for k in table.keys),
        ]
        for whose, table in order_keys()
    ]
    return "[\n" + ",\n".join(json.dumps(row, ensure_ascii=False) for row in rows) + "\n]\n"


def kept_keys() -> Iterator[tuple[str, TableOf]]:
    """The same as `order_keys`, as kept."""
    for whose, head, about, *keys in json.loads((files(__package__) / _KEPT).read_text(encoding="utf-8")):
        yield whose, TableOf(head=head, about=about, keys=tuple(_key(*key) for key in keys))


def _key(path: str, means: str, allowed: str, units: str, default: str, example: str) -> KeyOf:
    return KeyOf(path=path, means=means, allowed=allowed, units=units, default=default, example=example)


if __name__ == "__main__":
    (Path(__file__).parent / _KEPT).write_text(kept_text(), encoding="utf-8")
