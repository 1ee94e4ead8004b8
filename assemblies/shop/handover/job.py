"""What a job is paid for: pieces, sheets, cuts, nests, holes and seams, counted from the plans."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from assemblies.design.model import Design
from assemblies.shop.drill.sheet import DrillSheet
from assemblies.shop.handover.tubes import TubeTaken
from assemblies.shop.plan.plan import CuttingPlan

__all__ = ["Drilled", "Job", "Part", "Taken", "job_of"]


@dataclass(frozen=True, kw_only=True)
class Part:
    """A part: width and height of its box, how many for the whole job, and how it is cut."""

    name: str
    material: str
    nominal_mm: float
    size_mm: tuple[float, float]
    count: int
    process: str
    cut_group: str


@dataclass(frozen=True, kw_only=True)
class Taken:
    """A sheet that is taken from the rack; `price` None goes by its area, `back_m2` of it are offcuts to keep."""

    stock: str
    material: str
    thickness_mm: float
    area_m2: float
    price: float | None = None
    back_m2: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Drilled:
    """A drilled part: how many, in how many loads, with how many holes each, of which so many are tapped."""

    count: int
    loads: int
    holes: int
    taps: int


@dataclass(frozen=True, kw_only=True)
class Job:
    """Everything that is paid for.

    Attributes:
        quantity: rigs.
        sheets: of the cutting plan, sawn ones first; none without a plan.
        steps: straight cuts of the plan.
        nests: process and minutes of each nested sheet; None where no speed is known.
        seams_mm: length of each seam of one rig.
        tubes: tube that is bought; grooves: turned ones, of all rigs.
    """

    quantity: int
    parts: tuple[Part, ...]
    sheets: tuple[Taken, ...] = ()
    steps: int = 0
    nests: tuple[tuple[str, float | None], ...] = ()
    drilled: tuple[Drilled, ...] = ()
    seams_mm: tuple[float, ...] = ()
    tubes: tuple[TubeTaken, ...] = ()
    grooves: int = 0


def job_of(
    design: Design,
    process: str,
    plan: CuttingPlan | None = None,
    drills: Iterable[DrillSheet] = (),
    seams_mm: Iterable[float] = (),
    tubes: Iterable[TubeTaken] = (),
) -> Job:
    """The job of a design.

    Args:
        design: what is made.
        process: how pieces are cut that do not say so themselves.
        plan, drills: without a plan, and with what of it is drilled.
        seams_mm: length of each seam of one rig; none before the fit is known.
        tubes: what is bought of tube.
    """
    count = Counter(placed.piece for placed in design.placed)
    nests = plan.after.nested if plan else ()
    return Job(
        quantity=design.quantity,
        parts=tuple(
            Part(
                name=cut.name,
                material=cut.sheet.material,
                nominal_mm=cut.sheet.nominal_mm,
                size_mm=cut.outline.size_mm,
                count=count[piece] * design.quantity,
                process=cut.process or process,
                cut_group=cut.cut_group,
            )
            for piece in design.pieces
            if (cut := piece.as_cut)
        ),
        sheets=(*_sawn(plan), *_nested(plan)) if plan else (),
        steps=len(plan.saw.steps) if plan and plan.saw else 0,
        nests=tuple((one.sheet.spec.process, one.sheet.minutes) for one in nests),
        drilled=tuple(
            Drilled(
                count=one.count, loads=one.loads, holes=len(one.rows), taps=sum(row.tap is not None for row in one.rows)
            )
            for one in drills
        ),
        seams_mm=tuple(seams_mm),
        tubes=tuple(tubes),
        grooves=design.quantity * sum(bool(one.islands) for p in design.placed for one in p.piece.pockets),
    )


def _sawn(plan: CuttingPlan) -> Iterator[Taken]:
    saw = plan.saw
    if saw is None:
        return
    for number, entry in enumerate(saw.sheets):
        slot = plan.slots[entry]
        back = [math.prod(r.size_mm) for r in saw.rests if r.sheet == number and r.what == "offcut"]
        yield Taken(
            stock=slot.label,
            material=slot.material,
            thickness_mm=slot.thickness_mm,
            area_m2=slot.width_mm * slot.height_mm / 1e6,
            price=slot.price,
            back_m2=sum(v / 1e6 for v in back),
        )


def _nested(plan: CuttingPlan) -> Iterator[Taken]:
    for one in plan.after.nested:
        sheet = one.sheet
        yield Taken(
            stock=sheet.stock.name,
            material=sheet.material,
            thickness_mm=sheet.thickness_mm,
            area_m2=sheet.stock.width_mm * sheet.stock.height_mm / 1e6,
            back_m2=sum(rest.width_mm * rest.height_mm / 1e6 for rest in one.rests),
        )
