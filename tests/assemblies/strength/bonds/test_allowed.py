"""The chain table x environment x joint / factor, term by term."""

from __future__ import annotations

import pytest

from assemblies.strength.bonds.allowed import allowed_stress, environment, factor_of, factor_source
from parts.findings import SeamwrightError
from parts.stock.material import DURATIONS, material, material_names
from parts.tables import load


@pytest.mark.parametrize("name", material_names())
@pytest.mark.parametrize("duration", DURATIONS)
def test_every_term_multiplies_or_divides(name, duration):
    table = material(name).design_stress(duration).value
    got = allowed_stress(material(name), duration, environment=0.5, joint=0.4, factor=2.0)
    assert got.value == pytest.approx(table * 0.5 * 0.4 / 2.0, rel=1e-12)
    assert got.terms == {"table": table, "environment": 0.5, "joint": 0.4, "factor": 2.0, "source": got.source}
    assert got.source


def test_permanent_allowance_stays_under_half_of_the_found_craze_limits():
    # sheet maker's page on design stresses, quoted by a distributor: 1500 psi cast, 750 psi extruded against crazing
    psi = 0.00689476
    for name, value, craze in (("cast-pmma", 5.0, 1500 * psi), ("extruded-pmma", 2.5, 750 * psi)):
        assert allowed_stress(material(name), "permanent").value == value <= craze / 2.0


def test_the_longer_the_load_stays_the_less_is_allowed():
    for name in material_names():
        values = [allowed_stress(material(name), d).value for d in ("minutes", "hours", "permanent")]
        assert values == sorted(values, reverse=True)


@pytest.mark.parametrize("wrong", [{"environment": 1.01}, {"environment": 0.0}, {"joint": 1.5}, {"joint": -0.1}])
def test_nothing_may_raise_the_allowed_stress(wrong):
    with pytest.raises(SeamwrightError, match="at most 1"):
        allowed_stress(material("cast-pmma"), "hours", **wrong)


@pytest.mark.parametrize("factor", [0.99, 0.0, -1.0, float("nan"), float("inf")])
def test_factor_under_one_or_no_number_is_refused(factor):
    with pytest.raises(SeamwrightError, match="at least 1"):
        allowed_stress(material("cast-pmma"), "hours", factor=factor)


def test_warm_and_unknown_liquids_halve_what_is_left_each():
    assert [environment(40.0), environment(40.1), environment(20.0, known=False), environment(50.0, known=False)] == [
        1.0,
        0.5,
        0.5,
        0.25,
    ]


def test_every_factor_has_a_value_and_a_source_and_is_used():
    names = [row["factor"] for row in load("strength_factors")]
    assert len(set(names)) == len(names)
    for name in names:
        assert factor_of(name) > 0.0
        assert factor_source(name).startswith(("judgement", "from memory")) or factor_source(name).endswith(
            "(from memory)"
        )
    with pytest.raises(KeyError):
        factor_of("no-such")
