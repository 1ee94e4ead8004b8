"""What the shop needs of a round tank besides: the tube to buy, where it is sawn, what is turned on the lathe."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from assemblies.report import blocks
from assemblies.report.check import Check, Checked, Made, SectionOf
from assemblies.shop.handover.tubes import TubeLength, tube_lengths
from parts.lengths import LengthUnit, write_length
from parts.shape.outline import Circle, Loop
from parts.stock.rules import rule

__all__ = ["TUBES", "GrooveRow", "Lathe"]


@dataclass(frozen=True, kw_only=True)
class GrooveRow:
    """A groove to turn: in which piece, its diameters and depth, plus or minus."""

    name: str
    outside: float
    inside: float
    depth: float
    within: float


@dataclass(frozen=True, kw_only=True)
class Lathe:
    """What is sawn of tube, and what is turned."""

    tubes: tuple[TubeLength, ...]
    grooves: tuple[GrooveRow, ...]


def _tubes(made: Made) -> Checked:
    grooves = tuple(
        GrooveRow(
            name=piece.name,
            outside=_across(pocket.outline),
            inside=_across(pocket.islands[0]),
            depth=pocket.depth_mm,
            within=rule("turned_tolerance"),
        )
        for piece in made.design.pieces
        for pocket in piece.pockets
        if pocket.islands
    )
    return Checked(figures=Lathe(tubes=tube_lengths(made.design), grooves=grooves))


def _across(loop: Loop | Circle) -> float:
    x0, _, x1, _ = loop.bounds_mm
    return x1 - x0


def _blocks(report: blocks.Report, unit: LengthUnit) -> Iterator[blocks.Block]:
    if report.get("tubes"):
        yield blocks.Rows(
            title="Tube",
            header=["Piece", "Count", "Tube", "Sawn to", "Buy in all"],
            rows=[
                [
                    r["name"],
                    str(r["count"]),
                    f"{r['material']} {write_length(r['outside'], unit)} outside, wall {write_length(r['wall'], unit)}",
                    f"{write_length(r['length'], unit)} ± {write_length(r['within'], unit)}",
                    f"{write_length(r['buy'], unit)}",
                ]
                for r in report["tubes"]
            ],
            note="Square both ends on the lathe or against a disc sander with a fence: the end is a seam. Mask the tube, saw "
            "it turning in a vee, support the bore with a disc.",
        )
    if report.get("grooves"):
        yield blocks.Rows(
            title="Groove to turn",
            header=["Piece", "Outside", "Inside", "Deep"],
            rows=[
                [
                    r["name"],
                    *(
                        f"Ø{write_length(d, unit)} ± {write_length(r['within'], unit)}"
                        for d in (r["outside"], r["inside"])
                    ),
                    write_length(r["depth"], unit),
                ]
                for r in report["grooves"]
            ],
            note="Turn it after the outline is cut and before anything is bonded; its turning sketch is the last sheet of the "
            "piece's drawing. Measure the tube in hand first: the groove follows the tube.",
        )


TUBES: Final = Check(
    name="tubes",
    run=_tubes,
    questions=("cut",),
    rows=lambda made, lathe: {"tubes": lathe.tubes, "grooves": lathe.grooves},
    sections=(SectionOf(id="tubes", station="cut", title="Tube and lathe", blocks=_blocks),),
)
