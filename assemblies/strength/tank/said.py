"""What a proof says: one finding for each thing over its limit, and what the solver noticed, each said once.

The solver speaks of the elastic deflection of one load. Of panels that bow much, or are thick for their span, it is said here
from the figures that the report shows: the deflection with creep, the worst case of each panel, against what the order allows.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Literal

from assemblies.design.model import Design
from assemblies.strength.bonds.allowed import factor_source
from assemblies.strength.bonds.bolts import EdgeLoad, ThreadLoad
from assemblies.strength.boxes.setting import WALLS
from assemblies.strength.plates.limits import BEYOND, ORDERS, ROARK, beyond, ends
from assemblies.strength.proof.cases import BRIM, STILL
from assemblies.strength.proof.uses import MountUse, Proof, SeamUse, Use
from parts.findings import Finding

__all__ = [
    "alike",
    "beyond_uses",
    "doubts",
    "merged",
    "over",
    "proof_findings",
    "thickness_of",
    "unproven",
    "unresolved_panels",
]

_NUMBER = re.compile(r"-?\d+(?:\.\d+)?(?:e[-+]?\d+)?")
_ADDED = ("trough", "baffle", "divider", "weir", "ramp")  # what is bonded on beside the box
_TAKEN = "nothing: the stress is already increased by that much"


def merged(findings: Iterable[Finding], uses: Mapping[str, float]) -> tuple[Finding, ...]:
    """Each finding once: of those that differ in their figures only (one for each case) the one with the largest; what is
    said alike of several places, as of the left and the right wall, is said once.

    Args:
        findings: in any order.
        uses: the greatest use of each panel, larger already by what is in doubt.
    """
    kept: dict[tuple[str, str, str], Finding] = {}
    for finding in findings:
        if finding.do.startswith("add that much to the stress"):
            step = _said_at(uses.get(finding.where, math.inf))
            finding = replace(finding, level="note", do=_TAKEN, step=step)
        key = (finding.where, finding.level, _NUMBER.sub("#", finding.why))
        if key not in kept or _figures(finding) > _figures(kept[key]):
            kept[key] = finding
    return alike(kept.values())


def _said_at(use: float) -> Literal["", "method"]:
    """A note on method goes with the verdict only where the use, larger already by what is in doubt, reaches its limit."""
    return "" if use >= 1.0 else "method"


def alike(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings that differ in their place only as one, with all the places."""
    places: dict[Finding, list[str]] = {}
    for finding in findings:
        places.setdefault(replace(finding, where=""), []).append(finding.where)
    return tuple(replace(finding, where=", ".join(dict.fromkeys(where))) for finding, where in places.items())


def _figures(finding: Finding) -> tuple[float, ...]:
    return tuple(abs(float(text)) for text in _NUMBER.findall(finding.why))


def over(proof: Proof, thickness: Mapping[str, float] | None = None) -> tuple[Finding, ...]:
    """A stop for every panel, seam, bond and thread over its limit: its worst case, and in which others.

    Args:
        proof: what was solved.
        thickness: of the panels, mm; where it is given, no figure is told of a deflection beyond the method.
    """
    return alike(_over(proof, thickness or {}))


def _over(proof: Proof, thickness: Mapping[str, float]) -> Iterator[Finding]:
    by_place: dict[tuple[str, ...], list[Use | SeamUse]] = {}
    everything: list[Use | SeamUse] = [*proof.uses, *proof.seams]
    for use in everything:
        if use.use > 1.0:
            key = (use.piece, use.what, use.governs) if isinstance(use, Use) else (use.seam,)
            by_place.setdefault(key, []).append(use)
    stiffened = _stiffened(proof)
    sinks = max((one.use for one in proof.whole), default=0.0)
    whole = [*_over_whole(proof)]
    for uses in sorted(by_place.values(), key=lambda found: -max(one.use for one in found)):
        worst = max(uses, key=lambda one: one.use)
        if worst.use < sinks:
            yield from whole
            whole = []
        also = _also([u.case for u in uses if u is not worst])
        do = _ways(worst, {u.case for u in uses}, stiffened)
        if isinstance(worst, Use):
            far = beyond(worst.deflection, thickness.get(worst.piece, math.inf))
            yield _panel(worst, also, do, far)
        else:
            yield _seam(worst, also, do)
    yield from whole
    yield from _over_mounts(proof.mounts)


