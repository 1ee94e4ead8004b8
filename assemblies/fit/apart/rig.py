"""What the whole is bolted to, as a box or a STEP file: whether they stand clear of each other, and keep so while it turns.

*Swept bound*: from one place of a turn to the next no point moves further than its distance from the axis times the angle. So a
piece that is free by d at one angle is free for d / R more, R being the furthest that it reaches from the axis, and its turn is
walked from free angle to free angle. Where it touches, as a plate its flange, or nearly so, it is looked at in small steps, and
how far it moves between two of them is said.

The kernel is imported when something is measured.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

from assemblies.design.model import Design
from assemblies.order import Order, OrderError, Rig
from assemblies.report.blocks import Block, Report, Rows
from assemblies.report.check import Check, Checked, Made, SectionOf
from assemblies.report.figures import amount
from parts.findings import Finding
from parts.lengths import LengthUnit
from parts.vectors import Vector

if TYPE_CHECKING:
    from OCP.Bnd import Bnd_Box
    from OCP.TopoDS import TopoDS_Shape

__all__ = ["RIG", "RigFit", "Turned", "obstacle", "rig_fit", "turned_clear"]

NEAR_STEP_DEG: Final = 0.1  # judgement: the finest step of a piece that comes near
TOUCH_STEP_DEG: Final = 0.5  # judgement: the step of one that touches
_TOUCH_MM: Final = 1e-3  # nearer than this they touch: rounding of the kernel
_FAR_STEP_DEG: Final = 5.0  # boxes that stand apart by less than such a turn are measured
_LARGEST_MB: Final = 100
_COMPUTED: Final = "computed: solids of both, and the swept bound between two looks"


@dataclass(frozen=True, kw_only=True)
class Turned:
    """One turn past what it is bolted to.

    Attributes:
        case: of the order. angle_deg: how far it turns.
        hits: the pieces that run into it, the first first, and at which angle that does; empty where none does.
        clear_mm: how near it comes at the least, as far as it was measured; 0 where it touches.
        between_mm: how far a point may move between two looks that were not proven free; 0 where the whole turn is.
        looks: at how many angles it was looked at.
    """

    case: str
    angle_deg: float
    hits: tuple[str, ...]
    hit_deg: float | None
    clear_mm: float
    between_mm: float
    looks: int


@dataclass(frozen=True, kw_only=True)
class RigFit:
    """How it stands to what it is bolted to.

    Attributes:
        what: `box` or the file's name.
        hits: each piece that runs into it, and by how much, mm3.
        clear_mm: the least distance; 0 where they touch.
        turns: for each case that turns it.
    """

    what: str
    hits: tuple[tuple[str, float], ...]
    clear_mm: float
    turns: tuple[Turned, ...] = ()


def obstacle(order: Order, rig: Rig) -> TopoDS_Shape:
    """The solid of what it is bolted to, in its place.

    Raises:
        OrderError: a file that is not there, is too large, or holds no solid that can be read.
    """
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox
    from OCP.gp import gp_Pnt, gp_Trsf, gp_Vec
    from OCP.TopLoc import TopLoc_Location

    x, y, z = rig.at
    if rig.box is not None:
        a, b, c = rig.box
        return BRepPrimAPI_MakeBox(gp_Pnt(x - a / 2.0, y - b / 2.0, z - c / 2.0), a, b, c).Shape()
    move = gp_Trsf()
    move.SetTranslation(gp_Vec(x, y, z))
    return _read(order, rig).Moved(TopLoc_Location(move))


def _read(order: Order, rig: Rig) -> TopoDS_Shape:
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.STEPControl import STEPControl_Reader

    from parts.shape.kernel import is_valid, kernel_step, solids

    assert rig.file is not None
    path = Path(order.source.file).parent / rig.file

    def refused(what: str) -> OrderError:
        return order.refuse(
            ("rig", "file"), f"{rig.file}: {what}", "a STEP file of solids; its path counts from the order's folder"
        )

    try:
        if not path.is_file():
            raise refused("is a folder" if path.is_dir() else "there is no such file")
        if path.stat().st_size > _LARGEST_MB * 1_000_000:
            raise refused(f"is over {_LARGEST_MB} MB")
        with path.open("rb") as stream:
            start = stream.read(200)
    except (OSError, ValueError) as error:
        raise refused(f"cannot be read: {getattr(error, 'strerror', None) or error}") from None
    if b"ISO-10303-21" not in start:
        raise refused("is no STEP file")
    with kernel_step(str(rig.file), "read it"), _silent():
        reader = STEPControl_Reader()
        if reader.ReadFile(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone or not reader.TransferRoots():
            raise refused("is a broken STEP file")
        shape = reader.OneShape()
    if shape.IsNull() or not solids(shape):
        raise refused("holds no solid")
    if not is_valid(shape):
        raise refused("holds a solid that the kernel finds broken")
    return shape


@contextmanager
def _silent() -> Iterator[None]:
    """The kernel says on standard output what it cannot read; it is said in our own words instead."""
    from OCP.Message import Message

    messenger = Message.DefaultMessenger_s()
    printers = list(messenger.Printers())
    for one in printers:
        messenger.RemovePrinter(one)
    try:
        yield
    finally:
        for one in printers:
            messenger.AddPrinter(one)


def rig_fit(order: Order, design: Design, rig: Rig) -> RigFit:
    """Whether the design stands clear of what it is bolted to, still and in each turn.

    Raises:
        OrderError: as `obstacle`.
    """
    thing, bodies = obstacle(order, rig), _bodies(design)
    hits = tuple((name, volume) for name, volume in _common(bodies, thing) if volume > 0.0)
    turns: tuple[Turned, ...] = ()
    if rig.pivot is not None and not hits:
        turns = tuple(
            turned_clear(bodies, thing, case.name, rig.pivot, case.axis, case.angle)
            for case in order.case
            if case.kind == "turn" and case.angle
        )
    return RigFit(
        what=rig.file or "box",
        hits=hits,
        clear_mm=0.0 if hits else min(_distance(one, thing) for _, one in bodies),
        turns=turns,
    )


Bodies = Sequence[tuple[str, "TopoDS_Shape"]]


def _bodies(design: Design) -> Bodies:
    from parts.shape.kernel import place
    from parts.shape.solid import body

    return [(p.name, body(p.piece).Moved(place(p.origin, p.x, p.z))) for p in design.placed]


def _common(bodies: Bodies, thing: TopoDS_Shape) -> Iterator[tuple[str, float]]:
    """The volume that each body shares with the thing; nothing where their boxes are apart."""
    for name, one in bodies:
        if _gap(one, thing) <= 0.0:
            yield name, _shared_mm3(name, one, thing)


def _shared_mm3(name: str, one: TopoDS_Shape, thing: TopoDS_Shape) -> float:
    """The volume that both take up; 0 where that is rounding."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Common

    from assemblies.fit.interference import LEAST_VOLUME_MM3
    from parts.shape.kernel import KernelError, kernel_step, volume_mm3

    with kernel_step(name, "compare it with what it is bolted to"):
        common = BRepAlgoAPI_Common(one, thing)
        if not common.IsDone():
            raise KernelError(f"{name}: the kernel could not compare it with what it is bolted to")
        volume = volume_mm3(common.Shape())
    return volume if volume > LEAST_VOLUME_MM3 else 0.0


