"""The checks of a gearbox: teeth, contact, play, warmth, shafts and plates; and what its teeth are gauged by."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from assemblies.kinds.gearbox.build import laid_out
from assemblies.kinds.gearbox.figures import BarFigures, Gears, gear_figures
from assemblies.kinds.gearbox.laid import gear_name
from assemblies.kinds.gearbox.rules import gear_rule, gear_source
from assemblies.kinds.gearbox.sections import gauge_blocks, gear_blocks
from assemblies.kinds.gearbox.tables import GearboxSpec
from assemblies.report.check import Check, Checked, Made, Rows, SectionOf
from parts.findings import Finding, Level, NotCovered, SeamwrightError
from parts.make.gear.bar import Bar
from parts.make.gear.gear import Gear

__all__ = ["GAUGE", "TEETH", "Gauges", "gear_findings"]

_LEWIS = "Lewis, load at the tip, form factor of the tooth that the rack makes"
_METAL_TIP = 0.2  # modules: metal practice, from memory; less breaks off


def _teeth(made: Made) -> Checked:
    laid = laid_out(made.order)
    if laid.spec.holds != "nothing":
        raise NotCovered(
            "gears that hold up a load when nobody turns are not covered: their teeth creep, and one that breaks drops it"
        )
    found = gear_figures(laid, made.design)
    said = tuple(gear_findings(found, laid.spec))
    if any(f.level == "stop" for f in said):
        return Checked(state="failed", findings=said, figures=found)
    if found.bar is not None:
        return Checked(state="not-proven", findings=said, figures=found, until="what guides the bar is made and proven")
    return Checked(findings=said, figures=found)


def _say(level: Level, where: str, why: str, do: str, source: str) -> Finding:
    return Finding(level=level, check="strength", where=where, why=why, do=do, source=source)


def gear_findings(found: Gears, spec: GearboxSpec) -> Iterator[Finding]:
    """What is wrong with teeth, meshes, shafts and plates."""
    for gear in found.gears:
        if gear.stress > gear.allowed:
            yield _say(
                "stop",
                gear.name,
                f"its teeth are bent with {gear.stress:.2f} MPa, allowed are {gear.allowed:.2f}: at its shaft "
                f"{gear.limit_torque:.3g} N m, not {gear.torque:.3g}",
                "a larger module, a thicker sheet, more teeth or less torque",
                f"{_LEWIS}; {gear_source('stress_most')}",
            )
        if gear.tip_modules < gear_rule("tip_least"):
            yield _say(
                "stop" if gear.tip_modules < _METAL_TIP else "care",
                gear.name,
                f"its teeth are {gear.tip_modules:.2f} modules thick at the tip, under {gear_rule('tip_least'):g}: brittle",
                "less shift, or less backlash",
                gear_source("tip_least"),
            )
        if gear.undercut:
            yield _say(
                "care",
                gear.name,
                f"the rack meant, profile {found.rack} with a flank straight to {found.straight:.3f} modules, undercuts "
                f"{gear.teeth} teeth with shift {gear.shift:g}",
                "more teeth, or shift as given by default",
                "ISO 53 (from memory); computed",
            )
    for stage in found.stages:
        yield from _mesh_findings(" and ".join(stage.gears), stage.contact_ratio_apart, stage.dips, stage.play_grown)
        if stage.speed > gear_rule("speed_most"):
            yield _say(
                "stop",
                " and ".join(stage.gears),
                f"they roll at {stage.speed:.2f} m/s, over {gear_rule('speed_most'):g}: "
                "dry PMMA squeaks, warms and wears",
                "turn slower, or take smaller gears",
                gear_source("speed_most"),
            )
        if stage.warmth > gear_rule("warmth_most"):
            yield _say(
                "stop",
                " and ".join(stage.gears),
                f"friction would warm them by {stage.warmth:.0f} K, over {gear_rule('warmth_most'):g}",
                "turn slower, or with less torque",
                gear_source("warmth_most"),
            )
        warm = gear_rule("warmer") if spec.warmer is None else spec.warmer
        if stage.warmth > warm:
            yield _say(
                "care",
                " and ".join(stage.gears),
                f"friction may warm them by {stage.warmth:.0f} K, and their backlash is calculated for {warm:g}",
                f"say warmer = {stage.warmth:.0f}",
                "computed; ISO/TR 14179-2 in shape, from memory",
            )
    if found.bar is not None:
        yield from _bar_findings(found.bar, found.allowed)
    for shaft in found.shafts:
        if shaft.askew > gear_rule("askew_most"):
            yield _say(
                "stop",
                f"shaft {shaft.number}",
                f"teeth on it stand askew by {shaft.askew:.3f} mm over their width, over {gear_rule('askew_most'):g}",
                "a thicker shaft",
                gear_source("askew_most"),
            )
        if shaft.stress > gear_rule("shaft_allowed"):
            yield _say(
                "stop",
                f"shaft {shaft.number}",
                f"bent and twisted it comes to {shaft.stress:.0f} MPa, over {gear_rule('shaft_allowed'):g}",
                "a thicker shaft, or less torque",
                gear_source("shaft_allowed"),
            )
        if shaft.plate_stress > found.allowed:
            yield _say(
                "stop",
                f"plates at shaft {shaft.number}",
                f"the stress about its bore may come to {shaft.plate_stress:.2f} MPa, allowed are {found.allowed:.2f}",
                "less torque, or a thicker sheet",
                gear_source("bore_concentration"),
            )


def _bar_findings(bar: BarFigures, allowed: float) -> Iterator[Finding]:
    yield _say(
        "care",
        "bar",
        "not covered: what guides the bar. It must hold the back of the bar "
        f"{bar.distance:.2f} mm from the axis of the last wheel, against {bar.apart:.2g} N away from the wheel, while "
        f"{bar.force:.2g} N push it along ({bar.limit_force:.3g} N at the torque limit), over {bar.travel:.1f} mm of travel "
        "and with a stop at either end. It is taken not to grow, and to have the play of a bearing",
        "make a guide, prove it, and stop the bar before it runs out of teeth",
        "F tan(alpha) of the basic rack; judgement",
    )
    yield from _mesh_findings("the last wheel and bar", bar.contact_ratio_apart, bar.dips, bar.play_grown)
    if bar.stress > allowed:
        yield _say(
            "stop",
            "bar",
            f"its teeth are bent with {bar.stress:.2f} MPa, allowed are {allowed:.2f}: {bar.limit_force:.3g} N "
            f"along it, not {bar.force:.3g}",
            "a larger module, a thicker sheet, fewer teeth before it or less torque",
            f"{_LEWIS}; {gear_source('stress_most')}",
        )
    if bar.speed > gear_rule("speed_most"):
        yield _say(
            "stop",
            "bar",
            f"it runs at {bar.speed:.2f} m/s, over {gear_rule('speed_most'):g}: dry PMMA squeaks, warms and wears",
            "turn slower, or take a smaller last wheel",
            gear_source("speed_most"),
        )
    if bar.warmth > gear_rule("warmth_most"):
        yield _say(
            "stop",
            "bar",
            f"friction of both its meshes would warm the last wheel by {bar.warmth:.0f} K, over "
            f"{gear_rule('warmth_most'):g}",
            "turn slower, or with less torque",
            gear_source("warmth_most"),
        )


def _mesh_findings(where: str, contact: float, dips: float, left: float) -> Iterator[Finding]:
    if contact < gear_rule("contact_good"):
        yield _say(
            "stop" if contact < gear_rule("contact_least") else "care",
            where,
            f"contact ratio {contact:.2f} with the shafts as far apart as their bores let them, under "
            f"{gear_rule('contact_least' if contact < gear_rule('contact_least') else 'contact_good'):g}",
            "more teeth, less shift, or the reference centre distance",
            gear_source("contact_least"),
        )
    if dips > 0.0:
        yield _say(
            "stop",
            where,
            f"the tip of one reaches {dips:.3f} mm below the flank of the other, along the line of action",
            "shift the smaller gear out, or give it more teeth",
            "computed: form circle of the rack that is meant",
        )
    if left < gear_rule("play_least") - 1e-9:
        yield _say(
            "stop",
            where,
            f"grown, tapered and cut at the limits they have {left:.3f} mm of backlash left",
            "thinner teeth",
            gear_source("play_least"),
        )


def _teeth_rows(made: Made, found: Gears) -> Rows:
    return {"gears": found}


@dataclass(frozen=True, kw_only=True)
class Gauge:
    """What one gear's teeth are gauged by, mm: over a count of teeth with flat jaws, and over two pins; least and greatest."""

    gear: str
    teeth: int
    over: int | None
    span: tuple[float, float] | None
    pin: float | None
    pins: tuple[float, float] | None


