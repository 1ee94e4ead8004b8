"""The whole proof: closed forms, scaling, symmetry, and slips that must be seen."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from rigs import at_rest, built, case, order, plates, proof, seam_of, use_of

from assemblies.liquid.loads.loadcase import LoadCase
from assemblies.strength import plate
from assemblies.strength.proof.cases import load_cases
from assemblies.strength.proof.loads import settings_of
from assemblies.strength.proof.uses import Loaded
from assemblies.strength.tank.model import tank_model
from assemblies.strength.tank.pads import _layer_pull, groups_of
from assemblies.strength.tank.prove import prove, tank_of
from assemblies.strength.tank.said import over

G = 9806.65


def no_liquid(panel, points):
    return np.zeros(len(points))


def halved(one: Loaded) -> Loaded:
    push = one.load.pressure
    return replace(one, load=replace(one.load, pressure=lambda panel, points: push(panel, points) / 2.0))


def greatest(found) -> float:
    return max(u.use for u in (*found.uses, *found.seams))


# --- slips that must be seen -------------------------------------------------------------------------------------------


def test_clamped_for_free_is_seen():
    """A wall clamped on three sides bows far less than one with the same edge free, and its joint carries more."""
    sizes = (300.0, 150.0, 6.0, 3300.0, 0.37)
    free = plate(*sizes, {"left": "clamped", "right": "clamped", "bottom": "clamped", "top": "free"}, (0.0, 1.2e-3))
    swapped = plate(*sizes, {"left": "clamped", "right": "clamped", "bottom": "free", "top": "clamped"}, (0.0, 1.2e-3))
    # the pressure is largest below: freeing that edge instead more than doubles the bow
    assert swapped.deflection.value > 2.0 * free.deflection.value
    wall = use_of(proof(order(fill="150 mm")), "front")
    soft = 3300.0 / 1000.0
    assert wall.deflection < 3.3 * soft * swapped.deflection.value
    assert wall.at_mm == pytest.approx((150.0, 0.0), abs=2.0)  # stressed most at its foot, in the middle
    assert wall.deflection_at_mm == pytest.approx((150.0, 150.0), abs=2.0)  # an open-topped tank bows most at its rim


def weightless(given):
    """The tank of an order without the weight of its sheet."""
    tank = tank_of(built(given), settings_of(given))
    return replace(tank, model=replace(tank.model, spec=replace(tank.model.spec, density_kg_m3=0.0)))


def test_half_the_load_gives_half_of_everything_but_own_weight():
    given = order(fill="150 mm")
    full, half = (prove(weightless(given), (one,)) for one in (at_rest(given), halved(at_rest(given))))
    for a, b in zip(full.uses, half.uses, strict=True):
        assert b.stress == pytest.approx(a.stress / 2.0, rel=1e-9)
        assert b.deflection == pytest.approx(a.deflection / 2.0, rel=1e-9)
    for s, t in zip(full.seams, half.seams, strict=True):
        assert t.bending == pytest.approx(s.bending / 2.0, rel=1e-6)


def test_nominal_for_measured_thickness_is_seen():
    """Sheet sold as 6 mm that measures 5: stress about (6/5)^2, bow about (6/5)^3 of the nominal one."""
    nominal = use_of(proof(order(measured=6.0, fill="150 mm")), "front")
    thin = use_of(proof(order(measured=5.0, fill="150 mm")), "front")
    # 3 and 5 %: the spans shrink by a sixtieth with the sheet
    assert thin.stress / nominal.stress == pytest.approx(1.44, rel=0.03)
    assert thin.deflection / nominal.deflection == pytest.approx(1.728, rel=0.05)


def test_density_of_the_liquid_counts():
    given = order(fill="150 mm")
    water, salt = (use_of(prove(weightless(given), (at_rest(given, density=d),)), "front") for d in (1000.0, 1025.0))
    assert salt.stress / water.stress == pytest.approx(1.025, rel=1e-9)


def test_the_joint_fraction_counts_for_seams_only():
    weak, strong = (proof(order(tables={"limits": f"joint = {j}"})) for j in (0.2, 0.4))
    for a, b in zip(weak.seams, strong.seams, strict=True):
        assert a.use == pytest.approx(2.0 * b.use)
    assert [u.use for u in weak.uses] == [u.use for u in strong.uses]


def test_a_factor_divides_every_allowance_of_stress():
    plain, safe = (
        proof(order(support="plates", more=plates(), tables={"limits": f"factor = {f}"})) for f in (1.0, 2.0)
    )
    for a, b in zip(plain.uses, safe.uses, strict=True):
        assert b.stress_use == pytest.approx(2.0 * a.stress_use)
        assert b.bow_use == pytest.approx(a.bow_use)
    for s, t in zip((*plain.seams, *plain.mounts), (*safe.seams, *safe.mounts), strict=True):
        assert t.use == pytest.approx(2.0 * s.use)


def test_the_longer_it_lasts_the_more_it_bows_and_the_less_it_may_carry():
    given = order(fill="150 mm")
    one = at_rest(given)
    found = [
        use_of(proof(given, replace(one, load=replace(one.load, duration=d))), "front")
        for d in ("minutes", "hours", "permanent")
    ]
    assert len({u.stress for u in found}) == 1
    assert found[0].deflection < found[1].deflection < found[2].deflection
    assert found[0].allowed.value > found[1].allowed.value > found[2].allowed.value


# --- scaling, symmetry, nothing ---------------------------------------------------------------------------------------


def test_twice_the_tank_under_the_same_head_carries_the_same_stress():
    """All lengths doubled at the same pressures: the same stress, twice the bow (Kirchhoff plates)."""
    small, large = order(fill="150 mm"), order((600.0, 400.0, 300.0), 12, fill="300 mm")
    a = prove(weightless(small), (at_rest(small),))
    b = prove(weightless(large), (at_rest(large, density=500.0),))
    for one, other in zip(a.uses, b.uses, strict=True):
        assert other.stress == pytest.approx(one.stress, rel=1e-6)
        assert other.deflection == pytest.approx(2.0 * one.deflection, rel=1e-6)
    for s, t in zip(a.seams, b.seams, strict=True):
        assert t.combined == pytest.approx(s.combined, rel=1e-5)


def test_left_and_right_front_and_back_are_alike():
    found = proof(order(support="plates", more=plates()))
    for one, other in (("left", "right"), ("front", "back")):
        assert use_of(found, one).stress == pytest.approx(use_of(found, other).stress, rel=1e-6)
        assert use_of(found, one).deflection == pytest.approx(use_of(found, other).deflection, rel=1e-6)
    corners = [s.combined for s in found.seams if s.seam in ("front-left", "front-right", "back-left", "back-right")]
    assert corners == pytest.approx([corners[0]] * 4, rel=1e-5)


def test_a_slide_to_the_right_and_one_to_the_left_are_mirror_images():
    given = order(support="plates", more=plates() + case("go", "slide", direction=[1, 0, 0], acceleration=0.6))
    design = built(given)
    cases = load_cases(design.cavities[0], 7.2e6, 9e6, 1000.0, _dry(design), given.case).cases
    there, back = (prove(tank_of(design, settings_of(given)), (c,)) for c in (cases[2], cases[5]))
    assert use_of(there, "left").stress == pytest.approx(use_of(back, "right").stress, rel=1e-6)
    assert seam_of(there, "left-bottom").combined == pytest.approx(seam_of(back, "right-bottom").combined, rel=1e-6)
    assert use_of(there, "left").stress != pytest.approx(use_of(there, "right").stress, rel=1e-2)


def _dry(design):
    from assemblies.design.mass import combine, piece_body

    return combine(piece_body(p) for p in design.placed)


def test_no_liquid_and_no_weight_is_no_load():
    given = order()
    load = LoadCase(
        name="nothing",
        duration="minutes",
        gravity=(0.0, 0.0, 0.0),
        acceleration=(0.0, 0.0, 0.0),
        pressure=no_liquid,
        dynamic_factor=1.0,
        source="test",
    )
    found = proof(given, Loaded(name="nothing", load=load, mass_kg=1.0, centre_mm=(0.0, 0.0, 0.0)))
    assert greatest(found) == 0.0
    assert over(found) == ()


def test_own_weight_alone_bends_a_hanging_floor():
    """Between supported and clamped edges, as a plate under rho t g."""
    given = order(support="edges")
    design = built(given)
    load = at_rest(given, design, volume=0.0)
    bow = use_of(prove(tank_of(design, settings_of(given)), (load,)), "bottom").deflection / 3.3  # short
    held = dict.fromkeys(("left", "right", "bottom", "top"))
    low, high = (
        plate(
            300.0, 200.0, 6.0, 3300.0, 0.37, dict.fromkeys(held, kind), (1190e-9 * 6.0 * 9.80665, 0.0)
        ).deflection.value
        for kind in ("clamped", "supported")
    )
    assert low < bow < 1.1 * high


# --- the model ---------------------------------------------------------------------------------------------------------


def test_unequal_walls_share_by_stiffness():
    """Thicker ends turn less: the long walls bow less, the ends carry more moment."""
    even = proof(order(fill="150 mm"))
    thick = proof(order(fill="150 mm", more='\n[[panel]]\nname = "left"\nthickness = 12\nmeasured = [12]\n'))
    assert use_of(thick, "front").deflection < use_of(even, "front").deflection
    assert use_of(thick, "left").deflection < 0.3 * use_of(even, "left").deflection
    moment = [seam_of(p, "front-left").bending * t**2 for p, t in ((even, 6.0), (thick, 12.0))]
    assert moment[1] > 1.05 * moment[0]


def test_rim_strip_brace_and_lid_hold_the_rim():
    plain = use_of(proof(order(fill="150 mm")), "front").deflection
    for more, tables in (
        ('\n[[strip]]\nwhere = "rim"\nsize = [30, 6]\n', {}),
        ('\n[[strip]]\nwhere = "brace"\nsize = [30, 6]\nat = [0]\n', {}),
        ('\n[[port]]\nkind = "fill"\non = "lid"\nat = [0, 0]\ndiameter = 40\n', {"tank": 'lid = "bonded"'}),
    ):
        found = proof(order(fill="150 mm", more=more, tables=tables))
        assert use_of(found, "front").deflection < 0.6 * plain


def test_rim_and_brace_bonds_are_proven_too():
    rim = proof(order(fill="150 mm", more='\n[[strip]]\nwhere = "rim"\nsize = [30, 6]\n'))
    names = {s.seam for s in rim.seams}
    assert {"front-rim", "back-rim", "left-rim", "right-rim"} <= names
    assert seam_of(rim, "front-rim").combined > 0.0
    brace = proof(order(fill="150 mm", more='\n[[strip]]\nwhere = "brace"\nsize = [30, 6]\nat = [0]\n'))
    bond = next(s for s in brace.seams if "brace" in s.seam)
    # the brace takes up to the push that the free rim would let go: under a third of the wall's whole resultant
    push = 1000e-9 * 9.80665 * 150.0**2 / 2.0 * 300.0
    assert 0.02 * push < bond.shear / 1.5 * 30.0 * 6.0 < push / 3.0


def test_seam_section_is_that_of_the_panel_that_butts():
    """Front and back run long: the ends butt, so their thickness carries the corner."""
    found = proof(order(fill="150 mm", more='\n[[panel]]\nname = "left"\nthickness = 10\nmeasured = [10]\n'))
    left, right = seam_of(found, "front-left"), seam_of(found, "front-right")
    assert (left.butts, right.butts) == ("left", "right")
    ends = proof(order(fill="150 mm", tables={"tank": 'runs-long = ["ends", "bottom", "front-back"]'}))
    assert seam_of(ends, "front-left").butts == "front"


def test_base_seam_carries_the_hydrostatic_cantilever_at_least_in_part():
    """Long wall on a flat base: between a third and the whole of the cantilever's base moment p h^2 / 6 per mm."""
    given = order((1200.0, 300.0, 150.0), 10, fill="150 mm")
    seam = seam_of(proof(given), "front-bottom")
    cantilever = 1000e-9 * 9.80665 * 150.0 * 150.0**2 / 6.0
    assert 0.75 < seam.bending / (6.0 * cantilever / 10.0**2) < 1.10  # far from the ends it is a cantilever (span +t/2)
    assert seam.at_mm == pytest.approx(600.0, abs=450.0)


