"""The kernel's solid is the flat truth: the hand formula to 1e-9, and every hole where the piece says."""

from __future__ import annotations

import math
from dataclasses import replace

import cadquery as cq
import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from samples import flat, panel, pieces_of_all_sorts, tapped_plate

import parts.shape.solid
from parts.shape.hole_rules import piece_findings
from parts.shape.kernel import place
from parts.shape.mesh import SAG_MM, mesh, volume_slack_mm3
from parts.shape.outline import Circle, Loop, Outline, Vertex, rectangle, rounded_rectangle
from parts.shape.piece import Hole, Piece
from parts.shape.solid import KernelError, made_volume_mm3, solid

few = settings(max_examples=25)
sides = st.floats(10.0, 1500.0)
thicknesses = st.floats(2.0, 25.0)


def agrees(piece: Piece) -> None:
    body = solid(piece)
    assert body.Volume() == pytest.approx(piece.volume_mm3, rel=1e-9)
    box = body.BoundingBox(1e-9)
    # the kernel widens a box by its own tolerance, 1e-7 mm
    assert (box.xmin, box.ymin, box.zmin) == pytest.approx((0.0, 0.0, 0.0), abs=1e-6)
    assert (box.xmax, box.ymax, box.zmax) == pytest.approx(piece.size_mm, abs=1e-6)


@few
@given(sides, sides, thicknesses, st.one_of(st.just(0.0), st.floats(1e-3, 1.0)))
def test_panels_sharp_and_rounded(width: float, height: float, thick: float, part: float) -> None:
    loop = rounded_rectangle(width, height, part * min(width, height) / 2.0)
    agrees(flat("p", loop, thickness_mm=thick))


@few
@given(st.floats(5.0, 500.0), st.floats(0.1, 0.9), thicknesses)
def test_discs_and_rings(radius: float, part: float, thick: float) -> None:
    edge, bore = Circle(radius, radius, radius), Circle(radius, radius, part * radius)
    agrees(flat("d", edge, thickness_mm=thick))
    agrees(flat("r", edge, inner=(bore,), thickness_mm=thick))


@few
@given(st.lists(st.tuples(st.floats(1, 2), st.sampled_from([0.0, 0.5, 1.0, -0.2])), min_size=4, max_size=8))
def test_chains_of_lines_and_arcs(steps: list[tuple[float, float]]) -> None:
    total, angle, corners = sum(turn for turn, _ in steps), 0.0, []
    for turn, full in steps:
        sweep = turn / total * math.tau
        corners.append(Vertex(50 * math.cos(angle), 50 * math.sin(angle), full * math.tan(sweep / 4.0)))
        angle += sweep
    x0, y0, _, _ = Loop(tuple(corners)).bounds_mm
    moved = tuple(Vertex(v.x_mm - x0, v.y_mm - y0, v.bulge) for v in corners)
    agrees(flat("chain", Loop(moved)))
    bulges = [v.bulge for v in (*moved[-2::-1], moved[-1])]  # a segment keeps its arc, started at its other end
    turned = tuple(Vertex(v.x_mm, v.y_mm, -b) for v, b in zip(moved[::-1], bulges, strict=True))
    agrees(flat("chain-clockwise", Loop(turned)))


@st.composite
def drilled(draw: st.DrawFn) -> Piece:
    thick = draw(thicknesses)
    holes = []
    for column in range(draw(st.integers(1, 3))):
        for row in range(draw(st.integers(1, 2))):
            bore = draw(st.floats(2.0, 10.0))
            kind = draw(st.sampled_from(["through", "tapped", "blind", "countersunk"]))
            depth = draw(st.floats(0.3, 0.95)) * thick if kind == "blind" or draw(st.booleans()) else None
            holes.append(
                Hole(
                    x_mm=20.0 + 40.0 * column + draw(st.floats(-5.0, 5.0)),
                    y_mm=20.0 + 40.0 * row + draw(st.floats(-5.0, 5.0)),
                    kind=kind,
                    diameter_mm=bore + 1.0 if kind == "tapped" else bore,
                    drill_mm=bore if kind == "tapped" else None,
                    depth_mm=depth,
                    side=draw(st.sampled_from(["near", "far"])),
                    sink_mm=bore + 0.5 * (depth or thick) if kind == "countersunk" else None,
                )
            )
    return flat("drilled", rectangle(140.0, 100.0), holes=tuple(holes), thickness_mm=thick)


