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
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import Any, Final, Literal

from assemblies.order.depth import DEEPEST, too_deep
from assemblies.order.errors import shown
from parts.findings import SeamwrightError
from parts.lengths import LengthError, LengthUnit, read_length, write_named

__all__ = ["Rack", "RackError", "Slot", "default_rack", "read_rack", "saw_stock", "write_rack"]

_KEYS: Final = ("label", "material", "thickness", "measured", "size", "quantity", "price", "trim")
_NEEDED: Final = ("label", "material", "thickness", "size")
_LARGEST_FILE: Final = 1_000_000


class RackError(SeamwrightError):
    """A stock file that cannot be read; one line for each fault: file, key path, what is wrong, what is allowed."""


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
    """All stock; `units` is the unit the file is written in."""

    slots: tuple[Slot, ...]
    units: LengthUnit = "mm"


def read_rack(path: Path) -> Rack:
    """The rack in a file.

    Raises:
        RackError: the file is missing, no regular file, no TOML, or breaks the form above; all faults at once.
    """
    if not path.is_file():
        raise RackError(f"{path}: no such stock file" if not path.exists() else f"{path}: not a regular file")
    if path.stat().st_size > _LARGEST_FILE:
        raise RackError(f"{path}: larger than {_LARGEST_FILE} bytes, which no stock file is")
    try:
        text = path.read_text(encoding="utf-8-sig")
        deep = too_deep(text)
        if deep is not None:
            raise RackError(f"{path}:{deep}: is nested too deep: at most {DEEPEST} levels")
        data = tomllib.loads(text)
    except RackError:
        raise
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise RackError(f"{path}: not TOML: {error}") from None
    except ValueError:  # the language's own limit on the digits of a number
        raise RackError(f"{path}: holds a number of thousands of digits") from None
    except OSError as error:
        raise RackError(f"{path}: cannot be read: {error.strerror}") from None
    faults: list[str] = []
    rack = _rack(data, faults)
    if faults:
        raise RackError("\n".join(f"{path}: {fault}" for fault in faults))
    return rack


def _rack(data: dict[str, Any], faults: list[str]) -> Rack:
    _unknown(data, ("units", "sheet", "offcut"), "", faults)
    units = data.get("units", "mm")
    if units not in ("mm", "in"):
        faults.append(f'units: {shown(units)} is not known: "mm" or "in"')
        units = "mm"
    slots: list[Slot] = []
    for kind in ("sheet", "offcut"):
        tables = data.get(kind, [])
        if not isinstance(tables, list):
            faults.append(f"{kind}: must be written [[{kind}]]")
            continue
        for number, table in enumerate(tables):
            before = len(faults)
            slot = _slot(table, kind, f"{kind}[{number + 1}]", units, faults)
            if slot is not None and len(faults) == before:
                slots.append(slot)
    seen: set[str] = set()
    for slot in slots:
        if slot.label in seen:
            faults.append(f"{slot.kind} {slot.label!r}: the label is there twice; labels are unique on the rack")
        seen.add(slot.label)
    return Rack(slots=tuple(slots), units=units)


def _unknown(table: dict[str, Any], allowed: Iterable[str], path: str, faults: list[str]) -> None:
    allowed = tuple(allowed)
    for key in table:
        if key not in allowed:
            near = get_close_matches(key, allowed, n=1)
            hint = f"did you mean {near[0]}?" if near else f"allowed are {', '.join(allowed)}"
            faults.append(f"{path}{key}: unknown key ({hint})")


