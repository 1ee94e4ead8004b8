"""The liquid of a rig as its waves see it when it is moved along a level way: which waves, which walls, how much room."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from assemblies.liquid.engine import G_MM_S2, Settled, settle
from assemblies.liquid.shapes.cavity import Cavity
from assemblies.liquid.waves.modes import HIGHEST, WallWave, rect_waves, round_waves
from assemblies.motion.path.profile import Array
from assemblies.motion.swing.response import Swing, WaveState
from parts.findings import NotCovered
from parts.vectors import Vector

__all__ = ["ALL_WAVES", "PLANNED_WAVES", "SQUARE", "Basin", "basin"]

#: Waves of each direction that are reckoned with, and of which a calm move is made; two carry 90 % of the rise.
ALL_WAVES: Final = 21
PLANNED_WAVES: Final = 2
_SHALLOW: Final = 0.05  # of the length: less is no water for these waves (`liquid.waves.modes`)
_AXES: Final[tuple[Vector, ...]] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
SQUARE: Final = 1e-6  # a way that is less off an axis runs along it


@dataclass(frozen=True, kw_only=True)
class Basin:
    """Liquid at rest, and its waves along one way; mm.

    Attributes:
        rest: the liquid.
        swing: all waves that a push along the way raises, each with its part of it.
        few: those of which a calm move is made.
        walls: by the wall or corner that they see, how much of each wave; with the other sign at the place across.
        few_walls: the same of the few.
        names: of each pair of places: that where waves count as they are, and that across.
        left_out: what all other waves than the few add to the steady rise, of that.
        dims: length and width, or the radius, and the depth: what damps them.
    """

    rest: Settled
    swing: Swing
    few: Swing
    walls: tuple[tuple[float, ...], ...]
    few_walls: tuple[tuple[float, ...], ...]
    names: tuple[tuple[str, str], ...]
    left_out: float
    dims: tuple[float, ...]

    @property
    def depth(self) -> float:
        return self.rest.level_mm - self.rest.lowest_mm

    @property
    def freeboard(self) -> float:
        return self.rest.freeboard_mm

    @property
    def limit(self) -> float:
        """How high waves may stand: to the rim, and no higher than their theory reaches."""
        return min(self.freeboard, HIGHEST * self.depth)

    def levels(self, state: WaveState) -> Array:
        """(times, places): how high the surface stands at each first place; at those across with the other sign."""
        return np.asarray(state.q @ np.array(self.walls).T)

    def highest(self, state: WaveState) -> float:
        return float(np.abs(self.levels(state)).max())


def basin(cavity: Cavity, volume: float, way: Vector, most_push: float = 0.0) -> Basin:
    """The liquid of an upright box or cylinder that is moved along a way; its slope takes part of the push.

    Args:
        way: of length 1; its level part raises the waves.
        most_push: the greatest acceleration, mm/s2: on a slope it lightens the liquid, taken as so much less gravity for how
            high waves stand.

    Raises:
        NotCovered: another shape; pieces in it; a slope and push that change gravity by over a twentieth (judgement).
    """
    rest = settle(cavity, volume)
    lightened = most_push * abs(way[2])
    if lightened > 0.05 * G_MM_S2:
        raise NotCovered("a move so steep and hard that it changes the weight of the liquid by over 5 %")
    if not cavity.openings and rest.freeboard_mm <= 1e-9 * (rest.limit_mm - rest.lowest_mm):
        raise NotCovered("liquid that fills a closed tank: it has no waves, and its move is not planned here")
    g, depth = G_MM_S2, rest.level_mm - rest.lowest_mm
    cylinder, ends = cavity.cylinder, None if cavity.slopes else cavity.upright_box
    if depth < _SHALLOW * max(high - low for low, high in map(cavity.body.span, _AXES)):
        raise NotCovered(f"liquid only {depth:.0f} mm deep, under a twentieth of its length: its waves run and break")
    if cavity.solids:
        raise NotCovered("pieces that stand in the liquid: its waves are not calculated")

    def made(parts: list[tuple[tuple[WallWave, ...], float]], few: int) -> Swing:
        waves = tuple(WallWave(omega=w.omega, lift=w.lift * part) for own, part in parts for w in own[:few])
        return Swing(waves, g - lightened)

    if cylinder is not None and math.hypot(*cylinder.axis[:2]) < SQUARE:
        radius, part = cylinder.radius_mm, math.hypot(*way[:2])
        parts = [(round_waves(radius, depth, g, ALL_WAVES), part)]
        names: tuple[tuple[str, str], ...] = (("ahead", "behind"),)
        dims: tuple[float, ...] = (radius, depth)
        halves = [radius]
    elif ends is not None:
        (x0, y0, _), (x1, y1, _) = ends
        spans = (x1 - x0, y1 - y0)
        along = [k for k in (0, 1) if abs(way[k]) > SQUARE]
        parts = [(rect_waves(spans[k], depth, g, ALL_WAVES), way[k]) for k in along]
        halves = [spans[k] / 2.0 for k in along]
        dims = (*(spans if along[0] == 0 else spans[::-1]), depth)
        names = _NAMES[tuple(along)]
    else:
        raise NotCovered("liquid in what is not an upright box or cylinder: its waves are not calculated")

    def walls(few: int) -> tuple[tuple[float, ...], ...]:
        counts = [len(own[:few]) for own, _ in parts]
        signs = ((1.0,),) if len(counts) == 1 else ((1.0, 1.0), (1.0, -1.0))
        return tuple(tuple(s for s, n in zip(sign, counts, strict=True) for _ in range(n)) for sign in signs)

    carried = min(sum(w.lift for w in own[:PLANNED_WAVES]) / half for (own, _), half in zip(parts, halves, strict=True))
    return Basin(
        rest=rest,
        swing=made(parts, ALL_WAVES),
        few=made(parts, PLANNED_WAVES),
        walls=walls(ALL_WAVES),
        few_walls=walls(PLANNED_WAVES),
        names=names,
        left_out=1.0 - carried,
        dims=dims,
    )


_NAMES: Final[dict[tuple[int, ...], tuple[tuple[str, str], ...]]] = {
    (0,): (("right", "left"),),
    (1,): (("back", "front"),),
    (0, 1): (("right and back", "left and front"), ("right and front", "left and back")),
}
