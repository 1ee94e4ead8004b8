"""The checks of a deflector: how it is heated and bent, what it does to light, whether it carries itself."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from assemblies.kinds.deflector.build import formed
from assemblies.kinds.deflector.light import Light, Traced, hottest, trace
from assemblies.kinds.deflector.mirror import thrown_back
from assemblies.kinds.deflector.sections import light_blocks, weight_blocks
from assemblies.kinds.deflector.tables import DeflectorSpec, LampSpec
from assemblies.order.values import STANDARD_GRAVITY
from assemblies.report.check import Check, Checked, Made, SectionOf
from assemblies.shop.heat.checks import Heating
from assemblies.shop.heat.findings import heat_findings
from assemblies.shop.heat.plan import Heat, heat_sheet
from assemblies.shop.heat.rules import heat_rule, heat_source
from assemblies.shop.heat.sections import heat_blocks
from parts.findings import Finding, Level, NotCovered, Taken

__all__ = ["BEND", "LIGHT", "WEIGHT", "OwnWeight"]


def _say(level: Level, check: str, where: str, why: str, do: str, source: str) -> Finding:
    return Finding(level=level, check=check, where=where, why=why, do=do, source=source)


def _bend(made: Made) -> Checked:
    own = formed(made.order)
    bent = [p.piece for p in made.design.placed if p.piece.bends]
    sheets = tuple(heat_sheet(piece, own.heat) for piece in dict.fromkeys(bent))
    said = [
        f
        for piece, sheet in zip(dict.fromkeys(bent), sheets, strict=True)
        for f in heat_findings(piece, own.heat, sheet)
        if piece.name != "test-strip"
    ]
    said += list(_of_surface(own.spec, own.heat))
    if any(f.level == "stop" for f in said):
        return Checked(state="failed", findings=tuple(said), figures=Heating(sheets=sheets))
    if own.heat.opening is None:
        return Checked(
            state="not-proven",
            findings=tuple(said),
            figures=Heating(sheets=sheets),
            until="the test strip is formed and what it opens by is given as [deflector.heat] opening",
        )
    return Checked(findings=tuple(said), figures=Heating(sheets=sheets))


def _of_surface(spec: DeflectorSpec, heat: Heat) -> Iterator[Finding]:
    if spec.surface == "silvered":
        yield _say(
            "stop",
            "bend",
            "deflector",
            "a silvered back does not stand the heat of forming: it crazes, clouds and comes off",
            'clear sheet, and surface = "film": mirror film laid on once it is bent and annealed',
            "sheet maker on mirrored sheet curved cold under 330 t: page G (secondary); hotter, judgement",
        )
    if spec.surface == "film":
        yield _say(
            "note",
            "bend",
            "deflector",
            "mirror film goes on once the sheet is bent, annealed and cool",
            "try the film on the test strip; its glue may craze sheet under stress",
            "judgement",
        )


BEND: Final = Check(
    name="bend",
    run=_bend,
    questions=("hold", "cut"),
    rows=lambda made, found: {"bending": found.sheets},
    sections=(SectionOf(id="bending", station="heat", title="Heat and bend", blocks=heat_blocks),),
)


def _light(made: Made) -> Checked:
    own = formed(made.order)
    spec, piece = own.spec, own.piece
    if spec.light is None:
        raise NotCovered("the order does not say [deflector.light]: neither its focus nor the heat of a lamp is known")
    hung = made.design.instance(piece.name)
    traced = trace(hung, spec.light.at, spec.light.beam, spec.light.tilt)
    share, taken = _share(spec, piece.sheet.substance.figure("refractive_index").value)
    gathers = hottest(hung, spec.light.tilt, math.radians(heat_rule("sun_disc")))
    light = _figures(spec, traced, gathers, share, piece.sheet.substance.figure("service_temperature").value)
    said = [*_burns(spec, light), *_warms(light)]
    if spec.light.lamp is None:
        said.append(
            _say(
                "care",
                "light",
                "lamp",
                "its power and its distance are not said, so how warm the sheet gets under it is not covered",
                "give [deflector.light.lamp] power, distance and spread",
                "judgement: limit of this method",
            )
        )
    state = "failed" if any(f.level == "stop" for f in said) else "passed" if spec.light.lamp else "not-covered"
    return Checked(state=state, findings=tuple(said), figures=light, taken=taken)  # type: ignore[arg-type]


def _share(spec: DeflectorSpec, index: float) -> tuple[float, tuple[Taken, ...]]:
    if spec.surface == "clear":
        return thrown_back(index), ()
    if spec.reflects is not None:
        return spec.reflects / 100.0, ()
    share = heat_rule("mirror_share")
    return share / 100.0, (
        Taken(
            what="light that the mirror throws back",
            value=share,
            unit="%",
            why="light at the spot, heat at the focus",
            say="[deflector] reflects",
            weight=1.2,
        ),
    )


def _on_sheet(lamp: LampSpec) -> float:
    """The brightest place of the lamp's light on the sheet, W/m2: all of its power in its cone."""
    radius = lamp.distance * 1e-3 * math.tan(math.radians(lamp.spread / 2.0))
    return heat_rule("lamp_peak") * lamp.power / (math.pi * radius**2)


def _figures(spec: DeflectorSpec, traced: Traced, hot: tuple[float, float], share: float, most_c: float) -> Light:
    assert spec.light is not None
    bright = _on_sheet(spec.light.lamp) if spec.light.lamp else None
    return Light(
        surface=spec.surface,
        thrown_back=share,
        traced=traced,
        gathers=hot[0],
        hot_at_mm=hot[1],
        sun_flux=heat_rule("sun") * share * hot[0] if spec.light.sun else None,
        lamp_flux=None if bright is None else bright * share * hot[0],
        lamp_on_sheet=bright,
        warm_c=None if bright is None else heat_rule("room") + bright / (2.0 * heat_rule("still_air")),
        most_c=most_c,
        sentences=tuple(_sentences(traced, share)),
    )


