"""The values an order is written in: lengths, places, amounts, each read once into fixed units.

Lengths come out in mm, accelerations in m/s2, angles in degrees, temperatures in degrees C, volumes in L.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Final, Self

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    ModelWrapValidatorHandler,
    ValidationError,
    ValidationInfo,
    model_validator,
)
from pydantic_core import InitErrorDetails

from assemblies.order.errors import Refused, shown
from parts.findings import SeamwrightError
from parts.lengths import LengthError, LengthUnit, read_length
from parts.stock.mounting import pattern
from parts.stock.thread import thread
from parts.tables import load, named

__all__ = [
    "DEVICE",
    "VOLUMES",
    "Acceleration",
    "Angle",
    "Deflection",
    "DeflectionLimit",
    "Direction",
    "Distance",
    "Fill",
    "FillAmount",
    "Joined",
    "Length",
    "Name",
    "PatternName",
    "Percent",
    "Place",
    "Point2",
    "Point3",
    "Positive",
    "Revision",
    "Says",
    "Size2",
    "Size3",
    "SolventName",
    "Table",
    "Temperature",
    "Text",
    "ThreadName",
    "Way",
    "amount",
    "bounded",
    "counted",
    "length",
    "number",
    "unit_of",
    "up_to",
    "whole",
]

LONGEST_MM: Final = 10_000.0
STANDARD_GRAVITY: Final = 9.80665  # m/s2, ISO 80000-3
_LENGTHS: Final = 'a length such as 140, "140 mm" or "7 3/8 in"'
_FILLS: Final = 'a depth such as "120 mm", or a volume such as "6 L"'
_AMOUNT: Final = re.compile(r"\s*([+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+))\s*([^\s0-9].*?)?\s*")
#: Litres to each. Source: NIST SP 811 (2008), appendix B.8: US gallon 3.785 412 L, US liquid quart 0.946 352 9 L; from memory.
VOLUMES: Final = {
    "L": 1.0,
    "mL": 1e-3,
    "l": 1.0,
    "ml": 1e-3,
    "litre": 1.0,
    "litres": 1.0,
    "liter": 1.0,
    "liters": 1.0,
    "cL": 0.01,
    "cl": 0.01,
    "gal": 3.785411784,
    "gallon": 3.785411784,
    "gallons": 3.785411784,
    "qt": 0.946352946,
    "quart": 0.946352946,
    "quarts": 0.946352946,
}
_VOLUME: Final = re.compile(rf"[0-9.]\s*({'|'.join(VOLUMES)})\s*")
_LONGEST_AMOUNT: Final = 40


@dataclass(frozen=True, slots=True)
class Reads(BeforeValidator):
    """A reader of a value that says what it takes, for `show order`; `units` are those that a text may bear."""

    allowed: str = ""
    units: str = ""


@dataclass(frozen=True)
class Says:
    """What a value may be where its reader alone does not say it, for `show order`."""

    allowed: str


def _kebab(name: str) -> str:
    return name.replace("_", "-")


class Table(BaseModel):
    """Base of every table of an order: frozen, strict, no unknown keys, written with hyphens."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, alias_generator=_kebab, defer_build=True)


class Joined(Table):
    """A table whose keys must suit one another: what is wrong with them together is said beside the faults of each."""

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """What the keys as written lack or are too much of, each fault with its key."""
        yield from ()

    @model_validator(mode="wrap")
    @classmethod
    def _all_at_once(cls, data: Any, handler: ModelWrapValidatorHandler[Self]) -> Self:
        found = list(cls.together(data)) if isinstance(data, Mapping) else []
        if not found:
            return handler(data)
        faults: list[InitErrorDetails] = []
        try:
            handler(data)
        except ValidationError as error:
            for one in error.errors(include_url=False):
                more: InitErrorDetails = {"type": one["type"], "loc": one["loc"], "input": one["input"]}
                if "ctx" in one:
                    more["ctx"] = one["ctx"]
                faults.append(more)
        faults += [{"type": "value_error", "loc": (), "input": data, "ctx": {"error": one}} for one in found]
        raise ValidationError.from_exception_data(cls.__name__, faults)


