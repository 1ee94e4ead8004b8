"""One cutting plan for one or several orders: pieces by process, material and thickness, laid on the sheets of a rack.

*Item*: equal pieces of one order that may be exchanged for one another: same part, same allowance. *Job*: all items of one
process, material and nominal thickness; each has its own sheets. The saw cuts of all jobs are put in order together, so that
the fence, once set, serves every sheet. *Fault*: why a job cannot be cut from this rack; then nothing of it is planned.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Final

from assemblies.design import Design, Placed
from assemblies.order import Order
from assemblies.order.model import process_row
from assemblies.shop.job import LayoutError, StockShort
from assemblies.shop.plan_checks import kerf_findings, misfit, short_words, stock_findings
from assemblies.shop.process import ProcessChoice, choose_process, process_findings
from assemblies.shop.rack import Rack, RackError, Slot, default_rack, saw_stock
from assemblies.shop.saw import SawPart, SawPlan, SawShop, join_plans, plan_saw
from parts.findings import Finding, NotCovered, SeamwrightError
from parts.lengths import LengthUnit
from parts.piece import Piece
from parts.rules import rule
from parts.sheet import sheet_words

if TYPE_CHECKING:
    from assemblies.shop.nest_model import Nest

__all__ = ["CutItem", "CuttingPlan", "Wanted", "cut_items", "instance_name", "plan_cutting", "usual_rack"]

Told = Callable[[str, float, int], None]
"""Called now and then with what is planned, the share of its work done, and the sheets of the best plan so far."""
Allowance = tuple[float, float, float, float]
_COMPILED_OVER: Final = 60  # pieces of a job: below, compiling takes longer than it saves
_STRAIGHT: Final = ("saw", "score-and-snap")
_NESTED: Final = ("router", "laser")
Key = tuple[str, str, float]


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """An order with its design; `spares` says how many more of a part are cut."""

    order: Order
    design: Design
    spares: Mapping[str, int]


@dataclass(frozen=True, kw_only=True)
class CutItem:
    """Equal pieces of one order.

    Attributes:
        order: the order's name; revision as ordered; units of its words.
        piece: the part.
        names: of the instances, unique in the plan.
        sides: for each name the face that goes outside: `far`, `near`, or empty for a spare.
        choice: how it is cut.
        allowance_mm: left on at left, right, bottom and top.
        may_turn: whether it may lie either way on the sheet.
    """

    order: str
    revision: str
    units: LengthUnit
    piece: Piece
    names: tuple[str, ...]
    sides: tuple[str, ...]
    choice: ProcessChoice
    allowance_mm: Allowance
    may_turn: bool

    @property
    def key(self) -> Key:
        """Process, material and nominal thickness."""
        return self.choice.process or "", self.piece.sheet.material, self.piece.sheet.nominal_mm

    @property
    def sheet_words(self) -> str:
        """Thickness and material of its sheet, in the order's units."""
        sheet = self.piece.sheet
        return f"{sheet_words(sheet.material, sheet.nominal_mm, self.units)} {sheet.material}"


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


