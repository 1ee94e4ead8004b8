"""One cutting plan for one or several orders: pieces by process, material and thickness, laid on the sheets of a rack.

*Item*: equal pieces of one order that may be exchanged for one another: same part, same allowance. *Job*: all items of one
process, material and nominal thickness; each has its own sheets. The saw cuts of all jobs are put in order together, so that
the fence, once set, serves every sheet. *Fault*: why a job cannot be cut from this rack; then nothing of it is planned.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any, Final

from assemblies.order import Order
from assemblies.shop.layout.job import LayoutError, StockShort
from assemblies.shop.plan.can_cut import kerf_findings, misfit, short_words, stock_findings, suits, to_buy
from assemblies.shop.plan.items import CutItem, Key, Wanted, cut_items
from assemblies.shop.plan.rack_after import After, after_cutting
from assemblies.shop.plan.to_size import blank_findings, blank_slots
from assemblies.shop.saw.model import SawPart, SawPlan, SawShop
from assemblies.shop.saw.plan import join_plans, plan_saw
from assemblies.shop.stock.process import process_findings
from assemblies.shop.stock.rack import SAME_MM, Rack, RackError, Slot, default_rack, saw_stock, stock_rack
from parts.findings import Finding, NotCovered, SeamwrightError
from parts.lengths import MM_PER_INCH
from parts.shape.piece import Piece
from parts.stock.sheet import sheet_words

if TYPE_CHECKING:
    from assemblies.shop.nest.model import Nest

__all__ = ["CuttingPlan", "plan_cutting", "usual_rack"]

Told = Callable[[str, float, int], None]
"""Called now and then with what is planned, the share of its work done, and the sheets of the best plan so far."""
_COMPILED_OVER: Final = 60  # pieces of a job: below, compiling takes longer than it saves
_STRAIGHT: Final = ("saw", "score-and-snap")
_NESTED: Final = ("router", "laser")


@dataclass(frozen=True, kw_only=True)
class CuttingPlan:
    """What is cut from what.

    Attributes:
        saw: the straight cuts, None where there are none.
        slots: of the rack, in the order of the saw plan's stock.
        items: the saw plan's parts, one item each.
        nests: for router and laser, with the slots their sheets are.
        all_items: every item that was asked for.
        rack: what was planned from.
        faults: why something cannot be cut; with any, the plan is not whole.
        findings: cautions; without the faults.
        interrupted: whether the search was stopped by hand: the best plan until then.
    """

    saw: SawPlan | None
    slots: tuple[Slot, ...]
    items: tuple[CutItem, ...]
    nests: tuple[tuple[Nest, tuple[Slot, ...]], ...]
    all_items: tuple[CutItem, ...]
    rack: Rack
    faults: tuple[Finding, ...]
    findings: tuple[Finding, ...]
    interrupted: bool = False

    @cached_property
    def after(self) -> After:
        """What goes back on the rack, and the rack then; worked out once, when it is first asked for."""
        return after_cutting(self.rack, self.slots, self.saw, self.nests)


def plan_cutting(
    wanted: Sequence[Wanted], rack: Rack | None = None, seconds: float = 5.0, seed: int = 1, told: Told | None = None
) -> CuttingPlan:
    """The cutting plan for some orders.

    Args:
        wanted: the orders; their names differ.
        rack: what is on hand; None for the usual sheet sizes, as many as needed.
        seconds: time limit of the whole search. The work is counted, so that the same call gives the same plan.
        seed: of the search.
        told: progress.

    Raises:
        SeamwrightError: two orders of one name, or a spare of a part that is not there.
    """
    items = cut_items(wanted)
    rack = rack or usual_rack(items, wanted[0].order)
    kerfs = _kerfs(wanted, items)
    said = [f for i in items for f in process_findings(i.piece.name, i.choice)]
    faults = [f for f in said if f.level == "stop"]
    findings = [f for f in said if f.level != "stop"] + kerf_findings(kerfs)
    jobs: dict[Key, list[CutItem]] = {}
    for item in items:
        if item.choice.process is not None:
            jobs.setdefault(item.key, []).append(item)
    run = _Run(
        rack=rack,
        machines=_machines(wanted[0].order),
        kerfs={p: max(k) for p, k in kerfs.items()},
        seconds=seconds / max(1, len(jobs)),
        seed=seed,
    )
    for key in sorted(jobs, key=lambda k: (k[0] not in _STRAIGHT, k)):
        for same in _by_stock(jobs[key], rack):
            try:
                run.job(key, same, told)
            except (LayoutError, RackError, NotCovered) as error:
                run.faults.append(_fault(same, error, _left_out(same[0], rack)))
    saw = join_plans(run.plans) if run.plans else None
    if saw is not None:
        findings += saw.findings
        findings += blank_findings(saw, run.slots, wanted[0].order.shop_file)
    findings += [*(f for nest, _ in run.nests for f in nest.findings), *run.findings]
    return CuttingPlan(
        saw=saw,
        slots=tuple(run.slots),
        items=tuple(run.items),
        nests=tuple(run.nests),
        all_items=tuple(items),
        rack=rack,
        faults=tuple(dict.fromkeys([*faults, *run.faults])),
        findings=tuple(dict.fromkeys(findings)),
        interrupted=run.interrupted,
    )


def usual_rack(items: Sequence[CutItem], order: Order) -> Rack:
    """As many as needed of what can be bought, in every material and thickness that is wanted."""
    unit, shop = order.units, order.shop_file
    slots: list[Slot] = []
    for material, thick in dict.fromkeys(item.key[1:] for item in items):
        usual = stock_rack(shop, material, thick, unit).slots or default_rack(material, thick).slots
        sawn = [item for item in items if item.key[1:] == (material, thick) and item.key[0] in _STRAIGHT]
        blanks = blank_slots(sawn, usual, shop, order.cutting.kerf, unit) if sawn else []
        said = sheet_words(material, thick, unit)
        slots += [replace(s, label=f"{said} {s.label}") for s in (*usual, *blanks)]
    if len({item.piece.sheet.material for item in items}) > 1:
        slots = [replace(s, label=f"{s.material} {s.label}") for s in slots]
    return Rack(slots=tuple(slots), units=unit)


# ---- what is wanted


def _kerfs(wanted: Sequence[Wanted], items: Sequence[CutItem]) -> dict[str, set[float]]:
    """For each process in use, the kerfs that the orders give (or the table, where the order's is another process's)."""
    out: dict[str, set[float]] = {}
    orders = {one.order.name: one.order for one in wanted}
    for item in items:
        process, order = item.choice.process, orders[item.order]
        if process and (process in _STRAIGHT or process in _NESTED):
            own = order.cutting
            kerf = own.kerf if own.process == process else float(order.process_row(process)["kerf_mm"])
            out.setdefault(process, set()).add(kerf)
    return out


def _machines(order: Order) -> SawShop:
    """How far the shop's saw reaches, as far as it says, and what is a round size to it: 1/8 in or 1 mm."""
    shop = order.shop
    usual = SawShop()
    return SawShop(
        round_mm=MM_PER_INCH / 8.0 if order.units == "in" else 1.0,
        reach_mm=shop.fence or usual.reach_mm,
        sled_mm=shop.sled or usual.sled_mm,
        handle_mm=shop.by_hand or usual.handle_mm,
    )


