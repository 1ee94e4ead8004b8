"""Plates that stretch as they bow: von Karman's equations by Ritz and Newton, to see how far linear theory goes.

A wall is clamped at its sides and its foot, its top free or clamped. In their plane those edges are `held` (they cannot draw
in: the stiffest a neighbour can be) or `loose` (they draw in freely: the softest). A box's walls lie between the two.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.polynomial import legendre

Array = np.ndarray
Terms = list[tuple[Array, Array, Array]]  # each with its first and second derivative


def _terms(count: int, x: Array, by: tuple[Array, Array, Array]) -> Terms:
    """Legendre polynomials times a function that keeps to the edges."""
    out = []
    for k in range(count):
        c = np.eye(count)[k]
        p, d, e = (legendre.legval(x, legendre.legder(c, m)) for m in range(3))
        out.append((by[0] * p, by[1] * p + by[0] * d, by[2] * p + 2.0 * by[1] * d + by[0] * e))
    return out


def _edge(x: Array, power: int, both: bool) -> tuple[Array, Array, Array]:
    """(1 - x2)^power for two kept edges, (1 + x)^power for one, with derivatives; power 0 keeps none."""
    base = np.poly1d([-1.0, 0.0, 1.0] if both else [1.0, 1.0]) ** power
    f, d, e = (base(x) * np.ones_like(x), base.deriv(1)(x) * np.ones_like(x), base.deriv(2)(x) * np.ones_like(x))
    return f, d, e


@dataclass(frozen=True, kw_only=True)
class Wall:
    """A wall `width` by `height`; pressure uniform, or zero at the top rising to the foot."""

    width: float
    height: float
    thickness: float
    modulus: float = 1000.0
    poisson: float = 0.37
    top: str = "free"
    held: bool = True
    uniform: bool = False
    order: int = 6

    def bow(self, linear: float) -> float:
        """The true bow in thicknesses where linear theory says `linear` thicknesses."""
        m = _Model(self)
        flat = np.linalg.solve(m.bending, m.load)
        push = linear * self.thickness / float(np.max(np.abs(flat @ m.seen)))
        found = np.zeros(2 * m.plane + len(m.load))
        for part in np.linspace(0.25, 1.0, 4):
            found = m.settle(found, push * part)
        return float(np.max(np.abs(found[2 * m.plane :] @ m.seen))) / self.thickness


class _Model:
    def __init__(self, wall: Wall) -> None:
        n, both = wall.order, wall.top == "clamped"
        points, weights = legendre.leggauss(2 * n + 4)
        x, y = (grid.ravel() for grid in np.meshgrid(points, points, indexing="ij"))
        self.area = np.outer(weights, weights).ravel() * wall.width * wall.height / 4.0
        sx, sy = 2.0 / wall.width, 2.0 / wall.height
        w = _grid(_terms(n, x, _edge(x, 2, True)), _terms(n, y, _edge(y, 2, both)))
        self.slope = w[1] * sx, w[2] * sy
        t, nu, e = wall.thickness, wall.poisson, wall.modulus
        rigid = e * t**3 / (12.0 * (1.0 - nu**2))
        xx, yy, xy = w[3] * sx**2, w[4] * sy**2, w[5] * sx * sy
        sides = ((xx + nu * yy) * self.area) @ xx.T + ((yy + nu * xx) * self.area) @ yy.T
        self.bending = rigid * (sides + 2.0 * (1.0 - nu) * (xy * self.area) @ xy.T)
        self.load = (w[0] * self.area) @ (np.ones_like(y) if wall.uniform else (1.0 - y) / 2.0)
        power = 1 if wall.held else 0
        u = _grid(_terms(n, x, _edge(x, power, True)), _terms(n, y, _edge(y, power, both)))
        self.plane, none = len(u[0]), np.zeros_like(u[0])
        self.strain = (np.vstack([u[1] * sx, none]), np.vstack([none, u[2] * sy]), np.vstack([u[2] * sy, u[1] * sx]))
        self.elastic = e * t / (1.0 - nu**2) * np.array([[1.0, nu, 0.0], [nu, 1.0, 0.0], [0.0, 0.0, (1.0 - nu) / 2.0]])
        look = np.linspace(-1.0, 1.0, 31)
        gx, gy = (grid.ravel() for grid in np.meshgrid(look, look, indexing="ij"))
        self.seen = _grid(_terms(n, gx, _edge(gx, 2, True)), _terms(n, gy, _edge(gy, 2, both)))[0]

    def settle(self, start: Array, push: float) -> Array:
        found, two = start, 2 * self.plane
        for _ in range(80):
            w = found[two:]
            a, b = w @ self.slope[0], w @ self.slope[1]
            flat = [found[:two] @ s for s in self.strain]
            force = self.elastic @ np.array([flat[0] + a * a / 2.0, flat[1] + b * b / 2.0, flat[2] + a * b])
            bent = (self.slope[0] * a, self.slope[1] * b, self.slope[0] * b + self.slope[1] * a)
            rows = [np.vstack([s, g]) for s, g in zip(self.strain, bent, strict=True)]
            rest = sum((r * self.area) @ f for r, f in zip(rows, force, strict=True))
            rest[two:] += self.bending @ w - push * self.load
            stiff = sum(
                self.elastic[i, j] * (rows[i] * self.area) @ rows[j].T
                for i in range(3)
                for j in range(3)
                if self.elastic[i, j]
            )
            cross = (self.slope[0] * (self.area * force[2])) @ self.slope[1].T
            stiff[two:, two:] += self.bending + cross + cross.T
            for k in (0, 1):
                stiff[two:, two:] += (self.slope[k] * (self.area * force[k])) @ self.slope[k].T
            stiff[:two, :two] += 1e-9 * np.abs(stiff).max() * np.eye(two)  # a plate that is held nowhere in its plane
            step = np.linalg.solve(stiff, -rest)
            found = found + step
            if np.abs(step).max() < 1e-8 * max(1e-12, np.abs(found).max()):
                return found
        raise AssertionError("no balance found")


def _grid(along: Terms, up: Terms) -> tuple[Array, ...]:
    """Products: value, d/dx, d/dy, d2/dx2, d2/dy2, d2/dxdy."""
    picks = ((0, 0), (1, 0), (0, 1), (2, 0), (0, 2), (1, 1))
    return tuple(np.array([a[i] * b[j] for a in along for b in up]) for i, j in picks)
