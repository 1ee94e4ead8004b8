"""What strength and liquid take where the order does not say it, and by how much that may change their figures."""

from __future__ import annotations

from collections.abc import Iterator

from assemblies.design import Design
from assemblies.liquid.state import LiquidState
from assemblies.motion.case_kinds import CASE_KINDS
from assemblies.order import Order
from assemblies.strength.bonds.allowed import factor_of
from assemblies.strength.proof.cases import standing_of, stop_given, thrown_up
from assemblies.strength.proof.loads import settings_of
from parts.findings import Taken
from parts.stock.material import Repeated, material

__all__ = ["liquid_taken", "strength_taken"]

_HEAVY = 1.2  # judgement: the heaviest liquid that is usual here, a strong brine, against water
_BONDED = 0.6  # the greater of what is remembered of capillary joints (table strength_factors)


def liquid_taken(order: Order, state: LiquidState) -> Iterator[Taken]:
    """The liquid, its temperature, how long each case lasts."""
    if not order.says("liquid", "name"):
        yield Taken(
            what="liquid",
            value=state.fluid.name,
            why="its weight, and whether it harms the sheet",
            say="[liquid] name",
            weight=_HEAVY,
        )
    if not order.says("liquid", "fill"):
        yield Taken(
            what="fill",
            value=state.fill_depth_mm,
            unit="mm",
            why="every load: as full as it can be",
            say="[liquid] fill",
            weight=10.0,
        )
    if not order.says("liquid", "temperature"):
        yield Taken(
            what="temperature of the liquid",
            value=state.fluid.temperature_c,
            unit="C",
            why=f"over {factor_of('environment_warm_from'):g} °C allowed stresses are halved",
            say="[liquid] temperature",
            weight=1.0 / factor_of("environment_warm"),
        )
    short, long = (material(order.sheet.material).design_stress(d).value for d in ("minutes", "permanent"))
    yield from _stays_taken(order, state)
    silent = [case.name for case in order.case if "duration" not in case.model_fields_set]
    if silent:
        yield Taken(
            what=f"how long it lasts: {', '.join(silent)}",
            value="minutes",
            why="the stress that is allowed, and how much it creeps",
            say="[[case]] duration",
            weight=short / long,
        )


def _stays_taken(order: Order, state: LiquidState) -> Iterator[Taken]:
    """How long it stands full and how often, how fast a closed box is filled, how what is thrown up is stopped."""
    sheet = material(order.sheet.material)
    if not order.says("liquid", "stays") and state.fill_l > 0.0:
        yield Taken(
            what="time it stands full",
            value="permanent",
            why="the stress that is allowed, and how much it creeps: permanent means ten years of it",
            say="[liquid] stays",
            weight=sheet.design_stress("minutes").value / sheet.design_stress("permanent").value,
        )
    standing = standing_of(order.liquid)
    if isinstance(standing, Repeated) and not order.says("liquid", "fills_per_day"):
        yield Taken(
            what="how often it is filled, a day",
            value=24.0 * standing.share / sheet.figure("stay", standing.stay).value,
            why="how much of its creep is left when it is filled again",
            say="[liquid] fills-per-day",
            weight=sheet.creep_modulus(standing).value / sheet.creep_modulus("permanent").value,
        )
    if not state.cavity.lips:
        yield Taken(
            what="how fast it is filled, drained and warmed",
            value="2 m/s in a hose, at most 30 L a minute; all drains open; 10 K in a minute",
            why="how wide its vent must be",
            say='[[port]] kind = "vent": a wider one carries more',
            weight=1.5,
        )
    thrown = [
        case.name for case in order.case if thrown_up(case) and not (case.planned or stop_given(case, order.case))
    ]
    if thrown:
        yield Taken(
            what=f"how it is stopped: {', '.join(thrown)}",
            value="as suddenly as it starts",
            why="whether its liquid stays in it, and what bolts and bonds feel",
            say="[[case]] of the stop, the other way",
            weight=2.0,
        )


def strength_taken(order: Order, design: Design) -> Iterator[Taken]:
    """What carries it, what joints and bonds hold, what may bow."""
    settings = settings_of(order)
    if not order.says("support", "kind"):
        yield Taken(
            what="what carries it",
            value=settings.support,
            why="how the floor is loaded: flat, it bends not at all",
            say="[support] kind",
            weight=10.0,
        )
    hung = settings.support == "hung" or any(CASE_KINDS[case.kind].moving for case in order.case)
    if hung and not order.says("support", "retention"):
        yield Taken(
            what="what holds it if a bond lets go",
            value="none",
            why="whether a moving or hung thing is a stop",
            say="[support] retention",
            weight=10.0,
        )
    if order.limits.joint is None:
        yield Taken(
            what="share of the sheet's strength in a bonded joint",
            value=100.0 * settings.joint,
            unit="%",
            why="the use of every seam",
            say="[limits] joint",
            weight=_BONDED / settings.joint,
        )
    if not order.says("limits", "bonded_area") and any(p.piece.role == "mount" for p in design.placed):
        yield Taken(
            what="share of a plate that counts as bonded until it is inspected",
            value=100.0 * settings.bonded,
            unit="%",
            why="the stress in the bond of every plate",
            say="[limits] bonded-area",
            weight=1.0 / settings.bonded,
        )
    if not order.says("limits", "deflection"):
        yield Taken(
            what="how much a panel may bow, of its span",
            value="1/200",
            why="whether it passes by deflection",
            say="[limits] deflection",
            weight=1.5,
        )
