"""The quick-release plate under a round tank: bonded under its base, on the strip and shoe of the rectangular tank.

The base stands on the plate alone, so that it has no flange to bolt and nothing that hangs in the way of the shoe.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from assemblies.design import Placed
from assemblies.design.model import shoe_base
from assemblies.design.release import Release
from assemblies.kinds.round_tank.laid import Laid
from assemblies.kinds.sheets import extra_sheet
from assemblies.kinds.tank.mounts.plates import grid_findings
from assemblies.kinds.tank.mounts.release import keys_of, plain_plate, release_plate
from assemblies.kinds.tank.shell import Extra
from assemblies.order import Faults, Order, PlateSpec
from parts.findings import SeamwrightError
from parts.stock.mounting import pattern_findings
from parts.stock.sheet import Sheet
from parts.vectors import Vector

__all__ = ["quick"]

_MIDDLE_MM = 1e-6  # a plate that is no further off the axis stands in the middle


@dataclass(frozen=True)
class _Under:
    """The underside of the base, as what a plate is bonded to."""

    laid: Laid

    @property
    def order(self) -> Order:
        return self.laid.order

    @property
    def corners(self) -> tuple[Vector, Vector]:
        half = max(self.laid.disc_mm, self.laid.tube.outside_mm) / 2.0
        return (-half, -half, 0.0), (half, half, self.laid.top_mm)

    def outward(self, _face: str, /) -> Vector:
        return 0.0, 0.0, -1.0

    def sheet(self, thickness_mm: float, readings_mm: tuple[float, ...] = (), /) -> Sheet:
        return extra_sheet(self.order, thickness_mm, readings_mm)


def quick(laid: Laid, bosses: list[Placed], faults: Faults) -> Extra:
    """The plate of a round tank with its strip and shoe; nothing where the order has none.

    Args:
        bosses: what hangs under the base.
        faults: what is refused goes there.
    """
    if not laid.order.plate:
        return Extra()
    with faults.step():
        _check(laid, laid.order.plate[0])
        return _made(laid, laid.order.plate[0], bosses, faults)
    return Extra()


def _made(laid: Laid, spec: PlateSpec, bosses: list[Placed], faults: Faults) -> Extra:
    order = laid.order
    try:
        sheet = extra_sheet(order, spec.thickness, spec.measured)
    except SeamwrightError as error:
        raise order.refuse(("plate", 0, "measured"), str(error), "readings of this sheet") from error
    made = plain_plate(order, ("plate", 0), spec, "plate", sheet, faults)
    if made is None:
        return Extra()
    wide, high, thick = made.piece.size_mm
    plate = Placed(name="plate-1", piece=made.piece, origin=(-wide / 2.0, -high / 2.0, -thick))
    found = release_plate(_Under(laid), spec, keys_of(spec), plate, 1, "", ("plate", 0), faults)
    if found is None:
        return Extra()
    for boss in bosses:
        with faults.step():
            _clear(laid, boss, found.release)
    return Extra(
        placed=(plate, *found.placed),
        joints=found.joints,
        fasteners=found.fasteners,
        bought=found.bought,
        releases=(found.release,),
        findings=(*pattern_findings(made.pattern, "plate"), *grid_findings(order, [shoe_base(found.release)])),
    )


def _check(laid: Laid, spec: PlateSpec) -> None:
    """What cannot be: several plates, one that is bolted, off the middle or past the base, and what does not go with it."""
    order, base, faults = laid.order, laid.spec, Faults()
    half = laid.disc_mm / 2.0
    kind = order.support.kind if order.support else "flat"
    for wrong, key, what, allowed in (
        (len(order.plate) > 1, ("plate", 1), "a round tank stands on one plate", "one [[plate]]"),
        (len(spec.at) > 1, ("plate", 0, "at"), "a round tank stands on one plate", "at = [0, 0]"),
        (
            spec.style != "quick-release",
            ("plate", 0, "style"),
            "a round tank is bolted down by its flange",
            'style = "quick-release", or [round-tank.flange] and no plate',
        ),
        (spec.on != "bottom", ("plate", 0, "on"), "the wall of a tube is round", 'on = "bottom"'),
        (
            math.hypot(*spec.at[0]) > _MIDDLE_MM,
            ("plate", 0, "at"),
            "beside the middle the base would hang over on one side",
            "at = [0, 0]",
        ),
        (
            math.hypot(*spec.size) / 2.0 > half,
            ("plate", 0, "size"),
            f"its corners reach {math.hypot(*spec.size) / 2.0:.1f} mm from the middle, past a base of {2.0 * half:.1f} mm",
            f"a diagonal of at most {2.0 * half:.1f} mm",
        ),
        (
            base.flange is not None,
            ("round-tank", "flange"),
            "it stands in its shoe: there is nothing to bolt a flange to",
            "no flange, or no quick-release plate",
        ),
        (
            base.base == "inset",
            ("round-tank", "base"),
            "a disc that stands in the tube would hang in its seam while the plate carries it",
            'base = "under" or "groove"',
        ),
        (kind != "plates", ("support", "kind"), "it stands on its plate", 'kind = "plates"'),
    ):
        if wrong:
            with faults.step():
                raise order.refuse(key, what, allowed)
    faults.settle()


def _clear(laid: Laid, boss: Placed, release: Release) -> None:
    """Refuse what hangs under the base where the shoe stands, or where it slides over the shoe as it is pulled out."""
    side = release.shoe.base.outline.size_mm[1] / 2.0
    low, high = boss.box
    k = 1 if abs(release.pull[0]) > 0.5 else 0
    if low[k] < side and high[k] > -side:
        name = boss.name.removesuffix("-boss")
        raise laid.order.refuse(
            ("round-tank", name),
            f"its boss hangs in the way of the shoe, which is {2.0 * side:.0f} mm wide, as it is slid in",
            f"no {name}, one beside the shoe, or a flange in place of the quick-release plate",
        )
