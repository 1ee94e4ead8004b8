"""Findings of moves: as all of this room are made, and the one that what spins and what is thrown have in common."""

from __future__ import annotations

from parts.findings import Finding, Level

__all__ = ["said", "unheld"]


def said(level: Level, where: str, why: str, do: str, source: str) -> Finding:
    """What the check of the moves says of one of them."""
    return Finding(level=level, check="motion", where=where, why=why, do=do, source=source)


def unheld(where: str, moves: str) -> Finding:
    """Nothing holds it but its bonds."""
    do = 'give [support] a retention: "through-bolts", "cradle" or "lanyard"'
    return said(
        "stop", where, f"it {moves} with nothing to hold it if a bond lets go", do, "common practice, no source"
    )
