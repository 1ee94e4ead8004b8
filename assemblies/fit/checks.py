"""The checks of this room: sheets and holes of each piece, seams and gaps, interference, how it comes apart."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any, Final

from assemblies.design import Design
from assemblies.fit.check import Fit, FitRules, check_fit
from assemblies.fit.sections import assembly_blocks, fit_blocks
from assemblies.fit.tolerance import Allowances
from assemblies.order import Order
from assemblies.report.check import Check, Checked, Made, SectionOf, State
from parts.findings import Finding, NotCovered, Taken
from parts.shape.hole_rules import piece_findings
from parts.shape.piece import Piece
from parts.stock.material import material
from parts.stock.rules import rule
from parts.stock.sheet import sheet_findings, sheet_words
from parts.stock.thread import clearance, thread

if TYPE_CHECKING:
    from assemblies.fit.apart.explode import Exploded

__all__ = ["APART", "BUILD", "FIT", "HOLES", "SEAMS", "SHEETS", "fit_rules"]


def fit_rules(order: Order) -> FitRules:
    """What the order says the cut and the joints are good for."""
    cutting = order.cutting
    allow = Allowances(
        tolerance_mm=cutting.tolerance,
        repeat_mm=cutting.repeat,
        squareness_mm=cutting.squareness,
        process_tolerance_mm=order.process_tolerances(),
        reading_mm=rule("caliper_error"),
        as_cut=frozenset(order.as_cut),
    )
    return FitRules(allow=allow, gap_ok_mm=order.limits.gap)


def _sheets(made: Made) -> Checked:
    return Checked(findings=tuple(_of_sheets(made)), taken=tuple(_sheets_taken(made)))


def _of_sheets(made: Made) -> Iterator[Finding]:
    order = made.order
    for sheet in dict.fromkeys(cut.sheet for piece in made.design.pieces if (cut := piece.as_cut)):
        yield from sheet_findings(sheet, sheet_words(sheet.material, sheet.nominal_mm, order.units))


def _sheets_taken(made: Made) -> Iterator[Taken]:
    """Thicknesses that were not measured, by what stress may then be larger; the material, where none is named."""
    for sheet in dict.fromkeys(cut.sheet for piece in made.design.pieces if (cut := piece.as_cut)):
        if sheet.is_measured:
            continue
        try:
            least, greatest = sheet.thickness_range_mm
        except NotCovered:
            continue
        yield Taken(
            what=f"readings of the {sheet_words(sheet.material, sheet.nominal_mm, made.order.units)} sheet ({sheet.material})",
            value=sheet.nominal_mm,
            unit="mm",
            why=f"sizes follow it; it may be {least:.2f} to {greatest:.2f} mm by its standard",
            say="measured, beside its thickness",
            weight=(sheet.nominal_mm / least) ** 2,
        )
    if not made.order.says("sheet", "material"):
        cast, extruded = (material(name).design_stress("permanent").value for name in ("cast-pmma", "extruded-pmma"))
        yield Taken(
            what="material of the sheet",
            value=made.order.sheet.material,
            why="allowed stress and how thick it may come",
            say="[sheet] material",
            weight=cast / extruded,
        )


def _fit_taken(order: Order) -> tuple[Taken, ...]:
    """What the cut is good for, where neither order nor shop say it."""
    every = (
        ("tolerance", "a cut size, plus or minus", "gaps of trapped pieces, what must be cut last", 2.0),
        ("repeat", "two equal sizes of one fence setting, plus or minus", "gaps between pieces of one cut group", 2.0),
        ("squareness", "a cut edge out of square", "the gap of every seam", 2.0),
    )
    return tuple(
        Taken(what=what, value=getattr(order.cutting, key), unit="mm", why=why, say=f"[cutting] {key}", weight=weight)
        for key, what, why, weight in every
        if not order.says("cutting", key)
    )


def _holes(made: Made) -> Checked:
    pieces, screwed, unit = made.design.pieces, _screwed_on(made.design), made.order.units
    return Checked(findings=tuple(f for piece in pieces for f in piece_findings(piece, screwed.get(piece, ()), unit)))


def _screwed_on(design: Design) -> dict[Piece, set[float]]:
    """Of pieces that are screwed on to others (a lid on its strips), the diameters of the holes for those screws."""
    out: dict[Piece, set[float]] = {}
    for fastener in design.fasteners:
        piece = design.instance(fastener.piece).piece
        if fastener.through[0] == fastener.piece and len(fastener.through) > 1:
            out.setdefault(piece, set()).add(clearance(thread(fastener.thread)).diameter_mm)
    return out


def _build(made: Made) -> Checked:
    return Checked(findings=made.design.findings, taken=made.design.taken)


def _seams(made: Made) -> Checked:
    """Without the solids compared the fit cannot pass."""
    fit = check_fit(made.design, fit_rules(made.order), solids=False)
    return Checked(state="not-run", findings=fit.findings, figures=fit, taken=_fit_taken(made.order))


def _fit(made: Made) -> Checked:
    fit = check_fit(made.design, fit_rules(made.order))
    state: State = "passed" if fit.passed else "failed"
    return Checked(state=state, findings=fit.findings, figures=fit, taken=_fit_taken(made.order))


def _fit_rows(made: Made, fit: Fit) -> Mapping[str, Any]:
    return {"fit": _fit_section(fit)}


def _fit_section(fit: Fit) -> dict[str, Any]:
    """The `fit` section; without solids compared it holds no `interferences`."""
    rows = [
        {
            "id": s.seam.id,
            "a": s.seam.a,
            "b": s.seam.b,
            "length": s.seam.length_mm,
            "width": s.seam.width_mm,
            "area": s.seam.area_mm2,
            "captive": s.gap.captive,
            "gap": {"nominal": s.gap.nominal, "min": s.gap.min, "max": s.gap.max, "rss": s.gap.rss},
            "goes_in": s.goes_in,
            "seals": s.seals,
            "centre": list(s.seam.centre),
        }
        for s in fit.seams
    ]
    loops = [
        {
            "piece": loop.piece,
            "between": list(loop.between),
            "seams": list(loop.seams),
            "left_over": loop.left_over_mm,
            "spread": loop.spread_mm,
            "rss": loop.rss_mm,
            "terms": [
                {"piece": t.piece, "size": t.size, "sign": t.sign, "nominal": t.nominal_mm, "error": t.plus_minus_mm}
                for t in loop.terms
            ],
        }
        for loop in fit.loops
    ]
    section: dict[str, Any] = {"seams": rows, "loops": loops}
    if fit.interferences is not None:
        section["interferences"] = [{"a": h.a, "b": h.b, "volume_mm3": h.volume_mm3} for h in fit.interferences]
    return section


def _apart(made: Made) -> Checked:
    from assemblies.fit.apart.explode import explode

    exploded = explode(made.design)
    return Checked(findings=exploded.findings, figures=exploded)


def _apart_rows(made: Made, exploded: Exploded) -> Mapping[str, Any]:
    from assemblies.fit.apart.explode import assembly_rows

    return {"assembly": assembly_rows(exploded)}


_FIT_SECTIONS: Final = (SectionOf(id="fit", station="dry-fit", title="Dry fit", blocks=fit_blocks),)

#: What is bought as sheet, how thick it may really be.
SHEETS: Final = Check(name="sheets", questions=("fit", "hold", "cut"), run=_sheets)
#: Holes, threads and inside corners by the rules of the shop.
HOLES: Final = Check(name="holes", questions=("fit", "hold", "cut"), run=_holes)
#: What the builder, and the choice of a thickness, have noticed; where a thickness was chosen, its answer is known before.
BUILD: Final = Check(name="build", questions=("fit", "hold", "cut"), run=_build)
#: Seams, gaps, and solids that run into each other. Needs the geometry kernel.
FIT: Final = Check(name="fit", questions=("fit",), solids=True, run=_fit, rows=_fit_rows, sections=_FIT_SECTIONS)
#: The same without the solids, in place of `FIT`.
SEAMS: Final = Check(name="fit", questions=("fit",), run=_seams, rows=_fit_rows, sections=_FIT_SECTIONS)
#: How it comes apart, and so the order of assembly.
APART: Final = Check(
    name="apart",
    questions=("fit",),
    run=_apart,
    rows=_apart_rows,
    sections=(SectionOf(id="assembly", station="dry-fit", title="Order of assembly", blocks=assembly_blocks),),
)
