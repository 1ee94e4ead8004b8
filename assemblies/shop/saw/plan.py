"""The saw plan: which cut when, at which fence setting, what falls off and what it becomes.

*Cut group*: parts that must come out equal; the dimension they share is to be cut at one fence setting. *Setting*: one
position of fence or stop block; all cuts made before it is moved again share its number. *Sled*: a crosscut carriage with
a stop block, for what is too short to be led along the fence. *Guide*: a hand-held saw along a clamped straightedge, for
what the fence cannot reach. *Snap*: thin sheet scored along a rule and snapped. *Rest*: what is left over; an offcut when
it is big enough to keep, else waste.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import islice, product
from typing import Final, Literal, NamedTuple

from assemblies.shop.layout.bounds import cost_bound
from assemblies.shop.layout.engine import Layout, Progress, Put, SheetPlan, find_layout
from assemblies.shop.layout.job import NM_PER_MM, Job, read_job
from assemblies.shop.layout.proof import prove
from assemblies.shop.layout.simple.by_size import size_layouts
from assemblies.shop.layout.simple.by_width import width_layouts
from assemblies.shop.layout.simple.patterns import pattern_layout
from assemblies.shop.layout.simple.strips import strip_layouts
from assemblies.shop.layout.tree import cut_tree
from assemblies.shop.saw.cuts import PLAIN, WAYS, Box, Cut, Sawn, Way, saw_sheet, trim_sheet, trimmed
from assemblies.shop.saw.few_settings import Holder, fewest_settings_cuts
from assemblies.shop.saw.findings import group_findings, safety_findings
from assemblies.shop.saw.model import Balance, Blank, Mode, SawPart, SawPlan, SawShop, SawStep, SawStock
from assemblies.shop.saw.order_of_cuts import Key, Turn, in_order, key_of

__all__ = ["join_plans", "plan_saw"]

_LAYOUTS: Final = (
    40  # layouts of which every way to saw them is looked at, and plans that are worked out: the most promising
)
_TRIED, _LOOKED_AT, _FEW = (
    4_000,
    60_000,
    4,
)  # so many of them for one piece, fewer the more there are; and how few at least
_JOINED: Final = 9  # layouts of a job that are tried together with those of other jobs
_MANY: Final = 400  # pieces of a job
_REPEATED: Final = 250  # pieces of a job of which layouts of few patterns are made; up to here the search does as well
_TOGETHER: Final = 216  # plans of several jobs together that are worked out


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

    Among layouts of the same cost and number of sheets, and ways to saw them, the one is taken that splits fewest cut
    groups over several settings, then needs fewest cuts by hand along a straightedge, then lets fewest pieces fall off
    beyond the blade, then needs fewest settings, then fewest cuts, then fewest of them on the sled, then leaves the largest
    offcut.
    `seconds`, `seed`, `progress` and `compile_loops` are as in `find_layout`.

    Raises:
        LayoutError, StockShort: as `lay_out`.
    """
    shop = shop or SawShop()
    job = _job(parts, stock, shop)
    layouts = _candidates(job, seconds, seed, progress, compile_loops)
    most = min(_LAYOUTS, max(_FEW, _TRIED // max(job.pieces, 1)))
    plain = [_Laid(layout, tuple(parts), tuple(stock), shop) for layout in layouts]
    if len(plain) > most:
        plain = sorted(plain, key=_promise)[:most]
    ways = [laid._replace(way=way) for laid in plain for way in _ways(job, shop)]
    if len(ways) > most:
        ways = sorted(ways, key=_promise)[:most]
    plans = sorted((_plan([way]) for way in ways), key=_rank)
    if not _ideal(plans[0], job):
        plans = sorted([*plans, *(_plan([laid]) for laid in _fewest(job, layouts[0], plain[0]))], key=_rank)
    best = plans[0]
    by_settings: dict[frozenset[Key], SawPlan] = {}
    for plan in plans:
        if plan.sheets == best.sheets:
            by_settings.setdefault(frozenset((step.mode, step.setting_nm) for step in plan.steps), plan)
    others = tuple((p.layout, p.ways[0]) for p in list(by_settings.values())[1:_JOINED])
    bound = max(layout.bound for layout in layouts)
    return replace(best, others=others, proofs=(prove(job, best.layout.cost, len(best.sheets), bound),))


def _ways(job: Job, shop: SawShop) -> tuple[Way, ...]:
    """The ways to saw that are tried; of a large job one."""
    return tuple(way for way in WAYS if not (way.sled and shop.snap)) if job.pieces <= _MANY else (PLAIN,)


def _ideal(plan: SawPlan, job: Job) -> bool:
    """Whether no plan is better by more than a cut: each size set once, and each piece takes a cut of its own.

    Of a blank too long to be ripped whole the first cut is its halving: that stays as it is.
    """
    sizes = {side for want in job.wants if want.count for side in (want.width, want.height)}
    halved = any(step.cut.role == "halve" for step in plan.steps)
    once = not any(_rank(plan)[:3]) and plan.settings <= len(sizes)
    return halved or (once and len(plan.steps) <= job.pieces + 1)


def _fewest(job: Job, laid_out: Layout, plain: _Laid) -> list[_Laid]:
    """The cuts with the fewest settings, where one sheet of the same cost holds a small job."""
    shop, out = plain.shop, []

    def may(holder: Holder, cut: Cut) -> bool:
        mode = _mode(cut, shop)
        if holder == "fence":
            return mode in ("rip", "crosscut")
        return mode == "sled" or (mode != "guide" and cut.edge <= _nm(shop.sled_deep_mm) and _carried(cut, shop))

    for entry, one in enumerate(plain.stock):
        if shop.snap or one.count == 0 or len(laid_out.sheets) > 1 or job.stock[entry].cost != laid_out.cost:
            continue
        trimmed_off = Sawn()
        width, height, trim = _sheet_nm(one)
        box = trim_sheet(trimmed_off, width, height, job.kerf, trim, _nm(shop.round_mm))
        sawn = fewest_settings_cuts(job, box, may)
        if sawn is not None:
            puts = tuple(Put(part, b.x - box.x, b.y - box.y, b.w, b.h) for part, b in sawn.pieces)
            layout = replace(laid_out, sheets=(SheetPlan(stock=entry, puts=puts),))
            way = Sawn([*trimmed_off.cuts, *sawn.cuts], sawn.pieces, [*trimmed_off.rests, *sawn.rests])
            out.append(plain._replace(layout=layout, way=way))
    return out


def join_plans(plans: Sequence[SawPlan]) -> SawPlan:
    """One plan of several (for sheets of several thicknesses, say): sheets, stock and parts one after the other.

    The cuts are put in order together, so that the fence, once set, serves every sheet that needs that distance.

    Raises:
        ValueError: there is no plan, or one that was joined already.
    """
    if not plans or any(len(plan.layouts) != 1 for plan in plans):
        raise ValueError("give one or more plans, each for one stock")
    most = max(1, int(_TOGETHER ** (1 / len(plans)) + 1e-9)) if len(plans) > 1 else 1
    each = [
        [_Laid(layout, p.parts, p.stock, p.shops[0], way) for layout, way in ((p.layout, p.ways[0]), *p.others)][:most]
        for p in plans
    ]
    best = min((_plan(laid) for laid in product(*each)), key=_rank)
    return replace(best, proofs=tuple(proof for plan in plans for proof in plan.proofs))


class _Laid(NamedTuple):
    """A layout with the parts and the stock its numbers mean, and the shop that cuts it."""

    layout: Layout
    parts: tuple[SawPart, ...]
    stock: tuple[SawStock, ...]
    shop: SawShop
    way: Way | Sawn = PLAIN


def _nm(mm: float) -> int:
    return round(mm * NM_PER_MM)


def _job(parts: Sequence[SawPart], stock: Sequence[SawStock], shop: SawShop) -> Job:
    """The job in nanometres; each sheet is given less its own trim."""
    wants = [[*part.cut_mm, part.count, part.may_turn] for part in parts]
    sheets = []
    for s in stock:
        cost = s.width_mm * s.height_mm if s.cost is None else s.cost
        trim, step = _nm(s.trim_mm), _nm(shop.round_mm)
        room = [(trimmed(_nm(v), trim, step) - trim) / NM_PER_MM for v in (s.width_mm, s.height_mm)]
        sheets.append([*room, s.count, cost])
    return read_job([[float(w), float(h), n, t] for w, h, n, t in wants], sheets, float(shop.kerf_mm), 0.0, True)


def _candidates(job: Job, seconds: float, seed: int, progress: Progress | None, compile_loops: bool) -> list[Layout]:
    """Strip layouts and the search's layout, those of least cost and fewest sheets."""
    bound = cost_bound(job)
    by_width = islice(width_layouts(job, bound), max(_FEW, _LOOKED_AT // max(job.pieces, 1)))
    layouts = [*strip_layouts(job, bound), *by_width, *size_layouts(job, bound)]
    if not any(layout.cost <= bound for layout in layouts):
        layouts += _searched(job, bound, seconds, lambda j, s: find_layout(j, s, seed, progress, compile_loops))
    if any(layout.ended == "interrupted" for layout in layouts):  # whichever is taken: the search was stopped by hand
        layouts = [replace(layout, ended="interrupted") for layout in layouts]
    least = min((layout.cost, len(layout.sheets)) for layout in layouts)
    return [layout for layout in layouts if (layout.cost, len(layout.sheets)) == least]


def _searched(job: Job, bound: float, seconds: float, search: Callable[[Job, float], Layout]) -> Iterator[Layout]:
    """The layout that the search finds; of a large job one of few patterns too, for the rest of which there is less time."""
    found = search(job, seconds)
    yield found
    if job.pieces > _REPEATED and found.ended == "work done":
        repeated = pattern_layout(job, bound, lambda rest: search(rest, seconds / 4.0))
        if repeated is not None:
            yield repeated


def _rank(plan: SawPlan) -> tuple[int, ...]:
    split = sum(f.check == "cut group" for f in plan.findings)
    largest = max((r.box.area for r in plan.rests if r.what == "offcut"), default=0)
    sleds = sum(step.mode == "sled" for step in plan.steps)
    fallen = sum(step.rest is not None and step.rest.what == "piece" for step in plan.steps)
    by_hand = sum(step.mode == "guide" for step in plan.steps)
    return split, by_hand, fallen, plan.settings, len(plan.steps), sleds, -largest


def _promise(laid: _Laid) -> tuple[int, ...]:
    """What can be said of a plan before its cuts are in order: distances set in two ways, settings, cuts, largest rest."""
    sawn, cuts = _sawn(laid)
    keys = {key_of(entry) for entry in cuts if entry[1].role != "trim"}
    largest = max((box.area for one in sawn for box in one.rests), default=0)
    sleds = sum(mode == "sled" for _, _, mode in cuts)
    by_hand = sum(mode == "guide" for _, _, mode in cuts)
    return by_hand, len(keys) - len({distance for _, distance in keys}), len(keys), len(cuts), sleds, -largest


def _mode(cut: Cut, shop: SawShop) -> Mode:
    """How a cut is held: on the fence only where the edge on it is long enough to be led."""
    edge, setting = cut.edge, cut.setting
    if shop.snap:
        return "snap"
    if edge >= _nm(shop.short_edge_mm) and edge >= setting and setting <= _nm(shop.reach_mm):
        return "rip" if edge >= cut.blank.along(cut.axis) else "crosscut"
    return "sled" if _carried(cut, shop) else "guide"


def _carried(cut: Cut, shop: SawShop) -> bool:
    """Whether the sled reaches so far, and the blank is short enough to lie on it."""
    longest = _nm(max(shop.handle_mm, shop.sled_mm))
    return cut.setting <= _nm(shop.sled_mm) and cut.blank.along(cut.axis) <= longest


def _sawn(laid: _Laid) -> tuple[list[Sawn], list[tuple[int, Cut, str]]]:
    """The cuts of every sheet of a layout, and how each is held."""
    layout, _, stock, shop, way = laid
    kerf = layout.job.kerf
    sawn: list[Sawn] = []
    if isinstance(way, Sawn):
        sawn = [replace(way)]
    else:
        for sheet in layout.sheets:
            tree = cut_tree(sheet.puts, kerf, way.small)
            width, height, trim = _sheet_nm(stock[sheet.stock])
            sawn.append(saw_sheet(tree, width, height, kerf, trim, _nm(shop.handle_mm), _nm(shop.round_mm), way))
    cuts: list[tuple[int, Cut, str]] = [
        (number, cut, _mode(cut, shop)) for number, one in enumerate(sawn) for cut in one.cuts
    ]
    return sawn, _to_the_sled(cuts, shop) if isinstance(way, Sawn) or way.sled else cuts


def _sheet_nm(stock: SawStock) -> tuple[int, int, int]:
    """Width, height and trim."""
    return _nm(stock.width_mm), _nm(stock.height_mm), _nm(stock.trim_mm)


def _to_the_sled(cuts: list[tuple[int, Cut, str]], shop: SawShop) -> list[tuple[int, Cut, str]]:
    """Crosscuts from fence to sled where their distance is set there anyway, and all of that distance can go."""
    on_sled = {cut.setting for _, cut, mode in cuts if mode == "sled"}
    fence = [cut for _, cut, mode in cuts if mode in ("rip", "crosscut")]
    stay = {c.setting for c in fence if c.role == "trim" or c.edge > _nm(shop.sled_deep_mm) or not _carried(c, shop)}
    move = on_sled - stay
    return [(n, cut, "sled" if cut.setting in move and mode != "guide" else mode) for n, cut, mode in cuts]


def _plan(laid: Sequence[_Laid]) -> SawPlan:
    """Saw every sheet of the layouts, put the cuts in order, name what comes of them."""
    sawn: list[Sawn] = []
    cuts: list[tuple[int, Cut, str]] = []
    sheets: list[int] = []
    parts: tuple[SawPart, ...] = ()
    stock: tuple[SawStock, ...] = ()
    for one in laid:
        its, its_cuts = _sawn(one)
        cuts += [(number + len(sawn), cut, mode) for number, cut, mode in its_cuts]
        for sheet in its:
            sheet.pieces = [(part + len(parts), box) for part, box in sheet.pieces]
        sawn += its
        sheets += [sheet.stock + len(stock) for sheet in one.layout.sheets]
        parts, stock = (*parts, *one.parts), (*stock, *one.stock)
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
        ways=tuple(one.way for one in laid),
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
