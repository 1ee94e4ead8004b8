"""A bent plate read off anywhere: deflection, moments, principal moment, and where each is largest.

Signs: the deflection is positive the way a positive pressure pushes; a positive moment puts the face away from the
pressure in tension (so a span sags positive and a clamped edge is negative). Moments are per mm of width, N mm/mm;
fibre stress = 6 M / t^2.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from assemblies.strength.plates.basis import Array
from assemblies.strength.plates.element import SIDES, Element
from parts.findings import Finding

__all__ = ["Bent", "EdgeMoments", "Field", "Peak", "PlateResult", "principal"]

EDGE_PLACES = np.linspace(0.0, 1.0, 201)
CORNER_SHARE = (
    0.02  # of the short side: nearer to a corner of a free edge thin-plate theory is singular, no peak is read there
)


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
        normal: moment that turns about the side (Mx on left and right, My on bottom and top), N mm/mm; zero on a
            hinge.
        along: moment in the direction of the side.
        extreme: the normal moment that is larger in size, and where.
    """

    places_mm: Array
    normal: Array
    along: Array
    extreme: Peak


def principal(mx: Array, my: Array, mxy: Array) -> Array:
    """The principal moment that is larger in size, with its sign."""
    mean, radius = (mx + my) / 2.0, np.sqrt(((mx - my) / 2.0) ** 2 + mxy**2)
    return np.where(mean >= 0.0, mean + radius, mean - radius)


@dataclass(frozen=True, kw_only=True, eq=False)
class Bent:
    """A solved plate, as it is looked at, under one load or under several at once.

    Attributes:
        element: what was solved. coefficients: of its functions, (size_x, size_y); or of several loads, one after the
            other, (loads, size_x, size_y): all that is read off then comes with the loads first.
        thickness: mm.
        hinges: sides without any bending moment about them (free or simply supported).
        loose: sides that may move; only there the moment along the side is not zero on a hinge.
    """

    element: Element
    coefficients: Array
    thickness: float
    hinges: frozenset[str]
    loose: frozenset[str]

    def only(self, load: int) -> Bent:
        """Under one of its loads."""
        return replace(self, coefficients=self.coefficients[load])

    def _tables(self, x: Array, y: Array, count: int) -> tuple[list[Array], list[Array]]:
        element = self.element
        table_x = [element.x.at(x, d) / element.width**d for d in range(count)]
        return table_x, [element.y.at(y, d) / element.height**d for d in range(count)]

    def _moments(self, x: Array, y: Array, grid: bool) -> Field:
        """At points (x, y), as many of each load, or over the grid of all x by all y; x and y as shares of the span."""
        element, c = self.element, self.coefficients
        stiff, nu = element.rigidity, element.poisson
        table_x, table_y = self._tables(x, y, 3)

        def term(i: int, j: int) -> Array:
            if grid:
                return np.asarray(table_x[i] @ c @ table_y[j].T)
            left = table_x[i].reshape(*c.shape[:-2], -1, c.shape[-2]) @ c
            return np.asarray(np.sum(left.reshape(-1, c.shape[-1]) * table_y[j], axis=1))

        w, w_xx, w_yy = term(0, 0), term(2, 0), term(0, 2)
        mx, my, mxy = -stiff * (w_xx + nu * w_yy), -stiff * (w_yy + nu * w_xx), stiff * (1.0 - nu) * term(1, 1)
        on = {side: self._on(side, x, y, grid, w.shape) for side in self.hinges}
        for side in self.hinges & self.loose:
            if side in ("left", "right"):
                my = np.where(on[side], -stiff * (1.0 - nu**2) * w_yy, my)
            else:
                mx = np.where(on[side], -stiff * (1.0 - nu**2) * w_xx, mx)
        for side in self.hinges:
            held = on[side] if side not in self.loose else False
            if side in ("left", "right"):
                mx, my = np.where(on[side], 0.0, mx), np.where(held, 0.0, my)
            else:
                mx, my = np.where(held, 0.0, mx), np.where(on[side], 0.0, my)
        return Field(w=w, mx=mx, my=my, mxy=mxy)

    @staticmethod
    def _on(side: str, x: Array, y: Array, grid: bool, shape: tuple[int, ...]) -> NDArray[np.bool_]:
        """Which of the places lie on a side."""
        place = (x[:, None] if grid else x) if side in ("left", "right") else y
        return np.broadcast_to(np.abs(place - (side in ("right", "top"))) <= 1e-9, shape)

    def grid(self, x: Array, y: Array) -> Field:
        """Over the grid of all x by all y, as shares of the span (0 to 1)."""
        return self._moments(x, y, True)

    def field(self, x: Array | float, y: Array | float) -> Field:
        """At points (mm, of any shape, broadcast against each other)."""
        px, py = np.broadcast_arrays(np.asarray(x, dtype=float), np.asarray(y, dtype=float))
        got = self._moments(px.ravel() / self.element.width, py.ravel() / self.element.height, False)
        return Field(**{name: getattr(got, name).reshape(px.shape) for name in ("w", "mx", "my", "mxy")})

    def along(self, side: str) -> tuple[Array, Array]:
        """Places on a side as shares (x, y) of the span, one of them a single value."""
        end = np.array([1.0 if side in ("right", "top") else 0.0])
        return (end, EDGE_PLACES) if side in ("left", "right") else (EDGE_PLACES, end)

    def holding_force(self, side: str) -> Array:
        """Force per mm (N/mm at the places of `side`) with which a held side keeps the plate from moving with the
        pressure.

        The effective shear D (w_nnn + (2 - nu) w_nss) of Kirchhoff, n outward; corner forces are apart from it.
        """
        upright, sign = side in ("left", "right"), 1.0 if side in ("right", "top") else -1.0
        table_x, table_y = self._tables(*self.along(side), 4)
        across, mixed = ((3, 0), (1, 2)) if upright else ((0, 3), (2, 1))
        c = self.coefficients
        third = table_x[across[0]] @ c @ table_y[across[1]].T
        other = table_x[mixed[0]] @ c @ table_y[mixed[1]].T
        force = sign * self.element.rigidity * (third + (2.0 - self.element.poisson) * other)
        return np.asarray(force.reshape(*c.shape[:-2], -1))

    def near_corner(self, x: Array, y: Array) -> NDArray[np.bool_]:
        """True where a corner between a free and another side is too near for a peak to mean anything (span places,
        mm).
        """
        a, b = self.element.width, self.element.height
        reach = CORNER_SHARE * min(a, b)
        near = np.zeros(np.broadcast(x, y).shape, dtype=bool)
        for side_x, corner_x in (("left", 0.0), ("right", a)):
            for side_y, corner_y in (("bottom", 0.0), ("top", b)):
                if (side_x in self.loose) != (side_y in self.loose):
                    near |= np.hypot(x - corner_x, y - corner_y) < reach
        return near

    def tension(self, got: Field) -> Array:
        """Largest principal stress on either face, MPa."""
        mean, radius = (got.mx + got.my) / 2.0, np.hypot((got.mx - got.my) / 2.0, got.mxy)
        return np.asarray(6.0 / self.thickness**2 * (np.abs(mean) + radius))


