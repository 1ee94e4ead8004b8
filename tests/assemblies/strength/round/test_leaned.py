"""Round tanks that are tilted or pushed aside: their solid against solids in space by CalculiX, closed forms and statics."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from ccx_aside import CASES, RHO, G, pressure_of

from assemblies.liquid.loads.loadcase import LoadCase
from assemblies.strength.proof.uses import Loaded
from assemblies.strength.round.aside import at_bolts, lean, lifts_off, outline_of, stood
from assemblies.strength.round.loads import HARMONICS, amplitudes
from assemblies.strength.round.prove import RoundTank
from assemblies.strength.round.shell import bent_base
from assemblies.strength.round.solid import Solid
from parts.stock.material import material

CAST = material("cast-pmma")
SOLVED = json.loads((Path(__file__).parent / "ccx_aside.json").read_text(encoding="utf-8"))["cases"]
TANK = RoundTank(
    bore=190.0, wall=5.0, base=12.0, floor=12.0, tube=CAST, disc=CAST, spans=97.5, edge=100.0, tall=300.0, inside=300.0,
)  # fmt: skip


def name(case: dict[str, Any]) -> str:
    how = "grooved" if case["groove"] else "inset" if case["inset"] else ""
    return f"{case['bore']:g}x{case['wall']:g} on {case['base']:g} {how}".strip()


def ours(case: dict[str, Any]) -> tuple[RoundTank, LoadCase]:
    tank = replace(
        TANK, bore=case["bore"], wall=case["wall"], base=case["base"], floor=case["base"], spans=case["ring"],
        edge=case["out"] / 2.0, tall=case["depth"], inside=case["depth"], groove=case["groove"], inset=case["inset"],
    )  # fmt: skip
    press = pressure_of(case)
    return tank, pulled(case["aside"], case["down"], lambda _, at: press(at[:, 0], at[:, 2] - case["base"]))


def pulled(aside: float, down: float, pressure: Any) -> LoadCase:
    return LoadCase(
        name="lean", duration="minutes", gravity=(G * aside, 0.0, -G * down), acceleration=(0.0, 0.0, 0.0),
        pressure=pressure, dynamic_factor=1.0, source="test",
    )  # fmt: skip


def dry(aside: float, down: float = 1.0) -> LoadCase:
    return pulled(aside, down, lambda _, at: np.zeros(len(at)))


def test_what_is_stored_is_what_is_asked() -> None:
    assert [{k: v for k, v in one.items() if k != "solved"} for one in SOLVED] == list(CASES)
    assert (CAST.modulus_mpa, CAST.poisson) == (3300.0, 0.37)


@pytest.mark.parametrize("case", SOLVED, ids=name)
def test_it_is_stressed_as_the_solid_in_space(case: dict[str, Any]) -> None:
    """Nothing was fitted to these. Never 5 % low, and within 8 % high where like is compared with like. `tube` of the other
    solver is what it has from 0.4 walls over the foot on; ours counts the foot, too, where it is bonded: as much as the seam's
    pull there, so that it is 7 to 20 % over the former. Inset, the seam is the disc's, and the foot was not read. A disc
    beside a groove counts by the factor of a sharp hole, which no mesh ends at: only that it is not low."""
    tank, load = ours(case)
    found, want = lean(tank, [load])[0], case["solved"]
    seam = found.bending + found.tension
    like = {"bending": found.bending.max(), "seam": seam.max(), "rim": found.grows, "sag": found.sag}
    if not case["groove"]:
        like["disc"] = found.disc
    for what, value in like.items():
        assert -0.05 < value / want[what] - 1.0 < 0.08, what
    assert found.disc > 0.95 * want["disc"]
    assert 1.0 < found.tube / want["tube"] < 1.25
    if not case["inset"]:
        assert -0.05 < found.tube / want["seam"] - 1.0 < 0.08


def test_more_harmonics_change_no_figure_by_a_hundredth() -> None:
    """A surface that cuts wall and floor is the one that wants most: by twice as many, of the most oblique of them."""
    tank, load = ours(SOLVED[2])
    few, many = lean(tank, [load])[0], lean(tank, [load], 2 * HARMONICS - 1)[0]
    for what in ("tube", "grows", "disc", "sag", "around", "around_bent"):
        assert getattr(few, what) == pytest.approx(getattr(many, what), rel=0.01), what
    assert few.bending.max() == pytest.approx(many.bending.max(), rel=0.01)


@pytest.mark.parametrize("case", SOLVED, ids=name)
def test_its_loads_are_the_weight_of_liquid_and_pieces_and_pull_at_their_middle(case: dict[str, Any]) -> None:
    """Forces and moments about the underside, by the solid's nodes, against quadrature over what is wet and the cut rings."""
    tank, load = ours(case)
    solid = Solid(outline_of(tank))
    one = amplitudes(solid, tank, load)
    r, z = solid.nodes.T
    down = math.tau * one[0, :, 2].sum().real
    aside = math.pi * (one[1, :, 0].real - one[1, :, 1].real).sum()
    turns = math.pi * ((one[1, :, 0].real - one[1, :, 1].real) * z - one[1, :, 2].real * r).sum()
    ri, o = tank.bore / 2.0, solid.outline
    rr, pp = np.meshgrid(ri * (np.arange(400) + 0.5) / 400, np.linspace(0.0, math.tau, 720, endpoint=False))
    surface = case["level"] + case["aside"] / case["down"] * rr * np.cos(pp)
    deep, area = np.clip(surface, 0.0, tank.tall), rr * ri / 400 * math.tau / 720
    inside = float((deep * area).sum())
    if surface.max() > tank.tall:  # closed and full: what it presses the lid with is not on these pieces
        top = RHO * G * case["down"] * np.maximum(surface - tank.tall, 0.0) * area
    else:
        top = np.zeros_like(area)
    mass = inside * RHO
    ring = math.pi * ((ri + tank.wall) ** 2 - ri**2)
    walls = ring * (tank.tall + tank.base - (0.0 if o.inset else o.foot))
    disc = math.pi * (ri if o.inset else o.edge) ** 2 * tank.base - ring * tank.groove
    solids = (walls + disc) * CAST.density_kg_m3 * 1e-12
    assert aside == pytest.approx(G * case["aside"] * (mass + solids), rel=5e-3)
    assert down == pytest.approx(-G * case["down"] * (mass + solids) - float(top.sum()), rel=5e-3)
    middle = float((deep * area * (tank.base + deep / 2.0)).sum()) * RHO
    off = float((deep * area * rr * np.cos(pp)).sum()) * RHO
    wall_z = (tank.tall + tank.base + (0.0 if o.inset else o.foot)) / 2.0
    own = walls * wall_z + disc * tank.base / 2.0
    over = G * (case["aside"] * (middle + own * CAST.density_kg_m3 * 1e-12) + case["down"] * off)
    over += float((top * rr * np.cos(pp)).sum())
    assert turns == pytest.approx(over, rel=0.01)


