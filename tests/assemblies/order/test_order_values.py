"""A right order comes out as what it says: figures in fixed units, defaults where nothing is said, nothing to be changed."""

from __future__ import annotations

import copy
import math
from dataclasses import FrozenInstanceError

import pytest
from pydantic import ValidationError
from starters import two_plates

from assemblies.kinds import schemas
from assemblies.kinds.tank.build import TankSpec
from assemblies.order import DeflectionLimit, Faults, FillAmount, Order, OrderError, Problem, Table, read_order_text
from assemblies.order.errors import MOST_SHOWN, key_text
from parts.stock.rules import rule

START = two_plates()
LEAST = (
    'title = "t"\nname = "n"\nkind = "tank"\n{more}\n[sheet]\nthickness = {thick}\n[tank]\nsize = {size}\n{tables}\n'
)


class Drum(Table):
    """A kind of its own, for the tests."""

    size: float = 1.0


def read(more: str = "", tables: str = "", thick: str = "6", size: str = "[300, 200, 150]") -> Order:
    return read_order_text(LEAST.format(more=more, tables=tables, thick=thick, size=size), schemas())


def refused(text: str) -> list[Problem]:
    with pytest.raises(OrderError) as caught:
        read_order_text(text, {**schemas(), "drum": {"drum": Drum}})
    return list(caught.value.problems)


def test_the_starter_comes_out_as_it_is_written() -> None:
    order = read_order_text(START, schemas())
    assert (order.name, order.kind, order.units, order.quantity, order.revision) == (
        "ripple-trough",
        "tank",
        "mm",
        1,
        "A",
    )
    assert (order.sheet.material, order.sheet.thickness, order.sheet.measured) == ("cast-pmma", 6.0, (5.82, 5.80, 5.84))
    assert isinstance(order.table, TankSpec)
    assert (order.table.size, order.table.measure) == ((300.0, 200.0, 150.0), "inside")
    assert order.table.runs_long == ("front-back", "bottom", "ends")
    assert order.liquid is not None
    assert (order.liquid.fill, order.liquid.temperature) == (FillAmount(depth_mm=120.0), 20.0)
    assert order.support is not None
    assert (order.support.kind, order.support.retention) == ("plates", "cradle")
    assert order.rig is not None
    assert order.rig.grid == 25.0
    (plate,) = order.plate
    assert (plate.on, plate.at, plate.size) == ("bottom", ((-87.5, 0.0), (87.5, 0.0)), (50.0, 50.0))
    assert (plate.thickness, plate.thread, plate.pattern, plate.holes) == (12.0, "M6", "grid 25 2x2", "tapped")
    (case,) = order.case
    assert (case.kind, case.direction, case.acceleration, case.duration) == ("slide", (1.0, 0.0, 0.0), 0.8, "minutes")


def test_what_is_not_said_is_as_the_design_of_the_order_file_has_it() -> None:
    order = read()
    assert (order.units, order.quantity, order.revision) == ("mm", 1, "A")
    assert (order.sheet.material, order.sheet.measured) == ("cast-pmma", ())
    assert (order.limits.gap, order.limits.factor) == (0.10, 1.0)
    assert order.limits.deflection == DeflectionLimit(of_span=0.005)
    assert (order.liquid, order.support, order.rig) == (None, None, None)
    assert (order.panel, order.plate, order.strip, order.port, order.case, order.as_cut) == ((), (), (), (), (), {})
    assert order.cutting == read(tables='[cutting]\nprocess = "saw"').cutting


# The rows are those of parts/tables/process_defaults.csv, typed in again.
@pytest.mark.parametrize(
    ("process", "figures"),
    [
        ("saw", (0.25, 0.05, 0.05, 3.0)), ("router", (0.15, 0.05, 0.03, 6.0)), ("laser", (0.15, 0.05, 0.1, 0.2)),
        ("score-and-snap", (0.5, 0.25, 0.15, 0.0)),
    ],
)  # fmt: skip
@pytest.mark.parametrize("units", ["mm", "in"])
def test_each_process_brings_its_own_figures_and_any_can_be_given(
    process: str, figures: tuple[float, ...], units: str
) -> None:
    order = read(f'units = "{units}"', f'[cutting]\nprocess = "{process}"')
    cut = order.cutting
    assert (cut.tolerance, cut.repeat, cut.squareness, cut.kerf) == figures
    given = read(f'units = "{units}"', f'[cutting]\nprocess = "{process}"\nrepeat = "0.07 mm"').cutting
    assert (given.tolerance, given.repeat, given.squareness, given.kerf) == (figures[0], 0.07, *figures[2:])


