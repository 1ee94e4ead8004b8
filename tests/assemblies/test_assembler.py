"""The assembler from Python: placed by words, checked like an order, the same packet; wrong calls are refused in words."""

from __future__ import annotations

import json
import math
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from assemblies import GO_TOGETHER, SHOP, Assembler
from assemblies.fit.checks import APART, BUILD, HOLES, SEAMS, SHEETS
from assemblies.kinds import schemas
from assemblies.order import read_order_text
from assemblies.packet.write import write_packet
from assemblies.report.check import Check, Checked
from parts import Hole, Piece, Sheet, disc, panel, polygon, tapped_plate
from parts.findings import Finding, SeamwrightError
from parts.tables import load

ROOT = Path(__file__).parent.parent.parent
SHEET = Sheet(material="cast-pmma", nominal_mm=6.0, readings_mm=(5.90, 5.88, 5.92))
BLOCK = Sheet(material="cast-pmma", nominal_mm=15.0, readings_mm=(15.1, 15.0, 15.2))
T = SHEET.thickness_mm
#: Everything but the comparison of the solids, which needs the kernel.
QUICK = (SHEETS, HOLES, BUILD, SEAMS, APART)


def bracket() -> Assembler:
    """An L bracket with two gussets on a tapped plate."""
    holes = [(x, y) for y in (-25, 25) for x in (-25, 25)]
    gusset = polygon("gusset", [(0, 0), (60, 0), (0, 80)], SHEET, cut_group="gussets")
    return (
        Assembler("lamp-bracket", title="Bracket for the ripple lamp")
        .place("plate", tapped_plate("plate", 120, 100, BLOCK, "M6", holes), faces="down", low=(-60, -50, 0))
        .place("wall", panel("wall", 120, 100, SHEET), faces="back", on="plate", edge="up", flush="back")
        .place("gusset-left", gusset, faces="left", on="wall", edge="front", flush="left")
        .place("gusset-right", gusset, faces="left", on="wall", edge="front", flush="right")
    )


def tank(name: str = "wave-tank", *, fill: str = "90 mm") -> Assembler:
    """A tank of five panels: front and back run long, the bottom and the ends butt; ends cut in one group with the bottom."""
    side, end = panel("side", 312, 156, SHEET, cut_group="box"), panel("end", 120, 150, SHEET, cut_group="ends")
    bottom = panel("bottom", 312, 120, SHEET, cut_group="ends")
    return (
        Assembler(name)
        .place("bottom", bottom, low=(-156, -60, 0))
        .place("front", side, faces="front", on="bottom", edge="front")
        .place("back", side, faces="back", on="bottom", edge="back")
        .place("left", end, faces="left", on="bottom", edge="up", flush="left")
        .place("right", end, faces="right", on="bottom", edge="up", flush="right")
        .holds("water", fill=fill)
    )


def ramp_tank(*, lean: float = 18.4) -> Assembler:
    """A ramp tank with a baffle: the ramp rises from the floor, the baffle stands square to it."""
    return (
        tank("ramp-tank")
        .place("ramp", panel("ramp", 180, 120, SHEET, cut_group="ends"), low=(-50, -60, T), lean=lean)
        .place("baffle", panel("baffle", 120, 60, SHEET, cut_group="ends"), faces="left", low=(-100, -60, T))
    )


def said(findings: tuple[Finding, ...], check: str) -> list[tuple[str, str]]:
    return [(f.level, f.where) for f in findings if f.check == check]


def test_a_bracket_with_two_gussets_goes_together_and_is_not_proven() -> None:
    found = bracket().check(*GO_TOGETHER)
    assert found.verdict == "not-proven"
    assert found.report["checks"] == {"fit": "passed", "strength": "not-covered"}
    seams = {frozenset((s["a"], s["b"])): s for s in found.report["fit"]["seams"]}
    assert set(map(tuple, map(sorted, seams))) == {
        ("plate", "wall"), ("gusset-left", "plate"), ("gusset-right", "plate"), ("gusset-left", "wall"),
        ("gusset-right", "wall"),
    }  # fmt: skip
    assert {(s["length"], s["gap"]["max"] <= 0.1) for s in seams.values()} == {(120, True), (60, True), (80, True)}
    (care,) = [f for f in found.findings if f.check == "strength"]
    assert care.level == "care"
    assert str(care).startswith("CARE: No method here covers pieces placed one by one")


