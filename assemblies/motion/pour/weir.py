"""Flow over a level lip, by its head; mm and mm3/s.

The published ranges begin at a head of 30 mm; lips of this size run at a few mm, where surface tension and a nappe that clings
to the lip count. What is found below the range is an estimate, good to a quarter (judgement), and `warning` says so.

Source: Francis, 1.84 (b - 0.1 n h) h^1.5 in metres; Rehbock, 2/3 sqrt(2g) (k1 + k2 h/p) b (h + k3)^1.5 (ISO 1438; figures
found in public pages, ranges too).
"""

from __future__ import annotations

import math
from typing import Final

from assemblies.liquid.engine import G_MM_S2
from assemblies.liquid.waves.modes import positive
from parts.findings import SeamwrightError

__all__ = ["DOUBT", "FRANCIS", "LEAST_HEAD_MM", "francis", "lip_head", "rehbock", "warning"]

FRANCIS: Final = 1.84  # m^0.5/s
LEAST_HEAD_MM: Final = 30.0  # of the published ranges of Rehbock and of Kindsvater and Carter
DOUBT: Final = 0.25  # of a flow below that range; judgement
_ROOT_MM: Final = math.sqrt(1000.0)  # m^0.5 to mm^0.5


def francis(width: float, head: float, contractions: int = 0, coefficient: float = FRANCIS) -> float:
    """The flow over a lip whose sides draw in the stream at none, one or both of its ends.

    Raises:
        SeamwrightError: a figure that is not finite and above 0; other contractions; a lip narrower than what they take.

    >>> round(francis(250.0, 5.739157) / 1e6, 4)
    0.2
    """
    positive(width=width, head=head, coefficient=coefficient)
    if contractions not in (0, 1, 2):
        raise SeamwrightError(f"contractions: {contractions!r} must be 0, 1 or 2")
    open_width = width - 0.1 * contractions * head
    if open_width <= 0.0:
        raise SeamwrightError(f"lip: {width:g} mm wide leaves nothing at a head of {head:g} mm")
    return float(coefficient * _ROOT_MM * open_width * head**1.5)


def rehbock(
    width: float,
    head: float,
    crest: float,
    *,
    gravity: float = G_MM_S2,
    k1: float = 0.602,
    k2: float = 0.083,
    k3: float = 1.1,
) -> float:
    """The flow over a sharp crest across the whole of a channel.

    Args:
        width, head: of the stream, mm.
        crest: height of the crest over the channel's floor, mm.
        gravity: mm/s2.
        k1, k2, k3: of the formula; k3 in mm.

    Raises:
        SeamwrightError: a figure that is not finite and above 0.
    """
    positive(width=width, head=head, crest=crest, gravity=gravity, k1=k1, k2=k2, k3=k3)
    return float(2.0 / 3.0 * math.sqrt(2.0 * gravity) * (k1 + k2 * head / crest) * width * (head + k3) ** 1.5)


def lip_head(width: float, flow: float, coefficient: float = FRANCIS) -> float:
    """The head at which this flow leaves over a lip without contractions.

    Raises:
        SeamwrightError: a figure that is not finite and above 0.
    """
    positive(width=width, flow=flow, coefficient=coefficient)
    return float((flow / (coefficient * _ROOT_MM * width)) ** (2.0 / 3.0))


def warning(head: float) -> str:
    """What is to be said of a flow by its head; nothing within the published range."""
    if head >= LEAST_HEAD_MM:
        return ""
    return (
        f"a head of {head:.1f} mm is below the {LEAST_HEAD_MM:.0f} mm at which the published range of the formula begins: "
        f"an estimate, give or take {100.0 * DOUBT:.0f} %"
    )
