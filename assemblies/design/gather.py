"""What a design is made of, gathered piece by piece: each name once, and nothing joined that is not placed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from assemblies.design.model import Fastener, Joint, Placed
from assemblies.design.place import put
from parts.findings import SeamwrightError
from parts.shape.piece import Piece
from parts.stock.thread import thread as named_thread

__all__ = ["Gathered"]


class Gathered:
    """Instances, joints and fasteners, in the order in which they came.

    The instances come in the order in which a builder tapes them up: of two seams that close one loop the later one is the
    captive one.
    """

    def __init__(self) -> None:
        self._placed: dict[str, Placed] = {}
        self._joints: dict[frozenset[str], Joint] = {}
        self._fasteners: list[Fastener] = []

    @property
    def placed(self) -> tuple[Placed, ...]:
        return tuple(self._placed.values())

    @property
    def joints(self) -> tuple[Joint, ...]:
        return tuple(self._joints.values())

    @property
    def fasteners(self) -> tuple[Fastener, ...]:
        return tuple(self._fasteners)

    def instance(self, name: str, what: str) -> Placed:
        """The instance of this name; `what` begins the message where there is none.

        Raises:
            SeamwrightError: it is not placed.
        """
        if name not in self._placed:
            raise SeamwrightError(
                f"{what}: no instance {name!r} is placed; there are: {', '.join(self._placed) or 'none'}"
            )
        return self._placed[name]

    def place(self, name: str, piece: Piece, *, on: str | None = None, **words: Any) -> None:
        """Put an instance in its place by the words of `design.place.put`, `on` by its name.

        Raises:
            SeamwrightError: a name that is taken, a different part of the same name, a place that is none.
        """
        if name in self._placed:
            raise SeamwrightError(f"{name!r} is placed already; give each instance a name of its own")
        if any(p.piece.name == piece.name and p.piece != piece for p in self.placed):
            raise SeamwrightError(
                f"{name}: a different part is called {piece.name!r} too; their files would be the same"
            )
        stands = None if on is None else self.instance(on, f"{name}: on")
        self._placed[name] = put(name, piece, on=stands, **words)

    def join(self, a: str, b: str, kind: str) -> None:
        """Say how two instances are joined; b is what comes off.

        Raises:
            SeamwrightError: an instance that is not placed, a pair that is joined already.
        """
        for one in (a, b):
            self.instance(one, f"join {a} and {b}")
        pair = frozenset((a, b))
        if a == b or pair in self._joints:
            why = "it is one instance" if a == b else f"they are joined already ({self._joints[pair].kind})"
            raise SeamwrightError(f"join {a} and {b}: {why}")
        self._joints[pair] = Joint(a=a, b=b, kind=kind)

    def fasten(
        self,
        name: str,
        thread: str,
        through: Sequence[str],
        count: int,
        *,
        longest_mm: float | None = None,
        note: str = "",
    ) -> None:
        """Add bought screws or bolts that go through or into instances, from the head on; listed with the last of them.

        Raises:
            SeamwrightError: an instance that is not placed, an unknown thread, a count that is none.
        """
        named_thread(thread)
        listed = (through,) if isinstance(through, str) else tuple(through)
        for one in listed:
            self.instance(one, f"{name}: through")
        if not listed:
            raise SeamwrightError(f"{name}: goes through nothing; name the instances, from the head on")
        if isinstance(count, bool) or not isinstance(count, int) or count < 1:
            raise SeamwrightError(f"{name}: count = {count!r}; a whole number from 1")
        self._fasteners.append(
            Fastener(
                name=name,
                piece=listed[-1],
                through=listed,
                thread=thread,
                count=count,
                longest_mm=longest_mm,
                note=note,
            )
        )
