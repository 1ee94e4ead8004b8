"""The `liquid` and `strength` sections of the report, from what the engines returned."""

from __future__ import annotations

from typing import Any

from assemblies.design.model import Design
from assemblies.strength.bonds.mounting import longest_bolt, tightening_torque_nm
from assemblies.strength.plates.limits import BEYOND
from assemblies.strength.proof.uses import Proof
from assemblies.strength.tank.bow import beyond_uses

__all__ = ["strength_section"]


def strength_section(design: Design, proof: Proof) -> dict[str, Any]:
    """The uses as plain rows. `beyond_method` marks rows whose panel bows more than `largest_bow` thicknesses in that case:
    neither their deflection nor their stress is a figure to go by."""
    far = beyond_uses(design, proof)
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
    return {
        "thickness": {
            n: p.piece.thickness_mm for n, p in ((p.name, p) for p in design.placed) if p.piece.role in ("shell", "lid")
        },
        "largest_bow": BEYOND,
        "cases": cases,
        "seams": seam_rows,
        "threads": _thread_rows(design, proof),
        "mounting": mounting,
    }


def _thread_rows(design: Design, proof: Proof) -> list[dict[str, Any]]:
    rows = []
    for mount in proof.mounts:
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
    for placed in design.placed:
        if placed.piece.role == "mount":
            torque = tightening_torque_nm(placed, placed.piece.sheet.substance)
            rows.append(
                {
                    "plate": placed.name,
                    "thread": placed.piece.holes[0].thread if placed.piece.holes else None,
                    "torque_Nm": torque,
                    "longest_bolt": longest_bolt(placed) if placed.piece.holes else None,
                }
            )
    return rows