@few
@given(drilled())
def test_holes_of_every_kind_from_either_face(piece: Piece) -> None:
    agrees(piece)


def test_all_sorts_of_pieces() -> None:
    for piece in pieces_of_all_sorts():
        agrees(piece)


def is_full(piece: Piece, x: float, y: float, z: float) -> bool:
    return solid(piece).isInside(cq.Vector(x, y, z))


@pytest.mark.parametrize("side", ["near", "far"])
def test_a_blind_hole_opens_on_its_face_and_has_a_flat_bottom_at_full_depth(side: str) -> None:
    hole = Hole(x_mm=10, y_mm=15, kind="blind", diameter_mm=8.0, depth_mm=4.0, side=side)  # type: ignore[arg-type]
    piece = flat("p", rectangle(40, 30), holes=(hole,), thickness_mm=10.0)
    height = (lambda depth: 10.0 - depth) if side == "far" else (lambda depth: depth)
    for x in (10.0, 13.9):
        assert not is_full(piece, x, 15.0, height(0.01))
        assert not is_full(piece, x, 15.0, height(3.99))
        assert is_full(piece, x, 15.0, height(4.01))
    assert is_full(piece, 14.1, 15.0, height(2.0))


def test_a_countersink_widens_towards_its_face_only() -> None:
    hole = Hole(x_mm=20, y_mm=20, kind="countersunk", diameter_mm=5.0, sink_mm=10.0, side="near")
    piece = flat("p", rectangle(40, 40), holes=(hole,), thickness_mm=8.0)
    assert not is_full(piece, 24.9, 20.0, 0.05)
    assert is_full(piece, 24.9, 20.0, 0.2)
    assert not is_full(piece, 23.4, 20.0, 1.5)
    assert is_full(piece, 22.6, 20.0, 2.6)
    assert not is_full(piece, 20.0, 20.0, 7.9)


def test_a_located_solid_stands_where_and_as_asked() -> None:
    wall = solid(panel("wall", 30.0, 20.0, 5.0))
    body = wall.moved(cq.Location(place((100.0, 200.0, 300.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0))))
    box = body.BoundingBox()
    # own x to world y, own z to world x, own y to world z
    assert (box.xmin, box.xmax) == pytest.approx((100.0, 105.0), abs=1e-6)
    assert (box.ymin, box.ymax) == pytest.approx((200.0, 230.0), abs=1e-6)
    assert (box.zmin, box.zmax) == pytest.approx((300.0, 320.0), abs=1e-6)


def test_equal_pieces_share_one_solid() -> None:
    assert solid(tapped_plate()) is solid(tapped_plate())


def through(x: float, y: float, diameter: float = 6.0) -> Hole:
    return Hole(x_mm=x, y_mm=y, kind="through", diameter_mm=diameter)


def blind(x: float, y: float, diameter: float = 6.0) -> Hole:
    return Hole(x_mm=x, y_mm=y, kind="blind", diameter_mm=diameter, depth_mm=3.0)


def sunk(x: float, y: float, sink: float) -> Hole:
    return Hole(x_mm=x, y_mm=y, kind="countersunk", diameter_mm=5.0, sink_mm=sink)


SQUARE, ROUND = Outline(rectangle(50, 50)), Outline(Circle(40, 40, 40))
BOW_TIE = Outline(Loop((Vertex(0, 0), Vertex(50, 50), Vertex(50, 10), Vertex(0, 50))))
RING = Outline(Circle(40, 40, 40), (Circle(40, 40, 30),))


@pytest.mark.parametrize(
    ("outline", "holes", "said"),
    [
        (SQUARE, (sunk(25, 25, 40.0),), "countersink of 40 mm"),
        (SQUARE, (sunk(25, 25, 5.0),), "countersink of 5 mm"),
        (Outline(rectangle(50, 50), (rectangle(10, 10, 45, 0),)), (), "meet each other"),
        (Outline(rectangle(50, 50), (rectangle(10, 10, 60, 10),)), (), "meet each other"),
        (BOW_TIE, (), "outline crosses itself"),
    ],
)
def test_what_cannot_be_cut_is_refused_by_name(outline: Outline, holes: tuple[Hole, ...], said: str) -> None:
    piece = Piece(name="oddity", kind="panel", outline=outline, holes=holes, sheet=tapped_plate().sheet)
    with pytest.raises(KernelError, match=f"^oddity: .*{said}"):
        solid(piece)