@dataclass(frozen=True, kw_only=True)
class Gauges:
    """Of every gear."""

    gauges: tuple[Gauge, ...]


def _gauge(made: Made) -> Checked:
    laid = laid_out(made.order)
    cut, rows = made.order.cutting, []
    for s, stage in enumerate(laid.train.stages):
        for driven, gear in enumerate((stage.pair.first, stage.pair.second)):
            rows.append(_gauged(gear_name(s, bool(driven)), gear, cut.repeat, cut.tolerance))
    if laid.bar is not None:
        rows.append(_bar_gauged(laid.bar.mesh, cut.repeat, cut.tolerance))
    return Checked(figures=Gauges(gauges=tuple(rows)))


def _bar_gauged(bar: Bar, more: float, less: float) -> Gauge:
    """From its back over one pin that touches near the datum line; limits as of the gears'."""
    thinnest, thickest = (replace(bar, thin_mm=max(0.0, bar.thin_mm + t)) for t in (less, -more))
    near = math.ceil(5.0 * bar.wheel.pitch_mm / math.cos(bar.wheel.rack.alpha))  # tenths: touches at half height
    pin = pins = None
    for tenth in range(near, 2 * near):
        try:
            pins = thinnest.over_pin_mm(tenth / 10.0), thickest.over_pin_mm(tenth / 10.0)
        except SeamwrightError:
            continue
        pin = tenth / 10.0
        break
    return Gauge(gear="bar", teeth=bar.teeth, over=None, span=None, pin=pin, pins=pins)