def test_upright_it_is_the_shell_up_its_wall_and_its_own_middle() -> None:
    """Harmonic 0 alone: hoop, growth against the shell clamped as far in, where it no longer feels its foot."""
    found = stood(TANK, 250.0)
    wall = bent_base(97.5, 5.0, 250.0, TANK.weight, CAST.modulus_mpa, CAST.poisson)
    assert found.around == pytest.approx(wall.hoop, rel=0.05)
    assert np.ptp(found.bending) == pytest.approx(0.0, abs=1e-12)
    many = lean(TANK, [pulled(0.0, 1.0, lambda _, at: np.maximum(TANK.weight * (262.0 - at[:, 2]), 0.0))])[0]
    assert many.tube == pytest.approx(found.tube, rel=1e-6)


def test_across_a_seam_along_it_is_stretched_as_the_section_by_the_other_solver() -> None:
    """CalculiX, CAX8, by `ccx_round`'s deck (bore 190.2, wall 4.9, base 11.4 on a ring under the wall, 250 mm): the largest
    stress around is 0.0455 MPa on the outside far up, and at the foot, pressed in and bent, 0.052 by the rule for welds; the
    hoop's and the bending's sizes added would make 0.142 of it."""
    tank = replace(TANK, bore=190.2, wall=4.9, base=11.4, spans=97.55)
    assert 0.052 < stood(tank, 250.0).around_bent < 0.08


