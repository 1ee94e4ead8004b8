"""The order as frozen data, exactly as the file may write it. The kind's own table is held apart, in `table`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, PrivateAttr, ValidationInfo, field_validator, model_validator

from assemblies.order.errors import Key, OrderError, Problem
from assemblies.order.linemap import nearest_line
from assemblies.order.values import (
    Acceleration, Angle, Deflection, DeflectionLimit, Distance, Fill, Length, Percent, Place, Point2, Positive,
    Size2, Table, Temperature, Text,
)  # fmt: skip
from parts.tables import load

__all__ = [
    "CaseSpec", "Cutting", "Limits", "Liquid", "Order", "OrderSource", "PanelSpec", "PlateSpec", "PortSpec", "Rig",
    "SheetSpec", "StripSpec", "SupportSpec",
]  # fmt: skip

Panel = Literal["left", "right", "front", "back", "bottom", "lid"]
Process = Literal["saw", "router", "laser", "score-and-snap"]
Duration = Literal["minutes", "hours", "permanent"]
MOST = 200  # plates, strips, ports, cases or places in one list: more is a slip of the pen


def _readings(value: Any) -> Any:
    """One reading may stand without brackets."""
    return value if isinstance(value, tuple) else (value,)


Readings = Annotated[tuple[Length, ...], BeforeValidator(_readings), Field(max_length=MOST)]


class SheetSpec(Table):
    """The sheet every piece is cut from unless it says otherwise; `asked` is the thickness as written."""

    material: Literal["cast-pmma", "extruded-pmma"] = "cast-pmma"
    thickness: Length | Literal["choose", "choose-each"]
    measured: Readings = ()
    asked: str = Field(default="", exclude=True)

    @field_validator("thickness", mode="wrap")
    @classmethod
    def _thickness(cls, value: Any, handler: Any, info: ValidationInfo) -> Any:
        if value in ("choose", "choose-each"):
            return value
        from assemblies.order.values import _length

        return _length(value, info)

    @model_validator(mode="after")
    def _chosen_is_not_measured(self) -> SheetSpec:
        if isinstance(self.thickness, str) and self.measured:
            raise ValueError(f'measured readings with thickness = "{self.thickness}": measure the sheet once it is chosen')
        return self


class Cutting(Table):
    """How the pieces are cut; what is not given comes from the process's row in `cutting_process`."""

    process: Process = "saw"
    tolerance: Distance
    repeat: Distance
    squareness: Distance
    kerf: Distance

    @model_validator(mode="before")
    @classmethod
    def _defaults(cls, data: Any, info: ValidationInfo) -> Any:
        if not isinstance(data, dict):
            return data
        process = data.get("process", "saw")
        row = process_row(process) if isinstance(process, str) else None
        if row is None:
            row = process_row("saw")
        assert row is not None
        words = ("tolerance", "repeat", "squareness", "kerf")
        return {**{word: f"{row[f'{word}_mm']} mm" for word in words}, **data}


def process_row(process: str) -> Mapping[str, str] | None:
    """The defaults of a cutting process, or None."""
    return next((row for row in load("process_defaults") if row["process"] == process), None)


class Limits(Table):
    """What is allowed: gap of a seam, factor on top of the allowed stress, deflection."""

    gap: Length = 0.10
    factor: Annotated[float, Field(ge=1.0, le=10.0)] = 1.0
    deflection: Deflection = DeflectionLimit(of_span=1.0 / 200.0)
    joint: Annotated[float, Field(gt=0.0, le=1.0)] | None = None
    bonded_area: Annotated[float, Field(gt=0.0, le=1.0)] = 0.5


class Liquid(Table):
    """What it holds: a fluid of the table by name, or any with density (kg/m3) and viscosity (mPa s) given."""

    name: Text = "water"
    fill: Fill
    temperature: Temperature = 20.0
    density: Annotated[float, Field(ge=300.0, le=3000.0)] | None = None
    viscosity: Positive | None = None


class SupportSpec(Table):
    """What carries it, and what still holds it if a bond lets go."""

    kind: Literal["flat", "hung", "plates", "edges"] = "flat"
    retention: Literal["none", "through-bolts", "cradle", "lanyard"] = "none"


class PanelSpec(Table):
    """One panel that differs from the rest."""

    name: Panel
    thickness: Length
    measured: Readings = ()
    process: Process | None = None


def _points(value: Any) -> Any:
    """One place may stand without the outer brackets."""
    if isinstance(value, tuple) and len(value) == 2 and not isinstance(value[0], tuple):
        return (value,)
    return value


class PlateSpec(Table):
    """Attachment plates, one at each place. `percent` of thread picks the tap drill unless `drill` names a diameter."""

    on: Panel
    at: Annotated[tuple[Point2, ...], BeforeValidator(_points), Field(min_length=1, max_length=MOST)]
    size: Size2
    thickness: Length
    measured: Readings = ()
    thread: Text
    pattern: Text
    through_wall: bool = False
    percent: Percent = 65.0
    drill: Length | None = None


class Rig(Table):
    """What the plates bolt to."""

    grid: Length | None = None


class StripSpec(Table):
    """Rim strips, strips in the upright inside corners, braces across the top (`at`: places along the length)."""

    where: Literal["rim", "inside-corner", "brace"]
    size: Size2
    at: Annotated[tuple[Place, ...], Field(max_length=MOST)] = ()


