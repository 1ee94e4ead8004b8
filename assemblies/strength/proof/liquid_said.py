"""What is to be said of a liquid: does it harm the sheet, what leaves in which case, what is taken where an order is silent."""

from __future__ import annotations

import math
from collections.abc import Iterator

from assemblies.liquid.engine import G_MM_S2
from assemblies.liquid.fluids import crazing_finding, fluid_names
from assemblies.liquid.loads.cases import Wave
from assemblies.liquid.state import LiquidState
from assemblies.motion.case_kinds import CASE_KINDS
from assemblies.order import Order
from assemblies.strength.bonds.allowed import factor_of, factor_source
from assemblies.strength.proof.cases import LoadedCases, standing_of
from parts.findings import Finding
from parts.lengths import MM_PER_INCH, write_length

__all__ = ["known_liquid", "liquid_findings", "taken"]


def known_liquid(order: Order) -> bool:
    """Whether the liquid is one of the tables, which harm no sheet."""
    return order.liquid is None or order.liquid.name in fluid_names()


def liquid_findings(order: Order, loaded: LoadedCases) -> Iterator[Finding]:
    """Liquids that craze or are not known, and what is lost over the rim."""
    if order.liquid is not None:
        bad = crazing_finding(order.liquid.name)
        if bad is not None:
            yield bad
        elif not known_liquid(order):
            yield Finding(
                level="care",
                check="liquid",
                where="liquid",
                why=f"{order.liquid.name} is in no table of liquids here: allowed stresses are halved, but it may craze PMMA",
                do="ask the sheet's maker, and try it on a bent strip of the same sheet",
                source=factor_source("environment_unknown"),
            )
    for name, litres in loaded.lost_l.items():
        if litres > 1e-6:
            spec = next((c for c in order.case if c.name == name), None)
            level = CASE_KINDS[spec.kind].spill if spec is not None else "stop"
            sudden = spec is not None and CASE_KINDS[spec.kind].sudden
            if sudden and name in loaded.thrown:
                yield _thrown(name, litres)
            else:
                yield Finding(
                    level=level,
                    check="liquid",
                    where=name,
                    why=_spills(litres, loaded.lost_by[name], loaded.waves.get(name)),
                    do="" if level == "note" else "fill less, start and stop more gently, or add a lid",
                    source="computed: free surface square to the effective gravity"
                    + ("; a sudden start lifts it twice as high as a steady one" if sudden else ""),
                )


def _spills(litres: float, way: str, wave: Wave | None) -> str:
    if wave is None:
        return f"{litres:.3f} L spills {way}"
    return (
        f"a sudden start or stop lifts the liquid {wave.rise_mm:.1f} mm at the wall, twice the steady rise, on "
        f"{wave.freeboard_mm:.1f} mm of freeboard: up to {litres:.3f} L spills {way}"
    )


def _thrown(name: str, litres: float) -> Finding:
    return Finding(
        level="stop",
        check="liquid",
        where=name,
        why=f"it drops away from its liquid: all {litres:.3f} L is thrown out",
        do=f"stop it under {G_MM_S2 / 1000.0:.1f} m/s2 downward (a longer cushion), or add a lid",
        source="mechanics: whatever drops faster than gravity leaves behind anything loose in it",
    )


def taken(order: Order, state: LiquidState) -> Iterator[Finding]:
    """What is taken where the order does not say it: water to the brim; and what warmth does that no figure here has.

    Args:
        order: what was ordered.
        state: how it is filled.
    """
    if state.assumed:
        to = {"brim": "its brim", "opening": "its lowest opening"}.get(state.full_to or "", "its lid")
        spills = ", where it spills at the first tilt or push" if state.full_to == "brim" else ""
        step = 5.0 if order.units == "mm" else MM_PER_INCH / 4
        less = write_length(step * math.floor(0.9 * state.fill_depth_mm / step), order.units)
        yield Finding(
            level="care",
            check="liquid",
            where="liquid",
            why=f"the order has no [liquid]: assumed: water at 20 °C, filled to {to} ({state.fill_l:.2f} L){spills}; "
            "nothing here is proven for a heavier or warmer liquid, or one that crazes the sheet",
            do=f'write [liquid] with name = "water" and fill = "{less}" or the litres; fill = "0 mm" if it stays dry',
            source="judgement: the most that fits of the usual liquid",
        )
    if order.liquid is not None and order.liquid.stays != standing_of(order.liquid) == "permanent":
        yield Finding(
            level="note",
            check="strength",
            where="liquid",
            why=f"{order.liquid.stays} at a time and {order.liquid.fills_per_day:g} fills a day never leave it empty: "
            "it is treated as permanently full",
            do="fewer fills-per-day",
            source="judgement: the table `pmma` has how long a stay is",
        )
    warm = factor_of("environment_warm_from")
    if order.liquid is not None and order.liquid.temperature > warm:
        yield Finding(
            level="care",
            check="strength",
            where="liquid",
            why=f"{order.liquid.temperature:g} °C is over {warm:g} °C: allowed stresses and the stiffness of the sheet "
            "are halved",
            do="let it cool first if you want thinner sheet",
            source=factor_source("environment_warm"),
        )
