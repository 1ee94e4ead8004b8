"""What a series is of: an order, what varies in it, limits, what is wanted; read from a file or said from Python."""

from __future__ import annotations

import hashlib
import json
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Annotated, Any, Final

from pydantic import Field, model_validator

from assemblies.kinds import schemas
from assemblies.order import Order, Refused, ShopFile, Table
from assemblies.order.errors import Key, key_text, near_hint, shown
from assemblies.order.files import Check, Sort, read_table, text_of
from assemblies.order.reader import ORDER_FILE, order_from
from assemblies.order.shop_file import find_shop, read_shop
from assemblies.order.values import Joined, Name, Reads, Text, number, whole
from assemblies.series.figures import FIGURES
from parts.findings import SeamwrightError

__all__ = [
    "MOST_MEMBERS",
    "Asked",
    "Limit",
    "SeriesSpec",
    "Vary",
    "Want",
    "asked_of",
    "not_varied",
    "read_series",
    "vary_of",
]

SERIES_FILE: Final = Sort(noun="a series file", largest_bytes=262_144, instead="the README shows one")
MOST_MEMBERS: Final = 1_000_000  # more than a table that anybody reads: a slip of the pen
_MOST_VALUES: Final = 10_000
_KEY: Final = re.compile(r"[a-z0-9][a-z0-9-]*(?:\[[1-9][0-9]{0,3}\])*(?:\.[a-z0-9][a-z0-9-]*(?:\[[1-9][0-9]{0,3}\])*)*")
_ENDS: Final = 'a number, or one with its unit such as "300 mm"'
_NUMBER: Final = re.compile(r"\s*([+-]?[0-9]+(?:\.[0-9]+)?)\s*(\D*?)\s*")


def _key(text: str) -> Key:
    """A key as messages write it, items from 1, to the path in the data.

    >>> _key("plate[2].at[1]")
    ('plate', 1, 'at', 0)
    """
    if not _KEY.fullmatch(text):
        raise Refused(f"{shown(text)} is no key", "a key as `show order` writes it, such as tank.size[1]")
    found = re.findall(r"\[(\d+)\]|([a-z0-9][a-z0-9-]*)", text)
    return tuple(int(item) - 1 if item else word for item, word in found)


def _amount(value: Any) -> tuple[Decimal, str]:
    """A number and its unit, if it has one.

    >>> _amount("300 mm"), _amount(1.5)
    ((Decimal('300'), 'mm'), (Decimal('1.5'), ''))
    """
    plain = isinstance(value, str | int | float) and not isinstance(value, bool)
    found = _NUMBER.fullmatch(str(value)) if plain else None
    if found is None:
        raise Refused(f"{shown(value)} is no end of a range", _ENDS)
    return Decimal(found[1]), found[2]


def _end(value: Any) -> Any:
    _amount(value)
    return value


End = Annotated[Any, Reads(_end, allowed=_ENDS)]


class VarySpec(Joined):
    """A key of the order and the values that it takes: a list, or a range of numbers with or without a unit."""

    key: Text
    """As `show order` writes it; items of a list count from 1. e.g. `"tank.size[1]"`"""
    values: Annotated[tuple[Any, ...], Field(min_length=1, max_length=_MOST_VALUES)] | None = None
    """One after the other. e.g. `[300, 350, 400]`"""
    from_: Annotated[End, Field(alias="from")] = None
    """Where a range begins. e.g. `"300 mm"`"""
    to: End = None
    """Where it ends, itself in it. e.g. `"600 mm"`"""
    steps: Annotated[int, whole(2, _MOST_VALUES)] | None = None
    """How many values the range has. e.g. `7`"""

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """Either a list or a range, and a range whole."""
        have = {"from", "to", "steps"} & set(data)
        if ("values" in data) == bool(have):
            yield Refused(
                "values, or from, to and steps, not both" if have else "nothing to vary", "one of them", ("values",)
            )
        elif have and have != {"from", "to", "steps"}:
            yield Refused(
                "a range that is not whole", "from, to and steps", (sorted({"from", "to", "steps"} - have)[0],)
            )


