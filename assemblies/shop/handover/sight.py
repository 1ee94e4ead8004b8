"""What is to be seen through the faces that an order says are looked through: one check, its figures, sentences and plot.

Flat walls and one clear liquid, seen from air in daylight; the sodium line stands for all colours. Source: `flat`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

from assemblies.fit import Fit
from assemblies.liquid.sight.seen import SeenFace, Sight, View
from assemblies.liquid.sight.told import sight_blocks
from assemblies.report.check import Check, Checked, Made, SectionOf
from parts.findings import NotCovered
from parts.tables import cite, load

__all__ = ["SIGHT"]

_VIEWS: Final = (15.0, 30.0, 45.0, 60.0)  # degrees from square, of the table
_ACROSS: Final[Mapping[str, tuple[int, str]]] = {
    "front": (1, "back"), "back": (1, "front"), "left": (0, "right"), "right": (0, "left"), "bottom": (2, "surface"),
}  # fmt: skip


def index_of(fluid: str) -> tuple[float, str]:
    """The refractive index of a clear liquid, and its source.

    Raises:
        NotCovered: the liquid is not in the table.
    """
    row = next((row for row in load("refraction") if row["fluid"] == fluid), None)
    if row is None:
        raise NotCovered(f"how {fluid} bends light is not known: no index in the table, or it is not clear")
    return float(row["index"]), cite(row["source"], row["clause"], row["how_known"])


def _sight(made: Made) -> Checked:
    from assemblies.liquid.state import filled

    faces = tuple(getattr(made.order.tables.get(made.order.kind), "seen_from", ()))
    if not faces or not made.design.cavities:
        return Checked()
    given = filled(made.order, made.design)
    if given.cavity.cylinder is not None or given.volume_mm3 <= 0.0:
        return Checked()
    liquid, source = index_of(given.fluid.name)
    sheet = made.order.sheet.material
    wall = next(
        float(r["value"])
        for r in load("pmma")
        if r["property"] == "refractive_index" and r["material"] in (sheet, "pmma")
    )
    corners = [p for face in given.cavity.faces for p in face.corners] if given.cavity.faces else []
    if not corners:
        return Checked()
    room = [max(p[i] for p in corners) - min(p[i] for p in corners) for i in range(3)]
    room[2] = given.settled().level_mm - given.settled().lowest_mm
    found = tuple(_face(made, face, room, liquid, wall) for face in faces if face in _ACROSS)
    return Checked(figures=Sight(liquid=liquid, sheet=wall, source=source, faces=found))


def _face(made: Made, face: str, room: list[float], liquid: float, wall_index: float) -> SeenFace:
    from assemblies.liquid.sight.flat import apparent_depth, fan, shifted, side_mirror

    axis, far = _ACROSS[face]
    wall = made.design.instance(face).piece.sheet.thickness_mm
    layers = [(wall, wall_index), (room[axis], liquid)]
    whole = [*layers, *([] if face == "bottom" else [(wall, wall_index)])]
    views = []
    for degrees in _VIEWS:
        angle = math.radians(degrees)
        in_plane, across = fan(layers, angle)
        views.append(View(angle=degrees, in_plane=in_plane, across=across, aside=shifted(whole, angle).aside))
    fit = made.of(Fit)
    border = [one.seam for one in fit.seams if face in (one.seam.a, one.seam.b)] if fit else []
    return SeenFace(
        face=face, far=far, wall=wall, inside=room[axis], seems=apparent_depth(layers), views=tuple(views),
        mirror=math.degrees(side_mirror(liquid, wall_index).front),
        seams=tuple(sorted({(seam.b if seam.a == face else seam.a) for seam in border})), edges=_edges_in(made, face),
    )  # fmt: skip


def _edges_in(made: Made, face: str) -> tuple[str, ...]:
    """Panels that run past this one, so that their cut edges are seen beside it."""
    axis, _ = _ACROSS[face]
    own = made.design.instance(face).box
    low = face in ("front", "left", "bottom")
    outer = own[0][axis] if low else own[1][axis]
    shown = []
    for placed in made.design.placed:
        reach = placed.box[0][axis] if low else placed.box[1][axis]
        if placed.name != face and placed.piece.role == "shell" and abs(reach - outer) < 0.05:
            shown.append(placed.name)
    return tuple(sorted(shown))


SIGHT: Final = Check(
    name="sight", run=_sight, after=("fit",), questions=("hold",), rows=lambda made, found: {"sight": found},
    sections=(SectionOf(id="sight", station="after", title="Looking through it", blocks=sight_blocks),),
)  # fmt: skip
