"""The cutting plan as plain data: the report's `cutting` and `nesting`, what is back on the rack, a label for each piece.

Everything is in mm from each sheet's lower-left corner; areas in mm2, masses in kg.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from assemblies.report.check import Rows
from assemblies.shop.layout.job import NM_PER_MM
from assemblies.shop.plan.items import CutItem
from assemblies.shop.plan.many import MANY, cut_alike
from assemblies.shop.plan.plan import CuttingPlan
from assemblies.shop.plan.rack_after import Nested
from assemblies.shop.saw.model import Blank, SawPlan, SawStep
from assemblies.shop.saw.words import say_plan, say_step
from assemblies.shop.stock.process import ProcessUse, process_uses
from assemblies.shop.stock.rack import Rack, Slot
from parts.lengths import LengthUnit
from parts.stock.material import material

if TYPE_CHECKING:
    from assemblies.shop.nest.model import Nest

__all__ = ["CutLabel", "cutting_section", "labels", "nesting_section", "proposed_rack"]

_TURNED_MM = 1e-6


def cutting_section(plan: CuttingPlan, unit: LengthUnit) -> Rows | None:
    """The report's `cutting`: sheets, steps, areas; None where nothing is cut straight.

    `waste` is what is neither piece nor offcut nor chips; pieces + kerf + waste + offcuts is the stock. With an allowance a
    piece's area there is as sawn, and its box in `placed` is net.
    """
    saw = plan.saw
    if saw is None:
        return None
    alike = cut_alike(saw)
    b = saw.balance
    prices = [plan.slots[entry].price for entry in saw.sheets]
    return {
        "sheets": [_sheet(plan, saw, number, first) for number, first in enumerate(alike)],
        "waste": b.waste / NM_PER_MM**2,
        "balance": {k: getattr(b, k) / NM_PER_MM**2 for k in ("stock", "pieces", "kerf", "waste", "offcuts")},
        "waste_share": (b.waste + b.kerf) / b.stock,
        "mass": math.fsum(_mass_kg(plan, saw, number) for number in range(len(alike))),
        "price": None if None in prices else math.fsum(price for price in prices if price is not None),
        "settings": saw.settings,
        "proven": [_proven(plan, saw, k) for k in range(len(saw.proofs))],
        "units": unit,
        "kerf": {_process(saw, k): shop.kerf_mm for k, shop in enumerate(saw.shops)},
        "processes": _processes(plan.items),
        "words": say_plan(saw, unit, MANY),
        "steps": [_step(step, unit) for step in saw.steps],
        "labels": labels(plan.items),
        "edges": [
            {"part": item.piece.name, "order": item.order, **vars(edge)} for item in plan.items for edge in item.edges
        ],
        **_bevels(plan.items),
        "complete": not plan.faults,
        "interrupted": plan.interrupted,
    }


def _bevels(items: Iterable[CutItem]) -> Rows:
    """The edges that are cut again at an angle, once the piece has its size; nothing where there are none."""
    found = [
        {
            "part": item.piece.name,
            "order": item.order,
            "count": len(item.names),
            "process": item.choice.process,
            "side": item.piece.edge_side(bevel.edge),
            "face": bevel.side,
            "angle": math.degrees(bevel.angle_rad),
            "back": item.piece.cut_back_mm(bevel),
            "thickness": item.piece.thickness_mm,
        }
        for item in items
        for bevel in item.piece.bevels
    ]
    return {"bevels": found} if found else {}


def _proven(plan: CuttingPlan, saw: SawPlan, number: int) -> Rows:
    """What is proven of the sheets of one job; with one size of sheet it is their number, else what they cost."""
    proof, layout = saw.proofs[number], saw.layouts[number]
    job, used = layout.job, len(layout.sheets)
    first = sum(len(one.job.wants) for one in saw.layouts[:number])
    slots = plan.slots[sum(len(one.job.stock) for one in saw.layouts[:number]) :][: len(job.stock)]
    less = "costs less" if all(s.price is not None for s in slots if s.kind == "sheet") else "takes less"
    alone = len(job.stock) == 1
    if proof.best:
        text = "no plan needs fewer sheets" if alone else f"no other choice of these sheets {less}"
    elif alone:
        text = f"it takes {used} sheets, and no plan fewer than {proof.sheets}"
    else:
        share = 100.0 * (1.0 - proof.cost / layout.cost)
        text = f"another choice of these sheets may {less.split()[0][:-1]} up to {share:.0f} % less"
    words = plan.items[first].sheet_words
    return {"sheet": words, "best": proof.best, "sheets": used, "least": proof.sheets if alone else None, "text": text}


def _processes(items: Sequence[CutItem]) -> tuple[ProcessUse, ...]:
    return process_uses((item.piece.name, item.choice) for item in items)


def _process(saw: SawPlan, shop: int) -> str:
    return "score-and-snap" if saw.shops[shop].snap else "saw"


def _item(plan: CuttingPlan, saw: SawPlan, number: int) -> CutItem:
    """One of those on a sheet."""
    return next(plan.items[p.part] for p in saw.pieces if p.sheet == number and p.part is not None)


def _mass_kg(plan: CuttingPlan, saw: SawPlan, number: int) -> float:
    """Of the whole sheet, as thick as it was measured or as its pieces follow."""
    slot = plan.slots[saw.sheets[number]]
    thick = slot.measured_mm if slot.measured_mm is not None else _item(plan, saw, number).piece.thickness_mm
    return slot.width_mm * slot.height_mm * thick * 1e-9 * material(slot.material).density_kg_m3


def _sheet(plan: CuttingPlan, saw: SawPlan, number: int, first: int) -> Rows:
    """One sheet; where it is cut like an earlier one that one's number, and its files are that one's."""
    slot = plan.slots[saw.sheets[number]]
    process = _item(plan, saw, number).choice.process
    rests = [r for r in saw.rests if r.sheet == number]
    after = plan.after.offcuts
    return {
        "number": number + 1,
        "stock": slot.label,
        "kind": slot.kind,
        "material": slot.material,
        "size": (slot.width_mm, slot.height_mm),
        "thickness": slot.thickness_mm,
        "measured": slot.measured_mm,
        "process": process,
        "kerf": next(s.kerf_mm for s in saw.shops if s.snap == (process == "score-and-snap")),
        "trim": slot.trim_mm,
        "price": slot.price,
        "mass": _mass_kg(plan, saw, number),
        "files": [f"cutting/sheet-{first + 1}.dxf", f"cutting/sheet-{first + 1}.svg"],
        **({"same_as": first + 1} if first != number else {}),
        "placed": [_placed(p, plan.items[p.part]) for p in saw.pieces if p.sheet == number and p.part is not None],
        "offcuts": [_rest(r, after) for r in rests if r.what == "offcut"],
        "waste": [_rest(r, after) for r in rests if r.what == "waste"],
    }


def _placed(blank: Blank, item: CutItem) -> Rows:
    """Net box of a piece; turned by a quarter, its left edge lies below and its top edge at the left."""
    left, right, bottom, top = item.allowance_mm
    x, y, w, h = (v / NM_PER_MM for v in (blank.box.x, blank.box.y, blank.box.w, blank.box.h))
    width, height = item.piece.outline.size_mm
    turned = abs(w - (width + left + right)) > _TURNED_MM or abs(h - (height + bottom + top)) > _TURNED_MM
    if turned:
        left, right, bottom, top = top, bottom, left, right
    return {
        "name": blank.name,
        "part": item.piece.name,
        "order": item.order,
        "revision": item.revision,
        "x": x + left,
        "y": y + bottom,
        "w": w - left - right,
        "h": h - bottom - top,
        "turned": turned,
        "sawn": [x, y, w, h],
    }


def _rest(blank: Blank, after: Mapping[str, str]) -> Rows:
    x, y = blank.box.x / NM_PER_MM, blank.box.y / NM_PER_MM
    return {"name": blank.name, "label": after.get(blank.name), "size": blank.size_mm, "x": x, "y": y}


def _step(step: SawStep, unit: LengthUnit) -> Rows:
    """One cut, so that it can be carried out by its figures alone; `line` is the middle of the kerf on the sheet."""
    box, at = step.cut.blank, _line_at(step)
    along = [at, box.y / NM_PER_MM, at, (box.y + box.h) / NM_PER_MM]
    if step.cut.axis == "y":
        along = [box.x / NM_PER_MM, at, (box.x + box.w) / NM_PER_MM, at]
    return {
        "step": step.number,
        "setting": step.setting,
        "distance": step.setting_nm / NM_PER_MM,
        "mode": step.mode,
        "role": step.cut.role,
        "sheet": step.blank.sheet + 1,
        "axis": step.cut.axis,
        "line": along,
        "blank": step.blank.name,
        "blank_size": step.blank.size_mm,
        "kept": step.kept.name,
        "kept_size": step.kept.size_mm,
        "kept_is": step.kept.what,
        "rest": step.rest.name if step.rest else None,
        "rest_size": step.rest.size_mm if step.rest else None,
        "rest_is": step.rest.what if step.rest else None,
        "text": say_step(step, unit),
    }


def _line_at(step: SawStep) -> float:
    """Where the middle of the blade runs, on the axis of the setting."""
    cut, axis = step.cut, step.cut.axis
    low, kept = (cut.blank.x, cut.kept.x) if axis == "x" else (cut.blank.y, cut.kept.y)
    start = low + cut.setting  # the kept part lies below the blade ...
    end = low + cut.blank.along(axis)
    if cut.rest is not None:
        end = cut.rest.x if axis == "x" else cut.rest.y
    if kept > low:  # ... or beyond it, where a factory edge is trimmed off
        start = low if cut.rest is None else low + cut.rest.along(axis)
        end = kept
    return (start + end) / 2.0 / NM_PER_MM


def nesting_section(plan: CuttingPlan, unit: LengthUnit) -> Rows | None:
    """The report's `nesting`: what router and laser cut; None where nothing is."""
    if not plan.nests:
        return None
    nested = [item for item in plan.all_items if item.choice.process in ("router", "laser")]
    return {
        "sheets": [_nested(one, number) for number, one in enumerate(plan.after.nested, 1)],
        "labels": labels(nested),
        "processes": _processes(nested),
        "proven": [_nest_proven(nest, slots, nested, unit) for nest, slots in plan.nests if nest.sheets],
        **_bevels(nested),
        "units": unit,
        "complete": not plan.faults,
    }


