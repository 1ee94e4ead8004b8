"""Rim strips and braces: what they carry themselves, at their joints and on the walls.

Figures of solids: 600 x 300 x 300 mm inside, 8 mm, 280 mm of water, on a flat base; C3D20 in CalculiX, two bricks through the
sheet (computed; its sections are integrals over Gauss planes).
"""

from __future__ import annotations

import numpy as np
import pytest
from rigs import order, proof, seam_of, use_of

from assemblies.strength import Box, Brace, Liquid, Load, Strip, tank_spec
from assemblies.strength.tank.read import JointRead
from assemblies.strength.tank.rim import Bar, brace_reads, strip_reads

SIZE = (600.0, 300.0, 300.0)


def read(rim):
    spec = tank_spec(SIZE, 8.0, 3200.0, 0.37, "flat", rim, density_kg_m3=1190.0)
    water = Liquid(density_kg_m3=998.2, depth_mm=280.0)
    load = Load(push=lambda _, x, y, z: water(x, y, z), pull_mm_s2=(0.0, 0.0, -9806.65))
    (got,) = Box(spec=spec).solve([load])
    return {one.name: one for one in (*strip_reads(got), *brace_reads(got, ("brace",) * len(spec.braces)))}


@pytest.mark.published
def test_a_brace_is_bent_by_the_rims_that_turn():
    """In the solid 0.062 MPa of pull, bent with 0.26 MPa at its end and 0.34 a third along; the bond takes its end's moment."""
    got = read(Brace(at_mm=300.0, width=40.0, thickness=8.0))
    bar, bond = got["brace"], got["front-back-brace-300"]
    assert isinstance(bar, Bar)
    assert isinstance(bond, JointRead)
    assert 0.062 + 0.264 < bar.stress[0] < 1.2 * (0.062 + 0.264)
    assert 0.264 < bond.bending[0] < 1.25 * 0.264
    assert bond.shear[0] == pytest.approx(1.5 * 19.6 / (40.0 * 8.0), rel=0.1)


@pytest.mark.published
def test_a_strips_corner_is_a_joint():
    """In the solid the short strip's end carries 0.08 MPa of pull and is bent level with 0.318; the long one's middle 0.30."""
    got = read(Strip(width=40.0, thickness=8.0))
    butt = got["rim-left-rim-front"]
    assert isinstance(butt, JointRead)
    assert butt.butts == "rim-left"
    assert 0.08 + 0.318 < butt.bending[0] + butt.tension[0] < 1.2 * (0.08 + 0.318)
    assert {n for n in got if n.startswith("rim-") and n.count("rim") == 1} == {
        "rim-left",
        "rim-right",
        "rim-front",
        "rim-back",
    }


def test_what_a_rim_carries_is_judged():
    rim = proof(order(fill="150 mm", more='\n[[strip]]\nwhere = "rim"\nsize = [30, 6]\n'))
    assert use_of(rim, "rim-front", "strip").stress > 0.0
    assert seam_of(rim, "rim-left-rim-front").use > 0.0
    brace = proof(order(fill="150 mm", more='\n[[strip]]\nwhere = "brace"\nsize = [30, 6]\nat = [0]\n'))
    assert use_of(brace, "brace-1-1", "strip").stress > 0.0
    (bond,) = [s for s in brace.seams if "brace" in s.seam]
    assert bond.bending > 0.0


def test_a_seam_has_the_twist_in_it():
    """Where walls and floor are loaded alike on all sides the middle of a seam has none; beside a corner it has."""
    spec = tank_spec(SIZE, 8.0, 3200.0, 0.37, "flat", "free")
    water = Liquid(density_kg_m3=998.2, depth_mm=280.0)
    (got,) = Box(spec=spec).solve([Load(push=lambda _, x, y, z: water(x, y, z))])
    section = got.sheets["front"].section("left", np.array([150.0, 280.0]))
    twist = np.abs(section.m[2][0])
    assert twist[1] > 0.1 * np.abs(section.m[0][0, 1])
    assert section.across[0, 1] > 1.01 * 6.0 * np.abs(section.m[0][0, 1]) / 64.0
