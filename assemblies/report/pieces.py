"""What the packet says of the pieces: the exploded view, sizes, a drawing of each, bolts."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from assemblies.report.blocks import Block, Picture, Report, Rows
from assemblies.report.figures import amount, solid_words
from parts.lengths import LengthUnit, write_length, write_named

__all__ = ["piece_blocks"]

_OF_TUBES: Final = " Of a tube the columns are its outside, twice, and its length."


def _others(report: Report, first: int) -> str:
    """The items of the view that are not cut here: locking pins, the shackle of the lanyard, a shoe of metal."""
    told = ", ".join(f"{k} {part}" for k, part in enumerate(report.get("shown", ()), first))
    return f" In the view besides, bought or made elsewhere: {told}." if told else ""


def piece_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """The exploded view, the pieces, a drawing of each, the bolts."""
    yield Picture(key="exploded", alt="Exploded view, isometric, not to scale; the numbers are the items of the table")
    items = {part: str(k) for k, part in enumerate(dict.fromkeys(p["part"] for p in report["placed"]), 1)}
    names = {p["part"]: [q["name"] for q in report["placed"] if q["part"] == p["part"]] for p in report["parts"]}
    rows = [
        (
            str(p["count"] * report["quantity"]),
            p["part"],
            *(write_length(v, unit) for v in p["size"][:2]),
            write_named(p["size"][2], unit),
            p["sheet"]["material"],
            amount(p["mass"], "kg", 3),
            str(len(p["holes"])) if p["holes"] else "",
            items.get(p["part"], ""),
        )
        for p in report["parts"]
    ]
    yield Rows(
        title="Pieces to cut",
        header=("count", "part", "width", "height", "thickness", "material", "each", "holes", "item"),
        rows=rows,
        right="rlrrrlrrr",
        keys=[" ".join(names[p["part"]]) for p in report["parts"]],
        note="Net sizes. Thickness is the mean of the readings where the sheet was measured, else the nominal. Drawings with "
        "all sizes: drawings/, one for each part."
        + _others(report, len(items) + 1)
        + _OF_TUBES * any(p["kind"] == "tube" for p in report["parts"]),
    )
    for p in report["parts"]:
        alt = f"Drawing of {p['part']}, {solid_words(p['size'], unit)}; the whole sheet is drawings/{p['part']}.pdf"
        yield Picture(key=f"part-{p['part']}", alt=alt, about=" ".join(names[p["part"]]))
    if report.get("fasteners"):
        yield Rows(
            title="Bolts and screws",
            header=("count", "what", "into", "max. depth into plate", "note"),
            rows=[
                (
                    str(f["count"] * report["quantity"]),
                    f["name"],
                    f["piece"],
                    write_length(f["longest_mm"], unit) if f["longest_mm"] is not None else "",
                    f["note"],
                )
                for f in report["fasteners"]
            ],
            right="rllrl",
            keys=[f["piece"] for f in report["fasteners"]],
        )
