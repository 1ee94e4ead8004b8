"""What a shop sells besides whole sheets: where a plan takes little of a sheet, the blank to ask for instead."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from assemblies.order import ShopFile
from assemblies.shop.layout.job import NM_PER_MM
from assemblies.shop.saw.model import Blank, SawPlan
from assemblies.shop.stock.rack import SAME_MM, Slot
from parts.findings import Finding
from parts.lengths import LengthUnit, mark_length
from parts.stock.material import material

__all__ = ["blank_findings"]

_LITTLE: Final = 0.05  # share of a sheet under which nobody buys it whole (judgement)
_SPARE_MM: Final = 2.0  # beyond the blade, so that every side has a cut of its own (judgement)


def blank_findings(saw: SawPlan, slots: tuple[Slot, ...], shop: ShopFile, unit: LengthUnit) -> Iterator[Finding]:
    """A `note` for each sheet that would have to be bought and of which the pieces take less than a twentieth."""
    for number, entry in enumerate(saw.sheets):
        slot = slots[entry]
        pieces = [p for p in saw.pieces if p.sheet == number]
        share = sum(p.box.area for p in pieces) / (slot.width_mm * slot.height_mm * NM_PER_MM**2)
        if slot.quantity is not None or share >= _LITTLE:
            continue
        width, height = blank_size(pieces, max(s.kerf_mm for s in saw.shops))
        thick = slot.thickness_mm
        mass = slot.width_mm * slot.height_mm * thick * 1e-9 * material(slot.material).density_kg_m3
        yield Finding(
            level="note", check="buying", where=slot.label,
            why=f"the pieces take {100.0 * share:.1f} % of sheet {number + 1}, which weighs {mass:.0f} kg",
            do=f"ask for an offcut or cut-to-size blank of at least {mark_length(width, unit)} x {mark_length(height, unit)}"
            f"{_price(shop, slot, width * height / 1e6)}",
            source="judgement",
        )  # fmt: skip


def blank_size(pieces: list[Blank], kerf_mm: float) -> tuple[float, float]:
    """The blank that holds some pieces side by side, with a cut on every side."""
    sides = [sorted(p.size_mm) for p in pieces]
    once = kerf_mm + _SPARE_MM
    width = sum(short for short, _ in sides) + kerf_mm * (len(sides) - 1) + 2.0 * once
    return width, max(long for _, long in sides) + 2.0 * once


def _price(shop: ShopFile, slot: Slot, area_m2: float) -> str:
    """What the blank would cost, beside the sheet, where the shop file says both."""
    for row in shop.stock:
        same = row.material == slot.material and abs(row.thickness - slot.thickness_mm) < SAME_MM
        if same and row.sold == "cut-to-size" and row.price is not None:
            against = f", against {slot.price:.2f} for the sheet" if slot.price is not None else ""
            return f": {row.price * area_m2:.2f} at {row.price:g} a m2{against}"
    return ""