def test_the_tolerances_of_the_other_processes_leave_out_the_orders_own() -> None:
    other = read(tables='[cutting]\nprocess = "laser"\ntolerance = 0.9').process_tolerances()
    assert other == {"saw": 0.25, "router": 0.15, "score-and-snap": 0.5}


def test_bare_numbers_are_in_the_units_of_the_order_and_text_in_its_own() -> None:
    order = read(
        'units = "in"',
        '[rig]\ngrid = 1\n[limits]\ngap = "0.2 mm"\n[as-cut]\nfront = [12, "100 mm"]\n'
        '[[strip]]\nwhere = "brace"\nsize = ["1 1/2 in", "6 mm"]\nat = [-2, "-5 mm"]\n'
        '[liquid]\nfill = 4\n[cutting]\nkerf = "1/8"',
        thick='"1/4"',
        size='[12, "7 3/8 in", "140 mm"]',
    )
    assert isinstance(order.table, TankSpec)
    assert order.table.size == (304.8, 187.325, 140.0)
    assert order.sheet.thickness == 6.35
    assert order.rig is not None
    assert order.rig.grid == 25.4
    assert order.limits.gap == 0.2
    assert order.as_cut == {"front": (304.8, 100.0)}
    assert (order.strip[0].size, order.strip[0].at) == ((38.1, 6.0), (-50.8, -5.0))
    assert order.liquid is not None
    assert order.liquid.fill == FillAmount(depth_mm=101.6)
    assert order.cutting.kerf == 3.175


@pytest.mark.parametrize(
    ("units", "thick", "asked"),
    [("mm", '"1/4 in"', "1/4 in"), ("in", "0.25", "0.25 in"), ("mm", "6", "6 mm"), ("mm", '"choose"', "choose")],
)
def test_the_thickness_is_kept_as_it_was_asked_for(units: str, thick: str, asked: str) -> None:
    size = "[12, 8, 6]" if units == "in" else "[300, 200, 150]"
    assert read(f'units = "{units}"', thick=thick, size=size).sheet.asked == asked


@pytest.mark.parametrize(
    ("text", "fill"),
    [
        ('"6 L"', FillAmount(volume_l=6.0)), ('"500 mL"', FillAmount(volume_l=0.5)), ('".5l"', FillAmount(volume_l=0.5)),
        ('"750 ml"', FillAmount(volume_l=0.75)), ("120", FillAmount(depth_mm=120.0)), ('"4 in"', FillAmount(depth_mm=101.6)),
        ("0", FillAmount(depth_mm=0.0)),
    ],
)  # fmt: skip
def test_a_fill_is_a_depth_or_a_volume(text: str, fill: FillAmount) -> None:
    order = read(tables=f"[liquid]\nfill = {text}")
    assert order.liquid is not None
    assert order.liquid.fill == fill


# g: 9.80665 m/s2 exactly, standard acceleration of free fall, 3rd CGPM (1901), resolution 2; from memory.
@pytest.mark.parametrize(
    ("text", "wanted"),
    [('"0.8 m/s2"', 0.8), ("0.8", 0.8), ('"800 mm/s2"', 0.8), ('"0.5 g"', 4.903325), ('"2g"', 19.6133)],
)
def test_accelerations_come_out_in_metres_per_second_squared(text: str, wanted: float) -> None:
    order = read(tables=f'[[case]]\nname = "a"\nkind = "throw"\nacceleration = {text}')
    assert order.case[0].acceleration == pytest.approx(wanted, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "wanted"), [("30", 30.0), ('"30 deg"', 30.0), ('"-90deg"', -90.0), ('"1 rad"', 180 / math.pi)]
)
def test_angles_come_out_in_degrees(text: str, wanted: float) -> None:
    assert read(tables=f'[[case]]\nname = "a"\nkind = "turn"\nangle = {text}').case[0].angle == wanted


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ('"1/200"', DeflectionLimit(of_span=0.005)), ('" 1 / 400 "', DeflectionLimit(of_span=0.0025)),
        ("0.5", DeflectionLimit(mm=0.5)), ('"1/32 in"', DeflectionLimit(mm=0.79375)),
    ],
)  # fmt: skip
def test_a_deflection_is_a_part_of_the_span_or_a_length(text: str, wanted: DeflectionLimit) -> None:
    assert read(tables=f"[limits]\ndeflection = {text}").limits.deflection == wanted


@pytest.mark.parametrize("limit", [("gap", "gap_stop"), ("gap", "gap_ok")])
def test_a_gap_up_to_what_solvent_bridges_can_be_asked_for(limit: tuple[str, str]) -> None:
    key, name = limit
    assert getattr(read(tables=f"[limits]\n{key} = {rule(name)}").limits, key) == rule(name)


