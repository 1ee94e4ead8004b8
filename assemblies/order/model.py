"""The order as frozen data, exactly as the file may write it. The kind's own tables are held apart, in `tables`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Literal, Self, get_args

from pydantic import AfterValidator, Field, PlainSerializer, PrivateAttr, field_validator, model_validator

from assemblies.order.cases.case import CaseSpec
from assemblies.order.cases.drive import DriveSpec, undriven
from assemblies.order.errors import Key, OrderError, Problem, Refused, shown
from assemblies.order.files import MOST
from assemblies.order.shop_file import EdgesSpec, ShopFile, ShopSpec, process_row
from assemblies.order.specs import (
    Cutting,
    Duration,
    Limits,
    Liquid,
    PanelSpec,
    PortSpec,
    Rig,
    SheetSpec,
    StripSpec,
    SupportSpec,
    Wall,
)
from assemblies.order.tables.named import Named, named
from assemblies.order.tables.plate import PlateSpec
from assemblies.order.tables.pouring import EngraveSpec, InnerSpec, LipSpec
from assemblies.order.tables.record import RecordSpec
from assemblies.order.toml.linemap import nearest_line
from assemblies.order.values import Name, Revision, Says, Size2, Table, Text, whole
from parts.in_unit import said_in
from parts.tables import Row, load

__all__ = ["Order", "OrderSource"]


@dataclass(frozen=True)
class OrderSource:
    """Where an order was read from, on which line each key stands, which keys of [cutting] are given and not filled in."""

    file: str
    lines: Mapping[Key, int]
    cutting: frozenset[str] = frozenset()


_LASTS = get_args(Duration)  # from the shortest


def _distinct(names: Sequence[str], allowed: str) -> None:
    for index, name in enumerate(names):
        if name in names[:index]:
            raise Refused(f"{shown(name)} is given twice", allowed, (index, "name"))


class Order(Table):
    """A whole order.

    `tables` are those that only its kind has; `source` says where it came from.
    """

    title: Text
    """What it is, in words. e.g. `"Ripple trough for the harbour stage"`"""
    name: Name
    """Name of the packet's folder. e.g. `"ripple-trough"`"""
    kind: Annotated[Text, Says("a kind of `seamwright show kinds`")]
    """What kind of thing it is; each kind has tables of its own. e.g. `"tank"`"""
    units: Literal["mm", "in"] = "mm"
    """Unit of bare numbers; a text may carry its own unit. e.g. `"mm"`"""
    quantity: Annotated[int, whole(1, 1000)] = 1
    """How many of it are made. e.g. `2`"""
    revision: Revision = "A"
    """Printed on every drawing. e.g. `"B"`"""
    sheet: SheetSpec
    cutting: Cutting = Field(default_factory=lambda: Cutting.model_validate({}))
    limits: Limits = Field(default_factory=Limits)
    liquid: Liquid | None = None
    support: SupportSpec | None = None
    panel: Annotated[tuple[PanelSpec, ...], Field(max_length=6)] = ()
    plate: Annotated[tuple[PlateSpec, ...], Field(max_length=MOST)] = ()
    rig: Rig | None = None
    shop: ShopSpec = ShopSpec()
    edges: EdgesSpec = EdgesSpec()
    strip: Annotated[tuple[StripSpec, ...], Field(max_length=MOST)] = ()
    port: Annotated[tuple[PortSpec, ...], Field(max_length=MOST)] = ()
    lip: Annotated[tuple[LipSpec, ...], Field(max_length=8)] = ()
    inner: Annotated[tuple[InnerSpec, ...], Field(max_length=8)] = ()
    engrave: EngraveSpec | None = None
    case: Annotated[tuple[CaseSpec, ...], Field(max_length=MOST)] = ()
    drive: Annotated[tuple[DriveSpec, ...], Field(max_length=MOST)] = ()
    as_cut: Annotated[Mapping[Wall, Size2], AfterValidator(named), PlainSerializer(dict)] = Named()
    """What the saw really gave, width and height by panel; the pieces still to be cut follow.
    e.g. `{bottom = [311.8, 200.1]}`"""
    record: RecordSpec | None = None
    _tables: Mapping[str, Table] = PrivateAttr(default_factory=dict)
    _source: OrderSource = PrivateAttr(default_factory=lambda: OrderSource("order", {}))
    _shop_file: ShopFile = PrivateAttr(default_factory=ShopFile)

    @field_validator("panel")
    @classmethod
    def _each_once(cls, panels: tuple[PanelSpec, ...]) -> tuple[PanelSpec, ...]:
        _distinct([p.name for p in panels], "a panel is given once")
        return panels

    @model_validator(mode="after")
    def _standing(self) -> Self:
        """A case of standing that is said to last longer than it stays full."""
        liquid = self.liquid
        for k, case in enumerate(self.case):
            said = liquid is not None and "stays" in liquid.model_fields_set and "duration" in case.model_fields_set
            if said and case.kind == "still" and _LASTS.index(case.duration) > _LASTS.index(liquid.stays):  # type: ignore[union-attr]
                what = f"{shown(case.duration)} is longer than it stays full ({liquid.stays})"  # type: ignore[union-attr]
                raise Refused(what, "no longer than stays in [liquid], or a longer stays", ("case", k, "duration"))
        return self

    @model_validator(mode="after")
    def _driven(self) -> Self:
        """A drive of what is not planned, or of another kind of move."""
        for key, refused in undriven(self.drive, self.case):
            raise Refused(refused.what, refused.allowed, key)
        return self

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
        what, allowed = said_in(what, self.units), said_in(allowed, self.units)
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
