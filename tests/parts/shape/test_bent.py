"""Bent pieces: the kernel's solid, the closed forms and the flat outline agree; what is not covered says so."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import trimesh
from samples import design, flat, panel

from assemblies.design.mass import piece_body
from assemblies.design.model import Placed
from assemblies.fit.apart.sweep import Sweeps
from assemblies.fit.check import FitRules, check_fit
from assemblies.fit.interference import interferences
from assemblies.fit.seams import seams
from assemblies.fit.tolerance import Allowances
from parts.findings import NotCovered, SeamwrightError
from parts.shape.bent import bend_lines, bent, box_mm, heated, made_of_bends_mm3
from parts.shape.kernel import volume_mm3
from parts.shape.mesh import mesh, volume_slack_mm3
from parts.shape.outline import Circle, Loop, Vertex, rectangle
from parts.shape.piece import Bend, Bevel, Hole, Piece, Pocket
from parts.shape.solid import body

UP = math.pi / 2.0


def bend(x: float, angle: float = 1.0, **more: Any) -> Bend:
    return Bend(**{"x_mm": x, "y_mm": 0.0, "along_rad": UP, "angle_rad": angle, "inside_radius_mm": 12.0} | more)


HOLES = (
    Hole(x_mm=12, y_mm=20, kind="through", diameter_mm=5), Hole(x_mm=100, y_mm=30, kind="blind", diameter_mm=6, depth_mm=3),
)  # fmt: skip
FLAT = replace(
    panel("p", 220.0, 120.0), holes=HOLES, pockets=(Pocket(outline=rectangle(20, 30, 190, 40), depth_mm=2.0),)
)
#: a step and a notch in the flats, true arcs at a corner, a bend line that is not along x or y
NOTCHED = Loop((
    Vertex(0, 0), Vertex(70, 0), Vertex(70, 15), Vertex(150, 15), Vertex(150, 0), Vertex(210, 0, math.tan(math.pi / 8)),
    Vertex(220, 10), Vertex(220, 120), Vertex(0, 120),
))  # fmt: skip
PIECES = {
    "one": replace(FLAT, bends=(bend(55.0),)),
    "Z": replace(FLAT, bends=(bend(55.0), bend(150.0, 1.2, side="near"))),
    "hat": replace(FLAT, bends=(bend(40.0, 0.9), bend(70.0, UP, side="near"), bend(130.0, UP, side="near"), bend(160.0, 0.9))),
    "notched": replace(flat("n", NOTCHED), bends=(bend(110.0, 2.0),)),
    "whole arc": replace(panel("a", 100.0 * 1.015, 40.0, 3.0), bends=(bend(50.75, 1.015, inside_radius_mm=98.5),)),
    "along x": replace(FLAT, holes=HOLES[:1], bends=(bend(0.0, 0.7, y_mm=70.0, along_rad=0.0),), pockets=()),
    "shrunk": replace(FLAT, bends=(bend(55.0), bend(150.0, 1.2, side="near")), shrinks=(0.02, 0.02)),
    "shrunk unevenly": replace(FLAT, bends=(bend(55.0),), shrinks=(0.03, -0.005)),
}  # fmt: skip


@pytest.mark.parametrize("name", PIECES)
def test_the_solid_holds_what_the_flat_sheet_held(name: str) -> None:
    """Neutral line in the middle: kernel, closed form and flat outline agree to 1e-9."""
    piece = PIECES[name]
    assert volume_mm3(body(piece)) == pytest.approx(piece.volume_mm3, rel=1e-9)
    assert made_of_bends_mm3(piece) == pytest.approx(piece.volume_mm3, rel=1e-9)


def test_with_the_neutral_line_nearer_the_hollow_face_the_drawn_arc_holds_more_by_the_stated_amount() -> None:
    piece = replace(FLAT, bends=(bend(55.0, 1.2, neutral=0.4), bend(150.0, 0.8, neutral=0.45)))
    more = 6.0**2 * 120.0 * (1.2 * 0.1 + 0.8 * 0.05)
    assert volume_mm3(body(piece)) - piece.volume_mm3 == pytest.approx(more, rel=1e-8)


@pytest.mark.parametrize("name", ["Z", "notched", "along x", "shrunk"])
def test_mass_centre_and_inertia_are_those_of_the_mesh(name: str) -> None:
    """The mesh is made by the kernel and integrated by trimesh; its chords leave arcs by 0.05 mm."""
    piece = PIECES[name]
    one = Placed(name="one", piece=piece, origin=(5.0, -7.0, 11.0), x=(0.0, 0.6, 0.8), z=(0.0, -0.8, 0.6))
    made, found = mesh(piece), piece_body(one)
    points = np.array([one.world(*p) for p in made.points_mm])
    check = trimesh.Trimesh(points, made.triangles, process=True, merge_norm=True)
    assert check.is_watertight
    assert abs(check.volume - piece.volume_mm3) < volume_slack_mm3(piece)
    density = piece.stock.density_kg_m3 * 1e-9
    assert found.mass_kg == pytest.approx(piece.mass_kg, rel=1e-12)
    assert found.centre_mm == pytest.approx(check.center_mass, abs=0.03)
    inertia = np.array(found.inertia_kg_mm2)
    assert inertia == pytest.approx(check.moment_inertia * density, abs=2e-3 * float(np.trace(inertia)))
    low, high = one.box
    assert points.min(axis=0) == pytest.approx(low, abs=90.0)  # the box about a turned box is larger
    assert (points.min(axis=0) > np.array(low) - 1e-9).all()
    assert (points.max(axis=0) < np.array(high) + 1e-9).all()


@pytest.mark.parametrize("name", PIECES)
def test_the_box_is_the_mesh_s(name: str) -> None:
    points, (low, high) = mesh(PIECES[name]).points_mm, box_mm(PIECES[name])
    assert points.min(axis=0) == pytest.approx(low, abs=0.05)
    assert points.max(axis=0) == pytest.approx(high, abs=0.05)


def test_an_arc_ends_where_a_point_walked_along_its_middle_does() -> None:
    """The middle of the sheet, walked in 44 000 straight steps, against the closed form of frames."""
    piece = PIECES["Z"]
    x, z, turn, at = 0.0, 3.0, 0.0, 0.0
    step = 0.005
    spans = [(55.0 - 7.5, 55.0 + 7.5, 1.0 / 15.0), (150.0 - 9.0, 150.0 + 9.0, -1.2 / 18.0)]
    while at < 220.0 - 1e-9:
        rate = next((r for a, b, r in spans if a <= at + step / 2.0 < b), 0.0)
        turn += rate * step / 2.0
        x, z, at = x + math.cos(turn) * step, z + math.sin(turn) * step, at + step
        turn += rate * step / 2.0
    last = bent(piece).flats[-1]
    wide = last.piece.outline.size_mm[0]
    end = [last.origin[k] + wide * last.x[k] + 3.0 * last.z[k] for k in range(3)]
    assert (end[0], end[2]) == pytest.approx((x, z), abs=1e-4)


def test_what_shrinks_is_heated_smaller_and_thicker() -> None:
    made = heated(PIECES["shrunk"])
    assert made.size_mm == pytest.approx((215.6, 117.6, 6.0 / 0.98**2))
    assert [b.x_mm for b in made.bends] == pytest.approx([53.9, 147.0])
    assert made.holes[0].diameter_mm == pytest.approx(4.9)
    assert bend_lines(PIECES["shrunk"])[0].x0_mm == 55.0  # marked on the sheet as it is cut


def test_flats_meet_flat_pieces_and_the_cut_through_the_sheet_is_no_edge() -> None:
    """A plate under the bent-up leg of an angle, and one that runs into it."""
    angle = replace(panel("angle", 140.0, 80.0), bends=(bend(70.0, UP),))
    leg = bent(angle).flats[1]
    plate = panel("plate", 40.0, 80.0)
    under = Placed(name="under", piece=plate, origin=(0.0, 0.0, -6.0))
    beside = Placed(name="beside", piece=plate, origin=(leg.origin[0], 80.0, leg.origin[2]), x=(0, 0, 1), z=(1, 0, 0))
    parts = design(Placed(name="angle", piece=angle, origin=(0.0, 0.0, 0.0)), under, beside)
    assert leg.z == pytest.approx((-1.0, 0.0, 0.0))
    found = seams(parts)
    assert {(s.a, s.b, round(s.area_mm2)) for s in found} == {("angle", "under", 3200), ("angle", "beside", 3200)}
    assert not interferences(parts)
    into = replace(under, origin=(0.0, 0.0, -5.0))
    assert interferences(replace(parts, placed=(parts.placed[0], into)))[0].volume_mm3 == pytest.approx(40.0 * 80.0)


def test_a_gap_through_a_bent_piece_is_not_covered() -> None:
    """A strip between the legs of a U is captive, and its gap goes through the bends."""
    u = replace(panel("u", 200.0, 80.0), bends=(bend(60.0, UP), bend(140.0, UP)))
    first, _, last = bent(u).flats
    inside = last.origin[2] - first.origin[2]
    strip = panel("strip", 30.0, 80.0)
    wide = replace(strip, outline=panel("x", inside - 12.0, 80.0).outline)
    made = design(
        Placed(name="u", piece=u, origin=(0.0, 0.0, 0.0)),
        Placed(name="strip", piece=wide, origin=(20.0, 80.0, 6.0), x=(0.0, 0.0, 1.0), z=(1.0, 0.0, 0.0)),
    )
    assert last.z == pytest.approx((0.0, 0.0, -1.0), abs=1e-12)
    assert len(seams(made)) == 2
    rules = FitRules(allow=Allowances(tolerance_mm=0.2, repeat_mm=0.05, squareness_mm=0.05))
    with pytest.raises(NotCovered, match=r"^u: a gap that goes through a bent piece is not covered"):
        check_fit(made, rules, solids=False)


def test_a_bent_piece_lets_go_only_where_its_shape_lets_it() -> None:
    """A block in a U leaves along the bend lines and out of the mouth, not through the web or the legs."""
    u = replace(panel("u", 200.0, 80.0), bends=(bend(60.0, UP), bend(140.0, UP)))
    block = flat("block", rectangle(30.0, 40.0), thickness_mm=20.0)
    sweeps = Sweeps((
        Placed(name="u", piece=u, origin=(0.0, 0.0, 0.0)), Placed(name="block", piece=block, origin=(20.0, 20.0, 20.0)),
    ))  # fmt: skip
    ways = {"web": (1.0, 0.0, 0.0), "mouth": (-1.0, 0.0, 0.0), "leg": (0.0, 0.0, 1.0), "other": (0.0, 0.0, -1.0),
            "along": (0.0, 1.0, 0.0)}  # fmt: skip
    assert {name: sweeps.hits(1, 0, way) for name, way in ways.items()} == {
        "web": True, "mouth": False, "leg": True, "other": True, "along": False,
    }  # fmt: skip


BARE: dict[str, Any] = {"holes": (), "pockets": ()}


@pytest.mark.parametrize(("change", "said"), [
    ({"bends": (bend(55.0), bend(150.0, along_rad=1.0))}, "bends that are not parallel"),
    ({"bends": (bend(12.0),)}, "a hole or cut-out in a bend"),
    ({"outline": replace(FLAT.outline, outer=Loop((Vertex(0, 0), Vertex(220, 40), Vertex(220, 120), Vertex(0, 120)))),
      "holes": (), "pockets": (), "bends": (bend(55.0),)}, "a slanted edge in a bend"),
    (BARE | {"outline": replace(FLAT.outline, outer=NOTCHED), "bends": (bend(68.0),)}, "a corner of its outline"),
    (BARE | {"outline": replace(FLAT.outline, outer=Circle(110, 110, 110)), "bends": (bend(55.0),)}, "a round edge"),
    ({"bends": (bend(55.0),), "bevels": (Bevel(edge=0, angle_rad=0.5),)}, "bevelled edges"),
])  # fmt: skip
def test_what_cannot_be_drawn_bent_says_so(change: dict[str, Any], said: str) -> None:
    with pytest.raises(NotCovered, match=said):
        bent(replace(FLAT, **change))


@pytest.mark.parametrize(("bends", "said"), [
    ((bend(55.0), bend(65.0)), "runs into the one before"), ((bend(2.0),), "runs into the edge"),
    ((bend(216.0),), "runs into the edge"),
])  # fmt: skip
def test_bends_that_overlap_or_run_out_are_refused(bends: tuple[Bend, ...], said: str) -> None:
    with pytest.raises(SeamwrightError, match=said):
        bent(replace(panel("p", 220.0, 120.0), bends=bends))


@pytest.mark.parametrize("wrong", [{"angle": 0.0}, {"angle": 7.0}, {"inside_radius_mm": -1.0}, {"neutral": 0.6}])
def test_a_bend_that_is_none_is_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(SeamwrightError, match="a bend by"):
        replace(FLAT, bends=(bend(55.0, **wrong),))


def test_a_bent_piece_that_runs_into_itself_is_no_solid() -> None:
    curl: Piece = replace(panel("curl", 400.0, 40.0), bends=(bend(200.0, 4.0),))
    with pytest.raises(SeamwrightError, match=r"^curl: its bends run into each other or the rest"):
        body(curl)