class LimitSpec(Joined):
    """A figure that must not be passed."""

    figure: Text
    """One of the figures. e.g. `"price"`"""
    least: Annotated[float, number(-1e9, 1e9)] | None = None
    """Not under it. e.g. `9`"""
    most: Annotated[float, number(-1e9, 1e9)] | None = None
    """Not over it. e.g. `120`"""

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """At least one bound."""
        if "least" not in data and "most" not in data:
            yield Refused("a limit without a bound", "least, most or both", ("most",))


class SeriesSpec(Table):
    """A whole series file."""

    name: Name
    """Of its folder. e.g. `"trough-lengths"`"""
    title: Text
    """In words. e.g. `"How long a trough"`"""
    order: Text
    """The order file, by its way from this one. e.g. `"trough.toml"`"""
    least: tuple[Text, ...] = ()
    """Figures wanted as small as can be, the first matters most. e.g. `["mass", "price"]`"""
    most: tuple[Text, ...] = ()
    """Figures wanted as large as can be. e.g. `["capacity"]`"""
    vary: Annotated[tuple[VarySpec, ...], Field(min_length=1, max_length=8)]
    limit: tuple[LimitSpec, ...] = ()

    @model_validator(mode="after")
    def _known(self) -> SeriesSpec:
        wanted = [("least", k, one) for k, one in enumerate(self.least)] + [
            ("most", k, o) for k, o in enumerate(self.most)
        ]
        for key, k, one in [*wanted, *(("limit", k, one.figure) for k, one in enumerate(self.limit))]:
            if one not in FIGURES:
                where: Key = (key, k, "figure") if key == "limit" else (key, k)
                raise Refused(f"{shown(one)} is no figure{near_hint(one, FIGURES)}", ", ".join(FIGURES), where)
        return self


@dataclass(frozen=True, kw_only=True)
class Vary:
    """A key of the order, as a path in its data, and the values that it takes."""

    key: Key
    values: tuple[Any, ...]

    @property
    def name(self) -> str:
        return key_text(self.key)


@dataclass(frozen=True, kw_only=True)
class Want:
    """A figure wanted small (`sign` 1) or large (-1)."""

    figure: str
    sign: int


@dataclass(frozen=True, kw_only=True)
class Limit:
    """A figure with its bounds."""

    figure: str
    least: float = -math.inf
    most: float = math.inf


@dataclass(frozen=True, kw_only=True)
class Asked:
    """A series, ready to be run; members count from 0, the last key changes first.

    Attributes:
        file, data, lines: of the order as it was read.
        shop: with which its members are read.
    """

    name: str
    title: str
    file: str
    data: dict[str, Any]
    lines: Mapping[Key, int]
    shop: ShopFile | None
    vary: tuple[Vary, ...]
    wants: tuple[Want, ...]
    limits: tuple[Limit, ...]

    @property
    def count(self) -> int:
        return math.prod(len(one.values) for one in self.vary)

    @property
    def figures(self) -> tuple[str, ...]:
        """Those that are wanted or limited."""
        return tuple(dict.fromkeys([w.figure for w in self.wants] + [one.figure for one in self.limits]))

    @property
    def digest(self) -> str:
        """Tells this series from any other: the order, what varies, the shop, which figures."""
        said = (
            self.data,
            [(v.name, v.values) for v in self.vary],
            self.figures,
            self.shop.model_dump() if self.shop else "",
        )
        return hashlib.sha256(json.dumps(said, sort_keys=True, default=str).encode()).hexdigest()

    def values(self, member: int) -> tuple[Any, ...]:
        """What each key is in a member."""
        out = []
        for one in reversed(self.vary):
            member, k = divmod(member, len(one.values))
            out.append(one.values[k])
        return tuple(reversed(out))

    def order(self, member: int, name: str = "") -> Order:
        """The order of a member, under another name where one is given.

        Raises:
            OrderError: its values make none.
        """
        data = self.data | ({"name": name} if name else {})
        for one, value in zip(self.vary, self.values(member), strict=True):
            data = _with(data, one.key, value)
        return order_from(Check(self.file, self.lines), data, schemas(), self.shop)


def _with(data: Any, key: Key, value: Any) -> Any:
    """The data with another value at a path; tables on the way are made, items of lists must be there."""
    if not key:
        return value
    first, *rest = key
    if isinstance(first, int):
        return (*data[:first], _with(data[first], tuple(rest), value), *data[first + 1 :])
    return {**data, first: _with(data.get(first, {}) if rest else None, tuple(rest), value)}


