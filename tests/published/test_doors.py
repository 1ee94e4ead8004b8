"""The doors of `doors.py`, held to the open cases, to closed forms beside them, and to what they must refuse.

The figures and the source of each stand in `data/doors*.json`; a room that brings doors brings a file of its own.
"""

from __future__ import annotations

import json
import math
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from doors import BELOW_ZERO, DOORS
from scipy.integrate import quad

from parts.findings import SeamwrightError

pytestmark = pytest.mark.published

FILES = sorted((Path(__file__).parent / "data").glob("doors*.json"))
DATA = [json.loads(file.read_text(encoding="utf-8")) for file in FILES]
CASES = [case for data in DATA for case in data["cases"]]
#: every case name there is, and how many open cases it has
OPEN = next(data["open_cases"] for data in DATA if "open_cases" in data)
GOOD = [case for case in CASES if "error" not in case["expected"]]
BAD = [case for case in CASES if case["expected"].get("error")]
NIL = 1e-11  # what is nil by theory has nothing relative to hold: m, N m, m3, s


def read(value: Any) -> Any:
    return math.nan if value == "nan" else value


def run(case: str, inputs: dict[str, Any]) -> dict[str, Any]:
    return DOORS[case](**{key: read(value) for key, value in inputs.items()})


def inputs(case: str, **changes: Any) -> dict[str, Any]:
    """The inputs of the first open case of this name, changed."""
    return next(c["inputs"] for c in GOOD if c["case"] == case) | changes


def agrees(found: Any, expected: Any, rel: float, nil: float = NIL) -> bool:
    if isinstance(expected, bool | str):
        return bool(found == expected)
    if isinstance(expected, list) and expected and isinstance(expected[0], list):
        flat = [[number for row in rows for number in row] for rows in (found, expected)]
        return [len(row) for row in found] == [len(row) for row in expected] and agrees(*flat, rel)
    if isinstance(expected, list):
        most = max(map(abs, expected), default=0.0)
        return bool(found == pytest.approx(expected, rel=0.0, abs=max(rel * most, nil)))
    return bool(found == pytest.approx(expected, rel=rel, abs=nil))


def test_all_open_cases_of_a_door_are_here_and_none_twice() -> None:
    assert set(DOORS) - {"whole_tank"} <= set(OPEN)  # that one has its own file
    held = Counter(case["case"] for case in CASES)
    assert held == {name: count for name, count in OPEN.items() if name in DOORS}
    assert len({case["id"] for case in CASES}) == len(CASES) == len(GOOD) + len(BAD)


@pytest.mark.parametrize("case", GOOD, ids=lambda case: case["id"])
def test_open_case_is_met(case: dict[str, Any]) -> None:
    found = run(case["case"], case["inputs"])
    wrong = {
        key: (found[key], value)
        for key, value in case["expected"].items()
        if not agrees(found[key], value, case["tolerance_rel"], case.get("tolerance_abs", NIL))
    }
    assert wrong == {}, case["source"]


@pytest.mark.parametrize("case", BAD, ids=lambda case: case["id"])
def test_input_that_cannot_be_is_refused(case: dict[str, Any]) -> None:
    with pytest.raises(SeamwrightError, match=r"\w+ .*"):
        run(case["case"], case["inputs"])


#: Inputs that may be below zero. The mass (`m`) cancels out of tipping: no function of the project takes it.
PLACES = {
    ("tilt_rect_state", "pivot_x"), ("tilt_rect_state", "pivot_z"), ("gear", "x"), ("mesh", "x1"), ("mesh", "x2"),
    ("backlash", "x1"), ("backlash", "x2"), ("lewis_Y", "x"),
    ("pour_holding_torque", "pivot_x"), ("pour_holding_torque", "pivot_z"),
} | BELOW_ZERO  # fmt: skip
NUMBERS = sorted({(c["case"], key) for c in GOOD for key, v in c["inputs"].items() if isinstance(v, int | float)})
NUMBERS.remove(("tip", "m"))


