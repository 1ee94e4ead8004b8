"""Lengths: what is read, what is refused, and that writing and reading agree."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from parts.lengths import LengthError, mark_length, nearest_64th, read_length, write_length, write_named

# The international inch is 25.4 mm exactly, so each value here is exact in decimals.
READ = [
    ("7 3/8 in", "mm", 187.325),
    ("7-3/8 in", "mm", 187.325),
    ("0.25in", "mm", 6.35),
    (".25 in", "mm", 6.35),
    ("140 mm", "in", 140.0),
    ("140mm", "in", 140.0),
    ("1/4 in", "mm", 6.35),
    ("5 1/2 in", "mm", 139.7),
    ('5 1/2"', "mm", 139.7),
    ("5 1/2 inches", "mm", 139.7),
    ("1 inch", "mm", 25.4),
    ("5 1/2 IN", "mm", 139.7),
    ("14 cm", "in", 140.0),
    ("1.2 m", "in", 1200.0),
    ("140", "mm", 140.0),
    ("140", "in", 3556.0),
    ("3/8", "in", 9.525),
    (0.25, "in", 6.35),
    (0.1, "in", 2.54),
    (3, "mm", 3.0),
    (Fraction(1, 64), "in", 0.396875),
    ("-12.5 mm", "mm", -12.5),
    ("+12.5 mm", "mm", 12.5),
    ("-1/2 in", "mm", -12.7),
    ("  6 mm  ", "mm", 6.0),
    ("5 1/2 in +0.12 mm", "mm", 139.82),
    ("5 1/2 in -0.12 mm", "mm", 139.58),
    ("-5 1/2 in +0.12 mm", "mm", -139.58),
    ("5 1/2 in (5.505)", "mm", 139.827),
    ("-5 1/2 in (-5.505)", "mm", -139.827),
    ("0", "mm", 0.0),
]

REFUSED = [
    ("1/0 in", "divides by zero"),
    ("4 inn", "did you mean in?"),
    ("4 mmm", "did you mean mm?"),
    ("4 furlong", "units are mm, cm, m and in"),
    ("4 ft", "write it in inches"),
    ("4'", "write it in inches"),
    ("1,5 mm", "a comma is not read"),
    ("1,500 mm", "a comma is not read"),
    ("nan", "finite"),
    ("-inf", "finite"),
    ("1e400", "exponent"),
    ("1e3 mm", "exponent"),
    ("", "empty"),
    ("   ", "empty"),
    ("--", "no number"),
    ("mm", "no number"),
    ("3/8/2", "more than one fraction bar"),
    ("5½ in", "plain characters"),
    ("−5 mm", "plain characters"),
    ("５ mm", "plain characters"),
    ("5 9/8 in", "must be under 1"),
    ("5 8/8 in", "must be under 1"),
    ("5 mm mm", "looks like"),
    ("5 1 in", "looks like"),
    ("1.5/2 in", "looks like"),
    ("5 1/2 in + mm", "looks like"),
    ("0x10 mm", "looks like"),
    ("1_000 mm", "looks like"),
    ("5\n", "looks like"),
    ("9" * 49, "at most 48"),
    ("9" * 40, "longer than 1 km"),
    ("1001 m", "longer than 1 km"),
    pytest.param(10**5000, "longer than 1 km", id="5001 digits"),
    (-(10**7), "longer than 1 km"),
    (float("nan"), "finite"),
    (float("inf"), "finite"),
    (True, "not a length"),
    (None, "not a length"),
    ([6], "not a length"),
    (1 + 0j, "not a length"),
]

in_mm = st.floats(min_value=-1e6, max_value=1e6, allow_nan=False)


@pytest.mark.parametrize(("text", "unit", "mm"), READ)
def test_a_length_is_read_to_the_exact_millimetre(text, unit, mm):
    assert read_length(text, unit) == mm


@pytest.mark.parametrize(("text", "why"), REFUSED)
def test_nonsense_is_refused_and_named(text, why):
    with pytest.raises(LengthError) as caught:
        read_length(text, "mm")
    assert why in str(caught.value)
    assert len(str(caught.value)) < 200
    if isinstance(text, str) and text.strip() and len(text) < 30:
        assert repr(text) in str(caught.value)


def test_negative_lengths_are_refused_only_where_they_cannot_be():
    assert read_length("-5 mm", "mm") == -5
    with pytest.raises(LengthError, match="below zero"):
        read_length("-5 mm", "mm", negative=False)
    with pytest.raises(LengthError, match="below zero"):
        read_length(-0.001, "in", negative=False)
    assert read_length("0 mm", "mm", negative=False) == 0


@pytest.mark.parametrize("unit", ["cm", "", "inch", None])
def test_an_order_has_only_mm_and_in(unit):
    with pytest.raises(LengthError, match="units of an order"):
        read_length("5", unit)
    with pytest.raises(LengthError, match="units of an order"):
        write_length(5.0, unit)


def test_three_hundred_fractions_are_read_exactly():
    """Every n/d of an inch by integer arithmetic: n 25.4 / d, rounded once to the nearest float."""
    count = 0
    for under in (2, 4, 8, 16, 32, 64):
        for whole in (0, 1, 7, 23):
            for top in range(1, under, max(1, under // 16)):
                text = f"{whole} {top}/{under} in" if whole else f"{top}/{under} in"
                assert read_length(text, "mm") == float(Fraction(254 * (whole * under + top), 10 * under))
                count += 1
    assert count >= 200
    for top in range(1, 101):
        assert read_length(f"{top}/101 in", "mm") == float(Fraction(254 * top, 1010))
        count += 1
    assert count >= 300


@pytest.mark.parametrize(
    ("mm", "in_mm_text", "in_inches"),
    [
        (0.0, "0 mm", "0 in"),
        (-0.0, "0 mm", "0 in"),
        (311.64, "311.64 mm", "12 17/64 in (12.269)"),
        (139.7, "139.7 mm", "5 1/2 in"),
        (139.82, "139.82 mm", "5 1/2 in (5.505)"),
        (139.58, "139.58 mm", "5 1/2 in (5.495)"),
        (-139.82, "-139.82 mm", "-5 1/2 in (-5.505)"),
        (139.75, "139.75 mm", "5 1/2 in"),  # exactly 0.05 mm over is not over 0.05 mm
        (139.7501, "139.75 mm", "5 1/2 in (5.502)"),
        (0.1, "0.1 mm", "0.004 in"),
        (25.4, "25.4 mm", "1 in"),
        (6.0, "6 mm", "15/64 in"),
        (1 / 3, "0.333 mm", "1/64 in (0.013)"),
        (-0.0004, "0 mm", "0 in"),
        (1000.0, "1000 mm", "39 3/8 in (39.370)"),
    ],
)
def test_a_length_is_written_as_a_shop_writes_it(mm, in_mm_text, in_inches):
    assert write_length(mm, "mm") == in_mm_text
    assert write_length(mm, "in") == in_inches


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), True, "6", 10**7])
def test_what_is_no_length_is_not_written(bad):
    for unit in ("mm", "in"):
        with pytest.raises(LengthError):
            write_length(bad, unit)


def test_the_error_of_the_nearest_64th_is_what_is_left():
    assert nearest_64th(25.4) == (Fraction(1), 0.0)
    assert nearest_64th(25.5) == (Fraction(1), pytest.approx(0.1, abs=1e-12))
    assert nearest_64th(-25.5) == (Fraction(-1), pytest.approx(-0.1, abs=1e-12))


@given(in_mm)
def test_the_nearest_64th_is_nearest(mm):
    inches, error = nearest_64th(mm)
    assert (inches * 64).denominator == 1
    assert abs(error) <= 25.4 / 128 + 1e-12
    assert float(inches) * 25.4 + error == pytest.approx(mm, abs=1e-9)


@given(in_mm)
@example(0.05)
@example(-25.45)
def test_what_is_written_reads_back_within_the_stated_remainder(mm):
    assert abs(read_length(write_length(mm, "mm"), "in") - mm) <= 0.0005 + 1e-9
    text = write_length(mm, "in")
    within = 0.005 if "mm" in text else 0.05
    assert abs(read_length(text, "mm") - mm) <= within + 1e-9


@given(st.integers(min_value=-70_000, max_value=70_000), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_sixty_fourths_survive_both_ways_without_a_remainder(top, under):
    mm = float(Fraction(254 * top, 10 * under))
    text = write_length(mm, "in")
    assert "mm" not in text
    assert read_length(text, "mm") == mm


@given(st.text(max_size=60))
@example("1/" + "9" * 40)
@example("0." + "0" * 44 + "1")
def test_any_text_gives_a_finite_length_or_a_length_error(text):
    try:
        found = read_length(text, "in")
    except LengthError:
        return
    assert abs(found) <= 1e6


@given(st.text(alphabet="0123456789/.-+ inmc\"'e", max_size=20))
def test_texts_made_of_the_right_characters_never_escape_either(text):
    try:
        found = read_length(text, "mm")
    except LengthError:
        return
    assert abs(found) <= 1e6


@given(st.one_of(st.integers(), st.floats(), st.booleans(), st.none(), st.binary(max_size=5)))
def test_any_other_value_gives_a_finite_length_or_a_length_error(value):
    try:
        found = read_length(value, "mm")
    except LengthError:
        return
    assert found == float(value)


NAMED = [  # what an order writes, the order's units, what is said
    ("0.354", "in", "0.354 in"),
    ("0.25", "in", "1/4 in"),
    ("3/8", "in", "3/8 in"),
    ("23/64", "in", "23/64 in"),
    ("1 1/2", "in", "1 1/2 in"),
    ("6 mm", "in", "6 mm"),
    ("6", "mm", "6 mm"),
    ("4.5", "mm", "4.5 mm"),
    ("1/4 in", "mm", "6.35 mm"),
    ("0.354 in", "mm", "0.354 in"),
    ("3/16 in", "mm", "3/16 in"),
]


@pytest.mark.parametrize(("written", "unit", "said"), NAMED)
def test_a_length_with_a_name_is_said_as_it_was_written(written, unit, said):
    assert write_named(read_length(written, unit), unit) == said


@given(st.integers(1, 400_000), st.sampled_from(["mm", "in"]), st.sampled_from(["mm", "in"]))
def test_a_length_of_at_most_three_decimals_keeps_its_value_whatever_the_units(thousandths, written_in, unit):
    mm = read_length(f"{thousandths / 1000:.3f} {written_in}", "mm")
    assert read_length(write_named(mm, unit), "mm") == pytest.approx(mm, abs=1e-6)


def test_what_has_no_short_form_is_said_as_any_length():
    assert write_named(35.9 / 3, "mm") == write_length(35.9 / 3, "mm") == "11.967 mm"
    assert write_named(35.9 / 3, "in") == write_length(35.9 / 3, "in")


@given(st.floats(0.0, 5000.0))
def test_what_is_marked_with_a_rule_is_within_half_its_division(mm):
    assert read_length(mark_length(mm, "in"), "mm") == pytest.approx(mm, abs=25.4 / 128 + 1e-9)
    assert read_length(mark_length(mm, "mm"), "mm") == pytest.approx(mm, abs=0.05 + 1e-9)
    assert Fraction(read_length(mark_length(mm, "in"), "mm")).limit_denominator(10**6) % Fraction(254, 640) == 0