def test_pull_in_an_end_is_half_of_the_push_on_the_long_wall():
    """Mid-height corner pull of a tall prismatic tank: p L / 2 t from equilibrium (thin-walled box)."""
    given = order((200.0, 100.0, 600.0), 10, fill="600 mm")
    design = built(given)
    result = prove(tank_of(design, settings_of(given)), (at_rest(given, design),))
    seam = seam_of(result, "front-left")
    assert seam.tension > 0.0
    head = 600.0 - seam.at_mm
    # Kirchhoff's edge shear of a 2:1 panel under a slow gradient: a third to two thirds of p L, not evenly along the edge
    assert 0.2 < seam.tension * 10.0 / (1000e-9 * 9.80665 * head * 210.0) < 0.7


def test_a_hole_carries_three_times_the_plain_field():
    more = '\n[[port]]\nkind = "drain"\non = "front"\nat = [0, -40]\ndiameter = 20\n'
    given = order(fill="150 mm", more=more)
    found = proof(given)
    hole, panel = use_of(found, "front", "hole"), use_of(found, "front")
    assert hole.deflection == 0.0
    assert hole.at_mm == pytest.approx((150.0, 32.0), abs=1e-6)
    design = built(given)
    model = tank_model(design, "flat")
    (result,) = model.box.solve([model.load(at_rest(given, design).load)])
    around = np.linspace(0.0, 2.0 * np.pi, 90)
    places = hole.at_mm[0] + 10.0 * np.cos(around), hole.at_mm[1] + 10.0 * np.sin(around)
    plain = max(
        float(result.stress("front", a, b, side)[0]) for a, b in zip(*places, strict=True) for side in (1.0, -1.0)
    )
    assert hole.stress == pytest.approx(3.0 * plain, rel=0.02)
    assert panel.stress > 0.0