def unit_of(info: ValidationInfo) -> LengthUnit:
    """The order's unit for bare numbers."""
    context = info.context or {}
    unit: LengthUnit = context.get("units", "mm")
    return unit


def _mm(value: Any, info: ValidationInfo) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise Refused(f"{shown(value)} is not a length", _LENGTHS)
    try:
        mm = read_length(value, unit_of(info))
    except LengthError as error:
        said = str(error)
        raise Refused(said, "" if "a length looks like" in said else _LENGTHS) from None
    if abs(mm) > LONGEST_MM:
        raise Refused(f"{shown(value)} is too long", f"at most {LONGEST_MM / 1000:g} m")
    return mm


def length(value: Any, info: ValidationInfo) -> float:
    """A length over 0, in mm.

    Raises:
        Refused: it is none.
    """
    mm = _mm(value, info)
    if mm <= 0.0:
        raise Refused(f"{shown(value)} is not over 0", "a length over 0")
    return mm


def _distance(value: Any, info: ValidationInfo) -> float:
    mm = _mm(value, info)
    if mm < 0.0:
        raise Refused(f"{shown(value)} is negative", "a length of 0 or more")
    return mm


def counted(count: int, words: str) -> Reads:
    """A list of a fixed count, named in words."""

    def check(value: Any) -> Any:
        if not isinstance(value, tuple):
            raise Refused(f"{shown(value)} is not a list", f"[{words}]")
        if len(value) != count:
            raise Refused(f"{shown(value)} has {len(value)} items, not {count}", f"[{words}]")
        return value

    return Reads(check, allowed=f"[{words}]")


def up_to(most_mm: Callable[[], float]) -> AfterValidator:
    """A length of at most so many mm, asked for when it is needed."""

    def check(mm: float) -> float:
        most = most_mm()
        if mm > most:
            raise Refused(f"{mm:.9g} mm is too much", f"up to {most:g} mm")
        return mm

    return AfterValidator(check)


_LENGTH_UNITS: Final = "mm, cm, m, in"
Length = Annotated[float, Reads(length, allowed="a length over 0", units=_LENGTH_UNITS)]
Distance = Annotated[float, Reads(_distance, allowed="a length of 0 or more", units=_LENGTH_UNITS)]
Place = Annotated[float, Reads(_mm, allowed="a length, negative too", units=_LENGTH_UNITS)]
Point2 = Annotated[tuple[Place, Place], counted(2, "right, up")]
Point3 = Annotated[tuple[Place, Place, Place], counted(3, "x, y, z")]
Size2 = Annotated[tuple[Length, Length], counted(2, "width, height")]
Size3 = Annotated[tuple[Length, Length, Length], counted(3, "length, width, depth")]


def _plain_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def number(low: float, high: float, *, over: bool = False) -> Reads:
    """A plain number from `low` (or over it) to `high`."""
    allowed = f"a number over {low:.9g}, up to {high:.9g}" if over else f"a number from {low:.9g} to {high:.9g}"

    def read(value: Any) -> float:
        if not _plain_number(value):
            raise Refused(f"{shown(value)} is not a number", allowed)
        if not low <= value <= high or (over and value == low):
            raise Refused(f"{shown(value)} is out of range", allowed)
        return float(value)

    return Reads(read, allowed=allowed)


def whole(low: int, high: int) -> Reads:
    """A whole number from `low` to `high`."""
    allowed = f"a whole number from {low} to {high}"

    def read(value: Any) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            raise Refused(f"{shown(value)} is not valid", allowed)
        return value

    return Reads(read, allowed=allowed)


Positive = Annotated[float, number(0.0, 1e9, over=True)]
Direction = Annotated[
    tuple[
        Annotated[float, number(-1e6, 1e6)], Annotated[float, number(-1e6, 1e6)], Annotated[float, number(-1e6, 1e6)]
    ],
    counted(3, "x, y, z"),
]


