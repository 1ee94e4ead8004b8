"""The assembler: pieces placed by words, joined, checked, and written as the same packet as the command's.

    rig = Assembler("easel").place("foot", foot, low=(0, 0, 0)).place("back", board, faces="front", on="foot", edge="back")
    found = rig.check()
    print(found.verdict, *found.findings, sep="\\n")

It is thin: it gathers what a `Design` is made of, and an order that says how it is cut; every check runs as for an order file.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from pydantic import TypeAdapter, ValidationError

from assemblies.design import Design
from assemblies.design.gather import Gathered
from assemblies.examine import Examined, examine
from assemblies.fit.joints import joint_kind
from assemblies.kinds.common import GO_TOGETHER, SHOP
from assemblies.kinds.panels.checks import HELD, STRENGTH
from assemblies.order import Order, order_of
from assemblies.order.values import Name
from assemblies.report.base import Report
from assemblies.report.check import Check, Made
from parts.findings import Finding, SeamwrightError
from parts.lengths import write_length, write_named
from parts.shape.piece import Piece
from parts.vectors import Vector

if TYPE_CHECKING:
    from assemblies.liquid.shapes.cavity import Cavity

__all__ = ["Assembler", "Assembly"]

_KIND: Final = "panels"
_WALLS: Final = ("left", "right", "front", "back", "bottom")


class Assembler:
    """Pieces in their places, one call after another; each call gives back the assembler.

    Args:
        name: of the packet's folder: a-z, 0-9 and -.
        title: one line for people; the name where none is given.
        process: how it is cut: saw, router, laser, score-and-snap. Tolerances are that process's unless given.
        units: mm or in, in which lengths are shown; what is given here is in mm.
        quantity, revision: how many of it, and which version.
        cutting: what is not the process's own: `tolerance`, `repeat`, `squareness`, `kerf` (mm), `edge`; as in `[cutting]`.
        shop, limits, support: as the tables of these names in an order file.

    Raises:
        OrderError: any of that which cannot be, all at once.
    """

    def __init__(
        self,
        name: str,
        *,
        title: str | None = None,
        process: str = "saw",
        units: str = "mm",
        quantity: int = 1,
        revision: str = "A",
        cutting: Mapping[str, Any] | None = None,
        shop: Mapping[str, Any] | None = None,
        limits: Mapping[str, Any] | None = None,
        support: Mapping[str, Any] | None = None,
    ) -> None:
        mm = {key: f"{v} mm" if isinstance(v, int | float) else v for key, v in (cutting or {}).items()}
        given: dict[str, Any] = {
            "name": name,
            "title": name if title is None else title,
            "kind": _KIND,
            "units": units,
            "quantity": quantity,
            "revision": revision,
            "cutting": {"process": process, **mm},
        }
        more = {"shop": shop, "limits": limits, "support": support}
        self._given = given | {key: dict(table) for key, table in more.items() if table is not None}
        self._all = Gathered()
        self._holds: dict[str, str] = {}
        self._order()

    def place(
        self,
        name: str,
        piece: Piece,
        *,
        faces: str = "up",
        turn: int = 0,
        low: Vector | None = None,
        on: str | None = None,
        edge: str | None = None,
        flush: Sequence[str] = (),
        offset: Vector = (0.0, 0.0, 0.0),
        lean: float = 0.0,
        rises: str | None = None,
    ) -> Assembler:
        """Put an instance of a piece in its place; the words are those of `design.place.put`, `on` by its name.

        The order of the calls is the order in which a builder tapes the pieces up: of two seams that close one loop the later
        one is the captive one.

        Raises:
            SeamwrightError: a name that is taken or cannot name a file, another piece of the same name, a place that is none.
        """
        for word, one in (("an instance", name), ("a part", piece.name)):
            _check_name(self.name, word, one)
        self._all.place(
            name,
            piece,
            faces=faces,
            turn=turn,
            low=low,
            on=on,
            edge=edge,
            flush=flush,
            offset=offset,
            lean=lean,
            rises=rises,
        )
        return self

    def join(self, a: str, b: str, kind: str = "bonded") -> Assembler:
        """Say how two instances are joined where it is not by solvent: `loose`, `screwed`, `bolted`; b is what comes off.

        Raises:
            SeamwrightError: an instance that is not placed, a kind that nothing judges, a pair that is joined already.
        """
        joint_kind(kind)
        self._all.join(a, b, kind)
        return self

    def fasten(
        self,
        name: str,
        thread: str,
        through: Sequence[str],
        count: int = 1,
        *,
        longest_mm: float | None = None,
        note: str = "",
    ) -> Assembler:
        """Add bought screws or bolts to the list; their holes belong to the pieces.

        Args:
            name: what to buy, such as `screw M6`.
            thread: a thread of `seamwright show threads`.
            through: every instance that they go through or into, from the head on; the last is what they are listed with.
            count: how many.
            longest_mm: the longest reach into the last; None where they may come through.
            note: how they are used.

        Raises:
            SeamwrightError: an instance that is not placed, an unknown thread, a count that is none.
        """
        self._all.fasten(name, thread, through, count, longest_mm=longest_mm, note=note)
        return self

    def holds(self, liquid: str = "water", *, fill: str | float, temperature: float = 20.0, **walls: str) -> Assembler:
        """Say which instances hold a liquid: an open box, up to the lowest of its walls.

        Args:
            liquid: one of the table of fluids.
            fill: a depth (`"120 mm"`) or a volume (`"6 L"`).
            temperature: degrees C.
            walls: the instance that is `left`, `right`, `front`, `back`, `bottom`; each of the same name unless given.

        Raises:
            SeamwrightError: a second liquid, a wall that is not placed, no room between them, a fill that cannot be.
        """
        if self._holds:
            raise SeamwrightError(f"{self.name}: holds: it already holds a liquid; only one is checked")
        other = sorted(set(walls) - set(_WALLS))
        if other:
            raise SeamwrightError(f"{self.name}: holds: {other[0]!r} is not a wall; there are {', '.join(_WALLS)}")
        named = {wall: walls.get(wall, wall) for wall in _WALLS}
        for wall, one in named.items():
            self._all.instance(one, f"{self.name}: holds: {wall}")
        self._room(named)
        table = {"name": liquid, "fill": f"{fill} mm" if isinstance(fill, int | float) else fill}
        old, self._given = self._given, self._given | {"liquid": {**table, "temperature": temperature}}
        try:
            self._order()
        except SeamwrightError:
            self._given = old
            raise
        self._holds = named
        return self

    @property
    def name(self) -> str:
        """Of the assembly, and of its packet's folder."""
        return str(self._given["name"])

    def design(self) -> Design:
        """Everything placed so far, as the checks read it.

        Raises:
            SeamwrightError: nothing is placed yet.
        """
        if not self._all.placed:
            raise SeamwrightError(f"{self.name}: no piece is placed yet")
        cavities: tuple[Cavity, ...] = ()
        if self._holds:
            from assemblies.liquid.shapes.cavity import box

            low, size = self._room(self._holds)
            cavities = (box(*size, low=low),)
        order = self._order()
        return Design(
            name=order.name,
            title=order.title,
            kind=order.kind,
            revision=order.revision,
            placed=self._all.placed,
            joints=self._all.joints,
            cavities=cavities,
            fasteners=self._all.fasteners,
            retention=order.support.retention if order.support else "none",
            quantity=order.quantity,
        )

    def check(self, *checks: Check) -> Assembly:
        """Ask the checks; `GO_TOGETHER` and `SHOP` where none are named.

        Whatever is asked, the verdict is `go` only when the fit, the strength and, where it holds any, the liquid have passed.
        Where no check of strength is named it is said that there is none, and the verdict is at best `not-proven`.
        """
        design = self.design()
        asked = list(checks or (*GO_TOGETHER, *SHOP))
        needed = [STRENGTH]
        if design.cavities:
            from assemblies.liquid.checks import HANDLING
            from assemblies.shop.care.checks import PROOF_TEST
            from assemblies.strength.proof.checks import LIQUID

            needed = [HELD, LIQUID, HANDLING, STRENGTH, PROOF_TEST]
        at = max((i + 1 for i, one in enumerate(asked) if one in GO_TOGETHER), default=0)
        asked[at:at] = [one for one in needed if one.name not in {other.name for other in asked}]
        required = ("fit", "strength", *(("liquid",) if design.cavities else ()))
        order = self._order()
        return Assembly(found=examine(order, asked, Made(order=order, design=design), required))

    def _order(self) -> Order:
        """What an order file would say of how it is made; its sheet is that of the first piece."""
        sheet: dict[str, Any] = {"thickness": "6 mm"}
        if self._all.placed:
            one = self._all.placed[0].piece.sheet
            readings = tuple(f"{r} mm" for r in one.readings_mm)
            sheet = {"material": one.material, "thickness": f"{one.nominal_mm} mm"}
            sheet |= {"measured": readings} if readings else {}
        return order_of({**self._given, "sheet": sheet}, f"assembler {self._given['name']!r}")

    def _room(self, walls: Mapping[str, str]) -> tuple[Vector, Vector]:
        """The low corner and the size of the room between five walls, up to the lowest of them.

        Raises:
            SeamwrightError: there is none.
        """
        boxes = {wall: self._all.instance(name, wall).box for wall, name in walls.items()}
        low = (boxes["left"][1][0], boxes["front"][1][1], boxes["bottom"][1][2])
        high = (boxes["right"][0][0], boxes["back"][0][1], min(boxes[wall][1][2] for wall in _WALLS[:4]))
        size = (high[0] - low[0], high[1] - low[1], high[2] - low[2])
        if min(size) <= 0.0:
            between = ("left and right", "front and back", "bottom and the top of the walls")[size.index(min(size))]
            raise SeamwrightError(f"{self.name}: holds: there is no room between {between}")
        return low, size


