"""What is reckoned of the gears: strength of teeth, contact, warmth, growth, how shafts stand, what plates carry.

Teeth by Lewis (`parts.make.gear.strength`) over the least thickness of the sheet, with all of the torque of their shaft: no
loss on the way is counted. Warmth by the loss of a dry mesh (ISO/TR 14179-2 in shape, from memory), half of it in the smaller
gear, given off by its two faces. Plates by a bound: the forces of all meshes of a shaft in one plate, added up whatever their
directions, over two strips as narrow as the narrowest beside the bore, times a factor for a loaded hole.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from assemblies.design import Design
from assemblies.kinds.gearbox.bar import LaidBar
from assemblies.kinds.gearbox.laid import Laid, gear_name
from assemblies.kinds.gearbox.rules import gear_rule
from assemblies.kinds.gearbox.train import PlayTaken, Stage
from parts.make.gear.bar import bar_form_factor
from parts.make.gear.gear import Gear, undercut
from parts.make.gear.pair import Pair
from parts.make.gear.strength import form_factor, lewis
from parts.shape.outline import Circle

__all__ = ["BarFigures", "GearFigures", "Gears", "ShaftFigures", "StageFigures", "gear_figures"]

_STEEL_MPA = 200_000.0  # shafts of steel, least usual modulus; from memory


@dataclass(frozen=True, kw_only=True)
class GearFigures:
    """One gear: torque in N m, speed in turns a minute, force N, stresses MPa; `limit_torque` at its own shaft."""

    name: str
    teeth: int
    shift: float
    reference: float
    tip: float
    root: float
    tip_modules: float
    undercut: bool
    form_factor: float
    torque: float
    speed: float
    force: float
    stress: float
    allowed: float
    limit_torque: float


@dataclass(frozen=True, kw_only=True)
class StageFigures:
    """One mesh: lengths mm, play along the line of action as cut and in the worst case, speed m/s, warmth K."""

    gears: tuple[str, str]
    centre: float
    angle_deg: float
    ratio: float
    contact_ratio: float
    contact_ratio_apart: float
    clearance: float
    dips: float
    thinned: float
    play: float
    taken: PlayTaken
    strain: float
    play_grown: float
    lost_deg: float
    speed: float
    warmth: float
    force: float


@dataclass(frozen=True, kw_only=True)
class ShaftFigures:
    """One shaft: torque and its limit N m; how far a tooth stands askew mm; stress MPa of its steel, of the plates about its
    bearing."""

    number: int
    speed: float
    torque: float
    limit_torque: float
    force: float
    askew: float
    stress: float
    plate_stress: float


@dataclass(frozen=True, kw_only=True)
class BarFigures:
    """The straight gear: lengths mm; `force` along it and `apart` from the wheel N, with its limit at the torque limit of the
    last shaft; stress MPa; speed m/s; turns of the last shaft for its travel; warmth of the wheel with both its meshes K."""

    teeth: int
    long: float
    high: float
    travel: float
    distance: float
    contact_ratio: float
    contact_ratio_apart: float
    dips: float
    thinned: float
    out: float
    play: float
    taken: PlayTaken
    play_grown: float
    form_factor: float
    force: float
    apart: float
    stress: float
    limit_force: float
    a_turn: float
    turns: float
    speed: float
    warmth: float


@dataclass(frozen=True, kw_only=True)
class Gears:
    """All of it: the report's `gears`."""

    ratio: float
    rack: str
    straight: float
    allowed: float
    gears: tuple[GearFigures, ...]
    stages: tuple[StageFigures, ...]
    shafts: tuple[ShaftFigures, ...]
    bar: BarFigures | None


