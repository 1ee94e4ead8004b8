"""What is to be seen through the faces that an order says are looked through: one check, its figures, sentences and plot.

Flat walls, or a tube across its axis, and one clear liquid, seen from air in daylight; the sodium line stands for all colours.
Source: `flat`, `tube`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Final

from assemblies.fit import Fit
from assemblies.liquid.sight.seen import SeenFace, SeenTube, Sight, View, Wide
from assemblies.liquid.sight.told import sight_blocks
from assemblies.report.check import Check, Checked, Made, SectionOf
from parts.findings import Finding, NotCovered, SeamwrightError
from parts.stock.tube import TubeCut, TubeStock
from parts.tables import cite, load

if TYPE_CHECKING:
    from assemblies.liquid.sight.tube import Lens

__all__ = ["SIGHT"]

_VIEWS: Final = (15.0, 30.0, 45.0, 60.0)  # degrees from square, of the table
_PLACES: Final = 20  # of the bore, for the plot
_NEAR: Final = 0.02  # half width of light near the middle, of the outside
_EDGE: Final = 0.4
_ACROSS: Final[Mapping[str, tuple[int, str]]] = {
    "front": (1, "back"),
    "back": (1, "front"),
    "left": (0, "right"),
    "right": (0, "left"),
    "bottom": (2, "surface"),
}


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
    tube = next((p.piece.sheet.tube for p in made.design.placed if isinstance(p.piece.sheet, TubeCut)), None)
    if not (faces or tube) or not made.design.cavities:
        return Checked()
    given = filled(made.order, made.design)
    if given.volume_mm3 <= 0.0:
        return Checked()
    liquid, source = index_of(given.fluid.name)
    if tube is not None:
        wall = _index_of_sheet(tube.material)
        seen = _tube(made, tube, liquid, wall)
        sun = () if seen.turned is None else (_sun(seen.turned),)
        return Checked(figures=Sight(liquid=liquid, sheet=wall, source=source, tube=seen), findings=sun)
    wall = _index_of_sheet(made.order.sheet.material)
    corners = [p for face in given.cavity.faces for p in face.corners] if given.cavity.faces else []
    if not corners:
        return Checked()
    room = [max(p[i] for p in corners) - min(p[i] for p in corners) for i in range(3)]
    room[2] = given.settled().level_mm - given.settled().lowest_mm
    found = tuple(_face(made, face, room, liquid, wall) for face in faces if face in _ACROSS)
    return Checked(figures=Sight(liquid=liquid, sheet=wall, source=source, faces=found))


def _index_of_sheet(sheet: str) -> float:
    return next(
        float(r["value"])
        for r in load("pmma")
        if r["property"] == "refractive_index" and r["material"] in (sheet, "pmma")
    )


def _tube(made: Made, tube: TubeStock, liquid: float, wall_index: float) -> SeenTube:
    """A filled tube, looked through across its axis by someone level with it."""
    from assemblies.liquid.sight.flat import side_mirror
    from assemblies.liquid.sight.tube import seen_in_tube, tube_lens

    inner, wall = tube.inside_mm / 2.0, tube.wall_mm

    def at(deep: float) -> Wide:
        seen = seen_in_tube(inner, wall, deep, liquid, wall_index)
        return Wide(deep=deep, wider=seen.wider, behind=seen.behind)

    def meets(half_width: float) -> Lens | None:
        try:
            return tube_lens(inner, wall, liquid, wall_index, half_width)
        except SeamwrightError:
            return None

    outer = inner + wall
    near, edge = meets(_NEAR * outer), meets(_EDGE * outer)
    fit, floor = made.of(Fit), {p.name: p.box[0][2] for p in made.design.placed}
    own = [one.seam for one in fit.seams if "tube" in (one.seam.a, one.seam.b)] if fit else []
    ends = [p.name for p in made.design.placed if p.name in ("base", "ring", "lid")]
    return SeenTube(
        outside=tube.outside_mm,
        bore=tube.inside_mm,
        axis=at(inner),
        far=at(2.0 * inner),
        places=tuple(at(2.0 * inner * k / _PLACES) for k in range(1, _PLACES + 1)),
        fills=liquid * inner >= outer,
        turned=near.back if near else None,
        turned_edge=edge.back_edge if edge else None,
        mirror=math.degrees(side_mirror(liquid, wall_index).front),
        seams=tuple(sorted({seam.b if seam.a == "tube" else seam.a for seam in own})),
        edges=tuple(sorted(ends, key=lambda name: floor[name])),
    )


def _sun(behind: float) -> Finding:
    return Finding(
        level="care",
        check="sight",
        where="tube",
        why=f"filled it is a burning glass: the sun's light meets in a line {max(behind, 0.0):.0f} mm behind it",
        do="never leave it filled in the sun; cover it, or keep what burns away from behind it",
        source="computed: light near the middle of the tube, by the refraction at its four surfaces",
    )


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
        face=face,
        far=far,
        wall=wall,
        inside=room[axis],
        seems=apparent_depth(layers),
        views=tuple(views),
        mirror=math.degrees(side_mirror(liquid, wall_index).front),
        seams=tuple(sorted({(seam.b if seam.a == face else seam.a) for seam in border})),
        edges=_edges_in(made, face),
    )


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
    name="sight",
    run=_sight,
    after=("fit",),
    questions=("hold",),
    rows=lambda made, found: {"sight": found},
    sections=(SectionOf(id="sight", station="after", title="Looking through it", blocks=sight_blocks),),
)