def test_a_ramp_takes_care_where_it_meets_the_floor_along_a_line() -> None:
    """At 18.4 degrees from the floor: the faces open at 18.4 under it and at 90 - 18.4 before its edge."""
    found = ramp_tank().check(*GO_TOGETHER)
    assert found.report["checks"]["fit"] == "passed", said(found.findings, "fit")
    (line,) = [f for f in found.findings if "along a line" in f.why]
    assert (line.level, line.where) == ("care", "bottom and ramp")
    assert "along a line of 120.0 mm" in line.why
    assert "18.4 and 71.6 degrees" in line.why
    assert not [f for f in found.findings if "along a line" in f.why and "baffle" in f.where]
    assert not [f for f in ramp_tank(lean=0.0).check(*QUICK).findings if "along a line" in f.why]


def test_what_stands_in_the_liquid_is_not_covered_and_an_empty_tank_is() -> None:
    inside = ramp_tank().check(*QUICK)
    assert inside.report["checks"]["liquid"] == "not-covered"
    (why,) = [f.why for f in inside.findings if "in the liquid" in f.why]
    assert why.startswith("ramp, baffle stand in the liquid")
    empty = tank().check(*QUICK)
    assert empty.report["checks"] == {"fit": "not-run", "strength": "not-covered", "liquid": "passed"}
    assert empty.verdict == "not-proven"


def test_the_liquid_is_that_of_the_room_between_the_walls() -> None:
    """Inside 312 less two ends, 120 wide, 150 deep from the floor; 90 mm of it are filled."""
    liquid = tank().check(*QUICK).report["liquid"]
    length = 312.0 - 2.0 * T
    assert math.isclose(liquid["capacity_L"], length * 120.0 * 150.0 / 1e6, rel_tol=1e-6)
    assert math.isclose(liquid["fill_L"], length * 120.0 * 90.0 / 1e6, rel_tol=1e-6)
    assert liquid["name"] == "water"


def test_a_hole_or_a_short_wall_leaves_the_liquid_unproven() -> None:
    for bottom, why in (
        (panel("bottom", 312, 120, SHEET, holes=[Hole(x_mm=60, y_mm=60, kind="through", diameter_mm=10)]), "78.4"),
        (panel("bottom", 312, 119, SHEET), "the bottom of the liquid is not closed: 300.2 mm2"),
    ):
        rig = Assembler("leak").place("bottom", bottom, low=(-156, -60, 0))
        side, end = panel("side", 312, 156, SHEET), panel("end", 120, 150, SHEET)
        rig.place("front", side, faces="front", low=(-156, -60 - T, 0)).place(
            "back", side, faces="back", low=(-156, 60, 0)
        )
        rig.place("left", end, faces="left", low=(-156, -60, T)).place(
            "right", end, faces="right", low=(156 - T, -60, T)
        )
        found = rig.holds(fill="50 mm").check(*QUICK)
        assert found.report["checks"]["liquid"] == "not-covered"
        assert [f for f in found.findings if f.check == "liquid" and why in f.why], found.findings


@pytest.mark.parametrize(
    ("low", "why"),
    [
        ((-60, -50, 3.25), "its near face misses the far face of floor by 3.25 mm"),
        ((200, -50, -3), "its left edge misses the right edge of floor by 50.00 mm"),
        ((200, 400, 300), "none of its flat faces lies opposite a flat face of another piece"),
    ],
)
def test_what_touches_nothing_says_which_face_missed_which_by_how_much(
    low: tuple[float, float, float], why: str
) -> None:
    rig = Assembler("apart").place("floor", panel("floor", 300, 120, SHEET), low=(-150, -60, -T))
    rig.place(
        "post", panel("post", 120, 50, SHEET), faces="right", on="floor", edge="up", flush="right"
    )  # farther away
    found = rig.place("loner", panel("loner", 120, 100, SHEET), low=low).check(*QUICK)
    (stop,) = [f for f in found.findings if f.level == "stop" and f.check == "fit"]
    assert (stop.where, stop.why) == ("loner", f"touches nothing else: {why}")
    assert found.verdict == "stop"


