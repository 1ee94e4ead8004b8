"""The rack: the stock file of sheets and labelled offcuts that the user keeps.

```toml
units = "mm"                    # of bare numbers; "mm" or "in"

[[sheet]]
label     = "C6-large"          # unique on the rack; ASCII
material  = "cast-pmma"
thickness = 6                   # nominal
measured  = 5.85                # optional caliper reading, masking film off
size      = [1220, 2440]
quantity  = 4
price     = 95.0                # optional, each
trim      = 10                  # optional: factory edge to take off all round

[[offcut]]                      # the same keys; quantity is 1 and trim 0 unless given
label     = "S1 offcut 2"
material  = "cast-pmma"
thickness = 6
size      = [420, 1180]
```

Reading never changes anything. `rack_after` gives the rack as it will be once a plan is cut; `write_rack` writes a rack
whole or not at all and keeps the old file as `rack.toml.bak`, `.bak.1`, `.bak.2` ...
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path
from typing import Annotated, Any, Final, Literal, Self

from pydantic import AfterValidator, model_validator

from assemblies.order import Length, Refused, ShopFile, Size2, Table
from assemblies.order.errors import shown
from assemblies.order.files import Sort, read_table, text_of
from assemblies.order.values import Distance, Text, number, whole
from parts.findings import SeamwrightError
from parts.lengths import LengthUnit, read_length, write_length, write_named
from parts.process.ending import undone_if_ended

__all__ = [
    "Rack",
    "RackError",
    "RackSpec",
    "Slot",
    "default_rack",
    "read_rack",
    "saw_stock",
    "stock_rack",
    "write_rack",
]

SAME_MM: Final = 0.01  # nominal thicknesses nearer than this are one

RACK_FILE: Final = Sort(noun="a stock file", largest_bytes=1_000_000, instead="`seamwright start rack` prints one")


class RackError(SeamwrightError):
    """What the rack does not have, or a stock file that cannot be written."""


@dataclass(frozen=True, kw_only=True)
class Slot:
    """One kind of sheet, or one offcut.

    Attributes:
        label: what is written on it; unique on the rack.
        kind: `sheet` or `offcut`.
        material: as in the material table.
        thickness_mm, measured_mm: nominal, and by caliper where known.
        width_mm, height_mm: full size.
        quantity: how many; None is as many as needed (the default rack only).
        price: what one costs, None where not known.
        trim_mm: factory edge to take off all round.
    """

    label: str
    kind: Literal["sheet", "offcut"] = "sheet"
    material: str
    thickness_mm: float
    measured_mm: float | None = None
    width_mm: float
    height_mm: float
    quantity: int | None = 1
    price: float | None = None
    trim_mm: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Rack:
    """All stock; `units` is the unit the file is written in, `text` what stood in it when it was read."""

    slots: tuple[Slot, ...]
    units: LengthUnit = "mm"
    text: str = field(default="", compare=False, repr=False)


def _label(text: str) -> str:
    if not text.isascii() or len(text) > 60:
        raise Refused(f"{shown(text)} is not valid", "1 to 60 plain (ASCII) characters")
    return text


class _SlotSpec(Table):
    """One [[sheet]] or [[offcut]] of a stock file."""

    label: Annotated[Text, AfterValidator(_label)]
    """What is written on it; each label once on the rack. e.g. `"C6 large"`"""
    material: Literal["cast-pmma", "extruded-pmma"]
    """What it is. e.g. `"cast-pmma"`"""
    thickness: Length
    """As it was sold. e.g. `6`"""
    measured: Length | None = None
    """By caliper, masking film off. e.g. `5.84`"""
    size: Size2
    """Width and height. e.g. `[1220, 2440]`"""
    quantity: Annotated[int, whole(0, 100_000)] = 1
    """How many there are. e.g. `2`"""
    price: Annotated[float, number(0.0, 1e9)] | None = None
    """Price of one. e.g. `96`"""
    trim: Distance = 0.0
    """Factory edge to take off all round. e.g. `10`"""

    @model_validator(mode="after")
    def _suits(self) -> Self:
        width, height = self.size
        if self.trim and 2.0 * self.trim >= min(width, height):
            raise Refused(f"nothing is left of {width:g} x {height:g} mm", "less than half of its side", ("trim",))
        if self.measured is not None and not 0.5 * self.thickness <= self.measured <= 1.5 * self.thickness:
            what = f"{self.measured:g} mm on sheet of nominal {self.thickness:g} mm: check its unit"
            raise Refused(what, "a reading of this sheet", ("measured",))
        return self


class RackSpec(Table):
    """A whole stock file."""

    units: Literal["mm", "in"] = "mm"
    """Unit of bare numbers in this file. e.g. `"mm"`"""
    sheet: tuple[_SlotSpec, ...] = ()
    offcut: tuple[_SlotSpec, ...] = ()

    @model_validator(mode="after")
    def _labels(self) -> Self:
        seen: set[str] = set()
        for name, slots in (("sheet", self.sheet), ("offcut", self.offcut)):
            for k, slot in enumerate(slots):
                if slot.label in seen:
                    what = f"{shown(slot.label)} is there twice"
                    raise Refused(what, "each label once on the rack", (name, k, "label"))
                seen.add(slot.label)
        if not seen:
            raise Refused("nothing is on the rack", "a [[sheet]] or an [[offcut]]")
        return self


def read_rack(path: Path) -> Rack:
    """The rack in a file.

    Raises:
        OrderError: everything that is wrong with it, at once.
    """
    text = text_of(path, RACK_FILE)
    read = read_table(text, str(path), RackSpec)
    kinds: tuple[tuple[Literal["sheet", "offcut"], tuple[_SlotSpec, ...]], ...]
    kinds = (("sheet", read.sheet), ("offcut", read.offcut))
    slots = [
        Slot(
            label=one.label,
            kind=kind,
            material=one.material,
            thickness_mm=one.thickness,
            measured_mm=one.measured,
            width_mm=one.size[0],
            height_mm=one.size[1],
            quantity=one.quantity,
            price=one.price,
            trim_mm=one.trim,
        )
        for kind, its in kinds
        for one in its
    ]
    return Rack(slots=tuple(slots), units=read.units, text=text)


def stock_rack(shop: ShopFile, material: str, thickness_mm: float, unit: LengthUnit) -> Rack:
    """What can be bought, as many as needed: the shop's own [[stock]] of a material and thickness, else the usual sizes."""
    slots = []
    for row in shop.stock:
        if row.material == material and abs(row.thickness - thickness_mm) < SAME_MM and row.sold != "cut-to-size":
            width, height = sorted(row.size)
            height = height / 2.0 if row.sold in ("half", "quarter") else height
            width = width / 2.0 if row.sold == "quarter" else width
            name = "" if row.sold == "whole" else f"{row.sold} sheet "
            label = f"{name}{write_length(width, shop.units)} x {write_length(height, shop.units)}"
            slots.append(
                Slot(
                    label=label,
                    material=material,
                    thickness_mm=thickness_mm,
                    width_mm=width,
                    height_mm=height,
                    quantity=None,
                    price=row.price,
                    trim_mm=row.trim,
                )
            )
    own = Rack(slots=tuple(slots), units=shop.units)
    return own if own.slots else default_rack(material, thickness_mm, shop.units if shop.said else unit)


