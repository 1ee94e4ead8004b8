"""What the job costs: sheet, hours, consumables, margin, as lines that add up to the cent.

It is an estimate: how long a cut or a hole takes is the shop's own rate. *Net*: the area of the finished pieces' boxes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Final, Literal

from assemblies.shop.handover.job import Job, Part, Taken
from assemblies.shop.stock.rates import Rates

__all__ = ["CostLine", "Group", "Quote", "cost_lines", "quote"]

Group = Literal["sheet", "tube", "offcuts", "labour", "machine", "consumables", "margin"]
_CENT: Final = Decimal("0.01")
_CUT_BY_LENGTH: Final = ("router", "laser")


@dataclass(frozen=True, kw_only=True)
class CostLine:
    """One line: so much of something at a rate. `amount` is rounded to 0.01; an offcut's is negative."""

    group: Group
    what: str
    quantity: Decimal
    unit: str
    rate: Decimal
    amount: Decimal


@dataclass(frozen=True, kw_only=True)
class Quote:
    """The report's `cost`.

    Attributes:
        totals: of each group.
        hours: of labour.
        quantity, each: rigs, and what one costs.
        rates: where the rates are from.
        basis: what the sheet is counted by.
    """

    currency: str
    lines: tuple[CostLine, ...]
    totals: Mapping[str, Decimal]
    hours: Decimal
    total: Decimal
    quantity: int
    each: Decimal
    rates: str
    basis: str
    note: str = "An estimate without tax and transport; the time each step takes is the shop's own rate"


def quote(job: Job, rates: Rates) -> Quote:
    """What a job costs at the shop's rates."""
    lines = tuple(cost_lines(job, rates))
    groups: dict[str, Decimal] = {}
    for line in lines:
        groups[line.group] = groups.get(line.group, Decimal(0)) + line.amount
    total = sum(groups.values(), Decimal(0))
    return Quote(
        currency=rates.currency,
        lines=lines,
        totals=groups,
        hours=sum((line.quantity for line in lines if line.group == "labour"), Decimal(0)),
        total=total,
        quantity=job.quantity,
        each=_cents(total / job.quantity),
        rates=rates.source,
        basis="sheets of the cutting plan" if job.sheets else "net area and a share for waste: no cutting plan yet",
    )


def cost_lines(job: Job, rates: Rates) -> Iterator[CostLine]:
    """Every line of the quote, in order: sheet, offcuts, tube, labour, machine, consumables, margin."""
    made: list[CostLine] = []
    for lines in (_sheet(job, rates), _tubes(job, rates), _work(job, rates), _consumables(job, rates)):
        for line in lines:
            made.append(line)
            yield line
    bought = sum((line.amount for line in made if line.group == "sheet"), Decimal(0))
    share = rates["consumables-percent"]
    extra = _line("consumables", "drills, blades, film, wipes", bought, f"{share} % of the sheet", share / 100)
    yield extra
    before = sum((line.amount for line in (*made, extra)), Decimal(0))
    margin = rates["margin-percent"]
    yield _line("margin", "margin", before, f"{margin} % of all above", margin / 100)


def _cents(amount: Decimal) -> Decimal:
    return amount.quantize(_CENT, ROUND_HALF_UP)


def _line(group: Group, what: str, quantity: Decimal, unit: str, rate: Decimal) -> CostLine:
    return CostLine(group=group, what=what, quantity=quantity, unit=unit, rate=rate, amount=_cents(quantity * rate))


def _measured(value: float, places: int) -> Decimal:
    """A measured amount as it is printed: the line can be checked with a pocket calculator."""
    return Decimal(repr(round(float(value), places)))


# ---- sheet


def _sheet(job: Job, rates: Rates) -> Iterator[CostLine]:
    if not job.sheets:
        yield from _net(job, rates)
        return
    for number, sheet in enumerate(job.sheets, 1):
        what = f"sheet {number}: {sheet.stock}"
        if sheet.price is not None:
            yield _line("sheet", what, Decimal(1), "sheet", _cents(Decimal(repr(float(sheet.price)))))
        else:
            yield _line("sheet", what, _measured(sheet.area_m2, 4), "m2", _per_m2(sheet, rates))
    for number, sheet in enumerate(job.sheets, 1):
        if sheet.back_m2 > 0.0:
            per_m2 = _per_m2(sheet, rates) if sheet.price is None else Decimal(repr(sheet.price / sheet.area_m2))
            credit = -(per_m2 * rates["offcut-percent"] / 100).quantize(Decimal("0.0001"))
            yield _line(
                "offcuts", f"offcuts of sheet {number} back on the rack", _measured(sheet.back_m2, 4), "m2", credit
            )


def _per_m2(sheet: Taken, rates: Rates) -> Decimal:
    return rates[sheet.material] * _measured(sheet.thickness_mm, 3)


