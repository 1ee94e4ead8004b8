"""The real flow of a pour trails its schedule: liquid must first stand over the lip before it runs.

What stands over the lip is S = poured by the schedule less poured in truth; it is S / A high on a surface of area A, and runs
off as over a weir: dS/dt = q - C b (S/A)^1.5. Where the tilt goes back, S falls with what the rig takes in again.

Source: continuity; weir as in `weir` (Francis without contractions), good to a quarter.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from assemblies.liquid.shapes.cavity import Cavity
from assemblies.liquid.waves.modes import positive
from assemblies.motion.path.profile import Array
from assemblies.motion.pour.tilts import tilts
from assemblies.motion.pour.weir import FRANCIS
from parts.findings import NotCovered
from parts.vectors import Vector

__all__ = ["Lag", "constant_pour", "lag"]

_REACHED: Final = 0.95  # of the flow that is asked for
_TIMES: Final = 2001  # of a whole pour


@dataclass(frozen=True, kw_only=True, eq=False)
class Lag:
    """A pour as it really runs.

    Attributes:
        times: of the schedule, s.
        standing: over the lip, mm3.
        flows: over it, mm3/s.
        delivered: so far, mm3.
        behind_s: when it runs at 95 % of what is asked for; None where it never does.
    """

    times: Array
    standing: Array
    flows: Array
    delivered: Array
    behind_s: float | None

    def standing_at(self, time: float) -> float:
        return float(np.interp(time, self.times, self.standing))


def lag(times: Array, left: Array, areas: Array, width: float, coefficient: float = FRANCIS) -> Lag:
    """Run a schedule.

    Args:
        times: evenly or not, s.
        left: what the rig holds to its lip at each, mm3; it grows again on the way back.
        areas: of the surface at each, mm2.
        width: of the lip, mm.
        coefficient: of the weir, m^0.5/s.
    """
    weir = coefficient * math.sqrt(1000.0) * width

    def runs(standing: float, area: float) -> float:
        return float(weir * (max(standing, 0.0) / area) ** 1.5)

    standing, flows, out = [0.0], [0.0], [0.0]
    for k in range(len(times) - 1):
        dt, at = times[k + 1] - times[k], (areas[k] + areas[k + 1]) / 2.0
        given = left[k] - left[k + 1]
        s, parts, gone = standing[-1], max(1, math.ceil(8.0 * dt)), 0.0
        for _ in range(parts):  # half steps: the weir is a root at first, and stiff at none
            h = dt / parts
            middle = max(s + h / 2.0 * (given / dt - runs(s, at)), 0.0)
            flow = min(runs(middle, at), max(s + given / parts, 0.0) / h)
            s, gone = max(s + given / parts - h * flow, 0.0), gone + h * flow
        standing.append(s)
        flows.append(runs(s, areas[k + 1]))
        out.append(out[-1] + gone)
    asked = np.diff(left, append=left[-1]) * -1.0 / np.diff(times, append=times[-1] + 1.0)
    there = np.flatnonzero((asked > 0.0) & (np.array(flows) >= _REACHED * asked))
    return Lag(
        times=times,
        standing=np.array(standing),
        flows=np.array(flows),
        delivered=np.array(out),
        behind_s=float(times[there[0]]) if len(there) else None,
    )


def constant_pour(
    cavity: Cavity, volume: float, flow: float, *, toward: Vector = (1.0, 0.0, 0.0), coefficient: float = FRANCIS
) -> Lag:
    """A pour to the last drop by the schedule of constant flow, from when the surface reaches the lip.

    Raises:
        SeamwrightError: a flow or coefficient that is not finite and above 0.
        NotCovered: it leaves by a corner or a hole, which is no level lip.
    """
    positive(flow=flow, coefficient=coefficient)
    found = tilts(cavity, volume, math.pi / 2.0, toward=toward)
    if found.lip_mm is None:
        raise NotCovered("the flow over a corner or out of a hole: its head is not calculated")
    times = np.linspace(0.0, volume / flow, _TIMES)
    left = volume - flow * times
    areas = np.interp(found.angle_of(left), found.angles, found.areas)
    return lag(times, left, areas, found.lip_mm, coefficient)
