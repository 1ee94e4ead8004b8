"""A bent plate read off anywhere: deflection, moments, principal moment, and where each is largest.

Signs: the deflection is positive the way a positive pressure pushes; a positive moment puts the face away from the pressure in
tension (so a span sags positive and a clamped edge is negative). Moments are per mm of width, N mm/mm = N; fibre stress = 6 M / t^2.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from assemblies.strength.basis import Array
from assemblies.strength.element import SIDES, Element

__all__ = ["Bent", "EdgeMoments", "Field", "Peak", "PlateResult", "principal", "read_off"]

SPAN_PLACES = np.linspace(0.0, 1.0, 61)
EDGE_PLACES = np.linspace(0.0, 1.0, 201)
CORNER_SHARE = 0.02  # of the short side: nearer to a corner of a free edge thin-plate theory is singular, no peak is read there


@dataclass(frozen=True, kw_only=True)
class Peak:
    """A value and where on the plate (mm from its lower-left corner)."""

    value: float
    x_mm: float
    y_mm: float


@dataclass(frozen=True, kw_only=True, eq=False)
class Field:
    """Deflection (mm) and moments (N mm/mm) at the places asked for, in the shape asked for."""

    w: Array
    mx: Array
    my: Array
    mxy: Array

    @property
    def principal(self) -> Array:
        """The principal moment that is larger in size, with its sign."""
        return principal(self.mx, self.my, self.mxy)


@dataclass(frozen=True, kw_only=True, eq=False)
class EdgeMoments:
    """Moments along one side.

    Attributes:
        places_mm: from the left or from the bottom.
        normal: moment that turns about the side (Mx on left and right, My on bottom and top), N mm/mm; zero on a hinge.
        along: moment in the direction of the side.
        extreme: the normal moment that is larger in size, and where.
    """

    places_mm: Array
    normal: Array
    along: Array
    extreme: Peak


def principal(mx: Array, my: Array, mxy: Array) -> Array:
    """The principal moment that is larger in size, with its sign."""
    mean, radius = (mx + my) / 2.0, np.hypot((mx - my) / 2.0, mxy)
    return np.where(mean >= 0.0, mean + radius, mean - radius)


@dataclass(frozen=True, kw_only=True, eq=False)
class Bent:
    """A solved plate.

    Attributes:
        element: what was solved. coefficients: of its functions.
        thickness: mm.
        hinges: sides without any bending moment about them (free or simply supported).
        loose: sides that may move (free); only there the moment along the side is not zero on a hinge.
    """

    element: Element
    coefficients: Array
    thickness: float
    hinges: frozenset[str]
    loose: frozenset[str]

    def _moments(self, x: Array, y: Array, grid: bool) -> Field:
        """At points (x, y), or over the grid of all x by all y; x and y as shares of the sides."""
        element, c = self.element, self.coefficients
        stiff, nu = element.rigidity, element.poisson
        table_x = [element.x.at(x, d) / element.width**d for d in range(3)]
        table_y = [element.y.at(y, d) / element.height**d for d in range(3)]

        def term(i: int, j: int) -> Array:
            left = table_x[i] @ c
            return np.asarray(left @ table_y[j].T if grid else np.sum(left * table_y[j], axis=1))

        w, w_xx, w_yy = term(0, 0), term(2, 0), term(0, 2)
        mx, my, mxy = -stiff * (w_xx + nu * w_yy), -stiff * (w_yy + nu * w_xx), stiff * (1.0 - nu) * term(1, 1)
        for side in self.hinges:
            upright = side in ("left", "right")
            place = (x[:, None] if grid else x) if upright else y
            on = np.broadcast_to(np.abs(place - (side in ("right", "top"))) <= 1e-9, w.shape)
            along = -stiff * (1.0 - nu**2) * (w_yy if upright else w_xx) if side in self.loose else 0.0 * w
            mx = np.where(on, 0.0 if upright else along, mx)
            my = np.where(on, along if upright else 0.0, my)
        return Field(w=w, mx=mx, my=my, mxy=mxy)

    def grid(self, x: Array, y: Array) -> Field:
        """Over the grid of all x by all y, as shares of the sides (0 to 1)."""
        return self._moments(x, y, True)

    def field(self, x: Array | float, y: Array | float) -> Field:
        """At points (mm, of any shape, broadcast against each other)."""
        px, py = np.broadcast_arrays(np.asarray(x, dtype=float), np.asarray(y, dtype=float))
        got = self._moments(px.ravel() / self.element.width, py.ravel() / self.element.height, False)
        return Field(**{name: getattr(got, name).reshape(px.shape) for name in ("w", "mx", "my", "mxy")})

    def side(self, side: str) -> EdgeMoments:
        """Moments along one side."""
        element = self.element
        upright = side in ("left", "right")
        length = element.height if upright else element.width
        fixed = np.array([1.0 if side in ("right", "top") else 0.0])
        got = self.grid(fixed, EDGE_PLACES) if upright else self.grid(EDGE_PLACES, fixed)
        mx, my = got.mx.ravel(), got.my.ravel()
        normal, along = (mx, my) if upright else (my, mx)
        x = (fixed + 0.0 * EDGE_PLACES if upright else EDGE_PLACES) * element.width
        y = (EDGE_PLACES if upright else fixed + 0.0 * EDGE_PLACES) * element.height
        best = int(np.argmax(np.where(self.near_corner(x, y), -1.0, np.abs(normal))))
        return EdgeMoments(
            places_mm=EDGE_PLACES * length,
            normal=normal,
            along=along,
            extreme=Peak(value=float(normal[best]), x_mm=float(x[best]), y_mm=float(y[best])),
        )

    def near_corner(self, x: Array, y: Array) -> Array:
        """True where a corner between a free and another side is too near for a peak to mean anything."""
        a, b = self.element.width, self.element.height
        reach = CORNER_SHARE * min(a, b)
        near = np.zeros(np.broadcast(x, y).shape, dtype=bool)
        for side_x, corner_x in (("left", 0.0), ("right", a)):
            for side_y, corner_y in (("bottom", 0.0), ("top", b)):
                if (side_x in self.loose) != (side_y in self.loose):
                    near |= np.hypot(x - corner_x, y - corner_y) < reach
        return near


@dataclass(frozen=True, kw_only=True, eq=False)
class PlateResult:
    """What one plate does under its load.

    Attributes:
        deflection: largest in size, mm, with its sign. mid: deflection at the middle, mm.
        edges: per side, moments along it.
        mx_max, mx_min, my_max, my_min: extreme bending moments over the plate with its sides, N mm/mm.
        mx_line, my_line: largest sagging moments on the upright middle line x = width/2, where handbooks tabulate them.
        twist: Mxy that is largest in size.
        moment: principal moment that is largest in size. stress: its fibre stress, MPa (size, without sign).
        error_deflection, error_moment: change between two orders of the solution, as a share of the largest value.
        findings: where the theory ends, as (level, text).
        bent: the solved plate.
    """

    deflection: Peak
    mid: float
    edges: dict[str, EdgeMoments]
    mx_max: Peak
    mx_min: Peak
    my_max: Peak
    my_min: Peak
    mx_line: Peak
    my_line: Peak
    twist: Peak
    moment: Peak
    stress: Peak
    bent: Bent
    error_deflection: float = 0.0
    error_moment: float = 0.0
    findings: tuple[tuple[str, str], ...] = ()

    def field(self, x: Array | float, y: Array | float) -> Field:
        """Deflection and moments anywhere on the plate (mm from its lower-left corner; any shape)."""
        return self.bent.field(x, y)

    def compared_with(self, coarse: PlateResult) -> PlateResult:
        """This result with its error estimated from a solution of lower order."""
        largest = abs(self.moment.value)
        scale = max(abs(self.deflection.value), 1e-300)
        moments = [(self.moment, coarse.moment)] + [
            (self.edges[side].extreme, coarse.edges[side].extreme) for side in SIDES
        ]
        change = max(abs(abs(one.value) - abs(other.value)) for one, other in moments)
        return replace(
            self,
            error_deflection=abs(self.deflection.value - coarse.deflection.value) / scale if largest else 0.0,
            error_moment=change / largest if largest else 0.0,
        )


def read_off(bent: Bent) -> PlateResult:
    """All the extremes of a solved plate."""
    got = bent.grid(SPAN_PLACES, SPAN_PLACES)
    x, y = SPAN_PLACES * bent.element.width, SPAN_PLACES * bent.element.height
    clear = ~bent.near_corner(x[:, None], y[None, :])
    edges = {side: bent.side(side) for side in SIDES}

    def peak(values: Array, size: bool = False) -> Peak:
        ranked = np.where(clear, np.abs(values) if size else values, -np.inf)
        i, j = np.unravel_index(int(np.argmax(ranked)), ranked.shape)
        return Peak(value=float(values[i, j]), x_mm=float(x[i]), y_mm=float(y[j]))

    def lowest(values: Array) -> Peak:
        found = peak(-values)
        return replace(found, value=-found.value)

    def with_edges(found: Peak, sides: tuple[str, str], sign: float) -> Peak:
        others = [edges[side].extreme for side in sides]
        return max([found, *others], key=lambda p: sign * p.value)

    def on_line(values: Array) -> Peak:
        column = values[len(SPAN_PLACES) // 2]
        best = int(np.argmax(column))
        return Peak(value=float(column[best]), x_mm=bent.element.width / 2.0, y_mm=float(y[best]))

    i, j = np.unravel_index(int(np.argmax(np.abs(got.w))), got.w.shape)
    moment = peak(got.principal, size=True)
    moment = max([moment, *(e.extreme for e in edges.values())], key=lambda p: abs(p.value))
    stress = replace(moment, value=6.0 * abs(moment.value) / bent.thickness**2)
    mid = bent.field(bent.element.width / 2.0, bent.element.height / 2.0)
    return PlateResult(
        deflection=Peak(value=float(got.w[i, j]), x_mm=float(x[i]), y_mm=float(y[j])),
        mid=float(mid.w),
        edges=edges,
        mx_max=with_edges(peak(got.mx), ("left", "right"), 1.0),
        mx_min=with_edges(lowest(got.mx), ("left", "right"), -1.0),
        my_max=with_edges(peak(got.my), ("bottom", "top"), 1.0),
        my_min=with_edges(lowest(got.my), ("bottom", "top"), -1.0),
        mx_line=on_line(got.mx),
        my_line=on_line(got.my),
        twist=peak(got.mxy, size=True),
        moment=moment,
        stress=stress,
        bent=bent,
    )
