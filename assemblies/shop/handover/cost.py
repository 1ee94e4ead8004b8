"""What the job costs: sheet, hours, consumables, margin, as lines that add up to the cent.

Everything is taken from the report, so that the quote can be made again from `report.json` alone. It is an estimate: how long a
cut or a hole takes is the shop's own rate. *Net*: the area of the finished pieces' boxes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Any, Final, Literal

from assemblies.shop.stock.rates import Rates

__all__ = ["CostLine", "Group", "cost_lines", "quote"]

Group = Literal["sheet", "offcuts", "labour", "machine", "consumables", "margin"]
_CENT: Final = Decimal("0.01")
_CUT_BY_LENGTH: Final = ("router", "laser")
Plain = Mapping[str, Any]


@dataclass(frozen=True, kw_only=True)
class CostLine:
    """One line: so much of something at a rate. `amount` is rounded to 0.01; an offcut's is negative."""

    group: Group
    what: str
    quantity: Decimal
    unit: str
    rate: Decimal
    amount: Decimal


def quote(report: Plain, rates: Rates, process: str = "saw") -> dict[str, Any]:
    """The report's `cost`: lines, a total for each group, the total, and for each rig.

    Args:
        report: with `parts` and `quantity`; `fit.seams`, `drill`, `cutting` and `nesting` are used where they are there.
        rates: what the shop charges.
        process: how pieces are cut that do not say so themselves.
    """
    lines = list(cost_lines(report, rates, process))
    groups: dict[str, Decimal] = {}
    for line in lines:
        groups[line.group] = groups.get(line.group, Decimal(0)) + line.amount
    total = sum(groups.values(), Decimal(0))
    count = int(report.get("quantity", 1))
    hours = sum((line.quantity for line in lines if line.group == "labour"), Decimal(0))
    return {
        "currency": rates.currency,
        "lines": [
            {"group": line.group, "what": line.what, "quantity": float(line.quantity), "unit": line.unit,
             "rate": float(line.rate), "amount": float(line.amount)}
            for line in lines
        ],
        "totals": {group: float(amount) for group, amount in groups.items()},
        "hours": float(hours),
        "total": float(total),
        "quantity": count,
        "each": float(_cents(total / count)),
        "rates": rates.source,
        "basis": "sheets of the cutting plan" if _plan(report) else "net area and a share for waste: no cutting plan yet",
        "note": "an estimate without tax and transport; the time each step takes is the shop's own rate",
    }  # fmt: skip


def cost_lines(report: Plain, rates: Rates, process: str = "saw") -> Iterator[CostLine]:
    """Every line of the quote, in order: sheet, offcuts, labour, machine, consumables, margin."""
    made: list[CostLine] = []
    sources = (_sheet(report, rates), _work(report, rates, process), _consumables(report, rates))
    for lines in sources:
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


def _plan(report: Plain) -> list[Plain]:
    sheets: list[Plain] = (report.get("cutting") or {}).get("sheets", [])
    return sheets


# ---- sheet


def _sheet(report: Plain, rates: Rates) -> Iterator[CostLine]:
    plan = _plan(report)
    if not plan:
        yield from _net(report, rates)
        return
    material = _materials(report)
    for number, sheet in enumerate(plan, 1):
        name = sheet.get("material") or material.get(round(sheet["thickness"], 3), "cast-pmma")
        what = f"sheet {number}: {sheet.get('stock', '')}".strip()
        if sheet.get("price") is not None:
            yield _line("sheet", what, Decimal(1), "sheet", _cents(Decimal(repr(float(sheet["price"])))))
        else:
            area = math.prod(sheet["size"]) / 1e6
            yield _line("sheet", what, _measured(area, 4), "m2", rates[name] * _measured(sheet["thickness"], 3))
    for number, sheet in enumerate(plan, 1):
        name = sheet.get("material") or material.get(round(sheet["thickness"], 3), "cast-pmma")
        whole = math.prod(sheet["size"]) / 1e6
        back = sum(math.prod(piece["size"]) / 1e6 for piece in sheet.get("offcuts", ()))
        if back > 0.0:
            price = sheet.get("price")
            per_m2 = rates[name] * _measured(sheet["thickness"], 3) if price is None else Decimal(repr(price / whole))
            credit = -(per_m2 * rates["offcut-percent"] / 100).quantize(Decimal("0.0001"))
            yield _line("offcuts", f"offcuts of sheet {number} back on the rack", _measured(back, 4), "m2", credit)


def _materials(report: Plain) -> dict[float, str]:
    return {round(part["sheet"]["thickness"], 3): part["sheet"]["material"] for part in report["parts"]}


def _net(report: Plain, rates: Rates) -> Iterator[CostLine]:
    """Net area by material and nominal thickness, with the share for waste."""
    area: dict[tuple[str, float], float] = {}
    for part in report["parts"]:
        key = part["sheet"]["material"], part["sheet"]["nominal"]
        area[key] = area.get(key, 0.0) + part["size"][0] * part["size"][1] * _count(part, report) / 1e6
    share = 1 + rates["waste-percent"] / 100
    for (material, nominal), net in area.items():
        bought = _measured(net * float(share), 4)
        yield _line(
            "sheet", f"{material} {nominal:g} mm, waste included", bought, "m2", rates[material] * _measured(nominal, 3)
        )


