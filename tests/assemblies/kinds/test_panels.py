"""Pieces placed one by one from an order file: the starter runs whole, the same words as the assembler, faults in words."""

from __future__ import annotations

import math
import subprocess
from pathlib import Path

import pytest
from asked import ask, printed

from assemblies.examine import Examined, examine
from assemblies.kinds import kind, schemas, starter
from assemblies.order import Order, OrderError, read_order_text
from assemblies.packet.write import write_packet
from parts.shape.piece import Piece

START = starter("panels")
SMALL = """
title = "Easel for the tide card"
name = "easel"
kind = "panels"
[sheet]
thickness = 6
measured = [6.0]
[[panels.piece]]
name = "foot"
size = [120, 80]
[[panels.piece]]
name = "rest"
size = [100, 90]
[[panels.place]]
piece = "foot"
low = [0, 0, 0]
[[panels.place]]
piece = "rest"
faces = "front"
on = "foot"
edge = "up"
"""


def ordered(text: str) -> Order:
    return read_order_text(text, schemas(), "order.toml")


def piece_of(found: Examined, name: str) -> Piece:
    return next(p for p in found.design.pieces if p.name == name)


@pytest.fixture(scope="module")
def packet(tmp_path_factory: pytest.TempPathFactory) -> tuple[Examined, Path]:
    """The starter order, examined whole and written once."""
    folder = tmp_path_factory.mktemp("stand") / "ripple-stand"
    return write_packet(examine(ordered(START)), folder), folder


def test_the_starter_goes_together_and_its_strength_is_said_to_be_not_covered(packet: tuple[Examined, Path]) -> None:
    report = packet[0].report
    assert report["verdict"] == "not-proven"
    assert report["checks"] == {"fit": "passed", "strength": "not-covered"}
    assert not [f for f in report["findings"] if f["level"] == "stop"]
    (care,) = [f for f in report["findings"] if f["check"] == "strength"]
    assert care["why"].startswith("no method here covers pieces placed one by one")


def test_the_starter_stands_where_its_words_say(packet: tuple[Examined, Path]) -> None:
    """Foot 5.9 thick; a cheek of 150 on it; treads at 50 and 100 of that, their noses 5 mm before each step."""
    place = {p.name: p.box for p in packet[0].design.placed}
    low = {name: tuple(round(v, 6) for v in box[0]) for name, box in place.items()}
    assert low == {
        "foot": (-120, -100, 0), "cheek-left": (-120, -100, 5.9), "cheek-right": (114.1, -100, 5.9),
        "back": (-120, 80, 5.9), "tread-low": (-120, -105, 55.9), "tread-middle": (-120, -45, 105.9),
        "top": (-120, 15, 155.9), "plate-left": (-100, -25, -12), "plate-right": (50, -25, -12),
    }  # fmt: skip
    seams = {frozenset((s["a"], s["b"])) for s in packet[0].report["fit"]["seams"]}
    assert len(seams) == len(packet[0].report["fit"]["seams"]) == 13
    assert frozenset(("cheek-left", "tread-low")) in seams
    assert frozenset(("back", "top")) not in seams


def test_the_packet_has_every_sheet_that_the_shop_needs(packet: tuple[Examined, Path]) -> None:
    found, folder = packet
    files = {str(p.relative_to(folder)) for p in folder.rglob("*") if p.is_file()}
    parts = ("foot", "cheek", "back", "tread", "top", "plate")
    assert {
        "packet.html", "packet.pdf", "labels.pdf", "drill.csv", "templates/plate.pdf", "cutting/sheet-1.svg",
        "cutting/nest-1.dxf", "ripple-stand.step", "ripple-stand-exploded.svg", "drawings/ripple-stand-assembly.pdf",
        *(f"drawings/{part}.pdf" for part in parts), *(f"profiles/{part}.dxf" for part in parts),
    } <= files  # fmt: skip
    shown = [s.id for s in found.sections]
    assert shown == [
        "verdict", "taken", "pieces", "buying", "cost", "cutting", "drill", "fit", "assembly", "bonding", "check-in", "after",
        "sources",
    ]  # fmt: skip
    text = subprocess.run(
        ["pdftotext", str(folder / "packet.pdf"), "-"], capture_output=True, text=True, check=True
    ).stdout
    for said in ("Stepped stand for the ripple bench", "Not proven", "No method here covers", "Bonding plan"):
        assert said in text
    page = (folder / "packet.html").read_text(encoding="utf-8")
    assert all(f'id="{section}"' in page for section in shown[1:])


def test_the_commands_say_it_on_a_terminal() -> None:
    order = ordered(START)
    fit = ask(order, "fit").report
    hold = ask(order, "hold").report
    assert "Stepped stand for the ripple bench" in printed(fit, "fit")
    text = printed(hold, "hold")
    assert "CARE: No method here covers" in text
    assert "brim full" not in text  # it holds nothing
    assert hold["verdict"] == fit["verdict"] == "not-proven"
    assert all(len(line) <= 80 for line in [*printed(fit, "fit").splitlines(), *text.splitlines()])


