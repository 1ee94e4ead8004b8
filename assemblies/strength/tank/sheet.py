"""Sheet thinner or thicker than the one that was proven, by scaling: stress with 1/t2, deflection with 1/t3.

Spans and the share each panel carries are taken as they are, so a scaled figure tells where to look; only a proof passes.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass

from assemblies.design.model import Design
from assemblies.order import Order
from assemblies.strength.proof.uses import Proof, SeamUse, Use
from parts.findings import Finding, NotCovered
from parts.stock.sheet import Sheet, stocked, thickness_tolerance_mm

__all__ = ["scaled_use", "sheet_findings", "thickness_that_holds"]

_SCALED = "computed: scaled from the proof: stress with 1/t2, deflection with 1/t3"


@dataclass(frozen=True, kw_only=True)
class _Top:
    """The panel or seam that is used most in another thickness; `said` has its figure and its limit."""

    use: float
    said: str


def scaled_use(one: Use | SeamUse, ratio: float) -> float:
    """The use in sheet thinner by `ratio` (old thickness over new). A seam is the cut edge of the panel that butts.

    Source: section modulus t2 / 6 and rigidity E t3 / (12 (1 - nu2)) of a plate of unit width.
    """
    if isinstance(one, Use):
        return max(one.stress_use * ratio**2, one.bow_use * ratio**3)
    return one.use * ratio**2


def thickness_that_holds(thickness: float, uses: Iterable[Use | SeamUse]) -> float:
    """The thickness in which the most used of these is used to 100 %, mm, by the same scaling."""
    factor = 0.0
    for one in uses:
        bow = one.bow_use ** (1.0 / 3.0) if isinstance(one, Use) else 0.0
        factor = max(factor, bow, math.sqrt(one.stress_use if isinstance(one, Use) else one.use))
    return thickness * factor


def sheet_findings(order: Order, design: Design, proof: Proof) -> Iterator[Finding]:
    """What thinner sheet of the same name would do where the proof passes, what thicker sheet would where it does not."""
    by_sheet = _by_sheet(design, proof)
    if all(one.use <= 1.0 for uses in by_sheet.values() for one in uses):
        for sheet, uses in by_sheet.items():
            if not sheet.is_measured:
                yield from _thin(order, design, sheet, uses)
    elif isinstance(order.sheet.thickness, float):
        yield from _thicker(order, by_sheet)


def _by_sheet(design: Design, proof: Proof) -> Mapping[Sheet, list[Use | SeamUse]]:
    """Panels, holes and seams by the sheet whose thickness decides on them."""
    panels = {p.name for p in design.placed if p.piece.role in ("shell", "lid")}  # a floor that lies flat has no use
    found: dict[Sheet, list[Use | SeamUse]] = {}
    everything: list[Use | SeamUse] = [*proof.uses, *proof.seams]
    for one in everything:
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


def _top(uses: Iterable[Use | SeamUse], ratio: float) -> _Top:
    one = max(uses, key=lambda one: scaled_use(one, ratio))
    used = scaled_use(one, ratio)
    if isinstance(one, SeamUse):
        said = f"seam {one.seam} would carry {one.combined * ratio**2:.2f} MPa of {one.allowed.value:.2f} allowed"
    elif one.stress_use * ratio**2 >= one.bow_use * ratio**3:
        said = f"{one.piece} would carry {one.stress * ratio**2:.2f} MPa of {one.allowed.value:.2f} allowed"
    else:
        said = f"{one.piece} would bow {one.deflection * ratio**3:.2f} mm of {one.allowed_deflection:.2f} allowed"
    return _Top(use=used, said=f"{said} ({100.0 * used:.0f} %)")


def _thin(order: Order, design: Design, sheet: Sheet, uses: list[Use | SeamUse]) -> Iterator[Finding]:
    """A care where sheet as thin as its standard allows would be over a limit."""
    t, least = sheet.thickness_mm, sheet.thickness_range_mm[0]
    over = [one for one in uses if scaled_use(one, t / least) > 1.0]
    if not over:
        return
    where = dict.fromkeys(one.piece if isinstance(one, Use) else one.seam for one in over)
    enough = thickness_that_holds(t, uses)
    yield Finding(
        level="care",
        check="strength",
        where=", ".join(where),
        why=f"proven at {t:g} mm; sheet sold as {sheet.nominal_mm:g} mm may be {least:.2f} mm by its standard, and then "
        f"{_top(over, t / least).said}",
        do=f"measure the sheet before it is cut: from {math.ceil(enough * 100.0) / 100.0:.2f} mm it holds; then write "
        f"{_measured(order, sheet)}{_safe(order, sheet, uses)}",
        source=f"{_SCALED}; thickness tolerance of ISO 7823",
    )


def _measured(order: Order, sheet: Sheet) -> str:
    """How the readings are written: beside the thickness, and in place of a word that leaves it open."""
    if isinstance(order.sheet.thickness, float):
        return "the readings as `measured`"
    if order.sheet.thickness == "choose-each":
        return 'each thickness with its readings as `measured` in [sheet] and [[panel]] instead of "choose-each"'
    return f'thickness = "{sheet.nominal_mm:g} mm" instead of "choose", with the readings as `measured`'


def _safe(order: Order, sheet: Sheet, uses: list[Use | SeamUse]) -> str:
    """The next thicker stocked sheet that would hold as thin as its standard allows."""
    for thicker in stocked(sheet.material, order.units):
        if thicker <= sheet.nominal_mm:
            continue
        try:
            least = thicker - thickness_tolerance_mm(sheet.material, thicker)
        except NotCovered:
            continue
        top = _top(uses, sheet.thickness_mm / least)
        if top.use <= 1.0:
            return (
                f"; {thicker:g} mm sheet would hold even at its least, {least:.2f} mm (used to {100.0 * top.use:.0f} %)"
            )
    return "; no thicker stocked sheet would hold at its least thickness"


def _thicker(order: Order, by_sheet: Mapping[Sheet, list[Use | SeamUse]]) -> Iterator[Finding]:
    """Of each sheet that fails, the next stocked one that would hold."""
    for sheet, uses in by_sheet.items():
        enough = thickness_that_holds(sheet.thickness_mm, uses)
        if enough <= sheet.thickness_mm:
            continue
        thicker = next((t for t in stocked(sheet.material, order.units) if t >= enough), None)
        what = f"{thicker:g} mm, the next stocked, would" if thicker else "nothing stocked would"
        drop = " (without `measured`)" if sheet.is_measured else ""
        yield Finding(
            level="note",
            check="strength",
            where=f"sheet {sheet.material} {sheet.nominal_mm:g} mm",
            why=f"about {enough:.1f} mm would hold, by scaling: {what}",
            do=f'write thickness = "choose"{drop}: '
            + (
                "the thinnest stocked sheet that holds is then found and proven"
                if thicker
                else "it then looks for a rim strip, a brace, a lid or a lower fill that holds"
            ),
            source=_SCALED,
        )
