"""Tanks that the proofs are tried on, as orders. Sizes are invented."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from assemblies.design.model import Design
from assemblies.kinds import kind, schemas
from assemblies.liquid.loads.cases import still
from assemblies.liquid.state import filled
from assemblies.order import Order, read_order_text
from assemblies.strength.proof.cases import loaded
from assemblies.strength.proof.loads import settings_of
from assemblies.strength.proof.uses import Loaded, Proof
from assemblies.strength.tank.prove import prove, tank_of

PLATES = """
[[plate]]
on = "{on}"
at = {at}
size = [50, 50]
thickness = 12
measured = [12]
thread = "M6"
pattern = "grid 25 2x2"
"""


def case(name: str, kind: str, **keys: Any) -> str:
    """A [[case]] table."""
    rows = "\n".join(f"{k.replace('_', '-')} = {json.dumps(v)}" for k, v in keys.items())
    return f'\n[[case]]\nname = "{name}"\nkind = "{kind}"\n{rows}\n'


def plates(on: str = "bottom", at: str = "[[-87.5, 0], [87.5, 0]]") -> str:
    return PLATES.format(on=on, at=at)


def order(
    size: tuple[float, float, float] = (300.0, 200.0, 150.0),
    thickness: float | str = 6,
    *,
    measured: float | None = None,
    fill: str = "120 mm",
    support: str = "flat",
    retention: str = "cradle",
    more: str = "",
    tables: Mapping[str, str] | None = None,
) -> Order:
    """A tank in sheet measured as its name says; `tables` adds lines to [sheet], [liquid], [limits], [tank] and so on."""
    add = {"sheet": "", "cutting": "", "tank": "", "liquid": "", "limits": "", **(tables or {})}
    if not isinstance(thickness, str):
        add["sheet"] += f"\nmeasured = [{thickness if measured is None else measured}]"
    text = f"""title = "A tank"
name = "a-tank"
kind = "tank"
[sheet]
thickness = {thickness!r}
{add["sheet"]}
[cutting]
{add["cutting"]}
[tank]
size = {list(size)}
{add["tank"]}
[liquid]
fill = "{fill}"
{add["liquid"]}
[limits]
{add["limits"]}
[support]
kind = "{support}"
retention = "{retention}"
{more}
"""
    return read_order_text(text, schemas())


def built(given: Order, thickness: Any = None) -> Design:
    return kind("tank").build(given, thickness)


def at_rest(
    given: Order, design: Design | None = None, *, volume: float | None = None, density: float = 1000.0
) -> Loaded:
    """Standing still with the ordered fill."""
    design = design or built(given)
    inside = filled(given, design)
    dry, wet = inside.empty, inside.volume_mm3 if volume is None else volume
    return loaded("still", still(design.cavities[0], wet, density_kg_m3=density), dry, wet)


def proof(given: Order, *cases: Loaded) -> Proof:
    """The proof of an order at rest, or under the cases given."""
    design = built(given)
    return prove(tank_of(design, settings_of(given)), cases or (at_rest(given, design),))


def use_of(found: Proof, piece: str, what: str = "panel") -> Any:
    return next(u for u in found.uses if u.piece == piece and u.what == what)


def seam_of(found: Proof, name: str) -> Any:
    return next(s for s in found.seams if s.seam == name)
