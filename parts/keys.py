"""A key of a file that a user writes, and the tables that keys stand in, as `show` tells them."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["KeyOf", "TableOf"]


@dataclass(frozen=True, kw_only=True)
class KeyOf:
    """One key: its path as in messages, what it means, what it takes, its default (empty where it is needed), an example."""

    path: str
    means: str
    allowed: str
    units: str
    default: str
    example: str


@dataclass(frozen=True, kw_only=True)
class TableOf:
    """One table: how it is headed in the file (`[sheet]`, `[[plate]]`; empty for the top), what it is, its keys."""

    head: str
    about: str
    keys: tuple[KeyOf, ...]
