"""Cautions: each hazard of the shop has its row, each order gets those of its steps and no others."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shop_orders import answers, examined

from assemblies.report.check import Checked
from assemblies.report.plain import plain
from assemblies.shop.bond.checks import BOND
from assemblies.shop.care.cautions import STATIONS, cautions_for, cautions_of, steps_of
from assemblies.shop.care.checks import CAUTIONS
from parts.findings import SeamwrightError
from parts.tables import load

#: Hazards that must be met wherever they can arise, with words that the caution must bear (standards, figures).
MUST = [
    ("saw", ("450 mm", "300 mm")),
    ("saw", ("8 mm", "6/10")),
    ("saw", ("Guard, riving knife",)),
    ("saw", ("Eye protection",)),
    ("small-pieces", ("300 mm", "50 mm", "carrier")),
    ("router", ("Hold the sheet down",)),
    ("laser", ("ignites", "never leave")),
    ("laser", ("methyl methacrylate", "100 ppm", "outdoors")),
    ("laser", ("interlocks",)),
    ("score", ("gloves",)),
    ("drill", ("Clamp the work",)),
    ("drill", ("eye protection",)),
    ("tap", ("Tap by hand",)),
    ("air", ("30 psi", "chip guarding", "eye protection")),
    ("solvent", ("exhaust",)),
    ("solvent", ("nitrile",)),
    ("solvent", ("flame", "vapour")),
    ("solvent", ("banned",)),
    ("oven", ("two air changes", "175 °C", "outdoors")),
    ("oven", ("kitchen",)),
    ("gas-pressure", ("Never", "brittle", "water only")),
    ("water-load", ("1 kg", "4.9 kPa", "drain")),
    ("carry", ("23 kg",)),
    ("water-mains", ("30 mA", "4 to 6 mA")),
    ("water-mains", ("25 V AC", "60 V DC", "drip")),
    ("moving-rig", ("ISO 12100", "ISO 14120", "ISO 13850", "IEC 60204-1", "ISO 13849-1")),
    ("moving-rig", ("25 mm", "100 mm", "120 mm")),
    ("pneumatics", ("Isolate", "whip", "soft start")),
    ("rotating", ("guard", "half m v squared")),
    ("rotating", ("0.12 MPa", "1.07 MPa")),
]


@pytest.mark.parametrize(("step", "words"), MUST, ids=lambda v: v if isinstance(v, str) else v[0])
def test_a_hazard_is_met_at_its_step(step, words):
    assert any(all(w in c.text for w in words) for c in cautions_for(step)), [c.text for c in cautions_for(step)]


@pytest.mark.parametrize(
    ("reckoned", "printed", "digit"),
    [
        (1000 * 9.81 * 0.5 / 1000, 4.9, 0.05),  # half a metre of water, kPa
        (1190 * 10**2 / 1e6, 0.12, 0.005),  # rim at 10 m/s, MPa
        (1190 * 30**2 / 1e6, 1.07, 0.005),
        ((350 - 32) / 1.8, 175, 2.0),  # 350 F in C
        (30 * 6894.757 / 1e5, 2.0, 0.1),  # 30 psi in bar
    ],
)
def test_figures_in_cautions_are_right(reckoned, printed, digit):
    assert reckoned == pytest.approx(printed, abs=digit)
    assert any(f"{printed:g}" in c.text for step in STATIONS for c in cautions_for(step))


def test_every_step_has_a_caution_and_every_row_a_step():
    assert {row["step"] for row in load("cautions")} == set(STATIONS)
    for step in STATIONS:
        for one in cautions_for(step):
            assert one.step == step
            assert one.source


def test_ids_are_unique_over_all_steps():
    ids = [c.id for step in STATIONS for c in cautions_for(step)]
    assert len(set(ids)) == len(ids)


def test_what_the_law_touches_ends_by_deferring_to_it():
    says = "Local codes and a licensed engineer have the last word."
    yes = {row["caution"] for row in load("cautions") if row["defers"] == "yes"}
    assert {row["defers"] for row in load("cautions")} == {"yes", "no"}
    for step in STATIONS:
        for one in cautions_for(step):
            assert one.text.endswith(says) == (one.id in yes)
    for step in ("saw", "laser", "air", "solvent", "oven", "gas-pressure", "water-load", "water-mains", "moving-rig",
                 "pneumatics", "rotating", "carry"):  # fmt: skip
        assert any(c.id in yes for c in cautions_for(step)), step


def test_an_unknown_step_is_refused_with_those_there_are():
    with pytest.raises(SeamwrightError, match="no step 'welding'; there are: saw, small-pieces"):
        cautions_for("welding")


def steps(*edits, more=""):
    found = examined(*edits, more=more)
    return steps_of(found.order, found.design)


def test_the_starter_tank_needs_these_steps():
    assert steps() == (
        "saw", "small-pieces", "air", "drill", "tap", "edges", "solvent", "oven", "gas-pressure", "water-load",
        "water-mains", "carry", "moving-rig",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("process", "step"), [("router", "router"), ("laser", "laser"), ("score-and-snap", "score"), ("saw", "saw")]
)
def test_a_process_brings_its_own_step_only(process, step):
    got = steps(('process    = "saw" ', f'process    = "{process}" '))
    assert [s for s in got if s in ("saw", "router", "laser", "score")] == [step]
    assert ("small-pieces" in got) == (step == "saw")


def test_one_panel_cut_otherwise_brings_a_second_step():
    got = steps(more='\n[[panel]]\nname = "front"\nthickness = 6\nprocess = "laser"\n')
    assert {"saw", "laser"} <= set(got)


def test_pieces_large_enough_need_no_carrier():
    big = (("[300, 200, 150]", "[900, 500, 400]"), ('fill = "120 mm"', 'fill = "100 mm"'))
    assert "small-pieces" in steps(*big)  # its plates are 50 x 50
    found = examined(*big)
    walls = tuple(p for p in found.design.placed if p.piece.kind != "tapped-plate")
    alone = type(found.design)(**{**vars(found.design), "placed": walls, "fasteners": ()})
    assert "small-pieces" not in steps_of(found.order, alone)
    assert "drill" not in steps_of(found.order, alone)


@pytest.mark.parametrize(
    ("case", "more"),
    [
        ('kind = "throw"\ndirection = [0, 0, 1]\nacceleration = "2 m/s2"', {"moving-rig", "pneumatics"}),
        ('kind = "spin"\nspeed = 60', {"moving-rig", "rotating"}),
        ('kind = "turn"\nangle = 30', {"moving-rig"}),
        ('kind = "carry"', set()),
    ],
)
def test_a_case_brings_the_steps_of_its_motion(case, more):
    old = 'kind = "slide"\ndirection = [1, 0, 0]\nacceleration = "0.8 m/s2"'
    got = set(steps((old, case)))
    assert got & {"moving-rig", "pneumatics", "rotating"} == more


def test_the_section_bears_every_caution_of_every_step_with_its_station():
    found = examined()
    rows = plain(cautions_of(steps_of(found.order, found.design)))
    for step in steps_of(found.order, found.design):
        assert [r["id"] for r in rows if r["step"] == step] == [c.id for c in cautions_for(step)]
    assert all(r["station"] == STATIONS[r["step"]] for r in rows)


def test_every_caution_that_a_bonding_step_names_is_in_the_section():
    for edits in ((), (('process    = "saw" ', 'process    = "laser" '),)):
        found = examined(*edits)
        got = {"fit": Checked(figures=found.fit), "apart": Checked(figures=found.exploded)}
        report = plain(answers(found.order, found.design, got, (BOND, CAUTIONS))[1])
        there = {row["id"] for row in report["cautions"]}
        named = {c for step in report["bonding"]["steps"] for c in step["cautions"]}
        assert named
        assert named | set(report["bonding"]["anneal"]["cautions"]) <= there


def test_an_order_without_holes_has_nothing_at_the_drill():
    """The air that blows chips off is then the saw's."""
    bare = examined()
    sheets = {placed.piece for placed in bare.design.placed if not placed.piece.holes}
    design = replace(bare.design, placed=tuple(p for p in bare.design.placed if p.piece in sheets))
    section = cautions_of(steps_of(bare.order, design))
    assert {one.station for one in section} == {"cut", "edges", "bond", "wait", "test"}
    assert [one.station for one in section if one.id == "air-pressure"] == ["cut"]
