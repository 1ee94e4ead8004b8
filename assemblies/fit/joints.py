"""The kinds of joint: what each is called, whether solvent bonds it, and what judges the fit of its faces.

A new kind of joint is one entry of `JOINT_KINDS` with its judge. A kind that has none here is not covered: no fit is passed
over it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final, Literal

from assemblies.design.model import Design, Joint
from assemblies.fit.curved import ALONG, SADDLE, arc_off_mm
from assemblies.fit.running import judge_bores, judge_mesh, judge_posts
from assemblies.fit.seams import GROOVE_SIDE, Seam
from assemblies.fit.tolerance import Allowances, Gap, Loop, gap_of
from parts.findings import Finding, NotCovered
from parts.stock.rules import rule, rule_source

__all__ = ["DRAWN_MM", "JOINT_KINDS", "FitRules", "JointKind", "Judged", "SeamFit", "joint_kind"]

Seals = Literal["ok", "care", "stop"]
DRAWN_MM = 1e-3  # a drawn gap or overlap over this is a fault of the drawing
_SLACK_MM = 1e-9


@dataclass(frozen=True, kw_only=True)
class FitRules:
    """What the fit is judged by: the allowances of the cut and the gap that thin solvent bridges."""

    allow: Allowances
    gap_ok_mm: float = field(default_factory=lambda: rule("gap_ok"))
    gap_stop_mm: float = field(default_factory=lambda: rule("gap_stop"))


@dataclass(frozen=True, kw_only=True)
class SeamFit:
    """A seam with its judgement."""

    seam: Seam
    gap: Gap
    goes_in: bool
    seals: Seals


@dataclass(frozen=True, kw_only=True)
class Judged:
    """What a judge says of two faces that meet: how they are bonded, if they are, and what is wrong."""

    fit: SeamFit | None = None
    findings: tuple[Finding, ...] = ()


Judge = Callable[[Design, Seam, Loop | None, FitRules], Judged]
"""From the design, two faces that meet, the loop that makes them captive (bonded ones only) and the rules."""


@dataclass(frozen=True, kw_only=True)
class JointKind:
    """One kind of joint.

    Attributes:
        name: as in `Joint.kind`.
        bonded: with solvent: tape draws it shut, its gap follows from the cut, and it goes into the bonding plan.
        judge: what says whether its faces go together.
        free: no other piece sets its gap, so that it closes no loop of tolerances.
        alone: of a joint that needs no faces that meet: what judges it, once.
    """

    name: str
    bonded: bool = False
    free: bool = False
    judge: Judge
    alone: Callable[[Design, Joint], Iterable[Finding]] | None = None


def _bonded(design: Design, seam: Seam, loop: Loop | None, rules: FitRules) -> Judged:
    """A gap that thin solvent bridges, with all that the cut may leave."""
    gap = gap_of(seam, loop, rules.allow)
    goes_in = gap.min >= -rules.gap_ok_mm - _SLACK_MM
    seals = _seals(max(gap.max, -gap.min), rules)
    level: Literal["care", "stop"] = "stop" if seam.gap_mm < 0 or seals == "stop" else "care"
    said = () if abs(seam.gap_mm) <= DRAWN_MM else (_drawn(seam, level),)
    return Judged(fit=SeamFit(seam=seam, gap=gap, goes_in=goes_in, seals=seals), findings=said)


def _along(design: Design, seam: Seam, loop: Loop | None, rules: FitRules) -> Judged:
    """The two edges of a rolled sheet, drawn together by bands: what is left is how square and straight they were trimmed,
    and the gap that was read."""
    gap = gap_of(seam, None, rules.allow)
    seals = _seals(gap.max, rules)
    if seals == "ok":
        return Judged(fit=SeamFit(seam=seam, gap=gap, goes_in=True, seals=seals))
    said = Finding(
        level=seals,
        check="fit",
        where=f"{seam.a}, along",
        why=f"bands draw its two edges together; trimmed so square and straight, up to {gap.max:.2f} mm stays open, limit "
        f"{rules.gap_ok_mm:.2f} mm",
        do="trim both edges along again, together and square to the wall, and try them on the drum with a feeler leaf",
        source=rule_source("gap_ok"),
    )
    return Judged(fit=SeamFit(seam=seam, gap=gap, goes_in=True, seals=seals), findings=(said,))


def _saddle(design: Design, seam: Seam, loop: Loop | None, rules: FitRules) -> Judged:
    """An edge on the outside of a tube: as drawn, with what its cut leaves and what the tube may differ from its radius.
    Thickened cement fills what thin solvent does not bridge."""
    allow, drawn = rules.allow, abs(seam.gap_mm)
    errors = [allow.squareness_mm, allow.repeat_mm, arc_off_mm(design, seam)]
    gap = Gap(
        nominal=drawn,
        min=drawn,
        max=drawn + sum(errors),
        rss=drawn + math.sqrt(sum(e * e for e in errors)),
        captive=False,
    )
    filled, seals = rule("gap_filled"), _seals(gap.max, rules)
    if seals == "ok":
        return Judged(fit=SeamFit(seam=seam, gap=gap, goes_in=True, seals=seals))
    seals = "care" if gap.max <= filled + _SLACK_MM else "stop"
    said = Finding(
        level=seals,
        check="fit",
        where=f"{seam.a} and {seam.b}",
        why=f"on the round wall the edge stands off by up to {gap.max:.2f} mm: thin solvent does not seal over "
        f"{rules.gap_ok_mm:.2f} mm",
        do="fill it with thickened cement, in two thin beads, and try it for leaks"
        if seals == "care"
        else f"thinner sheet or a narrower trough: thickened cement fills up to {filled:g} mm",
        source=rule_source("gap_filled"),
    )
    return Judged(fit=SeamFit(seam=seam, gap=gap, goes_in=True, seals=seals), findings=(said,))


def _seals(widest_mm: float, rules: FitRules) -> Seals:
    if widest_mm <= rules.gap_ok_mm + _SLACK_MM:
        return "ok"
    return "care" if widest_mm <= rules.gap_stop_mm + _SLACK_MM else "stop"


def _loose(design: Design, seam: Seam, loop: Loop | None, rules: FitRules) -> Judged:
    """Laid on or beside each other: play is meant, an overlap is not."""
    return Judged(findings=(_drawn(seam, "stop"),) if seam.gap_mm < -DRAWN_MM else ())


def _fastened(design: Design, seam: Seam, loop: Loop | None, rules: FitRules) -> Judged:
    """Drawn together by screws or bolts: the faces lie on each other, and something goes through both pieces."""
    said = []
    if abs(seam.gap_mm) > DRAWN_MM:
        said.append(_drawn(seam, "stop" if seam.gap_mm < 0 or seam.gap_mm > rules.gap_ok_mm + _SLACK_MM else "care"))
    if not any({seam.a, seam.b} <= set(one.through) for one in design.fasteners):
        said.append(
            Finding(
                level="stop",
                check="fit",
                where=f"{seam.a} and {seam.b}",
                why=f"their joint is {seam.kind}, and no fastener goes through both",
                do="give the fastener, or say how else they are joined",
                source="computed: joints and fasteners of the design",
            )
        )
    return Judged(findings=tuple(said))


def _drawn(seam: Seam, level: Literal["care", "stop"]) -> Finding:
    """A gap or an overlap in the drawing itself."""
    return Finding(
        level=level,
        check="fit",
        where=f"{seam.a} and {seam.b}",
        why=f"the drawing leaves {'a gap' if seam.gap_mm > 0 else 'an overlap'} of {abs(seam.gap_mm):.3f} mm "
        f"over {seam.length_mm:.1f} x {seam.width_mm:.1f} mm",
        do="make the sizes of the two pieces agree",
        source="computed: placed outlines",
    )


JOINT_KINDS: Final[Mapping[str, JointKind]] = MappingProxyType(
    {
        one.name: one
        for one in (
            JointKind(name="bonded", bonded=True, judge=_bonded),
            JointKind(name="groove", bonded=True, judge=_bonded),
            JointKind(name=GROOVE_SIDE, judge=_loose),
            JointKind(name=ALONG, bonded=True, free=True, judge=_along),
            JointKind(name=SADDLE, bonded=True, free=True, judge=_saddle),
            JointKind(name="loose", judge=_loose),
            JointKind(name="screwed", judge=_fastened),
            JointKind(name="bolted", judge=_fastened),
            JointKind(name="tab and slot", judge=_loose),
            JointKind(name="gear mesh", judge=_loose, alone=judge_mesh),
            JointKind(name="bore fit", judge=_loose, alone=judge_bores),
            JointKind(name="standoffs", judge=_loose, alone=judge_posts),
            JointKind(
                name="sample", judge=_loose, alone=lambda design, joint: ()
            ),  # of the same sheet, joined to nothing
        )
    }
)


def joint_kind(name: str) -> JointKind:
    """The kind of joint of this name.

    Raises:
        NotCovered: there is none, so nothing judges such a joint.

    >>> joint_kind("screwed").bonded
    False
    """
    if name not in JOINT_KINDS:
        raise NotCovered(f"no judge for joint kind {name!r}: there are {', '.join(JOINT_KINDS)}")
    return JOINT_KINDS[name]
