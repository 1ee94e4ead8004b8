"""The shop, said once: what an order's [shop] table may say, and the file `shop.toml` that says it for every order.

```toml
units = "mm"            # of bare numbers in this file; sheet is bought in its sizes
rack  = "rack.toml"     # the stock file, beside this one

[shop]                  # the keys of an order's [shop] table; the order's own win
held  = "press"
fence = 1270

[saw]                   # likewise [router], [laser], [score-and-snap]; the order's [cutting] wins
kerf = 3.2

[rates]                 # any of the table `rates`
labour = 60

[[stock]]               # sheet as it can be bought
material = "cast-pmma"
thickness = 6
size = [2050, 3050]
```
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Annotated, Any, Final, Literal

from pydantic import AfterValidator, Field, PlainSerializer, PrivateAttr

from assemblies.order.errors import OrderError, Problem, Refused, near_hint
from assemblies.order.files import MOST, Sort, read_table
from assemblies.order.values import (
    Distance,
    Joined,
    Length,
    Positive,
    Size2,
    SolventName,
    Table,
    Text,
    number,
    up_to,
    whole,
)
from parts.tables import Row, load

__all__ = ["ProcessSpec", "ShopFile", "ShopSpec", "StockSpec", "find_shop", "process_row", "read_shop"]

SHOP_FILE: Final = Sort(noun="a shop file", largest_bytes=262_144, instead="`seamwright start shop` prints one")
NAME: Final = "shop.toml"


class ShopSpec(Joined):
    """What the shop has and uses; what it does not say is assumed, and the report says so."""

    held: Literal["press", "hand"] = "press"
    throat: Length | None = None
    spindle_max: Positive | None = None
    turns_per_inch: Annotated[float, number(0.1, 100.0)] | None = None
    mm_per_turn: Annotated[Length, up_to(lambda: 100.0)] | None = None
    dial: Annotated[int, whole(1, 1000)] | None = None
    stack: bool = True
    fence: Length | None = None
    sled: Length | None = None
    by_hand: Length | None = None
    paper: Literal["a4", "letter"] | None = None
    projection: Literal["first", "third"] | None = None
    solvent: SolventName | None = None
    room: Positive | None = None
    air_changes: Positive | None = None
    clamped: Length | None = None

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """Two pitches of one screw, or a dial without any."""
        if "turns-per-inch" in data and "mm-per-turn" in data:
            yield Refused("turns-per-inch and mm-per-turn are both given", "one of them", ("mm-per-turn",))
        if "dial" in data and not {"turns-per-inch", "mm-per-turn"} & set(data):
            yield Refused("a dial without the pitch of its screw", "turns-per-inch or mm-per-turn besides", ("dial",))

    def over(self, other: ShopSpec) -> ShopSpec:
        """This one's own keys, and the other's where this one says nothing."""
        own = self.model_fields_set
        pitch = {"turns_per_inch", "mm_per_turn", "dial"}
        taken = other.model_fields_set - own - (pitch if own & pitch else set())
        return self.model_copy(update={key: getattr(other, key) for key in sorted(taken)})


class ProcessSpec(Table):
    """What a machine of the shop cuts like; what it does not say comes from the table `process_defaults`."""

    tolerance: Annotated[Distance, up_to(lambda: 10.0)] | None = None
    repeat: Annotated[Distance, up_to(lambda: 10.0)] | None = None
    squareness: Annotated[Distance, up_to(lambda: 10.0)] | None = None
    kerf: Annotated[Distance, up_to(lambda: 30.0)] | None = None
    blade: Text | None = None


class StockSpec(Table):
    """Sheet as it is sold. `price` is for one as sold; of what is cut to size for a square metre."""

    material: Literal["cast-pmma", "extruded-pmma"] = "cast-pmma"
    thickness: Length
    size: Size2
    sold: Literal["whole", "half", "quarter", "cut-to-size"] = "whole"
    price: Annotated[float, number(0.0, 1e6)] | None = None
    trim: Distance = 0.0


def _known_rates(given: Mapping[str, float]) -> Mapping[str, float]:
    known = [row["rate"] for row in load("rates")]
    for name in given:
        if name not in known or name == "currency":
            raise Refused(
                f"unknown rate{near_hint(name, known)}", ", ".join(k for k in known if k != "currency"), (name,)
            )
    return MappingProxyType(dict(given))


def _currency(text: str) -> str:
    if len(text.strip()) > 8:
        raise Refused(f"{text!r} is no currency", "a word of 1 to 8 characters")
    return text


class ShopFile(Table):
    """A whole shop file; `said` is how the packet names it."""

    units: Literal["mm", "in"] = "mm"
    rack: Text | None = None
    currency: Annotated[Text, AfterValidator(_currency)] | None = None
    shop: ShopSpec = ShopSpec()
    saw: ProcessSpec = ProcessSpec()
    router: ProcessSpec = ProcessSpec()
    laser: ProcessSpec = ProcessSpec()
    score_and_snap: ProcessSpec = ProcessSpec()
    rates: Annotated[
        Mapping[str, Annotated[float, number(0.0, 1e6)]], AfterValidator(_known_rates), PlainSerializer(dict)
    ] = Field(default_factory=dict)
    stock: Annotated[tuple[StockSpec, ...], Field(max_length=MOST)] = ()
    _path: Path | None = PrivateAttr(default=None)
    _said: str = PrivateAttr(default="")

    @property
    def said(self) -> str:
        """The file as the packet names it, by its way from the order; empty where there is no file."""
        return self._said

    @property
    def rack_path(self) -> Path | None:
        """The stock file that it names, by its way from this file."""
        return self._path.parent / self.rack if self._path is not None and self.rack is not None else None

    def process(self, name: str) -> ProcessSpec:
        """What it says of a process."""
        spec: ProcessSpec = getattr(self, name.replace("-", "_"), ProcessSpec())
        return spec


def process_row(process: str, shop: ShopFile | None = None) -> Row | None:
    """The defaults of a cutting process, the shop's own figures over those of the table; None for no process."""
    row = next((row for row in load("process_defaults") if row["process"] == process), None)
    if row is None or shop is None:
        return row
    own = shop.process(process)
    given = {f"{key}_mm": repr(getattr(own, key)) for key in sorted(own.model_fields_set - {"blade"})}
    return MappingProxyType({**row, **given, **({"source": shop.said} if given else {})})


def find_shop(order: Path) -> Path | None:
    """The shop file beside an order, or in the nearest folder above it."""
    folder = order.absolute().parent
    return next((f / NAME for f in (folder, *folder.parents) if (f / NAME).is_file()), None)


def read_shop(path: Path, order: Path | None = None) -> ShopFile:
    """The shop in a file, named by its way from an order.

    Raises:
        OrderError: everything that is wrong with it, at once.
    """
    found = read_table(path, SHOP_FILE, ShopFile)
    found._path = path
    found._said = path.name if order is None else os.path.relpath(path, order.absolute().parent)
    if found.rack is not None and not (path.parent / found.rack).is_file():
        fault = Problem(file=str(path), line=None, key=("rack",), what=f"no such stock file: {found.rack}", allowed="")
        raise OrderError((fault,))
    return found
