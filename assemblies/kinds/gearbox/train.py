"""From the order to the train: tooth numbers, shifts, backlash, and where the shafts stand."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from assemblies.kinds.gearbox.rules import gear_rule, gear_source
from assemblies.kinds.gearbox.tables import GearboxSpec
from assemblies.order import Order
from parts.findings import Finding, SeamwrightError, Taken
from parts.make.gear.gear import Gear, Rack, modules_mm, rack, undercut
from parts.make.gear.pair import Pair, grown, pair, shift_for_centre
from parts.make.gear.ratio import Train as Ratio
from parts.make.gear.ratio import trains
from parts.stock.material import material

__all__ = ["PlayTaken", "Stage", "Train", "cut_taper", "gear_strain", "make_train"]

Point = tuple[float, float]
_MOST_SHIFT = 2.0  # modules together; judgement: beyond, teeth get too thin at the tip or the root
_CENTRE_WITHIN = 1.0  # modules: what shift makes good in the search for a ratio


@dataclass(frozen=True, kw_only=True)
class PlayTaken:
    """What takes backlash along the line of action, mm: growth of the gears, taper of the cut, cutting, bearings; and what
    must be left."""

    growth: float
    taper: float
    cut: float
    bearings: float
    left: float

    @property
    def together(self) -> float:
        return self.growth + self.taper + self.cut + self.bearings + self.left


@dataclass(frozen=True, kw_only=True)
class Stage:
    """One pair with its teeth thinned for the backlash that it needs."""

    pair: Pair
    taken: PlayTaken
    strain: float


@dataclass(frozen=True, kw_only=True)
class Train:
    """The stages and the places of the shafts, the first at (0, 0); `findings` and `taken` say what was chosen."""

    rack: Rack
    stages: tuple[Stage, ...]
    shafts: tuple[Point, ...]
    findings: tuple[Finding, ...]
    taken: tuple[Taken, ...]

    @property
    def ratio(self) -> float:
        """Turns of the first shaft for one of the last."""
        return math.prod(stage.pair.ratio for stage in self.stages)

    def way(self, stage: int) -> float:
        """The direction from the driving shaft of a stage to the driven one."""
        (x, y), (u, v) = self.shafts[stage], self.shafts[stage + 1]
        return math.atan2(v - y, u - x)

    def phase(self, stage: int, *, driven: bool) -> float:
        """Where a gear has a tooth: a driving one on the line of shafts, a driven one has a space there."""
        way = self.way(stage)
        return way + math.pi - math.pi / self.stages[stage].pair.second.teeth if driven else way


def make_train(order: Order, spec: GearboxSpec, thickness_mm: float) -> Train:
    """The train that an order means.

    Raises:
        OrderError: a module of no series, no tooth numbers for the ratio, gears that cannot be or cannot run together.
    """
    if spec.module not in modules_mm():
        near = min(modules_mm(), key=lambda m: abs(m - spec.module))
        raise order.refuse(
            ("gearbox", "module"), f"{spec.module:g} mm is no module of ISO 54", f"the nearest is {near:g} mm"
        )
    tool = rack(spec.rack)
    teeth, said = _teeth(order, spec)
    stages = []
    for i, (z1, z2) in enumerate(teeth):
        key = ("gearbox", "teeth", i) if spec.teeth else ("gearbox", "ratio")
        try:
            shift = None if spec.shift is None else spec.shift[i]
            first, second = _gears(spec, tool, (z1, z2), shift, gear_strain(order, spec))
            stages.append(_stage(order, spec, first, second))
            _ = stages[-1].pair.contact_ratio
        except SeamwrightError as error:
            raise order.refuse(key, str(error), "other teeth, shift or centre distance") from error
    shafts, heading = [(0.0, 0.0)], 0.0
    for stage in stages:
        x, y = shafts[-1]
        at = stage.pair.centre_mm
        shafts.append((x + at * math.cos(heading), y + at * math.sin(heading)))
        heading += math.radians(spec.angle)
    return Train(
        rack=tool, stages=tuple(stages), shafts=tuple(shafts), findings=tuple(said), taken=tuple(_taken(order, spec))
    )


def _teeth(order: Order, spec: GearboxSpec) -> tuple[tuple[tuple[int, int], ...], list[Finding]]:
    if spec.teeth is not None:
        return spec.teeth, []
    assert spec.ratio is not None
    try:
        found = trains(
            spec.ratio,
            spec.within / 100.0,
            spec.fewest,
            spec.most,
            stages=spec.stages,
            module_mm=None if spec.centre is None else spec.module,
            centre_mm=spec.centre,
            centre_within_mm=_CENTRE_WITHIN * spec.module,
            best=5,
        )
    except SeamwrightError as error:
        raise order.refuse(("gearbox", "ratio"), str(error), "a wider within, other limits, or two stages") from error
    best = found[0]
    others = "; ".join(_ratio_words(one, spec.ratio) for one in found[1:])
    note = Finding(
        level="note",
        check="build",
        where="gearbox",
        why=f"teeth chosen for the ratio {spec.ratio:g}: {_ratio_words(best, spec.ratio)}"
        + (f". Next best: {others}" if others else ""),
        source="computed: all pairs, compared as fractions; a pair without a common divisor wears evenly (common practice)",
    )
    return best.stages, [note]


def _ratio_words(one: Ratio, wish: float) -> str:
    words = " then ".join(f"{a}/{b}" for a, b in one.stages)
    even = ", wears evenly" if one.evenly_worn else ""
    return f"{words} ({float(one.ratio):.6g}, off by {one.off(wish) * 100.0:.3g} %{even})"


def _gears(
    spec: GearboxSpec, tool: Rack, teeth: tuple[int, int], shift: tuple[float, float] | None, strain: float
) -> tuple[Gear, Gear]:
    """The two gears with their shifts: as given, for the centre distance once grown, or what spares them from undercut."""
    spare = [max(0.0, undercut(z, tool.alpha, tool.straight).least_shift) for z in teeth]
    if shift is not None:
        x1, x2 = shift
    elif spec.centre is not None:
        together = shift_for_centre(spec.module, teeth, spec.centre / (1.0 + strain), tool.alpha).together
        if abs(together) > _MOST_SHIFT:
            raise SeamwrightError(
                f"{teeth[0]} and {teeth[1]} teeth reach a centre distance of {spec.centre:g} mm only with shifts of "
                f"{together:.2f} modules together, more than {_MOST_SHIFT:g}"
            )
        x1 = max(spare[0], together / 2.0)
        x2 = together - x1
    else:
        x1, x2 = spare
    return Gear(teeth[0], spec.module, x1, tool), Gear(teeth[1], spec.module, x2, tool)


def _stage(order: Order, spec: GearboxSpec, first: Gear, second: Gear) -> Stage:
    """The pair laid out by what its gears will grow, and its teeth thinned alike by the rest of what takes backlash.

    Grown, tips so reach no deeper between the other's teeth than they are drawn for: thinned alone, they would come to fillets.
    """
    strain = gear_strain(order, spec)
    close = pair(first, second, shorten=True)
    at = Pair(close.first, close.second, close.centre_mm * (1.0 + strain))
    alpha, working = first.rack.alpha, at.working_angle
    taken = PlayTaken(
        growth=at.play.normal_mm - grown(at, strain, 0.0).play.normal_mm,
        taper=cut_taper(order, spec) * math.cos(alpha),
        cut=2.0 * order.cutting.repeat,
        bearings=2.0 * gear_rule("bore_play") * math.sin(working) if spec.bearing == "ball" else 0.0,
        left=gear_rule("play_least"),
    )
    thin = max(0.0, taken.together - at.play.normal_mm) / (2.0 * math.cos(alpha))

    def thinner(gear: Gear) -> Gear:
        return Gear(gear.teeth, gear.module_mm, gear.shift, gear.rack, thin, gear.tip_back_mm)

    return Stage(pair=Pair(thinner(at.first), thinner(at.second), at.centre_mm), taken=taken, strain=strain)


def gear_strain(order: Order, spec: GearboxSpec) -> float:
    """How much more the gears grow than what holds their shafts."""
    damp = gear_rule("humidity_growth") if spec.humidity_growth is None else spec.humidity_growth
    warm = gear_rule("warmer") if spec.warmer is None else spec.warmer
    return damp / 100.0 + warm * material(order.sheet.material).figure("thermal_expansion", "0 to 50 C").value


def cut_taper(order: Order, spec: GearboxSpec) -> float:
    """Of the kerf between both faces, mm."""
    if spec.taper is not None:
        return spec.taper
    return gear_rule("taper_laser") if order.cutting.process == "laser" else 0.0


def _taken(order: Order, spec: GearboxSpec) -> Iterator[Taken]:
    """What takes backlash, where the order does not say it."""
    if spec.humidity_growth is None:
        yield Taken(
            what="gears grow in damp air, plates not",
            value=gear_rule("humidity_growth"),
            unit="%",
            why=f"how much the teeth are thinned; {gear_source('humidity_growth')}",
            say="[gearbox] humidity-growth",
            weight=2.0,
        )
    if spec.warmer is None:
        yield Taken(
            what="gears warmer than plates",
            value=gear_rule("warmer"),
            unit="K",
            why="how much the teeth are thinned",
            say="[gearbox] warmer",
            weight=1.5,
        )
    if spec.taper is None and order.cutting.process == "laser":
        yield Taken(
            what="taper of the cut between both faces",
            value=gear_rule("taper_laser"),
            unit="mm",
            why=f"how much the teeth are thinned; {gear_source('taper_laser')}",
            say="[gearbox] taper",
            weight=2.0,
        )
