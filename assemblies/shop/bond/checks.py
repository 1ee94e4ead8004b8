"""The check of bonding: which seam after which, how it lies, how much solvent, what that does to the air."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from assemblies.fit import Fit
from assemblies.report.check import Check, Checked, Made, Rows, SectionOf
from assemblies.shop.bond.sections import bond_blocks
from parts.findings import Taken

if TYPE_CHECKING:
    from assemblies.shop.bond.figures import BondFigures
    from assemblies.shop.bond.plan import BondingPlan, BondSettings

__all__ = ["BOND", "Bonding"]


@dataclass(frozen=True, kw_only=True)
class Bonding:
    """What the shop says of itself, and the plan with its figures; without those where nothing is bonded."""

    settings: BondSettings
    plan: BondingPlan | None = None
    known: BondFigures | None = None


def _run(made: Made) -> Checked:
    from assemblies.fit.apart.explode import Exploded
    from assemblies.shop.bond.figures import bond_figures
    from assemblies.shop.bond.plan import BondSettings, bonding_plan
    from assemblies.shop.bond.solvent import SolventError

    shop = made.order.shop
    settings = BondSettings(
        solvent=shop.solvent, room_m3=shop.room, air_changes_h=shop.air_changes, clamped_mm=shop.clamped
    )
    plan = bonding_plan(made.design, made.need(Fit), made.need(Exploded))
    if plan is None:
        return Checked(figures=Bonding(settings=settings))
    try:
        known = bond_figures(made.order, made.design, plan, settings)
    except SolventError as error:
        raise made.order.refuse(("shop",), str(error), "a solvent of the table, a room that can be") from error
    return Checked(figures=Bonding(settings=settings, plan=plan, known=known), taken=tuple(_taken(settings)))


def _taken(settings: BondSettings) -> Iterator[Taken]:
    """The solvent and the room, where the shop does not say."""
    if settings.solvent is None:
        yield Taken(
            what="solvent",
            value="the strictest of the table",
            why="how long seams wait, and what the air may hold",
            say="[shop] solvent",
            weight=1.3,
        )
    rooms = (
        ("room", settings.room_m3, settings.room.volume_m3, "m3", "volume of the room"),
        ("air-changes", settings.air_changes_h, settings.room.air_changes_h, "an hour", "changes of its air"),
    )
    for key, stated, value, unit, what in rooms:
        if stated is None:
            yield Taken(
                what=what,
                value=value,
                unit=unit,
                why="what the solvent does to the air",
                say=f"[shop] {key}",
                weight=1.3,
            )


def _rows(made: Made, bonding: Bonding) -> Rows:
    from assemblies.shop.bond.rows import bonding_section

    if bonding.plan is None or bonding.known is None:
        return {}
    return {"bonding": bonding_section(made.order, made.design, bonding.plan, bonding.settings, bonding.known)}


BOND: Final = Check(
    name="bond",
    run=_run,
    after=("fit", "apart"),
    rows=_rows,
    sections=(SectionOf(id="bonding", station="bond", title="Bonding plan", blocks=bond_blocks),),
)
