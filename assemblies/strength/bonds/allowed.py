"""The one chain from a material's design stress to what a section may carry. Every term is reported."""

from __future__ import annotations

import math
from dataclasses import dataclass

from parts.findings import SeamwrightError
from parts.stock.material import Duration, Material
from parts.tables import Row, cite, load

__all__ = ["Allowed", "allowed_stress", "environment", "factor_of", "factor_source", "warmth"]


def _row(name: str) -> Row:
    for row in load("strength_factors"):
        if row["factor"] == name:
            return row
    raise KeyError(name)


def factor_of(name: str) -> float:
    """A figure of the table `strength_factors`.

    >>> factor_of("hole_stress")
    3.0
    """
    return float(_row(name)["value"])


def factor_source(name: str) -> str:
    """Where that figure comes from."""
    row = _row(name)
    return cite(row["source"], row["clause"], row["how_known"])


@dataclass(frozen=True, kw_only=True)
class Allowed:
    """An allowed stress, MPa, and the terms it is made of."""

    value: float
    table: float
    environment: float
    joint: float
    factor: float
    source: str

    @property
    def terms(self) -> dict[str, float | str]:
        """The terms as the report shows them."""
        return {
            "table": self.table,
            "environment": self.environment,
            "joint": self.joint,
            "factor": self.factor,
            "source": self.source,
        }


def environment(temperature_c: float, *, known: bool = True) -> float:
    """What a liquid at this temperature leaves of the dry value (judgement: halved above 40 C, halved when not known).

    >>> environment(20.0), environment(60.0), environment(60.0, known=False)
    (1.0, 0.5, 0.25)
    """
    wet = factor_of("environment_water" if known else "environment_unknown")
    return wet * warmth(temperature_c)


def warmth(temperature_c: float) -> float:
    """What warmth leaves of strength and of stiffness alike (judgement: half above 40 C).

    >>> warmth(20.0), warmth(60.0)
    (1.0, 0.5)
    """
    return factor_of("environment_warm") if temperature_c > factor_of("environment_warm_from") else 1.0


def allowed_stress(
    material: Material, duration: Duration, *, environment: float = 1.0, joint: float = 1.0, factor: float = 1.0
) -> Allowed:
    """`table(material, duration) x environment x joint / factor`.

    Raises:
        SeamwrightError: an environment or joint over 1 or not over 0, or a factor under 1.

    >>> from parts.stock.material import material
    >>> allowed_stress(material("cast-pmma"), "permanent", joint=0.4, factor=2.0).value
    1.0
    """
    for value, word in ((environment, "environment"), (joint, "joint")):
        if not 0.0 < value <= 1.0:
            raise SeamwrightError(f"{word} {value!r} must be over 0 and at most 1")
    if not (math.isfinite(factor) and factor >= 1.0):
        raise SeamwrightError(f"factor {factor!r} must be at least 1")
    table = material.design_stress(duration)
    return Allowed(
        value=table.value * environment * joint / factor,
        table=table.value,
        environment=environment,
        joint=joint,
        factor=factor,
        source=table.cited,
    )
