"""Orders of round tanks for tests: the starter with what is asked for, and what it builds."""

from __future__ import annotations

from typing import Any

from assemblies.kinds import schemas, starter
from assemblies.kinds.round_tank.build import build_round_tank
from assemblies.order import read_order_text

START = starter("round-tank")
RING = "[round-tank.ring]\noutside = 230\n"


def with_keys(text: str, keys: str = "", tables: str = "") -> str:
    """More keys of `[round-tank]`, whatever they replace, and more tables."""
    for line in keys.splitlines():
        name = line.split("=")[0].strip()
        text = "\n".join(old for old in text.splitlines() if old.split("=")[0].strip() != name)
    head, mark, rest = text.partition("[round-tank]\n")
    return f"{head}{mark}{keys}\n{rest}\n{tables}"


def lidded(keys: str = "vent = 12", ring: str = RING) -> str:
    """The starter under a screwed lid."""
    return with_keys(START, f'lid = "screwed"\n{keys}', ring)


def built(text: str) -> Any:
    return build_round_tank(read_order_text(text, schemas()))
