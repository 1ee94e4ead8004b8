"""What the shop needs of a round tank besides: the tube to buy, where it is sawn, what is turned on the lathe."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from assemblies.report import blocks
from assemblies.report.check import Check, Checked, Made, SectionOf
from parts.lengths import LengthUnit, write_length
from parts.stock.tube import TubeCut

__all__ = ["TUBES", "TubeRow"]

_KERF_MM = 3.0  # of a mitre saw, and squared on the lathe; common practice, no source


@dataclass(frozen=True, kw_only=True)
class TubeRow:
    """A length of tube: which, how many, sawn to, plus or minus, what to buy for all of them."""

    name: str
    material: str
    outside: float
    wall: float
    length: float
    within: float
    count: int
    buy: float


def _tubes(made: Made) -> Checked:
    rows = []
    for piece in made.design.pieces:
        if isinstance(piece.sheet, TubeCut):
            count = made.design.quantity * sum(p.piece == piece for p in made.design.placed)
            tube = piece.sheet.tube
            rows.append(
                TubeRow(
                    name=piece.name, material=tube.material, outside=tube.outside_mm, wall=tube.wall_mm,
                    length=piece.thickness_mm, within=piece.sheet.tolerance_mm, count=count,
                    buy=count * (piece.thickness_mm + 2.0 * _KERF_MM),
                )
            )  # fmt: skip
    return Checked(figures=tuple(rows))


def _blocks(report: blocks.Report, unit: LengthUnit) -> Iterator[blocks.Block]:
    rows = report.get("tubes")
    if not rows:
        return
    yield blocks.Rows(
        title="Tube", header=["Piece", "Count", "Tube", "Sawn to", "Buy in all"],
        rows=[
            [
                r["name"], str(r["count"]),
                f"{r['material']} {write_length(r['outside'], unit)} outside, wall {write_length(r['wall'], unit)}",
                f"{write_length(r['length'], unit)} ± {write_length(r['within'], unit)}",
                f"{write_length(r['buy'], unit)}",
            ]
            for r in rows
        ],
        note="Square both ends on the lathe or against a disc sander with a fence: the end is a seam. Mask the tube, saw it "
        "turning in a vee, support the bore with a disc. The tube is no part of the quote: ask its price by length.",
    )  # fmt: skip


TUBES: Final = Check(
    name="tubes", run=_tubes, questions=("cut",), rows=lambda made, rows: {"tubes": rows},
    sections=(SectionOf(id="tubes", station="cut", title="Tube to saw", blocks=_blocks),),
)  # fmt: skip
