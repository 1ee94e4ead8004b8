"""The sheet materials and their figures, each with its source.

*Design stress*: the tensile stress that a material may carry for a given time before environment, joint and
factor are put on it; the table's values are already design values. *Creep modulus*: the modulus to use for
the deflection under a load that stays; it is below the short modulus and not for stress.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from types import MappingProxyType
from typing import Final, Literal

from parts.findings import SeamwrightError
from parts.tables import Row, cite, load

__all__ = [
    "DURATIONS",
    "Duration",
    "Material",
    "MaterialError",
    "Repeated",
    "Sourced",
    "Stay",
    "material",
    "material_names",
]

Stay = Literal["minutes", "hours", "days", "permanent"]
DURATIONS: Final[tuple[Stay, ...]] = ("minutes", "hours", "days", "permanent")
_TITLES: Final = MappingProxyType(
    {"cast-pmma": "cast acrylic (PMMA) sheet", "extruded-pmma": "extruded acrylic (PMMA) sheet"}
)
_SHARED: Final = "pmma"
_SUPERPOSED: Final = "Boltzmann superposition of creep (Findley, Lai and Onaran, Creep and Relaxation; from memory)"
_SAME_STRAIN: Final = "a load that comes back may strain it as much as one stay (judgement)"


@dataclass(frozen=True, kw_only=True)
class Repeated:
    """A load that comes and goes for good.

    Attributes:
        stay: how long it is there each time.
        share: of the time that it is there, over all: 1 is for good.
    """

    stay: Stay
    share: float

    def __post_init__(self) -> None:
        if self.stay not in DURATIONS:
            raise MaterialError(f"duration {self.stay!r} is none of {', '.join(DURATIONS)}")
        if not 0.0 <= self.share <= 1.0:
            raise MaterialError(f"share of the time {self.share!r} must be from 0 to 1")


Duration = Stay | Repeated


class MaterialError(SeamwrightError):
    """A material, property or duration that the table does not have."""


@dataclass(frozen=True, kw_only=True)
class Sourced:
    """One figure with where it comes from.

    Attributes:
        value: the value to use.
        unit: its unit, as in the table.
        low, high: the range found, None where the source gives one value.
        source, clause, how_known: provenance, as in `parts.tables`.
    """

    value: float
    unit: str
    source: str
    clause: str
    how_known: str
    low: float | None = None
    high: float | None = None

    @property
    def cited(self) -> str:
        """The source as a finding names it."""
        return cite(self.source, "-", self.how_known)


@dataclass(frozen=True, kw_only=True)
class Material:
    """A sheet material.

    Attributes:
        name: as an order writes it, `cast-pmma` or `extruded-pmma`.
        title: in words.
        properties: every row of the table, by (property, condition).
    """

    name: str
    title: str
    properties: Mapping[tuple[str, str], Sourced] = field(repr=False, hash=False)

    def figure(self, name: str, condition: str | None = None) -> Sourced:
        """One property; the condition may be left out where the table has only one.

        Raises:
            MaterialError: when there is no such property or condition, or the condition is needed.

        >>> material("cast-pmma").figure("forming_temperature").value
        165.0
        """
        found = {at: value for (what, at), value in self.properties.items() if what == name}
        if not found:
            raise MaterialError(f"{self.name} has no property {name!r}")
        if condition is None and len(found) == 1:
            return next(iter(found.values()))
        if condition not in found:
            raise MaterialError(f"{self.name}: {name} at {condition!r} is not there: {', '.join(found)}")
        return found[condition]

    @property
    def density_kg_m3(self) -> float:
        return self.figure("density").value

    @property
    def modulus_mpa(self) -> float:
        """Young's modulus under a short load at 23 C."""
        return self.figure("modulus").value

    @property
    def poisson(self) -> float:
        return self.figure("poisson").value

    def creep_modulus(self, duration: Duration) -> Sourced:
        """The modulus for deflection under a load of this duration, MPa.

        A load that comes and goes creeps each time and recovers as it crept (Boltzmann superposition): what is left is its
        share of the time of all the creep to come. Yields of a stay, and of what an hour has not shown yet, add up.

        >>> round(material("cast-pmma").creep_modulus(Repeated(stay="minutes", share=1 / 24)).value)
        2605
        """
        if not isinstance(duration, Repeated):
            return self.figure("creep_modulus", _duration(duration))
        once, short, long = (self.figure("creep_modulus", at) for at in (duration.stay, "minutes", "permanent"))
        yields = 1.0 / once.value + duration.share * (1.0 / long.value - 1.0 / short.value)
        return _repeated(once, max(long.value, 1.0 / yields), _SUPERPOSED)

    def design_stress(self, duration: Duration) -> Sourced:
        """The design stress for a load of this duration, MPa, before environment, joint and factor.

        Of a load that comes and goes: what strains as much as one stay of it may, and never under the permanent one
        (judgement).

        >>> material("cast-pmma").design_stress("permanent").value
        5.0
        """
        if not isinstance(duration, Repeated):
            return self.figure("design_stress", _duration(duration))
        once, least = self.figure("design_stress", duration.stay), self.figure("design_stress", "permanent")
        softer = self.creep_modulus(duration).value / self.creep_modulus(duration.stay).value
        return _repeated(once, max(least.value, once.value * softer), _SAME_STRAIN)


def material_names() -> tuple[str, ...]:
    """The materials an order may name."""
    return tuple(_TITLES)


@cache
def material(name: str) -> Material:
    """The material of this name.

    Raises:
        MaterialError: when there is none, with the nearest name.

    >>> material("cast-pmma").density_kg_m3
    1190.0
    """
    if name not in _TITLES:
        import difflib

        near = difflib.get_close_matches(name.lower(), _TITLES, n=1)
        hint = f"did you mean {near[0]}?" if near else f"there are {', '.join(_TITLES)}"
        raise MaterialError(f"unknown material {name!r} ({hint})")
    rows = {}
    for row in load("pmma"):
        if row["material"] in (_SHARED, name):
            rows[row["property"], row["condition"]] = _sourced(row)
    return Material(name=name, title=_TITLES[name], properties=MappingProxyType(rows))


def _sourced(row: Row) -> Sourced:
    return Sourced(
        value=float(row["value"]),
        unit=row["unit"],
        source=row["source"],
        clause=row["clause"],
        how_known=row["how_known"],
        low=float(row["low"]) if row["low"] else None,
        high=float(row["high"]) if row["high"] else None,
    )


def _repeated(once: Sourced, value: float, source: str) -> Sourced:
    """The figure of one stay, changed for its coming back."""
    if value == once.value:
        return once
    return Sourced(
        value=value, unit=once.unit, source=f"{once.source}; {source}", clause=once.clause, how_known=once.how_known
    )


def _duration(duration: str) -> str:
    if duration not in DURATIONS:
        raise MaterialError(f"duration {duration!r} is none of {', '.join(DURATIONS)}")
    return duration
