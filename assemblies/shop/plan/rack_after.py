"""The rack once a plan is cut: what is used is gone, offcuts of saw and nests are back with labels that are free."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from assemblies.shop.layout.job import NM_PER_MM
from assemblies.shop.saw.cuts import Box
from assemblies.shop.stock.rack import Rack, Slot
from parts.lengths import LengthUnit, mark_length, write_named

if TYPE_CHECKING:
    from assemblies.shop.nest.model import Nest, NestSheet
    from assemblies.shop.nest.rests import NestRest
    from assemblies.shop.saw.model import SawPlan

__all__ = ["After", "Back", "Nested", "after_cutting", "after_plan"]


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


@dataclass(frozen=True, kw_only=True)
class Nested:
    """A nested sheet with its rests that go back on the rack, and the label of each there."""

    sheet: NestSheet
    rests: tuple[NestRest, ...]
    labels: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class After:
    """What is there once everything is cut: the rack, the saw's offcuts by name with their labels, the nested sheets."""

    rack: Rack
    offcuts: Mapping[str, str]
    nested: tuple[Nested, ...]


def after_cutting(
    rack: Rack, slots: Sequence[Slot], saw: SawPlan | None, nests: Iterable[tuple[Nest, Sequence[Slot]]]
) -> After:
    """Once nests and saw plan are cut.

    Args:
        rack: as it is.
        slots, saw: as of `after_plan`; no saw plan where nothing is cut straight.
        nests: each with the slots that its sheets are.
    """
    nested: list[Nested] = []
    for nest, its in nests:
        for sheet in nest.sheets:
            rack, one = _after_nest(rack, sheet, next(slot for slot in its if slot.label == sheet.stock.name))
            nested.append(one)
    if saw is None:
        return After(rack=rack, offcuts={}, nested=tuple(nested))
    rack = after_plan(rack, slots, saw)
    names = [rest.name for rest in saw.rests if rest.what == "offcut"]
    labels = [slot.label for slot in rack.slots[len(rack.slots) - len(names) :]]
    return After(rack=rack, offcuts=dict(zip(names, labels, strict=True)), nested=tuple(nested))


def _after_nest(rack: Rack, sheet: NestSheet, source: Slot) -> tuple[Rack, Nested]:
    """All rests of a nested sheet reach its factory edge."""
    from assemblies.shop.nest.rests import nest_rests

    rests = nest_rests(sheet, source.trim_mm)
    back = [Back(source=source, width_mm=one.width_mm, height_mm=one.height_mm, raw=True) for one in rests]
    rack = _after(rack, [sheet.stock.name], back)
    labels = tuple(slot.label for slot in rack.slots[len(rack.slots) - len(rests) :])
    return rack, Nested(sheet=sheet, rests=rests, labels=labels)


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
