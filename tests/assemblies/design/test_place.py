"""Places by words, held to places worked out by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest

from assemblies.design import Placed
from assemblies.design.place import FACES, put
from parts import Sheet, disc, panel, polygon
from parts.findings import SeamwrightError
from parts.vectors import cross

SHEET = Sheet(material="cast-pmma", nominal_mm=6.0)
BOARD = panel("board", 100, 40, SHEET)
FLOOR = put("floor", panel("floor", 300, 120, SHEET), low=(-150, -60, 0))


@pytest.mark.parametrize(
    ("faces", "size"),
    [
        ("up", (100, 40, 6)), ("down", (100, 40, 6)), ("front", (100, 6, 40)),
        ("back", (100, 6, 40)), ("left", (6, 100, 40)), ("right", (6, 100, 40)),
    ],
)  # fmt: skip
def test_the_far_face_looks_the_way_that_is_said_and_the_box_starts_at_its_low_corner(
    faces: str, size: tuple[float, ...]
) -> None:
    one = put("one", BOARD, faces=faces, low=(1, 2, 3))
    low, high = one.box
    assert low == (1, 2, 3)
    assert tuple(high[k] - low[k] for k in range(3)) == pytest.approx(size)
    way = {"left": (-1, 0, 0), "right": (1, 0, 0), "front": (0, -1, 0), "back": (0, 1, 0)}
    assert one.z == way.get(faces, (0, 0, 1 if faces == "up" else -1))
    if faces not in ("up", "down"):
        assert one.y == (0, 0, 1)


def test_every_way_is_a_right_handed_frame() -> None:
    for x, z in FACES.values():
        assert math.isclose(sum(v * v for v in cross(z, x)), 1.0)


def test_a_quarter_turn_goes_to_the_left_for_who_looks_at_it() -> None:
    """Its lower-left corner comes to the lower right, and what was its width stands up."""
    one = put("one", BOARD, faces="front", turn=90, low=(0, 0, 0))
    assert one.box == ((0, 0, 0), (40, 6, 100))
    assert one.world(0, 0, 0) == (40, 6, 0)
    assert put("one", BOARD, faces="front", turn=180, low=(0, 0, 0)).world(0, 0, 0) == (100, 6, 40)


@pytest.mark.parametrize(
    ("words", "low"),
    [
        ({"faces": "front", "edge": "front"}, (-50, -66, 0)),
        ({"faces": "front", "edge": "back"}, (-50, 60, 0)),
        ({"faces": "left", "edge": "left"}, (-156, -50, 0)),
        ({"faces": "left", "edge": "right", "flush": ("back",)}, (150, -40, 0)),
        ({"faces": "front", "edge": "up"}, (-50, -3, 6)),
        ({"faces": "front", "edge": "up", "flush": ("left", "back")}, (-150, 54, 6)),
        ({"faces": "up", "edge": "down", "flush": "right"}, (50, -20, -6)),
        ({"faces": "front", "edge": "front", "flush": ("up",)}, (-50, -66, -34)),
        ({"faces": "front", "edge": "front", "offset": (5, 0, -2)}, (-45, -66, -2)),
    ],
)
def test_it_stands_against_the_side_that_is_named(words: dict[str, Any], low: tuple[float, ...]) -> None:
    assert put("one", BOARD, on=FLOOR, **words).box[0] == pytest.approx(low)


def ends(one: Placed) -> tuple[tuple[float, ...], tuple[float, ...]]:
    low, high = one.box
    return tuple(round(v, 6) for v in low), tuple(round(v, 6) for v in high)


def test_a_lying_piece_rises_from_the_edge_that_stays() -> None:
    """30 degrees: 100 long rises 50 and reaches 86.602540; its upper left edge goes back by 6 sin 30 = 3."""
    run, thick = 100 * math.sqrt(0.75), 6 * math.sqrt(0.75)
    ramp = put("ramp", BOARD, low=(10, 20, 30), lean=30)
    assert ramp.world(0, 0, 0) == pytest.approx((10, 20, 30))
    assert ends(ramp) == (
        (7, 20, 30), tuple(round(v, 6) for v in (10 + run, 60, 30 + 50 + thick)),
    )  # fmt: skip
    left = put("ramp", BOARD, low=(10, 20, 30), lean=30, rises="left")
    assert left.world(100, 0, 0) == pytest.approx((110, 20, 30))
    assert left.box[1][0] == pytest.approx(113)
    back = put("ramp", BOARD, low=(10, 20, 30), lean=30, rises="back")
    assert back.world(0, 0, 0) == pytest.approx((10, 20, 30))
    assert back.box[1][2] == pytest.approx(30 + 20 + thick)


def test_an_upright_piece_leans_about_the_lower_edge_on_the_side_that_it_leans_to() -> None:
    """10 degrees: the head of 40 goes by 40 sin 10; nothing goes below the edge it stands on."""
    for faces, sign in (("front", 1), ("back", -1)):
        one = put("easel", BOARD, faces=faces, low=(0, 0, 0), lean=10)
        assert one.z[2] == pytest.approx(math.sin(math.radians(10)))  # the far face looks a little up
        assert one.box[0][2] == pytest.approx(0.0)
        far = one.box[1][1] if sign > 0 else -one.box[0][1] + 6
        assert far == pytest.approx(6 + 40 * math.sin(math.radians(10)))
    bowed = put("easel", BOARD, faces="front", low=(0, 0, 0), lean=-10)
    assert bowed.z[2] == pytest.approx(-math.sin(math.radians(10)))
    assert bowed.box[0][1] == pytest.approx(-40 * math.sin(math.radians(10)))


def test_frames_stay_square_however_it_leans() -> None:
    for words in ({"lean": 37.0, "rises": "front"}, {"faces": "left", "lean": -12.5}, {"faces": "down", "lean": 3.0}):
        one = put("one", BOARD, low=(0, 0, 0), **words)  # type: ignore[arg-type]
        for a, b, want in ((one.x, one.x, 1.0), (one.z, one.z, 1.0), (one.x, one.z, 0.0)):
            assert sum(p * q for p, q in zip(a, b, strict=True)) == pytest.approx(want, abs=1e-12)


LEANING = put("ramp", BOARD, low=(0, 0, 0), lean=20)
ROUND = put("drum", disc("drum", 80, SHEET), low=(0, 0, 0))


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ({}, "its place is missing; give low, or on and edge"),
        ({"low": (0, 0, 0), "on": FLOOR, "edge": "up"}, "both low and on are given"),
        ({"low": (0, 0)}, "low: (0, 0) is not three finite numbers"),
        ({"low": (0, 0, math.inf)}, "is not three finite numbers"),
        ({"low": (0, 0, 0), "faces": "top"}, "faces = 'top'; it is one of left, right, front, back, down, up"),
        ({"low": (0, 0, 0), "turn": 45}, "turn = 45; it is one of 0, 90, 180, 270"),
        ({"low": (0, 0, 0), "edge": "up"}, "edge counts from the piece that it stands on"),
        ({"low": (0, 0, 0), "flush": ("left",)}, "flush counts from the piece"),
        ({"low": (0, 0, 0), "offset": (0, 0, 1)}, "offset counts from the piece"),
        ({"on": FLOOR}, "on = 'floor' without edge"),
        ({"on": FLOOR, "edge": "top"}, "edge = 'top'; it is one of"),
        ({"on": FLOOR, "edge": "up", "flush": ("up",)}, "it stands at the up of floor, so it is not flush up with it"),
        ({"on": FLOOR, "edge": "up", "flush": ("left", "right")}, "flush left and right at once"),
        ({"on": FLOOR, "edge": "up", "flush": ("middle",)}, "flush = 'middle'; it is one of"),
        ({"on": LEANING, "edge": "up"}, "ramp leans, so nothing stands flush"),
        ({"on": ROUND, "edge": "front"}, "drum is round, so nothing stands flush against its rim"),
        ({"low": (0, 0, 0), "lean": 90}, "lean = 90; it is under 90 degrees"),
        ({"low": (0, 0, 0), "lean": math.nan}, "lean = nan"),
        ({"low": (0, 0, 0), "lean": -5}, "lean = -5 of a piece that lies; give it over 0, and the side that rises"),
        ({"low": (0, 0, 0), "rises": "left"}, "rises = 'left', but it does not lean"),
        ({"low": (0, 0, 0), "faces": "front", "lean": 5, "rises": "left"}, "but it stands upright and faces front"),
        ({"low": (0, 0, 0), "lean": 5, "rises": "up"}, "rises = 'up'; it is one of left, right, front, back"),
    ],
)
def test_a_place_that_is_none_is_refused_in_words(words: dict[str, Any], said: str) -> None:
    with pytest.raises(SeamwrightError) as refused:
        put("one", BOARD, **words)
    assert str(refused.value).startswith("one: ")
    assert said in str(refused.value)


def test_on_top_of_a_round_piece_it_stands_in_the_middle() -> None:
    wedge = polygon("wedge", [(0, 0), (20, 0), (0, 10)], SHEET)
    assert put("one", wedge, on=ROUND, edge="up").box[0] == pytest.approx((30, 35, 6))