def gear_figures(laid: Laid, design: Design) -> Gears:
    """What the checks of a gearbox say, from the train as it is laid out."""
    spec, sheet = laid.spec, laid.sheet
    allowed = min(sheet.substance.design_stress("permanent").value, gear_rule("stress_most")) / laid.order.limits.factor
    turns = [1.0]
    for stage in laid.train.stages:
        turns.append(turns[-1] / stage.pair.ratio)
    gears, stages, forces = [], [], [0.0] * len(turns)
    for s, stage in enumerate(laid.train.stages):
        for k, gear in ((s, stage.pair.first), (s + 1, stage.pair.second)):
            name, load, speed = gear_name(s, k > s), spec.torque / turns[k], spec.speed * turns[k]
            both_ways = laid.bar is not None and k == laid.layers  # driven on one flank, driving with the other
            may = allowed * (gear_rule("both_ways") if both_ways else 1.0)
            gears.append(_gear(name, gear, load, speed, sheet.thickness_range_mm[0], may))
        stages.append(_stage(s, stage, gears[-2]))
        forces[s] += stages[-1].force
        forces[s + 1] += stages[-1].force
    bar = None if laid.bar is None else _bar(laid, laid.bar, gears[-1], stages[-1].warmth, allowed)
    if laid.bar is not None and bar is not None:
        forces[-1] += bar.force / math.cos(laid.bar.mesh.wheel.rack.alpha)
        gears[-1] = replace(
            gears[-1], limit_torque=min(gears[-1].limit_torque, bar.limit_force * gears[-1].reference * 5e-4)
        )
    shafts = tuple(_shaft(laid, design, k, share, forces[k], gears) for k, share in enumerate(turns))
    return Gears(
        ratio=laid.train.ratio,
        rack=laid.train.rack.name,
        straight=laid.train.rack.straight,
        allowed=allowed,
        gears=tuple(gears),
        stages=tuple(stages),
        shafts=shafts,
        bar=bar,
    )


def _shaft(
    laid: Laid, design: Design, number: int, turns: float, force: float, gears: Sequence[GearFigures]
) -> ShaftFigures:
    """A shaft by its turns for one of the first."""
    on, torque = {name for name, _, _ in laid.gears_on(number)}, laid.spec.torque / turns
    return ShaftFigures(
        number=number + 1,
        speed=laid.spec.speed * turns,
        torque=torque,
        force=force,
        stress=_bent_and_twisted(laid, force, torque),
        askew=_askew(laid, force),
        limit_torque=min(g.limit_torque for g in gears if g.name in on),
        plate_stress=_plate_stress(laid, design, number, force),
    )


def _gear(name: str, gear: Gear, torque: float, speed: float, width: float, allowed: float) -> GearFigures:
    form = form_factor(gear)
    found = lewis(gear.module_mm, gear.teeth, width, form, torque * 1e3, allowed)
    tool = gear.rack
    return GearFigures(
        name=name,
        teeth=gear.teeth,
        shift=gear.shift,
        reference=gear.reference_mm,
        tip=gear.tip_mm,
        root=gear.root_mm,
        tip_modules=gear.tip_thickness_mm / gear.module_mm,
        form_factor=form,
        torque=torque,
        speed=speed,
        undercut=gear.shift < undercut(gear.teeth, tool.alpha, tool.straight).least_shift - 1e-9,
        force=found.force_n,
        stress=found.stress_mpa,
        allowed=allowed,
        limit_torque=found.torque_limit_nmm * 1e-3,
    )


def _stage(number: int, stage: Stage, driving: GearFigures) -> StageFigures:
    pair = stage.pair
    play, taken = pair.play.normal_mm, stage.taken
    rolls = math.pi * 2.0 * pair.working_radii_mm[0] * 1e-3 * driving.speed / 60.0
    apart = Pair(pair.first, pair.second, pair.centre_mm + gear_rule("bore_play"))
    return StageFigures(
        gears=(gear_name(number, False), gear_name(number, True)),
        centre=pair.centre_mm,
        angle_deg=math.degrees(pair.working_angle),
        ratio=pair.ratio,
        contact_ratio=pair.contact_ratio,
        contact_ratio_apart=apart.contact_ratio,
        clearance=min(pair.clearances_mm),
        dips=pair.dips_mm,
        thinned=pair.first.thin_mm,
        play=play,
        taken=taken,
        strain=stage.strain,
        play_grown=play - taken.together + taken.left,
        lost_deg=math.degrees(play / (pair.second.base_mm / 2.0)),
        speed=rolls,
        warmth=_warmth(pair, driving),
        force=driving.force / math.cos(pair.working_angle),
    )


