"""The other part: every pattern mounts on its own counterpart, seen the right way round, with play for drilling."""

from __future__ import annotations

import math
from pathlib import Path

import ezdxf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assemblies.design.model import Design, Fastener, Placed
from assemblies.design.place import FACES
from assemblies.packet.bench.counterpart_template import write_counterpart
from assemblies.shop.drill.counterpart import Counterpart, counterparts
from parts.make.panel import panel
from parts.make.tapped_plate import tapped_plate
from parts.shape.spots import spots_of
from parts.stock.mounting import LEAST_PLAY_MM, holes_made, pattern, pattern_findings, pattern_names
from parts.stock.sheet import Sheet
from parts.stock.thread import clearance, thread

TWELVE = Sheet(material="cast-pmma", nominal_mm=12.0, readings_mm=(12.0,))
#: How far a hole may be off that is pricked through a template and drilled: judgement, half of the least play.
OFF_MM = LEAST_PLAY_MM / 2.0


def mounted(name: str, face: str, ends: str, *, screw: str | None = None, **how: object) -> tuple[Design, Placed]:
    """A wall with one plate on its outside, bored for a pattern."""
    found = pattern(name, screw)
    made = "tapped" if ends == "thread" else "clearance"
    piece = tapped_plate(
        "plate", 300.0, 260.0, TWELVE, found.thread or "M6", found.centres, pilot_mm=found.pilot_mm, made=made, **how
    )
    x, z = FACES[face]
    body = Placed(name="body", piece=panel("body", 400.0, 400.0, TWELVE), origin=(0.0, 0.0, 0.0), x=x, z=z)
    plate = Placed(name="plate-1", piece=piece, origin=body.world(40.0, 60.0, 12.0), x=x, z=z)
    many = len(spots_of(piece))
    bolt = Fastener(
        name="bolt", piece="plate-1", through=("plate-1",), thread=found.thread or "M6", count=many, ends=ends
    )
    design = Design(name="d", title="d", kind="panels", revision="A", placed=(body, plate), fasteners=(bolt,))
    return design, plate


def other(design: Design) -> Counterpart:
    (one,) = counterparts(design)
    return one


@pytest.mark.parametrize("name", pattern_names())
def test_every_pattern_mounts_on_its_own_counterpart(name: str) -> None:
    """What the order decides by default: the standard's own centres lie under the plate's, and the screw has play on the
    side that is not tapped, more than both sides may be off."""
    found = pattern(name)
    screw = thread("M4").name if name == "NEMA 23" else found.thread  # M5 has none: it is said, see below
    found = pattern(name, screw)
    holes = holes_made(found, None)
    design, plate = mounted(name, "front", "thread" if holes == "tapped" else "counterpart", screw=screw)
    one = other(design)
    # the standard as its own drawing has it: seen on its face, so mirrored against the plate's
    width, height = plate.piece.outline.size_mm
    standard = sorted((round(width / 2.0 - x, 6), round(height / 2.0 + y, 6)) for x, y in found.centres)
    assert sorted(h.at for h in one.holes) == [pytest.approx(p, abs=1e-5) for p in standard]
    major = thread(found.thread).major_mm
    if found.counterpart == "tapped":
        assert {h.made for h in one.holes} == {"tapped"}
        assert {s.width_mm for s in spots_of(plate.piece)} == {clearance(thread(found.thread)).diameter_mm}
        play = clearance(thread(found.thread)).diameter_mm - major
    elif found.counterpart == "clearance":
        assert holes == "tapped"
        play = found.counterpart_hole_mm - major
    else:
        assert (found.counterpart, len(one.holes), holes) == ("screw", 1, "tapped")
        return  # one screw lines up with itself
    assert play / 2.0 >= OFF_MM - 1e-9


def test_a_pattern_whose_screws_have_no_play_says_so() -> None:
    for name in pattern_names():
        found = pattern(name, pattern(name).thread)
        if (
            found.counterpart == "clearance"
            and found.counterpart_hole_mm - thread(found.thread).major_mm < LEAST_PLAY_MM
        ):
            assert [f.level for f in pattern_findings(found, "plate")] == ["care"], name


