"""What a kind of thing is: its tables, how it is built, what is asked of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from assemblies.design import Design
from parts.findings import Finding

if TYPE_CHECKING:
    from assemblies.order import Order, Table
    from assemblies.report.check import Check, Question

__all__ = ["Build", "Chosen", "Kind", "Thickness"]

Thickness = float | Mapping[str, float]
Build = Callable[["Order", Thickness | None], Design]


class Chosen(Protocol):
    """A thickness that was chosen, and what is to be said of the choice."""

    @property
    def thickness_mm(self) -> Thickness: ...

    @property
    def finding(self) -> Finding: ...


@dataclass(frozen=True, kw_only=True)
class Kind:
    """One kind of thing.

    Attributes:
        name: as in the order file.
        about: one line for `show kinds`.
        tables: the tables of the order file that only this kind has, by their key.
        shared: the tables that several kinds have (`SHARED` of the order's reader) and this one reads; others are refused.
        build: from order to design; the thickness to build in where the order leaves it open.
        checks: what is asked of it, in the order in which findings are said. A function, so that an order is read without
            importing the rooms of the checks.
        required: the checks that must have passed before the verdict is `go`.
        starter: path of the starter order from the folder of the kinds.
        choose: the thickness where the order leaves it open; None where it must be given.
    """

    name: str
    about: str
    tables: Mapping[str, type[Table]]
    build: Build
    checks: Callable[[], tuple[Check, ...]]
    required: tuple[str, ...]
    starter: str
    shared: tuple[str, ...] = ()
    choose: Callable[[Order, Build], Chosen] | None = None

    def asked(self, question: Question | None = None, *, solids: bool = True) -> tuple[Check, ...]:
        """The checks that answer a command; all of them for `make`.

        Args:
            question: the command.
            solids: with the comparison of the solids, which needs the geometry kernel.
        """
        from assemblies.fit.apart.rig import RIG
        from assemblies.fit.checks import FIT, SEAMS

        every = tuple(c for c in self.checks() if question is None or question in c.questions)
        return every if solids else tuple(SEAMS if c is FIT else c for c in every if c is not RIG)
