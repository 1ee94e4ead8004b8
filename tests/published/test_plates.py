"""Plates held to tables: handbooks, and values that independent methods agree on (tests/published/plates.csv).

Columns: case = edges left-right-bottom-top (S supported, C clamped, F free); load = uniform, or hydro: q at the
bottom, zero at the top; x_share, y_share = place; per = what the value is divided by (a width, b height, t
thickness, q pressure). The sign of a handbook's moment is not kept, so sizes are compared. Each tolerance covers
what the sources differ by among themselves: 0.5 % for most computed values, printed rounding and known errors of the
older tables for the handbooks. Where two methods are given, ours must lie within the tolerance of each.
"""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from assemblies.strength import PlateResult, plate

EDGES = {"S": "supported", "C": "clamped", "F": "free"}
HEIGHT, THICK, MODULUS, LOAD = 400.0, 8.0, 3000.0, 1e-3
ROWS = list(csv.DictReader((Path(__file__).parent / "plates.csv").read_text(encoding="utf-8").splitlines()))

pytestmark = pytest.mark.published


@cache
def solved(case: str, load: str, a_over_b: str, nu: str) -> PlateResult:
    edges = dict(zip(("left", "right", "bottom", "top"), (EDGES[c] for c in case), strict=True))
    pressure = (LOAD, 0.0) if load == "uniform" else (0.0, LOAD)
    return plate(float(a_over_b) * HEIGHT, HEIGHT, THICK, MODULUS, float(nu), edges, pressure)


def read(result: PlateResult, row: dict[str, str]) -> float:
    quantity = row["quantity"]
    left = result.edges["left"]
    named = {
        "w_max": lambda: result.deflection.value,
        "mx_line": lambda: result.mx_line.value,
        "my_line": lambda: result.my_line.value,
        "m_principal": lambda: result.moment.value,
        "mxy_max": lambda: result.twist.value,
        "mx_left": lambda: left.extreme.value,
        "mx_left_95": lambda: np.min(left.normal[left.places_mm <= 0.95 * HEIGHT + 1e-9]),
        "my_bottom": lambda: result.edges["bottom"].extreme.value,
    }
    if quantity in named:
        return float(named[quantity]())
    width = float(row["a_over_b"]) * HEIGHT
    got = result.field(float(row["x_share"]) * width, float(row["y_share"]) * HEIGHT)
    return float(getattr(got, quantity))


def divisor(row: dict[str, str]) -> float:
    side = HEIGHT if " b" in row["per"] else float(row["a_over_b"]) * HEIGHT
    rigidity = MODULUS * THICK**3 / (12.0 * (1.0 - float(row["nu"]) ** 2))
    return {
        "^4/D": LOAD * side**4 / rigidity,
        "^4/(E t^3)": LOAD * side**4 / (MODULUS * THICK**3),
        "^2": LOAD * side**2,
        "^2/t^2": LOAD * side**2 / 6.0,  # a stress coefficient: 6 M / (q side^2)
    }[row["per"][3:]]


GROUPS = list(dict.fromkeys((r["case"], r["load"], r["a_over_b"], r["nu"]) for r in ROWS))


def test_the_table_has_all_its_rows():
    assert len(ROWS) == 695
    assert sum(row["how_known"] == "computed" for row in ROWS) == 612
    assert all(row["source"] and row["clause"] and row["how_known"] for row in ROWS)


@pytest.mark.parametrize("key", GROUPS, ids=" ".join)
def test_plate_agrees_with_every_row_of_the_table(key):
    result = solved(*key)
    wrong = []
    for row in ROWS:
        if (row["case"], row["load"], row["a_over_b"], row["nu"]) != key:
            continue
        ours = abs(read(result, row) / divisor(row))
        for reference in (row["value"], row["value_second"]):
            if reference and abs(ours / abs(float(reference)) - 1.0) * 100.0 > float(row["tolerance_pct"]):
                wrong.append(f"{row['quantity']} {row['clause']}: {ours:.6g} against {reference}")
    assert not wrong
    assert result.error_moment < 0.006  # anywhere on the plate; largest near the free corners of wide clamped walls
    assert result.error_deflection < 0.001


@pytest.mark.parametrize(("right", "wrong"), [("C", "F"), ("F", "C"), ("C", "S")])
def test_swapped_edges_would_be_noticed(right, wrong):
    """The table tells edges apart: exchanging two kinds of edge misses it by far more than the tolerance."""
    mistaken = "CCCF".translate(str.maketrans({right: wrong, wrong: right}))
    edges = dict(zip(("left", "right", "bottom", "top"), (EDGES[c] for c in mistaken), strict=True))
    got = plate(HEIGHT, HEIGHT, THICK, MODULUS, 0.3, edges, (LOAD, 0.0))
    true = solved("CCCF", "uniform", "1", "0.3")
    assert abs(got.deflection.value / true.deflection.value - 1.0) > 0.2