@given(
    st.lists(st.tuples(st.integers(-12, 12), st.integers(-10, 10)), min_size=1, max_size=8, unique=True),
    st.sampled_from(sorted(FACES)),
)
def test_places_of_any_list_lie_under_the_plates_on_any_face(places: list[tuple[int, int]], face: str) -> None:
    """Every hole, put back into the world from how it is seen, is where the plate's is: right is left of what the plate has."""
    design, plate = mounted("grid 10 1x1", face, "thread")
    found = pattern([(10.0 * x, 10.0 * y) for x, y in places], "M6")
    piece = tapped_plate("plate", 300.0, 260.0, TWELVE, "M6", found.centres)
    moved = Placed(name="plate-1", piece=piece, origin=plate.origin, x=plate.x, z=plate.z)
    one = other(
        Design(
            name="d",
            title="d",
            kind="panels",
            revision="A",
            placed=(design.placed[0], moved),
            fasteners=design.fasteners,
        )
    )
    corner = min((moved.world(u, v, 12.0) for u in (0.0, 300.0) for v in (0.0, 260.0)), key=lambda p: _seen(p, moved))
    seen = sorted(
        tuple(round(c - d, 6) for c, d in zip(_seen(_at(moved, s), moved), _seen(corner, moved), strict=True))
        for s in spots_of(piece)
    )
    low = (min(c[0] for c in one.outlines[0]), min(c[1] for c in one.outlines[0]))
    assert low == (0.0, 0.0)
    assert sorted(h.at for h in one.holes) == [pytest.approx(p, abs=1e-5) for p in seen]


def _at(placed: Placed, spot: object) -> tuple[float, float, float]:
    return placed.world(spot.x_mm, spot.y_mm, 12.0)  # type: ignore[attr-defined]


def _seen(point: tuple[float, float, float], plate: Placed) -> tuple[float, float]:
    """By one's own eyes: standing behind the plate, looking the way it faces; up is up, on a level plate to the back."""
    eye = {
        (0, -1, 0): (-point[0], point[2]), (0, 1, 0): (point[0], point[2]), (-1, 0, 0): (point[1], point[2]),
        (1, 0, 0): (-point[1], point[2]), (0, 0, -1): (point[0], point[1]), (0, 0, 1): (-point[0], point[1]),
    }  # fmt: skip
    z = plate.z
    return eye[round(z[0]), round(z[1]), round(z[2])]


def test_the_template_has_the_holes_at_true_size_in_both_files(tmp_path: Path) -> None:
    design, _ = mounted("ISO 15552-40", "front", "counterpart")
    one = other(design)
    write_counterpart(one, "counterpart-front", tmp_path, "a4", "rig, revision A")
    document = ezdxf.readfile(tmp_path / "counterpart-front.dxf")  # type: ignore[attr-defined]
    circles = [e for e in document.modelspace() if e.dxftype() == "CIRCLE" and e.dxf.layer == "drill"]
    assert sorted((round(c.dxf.center.x, 6), round(c.dxf.center.y, 6)) for c in circles) == sorted(
        h.at for h in one.holes
    )
    assert {round(2 * c.dxf.radius, 6) for c in circles} == {6.0}  # tapped M6
    (boss,) = [e for e in document.modelspace() if e.dxftype() == "CIRCLE" and e.dxf.layer == "mark"]
    assert (boss.dxf.center.x, boss.dxf.center.y, boss.dxf.radius) == pytest.approx((150.0, 130.0, 17.6))
    assert (tmp_path / "counterpart-front.pdf").read_bytes().startswith(b"%PDF")
    before = {p.name: p.read_bytes() for p in tmp_path.iterdir()}
    write_counterpart(one, "counterpart-front", tmp_path, "a4", "rig, revision A")
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == before


def test_a_through_bolt_or_a_let_in_nut_leaves_the_other_part_clear() -> None:
    for ends in ("nut", "thread"):
        design, _ = mounted("grid 40 2x2", "up", ends, screw="M6")
        assert {(h.made, h.diameter) for h in other(design).holes} == {("clearance", 6.6)}


def test_slots_are_drilled_at_their_middle() -> None:
    design, _ = mounted("grid 40 2x1", "up", "counterpart", screw="M6", slot=(12.0, 0.0))
    xs = sorted(h.at[0] for h in other(design).holes)
    assert xs == pytest.approx([130.0, 170.0])
    assert math.isclose(xs[1] - xs[0], 40.0)
