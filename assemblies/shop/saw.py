"""The saw plan: which cut when, at which fence setting, what falls off and what it becomes.

*Cut group*: parts that must come out equal; the dimension they share is to be cut at one fence setting. *Setting*: one
position of fence or stop block; all cuts made before it is moved again share its number. *Sled*: a crosscut carriage with
a stop block, for what is too short to be led along the fence. *Guide*: a hand-held saw along a clamped straightedge, for
what the fence cannot reach. *Snap*: thin sheet scored along a rule and snapped. *Rest*: what is left over; an offcut when
it is big enough to keep, else waste.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from assemblies.shop.bounds import cost_bound
from assemblies.shop.cuts import Box, Cut, Sawn, saw_sheet
from assemblies.shop.engine import Layout, Progress, find_layout
from assemblies.shop.job import NM_PER_MM, Job, read_job
from assemblies.shop.order_of_cuts import Turn, in_order
from assemblies.shop.saw_findings import group_findings, safety_findings
from assemblies.shop.strips import strip_layouts
from assemblies.shop.tree import cut_tree
from parts.findings import Finding
from parts.rules import rule

__all__ = ["Balance", "Blank", "SawPart", "SawPlan", "SawShop", "SawStep", "SawStock", "join_plans", "plan_saw"]

Mode = Literal["rip", "crosscut", "sled", "guide", "snap"]


@dataclass(frozen=True, kw_only=True)
class SawPart:
    """A rectangle wanted.

    Attributes:
        name: the part; labels are this name.
        width_mm, height_mm: finished size.
        count: how many.
        may_turn: whether it may lie either way.
        group: cut group, empty for none.
        allowance_mm: material left on at left, right, bottom and top, to be machined off afterwards.
        labels: a name for each of its pieces; without them they are the part's name and a number.
    """

    name: str
    width_mm: float
    height_mm: float
    count: int = 1
    may_turn: bool = True
    group: str = ""
    allowance_mm: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)
    labels: tuple[str, ...] = ()

    @property
    def cut_mm(self) -> tuple[float, float]:
        """Size as sawn: with what is machined off afterwards."""
        left, right, bottom, top = self.allowance_mm
        return self.width_mm + left + right, self.height_mm + bottom + top


@dataclass(frozen=True, kw_only=True)
class SawStock:
    """A sheet or offcut on hand: how many (None: as many as needed), what one is worth, and its factory-edge trim."""

    name: str
    width_mm: float
    height_mm: float
    count: int | None = None
    cost: float | None = None
    trim_mm: float = 0.0


@dataclass(frozen=True, kw_only=True)
class SawShop:
    """The saw and the shop's habits.

    Attributes:
        kerf_mm: width of the blade.
        reach_mm: widest setting of the fence (judgement: the usual 50 in rails).
        short_edge_mm: shortest edge that is led along the fence by hand (300: common practice, no source).
        sled_mm: longest stop of the sled (judgement).
        keep_mm: a rest whose shorter side is at least this goes back on the rack (the shop rule `offcut_keep`).
        handle_mm: a longer blank is halved before it is ripped (judgement).
        snap: the sheet is scored along a rule and snapped; no saw is used.
    """

    kerf_mm: float = 3.0
    reach_mm: float = 1270.0
    short_edge_mm: float = 300.0
    sled_mm: float = 900.0
    keep_mm: float = field(default_factory=lambda: rule("offcut_keep"))
    handle_mm: float = 1500.0
    snap: bool = False


@dataclass(frozen=True, kw_only=True)
class Blank:
    """Material between two cuts: `name` is written on it, `what` says what it has become. Lengths in nm."""

    name: str
    what: Literal["sheet", "blank", "piece", "offcut", "waste"]
    sheet: int
    box: Box
    part: int | None = None

    @property
    def size_mm(self) -> tuple[float, float]:
        return self.box.w / NM_PER_MM, self.box.h / NM_PER_MM


@dataclass(frozen=True, kw_only=True)
class SawStep:
    """One cut as it is made.

    Attributes:
        number: from 1, through the whole job.
        setting: number of the fence or stop position; `setting_nm` its distance.
        mode: `rip` and `crosscut` on the fence, `sled` with a stop block, `guide` by hand saw along a straightedge,
            `snap` along a rule.
        blank, kept, rest: what goes on the saw, what lies between fence (or stop) and blade, what falls off beyond.
        cut: the cut on the sheet.
    """

    number: int
    setting: int
    setting_nm: int
    mode: Mode
    blank: Blank
    kept: Blank
    rest: Blank | None
    cut: Cut


@dataclass(frozen=True, kw_only=True)
class Balance:
    """Where the area of the stock goes, in nm2; `pieces + kerf + waste + offcuts == stock` exactly."""

    stock: int
    pieces: int
    kerf: int
    waste: int
    offcuts: int


@dataclass(frozen=True, kw_only=True)
class SawPlan:
    """The whole plan.

    Attributes:
        layouts: the sheets and what lies on them, as laid out before the pieces were moved together for the saw.
        shops: with what each of the layouts is cut.
        stock: the stock as given.
        sheets: for each sheet its stock entry.
        pieces: every piece cut, with its place on its sheet.
        rests: offcuts and waste.
        steps: the cuts in order.
        settings: how many times fence or stop is set.
        balance: areas.
        findings: cautions.
    """

    layouts: tuple[Layout, ...]
    shops: tuple[SawShop, ...]
    stock: tuple[SawStock, ...]
    parts: tuple[SawPart, ...]
    sheets: tuple[int, ...]
    pieces: tuple[Blank, ...]
    rests: tuple[Blank, ...]
    steps: tuple[SawStep, ...]
    settings: int
    balance: Balance
    findings: tuple[Finding, ...]

    @property
    def layout(self) -> Layout:
        """The first layout: the only one of a plan that was not joined of several."""
        return self.layouts[0]


def plan_saw(
    parts: Sequence[SawPart],
    stock: Sequence[SawStock],
    shop: SawShop | None = None,
    seconds: float = 5.0,
    seed: int = 1,
    progress: Progress | None = None,
    compile_loops: bool = True,
) -> SawPlan:
    """The saw plan for some parts from some stock: least cost first, then what is best to saw.

    Among layouts of the same cost and number of sheets the one is taken that splits fewest cut groups over several
    settings, then needs fewest settings, then fewest sled cuts, then fewest cuts, then leaves the largest offcut.
    `seconds`, `seed`, `progress` and `compile_loops` are as in `find_layout`.

    Raises:
        LayoutError, StockShort: as `lay_out`.
    """
    shop = shop or SawShop()
    job = _job(parts, stock, shop)
    layouts = _candidates(job, seconds, seed, progress, compile_loops)
    plans = [_plan([_Laid(layout, tuple(parts), tuple(stock), shop)]) for layout in layouts]
    return min(plans, key=_rank)


def join_plans(plans: Sequence[SawPlan]) -> SawPlan:
    """One plan of several (for sheets of several thicknesses, say): sheets, stock and parts one after the other.

    The cuts are put in order together, so that the fence, once set, serves every sheet that needs that distance.

    Raises:
        ValueError: there is no plan, or one that was joined already.
    """
    if not plans or any(len(plan.layouts) != 1 for plan in plans):
        raise ValueError("give one or more plans, each for one stock")
    return _plan([_Laid(plan.layouts[0], plan.parts, plan.stock, plan.shops[0]) for plan in plans])


class _Laid(NamedTuple):
    """A layout with the parts and the stock its numbers mean, and the shop that cuts it."""

    layout: Layout
    parts: tuple[SawPart, ...]
    stock: tuple[SawStock, ...]
    shop: SawShop


def _nm(mm: float) -> int:
    return round(mm * NM_PER_MM)


def _job(parts: Sequence[SawPart], stock: Sequence[SawStock], shop: SawShop) -> Job:
    """The job in nanometres; each sheet is given less its own trim."""
    wants = [[*part.cut_mm, part.count, part.may_turn] for part in parts]
    sheets = []
    for s in stock:
        cost = s.width_mm * s.height_mm if s.cost is None else s.cost
        sheets.append([float(s.width_mm - 2 * s.trim_mm), float(s.height_mm - 2 * s.trim_mm), s.count, cost])
    return read_job([[float(w), float(h), n, t] for w, h, n, t in wants], sheets, float(shop.kerf_mm), 0.0, True)


def _candidates(job: Job, seconds: float, seed: int, progress: Progress | None, compile_loops: bool) -> list[Layout]:
    """Strip layouts and the search's layout, those of least cost and fewest sheets."""
    bound = cost_bound(job)
    layouts = list(strip_layouts(job, bound))
    if not any(layout.cost <= bound for layout in layouts):
        layouts.append(find_layout(job, seconds, seed, progress, compile_loops))
    least = min((layout.cost, len(layout.sheets)) for layout in layouts)
    return [layout for layout in layouts if (layout.cost, len(layout.sheets)) == least]


