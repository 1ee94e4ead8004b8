"""Thin solvent: how it runs into a seam, and what its vapour does to the air of a room.

*Rise*: how high a liquid stands between two upright plates (Jurin). *Fill time*: how long it takes to run into a
gap from one side (Lucas, Washburn), with the inertia of the liquid too. *Exposure*: the vapour of what evaporates,
spread through the room, against the limits of the table `solvent_limits`. Which solvent is used is the user's choice;
when none is stated the figures are those of the one whose limit the same millilitres pass by most.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final, Literal

from parts.findings import SeamwrightError
from parts.tables import Row, cite, load, named

__all__ = [
    "Average",
    "Capillary",
    "Exposure",
    "Limit",
    "Room",
    "Solvent",
    "SolventError",
    "capillary",
    "exposure",
    "solvent",
    "solvents",
    "strictest",
]

Average = Literal["8 h", "15 min"]
AVERAGES: Final[tuple[Average, ...]] = ("8 h", "15 min")
#: Litres of vapour of one mole at 25 C and 101.325 kPa, at which OSHA's table Z-1 counts parts per million.
MOLAR_L: Final = 24.45
_HOURS: Final = {"8 h": 8.0, "15 min": 0.25}
_SERIES_BELOW: Final = 1e-3  # below, x - 1 + exp(-x) loses digits and its series is taken
G_M_S2: Final = 9.80665


class SolventError(SeamwrightError):
    """A liquid, gap or room that cannot be, or a solvent that the table does not have."""


@dataclass(frozen=True, kw_only=True)
class Capillary:
    """What a gap between two plates does to a liquid: rise in m, times in s."""

    rise: float
    t_viscous: float
    t_with_inertia: float


def capillary(
    gamma: float, theta: float, mu: float, rho: float, gap: float, depth: float, g: float = G_M_S2
) -> Capillary:
    """Rise between upright plates, and the time to run `depth` into a level gap, without and with inertia. SI units.

    Args:
        gamma: surface tension, N/m.
        theta: contact angle, rad; under a right angle, else nothing fills.
        mu: viscosity, Pa s.
        rho: density, kg/m3.
        gap: between the plates, m.
        depth: how far it runs in, m.
        g: gravity, m/s2.

    Source: Jurin for two plates, h = 2 gamma cos(theta)/(rho g b); Lucas 1918 and Washburn 1921 for a slot of permeability
    b2/12, t = 3 mu L2/(gamma b cos(theta)); with inertia (Bosanquet 1923, for a slot) y'' + B y' = A with y = L2/2,
    A = 2 gamma cos(theta)/(rho b), B = 12 mu/(rho b2), so L2 = (2 A/B)(t - (1 - exp(-B t))/B).
    Valid: parallel gap, no swelling, no evaporation, gravity left out of the times (depth well under the rise).

    Raises:
        SolventError: a value that is not finite or not above 0, a liquid that does not wet.

    >>> dcm = capillary(0.0265, 0.0, 0.00041, 1326.0, 1e-4, 0.006)
    >>> round(dcm.rise * 1000, 1), round(dcm.t_viscous, 4), round(dcm.t_with_inertia, 4)
    (40.8, 0.0167, 0.0194)
    """
    named = {"gamma": gamma, "mu": mu, "rho": rho, "gap": gap, "depth": depth, "g": g}
    for name, value in named.items():
        if not (math.isfinite(value) and value > 0.0):
            raise SolventError(f"capillary: {name} = {value!r} must be finite and above 0")
    if not (math.isfinite(theta) and 0.0 <= theta < math.pi / 2.0):
        raise SolventError(f"capillary: a contact angle of {theta!r} rad does not wet: 0 to under pi/2")
    pull = gamma * math.cos(theta)
    viscous = 3.0 * mu * depth**2 / (pull * gap)
    drag = 12.0 * mu / (rho * gap**2)
    return Capillary(rise=2.0 * pull / (rho * g * gap), t_viscous=viscous, t_with_inertia=_slot_time(drag, viscous))


def _slot_time(drag: float, viscous: float) -> float:
    """The time t at which t - (1 - exp(-B t))/B equals the viscous time, for drag B."""
    goal = drag * viscous

    def excess(x: float) -> float:
        if x < _SERIES_BELOW:
            return x * x / 2.0 * (1.0 - x / 3.0 + x * x / 12.0)
        return x + math.expm1(-x)

    x = goal + math.sqrt(2.0 * goal)  # at or above the root, and the function is convex: Newton comes down to it
    for _ in range(60):
        step = (excess(x) - goal) / -math.expm1(-x)
        x -= step
        if abs(step) <= 1e-14 * x:
            break
    return x / drag


@dataclass(frozen=True, kw_only=True)
class Limit:
    """A limit of exposure: mean over `average`, ppm, and what standing it has (law, recommended)."""

    solvent: str
    average: Average
    ppm: float
    standing: str
    source: str


@dataclass(frozen=True, kw_only=True)
class Solvent:
    """A class of thin solvent for PMMA, at 20 C.

    Attributes:
        name, also_called: as in the table.
        molar_mass_g_mol, density_kg_m3, surface_tension_n_m, viscosity_pa_s: as they say.
        flash_c: flash point; None where the standard test finds none.
        burns_from_percent: least share of vapour in air that burns, % by volume.
        regulation, regulation_known: notice, and how it is known.
        limits: of exposure.
        source: of the properties.
    """

    name: str
    also_called: str
    molar_mass_g_mol: float
    density_kg_m3: float
    surface_tension_n_m: float
    viscosity_pa_s: float
    flash_c: float | None
    burns_from_percent: float
    regulation: str
    regulation_known: str
    limits: tuple[Limit, ...]
    source: str

    def vapour_l(self, ml: float) -> float:
        """Litres of vapour, at 25 C, that this many millilitres give."""
        return ml * self.density_kg_m3 / 1000.0 / self.molar_mass_g_mol * MOLAR_L

    def lowest(self, average: Average) -> Limit:
        """The lowest limit for this averaging time."""
        return min((limit for limit in self.limits if limit.average == average), key=lambda limit: limit.ppm)

    def fills(self, gap_mm: float, depth_mm: float) -> Capillary:
        """How it runs into a gap it wets wholly."""
        return capillary(
            self.surface_tension_n_m, 0.0, self.viscosity_pa_s, self.density_kg_m3, gap_mm / 1e3, depth_mm / 1e3
        )


@dataclass(frozen=True, kw_only=True)
class Room:
    """The room it is bonded in.

    Raises:
        SolventError: no volume, or air changes below 0.
    """

    volume_m3: float
    air_changes_h: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.volume_m3) and self.volume_m3 > 0.0):
            raise SolventError(f"a room of {self.volume_m3!r} m3")
        if not (math.isfinite(self.air_changes_h) and self.air_changes_h >= 0.0):
            raise SolventError(f"{self.air_changes_h!r} air changes per hour")


@dataclass(frozen=True, kw_only=True)
class Exposure:
    """What evaporated does to a room that is well mixed, all of it at once.

    Attributes:
        ml: what evaporates.
        peak_ppm: at once, before any air is changed.
        mean_ppm: from then on over the limit's averaging time.
        limit: the lowest limit for that time.
        ml_to_limit: how much would just reach the limit.
        fresh_air_m3: air that would thin the vapour to the limit.
    """

    solvent: str
    ml: float
    peak_ppm: float
    mean_ppm: float
    limit: Limit
    ml_to_limit: float
    fresh_air_m3: float

    @property
    def times_limit(self) -> float:
        return self.mean_ppm / self.limit.ppm


def exposure(liquid: Solvent, ml: float, room: Room, average: Average) -> Exposure:
    """The mean concentration in the room after `ml` have evaporated at once.

    Source: ideal gas at 25 C (24.45 L a mole, as OSHA table Z-1 counts ppm); steady air changes n thin it as
    exp(-n t), whose mean over T is (1 - exp(-n T))/(n T).
    Valid: even mixing. Close to the seam it is several times more.

    Raises:
        SolventError: an amount that is not finite or below 0.

    >>> round(exposure(solvent("dichloromethane"), 10.0, Room(volume_m3=50.0, air_changes_h=0.0), "8 h").peak_ppm)
    76
    """
    if not (math.isfinite(ml) and ml >= 0.0):
        raise SolventError(f"{ml!r} mL of solvent")
    peak_per_ml = liquid.vapour_l(1.0) / (room.volume_m3 * 1000.0) * 1e6
    changes = room.air_changes_h * _HOURS[average]
    share = -math.expm1(-changes) / changes if changes > 0.0 else 1.0
    limit = liquid.lowest(average)
    return Exposure(
        solvent=liquid.name,
        ml=ml,
        peak_ppm=peak_per_ml * ml,
        mean_ppm=peak_per_ml * ml * share,
        limit=limit,
        ml_to_limit=limit.ppm / (peak_per_ml * share),
        fresh_air_m3=liquid.vapour_l(ml) / 1000.0 / (limit.ppm * 1e-6),
    )


def strictest(liquids: Sequence[Solvent], ml: float, room: Room) -> Exposure:
    """Of all liquids and averaging times the exposure furthest over its limit (per millilitre, so for any amount)."""
    every = [exposure(one, 1.0, room, average) for one in liquids for average in AVERAGES]
    worst = max(every, key=lambda one: one.times_limit)
    return exposure(solvent(worst.solvent), ml, room, worst.limit.average)


@cache
def solvents() -> tuple[Solvent, ...]:
    """Every class of solvent in the table."""
    return tuple(_solvent(row) for row in load("solvents"))


def solvent(name: str) -> Solvent:
    """The solvent of this name, or one it is also called by.

    Raises:
        SolventError: when the table has none.

    >>> solvent("Methylene chloride").name
    'dichloromethane'
    """
    row = named("solvents", "solvent", name)
    if row is not None:
        return _solvent(row)
    raise SolventError(f"solvent {name!r} is not in the table: {', '.join(s.name for s in solvents())}")


def _solvent(row: Row) -> Solvent:
    return Solvent(
        name=row["solvent"],
        also_called=row["also_called"],
        molar_mass_g_mol=float(row["molar_mass_g_mol"]),
        density_kg_m3=float(row["density_kg_m3"]),
        surface_tension_n_m=float(row["surface_tension_mn_m"]) / 1000.0,
        viscosity_pa_s=float(row["viscosity_mpa_s"]) / 1000.0,
        flash_c=float(row["flash_c"]) if row["flash_c"] else None,
        burns_from_percent=float(row["burns_from_percent"]),
        regulation=row["regulation"],
        regulation_known=row["regulation_known"],
        limits=tuple(_limits(row["solvent"])),
        source=cite(row["source"], row["clause"], row["how_known"]),
    )


def _limits(name: str) -> list[Limit]:
    out: list[Limit] = []
    for row in load("solvent_limits"):
        if row["solvent"] == name:
            average = next(a for a in AVERAGES if a == row["average"])
            source = cite(row["source"], row["clause"], row["how_known"])
            out.append(
                Limit(solvent=name, average=average, ppm=float(row["ppm"]), standing=row["standing"], source=source)
            )
    return out
