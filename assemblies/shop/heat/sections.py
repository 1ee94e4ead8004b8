"""What the packet says of heating and bending."""

from __future__ import annotations

from collections.abc import Iterator

from assemblies.report.blocks import Block, Figure, Figures, Para, Report, Rows, Step, Steps
from parts.lengths import LengthUnit, mark_length

__all__ = ["heat_blocks"]


def heat_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """For each bent part: times, bend lines, former, steps."""
    for sheet in report.get("bending") or ():
        yield from _part(sheet, unit)


def _part(sheet: Report, unit: LengthUnit) -> Iterator[Block]:
    how = "in the oven, over a former" if sheet["by"] == "oven" else "along its bend lines, on a strip heater"
    shrinks = [f"{share * 100.0:.3g} %" for share in sheet["shrinks"]]
    shrunk = (
        f" It shrinks by {shrinks[0]} along and {shrinks[1]} across as it is first heated."
        if any(sheet["shrinks"])
        else ""
    )
    yield Para(
        text=f"{sheet['part']} is heated {how}.{shrunk} Bend lines are the middles of the arcs, on the sheet as it is cut."
    )
    opening = (
        "not known: form the test strip first" if sheet["opening"] is None else f"{sheet['opening'] * 100.0:.3g} %"
    )
    yield Figures(
        items=[
            Figure(
                label="Heating",
                value=f"{sheet['minutes']:.0f} min at {sheet['air_c']:.0f} °C",
                why=f"until the middle is at {sheet['forming_c']:.0f} °C, film {sheet['film']:g} W/(m² K); conduction alone",
            ),
            Figure(
                label="If the air moves more or less",
                value=f"{sheet['minutes_least']:.0f} to {sheet['minutes_most']:.0f} min",
                why="from brisk to weakly moved oven air, by the table of heating rules",
            ),
            Figure(label="Opens by", value=opening, why="share of its angle, from the user's own test strip"),
            Figure(
                label="Curved cold it would need an inside radius of",
                value=mark_length(sheet["cold_radius"], unit),
                why="E t / 2 sigma less half a thickness, permanent",
            ),
        ]
    )
    yield Rows(
        title=f"Bends of {sheet['part']}",
        header=(
            "turn",
            "bend",
            "angle",
            "inside radius",
            "middle",
            "starts",
            "ends",
            "arc",
            "heat",
            "hollow",
            "form to",
        ),
        rows=[
            (
                str(one["turn"]),
                str(one["number"]),
                f"{one['angle_deg']:.1f}°",
                mark_length(one["inside"], unit),
                *(mark_length(one[key], unit) for key in ("middle", "start", "end", "arc")),
                mark_length(one["heated"], unit) if sheet["by"] == "strip" else "all",
                one["hollow"],
                f"{one['former_angle_deg']:.1f}°, {mark_length(one['former_radius'], unit)}",
            )
            for one in sorted(sheet["lines"], key=lambda one: one["turn"])
        ],
        right="rrrrrrrrrll",
        keys=[sheet["part"]] * len(sheet["lines"]),
        note="from the first edge; heat: least width that must be soft, or 4 thicknesses",
    )
    if sheet["ribs"]:
        rib = sheet["ribs"]
        apart, skin, radius = (mark_length(rib[key], unit) for key in ("apart_mm", "skin_mm", "radius_mm"))
        yield Para(
            text=f"Former: {rib['count']} ribs of templates/{sheet['part']}-rib.dxf, their middles {apart} apart, under a skin "
            f"of {skin}: its face then has a radius of {radius}. Cover it with cotton flock or felt; no paint or varnish."
        )
    names = ", ".join(f"templates/{sheet['part']}-{one['name']}.dxf" for one in sheet["gauges"])
    yield Para(text=f"Gauge: {names}, of thin board; it lies in the hollow side.")
    yield Steps(title=f"Heat and bend {sheet['part']}", items=[Step(text=text) for text in sheet["steps"]])
