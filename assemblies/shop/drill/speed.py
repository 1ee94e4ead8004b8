"""How PMMA is drilled: speed, feed, pecks, point, coolant, bit, tap, from the table `drilling`.

*Surface speed*: how fast the drill's rim runs; *peck*: one push before the drill is lifted to clear its chips; *point angle*:
the full angle of the drill's tip; *flute*: the groove that lets the chips out.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from parts.findings import NotCovered, SeamwrightError
from parts.tables import Row, cite, load

__all__ = [
    "BitKind",
    "Held",
    "Pecks",
    "bit_kind",
    "coolant",
    "drilling_rule",
    "drilling_source",
    "flute_mm",
    "pecks",
    "point_height_mm",
    "point_range_deg",
    "spindle_rpm",
]

Held = Literal["press", "hand"]
BitKind = Literal["twist", "step", "circle-cutter"]


def _row(name: str) -> Row:
    for row in load("drilling"):
        if row["rule"] == name:
            return row
    raise KeyError(name)


def drilling_rule(name: str) -> float:
    """The figure of one rule of the table `drilling`; its unit stands there.

    >>> drilling_rule("point_angle_usual")
    90.0

    Raises:
        KeyError: there is no such rule.
    """
    return float(_row(name)["value"])


def drilling_source(name: str) -> str:
    """Where the rule comes from, as printed beside a figure."""
    return _source(_row(name))


def _source(row: Mapping[str, str]) -> str:
    return cite(row["source"], row["clause"], row["how_known"])


def spindle_rpm(diameter_mm: float, spindle_max_rpm: float | None = None) -> tuple[float, float]:
    """Slowest and fastest good spindle speed, rounded to 10 rpm: surface speed / (pi D).

    With `spindle_max_rpm` neither is over what the press can do.

    >>> spindle_rpm(6.0), spindle_rpm(3.0, spindle_max_rpm=3000)
    ((1590.0, 3180.0), (3000, 3000))

    Raises:
        SeamwrightError: a diameter or a press's speed that is not over 0.
    """
    if not (math.isfinite(diameter_mm) and diameter_mm > 0.0):
        raise SeamwrightError(f"a drill of {diameter_mm:g} mm has no speed")
    if spindle_max_rpm is not None and not spindle_max_rpm > 0.0:
        raise SeamwrightError(f"a press whose fastest speed is {spindle_max_rpm:g} rpm does not turn")
    low, high = (
        round(100.0 * drilling_rule(f"surface_speed_{end}") / (math.pi * diameter_mm)) * 10.0 for end in ("min", "max")
    )
    top = math.inf if spindle_max_rpm is None else spindle_max_rpm
    return min(low, top), min(high, top)


@dataclass(frozen=True, kw_only=True)
class Pecks:
    """How often the drill goes in, and how deep each time."""

    number: int
    depth_mm: float


def pecks(depth_mm: float, diameter_mm: float) -> Pecks:
    """Equal pecks, none deeper than the rule's share of the diameter.

    >>> pecks(12.0, 5.0)
    Pecks(number=3, depth_mm=4.0)
    """
    number = max(1, math.ceil(depth_mm / (drilling_rule("peck") * diameter_mm) - 1e-9))
    return Pecks(number=number, depth_mm=depth_mm / number)


def point_range_deg(diameter_mm: float, depth_mm: float | None) -> tuple[float, float]:
    """Point angles that suit the hole, least and greatest; `depth_mm` None goes through.

    Through: 60 to 90 degrees, 60 from half an inch. Blind: 90 degrees up to three diameters, 118 deeper. One source asks
    for 90 in general, the other for 60 wherever the drill comes out: the range holds both.
    """
    least, usual = drilling_rule("point_angle_least"), drilling_rule("point_angle_usual")
    if depth_mm is None:
        return (least, least) if diameter_mm >= drilling_rule("point_60_from") - 1e-6 else (least, usual)
    deep = depth_mm > drilling_rule("deep_from") * diameter_mm
    return (drilling_rule("point_angle_deep_blind"),) * 2 if deep else (usual, usual)


def point_height_mm(diameter_mm: float, angle_deg: float) -> float:
    """Height of the drill's cone beyond its full diameter.

    >>> round(point_height_mm(10.0, 90.0), 6)
    5.0
    """
    return diameter_mm / 2.0 / math.tan(math.radians(angle_deg) / 2.0)


def coolant(depth_mm: float) -> str:
    """What to wet the drill with; never cutting oil, which crazes PMMA."""
    if depth_mm > drilling_rule("coolant_from"):
        return "water or soapy water, at every peck"
    return "dry; a drop of water if chips stick"


def bit_kind(diameter_mm: float, thickness_mm: float, *, through: bool, held: Held, largest_mm: float) -> BitKind:
    """Twist drill, step bit (thin sheet, and thicker by hand) or, over the largest drill, a circle cutter."""
    if diameter_mm > largest_mm + drilling_rule("same_drill"):
        return "circle-cutter"
    limit = drilling_rule("step_bit_thickest" if held == "press" else "step_bit_thickest_by_hand")
    in_range = drilling_rule("step_bit_least") <= diameter_mm <= drilling_rule("step_bit_largest")
    return "step" if through and thickness_mm <= limit and in_range else "twist"


def flute_mm(diameter_mm: float) -> float:
    """Flute length of a jobber drill of this size.

    Raises:
        NotCovered: outside the table.

    >>> flute_mm(4.3), flute_mm(6.0)
    (47.0, 57.0)
    """
    for row in load("drill_flutes"):
        if float(row["over_mm"]) < diameter_mm <= float(row["up_to_mm"]):
            return float(row["flute_mm"])
    raise NotCovered(f"a drill of {diameter_mm:g} mm: its flute length is not in the table (0.95 to 20 mm)")
