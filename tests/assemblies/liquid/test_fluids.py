"""The liquids' table against the formulas it was computed from and their published check values."""

from __future__ import annotations

import math

import pytest

from assemblies.liquid.fluids import crazing, crazing_finding, fluid, fluid_names, own_fluid
from parts.findings import NotCovered
from parts.tables import load


def unesco_density(salinity: float, t: float) -> float:
    """Sea water at one atmosphere: Fofonoff and Millard 1983 (UNESCO Technical Papers 44), eq. 13-14."""
    pure = (999.842594, 6.793952e-2, -9.095290e-3, 1.001685e-4, -1.120083e-6, 6.536332e-9)
    b = (8.24493e-1, -4.0899e-3, 7.6438e-5, -8.2467e-7, 5.3875e-9)
    c = (-5.72466e-3, 1.0227e-4, -1.6546e-6)
    water, first, second = (sum(k * t**n for n, k in enumerate(row)) for row in (pure, b, c))
    return water + first * salinity + second * salinity**1.5 + 4.8314e-4 * salinity**2


def korson_viscosity(t: float) -> float:
    """Water, mPa s (Korson et al. 1969, J. Phys. Chem. 73; read as quoted from Landolt-Börnstein V/3a)."""
    return 1.002 * 10 ** ((1.1709 * (20 - t) - 1.827e-3 * (t - 20) ** 2) / (t + 89.93))


@pytest.mark.published
@pytest.mark.parametrize(
    ("salinity", "t", "density"),
    [(0.0, 5.0, 999.96675), (0.0, 25.0, 997.04796), (35.0, 5.0, 1027.67547), (35.0, 25.0, 1023.34306)],
)
def test_the_formula_meets_the_check_values_printed_with_it(salinity: float, t: float, density: float) -> None:
    """UNESCO 44, table of check values for one atmosphere (figures from memory)."""
    assert unesco_density(salinity, t) == pytest.approx(density, abs=6e-6)


def test_every_computed_row_is_the_formulas_rounded() -> None:
    rows = [row for row in load("fluids") if row["how_known"] == "computed"]
    assert len(rows) == 12
    for row in rows:
        t, salt = float(row["temperature_c"]), 35.0 if row["fluid"] == "salt-water" else 0.0
        assert float(row["density_kg_m3"]) == pytest.approx(unesco_density(salt, t), abs=0.0051)
        chlorine = unesco_density(salt, t) * salt / 1806.55  # Millero 1974, volume chlorinity
        ratio = 1.0 + (5.185e-5 * t + 1.0675e-4) * math.sqrt(chlorine) + (3.3e-5 * t + 2.591e-3) * chlorine
        assert float(row["viscosity_mpa_s"]) == pytest.approx(korson_viscosity(t) * ratio, abs=5.1e-5)


@pytest.mark.published
def test_sea_water_at_20_c_is_that_of_the_towing_tanks() -> None:
    """ITTC 7.5-02-01-03, sea water 20 C: 1024.8103 kg/m3, 1.077e-3 Pa s (from memory; its salinity is 35.165 g/kg)."""
    sea = fluid("salt water", 20.0)
    assert sea.density_kg_m3 == pytest.approx(1024.8103, abs=0.1)
    assert sea.viscosity_mpa_s == pytest.approx(1.077, rel=0.01)


def test_every_row_is_ordered_and_thins_as_it_warms() -> None:
    assert fluid_names() == ("water", "salt-water", "milk", "oil", "syrup")
    for name in fluid_names():
        rows = [row for row in load("fluids") if row["fluid"] == name]
        warm, heavy, thick = (
            [float(r[k]) for r in rows] for k in ("temperature_c", "density_kg_m3", "viscosity_mpa_s")
        )
        assert warm == sorted(set(warm))
        assert heavy == sorted(heavy, reverse=True)
        assert thick == sorted(thick, reverse=True)
        for row, t, density in zip(rows, warm, heavy, strict=True):
            found = fluid(name, t)
            assert found.density_kg_m3 == pytest.approx(density)
            assert row["source"] in found.source


def test_between_rows_density_runs_straight_and_viscosity_by_its_logarithm() -> None:
    found = fluid("Oil", 15.0)
    assert found.density_kg_m3 == pytest.approx((925.0 + 918.0) / 2.0)
    assert found.viscosity_mpa_s == pytest.approx(math.sqrt(110.0 * 66.0))


def test_a_liquid_or_temperature_out_of_the_table_is_refused() -> None:
    with pytest.raises(ValueError, match="density and viscosity"):
        fluid("mercury")
    for t in (-1.0, 61.0, math.nan):
        with pytest.raises(NotCovered, match="0 to 60 °C"):
            fluid("water", t)
    with pytest.raises(ValueError, match="density"):
        own_fluid("brew", 0.0, 1.0)
    with pytest.raises(ValueError, match="viscosity"):
        own_fluid("brew", 1000.0, math.nan)
    assert own_fluid("brew", 1100.0, 5.0).density_kg_m3 == 1100.0


def test_every_row_of_the_crazing_table_stops_under_every_name() -> None:
    for row in load("liquids_that_craze"):
        assert row["effect"] in ("attacks", "limited")
        for name in (row["liquid"], *filter(None, row["also_called"].split(";"))):
            found = crazing_finding(name.upper())
            assert crazing(name) is row
            assert found is not None
            assert found.level == "stop"
            assert row["source"] in found.source


@pytest.mark.parametrize("name", ["water", "salt-water", "milk", "oil", "syrup", "tea"])
def test_a_harmless_or_unknown_liquid_gives_no_finding(name: str) -> None:
    assert crazing_finding(name) is None
