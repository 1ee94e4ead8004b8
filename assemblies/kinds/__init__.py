"""The kinds of thing that can be ordered. A new kind is a folder here that offers `KIND`, and its name in `FOLDERS`."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from importlib import import_module
from importlib.resources import files
from typing import TYPE_CHECKING, TypeVar

from assemblies.kinds.kind import Kind

if TYPE_CHECKING:
    from assemblies.order import Table

__all__ = ["FOLDERS", "Kind", "kind", "kinds", "schemas", "starter"]

_T = TypeVar("_T")

FOLDERS = ("tank", "round_tank", "panels", "gearbox", "prop_mount", "enclosure", "deflector")


@dataclass(frozen=True)
class _Asked(Mapping[str, _T]):
    """Something of each kind by its name; a kind is loaded when it is asked for, and no sooner."""

    of: Callable[[Kind], _T]

    def __getitem__(self, name: str) -> _T:
        folder = name.replace("-", "_")
        if folder not in FOLDERS or "_" in name:
            raise KeyError(name)
        return self.of(import_module(f"{__name__}.{folder}").KIND)

    def __contains__(self, name: object) -> bool:
        return name in tuple(self)

    def __iter__(self) -> Iterator[str]:
        return (folder.replace("_", "-") for folder in FOLDERS)

    def __len__(self) -> int:
        return len(FOLDERS)


def kinds() -> Mapping[str, Kind]:
    """All kinds, by name."""
    return _Asked(lambda one: one)


def kind(name: str) -> Kind:
    """The kind of this name.

    Raises:
        KeyError: there is none.
    """
    return kinds()[name]


def schemas() -> Mapping[str, Mapping[str, type[Table] | None]]:
    """The tables of all kinds by their keys in the order file, for reading orders; None for one that an `Order` holds."""
    return _Asked(lambda one: {**one.tables, **dict.fromkeys(one.shared)})


def starter(name: str) -> str:
    """The commented starter order of a kind, as text."""
    return (files(__name__) / kind(name).starter).read_text(encoding="utf-8")