@pytest.mark.parametrize(("case", "key"), NUMBERS)
@pytest.mark.parametrize("value", ["nan", math.inf, -1.0])
def test_no_input_may_be_nan_endless_or_negative(case: str, key: str, value: Any) -> None:
    given = next(c["inputs"] for c in GOOD if c["case"] == case and key in c["inputs"])
    if (case, key) in PLACES and value == -1.0:
        assert "nan" not in repr(run(case, given | {key: value}))
    else:
        with pytest.raises(SeamwrightError):
            run(case, given | {key: value})


@pytest.mark.parametrize("place", range(7))
def test_an_extra_plate_of_no_numbers_is_refused(place: int) -> None:
    plate = [0.01, 0.1, 0.15, 0.17, 0.05, 0.05, 2700.0]
    plate[place] = math.nan
    with pytest.raises(SeamwrightError):
        run("assembly_inertia", inputs("assembly_inertia", extra_plate=plate))


@pytest.mark.parametrize(
    ("case", "changes"),
    [
        ("tilt_rect_start", {"h": 0.0}), ("tilt_rect_start", {"H": 0.0}), ("tilt_rect_state", {"theta_deg": 90.1}),
        ("tilt_rect_state", {"theta_deg": 180.0}), ("tilt_rect_state", {"h": 0.201}), ("tilt_cyl_start", {"h": 0.251}),
        ("tilt_cyl_capacity", {"theta_deg": 91.0}), ("tilt_cyl_state", {"pivot": "floor"}),
        ("pour_schedule", {"q": 0.0}), ("pour_smooth", {"t": 40.1}), ("pour_smooth", {"Vpour": 0.012}),
        ("pour_smooth", {"T": 0.0}), ("accel_cube_third", {"kept_fraction": 1.01, "h": 0.5}),
        ("accel_cube_third", {"kept_fraction": 0.0}), ("accel_box", {"g": 0.0}), ("liquid_shift", {"h": 0.0}),
        ("tank_inertia", {"fill": 0.201}), ("tank_inertia", {"wall": 0.0}), ("tip", {"half_base": 0.0}),
        ("niosh", {"coupling": "none"}), ("niosh", {"F": 16}), ("niosh", {"H": 0.64}), ("niosh", {"V": 1.76}),
        ("niosh", {"A_deg": 136}), ("niosh", {"liquid": True}), ("niosh_inch", {"HM": 0.0}), ("niosh_inch", {"HM": 1.1}),
        ("niosh_inch", {"FM": 1.1}),
        ("mass_check", {"mass": 0.0}), ("drop", {"delta_static": 0.0}), ("capillary", {"theta": 1.6}),
        ("capillary", {"gap": 0.0}),
    ],
)  # fmt: skip
def test_what_lies_out_of_range_is_refused(case: str, changes: dict[str, Any]) -> None:
    with pytest.raises(SeamwrightError):
        run(case, inputs(case, **changes))


def box_room(L: float, H: float, tan: float) -> float:
    """What a box of width 1 keeps under a surface through its lip: a trapezium, or a triangle once the floor is bare."""
    return L * H - L * L * tan / 2.0 if tan <= H / L else H * H / (2.0 * tan)


def box_slope(L: float, H: float, area: float) -> float:
    """The inverse: the tangent of the surface that keeps an area."""
    return 2.0 * (L * H - area) / (L * L) if area >= L * H / 2.0 else H * H / (2.0 * area)


SIZES = [(0.3, 0.2, 0.15), (0.3, 0.2, 0.2), (0.3, 0.2, 0.1), (1.2, 0.1, 0.01), (0.05, 0.9, 0.899), (2.0, 2.0, 0.002)]


@pytest.mark.parametrize(("L", "H", "h"), SIZES)
def test_a_box_starts_to_pour_where_its_trapezium_or_triangle_says(L: float, H: float, h: float) -> None:
    found = run("tilt_rect_start", {"L": L, "H": H, "h": h})
    assert found["theta0"] == pytest.approx(math.atan(box_slope(L, H, L * h)), rel=1e-9, abs=1e-12)
    assert found["theta0_deg"] == pytest.approx(math.degrees(found["theta0"]), rel=1e-15)