# --- plates ------------------------------------------------------------------------------------------------------------


def test_upside_down_the_shell_pulls_on_the_plates_and_the_floor_bends_the_other_way():
    given = order(support="plates", more=plates() + case("over", "turn", axis=[0, 1, 0], angle=180))
    design = built(given)
    cases = load_cases(design.cavities[0], 7.2e6, 9e6, 1000.0, _dry(design), given.case).cases
    assert len(cases) == 2 + 12 + 1  # with the place where it begins to pour
    last = cases[-1]
    assert last.load.effective == pytest.approx((0.0, 0.0, G))
    found = prove(tank_of(design, settings_of(given)), (last,))
    (mount,) = found.mounts
    weight = _dry(design).mass_kg * 9.80665
    assert mount.bond.tension == pytest.approx(weight / (2 * 2500.0 * 0.5), rel=0.05)  # 5 %: centre of mass and plates
    assert seam_of(found, "bottom-plate-1").bending > 0.0


@pytest.mark.parametrize("on", ["bottom", "left"])
def test_the_plates_give_back_what_the_tank_weighs_and_turns(on):
    """What the layers under the plates pull (equilibrium): weight of liquid and tank, and its lever, by statics."""
    given = order(
        support="plates", more=plates(on, "[[-50, 0], [50, 0]]" if on == "left" else "[[-87.5, 0], [87.5, 0]]")
    )
    design = built(given)
    model, one = tank_model(design, "plates"), at_rest(given, design)
    (result,) = model.box.solve([model.load(one.load)])
    (group,) = groups_of(design, model, settings_of(given))
    force, moment = (values[0] for values in _layer_pull(group, model, result))
    below = sum(p.piece.mass_kg for p in design.placed if p.name.startswith("plate"))
    weight = (one.mass_kg - below) * 9.80665
    assert force == pytest.approx((0.0, 0.0, -weight), abs=0.02 * weight)
    lever = (one.centre_mm[0] - group.pads.middle[0]) * one.mass_kg * 9.80665
    by_statics = (0.0, lever if on == "left" else 0.0, 0.0)
    assert moment == pytest.approx(by_statics, abs=0.08 * max(abs(lever), 0.1 * weight * 150.0))


