"""Will it go together: seams and gaps from the outlines, interference from the solids."""

from __future__ import annotations

from assemblies.fit.check import Fit, check_fit
from assemblies.fit.joints import JOINT_KINDS, FitRules, JointKind, SeamFit, joint_kind
from assemblies.fit.seams import Seam, seams
from assemblies.fit.tolerance import Allowances, Gap, Loop, Term, captive_loops

__all__ = [
    "JOINT_KINDS",
    "Allowances",
    "Fit",
    "FitRules",
    "Gap",
    "JointKind",
    "Loop",
    "Seam",
    "SeamFit",
    "Term",
    "captive_loops",
    "check_fit",
    "joint_kind",
    "seams",
]
