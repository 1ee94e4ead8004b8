"""What to buy for an order, without brands: sheet, bolts that do not bottom out, washers, seals, what bonding uses up.

*Reach*: how far a bolt goes into a plate, past what is clamped and its washer. A bolt that reaches deeper than the
plate allows bottoms out on the wall and prises the plate off; so the longest standard length within the reach is taken.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from assemblies.design.model import Design, Fastener
from assemblies.order import Order
from assemblies.shop.bond.plan import BondingPlan, BondSettings
from assemblies.shop.care.cautions import cautions_for
from assemblies.shop.care.rules import Cited, cited, figure
from assemblies.shop.handover.stack import Layer, Stack, pocket_of, stack_of
from assemblies.shop.handover.tubes import tube_lengths
from parts.lengths import LengthUnit, gauge_length, mark_length
from parts.stock.nut import washer_mm
from parts.stock.rules import rule, rule_source
from parts.stock.thread import Thread, thread
from parts.tables import load

__all__ = ["Bolt", "BoltItem", "Buying", "Clamped", "Item", "SheetItem", "bolt_for", "buying_list", "standard_lengths"]

_CP = "common practice, no source"


@dataclass(frozen=True, kw_only=True)
class Bolt:
    """A bolt chosen from the standard lengths.

    Attributes:
        longest_mm: the length that would just not bottom out; None where it may come through.
        least_mm: the length that just gives the least engagement.
        length_mm: the standard length to buy; None when none lies between.
        label: of that length.
        engagement_mm: what of it is in the thread then, at most what there is.
    """

    longest_mm: float | None
    least_mm: float
    length_mm: float | None
    label: str | None
    engagement_mm: float | None


def standard_lengths(system: str) -> tuple[tuple[float, str], ...]:
    """Standard bolt lengths and their labels, shortest first, for `metric` or `inch` threads.

    >>> [label for _, label in standard_lengths("metric")][5:9]
    ['8 mm', '10 mm', '12 mm', '16 mm']
    """
    rows = [(float(r["length_mm"]), r["length"]) for r in load("bolt_lengths") if r["system"] == system]
    return tuple(sorted(rows))


def bolt_for(
    screw: Thread, grip_mm: float, reach_mm: float | None, threaded_mm: float, least_mm: float | None = None
) -> Bolt:
    """The standard bolt for a tapped hole.

    Args:
        screw: its thread.
        grip_mm: what is clamped, with washers and seals.
        reach_mm: how deep it may go past the grip; None where it may come through.
        threaded_mm: how much thread there is.
        least_mm: how much of it must be used; by default one diameter (rule `engagement_min`).

    Returns:
        With a reach, the longest standard length within it; else the shortest that uses all the thread. None for the
        length when no standard one gives the least engagement.

    >>> bolt_for(thread("M6"), 5.0 + 1.6, 11.0, 12.0).label
    '16 mm'
    """
    least = grip_mm + (rule("engagement_min") * screw.major_mm if least_mm is None else least_mm)
    lengths = standard_lengths("inch" if screw.system == "inch" else "metric")
    if reach_mm is None:
        fits = [one for one in lengths if one[0] >= max(least, grip_mm + threaded_mm) - 1e-9][:1]
        longest = None
    else:
        longest = grip_mm + reach_mm
        fits = [one for one in lengths if least - 1e-9 <= one[0] <= longest + 1e-9][-1:]
    length, label = fits[0] if fits else (None, None)
    deep = None if length is None else min(length - grip_mm, threaded_mm)
    return Bolt(longest_mm=longest, least_mm=least, length_mm=length, label=label, engagement_mm=deep)


@dataclass(frozen=True, kw_only=True)
class Item:
    """Something to buy; no `amount` where any will do."""

    item: str
    amount: float | None
    unit: str
    note: str
    source: str = _CP


@dataclass(frozen=True, kw_only=True)
class SheetItem:
    """Sheet of one material and thickness (mm): net area, area to buy, the sides of the largest piece."""

    material: str
    thickness: float
    net_mm2: float
    with_allowance_mm2: float
    least_sides: tuple[float, float]
    allowance: Cited


@dataclass(frozen=True, kw_only=True)
class BoltItem:
    """Equal bolts and where they go; lengths in mm, as of `Bolt`."""

    item: str
    thread: str
    where: tuple[str, ...]
    count: int
    length: float | None
    longest: float | None
    least: float
    grip: float
    engagement: float | None
    note: str
    source: str
    stack: tuple[Layer, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Clamped:
    """Thickness of what the plates are bolted to, and whether the shop stated it."""

    value: float
    unit: str
    stated: bool


@dataclass(frozen=True, kw_only=True)
class Buying:
    """What to buy for the whole quantity of the order: the report's `buying`."""

    quantity: int
    sheets: tuple[SheetItem, ...]
    clamped: Clamped
    bolts: tuple[BoltItem, ...]
    washers: tuple[Item, ...]
    seals: tuple[Item, ...]
    parts: tuple[Item, ...]
    bonding: tuple[Item, ...]
    tools: tuple[Item, ...]
    protection: tuple[Item, ...]


