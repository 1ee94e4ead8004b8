"""Edges joined by tabs, as solvent takes them: all the small faces of one edge are one seam."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from assemblies.design.model import Design
from assemblies.fit.check import SeamFit
from assemblies.fit.seams import Seam, seams
from assemblies.fit.tolerance import Gap
from parts.stock.rules import rule
from parts.vectors import cross, dot

__all__ = ["TABS", "tabbed_seams"]

TABS = "tab and slot"


def tabbed_seams(design: Design) -> Iterator[SeamFit]:
    """One seam for each pair of pieces that tabs join: its length that of the edge, its area that of all faces that meet, its
    gap the widest of them as drawn. Tape does not close it: the tabs set it."""
    pairs = {frozenset((j.a, j.b)) for j in design.joints if j.kind == TABS}
    if not pairs:
        return
    found: dict[tuple[str, str], list[Seam]] = {}
    for seam in seams(design):
        if frozenset((seam.a, seam.b)) in pairs:
            found.setdefault((seam.a, seam.b), []).append(seam)
    for number, faces in enumerate(found.values(), start=1):
        one = _joined(design, faces, number)
        widest = max(abs(face.gap_mm) for face in faces)
        okay, stop = rule("gap_ok"), rule("gap_stop")
        gap = Gap(nominal=one.gap_mm, min=min(f.gap_mm for f in faces), max=widest, rss=widest, captive=True)
        yield SeamFit(
            seam=one, gap=gap, goes_in=True, seals="ok" if widest <= okay else "care" if widest <= stop else "stop"
        )


def _joined(design: Design, faces: Sequence[Seam], number: int) -> Seam:
    """All faces of an edge as one: along the line in which the two sheets meet."""
    largest = max(faces, key=lambda face: face.area_mm2)
    a, b = design.instance(largest.a), design.instance(largest.b)
    along = cross(a.z, b.z)
    reach = [dot(corner, along) for face in faces for corner in face.corners]
    length, area = max(reach) - min(reach), sum(face.area_mm2 for face in faces)
    return replace(
        largest,
        id=f"T{number}",
        along=along,
        length_mm=length,
        width_mm=area / length,
        area_mm2=area,
        gap_mm=max((face.gap_mm for face in faces), key=abs),
    )
