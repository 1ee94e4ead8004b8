"""The tables of an order that several kinds share, exactly as the file may write them. A key's text below it is what
`show order` prints: what it means, and an example.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Literal

from pydantic import (
    AfterValidator,
    BeforeValidator,
    Field,
    PrivateAttr,
    ValidationInfo,
    field_validator,
    model_validator,
)

from assemblies.order.errors import Refused, near_hint, shown
from assemblies.order.files import MOST
from assemblies.order.shop_file import process_row
from assemblies.order.values import (
    VOLUMES,
    Deflection,
    DeflectionLimit,
    Distance,
    Fill,
    Joined,
    Length,
    Place,
    Point2,
    Point3,
    Positive,
    Size2,
    Size3,
    Table,
    Temperature,
    Text,
    ThreadName,
    bounded,
    length,
    number,
    up_to,
)
from parts.stock.rules import rule
from parts.tables import load, named

__all__ = [
    "Cutting",
    "Duration",
    "Limits",
    "Liquid",
    "Panel",
    "PanelSpec",
    "PortSpec",
    "Process",
    "Readings",
    "Rig",
    "SheetSpec",
    "StripSpec",
    "SupportSpec",
    "Wall",
]

Wall = Literal["left", "right", "front", "back", "bottom"]
Panel = Literal["left", "right", "front", "back", "bottom", "lid"]
Process = Literal["saw", "router", "laser", "score-and-snap"]
Duration = Literal["minutes", "hours", "days", "permanent"]


def _readings(value: Any) -> Any:
    """One reading may stand without brackets; a list without any is a slip of the pen."""
    if value == ():
        raise Refused("has no readings", "readings of the sheet, or leave the key out")
    return value if isinstance(value, tuple) else (value,)


_TO_CHOOSE = ("choose", "choose-each")
Readings = Annotated[tuple[Length, ...], BeforeValidator(_readings), Field(max_length=MOST)]


class SheetSpec(Joined):
    """The sheet every piece is cut from unless it says otherwise; `turn = false` keeps pieces the way the sheet lies."""

    material: Literal["cast-pmma", "extruded-pmma"] = "cast-pmma"
    """What the sheet is. e.g. `"cast-pmma"`"""
    thickness: Length | Literal["choose", "choose-each"]
    """Its nominal thickness; "choose": the thinnest stocked sheet that holds, "choose-each": for every panel of its own.
    e.g. `6`"""
    measured: Readings = ()
    """Caliper readings of that sheet, masking film off; sizes follow their mean. e.g. `[5.82, 5.80, 5.84]`"""
    turn: bool = True
    """Whether pieces may be turned on the sheet to save it; false keeps them as the sheet lies. e.g. `false`"""
    _asked: str = PrivateAttr(default="")

    @property
    def asked(self) -> str:
        """The thickness as the order writes it."""
        return self._asked

    @field_validator("thickness", mode="wrap")
    @classmethod
    def _thickness(cls, value: Any, handler: Any, info: ValidationInfo) -> Any:
        if isinstance(value, str) and value.strip().isascii() and value.strip().replace("-", "").isalpha():
            if value not in _TO_CHOOSE:
                raise Refused(
                    f"{shown(value)} is not a thickness{near_hint(value, _TO_CHOOSE)}", "a length, choose, choose-each"
                )
            return value
        return length(value, info)

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """Readings of a sheet that is not there yet."""
        if data.get("thickness") in _TO_CHOOSE and data.get("measured"):
            what = f'readings of a sheet that is still to be chosen (thickness = "{data["thickness"]}")'
            yield Refused(what, "readings once the sheet is there", ("measured",))


class Cutting(Table):
    """How the pieces are cut; what is not given comes from the process's row in `process_defaults`.

    `edge` says what is done to the cut edges before they are bonded.
    """

    process: Process = "saw"
    """What the pieces are cut with; a piece may say otherwise. e.g. `"saw"`"""
    tolerance: Annotated[Distance, up_to(lambda: 10.0)]
    """Plus and minus on a cut size. Default: that of the process. e.g. `0.25`"""
    repeat: Annotated[Distance, up_to(lambda: 10.0)]
    """How far pieces cut at one setting differ. Default: that of the process. e.g. `0.05`"""
    squareness: Annotated[Distance, up_to(lambda: 10.0)]
    """How far a cut edge is out of square over one sheet thickness. Default: that of the process. e.g. `0.05`"""
    kerf: Annotated[Distance, up_to(lambda: 30.0)]
    """How wide the cut is. Default: that of the process. e.g. `3.0`"""
    edge: Literal["as-cut", "machined", "annealed"] = "as-cut"
    """What is done to cut edges before they are bonded. e.g. `"machined"`"""

    @model_validator(mode="before")
    @classmethod
    def _defaults(cls, data: Any, info: ValidationInfo) -> Any:
        if not isinstance(data, dict):
            return data
        process = data.get("process", "saw")
        shop = (info.context or {}).get("shop")
        row = process_row(process, shop) if isinstance(process, str) else None
        row = row or process_row("saw", shop)
        assert row is not None
        words = ("tolerance", "repeat", "squareness", "kerf")
        return {**{word: f"{row[f'{word}_mm']} mm" for word in words}, **data}


def _limit(name: str, unit: str) -> AfterValidator:
    """Lower than the limit of the method, which stands in the table `strength_factors`."""

    def check(own: float) -> float:
        most = next(float(row["value"]) for row in load("strength_factors") if row["factor"] == name)
        if own > most:
            raise Refused(f"{own:g} {unit} is over the limit of the method", f"up to {most:g} {unit}")
        return own

    return AfterValidator(check)


class Limits(Table):
    """What is allowed: gap of a seam (never over what thin solvent bridges), factor on top of the allowed stress, deflection.

    `volume` (L) and `head` (depth of liquid) lower what this method covers, and never raise it.
    """

    gap: Annotated[Length, up_to(lambda: rule("gap_stop"))] = Field(default_factory=lambda: rule("gap_ok"))
    """Widest gap of a seam that passes; never over what thin solvent bridges. e.g. `0.10`"""
    factor: Annotated[float, number(1.0, 10.0)] = 1.0
    """On top of what is allowed already: 2 halves every allowed stress. e.g. `1.5`"""
    deflection: Deflection = DeflectionLimit(of_span=1.0 / 200.0)
    """How far a panel may bow: a part of its span, or a length. e.g. `"1/200"`"""
    sag: Deflection = DeflectionLimit(of_span=1.0 / 200.0)
    """How far the whole tank may sink between and beside what carries it: a part of the floor's shorter side, or a length. e.g.
    `"1/200"`"""
    joint: Annotated[float, number(0.0, 1.0, over=True)] | None = None
    """Share of the sheet's strength that a bonded seam is taken to have. Default: that of the table of factors. e.g. `0.4`"""
    bonded_area: Annotated[float, number(0.0, 1.0, over=True)] = 0.5
    """Share of a plate's face that is taken as bonded. e.g. `0.5`"""
    volume: Annotated[Positive, _limit("largest_volume", "L")] | None = None
    """Most liquid, in L, that this method may be used for; lowers its own limit. e.g. `50`"""
    head: Annotated[Length, _limit("largest_head", "mm")] | None = None
    """Greatest depth of liquid that it may be used for; lowers its own limit. e.g. `300`"""