def test_a_tank_hung_from_one_wall_bends_that_wall():
    more = plates("left", "[[-50, 37.5], [50, 37.5], [-50, -37.5], [50, -37.5]]")
    hung = proof(order(support="plates", more=more))
    stood = proof(order(support="hung"))
    assert use_of(hung, "left").stress > 3.0 * use_of(stood, "left").stress
    assert hung.mounts[0].bond.tension > 0.0
    assert hung.whole[0].lean > 10.0 * stood.whole[0].lean


def test_plates_on_two_opposite_walls_carry_half_each_and_other_sets_the_whole():
    pair = "[[-50, 0], [50, 0]]"
    both = proof(order(support="plates", more=plates("left", pair) + plates("right", pair)))
    left, right = both.mounts
    assert left.bond.force_n[2] == pytest.approx(right.bond.force_n[2])
    one = proof(order(support="plates", more=plates("left", pair)))
    assert left.bond.force_n[2] == pytest.approx(
        one.mounts[0].bond.force_n[2] / 2.0, rel=0.05
    )  # the other plates' weight
    mixed = proof(order(support="plates", more=plates("left", pair) + plates()))
    assert all(abs(m.bond.force_n[2]) > 80.0 for m in mixed.mounts)
    assert any("several faces" in f.why for f in mixed.findings)


