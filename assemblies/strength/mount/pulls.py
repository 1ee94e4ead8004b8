"""From accelerations to what pulls on each kilogram of a mount and its prop."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from typing import Final

from assemblies.strength.mount.given import Moves, Pull
from parts.findings import NotCovered
from parts.vectors import Vector

__all__ = ["BETWEEN", "SUDDEN", "WAYS", "amplified", "pulls"]

G: Final = 9.80665
#: A load that comes at once moves what is elastic twice as far as the same at rest (any text on vibration; from memory).
SUDDEN: Final = 2.0
WAYS: Final = tuple(
    tuple(c / math.sqrt(sum(map(abs, way))) for c in way) for way in itertools.product((-1, 0, 1), repeat=3) if any(way)
)
#: A way that lies between those 26 is at most 28 degrees from one of them: a load is taken larger by that much (computed).
BETWEEN: Final = 1.14
_LEAST = 1.2  # of the shake: nearer to it nothing is said of how far it swings


def amplified(shake: float | None, frequency: float) -> float:
    """By how much a shake is felt more than at rest: 1 / (1 - (f / fn)2), without damping (any text on vibration).

    Raises:
        NotCovered: it shakes so near to the first frequency that it resonates.

    >>> amplified(None, 20.0), round(amplified(6.0, 18.0), 3)
    (1.0, 1.125)
    """
    if not shake:
        return 1.0
    if frequency <= _LEAST * shake:
        raise NotCovered(f"it swings at {frequency:.1f} Hz by itself and is shaken at {shake:g} Hz: it resonates")
    return 1.0 / (1.0 - (shake / frequency) ** 2)


def pulls(moves: Moves, felt: float) -> tuple[Pull, ...]:
    """At rest for good, moving for good (judgement: what comes back for years is taken as if it stayed), emergency stop.

    Args:
        felt: by how much an acceleration in use is felt more than at rest (`amplified`).
    """
    out = [Pull(name="at rest", ways=tuple(_gravity(moves.stands)), duration="permanent")]
    if moves.still:
        return tuple(out)
    a = [felt * one for one in moves.acceleration]
    signs = list(itertools.product((-1.0, 1.0), repeat=3))
    if moves.stands == "any":
        moving = [tuple(s * (one + G) for s, one in zip(sign, a, strict=True)) for sign in signs]
    else:
        down = -G if moves.stands == "upright" else G
        moving = [(s[0] * a[0], s[1] * a[1], s[2] * a[2] + down) for s in signs]
    out.append(Pull(name="moving", ways=tuple(moving), duration="permanent"))  # type: ignore[arg-type]
    if moves.stop is not None:
        hard = SUDDEN * BETWEEN * moves.stop
        if moves.stands == "any":
            stopping = [_times(way, SUDDEN * moves.stop * BETWEEN + G * BETWEEN) for way in WAYS]
        else:
            stopping = [(hard * x, hard * y, hard * z + down) for x, y, z in WAYS]
        out.append(Pull(name="emergency stop", ways=tuple(stopping), duration="minutes"))
    return tuple(out)


def _gravity(stands: str) -> Iterator[Vector]:
    if stands == "any":
        yield from (_times(way, G * BETWEEN) for way in WAYS)
    else:
        yield (0.0, 0.0, -G if stands == "upright" else G)


def _times(way: tuple[float, ...], size: float) -> Vector:
    x, y, z = way
    return x * size, y * size, z * size
