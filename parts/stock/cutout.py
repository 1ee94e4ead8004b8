"""Cut-outs for what is put into a panel, by standard: round switches, D-sub shells, cable glands, meters, fans, rack panels.

A *panel part* clamps a panel between limits of thickness; sheet of 4 to 6 mm is thicker than most of them take. *Relief*: how
deep a pocket must be milled from behind. *Room*: how wide that pocket must be for what stands behind the panel.

Figures: the tables `cutouts` and `rack_panel`. Every one of them gives way to the part's own sheet.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Final, Literal, get_args

from parts.findings import SeamwrightError
from parts.tables import cite, load

__all__ = [
    "Cutout",
    "Gland",
    "RackPanel",
    "Shape",
    "cutout",
    "cutout_names",
    "dsub",
    "gland",
    "panel_part",
    "rack_figure",
    "rack_panel",
]

Shape = Literal["round", "shell", "gland", "square", "fan"]
_NUT_UNDER_MM: Final = 4.0  # manual EC: a gland's thread finds enough wall from there on
_GLAND_LEAST_MM: Final = 1.5  # manual EC
_PITCH_MM: Final = 1.5  # EN 60423
_MOST_UNITS: Final = 12
_MOST_SHELLS: Final = 50


@dataclass(frozen=True, kw_only=True)
class Cutout:
    """A cut-out of a standard, mm; None where there is no such figure.

    Attributes:
        width, height: of the opening, the same of a round one.
        plus: by how much it may be larger.
        least_pitch: between two of them.
        key: the opening's height over its key, and the key's width.
        panel: least and greatest thickness that the part clamps.
        room: how wide it must be free behind the panel.
        screw: thread of its screws; `across` and `up` from screw to screw.
    """

    name: str
    shape: Shape
    width: float
    height: float
    plus: float
    least_pitch: float | None
    key: tuple[float, float] | None
    panel: tuple[float, float] | None
    room: float | None
    screw: str | None
    across: float
    up: float
    source: str

    @property
    def screws(self) -> tuple[tuple[float, float], ...]:
        """Places of its screws about its middle."""
        if self.screw is None:
            return ()
        ys = (-self.up / 2.0, self.up / 2.0) if self.up else (0.0,)
        return tuple((x, y) for y in ys for x in (-self.across / 2.0, self.across / 2.0))

    def relief(self, wall_mm: float) -> float:
        """How deep to mill from behind in a wall of this thickness; 0 where the part clamps it as it is.

        Raises:
            SeamwrightError: no wall, or one thinner than the part clamps.
        """
        if not (math.isfinite(wall_mm) and wall_mm > 0.0):
            raise SeamwrightError(f"a wall of {wall_mm!r} mm is none")
        if self.panel is None:
            return 0.0
        least, most = self.panel
        if wall_mm < least:
            raise SeamwrightError(f"{self.name} clamps a panel of at least {least:g} mm: {wall_mm:g} mm is too thin")
        return max(0.0, wall_mm - most)


def cutout_names() -> tuple[str, ...]:
    """Every cut-out that can be ordered by name."""
    return tuple(row["name"] for row in load("cutouts") if row["shape"] in get_args(Shape))


@cache
def cutout(name: str) -> Cutout:
    """The cut-out of this name.

    Raises:
        SeamwrightError: there is none, with the nearest name.

    >>> cutout("D22").panel, cutout("DE").screws
    ((1.0, 6.0), ((-12.495, 0.0), (12.495, 0.0)))
    """
    if name not in cutout_names():
        import difflib

        near = difflib.get_close_matches(str(name)[:20].upper(), cutout_names(), n=1, cutoff=0.5)
        hint = f"did you mean {near[0]}?" if near else f"there are {', '.join(cutout_names())}"
        raise SeamwrightError(f"no cut-out {str(name)[:20]!r} ({hint})")
    row = next(r for r in load("cutouts") if r["name"] == name)

    def figure(column: str) -> float | None:
        return float(row[column]) if row[column] else None

    key, low, most = figure("key_width_mm"), figure("panel_from_mm"), figure("panel_to_mm")
    return Cutout(
        name=name,
        shape=row["shape"],  # type: ignore[arg-type]  # one of Shape, seen above
        width=float(row["width_mm"]),
        height=float(row["height_mm"]),
        plus=figure("plus_mm") or 0.0,
        least_pitch=figure("least_pitch_mm"),
        key=None if key is None else (key, float(row["key_height_mm"])),
        panel=None if low is None or most is None else (low, most),
        room=figure("room_mm"),
        screw=row["screw"] or None,
        across=figure("screw_across_mm") or 0.0,
        up=figure("screw_up_mm") or 0.0,
        source=cite(row["source"], row["clause"], row["how_known"]),
    )


def panel_part(name: str, wall_mm: float) -> tuple[float, float, float]:
    """Of a round switch: least and greatest hole, and the relief in a wall of this thickness, mm.

    Raises:
        SeamwrightError: no such switch, a wall that it cannot clamp.

    >>> panel_part("D22", 5.0)
    (22.3, 22.7, 0.0)
    """
    found = cutout(name)
    if found.shape != "round":
        raise SeamwrightError(f"{name} is no round switch")
    return found.width, found.width + found.plus, found.relief(wall_mm)


@dataclass(frozen=True, kw_only=True)
class Gland:
    """A metric cable gland: its hole and the pitch of its thread, mm; whether it must have a lock nut."""

    hole: float
    pitch: float
    nut: bool


def gland(size: int, wall_mm: float) -> Gland:
    """The through hole of a gland M`size` x 1.5 with a lock nut.

    Raises:
        SeamwrightError: no such gland, a wall thinner than it clamps.

    >>> gland(20, 5.0).hole
    20.5
    """
    name = f"M{size}"
    if isinstance(size, bool) or name not in cutout_names():
        glands = ", ".join(n for n in cutout_names() if cutout(n).shape == "gland")
        raise SeamwrightError(f"no metric gland {name[:20]} (there are {glands})")
    if not (math.isfinite(wall_mm) and wall_mm >= _GLAND_LEAST_MM):
        raise SeamwrightError(f"a wall of {wall_mm:g} mm is too thin for a gland: at least {_GLAND_LEAST_MM:g} mm")
    return Gland(hole=cutout(name).width, pitch=_PITCH_MM, nut=wall_mm < _NUT_UNDER_MM)


def dsub(shell: str, count: int = 1, pitch_mm: float = 0.0) -> tuple[float, tuple[tuple[float, float], ...]]:
    """Screw spacing of a D-sub shell, and the places of the screws of so many one above the other, the first at y = 0.

    Raises:
        SeamwrightError: no such shell, none of them, several without a pitch or so near that they run into each other.

    >>> dsub("DE", 2, 20.0)[1][2]
    (-12.495, 20.0)
    """
    found = cutout(shell)
    if found.shape != "shell":
        raise SeamwrightError(f"{shell} is no D-sub shell")
    if isinstance(count, bool) or not isinstance(count, int) or not 1 <= count <= _MOST_SHELLS:
        raise SeamwrightError(f"{count!r} shells: 1 to {_MOST_SHELLS}")
    if not math.isfinite(pitch_mm) or (count > 1 and pitch_mm <= found.height):
        raise SeamwrightError(
            f"shells {pitch_mm:g} mm apart run into each other: their openings are {found.height:g} mm high"
        )
    half = found.across / 2.0
    return found.across, tuple((x, k * pitch_mm) for k in range(count) for x in (-half, half))


def rack_figure(name: str) -> float:
    """A figure of the table `rack_panel`, mm.

    >>> rack_figure("columns")
    465.1
    """
    return float(next(row["value_mm"] for row in load("rack_panel") if row["figure"] == name))


@dataclass(frozen=True, kw_only=True)
class RackPanel:
    """A 19-inch panel, mm: its size, the distance of its two columns of holes, its rows from the lower edge."""

    width: float
    height: float
    columns: float
    rows: tuple[float, ...]


def rack_panel(units: int) -> RackPanel:
    """The panel of so many height units.

    Raises:
        SeamwrightError: no whole number of units, or more than are made here.

    >>> rack_panel(1).height, rack_panel(2).rows[3]
    (43.65, 50.4)
    """
    if isinstance(units, bool) or not isinstance(units, int) or not 1 <= units <= _MOST_UNITS:
        raise SeamwrightError(f"{units!r} height units: a whole number from 1 to {_MOST_UNITS}")
    unit, less = rack_figure("unit"), rack_figure("panel_less")
    rows = (round(rack_figure(f"row_{r}") + k * unit - less / 2.0, 9) for k in range(units) for r in (1, 2, 3))
    return RackPanel(
        width=rack_figure("width"),
        height=round(unit * units - less, 9),
        columns=rack_figure("columns"),
        rows=tuple(rows),
    )
