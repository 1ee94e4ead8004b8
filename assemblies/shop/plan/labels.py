"""What stands on the label of each piece and of each offcut, from the report of an order, or of a plan for several, alone.

*Foot*: the lower edge of a label, stuck along the lower edge of its piece as the piece is drawn. *Outside face*: the face that
the label is stuck on and that goes outside; on the near face the piece's datum corner is at the lower right.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from assemblies.report.figures import size_words
from parts.lengths import LengthUnit, write_named

__all__ = ["OffcutLabel", "PieceLabel", "offcut_labels", "piece_labels"]

Report = Mapping[str, Any]


@dataclass(frozen=True, kw_only=True)
class PieceLabel:
    """One piece.

    Attributes:
        name, part, order, revision: whose it is.
        size, thickness: in words.
        outside: the face that goes outside; None for a spare.
        number, count: which of how many of its part.
    """

    name: str
    part: str
    order: str
    revision: str
    size: str
    thickness: str
    outside: Literal["far", "near"] | None
    number: int
    count: int

    @property
    def face_words(self) -> str:
        return f"{self.outside} face outside" if self.outside else "spare"

    @property
    def count_words(self) -> str:
        return f"{self.number} of {self.count}"


@dataclass(frozen=True, kw_only=True)
class OffcutLabel:
    """An offcut that goes back on the rack, under the label that the rack knows it by."""

    label: str
    name: str
    material: str
    size: str
    thickness: str


def piece_labels(report: Report, unit: LengthUnit) -> tuple[PieceLabel, ...]:
    """A label for each piece of the cutting plan, in its order: sawn, then nested.

    Args:
        report: of an order, or of a plan for several; then each piece's sizes are in its own order's units.
        unit: of the order.
    """
    units = {one["name"]: one["units"] for one in report.get("orders", ())}
    rows = [row for key in ("cutting", "nesting") for row in (report.get(key) or {}).get("labels", ())]
    counts = Counter((row["order"], row["part"]) for row in rows)
    seen: Counter[tuple[str, str]] = Counter()
    out = []
    for row in rows:
        key = row["order"], row["part"]
        seen[key] += 1
        *sides, thick = row["size"]
        own: LengthUnit = units.get(row["order"], unit)
        out.append(
            PieceLabel(
                name=row["name"],
                part=row["part"],
                order=row["order"],
                revision=row["revision"],
                outside=row["outside"],
                size=size_words(sides, own),
                thickness=write_named(thick, own),
                number=seen[key],
                count=counts[key],
            )
        )
    return tuple(out)


def offcut_labels(report: Report, unit: LengthUnit) -> tuple[OffcutLabel, ...]:
    """A label for each offcut that saw, router or laser leaves for the rack."""
    sheets = [sheet for key in ("cutting", "nesting") for sheet in (report.get(key) or {}).get("sheets", ())]
    return tuple(
        OffcutLabel(
            label=rest["label"],
            name=rest["name"],
            material=sheet["material"],
            size=size_words(rest["size"], unit),
            thickness=write_named(sheet["thickness"], unit),
        )
        for sheet in sheets
        for rest in sheet.get("offcuts", ())
        if rest["label"]
    )