def _nest_proven(nest: Nest, slots: Sequence[Slot], nested: Sequence[CutItem], unit: LengthUnit) -> Rows:
    """Whether fewer sheets could hold one nest."""
    from assemblies.shop.nest.least import least_sheets
    from assemblies.shop.nest.model import NestStock

    pieces = [placed.piece for sheet in nest.sheets for placed in sheet.placed]
    stock = [NestStock(name=s.label, width_mm=s.width_mm, height_mm=s.height_mm) for s in slots]
    used, least = len(nest.sheets), least_sheets(pieces, stock, nest.sheets[0].spec)
    text = "no nest needs fewer sheets" if used == least else f"it takes {used} sheets, and no nest fewer than {least}"
    words = next(item.sheet_words for item in nested if item.piece == pieces[0])
    return {
        "sheet": f"{words}, {nest.sheets[0].spec.process}",
        "best": used == least,
        "sheets": used,
        "least": least,
        "text": text,
    }


def _nested(one: Nested, number: int) -> Rows:
    """A nested sheet, its offcuts as the saw's are listed, and where its area goes."""
    from assemblies.shop.nest.nest import nest_row
    from assemblies.shop.nest.rests import nest_balance

    offcuts = [
        {"name": f"N{number} offcut {k}", "label": label, "size": (r.width_mm, r.height_mm), "x": r.x_mm, "y": r.y_mm}
        for k, (r, label) in enumerate(zip(one.rests, one.labels, strict=True), 1)
    ]
    return {**nest_row(one.sheet, number), "offcuts": offcuts, "balance": nest_balance(one.sheet, one.rests)}


def proposed_rack(plan: CuttingPlan) -> Rack:
    """The rack once everything is cut: what is used is gone, the offcuts of nests and saw are back."""
    return plan.after.rack


@dataclass(frozen=True, kw_only=True)
class CutLabel:
    """What a piece is, its revision, which face goes outside (None for a spare), its size in mm; `text` says it all."""

    name: str
    part: str
    order: str
    revision: str
    outside: str | None
    size: tuple[float, float, float]
    text: str


def labels(items: Iterable[CutItem]) -> tuple[CutLabel, ...]:
    """A label for each piece."""
    return tuple(_label(item, name, side) for item in items for name, side in zip(item.names, item.sides, strict=True))


def _label(item: CutItem, name: str, side: str) -> CutLabel:
    width, height, thick = item.piece.size_mm
    out = f"{side} face outside" if side else "spare"
    return CutLabel(
        name=name,
        part=item.piece.name,
        order=item.order,
        revision=item.revision,
        outside=side or None,
        size=item.piece.size_mm,
        text=f"{item.order} / {name} / rev {item.revision} / {width:.2f} x {height:.2f} x {thick:.2f} mm / {out}",
    )
