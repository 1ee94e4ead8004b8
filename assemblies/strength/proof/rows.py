"""The rows of the report on strength."""

from __future__ import annotations

from typing import Any

from assemblies.report.check import Made, Rows
from assemblies.strength.plates.limits import BEYOND
from assemblies.strength.proof.figures import Strength

__all__ = ["strength_rows"]


def strength_rows(made: Made, strength: Strength) -> Rows:
    """`strength` of the report. `beyond_method` marks rows whose panel bows more than `largest_bow` thicknesses in that case:
    neither their deflection nor their stress is a figure to go by."""
    proof, far = strength.proof, strength.beyond
    cases = [
        {
            "case": u.case,
            "piece": u.piece,
            "what": u.what,
            "stress": u.stress,
            "at": list(u.at_mm),
            "allowed": u.allowed.value,
            "deflection": u.deflection,
            "allowed_deflection": u.allowed_deflection,
            "use": u.use,
            "governs": u.governs,
            "beyond_method": (u.case, u.piece) in far,
            "error": u.error,
            "terms": u.allowed.terms,
        }
        for u in proof.uses
    ]
    seam_rows = [
        {
            "case": s.case,
            "seam": s.seam,
            "butts": s.butts,
            "bending": s.bending,
            "tension": s.tension,
            "shear": s.shear,
            "stress": s.combined,
            "allowed": s.allowed.value,
            "at": s.at_mm,
            "use": s.use,
            "terms": s.allowed.terms,
        }
        for s in proof.seams
    ]
    mounting = [
        {
            "case": m.case,
            "plates": m.group.names,
            "force": list(m.bond.force_n),
            "moment": list(m.bond.moment_nmm),
            "tension": m.bond.tension,
            "shear": m.bond.shear,
            "stress": m.bond.combined,
            "allowed": m.bond.allowed,
            "use": m.bond.use,
        }
        for m in proof.mounts
    ]
    section = {
        "thickness": {
            n: p.piece.thickness_mm
            for n, p in ((p.name, p) for p in made.design.placed)
            if p.piece.kind in ("panel", "base")
        },
        "largest_bow": BEYOND,
        "cases": cases,
        "seams": seam_rows,
        "threads": _thread_rows(strength),
        "mounting": mounting,
        "good_for": vars(strength.good_for),
        "covered": strength.covered,
    }
    return {"strength": section}


def _thread_rows(strength: Strength) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = []
    for mount in strength.proof.mounts:
        for t in mount.threads:
            rows.append(
                {
                    "case": mount.case,
                    "plate": t.plate,
                    "thread": t.thread,
                    "pull": t.pull_n,
                    "shear": t.shear_n,
                    "holds": t.holds_n,
                    "engagement": t.engagement_mm,
                    "shear_area": t.area_mm2,
                    "bearing": t.bearing_mpa,
                    "use": t.use,
                }
            )
    for one in strength.tightening:
        rows.append(
            {
                "plate": one.plate,
                "thread": one.thread,
                "torque_Nm": one.torque_nm,
                "longest_bolt": one.longest_bolt_mm,
            }
        )
    return rows
