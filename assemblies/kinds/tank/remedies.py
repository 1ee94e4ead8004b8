"""What would pass where nothing on the rack does: each way is solved, none is guessed."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

from assemblies.design.model import Design
from assemblies.kinds.tank.thickness import Build, Choice, Solver, uniform
from assemblies.order import Order
from assemblies.order.specs import PortSpec, StripSpec
from assemblies.strength.tank.loads import asked_of, use_at_fills, use_at_motions
from parts.findings import NotCovered, SeamwrightError

__all__ = ["remedies"]

_LEAST_STRIP_MM = 30.0  # judgement: narrower strips are hard to hold square while they bond
_PORT_MM = 40.0  # a filling hole, so that a bonded lid seals nothing in
_SHARES = tuple(k / 10.0 for k in range(9, 0, -1))
_MOST_MM = 60.0  # thicker sheet is cast to order; beyond, another design is wanted
_STEP_MM = 5.0


def remedies(order: Order, build: Build, listed: Sequence[float], best: Choice) -> tuple[str, ...]:
    """What would pass: a rim strip, a bonded lid, a mid brace, a lower fill, gentler motion, thicker sheet to order.

    Args:
        order, build: what was ordered, and how it is built.
        listed: the thicknesses on the rack.
        best: the thickest that can be built, which fails.
    """
    ways: tuple[Callable[[], Iterator[str]], ...] = (
        lambda: _stiffened(order, build, listed),
        lambda: _less(order, build, best),
        lambda: _thicker(order, build, listed),
    )
    said: list[str] = []
    for way in ways:
        try:
            said += list(way())
        except (NotCovered, SeamwrightError):  # that way cannot be built or is not covered: it is no remedy
            continue
    return tuple(said)


def _stiffened(order: Order, build: Build, listed: Sequence[float]) -> Iterator[str]:
    """Rim strip, bonded lid, mid brace: the thinnest sheet that passes with each."""
    have = {s.where for s in order.strip}
    lid = getattr(order.table, "lid", "none")
    if "rim" not in have:
        yield from _with(order, build, listed, _rim, "a rim strip all round, {w:g} x {t:g} mm, with {t:g} mm sheet")
    if lid == "none" and "brace" not in have:
        yield from _with(
            order, build, listed, _brace, "a brace across the middle, {w:g} x {t:g} mm, with {t:g} mm sheet"
        )
    if lid == "none" and not have:
        yield from _with(order, build, listed, _lid, "a bonded lid (with a filling hole), with {t:g} mm sheet")


def _with(
    order: Order, build: Build, listed: Sequence[float], change: Callable[[Order, float], Order], text: str
) -> Iterator[str]:
    def built(given: Order, thickness: object) -> Design:
        assert isinstance(thickness, float)
        return build(change(given, thickness), thickness)

    found = uniform(Solver(order, built), listed)
    if found.passes and not found.outside and isinstance(found.thickness_mm, float):
        said = text.format(w=_strip_width(found.thickness_mm), t=found.thickness_mm)
        yield f"{said} (at {100 * found.use:.0f} % of its limit)"


def _strip_width(thickness: float) -> float:
    return max(_LEAST_STRIP_MM, 3.0 * thickness)


def _rim(order: Order, thickness: float) -> Order:
    strip = StripSpec.model_construct(where="rim", size=(_strip_width(thickness), thickness), at=())
    return order.model_copy(update={"strip": (*order.strip, strip)})


def _brace(order: Order, thickness: float) -> Order:
    strip = StripSpec.model_construct(where="brace", size=(_strip_width(thickness), thickness), at=(0.0,))
    return order.model_copy(update={"strip": (*order.strip, strip)})


def _lid(order: Order, thickness: float) -> Order:
    port = PortSpec.model_construct(kind="fill", on="lid", at=(0.0, 0.0), thread=None, diameter=_PORT_MM)
    changed = order.model_copy(update={"port": (*order.port, port)})
    changed._tables = {**order.tables, order.kind: order.table.model_copy(update={"lid": "bonded"})}
    return changed


def _less(order: Order, build: Build, best: Choice) -> Iterator[str]:
    """A lower fill, gentler motion: the largest tenth that passes in the thickest sheet on the rack."""
    asked = asked_of(order, build(order, best.thickness_mm))
    thick = f"{best.thickness_mm:g} mm sheet"
    if order.liquid is not None:
        uses = use_at_fills(asked, _SHARES)
        part = next(((p, u) for p, u in zip(_SHARES, uses, strict=True) if u <= 1.0), None)
        if part is not None:
            yield f"{100 * part[0]:.0f} % of the fill, with an overflow, in {thick} (at {100 * part[1]:.0f} % of its limit)"
    if any(c.acceleration is not None for c in order.case):
        uses = use_at_motions(asked, _SHARES)
        part = next(((p, u) for p, u in zip(_SHARES, uses, strict=True) if u <= 1.0), None)
        if part is not None:
            yield f"{100 * part[0]:.0f} % of the acceleration in {thick} (at {100 * part[1]:.0f} % of its limit)"


def _thicker(order: Order, build: Build, listed: Sequence[float]) -> Iterator[str]:
    """Sheet to order beyond the rack, in steps of 5 mm; taken as measured, since no standard gives its tolerance."""

    def built(given: Order, thickness: object) -> Design:
        assert isinstance(thickness, float)
        own = given.sheet.model_copy(update={"thickness": thickness, "measured": (thickness,)})
        return build(given.model_copy(update={"sheet": own}), thickness)

    first = _STEP_MM * math.floor(listed[-1] / _STEP_MM + 1.0)
    steps = [first + _STEP_MM * k for k in range(int((_MOST_MM - first) // _STEP_MM) + 1)]
    found = uniform(Solver(order, built), steps)
    if found.passes and not found.outside:
        t = found.thickness_mm
        yield f"{t:g} mm sheet to order, if it measures {t:g} mm or more (at {100 * found.use:.0f} % of its limit)"