@cache
def _names() -> TypeAdapter[str]:
    return TypeAdapter(Name)


def _check_name(whose: str, word: str, name: str) -> None:
    """Refuse what cannot be the name of a file."""
    try:
        _names().validate_python(name)
    except ValidationError:
        allowed = "a-z, 0-9 and -, starting with a letter or digit, no reserved device name"
        raise SeamwrightError(f"{whose}: {name!r} cannot name {word}; {allowed}") from None


@dataclass(frozen=True, kw_only=True)
class Assembly:
    """What the checks have answered.

    Attributes:
        found: all of it, as the command has it.
    """

    found: Examined

    @property
    def verdict(self) -> str:
        """`go`, `stop` or `not-proven`."""
        return str(self.report["verdict"])

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Everything that was said, gravest first; printed, each is one line."""
        return tuple(Finding(**f) for f in self.report["findings"])

    @property
    def report(self) -> Report:
        """All of it as plain data, as in report.json."""
        return self.found.report

    def write(self, folder: str | Path = "out") -> Path:
        """Write the whole packet to `folder/<name>/`, in place of an older one; gives that folder back.

        Raises:
            SeamwrightError: not asked how it comes apart (`GO_TOGETHER`), so nothing can be drawn; a folder that is the user's.
        """
        from assemblies.packet.folder import check_replaceable
        from assemblies.packet.write import write_packet

        target = Path(folder) / self.found.design.name
        self._need_exploded("the packet needs")
        check_replaceable(target)
        write_packet(self.found, target)
        return target

    def _need_exploded(self, who: str) -> None:
        if self.found.exploded is None:
            raise SeamwrightError(
                f"{self.found.design.name}: {who} the checks of GO_TOGETHER; check(*GO_TOGETHER, ...)"
            )

    def _repr_html_(self) -> str:
        """How it looks in a notebook: verdict, exploded picture, sizes, findings."""
        unit, report = self.found.order.units, self.report
        checks = "; ".join(f"{name}: {state}" for name, state in report["checks"].items())
        rows = "".join(
            f"<tr><td>{part['count']}</td><td>{escape(part['part'])}</td>"
            f"<td>{' × '.join([*(write_length(v, unit) for v in part['size'][:2]), write_named(part['size'][2], unit)])}</td>"
            "</tr>"
            for part in report["parts"]
        )
        said = "".join(f"<li>{escape(str(finding))}</li>" for finding in self.findings)
        return (
            f"<h3>{escape(report['title'])}: {self.verdict}</h3><p>{checks}</p>{self._picture()}"
            f"<table><tr><th></th><th>part</th><th>size</th></tr>{rows}</table><ul>{said}</ul>"
        )

    def _picture(self) -> str:
        """The exploded picture as SVG; nothing where it was not asked how it comes apart."""
        if self.found.exploded is None:
            return ""
        from assemblies.packet.pictures.line_drawing import exploded_svg, spread

        design = self.found.design
        text = exploded_svg(design, spread(design, self.found.exploded), unit=self.found.order.units)
        return text[text.index("<svg") :]