_AXES: Final = {"x": (1, 0, 0), "y": (0, 1, 0), "z": (0, 0, 1)}


def _no_letter(value: Any) -> Any:
    """An axis by its letter is a slip that can be named."""
    axis = value.strip().lstrip("+-").lower() if isinstance(value, str) else ""
    if axis not in _AXES:
        return value
    sign = -1 if "-" in value else 1
    raise Refused(
        f"{shown(value)} is not a list", f"three numbers: {[sign * part if part else 0 for part in _AXES[axis]]}"
    )


def _somewhere(way: tuple[float, float, float]) -> tuple[float, float, float]:
    if not any(way):
        raise Refused("points nowhere", "at least one of x, y, z that is not 0")
    return way


Way = Annotated[Direction, AfterValidator(_somewhere), BeforeValidator(_no_letter)]


def amount(value: Any, units: Mapping[str, float], bare: str | None, what: str) -> float:
    """A number with one of the units, or a bare number in `bare`, in the unit whose figure is 1."""
    allowed = f"{what}, in {' or '.join(units)}"
    if isinstance(value, str):
        matched = _AMOUNT.fullmatch(value) if len(value) <= _LONGEST_AMOUNT else None
        if matched is None:
            raise Refused(f"{shown(value)} is not a number with a unit", allowed)
        figure, unit = float(matched[1]), matched[2] or bare
    elif _plain_number(value):
        figure, unit = float(value), bare
    else:
        raise Refused(f"{shown(value)} is not a number with a unit", allowed)
    if unit is None or unit not in units:
        raise Refused(f"{shown(value)} has {'no unit' if unit is None else f'an unknown unit {unit!r}'}", allowed)
    return figure * units[unit]


def bounded(units: Mapping[str, float], what: str, low: float, high: float) -> Reads:
    """An amount within limits; bare numbers are in the first unit."""
    bare = next(iter(units))
    allowed = f"{low:g} to {high:g} {bare}"

    def read(value: Any) -> float:
        figure = amount(value, units, bare, what)
        if not low <= figure <= high:
            raise Refused(f"{shown(value)} is out of range", allowed)
        return figure

    return Reads(read, allowed=allowed, units=", ".join(units))


Acceleration = Annotated[
    float, bounded({"m/s2": 1.0, "mm/s2": 1e-3, "g": STANDARD_GRAVITY}, "an acceleration", 0.0, 1000.0)
]
Angle = Annotated[float, bounded({"deg": 1.0, "rad": 180.0 / math.pi}, "an angle", -360.0, 360.0)]
Temperature = Annotated[float, bounded({"C": 1.0}, "a temperature", -40.0, 150.0)]
Percent = Annotated[float, bounded({"%": 1.0}, "a percentage", 0.0, 100.0)]


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise Refused(f"{shown(value)} is not text", 'text in quotes, such as "..."')
    if not 0 < len(value.strip()) <= 200 or not value.isprintable():
        raise Refused(f"{shown(value)} is not valid", "1 to 200 printable characters on one line")
    return value


Text = Annotated[str, Reads(_text, allowed="text of 1 to 200 characters")]


def _thread(text: str) -> str:
    try:
        thread(text)
    except SeamwrightError as error:
        raise Refused(str(error), "a thread of `seamwright show threads`") from None
    return text


_PATTERNS: Final = "a pattern of `seamwright show mountings`, or a list of places"


def _pattern(value: Any, info: ValidationInfo) -> str | tuple[tuple[float, float], ...]:
    """A pattern by name, or places from the middle of the plate, in mm."""
    found = _text(value) if not isinstance(value, tuple) else _places(value, info)
    try:
        pattern(found, unit=unit_of(info))
    except SeamwrightError as error:
        raise Refused(str(error), _PATTERNS) from None
    return found


def _places(value: tuple[Any, ...], info: ValidationInfo) -> tuple[tuple[float, float], ...]:
    """Places in mm; one may stand without the outer brackets."""
    places = (value,) if len(value) == 2 and not any(isinstance(v, tuple) for v in value) else value
    for k, place in enumerate(places):
        if not isinstance(place, tuple) or len(place) != 2:
            raise Refused(f"{shown(place)} is no place", "[right, up]", (k,))
    return tuple((_mm(x, info), _mm(y, info)) for x, y in places)