def test_what_turns_it_over_goes_up_its_wall_as_in_a_beam() -> None:
    """N = M / (pi r2) at each height (membrane theory, n = 1), of an empty tank pulled aside: the seam's pull, too."""
    tank = replace(TANK, base=40.0, floor=40.0, tall=400.0)
    solid = Solid(outline_of(tank))
    aside = dry(1.0, 0.0)
    wall = solid.solve(amplitudes(solid, tank, aside, 2)[None]).wall
    a, far = tank.middle, (wall.at > 40.0) & (wall.at < 360.0)
    line = CAST.density_kg_m3 * 1e-12 * G * math.tau * a * tank.wall
    moment = line * (tank.tall - wall.at[far]) ** 2 / 2.0
    assert np.abs(wall.force[0, 1, far, 0]) == pytest.approx(moment / (math.pi * a**2), rel=0.02, abs=2e-4)
    at_foot = line * tank.tall**2 / 2.0 / (math.pi * a**2 * tank.wall)
    assert lean(tank, [aside])[0].tension.max() == pytest.approx(at_foot, rel=0.05)


@pytest.mark.parametrize("n", [2, 3])
def test_a_long_tube_pressed_out_of_round_bends_as_a_ring(n: int) -> None:
    """w = p r4 / (D' (n2 - 1)2) of a ring whose middle does not stretch (Timoshenko, Strength of Materials, part II, rings;
    from memory), D' = E t3 / 12 for what is free to narrow along, (1 - nu2) less where it is not: a wall far from its base."""
    tank = replace(TANK, bore=100.0, wall=4.0, base=6.0, floor=6.0, spans=52.0, edge=54.0, tall=3000.0, inside=3000.0)
    a = tank.middle

    def pressure(face: str, at: Any) -> Any:
        return 1e-4 * np.cos(n * np.arctan2(at[:, 1], at[:, 0])) if face == "wall" else np.zeros(len(at))

    solid = Solid(outline_of(tank))
    moves = solid.solve(amplitudes(solid, tank, pulled(0.0, 0.0, pressure), n + 1)[None]).moves
    top = solid.nodes[:, 1] > 2800.0
    found = float(np.abs(moves[0, n, top, 0]).max())
    load = 1e-4 * (tank.bore / 2.0) / a
    ring = load * a**4 / (CAST.modulus_mpa * tank.wall**3 / 12.0 * (n * n - 1.0) ** 2)
    assert (1.0 - CAST.poisson**2) * 0.97 < found / ring < 1.03


def loaded(down_n: float, aside_n: float, high: float) -> Loaded:
    """Of a kilogram."""
    return Loaded(name="lean", load=dry(1e3 * aside_n / G, 1e3 * down_n / G), mass_kg=1.0, centre_mm=(0.0, 0.0, high))


def test_what_only_stands_rises_where_its_force_leaves_the_core_of_its_ring() -> None:
    """Of a ring half its radius: statics."""
    assert not lifts_off(TANK, loaded(100.0, 10.0, 97.5 * 5.0 * 0.99))
    assert lifts_off(TANK, loaded(100.0, 10.0, 97.5 * 5.0 * 1.01))
    assert lifts_off(TANK, loaded(-1.0, 0.0, 100.0))


def test_its_bolts_pull_by_the_moment_less_the_weight() -> None:
    """2 M / (n R) - W / n on the hardest of n around R (beam statics); what is heavy enough only shears."""
    tank = replace(TANK, edge=135.0, spans=120.0, bolts=(6, 12.0, 6.6), flange=True)
    one, two, heavy = (at_bolts(tank, loaded(w, f, 150.0)) for w, f in ((0.0, 50.0), (0.0, 100.0), (1e4, 50.0)))
    assert two == pytest.approx(2.0 * one)
    pull = 2.0 * 50.0 * 150.0 / 120.0 / 6
    prised = pull * (1.0 + 22.5 / (2.0 * 15.0)) / (math.pi / 4.0 * (12.0**2 - 6.6**2))
    assert one >= prised
    assert heavy == pytest.approx(2.0 * 50.0 / 6 / (6.0 * 12.0))
