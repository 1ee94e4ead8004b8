"""What the packet says of a box: its tabs, its openings and labels, how warm it gets, what it bears."""

from __future__ import annotations

from collections.abc import Iterator

from assemblies.report.blocks import Bar, Bars, Block, Figure, Figures, Para, Report, Rows
from assemblies.report.figures import amount
from parts.lengths import LengthUnit, gauge_length

__all__ = ["tab_blocks", "use_blocks", "warmth_blocks"]


def tab_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """Tabs as cut and as drawn; what is cut into each face, and what is engraved."""
    tabs = report.get("tabs")
    if tabs:
        one = tabs[0]
        yield Para(
            text=f"Kerf {gauge_length(one['kerf'], unit)}, clearance {gauge_length(one['clearance'], unit)} as cut, tabs "
            f"{gauge_length(one['depth'], unit)} long. Cutting files in this packet give the net size, and the nests are "
            "compensated; the drawn widths are for who draws a cut on the line. Pieces slide together by hand: never press "
            "or hammer them. Cut one corner of scrap of this sheet first. Where they are bonded: tape the shell up, run "
            "thin solvent into the inner edges a hand's breadth at a time, bottom first, and leave no pool at the reliefs."
        )
        yield Rows(
            title="Tabs",
            header=("edge", "length", "parts", "tab as cut", "gap as cut", "tab drawn", "gap drawn"),
            rows=[
                (
                    t["edge"],
                    gauge_length(t["length"], unit),
                    str(t["parts"]),
                    *(gauge_length(t[k], unit) for k in ("tab_cut", "gap_cut", "tab_drawn", "gap_drawn")),
                )
                for t in tabs
            ],
            right="lrrrrrr",
            keys=[t["edge"] for t in tabs],
            note="a tab and a gap as cut are two parts of the edge exactly; those at its ends are a little wider",
        )
    if report.get("cutouts"):
        yield Rows(
            title="Openings",
            header=("face", "for", "right", "up", "pocket from behind"),
            rows=[
                (
                    c["on"],
                    c["what"],
                    gauge_length(c["at"][0], unit),
                    gauge_length(c["at"][1], unit),
                    gauge_length(c["pocket"], unit) if c["pocket"] else "-",
                )
                for c in report["cutouts"]
            ],
            right="llrrr",
            keys=[c["on"] for c in report["cutouts"]],
            note="middles from the middle of the face, as seen from outside; look at the part's own sheet before you cut",
        )
    if report.get("labels"):
        yield Rows(
            title="Labels",
            header=("text", "face", "right", "up", "height"),
            rows=[
                (one["text"], one["on"], *(gauge_length(v, unit) for v in (*one["at"], one["height"])))
                for one in report["labels"]
            ],
            right="llrrr",
            keys=[one["on"] for one in report["labels"]],
            note="engraved on the outside with the film on; its strokes are on the layer mark of the profiles",
        )


def warmth_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """Sealed and vented, with their range."""
    found = report.get("warmth")
    if not found:
        return
    sealed, vented = found["sealed"], found["vented"]
    items = [
        Figure(label="power", value=amount(found["power"], "W")),
        Figure(label="air about it", value=amount(found["ambient"], "°C", 0)),
        Figure(
            label="sealed: outside, inside face, air",
            value=f"+{sealed['outer']:.0f}, +{sealed['inner']:.0f}, +{sealed['air']:.0f} K",
            why="free convection and radiation, a film of 6 W/m2K inside (judgement); within a quarter",
        ),
    ]
    if vented:
        items += [
            Figure(
                label="vents low and high",
                value=f"{found['low_area']:.0f} and {found['high_area']:.0f} mm²",
                why="free area, less a mesh",
            ),
            Figure(
                label="vented: air",
                value=f"+{vented['rise']:.0f} K, {vented['flow'] * 1e3:.2f} L/s",
                why=f"stack of {found['height']:.0f} mm, cd 0.6, and what the walls give off; within a quarter",
            ),
        ]
    items += [
        Figure(
            label="air inside, judged",
            value=f"{found['air_c']:.0f} of {found['air_most']:.0f} °C",
            why="with a quarter more rise",
        ),
        Figure(
            label="inside of the walls, judged",
            value=f"{found['face_c']:.0f} of {found['face_most']:.0f} °C",
            why="service temperature of the sheet, unloaded",
        ),
    ]
    yield Figures(items=items)
    yield Para(
        text="An estimate for still air and no sun. Test it: let it run for three hours in the warmest room, a thermometer in "
        "the air inside, and hold that against the figure above."
    )


def use_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """What lid, walls and posts bear."""
    found = report.get("box_uses")
    if not found:
        return
    yield Bars(title="Loads", items=[Bar(label=u["where"], use=u["use"], text=u["text"], why=u["why"]) for u in found])