def buying_list(order: Order, design: Design, plan: BondingPlan | None, settings: BondSettings) -> Buying:
    """What to buy; `plan` is None where nothing is bonded."""
    clamped = figure("clamped").value if settings.clamped_mm is None else settings.clamped_mm
    return Buying(
        quantity=design.quantity,
        sheets=tuple(_sheets(design)),
        clamped=Clamped(value=clamped, unit="mm", stated=settings.clamped_mm is not None),
        bolts=_merged(_bolt(design, f, clamped) for f in design.fasteners if not _comes_along(f)),
        washers=tuple(_washers(design)),
        seals=tuple(_seals(order, design)),
        parts=(
            *_tubes(design),
            *(_item(one.item, one.count * design.quantity, "pieces", one.note) for one in design.bought),
        ),
        bonding=() if plan is None else tuple(_consumables(design, plan, settings, order.units)),
        tools=() if plan is None else tuple(_tools(order)),
        protection=() if plan is None else tuple(_protection()),
    )


def _item(item: str, amount: float | None, unit: str, note: str, source: str = _CP) -> Item:
    return Item(item=item, amount=amount, unit=unit, note=note, source=source)


def _tubes(design: Design) -> Iterator[Item]:
    for one in tube_lengths(design):
        yield _item(
            f"tube, {one.material}, {one.outside:.4g} mm outside, wall {one.wall:.3g} mm",
            round(one.buy / 1e3, 3),
            "m",
            f"{one.count} sawn to {one.length:.4g} mm, a cut at each end in it; measured before anything is turned to it",
        )


def _sheets(design: Design) -> Iterator[SheetItem]:
    """Net area of each material and thickness, and what to allow for it."""
    groups: dict[tuple[str, float], float] = {}
    biggest: dict[tuple[str, float], tuple[float, float]] = {}
    for placed in design.placed:
        piece = placed.piece.as_cut
        if piece is None:
            continue
        key = (piece.sheet.substance.title, piece.sheet.nominal_mm)
        width, height = piece.outline.size_mm
        groups[key] = groups.get(key, 0.0) + width * height * design.quantity
        sides = (max(width, height), min(width, height))
        old = biggest.get(key, (0.0, 0.0))
        biggest[key] = (max(sides[0], old[0]), max(sides[1], old[1]))
    allow = figure("sheet_allowance")
    for (title, nominal), area in groups.items():
        yield SheetItem(
            material=title,
            thickness=nominal,
            net_mm2=area,
            with_allowance_mm2=area * allow.value,
            least_sides=biggest[title, nominal],
            allowance=cited(allow),
        )


def _comes_along(fastener: Fastener) -> bool:
    """Whether the screw is part of what it is bolted to, as that of a camera head."""
    return fastener.onto is not None and fastener.onto.pattern.counterpart == "screw"


def _bolt(design: Design, fastener: Fastener, clamped_mm: float) -> BoltItem:
    stack = stack_of(design, fastener, clamped_mm)
    grip = stack.grip_mm
    bolt = bolt_for(thread(fastener.thread), grip, stack.reach_mm, stack.threaded_mm, stack.least_mm)
    return BoltItem(
        item=f"{fastener.name} x {bolt.label}" if bolt.label else f"{fastener.name}: no standard length fits",
        thread=fastener.thread,
        where=(fastener.piece,),
        count=fastener.count * design.quantity,
        length=bolt.length_mm,
        longest=bolt.longest_mm,
        least=bolt.least_mm,
        grip=grip,
        engagement=bolt.engagement_mm,
        note=_bolt_note(fastener, bolt, stack),
        source=rule_source("engagement_min"),
        stack=stack.layers,
    )


def _bolt_note(fastener: Fastener, bolt: Bolt, stack: Stack) -> str:
    if bolt.length_mm is None:
        return f"{fastener.note}; change what is clamped or add washers, so that a standard length gives enough thread"
    if len(fastener.through) > 1 and fastener.ends != "thread":
        layers = ", ".join(f"{layer.what} {layer.mm:.4g}" for layer in stack.layers)
        return f"{fastener.note}; from the head on: {layers} mm"
    return fastener.note


def _merged(bolts: Iterable[BoltItem]) -> tuple[BoltItem, ...]:
    """Equal bolts as one."""
    groups: dict[BoltItem, BoltItem] = {}
    for one in bolts:
        alike = replace(one, where=(), count=0)
        had = groups.get(alike, alike)
        groups[alike] = replace(one, where=had.where + one.where, count=had.count + one.count)
    return tuple(groups.values())