def plan_cutting(
    wanted: Sequence[Wanted],
    rack: Rack | None = None,
    seconds: float = 5.0,
    seed: int = 1,
    told: Told | None = None,
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
    rack = rack or usual_rack(items, wanted[0].order.units)
    kerfs = _kerfs(wanted, items)
    said = [f for i in items for f in process_findings(i.piece.name, i.choice)]
    faults = [f for f in said if f.level == "stop"]
    findings = [f for f in said if f.level != "stop"] + kerf_findings(kerfs)
    jobs: dict[Key, list[CutItem]] = {}
    for item in items:
        if item.choice.process is not None:
            jobs.setdefault(item.key, []).append(item)
    run = _Run(rack=rack, kerfs={p: max(k) for p, k in kerfs.items()}, seconds=seconds / max(1, len(jobs)), seed=seed)
    for key in sorted(jobs, key=lambda k: (k[0] not in _STRAIGHT, k)):
        try:
            run.job(key, jobs[key], told)
        except (LayoutError, RackError, NotCovered) as error:
            run.faults.append(_fault(jobs[key], error))
    saw = join_plans(run.plans) if run.plans else None
    if saw is not None:
        findings += saw.findings
    findings += [*(f for nest, _ in run.nests for f in nest.findings), *run.findings]
    return CuttingPlan(
        saw=saw, slots=tuple(run.slots), items=tuple(run.items), nests=tuple(run.nests), all_items=tuple(items),
        rack=rack, faults=tuple(dict.fromkeys([*faults, *run.faults])), findings=tuple(dict.fromkeys(findings)),
        interrupted=run.interrupted,
    )  # fmt: skip


def usual_rack(items: Sequence[CutItem], unit: LengthUnit) -> Rack:
    """As many as needed of the usual sizes, in every material and thickness that is wanted."""
    slots: list[Slot] = []
    for material, thick in dict.fromkeys(item.key[1:] for item in items):
        usual = default_rack(material, thick, unit).slots or default_rack(material, thick).slots
        said = sheet_words(material, thick, unit)
        slots += [replace(s, label=f"{said} {s.label}") for s in usual]
    if len({item.piece.sheet.material for item in items}) > 1:
        slots = [replace(s, label=f"{s.material} {s.label}") for s in slots]
    return Rack(slots=tuple(slots), units=unit)


# ---- what is wanted


def instance_name(placed: str, copy: int) -> str:
    """The name of one instance of the k-th rig (from 0): the first keeps the design's, the others get `.2`, `.3` ...

    >>> instance_name("front", 0), instance_name("front", 2)
    ('front', 'front.3')
    """
    return placed if copy == 0 else f"{placed}.{copy + 1}"


def cut_items(wanted: Sequence[Wanted]) -> list[CutItem]:
    """Every piece that the orders ask for, the equal ones together.

    With several orders each name has its order's before it: `ripple-trough.front`.

    Raises:
        SeamwrightError: two orders of one name, or a spare of a part that is not there.
    """
    names = [one.order.name for one in wanted]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice:
        raise SeamwrightError(
            f"two orders are called {twice}: their pieces could not be told apart. Give one another name, or raise quantity"
        )
    parts = {piece.name for one in wanted for piece in one.design.pieces}
    for part in {part for one in wanted for part in one.spares}:
        if part not in parts:
            raise SeamwrightError(f"no part {part!r} to cut a spare of; there are: {', '.join(sorted(parts))}")
    return [item for one in wanted for item in _items(one, f"{one.order.name}." if len(wanted) > 1 else "")]


def _items(one: Wanted, prefix: str) -> Iterator[CutItem]:
    order, design = one.order, one.design
    same: dict[tuple[Piece, Allowance, bool], list[Placed]] = {}
    for placed in design.placed:
        same.setdefault((placed.piece, _allowance(order, placed.name), _may_turn(order, placed.name)), []).append(
            placed
        )
    centre = _centre(design)
    spared: set[str] = set()
    for (piece, allowance, may_turn), group in same.items():
        names = [(instance_name(p.name, k), _outside(p, centre)) for k in range(design.quantity) for p in group]
        if piece.name not in spared:
            spared.add(piece.name)
            names += [(f"{piece.name}.spare{n}", "") for n in range(1, one.spares.get(piece.name, 0) + 1)]
        yield CutItem(
            order=order.name, revision=order.revision, units=order.units, piece=piece,
            names=tuple(f"{prefix}{name}" for name, _ in names), sides=tuple(side for _, side in names),
            choice=choose_process(piece, order.cutting.process), allowance_mm=allowance, may_turn=may_turn,
        )  # fmt: skip


def _allowance(order: Order, name: str) -> Allowance:
    """What is left on: everywhere where edges are machined, and what the panel says is trimmed flush afterwards."""
    machined = rule("machining_allowance") if order.cutting.edge == "machined" else 0.0
    over = next((panel.oversize for panel in order.panel if panel.name == name and panel.oversize), 0.0)
    return (max(machined, over),) * 4


def _may_turn(order: Order, name: str) -> bool:
    own = next((panel.turn for panel in order.panel if panel.name == name), None)
    return order.sheet.turn if own is None else own


def _centre(design: Design) -> tuple[float, float, float]:
    boxes = [p.box for p in design.placed]
    x, y, z = ((min(b[0][k] for b in boxes) + max(b[1][k] for b in boxes)) / 2.0 for k in range(3))
    return x, y, z


def _outside(placed: Placed, centre: tuple[float, float, float]) -> str:
    """The face that looks away from the middle of the whole thing."""
    low, high = placed.box
    away = sum(((low[k] + high[k]) / 2.0 - centre[k]) * placed.z[k] for k in range(3))
    return "far" if away >= 0.0 else "near"


def _kerfs(wanted: Sequence[Wanted], items: Sequence[CutItem]) -> dict[str, set[float]]:
    """For each process in use, the kerfs that the orders give (or the table, where the order's is another process's)."""
    out: dict[str, set[float]] = {}
    cutting = {one.order.name: one.order.cutting for one in wanted}
    for item in items:
        process, own = item.choice.process, cutting[item.order]
        row = process_row(process) if process else None
        if process and row:
            out.setdefault(process, set()).add(own.kerf if own.process == process else float(row["kerf_mm"]))
    return out


# ---- what it is cut from


class _Run:
    """The jobs one after the other, each from what the others have left of the rack."""

    def __init__(self, *, rack: Rack, kerfs: Mapping[str, float], seconds: float, seed: int) -> None:
        self.rack, self.kerfs, self.seconds, self.seed = rack, kerfs, seconds, seed
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
            slots, stock = saw_stock(self.rack, material, thick)
        except RackError:
            saw_stock(self.whole, material, thick)  # says what there is, where there never was any
            why = f"all {items[0].sheet_words} on the rack goes to other pieces: none is left for the {process}"
            raise RackError(why) from None
        wrong = [f for item in items for f in misfit(item, slots, self.kerfs.get(process, 0.0))]
        if wrong:
            self.faults += wrong
            return
        self.findings += stock_findings(items, slots)
        if process in _STRAIGHT:
            self._straight(key, items, slots, stock, told)
        elif process in _NESTED:
            self._nest(key, items, slots)
        else:
            raise NotCovered(f"the {process} cuts by eye along a line: there is no plan for it")

    def _straight(self, key: Key, items: list[CutItem], slots: list[Slot], stock: list[Any], told: Told | None) -> None:
        count = sum(len(item.names) for item in items)
        progress = None
        if told is not None:
            what = items[0].sheet_words
            progress = lambda share, sheets: told(what, share, sheets)  # noqa: E731  # one line, used once
        shop = SawShop(kerf_mm=self.kerfs[key[0]], snap=key[0] == "score-and-snap")
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
        from assemblies.shop.nest import default_spec, nest
        from assemblies.shop.nest_model import NestStock

        spec = default_spec("laser" if key[0] == "laser" else "router", self.kerfs[key[0]])
        spec = replace(spec, margin_mm=max(spec.margin_mm, *(s.trim_mm for s in slots)))
        if not all(item.may_turn for item in items):
            spec = replace(spec, turns=(0, 2))
        by_thickness: dict[float, list[tuple[str, Piece]]] = {}
        for item in items:
            row = by_thickness.setdefault(item.piece.thickness_mm, [])
            row += [(name, item.piece) for name in item.names]
        for pieces in by_thickness.values():
            slots, _ = saw_stock(self.rack, *key[1:])
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
        name=item.piece.name, width_mm=width, height_mm=height, count=len(item.names), may_turn=item.may_turn,
        group=group, allowance_mm=item.allowance_mm, labels=item.names,
    )  # fmt: skip


def _fault(items: Sequence[CutItem], error: SeamwrightError) -> Finding:
    why = short_words(items, error) if isinstance(error, StockShort) else str(error)
    return Finding(
        level="stop", check="cutting", where=items[0].sheet_words, why=why,
        do="add stock to the rack file, or change the order", source="computed: cutting plan",
    )  # fmt: skip