def _sentences(traced: Traced, share: float) -> Iterator[str]:
    if traced.focus_mm is None:
        yield "Rays beside the middle one stay parallel to it: there is no focal line."
    elif traced.focus_mm < 0.0:
        yield f"The beam is spread: seen from in front it comes from a line {-traced.focus_mm:.0f} mm behind the face."
    else:
        edge = "" if traced.edge_mm is None else f", edge rays at {traced.edge_mm:.0f} mm"
        yield f"Rays beside the middle one cross it in a focal line {traced.focus_mm:.0f} mm before the face{edge}."
    if traced.narrow_at_mm > 0.0:
        narrow = f"{traced.narrow_mm:.2f} mm of a beam of {traced.beam_mm:.0f} mm"
        yield f"The bundle is narrowest at {traced.narrow_at_mm:.0f} mm: {narrow}."
    else:
        yield f"Before the face it is nowhere narrower than {traced.narrow_mm:.0f} mm."
    lost = f"; {traced.lost * 100.0:.0f} % of the rays miss" if traced.lost > 0.005 else ""
    back = f"the face throws back {share * 100.0:.1f} % of the light{lost}"
    yield f"At {traced.at_mm:.0f} mm it is {traced.spot_mm:.0f} mm wide, and {back}."


def _burns(spec: DeflectorSpec, light: Light) -> Iterator[Finding]:
    """What a focus can set on fire."""
    for name, flux in (("sunlight", light.sun_flux), ("the lamp's light", light.lamp_flux)):
        if flux is None or flux <= heat_rule("flux_most") or light.hot_at_mm <= 0.0:
            continue
        why = (
            f"{name} is gathered {light.hot_at_mm:.0f} mm before a hollow side to {flux:.0f} W/m2, over "
            f"{heat_rule('flux_most'):g}: it burns skin and eyes and sets tinder on fire"
        )
        if spec.guard == "none":
            do = 'shut the focus in and cover it out of use (guard = "shroud"), or take a surface that throws back less'
            yield _say("stop", "light", "focus", why, do, heat_source("flux_most"))
        else:
            do = "never without its shroud; cover it whenever nobody stands by, and on the way"
            yield _say("care", "light", "focus", why, do, heat_source("flux_most"))


def _warms(light: Light) -> Iterator[Finding]:
    if light.warm_c is not None and light.warm_c > light.most_c:
        yield _say(
            "stop",
            "light",
            "lamp",
            f"the sheet may get {light.warm_c:.0f} °C warm under it, over {light.most_c:.0f} °C: it softens and opens",
            "a weaker lamp, further off or with a wider cone",
            "computed: all its light taken up, given off by both faces to still air",
        )


LIGHT: Final = Check(
    name="light",
    run=_light,
    questions=("hold",),
    rows=lambda made, found: {"light": found},
    sections=(SectionOf(id="light", station="use", title="Light", blocks=light_blocks),),
)


@dataclass(frozen=True, kw_only=True)
class OwnWeight:
    """The bound on what its own weight does: the whole flat length as one cantilever from its bolts."""

    mass: float
    arm: float
    stress: float
    allowed: float
    warm: bool


def _weight(made: Made) -> Checked:
    """Its own weight, twice, hung from one end only, whichever way it is held: more than both ends ever carry."""
    own = formed(made.order)
    if not own.spec.bolts:
        raise NotCovered("bolts = 0: how it is held is not said, and so not covered")
    flat = own.piece.outline.size_mm
    arm = flat[0] - own.piece.holes[0].x_mm
    least = own.piece.sheet.thickness_range_mm[0]
    load = own.piece.sheet.density_kg_m3 * 1e-9 * own.piece.thickness_mm * STANDARD_GRAVITY * heat_rule("handled")
    net = own.piece.outline.size_mm[1] - own.spec.bolts * own.piece.holes[0].bore_mm
    stress = load * flat[1] * arm**2 / 2.0 * 6.0 / (net * least**2)
    light = made.of(Light)
    warm = light is None or light.warm_c is None or light.warm_c > 40.0
    allowed = (
        own.piece.sheet.substance.design_stress("permanent").value / made.order.limits.factor * (0.5 if warm else 1.0)
    )
    found = OwnWeight(mass=own.piece.mass_kg, arm=arm, stress=stress, allowed=allowed, warm=warm)
    said = list(_of_weight(made, found))
    return Checked(
        state="failed" if any(f.level == "stop" for f in said) else "passed", findings=tuple(said), figures=found
    )


def _of_weight(made: Made, found: OwnWeight) -> Iterator[Finding]:
    if found.stress > found.allowed:
        yield _say(
            "stop",
            "strength",
            "deflector",
            f"hung from one end its own weight bends it with {found.stress:.2f} MPa, allowed are {found.allowed:.2f}",
            "thicker sheet, or a shorter one",
            "computed: cantilever as long as the flat sheet, net of its holes",
        )
    if made.design.retention == "none":
        yield _say(
            "care",
            "strength",
            "deflector",
            "nothing holds it if its fixing lets go, and it hangs over people or water",
            'a lanyard to what it hangs from: [support] retention = "lanyard"',
            "common practice, no source",
        )


WEIGHT: Final = Check(
    name="strength",
    run=_weight,
    after=("light",),
    questions=("hold",),
    rows=lambda made, found: {"own_weight": found},
    sections=(SectionOf(id="own-weight", station="test", title="Its own weight", blocks=weight_blocks),),
)