@pytest.mark.parametrize(("L", "H", "h"), SIZES)
@pytest.mark.parametrize("theta_deg", [0, 1e-6, 7, 33.7, 62, 89, 89.99])
def test_a_tilted_box_keeps_what_its_lip_lets_it(L: float, H: float, h: float, theta_deg: float) -> None:
    given = inputs("tilt_rect_state", L=L, H=H, h=h, theta_deg=theta_deg, W=0.4, rho=1200.0, g=1.62)
    found = run("tilt_rect_state", given)
    tan = math.tan(math.radians(theta_deg))
    kept = min(L * h, box_room(L, H, tan)) * 0.4
    assert found["V"] == pytest.approx(kept, rel=1e-9)
    assert found["poured"] == pytest.approx(L * h * 0.4 - kept, rel=1e-7, abs=1e-12)
    c, s = math.cos(math.radians(theta_deg)), math.sin(math.radians(theta_deg))
    x, z = found["xc"] - given["pivot_x"], found["zc"] - given["pivot_z"]
    assert found["Xc"] == pytest.approx(x * c + z * s, rel=1e-9, abs=NIL)
    assert found["Zc"] == pytest.approx(z * c - x * s, rel=1e-9, abs=NIL)
    assert found["torque"] == pytest.approx(1200.0 * 1.62 * kept * found["Xc"], rel=1e-9, abs=NIL)


def test_a_box_on_its_side_holds_nothing() -> None:
    found = run("tilt_rect_state", inputs("tilt_rect_state", theta_deg=90))
    assert found["V"] == pytest.approx(0.0, abs=1e-12)
    assert found["poured"] == pytest.approx(0.01125, rel=1e-12)
    assert found["torque"] == pytest.approx(0.0, abs=NIL)


def drum_room(R: float, H: float, tan: float) -> float:
    """What a round tank keeps under a plane through its lip at x = R, chord by chord."""
    bare = max(-R, R - H / tan) if tan > 0 else -R
    return float(
        quad(lambda x: 2.0 * math.sqrt(max(R * R - x * x, 0.0)) * (H - (R - x) * tan), bare, R, epsabs=1e-14)[0]
    )


@pytest.mark.parametrize(("R", "H"), [(0.1, 0.25), (0.5, 0.1), (0.02, 0.6)])
@pytest.mark.parametrize("theta_deg", [0, 3, 30, 51.34, 68, 85, 89.5])
def test_a_tilted_drum_keeps_what_its_lip_lets_it(R: float, H: float, theta_deg: float) -> None:
    room = drum_room(R, H, math.tan(math.radians(theta_deg)))
    assert run("tilt_cyl_capacity", {"R": R, "H": H, "theta_deg": theta_deg})["V"] == pytest.approx(room, rel=1e-6)
    h = 0.6 * H
    state = run("tilt_cyl_state", inputs("tilt_cyl_state", R=R, H=H, h=h, theta_deg=theta_deg, rho=790.0, g=9.81))
    kept = min(room, math.pi * R * R * h)
    assert state["V"] == pytest.approx(kept, rel=1e-6)
    c, s = math.cos(math.radians(theta_deg)), math.sin(math.radians(theta_deg))
    lever = state["xc"] * c + (state["zc"] - H / 2.0) * s
    assert state["torque"] == pytest.approx(790.0 * 9.81 * kept * lever, rel=1e-6, abs=NIL)


@pytest.mark.parametrize("theta_deg", [12, 40, 66, 80, 88])
def test_a_drum_starts_to_pour_where_its_room_says(theta_deg: float) -> None:
    depth = drum_room(0.1, 0.25, math.tan(math.radians(theta_deg))) / (math.pi * 0.01)
    assert run("tilt_cyl_start", {"R": 0.1, "H": 0.25, "h": depth})["theta0_deg"] == pytest.approx(theta_deg, rel=1e-6)


def test_a_tank_filled_to_the_brim_pours_at_once_and_one_on_its_side_is_empty() -> None:
    assert run("tilt_cyl_start", {"R": 0.1, "H": 0.25, "h": 0.25})["theta0_deg"] == pytest.approx(0.0, abs=1e-9)
    assert run("tilt_cyl_capacity", {"R": 0.1, "H": 0.25, "theta_deg": 90})["V"] == pytest.approx(0.0, abs=1e-12)
    assert run("accel_box", {"L": 1.0, "H": 0.5, "W": 0.3, "h": 0.5})["a_limit"] == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(("L", "H", "h"), SIZES)
