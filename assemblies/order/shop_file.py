"""The shop, said once: what an order's [shop] table may say, and the file `shop.toml` that says it for every order.

```toml
units = "mm"            # of bare numbers in this file; sheet is bought in its sizes
rack  = "rack.toml"     # the stock file, beside this one

[shop]                  # the keys of an order's [shop] table; the order's own win
held  = "press"
fence = 1270

[saw]                   # likewise [router], [laser], [score-and-snap]; the order's [cutting] wins
kerf = 3.2

[edges]                 # the keys of an order's [edges] table; the order's own win
bonded = "mill"

[rates]                 # any of the table `rates`
labour = 60

[[stock]]               # sheet as it can be bought
material = "cast-pmma"
thickness = 6
size = [2050, 3050]

[[tube]]                # round tube as it is sold
outside = 200
wall = 5
price = 64              # a metre
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
from assemblies.order.files import MOST, Sort, read_table, text_of
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

__all__ = [
    "EdgeUse",
    "EdgeWork",
    "EdgesSpec",
    "ProcessSpec",
    "ShopFile",
    "ShopSpec",
    "StockSpec",
    "TubeSpec",
    "find_shop",
    "process_row",
    "read_shop",
]

SHOP_FILE: Final = Sort(noun="a shop file", largest_bytes=262_144, instead="`seamwright start shop` prints one")
NAME: Final = "shop.toml"


class ShopSpec(Joined):
    """What the shop has and uses; what it does not say is assumed, and the report says so."""

    held: Literal["press", "hand"] = "press"
    """Whether holes are drilled on a press or by hand. e.g. `"press"`"""
    throat: Length | None = None
    """From the press's column to its drill: how far from an edge it reaches. e.g. `165`"""
    spindle_max: Positive | None = None
    """Top speed of the press, rev/min. e.g. `3000`"""
    turns_per_inch: Annotated[float, number(0.1, 100.0)] | None = None
    """Pitch of a cross-slide vise: holes come out in turns of its handles. e.g. `10`"""
    mm_per_turn: Annotated[Length, up_to(lambda: 100.0)] | None = None
    """The same for a metric vise. e.g. `2`"""
    dial: Annotated[int, whole(1, 1000)] | None = None
    """Divisions on its handles. e.g. `100`"""
    stack: bool = True
    """Whether equal pieces may be drilled together. e.g. `false`"""
    fence: Length | None = None
    """The widest setting of the saw's fence. e.g. `1270`"""
    sled: Length | None = None
    """The longest stop of the sled. e.g. `900`"""
    by_hand: Length | None = None
    """A longer blank is halved before it is ripped. e.g. `1500`"""
    paper: Literal["a4", "letter"] | None = None
    """Paper size of drawings, templates and print. Default: a4, letter for an order in inches. e.g. `"letter"`"""
    projection: Literal["first", "third"] | None = None
    """Projection of the drawings: first or third angle. Default: first, third for an order in inches. e.g. `"third"`"""
    solvent: SolventName | None = None
    """A class of the table of solvents: figures are then for that one, not for the worst. e.g. `"dichloromethane"`"""
    room: Positive | None = None
    """Volume of the room it is used in, m3. e.g. `120`"""
    air_changes: Positive | None = None
    """Air changes of that room per hour. e.g. `4`"""
    clamped: Length | None = None
    """Thickness of what the plates are bolted to: bolts come out with their length. e.g. `5`"""

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """Two pitches of one screw, or a dial without any."""
        if "turns-per-inch" in data and "mm-per-turn" in data:
            yield Refused("turns-per-inch and mm-per-turn are both given", "one of them", ("mm-per-turn",))
        if "dial" in data and not {"turns-per-inch", "mm-per-turn"} & set(data):
            yield Refused("a dial without the pitch of its screw", "turns-per-inch or mm-per-turn as well", ("dial",))

    def over(self, other: ShopSpec) -> ShopSpec:
        """This one's own keys, and the other's where this one says nothing."""
        own = self.model_fields_set
        pitch = {"turns_per_inch", "mm_per_turn", "dial"}
        taken = other.model_fields_set - own - (pitch if own & pitch else set())
        return self.model_copy(update={key: getattr(other, key) for key in sorted(taken)})


EdgeUse = Literal["bonded", "seen", "free"]
EdgeWork = Literal["leave", "scrape", "sand", "mill"]


class EdgesSpec(Table):
    """What is done to the edges once they are sawn, and what that takes off: the pieces are cut larger by so much.

    Sizes in [as-cut] are read once the edges are worked.
    """

    bonded: EdgeWork = "scrape"
    """An edge that is bonded. e.g. `"mill"`"""
    seen: EdgeWork = "sand"
    """An edge on a face that is looked through. e.g. `"sand"`"""
    free: EdgeWork = "leave"
    """Any other edge. e.g. `"leave"`"""
    scrape: Annotated[Distance, up_to(lambda: 5.0)] | None = None
    """What scraping takes off one edge. Default: nothing. e.g. `0.1`"""
    sand: Annotated[Distance, up_to(lambda: 5.0)] | None = None
    """What sanding takes off one edge. Default: nothing. e.g. `0.2`"""
    mill: Annotated[Distance, up_to(lambda: 5.0)] | None = None
    """What milling takes off one edge. Default: 1 mm. e.g. `0.5`"""

    def over(self, other: EdgesSpec) -> EdgesSpec:
        """This one's own keys, and the other's where this one says nothing."""
        taken = other.model_fields_set - self.model_fields_set
        return self.model_copy(update={key: getattr(other, key) for key in sorted(taken)})


