"""The rectangular tank: five panels, with lid, plates, strips and ports as ordered."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Annotated, Literal

from pydantic import Field, field_validator

from assemblies.design.model import Design, Placed, Support
from assemblies.kinds.sheets import stated_sheet
from assemblies.kinds.tank.bores import bore_panels
from assemblies.kinds.tank.box import GROUP_OF, GROUPS, PANELS, Box, as_cut_box, drawn_box, place
from assemblies.kinds.tank.mounts.plates import add_plates, plate_pieces, plates_taken, retention
from assemblies.kinds.tank.pouring.engrave import engraved
from assemblies.kinds.tank.pouring.inner import inner_walls
from assemblies.kinds.tank.pouring.lips import Low, check_plates, cut_panel, lips_taken, low_places, troughs
from assemblies.kinds.tank.pouring.ramp import Ramp, ramps
from assemblies.kinds.tank.pouring.room import check_fill, room
from assemblies.kinds.tank.pouring.weir import Weir, weirs
from assemblies.kinds.tank.rim import Rim, add_lid, add_strips, corner_top
from assemblies.kinds.tank.shell import Extra, Shell
from assemblies.kinds.tank.units import check_units
from assemblies.order import Faults, Order, Refused, Size3, Table
from assemblies.order.errors import Key, shown
from parts.findings import Finding, NotCovered, SeamwrightError, Taken
from parts.make.panel import panel
from parts.shape.piece import Hole, Mark, Piece
from parts.stock.sheet import Sheet

__all__ = ["DEFAULT_RUNS_LONG", "TankSpec", "build_tank"]

DEFAULT_RUNS_LONG = ("front-back", "bottom", "ends")
_LEAST_INSIDE_MM = 1.0
_FAR_OFF_MM = 10.0  # judgement: no saw errs by more; such a size is a slip of the pen
Group = Literal["ends", "front-back", "bottom"]
Face = Literal["left", "right", "front", "back", "bottom", "top"]


class TankSpec(Table):
    """The `[tank]` table.

    Attributes:
        size: length, width, depth.
        measure: whether `size` is the inside or the outside.
        runs_long: the three groups of panels; earlier runs long over later. Chosen from `seen_from` when not given.
        lid: `none`, `loose` (rests on the rim, strips below keep it in place), `bonded` or `screwed`.
        seen_from: faces looked through; their panels run long, so that no cut edge is seen.
    """

    size: Size3
    """Length, width, depth. e.g. `[300, 200, 150]`"""
    measure: Literal["inside", "outside"] = "inside"
    """Whether `size` is the inside or the outside. e.g. `"inside"`"""
    runs_long: Annotated[tuple[Group, ...], Field(max_length=3)] = ()
    """At a corner earlier ones run long over later ones. Default: chosen from seen-from.
    e.g. `["front-back", "bottom", "ends"]`"""
    lid: Literal["none", "loose", "bonded", "screwed"] = "none"
    """None, laid on, bonded on, or screwed to the rim strips. e.g. `"screwed"`"""
    seen_from: Annotated[tuple[Face, ...], Field(max_length=6)] = ()
    """Faces that are looked through: those run long, so that no cut edge is seen. e.g. `["front"]`"""

    @field_validator("runs_long")
    @classmethod
    def _all_three(cls, groups: tuple[Group, ...]) -> tuple[Group, ...]:
        if sorted(groups) != sorted(GROUPS):
            raise Refused(f"{shown(groups)} is not an order of the three groups", "ends, front-back, bottom, each once")
        return groups


def build_tank(order: Order, thickness_mm: float | Mapping[str, float] | None = None) -> Design:
    """The tank that the order describes.

    Args:
        order: with a `TankSpec` as its table.
        thickness_mm: what to build it in when the order says `choose`: one thickness, or one for each panel.

    Raises:
        OrderError: what only building shows: no room inside, a plate off its face, a hole through an edge.
    """
    spec = order.table
    assert isinstance(spec, TankSpec)
    laps, lap_findings = _laps(spec)
    made = _pieces(order, spec, laps, thickness_mm)
    everything, lid, plates = made.placed, made.lid, made.plates
    return Design(
        name=order.name,
        title=order.title,
        kind=order.kind,
        revision=order.revision,
        placed=tuple(_as_asked(order, one) for one in everything),
        joints=(*lid.joints, *plates.joints, *(joint for one in made.ramps for joint in one.joints)),
        cavities=(room(spec.lid, made.rim, made.shell, made.low, made.weirs, made.ramps),),
        supports=_supports(order),
        fasteners=(*lid.fasteners, *plates.fasteners),
        bought=plates.bought,
        releases=plates.releases,
        retention=retention(order, plates),
        quantity=order.quantity,
        findings=(*lap_findings, *lid.findings, *plates.findings),
        taken=(*_taken(order, laps, plates), *made.poured_taken()),
        drawn=_drawn(order, spec, laps, everything),
    )


def _drawn(
    order: Order, spec: TankSpec, laps: tuple[str, ...], placed: tuple[Placed, ...]
) -> tuple[tuple[str, tuple[float, float]], ...]:
    """The sizes that panels given as cut were to have."""
    t = {p.name: p.piece.sheet.thickness_mm for p in placed if p.name in PANELS}
    box = drawn_box(spec.size, spec.measure, t, laps)
    return tuple((str(name), box.size_mm(name)) for name in order.as_cut)


def _taken(order: Order, laps: tuple[str, ...], plates: Extra) -> Iterator[Taken]:
    """What the order leaves open of the box."""
    inside, long = "whether the size is the inside or the outside", "which panels run long"
    if not order.says(order.kind, "measure"):
        yield Taken(what=inside, value="inside", why="every size", say="[tank] measure", weight=1.1)
    if not order.says(order.kind, "runs_long"):
        why = "which seams are trapped, which cut edges show"
        yield Taken(what=long, value=", ".join(laps), why=why, say="[tank] runs-long", weight=1.1)
    yield from plates_taken(order, plates)


@dataclass(frozen=True, kw_only=True)
class _Made:
    """All instances, what came with the lid and the plates, the rim, and its low places."""

    shell: Shell
    placed: tuple[Placed, ...]
    lid: Extra
    plates: Extra
    rim: Rim
    low: tuple[Low, ...]
    weirs: tuple[Weir, ...]
    ramps: tuple[Ramp, ...]

    def poured_taken(self) -> Iterator[Taken]:
        """What the order leaves open of where it pours, and of its floor."""
        top = self.shell.box.outside_mm[2]
        yield from lips_taken(self.shell.order, self.low, top)
        yield from (taken for one in self.weirs for taken in one.taken(top))
        yield from (taken for one in self.ramps for taken in one.taken())


def _pieces(
    order: Order, spec: TankSpec, laps: tuple[str, ...], thickness_mm: float | Mapping[str, float] | None
) -> _Made:
    """Everything in its place.

    Raises:
        OrderError: every fault that does not follow from another.
    """
    check_units(order, spec.size)
    faults = Faults()
    with faults.step():
        _check_lid(order, spec)
    made = plate_pieces(order, faults)
    with faults.step():
        sheets = panel_sheets(order, spec, thickness_mm)
        box, sizes = _box(order, spec, laps, sheets, faults)
        with faults.step():
            check_fill(order, box)
        shell = Shell(order=order, box=box, sheets=sheets)
        blanks = tuple(place(n, _panel(order, n, sizes[n], sheets[n], ()), n, box.slot(n)[0]) for n in PANELS)
        plates = add_plates(shell, made, faults)
        low = low_places(shell, sheets, spec.lid, faults)
        if order.lip:
            faults.settle()  # what stands in a low place is no fault of its own
        check_plates(shell, low, plates, faults)
        bored = bore_panels(shell, blanks, plates, faults)
        poured = troughs(shell, low, faults)
        marks = engraved(shell, _level_mm(order, thickness_mm), bored, low, faults)
        strips, rim = add_strips(shell, spec.lid, faults)
        top = corner_top(shell, spec.lid, rim) if rim else 0.0
        inner = inner_walls(shell, low, (*strips, *plates.placed), top, faults) if rim else ()
        weir = weirs(shell, low, (*strips, *plates.placed, *inner), faults)
        walls = (*inner, *(one.placed for one in weir))
        ramp = ramps(shell, (*strips, *walls), faults)
        for one in ramp:
            bored["bottom"] = (*bored["bottom"], one.weep(shell, (*blanks, *plates.placed)))
        walls = (*walls, *(p for one in ramp for p in one.placed))
        lid = add_lid(shell, spec.lid, rim) if rim else Extra()
    faults.settle()
    assert rim is not None
    strips = tuple(lid.bored.get(s.name, s) for s in strips)
    panels = _panels(shell, sizes, bored, low, marks)
    placed = (*panels, *walls, *strips, *poured.placed, *lid.placed, *plates.placed)
    return _Made(shell=shell, placed=placed, lid=lid, plates=plates, rim=rim, low=low, weirs=weir, ramps=ramp)


def _level_mm(order: Order, thickness_mm: float | Mapping[str, float] | None) -> tuple[float, float] | None:
    """Where its level is engraved: how deep the ordered liquid stands, and how high over the floor, sloped or not."""
    if order.engrave is None or order.engrave.fill is None or order.liquid is None:
        return None
    fill, sloped = order.liquid.fill, any(one.kind == "ramp" for one in order.inner)
    if fill.depth_mm is not None and not sloped:
        return fill.depth_mm, fill.depth_mm
    from assemblies.design.inside import hollowed
    from assemblies.liquid.engine import depth_for_volume

    plain = build_tank(order.model_copy(update={"engrave": None}), thickness_mm)
    try:
        cavity = hollowed(plain)[0]
        lowest = cavity.body.span((0.0, 0.0, 1.0))[0] - cavity.upright_box[0][2] if cavity.upright_box else 0.0
        depth = depth_for_volume(cavity, (fill.volume_l or 0.0) * 1e6) if fill.depth_mm is None else fill.depth_mm
    except SeamwrightError as error:
        raise order.refuse(("liquid", "fill"), str(error), "less") from error
    return depth, lowest + depth


def _check_lid(order: Order, spec: TankSpec) -> None:
    """Refuse what is asked of a lid that there is none of."""
    if spec.lid != "none":
        return
    faults, allowed = Faults(), 'a lid in [tank], such as lid = "loose"'
    asked: list[Key] = [("panel", i, "name") for i, p in enumerate(order.panel) if p.name == "lid"]
    asked += [("port", i, "on") for i, p in enumerate(order.port) if p.on == "lid"]
    for key in asked:
        with faults.step():
            raise order.refuse(key, "there is no lid", allowed)
    faults.settle()


def _laps(spec: TankSpec) -> tuple[tuple[str, ...], list[Finding]]:
    """The order in which groups run long, and what `seen-from` has to say about it."""
    seen = [GROUP_OF[f] for f in spec.seen_from if f in GROUP_OF]
    wanted = list(dict.fromkeys(seen))
    findings: list[Finding] = []
    if not spec.runs_long:
        rest = [g for g in DEFAULT_RUNS_LONG if g not in wanted]
        laps: tuple[str, ...] = (*wanted, *rest)
    else:
        laps = spec.runs_long
        for face in spec.seen_from:
            if face in GROUP_OF and laps.index(GROUP_OF[face]) >= len(wanted):
                first = laps[0]
                findings.append(
                    Finding(
                        level="care",
                        check="laps",
                        where=face,
                        why=f"looked through, but {first} runs long over it: its cut edge shows at the {face}",
                        do=f'put "{GROUP_OF[face]}" first in runs-long',
                        source="common practice, no source",
                    )
                )
    if {"ends", "front-back"} <= set(wanted):
        findings.append(
            Finding(
                level="care",
                check="laps",
                where=" and ".join(spec.seen_from),
                why="faces that meet in a corner cannot both hide the cut edge: one of them shows it",
                do="choose the face that matters most, or polish that edge after bonding",
                source="common practice, no source",
            )
        )
    return laps, findings


def panel_sheets(
    order: Order, spec: TankSpec, thickness_mm: float | Mapping[str, float] | None = None
) -> dict[str, Sheet]:
    """The sheet of each panel and of the lid.

    Raises:
        OrderError: the thickness is to be chosen and none is given; readings of another sheet; a wall too thick for the
            tank, or unmeasured and of a thickness that no standard gives a tolerance for. All panels' faults at once.
    """
    own = {panel.name: (i, panel) for i, panel in enumerate(order.panel)}
    faults = Faults()
    out: dict[str, Sheet] = {}
    for name in (*PANELS, "lid"):
        table: Key = ("sheet",)
        readings = order.sheet.measured
        if name in own:
            i, panel = own[name]
            nominal: float | str = panel.thickness
            table = ("panel", i)
            if panel.measured or panel.thickness != order.sheet.thickness:
                readings = panel.measured
        elif isinstance(thickness_mm, Mapping):
            nominal = thickness_mm.get(name, max(thickness_mm.values()))
        else:
            nominal = order.sheet.thickness if thickness_mm is None else thickness_mm
        with faults.step():
            sheet = stated_sheet(order, nominal, readings, table)
            _check_thickness(order, spec, sheet, (*table, "thickness"))
            out[name] = sheet
    faults.settle()
    return out


def _check_thickness(order: Order, spec: TankSpec, sheet: Sheet, key: Key) -> None:
    """Refuse a wall too thick for the tank, and unmeasured sheet that no standard gives a tolerance for."""
    half = min(spec.size) / 2.0
    if sheet.thickness_mm > half:
        raise order.refuse(key, f"{sheet.thickness_mm:g} mm is over half the tank's least size", f"up to {half:g} mm")
    try:
        assert sheet.thickness_range_mm
    except NotCovered as error:
        raise order.refuse(key, str(error), "1 to 30 mm, or readings of the sheet") from error


def _box(
    order: Order, spec: TankSpec, laps: tuple[str, ...], sheets: Mapping[str, Sheet], faults: Faults
) -> tuple[Box, dict[str, tuple[float, float]]]:
    """The box and the size of each panel; where the sizes as cut are refused, as drawn.

    Raises:
        OrderError: its panels fill it.
    """
    t = {p: sheets[p].thickness_mm for p in PANELS}
    box = drawn_box(spec.size, spec.measure, t, laps)
    sizes = {p: box.size_mm(p) for p in PANELS}
    with faults.step():
        _check_as_cut(order, box)
        _check_inside(order, box)
        if order.as_cut:
            box, sizes = as_cut_box(box, {str(name): size for name, size in order.as_cut.items()})
    _check_inside(order, box)
    return box, sizes


def _check_inside(order: Order, box: Box) -> None:
    """Refuse a box whose panels fill it."""
    low, high = box.inside
    faults = Faults()
    for axis, word in enumerate(("length", "width", "depth")):
        with faults.step():
            left = high[axis] - low[axis]
            if left < _LEAST_INSIDE_MM:
                what = f"{word} {box.outside_mm[axis]:g} mm outside leaves {left:g} mm inside these panels"
                raise order.refuse((order.kind, "size", axis), what, f"at least {_LEAST_INSIDE_MM:g} mm inside")
    faults.settle()


def _check_as_cut(order: Order, box: Box) -> None:
    """Refuse sizes that are another panel's, or in another unit, rather than a saw's error."""
    faults = Faults()
    for name, size in order.as_cut.items():
        for i, (given, drawn) in enumerate(zip(size, box.size_mm(name), strict=True)):
            with faults.step():
                if abs(given - drawn) > min(_FAR_OFF_MM, drawn / 10.0):
                    what = f"{given:g} mm is far from the {drawn:g} mm it should be"
                    raise order.refuse(("as-cut", name, i), what, f"within {min(_FAR_OFF_MM, drawn / 10.0):.3g} mm")
    faults.settle()


def _panel(order: Order, name: str, size: tuple[float, float], sheet: Sheet, holes: tuple[Hole, ...]) -> Piece:
    kind, process = _kind_and_process(order, name)
    return panel(name, *size, sheet, holes=holes, cut_group="box", process=process, kind=kind)


def _kind_and_process(order: Order, name: str) -> tuple[str, str | None]:
    process = next((spec.process for spec in order.panel if spec.name == name), None)
    return "base" if name == "bottom" else "panel", process


def _panels(
    shell: Shell,
    sizes: Mapping[str, tuple[float, float]],
    holes: Mapping[str, tuple[Hole, ...]],
    low: Sequence[Low],
    marks: Mapping[str, tuple[Mark, ...]],
) -> tuple[Placed, ...]:
    """The five panels in place; a pair alike in everything shares one piece, named after its group."""
    pieces = {}
    for name in PANELS:
        kind, process = _kind_and_process(shell.order, name)
        pieces[name] = cut_panel(
            shell,
            name,
            sizes[name],
            [one for one in low if one.spec.on == name],
            holes=holes.get(name, ()),
            marks=marks.get(name, ()),
            kind=kind,
            process=process,
        )
    for one, other, shared in (("left", "right", "end"), ("front", "back", "front-back")):
        same = replace(pieces[one], name=shared)
        if same == replace(pieces[other], name=shared):
            pieces |= {one: same, other: same}
    return tuple(place(n, pieces[n], n, shell.box.slot(n)[0]) for n in PANELS)


def _as_asked(order: Order, placed: Placed) -> Placed:
    """The instance with what the order says of cutting it: oversize, and whether it may be turned on the sheet."""
    own = next((spec for spec in order.panel if spec.name == placed.name), None)
    oversize = own.oversize or 0.0 if own else 0.0
    turn = order.sheet.turn if own is None or own.turn is None else own.turn
    if (oversize, turn) == (placed.piece.oversize_mm, placed.piece.may_turn):
        return placed
    return replace(placed, piece=replace(placed.piece, oversize_mm=oversize, may_turn=turn))


def _supports(order: Order) -> tuple[Support, ...]:
    return (Support(kind=order.support.kind),) if order.support else ()
