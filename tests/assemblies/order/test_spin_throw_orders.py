"""Wrong orders of spins and throws: each has one fault, at its own key, in words that say what to do."""

from __future__ import annotations

import math

import pytest
from starters import bare

from assemblies.kinds import schemas
from assemblies.order import CaseSpec, Order, OrderError, read_order_text

TANK = bare("tank").partition("[[case]]")[0]
SPIN = 'kind = "spin"\nspeed = "180 rpm"\n'
THROW = 'kind = "throw"\nbore = 20\npressure = "3 bar"\nstroke = "100 mm"\n'
PUSHED = 'kind = "throw"\nacceleration = "2 m/s2"\n'


def read(case: str) -> Order:
    return read_order_text(f'{TANK}\n[[case]]\nname = "c"\n{case}', schemas(), "order.toml")


def one(case: str) -> CaseSpec:
    return read(case).case[0]


WRONG = [
    ('kind = "spin"\n', "speed", "needs it"),
    ('kind = "spin"\nspeed = "0.5 m/s"\n', "speed", "no speed of turning"),
    ('kind = "spin"\nspeed = "0 rpm"\n', "speed", "is not over 0"),
    ('kind = "spin"\nspeed = "3 Hz"\n', "speed", "unknown unit"),
    (SPIN + 'ramp = "0 s"\n', "ramp", "is not over 0"),
    (SPIN + 'ramp = "2 h"\n', "ramp", "out of range"),
    (SPIN + 'off-centre = "-1 mm"\n', "off-centre", "is negative"),
    (SPIN + 'guard = "yes"\n', "guard", "neither true nor false"),
    (SPIN + 'acceleration = "1 m/s2"\n', "acceleration", "a spin has none"),
    (SPIN + "direction = [1, 0, 0]\n", "direction", "a spin has none"),
    (SPIN + "axis = [0, 1, 0]\n", "axis", "upright axis"),
    (SPIN + 'stop = "cushioned"\n', "stop", 'belongs to a case of kind "slide or throw"'),
    (SPIN + "brake = true\n", "brake", 'belongs to a case of kind "slide or turn"'),
    (THROW.replace("20", "21"), "bore", "no standard cylinder has a bore of 21 mm"),
    (THROW.replace("bore = 20\n", ""), "bore", "needs bore, pressure and stroke"),
    (THROW.replace('pressure = "3 bar"\n', ""), "pressure", "needs bore, pressure and stroke"),
    (THROW.replace('stroke = "100 mm"\n', ""), "stroke", "needs bore, pressure and stroke"),
    (THROW.replace("3 bar", "11 bar"), "pressure", "out of range"),
    (THROW.replace("3 bar", "0 bar"), "pressure", "is not over 0"),
    (THROW.replace("3 bar", "3 N"), "pressure", "unknown unit"),
    (THROW + 'supply = "0 L/(s bar)"\n', "supply", "out of range"),
    (THROW + "supply = 1.2\n", "supply", "has no unit"),
    (THROW + 'reservoir = "1 kg"\n', "reservoir", "unknown unit"),
    (THROW + "angle = 0\n", "angle", "over 0, up to 90"),
    (THROW + "angle = 100\n", "angle", "over 0, up to 90"),
    (THROW + 'toward = "left"\n', "toward", "with an angle under 90"),
    (THROW + 'stop = "soft"\n', "stop", "cushioned"),
    (THROW + 'stop = "2 m/s2"\n', "stop", "is not how a throw is stopped"),
    (THROW + 'cushion = "10 mm"\n', "cushion", "belongs to what stops it"),
    (THROW + 'stop = "none"\nabsorbs = "2 J"\n', "absorbs", "belongs to what stops it"),
    (THROW + 'acceleration = "2 m/s2"\n', "acceleration", "stands beside a cylinder"),
    (THROW + "direction = [0, 0, 1]\n", "direction", "stands beside a cylinder"),
    (THROW + "ramp = 3\n", "ramp", 'belongs to a case of kind "spin"'),
    (PUSHED + "guard = true\n", "guard", "with bore, pressure and stroke"),
    (PUSHED + 'stop = "cushioned"\n', "stop", "with bore, pressure and stroke"),
    ('kind = "throw"\n', "acceleration", "needs acceleration or bore"),
    ('kind = "slide"\nacceleration = "1 m/s2"\nbore = 20\n', "bore", 'belongs to a case of kind "throw"'),
    (
        'kind = "slide"\nacceleration = "1 m/s2"\ndistance = 600\nspeed = "1 m/s"\nstop = "cushioned"\n',
        "stop",
        "is how a throw is stopped",
    ),
    (SPIN + '[[drive]]\ncase = "c"\nper-turn = "40 mm"\n', "per-turn", "gear instead"),
    (THROW + '[[drive]]\ncase = "c"\ngear = 3\n', "case", "is thrown by its cylinder"),
]


@pytest.mark.parametrize(("case", "key", "says"), WRONG)
def test_a_wrong_order_of_a_spin_or_a_throw_is_one_clear_error(case: str, key: str, says: str) -> None:
    with pytest.raises(OrderError) as caught:
        read(case)
    assert [p.key[-1] for p in caught.value.problems] == [key], str(caught.value)
    assert says in str(caught.value)
    assert "\n" not in str(caught.value).strip()


def test_units_of_a_spin_and_a_throw() -> None:
    assert one('kind = "spin"\nspeed = 120\n').rpm == 120.0
    assert one(SPIN.replace("180 rpm", "3 turns/s")).rpm == pytest.approx(180.0)
    assert one(SPIN.replace("180 rpm", f"{6.0 * math.pi:.9f} rad/s")).rpm == pytest.approx(180.0)
    thrown = one(THROW.replace("3 bar", "43.511 psi") + 'supply = "1.2 dm3/(s bar)"\nreservoir = "750 mL"\n')
    assert thrown.pressure == pytest.approx(0.3, rel=1e-4)
    assert thrown.supply == pytest.approx(1.2e7)  # mm3/(s MPa): 1.2e6 mm3 a second and tenth of a MPa
    assert thrown.reservoir == 0.75
    assert one(THROW + 'stop = "bumper"\nabsorbs = "250 mJ"\n').absorbs == 0.25
    assert one(THROW).stop_m_s2 is None
