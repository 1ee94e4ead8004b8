"""What is said of panels that bow much, or are thick for their span, from the figures that the report shows.

The solver says it of the elastic deflection of one load; here it is said of the deflection with creep, the worst case of each
panel, and against what the order allows.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from assemblies.design.model import Design
from assemblies.strength.boxes.setting import WALLS
from assemblies.strength.plates.limits import BEYOND, ORDERS, ROARK, SHEAR, beyond, ends, thick_share, thick_span
from assemblies.strength.proof.uses import Proof, Use
from assemblies.strength.tank.said import alike, over
from parts.findings import Finding

__all__ = ["beyond_uses", "proof_findings", "thickness_of", "unproven", "unresolved_panels"]


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
    others = [f for f in proof.findings if f.source not in (ROARK, SHEAR)]
    return (*over(proof, thick), *alike(_large(proof, thick)), *_thick(design, proof, thick), *others)


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
            do='a smaller [limits] deflection, such as "1/200", so that the sheet is chosen for it; or have it proven '
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
        really = ends(loose) if use.deflection <= thick[name] else "it really bows less"
        yield Finding(
            level="care",
            check="strength",
            where=name,
            why=f"{use.case}: it bows {use.deflection:.2f} mm, more than half its thickness of {thick[name]:g} mm: "
            f"small-deflection theory ends; {really}",
            do="read the figure as a rough one; thicker sheet brings it back"
            + (", as does a rim strip" if loose else ""),
            source=ROARK,
        )


def _thick(design: Design, proof: Proof, thick: Mapping[str, float]) -> Iterator[Finding]:
    """Panels that bow more than a thin plate would: a note where the limit is kept all the same, else a care; those that are
    over the limit as they are have their stop."""
    found: dict[tuple[float, float, bool], list[Use]] = {}
    for name, use in _bowed(proof).items():
        span = _short_span(design, name)
        if span < thick_span(thick[name], True) and use.bow_use <= 1.0:
            used = use.bow_use * (1.0 + thick_share(thick[name], span, True))
            found.setdefault((thick[name], span, used <= 1.0), []).append(use)
    for (thickness, span, kept), uses in found.items():
        low = thick_share(thickness, span, True)
        used = max(u.bow_use for u in uses) * (1.0 + low)
        why = f"{thickness:g} mm is thick for a span of {span:.4g} mm: "
        if math.isinf(low):
            why += "no plate any more, so that its bow is no figure"
        else:
            why += f"by thin-plate theory it bows about {100.0 * low:.0f} % too little; with that it bows "
            why += f"{100.0 * used:.0f} % of what is allowed"
        yield Finding(
            level="note" if kept else "care",
            check="strength",
            where=", ".join(u.piece for u in uses),
            why=why,
            do=""
            if kept
            else "have its bow looked at another way"
            if math.isinf(low)
            else "thicker sheet or a lower fill",
            source=SHEAR,
        )


def _short_span(design: Design, panel: str) -> float:
    """The shorter inside side of a panel, mm."""
    corners: Sequence[tuple[float, float, float]] = [c for f in design.cavities[0].faces for c in f.corners]
    length, width, height = (max(c[k] for c in corners) - min(c[k] for c in corners) for k in range(3))
    sides = {"front": (length, height), "back": (length, height), "left": (width, height), "right": (width, height)}
    return min(sides.get(panel, (length, width)))
