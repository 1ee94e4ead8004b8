"""Values by name in an order, which is frozen: a mapping that cannot be changed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

__all__ = ["Named", "named"]


@dataclass(frozen=True)
class Named(Mapping[Any, Any]):
    """Values by name, which cannot be changed."""

    pairs: tuple[tuple[str, Any], ...] = ()

    def __getitem__(self, name: str) -> Any:
        return dict(self.pairs)[name]

    def __iter__(self) -> Iterator[str]:
        return (name for name, _ in self.pairs)

    def __len__(self) -> int:
        return len(self.pairs)

    __eq__ = Mapping.__eq__

    def __hash__(self) -> int:
        return hash(frozenset(self.pairs))


def named(given: Mapping[str, Any]) -> Named:
    """Values by name, as they can no longer be changed."""
    return Named(tuple(given.items()))
