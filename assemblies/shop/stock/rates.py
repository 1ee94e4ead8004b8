"""What the shop charges: the table `rates`, overlaid by the [rates] of the shop file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

from assemblies.order import ShopFile
from parts.tables import load

__all__ = ["Rates", "rates_of"]


@dataclass(frozen=True, kw_only=True)
class Rates:
    """Every rate by name.

    Attributes:
        currency: the word printed with amounts.
        values: the numbers; their units stand in the table.
        source: where they are from, as printed under a quote.
    """

    currency: str
    values: Mapping[str, Decimal]
    source: str

    def __getitem__(self, name: str) -> Decimal:
        return self.values[name]


def rates_of(shop: ShopFile | None = None) -> Rates:
    """The shop's own rates over the made-up rates of the table.

    >>> rates_of().currency
    'EUR'
    """
    rows = {row["rate"]: row["value"] for row in load("rates")}
    own = {} if shop is None else {name: repr(value) for name, value in shop.rates.items()}
    currency = (shop and shop.currency) or rows["currency"]
    count = len(own) + (1 if shop and shop.currency else 0)
    source = "made-up default rates: give your own in a shop file"
    if shop is not None and count:
        rest = "" if count == len(rows) else f", {count} of {len(rows)} rates; the others are made-up defaults"
        source = f"{shop.said}{rest}"
    values = {name: Decimal(value) for name, value in (rows | own).items() if name != "currency"}
    return Rates(currency=currency, values=MappingProxyType(values), source=source)
