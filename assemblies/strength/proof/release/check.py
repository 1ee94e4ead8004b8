"""The check of quick-release plates: whether strip, shoe, pins and bonds bear every case with one latch open; their play."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from assemblies.report.check import Check, Checked, Made, Rows, SectionOf, State, not_covered
from assemblies.report.figures import amount
from assemblies.strength.proof.checks import without_loads
from assemblies.strength.proof.release.sections import load_blocks, size_blocks, swap_blocks, try_blocks
from parts.findings import Finding, Taken
from parts.stock.rules import rule

if TYPE_CHECKING:
    from assemblies.design.release import Release
    from assemblies.order import Order
    from assemblies.strength.bonds.release import ReleaseLoad, ReleaseUse
    from assemblies.strength.proof.uses import Loaded

__all__ = ["RELEASE", "Released"]

_JUDGED: Final = "judgement"
_LEAST_OVERLAP: Final = 0.5  # of a flank, that must still lie under its lip at the worst (judgement)
_TRIED: Final = "tried by hand"
_SOAKED: Final = "100 % relative humidity"


@dataclass(frozen=True, kw_only=True)
class Slack:
    """What a strip may do in its shoe: sideways and up (mm), turn (degrees); `overlap`: share of a flank under its lip."""

    state: str
    sideways: float
    lift: float
    yaw_deg: float
    overlap: float


@dataclass(frozen=True, kw_only=True)
class Released:
    """Of every quick-release plate: what its parts bear, its slack, and the tilt at which it slides out without its pins, with
    the friction of wet sheet (degrees; None: never)."""

    releases: tuple[Release, ...]
    uses: tuple[ReleaseUse, ...]
    slack: tuple[tuple[Slack, ...], ...]
    slides_deg: tuple[float | None, ...]
    forces: tuple[ReleaseLoad, ...]


def _run(made: Made) -> Checked:
    from assemblies.strength.bonds.allowed import factor_of
    from assemblies.strength.bonds.release import ReleaseLoad, Rules, load_of, release_uses, worst_of
    from assemblies.strength.bonds.wedge import slide_off
    from assemblies.strength.proof.loads import Loads

    releases = made.design.releases
    if not releases:
        return Checked()
    loads = made.of(Loads)
    if loads is None:
        return without_loads(made)
    given, every = loads.settings, loads.cases.cases
    rules = Rules(joint=given.joint, bonded=given.bonded, environment=given.environment, factor=given.factor)
    uses: list[ReleaseUse] = []
    forces, slides = [], []
    for one in releases:
        cases = (*every, *_by_hand(one, every))
        substance = made.design.instance(one.strip).piece.sheet.substance
        for case in cases:
            # of several plates each is taken with all of it: how they share depends on the rig
            uses += release_uses(
                made.design, one, case.name, case.force_n, case.centre_mm, substance, case.load.duration, rules
            )
        found = [load_of(one, case.force_n, case.centre_mm) for case in cases]
        most = {name: max(abs(getattr(f, name)) for f in found) for name in ReleaseLoad.__dataclass_fields__}
        forces.append(ReleaseLoad(**most))
        tilt = slide_off(most["seat"] or 1.0, one.angle_deg, factor_of("slot_friction"))
        slides.append(None if tilt is None else math.degrees(tilt))
    worst = tuple(worst_of(uses).values())
    slack = tuple(tuple(_slacks(one)) for one in releases)
    said = [f for one in releases for f in _said(made.order, one)]
    said += [f for one, states in zip(releases, slack, strict=True) for f in _loose(one, states)]
    said += [_over(use) for use in worst if use.use > 1.0]
    figures = Released(releases=releases, uses=worst, slack=slack, slides_deg=tuple(slides), forces=tuple(forces))
    turned = dict.fromkeys(case.name for case in every if case.load.omega)
    said += [
        not_covered("quick-release", f"{name}: what its start and stop twist the strip by in its shoe")
        for name in turned
    ]
    until = "; ".join(_unrated(releases, forces))
    failed = any(f.level == "stop" for f in said)
    state: State = "failed" if failed else "not-covered" if turned else "not-proven" if until else "passed"
    return Checked(
        state=state,
        findings=tuple(said),
        figures=figures,
        until=until if state == "not-proven" else "",
        taken=tuple(_taken(made.order, releases)),
    )


def _unrated(releases: Sequence[Release], forces: Sequence[ReleaseLoad]) -> Iterator[str]:
    """Which shoes are proven by nobody yet, and what would prove them."""
    from assemblies.strength.bonds.release import wanted_n

    for one, load in zip(releases, forces, strict=True):
        if one.shoe.made_of != "acrylic" and one.shoe.rated is None:
            least = math.ceil(wanted_n(load) / 10.0) * 10
            yield (
                f"the maker of the {one.shoe.made_of} shoe of {one.strip} rates it for at least {least} N off its seat and "
                "along its slot (rated in [plate.release])"
            )


def _by_hand(one: Release, every: Sequence[Loaded]) -> Iterator[Loaded]:
    """Drawn by its own weight, as it is tried: both ways along and across while it stands, and off its seat (judgement)."""
    from assemblies.liquid.engine import G_MM_S2

    whole, g = max(every, key=lambda case: case.mass_kg), G_MM_S2
    weight = (0.0, 0.0, -g)
    ways = [tuple(sign * g * c for c in way) for way in (one.pull, one.across) for sign in (1.0, -1.0)]
    pulls = [tuple(a + b for a, b in zip(weight, way, strict=True)) for way in ways]
    pulls.append(tuple(-g * c for c in one.out))
    for x, y, z in pulls:
        load = replace(whole.load, name=_TRIED, duration="minutes", gravity=(x, y, z), acceleration=(0.0, 0.0, 0.0))
        yield replace(whole, name=_TRIED, load=load)


def _slacks(one: Release) -> Iterator[Slack]:
    """Dry, damp, and dry once both flanks are worn."""
    from parts.make.strip import growth_apart, play_of

    worn = one.clearance + 2.0 * one.wear / math.sin(math.radians(one.angle_deg))
    for state, gap, strain in (
        ("new, dry", one.clearance, 0.0),
        ("new, damp air", one.clearance, growth_apart(one.shoe.made_of)),
        ("worn out, dry", worn, 0.0),
    ):
        play = play_of(one.narrow, gap, one.length, one.angle_deg, (strain, 0.0))
        yield Slack(
            state=state,
            sideways=play.sideways,
            lift=play.lift,
            yaw_deg=math.degrees(play.yaw_rad),
            overlap=1.0 - play.sideways / one.back,
        )


def _moves(order: Order) -> list[str]:
    from assemblies.motion.case_kinds import CASE_KINDS

    return [c.name for c in order.case if CASE_KINDS[c.kind].moving or CASE_KINDS[c.kind].leans]


def _finding(level: str, one: Release, why: str, do: str, source: str = _JUDGED) -> Finding:
    return Finding(
        level="stop" if level == "stop" else "care" if level == "care" else "note",
        check="quick-release",
        where=one.strip,
        why=why,
        do=do,
        source=source,
    )


def _said(order: Order, one: Release) -> Iterator[Finding]:
    """What must be there besides strength."""
    moves, hangs = _moves(order), one.face != "bottom" or (order.support is not None and order.support.kind == "hung")
    how = [*([f"moves ({', '.join(moves)})"] if moves else []), *(["hangs on its flanks"] if hangs else [])]
    if how and one.shoe.made_of == "acrylic":
        yield _finding(
            "stop",
            one,
            f"it {' and '.join(how)} in a shoe of acrylic: bonds and thin jaws would be all that holds it",
            'shoe = "aluminium" or "steel" in [plate.release]',
            "common practice, no source",
        )
    if one.pins < 2:
        yield _finding(
            "stop" if how else "care",
            one,
            "with its one pin drawn nothing but friction keeps it from sliding out, and friction is no lock",
            "pins = 2, so that one is home while the other is drawn",
            "common practice, no source",
        )
    if hangs and one.pull[2] < -0.5:
        yield _finding(
            "stop",
            one,
            "it is pulled out downward: its whole weight hangs on its pins, and falls once they are drawn",
            'pull = "up", so that it stands on the stop',
        )
    if how and (order.support is None or order.support.retention == "none"):
        yield _finding(
            "stop",
            one,
            f"it {' and '.join(how)}, and no retention is named: hands open this joint often",
            'retention = "lanyard" in [support]',
            "common practice, no source",
        )
    yield _finding(
        "note",
        one,
        "the largest start and tilt that strength finds are the tank's: the shoe is looked at in the named cases "
        "and by hand alone",
        "name what it is to go through as a [[case]]",
        "judgement: limit of this method",
    )
    if one.shoe.made_of != "acrylic":
        yield _finding(
            "care",
            one,
            f"its shoe of {one.shoe.made_of} is not made here: only the feet of its jaws are calculated; "
            "its bolts and clamp are its maker's",
            "give its maker the sizes and forces of the section on the quick-release plate",
        )


def _loose(one: Release, states: tuple[Slack, ...]) -> Iterator[Finding]:
    """What growth and wear make of it."""
    from parts.make.strip import growth_apart

    least = min(states, key=lambda s: s.overlap)
    if least.overlap < _LEAST_OVERLAP:
        yield _finding(
            "stop",
            one,
            f"{least.state} only {100.0 * max(least.overlap, 0.0):.0f} % of a flank lies under its lip: it may "
            "come out sideways",
            "a thicker strip, a flatter angle, or less clearance and wear",
            "computed: geometry of the flanks",
        )
    if one.narrow * growth_apart(one.shoe.made_of, _SOAKED) >= one.clearance:
        yield _finding(
            "care",
            one,
            "left soaked for days the strip grows more than its clearance, and jams in its shoe",
            "wipe it dry, and do not store it in water",
            "sheet AA (secondary): growth at 100 % relative humidity",
        )


def _over(use: ReleaseUse) -> Finding:
    figures = (
        f"{amount(use.value, use.unit)} of {amount(use.allowed, use.unit)}" if use.unit else f"{100 * use.use:.0f} %"
    )
    return Finding(
        level="stop",
        check="quick-release",
        where=use.plate,
        why=f"{use.case}: {use.what}: {figures} allowed",
        do="a wider or longer plate, a thicker strip or base, more pins, larger screws, or gentler moves",
        source="computed: see the section on the quick-release plate",
    )


def _taken(order: Order, releases: tuple[Release, ...]) -> Iterator[Taken]:
    from assemblies.strength.bonds.allowed import factor_of

    yield Taken(
        what="friction of strip and shoe, wet",
        value=factor_of("slot_friction"),
        why="the tilt at which it slides out",
        say="a try on a board that is tilted",
        weight=2.0,
    )
    for index, plate in enumerate(order.plate):
        quick = plate.style == "quick-release"
        if quick and (plate.release is None or plate.release.clearance is None):
            yield Taken(
                what="clearance of the strip",
                value=releases[0].clearance,
                unit="mm",
                why="0.3 % growth of the part that damp air sees alone, and 0.1 mm",
                say="[plate.release] clearance",
                weight=1.3 + 1e-6 * index,
            )
            return


def _rows(made: Made, found: Released) -> Rows:
    return {"releases": [_row(found, k) for k in range(len(found.releases))]}


def _row(found: Released, k: int) -> Rows:
    one = found.releases[k]
    shoe, sizes = one.shoe, one.sizes
    load, (x, y) = found.forces[k], (side / 2.0 for side in shoe.base.outline.size_mm)
    return {
        "plate": one.plate,
        "strip": one.strip,
        "face": one.face,
        "angle": one.angle_deg,
        "narrow": one.narrow,
        "wide": sizes.wide,
        "depth": one.depth,
        "length": one.length,
        "flank": sizes.flank,
        "gauge": one.gauge,
        "relief": rule("release_relief"),
        "over_pins": sizes.over_pins,
        "between_pins": sizes.between_pins + one.clearance,
        "clearance": one.clearance,
        "pin": one.pin,
        "pins": one.pins,
        "bore": one.bore,
        "reach": one.reach,
        "lanyard": one.lanyard,
        "wear": one.wear,
        "shoe": {
            "of": shoe.made_of,
            "count": shoe.count,
            "pieces": list(shoe.names),
            "jaw": shoe.jaw,
            "root": shoe.root,
            "base": shoe.base.thickness_mm,
            "size": shoe.base.outline.size_mm,
            "holes": shoe.holes,
            "bolt": shoe.bolt,
            "places": [(h.x_mm - x, h.y_mm - y) for h in shoe.base.holes],
            "screw": shoe.screw,
            "screws": shoe.screws,
            "stop": shoe.stop,
            "rated": shoe.rated,
        },
        "forces": {**vars(load), "spread": load.jaw * math.tan(math.radians(one.angle_deg))},
        "uses": [{**vars(use), "use": use.use} for use in found.uses if use.plate == one.plate],
        "slack": [vars(state) for state in found.slack[k]],
        "slides_deg": found.slides_deg[k],
    }


#: Whether what is slid into a shoe stays there; asked of every order that has a plate of this style.
RELEASE: Final = Check(
    name="quick-release",
    run=_run,
    after=("loads",),
    questions=("hold",),
    rows=_rows,
    wanted=lambda order: any(plate.style == "quick-release" for plate in order.plate),
    sections=(
        SectionOf(id="release-loads", station="plan", title="Quick-release plate", blocks=load_blocks, before="liquid"),
        SectionOf(
            id="release-sizes", station="dry-fit", title="Quick-release plate: strip and shoe", blocks=size_blocks
        ),
        SectionOf(
            id="release-test", station="test", title="Quick-release plate: play, one latch open", blocks=try_blocks
        ),
        SectionOf(id="release-use", station="use", title="Quick-release plate: swap", blocks=swap_blocks),
    ),
)
