"""What the packet says of the liquid and the balance."""

from __future__ import annotations

import math
from collections.abc import Iterator

from assemblies.report.blocks import Block, Figure, Figures, Report, Rows
from assemblies.report.figures import amount
from parts.lengths import LengthUnit, mark_length

__all__ = ["liquid_blocks"]


def liquid_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """How much, how deep, how heavy, where its weight is, what leaves and which way."""
    q = report.get("liquid")
    if not q:
        return
    why = "exact volume of the inside under a level surface"
    centre = ", ".join(f"{axis} {mark_length(v, unit)}" for axis, v in zip("xyz", q["centre_full"], strict=True))
    items = [
        Figure(
            label="Liquid",
            value=f"{q['name']}, {amount(q['density'], 'kg/m3', 0)}"
            + ("; assumed, the order has no [liquid]" if q.get("assumed") else ""),
            why=q["source"],
        ),
        Figure(
            label="Fill",
            value=f"{amount(q['fill_L'], 'L')}, {mark_length(q['fill_depth'], unit)} deep"
            + ("; assumed, full to the brim" if q.get("assumed") and q.get("full_to") == "brim" else ""),
            why=why,
        ),
        Figure(label="Holds to the brim or overflow", value=amount(q["capacity_L"], "L"), why=why),
        Figure(label="Freeboard", value=mark_length(q["freeboard"], unit), why=why),
        Figure(
            label="Mass empty",
            value=amount(q["mass_empty"], "kg"),
            why="volume of the pieces times the sheet's density",
        ),
        Figure(label="Mass full", value=amount(q["mass_full"], "kg"), why="pieces and liquid"),
        Figure(label="Centre of mass, full", value=centre, why="from the centre of the outside of the underside"),
    ]
    if q.get("tips_at", {}).get("tilt") is not None:
        tips = amount(math.floor(q["tips_at"]["tilt"]), "°", 0)  # never more than it bears
        free = "the liquid settles as it goes" + ("; out of its shoe, on its strip" if report.get("releases") else "")
        items.append(Figure(label="Standing free, it tips over at", value=tips, why=free))
    items += list(_pours(q))
    yield Figures(items=items)
    ways = q.get("lost_by", {})
    lost = [
        (case, amount(litres, "L"), ways.get(case, "")) for case, litres in q.get("lost_L", {}).items() if litres > 1e-6
    ]
    if lost:
        yield Rows(title="What spills", header=("case", "volume", "which way"), rows=lost, right="lrl")


def _pours(q: Report) -> Iterator[Figure]:
    """Where it goes first when it leans, for what has more ways out than its rim."""
    found = {
        side: (tilt, q["spill_by"][side])
        for side, tilt in q.get("spill_tilt", {}).items()
        if tilt is not None and not q["spill_by"][side].startswith(f"over the {side}")
    }
    for side, (tilt, way) in found.items():
        yield Figure(
            label=f"Leaned over its {side}, it pours from",
            value=f"{amount(tilt, '°', 1)}, {way}",
            why="level surface at its lowest edge; what stands in a trough is left out",
        )
