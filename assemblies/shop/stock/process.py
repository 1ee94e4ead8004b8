"""By what each piece is cut: the process that was asked for where it can, else what a shop would take instead.

*Straight*: a rectangle without cut-outs, which cuts from edge to edge free. Drilled holes do not count: they are drilled.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from parts.findings import Finding
from parts.shape.outline import Loop
from parts.shape.piece import Piece
from parts.tables import Row, cite, load

__all__ = ["ProcessChoice", "ProcessUse", "choose_process", "is_straight", "process_findings", "process_uses"]

#: What is taken where the process asked for cannot do it, best first (judgement: the square edge first, the rough cut last).
_INSTEAD: Final = ("saw", "score-and-snap", "router", "laser", "jigsaw")
_AREA_MM2: Final = 1e-6  # what an area computed from corners may be off by


@dataclass(frozen=True, kw_only=True)
class ProcessChoice:
    """How one part is cut.

    Attributes:
        asked: what the order says.
        process: what is taken; None where no process of the table can.
        why: why it is not what was asked for, else empty.
        tool, caution, source: from the table; empty without a process.
        also: other processes that could.
    """

    asked: str
    process: str | None
    why: str = ""
    tool: str = ""
    caution: str = ""
    source: str = ""
    also: tuple[str, ...] = ()


def is_straight(piece: Piece) -> bool:
    """Whether cuts from edge to edge free the piece.

    >>> from parts.make.panel import panel
    >>> from parts.stock.sheet import Sheet
    >>> is_straight(panel("end", 200, 150, Sheet(material="cast-pmma", nominal_mm=6.0)))
    True
    """
    outer = piece.outline.outer
    if piece.outline.inner or not isinstance(outer, Loop) or any(v.bulge for v in outer.vertices):
        return False
    width, height = piece.outline.size_mm
    return abs(outer.area_mm2 - width * height) < _AREA_MM2


def choose_process(piece: Piece, otherwise: str = "saw") -> ProcessChoice:
    """The process for a piece, by its thickness and its shape.

    Args:
        piece: what is cut; its own process goes before the order's.
        otherwise: the order's process.

    Valid: thicknesses of the table `cutting_process`; where no row suits, `process` is None and nothing is passed off.

    Source: table `cutting_process`, a source in each row.
    """
    asked = piece.process or otherwise
    straight, thick = is_straight(piece), piece.sheet.nominal_mm
    able = [name for name in _INSTEAD if not _unable(_row(name), thick, straight)]
    why = _unable(_row(asked), thick, straight)
    taken = asked if not why else (able[0] if able else None)
    if taken is None:
        return ProcessChoice(asked=asked, process=None, why=why)
    row = _row(taken)
    also = tuple(name for name in able if name != taken)
    return ProcessChoice(
        asked=asked, process=taken, why=why, tool=row["tool"], caution=row["caution"], source=_source(row), also=also
    )


def _row(process: str) -> Row:
    return next(row for row in load("cutting_process") if row["process"] == process)


def _unable(row: Row, thick: float, straight: bool) -> str:
    """Why a process cannot cut it; empty when it can."""
    least, most = float(row["from_mm"]), float(row["to_mm"])
    if thick < least:
        return f"{thick:g} mm is too thin for the {row['process']} (from {least:g} mm)"
    if thick > most:
        return f"{thick:g} mm is too thick for the {row['process']} (to {most:g} mm)"
    if row["straight_only"] == "yes" and not straight:
        return (
            f"its outline has more than four straight sides or a cut-out, and the {row['process']} cuts straight only"
        )
    return ""


def _source(row: Row) -> str:
    return cite(row["source"], row["clause"], row["how_known"])


@dataclass(frozen=True, kw_only=True)
class ProcessUse:
    """A process in use: the parts it cuts, with what, its caution."""

    process: str
    parts: tuple[str, ...]
    tool: str
    caution: str
    source: str


def process_uses(choices: Iterable[tuple[str, ProcessChoice]]) -> tuple[ProcessUse, ...]:
    """Each process in use, in the order of its first part."""
    found: dict[str, tuple[ProcessChoice, dict[str, None]]] = {}
    for part, choice in choices:
        if choice.process is not None:  # two orders may call their parts alike
            found.setdefault(choice.process, (choice, {}))[1][part] = None
    return tuple(
        ProcessUse(process=name, parts=tuple(parts), tool=one.tool, caution=one.caution, source=one.source)
        for name, (one, parts) in found.items()
    )


def process_findings(part: str, choice: ProcessChoice) -> list[Finding]:
    """A `care` where another process is taken than was asked for, a `stop` where none can."""
    if not choice.why:
        return []
    if choice.process is None:
        return [
            Finding(
                level="stop",
                check="cutting",
                where=part,
                why=f"{choice.why}; no other process of the table cuts it either: not covered",
                do="choose another thickness, or ask a cutting shop",
                source=_source(_row(choice.asked)),
            )
        ]
    return [
        Finding(
            level="care",
            check="cutting",
            where=part,
            why=f"{choice.why}; it is planned for the {choice.process}",
            source=choice.source,
            do=f'write process = "{choice.process}", so that the tolerances are right too',
        )
    ]