def test_pieces_that_touch_one_another_alone_are_named_with_the_one_that_missed() -> None:
    """Two of five stand 7 mm from the rest: the one that is nearest says by how much, and from which face."""
    rig = bracket()
    rig.place("shelf", panel("shelf", 80, 40, SHEET), on="wall", edge="back", flush="up", offset=(0, 7, 0))
    rig.place("stop", panel("stop", 80, 20, SHEET), faces="front", on="shelf", edge="up", flush="back")
    (stop,) = [f for f in rig.check(*QUICK).findings if "touches nothing else" in f.why]
    assert stop.where == "shelf, stop"
    assert stop.why == "touches nothing else: the lower edge of shelf misses the far face of wall by 7.00 mm"


def test_no_check_that_is_left_out_makes_it_go() -> None:
    """Never go by omission: what is required is asked whatever is named, and a fit that is not asked is not passed."""
    assert bracket().check(*SHOP).report["checks"] == {"fit": "not-run", "strength": "not-covered"}
    assert bracket().check(HOLES).verdict == "not-proven"
    wet = tank().check(HOLES)
    assert (wet.verdict, set(wet.report["checks"])) == ("not-proven", {"fit", "strength", "liquid"})


def test_a_check_of_strength_that_is_named_takes_the_place_of_the_missing_one() -> None:
    proof = Check(name="strength", run=lambda made: Checked(state="failed"))
    assert bracket().check(*QUICK, proof).report["checks"]["strength"] == "failed"


def test_fasteners_and_joints_are_judged_like_those_of_an_order() -> None:
    bolted = bracket().join("plate", "wall", "screwed")
    assert ("stop", "plate and wall") in said(bolted.check(*QUICK).findings, "fit")
    bolted.fasten("screw M6 x 20", "M6", ["plate", "wall"], 2, longest_mm=12)
    found = bolted.check(*QUICK)
    assert ("stop", "plate and wall") not in said(found.findings, "fit")
    assert found.found.design.fasteners[0].piece == "wall"
    assert found.report["fasteners"][0]["count"] == 2


def test_allowances_are_those_of_the_process_unless_others_are_given() -> None:
    """Against the table `process_defaults`."""
    for process in ("saw", "laser"):
        row = next(r for r in load("process_defaults") if r["process"] == process)
        rig = Assembler("rig", process=process).place("one", a_piece(), low=(0, 0, 0))
        cutting = rig.check(HOLES).found.order.cutting
        assert (cutting.tolerance, cutting.kerf) == (float(row["tolerance_mm"]), float(row["kerf_mm"]))
    given = Assembler("rig", units="in", cutting={"tolerance": 0.4}).place("one", a_piece(), low=(0, 0, 0))
    assert given.check(HOLES).found.order.cutting.tolerance == 0.4  # mm, whatever units are shown


def a_piece() -> Piece:
    return panel("one", 50, 50, SHEET)