def _rank(plan: SawPlan) -> tuple[int, int, int, int, int]:
    split = sum(f.check == "cut group" for f in plan.findings)
    sleds = sum(step.mode == "sled" for step in plan.steps)
    largest = max((r.box.area for r in plan.rests if r.what == "offcut"), default=0)
    return split, plan.settings, sleds, len(plan.steps), -largest


def _mode(cut: Cut, shop: SawShop) -> Mode:
    """How a cut is held: on the fence only where the edge on it is long enough to be led."""
    edge, setting = cut.edge, cut.setting
    if shop.snap:
        return "snap"
    if edge >= _nm(shop.short_edge_mm) and edge >= setting and setting <= _nm(shop.reach_mm):
        return "rip" if edge >= cut.blank.along(cut.axis) else "crosscut"
    return "sled" if setting <= _nm(shop.sled_mm) else "guide"


def _plan(laid: Sequence[_Laid]) -> SawPlan:
    """Saw every sheet of the layouts, put the cuts in order, name what comes of them."""
    sawn: list[Sawn] = []
    cuts: list[tuple[int, Cut, str]] = []
    sheets: list[int] = []
    parts: tuple[SawPart, ...] = ()
    stock: tuple[SawStock, ...] = ()
    for layout, own_parts, own_stock, shop in laid:
        kerf = layout.job.kerf
        for sheet in layout.sheets:
            own = own_stock[sheet.stock]
            sizes = _nm(own.width_mm), _nm(own.height_mm), kerf, _nm(own.trim_mm), _nm(shop.handle_mm)
            one = saw_sheet(cut_tree(sheet.puts, kerf), *sizes)
            cuts += [(len(sawn), cut, _mode(cut, shop)) for cut in one.cuts]
            one.pieces = [(part + len(parts), box) for part, box in one.pieces]
            sawn.append(one)
            sheets.append(sheet.stock + len(stock))
        parts, stock = (*parts, *own_parts), (*stock, *own_stock)
    turns = in_order(cuts)
    shop = laid[0].shop
    names = _name_boxes(sawn, sheets, parts, stock, shop, turns)
    steps = tuple(
        SawStep(
            number=number,
            setting=turn.setting,
            setting_nm=turn.cut.setting,
            mode=turn.mode,  # type: ignore[arg-type]  # the modes come from _mode
            blank=names[turn.sheet, turn.cut.blank],
            kept=names[turn.sheet, turn.cut.kept],
            rest=None if turn.cut.rest is None else names[turn.sheet, turn.cut.rest],
            cut=turn.cut,
        )
        for number, turn in enumerate(turns, 1)
    )
    pieces = tuple(names[number, box] for number, one in enumerate(sawn) for _, box in one.pieces)
    rests = tuple(names[number, box] for number, one in enumerate(sawn) for box in one.rests)
    balance = Balance(
        stock=sum(_nm(stock[s].width_mm) * _nm(stock[s].height_mm) for s in sheets),
        pieces=sum(p.box.area for p in pieces),
        kerf=sum(step.cut.kerf_area for step in steps),
        waste=sum(r.box.area for r in rests if r.what == "waste"),
        offcuts=sum(r.box.area for r in rests if r.what == "offcut"),
    )
    return SawPlan(
        layouts=tuple(one.layout for one in laid),
        shops=tuple(one.shop for one in laid),
        stock=stock,
        parts=parts,
        sheets=tuple(sheets),
        pieces=pieces,
        rests=rests,
        steps=steps,
        settings=turns[-1].setting if turns else 0,
        balance=balance,
        findings=(*group_findings(parts, pieces, steps), *safety_findings(steps, shop)),
    )