def _gap(one: TopoDS_Shape, other: TopoDS_Shape) -> float:
    """How far apart their boxes are: never more than they are themselves."""
    return float(_box(one).Distance(_box(other)))


def _box(shape: TopoDS_Shape) -> Bnd_Box:
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    box = Bnd_Box()
    BRepBndLib.Add_s(shape, box)
    return box


def _distance(one: TopoDS_Shape, other: TopoDS_Shape) -> float:
    from OCP.BRepExtrema import BRepExtrema_DistShapeShape

    from parts.shape.kernel import KernelError, kernel_step

    with kernel_step("what it is bolted to", "measure how far away it is"):
        measured = BRepExtrema_DistShapeShape(one, other)
        if not measured.IsDone():
            raise KernelError("the kernel could not measure how far away what it is bolted to is")
        return float(measured.Value())


def turned_clear(
    bodies: Bodies, thing: TopoDS_Shape, case: str, pivot: Vector, axis: Vector, angle_deg: float
) -> Turned:
    """A turn about an axis through the pivot, right-handed, from rest to its angle. The thing is turned back in its stead."""
    walked = [(name, _walk(name, one, thing, pivot, axis, math.radians(angle_deg))) for name, one in bodies]
    hits = sorted((one.hit, name) for name, one in walked if one.hit is not None)
    return Turned(
        case=case,
        angle_deg=angle_deg,
        hits=tuple(name for _, name in hits),
        hit_deg=math.copysign(math.degrees(hits[0][0]), angle_deg) if hits else None,
        clear_mm=min(one.clear_mm for _, one in walked),
        between_mm=max(one.between_mm for _, one in walked),
        looks=sum(one.looks for _, one in walked),
    )


@dataclass(frozen=True, kw_only=True)
class _Walked:
    """The turn of one piece: where it hits (rad from rest), how clear it was, how far it moved unseen, at how many angles."""

    hit: float | None
    clear_mm: float
    between_mm: float
    looks: int