class PortSpec(Table):
    """A hole for a fitting: threaded, or plain by its diameter."""

    kind: Literal["drain", "fill", "overflow", "spout"]
    on: Panel
    at: Point2
    thread: Text | None = None
    diameter: Length | None = None

    @model_validator(mode="after")
    def _one_of_two(self) -> PortSpec:
        if (self.thread is None) == (self.diameter is None):
            raise ValueError("a port has either a thread or a diameter")
        return self


Direction = tuple[
    Annotated[float, Field(ge=-1e6, le=1e6)], Annotated[float, Field(ge=-1e6, le=1e6)], Annotated[float, Field(ge=-1e6, le=1e6)]
]


def _floats(value: Any) -> Any:
    return tuple(float(v) if isinstance(v, int) and not isinstance(v, bool) else v for v in value) if isinstance(value, tuple) else value


class CaseSpec(Table):
    """One way it is loaded. `acceleration` along `direction`; `angle` about `axis` for a turn; `speed` in rpm for a spin."""

    name: Text
    kind: Literal["still", "slide", "turn", "spin", "launch", "carry"]
    direction: Annotated[Direction, BeforeValidator(_floats)] | None = None
    axis: Annotated[Direction, BeforeValidator(_floats)] = (0.0, 1.0, 0.0)
    acceleration: Acceleration | None = None
    angle: Angle | None = None
    speed: Positive | None = None
    duration: Duration = "minutes"
    over_people: bool = False

    @model_validator(mode="after")
    def _complete(self) -> CaseSpec:
        if self.kind in ("slide", "launch") and self.acceleration is None:
            raise ValueError(f'a case of kind "{self.kind}" needs an acceleration')
        if self.kind == "turn" and self.angle is None:
            raise ValueError('a case of kind "turn" needs an angle')
        if self.kind == "spin" and self.speed is None:
            raise ValueError('a case of kind "spin" needs a speed in rpm')
        if (self.direction is not None and not any(self.direction)) or not any(self.axis):
            raise ValueError("a direction or axis of no length")
        return self


@dataclass(frozen=True)
class OrderSource:
    """Where an order was read from, and on which line each key stands."""

    file: str
    lines: Mapping[Key, int]


class Order(Table):
    """A whole order. `table` is the kind's own table; `source` says where it came from."""

    title: Text
    name: Annotated[str, Field(pattern=r"^[a-z0-9][a-z0-9-]{0,62}$")]
    kind: str
    units: Literal["mm", "in"] = "mm"
    quantity: Annotated[int, Field(ge=1, le=1000)] = 1
    revision: Annotated[str, Field(pattern=r"^[A-Za-z0-9._-]{1,12}$")] = "A"
    sheet: SheetSpec
    cutting: Cutting = Field(default_factory=lambda: Cutting.model_validate({}))
    limits: Limits = Limits()
    liquid: Liquid | None = None
    support: SupportSpec | None = None
    panel: Annotated[tuple[PanelSpec, ...], Field(max_length=6)] = ()
    plate: Annotated[tuple[PlateSpec, ...], Field(max_length=MOST)] = ()
    rig: Rig | None = None
    strip: Annotated[tuple[StripSpec, ...], Field(max_length=MOST)] = ()
    port: Annotated[tuple[PortSpec, ...], Field(max_length=MOST)] = ()
    case: Annotated[tuple[CaseSpec, ...], Field(max_length=MOST)] = ()
    as_cut: dict[Panel, Size2] = Field(default_factory=dict)
    _table: Table | None = PrivateAttr(default=None)
    _source: OrderSource = PrivateAttr(default_factory=lambda: OrderSource("order", {}))

    @field_validator("panel")
    @classmethod
    def _each_once(cls, panels: tuple[PanelSpec, ...]) -> tuple[PanelSpec, ...]:
        names = [p.name for p in panels]
        twice = sorted({n for n in names if names.count(n) > 1})
        if twice:
            raise ValueError(f"panel {', '.join(twice)} is given twice")
        return panels

    @field_validator("case")
    @classmethod
    def _own_names(cls, cases: tuple[CaseSpec, ...]) -> tuple[CaseSpec, ...]:
        names = [c.name for c in cases]
        if len(set(names)) < len(names):
            raise ValueError("two cases have the same name")
        return cases

    @property
    def table(self) -> Table:
        """The kind's own table."""
        assert self._table is not None
        return self._table

    @property
    def source(self) -> OrderSource:
        return self._source

    def line_of(self, key: Key) -> int | None:
        """The line of a key, or of the nearest table around it."""
        return nearest_line(dict(self._source.lines), key)

    def refuse(self, key: Key, what: str, allowed: str) -> OrderError:
        """An error at a key of this order, for what only building shows."""
        problem = Problem(file=self._source.file, line=self.line_of(key), key=key, what=what, allowed=allowed)
        return OrderError((problem,))

    def process_tolerances(self) -> dict[str, float]:
        """The tolerance of each process other than the order's own."""
        own = self.cutting.process
        return {
            row["process"]: float(row["tolerance_mm"]) for row in load("process_defaults") if row["process"] != own
        }