def default_rack(material: str, thickness_mm: float, unit: LengthUnit = "mm") -> Rack:
    """A rack with as many sheets as needed of the usual sizes of a material, from the table `sheet_sizes`."""
    from parts.tables import load

    slots = []
    for row in load("sheet_sizes"):
        if row["material"] == material and row["unit"] == unit:
            width, height = (read_length(float(row[side]), unit) for side in ("width", "height"))
            slot = Slot(
                label=row["size"],
                material=material,
                thickness_mm=thickness_mm,
                width_mm=width,
                height_mm=height,
                quantity=None,
                trim_mm=float(row["trim_mm"]),
            )
            slots.append(slot)
    return Rack(slots=tuple(slots), units=unit)


def saw_stock(rack: Rack, material: str, thickness_mm: float) -> tuple[list[Slot], list[Any]]:
    """What of the rack suits pieces of a material and nominal thickness: the slots and the saw's view of them.

    A sheet costs its price, or its area in square metres where none is given (all of them, so that they compare);
    an offcut costs a tenth of that, so that offcuts go first.

    Raises:
        RackError: nothing on the rack suits; the message lists what is there.
    """
    from assemblies.shop.saw.model import SawStock

    slots = [
        s
        for s in rack.slots
        if s.material == material and abs(s.thickness_mm - thickness_mm) < SAME_MM and s.quantity != 0
    ]
    if not slots:
        there = sorted(
            {f"{s.material} {write_named(s.thickness_mm, rack.units)}" for s in rack.slots if s.quantity != 0}
        )
        wanted = write_named(thickness_mm, rack.units)
        raise RackError(f"no {material} of {wanted} on the rack: there is {', '.join(there) or 'nothing'}")
    priced = all(s.price is not None for s in slots if s.kind == "sheet")
    stock = []
    for slot in slots:
        worth = slot.width_mm * slot.height_mm / 1e6
        if priced and slot.kind == "sheet" and slot.price is not None:
            worth = slot.price
        elif slot.kind == "offcut":
            worth *= 0.1
        stock.append(
            SawStock(
                name=slot.label,
                width_mm=slot.width_mm,
                height_mm=slot.height_mm,
                count=slot.quantity,
                cost=worth,
                trim_mm=slot.trim_mm,
            )
        )
    return slots, stock