def _solvent(text: str) -> str:
    if named("solvents", "solvent", text) is None:
        raise Refused(
            f"solvent {shown(text)} is not in the table", ", ".join(row["solvent"] for row in load("solvents"))
        )
    return text


SolventName = Annotated[Text, AfterValidator(_solvent), Says("a solvent of `seamwright show solvents`")]
ThreadName = Annotated[Text, AfterValidator(_thread), Says("a thread of `seamwright show threads`")]
PatternName = Annotated[str | tuple[tuple[float, float], ...], Reads(_pattern, allowed=_PATTERNS, units=_LENGTH_UNITS)]


def _spelled(form: str, allowed: str) -> Reads:
    """Text of one form only."""

    def read(value: Any) -> str:
        if not isinstance(value, str) or re.fullmatch(form, value) is None:
            raise Refused(f"{shown(value)} is not valid", allowed)
        return value

    return Reads(read, allowed=allowed)


# Names that some systems keep for devices, whatever their ending. Source: Microsoft Learn, "Naming Files, Paths, and
# Namespaces", reserved names; from memory.
DEVICE: Final = r"(?:con|prn|aux|nul|com[0-9]|lpt[0-9])\Z"
Name = Annotated[
    str,
    _spelled(
        f"(?!{DEVICE})[a-z0-9][a-z0-9-]{{0,62}}",
        "1 to 63 of a-z, 0-9 and -, starting with a letter or digit, no folders, no reserved device name",
    ),
]
Revision = Annotated[str, _spelled("[A-Za-z0-9._-]{1,12}", 'text of 1 to 12 letters, digits, ".", "_" or "-"')]


@dataclass(frozen=True)
class FillAmount:
    """How much liquid: a depth in mm or a volume in L; one of the two."""

    depth_mm: float | None = None
    volume_l: float | None = None


def _fill(value: Any, info: ValidationInfo) -> FillAmount:
    if isinstance(value, str) and _VOLUME.search(value[-_LONGEST_AMOUNT:]):
        litres = amount(value, VOLUMES, None, 'a volume such as "6 L"')
        if not 0.0 <= litres <= 1e4:
            raise Refused(f"{shown(value)} is out of range", "0 to 10000 L")
        return FillAmount(volume_l=litres)
    try:
        return FillAmount(depth_mm=_distance(value, info))
    except Refused as error:
        raise Refused(error.what, _FILLS if error.allowed in ("", _LENGTHS) else error.allowed) from None


Fill = Annotated[FillAmount, Reads(_fill, allowed=_FILLS, units=", ".join(("mm, in", *VOLUMES)))]


@dataclass(frozen=True)
class DeflectionLimit:
    """A part of the span, or a length in mm; one of the two."""

    of_span: float | None = None
    mm: float | None = None


_PART_OF_SPAN: Final = '"1/20" to "1/10000" of the span'


def _deflection(value: Any, info: ValidationInfo) -> DeflectionLimit:
    if isinstance(value, str) and (matched := re.fullmatch(r"\s*1\s*/\s*([0-9]{1,5})\s*", value)):
        if not 20 <= int(matched[1]) <= 10_000:
            raise Refused(f"{shown(value)} is out of range", f"{_PART_OF_SPAN}, or a length")
        return DeflectionLimit(of_span=1.0 / int(matched[1]))
    if isinstance(value, str) and "/" in value and not re.search(r"[A-Za-z\"']", value):
        # a part of the span or of a unit? "2/200" must not become a hundredth of a mm
        raise Refused(f"{shown(value)} is not a fraction of the span", f"{_PART_OF_SPAN}, or a length with its unit")
    return DeflectionLimit(mm=length(value, info))


Deflection = Annotated[DeflectionLimit, Reads(_deflection, allowed=f"{_PART_OF_SPAN}, or a length", units="mm, in")]
