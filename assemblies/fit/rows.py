"""The `fit` section of the report."""

from __future__ import annotations

from assemblies.fit import Fit
from assemblies.report.base import Report

__all__ = ["fit_section"]


def fit_section(fit: Fit) -> Report:
    """The `fit` section; without solids compared it holds no `interferences`."""
    rows = [
        {
            "id": s.seam.id,
            "a": s.seam.a,
            "b": s.seam.b,
            "length": s.seam.length_mm,
            "width": s.seam.width_mm,
            "area": s.seam.area_mm2,
            "captive": s.gap.captive,
            "gap": {"nominal": s.gap.nominal, "min": s.gap.min, "max": s.gap.max, "rss": s.gap.rss},
            "goes_in": s.goes_in,
            "seals": s.seals,
            "centre": list(s.seam.centre),
        }
        for s in fit.seams
    ]
    loops = [
        {
            "piece": loop.piece,
            "between": list(loop.between),
            "seams": list(loop.seams),
            "left_over": loop.left_over_mm,
            "spread": loop.spread_mm,
            "rss": loop.rss_mm,
            "terms": [
                {"piece": t.piece, "size": t.size, "sign": t.sign, "nominal": t.nominal_mm, "error": t.plus_minus_mm}
                for t in loop.terms
            ],
        }
        for loop in fit.loops
    ]
    section: Report = {"seams": rows, "loops": loops}
    if fit.interferences is not None:
        section["interferences"] = [{"a": h.a, "b": h.b, "volume_mm3": h.volume_mm3} for h in fit.interferences]
    return section
