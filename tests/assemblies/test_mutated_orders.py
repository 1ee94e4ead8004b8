"""Orders changed at random end as any other does: 0, 1 or 2, an answer or lines that name the order, never a traceback."""

from __future__ import annotations

from pathlib import Path

import pytest
from mutants import faults

from assemblies.kinds import kinds

#: Three in four are read alone (most plan no move, which is said once they are read); the fourth is built and fitted.
READ_OR_FITTED = (["move"], ["fit", "--sizes-only"], ["move", "--json"], ["move"])


def test_every_tenth_of_them(tmp_path: Path) -> None:
    assert {seed: said for seed in range(0, 300, 10) if (said := faults(seed, tmp_path, READ_OR_FITTED))} == {}


@pytest.mark.slow
def test_three_hundred(tmp_path: Path) -> None:
    assert {seed: said for seed in range(300) if (said := faults(seed, tmp_path, READ_OR_FITTED))} == {}


@pytest.mark.slow
def test_tanks_are_held_and_cut(tmp_path: Path) -> None:
    tanks = [len(kinds()) * k + sorted(kinds()).index("tank") for k in range(6)]
    commands = (["hold"], ["cut", "--seconds", "0.01"])
    assert {seed: said for seed in tanks if (said := faults(seed, tmp_path, commands))} == {}