def _stiffer(proof: Proof) -> str:
    """What makes a tank sink less on what carries it: plates under it, plates on its walls, or neither."""
    ways = {mount.group.outward[2] < -0.5 for mount in proof.mounts}
    if True in ways:
        return "plates nearer to a quarter of its length from each end or more of them, a base that carries all of it"
    return (
        "larger plates, or plates on two opposite walls"
        if ways
        else "plates under its floor, or a base that carries all"
    )


def _over_whole(proof: Proof) -> Iterator[Finding]:
    """A stop where the tank sinks between or beside what carries it more than is allowed."""
    over = [one for one in proof.whole if one.use > 1.0]
    if over:
        worst = max(over, key=lambda one: one.use)
        what = f"the floor sinks {worst.sag:.2f} mm"
        if worst.drop > 0.5 * worst.sag:
            what += f", its edges {worst.drop:.2f} mm with it"
        yield Finding(
            level="stop",
            check="strength",
            where="whole",
            why=f"{worst.case}: {what}, allowed {worst.allowed:.2f} mm: the tank bends as one on what carries it"
            + _also([one.case for one in over if one is not worst]),
            do=f"{_stiffer(proof)}, deeper walls, thicker sheet or a lower fill",
            source="limit of the order, judgement",
        )


def doubts(proof: Proof) -> Iterator[Finding]:
    """What has been taken larger because it is not settled; what only the bonds of plates have is said of them."""
    seams = [s for s in proof.seams if s.doubt > 0.1 and not s.butts.startswith("plate")]
    if seams:
        worst = max(seams, key=lambda s: s.doubt)
        yield Finding(
            level="note",
            check="strength",
            where=", ".join(dict.fromkeys(s.seam for s in seams)),
            why="beside the edge of a plate the load in a seam is uncertain: it is taken as "
            f"{100.0 * worst.doubt:.0f} % larger there",
            do="plates at least three thicknesses from a wall's inner face",
            source="computed: solid models of tanks on plates",
            step=_said_at(max(s.use for s in seams)),
        )
    peels = [s for s in proof.seams if s.butts.startswith("plate") and s.doubt > 0.0]
    if peels:
        yield Finding(
            level="note",
            check="strength",
            where=", ".join(dict.fromkeys(s.seam for s in peels)),
            why="where little load passes over a plate's edge its peel is uncertain: at least a tenth of the plate's largest "
            "movement is taken as lift",
            source="computed: solid models of tanks on plates",
            step=_said_at(max(s.use for s in peels)),
        )


def _also(cases: list[str]) -> str:
    return f"; over in {' and '.join(dict.fromkeys(cases))} too" if cases else ""


def _stiffened(proof: Proof) -> frozenset[str]:
    """What holds the rim already: `lid`, `rim`, `brace`."""
    seams = {s.seam for s in proof.seams}
    found = {"lid"} if any(u.piece == "lid" for u in proof.uses) else set()
    found |= {"rim"} if any(name.endswith("-rim") for name in seams) else set()
    found |= {"brace"} if any("-brace-" in name for name in seams) else set()
    return frozenset(found)


def _ways(worst: Use | SeamUse, cases: set[str], stiffened: frozenset[str]) -> str:
    """What can help at this place in these cases."""
    ways = ["thicker sheet"]
    inner = worst.piece if isinstance(worst, Use) else worst.butts
    if inner.startswith(_ADDED):
        return f"thicker sheet for the {inner}, or a smaller one"
    places = [worst.piece] if isinstance(worst, Use) else worst.seam.split("-")
    if isinstance(worst, Use) and worst.what == "hole":
        ways.append("smaller holes or holes nearer the edge")
    if places == ["bottom"]:
        ways.append("a base that carries the whole floor")
    elif "plate" in places:
        ways.append("larger plates or more of them")
    elif "lid" not in stiffened and places != ["lid"]:
        ways.append("a stiffer rim strip" if "rim" in stiffened else "a rim strip")
        if {"front", "back"} & set(places):
            ways.append("one more brace" if "brace" in stiffened else "a brace")
    ways.append("an overflow at the fill line" if cases == {BRIM} else "a lower fill")
    if cases - {STILL, BRIM}:
        ways.append("gentler motion")
    return f"{', '.join(ways[:-1])} or {ways[-1]}"