# --- what is said ------------------------------------------------------------------------------------------------------


def test_every_use_over_one_is_a_stop_and_nothing_else_is():
    for thickness in (2, 3, 6):
        found = proof(order((500.0, 300.0, 300.0), thickness, fill="290 mm", support="plates", more=plates()))
        failing = {u.piece for u in found.uses if u.use > 1.0} | {s.seam for s in found.seams if s.use > 1.0}
        failing |= {"whole" for w in found.whole if w.use > 1.0}
        said = {name for f in over(found) for name in f.where.split(", ")}
        assert failing == said


UNLIKE = "[[-87.5, -25], [62.5, 50]]"  # no two in line: places beside their edges would be too many


def test_what_the_solver_notices_is_said_once_however_many_cases():
    given = order(support="plates", more=plates(at=UNLIKE) + case("go", "slide", acceleration=1.0))
    design = built(given)
    cases = load_cases(design.cavities[0], 7.2e6, 9e6, 1000.0, _dry(design), given.case).cases
    found = prove(tank_of(design, settings_of(given)), cases)
    (noticed,) = (f for f in found.findings if "stand so unevenly" in f.why)
    assert (noticed.level, noticed.where) == ("note", "bottom")  # the stress has it already


def test_an_unsettled_stress_is_taken_larger_by_its_error():
    given = order(support="plates", more=plates(at=UNLIKE))
    floor = use_of(proof(given), "bottom")
    assert floor.error >= 0.1
    design = built(given)
    model = tank_model(design, "plates")
    (result,) = model.box.solve([model.load(at_rest(given, design).load)])
    stress = max(float(result.stress("bottom", *floor.at_mm, side)[0]) for side in (1.0, -1.0))
    assert floor.stress == pytest.approx(stress * (1.0 + floor.error), rel=1e-9)


def test_deflection_limit_as_a_length_or_a_share_of_the_span():
    share = use_of(proof(order(tables={"limits": 'deflection = "1/100"'})), "front")
    assert share.allowed_deflection == pytest.approx(3.0)  # length 300 is less than twice the height... of 150
    length = use_of(proof(order(tables={"limits": "deflection = 0.7"})), "front")
    assert length.allowed_deflection == pytest.approx(0.7)
    tall = use_of(proof(order((300.0, 200.0, 100.0), fill="80 mm")), "front")
    assert tall.allowed_deflection == pytest.approx(1.0)  # twice the height of 100 over 200
