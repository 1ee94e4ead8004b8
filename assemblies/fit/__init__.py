"""Will it go together: seams and gaps from the outlines, interference from the solids."""

from __future__ import annotations

from assemblies.fit.check import Fit, FitRules, SeamFit, check_fit
from assemblies.fit.seams import Seam, seams
from assemblies.fit.tolerance import Allowances, Gap, Loop, Term, captive_loops

__all__ = [
    "Allowances",
    "Fit",
    "FitRules",
    "Gap",
    "Loop",
    "Seam",
    "SeamFit",
    "Term",
    "captive_loops",
    "check_fit",
    "seams",
]
