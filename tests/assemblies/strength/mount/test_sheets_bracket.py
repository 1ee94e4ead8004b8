"""Brackets that bricks do not mesh are taken as sheets: these held to the same solids, where both can be had.

`solid_bracket.py` made the figures. `three` and `near` are held out; nothing here was fitted to any of the five but the larger
sag and stress that `prove` takes of sheets.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from assemblies.kinds.prop_mount.checks import _said
from assemblies.strength.mount import parts
from assemblies.strength.mount.bricks import BracketPlate
from assemblies.strength.mount.prove import _NOTCHED, _THICK, prove
from tests.assemblies.strength.mount.test_solid_bracket import SOFTER, SOLIDS, bracket

SOME = pytest.mark.parametrize("name", ["two", "tall", "near"])


@cache
def sheets(name: str, weightless: bool) -> tuple[parts.Part, ...]:
    mount, plain = bracket(SOLIDS[name]["given"]), parts.sheet
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(parts, "_in_bricks", lambda mount: ())
        if weightless:
            patch.setattr(parts, "standing_on", lambda mount, *names: mount.prop)
            patch.setattr(parts, "sheet", lambda *a, **k: plain(*a, **{**k, "density_kg_m3": 0.01}))
        return parts.parts_of(mount)


@SOME
def test_what_is_said_of_sheets_is_never_less_than_of_solids(name: str) -> None:
    """Sag as `prove` takes it, and stress at holes: sideways far too soft beside an upright that is tall or a prop that stands
    out (they take the upright's shear centre as its middle plane), which is safe."""
    prop, fine = bracket(SOLIDS[name]["given"]).prop, SOLIDS[name]["fine"]
    for way, high in ((0, 1.6), (1, 1.15), (2, 1.13)):
        x, y, z = (float(k == way) / prop.mass_kg for k in range(3))
        moved = 0.0
        for part in sheets(name, True):
            moved += SOFTER * _THICK * float(np.linalg.norm(part.prop_moves(prop, (x, y, z))))
            piece, holes = part.plate.name, "holes" if part.plate.name == "base" else "prop holes"
            read = part.result.stress(part.weights((x, y, z))).safe + part.in_plane((x, y, z))
            theirs = max(fine["stress"][way][piece], fine["stress"][way][holes])
            assert 1.0 < _NOTCHED[piece] * read / theirs < 3.0
        assert 1.05 < moved / float(np.linalg.norm(fine["moved"][way])) < high


@SOME
def test_the_first_frequency_of_sheets_is_hardly_over_that_of_the_solid(name: str) -> None:
    ours = 1.0 / math.sqrt(sum(1.0 / part.result.frequency_hz[0] ** 2 for part in sheets(name, False)))
    assert 0.86 < ours / math.sqrt(SOFTER) / SOLIDS[name]["fine"]["frequency"][0] < 1.02


def test_a_bracket_without_room_for_bricks_is_proven_as_sheets_and_said_to_be() -> None:
    given = SOLIDS["two"]["given"]
    near = bracket({**given, "bolts": [[40, 45], [80, 45], [40, 96], [80, 96]]})
    plain, proof = bracket(given), prove(near)
    assert not any(isinstance(part.result, BracketPlate) for part in parts.parts_of(near))
    assert proof.as_sheets
    assert not prove(plain).as_sheets


def test_what_is_proven_as_sheets_is_told_to_who_reads_the_report() -> None:
    mount = bracket(SOLIDS["two"]["given"])
    whole = prove(mount)
    as_bricks, as_sheets = (
        {one.why for one in _said(mount, replace(whole, as_sheets=sheets))} for sheets in (False, True)
    )
    assert len(as_bricks) == 1, "the toe: proven in the mean, not at its tip"
    assert any("calculated as sheets" in one for one in as_sheets - as_bricks)
    assert not any("calculated as sheets" in one for one in as_bricks)
