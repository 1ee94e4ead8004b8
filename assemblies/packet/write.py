"""Write every file of a packet. Each is made from the design or the report, and read back by its writer."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from assemblies.design import Design
from assemblies.examine import Examined
from assemblies.kinds import kind
from assemblies.liquid.sight.seen import Sight
from assemblies.motion.plans.moves import Moves
from assemblies.order import Order
from assemblies.packet.bench.shoe_drawing import write_shoe_models, write_shoes
from assemblies.packet.drawings.drawings_out import drawn_of, part_drawings, write_drawings
from assemblies.packet.dxf.profile_dxf import write_profile
from assemblies.packet.folder import new_packet
from assemblies.packet.ink.faces import missing_finding
from assemblies.packet.models.glb import write_glb
from assemblies.packet.models.scene import scene_of
from assemblies.packet.models.step import write_piece_step, write_step
from assemblies.packet.models.stl import write_stl
from assemblies.packet.pages.page import write_page
from assemblies.packet.pages.pictures import part_pictures, plot_pictures, sheet_pictures
from assemblies.packet.pages.print_packet import write_print
from assemblies.packet.pictures.line_drawing import Spread, exploded_svg, spread
from assemblies.packet.pictures.picture import picture_of
from assemblies.packet.pictures.rays import ray_pictures
from assemblies.report.base import titled
from assemblies.report.tables import csv_text, parts_csv, seams_csv
from assemblies.shop.drill.counterpart import Counterparts
from assemblies.shop.plan.plan import CuttingPlan
from parts.findings import Finding
from parts.lengths import LengthUnit
from parts.process.aside import ask, ended_with
from parts.vectors import Vector

__all__ = ["write_packet"]


def write_packet(found: Examined, target: Path, told: Callable[[str], None] | None = None) -> Examined:
    """The packet of an examined order, in place of an older one of the same name.

    `told` is called with the name of each file of the user's that was set aside.

    Returns:
        The same order, its report with what was found in writing: what cannot be printed, a picture that could not be made.

    Raises:
        PacketError: the place is the user's, or cannot be written to.
        WrongFile: a file did not read back as the model; nothing is left.
    """
    found = found.saying(missing_finding(found.report)).saying(_plotted(found))
    assert found.exploded is not None
    scene = scene_of(found)
    with (
        new_packet(target, told) as folder,
        ended_with(),
        picture_of(scene, folder / f"{found.design.name}.png") as picture,
    ):
        spreading = ask(spread, found.design, found.exploded)
        cutting = ask(_write_cutting, found.report, found.plan, folder, found.order.units)
        solids = ask(_write_solids, found.design, found.exploded.offsets, folder)
        profiles = ask(_write_profiles, found.design, _whose(found, " rev"), folder, found.order.units)
        templates = ask(_write_counterparts, found.made.of(Counterparts), _whose(found), folder, found.order)
        parts = part_drawings(found)
        seen = spreading.answer()
        drawings = ask(write_drawings, drawn_of(found), parts, seen, folder)
        shoes = ask(write_shoes, drawn_of(found), found.report.get("releases", ()), folder)
        svg = exploded_svg(found.design, seen, unit=found.order.units)
        _write_text(folder / f"{found.design.name}-exploded.svg", svg)
        _write_shop(found, folder)
        _write_schedules(found, folder)
        plots = plot_pictures(found.made.of(Moves), found.made.of(Sight))
        cutting.answer()
        pictures = sheet_pictures(folder) | part_pictures(parts) | plots | ray_pictures(found.report)
        _write_reading(found, pictures, seen, folder)
        solids.answer()
        write_page(found, scene, pictures, folder)
        for one in (profiles, templates, drawings, shoes):
            one.answer()
        missing = picture.collect()
        if missing is not None:  # what is read says so
            found = found.saying(missing)
            _write_reading(found, pictures, seen, folder)
            write_page(found, scene, pictures, folder)
    return found


def _plotted(found: Examined) -> Finding | None:
    from assemblies.packet.bench.drill_template import plotted_finding
    from assemblies.packet.bench.label_sheet import paper_of
    from assemblies.shop.drill.checks import Drilling

    drilling = found.made.of(Drilling)
    return plotted_finding(drilling.sheets, paper_of(found.order)) if drilling is not None else None


def _write_solids(design: Design, offsets: Mapping[str, Vector], folder: Path) -> None:
    """The files that the geometry kernel writes: of the whole, as it stands and apart, and of each piece."""
    name = design.name
    write_step(design, folder / f"{name}.step")
    write_step(design, folder / f"{name}-exploded.step", offsets)
    write_glb(design, folder / f"{name}.glb")
    write_shoe_models(design, folder)
    (folder / "pieces").mkdir(exist_ok=True)
    for piece in design.pieces:
        write_piece_step(piece, folder / "pieces" / f"{piece.name}.step")
        write_stl(piece, folder / "pieces" / f"{piece.name}.stl")


def _whose(found: Examined, revision: str = ", revision") -> str:
    return titled(found.report, f"{found.design.name}{revision} {found.design.revision}")


def _write_cutting(report: dict[str, Any], plan: CuttingPlan | None, folder: Path, unit: LengthUnit) -> None:
    from assemblies.packet.bench.cutting_files import write_plan

    if plan is not None and ("cutting" in report or "nesting" in report):
        (folder / "cutting").mkdir(exist_ok=True)
        write_plan(report, plan, folder / "cutting", unit)


def _write_profiles(design: Design, whose: str, folder: Path, unit: LengthUnit) -> None:
    (folder / "profiles").mkdir(exist_ok=True)
    for piece in design.pieces:
        cut = piece.as_cut  # a tube is sawn to length: its drawing says all
        if cut is not None:
            write_profile(cut, folder / "profiles" / f"{cut.name}.dxf", whose, unit)


def _write_counterparts(other: Counterparts | None, whose: str, folder: Path, order: Order) -> None:
    from assemblies.packet.bench.counterpart_template import write_counterpart
    from assemblies.packet.bench.label_sheet import paper_of
    from assemblies.shop.drill.counterpart import template_names

    every = () if other is None else other.every
    for one, name in zip(every, template_names(every), strict=True):
        (folder / "templates").mkdir(exist_ok=True)
        write_counterpart(one, name, folder / "templates", paper_of(order), whose, order.units)


def _write_reading(found: Examined, pictures: Mapping[str, str], seen: Spread, folder: Path) -> None:
    """Report, tables and print."""
    _write_text(folder / "report.json", json.dumps(found.report, indent=1) + "\n")
    _write_text(folder / "parts.csv", parts_csv(found.report, found.order.units))
    _write_text(folder / "seams.csv", seams_csv(found.report, found.order.units))
    write_print(found, pictures, seen, folder)


def _write_shop(found: Examined, folder: Path) -> None:
    """Labels, check-in, drill table and drilling templates, as far as there are any."""
    from assemblies.packet.bench.bend_templates import write_bend_templates
    from assemblies.packet.bench.check_in_file import write_check_in
    from assemblies.packet.bench.drill_template import write_template
    from assemblies.packet.bench.label_sheet import paper_of, write_labels
    from assemblies.shop.drill.checks import Drilling
    from assemblies.shop.drill.rows import drill_csv_rows, drill_header
    from assemblies.shop.heat.checks import Heating

    report = found.report
    paper = paper_of(found.order)
    write_labels(report, found.order.units, folder / "labels.pdf", paper)
    whose = _whose(found)
    drilling = found.made.of(Drilling)
    if drilling is not None and drilling.sheets:
        _write_text(folder / "drill.csv", csv_text(drill_header(), drill_csv_rows(drilling.sheets), found.order.units))
        (folder / "templates").mkdir(exist_ok=True)
        for drilled in drilling.sheets:
            write_template(drilled, folder / "templates" / f"{drilled.piece.name}.pdf", paper, whose)
    heating = found.made.of(Heating)
    for bending in heating.sheets if heating is not None else ():
        (folder / "templates").mkdir(exist_ok=True)
        write_bend_templates(bending, folder / "templates", whose)
    if "check_in" in report:
        as_cut = "as-cut" in kind(found.order.kind).shared
        write_check_in(report, found.order.units, folder / "check-in.toml", as_cut=as_cut)


def _write_schedules(found: Examined, folder: Path) -> None:
    """Schedules of planned moves; pulses where all that they do to the rig is proven."""
    moves = found.made.of(Moves)
    if moves is None:
        return
    from assemblies.liquid.state import LiquidState
    from assemblies.motion.schedule import schedules
    from assemblies.packet.bench.schedule_files import write_schedules

    checks, state = found.report["checks"], found.made.of(LiquidState)
    holds = found.report["verdict"] != "stop" and all(checks.get(name) == "passed" for name in ("strength", "liquid"))
    litres = 0.0 if state is None else state.fill_l
    write_schedules(schedules(moves, litres * 1e6, proven=holds), folder / "schedule")


def _write_text(path: Path, text: str) -> None:
    """Text as given, in UTF-8, with no change of its line ends."""
    path.write_bytes(text.encode("utf-8"))
