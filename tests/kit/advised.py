"""Advice followed: an order as its file writes it, changed as a finding's remedy says."""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Sequence
from typing import Any

from assemblies.examine import examine
from assemblies.fit.checks import BUILD, HOLES, SHEETS
from assemblies.kinds import kind, schemas
from assemblies.order import Order, read_order_text
from assemblies.report.check import Check
from parts.findings import Finding, Remedy

__all__ = ["QUICK", "Said", "followed", "parsed", "read", "said_of", "toml"]

QUICK = (SHEETS, HOLES, BUILD)  # what needs no solution

Said = tuple[Finding, ...]


def toml(value: dict[str, Any]) -> str:
    """An order as text again."""
    flat = [f"{key} = {_written(one)}" for key, one in value.items() if not _is_table(one)]
    for key, one in value.items():
        for table in one if isinstance(one, list) and _is_table(one) else [one] if isinstance(one, dict) else []:
            flat.append(f"[[{key}]]" if isinstance(one, list) else f"[{key}]")
            flat += [f"{inner} = {_written(what)}" for inner, what in table.items()]
    return "\n".join(flat) + "\n"


def _is_table(value: Any) -> bool:
    return isinstance(value, dict) or (isinstance(value, list) and bool(value) and isinstance(value[0], dict))


def _written(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, list):
        return f"[{', '.join(_written(one) for one in value)}]"
    return f'"{value}"' if isinstance(value, str) else repr(value)


def read(order: dict[str, Any]) -> Order:
    """The order that a written one is."""
    return read_order_text(toml(order), schemas())


def said_of(order: dict[str, Any], checks: Sequence[Check] = QUICK) -> Said:
    """What is found, with the remedies (which the report has as plain data)."""
    return examine(read(order), checks).made.findings


def followed(order: dict[str, Any], remedy: Remedy) -> dict[str, Any]:
    """The order with the remedy done, in mm whatever its units."""
    new = copy.deepcopy(order)
    figures = [f"{x} mm" for x in remedy.least]
    plate = _plate(new, remedy.piece)
    if remedy.change == "size":
        plate["size"] = figures
    elif remedy.change == "width":
        _strip(new)["size"][0] = figures[0]
    elif remedy.change == "thickness" and remedy.piece.startswith("plate"):
        plate["thickness"] = figures[0]
    elif remedy.change == "thickness":
        _strip(new)["size"][1] = figures[0]
    elif remedy.change == "measured":
        sheet = plate if remedy.piece.startswith("plate") else new["sheet"]
        sheet["measured"] = figures[-1:]
        if len(figures) > 1:  # of another sheet
            sheet["thickness"] = figures[0]
    elif remedy.change == "diameter":
        port = next(p for p in new["port"] if p["on"] == remedy.piece)
        port["diameter"] = figures[0]
    elif remedy.change == "vent":
        vent = {"kind": "vent", "on": remedy.piece, "at": [0, 0], "diameter": figures[0]}
        new["port"] = [*new.get("port", []), vent]
    elif remedy.change == "inside":
        _moved(new, remedy)
    else:
        raise AssertionError(f"no way to follow {remedy}")
    return new


def _plate(order: dict[str, Any], name: str) -> dict[str, Any]:
    plates = order.get("plate", [{}])
    if len(plates) == 1 or "-" not in name:
        return plates[0]
    return plates["abcdefgh".index(name.removeprefix("plate-"))]


def _strip(order: dict[str, Any]) -> dict[str, Any]:
    return next(s for s in order["strip"] if s["where"] == "rim")


def _moved(order: dict[str, Any], remedy: Remedy) -> None:
    """The port of the hole, moved straight in from the edges that it is too near to."""
    given = read(order)
    placed = next(p for p in kind(given.kind).build(given, None).placed if remedy.piece in (p.piece.name, p.name))
    width, height = placed.piece.outline.size_mm
    (need,) = remedy.least
    assert remedy.at is not None
    off = [min(max(at, need), side - need) - at for at, side in zip(remedy.at, (width, height), strict=True)]
    port = next(p for p in order["port"] if p["on"] in (placed.name, remedy.piece))
    scale = 25.4 if order.get("units") == "in" else 1.0
    port["at"] = [at + by / scale for at, by in zip(port["at"], off, strict=True)]


def parsed(text: str) -> dict[str, Any]:
    """An order's text as plain data."""
    return tomllib.loads(text)