def _net(job: Job, rates: Rates) -> Iterator[CostLine]:
    """Net area by material and nominal thickness, with the share for waste."""
    area: dict[tuple[str, float], float] = {}
    for part in job.parts:
        key = part.material, part.nominal_mm
        area[key] = area.get(key, 0.0) + part.size_mm[0] * part.size_mm[1] * part.count / 1e6
    share = 1 + rates["waste-percent"] / 100
    for (material, nominal), net in area.items():
        bought = _measured(net * float(share), 4)
        yield _line(
            "sheet", f"{material} {nominal:g} mm, waste included", bought, "m2", rates[material] * _measured(nominal, 3)
        )


def _tubes(job: Job, rates: Rates) -> Iterator[CostLine]:
    for one in job.tubes:
        price = rates["tube-metre"] * _measured(one.section_cm2, 3) if one.price is None else Decimal(repr(one.price))
        yield _line("tube", one.what, _measured(one.metres, 3), "m", price)


# ---- work


def _work(job: Job, rates: Rates) -> Iterator[CostLine]:
    minutes: list[tuple[str, Decimal]] = [("set up the job", rates["job-setup"])]
    machine: dict[str, Decimal] = {}
    for how, spent in _cutting(job, rates):
        minutes.append((f"cut: {how}", spent))
        machine[how] = machine.get(how, Decimal(0)) + spent
    minutes += [*_turning(job, rates), *_drilling(job, rates), *_bonding(job, rates)]
    minutes.append(("test and hand over", rates["test"] * job.quantity))
    for what, spent in minutes:
        if spent > 0:
            yield _line("labour", what, _hours(spent), "h", rates["labour"])
    for how, spent in machine.items():
        if spent > 0 and rates[how] > 0:
            yield _line("machine", how, _hours(spent), "h", rates[how])


def _hours(minutes: Decimal) -> Decimal:
    return (minutes / 60).quantize(Decimal("0.001"), ROUND_HALF_UP)


def _cutting(job: Job, rates: Rates) -> Iterator[tuple[str, Decimal]]:
    """Minutes at each machine."""
    for how in dict.fromkeys(part.process for part in job.parts):
        parts = [part for part in job.parts if part.process == how]
        if how in _CUT_BY_LENGTH:
            yield how, _by_length(job, parts, rates, how)
        else:
            settings = len({part.cut_group or part.name for part in parts})
            yield how, rates["setting"] * settings + rates["cut"] * _straight_cuts(job, parts)


def _straight_cuts(job: Job, parts: Iterable[Part]) -> Decimal:
    """The plan's steps, shared by pieces where saw and scoring knife both work; without a plan two for each piece."""
    pieces = sum(part.count for part in parts)
    if not job.steps:
        return Decimal(2 * pieces)
    straight = sum(part.count for part in job.parts if part.process not in _CUT_BY_LENGTH)
    return Decimal(job.steps) * pieces / straight


def _by_length(job: Job, parts: Iterable[Part], rates: Rates, how: str) -> Decimal:
    """The nests' minutes; where one of any nest is not known, the length round the pieces."""
    nested = [minutes for process, minutes in job.nests if process == how]
    known = [minutes for minutes in nested if minutes is not None]
    if known and all(minutes is not None for _, minutes in job.nests):
        return rates["setting"] * len(known) + sum((_measured(one, 2) for one in known), Decimal(0))
    metres = sum(2 * (part.size_mm[0] + part.size_mm[1]) / 1e3 * part.count for part in parts)
    return rates["setting"] + rates[f"{how}-metre"] * _measured(metres, 3)


def _drilling(job: Job, rates: Rates) -> Iterator[tuple[str, Decimal]]:
    rows = job.drilled
    if not rows:
        return
    holes = sum(one.loads * one.holes for one in rows)
    loads = sum(one.loads for one in rows)
    yield "drill", rates["drill-setup"] * len(rows) + rates["load"] * loads + rates["hole"] * holes
    yield "tap", rates["tap"] * sum(one.count * one.taps for one in rows)


def _turning(job: Job, rates: Rates) -> Iterator[tuple[str, Decimal]]:
    """Each tube is sawn once and squared at both ends; each groove is turned."""
    if job.tubes:
        many = sum(one.count for one in job.tubes)
        yield "saw and square tube", rates["setting"] * len(job.tubes) + (rates["cut"] + 2 * rates["turn"]) * many
    yield "turn grooves", rates["turn"] * job.grooves


def _bonding(job: Job, rates: Rates) -> Iterator[tuple[str, Decimal]]:
    if not job.seams_mm:
        return
    metres = _metres(job)
    yield "clean the edges", rates["edge-metre"] * metres
    yield "tape and bond", rates["seam"] * len(job.seams_mm) * job.quantity + rates["seam-metre"] * metres


def _metres(job: Job) -> Decimal:
    return _measured(sum(job.seams_mm) / 1e3 * job.quantity, 3)


def _consumables(job: Job, rates: Rates) -> Iterator[CostLine]:
    metres = _metres(job)
    if metres > 0:
        yield _line("consumables", "solvent, needle, tape", metres, "m of seam", rates["solvent-metre"])