def _panel(use: Use, also: str, do: str, far: bool) -> Finding:
    if use.governs == "stress":
        what = "the edge of a hole carries" if use.what == "hole" else "it carries"
        where = "" if use.what == "strip" or use.piece.startswith(_ADDED) else f", {_place(use)}"
        if use.what.startswith("at the "):
            what, where = f"{use.what}, whose edge bends it, it carries at most", ""
        why = f"{use.case}: {what} {use.stress:.2f} MPa, allowed {use.allowed.value:.2f} MPa{where}"
        why += f"; it bows more than {BEYOND:g} thicknesses, beyond the method" if far else ""
    elif far:
        why = (
            f"{use.case}: it bows more than {BEYOND:g} thicknesses, beyond the method (linear plate theory gives no figure "
            f"there, nor for its stress), allowed {use.allowed_deflection:.2f} mm"
        )
    else:
        why = f"{use.case}: it bows {use.deflection:.2f} mm, allowed {use.allowed_deflection:.2f} mm: the view is distorted "
        why += "and the seam peels"
    return Finding(
        level="stop",
        check="strength",
        where=use.piece,
        why=why + also,
        do=do,
        source=use.allowed.source if use.governs == "stress" else ROARK if far else "limit of the order, judgement",
    )


def _place(use: Use) -> str:
    """Where it is stressed most, so that it is found on the piece."""
    x, y = use.at_mm
    if use.piece in ("bottom", "lid"):
        return f"{x:.0f} mm right of and {y:.0f} mm behind the inside's front left corner"
    return f"{x:.0f} mm right of and {y:.0f} mm above the inside's lower left corner, seen from outside"


def _seam(seam: SeamUse, also: str, do: str) -> Finding:
    return Finding(
        level="stop",
        check="strength",
        where=seam.seam,
        why=f"{seam.case}: the seam carries {seam.combined:.2f} MPa (peel {seam.bending:.2f}, pull {seam.tension:.2f}, "
        f"shear {seam.shear:.2f}), allowed {seam.allowed.value:.2f} MPa{also}",
        do=do,
        source=factor_source("joint_solvent"),
    )


def _over_mounts(mounts: Iterable[MountUse]) -> Iterator[Finding]:
    bonds: dict[str, list[MountUse]] = {}
    threads: dict[str, list[tuple[str, ThreadLoad]]] = {}
    edges: dict[str, list[tuple[str, EdgeLoad]]] = {}
    for mount in mounts:
        for edge in mount.edges:
            if edge.use > 1.0:
                edges.setdefault(edge.plate, []).append((mount.case, edge))
        if mount.bond.use > 1.0:
            bonds.setdefault(mount.group.names, []).append(mount)
        for thread in mount.threads:
            if thread.use > 1.0:
                threads.setdefault(thread.plate, []).append((mount.case, thread))
    for names, found in bonds.items():
        worst = max(found, key=lambda one: one.bond.use)
        yield Finding(
            level="stop",
            check="strength",
            where=names,
            why=f"{worst.case}: the plates' bond carries {worst.bond.combined:.2f} MPa (pull {worst.bond.tension:.2f}, shear "
            f"{worst.bond.shear:.2f}), allowed {worst.bond.allowed:.2f} MPa"
            + _also([m.case for m in found if m is not worst]),
            do="larger or more plates, plates further apart, or through bolts",
            source=factor_source("joint_solvent"),
        )
    for plate, found_edges in edges.items():
        yield _over_edge(plate, found_edges)
    for plate, loads in threads.items():
        case, load = max(loads, key=lambda one: one[1].use)
        yield _over_bolt(plate, case, load, _also([c for c, t in loads if t is not load]))


def _over_bolt(plate: str, case: str, load: ThreadLoad, also: str) -> Finding:
    """A bolt that carries too much, by its thread, its head, the wall that hangs on it or its slot."""
    tapped = not load.thread.endswith(("hole", "slot"))
    wall = f", the wall bends at its head with {load.wall_mpa:.2f} MPa" if load.wall_mpa else ""
    slides = "" if load.slide_n is None else f", friction holds {load.slide_n:.0f} N along the slot"
    return Finding(
        level="stop",
        check="strength",
        where=plate,
        why=f"{case}: a bolt pulls {load.pull_n:.0f} N and shears {load.shear_n:.0f} N; its {load.thread} holds "
        f"{load.holds_n:.0f} N, bearing {load.bearing_mpa:.2f} MPa{wall}{slides}{also}",
        do="round holes in place of slots, or more bolts"
        if slides
        else 'more bolts, a thicker wall, or behind = "plate"'
        if wall
        else "more bolts, a thicker plate or through bolts",
        source="ASME B1.1 appendix B, internal thread shear area"
        if tapped
        else "pressure of head or nut on the sheet; Roark's Formulas for Stress and Strain, table 11.2 (from memory)",
    )


