"""What the whole is bolted to, as a box or a STEP file: whether they stand clear of each other, and keep so while it turns.

*Swept bound*: from one place of a turn to the next no point moves further than its distance from the axis times the angle. So a
distance d that is free at one angle is free for d / R more, R being the furthest that anything is from the axis, and a turn is
walked from free angle to free angle. Where the two touch, as a plate on its flange, it is looked at every degree instead.

The kernel is imported when something is measured.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
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

LEAST_STEP_DEG: Final = 1.0  # judgement: the finest step, where it touches
_LARGEST_MB: Final = 100
_COMPUTED: Final = "computed: solids of both, and the swept bound between two looks"


@dataclass(frozen=True, kw_only=True)
class Turned:
    """One turn past what it is bolted to.

    Attributes:
        case: of the order. angle_deg: how far it turns.
        hits: the pieces that run into it, and at which angle first; empty where none does.
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
        start = path.open("rb").read(200)
    except (OSError, ValueError) as error:
        raise refused(f"cannot be read: {getattr(error, 'strerror', None) or error}") from None
    if b"ISO-10303-21" not in start:
        raise refused("is no STEP file")
    with kernel_step(str(rig.file), "read it"):
        reader = STEPControl_Reader()
        if reader.ReadFile(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone or not reader.TransferRoots():
            raise refused("is a broken STEP file")
        shape = reader.OneShape()
    if shape.IsNull() or not solids(shape):
        raise refused("holds no solid")
    if not is_valid(shape):
        raise refused("holds a solid that the kernel finds broken")
    return shape


def rig_fit(order: Order, design: Design, rig: Rig) -> RigFit:
    """Whether the design stands clear of what it is bolted to, still and in each turn.

    Raises:
        OrderError: as `obstacle`.
    """
    thing, bodies = obstacle(order, rig), _bodies(design)
    hits = tuple((name, volume) for name, volume in _common(bodies, thing) if volume > 0.0)
    whole = _whole(bodies)
    turns: tuple[Turned, ...] = ()
    if rig.pivot is not None and not hits:
        turns = tuple(
            turned_clear(bodies, whole, thing, case.name, rig.pivot, case.axis, case.angle)
            for case in order.case
            if case.kind == "turn" and case.angle
        )
    return RigFit(what=rig.file or "box", hits=hits, clear_mm=0.0 if hits else _distance(whole, thing), turns=turns)


Bodies = Sequence[tuple[str, "TopoDS_Shape"]]


def _bodies(design: Design) -> Bodies:
    from parts.shape.kernel import place
    from parts.shape.solid import body

    return [(p.name, body(p.piece).Moved(place(p.origin, p.x, p.z))) for p in design.placed]


def _whole(bodies: Bodies) -> TopoDS_Shape:
    from OCP.BRep import BRep_Builder
    from OCP.TopoDS import TopoDS_Compound

    builder, compound = BRep_Builder(), TopoDS_Compound()
    builder.MakeCompound(compound)
    for _, one in bodies:
        builder.Add(compound, one)
    return compound


def _common(bodies: Bodies, thing: TopoDS_Shape) -> Iterator[tuple[str, float]]:
    """The volume that each body shares with the thing; nothing where their boxes are apart."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Common

    from assemblies.fit.interference import LEAST_VOLUME_MM3
    from parts.shape.kernel import KernelError, kernel_step, volume_mm3

    for name, one in bodies:
        if _gap(one, thing) > 0.0:
            continue
        with kernel_step(name, "compare it with what it is bolted to"):
            common = BRepAlgoAPI_Common(one, thing)
            if not common.IsDone():
                raise KernelError(f"{name}: the kernel could not compare it with what it is bolted to")
            volume = volume_mm3(common.Shape())
        yield name, volume if volume > LEAST_VOLUME_MM3 else 0.0


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
    bodies: Bodies, whole: TopoDS_Shape, thing: TopoDS_Shape, case: str, pivot: Vector, axis: Vector, angle_deg: float
) -> Turned:  # fmt: skip
    """A turn about an axis through the pivot, right-handed, from rest to its angle. The thing is turned back in its stead."""
    from OCP.gp import gp_Ax1, gp_Dir, gp_Pnt, gp_Trsf
    from OCP.TopLoc import TopLoc_Location

    about, reach = gp_Ax1(gp_Pnt(*pivot), gp_Dir(*axis)), _reach_mm(whole, pivot, axis)
    way, end, least = math.copysign(1.0, angle_deg), math.radians(abs(angle_deg)), math.radians(LEAST_STEP_DEG)
    at, clear, between, looks = 0.0, math.inf, 0.0, 0
    while True:
        move = gp_Trsf()
        move.SetRotation(about, -way * at)
        there = thing.Moved(TopLoc_Location(move))
        looks += 1
        free = _gap(whole, there)
        if free < reach * least:
            free = _distance(whole, there)
        if free <= 0.0:
            hits = tuple(name for name, volume in _common(bodies, there) if volume > 0.0)
            if hits:
                return Turned(case=case, angle_deg=angle_deg, hits=hits, hit_deg=way * math.degrees(at), clear_mm=0.0,
                              between_mm=between, looks=looks)  # fmt: skip
        clear = min(clear, free)
        if at >= end:
            break
        step = free / reach
        if step < least:
            between = max(between, reach * least - free)
            step = least
        at = min(at + step, end)
    return Turned(
        case=case, angle_deg=angle_deg, hits=(), hit_deg=None, clear_mm=clear, between_mm=between, looks=looks
    )


def _reach_mm(whole: TopoDS_Shape, pivot: Vector, axis: Vector) -> float:
    """How far from the axis a corner of its box is: nothing of it is further."""
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
    for name, volume in found.hits:
        yield _finding("stop", name, f"it runs into what it is bolted to ({found.what}) by {volume:.4g} mm3",
                       "give the place of that in [rig] at, or move the plates")  # fmt: skip
    turning = [case.name for case in order.case if case.kind == "turn" and case.angle]
    if turning and rig.pivot is None:
        yield _finding("care", ", ".join(turning), f"whether it stays clear of {found.what} while it turns is not looked at: about "
                       "which point it turns is not said", "give [rig] pivot, the point that the axis goes through")  # fmt: skip
    for turn in found.turns:
        if turn.hits:
            yield _finding(
                "stop", ", ".join(turn.hits), f"{turn.case}: at {turn.hit_deg:.1f} of {turn.angle_deg:g} degrees it runs into what it is "
                f"bolted to ({found.what})", "turn it less, move the pivot, or make room there",
            )  # fmt: skip
        elif turn.between_mm > 0.0:
            yield _finding(
                "care", "rig", f"{turn.case}: it turns so near to {found.what} that it was looked at every {LEAST_STEP_DEG:g} degree, "
                f"{turn.looks} times, and free each time; between two looks it moves up to {turn.between_mm:.1f} mm",
                "turn it by hand first, and look",
            )  # fmt: skip


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
            amount(t["clear_mm"], "mm", 1), amount(t["between_mm"], "mm", 1) if t["between_mm"] else "none", str(t["looks"]),
        )
        for t in rig["turns"]
    ]  # fmt: skip
    yield Rows(
        title=f"Room beside what it is bolted to ({rig['what']})",
        header=("", "runs into", "at least clear by", "unseen move", "looks"), rows=rows, right="llrrr",
        note="Between two looks nothing moves further than it was clear, but for the unseen move.",
    )  # fmt: skip


#: What it is bolted to stands clear of it, still and while it turns. Needs the geometry kernel.
RIG: Final = Check(
    name="rig", questions=("fit",), run=_run, rows=_rows,
    sections=(SectionOf(id="rig", station="dry-fit", title="What it is bolted to", blocks=_blocks),),
)  # fmt: skip
