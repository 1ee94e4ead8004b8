"""What a proof says: one finding for each thing over its limit, and what the solver noticed, each said once."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace

from assemblies.strength.allowed import factor_source
from assemblies.strength.mounting import ThreadLoad
from assemblies.strength.uses import MountUse, Proof, SeamUse, Use
from parts.findings import Finding

__all__ = ["merged", "over"]

_NUMBER = re.compile(r"-?\d+(?:\.\d+)?(?:e[-+]?\d+)?")
_TAKEN = "nothing: the stress is already taken larger by that much"


def merged(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Each finding once: of those that differ in their figures only (one for each case) the one with the largest."""
    kept: dict[tuple[str, str, str], Finding] = {}
    for finding in findings:
        if finding.do.startswith("take the stress larger by that much"):
            finding = replace(finding, level="note", do=_TAKEN)
        key = (finding.where, finding.level, _NUMBER.sub("#", finding.why))
        if key not in kept or _figures(finding) > _figures(kept[key]):
            kept[key] = finding
    return tuple(kept.values())


def _figures(finding: Finding) -> tuple[float, ...]:
    return tuple(abs(float(text)) for text in _NUMBER.findall(finding.why))


def over(proof: Proof) -> tuple[Finding, ...]:
    """A stop for every panel, seam, bond and thread over its limit: its worst case, and in which others.

    What is said alike of several places, as of the left and the right wall, is said once.
    """
    alike: dict[Finding, list[str]] = {}
    for finding in _over(proof):
        alike.setdefault(replace(finding, where=""), []).append(finding.where)
    return tuple(replace(finding, where=", ".join(places)) for finding, places in alike.items())


def _over(proof: Proof) -> Iterator[Finding]:
    by_place: dict[tuple[str, ...], list[Use | SeamUse]] = {}
    everything: list[Use | SeamUse] = [*proof.uses, *proof.seams]
    for use in everything:
        if use.use > 1.0:
            key = (use.piece, use.what, use.governs) if isinstance(use, Use) else (use.seam,)
            by_place.setdefault(key, []).append(use)
    for uses in by_place.values():
        worst = max(uses, key=lambda one: one.use)
        also = _also([u.case for u in uses if u is not worst])
        yield _panel(worst, also) if isinstance(worst, Use) else _seam(worst, also)
    yield from _over_mounts(proof.mounts)


def _also(cases: list[str]) -> str:
    return f"; over in {', '.join(dict.fromkeys(cases))} too" if cases else ""


def _panel(use: Use, also: str) -> Finding:
    if use.governs == "stress":
        plain = f"{use.stress:.2f} MPa at ({use.at_mm[0]:.0f}, {use.at_mm[1]:.0f}) mm, allowed {use.allowed.value:.2f}"
        why = f"{use.case}: {'the edge of a hole carries ' if use.what == 'hole' else 'it carries '}{plain}"
    else:
        why = f"{use.case}: it bows {use.deflection:.2f} mm, allowed {use.allowed_deflection:.2f}: the view is distorted and "
        why += "the seam peels"
    return Finding(
        level="stop",
        check="strength",
        where=use.piece,
        why=why + also,
        do="thicker sheet, a rim strip, a brace, a lower fill or gentler motion",
        source=use.allowed.source if use.governs == "stress" else "limit of the order, judgement",
    )


def _seam(seam: SeamUse, also: str) -> Finding:
    return Finding(
        level="stop",
        check="strength",
        where=seam.seam,
        why=f"{seam.case}: the seam carries {seam.combined:.2f} MPa (peel {seam.bending:.2f}, pull {seam.tension:.2f}, "
        f"shear {seam.shear:.2f}), allowed {seam.allowed.value:.2f}{also}",
        do="thicker sheet, a rim strip or corner strips, a lower fill or gentler motion",
        source=factor_source("joint_solvent"),
    )


def _over_mounts(mounts: Iterable[MountUse]) -> Iterator[Finding]:
    bonds: dict[str, list[MountUse]] = {}
    threads: dict[str, list[tuple[str, ThreadLoad]]] = {}
    for mount in mounts:
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
            f"{worst.bond.shear:.2f}), allowed {worst.bond.allowed:.2f}"
            + _also([m.case for m in found if m is not worst]),
            do="larger or more plates, plates further apart, or through bolts",
            source=factor_source("joint_solvent"),
        )
    for plate, loads in threads.items():
        case, load = max(loads, key=lambda one: one[1].use)
        yield Finding(
            level="stop",
            check="strength",
            where=plate,
            why=f"{case}: a bolt pulls {load.pull_n:.0f} N and shears {load.shear_n:.0f} N; its {load.thread} thread holds "
            f"{load.holds_n:.0f} N, bearing {load.bearing_mpa:.2f} MPa" + _also([c for c, t in loads if t is not load]),
            do="more bolts, a thicker plate or through bolts",
            source="ASME B1.1 appendix B, internal thread shear area",
        )
