"""The sheet of a piece, from an order."""

from __future__ import annotations

from assemblies.order import Order
from parts.stock.sheet import Sheet

__all__ = ["extra_sheet"]


def extra_sheet(order: Order, thickness_mm: float, readings_mm: tuple[float, ...] = ()) -> Sheet:
    """Sheet for an extra: the order's own sheet when it is as thick and not measured apart."""
    if not readings_mm and thickness_mm == order.sheet.thickness:
        readings_mm = order.sheet.measured
    return Sheet(material=order.sheet.material, nominal_mm=thickness_mm, readings_mm=readings_mm)