def lens_mm2(apart: float, radius: float) -> float:
    """What two equal circles share, by the closed form."""
    return 2 * radius**2 * math.acos(apart / (2 * radius)) - apart / 2 * math.sqrt(4 * radius**2 - apart**2)


ONE = math.pi * 9.0  # mm2 of a hole of 6 mm


@pytest.mark.parametrize(
    ("outline", "holes", "gone_mm3"),
    [
        (SQUARE, (through(12, 12), through(15, 12)), 6.0 * (2 * ONE - lens_mm2(3.0, 3.0))),
        (SQUARE, (through(12, 12), through(12, 12)), 6.0 * ONE),
        (SQUARE, (through(12, 12), through(12, 12, 3.0)), 6.0 * ONE),
        (SQUARE, (blind(12, 12), blind(15, 12)), 3.0 * (2 * ONE - lens_mm2(3.0, 3.0))),
        (SQUARE, (through(12, 12), blind(12, 12, 3.0)), 6.0 * ONE),
        (ROUND, (through(5, 5),), 0.0),
        (RING, (through(40, 40),), 0.0),
    ],
)
def test_holes_that_meet_or_leave_the_piece_take_what_they_take_and_are_stopped(
    outline: Outline, holes: tuple[Hole, ...], gone_mm3: float
) -> None:
    sheet = replace(tapped_plate().sheet, nominal_mm=6.0, readings_mm=())
    piece = Piece(name="oddity", kind="panel", outline=outline, holes=holes, sheet=sheet)
    assert made_volume_mm3(piece) == pytest.approx(outline.area_mm2 * 6.0 - gone_mm3, rel=1e-9)
    assert [f.level for f in piece_findings(piece)][:1] == ["stop"]


def test_holes_that_keep_clear_are_held_to_the_drawn_volume() -> None:
    assert made_volume_mm3(tapped_plate()) == tapped_plate().volume_mm3


def test_a_kernel_failure_names_piece_step_and_values(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object) -> None:
        raise RuntimeError("command not done")

    monkeypatch.setattr(parts.shape.solid, "prism", fail)
    with pytest.raises(KernelError, match=r"^doomed: .* not extrude the outline, 31 x 17 x 6 mm \("):
        solid(panel("doomed", 31.0, 17.0))


@pytest.mark.parametrize("piece", pieces_of_all_sorts(), ids=lambda p: p.name)
def test_meshes_are_watertight_and_as_large_as_trimesh_says(piece: Piece) -> None:
    own = mesh(piece)
    body = trimesh.Trimesh(own.points_mm, own.triangles, process=True, merge_norm=True)
    assert body.is_watertight
    assert body.is_winding_consistent
    assert body.volume == pytest.approx(own.volume_mm3, rel=1e-9)
    assert abs(body.volume - piece.volume_mm3) <= volume_slack_mm3(piece)
    assert body.extents == pytest.approx(piece.size_mm, abs=2 * SAG_MM)


def test_mesh_normals_are_unit_and_point_out_of_the_material() -> None:
    own = mesh(tapped_plate())
    assert np.linalg.norm(own.normals, axis=1) == pytest.approx(1.0, abs=1e-12)
    bore = np.hypot(own.points_mm[:, 0] - 12.5, own.points_mm[:, 1] - 12.5) < 2.7
    wall = bore & (np.abs(own.normals[:, 2]) < 1e-9)
    assert wall.sum() > 32
    # towards the axis, so out of the material; the mean normal leaves the true one by at most half a step
    towards = (np.array([12.5, 12.5]) - own.points_mm[wall, :2]) / 2.6
    assert (np.einsum("ij,ij->i", towards, own.normals[wall, :2]) > math.cos(0.11)).all()


def test_the_mesh_does_not_depend_on_a_finer_one_made_before() -> None:
    window = flat("fresh-window", Circle(70.0, 70.0, 70.0))
    twin = replace(window, name="fresh-twin")
    BRepMesh_IncrementalMesh(solid(window).wrapped, 0.001, False, 0.01, False)  # the kernel keeps the finest mesh
    assert np.array_equal(mesh(window).triangles, mesh(twin).triangles)
    assert np.array_equal(mesh(window).points_mm, mesh(twin).points_mm)