@pytest.mark.parametrize(
    ("call", "why"),
    [
        (lambda: Assembler("Lamp Bracket"), "assembler 'Lamp Bracket': name: 'Lamp Bracket' is not valid"),
        (lambda: Assembler("lamp", process="axe"), "cutting.process: 'axe' is not allowed here; allowed: saw"),
        (lambda: Assembler("lamp", quantity=0), "quantity: 0 is not valid; allowed: a whole number from 1"),
        (lambda: Assembler("lamp", cutting={"tolerence": 0.2}), "cutting.tolerence: unknown key (did you mean"),
        (lambda: Assembler("lamp", units="ft"), "units: 'ft' is not allowed here; allowed: mm, in"),
        (lambda: Assembler("lamp").design(), "lamp: no piece is placed yet"),
        (lambda: Assembler("lamp").check(), "lamp: no piece is placed yet"),
        (lambda: bracket().place("wall", a_piece(), low=(0, 0, 0)), "'wall' is placed already"),
        (
            lambda: bracket().place("two", panel("wall", 5, 5, SHEET), low=(0, 0, 0)),
            "two: a different part is called 'wall' too",
        ),
        (lambda: bracket().place("Big One", a_piece(), low=(0, 0, 0)), "'Big One' cannot name an instance"),
        (lambda: bracket().place("con", a_piece(), low=(0, 0, 0)), "'con' cannot name an instance"),
        (
            lambda: bracket().place("one", panel("One", 5, 5, SHEET), low=(0, 0, 0)),
            "'One' cannot name a part",
        ),
        (
            lambda: bracket().place("one", a_piece(), on="floor", edge="up"),
            "one: on: no instance 'floor' is placed; there are: plate, wall",
        ),
        (lambda: bracket().place("one", a_piece()), "one: its place is missing; give low, or on and edge"),
        (lambda: bracket().place("one", a_piece(), low=(0, 0, 0), faces="top"), "one: faces = 'top'; it is one of"),
        (lambda: bracket().join("wall", "floor"), "join wall and floor: no instance 'floor' is placed"),
        (lambda: bracket().join("wall", "wall"), "join wall and wall: it is one instance"),
        (lambda: bracket().join("wall", "plate", "glued"), "no judge for joint kind 'glued': there are bonded"),
        (lambda: bracket().join("wall", "plate").join("plate", "wall", "loose"), "they are joined already (bonded)"),
        (lambda: bracket().fasten("screw", "M6.5", ["wall"], 1), "M6.5"),
        (lambda: bracket().fasten("screw", "M6", ["wal"], 1), "screw: through: no instance 'wal' is placed"),
        (lambda: bracket().fasten("screw", "M6", [], 1), "screw: goes through nothing"),
        (lambda: bracket().fasten("screw", "M6", ["wall"], 0), "screw: count = 0; a whole number from 1"),
        (lambda: bracket().holds(fill="1 L"), "lamp-bracket: holds: left: no instance 'left' is placed"),
        (lambda: tank().holds(fill="1 L"), "wave-tank: holds: it already holds a liquid"),
        (lambda: bracket().holds(fill="1 L", top="wall"), "holds: 'top' is not a wall; there are left"),
        (
            lambda: bracket().holds(
                fill="1 L", left="wall", right="wall", front="plate", back="wall", bottom="plate"
            ),
            "holds: there is no room between left and right",
        ),
        (lambda: tank(fill="much"), "liquid.fill: "),
        (lambda: tank(fill="151 mm").check(*QUICK), "151 mm is deeper than the inside"),
        (lambda: bracket().check(HOLES).write("out"), "the packet needs the checks of GO_TOGETHER"),
        (lambda: bracket().check(HOLES, HOLES), "checks: two are called holes"),
    ],
)  # fmt: skip
def test_a_wrong_call_is_one_clear_error(call: Callable[[], object], why: str) -> None:
    with pytest.raises(SeamwrightError) as refused:
        call()
    assert why in str(refused.value)
    assert len(str(refused.value).splitlines()) == 1


def test_a_call_that_is_refused_leaves_the_assembler_as_it_was() -> None:
    rig = bracket()
    for call in (
        lambda: rig.place("more", a_piece(), low=(0, 0)),
        lambda: rig.holds(fill="1 L"),
        lambda: rig.join("wall", "plate", "glued"),
    ):
        with pytest.raises(SeamwrightError):
            call()
    assert rig.design() == bracket().design()
    with pytest.raises(SeamwrightError):
        (dry := Assembler("dry").place("bottom", a_piece(), low=(0, 0, 0))).holds(
            fill="x", **dict.fromkeys(WALLS, "bottom")
        )
    assert dry.design().cavities == ()


