"""A notch in the tube's rim: its solid, mass and facets by other ways, and the pour that starts over it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pytest
import trimesh
from asked import ask
from round_orders import START, built, with_keys

from assemblies.design.mass import piece_body
from assemblies.design.model import Placed
from assemblies.fit.apart.facets import facets
from assemblies.fit.faces import flat_faces
from assemblies.kinds import schemas
from assemblies.liquid.state import LiquidState
from assemblies.order import OrderError, read_order_text
from assemblies.packet.models.step import write_piece_step
from parts.findings import SeamwrightError
from parts.make.disc import disc
from parts.shape.mesh import mesh
from parts.shape.tube import notched, sawn_tube
from parts.stock.sheet import Sheet
from parts.stock.tube import TubeStock

TUBE = sawn_tube("tube", TubeStock(material="cast-pmma", outside_mm=200.0, wall_mm=5.0), 300.0)
NOTCHED = notched(TUBE, 40.0, 25.0, 0.5)
LIP = '[round-tank.lip]\nwidth = 50\ndepth = 30\non = "front"\n'


def test_a_notch_takes_what_lies_between_two_cuts() -> None:
    """By the chord's integral: of sqrt(R2 - y2) - sqrt(r2 - y2) from -20 to 20, 25 deep; the kernel proves the solid by it."""

    def slice_of(radius: float) -> float:  # of half a circle between the cuts
        return 20.0 * math.sqrt(radius**2 - 400.0) + radius**2 * math.asin(20.0 / radius)

    taken = (slice_of(100.0) - slice_of(95.0)) * 25.0
    assert TUBE.volume_mm3 - NOTCHED.volume_mm3 == pytest.approx(taken, rel=1e-9)
    made = mesh(NOTCHED)
    read = trimesh.Trimesh(np.array(made.points_mm), made.triangles, process=True, merge_norm=True)
    assert read.is_watertight
    assert read.volume == pytest.approx(NOTCHED.volume_mm3, rel=1.5e-3)  # chords
    body = piece_body(Placed(name="tube", piece=NOTCHED, origin=(0.0, 0.0, 0.0)))
    assert body.centre_mm == pytest.approx(read.center_mass, abs=0.02)


def test_its_facets_close_round_its_volume_and_its_rim_is_cut_through() -> None:
    """Divergence theorem over caps and walls, chords inside and outside alike; floor and sides are faces."""
    for inside in (False, True):
        made = facets(Placed(name="tube", piece=NOTCHED, origin=(3.0, 5.0, -2.0)), 0.002, inside)
        volume = 0.0
        for rings, normal in zip(made.rings, made.ring_normals, strict=True):
            areas = [abs(float(r[:, 0] @ np.roll(r[:, 1], -1) - r[:, 1] @ np.roll(r[:, 0], -1)) / 2.0) for r in rings]
            volume += float(rings[0][0] @ normal) * (areas[0] - sum(areas[1:])) / 3.0
        for quad, normal in zip(made.quads, made.normals, strict=True):
            volume += (
                float(quad.mean(axis=0) @ normal)
                * float(np.linalg.norm(np.cross(quad[1] - quad[0], quad[3] - quad[0])))
                / 3.0
            )
        assert volume == pytest.approx(NOTCHED.volume_mm3, rel=2e-3)
    ends = [f.end for f in flat_faces(Placed(name="tube", piece=NOTCHED, origin=(0.0, 0.0, 0.0)))]
    assert sorted(ends) == ["edge", "edge", "end", "end", "pocket"]


def test_its_step_file_reads_back_with_its_corners_and_radii(tmp_path: Path) -> None:
    path = tmp_path / "tube.step"
    write_piece_step(NOTCHED, path)  # held to the piece as it is written, by the reader of the packet
    assert path.read_text(encoding="ascii").count("VERTEX_POINT") >= 8


