"""Sets of checks that kinds share."""

from __future__ import annotations

from typing import Final

from assemblies.fit.apart.rig import RIG
from assemblies.fit.checks import APART, BUILD, FIT, HOLES, SHEETS
from assemblies.report.check import Check
from assemblies.shop.bond.checks import BOND
from assemblies.shop.care.checks import CAUTIONS
from assemblies.shop.drill.checks import DRILL
from assemblies.shop.drill.counterpart import COUNTERPART
from assemblies.shop.handover.checks import AFTER, BUYING, COST
from assemblies.shop.plan.checks import PLAN
from assemblies.shop.record.checks import RECORD

__all__ = ["GO_TOGETHER", "SHOP"]

#: Will it go together.
GO_TOGETHER: Final[tuple[Check, ...]] = (SHEETS, HOLES, BUILD, FIT, RIG, APART)
#: What the shop needs to make it.
SHOP: Final[tuple[Check, ...]] = (BOND, BUYING, CAUTIONS, PLAN, DRILL, COUNTERPART, COST, AFTER, RECORD)
