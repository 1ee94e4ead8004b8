"""The check of drilling: every hole with a real drill, what the drill press cannot do as the design asks."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Final

from assemblies.design.model import Design
from assemblies.order import Order
from assemblies.report.check import Check, Checked, Made, Rows, SectionOf
from assemblies.shop.drill.sections import drill_blocks
from parts.findings import SeamwrightError

if TYPE_CHECKING:
    from assemblies.shop.drill.sheet import DrillSheet

__all__ = ["DRILL", "Drilling", "drill_sheets"]


@dataclass(frozen=True, kw_only=True)
class Drilling:
    """The sheet of every drilled part; none where nothing is drilled."""

    sheets: tuple[DrillSheet, ...]


def drill_sheets(order: Order, design: Design) -> tuple[DrillSheet, ...]:
    """What the drill press does, with drills of the order's units first; not what router or laser cut with the outline.

    Raises:
        OrderError: a pitch or dial of the cross-slide vise that cannot be.
    """
    from assemblies.shop.drill.cross_slide import cross_slide
    from assemblies.shop.drill.sheet import DrillShop, drill_rows
    from assemblies.shop.nest.machined import machined_holes

    shop = order.shop
    slide = None
    if shop.turns_per_inch is not None or shop.mm_per_turn is not None:
        try:
            slide = cross_slide(turns_per_inch=shop.turns_per_inch, mm_per_turn=shop.mm_per_turn, divisions=shop.dial)
        except SeamwrightError as error:
            raise order.refuse(("shop",), str(error), "the pitch and dial of a real vise") from error
    settings = DrillShop(
        units=order.units, held=shop.held, spindle_max_rpm=shop.spindle_max, slide=slide, stack=shop.stack
    )
    return drill_rows(design, settings, partial(machined_holes, order))


def _run(made: Made) -> Checked:
    from assemblies.shop.drill.rows import drill_findings

    sheets = drill_sheets(made.order, made.design)
    said = tuple(drill_findings(sheets))
    stops = any(one.level == "stop" for one in said)
    return Checked(state="failed" if stops else "passed", findings=said, figures=Drilling(sheets=sheets))


def _rows(made: Made, drilling: Drilling) -> Rows:
    from assemblies.shop.drill.rows import drill_section

    return {"drill": drill_section(drilling.sheets) if drilling.sheets else None}


DRILL: Final = Check(
    name="drill", run=_run, questions=("cut",), rows=_rows,
    sections=(SectionOf(id="drill", station="drill", title="Drill and tap", blocks=drill_blocks),),
)  # fmt: skip
