"""What every made part has, whatever it is made from; and the one way in which a room says which features it can do."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final, Literal, Protocol

from parts.findings import NotCovered
from parts.stock.material import Material

__all__ = ["Feature", "Part", "Stock", "require"]

Feature = Literal["bends", "pockets", "bevels", "tube"]

_WORDS: Final[Mapping[Feature, str]] = MappingProxyType(
    {
        "bends": "a bent piece",
        "pockets": "a piece with pockets",
        "bevels": "a piece with bevelled edges",
        "tube": "a tube",
    }
)


class Stock(Protocol):
    """What a part is cut from: a sheet or a tube."""

    @property
    def material(self) -> str: ...

    @property
    def substance(self) -> Material: ...

    @property
    def density_kg_m3(self) -> float: ...


class Part(Protocol):
    """One kind of made part. Its own axes start at the lower-left corner of its box.

    Attributes:
        name: ASCII, unique in the design.
        features: what it has beside a flat outline with holes.
        size_mm: the sides of its box.
        volume_mm3, mass_kg: of its material.
        stock: what it is cut from.
    """

    @property
    def name(self) -> str: ...

    @property
    def features(self) -> tuple[Feature, ...]: ...

    @property
    def size_mm(self) -> tuple[float, float, float]: ...

    @property
    def volume_mm3(self) -> float: ...

    @property
    def mass_kg(self) -> float: ...

    @property
    def stock(self) -> Stock: ...


def require(part: Part, what: str, *can: Feature) -> None:
    """Refuse a part with a feature that a room cannot do, so that none is ever taken for a flat one.

    Args:
        part: any part.
        what: what the room would give, such as `the solid`.
        can: the features that it does.

    Raises:
        NotCovered: the part has another; the text names part and feature.
    """
    beyond = [_WORDS[one] for one in part.features if one not in can]
    if beyond:
        raise NotCovered(f"{part.name}: {what} of {' and '.join(beyond)} is not covered")