def _bar(laid: Laid, bar: LaidBar, wheel: GearFigures, warmth: float, allowed: float) -> BarFigures:
    """The bar with all of the torque of the last shaft; `warmth` is what the wheel has of its other mesh."""
    mesh, gear, form = bar.mesh, bar.mesh.wheel, bar_form_factor(bar.mesh)
    found = lewis(gear.module_mm, gear.teeth, laid.sheet.thickness_range_mm[0], form, wheel.torque * 1e3, allowed)
    limit = min(found.torque_limit_nmm, wheel.limit_torque * 1e3)
    shares = tuple(path / gear.base_pitch_mm for path in mesh.path_mm)
    return BarFigures(
        teeth=mesh.teeth,
        long=mesh.long_mm,
        high=mesh.far_mm - mesh.near_mm,
        travel=bar.travel_mm,
        distance=mesh.far_mm,
        contact_ratio=mesh.contact_ratio,
        contact_ratio_apart=mesh.contact_ratio_apart(gear_rule("bore_play")),
        dips=mesh.dips_mm,
        thinned=mesh.thin_mm,
        out=mesh.out_mm,
        play=mesh.play_mm,
        taken=bar.taken,
        play_grown=mesh.play_grown_mm(bar.strain) - bar.taken.together + bar.taken.growth + bar.taken.left,
        form_factor=form,
        force=found.force_n,
        apart=found.force_n * math.tan(gear.rack.alpha),
        stress=found.stress_mpa,
        limit_force=2.0 * limit / gear.reference_mm,
        a_turn=mesh.a_turn_mm,
        turns=bar.travel_mm / mesh.a_turn_mm,
        speed=mesh.a_turn_mm * 1e-3 * wheel.speed / 60.0,
        warmth=warmth + _warmed((shares[0], shares[1]), 1.0 / gear.teeth, wheel, gear.tip_mm),
    )


def _warmth(pair: Pair, driving: GearFigures) -> float:
    """How much warmer than the room the smaller gear gets when it runs for long, K."""
    first, second = (path / pair.first.base_pitch_mm for path in pair.path_mm)
    slides = 1.0 / pair.first.teeth + 1.0 / pair.second.teeth
    return _warmed((first, second), slides, driving, min(pair.first.tip_mm, pair.second.tip_mm))


def _warmed(paths: tuple[float, float], slides: float, driving: GearFigures, tip_mm: float) -> float:
    """The same by the paths of contact in base pitches, the sum of one over the teeth of each, and the smaller one's tip."""
    power = driving.torque * driving.speed * 2.0 * math.pi / 60.0
    e1, e2 = paths
    loss = math.pi * slides * (1.0 - e1 - e2 + e1 * e1 + e2 * e2)
    face = math.pi / 4.0 * (tip_mm * 1e-3) ** 2
    return gear_rule("friction") * loss * power / 2.0 / (gear_rule("film") * 2.0 * face)


def _askew(laid: Laid, force: float) -> float:
    """How far a tooth stands askew over its width: the shaft bent between the plates, loaded in the middle, and tilted in
    its bores."""
    span, d = _span(laid), laid.size.diameter
    bent = force * span**2 / (16.0 * _STEEL_MPA * math.pi * d**4 / 64.0)
    loose = gear_rule("bore_play") if laid.spec.bearing == "ball" else 2.0 * gear_rule("shaft_play")
    return (bent + loose / span) * laid.thick


def _span(laid: Laid) -> float:
    """From the middle of one plate to that of the other, mm."""
    return laid.posts * laid.thick + laid.plate_thick


def _bent_and_twisted(laid: Laid, force: float, torque: float) -> float:
    """The equivalent stress (von Mises) of a shaft that is loaded in the middle of its span and twisted, MPa.

    Its section is that of a round shaft as thick as it is across its flat, or over its keyway.
    """
    across = laid.size.across if laid.spec.drive == "d" else laid.size.diameter - (laid.size.key_depth or 0.0)
    bending, twist = force * _span(laid) / 4.0, torque * 1e3
    return math.sqrt(bending**2 + 0.75 * twist**2) * 32.0 / (math.pi * across**3)


def _plate_stress(laid: Laid, design: Design, shaft: int, force: float) -> float:
    """The bound on the stress about the bore of a shaft in either plate."""
    (x, y, _), worst = laid.world(laid.train.shafts[shaft], 0.0), 0.0
    thin = laid.plate.thickness_range_mm[0]
    for name in ("base-plate", "top-plate"):
        placed = design.instance(name)
        u, v, _ = placed.local((x, y, 0.0))
        circles = [c for c in placed.piece.profile.inner if isinstance(c, Circle)]
        own = min(circles, key=lambda c: math.hypot(c.x_mm - u, c.y_mm - v))
        wide, high = placed.piece.outline.size_mm
        room = [u, v, wide - u, high - v]
        room += [math.hypot(c.x_mm - u, c.y_mm - v) - c.radius_mm for c in circles if c is not own]
        strip = min(room) - own.radius_mm
        worst = max(
            worst, gear_rule("bore_concentration") * force / (2.0 * strip * thin), force / (2.0 * own.radius_mm * thin)
        )
    return worst
