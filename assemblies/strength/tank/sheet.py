"""Sheet as thin as it may come: what is proven where it has not been measured, and from which reading on it holds.

Cast sheet sold as 6 mm may be 5.00 mm thick (ISO 7823-1), which is 1.44 times the stress and 1.73 times the bow. So a tank
of unmeasured sheet is solved as thin as its standard allows. Where it fails so and holds as drawn, the least reading that
holds is found by solving: scaling (stress with 1/t², deflection with 1/t³) only tells where to look, and what thicker sheet
may do.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from assemblies.design.model import Design, Placed
from assemblies.order import Order
from assemblies.strength.plates.limits import BEYOND
from assemblies.strength.proof.uses import Proof, SeamUse, Use, WholeUse
from assemblies.strength.tank.prove import Tank
from parts.findings import Finding, NotCovered, Remedy, SeamwrightError
from parts.lengths import MM_PER_INCH, LengthUnit
from parts.stock.sheet import Sheet, sheet_words, stocked

__all__ = [
    "Thin",
    "Unproven",
    "as_thin",
    "enough_mm",
    "least_mm",
    "least_reading",
    "least_sheets",
    "most_used",
    "most_used_place",
    "thicker_findings",
    "thin_findings",
    "thinned",
    "until_measured",
]

_SCALED = "computed: scaled from the proof: stress with 1/t², deflection with 1/t³"
_CLOSE = 0.965  # used to this share, a thickness is the least that holds
_SURE = (
    0.985  # and to no more: a sheet that measures so is cut to its own sizes, which moves a use by up to a hundredth
)
_SOLVES = 4
Thin = Mapping[Sheet, float]
"""The thickness that sheets are taken at instead of their own, mm."""


def least_mm(sheet: Sheet) -> float:
    """The least thickness that unmeasured sheet may have by its standard; its own where no standard says, or it is measured."""
    try:
        return sheet.thickness_mm if sheet.is_measured else sheet.thickness_range_mm[0]
    except NotCovered:
        return sheet.thickness_mm


def least_sheets(design: Design) -> Thin:
    """Every sheet of the design that has not been measured, at its least."""
    sheets = dict.fromkeys(p.piece.sheet for p in design.placed)
    return {sheet: least_mm(sheet) for sheet in sheets if least_mm(sheet) < sheet.thickness_mm}


def thinned(design: Design, thin: Thin) -> Design:
    """The design with its sheets at these thicknesses, everything in its place."""
    return replace(design, placed=tuple(_thin(p, thin) for p in design.placed)) if thin else design


def _thin(placed: Placed, thin: Thin) -> Placed:
    sheet = placed.piece.sheet
    if sheet not in thin:
        return placed
    try:
        return replace(placed, piece=replace(placed.piece, sheet=replace(sheet, readings_mm=(thin[sheet],))))
    except SeamwrightError as error:  # a blind hole that would go through
        raise NotCovered(f"at the thinnest its sheet may be, {error}") from error


def as_thin(tank: Tank, thin: Thin) -> Tank:
    """The tank with its sheets at these thicknesses: panels, strips, braces, and the threads in its plates.

    Sizes and spans stay as drawn.
    """
    if not thin:
        return tank
    design = thinned(tank.design, thin)
    now = {p.name: p.piece.thickness_mm for p in design.placed}
    model = tank.model.at(now)
    groups = tuple(
        replace(group, plates=tuple(design.instance(plate.name) for plate in group.plates)) for group in tank.groups
    )
    return replace(tank, design=design, model=model, groups=groups)


def most_used(proof: Proof, thickness: Mapping[str, float]) -> float:
    """The greatest use of panels, seams, plates and threads; a panel that bows beyond the method is over it."""
    bows = (u.deflection / (BEYOND * thickness[u.piece]) for u in proof.uses)
    return max([0.0, *(one.use for one in proof.everything), *bows])


def most_used_place(proof: Proof) -> str:
    """What is used most, and in which case."""
    one = proof.worst
    if isinstance(one, Use):
        what = one.piece
    elif isinstance(one, SeamUse):
        what = f"seam {one.seam}"
    else:
        what = "the whole tank" if isinstance(one, WholeUse) else one.group.names
    return f"{what} ({one.case})"


def least_reading(mm: float, unit: LengthUnit) -> tuple[float, str]:
    """A thickness rounded up to what a caliper reads, in mm, and in words.

    >>> least_reading(5.8012, "mm"), least_reading(5.8012, "in")[1]
    ((5.81, '5.81 mm'), '0.229 in')
    """
    if unit == "mm":
        up = math.ceil(mm * 100.0 - 1e-6) / 100.0
        return up, f"{up:.2f} mm"
    inches = math.ceil(mm / MM_PER_INCH * 1000.0 - 1e-6) / 1000.0
    return inches * MM_PER_INCH, f"{inches:.3f} in"


def enough_mm(
    use_at: Callable[[float], float],
    fails: tuple[float, float],
    holds: tuple[float, float],
    *,
    most: float = math.inf,
    close: float = _CLOSE,
    solves: int = _SOLVES,
) -> float:
    """The least thickness that holds, mm, between one that fails and one that holds.

    Args:
        use_at: the greatest use at a thickness, solved.
        fails, holds: thickness and use of the two. What lies between is read by a power of the thickness, then solved.
        most: where it would be over this, it is not looked for.
        close: used to this share it is near enough.
        solves: at most so often.
    """
    for _ in range(solves):
        (low, over), (high, under) = fails, holds
        power = math.log(over / under) / math.log(high / low)
        at = least_reading(low * (over / _SURE) ** (1.0 / power), "mm")[0]
        if not low < at < min(high, most + 1e-9):
            break
        use = use_at(at)
        if use > _SURE:
            fails = (at, use)
            continue
        holds = (at, use)
        if use >= close:
            break
    return holds[0]


_Sheets = Use | SeamUse | WholeUse
_WHOLE = (
    1.2  # a tank sags as one with this power of 1/t at least: its walls stretch with 1/t, its floor bends with 1/t3
)


def scaled_use(one: _Sheets, ratio: float) -> float:
    """The use in sheet thinner by `ratio` (old thickness over new). A seam is the cut edge of the panel that butts.

    Source: section modulus t2 / 6 and rigidity E t3 / (12 (1 - nu2)) of a plate of unit width.
    """
    if isinstance(one, Use):
        return max(one.stress_use * ratio**2, one.bow_use * ratio**3)
    return one.use * (ratio**_WHOLE if isinstance(one, WholeUse) else ratio**2)


def thickness_that_holds(thickness: float, uses: Iterable[_Sheets]) -> float:
    """The thickness in which the most used of these is used to 100 %, mm, by the same scaling."""
    factor = 0.0
    for one in uses:
        if isinstance(one, WholeUse):
            factor = max(factor, one.use ** (1.0 / _WHOLE))
            continue
        bow = one.bow_use ** (1.0 / 3.0) if isinstance(one, Use) else 0.0
        factor = max(factor, bow, math.sqrt(one.stress_use if isinstance(one, Use) else one.use))
    return thickness * factor


def _sold(sheet: Sheet, unit: LengthUnit) -> str:
    return sheet_words(sheet.material, sheet.nominal_mm, unit)


def _named(sheet: Sheet, unit: LengthUnit) -> str:
    return f"{_sold(sheet, unit)} {sheet.material} sheet"


def thin_findings(thin: Thin, unit: LengthUnit) -> Iterator[Finding]:
    """That the figures, with which it holds, are for sheet as thin as it may come."""
    for sheet, least in thin.items():
        yield Finding(
            level="note",
            check="strength",
            where=_named(sheet, unit),
            why=f"not measured: strength is worked out at {least_reading(least, unit)[1]}, the thinnest it may be",
            source="ISO 7823, thickness tolerance",
            step="method",
        )


@dataclass(frozen=True, kw_only=True)
class Unproven:
    """What holds as drawn and not as thin as it may come.

    Attributes:
        until: what the sheets must measure, in words, for the verdict.
        findings: the same with figures, for each sheet.
    """

    until: str
    findings: tuple[Finding, ...]


def until_measured(
    order: Order, thin: Thin, use_at: Callable[[Thin], float], uses: tuple[float, float], what: str
) -> Unproven:
    """From which readings on it holds, found by solving; sheets of several thicknesses are taken thinner together.

    Args:
        order: whose sheets they are.
        thin: the unmeasured sheets with their least thickness.
        use_at: the greatest use with the sheets at some thickness.
        uses: at the least, over 1, and as drawn.
        what: is over its limit at the least.
    """
    lead = max(thin, key=lambda sheet: sheet.thickness_mm / thin[sheet])

    def at(mm: float) -> dict[Sheet, float]:
        share = (mm - thin[lead]) / (lead.thickness_mm - thin[lead])
        return {s: least_reading(t + share * (s.thickness_mm - t), order.units)[0] for s, t in thin.items()}

    low, high = (thin[lead], uses[0]), (lead.thickness_mm, uses[1])
    found = at(enough_mm(lambda mm: use_at(at(mm)), low, high))
    said = {sheet: least_reading(mm, order.units)[1] for sheet, mm in found.items()}
    if len(said) == 1:
        until = f"the sheet is measured at {said[lead]} or more"
    else:
        until = " and ".join(
            f"the {_sold(s, order.units)} sheet is measured at {text} or more" for s, text in said.items()
        )
    return Unproven(until=until, findings=tuple(_measure(order, thin, uses, what, s, mm) for s, mm in found.items()))


def _measure(order: Order, thin: Thin, uses: tuple[float, float], what: str, sheet: Sheet, from_mm: float) -> Finding:
    return Finding(
        level="care",
        check="strength",
        where=_named(sheet, order.units),
        why=f"as drawn it holds (at {100.0 * uses[1]:.0f} % of its limit), but sheet sold as "
        f"{_sold(sheet, order.units)} may measure only "
        f"{least_reading(thin[sheet], order.units)[1]} by its standard, and then {what}",
        do=f"measure the sheet before it is cut: from {least_reading(from_mm, order.units)[1]} it holds; then write the "
        "readings as `measured` beside its thickness",
        source="computed: solved at that thickness; thickness tolerance of ISO 7823",
        remedy=Remedy(piece=_piece_of(order, sheet), change="measured", least=(from_mm,)),
    )


def _piece_of(order: Order, sheet: Sheet) -> str:
    """The part by whose table in the order the sheet's readings are written: the first plate or panel of its own, or all."""
    if sheet.nominal_mm == order.sheet.thickness:
        return "sheet"
    return next((p.name for p in order.panel if p.thickness == sheet.nominal_mm), "plate")