@pytest.mark.parametrize("a", [0.0, 0.7, 4.0, 30.0])
def test_a_pushed_box_stands_at_the_slope_of_a_over_g(L: float, H: float, h: float, a: float) -> None:
    g, rho, W = 3.71, 1050.0, 0.4
    found = run("accel_box", {"L": L, "H": H, "W": W, "h": h, "a": a, "g": g, "rho": rho})
    slope, kept = a / g, min(L * h, box_room(L, H, a / g))
    if kept >= L * L * slope / 2.0:  # the floor is wet all over
        rear, front = kept / L + L * slope / 2.0, kept / L - L * slope / 2.0
    else:
        rear, front = math.sqrt(2.0 * kept * slope), 0.0
    assert found["slope"] == pytest.approx(slope, rel=1e-12)
    assert found["kept"] == pytest.approx(kept * W, rel=1e-9)
    assert found["spilled"] == pytest.approx((L * h - kept) * W, rel=1e-7, abs=1e-12)
    assert found["depth_rear"] == pytest.approx(rear, rel=1e-7)
    assert found["depth_front"] == pytest.approx(front, rel=1e-7, abs=1e-9)
    assert found["F_rear"] == pytest.approx(rho * g * W * rear**2 / 2.0, rel=1e-6)
    assert found["F_front"] == pytest.approx(rho * g * W * front**2 / 2.0, rel=1e-6, abs=1e-9)
    assert found["a_limit"] == pytest.approx(g * box_slope(L, H, L * h), rel=1e-9, abs=1e-12)


@pytest.mark.parametrize(("h", "kept"), [(1.0, 1.0 / 3.0), (0.8, 0.75), (0.8, 1.0), (0.3, 0.2)])
def test_the_push_that_leaves_a_share_counts_it_of_what_was_there(h: float, kept: float) -> None:
    given = {"L": 0.7, "H": 1.1, "W": 0.2, "h": h, "kept_fraction": kept, "g": 9.81}
    assert run("accel_cube_third", given)["a"] == pytest.approx(9.81 * box_slope(0.7, 1.1, 0.7 * h * kept), rel=1e-9)


@pytest.mark.parametrize(
    ("L", "h", "a", "g"), [(0.3, 0.15, 2.0, 9.80665), (1.5, 0.4, 0.3, 1.62), (0.8, 0.05, 6.0, 9.81)]
)
def test_liquid_shifts_as_the_trapezium_or_the_triangle_says(L: float, h: float, a: float, g: float) -> None:
    """Trapezium centroid (any statics handbook): a L2/(12 g h) aside, half of that times a/g up; last: floor half bare."""
    slope = a / g
    if L * slope <= 2.0 * h:
        dx, dz = slope * L * L / (12.0 * h), slope * slope * L * L / (24.0 * h)
    else:
        rear = math.sqrt(2.0 * L * h * slope)
        dx, dz = L / 2.0 - rear / slope / 3.0, rear / 3.0 - h / 2.0
    found = run("liquid_shift", {"L": L, "h": h, "a": a, "g": g})
    assert (found["dx"], found["dz"]) == (pytest.approx(dx, rel=1e-7), pytest.approx(dz, rel=1e-6))