def not_varied(data: Any, one: Vary) -> tuple[str, str] | None:
    """Why a key cannot be varied in this order, and what could."""
    if not _reaches(data, one.key):
        return f"{one.name} is not in the order", "a key whose list is there, or a table's key"
    beside: Any = data
    for part in one.key[:-1]:
        beside = beside[part] if isinstance(part, int) else beside.get(part, {})
    if one.key[-1] == "thickness" and "measured" in beside:
        measured = key_text((*one.key[:-1], "measured"))
        return f"{one.name} varies, but the order has {measured}, readings of one sheet", f"an order without {measured}"
    return None


def _reaches(data: Any, key: Key) -> bool:
    """Whether a path can be set in the data."""
    for part in key[:-1] if isinstance(key[-1], str) else key:
        if isinstance(part, int):
            if not isinstance(data, tuple | list) or part >= len(data):
                return False
            data = data[part]
        elif not isinstance(data, dict):
            return False
        else:
            data = data.get(part, {})
    return isinstance(key[-1], int) or isinstance(data, dict)


def vary_of(key: str, values: Any) -> Vary:
    """A key with its values: a list, or a mapping of `from`, `to`, `steps`.

    Raises:
        Refused: it is no key, or no range.
    """
    if not isinstance(values, Mapping):
        return Vary(key=_key(key), values=tuple(values))
    start, end, steps = values["from"], values["to"], values["steps"]
    (a, unit), (b, other) = _amount(start), _amount(end)
    if unit != other:
        raise Refused(f"from {shown(start)} to {shown(end)}", "both with the same unit", ("to",))
    each = [a + (b - a) * k / (steps - 1) for k in range(steps)]
    numbers = [float(round(v, 9)) for v in each]
    return Vary(key=_key(key), values=tuple(f"{v:g} {unit}" if unit else v for v in numbers))


def read_series(path: str | Path, shop: Path | None = None) -> Asked:
    """The series in a file.

    Raises:
        OrderError: everything that is wrong with it, or with its order, at once.
    """
    path = Path(path)
    spec = read_table(text_of(path, SERIES_FILE), str(path), SeriesSpec)
    check = Check.of_text(text_of(path, SERIES_FILE), str(path))[0]
    vary = []
    for k, one in enumerate(spec.vary):
        given = one.values if one.values is not None else {"from": one.from_, "to": one.to, "steps": one.steps}
        try:
            vary.append(vary_of(one.key, given))
        except Refused as error:
            check.say(("vary", k, *(error.key or ("key",))), error.what, error.allowed)
    check.settle()
    asked = asked_of(
        path.parent / spec.order,
        vary,
        spec.least,
        spec.most,
        [Limit(figure=o.figure, **o.model_dump(include={"least", "most"}, exclude_none=True)) for o in spec.limit],
        name=spec.name,
        title=spec.title,
        shop=shop,
    )
    for k, varied in enumerate(asked.vary):
        fault = not_varied(asked.data, varied)
        if fault is not None:
            check.say(("vary", k, "key"), *fault)
    check.settle()
    return asked


def asked_of(
    order: str | Path,
    vary: Sequence[Vary],
    least: Sequence[str] = (),
    most: Sequence[str] = (),
    limits: Sequence[Limit] = (),
    *,
    name: str,
    title: str,
    shop: Path | None = None,
) -> Asked:
    """A series of an order file.

    Raises:
        OrderError: the order cannot be read.
        SeamwrightError: more members than can be meant.
    """
    path = Path(order)
    check, data = Check.of_text(text_of(path, ORDER_FILE), str(path))
    given = shop or find_shop(path)
    wants = [*(Want(figure=one, sign=1) for one in least), *(Want(figure=one, sign=-1) for one in most)]
    asked = Asked(
        name=name,
        title=title,
        file=str(path),
        data=data,
        lines=check.lines,
        shop=read_shop(given, path) if given else None,
        vary=tuple(vary),
        wants=tuple(wants or [Want(figure="mass", sign=1), Want(figure="use", sign=1)]),
        limits=tuple(limits),
    )
    if asked.count > MOST_MEMBERS:
        each = " x ".join(str(len(one.values)) for one in asked.vary)
        raise SeamwrightError(f"{name}: {each} are {asked.count:,} members; at most {MOST_MEMBERS:,} are run")
    return asked
