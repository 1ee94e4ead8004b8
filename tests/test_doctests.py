"""Every example in a docstring gives what it says."""

from __future__ import annotations

import doctest
import importlib
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
MODULES = [
    ".".join(path.relative_to(ROOT).with_suffix("").parts)
    for floor in ("parts", "assemblies")
    for path in sorted((ROOT / floor).rglob("*.py"))
    if ">>> " in path.read_text(encoding="utf-8")
]


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_of_a_module_give_what_they_say(name: str) -> None:
    found = doctest.testmod(importlib.import_module(name.removesuffix(".__init__")))
    assert found.failed == 0
    assert found.attempted > 0


def test_there_are_examples_to_run() -> None:
    assert len(MODULES) > 50
