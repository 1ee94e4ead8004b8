"""Does a closed box breathe: is there a hole that stays above the liquid, wide enough for what comes and goes.

Flat panels are no pressure vessel. What is filled, drained or warmed under a lid that lets nothing out presses or sucks on it,
and no figure of strength here has that. So a closed box is covered only with a vent that leaves the gas in it within a few
millimetres of water of the air outside.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

from assemblies.liquid.engine import G_MM_S2
from assemblies.liquid.shapes.cavity import Cavity
from assemblies.liquid.shapes.openings import Port
from parts.findings import Finding, Remedy

__all__ = ["needed_mm2", "vent_finding"]

_PRESSURE_PA: Final = 100.0  # what the gas may be off the air outside: 10 mm of water, judgement
_AIR_KG_M3: Final = 1.2  # at 20 C
_ORIFICE: Final = 0.6  # discharge coefficient of a sharp hole (any book on flow; from memory)
_OUTLET: Final = 0.8  # of a short outlet, free below (from memory)
_HOSE_MM_S: Final = 2000.0  # water in the hose or pipe that a port is filled by; judgement
_MOST_FILL_MM3_S: Final = 0.5e6  # 30 L a minute, a garden hose full on; judgement
_WARMING_PER_S: Final = (
    10.0 / 60.0 / 293.0
)  # of its volume: air that warms by 10 K in a minute, as over hot water; judgement
_LEAST_MM: Final = 3.0  # narrower holes are shut by a drop; judgement
_SOURCE: Final = (
    "flow through an orifice and out of a vessel (Torricelli); 10 mm of water, hose speed and warming: judgement"
)


def needed_mm2(cavity: Cavity, most_mm3: float, brim_mm: float) -> float:
    """The free area that carries the fastest fill, drain and warming.

    The order gives no rates. Taken: filled through any port but a vent at 2 m/s, at most 30 L a minute; all drains open, brim
    full, the outlet free; all the air in it warms by 10 K in a minute.

    Args:
        cavity: with its ports.
        most_mm3: what it holds.
        brim_mm: height of the liquid, brim full.
    """
    ports = [port for port in cavity.ports if port.kind in ("fill", "drain")]
    filled = max((min(_HOSE_MM_S * _area(port), _MOST_FILL_MM3_S) for port in ports), default=0.0)
    drained = sum(
        _OUTLET * _area(port) * math.sqrt(2.0 * G_MM_S2 * max(brim_mm - port.lowest((0.0, 0.0, 1.0))[2], 0.0))
        for port in ports
        if port.kind == "drain"
    )
    flow = max(filled, drained, _WARMING_PER_S * most_mm3)
    speed = 1e3 * math.sqrt(2.0 * _PRESSURE_PA / _AIR_KG_M3)  # mm/s
    return max(flow / (_ORIFICE * speed), math.pi / 4.0 * _LEAST_MM**2)


def _area(port: Port) -> float:
    return math.pi * port.circle.radius_mm**2


def vent_finding(
    cavity: Cavity, reached: Mapping[str, tuple[str, ...]], most_mm3: float, brim_mm: float
) -> Finding | None:
    """What is missing for a closed box to breathe; None where it is open, or vented enough.

    Args:
        cavity, most_mm3, brim_mm: as for `needed_mm2`.
        reached: by port, the cases in which liquid stands at it.
    """
    if cavity.lips:
        return None
    needed = needed_mm2(cavity, most_mm3, brim_mm)
    holes = [port for port in cavity.ports if port.open and port.free_mm2 > 0.0]
    dry = [port for port in holes if not reached.get(port.name)]
    has = sum(port.free_mm2 for port in dry)
    if has >= needed:
        return None
    wide = math.ceil(2.0 * math.sqrt(4.0 * needed / math.pi)) / 2.0
    if not holes:
        why = "a closed box without a vent"
    elif not dry:
        cases = dict.fromkeys(case for port in holes for case in reached[port.name])
        why = f"{' and '.join(p.name for p in holes)} {'is' if len(holes) == 1 else 'are'} under the liquid in "
        why += f"{' and '.join(cases)}: a closed box that then cannot breathe"
    else:
        why = f"{has:.0f} mm2 of vent for {needed:.0f} mm2"
    return Finding(
        level="care",
        check="strength",
        where="lid",
        why=f"not covered: {why}: filling, draining and warming put pressure or suction on its panels, which no "
        f"figure here includes",
        do=f'add a vent: [[port]] with kind = "vent", above the liquid in every case, such as on the lid; a plain hole of '
        f"{wide:g} mm or more",
        source=_SOURCE,
        remedy=Remedy(piece="lid", change="vent", least=(wide,)),
    )