def _is_text(value: Any) -> bool:
    return isinstance(value, str) and 0 < len(value.strip()) <= 200 and value.isprintable()


_GASES = frozenset({"air", "compressed-air", "air-inlet", "air-supply", "gas", "nitrogen", "pressure", "vacuum"})


def _no_gas(value: Any) -> Any:
    """Gas under pressure is refused by name: a box of flat panels is no pressure vessel."""
    if isinstance(value, str) and value.strip().lower().replace(" ", "-").replace("_", "-") in _GASES:
        raise Refused(
            f"{shown(value)}: compressed air or vacuum in a closed box; flat panels are no pressure vessel, and burst",
            "a liquid, or a port to drain, fill, overflow, spout or vent; drive it from outside",
        )
    return value


_FEEDS = {"L/min": 1.0, "L/s": 60.0, "mL/s": 0.06, "gal/min": VOLUMES["gal"]}
Feed = Annotated[float, bounded(_FEEDS, "a flow", 0.01, 1000.0)]


class Liquid(Joined):
    """What it holds: a fluid of the table by name, or any with density (kg/m3) and viscosity (mPa s) given.

    `stays`: how long it stands full each time; `fills_per_day`: how often. `living` says that animals live in it, which no
    proof here covers.
    """

    name: Annotated[Text, BeforeValidator(_no_gas)] = "water"
    """Water, salt-water, oil, milk or syrup; or any name, with density and viscosity. e.g. `"water"`"""
    fill: Fill
    """How much: a depth, or a volume. e.g. `"6 L"`"""
    temperature: Temperature = 20.0
    """Temperature of the liquid. e.g. `20`"""
    density: Annotated[float, number(300.0, 3000.0)] | None = None
    """Density in kg/m3, for a liquid that the table does not have. e.g. `1100`"""
    viscosity: Positive | None = None
    """Viscosity of such a liquid, in mPa s. e.g. `1.2`"""
    stays: Duration = "permanent"
    """How long it stands full each time. e.g. `"hours"`"""
    fills_per_day: Annotated[float, number(0.0, 1000.0, over=True)] | None = None
    """How often a day it is filled. e.g. `4`"""
    feed: Feed | None = None
    """What a pump or hose feeds it with, a bare number in L/min. e.g. `"4 L/min"`"""
    hose: Annotated[Length, up_to(lambda: 200.0)] | None = None
    """Bore of the hose or pipe that fills it. e.g. `13`"""
    living: bool = False
    """Whether animals live in it: no proof here covers that. e.g. `true`"""

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """A liquid that the table does not know, without the figures that would do instead."""
        name = data.get("name", "water")
        if _is_text(name) and "density" not in data and named("fluids", "fluid", name) is None:
            known = tuple(dict.fromkeys(row["fluid"] for row in load("fluids")))
            what = f"liquid {shown(name)} is not in the table{near_hint(name, known)}"
            yield Refused(what, f"{', '.join(known)}, or any with its density and viscosity", ("name",))