def _gauged(name: str, gear: Gear, more: float, less: float) -> Gauge:
    """Limits: as much more as the backlash was reckoned for, as much less as the cut may be off."""
    try:
        span = gear.best_span()
        over, limits = span.teeth, (span.over_mm - less, span.over_mm + more)
    except SeamwrightError:
        over, limits = None, None
    pin = pins = None
    for tenth in range(round(16 * gear.module_mm), round(24 * gear.module_mm) + 1):
        try:
            found = gear.over_pins(tenth / 10.0)
            least, most = (
                Gear(gear.teeth, gear.module_mm, gear.shift, gear.rack, max(0.0, gear.thin_mm + t), gear.tip_back_mm)
                .over_pins(found.pin_mm)
                .over_mm
                for t in (less, -more)
            )
        except SeamwrightError:
            continue
        pin, pins = found.pin_mm, (least, most)
        break
    return Gauge(gear=name, teeth=gear.teeth, over=over, span=limits, pin=pin, pins=pins)


def _gauge_rows(made: Made, found: Gauges) -> Rows:
    return {"gauges": found.gauges}


#: Teeth, meshes, shafts and plates: what stands in place of a proof by loads.
TEETH: Final = Check(
    name="strength",
    run=_teeth,
    questions=("hold",),
    rows=_teeth_rows,
    sections=(SectionOf(id="gears", station="test", title="Gears", blocks=gear_blocks),),
)
#: What the teeth are gauged by when they are cut.
GAUGE: Final = Check(
    name="gauge",
    run=_gauge,
    questions=("cut",),
    rows=_gauge_rows,
    sections=(SectionOf(id="gauge", station="drill", title="Gauge the teeth", blocks=gauge_blocks),),
)
