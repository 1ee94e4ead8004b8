"""The child process that renders a picture: reads a scene from standard input, writes a PNG file, and ends.

Clear sheet is drawn as it looks: faces one sees through, cut edges that glow in the tint of the piece, every edge a line. The
liquid is its room cut level; what is bought is metal; seams that do not seal bear their figure.
Colours, light and camera are judgement.
"""

from __future__ import annotations

import ctypes
import math
import pickle
import sys
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise, product
from typing import Any, Final

import numpy as np

from assemblies.design.model import Placed, flat_parts
from assemblies.fit.apart.facets import Facets, Floats, chains, facets, frame
from assemblies.packet.models.hardware import Body
from assemblies.packet.models.scene import FROM, Pool, Scene, SeamFace
from assemblies.packet.models.shapes import rod, square_to
from assemblies.packet.models.tints import body_tint, tint, water_tint
from parts.shape.part import require

__all__ = ["main"]

_SAGITTA_MM: Final = 0.02
_VIEW_DEG: Final = 18.0
_AIR: Final = 1.06  # the picture over what is in it
_PEELS: Final = 40
_BACK: Final = (0.965, 0.972, 0.980)
_LINE: Final = (0.16, 0.24, 0.32)
_WATER_LINE: Final = (0.04, 0.36, 0.56)
_BAD: Final = (0.80, 0.30, 0.28)
_LEVELS: Final = {"care": (0.48, 0.30, 0.0), "stop": (0.63, 0.11, 0.11)}  # as on the page
_FREE_MM: Final = 0.1  # of the liquid from the walls
_UNDER_MM: Final = 2.0 * _FREE_MM  # a surface at the brim is cut just under it
_NO_LIBRARY: Final = 3


def main() -> int:
    """Render what standard input holds; 0 when it is written, 3 when there is nothing to render with."""
    window = _window()
    if window is None:
        return _NO_LIBRARY
    try:
        scene, path, size = pickle.load(sys.stdin.buffer)
    except EOFError:
        return 0  # whoever started it has gone, or wants no picture
    _render(window, scene, path, size)
    return 0


def _window() -> Any:
    """A window that is nowhere on a screen, by the first library that is there."""
    import vtkmodules.vtkRenderingOpenGL2 as gl
    from vtkmodules.vtkRenderingCore import vtkRenderWindow

    if not sys.platform.startswith("linux"):
        return vtkRenderWindow()
    if _there("libEGL.so.1"):
        return gl.vtkEGLRenderWindow()
    if any(_there(f"libOSMesa.so.{n}") for n in (8, 6)):
        return gl.vtkOSOpenGLRenderWindow()
    return None


def _there(library: str) -> bool:
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def _render(window: Any, scene: Scene, path: str, size: tuple[int, int]) -> None:
    from vtkmodules.vtkIOImage import vtkPNGWriter
    from vtkmodules.vtkRenderingCore import vtkRenderer, vtkWindowToImageFilter

    renderer = vtkRenderer()
    renderer.SetBackground(*_BACK)
    for actor in _everything(scene):
        renderer.AddActor(actor)
    renderer.SetUseDepthPeeling(1)
    renderer.SetMaximumNumberOfPeels(_PEELS)
    renderer.SetOcclusionRatio(0.0)
    renderer.UseFXAAOn()
    _look(renderer, scene, size)
    window.SetOffScreenRendering(1)
    window.SetMultiSamples(0)
    window.SetAlphaBitPlanes(1)
    window.SetSize(*size)
    window.AddRenderer(renderer)
    _write_marks(renderer, scene, size)
    window.Render()
    grab = vtkWindowToImageFilter()
    grab.SetInput(window)
    grab.ReadFrontBufferOff()
    grab.ShouldRerenderOff()  # it is drawn: once more costs as much again
    grab.Update()
    writer = vtkPNGWriter()
    writer.SetFileName(path)
    writer.SetInputConnection(grab.GetOutputPort())
    writer.Write()