def _slot(table: Any, kind: str, path: str, units: LengthUnit, faults: list[str]) -> Slot | None:
    if not isinstance(table, dict):
        faults.append(f"{path}: must be a table, written [[{kind}]]")
        return None
    _unknown(table, _KEYS, f"{path}.", faults)
    missing = [key for key in _NEEDED if key not in table]
    faults += [f"{path}.{key}: is missing" for key in missing]
    if missing:
        return None

    def length(key: str, value: Any, least: float = 1e-3) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            faults.append(f"{path}.{key}: {shown(value)} is not a length")
            return 1.0
        try:
            mm = read_length(value, units)
        except LengthError as error:
            faults.append(f"{path}.{key}: {error}")
            return 1.0
        if mm < least:
            faults.append(f"{path}.{key}: {value!r} must be {'above 0' if least else 'at least 0'}")
        return mm

    size = table["size"]
    if not isinstance(size, list) or len(size) != 2:
        faults.append(f"{path}.size: must be [width, height], got {shown(size)}")
        size = [1, 1]
    trim = length("trim", table.get("trim", 0), 0.0)
    width, height = length("size[1]", size[0]), length("size[2]", size[1])
    if trim and 2 * trim >= min(width, height):
        faults.append(f"{path}.trim: nothing is left of {width:g} x {height:g} mm after {trim:g} mm off every edge")
    thickness = length("thickness", table["thickness"])
    measured = length("measured", table["measured"]) if "measured" in table else None
    if measured is not None and not 0.5 * thickness <= measured <= 1.5 * thickness:  # as of a sheet in an order
        faults.append(f"{path}.measured: {measured:g} mm on sheet of nominal {thickness:g} mm: check its unit")
    return Slot(
        label=_text(table["label"], f"{path}.label", faults),
        kind="sheet" if kind == "sheet" else "offcut",
        material=_material(table["material"], f"{path}.material", faults),
        thickness_mm=thickness,
        measured_mm=measured,
        width_mm=width,
        height_mm=height,
        quantity=_quantity(table.get("quantity", 1), f"{path}.quantity", faults),
        price=_price(table.get("price"), f"{path}.price", faults),
        trim_mm=trim,
    )


def _text(value: Any, path: str, faults: list[str]) -> str:
    if (
        not isinstance(value, str)
        or not value.strip()
        or not value.isascii()
        or not value.isprintable()
        or len(value) > 60
    ):
        faults.append(f"{path}: must be a text of 1 to 60 plain (ASCII) characters, got {shown(value)}")
        return ""
    return value


def _material(value: Any, path: str, faults: list[str]) -> str:
    from parts.stock.material import material_names

    if value not in material_names():
        faults.append(f"{path}: {shown(value)} is not known: {' or '.join(material_names())}")
    return str(value)


def _quantity(value: Any, path: str, faults: list[str]) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= 100_000:
        faults.append(f"{path}: must be a whole number from 0 to 100000, got {shown(value)}")
        return 0
    return value


def _price(value: Any, path: str, faults: list[str]) -> float | None:
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value < 1e9:
        faults.append(f"{path}: must be a number from 0, got {shown(value)}")
        return None
    return float(value)


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
        if s.material == material and abs(s.thickness_mm - thickness_mm) < 0.01 and s.quantity != 0
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


def write_rack(rack: Rack, path: Path) -> Path | None:
    """Write a rack whole or not at all; the old file stays beside it under a new `.bak` name, which is returned.

    Raises:
        RackError: `path` is there and no regular file, or a slot has no quantity (the default rack is not a stock file).
    """
    if path.exists() and not path.is_file():
        raise RackError(f"{path}: not a regular file")
    endless = [slot.label for slot in rack.slots if slot.quantity is None]
    if endless:
        raise RackError(f"{endless[0]}: has no quantity, so it cannot stand in a stock file")
    new = path.with_name(f".{path.name}.{os.getpid()}.new")
    old = None
    try:
        with new.open("w", encoding="utf-8", newline="\n") as file:
            file.write(_written(rack))
            file.flush()
            os.fsync(file.fileno())
        old = _keep_old(path) if path.exists() else None
        os.replace(new, path)
    except OSError:
        if old is not None:
            old.unlink(missing_ok=True)
        raise
    finally:
        new.unlink(missing_ok=True)
    return old


def _keep_old(path: Path) -> Path:
    """A copy of the old file under a name that was free."""
    number = 0
    while True:
        old = path.with_name(f"{path.name}.bak" + (f".{number}" if number else ""))
        try:
            with old.open("xb") as file:
                file.write(path.read_bytes())
        except FileExistsError:
            number += 1
        else:
            return old


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
