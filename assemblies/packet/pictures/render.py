"""The child process that renders a picture: reads a scene from standard input, writes a PNG file, and ends.

Clear sheet is drawn as it looks: faces one sees through, cut edges that glow in the tint of the piece, every edge a line.
Colours, light and camera are judgement.
"""

from __future__ import annotations

import ctypes
import math
import pickle
import sys
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise, product
from typing import Any, Final

import numpy as np

from assemblies.design.model import Placed, flat_parts
from assemblies.fit.apart.facets import Facets, Floats, chains, facets, frame
from assemblies.packet.models.tints import tint
from parts.shape.part import require
from parts.vectors import Vector

__all__ = ["main"]

_SAGITTA_MM: Final = 0.02
_FROM: Final = (0.62, -1.0, 0.58)  # towards the eye: right, front, above
_VIEW_DEG: Final = 18.0
_AIR: Final = 1.06  # the picture over what is in it
_PEELS: Final = 40
_BACK: Final = (0.965, 0.972, 0.980)
_LINE: Final = (0.16, 0.24, 0.32)
_NO_LIBRARY: Final = 3


def main() -> int:
    """Render what standard input holds; 0 when it is written, 3 when there is nothing to render with."""
    placed, offsets, path, size = pickle.load(sys.stdin.buffer)
    window = _window()
    if window is None:
        return _NO_LIBRARY
    _render(window, _moved(placed, offsets), path, size)
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


def _moved(placed: Sequence[Placed], offsets: Mapping[str, Vector]) -> list[Placed]:
    out = []
    for each in placed:
        dx, dy, dz = offsets.get(each.name, (0.0, 0.0, 0.0))
        x, y, z = each.origin
        out.append(replace(each, origin=(x + dx, y + dy, z + dz)))
    return out


def _render(window: Any, placed: Sequence[Placed], path: str, size: tuple[int, int]) -> None:
    from vtkmodules.vtkIOImage import vtkPNGWriter
    from vtkmodules.vtkRenderingCore import vtkRenderer, vtkWindowToImageFilter

    renderer = vtkRenderer()
    renderer.SetBackground(*_BACK)
    for each in placed:
        for actor in _actors(each):
            renderer.AddActor(actor)
    renderer.SetUseDepthPeeling(1)
    renderer.SetMaximumNumberOfPeels(_PEELS)
    renderer.SetOcclusionRatio(0.0)
    renderer.UseFXAAOn()
    _look(renderer, placed, size)
    window.SetOffScreenRendering(1)
    window.SetMultiSamples(0)
    window.SetAlphaBitPlanes(1)
    window.SetSize(*size)
    window.AddRenderer(renderer)
    window.Render()
    grab = vtkWindowToImageFilter()
    grab.SetInput(window)
    grab.ReadFrontBufferOff()
    grab.Update()
    writer = vtkPNGWriter()
    writer.SetFileName(path)
    writer.SetInputConnection(grab.GetOutputPort())
    writer.Write()


# ---- the pieces


def _actors(placed: Placed) -> Iterable[Any]:
    """Faces, cut edges, walls of holes, and lines of one piece."""
    red, green, blue, opaque = tint(placed.piece.kind)
    require(placed.piece, "the picture", "bends", "pockets")
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
    for part in flat_parts(placed):
        origin, axes = frame(part.placed)
        for loop in chains(part.placed.piece, _SAGITTA_MM, False):
            for point in loop.points[np.array(loop.sharp)].tolist():
                if not part.goes_on(point, point):
                    ends = np.array([[*point, 0.0], [*point, part.placed.piece.thickness_mm]])
                    out.append(ends @ axes + origin)
    return out


def _lines(edges: Sequence[Floats]) -> Any:
    from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

    starts = np.cumsum([0, *(len(edge) for edge in edges)]).tolist()
    cells = [list(range(a, b)) for a, b in pairwise(starts)]
    mapper, actor = vtkPolyDataMapper(), vtkActor()
    mapper.SetInputData(_poly(np.concatenate(edges), cells, lines=True))
    actor.SetMapper(mapper)
    ink = actor.GetProperty()
    ink.SetColor(*_LINE)
    ink.SetLineWidth(1.6)
    ink.SetLighting(False)
    return actor


# ---- the camera


def _look(renderer: Any, placed: Sequence[Placed], size: tuple[int, int]) -> None:
    """The eye so far away that every corner is in the picture, and the picture as full as it can be."""
    boxes = [each.box for each in placed]
    corners = np.array([c for low, high in boxes for c in product(*zip(low, high, strict=True))])
    back = np.array(_FROM) / np.linalg.norm(_FROM)
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
