"""What the shop charges: the table `rates`, overlaid by a file that the user keeps.

```toml
# rates.toml: any of the rates of the table; what is not here stays as it is there
currency  = "USD"
labour    = 60
cast-pmma = 11.5
```
"""

from __future__ import annotations

import math
import os
import stat
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

from assemblies.order.depth import too_deep
from parts.findings import SeamwrightError
from parts.tables import load

__all__ = ["Rates", "RatesError", "default_rates", "read_rates"]

_LARGEST_BYTES: Final = 65_536
_LARGEST: Final = 1_000_000
_HEAD: Final = "a number of 0 to 1000000"


class RatesError(SeamwrightError):
    """A rates file that cannot be taken; one line for each fault: file, line, key, what is wrong, what is allowed."""


@dataclass(frozen=True, kw_only=True)
class Rates:
    """Every rate by name.

    Attributes:
        currency: the word printed with amounts.
        values: the numbers; their units stand in the table.
        source: where they are from, as printed under a quote.
        own: the names that the user's file gives.
    """

    currency: str
    values: Mapping[str, Decimal]
    source: str
    own: tuple[str, ...] = ()

    def __getitem__(self, name: str) -> Decimal:
        return self.values[name]


def default_rates() -> Rates:
    """The invented rates of the table, to be replaced by the user's own."""
    rows = {row["rate"]: row["value"] for row in load("rates")}
    currency = rows.pop("currency")
    values = MappingProxyType({name: Decimal(value) for name, value in rows.items()})
    return Rates(currency=currency, values=values, source="invented default rates: give your own in a rates file")


def read_rates(path: Path) -> Rates:
    """The user's rates over the default ones.

    Raises:
        RatesError: everything that is wrong with the file, at once.
    """
    text = _text(path)
    deep = too_deep(text)
    if deep is not None:
        raise RatesError(f"{path}:{deep}: is nested too deep; allowed: {_HEAD}")
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise RatesError(f"{path}: is not TOML: {error}") from None
    except ValueError:
        raise RatesError(f"{path}: holds a number of thousands of digits; allowed: {_HEAD}") from None
    known = default_rates()
    faults = list(_faults(path, text, data, known))
    if faults:
        raise RatesError("\n".join(faults))
    given = {name: Decimal(repr(value)) for name, value in data.items() if name != "currency"}
    return Rates(
        currency=data.get("currency", known.currency),
        values=MappingProxyType({**known.values, **given}),
        source=f"{path.name}, {len(data)} of {len(known.values) + 1} rates; the others are invented defaults"
        if len(data) <= len(known.values)
        else path.name,
        own=tuple(sorted(data)),
    )


def _text(path: Path) -> str:
    try:
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
    except (OSError, ValueError) as error:
        raise RatesError(f"{path}: cannot be opened: {getattr(error, 'strerror', None) or error}") from None
    if not stat.S_ISREG(os.fstat(handle).st_mode):
        os.close(handle)
        raise RatesError(f"{path}: is not a regular file")
    with os.fdopen(handle, "rb") as stream:
        raw = stream.read(_LARGEST_BYTES + 1)
    if len(raw) > _LARGEST_BYTES:
        raise RatesError(f"{path}: is too large for a rates file; allowed: {_LARGEST_BYTES // 1024} KiB")
    try:
        return raw.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        raise RatesError(f"{path}: is not UTF-8: byte {error.start + 1}") from None


def _faults(path: Path, text: str, data: Mapping[str, Any], known: Rates) -> Iterator[str]:
    from assemblies.order.errors import near_hint, shown
    from assemblies.order.linemap import line_map, nearest_line

    lines = line_map(text)
    for name, value in data.items():
        where = f"{path}:{nearest_line(lines, (name,))}: {name}"
        if name == "currency":
            if not (isinstance(value, str) and 1 <= len(value.strip()) <= 8 and value.isprintable()):
                yield f"{where}: {shown(value)} is no currency; allowed: a word of 1 to 8 characters"
        elif name not in known.values:
            hint = near_hint(name, [*known.values, "currency"])
            yield f"{where}: unknown rate{hint}; allowed: those of the table rates"
        elif isinstance(value, bool) or not isinstance(value, int | float):
            yield f"{where}: {shown(value)} is no number; allowed: {_HEAD}"
        elif not (math.isfinite(value) and 0 <= value <= _LARGEST):
            said = value if isinstance(value, float) or abs(value) < 10**12 else "a number of many digits"
            yield f"{where}: {said} is out of range; allowed: {_HEAD}"