WALLS = ("left", "right", "front", "back", "bottom")
ORDER = """
title = "Bracket for the ripple lamp"
name = "lamp-bracket"
kind = "panels"
[sheet]
material = "cast-pmma"
thickness = 15
measured = [15.1, 15.0, 15.2]
[[panels.piece]]
name = "plate"
size = [120, 100]
thread = "M6"
pattern = "grid 50 2x2"
[[panels.piece]]
name = "wall"
size = [120, 100]
thickness = 6
measured = [5.90, 5.88, 5.92]
[[panels.piece]]
name = "gusset"
points = [[0, 0], [60, 0], [0, 80]]
thickness = 6
measured = [5.90, 5.88, 5.92]
cut-group = "gussets"
[[panels.place]]
piece = "plate"
faces = "down"
low = [-60, -50, 0]
[[panels.place]]
piece = "wall"
faces = "back"
on = "plate"
edge = "up"
flush = "back"
[[panels.place]]
piece = "gusset"
name = "gusset-left"
faces = "left"
on = "wall"
edge = "front"
flush = "left"
[[panels.place]]
piece = "gusset"
name = "gusset-right"
faces = "left"
on = "wall"
edge = "front"
flush = "right"
"""


def test_it_writes_the_packet_that_the_command_writes(tmp_path: Path) -> None:
    """The same bracket from an order file: byte for byte the same files, the checks and places being the same."""
    from assemblies.examine import examine

    order = read_order_text(ORDER, schemas())
    write_packet(examine(order), tmp_path / "ordered" / "lamp-bracket")
    folder = bracket().check().write(tmp_path / "assembled")
    assert folder == tmp_path / "assembled" / "lamp-bracket"
    files = [{p.relative_to(root): p.read_bytes() for p in (tmp_path / root).rglob("*") if p.is_file()} for root in
             (tmp_path / "ordered", tmp_path / "assembled")]  # fmt: skip
    assert set(files[0]) == set(files[1])
    differ = sorted(str(name) for name in files[0] if files[0][name] != files[1][name])
    assert differ == []
    assert json.loads((folder / "report.json").read_text())["verdict"] == "not-proven"


def test_in_a_notebook_it_shows_verdict_picture_and_sizes() -> None:
    rig = bracket()
    html = rig.check(*QUICK)._repr_html_()
    assert "<h3>Bracket for the ripple lamp: not-proven</h3>" in html
    assert html.count("<svg") == html.count("</svg>") == 1
    assert "<tr><td>2</td><td>gusset</td><td>60 mm × 80 mm × 5.9 mm</td></tr>" in html
    assert "<li>CARE: No method here covers" in html
    assert "<svg" not in rig.check(HOLES)._repr_html_()
    hostile = Assembler("rig", title="<script>1</script>").place("one", a_piece(), low=(0, 0, 0)).check(HOLES)
    assert "<script>" not in hostile._repr_html_()


def test_the_doors_open_without_the_kernel() -> None:
    """numpy comes in with GO_TOGETHER (how it comes apart); the assembler by itself needs no part of the kernel either."""
    code = (
        "import sys\nimport parts, assemblies\nassert 'pydantic' not in sys.modules\n"
        "from parts import Sheet, panel, polygon\nassert 'numpy' not in sys.modules\n"
        "from assemblies import GO_TOGETHER, SHOP, Assembler\n"
        "s = Sheet(material='cast-pmma', nominal_mm=6)\n"
        "Assembler('rig').place('one', panel('one', 9, 9, s), low=(0, 0, 0)).design()\n"
        "print(sorted({'cadquery', 'OCP', 'vtk', 'scipy', 'shapely', 'numba', 'ezdxf'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=True)
    assert done.stdout.strip() == "[]"


def test_a_round_lid_on_a_ring_and_inch_units_are_taken() -> None:
    rig = Assembler("drum", units="in").place("ring", disc("ring", 100, SHEET), low=(0, 0, 0))
    found = rig.place("lid", disc("lid", 100, SHEET, role="lid"), on="ring", edge="up").check(*QUICK)
    assert len(found.report["fit"]["seams"]) == 1
    assert found.found.order.units == "in"
