"""The check-in: what is to be read of a made rig, beside what was asked, and what the order says was read.

*Asked*: the size, gap or result that the design needs. *Read*: what the order has of it, in `measured`, `[as-cut]` and
`[record]`. What was not read yet has no value, and none is ever taken in its place.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from assemblies.fit import Fit, FitRules, check_fit, joint_kind
from assemblies.fit.checks import fit_rules
from assemblies.order import Order
from assemblies.order.errors import near_hint, shown
from assemblies.report.check import Made
from assemblies.shop.care.proof import proof_rows
from parts.findings import NotCovered

if TYPE_CHECKING:
    from collections.abc import Sequence

    from assemblies.design import Design
    from assemblies.fit import SeamFit

__all__ = ["CheckIn", "GapRead", "ProofRead", "SheetRead", "SizeRead", "check_in"]

_SAME_MM = 1e-9


@dataclass(frozen=True, kw_only=True)
class SheetRead:
    """A sheet with its readings, mm; `least` and `greatest` are what its standard allows, None where none is known;
    `outside`: a reading is not within them."""

    material: str
    nominal: float
    parts: tuple[str, ...]
    least: float | None
    greatest: float | None
    readings: tuple[float, ...]
    outside: bool


@dataclass(frozen=True, kw_only=True)
class SizeRead:
    """A cut piece, mm: width and height asked, plus or minus what, and as read.

    Attributes:
        followed: it stands in [as-cut], so that the pieces still to be cut, and the fit, follow it.
        over: how far width and height are beyond their tolerance: over 0 too large, under 0 too small, 0 within it.
    """

    name: str
    asked: tuple[float, float]
    plus_minus: float
    read: tuple[float, float] | None
    followed: bool
    over: tuple[float, float]


def _beyond(off_mm: float, plus_minus_mm: float) -> float:
    """
    >>> _beyond(0.3, 0.25), _beyond(-0.5, 0.25), _beyond(0.25, 0.25)
    (0.04999999999999999, -0.25, 0.0)
    """
    if abs(off_mm) <= plus_minus_mm + _SAME_MM:
        return 0.0
    return off_mm - plus_minus_mm if off_mm > 0.0 else off_mm + plus_minus_mm


@dataclass(frozen=True, kw_only=True)
class GapRead:
    """A seam to be bonded: the greatest gap that goes without a word, the one that stops it, and as a feeler read it, mm."""

    seam: str
    a: str
    b: str
    ok: float
    stop: float
    read: float | None


@dataclass(frozen=True, kw_only=True)
class ProofRead:
    """A step of the proof test with its result, None where it has none."""

    step: int
    case: str
    speed_percent: float | None
    result: str | None
    by: str | None
    date: str | None
    remarks: str | None


@dataclass(frozen=True, kw_only=True)
class CheckIn:
    """Everything that is to be read, and what of it was; `of_revision` is the one that was read."""

    of_revision: str
    by: str | None
    date: str | None
    sheets: tuple[SheetRead, ...]
    sizes: tuple[SizeRead, ...]
    gaps: tuple[GapRead, ...]
    proof: tuple[ProofRead, ...]


def check_in(made: Made) -> CheckIn:
    """The check-in of an order, with what it says was read.

    Raises:
        NotCovered: as `check_fit`, where the fit was not asked.
        OrderError: the record names a seam, piece or step that there is none of.
    """
    order, design, record = made.order, made.design, made.order.record
    rules = fit_rules(order)
    fit = made.of(Fit) or check_fit(design, rules, solids=False)
    seams = [one for one in fit.seams if joint_kind(one.seam.kind).bonded]
    return CheckIn(
        of_revision=(record.revision if record else None) or order.revision,
        by=record.by if record else None,
        date=record.date if record else None,
        sheets=tuple(_sheets(design)),
        sizes=tuple(_sizes(order, design, rules)),
        gaps=tuple(_gaps(order, seams, rules)),
        proof=tuple(_proof(order, design)),
    )


def _sheets(design: Design) -> Iterator[SheetRead]:
    cut = {piece.name: piece.as_cut for piece in design.pieces}
    for sheet in dict.fromkeys(one.sheet for one in cut.values() if one is not None):
        least: float | None
        greatest: float | None
        try:
            least, greatest = replace(sheet, readings_mm=()).thickness_range_mm
        except NotCovered:
            least = greatest = None
        yield SheetRead(
            material=sheet.material,
            nominal=sheet.nominal_mm,
            parts=tuple(name for name, one in cut.items() if one is not None and one.sheet == sheet),
            least=least,
            greatest=greatest,
            readings=sheet.readings_mm,
            outside=least is not None
            and greatest is not None
            and any(not least - _SAME_MM <= r <= greatest + _SAME_MM for r in sheet.readings_mm),
        )


def _sizes(order: Order, design: Design, rules: FitRules) -> Iterator[SizeRead]:
    """Every instance; a size that [as-cut] has is not given a second time."""
    drawn, read = dict(design.drawn), dict(order.record.sizes) if order.record else {}
    for name in read:
        _check_known(order, ("record", "sizes", name), [p.name for p in design.placed], "a piece of it")
        if name in order.as_cut:
            raise order.refuse(("record", "sizes", name), "stands in [as-cut] too", "one size for each piece")
    allow = replace(rules.allow, as_cut=frozenset())
    for placed in design.placed:
        followed = placed.name in drawn
        size = placed.piece.outline.size_mm
        asked, got, by = drawn.get(placed.name, size), size if followed else read.get(placed.name), allow.of(placed)
        off = [0.0, 0.0] if got is None else [r - a for r, a in zip(got, asked, strict=True)]
        yield SizeRead(
            name=placed.name,
            asked=asked,
            plus_minus=by,
            read=got,
            followed=followed,
            over=(_beyond(off[0], by), _beyond(off[1], by)),
        )


def _gaps(order: Order, seams: Sequence[SeamFit], rules: FitRules) -> Iterator[GapRead]:
    read: Mapping[str, float] = order.record.gaps if order.record else {}
    for name in read:
        _check_known(order, ("record", "gaps", name), [one.seam.id for one in seams], "a seam to be bonded")
    for one in seams:
        yield GapRead(
            seam=one.seam.id,
            a=one.seam.a,
            b=one.seam.b,
            ok=rules.gap_ok_mm,
            stop=rules.gap_stop_mm,
            read=read.get(one.seam.id),
        )


def _proof(order: Order, design: Design) -> Iterator[ProofRead]:
    rows = proof_rows(order, design, None)
    results = {one.step: one for one in order.record.proof} if order.record else {}
    for index, one in enumerate(order.record.proof if order.record else ()):
        if one.step > len(rows):
            allowed = f"1 to {len(rows)}" if rows else "no results: nothing here has a proof test"
            raise order.refuse(("record", "proof", index, "step"), f"there is no step {one.step}", allowed)
    for row in rows:
        got = results.get(row.step)
        yield ProofRead(
            step=row.step,
            case=row.case,
            speed_percent=row.speed_percent,
            result=got.result if got else None,
            by=got.by if got else None,
            date=got.date if got else None,
            remarks=got.remarks if got else None,
        )


def _check_known(order: Order, key: tuple[str, str, str], known: Sequence[str], what: str) -> None:
    if key[-1] not in known:
        raise order.refuse(key, f"{shown(key[-1])} is not {what}{near_hint(key[-1], known)}", _listed(known))


def _listed(names: Sequence[str], most: int = 12) -> str:
    """
    >>> _listed(["S1", "S2", "S3"], 2)
    'S1, S2 and 1 more'
    """
    more = [f"{len(names) - most} more"] if len(names) > most else []
    return " and ".join([", ".join(names[:most]), *more]) or "none: it has none"