def test_one_part_is_cut_as_often_as_it_is_placed(packet: tuple[Examined, Path]) -> None:
    counts = {part["part"]: part["count"] for part in packet[0].report["parts"]}
    assert counts == {"foot": 1, "cheek": 2, "back": 1, "tread": 2, "top": 1, "plate": 2}
    assert piece_of(packet[0], "tread").cut_group == "treads"
    assert piece_of(packet[0], "cheek").process == "router"


def test_every_shape_is_read_in_the_order_s_units() -> None:
    text = SMALL.replace('kind = "panels"', 'kind = "panels"\nunits = "in"').replace(
        "thickness = 6", 'thickness = "6 mm"'
    )
    text = text.replace("[6.0]", '["6 mm"]').replace("size = [120, 80]", 'disc = "5 in"')
    text = text.replace("size = [100, 90]", "ring = [4, 3]\nholes = [[0.25, 2]]\nhole = 0.125")
    found = ask(ordered(text), "hold")
    assert piece_of(found, "foot").size_mm == pytest.approx((127.0, 127.0, 6.0))
    ring = piece_of(found, "rest")
    assert ring.outline.area_mm2 == pytest.approx(math.pi / 4.0 * 25.4**2 * (16 - 9))
    assert (ring.kind, ring.holes[0].x_mm, ring.holes[0].diameter_mm) == ("ring", 6.35, 3.175)


def test_joints_and_fasteners_are_those_of_the_order() -> None:
    more = '[[panels.join]]\nbetween = ["foot", "rest"]\nkind = "screwed"\n'
    bare = ask(ordered(SMALL + more), "fit")
    assert [f for f in bare.report["findings"] if "no fastener goes through both" in f["why"]]
    screws = '[[panels.fasten]]\nname = "screw M4 x 20"\nthread = "M4"\nthrough = ["foot", "rest"]\ncount = 2\nlongest = 14\n'
    found = ask(ordered(SMALL + more + screws), "fit")
    assert not [f for f in found.report["findings"] if f["level"] == "stop"]
    assert [(f.name, f.count, f.longest_mm, f.piece) for f in found.design.fasteners] == [
        ("screw M4 x 20", 2, 14.0, "rest")
    ]


def test_a_piece_that_leans_is_said_to_meet_along_a_line() -> None:
    leaning = SMALL + "lean = 12\n"
    found = ask(ordered(leaning), "fit")
    (line,) = [f for f in found.report["findings"] if "along a line" in f["why"]]
    assert (line["level"], line["where"]) == ("care", "foot and rest")


def test_a_case_brings_guarded_moves_and_no_pass() -> None:
    """It is tried at a quarter, half, three quarters and all of its speed; its strength stays not covered."""
    case = '[[case]]\nname = "wheel it in"\nkind = "slide"\ndirection = [1, 0, 0]\nacceleration = "0.8 m/s2"\n'
    report = ask(ordered(SMALL + case)).report
    assert [(row["case"], row["speed_percent"]) for row in report["proof_test"]] == [
        ("wheel it in", part) for part in (25, 50, 75, 100)
    ]
    assert report["checks"]["strength"] == "not-covered"
    assert "proof_test" not in ask(ordered(SMALL)).report


