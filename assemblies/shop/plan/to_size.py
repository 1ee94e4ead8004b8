"""What a shop sells besides whole sheets: blanks cut to size, which the plan takes where they cost less than a sheet.

*Blank*: what is asked for by its size, with enough round it for a cut on every side. One holds all pieces of a material and
thickness side by side; or there is one for each piece. They lie beside the sheets that can be bought, and the plan takes
what costs least: by the shop's prices where it has one for each, else by the area. Where no shop file names what is sold,
pieces that take less than a twentieth of a sheet are taken from a blank: nobody carries a sheet home for them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

from assemblies.order import ShopFile
from assemblies.order.shop_file import StockSpec
from assemblies.shop.saw.model import SawPlan
from assemblies.shop.stock.rack import SAME_MM, Slot
from parts.findings import Finding
from parts.lengths import MM_PER_INCH, LengthUnit, write_length
from parts.stock.material import material

if TYPE_CHECKING:
    from assemblies.shop.plan.items import CutItem

__all__ = ["blank_findings", "blank_slots"]

_LITTLE: Final = 0.05  # share of a sheet under which nobody buys it whole (judgement)
_SPARE_MM: Final = 2.0  # beyond the blade, so that every side has a cut of its own (judgement)
_SIDE_BY_SIDE: Final = 12  # pieces that one blank is asked for
_NAME: Final = "cut to size"

Sides = tuple[float, float]


def blank_slots(
    items: Sequence[CutItem], sheets: Sequence[Slot], shop: ShopFile, kerf_mm: float, unit: LengthUnit
) -> list[Slot]:
    """The blanks that could be asked for instead of sheets, for items of one material and thickness that are sawn."""
    first = sheets[0]
    own = [
        row
        for row in shop.stock
        if row.material == first.material and abs(row.thickness - first.thickness_mm) < SAME_MM
    ]
    rows = [row for row in own if row.sold == "cut-to-size"]
    area = sum(math.prod(_sawn(item)) * len(item.names) for item in items)
    if own and not rows:
        return []
    if not own and area >= _LITTLE * min(s.width_mm * s.height_mm for s in sheets):
        return []
    row = rows[0] if rows else None
    round_mm = MM_PER_INCH / 8.0 if unit == "in" else 1.0
    trim = row.trim if row is not None and row.trim else kerf_mm + _SPARE_MM
    wanted = [(_side_by_side(items, kerf_mm), 1)] if sum(len(item.names) for item in items) <= _SIDE_BY_SIDE else []
    if row is not None:
        wanted += [(_sawn(item), len(item.names)) for item in items]
    least = max(row.size) if row else max(max(s.width_mm, s.height_mm) for s in sheets)
    other = min(row.size) if row else max(min(s.width_mm, s.height_mm) for s in sheets)
    slots: dict[str, Slot] = {}
    for (w, h), count in wanted:
        width, height = ((_up((v + trim) / round_mm) + _up(trim / round_mm)) * round_mm for v in (w, h))
        if max(width, height) <= least and min(width, height) <= other:
            slot = _slot(first, (width, height), count, row, trim, unit)
            slots.setdefault(slot.label, slot)
    return list(slots.values())


def _up(number: float) -> int:
    return math.ceil(number - 1e-9)


def _sawn(item: CutItem) -> Sides:
    """Size of a piece as sawn."""
    left, right, bottom, top = item.allowance_mm
    width, height = item.piece.outline.size_mm
    return width + left + right, height + bottom + top


def _side_by_side(items: Sequence[CutItem], kerf_mm: float) -> Sides:
    """The room that some pieces need in one row, the long sides upright where they may be turned."""
    sides = [_sawn(item) for item in items for _ in item.names]
    sides = [(min(s), max(s)) if all(item.may_turn for item in items) else s for s in sides]
    return sum(w for w, _ in sides) + kerf_mm * (len(sides) - 1), max(h for _, h in sides)


def _slot(like: Slot, size: Sides, count: int, row: StockSpec | None, trim_mm: float, unit: LengthUnit) -> Slot:
    width, height = size
    words = " x ".join(write_length(round(v, 3), unit) for v in size)
    return Slot(
        label=f"{_NAME} {words}",
        material=like.material,
        thickness_mm=like.thickness_mm,
        width_mm=width,
        height_mm=height,
        quantity=count,
        price=None if row is None or row.price is None else row.price * width * height / 1e6,
        trim_mm=trim_mm,
    )


def blank_findings(saw: SawPlan, slots: Sequence[Slot], shop: ShopFile) -> Iterator[Finding]:
    """A `note` for each blank that is taken: what to order, what it weighs and costs, and the sheet it stands for."""
    for entry in dict.fromkeys(saw.sheets):
        slot = slots[entry]
        if _NAME not in slot.label or slot.quantity is None:
            continue
        like = [
            s
            for s in slots
            if s.quantity is None and (s.material, s.thickness_mm) == (slot.material, slot.thickness_mm)
        ]
        sheet = min(like, key=lambda s: (s.price or 0.0, _mass_kg(s)))
        many = f"{saw.sheets.count(entry)} x "
        own = f"{_mass_kg(slot):.2g} kg" + ("" if slot.price is None else f" and costs {slot.price:.2f}")
        whole = f"{_mass_kg(sheet):.0f} kg" + ("" if sheet.price is None else f" and {sheet.price:.2f}")
        known = "" if slot.price is not None and sheet.price is not None else "; no price is known: compared by area"
        yield Finding(
            level="note",
            check="buying",
            where=slot.label,
            why=f"a blank cut to size weighs {own}, against {whole} for a sheet{known}",
            do=f"order {many}{slot.label}, or use an offcut of at least that size",
            source=shop.said or "judgement",
        )


def _mass_kg(slot: Slot) -> float:
    return slot.width_mm * slot.height_mm * slot.thickness_mm * 1e-9 * material(slot.material).density_kg_m3