class ProcessSpec(Table):
    """What a machine of the shop cuts like; what it does not say comes from the table `process_defaults`."""

    tolerance: Annotated[Distance, up_to(lambda: 10.0)] | None = None
    """Plus and minus on a cut size. e.g. `0.25`"""
    repeat: Annotated[Distance, up_to(lambda: 10.0)] | None = None
    """How far pieces cut at one setting differ. e.g. `0.05`"""
    squareness: Annotated[Distance, up_to(lambda: 10.0)] | None = None
    """How far a cut edge is out of square over one sheet thickness. e.g. `0.05`"""
    kerf: Annotated[Distance, up_to(lambda: 30.0)] | None = None
    """How wide the cut is. e.g. `3.0`"""
    blade: Text | None = None
    """What is in the machine, in words. e.g. `"96 teeth, triple chip"`"""


class StockSpec(Table):
    """Sheet as it is sold. `price` is for one as sold; of what is cut to size for a square metre."""

    material: Literal["cast-pmma", "extruded-pmma"] = "cast-pmma"
    """What the sheet is. e.g. `"cast-pmma"`"""
    thickness: Length
    """As it is sold. e.g. `6`"""
    size: Size2
    """Of a whole sheet. e.g. `[2050, 3050]`"""
    sold: Literal["whole", "half", "quarter", "cut-to-size"] = "whole"
    """Whole, as halves or quarters of it, or cut to any size. e.g. `"half"`"""
    price: Annotated[float, number(0.0, 1e6)] | None = None
    """Of one as sold; of what is cut to size a square metre. e.g. `96`"""
    trim: Distance = 0.0
    """Factory edge to take off all round. e.g. `10`"""


class TubeSpec(Table):
    """`[[tube]]`: round tube as it is sold, and its price a metre."""

    material: Literal["cast-pmma", "extruded-pmma"] = "extruded-pmma"
    """What the tube is. e.g. `"cast-pmma"`"""
    outside: Length
    """Outside diameter, as it is sold. e.g. `200`"""
    wall: Length
    """Its wall, as it is sold. e.g. `5`"""
    length: Length | None = None
    """Of a whole tube. Default: it is sold by any length. e.g. `2000`"""
    price: Annotated[float, number(0.0, 1e6)]
    """Of a metre. e.g. `64`"""


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
        raise Refused(f"{text!r} is not a currency", "a word of 1 to 8 characters")
    return text


class ShopFile(Table):
    """A whole shop file.

    `said` is how the packet names it.
    """

    units: Literal["mm", "in"] = "mm"
    """Unit of bare numbers in this file; sheet is bought in the usual sizes of this unit. e.g. `"mm"`"""
    rack: Text | None = None
    """Path of the stock file, from this one. e.g. `"rack.toml"`"""
    currency: Annotated[Text, AfterValidator(_currency)] | None = None
    """Printed with every amount. e.g. `"EUR"`"""
    shop: ShopSpec = ShopSpec()
    edges: EdgesSpec = EdgesSpec()
    saw: ProcessSpec = ProcessSpec()
    router: ProcessSpec = ProcessSpec()
    laser: ProcessSpec = ProcessSpec()
    score_and_snap: ProcessSpec = ProcessSpec()
    rates: Annotated[
        Mapping[str, Annotated[float, number(0.0, 1e6)]], AfterValidator(_known_rates), PlainSerializer(dict)
    ] = Field(default_factory=dict)
    """Any of `seamwright show rates`, by name. e.g. `{labour = 45}`"""
    stock: Annotated[tuple[StockSpec, ...], Field(max_length=MOST)] = ()
    tube: Annotated[tuple[TubeSpec, ...], Field(max_length=MOST)] = ()
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
    """The shop file beside an order, or in the nearest folder above it; whatever bears its name there, so that it is said
    where that cannot be read."""
    folder = order.absolute().parent
    return next((f / NAME for f in (folder, *folder.parents) if os.path.lexists(f / NAME)), None)


def read_shop(path: Path, order: Path | None = None) -> ShopFile:
    """The shop in a file, named by its way from an order.

    Raises:
        OrderError: everything that is wrong with it, at once.
    """
    found = read_table(text_of(path, SHOP_FILE), str(path), ShopFile)
    found._path = path
    found._said = path.name if order is None else os.path.relpath(path, order.absolute().parent)
    if found.rack is not None and not (path.parent / found.rack).is_file():
        fault = Problem(file=str(path), line=None, key=("rack",), what=f"no such stock file: {found.rack}", allowed="")
        raise OrderError((fault,))
    return found
