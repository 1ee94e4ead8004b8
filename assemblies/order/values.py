"""The values an order is written in: lengths, places, amounts, each read once into fixed units.

Lengths come out in mm, accelerations in m/s2, angles in degrees, temperatures in degrees C, volumes in L.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Annotated, Any, Final

from pydantic import BaseModel, BeforeValidator, ConfigDict, ValidationInfo

from parts.lengths import LengthError, LengthUnit, read_length

__all__ = [
    "Acceleration", "Angle", "Deflection", "DeflectionLimit", "Distance", "Fill", "FillAmount", "Length", "Percent",
    "Place", "Point2", "Positive", "Size2", "Size3", "Table", "Temperature", "Text", "unit_of",
]  # fmt: skip

LONGEST_MM: Final = 10_000.0
STANDARD_GRAVITY: Final = 9.80665  # m/s2, ISO 80000-3
_AMOUNT: Final = re.compile(r"\s*([+-]?[0-9]+(?:\.[0-9]+)?)\s*([^\s0-9].*?)?\s*")


def _kebab(name: str) -> str:
    return name.replace("_", "-")


class Table(BaseModel):
    """Base of every table of an order: frozen, strict, no unknown keys, written with hyphens."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", strict=True, alias_generator=_kebab, populate_by_name=True, hide_input_in_errors=True
    )


def unit_of(info: ValidationInfo) -> LengthUnit:
    """The order's unit for bare numbers."""
    context = info.context or {}
    unit: LengthUnit = context.get("units", "mm")
    return unit


def _mm(value: Any, info: ValidationInfo) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise ValueError(f"{_shown(value)} is no length; a number, or a text such as \"7 3/8 in\"")
    try:
        mm = read_length(value, unit_of(info))
    except LengthError as error:
        raise ValueError(str(error)) from None
    if abs(mm) > LONGEST_MM:
        raise ValueError(f"{_shown(value)} is over 10 m")
    return mm


def _shown(value: Any) -> str:
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "..."


def _length(value: Any, info: ValidationInfo) -> float:
    mm = _mm(value, info)
    if mm <= 0.0:
        raise ValueError(f"{_shown(value)} must be over 0")
    return mm


def _distance(value: Any, info: ValidationInfo) -> float:
    mm = _mm(value, info)
    if mm < 0.0:
        raise ValueError(f"{_shown(value)} must not be negative")
    return mm


Length = Annotated[float, BeforeValidator(_length)]
Distance = Annotated[float, BeforeValidator(_distance)]
Place = Annotated[float, BeforeValidator(_mm)]
Point2 = tuple[Place, Place]
Size2 = tuple[Length, Length]
Size3 = tuple[Length, Length, Length]


def _amount(value: Any, units: dict[str, float], bare: str | None, what: str) -> tuple[float, str]:
    """A number with one of the units, or a bare number in `bare`."""
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise ValueError(f"{_shown(value)} is no {what}")
    if isinstance(value, str):
        matched = _AMOUNT.fullmatch(value)
        if matched is None or len(value) > 40:
            raise ValueError(f"{_shown(value)} is no {what}: a number and one of {', '.join(units)}")
        number, unit = float(matched[1]), matched[2] or bare
    else:
        number, unit = float(value), bare
    if unit is None or unit not in units:
        raise ValueError(f"{_shown(value)}: a {what} needs one of {', '.join(units)}")
    if not math.isfinite(number):
        raise ValueError(f"{_shown(value)} is no {what}")
    return number * units[unit], unit


def _bounded(units: dict[str, float], bare: str, what: str, low: float, high: float) -> BeforeValidator:
    def read(value: Any) -> float:
        number, _ = _amount(value, units, bare, what)
        if not low <= number <= high:
            raise ValueError(f"{_shown(value)} must be {low:g} to {high:g} {bare}")
        return number

    return BeforeValidator(read)


Acceleration = Annotated[
    float, _bounded({"m/s2": 1.0, "mm/s2": 1e-3, "g": STANDARD_GRAVITY}, "m/s2", "acceleration", 0.0, 1000.0)
]
Angle = Annotated[float, _bounded({"deg": 1.0, "rad": 180.0 / math.pi}, "deg", "angle", -360.0, 360.0)]
Temperature = Annotated[float, _bounded({"C": 1.0}, "C", "temperature", -40.0, 150.0)]
Percent = Annotated[float, _bounded({"%": 1.0}, "%", "percentage", 0.0, 100.0)]


def _positive(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0.0 < value < 1e9:
        raise ValueError(f"{_shown(value)} must be a number over 0")
    return float(value)


Positive = Annotated[float, BeforeValidator(_positive)]


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise ValueError(f"{_shown(value)} is no text")
    if not 0 < len(value.strip()) <= 200 or not value.isprintable():
        raise ValueError(f"{_shown(value)}: 1 to 200 printable characters, on one line")
    return value


Text = Annotated[str, BeforeValidator(_text)]


@dataclass(frozen=True)
class FillAmount:
    """How much liquid: a depth in mm or a volume in L; one of the two."""

    depth_mm: float | None = None
    volume_l: float | None = None


def _fill(value: Any, info: ValidationInfo) -> FillAmount:
    if isinstance(value, str) and re.search(r"[0-9]\s*(L|l|mL|ml)\s*$", value):
        litres, _ = _amount(value, {"L": 1.0, "l": 1.0, "mL": 1e-3, "ml": 1e-3}, None, "volume")
        if not 0.0 <= litres <= 1e4:
            raise ValueError(f"{_shown(value)} must be 0 to 10000 L")
        return FillAmount(volume_l=litres)
    return FillAmount(depth_mm=_distance(value, info))


Fill = Annotated[FillAmount, BeforeValidator(_fill)]


@dataclass(frozen=True)
class DeflectionLimit:
    """A part of the span, or a length in mm; one of the two."""

    of_span: float | None = None
    mm: float | None = None


def _deflection(value: Any, info: ValidationInfo) -> DeflectionLimit:
    if isinstance(value, str) and (matched := re.fullmatch(r"\s*1\s*/\s*([0-9]{1,5})\s*", value)):
        if not 20 <= int(matched[1]) <= 10_000:
            raise ValueError(f"{_shown(value)}: from 1/20 to 1/10000 of the span")
        return DeflectionLimit(of_span=1.0 / int(matched[1]))
    return DeflectionLimit(mm=_length(value, info))


Deflection = Annotated[DeflectionLimit, BeforeValidator(_deflection)]