def _over_edge(plate: str, loads: Sequence[tuple[str, EdgeLoad]]) -> Finding:
    case, load = max(loads, key=lambda one: one[1].use)
    return Finding(
        level="stop",
        check="strength",
        where=plate,
        why=f"{case}: it reaches {load.off_mm:.1f} mm past the edge of its face, and its bolts peel it off with "
        f"{load.peel:.2f} MPa, allowed {load.peel_allowed:.2f} MPa, and bend it with {load.bending:.2f} MPa, allowed "
        f"{load.bending_allowed:.2f} MPa" + _also([c for c, one in loads if one is not load]),
        do="move it onto the face, or take more plates",
        source="eccentric load on a rectangle, and a cantilever (Roark's Formulas for Stress and Strain; from memory)",
    )


def thickness_of(design: Design, proof: Proof) -> dict[str, float]:
    """The thickness of each panel that was proven, mm."""
    return {name: design.instance(name).piece.thickness_mm for name in dict.fromkeys(u.piece for u in proof.uses)}


def beyond_uses(design: Design, proof: Proof) -> frozenset[tuple[str, str]]:
    """The (case, panel) pairs whose deflection is beyond the method."""
    thick = thickness_of(design, proof)
    return frozenset((u.case, u.piece) for u in proof.uses if beyond(u.deflection, thick[u.piece]))


def proof_findings(design: Design, proof: Proof) -> tuple[Finding, ...]:
    """What the proof says, with deflections that are no figures left out, and each panel's bow said once."""
    thick = thickness_of(design, proof)
    return (*over(proof, thick), *alike(_large(proof, thick)), *proof.findings)


def unproven(design: Design, proof: Proof) -> tuple[Finding, ...]:
    """Panels that keep the order's limit and are yet beyond the method: no pass is given."""
    thick = thickness_of(design, proof)
    far = [u for u in _bowed(proof).values() if beyond(u.deflection, thick[u.piece]) and u.bow_use <= 1.0]
    return alike(
        Finding(
            level="care",
            check="strength",
            where=use.piece,
            why=f"not covered: {use.case}: it bows more than {BEYOND:g} thicknesses, where linear plate theory gives no "
            "figure, neither for the bow nor for the stress",
            do='a smaller [limits] deflection, such as "1/200", so that the sheet is chosen for it; or get it proven '
            "another way",
            source=ROARK,
        )
        for use in far
    )


def unresolved_panels(proof: Proof) -> tuple[Finding, ...]:
    """Of what the proof says, panels whose moments the solution does not settle: no pass is given. What is settled better is
    a note, since the stress is taken larger by as much."""
    return tuple(f for f in proof.findings if f.source == ORDERS and f.level == "care")


def _bowed(proof: Proof) -> Mapping[str, Use]:
    """Of each panel the case in which it bows most."""
    panels = [u for u in proof.uses if u.what == "panel"]
    return {
        n: max((u for u in panels if u.piece == n), key=lambda u: u.deflection) for n in {u.piece: 0 for u in panels}
    }


def _large(proof: Proof, thick: Mapping[str, float]) -> Iterator[Finding]:
    """Between half the thickness and the end of the method: the figure with a care."""
    bowed = _bowed(proof)
    for name, use in bowed.items():
        if not thick[name] / 2.0 < use.deflection <= BEYOND * thick[name]:
            continue
        loose = name in WALLS and "lid" not in bowed
        really = ends(loose) if use.deflection <= thick[name] else "it will really bow less"
        yield Finding(
            level="care",
            check="strength",
            where=name,
            why=f"{use.case}: it bows {use.deflection:.2f} mm, more than half its thickness of {thick[name]:g} mm: "
            f"small-deflection theory ends; {really}",
            do="treat the figure as rough; thicker sheet puts that right" + (", as does a rim strip" if loose else ""),
            source=ROARK,
        )