def _everything(scene: Scene) -> Iterator[Any]:
    bad = {name for mark in scene.marks if mark.level == "stop" for name in mark.red}
    for each in scene.placed:
        yield from _actors(each, _BAD if each.name in bad else None)
    for body in scene.bodies:
        yield from _metal(body)
    if scene.pool is not None:
        yield from _liquid(scene.pool)
    for seam in scene.seams:
        if seam.level != "ok":
            yield _surface(_box(seam), _LEVELS[seam.level], 0.85, glow=0.35)


# ---- the pieces


def _actors(placed: Placed, bad: tuple[float, ...] | None) -> Iterable[Any]:
    """Faces, cut edges, walls of holes, and lines of one piece; in red what does not go in."""
    red, green, blue, opaque = (*bad, 0.5) if bad else tint(placed.piece.kind)
    require(placed.piece, "the picture", "bends", "pockets", "bevels", "tube")
    shape = facets(placed, _SAGITTA_MM, False)
    deep = tuple(0.9 * c**2 for c in (red, green, blue))  # light that is led to a cut edge comes out coloured
    yield _surface(_caps(shape), (red, green, blue), 0.5 * opaque)
    yield _surface(_quads(shape.quads[shape.outer]), deep, min(0.9, 0.3 + opaque), glow=0.35)
    holes = ~shape.outer & ~shape.curved
    if holes.any():
        yield _surface(_quads(shape.quads[holes]), deep, min(0.8, 0.15 + opaque))
    if shape.curved.any():
        yield _surface(_quads(shape.quads[shape.curved]), (red, green, blue), 0.5 * opaque)
    yield _lines(_edges(placed, shape))


def _poly(points: Floats, cells: Iterable[Sequence[int]], *, lines: bool = False) -> Any:
    from vtkmodules.vtkCommonCore import vtkPoints
    from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPolyData

    data, places, array = vtkPolyData(), vtkPoints(), vtkCellArray()
    places.SetDataTypeToDouble()
    for point in points:
        places.InsertNextPoint(*point)
    for cell in cells:
        array.InsertNextCell(len(cell))
        for number in cell:
            array.InsertCellPoint(number)
    data.SetPoints(places)
    if lines:
        data.SetLines(array)
    else:
        data.SetPolys(array)
    return data


def _quads(quads: Floats) -> Any:
    return _poly(quads.reshape(-1, 3), np.arange(4 * len(quads)).reshape(-1, 4).tolist())


def _caps(shape: Facets) -> Any:
    """The faces square to the sheet, their openings cut out."""
    from vtkmodules.vtkFiltersCore import vtkAppendPolyData
    from vtkmodules.vtkFiltersGeneral import vtkContourTriangulator

    joined = vtkAppendPolyData()
    for rings in shape.rings:
        starts = np.cumsum([0, *(len(ring) for ring in rings)])
        cells = [[*range(a, b), a] for a, b in pairwise(starts)]
        triangles = vtkContourTriangulator()
        triangles.SetInputData(_poly(np.concatenate(rings), [[int(n) for n in cell] for cell in cells], lines=True))
        triangles.Update()
        joined.AddInputData(triangles.GetOutput())
    joined.Update()
    return joined.GetOutput()


def _surface(data: Any, colour: tuple[float, ...], opaque: float, *, glow: float = 0.0) -> Any:
    from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

    mapper, actor = vtkPolyDataMapper(), vtkActor()
    mapper.SetInputData(data)
    actor.SetMapper(mapper)
    surface = actor.GetProperty()
    surface.SetColor(*colour)
    surface.SetOpacity(opaque)
    surface.SetInterpolationToFlat()
    surface.SetAmbient(0.45 + glow)
    surface.SetDiffuse(0.6 - glow)
    surface.SetSpecular(0.25)
    surface.SetSpecularPower(30.0)
    return actor