def _walk(name: str, one: TopoDS_Shape, thing: TopoDS_Shape, pivot: Vector, axis: Vector, angle: float) -> _Walked:
    from OCP.gp import gp_Ax1, gp_Dir, gp_Pnt, gp_Trsf
    from OCP.TopLoc import TopLoc_Location

    about, reach = gp_Ax1(gp_Pnt(*pivot), gp_Dir(*axis)), _reach_mm(one, pivot, axis)
    way, end = math.copysign(1.0, angle), abs(angle)
    at, clear, between, looks = 0.0, math.inf, 0.0, 0
    while True:
        move = gp_Trsf()
        move.SetRotation(about, -way * at)
        there = thing.Moved(TopLoc_Location(move))
        looks += 1
        free = _gap(one, there)
        if free < reach * math.radians(_FAR_STEP_DEG):
            free = _distance(one, there)
        if free <= _TOUCH_MM:
            free = 0.0
            if _shared_mm3(name, one, there) > 0.0:
                return _Walked(hit=at, clear_mm=0.0, between_mm=between, looks=looks)
        clear = min(clear, free)
        if at >= end:
            return _Walked(hit=None, clear_mm=clear, between_mm=between, looks=looks)
        least = math.radians(NEAR_STEP_DEG if free else TOUCH_STEP_DEG)
        between = max(between, reach * min(least, end - at) - free)
        at = min(at + max(free / reach, least), end)


def _reach_mm(whole: TopoDS_Shape, pivot: Vector, axis: Vector) -> float:
    """How far from the axis a corner of its box is, at the most: nothing of it is further."""
    x0, y0, z0, x1, y1, z1 = _box(whole).Get()
    long = math.hypot(*axis)
    furthest = 1.0
    for corner in ((x, y, z) for x in (x0, x1) for y in (y0, y1) for z in (z0, z1)):
        out = [c - p for c, p in zip(corner, pivot, strict=True)]
        along = sum(o * a for o, a in zip(out, axis, strict=True)) / long
        furthest = max(furthest, math.sqrt(max(sum(o * o for o in out) - along**2, 0.0)))
    return furthest


def _run(made: Made) -> Checked:
    rig = made.order.rig
    if rig is None or (rig.box is None and rig.file is None):
        return Checked()
    found = rig_fit(made.order, made.design, rig)
    said = tuple(_said(made.order, rig, found))
    return Checked(state="failed" if any(f.level == "stop" for f in said) else "passed", findings=said, figures=found)


def _said(order: Order, rig: Rig, found: RigFit) -> Iterator[Finding]:
    it = f"what it is bolted to ({found.what})"
    for name, volume in found.hits:
        yield _finding(
            "stop",
            name,
            f"it runs into {it} by {volume:.4g} mm3",
            "correct the place of that in [rig] at, or move the plates",
        )
    turning = [case.name for case in order.case if case.kind == "turn" and case.angle]
    if turning and rig.pivot is None:
        yield _finding(
            "care",
            ", ".join(turning),
            f"whether it stays clear of {it} while it turns is not looked at: about which point it turns is not said",
            "give [rig] pivot, a point of the axis",
        )
    for turn in found.turns:
        if turn.hits:
            yield _finding(
                "stop",
                ", ".join(turn.hits),
                f"{turn.case}: at {turn.hit_deg:.1f} of {turn.angle_deg:g} degrees it runs into {it}",
                "turn it less, move the pivot, or make room there",
            )
        elif turn.between_mm > 0.0:
            yield _finding(
                "care",
                "rig",
                f"{turn.case}: it touches {it} as it turns, or nearly so; looked at in steps of "
                f"{TOUCH_STEP_DEG:g} degrees it runs into nothing, and moves up to {turn.between_mm:.1f} mm "
                "between two",
                "turn it by hand first, and look",
            )


def _finding(level: str, where: str, why: str, do: str) -> Finding:
    return Finding(
        level="stop" if level == "stop" else "care", check="rig", where=where, why=why, do=do, source=_COMPUTED
    )


def _rows(made: Made, found: RigFit) -> Report:
    return {"rig": found}


def _blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    rig = report.get("rig")
    if not rig:
        return
    rows = [
        ("at rest", ", ".join(name for name, _ in rig["hits"]) or "clear", amount(rig["clear_mm"], "mm", 1), "", "1")
    ]
    rows += [
        (
            f"{t['case']}, {t['angle_deg']:g} degrees",
            f"{', '.join(t['hits'])} at {t['hit_deg']:.1f} degrees" if t["hits"] else "clear",
            amount(t["clear_mm"], "mm", 1),
            amount(t["between_mm"], "mm", 1) if t["between_mm"] else "none",
            str(t["looks"]),
        )
        for t in rig["turns"]
    ]
    yield Rows(
        title=f"Room beside what it is bolted to ({rig['what']})",
        header=("", "runs into", "at least clear by", "unseen move", "looks"),
        rows=rows,
        right="llrrr",
        note="Between two looks nothing moves further than it was clear, but for the unseen move.",
    )


#: What it is bolted to stands clear of it, still and while it turns. Needs the geometry kernel.
RIG: Final = Check(
    name="rig",
    questions=("fit",),
    solids=True,
    run=_run,
    rows=_rows,
    sections=(SectionOf(id="rig", station="dry-fit", title="What it is bolted to", blocks=_blocks),),
)
