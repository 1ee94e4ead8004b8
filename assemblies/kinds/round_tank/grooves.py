"""The turned groove in the base that the tube's end stands in: its floor is bonded, its sides have play."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from assemblies.kinds.round_tank.tables import GrooveSpec, RoundTankSpec
from assemblies.order import Order
from parts.findings import Finding, SeamwrightError
from parts.shape.outline import Circle
from parts.shape.piece import Pocket
from parts.shape.tube import GroovePlay, groove_for, groove_play
from parts.stock.material import material
from parts.stock.rules import rule, rule_source
from parts.stock.sheet import Sheet
from parts.stock.tube import TubeStock, tube_tolerance

__all__ = ["Groove", "groove_of", "groove_said", "tube_within"]

_SHARE: Final = 0.3  # of the base's thickness, how deep a groove is that is not said; judgement
_LIP_MM: Final = 5.0  # of the base that is left outside its groove at the least; judgement
_DAMP: Final = "80 % relative humidity"


@dataclass(frozen=True, kw_only=True)
class Groove:
    """Diameters and depth of the groove, mm; the play that is left at the worst; whether readings decided it."""

    wide_mm: float
    narrow_mm: float
    depth_mm: float
    growth: float
    play: GroovePlay
    read: bool

    @property
    def least_disc_mm(self) -> float:
        """Diameter of the least base round it."""
        return self.wide_mm + 2.0 * _LIP_MM

    def pocket(self, disc_mm: float) -> Pocket:
        """In the face of a disc that is up."""
        half = disc_mm / 2.0
        return Pocket(
            outline=Circle(half, half, self.wide_mm / 2.0),
            islands=(Circle(half, half, self.narrow_mm / 2.0),),
            depth_mm=self.depth_mm,
        )


def tube_within(spec: RoundTankSpec, tube: TubeStock) -> tuple[float, float]:
    """Plus or minus on the tube's outside and inside diameter: by its readings and a caliper's error, or by its sort."""
    if not spec.measured_outside:
        across, wall = tube_tolerance(tube)
    else:
        across, wall = (
            max(abs(one - mean) for one in read) + rule("caliper_error")
            for read, mean in ((spec.measured_outside, tube.outside_mm), (spec.measured_wall, tube.wall_mm))
        )
    return across, across + 2.0 * wall


def groove_of(order: Order, spec: RoundTankSpec, tube: TubeStock, sheet: Sheet) -> Groove | None:
    """The groove that an order means, None where its base has none.

    Raises:
        OrderError: a groove as deep as the base, one that the tube jams in.
    """
    if spec.base != "groove":
        return None
    given, thick = spec.groove or GrooveSpec.model_construct(), sheet.thickness_mm
    depth = given.depth or max(1.0, math.floor(2.0 * _SHARE * thick) / 2.0)
    if depth > thick - rule("floor_left_min"):
        raise order.refuse(
            ("round-tank", "groove", "depth"),
            f"a groove {depth:g} mm deep leaves {thick - depth:.2f} mm of the base",
            f"at most {thick - rule('floor_left_min'):.2f} mm",
        )
    growth = (given.growth if given.growth is not None else _growth()) / 100.0
    sizes, within, cut = (tube.outside_mm, tube.inside_mm), tube_within(spec, tube), rule("turned_tolerance")
    try:
        if given.clearance is None:
            wide, narrow = groove_for(sizes, within, growth, cut)
        else:
            wide, narrow = sizes[0] + 2.0 * given.clearance, sizes[1] - 2.0 * given.clearance
        out, into = (
            groove_play(sizes, (wide, narrow), strains=strains, within_mm=(within[0], cut), bore_within_mm=within[1])
            for strains in ((growth, 0.0), (0.0, growth))
        )
    except SeamwrightError as error:
        raise order.refuse(
            ("round-tank", "groove", "clearance"),
            str(error),
            "more of it, readings of the tube, or none: it is then worked out",
        ) from error
    play = GroovePlay(
        outer_mm=out.outer_mm,
        inner_mm=out.inner_mm,
        outer_least_mm=out.outer_least_mm,
        inner_least_mm=into.inner_least_mm,
    )
    return Groove(
        wide_mm=wide, narrow_mm=narrow, depth_mm=depth, growth=growth, play=play, read=bool(spec.measured_outside)
    )


def _growth() -> float:
    """By how much a damp one of tube and disc may outgrow a dry one, percent."""
    return material("cast-pmma").figure("humidity_growth", _DAMP).value


def groove_said(groove: Groove) -> Finding:
    """What play it has, and whether the tube in hand decided it."""
    play = groove.play
    why = (
        f"the tube has {play.outer_mm:.2f} mm of play outside and {play.inner_mm:.2f} mm inside in its groove; "
        f"{min(play.outer_least_mm, play.inner_least_mm):.2f} mm at the worst, where one of them is damp and the other dry "
        f"({100.0 * groove.growth:g} %)"
    )
    source = f"interval arithmetic; {material('cast-pmma').figure('humidity_growth', _DAMP).cited}"
    if groove.read:
        return Finding(
            level="note",
            check="build",
            where="base",
            why=why,
            source=source,
            do="solvent does not bridge it and nothing counts on it: the tube's end on the groove's floor is what is bonded",
        )
    return Finding(
        level="care",
        check="build",
        where="base",
        why=f"{why}: it is as wide as tubes may differ, for this one is not measured",
        do="measure the tube across in three directions and its wall at four places, give measured-outside and measured-wall, "
        "and turn the groove to them",
        source=f"{source}; {rule_source('turned_tolerance')}",
    )
