"""The starters without their commented extras, for tests that edit the text."""

from __future__ import annotations

from assemblies.kinds import starter

__all__ = ["bare"]


def bare(name: str) -> str:
    """The starter order of a kind up to its extras."""
    text, extras, _ = starter(name).partition("# Extras:")
    assert extras
    return text
