"""Liquids by name, and those that craze PMMA."""

from __future__ import annotations

import math
from dataclasses import dataclass

from parts.findings import Finding, NotCovered, SeamwrightError
from parts.tables import Row, cite, load, named, plain_name
from parts.vectors import finite

__all__ = ["Fluid", "crazing", "crazing_finding", "fluid", "fluid_names", "own_fluid"]


@dataclass(frozen=True, kw_only=True)
class Fluid:
    """A liquid at a temperature.

    Attributes:
        name: `water`, `salt-water`, `milk`, `oil`, `syrup`, or the user's own.
        temperature_c: degrees Celsius.
        density_kg_m3, viscosity_mpa_s: at that temperature.
        source: document and how it is known.
    """

    name: str
    temperature_c: float
    density_kg_m3: float
    viscosity_mpa_s: float
    source: str

    def __post_init__(self) -> None:
        for value, what in ((self.density_kg_m3, "density (kg/m3)"), (self.viscosity_mpa_s, "viscosity (mPa s)")):
            if not (finite(value) and value > 0.0):
                raise SeamwrightError(f"{self.name}: {what} {value!r} must be finite and above 0")


def fluid_names() -> tuple[str, ...]:
    """The liquids in the table.

    >>> fluid_names()
    ('water', 'salt-water', 'milk', 'oil', 'syrup')
    """
    return tuple(dict.fromkeys(row["fluid"] for row in load("fluids")))


def fluid(name: str, temperature_c: float = 20.0) -> Fluid:
    """A liquid from the table; between its temperatures density runs straight and the viscosity's logarithm does.

    Raises:
        SeamwrightError: a name that is not in the table (give density and viscosity instead).
        NotCovered: a temperature outside the rows of that liquid.

    >>> round(fluid("water").density_kg_m3, 1)
    998.2
    """
    rows = [row for row in load("fluids") if row["fluid"] == plain_name(name)]
    if not rows:
        raise SeamwrightError(
            f"liquid {name!r} is not in the table ({', '.join(fluid_names())}): give its density and viscosity"
        )
    first, last = (float(rows[k]["temperature_c"]) for k in (0, -1))
    if not (finite(temperature_c) and first <= temperature_c <= last):
        raise NotCovered(f"{name} at {temperature_c!r} °C: the table goes from {first:g} to {last:g} °C")
    below = max(k for k, row in enumerate(rows) if float(row["temperature_c"]) <= temperature_c)
    low, high = rows[below], rows[min(below + 1, len(rows) - 1)]
    span = float(high["temperature_c"]) - float(low["temperature_c"])
    part = (temperature_c - float(low["temperature_c"])) / span if span else 0.0
    density = [float(row["density_kg_m3"]) for row in (low, high)]
    thick = [math.log(float(row["viscosity_mpa_s"])) for row in (low, high)]
    return Fluid(
        name=plain_name(name),
        temperature_c=temperature_c,
        density_kg_m3=density[0] + part * (density[1] - density[0]),
        viscosity_mpa_s=math.exp(thick[0] + part * (thick[1] - thick[0])),
        source=cite(low["source"], "-", low["how_known"]),
    )


def own_fluid(name: str, density_kg_m3: float, viscosity_mpa_s: float, temperature_c: float = 20.0) -> Fluid:
    """A liquid by the user's own figures.

    Raises:
        SeamwrightError: a density or viscosity that is not finite and above 0.
    """
    return Fluid(
        name=name,
        temperature_c=temperature_c,
        density_kg_m3=density_kg_m3,
        viscosity_mpa_s=viscosity_mpa_s,
        source="given with the order",
    )


def crazing(name: str) -> Row | None:
    """The row of the table of liquids that craze or dissolve PMMA which this name means, or None."""
    return named("liquids_that_craze", "liquid", name)


def crazing_finding(name: str) -> Finding | None:
    """A `stop` when the liquid is in that table; not being there proves nothing about a liquid.

    >>> crazing_finding("Methylene chloride").level
    'stop'
    """
    row = crazing(name)
    if row is None:
        return None
    how = "attacks" if row["effect"] == "attacks" else "can craze"
    return Finding(
        level="stop",
        check="liquid",
        where="liquid",
        why=f"{name} {how} PMMA, most where it is under stress",
        do="use another liquid, or another material; ask the sheet's maker",
        source=cite(row["source"], row["clause"], row["how_known"]),
    )
