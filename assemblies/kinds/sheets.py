"""The sheet of a piece, from an order."""

from __future__ import annotations

from assemblies.order import Order
from assemblies.order.errors import Key
from parts.findings import SeamwrightError
from parts.stock.sheet import Sheet

__all__ = ["extra_sheet", "stated_sheet"]


def stated_sheet(order: Order, nominal: float | str, readings: tuple[float, ...], table: Key = ("sheet",)) -> Sheet:
    """Sheet as a table of the order states it.

    Raises:
        OrderError: its thickness is left open, or its readings are of another sheet.
    """
    if isinstance(nominal, str):
        raise order.refuse((*table, "thickness"), f'"{nominal}" is decided by `hold`', "a thickness here")
    try:
        return Sheet(material=order.sheet.material, nominal_mm=nominal, readings_mm=readings)
    except SeamwrightError as error:
        raise order.refuse((*table, "measured"), str(error), "readings of this sheet") from error


def extra_sheet(order: Order, thickness_mm: float, readings_mm: tuple[float, ...] = ()) -> Sheet:
    """Sheet for an extra: the order's own sheet when it is as thick and not measured apart."""
    if not readings_mm and thickness_mm == order.sheet.thickness:
        readings_mm = order.sheet.measured
    return Sheet(material=order.sheet.material, nominal_mm=thickness_mm, readings_mm=readings_mm)