def _washers(design: Design) -> Iterator[Item]:
    """Washers under heads and nuts, nuts, and inserts."""
    washers: dict[str, int] = {}
    nuts: dict[tuple[str, bool], int] = {}
    inserts: dict[tuple[str, tuple[float, float, float]], int] = {}
    for one in (f for f in design.fasteners if not _comes_along(f)):
        size, many = thread(one.thread).size, one.count * design.quantity
        let_in, ends = pocket_of(one, design.instance(one.piece).piece) is not None, design.ends_in(one)
        under = (not one.sealed) + (ends == "nut" and not let_in)
        washers[size] = washers.get(size, 0) + under * many
        if ends == "nut":
            nuts[one.thread, let_in] = nuts.get((one.thread, let_in), 0) + many
        if one.insert_mm is not None:
            inserts[one.thread, one.insert_mm] = inserts.get((one.thread, one.insert_mm), 0) + many
    for size, count in washers.items():
        if count:
            note = f"{washer_mm(size):g} mm thick, one under each head; never a bare head on PMMA"
            yield _item(f"plain washer {size}", count, "pieces", note)
    for (name, let_in), count in nuts.items():
        note = (
            "let into the plates from behind before they are bonded on"
            if let_in
            else "outside, on its washer; hold it while the head is turned"
        )
        yield _item(f"hexagon nut {name}", count, "pieces", note, "ISO 4032, ASME B18.2.2 (from memory)")
    for (name, (barrel, flange, thick)), count in inserts.items():
        note = (
            f"barrel {barrel:g}, flange {flange:g} x {thick:g} mm; let in from behind before the plates are bonded on"
        )
        yield _item(f"flanged metal insert {name}", count, "pieces", note)


def _seals(order: Order, design: Design) -> Iterator[Item]:
    for fastener in design.fasteners:
        if stack_of(design, fastener, 0.0).layers[0].what == "sealing washer":
            yield _item(
                f"sealing washer {thread(fastener.thread).size}",
                fastener.count * design.quantity,
                "pieces",
                f"inside, under each head of {fastener.piece}: soft rubber face, no sealant that crazes PMMA",
            )
    for index, port in enumerate(order.port, start=1):
        name = f"{port.kind}-{index}"
        if port.thread:
            item, note = (
                f"fitting {port.thread} with flat seal",
                "seal on the face with an O-ring or flat washer; hand tight",
            )
        else:
            item, note = f"bulkhead fitting for a {port.diameter:g} mm hole", "flat rubber washer on the wet side"
        yield _item(item, design.quantity, "pieces", f"{name}: {note}; no tapered thread, it splits the sheet")


def _consumables(design: Design, plan: BondingPlan, settings: BondSettings, unit: LengthUnit) -> Iterator[Item]:
    chosen, needle = settings.chosen, figure("needle_bore")
    name = f"thin solvent: {chosen.name}" if chosen else "thin solvent for PMMA, class not stated"
    yield _item(
        name,
        plan.draw_ml * design.quantity,
        "mL",
        "your choice: read its safety data sheet and your local law first",
        cited(figure("losses")).source,
    )
    yield _item(
        "tape, low tack, solvent-proof",
        plan.tape_m * design.quantity,
        "m",
        f"{'25 mm' if unit == 'mm' else '1 in'} wide or so; tabs every {mark_length(figure('tape_tab_pitch').value, unit)}",
        cited(figure("tape_tab_pitch")).source,
    )
    yield _item(
        "blunt dispensing needle",
        2,
        "pieces",
        f"{gauge_length(needle.value, unit)} bore, metal; one spare",
        cited(needle).source,
    )
    yield _item("syringe, glass or polypropylene", 2, "pieces", f"for {plan.draw_ml:g} mL; no rubber that swells")
    yield _item("wet abrasive paper, 320 and 400 grit", 2, "sheets", "wet, on a flat block")
    yield _item("lint-free cloths and dry paper", None, "", "to wipe dry, and under the seams in the proof test")


def _tools(order: Order) -> Iterator[Item]:
    yield _item("edge scraper", 1, "pieces", "straight and sharp")
    yield _item(
        "feeler gauge",
        1,
        "sets",
        f"leaves from {gauge_length(figure('leaf_step').value, order.units)}; "
        f"{gauge_length(order.limits.gap, order.units)} is the limit",
    )
    yield _item("square, two stops and a small weight", 1, "sets", "to set the plates")
    if order.liquid is not None:
        yield _item("tray", 1, "pieces", "holds all the water of the proof test")


def _protection() -> Iterator[Item]:
    source = {caution.id: caution.source for caution in cautions_for("solvent")}
    yield _item(
        "gloves for the solvent",
        2,
        "pairs",
        "chosen from the glove maker's table for that solvent; not thin nitrile",
        source["solvent-skin"],
    )
    yield _item("goggles", 1, "pieces", "splash-proof", source["solvent-skin"])
    yield _item(
        "exhaust at the bench", 1, "pieces", "vented outdoors, no spark in the air stream", source["solvent-air"]
    )
