"""Pockets, bevels and tubes: what the kernel builds against the closed form, and what is refused rather than taken for flat."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import flat, panel

from parts.findings import NotCovered, SeamwrightError
from parts.shape.mesh import mesh, volume_slack_mm3
from parts.shape.outline import Circle, rectangle, rounded_rectangle
from parts.shape.part import Part, require
from parts.shape.piece import Bend, Bevel, Hole, Piece, Pocket
from parts.shape.solid import KernelError, solid
from parts.shape.tube import sawn_tube
from parts.stock.tube import TubeStock

few = settings(max_examples=15, deadline=None)
BEND = Bend(x_mm=50, y_mm=0, along_rad=math.pi / 2, angle_rad=1.0, inside_radius_mm=10)
MAST = sawn_tube("mast", TubeStock(material="extruded-pmma", outside_mm=60.0, wall_mm=3.0), 250.0, role="inner")


def pocketed(*pockets: Pocket, holes: tuple[Hole, ...] = ()) -> Piece:
    return replace(flat("wall", rectangle(200.0, 120.0), holes=holes, thickness_mm=10.0), pockets=pockets)


@few
@given(st.floats(1.0, 9.0), st.floats(10.0, 90.0), st.floats(0.5, 4.9), st.sampled_from(["near", "far"]))
def test_a_piece_with_pockets_has_the_volume_of_its_closed_form(
    depth: float, side: float, radius: float, face: str
) -> None:
    """By hand: plate less a rounded slot, less a round recess from the other face, less a bore beside them."""
    slot = rounded_rectangle(side, 20.0, radius, 30.0, 15.0)
    other = "near" if face == "far" else "far"
    bore = Hole(x_mm=180.0, y_mm=100.0, kind="through", diameter_mm=5.0)
    piece = pocketed(
        Pocket(outline=slot, depth_mm=depth, side=face),  # type: ignore[arg-type]
        Pocket(outline=Circle(100.0, 80.0, 12.0), depth_mm=4.0, side=other),  # type: ignore[arg-type]
        holes=(bore,),
    )
    by_hand = 200.0 * 120.0 * 10.0 - depth * (side * 20.0 - (4.0 - math.pi) * radius**2)
    by_hand -= 4.0 * math.pi * 144.0 + 10.0 * math.pi * 6.25
    assert piece.volume_mm3 == pytest.approx(by_hand, rel=1e-12)
    body = solid(piece)
    assert body.Volume() == pytest.approx(by_hand, rel=1e-9)
    assert piece.mass_kg == pytest.approx(by_hand * 1e-9 * piece.stock.density_kg_m3, rel=1e-12)


@pytest.mark.parametrize("side", ["near", "far"])
def test_a_pocket_opens_on_its_own_side_and_a_groove_may_run_out_at_the_edge(side: str) -> None:
    """The middle of what is left lies on the other side of half the thickness: by hand, a groove of 200 x 20 x 4."""
    groove = Pocket(outline=rectangle(200.0, 20.0, 0.0, 50.0), depth_mm=4.0, side=side)  # type: ignore[arg-type]
    body = solid(pocketed(groove))
    whole, gone = 200.0 * 120.0 * 10.0, 200.0 * 20.0 * 4.0
    middle = (whole * 5.0 - gone * (8.0 if side == "far" else 2.0)) / (whole - gone)
    assert body.Center().z == pytest.approx(middle, rel=1e-9)
    assert body.Volume() == pytest.approx(whole - gone, rel=1e-9)
    one = mesh(pocketed(groove))
    assert trimesh.Trimesh(one.points_mm, one.triangles, process=True, merge_norm=True).is_watertight


def test_the_mesh_of_a_round_pocket_is_as_near_as_it_says() -> None:
    piece = pocketed(Pocket(outline=Circle(60.0, 60.0, 40.0), depth_mm=6.0))
    assert 0.0 < abs(mesh(piece).volume_mm3 - piece.volume_mm3) <= volume_slack_mm3(piece)


@few
@given(st.floats(10.0, 400.0), st.floats(0.02, 0.45), st.floats(5.0, 1500.0))
def test_a_tube_has_the_volume_of_its_closed_form(outside: float, share: float, length: float) -> None:
    tube = sawn_tube("mast", TubeStock(material="cast-pmma", outside_mm=outside, wall_mm=share * outside), length)
    wall = share * outside
    by_hand = math.pi * (outside - wall) * wall * length  # mean circumference times wall times length
    assert tube.volume_mm3 == pytest.approx(by_hand, rel=1e-9)
    body = solid(tube)
    assert body.Volume() == pytest.approx(by_hand, rel=1e-9)
    box = body.BoundingBox(1e-9)
    assert (box.xmin, box.ymin, box.zmin) == pytest.approx((0.0, 0.0, 0.0), abs=1e-6)
    assert (box.xmax, box.ymax, box.zmax) == pytest.approx(tube.size_mm, abs=1e-6)


def test_what_runs_into_each_other_is_no_solid() -> None:
    square = rectangle(40.0, 40.0, 30.0, 30.0)
    for piece in (
        pocketed(Pocket(outline=square, depth_mm=4.0), Pocket(outline=Circle(60.0, 60.0, 20.0), depth_mm=4.0)),
        pocketed(Pocket(outline=square, depth_mm=6.0), Pocket(outline=square, depth_mm=6.0, side="near")),
    ):
        with pytest.raises(KernelError, match=r"^wall: .*pockets meet each other"):
            solid(piece)


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (
            {"pockets": (Pocket(outline=rectangle(10, 10), depth_mm=10.0),)},
            "pocket depth 10 mm must be over 0 and under",
        ),
        ({"pockets": (Pocket(outline=rectangle(10, 10), depth_mm=0.0),)}, "pocket depth 0 mm"),
        ({"pockets": (Pocket(outline=Circle(5.0, 20.0, 6.0), depth_mm=2.0),)}, "leaves the piece of 200 x 120 mm"),
        ({"bevels": (Bevel(edge=4, angle_rad=0.5),)}, "edge 4, which is no straight edge"),
        ({"bevels": (Bevel(edge=0, angle_rad=math.pi / 2),)}, "a bevel of 90 degrees"),
        ({"bevels": (Bevel(edge=0, angle_rad=0.5), Bevel(edge=0, angle_rad=0.4))}, "two bevels on one edge"),
        ({"bevels": (Bevel(edge=0, angle_rad=1.5), Bevel(edge=2, angle_rad=0.4))}, "too deep: an edge would vanish"),
        (
            {
                "bevels": (Bevel(edge=0, angle_rad=0.7),),
                "holes": (Hole(x_mm=50.0, y_mm=10.0, kind="through", diameter_mm=5.0),),
            },
            "runs out through a bevelled edge",
        ),
    ],
)
def test_pockets_and_bevels_that_cannot_be_are_refused(more: dict[str, tuple[object, ...]], says: str) -> None:
    with pytest.raises(SeamwrightError, match=says):
        replace(pocketed(), **more)  # type: ignore[arg-type]


def test_tubes_that_cannot_be_are_refused() -> None:
    with pytest.raises(SeamwrightError, match="no tube is 60 mm outside with a wall of 30 mm"):
        TubeStock(material="cast-pmma", outside_mm=60.0, wall_mm=30.0)
    with pytest.raises(SeamwrightError, match=r"cannot be 0\.0 mm thick"):
        sawn_tube("mast", TubeStock(material="cast-pmma", outside_mm=60.0, wall_mm=3.0), 0.0)


@few
@given(st.floats(5.0, 70.0), st.floats(5.0, 70.0), st.sampled_from(["near", "far"]))
def test_a_bevelled_piece_has_the_volume_of_its_closed_form(first: float, second: float, side: str) -> None:
    """By hand: a plate of 200 x 120 x 10 with a hole and a recess, less a wedge along each long edge."""
    bore = Hole(x_mm=100.0, y_mm=60.0, kind="through", diameter_mm=9.0)
    angles = [math.radians(first), math.radians(second)]
    piece = replace(
        pocketed(Pocket(outline=rectangle(20.0, 20.0, 40.0, 50.0), depth_mm=4.0), holes=(bore,)),
        bevels=(Bevel(edge=0, angle_rad=angles[0], side=side), Bevel(edge=2, angle_rad=angles[1])),  # type: ignore[arg-type]
    )
    by_hand = 200.0 * 120.0 * 10.0 - sum(200.0 * 100.0 * math.tan(angle) / 2.0 for angle in angles)
    by_hand -= 1600.0 + math.pi * 81.0 / 4.0 * 10.0
    assert piece.volume_mm3 == pytest.approx(by_hand, rel=1e-12)
    assert solid(piece).Volume() == pytest.approx(by_hand, rel=1e-9)
    one = mesh(piece)
    assert trimesh.Trimesh(one.points_mm, one.triangles, process=True, merge_norm=True).is_watertight


def test_sheet_pieces_and_tubes_are_parts_and_say_what_they_have() -> None:
    plain, bent = panel("p", 90.0, 80.0), replace(panel("p", 90.0, 80.0), bends=(BEND,))
    parts: list[Part] = [plain, bent, pocketed(Pocket(outline=Circle(50, 50, 10), depth_mm=3.0)), MAST]
    assert [one.features for one in parts] == [(), ("bends",), ("pockets",), ("tube",)]
    assert [one.stock.material for one in parts] == ["cast-pmma"] * 3 + ["extruded-pmma"]
    require(plain, "anything")
    with pytest.raises(NotCovered, match=r"^p: the lining of a bent piece is not covered$"):
        require(bent, "the lining", "pockets")