def _by_sheet(design: Design, proof: Proof) -> Mapping[Sheet, list[_Sheets]]:
    """Panels, holes and seams by the sheet whose thickness decides on them."""
    panels = {p.name for p in design.placed if p.piece.role in ("shell", "lid")}  # a floor that lies flat has no use
    found: dict[Sheet, list[_Sheets]] = {}
    everything: list[_Sheets] = [*proof.uses, *proof.seams, *proof.whole]
    for one in everything:
        if isinstance(one, WholeUse):
            carrier: str | None = "bottom"
        else:
            carrier = one.piece if isinstance(one, Use) else _carrier(one, panels)
        if carrier is not None:
            found.setdefault(design.instance(carrier).piece.sheet, []).append(one)
    return found


def _carrier(seam: SeamUse, panels: Collection[str]) -> str | None:
    """The panel whose thickness decides on a seam: the one that butts, or the panel that bends off its plates (its edge
    moment over an elastic bond peels with 1/t2 too). None for a brace, whose pull goes another way."""
    if seam.butts in panels:
        return seam.butts
    bent = seam.seam.split("-")[0]
    return bent if seam.butts.startswith("plate") and bent in panels else None


def thicker_findings(order: Order, design: Design, proof: Proof) -> Iterator[Finding]:
    """Of each sheet that fails as drawn, the next stocked one that would hold as thin as it may come."""
    if not isinstance(order.sheet.thickness, float):
        return
    for sheet, uses in _by_sheet(design, proof).items():
        enough = thickness_that_holds(sheet.thickness_mm, uses)
        if enough <= sheet.thickness_mm:
            continue
        listed = stocked(sheet.material, order.units)
        thicker = next((t for t in listed if least_mm(Sheet(material=sheet.material, nominal_mm=t)) >= enough), None)
        what = f"{thicker:g} mm, the next stocked, would" if thicker else "nothing stocked would"
        drop = " (without `measured`)" if sheet.is_measured else ""
        yield Finding(
            level="note",
            check="strength",
            where=_named(sheet, order.units),
            why=f"about {enough:.1f} mm would hold, by scaling: {what}",
            do=f'write thickness = "choose"{drop}: '
            + (
                "that finds and proves the thinnest stocked sheet that holds"
                if thicker
                else "it then also tries a rim strip, a brace, a lid and a lower fill"
            ),
            source=_SCALED,
        )