def _count(part: Plain, report: Plain) -> int:
    return int(part["count"]) * int(report.get("quantity", 1))


# ---- work


def _work(report: Plain, rates: Rates, process: str) -> Iterator[CostLine]:
    minutes: list[tuple[str, Decimal]] = [("set up the job", rates["job-setup"])]
    machine: dict[str, Decimal] = {}
    for how, spent in _cutting(report, rates, process):
        minutes.append((f"cut: {how}", spent))
        machine[how] = machine.get(how, Decimal(0)) + spent
    minutes += [*_drilling(report, rates), *_bonding(report, rates)]
    minutes.append(("test and hand over", rates["test"] * int(report.get("quantity", 1))))
    for what, spent in minutes:
        if spent > 0:
            yield _line("labour", what, _hours(spent), "h", rates["labour"])
    for how, spent in machine.items():
        if spent > 0 and rates[how] > 0:
            yield _line("machine", how, _hours(spent), "h", rates[how])


def _hours(minutes: Decimal) -> Decimal:
    return (minutes / 60).quantize(Decimal("0.001"), ROUND_HALF_UP)


def _cutting(report: Plain, rates: Rates, process: str) -> Iterator[tuple[str, Decimal]]:
    """Minutes at each machine."""
    for how in dict.fromkeys(part.get("process") or process for part in report["parts"]):
        parts = [part for part in report["parts"] if (part.get("process") or process) == how]
        if how in _CUT_BY_LENGTH:
            yield how, _by_length(report, parts, rates, how)
        else:
            cuts = _straight_cuts(report, parts, process)
            settings = len({part["cut_group"] or part["part"] for part in parts})
            yield how, rates["setting"] * settings + rates["cut"] * cuts


def _straight_cuts(report: Plain, parts: Sequence[Plain], process: str) -> Decimal:
    """The plan's steps, shared by pieces where saw and scoring knife both work; without a plan two for each piece."""
    pieces = sum(_count(part, report) for part in parts)
    steps = (report.get("cutting") or {}).get("steps")
    if not steps:
        return Decimal(2 * pieces)
    straight = [p for p in report["parts"] if (p.get("process") or process) not in _CUT_BY_LENGTH]
    return Decimal(len(steps)) * pieces / sum(_count(part, report) for part in straight)


def _by_length(report: Plain, parts: Iterable[Plain], rates: Rates, how: str) -> Decimal:
    sheets = (report.get("nesting") or {}).get("sheets", ())
    nest = [sheet for sheet in sheets if sheet.get("process", how) == how]
    if nest:
        return rates["setting"] * len(nest) + sum((_measured(sheet["minutes"], 2) for sheet in nest), Decimal(0))
    metres = sum(2 * (part["size"][0] + part["size"][1]) / 1e3 * _count(part, report) for part in parts)
    return rates["setting"] + rates[f"{how}-metre"] * _measured(metres, 3)


def _drilling(report: Plain, rates: Rates) -> Iterator[tuple[str, Decimal]]:
    if "drill" in report:
        rows = [
            (d["loads"], len(d["holes"]), d["count"], sum(h["thread"] is not None for h in d["holes"]))
            for d in report["drill"]
        ]
    else:
        drilled = [part for part in report["parts"] if part["holes"]]
        rows = [
            (_count(p, report), len(p["holes"]), _count(p, report), sum(h["thread"] is not None for h in p["holes"]))
            for p in drilled
        ]
    if not rows:
        return
    holes = sum(loads * number for loads, number, _, _ in rows)
    loads = sum(one for one, _, _, _ in rows)
    yield "drill", rates["drill-setup"] * len(rows) + rates["load"] * loads + rates["hole"] * holes
    yield "tap", rates["tap"] * sum(count * taps for _, _, count, taps in rows)


def _bonding(report: Plain, rates: Rates) -> Iterator[tuple[str, Decimal]]:
    seams = (report.get("fit") or {}).get("seams", ())
    if not seams:
        return
    count = int(report.get("quantity", 1))
    metres = _metres(report)
    yield "clean the edges", rates["edge-metre"] * metres
    yield "tape and bond", rates["seam"] * len(seams) * count + rates["seam-metre"] * metres


def _metres(report: Plain) -> Decimal:
    seams = (report.get("fit") or {}).get("seams", ())
    return _measured(sum(s["length"] for s in seams) / 1e3 * int(report.get("quantity", 1)), 3)


def _consumables(report: Plain, rates: Rates) -> Iterator[CostLine]:
    metres = _metres(report)
    if metres > 0:
        yield _line("consumables", "solvent, needle, tape", metres, "m of seam", rates["solvent-metre"])
