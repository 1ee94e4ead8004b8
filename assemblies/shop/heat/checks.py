"""The record of this room: the heat and bend sheets of an order."""

from __future__ import annotations

from dataclasses import dataclass

from assemblies.shop.heat.plan import HeatSheet

__all__ = ["Heating"]


@dataclass(frozen=True, kw_only=True)
class Heating:
    """One sheet for each bent part."""

    sheets: tuple[HeatSheet, ...]