def _edges(placed: Placed, shape: Facets) -> list[Floats]:
    """Every edge as a chain of points: round each face and hole, and through the sheet at its corners."""
    out = [np.vstack([ring, ring[:1]]) for rings in shape.rings for ring in rings]
    if placed.piece.bevels:
        return [*out, *(np.array([quad[0], quad[3]]) for quad in shape.quads[shape.outer])]
    for part in flat_parts(placed):
        origin, axes = frame(part.placed)
        for loop in chains(part.placed.piece, _SAGITTA_MM, False):
            for point in loop.points[np.array(loop.sharp)].tolist():
                if not part.goes_on(point, point):
                    ends = np.array([[*point, 0.0], [*point, part.placed.piece.thickness_mm]])
                    out.append(ends @ axes + origin)
    return out


def _lines(edges: Sequence[Floats]) -> Any:
    starts = np.cumsum([0, *(len(edge) for edge in edges)]).tolist()
    cells = [list(range(a, b)) for a, b in pairwise(starts)]
    return _drawn(_poly(np.concatenate(edges), cells, lines=True), _LINE)


def _drawn(data: Any, colour: tuple[float, ...]) -> Any:
    """Lines."""
    from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

    mapper, actor = vtkPolyDataMapper(), vtkActor()
    mapper.SetInputData(data)
    mapper.ScalarVisibilityOff()
    actor.SetMapper(mapper)
    ink = actor.GetProperty()
    ink.SetColor(*colour)
    ink.SetLineWidth(1.6)
    ink.SetLighting(False)
    return actor


# ---- what else is shown


def _metal(body: Body) -> Iterator[Any]:
    from vtkmodules.vtkFiltersCore import vtkFeatureEdges

    points = body.shape.points @ square_to(body.axis) + np.array(body.at)
    data = _poly(points, body.shape.triangles.tolist())
    yield _surface(data, body_tint(body.kind)[:3], 1.0)
    edges = vtkFeatureEdges()
    edges.SetInputData(data)
    edges.BoundaryEdgesOff()
    edges.SetFeatureAngle(35.0)
    edges.ColoringOff()
    edges.Update()
    yield _drawn(edges.GetOutput(), _LINE)


def _liquid(pool: Pool) -> Iterator[Any]:
    """Its room cut at its level: the walls, the surface, the line round that."""
    from vtkmodules.vtkCommonDataModel import vtkPlane, vtkPlaneCollection
    from vtkmodules.vtkFiltersCore import vtkCutter
    from vtkmodules.vtkFiltersGeneral import vtkClipClosedSurface

    level = vtkPlane()
    level.SetOrigin(0.0, 0.0, pool.level_mm - _UNDER_MM)
    level.SetNormal(0.0, 0.0, -1.0)
    planes = vtkPlaneCollection()
    planes.AddItem(level)
    middle = (pool.room.points.max(axis=0) + pool.room.points.min(axis=0)) / 2.0
    free = 1.0 - 2.0 * _FREE_MM / np.ptp(
        pool.room.points, axis=0
    )  # else its walls and the tank's flicker in each other
    room = _poly((pool.room.points - middle) * free + middle, pool.room.triangles.tolist())
    colour, opaque = water_tint()[:3], water_tint()[3]
    for faces, alpha in ((0, 2.0 * opaque), (1, opaque)):
        clip = vtkClipClosedSurface()
        clip.SetInputData(room)
        clip.SetClippingPlanes(planes)
        clip.SetScalarModeToLabels()
        clip.SetActivePlaneId(0)
        clip.Update()
        yield _surface(_labelled(clip.GetOutput(), surface=faces == 0), colour, alpha)
    line = vtkCutter()
    line.SetInputData(room)
    line.SetCutFunction(level)
    line.Update()
    yield _drawn(line.GetOutput(), _WATER_LINE)