class SupportSpec(Table):
    """What carries it, and what still holds it if a bond lets go."""

    kind: Literal["flat", "hung", "plates", "edges"] = "flat"
    """What carries it: flat on a bench, hung by its walls, plates bonded on, its bottom edges. e.g. `"plates"`"""
    retention: Literal["none", "through-bolts", "cradle", "lanyard"] = "none"
    """What still holds it if a bond lets go. e.g. `"cradle"`"""


class PanelSpec(Table):
    """One panel that differs from the rest; `oversize` is left on all round when it is cut, to be trimmed flush."""

    name: Panel
    """Which panel differs from the rest. e.g. `"bottom"`"""
    thickness: Length
    """Thickness of its own sheet. e.g. `8`"""
    measured: Readings = ()
    """Readings of that sheet. e.g. `[7.9, 7.95]`"""
    process: Process | None = None
    """What it is cut with. e.g. `"router"`"""
    turn: bool | None = None
    """Whether it may be turned on the sheet. e.g. `false`"""
    oversize: Annotated[Length, up_to(lambda: 50.0)] | None = None
    """Left on all round when it is cut, to be trimmed flush once bonded. e.g. `2`"""


class Rig(Joined):
    """What it is bolted to; `over-people` says that people are, or walk, under it, in whatever case. With a box or a STEP file
    the fit is held against that, which stands still where `pivot` says about what the whole turns."""

    grid: Length | None = None
    """Pitch of what the plates bolt to: all holes of all plates on one face must meet it. e.g. `20`"""
    over_people: bool = False
    """Whether people are, or walk, under it: no proof here covers that. e.g. `true`"""
    box: Size3 | None = None
    """What it is bolted to, or must stay clear of, as a box: length, width, height. e.g. `[80, 80, 300]`"""
    file: Text | None = None
    """Or as a STEP file, its path from the order's folder. e.g. `"carriage.step"`"""
    at: Point3 = (0.0, 0.0, 0.0)
    """Where the box has its middle, or the file its own zero: from the middle of the whole's underside, length, width, up.
    e.g. `[0, 0, -150]`"""
    pivot: Point3 | None = None
    """A point of the axis that cases of turning turn about; what it is bolted to does not turn with it. e.g. `[0, 0, -40]`"""

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """A box and a file, or a place of neither."""
        if "box" in data and "file" in data:
            yield Refused("has both a box and a file", "one of the two", ("file",))
        for key in ("at", "pivot"):
            if key in data and "box" not in data and "file" not in data:
                yield Refused("there is neither box nor file", "box or file besides", (key,))


class StripSpec(Table):
    """Rim strips, strips in the upright inside corners, braces across the top (`at`: places along the length)."""

    where: Literal["rim", "inside-corner", "brace"]
    """Along the rim, in the upright inside corners, or as a brace across the top. e.g. `"rim"`"""
    size: Size2
    """Width and thickness. e.g. `[30, 6]`"""
    at: Annotated[tuple[Place, ...], Field(max_length=MOST)] = ()
    """Where braces stand: places along the length, from the middle. e.g. `[0]`"""


class PortSpec(Joined):
    """A hole for a fitting: threaded, or plain by its diameter. A `vent` lets air in and out of a closed box."""

    kind: Annotated[Literal["drain", "fill", "overflow", "spout", "vent"], BeforeValidator(_no_gas)]
    """What the hole is for. e.g. `"drain"`"""
    on: Panel
    """The panel it is in. e.g. `"left"`"""
    at: Point2
    """Its middle, right and up from the middle of that face seen from outside. e.g. `[0, -60]`"""
    thread: ThreadName | None = None
    """Tapped for a fitting. e.g. `"G 1/4"`"""
    diameter: Length | None = None
    """Or a plain hole. e.g. `22`"""

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """Both a thread and a diameter, or neither."""
        if ("thread" in data) == ("diameter" in data):
            what = "has both a thread and a diameter" if "thread" in data else "has neither a thread nor a diameter"
            yield Refused(what, "either of the two")
