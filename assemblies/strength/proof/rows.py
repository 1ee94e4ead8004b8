"""The rows of the report on strength."""

from __future__ import annotations

from typing import Any

from assemblies.report.check import Made, Rows
from assemblies.strength.plates.limits import BEYOND
from assemblies.strength.proof.figures import Strength, Tightening
from assemblies.strength.proof.uses import MountUse, SeamUse, Use, WholeUse

__all__ = ["strength_rows"]


def strength_rows(made: Made, strength: Strength) -> Rows:
    """`strength` of the report. `beyond_method` marks rows whose panel bows more than `largest_bow` thicknesses in that case:
    neither their deflection nor their stress is a figure to go by."""
    proof = strength.proof
    section = {
        "thickness": {
            n: p.piece.thickness_mm
            for n, p in ((p.name, p) for p in made.design.placed)
            if p.piece.role in ("shell", "lid")
        },
        **({"proven_at": strength.proven_at} if strength.proven_at else {}),
        **({"until": strength.until} if strength.until else {}),
        "largest_bow": BEYOND,
        "whole": [_whole(w) for w in proof.whole],
        "cases": [_panel(u, (u.case, u.piece) in strength.beyond) for u in proof.uses],
        "seams": [_seam(s) for s in proof.seams],
        "threads": [*(row for m in proof.mounts for row in _threads(m)), *(_bolts(t) for t in strength.tightening)],
        "mounting": [_mount(m) for m in proof.mounts],
        "good_for": vars(strength.good_for),
        "covered": strength.covered,
    }
    return {"strength": section}


def _panel(u: Use, beyond: bool) -> dict[str, Any]:
    return {
        "case": u.case,
        "piece": u.piece,
        "what": u.what,
        "stress": u.stress,
        "at": u.at_mm,
        "allowed": u.allowed.value,
        "deflection": u.deflection,
        "allowed_deflection": u.allowed_deflection,
        "use": u.use,
        "governs": u.governs,
        "beyond_method": beyond,
        "error": u.error,
        "terms": u.allowed.terms,
    }


def _whole(w: WholeUse) -> dict[str, Any]:
    return {"case": w.case, "sag": w.sag, "drop": w.drop, "lean": w.lean, "allowed": w.allowed, "use": w.use}


def _seam(s: SeamUse) -> dict[str, Any]:
    return {
        "case": s.case,
        "seam": s.seam,
        "butts": s.butts,
        "bending": s.bending,
        "tension": s.tension,
        "shear": s.shear,
        "stress": s.combined,
        "allowed": s.allowed.value,
        "at": s.at_mm,
        "doubt": s.doubt,
        "use": s.use,
        "terms": s.allowed.terms,
    }


def _mount(m: MountUse) -> dict[str, Any]:
    return {
        "case": m.case,
        "plates": m.group.names,
        "force": m.bond.force_n,
        "moment": m.bond.moment_nmm,
        "tension": m.bond.tension,
        "shear": m.bond.shear,
        "stress": m.bond.combined,
        "allowed": m.bond.allowed,
        "use": m.bond.use,
        **({"overhang": [{**vars(one), "use": one.use} for one in m.edges]} if m.edges else {}),
    }


def _threads(m: MountUse) -> list[dict[str, Any]]:
    return [
        {
            "case": m.case,
            "plate": t.plate,
            "thread": t.thread,
            "pull": t.pull_n,
            "shear": t.shear_n,
            "holds": t.holds_n,
            "engagement": t.engagement_mm,
            "shear_area": t.area_mm2,
            "bearing": t.bearing_mpa,
            "use": t.use,
            **({"wall": t.wall_mpa} if t.wall_mpa else {}),
            **({"slides_at": t.slide_n} if t.slide_n is not None else {}),
        }
        for t in m.threads
    ]


def _bolts(t: Tightening) -> dict[str, Any]:
    return {"plate": t.plate, "thread": t.thread, "torque_Nm": t.torque_nm, "longest_bolt": t.longest_bolt_mm}