def test_it_holds_to_its_notch_and_pours_over_it_first() -> None:
    """By hand: pi r2 270; tilted to the right the level through the notch's outer edge, at (R + 5, 270), leaves
    pi r2 (270 - 199.93 / 2 tan 30) once the floor is covered; to other sides the rim at 300 keeps more."""
    found = ask(read_order_text(with_keys(START, "", LIP.replace("front", "right")), schemas()), "hold")
    state = found.made.of(LiquidState)
    assert state is not None
    tube = found.design.instance("tube").piece.sheet.tube
    area = math.pi * tube.inside_mm**2 / 4.0
    assert state.capacity_l == pytest.approx(area * 270.0 / 1e6, rel=1e-9)
    kept = {k.toward: k.kept_l for k in state.at_tilt if k.tilt_deg == 30.0}
    by_hand = area * (270.0 - tube.outside_mm / 2.0 * math.tan(math.radians(30.0))) / 1e6
    assert kept["right"] == pytest.approx(by_hand, rel=1e-9)
    assert all(litres > kept["right"] for side, litres in kept.items() if side != "right")
    assert len(kept) > 1
    assert kept["right"] < state.fill_l


def test_the_tube_stands_with_its_notch_to_the_side_that_is_asked() -> None:
    """The lowest corner of the notch lies toward -y for the front, +x for the right."""
    for side, way in (("front", (0.0, -1.0)), ("right", (1.0, 0.0)), ("back", (0.0, 1.0)), ("left", (-1.0, 0.0))):
        tube = built(with_keys(START, "", LIP.replace("front", side))).instance("tube")
        (pocket,) = tube.piece.pockets
        x0, y0, x1, y1 = pocket.outline.bounds_mm
        x, y, _ = tube.world((x0 + x1) / 2.0, (y0 + y1) / 2.0, 0.0)
        assert (x * way[0] + y * way[1]) > 90.0, side


WRONG: Mapping[str, tuple[str, str, str]] = {
    "with no width": ("", "[round-tank.lip]\ndepth = 20\n", "round-tank.lip.width"),
    "with no depth": ("", "[round-tank.lip]\nwidth = 50\n", "round-tank.lip.depth"),
    "as wide as the bore": ("", "[round-tank.lip]\nwidth = 180\ndepth = 20\n", "round-tank.lip.width"),
    "down to the floor": ("", "[round-tank.lip]\nwidth = 50\ndepth = 299\n", "round-tank.lip.depth"),
    "of a width below nothing": ("", "[round-tank.lip]\nwidth = -5\ndepth = 20\n", "round-tank.lip.width"),
    "of a depth of nothing": ("", "[round-tank.lip]\nwidth = 50\ndepth = 0\n", "round-tank.lip.depth"),
    "on a side that is none": ("", '[round-tank.lip]\nwidth = 50\ndepth = 20\non = "top"\n', "round-tank.lip.on"),
    "under a lid": ('lid = "loose"', "[round-tank.lip]\nwidth = 50\ndepth = 20\n", "a lid lies over"),
    "under a ring": ("", "[round-tank.ring]\noutside = 230\n[round-tank.lip]\nwidth = 50\ndepth = 20\n", "a ring lies over"),
    "with a key that is none": ("", "[round-tank.lip]\nwidth = 50\ndepth = 20\nradius = 3\n", "round-tank.lip.radius"),
    "filled over it": ("", "[round-tank.lip]\nwidth = 50\ndepth = 80\n", "liquid.fill"),
    "as a length": ("lip = 20", "", "round-tank.lip"),
}  # fmt: skip


@pytest.mark.parametrize("what", WRONG)
def test_wrong_orders_of_lips_are_refused_at_their_place(what: str) -> None:
    keys, tables, says = WRONG[what]
    with pytest.raises(OrderError, match=says.replace(".", r"\.")):
        ask(read_order_text(with_keys(START, keys, tables), schemas()), "hold")


def test_only_a_tube_is_notched_and_not_right_through() -> None:
    with pytest.raises(SeamwrightError, match="no tube"):
        notched(disc("base", 200.0, Sheet(material="cast-pmma", nominal_mm=10.0)), 40.0, 5.0, 0.0)
    with pytest.raises(SeamwrightError, match="wide in a bore"):
        notched(TUBE, 190.0, 5.0, 0.0)