def _labelled(data: Any, *, surface: bool) -> Any:
    """Of a clipped room its surface, or the rest: `vtkClipClosedSurface` labels what it caps."""
    labels = data.GetCellData().GetScalars()
    points = np.array([data.GetPoint(k) for k in range(data.GetNumberOfPoints())])
    cells = [
        [data.GetCell(k).GetPointId(n) for n in range(data.GetCell(k).GetNumberOfPoints())]
        for k in range(data.GetNumberOfCells())
        if (labels.GetComponent(k, 0) != 0) == surface
    ]
    return _poly(points, cells)


def _box(seam: SeamFace) -> Any:
    body = rod((4, math.sqrt(0.5), -0.5, 0.5))  # a cube, on its edge
    turn = math.cos(math.pi / 4.0)
    square = body.points @ np.array([[turn, turn, 0.0], [-turn, turn, 0.0], [0.0, 0.0, 1.0]])
    low, high = np.array(seam.low), np.array(seam.high)
    return _poly(square * (high - low) + (low + high) / 2.0, body.triangles.tolist())


def _write_marks(renderer: Any, scene: Scene, size: tuple[int, int]) -> None:
    """The figure of each seam that does not seal, at its middle; where they would lie on each other, one over the other."""
    from vtkmodules.vtkRenderingCore import vtkTextActor

    tall = size[1] / 45.0
    taken: list[tuple[float, float]] = []
    for mark in scene.marks:
        renderer.SetWorldPoint(*mark.at, 1.0)
        renderer.WorldToDisplay()
        x, y, _ = renderer.GetDisplayPoint()
        while any(abs(x - u) < 9.0 * tall and abs(y - v) < 1.3 * tall for u, v in taken):
            y += 1.35 * tall
        taken.append((x, y))
        text = vtkTextActor()
        text.SetInput(f"{mark.id}  {mark.short}".replace("\u00b3", "3"))
        look = text.GetTextProperty()
        look.SetFontSize(round(tall * 0.8))
        look.SetBold(True)
        look.SetColor(1.0, 1.0, 1.0)
        look.SetBackgroundColor(*_LEVELS[mark.level])
        look.SetBackgroundOpacity(0.9)
        look.SetJustificationToCentered()
        look.SetVerticalJustificationToCentered()
        text.SetPosition(x, y)
        renderer.AddActor2D(text)


# ---- the camera


def _look(renderer: Any, scene: Scene, size: tuple[int, int]) -> None:
    """The eye so far away that every corner is in the picture, and the picture as full as it can be."""
    boxes = [each.box for each in scene.placed]
    corners = np.array([c for low, high in boxes for c in product(*zip(low, high, strict=True))])
    bought = [body.shape.points @ square_to(body.axis) + np.array(body.at) for body in scene.bodies]
    corners = np.concatenate([corners, *bought])
    back = np.array(FROM) / np.linalg.norm(FROM)
    right = np.cross((0.0, 0.0, 1.0), back)
    right /= np.linalg.norm(right)
    up = np.cross(back, right)
    tall = math.tan(math.radians(_VIEW_DEG) / 2.0)
    wide = tall * size[0] / size[1]
    aim = (corners.min(axis=0) + corners.max(axis=0)) / 2.0
    for _ in range(8):  # aim at the middle of what is seen, from where it all just goes in
        x, y, z = ((corners - aim) @ axis for axis in (right, up, back))
        away = float(max((np.abs(x) * _AIR / wide + z).max(), (np.abs(y) * _AIR / tall + z).max()))
        across, above = x / (away - z), y / (away - z)
        step = (across.max() + across.min()) / 2.0 * right + (above.max() + above.min()) / 2.0 * up
        aim = aim + 0.8 * away * step
    camera = renderer.GetActiveCamera()
    camera.SetFocalPoint(*aim)
    camera.SetPosition(*(aim + away * back))
    camera.SetViewUp(0.0, 0.0, 1.0)
    camera.SetViewAngle(_VIEW_DEG)
    renderer.ResetCameraClippingRange()


if __name__ == "__main__":
    sys.exit(main())