# ---- what it is cut from


class _Run:
    """The jobs one after the other, each from what the others have left of the rack."""

    def __init__(self, *, rack: Rack, machines: SawShop, kerfs: Mapping[str, float], seconds: float, seed: int) -> None:
        self.rack, self.machines, self.kerfs, self.seconds, self.seed = rack, machines, kerfs, seconds, seed
        self.whole = rack
        self.plans: list[SawPlan] = []
        self.slots: list[Slot] = []
        self.items: list[CutItem] = []
        self.nests: list[tuple[Nest, tuple[Slot, ...]]] = []
        self.faults: list[Finding] = []
        self.findings: list[Finding] = []
        self.interrupted = False

    def job(self, key: Key, items: list[CutItem], told: Told | None) -> None:
        """Plan one job.

        Raises:
            RackError, LayoutError, NotCovered: it cannot be cut so.
        """
        process, material, thick = key
        try:
            slots, stock = self._stock(items[0])
        except RackError:
            _, there = saw_stock(self.whole, material, thick)  # says what there is, where there never was any
            left_out = _left_out(items[0], self.whole)
            if len(left_out) == len(there):
                why = (
                    f"the sizes follow a sheet of {items[0].piece.thickness_mm:g} mm, and none on the rack measures so"
                )
                raise RackError(why) from None
            why = f"all {items[0].sheet_words} on the rack goes to other pieces: none is left for the {process}"
            raise RackError(why) from None
        wrong = [f for item in items for f in misfit(item, slots, self.kerfs.get(process, 0.0))]
        if wrong:
            self.faults += wrong
            return
        self.findings += stock_findings(items, _left_out(items[0], self.whole))
        if process in _STRAIGHT:
            self._straight(key, items, slots, stock, told)
        elif process in _NESTED:
            self._nest(key, items, slots)
        else:
            raise NotCovered(f"the {process} cuts by eye along a line: there is no plan for it")

    def _stock(self, item: CutItem) -> tuple[list[Slot], list[Any]]:
        """What is left on the rack that suits an item."""
        fit = tuple(slot for slot in self.rack.slots if suits(item, slot))
        return saw_stock(replace(self.rack, slots=fit), *item.key[1:])

    def _straight(self, key: Key, items: list[CutItem], slots: list[Slot], stock: list[Any], told: Told | None) -> None:
        count = sum(len(item.names) for item in items)
        progress = None
        if told is not None:
            what = items[0].sheet_words
            progress = lambda share, sheets: told(what, share, sheets)  # noqa: E731  # one line, used once
        shop = replace(self.machines, kerf_mm=self.kerfs[key[0]], snap=key[0] == "score-and-snap")
        seconds = 0.0 if self.interrupted else self.seconds
        plan = plan_saw(
            [_saw_part(i) for i in items], stock, shop, seconds, self.seed, progress, count > _COMPILED_OVER
        )
        self.interrupted |= plan.layout.ended == "interrupted"
        self.plans.append(plan)
        self.slots += slots
        self.items += items
        self._take([slots[entry] for entry in plan.sheets])

    def _nest(self, key: Key, items: list[CutItem], slots: list[Slot]) -> None:
        from assemblies.shop.nest.model import NestStock
        from assemblies.shop.nest.nest import default_spec, nest

        spec = default_spec("laser" if key[0] == "laser" else "router", self.kerfs[key[0]])
        spec = replace(spec, margin_mm=max(spec.margin_mm, *(s.trim_mm for s in slots)))
        if not all(item.may_turn for item in items):
            spec = replace(spec, turns=(0, 2))
        by_thickness: dict[float, list[tuple[str, Piece]]] = {}
        for item in items:
            row = by_thickness.setdefault(item.piece.thickness_mm, [])
            row += [(name, item.piece) for name in item.names]
        for pieces in by_thickness.values():
            slots, _ = self._stock(items[0])
            stock = [
                NestStock(name=s.label, width_mm=s.width_mm, height_mm=s.height_mm, count=s.quantity) for s in slots
            ]
            made = nest(pieces, stock, spec)
            self.nests.append((made, tuple(slots)))
            self._take([next(s for s in slots if s.label == sheet.stock.name) for sheet in made.sheets])

    def _take(self, used: list[Slot]) -> None:
        """What is cut up is not there for the next job."""
        labels = [slot.label for slot in used]
        self.rack = replace(
            self.rack,
            slots=tuple(
                s if s.quantity is None else replace(s, quantity=s.quantity - labels.count(s.label))
                for s in self.rack.slots
            ),
        )


