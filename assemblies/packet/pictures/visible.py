"""Isometric pictures of placed pieces with the hidden lines taken out, by the kernel's own algorithm.

The kernel keeps lines straight and circles ellipses and cuts them at exact places. It gives a curve in parts, and an edge of
two faces twice: parts that meet are joined here.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from assemblies.design.model import Design, Placed
from assemblies.packet.ink.primitives import Ellipse, Layer, Line, Polyline, Primitive
from assemblies.packet.pictures.sight import Scene
from parts.shape.part import require
from parts.vectors import Vector

__all__ = ["projected", "scene_lines"]

_SCALE = math.sqrt(1.5)  # makes lengths along the axes true, as `sight.to_picture` does
_SPECK_MM = 1e-3
_NEAR = 1e-6
_DIGITS = 5
_CHORDS = 64  # of a curve that is no line and no ellipse


def projected(design: Design, offsets: Mapping[str, Vector], *, hidden: bool = False) -> tuple[Primitive, ...]:
    """The isometric picture of a design: lines and ellipses in mm, y up, of the layer `visible`.

    Args:
        offsets: how far each instance is moved, mm; missing ones stay. `Exploded.offsets` or a part of it.
        hidden: also give what is hidden, on the layer `hidden`.

    Raises:
        NotCovered: a piece has a feature that the picture does not show.
        KernelError: as `parts.shape.solid.body`.
    """
    return scene_lines(Scene(design.placed, offsets), hidden=hidden)


def scene_lines(scene: Scene, *, hidden: bool = False) -> tuple[Primitive, ...]:
    """The same, of a scene that is made already: instance by instance, in its order."""
    if not scene.placed:
        return ()
    from OCP.HLRBRep import HLRBRep_HLRToShape

    algorithm, shapes = _hidden_apart(scene.placed)
    found = HLRBRep_HLRToShape(algorithm)
    layers: list[tuple[Layer, tuple[Any, Any]]] = [("visible", (found.VCompound, found.OutLineVCompound))]
    if hidden:
        layers.append(("hidden", (found.HCompound, found.OutLineHCompound)))
    out: list[Primitive] = []
    for placed, shape in zip(scene.placed, shapes, strict=True):
        for layer, asked in layers:
            curves = _Curves(placed.name, layer)
            for ask in asked:
                for edge in _edges(ask(shape)):
                    curves.add(edge)
            out.extend(curves.drawn())
    return tuple(out)


def _hidden_apart(placed: Sequence[Placed]) -> tuple[Any, list[Any]]:
    """The kernel's algorithm after its work, and the shape it has for each instance."""
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
    from OCP.HLRAlgo import HLRAlgo_Projector
    from OCP.HLRBRep import HLRBRep_Algo

    from parts.shape.kernel import kernel_step, place
    from parts.shape.solid import body

    algorithm, shapes = HLRBRep_Algo(), []
    for p in placed:
        require(p.piece, "the picture", "bends", "pockets", "bevels", "tube")
        shapes.append(body(p.piece).Moved(place(p.origin, p.x, p.z)))
        algorithm.Add(shapes[-1])
    eye, right = gp_Dir(1.0, -1.0, 1.0), gp_Dir(1.0, 1.0, 0.0)
    with kernel_step("the picture", f"take the hidden lines out of {len(shapes)} pieces"):
        algorithm.Projector(HLRAlgo_Projector(gp_Ax2(gp_Pnt(0.0, 0.0, 0.0), eye, right)))
        algorithm.Update()
        algorithm.Hide()
    return algorithm, shapes


def _edges(compound: Any) -> Iterator[Any]:
    """The edges of what the kernel found, as curves on the picture."""
    if compound is None or compound.IsNull():
        return
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.BRepLib import BRepLib
    from OCP.TopAbs import TopAbs_EDGE
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    BRepLib.BuildCurves3d_s(compound)
    there = TopExp_Explorer(compound, TopAbs_EDGE)
    while there.More():
        yield BRepAdaptor_Curve(TopoDS.Edge(there.Current()))
        there.Next()


