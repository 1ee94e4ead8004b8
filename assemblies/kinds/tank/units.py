"""Sizes of a tank that only make sense in the other unit: a slip of the pen from which all else would follow."""

from __future__ import annotations

import math

from assemblies.order import Order
from parts.lengths import MM_PER_INCH

__all__ = ["check_units"]

_THINNEST_MM = 3.0  # judgement: thinner sheet is not bonded into tanks
_LONGEST_IN = 120.0  # no sheet is longer: judgement
_BEYOND_L = 2000.0  # ten times what the method covers: judgement


def check_units(order: Order, size_mm: tuple[float, float, float]) -> None:
    """Refuse sizes that make no sense together, but would in the other unit: all else would follow from that slip."""
    thick = order.sheet.thickness if isinstance(order.sheet.thickness, float) else _THINNEST_MM
    litres = math.prod(size_mm) * 1e-6
    inches = " x ".join(f"{side / MM_PER_INCH:.4g}" for side in size_mm)
    if order.units == "mm" and min(size_mm) < thick and max(size_mm) <= _LONGEST_IN:
        told = " x ".join(f"{side:.4g}" for side in size_mm)
        what = f"{told} mm is no tank of {thick:.4g} mm sheet: these look like inches"
        raise order.refuse(("tank", "size"), what, f'units = "in", or each with its unit: "{size_mm[0]:.4g} in"')
    if order.units == "in" and _BEYOND_L < litres < _BEYOND_L * MM_PER_INCH**3:
        what = f"{inches} in would hold {litres:.0f} L: these look like millimetres"
        allowed = f'units = "mm", or each with its unit: "{size_mm[0] / MM_PER_INCH:.4g} mm"'
        raise order.refuse(("tank", "size"), what, allowed)
