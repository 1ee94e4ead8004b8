"""Every key of a file that a user writes, for a terminal of 80 columns."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from typing import Final

from parts.findings import SeamwrightError
from parts.keys import KeyOf, TableOf

__all__ = ["keys_text"]

_WIDTH: Final = 80


def keys_text(tables: Iterable[tuple[str, TableOf]], wanted: str = "") -> str:
    """Every table with its keys, or what is at one key path, for a terminal of 80 columns.

    Args:
        tables: each with what it is of: every kind, or one kind alone.
        wanted: a key path such as `tank.size`, or that of a table.

    Raises:
        SeamwrightError: there is no such key, with the nearest.
    """
    out, known = [], []
    for whose, table in tables:
        known += [key.path for key in table.keys]
        name = table.head.strip("[]")
        keys = [key for key in table.keys if not wanted or wanted in (key.path, key.path.rpartition(".")[2], name)]
        if keys:
            out.append(_table_text(whose, table, keys))
    if not out:
        from assemblies.order.errors import near_hint

        raise SeamwrightError(f"no key {wanted[:60]!r}{near_hint(wanted, known)}; all of them: `seamwright show order`")
    return "\n\n".join(out)


def _table_text(whose: str, table: TableOf, keys: list[KeyOf]) -> str:
    head = f"{table.head or 'At the top'}  ({whose})"
    lines = [head, *textwrap.wrap(table.about, _WIDTH, initial_indent="  ", subsequent_indent="  ")]
    for key in keys:
        name = key.path.rpartition(".")[2]
        default = f"default {key.default}" if key.default else "needed"
        lines += ["", f"  {name}  ({default})"]
        unit = f"; bare numbers in units, or with {key.units}" if key.units.startswith("mm") else ""
        unit = unit or (f"; in {key.units}" if key.units else "")
        for text in (key.means, f"Allowed: {key.allowed}{unit}", f"Example: {name} = {key.example}"):
            lines += textwrap.wrap(text, _WIDTH, initial_indent="      ", subsequent_indent="        ")
    return "\n".join(lines)
