"""Input shaping: a move is done in two or three parts, each so late that what they leave of one wave cancels.

Source: Singer and Seering 1990, J. Dyn. Sys. 112:76 (ZV, ZVD; from memory); residual: Newman, Hong and Vaughan 2018, ASME
J. Dyn. Sys. 140(10) 101005. It stills its own wave only: of others it leaves nearly all.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from assemblies.liquid.waves.modes import positive
from assemblies.motion.path.profile import Path
from parts.findings import SeamwrightError
from parts.vectors import finite

__all__ = ["Shaper", "shaper"]

_PARTS: Final = {"ZV": (1.0, 1.0), "ZVD": (1.0, 2.0, 1.0)}


@dataclass(frozen=True, kw_only=True)
class Shaper:
    """Sizes of the parts of a move (together 1) and when each begins, s."""

    sizes: tuple[float, ...]
    times: tuple[float, ...]

    def leaves(self, omega: float, damping: float = 0.0) -> float:
        """What is left of a wave, of what the unshaped impulse would leave of it."""
        positive(omega=omega)
        _damped(damping)
        t = np.array(self.times)
        grown = np.array(self.sizes) * np.exp(damping * omega * (t - t[-1]))
        turn = omega * math.sqrt(1.0 - damping**2) * t
        return float(math.hypot(grown @ np.cos(turn), grown @ np.sin(turn)))

    def of(self, path: Path) -> Path:
        """A move done in these parts."""
        knots = np.unique(np.round(np.concatenate([path.times + t for t in self.times]), 12))
        middle = (knots[:-1] + knots[1:]) / 2.0
        start, jerk = np.zeros(len(middle)), np.zeros(len(middle))
        for size, late in zip(self.sizes, self.times, strict=True):
            k, _ = path.piece_at(middle - late)
            inside = (middle > late) & (middle < late + path.time)
            since = knots[:-1] - late - path.times[k]
            start += np.where(inside, size * (path.starts[k] + path.jerks[k] * since), 0.0)
            jerk += np.where(inside, size * path.jerks[k], 0.0)
        return Path(np.diff(knots), start, jerk)


def shaper(kind: Literal["ZV", "ZVD"], omega: float, damping: float = 0.0) -> Shaper:
    """The shaper that stills one wave; ZVD forgives an error of its period.

    Args:
        kind: two parts (ZV) or three.
        omega: of the wave, rad/s, undamped.
        damping: its damping ratio, from 0 to under 1.

    Raises:
        SeamwrightError: another kind, a figure out of range.
    """
    if kind not in _PARTS:
        raise SeamwrightError(f"shaper: {kind!r} is none of {', '.join(_PARTS)}")
    positive(omega=omega)
    _damped(damping)
    root = math.sqrt(1.0 - damping**2)
    k = math.exp(-damping * math.pi / root)
    raw = [share * k**n for n, share in enumerate(_PARTS[kind])]
    half = math.pi / (omega * root)
    return Shaper(sizes=tuple(one / sum(raw) for one in raw), times=tuple(half * n for n in range(len(raw))))


def _damped(damping: float) -> None:
    if not (finite(damping) and 0.0 <= damping < 1.0):
        raise SeamwrightError(f"damping ratio: {damping!r} must be from 0 to under 1")
