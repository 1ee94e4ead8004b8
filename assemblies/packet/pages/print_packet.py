"""packet.pdf: the packet for the wall of the shop, a page or more for each station, the card to laminate on that of use.

Made from the same sections as the page. The text goes to the typesetter as data, never as markup, so that whatever stands in an
order comes out as it was written. Fonts are ours and embedded; the same report gives the same bytes.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, Literal

from assemblies.design.model import Design
from assemblies.packet.ink.faces import FONTS, printable
from assemblies.packet.ink.pdf import OURS
from assemblies.packet.ink.svg import svg
from assemblies.packet.pages.printed import stations
from assemblies.packet.pictures.line_drawing import Spread, exploded_picture
from assemblies.report.blocks import Section
from assemblies.report.sections import verdict_words
from parts.lengths import LengthUnit

if TYPE_CHECKING:
    from assemblies.examine import Examined

__all__ = ["Paper", "packet_pdf", "printed_exploded", "write_print"]

Paper = Literal["a4", "letter"]
_HERE: Final = Path(__file__).parent
_TYPST_PAPER: Final = {"a4": "a4", "letter": "us-letter"}
_EXPLODED_MM: Final = (
    188.0,
    72.0,
)  # of the exploded view, between the margins of A4: the pieces' table stands below it
_SVG_FONT: Final = 'font-family="system-ui, sans-serif"'


def packet_pdf(
    report: Mapping[str, Any],
    made: Sequence[Section],
    unit: LengthUnit,
    pictures: Mapping[str, str],
    *,
    paper: Paper | None = None,
) -> bytes:
    """The packet as PDF.

    Args:
        report: as in report.json.
        made: its sections.
        unit: in which lengths are shown.
        pictures: SVG files by the key that `Picture` blocks use; one that is not there is left out.
        paper: the default is A4 for an order in mm, US letter for one in inches.
    """
    import typst

    on = paper or ("letter" if unit == "in" else "a4")
    data = json.dumps(_printable(_data(report, made, pictures, on)))
    pdf: bytes = typst.compile(
        str(_HERE / "print" / "packet.typ"),
        root=str(_HERE / "print"),
        font_paths=[str(FONTS)],
        ignore_system_fonts=True,
        format="pdf",
        sys_inputs={"data": data},
    )
    return _signed(pdf)


def _signed(pdf: bytes) -> bytes:
    """The file with our name as its maker where the library puts its own; as long as before, for the file counts its bytes."""

    def named(found: re.Match[bytes]) -> bytes:
        return found[1] + OURS.encode().ljust(len(found[0]) - len(found[1]) - len(found[2])) + found[2]

    for made in (rb"(/Creator\()Typst[^)]*(\))", rb"(<xmp:CreatorTool>)Typst[^<]*(</)", rb'(x:xmptk=")xmp-writer(")'):
        pdf = re.sub(made, named, pdf)
    pdf = pdf.replace(f"/Keywords({OURS})".encode(), f"/Producer({OURS})".encode())
    return pdf.replace(f"<pdf:Keywords>{OURS}</pdf:Keywords>".encode(), f"<pdf:Producer>{OURS}</pdf:Producer>".encode())


def _printable(value: Any) -> Any:
    """The same data with every text as it can be printed."""
    if isinstance(value, str):
        return printable(value)
    if isinstance(value, dict):
        return {key: _printable(inner) for key, inner in value.items()}
    return [_printable(inner) for inner in value] if isinstance(value, list | tuple) else value


def write_print(found: Examined, pictures: Mapping[str, str], seen: Spread, folder: Path) -> None:
    """Write `packet.pdf` into the packet's folder, with the sheets' drawings that are there by now.

    Args:
        pictures: of its sheets and parts.
        seen: how it looks exploded.

    The exploded view is drawn anew, as wide as the print and without its parts list: the pieces' table has its numbers.

    Raises:
        OSError: it cannot be written.
    """
    unit = found.order.units
    shown = {**pictures, "exploded": printed_exploded(found.design, seen)}
    pdf = packet_pdf(found.report, found.sections, unit, shown, paper=found.order.shop.paper)
    (folder / "packet.pdf").write_bytes(pdf)


def printed_exploded(design: Design, seen: Spread) -> str:
    """The exploded view as it is printed, as SVG."""
    picture = exploded_picture(seen, (0.0, 0.0, *_EXPLODED_MM))
    return svg(picture, *_EXPLODED_MM, f"{design.title}, exploded view")


def _data(
    report: Mapping[str, Any], made: Sequence[Section], pictures: Mapping[str, str], paper: Paper
) -> dict[str, Any]:
    """Everything that the template shows, as plain data."""
    word, sentence = verdict_words(report)
    about = [report["name"], report["kind"], f"revision {report['revision']}", f"{report['quantity']} to make"]
    return {
        "paper": _TYPST_PAPER[paper],
        "title": report["title"],
        "name": report["name"],
        "ours": OURS,
        "revision": report["revision"],
        "about": ", ".join(about),
        "verdict": {"word": word, "sentence": sentence},
        "stations": stations(made, pictures, f"{word}. {sentence}"),
        "pictures": {key: svg.replace(_SVG_FONT, 'font-family="DejaVu Sans"', 1) for key, svg in pictures.items()},
    }