FOOT, REST = 'name = "foot"\nsize = [120, 80]', 'name = "rest"\nsize = [100, 90]'


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("[[panels.place]]", "[[panels.plase]]", "panels.plase: unknown key (did you mean"),
        (
            FOOT,
            'name = "foot"',
            "order.toml:8: panels.piece[1]: has no shape; allowed: one of size, points, disc, ring",
        ),
        (FOOT, FOOT + "\ndisc = 90", "panels.piece[1].disc: has size and disc; allowed: one of"),
        (FOOT, FOOT + '\nthread = "M6"', "panels.piece[1]: has a thread or a pattern without the other"),
        (FOOT, FOOT + '\nthread = "M6"\npattern = "grid 200 2x2"', "panels.piece[1].pattern: foot: the hole of"),
        (FOOT, 'name = "foot"\ndisc = 90\nthread = "M6"\npattern = "grid 25 2x2"', "a tapped plate is a rectangle"),
        (FOOT, FOOT + '\nthread = "M6"\npattern = "VESA 75"\nbolted = "tapped"', "screwed with M4, not M6"),
        (
            FOOT,
            FOOT + '\nthread = "M4"\npattern = "VESA 75"\nbolted = "tapped"',
            "panels.piece[1].bolted: what VESA 75",
        ),
        (FOOT, FOOT + "\nslot = 8", "panels.piece[1].slot: there is no pattern of bolts"),
        (
            FOOT,
            FOOT + '\nthread = "M6"\npattern = [[0, 0]]\nslot = 8',
            "panels.piece[1].slot: the holes of 1 place are tapped",
        ),
        (FOOT, FOOT + '\nthread = "M6"\npattern = [[0, 0]]\nbolted = "through"', "tapped, clearance"),
        (FOOT, FOOT + "\nholes = [[10, 10]]", "has holes without their diameter"),
        (FOOT, FOOT + "\nholes = [[1, 10]]\nhole = 6", "runs through the edge"),
        (FOOT, FOOT + "\nmeasured = [5.9]", "panels.piece[1].measured: readings without the thickness of their sheet"),
        (FOOT, FOOT + "\ninside-radius = 3", "only a piece of points has corners that go in"),
        (FOOT, FOOT + "\nthickness = 40", "panels.piece[1]: no thickness tolerance is known"),
        (FOOT, 'name = "foot"\npoints = [[0, 0], [9, 9], [9, 0], [0, 9]]', "foot: the side from corner 1 crosses"),
        (FOOT, 'name = "foot"\npoints = [[0, 0], [9, 9]]', "2 corners; a polygon needs three or more"),
        (FOOT, 'name = "Foot"\nsize = [120, 80]', "panels.piece[1].name: 'Foot' is not valid"),
        (REST, f"{REST}\n[[panels.piece]]\n{FOOT}", "panels.piece[3].name: 'foot' is given twice"),
        (REST, REST + '\n[[panels.piece]]\nname = "spare"\nsize = [9, 9]', "panels.piece[3]: spare is never placed"),
        (
            'piece = "rest"\n',
            'piece = "rust"\n',
            "panels.place[2].piece: there is no piece 'rust'; allowed: foot, rest",
        ),
        ('piece = "rest"\n', 'piece = "rest"\nname = "foot"\n', "panels.place[2]: 'foot' is placed already"),
        ('on = "foot"', 'on = "feet"', "panels.place[2]: rest: on: no instance 'feet' is placed; there are: foot"),
        ('edge = "up"', 'edge = "top"', "panels.place[2].edge: 'top' is not allowed here"),
        ('edge = "up"\n', "", "panels.place[2].edge: is missing; allowed: the side of it that this stands against"),
        ("low = [0, 0, 0]", "", "panels.place[1]: has no place; allowed: low, or on and edge"),
        ("low = [0, 0, 0]", "low = [0, 0]", "panels.place[1].low: [0, 0] has 2 items, not 3; allowed: [x, y, z]"),
        ('edge = "up"', 'edge = "up"\nlow = [0, 0, 6]', "panels.place[2]: low and on are both given"),
        ('edge = "up"', 'edge = "up"\nflush = "up"', "panels.place[2]: rest: it stands at the up of foot"),
        ('edge = "up"', 'edge = "up"\nlean = 95', "panels.place[2]: rest: lean = 95.0; it is under 90 degrees"),
        ('edge = "up"', 'edge = "up"\nturn = 30', "panels.place[2]: rest: turn = 30; it is one of 0, 90"),
        ('edge = "up"', 'edge = "up"\n[[panels.join]]\nbetween = ["foot"]\nkind = "loose"', "has 1 items, not 2"),
        ('edge = "up"', 'edge = "up"\n[[panels.join]]\nbetween = ["foot", "lid"]\nkind = "loose"', "no instance 'lid'"),
        (
            "[sheet]",
            '[liquid]\nfill = "9 mm"\n[sheet]',
            "liquid: pieces placed one by one are not known to hold a liquid",
        ),
        (
            "thickness = 6\nmeasured = [6.0]",
            'thickness = "choose"',
            "sheet.thickness: a panels does not choose its sheet",
        ),
        ("[sheet]", "[tank]\nsize = [9, 9, 9]\n[sheet]", 'a [tank] table in an order of kind "panels"'),
    ],
)
def test_a_wrong_order_is_one_clear_error(old: str, new: str, said: str) -> None:
    text = SMALL.replace(old, new, 1)
    assert text != SMALL
    with pytest.raises(OrderError) as refused:
        ask(ordered(text), "hold")
    assert said in str(refused.value)
    assert len(refused.value.problems) == 1, str(refused.value)
    assert not str(refused.value).endswith("allowed: ")


def test_faults_of_several_pieces_are_said_at_once_and_what_follows_from_them_is_not() -> None:
    text = SMALL.replace("size = [120, 80]", "points = [[0, 0], [9, 9]]").replace("size = [100, 90]", "ring = [5, 9]")
    with pytest.raises(OrderError) as refused:
        ask(ordered(text), "hold")
    assert [p.key for p in refused.value.problems] == [("panels", "piece", 0), ("panels", "piece", 1)]


def test_it_is_required_to_hold_before_it_is_go() -> None:
    assert set(kind("panels").required) == {"fit", "strength"}
