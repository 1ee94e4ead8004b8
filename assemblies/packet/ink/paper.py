"""Papers to print on."""

from __future__ import annotations

from typing import Final, Literal

__all__ = ["PAPERS", "Paper"]

Paper = Literal["a4", "letter"]


PAPERS: Final[dict[Paper, tuple[float, float]]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
