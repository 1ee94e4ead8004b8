"""Where the method ends: thick plates, large deflections, a solution that has not settled."""

from __future__ import annotations

import math
from typing import Final

from parts.findings import Finding

__all__ = [
    "BEYOND",
    "ORDERS",
    "ROARK",
    "SHEAR",
    "UNRESOLVED",
    "beyond",
    "coarse",
    "ends",
    "limits",
    "thick_share",
    "thick_span",
    "unresolved",
    "unsettled",
]

SETTLED = (
    0.02  # change of the largest moment between two orders, as a share: twenty times what plain plates and boxes show
)
#: The same, over which no pass is given (judgement).
COARSE: Final = 0.1
#: Deflection over this many thicknesses is no figure any more (judgement). At 3 thicknesses by linear theory a plate whose
#: edges cannot draw in really bows 1.3 to 1.8 of them, one whose edges can 2.1 to 2.7: up to twice too much is said, and what
#: the stretched middle pulls on the seams is not in it at all. Computed by von Karman's equations, in the tests.
BEYOND: Final = 3.0
ROARK: Final = "Roark's Formulas for Stress and Strain, chapter on flat plates: deflection up to t/2"
ORDERS: Final = "computed: two orders of the same method"
SHEAR: Final = "computed, nu 0.37: thin plate against one that yields in shear"
#: Clamped or not: span over thickness at which a thin plate bows 5 % too little.
_THICK: Final = {True: 20.0, False: 11.0}
#: What the floor's stress may be off where too many plates stand at different places.
UNRESOLVED: Final = 0.1


def unsettled(where: str, error: float) -> tuple[Finding, ...]:
    """A care when the estimated error of the moments is over 2 %; over 10 % it is not covered (judgement)."""
    if error <= SETTLED:
        return ()
    over = f", which is over {_percent(COARSE)}" if coarse(error) else ""
    why = f"the stress figure is uncertain by {_percent(error)}{over}: a support or a corner is "
    why += "sharper than the method resolves"
    do = "add that much to the stress, or check the place another way"
    if coarse(error):
        why, do = f"not covered: {why}", "spread the support or the load wider, or get it proven another way"
    return (Finding(level="care", check="strength", where=where, why=why, do=do, source=ORDERS),)


def coarse(error: float) -> bool:
    """Whether moments change so much with the order of the solution that no pass is given.

    >>> coarse(0.1), coarse(0.11)
    (False, True)
    """
    return error > COARSE


def _percent(share: float) -> str:
    """A share in percent, to two figures, without an exponent; what is over the limit never reads as the limit.

    >>> _percent(0.0345), _percent(0.1), _percent(0.1001), _percent(1.4)
    ('3.5 %', '10 %', '10.1 %', '140 %')
    """
    percent = max(100.0 * share, 10.1) if coarse(share) else 100.0 * share
    return f"{percent:.{1 if share < 0.0995 or (coarse(share) and share < 0.105) else 0}f} %"


def beyond(deflection: float, thickness: float) -> bool:
    """Whether a deflection by linear theory is so large that it is no figure any more.

    >>> beyond(8.9, 3.0), beyond(-9.1, 3.0)
    (False, True)
    """
    return abs(deflection) > BEYOND * thickness


def thick_span(thickness: float, clamped: bool) -> float:
    """The span below which a thin plate bows more than 5 % too little, mm."""
    return _THICK[clamped] * thickness


def thick_share(thickness: float, span: float, clamped: bool) -> float:
    """By what share a thin plate's deflection is too low: it grows with the square of thickness over span.

    Source: what yields in shear over what bends goes with (t / span)2 (Reissner's and Mindlin's plates); 5 % at the spans
        of `thick_span`. Valid: to t = span / 5; infinite beyond.

    >>> round(thick_share(8.0, 150.0, True), 3)
    0.057
    """
    if thickness > span / 5.0:
        return math.inf
    return 0.05 * (thick_span(thickness, clamped) / span) ** 2


def ends(loose: bool) -> str:
    """What is known of the linear deflection past half the thickness."""
    return "with an edge free to move it may be up to 3 % low" if loose else "held on four sides it is normally high"


def unresolved(where: str) -> tuple[Finding, ...]:
    """A care for a floor on plates whose bending at their edges is not resolved (judgement: `UNRESOLVED`)."""
    return (
        Finding(
            level="care",
            check="strength",
            where=where,
            why="the plates under it stand so unevenly that its bending at their edges is uncertain: its stress "
            f"may be up to {100.0 * UNRESOLVED:.0f} % larger",
            do="add that much to the stress, or place the plates alike left and right, or front and back",
            source="computed: boxes on plates with and without places beside the edges of the plates, up to 8 % apart",
        ),
    )


def limits(
    where: str, thickness: float, span: float, deflection: float, clamped: bool, loose: bool
) -> tuple[Finding, ...]:
    """Where thin-plate, small-deflection theory ends for a plate with this short span.

    Source: deflection more than t/2, Roark's stated limit; span/20 and span/11: beyond it the deflection is more
        than 5 % low, computed for nu = 0.37 by comparing thin plates with ones that yield in shear.
    """
    said = []
    if span < thick_span(thickness, clamped):
        share = thick_share(thickness, span, clamped)
        low = "far too low" if math.isinf(share) else f"about {100.0 * share:.0f} % low"
        said.append(
            Finding(
                level="care",
                check="strength",
                where=where,
                why=f"{thickness:g} mm is thick for a span of {span:.4g} mm (over span/{_THICK[clamped]:g}): "
                f"the deflection is {low}",
                do="add that much to the deflection",
                source=SHEAR,
            )
        )
    if beyond(deflection, thickness):
        why = f"it bows more than {BEYOND:g} thicknesses, beyond the method: linear plate theory gives no figure there"
    elif abs(deflection) > thickness / 2.0:
        why = f"deflection {abs(deflection):.3g} mm is over half the thickness: small-deflection theory ends; {ends(loose)}"
    else:
        return tuple(said)
    do = "take a thicker sheet" + (", or a strip or brace at the free edge" if loose else "")
    said.append(Finding(level="care", check="strength", where=where, why=why, do=do, source=ROARK))
    return tuple(said)
