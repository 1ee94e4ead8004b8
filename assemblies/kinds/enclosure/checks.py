"""The checks of a box for electronics: its tabs, how warm it gets."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from assemblies.kinds.enclosure.build import Laid, laid_out
from assemblies.kinds.enclosure.sections import tab_blocks, warmth_blocks
from assemblies.kinds.enclosure.vents import Draught, vent_rise
from assemblies.kinds.enclosure.warm_box import OFF, Box, Rise, box_heat_w, box_rise, effective_area
from assemblies.report.check import Check, Checked, Made, Rows, SectionOf
from parts.findings import Finding, Level, NotCovered, SeamwrightError, Taken
from parts.make.tabs import fit_source
from parts.stock.material import material

__all__ = ["TABS", "WARMTH", "Tabs", "Warmth"]

_INSIDE_C: Final = 50.0  # judgement: what parts for indoors are commonly made for
_WARM_SOURCE: Final = "McAdams; Holman, Heat Transfer, table 7-2 (from memory); a real box differs by 25 % (judgement)"


@dataclass(frozen=True, kw_only=True)
class Tabs:
    """One sort of edge: how many parts, widths as cut and as drawn for a cut on the line, what stands proud."""

    edge: str
    length: float
    parts: int
    tab_cut: float
    gap_cut: float
    tab_drawn: float
    gap_drawn: float
    depth: float
    clearance: float
    kerf: float
    relief: float
    back: float
    proud: float


def _tabs(made: Made) -> Checked:
    laid = laid_out(made.order)
    if laid.edges is None:
        return Checked(figures=())
    e = laid.edges
    rows = tuple(
        Tabs(
            edge=name,
            length=edge.a_cut[-1][1] - edge.a_cut[0][0],
            parts=len(edge.a_cut) + len(edge.b_cut),
            tab_cut=edge.tab_cut,
            gap_cut=edge.gap_cut,
            tab_drawn=edge.tab_drawn,
            gap_drawn=edge.gap_drawn,
            depth=edge.depth,
            clearance=e.clearance,
            kerf=e.kerf,
            relief=e.relief,
            back=max(0.0, -e.off.least),
            proud=max(0.0, e.off.largest),
        )
        for name, edge in (
            ("front and back on the bottom", e.long),
            ("ends on the bottom", e.short),
            ("upright corners", e.upright),
        )
    )
    said, taken = [], []
    if not e.off.always_fits:
        said.append(
            _say(
                "care",
                "fit",
                "tabs",
                f"the sheet is not measured: tabs go in all the same, since they are cut by their width, but "
                f"stand back by up to {-e.off.least:.2f} mm or proud by {e.off.largest:.2f}",
                "measure the sheet and give the readings",
                fit_source(e.fit),
            )
        )
    if not made.order.says("cutting", "kerf"):
        taken.append(
            Taken(
                what="kerf", value=e.kerf, unit="mm", why="the clearance of every tab", say="[cutting] kerf", weight=2.0
            )
        )
        said.append(
            _say(
                "care",
                "fit",
                "tabs",
                f"the kerf of {e.kerf:g} mm is not measured: the clearance of {e.clearance:g} mm hangs on it",
                "cut a strip of ten slots in this sheet and measure what is lost",
                fit_source(e.fit),
            )
        )
    if e.fit == "loose":
        said.append(
            _say(
                "note",
                "fit",
                "tabs",
                f"{e.clearance:g} mm of clearance is over what thin solvent bridges",
                "a cement that fills, or screws",
                fit_source(e.fit),
            )
        )
    said.append(
        _say(
            "note",
            "fit",
            "tabs",
            "reliefs at the roots of the tabs stay open when it is together: small holes at every corner",
            "fill them, or leave them; no water must come there",
            "computed: outlines",
        )
    )
    return Checked(findings=tuple(said), figures=rows, taken=tuple(taken))


def _say(level: Level, check: str, where: str, why: str, do: str, source: str) -> Finding:
    return Finding(level=level, check=check, where=where, why=why, do=do, source=source)


@dataclass(frozen=True, kw_only=True)
class Warmth:
    """Rises over the air about it, K, a quarter more than calculated: outer and inner face, air inside; the limits, C."""

    power: float
    ambient: float
    sealed: Rise
    vented: Draught | None
    low_area: float
    high_area: float
    height: float
    share: float
    air_c: float
    face_c: float
    air_most: float
    face_most: float


def _warmth(made: Made) -> Checked:
    laid = laid_out(made.order)
    spec, t = laid.spec, laid.t
    length, width, depth = (s + 2.0 * t for s in spec.size)
    size = (length / 1e3, width / 1e3, depth / 1e3)
    share = effective_area(size, spec.stands)[0] / effective_area(size, "free")[0]
    box = Box(size=size, wall=t / 1e3, ambient_c=spec.ambient, floor=spec.floor_free, share=share)
    try:
        sealed = box_rise(box, spec.power)
    except NotCovered:
        raise
    vents = _stack(laid)
    vented = None if vents is None else _vented(spec.power, box, vents, spec.ambient)
    face_most = material(made.order.sheet.material).figure("service_temperature").value
    most = _INSIDE_C if spec.inside is None else spec.inside
    rise = sealed.air if vented is None else min(vented.rise, sealed.air)
    face = sealed.inner * rise / sealed.air
    found = Warmth(
        power=spec.power,
        ambient=spec.ambient,
        sealed=sealed,
        vented=vented,
        low_area=vents[0] * 1e6 if vents else 0.0,
        high_area=vents[1] * 1e6 if vents else 0.0,
        height=vents[2] * 1e3 if vents else 0.0,
        share=share,
        air_c=spec.ambient + (1.0 + OFF) * rise,
        face_c=spec.ambient + (1.0 + OFF) * face,
        air_most=most,
        face_most=face_most,
    )
    said = tuple(_warm_findings(laid, found, vents))
    taken = []
    if spec.inside is None:
        taken.append(
            Taken(
                what="what the air inside may come to",
                value=f"{_INSIDE_C:g} °C",
                why="the power that passes",
                say="[enclosure] inside",
                weight=1.6,
            )
        )
    if not made.order.says("enclosure", "ambient") and "ambient" not in spec.model_fields_set:
        taken.append(
            Taken(
                what="the warmest air about it",
                value=f"{spec.ambient:g} °C",
                why="how warm it gets inside",
                say="[enclosure] ambient",
                weight=1.6,
            )
        )
    return Checked(
        state="failed" if any(f.level == "stop" for f in said) else "passed",
        findings=said,
        figures=found,
        taken=tuple(taken),
    )


def _stack(laid: Laid) -> tuple[float, float, float] | None:
    """Areas of the vents low and high, m2, and the height between their middles, m; None where there are not both."""
    (_, _, z0), (_, _, z1) = laid.inside
    middle = (z0 + z1) / 2.0
    low, high = ([v for v in laid.vents if (v[1] > middle) == up] for up in (False, True))
    if not low or not high:
        return None
    areas = [sum(v[0] for v in some) for some in (low, high)]
    heights = [sum(v[0] * v[1] for v in some) / area for some, area in zip((low, high), areas, strict=True)]
    return areas[0] * 1e-6, areas[1] * 1e-6, (heights[1] - heights[0]) * 1e-3


def _vented(power: float, box: Box, vents: tuple[float, float, float], ambient: float) -> Draught | None:
    """With the draught, and what the walls still give off; None where the vents are too small to count."""
    try:
        return vent_rise(power, *vents, ambient_c=ambient, walls=lambda rise: box_heat_w(box, rise))
    except SeamwrightError:
        return None


def _warm_findings(laid: Laid, found: Warmth, vents: tuple[float, float, float] | None) -> Iterator[Finding]:
    if found.face_c > found.face_most:
        yield _say(
            "stop",
            "warmth",
            "walls",
            f"their inside may come to {found.face_c:.0f} °C: the sheet may be at {found.face_most:g} °C at "
            "most, unloaded",
            "less power, a larger box, or vents low and high",
            _WARM_SOURCE,
        )
    if found.air_c > found.air_most:
        yield _say(
            "stop",
            "warmth",
            "inside",
            f"the air may come to {found.air_c:.0f} °C with {found.power:g} W, over {found.air_most:g}",
            "less power, a larger box, or larger vents low and high",
            _WARM_SOURCE,
        )
    if laid.vents and vents is None:
        yield _say(
            "care",
            "warmth",
            "vents",
            "vents at one height alone make no draught: it is taken as sealed",
            "vents low and high",
            "ASHRAE Handbook Fundamentals (from memory)",
        )
    if laid.vents and laid.spec.gasket:
        yield _say(
            "note",
            "warmth",
            "vents",
            "a cord under the lid keeps nothing out that comes through the vents",
            "one of the two",
            "judgement",
        )


def _tab_rows(made: Made, found: tuple[Tabs, ...]) -> Rows:
    return {"tabs": found} if found else {}


def _warmth_rows(made: Made, found: Warmth) -> Rows:
    return {"warmth": found}


#: Widths of tabs and gaps, as cut and as drawn.
TABS: Final = Check(
    name="tabs",
    run=_tabs,
    questions=("fit", "cut"),
    rows=_tab_rows,
    sections=(SectionOf(id="tabs", station="cut", title="Tabs and slots", blocks=tab_blocks),),
)
#: How warm it gets.
WARMTH: Final = Check(
    name="warmth",
    run=_warmth,
    questions=("hold",),
    rows=_warmth_rows,
    sections=(SectionOf(id="warmth", station="test", title="Warmth", blocks=warmth_blocks),),
)