@dataclass(frozen=True, kw_only=True, eq=False)
class PlateResult:
    """What one plate does under its load.

    Attributes:
        deflection: largest in size, mm, with its sign. mid: deflection at the middle, mm.
        edges: per side, moments along it.
        mx_max, mx_min, my_max, my_min: extreme bending moments over the plate with its sides, N mm/mm.
        mx_line, my_line: largest sagging moments on the upright middle line x = width/2, where handbooks tabulate
            them.
        twist: Mxy that is largest in size.
        moment: principal moment that is largest in size.
        stress: largest tensile stress on either face, MPa: bending 6 M/t^2.
        error_deflection, error_moment: change between two orders of the solution at the places of the largest values,
            and of a plate by itself all over it, as a share of the largest value.
        findings: where the theory ends.
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
    findings: tuple[Finding, ...] = ()

    def field(self, x: Array | float, y: Array | float) -> Field:
        """Deflection and moments anywhere on the plate (mm from its lower-left corner; any shape)."""
        return self.bent.field(x, y)

    @property
    def peaks(self) -> list[Peak]:
        """Where two orders are compared: deflection, moment, and the moment of each side, where each is largest."""
        return [self.deflection, self.moment, *(self.edges[side].extreme for side in SIDES)]

    def with_error(self, w: float, others: Sequence[float]) -> PlateResult:
        """With the error, from what the lower order gives at `peaks`: the deflection, and the moments."""
        if not self.moment.value:
            return self
        change = max(abs(p.value - float(m)) for p, m in zip(self.peaks[1:], others, strict=True))
        return replace(
            self, error_deflection=abs(1.0 - w / self.deflection.value), error_moment=change / abs(self.moment.value)
        )
