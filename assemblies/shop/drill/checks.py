"""The check of drilling: every hole with a real drill, what the drill press cannot do as the design asks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Final

from assemblies.design.model import Design
from assemblies.order import Order
from assemblies.report.check import Check, Checked, Made, Rows, SectionOf
from assemblies.shop.drill.sections import drill_blocks
from parts.findings import Finding, SeamwrightError, Taken

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
    said = (*drill_findings(sheets), *_beyond_the_throat(made.order.shop.throat, sheets))
    stops = any(one.level == "stop" for one in said)
    return Checked(
        state="failed" if stops else "passed",
        findings=said,
        figures=Drilling(sheets=sheets),
        taken=tuple(_taken(made.order)) if sheets else (),
    )


def _taken(order: Order) -> Iterator[Taken]:
    """How it is drilled, where the shop does not say."""
    if not order.says("shop", "held"):
        yield Taken(
            what="how it is drilled", value="on a press", why="the order of drilling", say="[shop] held", weight=1.1
        )
    if order.shop.spindle_max is None:
        yield Taken(
            what="fastest the press turns", value="any speed", why="drill speeds", say="[shop] spindle-max", weight=1.1
        )


def _beyond_the_throat(throat_mm: float | None, sheets: tuple[DrillSheet, ...]) -> Iterator[Finding]:
    """Holes that the drill press's column does not let one reach from any edge."""
    if throat_mm is None:
        return
    found: dict[str, float] = {}
    for sheet in sheets:
        (x0, y0), (x1, y1) = (0.0, 0.0), sheet.piece.outline.size_mm
        for row in sheet.rows:
            hole = row.hole
            deep = min(hole.x_mm - x0, x1 - hole.x_mm, hole.y_mm - y0, y1 - hole.y_mm)
            if deep > throat_mm:
                found[sheet.piece.name] = max(deep, found.get(sheet.piece.name, 0.0))
    if found:
        yield Finding(
            level="care",
            check="drill",
            where=", ".join(found),
            why=f"a hole lies {max(found.values()):.0f} mm from the nearest edge; the press reaches {throat_mm:.0f} mm",
            do="drill it by hand, square, through a guide block that was drilled on the press",
            source="computed: places of the holes; the reach is the shop's",
        )


def _rows(made: Made, drilling: Drilling) -> Rows:
    from assemblies.shop.drill.rows import drill_section

    return {"drill": drill_section(drilling.sheets) if drilling.sheets else None}


DRILL: Final = Check(
    name="drill",
    run=_run,
    questions=("cut",),
    rows=_rows,
    sections=(SectionOf(id="drill", station="drill", title="Drill and tap", blocks=drill_blocks),),
)
