"""The commented extras of the starters: each runs when its "# " is taken away, alone."""

from __future__ import annotations

import re

import pytest

from assemblies.kinds import kind, kinds, schemas, starter
from assemblies.order import read_order_text


def extras(text: str) -> list[str]:
    """The blocks of commented lines that begin with a table."""
    blocks = re.split(r"\n\s*\n", text[text.index("# Extras:") :])
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
    assert heads == {"strip", "port", "panel", "plate", "case", "limits", "as-cut", "shop"}
