"""What a plate is given: edges, supports inside, pressure; and the checks that refuse nonsense."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from assemblies.strength.plates.basis import Array
from assemblies.strength.plates.element import SIDES

__all__ = [
    "Bed",
    "Edge",
    "Pressure",
    "Prop",
    "Rib",
    "as_edges",
    "as_pressure",
    "check_poisson",
    "check_supports",
    "number",
    "rigidity",
    "sizes",
]

Pressure = Callable[[Array, Array], Array] | tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Edge:
    """An edge that is none of clamped, supported, free.

    Attributes:
        translation: spring against deflection, N/mm per mm of edge; math.inf holds it.
        rotation: spring against rotation, N mm/rad per mm of edge; math.inf clamps it.
        bending: E I of a stiffener along the edge, N mm2. torsion: its G J, N mm2.
    """

    translation: float = math.inf
    rotation: float = 0.0
    bending: float = 0.0
    torsion: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Prop:
    """A point support (a bolt, a post): stiffness N/mm, math.inf for a rigid one."""

    x_mm: float
    y_mm: float
    stiffness: float = math.inf


@dataclass(frozen=True, kw_only=True)
class Rib:
    """A support or a rib along a whole line: at x_mm (upright) or at y_mm (level), exactly one of them given.

    `translation` N/mm per mm (math.inf: the line is held), `rotation` N mm/rad per mm, `bending` and `torsion` N mm2.
    """

    x_mm: float | None = None
    y_mm: float | None = None
    translation: float = math.inf
    rotation: float = 0.0
    bending: float = 0.0
    torsion: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Bed:
    """An elastic bed under a rectangle of the plate (both ways: it pulls too), stiffness N/mm3; no size: under all
    of it.
    """

    stiffness: float
    x_mm: tuple[float, float] | None = None
    y_mm: tuple[float, float] | None = None


NAMED = {
    "clamped": Edge(translation=math.inf, rotation=math.inf),
    "supported": Edge(translation=math.inf),
    "free": Edge(translation=0.0),
}


def number(name: str, value: float, low: float = 0.0, strict: bool = True, high: float = math.inf) -> float:
    """The value as a float, or ValueError when it is not a number or outside low .. high."""
    try:
        got = float(value)
    except (TypeError, ValueError):
        raise ValueError(f"{name}: {value!r} is not a number") from None
    if math.isnan(got) or got < low or (strict and got == low) or got > high:
        above = f"above {low:g}" if strict else f"at least {low:g}"
        raise ValueError(f"{name}: {got:g} is not allowed; give a number {above}" + _upto(high))
    return got


def _upto(high: float) -> str:
    return f" and at most {high:g}" if math.isfinite(high) else ""


def sizes(**values: float) -> None:
    """Check that each is a finite number above zero."""
    for name, value in values.items():
        if not math.isfinite(number(name, value)):
            raise ValueError(f"{name}: must be finite")


def check_poisson(poisson: float) -> float:
    """Poisson's ratio of an isotropic solid lies between -1 and 0.5."""
    got = number("poisson", poisson, low=-1.0)
    if not got < 0.5:
        raise ValueError(f"poisson: {got:g} is not allowed; give a number above -1 and below 0.5")
    return got


def rigidity(modulus: float, thickness: float, poisson: float) -> float:
    """D = E t^3 / 12 (1 - nu^2), N mm."""
    return float(modulus * thickness**3 / (12.0 * (1.0 - poisson**2)))


def as_edges(edges: Mapping[str, str | Edge]) -> dict[str, Edge]:
    """The four edges, checked."""
    unknown = sorted(set(edges) ^ set(SIDES))
    if unknown:
        raise ValueError(f"edges: give each of left, right, bottom, top once (check {', '.join(unknown)})")
    result = {}
    for side in SIDES:
        given = edges[side]
        edge = NAMED.get(given) if isinstance(given, str) else given
        if not isinstance(edge, Edge):
            raise ValueError(f"edges, {side}: {given!r} is none of clamped, supported, free, or an Edge")
        for name in ("translation", "rotation", "bending", "torsion"):
            number(f"edges, {side}, {name}", getattr(edge, name), strict=False)
        if not (math.isfinite(edge.bending) and math.isfinite(edge.torsion)):
            raise ValueError(f"edges, {side}: a stiffener's E I and G J must be finite; hold the edge instead")
        result[side] = edge
    return result


def as_pressure(pressure: Pressure, height: float) -> Callable[[Array, Array], Array]:
    """A pressure as p(x, y); a pair is (uniform, extra at the bottom that falls to zero at the top)."""
    if callable(pressure):
        return pressure
    if isinstance(pressure, Sequence) and len(pressure) == 2:
        uniform, extra = (number("pressure", p, low=-math.inf, strict=False) for p in pressure)
        if not (math.isfinite(uniform) and math.isfinite(extra)):
            raise ValueError("pressure: must be finite")
        return lambda x, y: uniform + extra * (1.0 - y / height) + 0.0 * x
    raise ValueError("pressure: give p(x, y) in MPa, or a pair (uniform, extra at the bottom)")


def check_supports(supports: Sequence[Prop | Rib | Bed], width: float, height: float) -> None:
    """Refuse supports that lie off the plate or make no sense."""
    for given in supports:
        if isinstance(given, Prop):
            _on("prop", given.x_mm, width)
            _on("prop", given.y_mm, height)
            number("prop, stiffness", given.stiffness)
        elif isinstance(given, Rib):
            if (given.x_mm is None) == (given.y_mm is None):
                raise ValueError("rib: give x_mm (upright) or y_mm (level), one of them")
            _on("rib", given.x_mm if given.x_mm is not None else given.y_mm, width if given.y_mm is None else height)
            for name in ("translation", "rotation", "bending", "torsion"):
                number(f"rib, {name}", getattr(given, name), strict=False)
        elif isinstance(given, Bed):
            number("bed, stiffness", given.stiffness, high=1e12)
            if (given.x_mm is None) != (given.y_mm is None):
                raise ValueError("bed: give both x_mm and y_mm, or neither for a bed under all of the plate")
            for span, length in ((given.x_mm, width), (given.y_mm, height)):
                if span is not None and not 0.0 <= span[0] < span[1] <= length:
                    raise ValueError(f"bed: {span[0]:g} to {span[1]:g} mm has no size or lies off the plate")
        else:
            raise ValueError(f"supports: {given!r} is no Prop, Rib or Bed")


def _on(what: str, place: float | None, length: float) -> None:
    if place is None or not 0.0 <= place <= length:
        raise ValueError(f"{what}: at {place} mm it lies off the plate (0 to {length:g} mm)")