def test_nothing_of_an_order_can_be_changed() -> None:
    order = read_order_text(START, schemas())
    for part, name in ((order, "name"), (order.sheet, "thickness"), (order.plate[0], "at"), (order.table, "size")):
        with pytest.raises(ValidationError, match="frozen"):
            setattr(part, name, getattr(part, name))


def test_sizes_as_cut_cannot_be_changed_and_an_order_can_be_a_key() -> None:
    order = read("", "[as-cut]\nfront = [312, 158]\nleft = [200, 150]")
    cut = order.as_cut
    assert (cut, list(cut), len(cut), cut["left"]) == (
        {"front": (312.0, 158.0), "left": (200.0, 150.0)}, ["front", "left"], 2, (200.0, 150.0)
    )  # fmt: skip
    with pytest.raises(TypeError, match="does not support item assignment"):
        cut["front"] = (1.0, 1.0)  # type: ignore[index]
    with pytest.raises(FrozenInstanceError):
        cut.pairs = ()  # type: ignore[attr-defined]
    with pytest.raises(KeyError):
        cut["right"]
    again = copy.deepcopy(order)
    assert again == order
    assert len({order, again}) == 1
    assert order.model_dump()["as_cut"] == {"front": (312.0, 158.0), "left": (200.0, 150.0)}


def test_faults_are_said_in_the_order_of_their_lines_and_items() -> None:
    places = "[" + ", ".join(["[0, 0]"] * 4 + ['["x", 0]'] + ["[0, 0]"] * 7 + ['["x", 0]']) + "]"
    text = START.replace("[[-87.5, 0], [87.5, 0]]", places).replace('lid       = "none"', "lid = 1")
    text = text.replace("quantity = 1", "quantity = 0").replace("[rig]", "[rog]").replace('title = "', 'titel = "')
    found = refused(text)
    assert [key_text(p.key) for p in found] == [
        "title", "titel", "quantity", "tank.lid", "rog", "plate[1].at[5][1]", "plate[1].at[13][1]"
    ]  # fmt: skip
    assert [p.line or 0 for p in found] == sorted(p.line or 0 for p in found)


def test_the_table_of_another_kind_is_refused() -> None:
    (found,) = refused(START + "\n[drum]\nsize = 2.0\n")
    assert (found.key, found.what, found.allowed) == (("drum",), 'a [drum] table in an order of kind "tank"', "[tank]")


@pytest.mark.parametrize(
    ("old", "new", "key", "what"),
    [
        ("[[-87.5, 0], [87.5, 0]]", "[" + "9," * 1001 + "]", ("plate", 0, "at"), "holds 1001 items"),
        ("quantity = 1", "quantity = 1" + "0" * 19, ("quantity",), "a number of more than 18 digits"),
        ("[1, 0, 0]", "[1, 0, -1" + "0" * 30 + "]", ("case", 0, "direction", 2), "a number of more than 18 digits"),
    ],
)
def test_what_is_beyond_all_bounds_is_one_fault(old: str, new: str, key: tuple[str | int, ...], what: str) -> None:
    (found,) = refused(START.replace(old, new))
    assert (found.key, found.what) == (key, what)
    assert found.line == START[: START.index(old)].count("\n") + 1


def test_faults_that_were_only_counted_stay_counted() -> None:
    faults, one = Faults(), Problem(file="f", line=1, key=("a",), what="is wrong", allowed="")
    with faults.step():
        raise OrderError((one,), more=30)
    with faults.step():
        raise OrderError((one,), more=3)
    with pytest.raises(OrderError) as caught:
        faults.settle()
    assert (caught.value.problems, caught.value.more) == ((one,), 33)
    assert str(caught.value) == "f:1: a: is wrong\nand 33 more"
    many = [Problem(file="f", line=i, key=(), what="is wrong", allowed="right") for i in range(MOST_SHOWN + 2)]
    assert str(OrderError(many, more=5)).splitlines()[-2:] == [
        f"f:{MOST_SHOWN - 1}: is wrong; allowed: right",
        "and 7 more",
    ]


def test_a_refusal_by_a_builder_names_the_nearest_line_that_stands_in_the_file() -> None:
    order = read_order_text(START, schemas(), "here.toml")
    plate = START[: START.index("[[plate]]")].count("\n") + 1
    assert order.line_of(("plate", 0)) == order.line_of(("plate", 0, "percent")) == plate
    assert order.line_of(("limits", "gap")) is None
    assert str(order.refuse(("plate", 0, "percent"), "is not valid", "65")) == (
        f"here.toml:{plate}: plate[1].percent: is not valid; allowed: 65"
    )
    assert str(order.refuse(("limits", "gap"), "is not valid", "")) == "here.toml: limits.gap: is not valid"
