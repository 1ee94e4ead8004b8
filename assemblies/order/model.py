"""The order as frozen data, exactly as the file may write it. The kind's own tables are held apart, in `tables`."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import (
    AfterValidator,
    BeforeValidator,
    Field,
    PlainSerializer,
    PrivateAttr,
    ValidationInfo,
    field_validator,
    model_validator,
)

from assemblies.order.errors import Key, OrderError, Problem, Refused, near_hint, shown
from assemblies.order.files import MOST
from assemblies.order.linemap import nearest_line
from assemblies.order.shop_file import ShopFile, ShopSpec, process_row
from assemblies.order.values import (
    Acceleration,
    Angle,
    Deflection,
    DeflectionLimit,
    Distance,
    Fill,
    Joined,
    Length,
    Name,
    PatternName,
    Percent,
    Place,
    Point2,
    Positive,
    Revision,
    Size2,
    Sizes,
    Table,
    Temperature,
    Text,
    ThreadName,
    Way,
    length,
    number,
    sizes,
    up_to,
    whole,
)  # fmt: skip
from parts.stock.rules import rule
from parts.tables import Row, load, named

__all__ = [
    "CaseSpec", "Cutting", "Limits", "Liquid", "Order", "OrderSource", "PanelSpec", "PlateSpec", "PortSpec", "Rig",
    "SheetSpec", "ShopSpec", "StripSpec", "SupportSpec",
]  # fmt: skip

Wall = Literal["left", "right", "front", "back", "bottom"]
Panel = Literal["left", "right", "front", "back", "bottom", "lid"]
Process = Literal["saw", "router", "laser", "score-and-snap"]
CaseKindName = Literal["still", "slide", "turn", "spin", "throw", "carry"]
NEEDS = {"slide": "acceleration", "throw": "acceleration", "turn": "angle", "spin": "speed"}  # more: liquid/case_kinds
Duration = Literal["minutes", "hours", "days", "permanent"]


def _readings(value: Any) -> Any:
    """One reading may stand without brackets; a list without any is a slip of the pen."""
    if value == ():
        raise Refused("holds no reading", "readings of the sheet, or no such key")
    return value if isinstance(value, tuple) else (value,)


_TO_CHOOSE = ("choose", "choose-each")
Readings = Annotated[tuple[Length, ...], BeforeValidator(_readings), Field(max_length=MOST)]


class SheetSpec(Joined):
    """The sheet every piece is cut from unless it says otherwise; `turn = false` keeps pieces the way the sheet lies."""

    material: Literal["cast-pmma", "extruded-pmma"] = "cast-pmma"
    thickness: Length | Literal["choose", "choose-each"]
    measured: Readings = ()
    turn: bool = True
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
                    f"{shown(value)} is no thickness{near_hint(value, _TO_CHOOSE)}", "a length, choose, choose-each"
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
    tolerance: Annotated[Distance, up_to(lambda: 10.0)]
    repeat: Annotated[Distance, up_to(lambda: 10.0)]
    squareness: Annotated[Distance, up_to(lambda: 10.0)]
    kerf: Annotated[Distance, up_to(lambda: 30.0)]
    edge: Literal["as-cut", "machined", "annealed"] = "as-cut"

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
    factor: Annotated[float, number(1.0, 10.0)] = 1.0
    deflection: Deflection = DeflectionLimit(of_span=1.0 / 200.0)
    joint: Annotated[float, number(0.0, 1.0, over=True)] | None = None
    bonded_area: Annotated[float, number(0.0, 1.0, over=True)] = 0.5
    volume: Annotated[Positive, _limit("largest_volume", "L")] | None = None
    head: Annotated[Length, _limit("largest_head", "mm")] | None = None


def _is_text(value: Any) -> bool:
    return isinstance(value, str) and 0 < len(value.strip()) <= 200 and value.isprintable()


_GASES = frozenset({"air", "compressed-air", "air-inlet", "air-supply", "gas", "nitrogen", "pressure", "vacuum"})


def _no_gas(value: Any) -> Any:
    """Gas under pressure is refused by name: a box of flat panels is no pressure vessel."""
    if isinstance(value, str) and value.strip().lower().replace(" ", "-").replace("_", "-") in _GASES:
        raise Refused(
            f"{shown(value)}: compressed air or vacuum in a closed box; flat panels are no pressure vessel, and burst",
            "drain, fill, overflow, spout, vent; drive it from outside",
        )
    return value


class Liquid(Joined):
    """What it holds: a fluid of the table by name, or any with density (kg/m3) and viscosity (mPa s) given.

    `stays`: how long it stands full each time; `fills_per_day`: how often. `living` says that animals live in it, which no
    proof here covers.
    """

    name: Annotated[Text, BeforeValidator(_no_gas)] = "water"
    fill: Fill
    temperature: Temperature = 20.0
    density: Annotated[float, number(300.0, 3000.0)] | None = None
    viscosity: Positive | None = None
    stays: Duration = "permanent"
    fills_per_day: Annotated[float, number(0.0, 1000.0, over=True)] | None = None
    living: bool = False

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
    retention: Literal["none", "through-bolts", "cradle", "lanyard"] = "none"


class PanelSpec(Table):
    """One panel that differs from the rest; `oversize` is left on all round when it is cut, to be trimmed flush."""

    name: Panel
    thickness: Length
    measured: Readings = ()
    process: Process | None = None
    turn: bool | None = None
    oversize: Annotated[Length, up_to(lambda: 50.0)] | None = None


def _points(value: Any) -> Any:
    """One place may stand without the outer brackets."""
    if isinstance(value, tuple) and len(value) == 2 and not isinstance(value[0], tuple):
        return (value,)
    return value


class PlateSpec(Table):
    """Attachment plates, one at each place. `percent` of thread picks the tap drill unless `drill` names a diameter."""

    on: Wall
    at: Annotated[tuple[Point2, ...], BeforeValidator(_points), Field(min_length=1, max_length=MOST)]
    size: Size2
    thickness: Length
    measured: Readings = ()
    thread: ThreadName
    pattern: PatternName
    through_wall: bool = False
    percent: Percent = 65.0
    drill: Length | None = None


class Rig(Table):
    """What the plates bolt to; `over_people` says that people are, or walk, under it, in whatever case."""

    grid: Length | None = None
    over_people: bool = False


class StripSpec(Table):
    """Rim strips, strips in the upright inside corners, braces across the top (`at`: places along the length)."""

    where: Literal["rim", "inside-corner", "brace"]
    size: Size2
    at: Annotated[tuple[Place, ...], Field(max_length=MOST)] = ()


class PortSpec(Joined):
    """A hole for a fitting: threaded, or plain by its diameter. A `vent` lets air in and out of a closed box."""

    kind: Annotated[Literal["drain", "fill", "overflow", "spout", "vent"], BeforeValidator(_no_gas)]
    on: Panel
    at: Point2
    thread: ThreadName | None = None
    diameter: Length | None = None

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """Both a thread and a diameter, or neither."""
        if ("thread" in data) == ("diameter" in data):
            what = "has both a thread and a diameter" if "thread" in data else "has neither a thread nor a diameter"
            yield Refused(what, "either of the two")


class CaseSpec(Joined):
    """One way it is loaded.

    `acceleration` along `direction`; `angle` about `axis` for a turn; `speed` in rpm for a spin.
    """

    name: Text
    kind: CaseKindName
    direction: Way | None = None
    axis: Way = (0.0, 1.0, 0.0)
    acceleration: Acceleration | None = None
    angle: Angle | None = None
    speed: Positive | None = None
    duration: Duration = "minutes"
    over_people: bool = False

    @classmethod
    def together(cls, data: Mapping[str, Any]) -> Iterator[Refused]:
        """What its kind needs and it does not give."""
        kind = data.get("kind")
        needs = NEEDS.get(kind) if isinstance(kind, str) else None
        if needs and needs not in data:
            yield Refused("is missing", f'a case of kind "{kind}" needs it', (needs,))


@dataclass(frozen=True)
class OrderSource:
    """Where an order was read from, on which line each key stands, which keys of [cutting] are given and not filled in."""

    file: str
    lines: Mapping[Key, int]
    cutting: frozenset[str] = frozenset()


def _distinct(names: Sequence[str], allowed: str) -> None:
    for index, name in enumerate(names):
        if name in names[:index]:
            raise Refused(f"{shown(name)} stands a second time", allowed, (index, "name"))


class Order(Table):
    """A whole order. `tables` are those that only its kind has; `source` says where it came from."""

    title: Text
    name: Name
    kind: Text
    units: Literal["mm", "in"] = "mm"
    quantity: Annotated[int, whole(1, 1000)] = 1
    revision: Revision = "A"
    sheet: SheetSpec
    cutting: Cutting = Field(default_factory=lambda: Cutting.model_validate({}))
    limits: Limits = Field(default_factory=Limits)
    liquid: Liquid | None = None
    support: SupportSpec | None = None
    panel: Annotated[tuple[PanelSpec, ...], Field(max_length=6)] = ()
    plate: Annotated[tuple[PlateSpec, ...], Field(max_length=MOST)] = ()
    rig: Rig | None = None
    shop: ShopSpec = ShopSpec()
    strip: Annotated[tuple[StripSpec, ...], Field(max_length=MOST)] = ()
    port: Annotated[tuple[PortSpec, ...], Field(max_length=MOST)] = ()
    case: Annotated[tuple[CaseSpec, ...], Field(max_length=MOST)] = ()
    as_cut: Annotated[Mapping[Wall, Size2], AfterValidator(sizes), PlainSerializer(dict)] = Sizes()
    _tables: Mapping[str, Table] = PrivateAttr(default_factory=dict)
    _source: OrderSource = PrivateAttr(default_factory=lambda: OrderSource("order", {}))
    _shop_file: ShopFile = PrivateAttr(default_factory=ShopFile)

    @field_validator("panel")
    @classmethod
    def _each_once(cls, panels: tuple[PanelSpec, ...]) -> tuple[PanelSpec, ...]:
        _distinct([p.name for p in panels], "a panel is given once")
        return panels

    @field_validator("case")
    @classmethod
    def _own_names(cls, cases: tuple[CaseSpec, ...]) -> tuple[CaseSpec, ...]:
        _distinct([c.name for c in cases], "each case by a name of its own")
        return cases

    @property
    def tables(self) -> Mapping[str, Table]:
        """The tables that only this kind has, by key; those that the file does not give are not there."""
        return self._tables

    @property
    def table(self) -> Table:
        """The table that bears the kind's own name."""
        return self._tables[self.kind]

    @property
    def source(self) -> OrderSource:
        return self._source

    def line_of(self, key: Key) -> int | None:
        """The line of a key, or of the nearest table around it."""
        return nearest_line(self._source.lines, key)

    def refuse(self, key: Key, what: str, allowed: str) -> OrderError:
        """An error at a key of this order, for what only building shows."""
        problem = Problem(file=self._source.file, line=self.line_of(key), key=key, what=what, allowed=allowed)
        return OrderError((problem,))

    def says(self, table: str, key: str) -> bool:
        """Whether the order, or the shop file, gives this key of a table (names as in Python)."""
        part = getattr(self, table, None) or self._tables.get(table)
        if part is None:
            return False
        if table != "cutting":
            return key in part.model_fields_set
        return key in self._source.cutting or key in self._shop_file.process(self.cutting.process).model_fields_set

    @property
    def shop_file(self) -> ShopFile:
        """What the shop says for every order; an empty one where there is no such file."""
        return self._shop_file

    def process_row(self, process: str) -> Row:
        """What a process of this shop cuts like."""
        row = process_row(process, self._shop_file)
        assert row is not None
        return row

    def process_tolerances(self) -> dict[str, float]:
        """The tolerance of each process other than the order's own."""
        others = [row["process"] for row in load("process_defaults") if row["process"] != self.cutting.process]
        return {process: float(self.process_row(process)["tolerance_mm"]) for process in others}