def _name_boxes(
    sawn: list[Sawn],
    sheets: list[int],
    parts: tuple[SawPart, ...],
    stock: tuple[SawStock, ...],
    shop: SawShop,
    turns: list[Turn],
) -> dict[tuple[int, Box], Blank]:
    """A name for every rectangle that ever lies on the saw, in the order in which they come off it."""
    found: dict[tuple[int, Box], Blank] = {}
    part_of = {(number, box): part for number, one in enumerate(sawn) for part, box in one.pieces}
    over = {(number, box) for number, one in enumerate(sawn) for box in one.rests}
    running: dict[str, int] = {}

    def name(sheet: int, box: Box) -> None:
        labels: tuple[str, ...] = ()
        if (sheet, box) in part_of:
            part = part_of[sheet, box]
            what: Literal["piece", "offcut", "waste", "blank"] = "piece"
            prefix = parts[part].name
            labels = parts[part].labels
        elif (sheet, box) in over:
            part, what = -1, "offcut" if min(box.w, box.h) >= _nm(shop.keep_mm) else "waste"
            prefix = f"S{sheet + 1} {what}"
        else:
            part, what = -1, "blank"
            prefix = f"S{sheet + 1} blank"
        counted = f"{part} {prefix}" if labels else prefix  # two orders may call their parts alike
        running[counted] = running.get(counted, 0) + 1
        label = labels[running[counted] - 1] if labels else f"{prefix} {running[counted]}"
        found[sheet, box] = Blank(name=label, what=what, sheet=sheet, box=box, part=part if part >= 0 else None)

    for number, entry in enumerate(sheets):
        own = stock[entry]
        box = Box(0, 0, _nm(own.width_mm), _nm(own.height_mm))
        if (number, box) in part_of:  # a piece as large as its sheet: no cut at all
            name(number, box)
        else:
            found[number, box] = Blank(name=f"sheet {number + 1} ({own.name})", what="sheet", sheet=number, box=box)
    for turn in turns:
        for made in (turn.cut.kept, turn.cut.rest):
            if made is not None:
                name(turn.sheet, made)
    return found
