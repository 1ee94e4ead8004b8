"""A nested sheet that several tests draw."""

from __future__ import annotations

from samples import flat, panel, tapped_plate

from assemblies.shop.nest.model import NestSheet, NestStock
from assemblies.shop.nest.nest import default_spec, nest
from parts.shape.outline import Circle, rounded_rectangle
from parts.shape.piece import Hole


def sheet(process: str = "router") -> NestSheet:
    lid = flat("lid", rounded_rectangle(120, 90, 10), inner=(rounded_rectangle(40, 30, 5, 40, 30),),
               holes=(Hole(x_mm=20, y_mm=20, kind="through", diameter_mm=20),), thickness_mm=12)  # fmt: skip
    items = [("lid-1", lid), ("lid-2", lid), ("plate-1", tapped_plate()), ("wall", panel("wall", 300, 150, 12.0))]
    items.append(("disc", flat("disc", Circle(50, 50, 50), thickness_mm=12)))
    found = nest(items, (NestStock(name="A", width_mm=600, height_mm=500),), default_spec(process))
    assert len(found.sheets) == 1
    return found.sheets[0]
