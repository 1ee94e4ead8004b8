"""Where the method ends: thick plates, large deflections, a solution that has not settled."""

from __future__ import annotations

from parts.findings import Finding

__all__ = ["limits", "unsettled"]

SETTLED = (
    0.02  # change of the largest moment between two orders, as a share: twenty times what plain plates and boxes show
)


def unsettled(where: str, error: float) -> tuple[Finding, ...]:
    """A care when the estimated error of the moments is over 2 % (judgement)."""
    if error <= SETTLED:
        return ()
    return (
        Finding(
            level="care",
            check="strength",
            where=where,
            why=f"the moments still change by {100.0 * error:.2g} % with the order of the solution: "
            "a support or a corner is sharper than the method resolves",
            do="take the stress larger by that much, or look at the place by other means",
            source="two orders of the same method",
        ),
    )


def limits(
    where: str, thickness: float, span: float, deflection: float, clamped: bool, loose: bool
) -> tuple[Finding, ...]:
    """Where thin-plate, small-deflection theory ends for a plate with this short span.

    Source: deflection more than t/2, Roark's stated limit; span/20 and span/11: beyond it the deflection is more
        than 5 % low,
    computed for nu = 0.37 by comparing thin plates with ones that yield in shear.
    """
    said = []
    ratio = 20.0 if clamped else 11.0
    if thickness > span / ratio:
        said.append(
            Finding(
                level="care",
                check="strength",
                where=where,
                why=f"{thickness:g} mm is thick for a span of {span:.4g} mm (over span/{ratio:g}): "
                "the deflection may be more than 5 % low",
                do="allow for a larger deflection",
                source="computed, nu 0.37: thin plate against one that yields in shear",
            )
        )
    if abs(deflection) > thickness / 2.0:
        ends = (
            "with an edge free to move it may be up to 3 % low" if loose else "held on four sides it is normally high"
        )
        said.append(
            Finding(
                level="care",
                check="strength",
                where=where,
                why=f"deflection {abs(deflection):.3g} mm is over half the thickness: small-deflection theory ends; "
                + ends,
                do="take a thicker sheet, or a strip or brace at the free edge",
                source="Roark's Formulas for Stress and Strain, chapter on flat plates: deflection up to t/2",
            )
        )
    return tuple(said)
