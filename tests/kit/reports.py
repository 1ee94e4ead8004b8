"""Reports that several tests read, and the words in their sections."""

from __future__ import annotations

import copy
from dataclasses import fields, is_dataclass
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from starters import two_plates

from assemblies.examine import examine
from assemblies.kinds import kind, schemas
from assemblies.order import read_order
from assemblies.report.blocks import Section
from assemblies.report.sections import sections
from parts.lengths import LengthUnit


@cache
def _report(process: str = "saw") -> dict[str, Any]:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "order.toml"
        path.write_text(two_plates().replace('process    = "saw"', f'process    = "{process}"'))
        return examine(read_order(path, schemas())).report


def report(process: str = "saw") -> dict[str, Any]:
    """The starter's report, a fresh copy."""
    return copy.deepcopy(_report(process))


def words(value: Any) -> list[str]:
    """Every text in a tree of blocks."""
    if isinstance(value, str):
        return [value]
    if is_dataclass(value):
        return [text for f in fields(value) for text in words(getattr(value, f.name))]
    if isinstance(value, list | tuple):
        return [text for inner in value for text in words(inner)]
    return []


def said(made: tuple[Section, ...]) -> str:
    return "\n".join(text for section in made for text in words(section))


def sections_of(report: dict[str, Any], unit: LengthUnit) -> tuple[Section, ...]:
    """The sections of a tank's report, by every check that a tank has."""
    return sections(report, unit, kind("tank").asked())
