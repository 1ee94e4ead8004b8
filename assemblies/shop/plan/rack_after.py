"""The rack once a plan is cut: what is used is gone, offcuts of saw and nests are back with labels that are free."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from assemblies.shop.layout.job import NM_PER_MM
from assemblies.shop.saw.cuts import Box
from assemblies.shop.stock.rack import Rack, Slot
from parts.lengths import LengthUnit, mark_length, write_named

if TYPE_CHECKING:
    from assemblies.shop.nest.model import Nest
    from assemblies.shop.saw.model import SawPlan

__all__ = ["Back", "after_nests", "after_plan"]


@dataclass(frozen=True, kw_only=True)
class Back:
    """What goes back on the rack: from which slot, how large, and whether it has a factory edge of it."""

    source: Slot
    width_mm: float
    height_mm: float
    raw: bool


def after_plan(rack: Rack, slots: Sequence[Slot], plan: SawPlan) -> Rack:
    """The rack once a saw plan is cut.

    Args:
        rack: as it is.
        slots: what the plan was made from, in the order of its stock (from `saw_stock`).
        plan: the plan.
    """
    back = [
        Back(
            source=(source := slots[plan.sheets[rest.sheet]]),
            width_mm=rest.size_mm[0],
            height_mm=rest.size_mm[1],
            raw=_has_factory_edge(rest.box, source),
        )
        for rest in plan.rests
        if rest.what == "offcut"
    ]
    return _after(rack, [slots[entry].label for entry in plan.sheets], back)


def after_nests(rack: Rack, nests: Iterable[tuple[Nest, Sequence[Slot]]]) -> tuple[Rack, list[list[str]]]:
    """The rack once nests are cut, and for each of their sheets the labels of its rests.

    Args:
        rack: as it is.
        nests: each with the slots that its sheets are.
    """
    labels: list[list[str]] = []
    for nest, slots in nests:
        for sheet, rests in zip(nest.sheets, nest_back(nest, slots), strict=True):
            rack = _after(rack, [sheet.stock.name], rests)
            labels.append([slot.label for slot in rack.slots[len(rack.slots) - len(rests) :]])
    return rack, labels


def nest_back(nest: Nest, slots: Sequence[Slot]) -> list[list[Back]]:
    """For each sheet of a nest the rests that are worth keeping; all of them reach its factory edge."""
    from assemblies.shop.nest.rests import nest_rests

    out = []
    for sheet in nest.sheets:
        source = next(slot for slot in slots if slot.label == sheet.stock.name)
        out.append(
            [
                Back(source=source, width_mm=rest.width_mm, height_mm=rest.height_mm, raw=True)
                for rest in nest_rests(sheet, source.trim_mm)
            ]
        )
    return out


def _after(rack: Rack, used: Sequence[str], back: Sequence[Back]) -> Rack:
    """Without the sheets of these labels, and with what is left of them at the end, in order."""
    counts = Counter(used)
    kept = []
    for slot in rack.slots:
        left = None if slot.quantity is None else slot.quantity - counts[slot.label]
        if left is None or left > 0 or not counts[slot.label]:
            kept.append(replace(slot, quantity=left))
    labels = {slot.label for slot in kept}
    for one in back:
        label = _free_label(_offcut_label(one, rack.units), labels)
        labels.add(label)
        raw = one.raw and 2 * one.source.trim_mm < min(one.width_mm, one.height_mm)
        offcut = replace(one.source, label=label, kind="offcut", quantity=1, price=None)
        trim = one.source.trim_mm if raw else 0.0
        kept.append(replace(offcut, width_mm=one.width_mm, height_mm=one.height_mm, trim_mm=trim))
    return Rack(slots=tuple(kept), units=rack.units)


def _offcut_label(one: Back, unit: LengthUnit) -> str:
    """Thickness and size: mm without decimals, or inches to 1/64."""
    thick = write_named(one.source.thickness_mm, unit)
    if unit == "mm":
        return f"{thick} {one.width_mm:.0f} x {one.height_mm:.0f}"
    wide = mark_length(one.width_mm, unit).removesuffix(" in")
    return f"{thick} {wide} x {mark_length(one.height_mm, unit)}"


def _has_factory_edge(box: Box, source: Slot) -> bool:
    """Whether a rest reaches an untrimmed edge of its sheet."""
    right, top = round(source.width_mm * NM_PER_MM), round(source.height_mm * NM_PER_MM)
    return box.x == 0 or box.y == 0 or box.x + box.w == right or box.y + box.h == top


def _free_label(base: str, taken: set[str]) -> str:
    letters = (base if k == 0 else f"{base} ({k + 1})" for k in range(len(taken) + 1))
    return next(label for label in letters if label not in taken)
