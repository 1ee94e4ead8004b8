"""Every drawing of a packet: one for each part and one of the assembly, as PDF and as DXF, read back after writing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from assemblies.design.model import Design
from assemblies.examine import Examined
from assemblies.fit.apart.explode import Exploded
from assemblies.order import Order
from assemblies.packet.drawings.assembly_drawing import assembly_sheets
from assemblies.packet.drawings.dimensions import figure
from assemblies.packet.drawings.drawing import part_sheets
from assemblies.packet.drawings.drawing_words import DrawingSettings, PartFacts, settings_for
from assemblies.packet.dxf.drawing_dxf import drawing_dxf
from assemblies.packet.ink.pdf import pdf
from assemblies.packet.ink.readback import check_name, expect, write_checked
from assemblies.packet.ink.sheet_items import Sheet
from assemblies.packet.pictures.line_drawing import Spread
from assemblies.report.base import titled
from assemblies.shop.plan.edges import Edge
from assemblies.shop.plan.plan import CuttingPlan
from parts.shape.piece import Piece

__all__ = ["Drawn", "drawn_of", "part_drawings", "part_facts", "write_drawings", "write_sheets"]


def part_drawings(found: Examined, settings: DrawingSettings | None = None) -> dict[str, tuple[Sheet, ...]]:
    """The sheets of each part's drawing, by the part's name.

    Args:
        settings: paper, projection, units; by the order if not given (`settings_for`).

    Raises:
        NotCovered: a part is too large for any scale.
    """
    order, design = found.order, _titled(found)
    settings = settings or settings_for(order.units, order.shop.paper, order.shop.projection)
    plan = found.made.of(CuttingPlan)
    edges = {item.piece.name: item.edges for item in plan.all_items} if plan is not None else {}
    return {
        p.name: part_sheets(p, part_facts(p, design, order, edges.get(p.name, ())), settings) for p in design.pieces
    }


@dataclass(frozen=True, kw_only=True)
class Drawn:
    """What its drawings show.

    Attributes:
        design: as they name it.
        exploded: how its pieces stand apart.
        tolerance: of sizes, in words.
        settings: paper, projection, units.
    """

    design: Design
    exploded: Exploded
    tolerance: str
    settings: DrawingSettings


def drawn_of(found: Examined, settings: DrawingSettings | None = None) -> Drawn:
    """What the drawings of an examined order show; settings by the order if not given."""
    assert found.exploded is not None
    order = found.order
    settings = settings or settings_for(order.units, order.shop.paper, order.shop.projection)
    size = f"{figure(order.cutting.tolerance, settings.units)} {settings.units}"
    words = f"± {size} on sizes of parts ({order.cutting.process})"
    return Drawn(design=_titled(found), exploded=found.exploded, tolerance=words, settings=settings)


def write_drawings(drawn: Drawn, parts: Mapping[str, Sequence[Sheet]], seen: Spread, folder: Path) -> None:
    """`drawings/<part>.pdf` and `.dxf` of every part, `drawings/<name>-assembly.pdf` and `.dxf`; same order, same bytes.

    Args:
        parts: the sheets of each part, of the same settings.
        seen: how it looks exploded.
        folder: the packet's; `drawings` is made in it.

    Raises:
        NotCovered: a part is too large for any scale.
        WrongFile: a file is not what was to be written.
        OSError: a file cannot be written.
    """
    design, place = drawn.design, folder / "drawings"
    place.mkdir(exist_ok=True)
    for name, sheets in parts.items():
        write_sheets(sheets, place / name, f"{design.title}: {name}")
    sheets = assembly_sheets(design, drawn.exploded, seen, drawn.tolerance, drawn.settings)
    write_sheets(sheets, place / f"{design.name}-assembly", f"{design.title}: assembly")


def _titled(found: Examined) -> Design:
    """The design as its drawings name it."""
    return replace(found.design, title=titled(found.report, found.design.title))


def part_facts(piece: Piece, design: Design, order: Order, edges: tuple[Edge, ...] = ()) -> PartFacts:
    """What the order says about one of its parts."""
    process = piece.process or order.cutting.process
    group = piece.cut_group
    return PartFacts(
        design=design.name,
        title=design.title,
        revision=design.revision,
        count=sum(placed.piece == piece for placed in design.placed),
        quantity=design.quantity,
        process=process,
        tolerance_mm=order.process_tolerances().get(process, order.cutting.tolerance),
        repeat_mm=order.cutting.repeat,
        alike=tuple(p.name for p in design.pieces if group and p.cut_group == group and p != piece),
        edges=edges,
    )


def write_sheets(sheets: Sequence[Sheet], stem: Path, title: str) -> None:
    """The sheets of one drawing as PDF and as DXF, each read back.

    Raises:
        WrongFile: a file is not what was to be written.
        OSError: a file cannot be written.
    """
    check_name(stem.name)
    data = pdf([sheet.page for sheet in sheets], title)
    write_checked(stem.with_name(f"{stem.name}.pdf"), data, lambda p: _check_pdf(p, sheets))
    write_checked(stem.with_name(f"{stem.name}.dxf"), drawing_dxf(sheets), lambda p: _check_dxf(p, sheets))


def _check_pdf(path: Path, sheets: Sequence[Sheet]) -> None:
    data = path.read_bytes()
    whole = data.startswith(b"%PDF") and data.rstrip().endswith(b"%%EOF")
    expect(path, whole and data.count(b"/Type /Page\n") == len(sheets), "is not a whole PDF of its sheets")


def _check_dxf(path: Path, sheets: Sequence[Sheet]) -> None:
    lines = path.read_bytes().decode("ascii").splitlines()
    expect(path, len(lines) % 2 == 0 and lines[-1].strip() == "EOF", "is cut short")
    kinds = [value for code, value in zip(lines[::2], lines[1::2], strict=True) if code.strip() == "0"]
    wanted = sum(len(sheet.dimensions) for sheet in sheets)
    expect(path, kinds.count("DIMENSION") == wanted, f"has not its {wanted} dimensions")
