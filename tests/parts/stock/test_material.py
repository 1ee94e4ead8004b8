"""Materials: every row has a figure, the figures hang together, unknown names are refused."""

from __future__ import annotations

import pytest

from parts.stock.material import DURATIONS, MaterialError, Repeated, material, material_names
from parts.tables import load


@pytest.mark.parametrize("row", load("pmma"), ids=lambda row: f"{row['material']} {row['property']} {row['condition']}")
def test_every_row_is_a_figure_inside_its_range_with_a_unit(row):
    owners = material_names() if row["material"] == "pmma" else (row["material"],)
    for name in owners:
        found = material(name).figure(row["property"], row["condition"])
        assert found.value == float(row["value"])
        assert found.unit == row["unit"] != ""
        assert (found.source, found.clause, found.how_known) == (row["source"], row["clause"], row["how_known"])
        if found.low is not None and found.high is not None:
            assert found.low <= found.value <= found.high
            assert found.low < found.high


@pytest.mark.parametrize("name", material_names())
def test_longer_loads_may_stress_less_and_bend_more(name):
    sheet = material(name)
    stresses = [sheet.design_stress(d).value for d in DURATIONS]
    moduli = [sheet.modulus_mpa, *(sheet.creep_modulus(d).value for d in DURATIONS)]
    assert stresses == sorted(stresses, reverse=True)
    assert moduli == sorted(moduli, reverse=True)
    assert len(set(stresses)) == 4


def test_permanent_stress_of_cast_sheet_is_the_design_value_and_never_over_the_craze_limit():
    """The sheet maker's limits are 1500 and 750 psi (page on design stresses); 1 psi = 6894.757 Pa."""
    for name, psi in (("cast-pmma", 1500), ("extruded-pmma", 750)):
        limit = material(name).figure("craze_limit").value
        assert limit == pytest.approx(psi * 0.006894757, abs=0.05)
        assert material(name).design_stress("permanent").value < limit
        assert material(name).design_stress("hours").value <= limit
    assert material("cast-pmma").design_stress("permanent").value == 5.0


def test_the_cold_curving_rule_gives_the_same_permanent_stress():
    """Bent to R = 330 t the skin carries E t / 2R (engineer's bending): 5.0 MPa, the table's permanent value."""
    sheet = material("cast-pmma")
    skin = sheet.modulus_mpa / (2 * sheet.figure("cold_curve_radius").value)
    assert skin == pytest.approx(sheet.design_stress("permanent").value, rel=0.01)


def test_creep_moduli_follow_the_curve_that_the_table_names():
    """E = 3300 / (1 + 0.1786 h^0.223): 24 h gives 2420, 10 years 1012; rounded down, 1.3 %."""
    sheet = material("cast-pmma")
    for duration, hours in (("minutes", 1), ("hours", 24), ("days", 720), ("permanent", 87_660)):
        curve = sheet.modulus_mpa / (1 + 0.1786 * hours**0.223)
        assert sheet.creep_modulus(duration).value == pytest.approx(curve, rel=0.013)
        assert sheet.creep_modulus(duration).value <= curve + 1


@pytest.mark.parametrize("name", material_names())
def test_a_load_that_comes_and_goes_creeps_by_its_share_of_the_time(name):
    """Boltzmann: an hour a day for ten years, its 3652 visits added one by one with the table's own curve."""
    sheet = material(name)

    def yields(hours):
        return (1.0 + 0.1786 * hours**0.223) / 3300.0

    daily = yields(1.0) + sum(yields(24.0 * k + 1.0) - yields(24.0 * k) for k in range(1, 3653))
    found = sheet.creep_modulus(Repeated(stay="minutes", share=1 / 24)).value
    assert found == pytest.approx(1.0 / daily, rel=0.01)
    assert found <= 1.0 / daily
    shares = [sheet.creep_modulus(Repeated(stay="hours", share=s)).value for s in (0.0, 0.2, 0.6, 1.0)]
    assert shares == sorted(shares, reverse=True)
    assert (shares[0], shares[-1]) == (sheet.creep_modulus("hours").value, sheet.creep_modulus("permanent").value)


@pytest.mark.parametrize("name", material_names())
def test_a_load_that_comes_and_goes_may_strain_as_much_as_one_stay(name):
    sheet = material(name)
    for stay in ("minutes", "hours", "days"):
        for share in (0.05, 0.3, 1.0):
            again = Repeated(stay=stay, share=share)
            strain = sheet.design_stress(again).value / sheet.creep_modulus(again).value
            once = sheet.design_stress(stay).value / sheet.creep_modulus(stay).value
            least = sheet.design_stress("permanent").value
            assert strain == pytest.approx(once) or sheet.design_stress(again).value == least
            assert least <= sheet.design_stress(again).value <= sheet.design_stress(stay).value


def test_a_share_is_a_share_and_a_stay_one_of_the_table():
    for wrong in ({"stay": "weeks", "share": 0.5}, {"stay": "days", "share": 1.1}, {"stay": "days", "share": -0.1}):
        with pytest.raises(MaterialError):
            Repeated(**wrong)


def test_light_transmission_is_what_the_index_leaves():
    """Two faces, Fresnel at normal incidence, R = ((n-1)/(n+1))^2, T = (1-R)/(1+R) = 92.5 %."""
    sheet = material("cast-pmma")
    index = sheet.figure("refractive_index").value
    lost = ((index - 1) / (index + 1)) ** 2
    assert 100 * (1 - lost) / (1 + lost) == pytest.approx(sheet.figure("light_transmission").value, abs=0.6)


@pytest.mark.parametrize(
    ("ask", "why"),
    [
        (lambda: material("cast-pma"), "did you mean cast-pmma"),
        (lambda: material("glass"), "there are cast-pmma, extruded-pmma"),
        (lambda: material("pmma"), "unknown material 'pmma'"),
        (lambda: material("cast-pmma").figure("taste"), "no property 'taste'"),
        (lambda: material("cast-pmma").figure("design_stress"), "minutes"),
        (lambda: material("cast-pmma").figure("design_stress", "weeks"), "'weeks' is not there"),
        (lambda: material("cast-pmma").design_stress("weeks"), "none of minutes, hours, days, permanent"),
        (lambda: material("cast-pmma").creep_modulus(""), "none of minutes, hours, days, permanent"),
    ],
)
def test_what_the_table_does_not_have_is_refused(ask, why):
    with pytest.raises(MaterialError) as caught:
        ask()
    assert why in str(caught.value)


def test_a_material_cannot_be_changed():
    sheet = material("cast-pmma")
    assert sheet is material("cast-pmma")
    with pytest.raises(TypeError):
        sheet.properties["density", "23 C"] = sheet.figure("density")
    assert hash(sheet) == hash(material("cast-pmma"))
    assert sheet.figure("density").cited.endswith("(secondary)")
