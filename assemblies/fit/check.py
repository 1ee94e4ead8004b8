"""The dry fit of a design: every seam with its gap, whether it goes in, whether it seals, and what to do."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from assemblies.design.model import Design, Placed
from assemblies.fit.joints import DRAWN_MM, FitRules, SeamFit, joint_kind
from assemblies.fit.lines import LineContact, line_contacts
from assemblies.fit.seams import Seam, nearest_miss, seams
from assemblies.fit.tolerance import Loop, captive_loops
from parts.findings import Finding, worst
from parts.stock.rules import rule_source

if TYPE_CHECKING:
    from assemblies.fit.interference import Interference

__all__ = ["FACE_WORDS", "Fit", "FitRules", "SeamFit", "check_fit"]

_SAME_MM: Final = 1e-6  # sizes that differ by rounding are one fence setting
#: What the faces of a piece are called; left, right, lower and upper as it lies flat, its far face up.
FACE_WORDS: Final[Mapping[str, str]] = {
    "near": "near face",
    "far": "far face",
    "x-": "left edge",
    "x+": "right edge",
    "y-": "lower edge",
    "y+": "upper edge",
    "edge": "slanted edge",
    "end": "sawn end",
}


@dataclass(frozen=True, kw_only=True)
class Fit:
    """The dry fit. `interferences` is None when the solids were not compared."""

    seams: tuple[SeamFit, ...]
    loops: tuple[Loop, ...]
    interferences: tuple[Interference, ...] | None
    findings: tuple[Finding, ...]

    @property
    def passed(self) -> bool:
        """True when the solids were compared and nothing says stop."""
        return self.interferences is not None and worst(self.findings) != "stop"


def check_fit(design: Design, rules: FitRules, *, solids: bool = True) -> Fit:
    """Judge the dry fit of a design.

    Args:
        design: any design.
        rules: tolerances and gap limits.
        solids: compare the solids with the kernel too (slow to import); without it the fit cannot pass.

    Raises:
        NotCovered: a joint of a kind that has no judge; a piece that the search for faces or the kernel does not reach.
    """
    found = seams(design)
    loops = captive_loops(
        design, [s for s in found if joint_kind(s.kind).bonded and not joint_kind(s.kind).free], rules.allow
    )
    by_seam: dict[str, Loop] = {}
    for loop in loops:
        for seam_id in loop.seams:
            by_seam[seam_id] = _wider(by_seam.get(seam_id), loop)
    said = [joint_kind(s.kind).judge(design, s, by_seam.get(s.id), rules) for s in found]
    judged = tuple(one.fit for one in said if one.fit is not None)
    findings = [f for one in said for f in one.findings]
    findings += [f for j in design.joints if (alone := joint_kind(j.kind).alone) for f in alone(design, j)]
    findings += [f for loop in loops for f in _captive_findings(loop, judged, rules)]
    findings += _butt_findings(judged, rules)
    findings += [_line_finding(line) for line in line_contacts(design)]
    findings += _apart(design, found)
    findings += _still_to_cut(design, loops, rules)
    hits: tuple[Interference, ...] | None = None
    if solids:
        from assemblies.fit.interference import interferences

        hits = interferences(design)
        findings += [
            Finding(
                level="stop",
                check="fit",
                where=f"{h.a} and {h.b}",
                why=f"they run into each other by {h.volume_mm3:.4g} mm³",
                do="correct the sizes or places of the two pieces",
                source="computed: common volume of the two solids",
            )
            for h in hits
        ]
    return Fit(seams=judged, loops=loops, interferences=hits, findings=tuple(findings))


def _wider(one: Loop | None, other: Loop) -> Loop:
    def widest(loop: Loop) -> float:
        return abs(loop.left_over_mm) + loop.spread_mm

    return other if one is None or widest(other) > widest(one) else one


def _fits(gap_mm: float) -> str:
    """How a captive piece fits at a gap.

    >>> _fits(-0.05), _fits(0.15)
    ('0.05 mm too tight', '0.15 mm open')
    """
    return f"{abs(gap_mm):.2f} mm {'too tight' if gap_mm < 0.0 else 'open'}"


def _captive_findings(loop: Loop, judged: Sequence[SeamFit], rules: FitRules) -> list[Finding]:
    own = [s for s in judged if s.seam.id in loop.seams]
    levels = {s.seals for s in own}
    tight = any(not s.goes_in for s in own)
    if levels <= {"ok"} and not tight:
        return []
    level: Literal["stop", "care"] = "stop" if "stop" in levels or tight else "care"
    low = min(s.gap.min for s in own)
    high = max(s.gap.max for s in own)
    likely = max(s.gap.rss for s in own)
    spread = ", ".join(f"{t.piece} {t.size} ±{t.plus_minus_mm:.2f}" for t in loop.terms)
    says = "it may not go in" if tight else "it goes in"
    return [
        Finding(
            level=level,
            check="fit",
            where=loop.piece,
            why=f"trapped between {loop.between[0]} and {loop.between[1]}: {_fits(low)} to {_fits(high)} "
            f"(likely under {likely:.2f} mm), limit {rules.gap_ok_mm:.2f} mm; {says}. "
            f"It comes from {spread} mm",
            do=_captive_advice(loop),
            source=rule_source("gap_ok"),
        )
    ]


def _captive_advice(loop: Loop) -> str:
    advice = [f"cut {loop.piece} last, to the opening measured on the taped-up pieces"]
    if any(t.size in ("width", "height") for t in loop.terms):
        advice.append("or choose laps that put the matching sizes in one cut group")
    if any(t.size == "thickness" for t in loop.terms):
        advice.append("measure the sheet and give the readings")
    if all(t.size == "diameter" for t in loop.terms):
        return f"cut {loop.piece} last, to the opening measured in {loop.between[0]}"
    advice.append("or let it run long under the others, left oversize and trimmed flush")
    return "; ".join(advice)


def _butt_findings(judged: Sequence[SeamFit], rules: FitRules) -> list[Finding]:
    """Taped seams that the cut itself leaves too open, said once for all of them."""
    free = [s for s in judged if not s.gap.captive and not joint_kind(s.seam.kind).free]
    open_ones = [s for s in free if s.seals != "ok" and abs(s.seam.gap_mm) <= DRAWN_MM]
    if not open_ones:
        return []
    worst_one = max(open_ones, key=lambda s: s.gap.max)
    names = ", ".join(f"{s.seam.a}-{s.seam.b}" for s in open_ones)
    return [
        Finding(
            level="stop" if any(s.seals == "stop" for s in open_ones) else "care",
            check="fit",
            where=names,
            why=f"squareness and straightness of the cut edge can leave {worst_one.gap.max:.2f} mm open, "
            f"limit {rules.gap_ok_mm:.2f} mm",
            do="square the blade or machine the edges before taping",
            source=rule_source("gap_ok"),
        )
    ]


def _line_finding(line: LineContact) -> Finding:
    """Two pieces that meet at an angle: there is nothing for thin solvent to run into."""
    apart = line.apart_mm
    how = "touch only along a line" if apart <= DRAWN_MM else f"come within {apart:.2f} mm of each other along a line"
    return Finding(
        level="care",
        check="fit",
        where=f"{line.a} and {line.b}",
        why=f"they {how} of {line.length_mm:.1f} mm, at an angle: beside it the faces open at "
        f"{line.gaps_deg[0]:.1f} and {line.gaps_deg[1]:.1f} degrees, which thin solvent does not seal",
        do="bevel the edge so that it lies flat on the face, or fill the joint with a thickened cement and try it for leaks",
        source=rule_source("gap_ok"),
    )


def _still_to_cut(design: Design, loops: Sequence[Loop], rules: FitRules) -> list[Finding]:
    """Once some pieces are cut: what is left, the captive pieces last, each with the size that follows from the real ones."""
    cut = rules.allow.as_cut
    if not cut:
        return []
    captive = {loop.piece for loop in loops}
    left = [p for p in design.placed if p.name not in cut and p.piece.role in ("shell", "lid")]
    in_hand = [p for p in design.placed if p.name in cut]
    out = []
    for placed in sorted(left, key=lambda p: p.name in captive):
        width, height, _ = placed.piece.size_mm
        last = placed.name in captive
        set_to = [
            f"for its {word} set the fence to the {name} in your hand" for word, name in _same_as(placed, in_hand)
        ]
        measure = ["measure its opening on the taped-up pieces first"] if last and not set_to else []
        out.append(
            Finding(
                level="note",
                check="fit",
                where=placed.name,
                why=f"still to be cut{', last' if last else ''}: {width:.2f} x {height:.2f} mm, from the sizes already cut",
                do="; ".join(set_to + measure),
                source="the order: as-cut sizes",
            )
        )
    return out


def _same_as(placed: Placed, in_hand: Sequence[Placed]) -> Iterator[tuple[str, str]]:
    """Of a piece to be cut, each side that is as long as a side of one of its cut group that is there: a fence setting."""
    for word, size in zip(("width", "height"), placed.piece.outline.size_mm, strict=True):
        for other in in_hand:
            alike = any(abs(size - side) < _SAME_MM for side in other.piece.outline.size_mm)
            if alike and placed.piece.cut_group and placed.piece.cut_group == other.piece.cut_group:
                yield word, other.name
                break


def _missed(design: Design, names: Sequence[str]) -> str:
    """Which face missed which by how much."""
    miss = nearest_miss(design, names)
    if miss is None:
        return "none of its flat faces lies opposite a flat face of another piece"
    mine = f"its {FACE_WORDS[miss.a_end]}" if len(names) == 1 else f"the {FACE_WORDS[miss.a_end]} of {miss.a}"
    how = "misses" if miss.gap_mm > 0.0 else "has gone past"
    return f"{mine} {how} the {FACE_WORDS[miss.b_end]} of {miss.b} by {abs(miss.gap_mm):.2f} mm"


def _apart(design: Design, found: Sequence[Seam]) -> list[Finding]:
    """Instances that no seam, however loose, ties to the rest, and no joint that needs none."""
    group: dict[str, str] = {p.name: p.name for p in design.placed}

    def root(name: str) -> str:
        while group[name] != name:
            name = group[name]
        return name

    ties = [(s.a, s.b) for s in found] + [(j.a, j.b) for j in design.joints if joint_kind(j.kind).alone]
    for a, b in ties:
        group[root(b)] = root(a)
    clusters: dict[str, list[str]] = {}
    for placed in design.placed:
        clusters.setdefault(root(placed.name), []).append(placed.name)
    if len(clusters) < 2:
        return []
    main = max(clusters.values(), key=len)
    return [
        Finding(
            level="stop",
            check="fit",
            where=", ".join(names),
            why=f"touches nothing else: {_missed(design, names)}",
            do="move it against its neighbour, or take it out",
            source="computed: placed outlines",
        )
        for names in clusters.values()
        if names is not main
    ]