@pytest.mark.parametrize("t", [0.0, 3.0, 11.0, 28.0, 30.0])
@pytest.mark.parametrize(("L", "H", "W", "h"), [(0.3, 0.2, 0.25, 0.15), (0.2, 0.4, 0.1, 0.4)])
def test_a_pour_follows_the_room_that_is_left(L: float, H: float, W: float, h: float, t: float) -> None:
    """A steady and a smooth pour (quintic, Flash and Hogan) of the same tank; rates as slopes of their angles."""
    given, volume, dt = {"L": L, "H": H, "W": W, "h": h}, L * W * h, 1e-4
    steady, smooth = given | {"q": volume / 31.0}, given | {"Vpour": 0.9 * volume, "T": 30.0}
    s = t / 30.0
    parts = {
        "pour_schedule": (steady, volume * t / 31.0, volume / 31.0, volume / 31.0),
        "pour_smooth": (
            smooth, 0.9 * volume * (10 * s**3 - 15 * s**4 + 6 * s**5), 0.9 * volume / 30.0 * 30 * s**2 * (1 - s) ** 2,
            0.9 * volume / 30.0 * 1.875,
        ),
    }  # fmt: skip
    for case, (inputs_of, poured, q, peak) in parts.items():
        found = run(case, inputs_of | {"t": t})
        angle = math.degrees(math.atan(box_slope(L, H, (volume - poured) / W)))
        assert found["theta_deg"] == pytest.approx(angle, rel=1e-8, abs=1e-9)
        assert found["V"] == pytest.approx(volume - poured, rel=1e-12)
        assert found["poured"] == pytest.approx(poured, rel=1e-12)
        assert found["q"] == pytest.approx(q, rel=1e-9, abs=1e-15)
        assert found["q_peak"] == pytest.approx(peak, rel=1e-12)
        later = math.degrees(math.atan(box_slope(L, H, (volume - poured - q * dt) / W)))
        slope = (later - angle) / dt
        assert found["rate_deg_s"] == pytest.approx(slope, rel=1e-3, abs=1e-6)


def test_an_empty_tank_has_its_plates_alone() -> None:
    """Mass by outside volume less inside volume."""
    found = run("tank_inertia", inputs("tank_inertia", fill=0.0, wall=0.01))
    assert found["m"] == pytest.approx(1190.0 * (0.32 * 0.27 * 0.21 - 0.3 * 0.25 * 0.2), rel=1e-12)
    assert (found["x"], found["y"]) == (pytest.approx(0.0, abs=NIL), pytest.approx(0.0, abs=NIL))


@pytest.mark.parametrize("a", [0.0, 1.0])
def test_tipping_is_half_the_base_over_the_height(a: float) -> None:
    found = run("tip", {"m": 3.0, "z_cog": 0.5, "half_base": 0.1, "a": a, "g": 1.62})
    assert found["tilt_deg"] == pytest.approx(math.degrees(math.atan(0.2)), rel=1e-12)
    assert found["a_tip"] == pytest.approx(0.324, rel=1e-12)
    assert found["sf"] == (pytest.approx(0.324, rel=1e-12) if a else math.inf)


def test_a_lift_in_inches_is_the_product_of_the_multipliers_given() -> None:
    """NIOSH 94-110: LC HM VM DM AM FM CM, by hand."""
    given = inputs(
        "niosh_inch", LC_lb=40, HM=0.8, A=45, FM=0.75, CM=0.9, V_in=34, D_in=20, dest_H_in=12.5, dest_V_in=50
    )
    found = run("niosh_inch", given)
    both = 40 * 0.8 * (0.82 + 1.8 / 20) * (1 - 0.0032 * 45) * 0.75
    assert found["rwl_origin_lb"] == pytest.approx(both * (1 - 0.0075 * 4) * 0.9, rel=1e-12)
    assert found["rwl_dest_lb"] == pytest.approx(both * (1 - 0.0075 * 20) * 1.0, rel=1e-12)


@pytest.mark.parametrize(("mass", "over"), [(23.0, (False, False)), (23.1, (False, True)), (25.0, (False, True)),
                                            (25.1, (True, True))])  # fmt: skip
def test_mass_is_over_a_limit_only_beyond_it(mass: float, over: tuple[bool, bool]) -> None:
    found = run("mass_check", {"mass": mass})
    assert (found["over_25kg"], found["over_niosh_LC"]) == over


def test_a_slot_with_a_contact_angle_and_much_drag_fills_as_lucas_and_washburn_say() -> None:
    given = inputs("capillary", theta=0.6, mu=0.5, gap=5e-5)
    found = run("capillary", given)
    pull = given["gamma"] * math.cos(0.6)
    assert found["rise"] == pytest.approx(2.0 * pull / (given["rho"] * given["g"] * 5e-5), rel=1e-12)
    assert found["t_viscous"] == pytest.approx(3.0 * 0.5 * given["depth"] ** 2 / (pull * 5e-5), rel=1e-12)
    assert found["t_with_inertia"] == pytest.approx(found["t_viscous"], rel=1e-5)
