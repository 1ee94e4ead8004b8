"""What a quick-release plate carries in every case: flanks, jaws, bonds, pins, stop, the bolts of its shoe.

The strip is loose in its shoe: the clamp is taken as open, and friction as none. It is drawn off by what pulls it, by the
moments that pull and shear make about its seat, less what presses it down; a moment along the slot is shared by the ends, of
which the last quarter is taken. A push across presses one flank, which climbs: pull and push come to one force on that jaw.
One pin of several is taken as open. Source: statics of a rigid strip on its seat (`wedge` has the flanks); judgement where it
says so.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from assemblies.design.model import Design, Placed, shoe_base
from assemblies.design.release import Release
from assemblies.strength.bonds.allowed import allowed_stress, factor_of
from assemblies.strength.bonds.bolts import thread_loads
from assemblies.strength.bonds.heads import Bolted, held
from assemblies.strength.bonds.mounting import Group, group_load
from assemblies.strength.bonds.wedge import pull_out
from assemblies.strength.plates.basis import Array
from parts.make.panel import panel
from parts.shape.spots import Spot
from parts.shape.tapped import tapped_hole
from parts.stock.material import Duration, Material
from parts.vectors import Vector

__all__ = ["METALS", "ReleaseLoad", "ReleaseUse", "Rules", "load_of", "release_uses", "wanted_n", "worst_of"]

#: What metals may bear for good, MPa: about a third of what the weakest usual alloys yield at (EN AW-6082 T6, stainless 1.4301;
#: from memory), as the shoe's maker and alloy are not known (judgement).
METALS = {"aluminium": 60.0, "steel": 70.0}
_END = 0.25  # of the length, over which a moment along the slot pulls at an end (judgement)


@dataclass(frozen=True, kw_only=True)
class Rules:
    """What is allowed: share of a joint, share that is bonded, what liquid leaves, factor on top."""

    joint: float
    bonded: float
    environment: float
    factor: float


@dataclass(frozen=True, kw_only=True)
class ReleaseLoad:
    """What a case does to a strip, N: along the slot, across it; what draws it off at each flank, evenly and at the worse end;
    what presses it down; the same on one jaw for its whole length (`jaw`)."""

    along: float
    across: float
    flank: float
    end: float
    seat: float
    jaw: float


@dataclass(frozen=True, kw_only=True)
class ReleaseUse:
    """One thing of one plate in one case: value over what is allowed, MPa or N."""

    case: str
    plate: str
    what: str
    value: float
    allowed: float
    unit: str

    @property
    def use(self) -> float:
        return self.value / max(self.allowed, 1e-12)


def load_of(release: Release, force_n: Vector, at_mm: Vector) -> ReleaseLoad:
    """A force at a point of the world, as it comes to the strip."""
    force, arm = np.array(force_n), np.array(at_mm) - _seat(release)
    pull, side, out = (np.array(way) for way in (release.pull, release.across, release.out))
    moment = np.cross(arm, force)
    along, across, down = float(force @ pull), abs(float(force @ side)), float(force @ out)
    lifts, presses = max(-down, 0.0), max(down, 0.0)
    wide, length = release.sizes.wide, release.length
    # about edges of the seat: what presses it down holds against both moments, once
    roll, pitch = abs(float(moment @ pull)) / wide, abs(float(moment @ side)) / length
    left = max(1.0 - presses / max(2.0 * (roll + pitch), 1e-12), 0.0)
    flank, end = lifts / 2.0 + roll * left, pitch * left / 2.0
    twist = abs(float(moment @ out)) / (length / 2.0)  # a couple at the two ends, square to the slot
    climbs = (across + twist / _END) / math.tan(math.radians(release.angle_deg))
    return ReleaseLoad(along=along, across=across, flank=flank, end=end, seat=presses, jaw=flank + end / _END + climbs)


def wanted_n(load: ReleaseLoad) -> float:
    """What a shoe must be rated for: off its seat, as if both jaws bore what the worse one does, and along."""
    return max(2.0 * load.jaw, abs(load.along))


def _seat(release: Release) -> Array:
    """The middle of the face that the strip stands on."""
    return np.array(release.origin) + release.depth * np.array(release.out)


def release_uses(
    design: Design,
    release: Release,
    case: str,
    force_n: Vector,
    at_mm: Vector,
    material: Material,
    duration: Duration,
    rules: Rules,
) -> Iterator[ReleaseUse]:
    """Everything that one plate has to carry in a case."""
    load = load_of(release, force_n, at_mm)
    whole = allowed_stress(material, duration, environment=rules.environment, factor=rules.factor).value
    joint = allowed_stress(
        material, duration, environment=rules.environment, joint=rules.joint, factor=rules.factor
    ).value

    def use(what: str, value: float, allowed: float, unit: str = "MPa") -> ReleaseUse:
        return ReleaseUse(case=case, plate=release.plate, what=what, value=value, allowed=allowed, unit=unit)

    group = Group(plates=(_on_plate(design, release),), outward=release.out)
    bond = group_load(
        group,
        force_n,
        at_mm,
        material,
        duration,
        bonded=rules.bonded,
        joint=rules.joint,
        environment=rules.environment,
        factor=rules.factor,
    )
    yield use("bond of strip and plate", bond.combined, bond.allowed)
    yield use("foot of the strip's flank", _notched(load, release), whole)
    one = abs(load.along) / max(release.pins - 1, 1)
    pin = release.pin
    yield use("pin in its bores", one / (pin * min(release.depth, _base_mm(release))), whole)
    yield use("pin, bent", 32.0 * one * release.depth / 2.0 / (math.pi * pin**3), METALS["steel"])
    left = release.sizes.wide - release.pins * release.bore
    yield use("strip between its pins", factor_of("hole_stress") * abs(load.along) / (left * release.depth), whole)
    lip = pull_out(
        2.0 * load.jaw, release.angle_deg, 0.0, release.shoe.jaw, release.shoe.root, release.depth / 2.0
    ).stress
    if release.shoe.made_of != "acrylic":
        yield use("foot of a jaw", lip, METALS[release.shoe.made_of])
        if release.shoe.rated is not None:
            yield use("shoe, as its maker rates it", wanted_n(load), release.shoe.rated, "N")
        return
    yield use("bond of the fixed jaw", lip / rules.bonded, joint)
    area = release.shoe.rail * release.shoe.jaw * rules.bonded
    spread = load.jaw * math.tan(math.radians(release.angle_deg))
    yield use("bond of the rail", _pushed(spread, release.depth / 2.0, area, release.shoe.rail), joint)
    stop = release.shoe.stop
    yield use(
        "bond of the stop",
        _pushed(abs(load.along), release.depth / 2.0, stop[0] * stop[1] * rules.bonded, stop[0]),
        joint,
    )
    yield use("screws of the clamped jaw", *_screws(load, release, whole), "N")
    bolts = replace(group, plates=(shoe_base(release),))
    for found in thread_loads(
        bolts, force_n, at_mm, material, duration, environment=rules.environment, factor=rules.factor
    ):
        yield use("bolts of the shoe", found.use, 1.0, "")


def _on_plate(design: Design, release: Release) -> Placed:
    """What of the strip is bonded to the plate: as a plate of its own."""
    strip = design.instance(release.strip)
    sheet, (x, y, z) = strip.piece.sheet, release.origin
    side = release.across
    corner = tuple(
        c - release.length / 2.0 * release.pull[k] - release.narrow / 2.0 * side[k] for k, c in enumerate((x, y, z))
    )
    return Placed(
        name=strip.name,
        piece=panel(strip.piece.name, release.length, release.narrow, sheet),
        origin=corner,  # type: ignore[arg-type]
        x=release.pull,
        z=release.out,
    )


def _base_mm(release: Release) -> float:
    return release.shoe.base.thickness_mm


def _notched(load: ReleaseLoad, release: Release) -> float:
    """Bending of the strip's own lip, as wide as its flank is cut back, at the notch with the plate, as at a hole."""
    moment = load.jaw * release.back / 2.0
    return factor_of("hole_stress") * 6.0 * moment / (release.length * release.depth**2)


def _pushed(force: float, height: float, area: float, wide: float) -> float:
    """Largest principal stress in the bond of a block that is pushed along its face at a height over it."""
    shear, peel = force / area, 6.0 * force * height / (area * wide)
    return peel / 2.0 + math.hypot(peel / 2.0, shear)


def _screws(load: ReleaseLoad, release: Release, limit: float) -> tuple[float, float]:
    """Pull of a screw of the clamped jaw, which turns about its back edge, and what its thread or its head holds."""
    shoe = release.shoe
    arm = shoe.lip - release.back / 2.0
    pull = load.jaw * arm / (shoe.screws * shoe.heel)
    base = Spot(x_mm=0.0, y_mm=0.0, hole=tapped_hole(0.0, 0.0, shoe.screw))
    return pull, held(base, _base_mm(release), Bolted(), limit).pull_n


def worst_of(uses: Sequence[ReleaseUse]) -> dict[tuple[str, str], ReleaseUse]:
    """Of each thing of each plate the case in which it is used most."""
    found: dict[tuple[str, str], ReleaseUse] = {}
    for one in uses:
        key = (one.plate, one.what)
        if key not in found or one.use > found[key].use:
            found[key] = one
    return found
