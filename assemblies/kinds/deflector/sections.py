"""What the packet says of a deflector: its light, its own weight."""

from __future__ import annotations

from collections.abc import Iterator

from assemblies.report.blocks import Block, Figure, Figures, Para, Picture, Report
from assemblies.report.figures import amount
from parts.lengths import LengthUnit, mark_length

__all__ = ["light_blocks", "weight_blocks"]


def light_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """Three sentences, the plot, the figures of heat."""
    light = report.get("light")
    if not light:
        return
    traced = light["traced"]
    yield Para(text=" ".join(light["sentences"]))
    yield Picture(
        key="light-rays",
        alt="Rays of a parallel beam on the deflector, seen along its bend lines",
        about="deflector",
        at_work=True,
    )
    items = [Figure(label="Beam", value=mark_length(traced["beam_mm"], unit), why="across the bend lines")]
    for key, label, why in (
        (
            "sun_flux",
            "Sunlight where it is hottest",
            f"{mark_length(light['hot_at_mm'], unit)} off, gathered {light['gathers']:.0f}-fold; the sun as wide as it is",
        ),
        ("lamp_flux", "The lamp there", "as if its light came as the sun's"),
        ("lamp_on_sheet", "The lamp on the sheet, at most", "all its power in its cone, twice the mean"),
    ):
        if light[key] is not None:
            items.append(Figure(label=label, value=f"{light[key]:.0f} W/m²", why=why))
    if light["warm_c"] is not None:
        items.append(
            Figure(
                label="The sheet under it, at most",
                value=f"{light['warm_c']:.0f} °C",
                why=f"all taken up, both faces in the still air of a warm room; it may be {light['most_c']:.0f} °C",
            )
        )
    yield Figures(items=items)


def weight_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """The bound on its own weight."""
    found = report.get("own_weight")
    if not found:
        return
    warm = ", halved because it may be warm" if found["warm"] else ""
    yield Para(
        text=f"It weighs {amount(found['mass'], 'kg', 3)}. Hung from one end alone, as a flat cantilever of "
        f"{mark_length(found['arm'], unit)} and twice its weight, it is bent with {found['stress']:.2f} MPa of the "
        f"{found['allowed']:.2f} allowed for a permanent load{warm}. Wind, knocks, and anything hung on it are not in this."
    )
