"""The order of several bends in one strip: each is heated where the sheet still lies flat on the heater, and bent free.

Looked at from its end the strip is a chain of flats and arcs. When a bend is heated its two neighbours lie flat over the heater
with one face or the other down; what is bent already must not stand down beside the heater's body. When it is bent, and on the
way there, the chain must not run into itself.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from itertools import pairwise

from parts.shape.bent import Band
from parts.shape.piece import Side

__all__ = ["order_of_bends"]

_ON_THE_WAY = 6  # positions of a bend that are looked at, the last the finished one
_CHORDS = 8  # of an arc

_Spot = tuple[float, float, float]  # x, y, heading of the middle of the sheet


def order_of_bends(
    bands: Sequence[Band], first_mm: float, last_mm: float, heater_mm: float
) -> tuple[tuple[int, Side], ...] | None:
    """Numbers of the bends in the order in which they are made, each with the face that lies on the heater; None if there is no
    such order.

    Args:
        bands: in order across the strip, which reaches from `first_mm` to `last_mm`.
        heater_mm: width of the heater's body.
    """
    strip = _Chain(bands, first_mm, last_mm, heater_mm)
    count = len(bands)

    @cache
    def rest(made: frozenset[int]) -> tuple[tuple[int, Side], ...] | None:
        if len(made) == count:
            return ()
        for number in range(count):
            if number not in made:
                face = strip.heats(made, number)
                if face is not None and strip.bends(made, number):
                    after = rest(made | {number})
                    if after is not None:
                        return ((number, face), *after)
        return None

    return rest(frozenset())


class _Chain:
    def __init__(self, bands: Sequence[Band], first_mm: float, last_mm: float, heater_mm: float) -> None:
        self.bands, self.first, self.last, self.heater = tuple(bands), first_mm, last_mm, heater_mm
        self.thick = bands[0].thick_mm

    def spots(self, angles: Sequence[float]) -> list[tuple[float, _Spot]]:
        """Places along the middle of the sheet, each with where it was when it was flat."""
        x, y, turn, at = 0.0, 0.0, 0.0, self.first
        out = [(at, (x, y, turn))]

        def walk(to: float, by: float) -> None:
            nonlocal x, y, turn, at
            step = to - at
            chord = step * (math.sin(by / 2.0) / (by / 2.0) if by else 1.0)
            x, y = x + chord * math.cos(turn + by / 2.0), y + chord * math.sin(turn + by / 2.0)
            turn, at = turn + by, to
            out.append((at, (x, y, turn)))

        for band, angle in zip(self.bands, angles, strict=True):
            walk(band.start_mm, 0.0)
            for k in range(1, _CHORDS + 1):
                walk(band.start_mm + (band.end_mm - band.start_mm) * k / _CHORDS, angle / _CHORDS)
        walk(self.last, 0.0)
        return out

    def _angles(self, made: frozenset[int]) -> list[float]:
        return [band.side * band.angle_rad if k in made else 0.0 for k, band in enumerate(self.bands)]

    def heats(self, made: frozenset[int], number: int) -> Side | None:
        """The face that can lie on the heater; None where what is bent already is in its way on both."""
        spots = self.spots(self._angles(made))
        middle = (self.bands[number].start_mm + self.bands[number].end_mm) / 2.0
        before = max((s for s in spots if s[0] <= middle), key=lambda s: s[0])
        at, (x0, y0, turn) = before
        c, s = math.cos(turn), math.sin(turn)
        x0, y0 = x0 + (middle - at) * c, y0 + (middle - at) * s
        room = self.heater / 2.0 + self.thick
        down: set[Side] = {"near", "far"}
        for (_, (ax, ay, _)), (_, (bx, by, _)) in pairwise(spots):
            parts = max(2, math.ceil(math.hypot(bx - ax, by - ay) / (self.thick + 1.0)))
            for k in range(parts + 1):
                dx, dy = ax + (bx - ax) * k / parts - x0, ay + (by - ay) * k / parts - y0
                along, up = dx * c + dy * s, dy * c - dx * s
                if abs(along) < room and abs(up) > self.thick:
                    down.discard("near" if up < 0.0 else "far")
        side: Side = "near" if self.bands[number].side > 0 else "far"  # the face that will be stretched is heated last
        return side if side in down else min(down, default=None)

    def bends(self, made: frozenset[int], number: int) -> bool:
        """Whether the strip stays clear of itself all the way."""
        import shapely

        half = 0.499 * self.thick
        for k in range(1, _ON_THE_WAY + 1):
            angles = self._angles(made)
            angles[number] = self.bands[number].side * self.bands[number].angle_rad * k / _ON_THE_WAY
            spots = [spot for _, spot in self.spots(angles)]
            faces = [[(x - d * math.sin(turn), y + d * math.cos(turn)) for x, y, turn in spots] for d in (half, -half)]
            if not shapely.Polygon([*faces[0], *reversed(faces[1])]).is_valid:
                return False
        return True