def _saw_part(item: CutItem) -> SawPart:
    width, height = item.piece.outline.size_mm
    group = f"{item.order} {item.piece.cut_group}" if item.piece.cut_group else ""
    return SawPart(
        name=item.piece.name,
        width_mm=width,
        height_mm=height,
        count=len(item.names),
        may_turn=item.may_turn,
        group=group,
        allowance_mm=item.allowance_mm,
        labels=item.names,
    )


def _left_out(item: CutItem, rack: Rack) -> list[Slot]:
    """The sheets of its material and name that measure otherwise than its sizes follow."""
    material, thick = item.key[1:]
    own = [
        s for s in rack.slots if s.material == material and abs(s.thickness_mm - thick) < SAME_MM and s.quantity != 0
    ]
    return [slot for slot in own if not suits(item, slot)]


def _by_stock(items: Sequence[CutItem], rack: Rack) -> list[list[CutItem]]:
    """The items of a job by the sheets that suit them: those of two readings are cut from two stocks where they differ."""
    rows: dict[tuple[str, ...], list[CutItem]] = {}
    for item in items:
        rows.setdefault(tuple(slot.label for slot in _left_out(item, rack)), []).append(item)
    return list(rows.values())


def _fault(items: Sequence[CutItem], error: SeamwrightError, left_out: Sequence[Slot]) -> Finding:
    why = short_words(items, error) if isinstance(error, StockShort) else str(error)
    return Finding(
        level="stop",
        check="cutting",
        where=items[0].sheet_words,
        why=why,
        do=to_buy(items, left_out),
        source="computed: cutting plan",
    )
