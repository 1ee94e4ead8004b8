"""Pieces and a small design that several test files share. Sizes are invented."""

from __future__ import annotations

from assemblies.design.model import Design, Placed
from assemblies.packet.drawings.drawing import PartFacts
from parts.shape.outline import Circle, Loop, Outline, rectangle
from parts.shape.piece import Hole, Piece, Role
from parts.stock.sheet import Sheet
from parts.vectors import Vector

FACTS = PartFacts(
    design="rig",
    title="Ripple trough",
    revision="B",
    count=1,
    quantity=1,
    process="saw",
    tolerance_mm=0.25,
    repeat_mm=0.05,
)


def sheet(thickness_mm: float = 6.0) -> Sheet:
    return Sheet(material="cast-pmma", nominal_mm=thickness_mm)


def flat(
    name: str,
    outer: Loop | Circle,
    *,
    inner: tuple[Loop | Circle, ...] = (),
    holes: tuple[Hole, ...] = (),
    thickness_mm: float = 6.0,
    kind: str = "panel",
    role: Role = "shell",
) -> Piece:
    return Piece(name=name, kind=kind, outline=Outline(outer, inner), holes=holes, sheet=sheet(thickness_mm), role=role)


def panel(name: str, width_mm: float, height_mm: float, thickness_mm: float = 6.0) -> Piece:
    return flat(name, rectangle(width_mm, height_mm), thickness_mm=thickness_mm)


def tapped_plate(name: str = "plate") -> Piece:
    """50 x 50 x 12 with four blind M6 threads on a 25 mm grid, bored 5.2 x 9 from the far face."""
    holes = tuple(
        Hole(x_mm=x, y_mm=y, kind="tapped", diameter_mm=6.0, drill_mm=5.2, depth_mm=9.0, thread="M6")
        for x in (12.5, 37.5)
        for y in (12.5, 37.5)
    )
    return flat(name, rectangle(50.0, 50.0), holes=holes, thickness_mm=12.0, kind="tapped-plate", role="mount")


def pieces_of_all_sorts() -> tuple[Piece, ...]:
    """One piece for each thing the geometry must cope with."""
    from parts.shape.outline import rounded_rectangle

    sorted_holes = (
        Hole(x_mm=12, y_mm=12, kind="through", diameter_mm=5.5),
        Hole(x_mm=40, y_mm=12, kind="blind", diameter_mm=8.0, depth_mm=4.0, side="near"),
        Hole(x_mm=12, y_mm=40, kind="countersunk", diameter_mm=5.0, sink_mm=10.0),
        Hole(x_mm=40, y_mm=40, kind="countersunk", diameter_mm=4.0, sink_mm=8.0, side="near", depth_mm=7.0),
        Hole(x_mm=26, y_mm=26, kind="tapped", diameter_mm=6.0, drill_mm=5.2, thread="M6"),
    )
    return (
        panel("wall", 300.0, 150.0),
        tapped_plate(),
        flat("lid", rounded_rectangle(120, 80, 10), inner=(rounded_rectangle(40, 20, 5, 40, 30),)),
        flat("window", Circle(60.0, 60.0, 60.0), kind="disc"),
        flat("flange", Circle(80.0, 80.0, 80.0), inner=(Circle(80.0, 80.0, 50.0),), kind="ring"),
        flat("sampler", rectangle(52.0, 52.0), holes=sorted_holes, thickness_mm=9.6),
    )


def tank(at: Vector = (0.0, 0.0, 0.0), prefix: str = "") -> tuple[Placed, ...]:
    """Outside 300 x 200 x 150 in 6 mm: front and back full size, the rest between, two plates below."""

    def place(x_mm: float, y_mm: float, z_mm: float) -> Vector:
        return x_mm + at[0], y_mm + at[1], z_mm + at[2]

    side, end, plate = panel("front-back", 300.0, 150.0), panel("end", 188.0, 144.0), tapped_plate()
    bottom = panel("bottom", 300.0, 188.0)
    down = (0.0, 0.0, -1.0)
    rows = (
        ("front", side, place(-150.0, -94.0, 0.0), (1.0, 0.0, 0.0), (0.0, -1.0, 0.0)),
        ("back", side, place(150.0, 94.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 1.0, 0.0)),
        ("bottom", bottom, place(-150.0, -94.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0)),
        ("left", end, place(-144.0, 94.0, 6.0), (0.0, -1.0, 0.0), (-1.0, 0.0, 0.0)),
        ("right", end, place(144.0, -94.0, 6.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0)),
        ("plate-1", plate, place(-112.5, 25.0, 0.0), (1.0, 0.0, 0.0), down),
        ("plate-2", plate, place(62.5, 25.0, 0.0), (1.0, 0.0, 0.0), down),
    )
    return tuple(Placed(name=prefix + n, piece=p, origin=o, x=x, z=z) for n, p, o, x, z in rows)


def design(*placed: Placed, name: str = "sample-tank") -> Design:
    return Design(name=name, title="Sample", kind="tank", revision="A", placed=placed or tank())
