"""What is done after the thing is handed over: when it weeps, crazes, is knocked; cleaning, transport, retiring it.

Every text is a row of the table `after_handover`, with its source; those that speak of liquid go only with what holds some.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from assemblies.report.blocks import Block, Report, Rows
from parts.lengths import LengthUnit
from parts.tables import cite, load

__all__ = ["AfterRow", "after_blocks", "after_rows"]


@dataclass(frozen=True, kw_only=True)
class AfterRow:
    """One thing that may come, what to do then, and how that is known."""

    when: str
    do: str
    source: str


def after_rows(*, holds_liquid: bool) -> tuple[AfterRow, ...]:
    """The rows for a thing, in the order of the table.

    >>> after_rows(holds_liquid=True)[0].when, after_rows(holds_liquid=False)[0].when[:9]
    ('it weeps: a drop or a damp line at a seam or hole', 'it crazes')
    """
    return tuple(
        AfterRow(when=row["when"], do=row["what_to_do"], source=cite(row["source"], row["clause"], row["how_known"]))
        for row in load("after_handover")
        if holds_liquid or row["for"] == "all"
    )


def after_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """One table, for the file."""
    if report.get("after_handover"):
        yield Rows(
            title="For the file, with the signed proof test",
            header=("when", "what to do", "source"),
            rows=[(row["when"], row["do"], row["source"]) for row in report["after_handover"]],
        )
