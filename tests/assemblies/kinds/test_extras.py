"""The commented extras of the starters: each runs when its "# " is taken away, alone."""

from __future__ import annotations

import re

import pytest

from assemblies.kinds import kind, kinds, schemas, starter
from assemblies.order import read_order_text


def extras(text: str) -> list[str]:
    """The blocks of commented lines that begin with a table."""
    blocks = re.split(r"\n\s*\n", text.partition("# Extras:")[2])
    bare = [re.sub(r"(?m)^# ?", "", block) for block in blocks]
    return [block for block in bare if re.match(r"\[", block)]


EXTRAS = {f"{name}: {block.splitlines()[0].split('#')[0].strip()} {k}": (name, block)
          for name in kinds() for k, block in enumerate(extras(starter(name)))}  # fmt: skip


@pytest.mark.parametrize("which", EXTRAS)
def test_an_extra_of_a_starter_runs_when_it_is_uncommented(which: str) -> None:
    name, block = EXTRAS[which]
    order = read_order_text(f"{starter(name)}\n{block}\n", schemas())
    assert kind(name).build(order).placed


def test_the_tank_has_extras_for_what_it_can_have() -> None:
    heads = {re.sub(r"[^a-z-]", "", block.splitlines()[0].split("#")[0]) for block in extras(starter("tank"))}
    assert heads == {
        "strip", "port", "lip", "inner", "engrave", "panel", "plate", "case", "limits", "as-cut", "shop",
    }  # fmt: skip


def test_the_starter_tank_is_a_scene_of_our_own() -> None:
    """Section 5 of the design: one thick plate under the middle, six M5, 40 mm apart on a grid of 20 mm."""
    order = read_order_text(starter("tank"), schemas())
    (plate,) = order.plate
    assert (plate.at, plate.size, plate.thickness) == (((0.0, 0.0),), (120.0, 80.0), 15.0)
    assert (plate.thread, plate.pattern, order.rig.grid if order.rig else None) == ("M5", "grid 40 3x2", 20.0)
    assert "mm-per-turn = 2" in starter("tank")