def write_rack(rack: Rack, path: Path, planned_from: Rack | None = None) -> Path | None:
    """Write a rack whole or not at all; the old file stays beside it under a new `.bak` name, which is returned.

    Of a link the file that it leads to is written. Bookings wait for one another; one that was planned from a rack which
    another has changed meanwhile is refused.

    Args:
        rack: as it is to be.
        path: the stock file.
        planned_from: the rack as it was read; None writes whatever stands there now.

    Raises:
        RackError: `path` is there and no regular file, has changed, or cannot be written; or a slot has no quantity (the
            default rack is not a stock file).
    """
    endless = [slot.label for slot in rack.slots if slot.quantity is None]
    if endless:
        raise RackError(f"{endless[0]}: has no quantity, so it cannot stand in a stock file")
    real = path.resolve()
    if real.exists() and not real.is_file():
        raise RackError(f"{path}: not a regular file")
    try:
        with _alone_in(real.parent):
            if planned_from is not None and real.read_text(encoding="utf-8-sig") != planned_from.text:
                raise RackError(f"{path}: has changed since the plan was made: nothing was booked; plan again")
            return _replaced(real, _written(rack))
    except OSError as error:
        raise RackError(f"{path}: cannot be written: {error.strerror or error}; nothing was booked") from error


@contextmanager
def _alone_in(folder: Path) -> Iterator[None]:
    """No other booking in this folder at the same time. The lock is the folder's own: it leaves nothing behind."""
    import fcntl

    handle = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


def _replaced(real: Path, text: str) -> Path | None:
    """Put a text in a file's place; the old one stays beside it, its name is returned. What is left of dead runs goes."""
    for left in real.parent.glob(f".{real.name}.*.new"):
        left.unlink(missing_ok=True)  # the folder is ours alone: whoever wrote it is dead
    new = real.with_name(f".{real.name}.{os.getpid()}.new")
    with undone_if_ended(lambda: new.unlink(missing_ok=True)):
        return _put(text, new, real)


def _put(text: str, new: Path, real: Path) -> Path | None:
    """Write the text beside the file, then into its place, in two steps that are each whole."""
    old = None
    try:
        with new.open("w", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        if real.exists():
            new.chmod(real.stat().st_mode)
            old = _free_name(real)
            os.link(real, old)  # whole at once: the old file by another name
        os.replace(new, real)
    except BaseException:
        if old is not None:
            old.unlink(missing_ok=True)
        raise
    finally:
        new.unlink(missing_ok=True)
    return old


def _free_name(real: Path) -> Path:
    """`rack.toml.bak`, `.bak.1`, `.bak.2` ..., the first that is free."""
    names = (real.with_name(f"{real.name}.bak" + (f".{k}" if k else "")) for k in count())
    return next(name for name in names if not name.exists() and not name.is_symlink())


def _written(rack: Rack) -> str:
    """The rack as TOML; lengths exactly as they are, in mm."""
    lines = [f'units = "{rack.units}"', ""]
    for slot in rack.slots:
        lines += [f"[[{slot.kind}]]", f"label = {_quoted(slot.label)}", f"material = {_quoted(slot.material)}"]
        lines.append(f"thickness = {_length(slot.thickness_mm, rack.units)}")
        if slot.measured_mm is not None:
            lines.append(f"measured = {_length(slot.measured_mm, rack.units)}")
        lines.append(f"size = [{_length(slot.width_mm, rack.units)}, {_length(slot.height_mm, rack.units)}]")
        lines.append(f"quantity = {slot.quantity}")
        if slot.price is not None:
            lines.append(f"price = {slot.price!r}")
        if slot.trim_mm:
            lines.append(f"trim = {_length(slot.trim_mm, rack.units)}")
        lines.append("")
    return "\n".join(lines)


def _length(mm: float, units: LengthUnit) -> str:
    """A bare number of mm, or a text with its unit where the file is in inches: reads back to the same float."""
    bare = f"{mm:.6f}".rstrip("0").rstrip(".")
    return bare if units == "mm" else f'"{bare} mm"'


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