@dataclass
class _Curves:
    """The parts of one instance's lines and ellipses, each curve once, with the spans of it that there are."""

    of: str
    layer: Layer
    spans: dict[tuple[float, ...], tuple[tuple[float, ...], list[tuple[float, float]]]] = field(default_factory=dict)
    others: list[Primitive] = field(default_factory=list)

    def add(self, curve: Any) -> None:
        from OCP.GeomAbs import GeomAbs_Circle, GeomAbs_Ellipse, GeomAbs_Line

        start, end, sort = curve.FirstParameter(), curve.LastParameter(), curve.GetType()
        if sort == GeomAbs_Line:
            self._add_line(_at(curve, start), _at(curve, end))
        elif sort in (GeomAbs_Ellipse, GeomAbs_Circle):
            self._add_arc(curve.Ellipse() if sort == GeomAbs_Ellipse else curve.Circle(), start, end)
        else:
            points = tuple(_at(curve, start + (end - start) * k / _CHORDS) for k in range(_CHORDS + 1))
            self.others.append(Polyline(points=points, layer=self.layer, of=self.of))

    def _add_line(self, a: tuple[float, float], b: tuple[float, float]) -> None:
        long = math.dist(a, b)
        if long <= _SPECK_MM:
            return
        u, v = (b[0] - a[0]) / long, (b[1] - a[1]) / long
        if (round(u, _DIGITS), round(v, _DIGITS)) < (0.0, 0.0):
            u, v = -u, -v
        along = sorted(p[0] * u + p[1] * v for p in (a, b))
        self._span((u, v, a[1] * u - a[0] * v), along[0], along[1])

    def _add_arc(self, curve: Any, start: float, end: float) -> None:
        centre, x = curve.Location(), curve.Position().XDirection()
        a, b = (curve.MajorRadius(), curve.MinorRadius()) if hasattr(curve, "MajorRadius") else (curve.Radius(),) * 2
        turn = math.atan2(x.Y(), x.X())
        if curve.Axis().Direction().Z() < 0.0:
            start, end = -end, -start
        if a - b < _NEAR * a:  # a circle has no long axis
            start, end, turn = start + turn, end + turn, 0.0
        elif not -_NEAR <= turn < math.pi - _NEAR:
            turn, start, end = turn % math.pi, start + math.pi, end + math.pi
        low = start % math.tau
        low = 0.0 if math.tau - low < _NEAR else low
        self._span((_SCALE * centre.X(), _SCALE * centre.Y(), _SCALE * a, _SCALE * b, turn), low, low + end - start)

    def _span(self, curve: tuple[float, ...], low: float, high: float) -> None:
        key = tuple(round(value, _DIGITS) + 0.0 for value in curve)
        self.spans.setdefault(key, (curve, []))[1].append((low, high))

    def drawn(self) -> Iterator[Primitive]:
        """Every curve's spans, joined where they meet."""
        for curve, spans in self.spans.values():
            if len(curve) == 3:
                u, v, beside = curve
                for low, high in _joined(spans):
                    (x0, y0), (x1, y1) = ((t * u - beside * v, t * v + beside * u) for t in (low, high))
                    yield Line(x0=x0, y0=y0, x1=x1, y1=y1, layer=self.layer, of=self.of)
            else:
                x, y, a, b, turn = curve
                for low, high in _round_joined(spans):
                    yield Ellipse(
                        x=x,
                        y=y,
                        a=a,
                        b=b,
                        turn_rad=turn,
                        start_rad=low,
                        sweep_rad=high - low,
                        layer=self.layer,
                        of=self.of,
                    )
        yield from self.others


def _at(curve: Any, parameter: float) -> tuple[float, float]:
    point = curve.Value(parameter)
    return _SCALE * point.X(), _SCALE * point.Y()


def _joined(spans: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Spans that meet or overlap as one."""
    out: list[tuple[float, float]] = []
    for low, high in sorted(spans):
        if out and low - out[-1][1] < _NEAR:
            out[-1] = (out[-1][0], max(out[-1][1], high))
        else:
            out.append((low, high))
    return out


def _round_joined(spans: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """The same round a whole turn: what ends at a turn goes on at nought."""
    out = _joined(spans)
    if len(out) > 1 and out[-1][1] - math.tau - out[0][0] > -_NEAR:
        first = out.pop(0)
        out[-1] = (out[-1][0], max(out[-1][1], first[1] + math.tau))
    return [(low, low + math.tau) if high - low > math.tau - _NEAR else (low, high) for low, high in out]
