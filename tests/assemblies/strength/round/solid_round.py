"""A round tank as a solid of revolution by finite elements: quadratic quadrilaterals over its section, no shells or plates."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import Any

import numpy as np

__all__ = ["solve_round"]


def _lines(*stops: tuple[float, int]) -> np.ndarray:
    """Grid lines from 0 through the stops, each with its number of elements."""
    out, last = [0.0], 0.0
    for end, count in stops:
        out += list(np.linspace(last, end, count + 1)[1:])
        last = end
    return np.array(out)


def solve_round(
    bore: float, wall: float, base: float, out: float, depth: float, weight: float, modulus: float, poisson: float,
    own: float, *, spans: bool, fine: int = 1, head: Callable[[Any], Any] | None = None, turning: float = 0.0,
) -> dict[str, float]:  # fmt: skip
    """Bending stress of the wall where it meets the base, the base's stress at its middle or edge (MPa), its sag (mm).

    Args:
        out: diameter of the base.
        weight, own: of the liquid and of the base, force by volume.
        head: how high the liquid stands over the floor by the radius, where that is not `depth` (as high as the wall).
        turning: of all of the solid, force outward by volume and radius.
        spans: carried by a ring under the middle of the wall; else flat on what does not give.
    """
    from skfem import (
        Basis,
        BilinearForm,
        ElementQuad2,
        ElementVector,
        FacetBasis,
        LinearForm,
        MeshQuad,
        condense,
        solve,
    )
    from skfem.helpers import ddot, dot, sym_grad

    ri, t, top = bore / 2.0, wall, base + depth
    outer = out / 2.0
    rs = _lines((ri - 3 * t, 20 * fine), (ri, 6 * fine), (ri + t / 2.0, 3 * fine), (ri + t, 3 * fine),
                *([(outer, 6 * fine)] if outer > ri + t + 1e-6 else []))  # fmt: skip
    zs = _lines((base, 6 * fine), (base + 6 * t, 18 * fine), (top, 30 * fine))
    mesh = MeshQuad.init_tensor(rs, zs)
    middle = mesh.p[:, mesh.t].mean(axis=1)
    mesh = mesh.restrict(np.flatnonzero((middle[1] < base) | ((middle[0] > ri) & (middle[0] < ri + t))))
    basis = Basis(mesh, ElementVector(ElementQuad2()), intorder=4)
    lam = modulus * poisson / ((1.0 + poisson) * (1.0 - 2.0 * poisson))
    mu = modulus / (2.0 * (1.0 + poisson))

    def stress(w: Any, u: Any) -> tuple[Any, Any, Any]:
        e, hoop = sym_grad(u), u[0] / w.x[0]
        trace = e[0, 0] + e[1, 1] + hoop
        return e, trace, hoop

    @BilinearForm
    def work(u: Any, v: Any, w: Any) -> Any:
        e, trace, hoop = stress(w, u)
        f, trace_v, hoop_v = stress(w, v)
        return (lam * trace * trace_v + 2.0 * mu * (ddot(e, f) + hoop * hoop_v)) * w.x[0]

    wet = mesh.facets_satisfying(
        lambda x: ((abs(x[1] - base) < 1e-9) & (x[0] <= ri + 1e-9)) | ((abs(x[0] - ri) < 1e-9) & (x[1] >= base - 1e-9)),
        boundaries_only=True,
    )

    @LinearForm
    def pressed(v: Any, w: Any) -> Any:
        level = top if head is None else base + head(w.x[0])
        return -weight * np.maximum(level - w.x[1], 0.0) * dot(w.n, v) * w.x[0]

    @LinearForm
    def heavy(v: Any, w: Any) -> Any:
        return (turning * w.x[0] * v[0] - own * (w.x[1] < base) * v[1]) * w.x[0]

    load = pressed.assemble(FacetBasis(mesh, ElementVector(ElementQuad2()), facets=wet, intorder=4))
    load = load + heavy.assemble(basis)
    axis = basis.get_dofs(lambda x: abs(x[0]) < 1e-9).all("u^1")
    if spans:
        held = basis.get_dofs(lambda x: abs(x[1]) < 1e-9)
        dofs = np.unique(np.concatenate([held.nodal["u^2"], held.facet["u^2"]]))
        places = basis.doflocs[:, dofs]
        held_dofs = dofs[np.abs(places[0] - ri - t / 2.0) < 1e-6]
    else:
        held_dofs = basis.get_dofs(lambda x: abs(x[1]) < 1e-9).all("u^2")
    u = solve(*condense(work.assemble(basis), load, D=np.unique(np.concatenate([axis, held_dofs]))))

    def section(fixed: int, at: float, low: float, high: float) -> float:
        """The moment of the stress across a cut, by Gauss points."""
        nodes, weights = np.polynomial.legendre.leggauss(4)
        cuts = [c for c in (rs if fixed == 1 else zs) if low - 1e-9 <= c <= high + 1e-9]
        half = (low + high) / 2.0
        total = 0.0
        for a, b in pairwise(cuts):
            for node, share in zip(nodes, weights, strict=True):
                along = (a + b) / 2.0 + (b - a) / 2.0 * node
                point = np.array([[along], [at]]) if fixed == 1 else np.array([[at], [along]])
                total += (
                    _stress(point, fixed)
                    * (along - half)
                    * share
                    * (b - a)
                    / 2.0
                    * (along / half if fixed == 1 else 1.0)
                )
        return total

    finder = mesh.element_finder()

    def _stress(point: np.ndarray, k: int) -> float:
        element = finder(*point)
        local = mesh.mapping().invF(point[:, :, None].transpose(0, 1, 2), element)
        one = Basis(mesh, ElementVector(ElementQuad2()), elements=element, quadrature=(local[:, 0, :], np.ones(1)))
        part = one.interpolate(u)
        e = np.array(sym_grad(part))[:, :, 0, 0]
        hoop = float(np.array(part)[0, 0, 0]) / float(point[0, 0])
        return float(lam * (e[0, 0] + e[1, 1] + hoop) + 2.0 * mu * e[k, k])

    def carried(fixed: int, places: list[float], to: float, low: float, high: float) -> float:
        """At the corner the cut has no plain stress: the straight line through cuts beside it."""
        found = [section(fixed, p, low, high) for p in places]
        return float(np.polyval(np.polyfit(places, found, min(2, len(places) - 1)), to))

    def pulled(at: float) -> float:
        """The mean stress along the base at a radius, by Gauss points over its thickness."""
        nodes, weights = np.polynomial.legendre.leggauss(8)
        return sum(
            w / 2.0 * _stress(np.array([[at], [base / 2.0 * (1.0 + x)]]), 0)
            for x, w in zip(nodes, weights, strict=True)
        )

    near = [base + f * t for f in (0.4, 0.8, 1.2, 1.6)]
    inward = [ri - f * t for f in (0.6, 1.2, 1.8)]
    mid = basis.get_dofs(lambda x: (abs(x[0]) < 1e-9) & (abs(x[1] - base / 2.0) < base / 6.0 + 1e-9))
    edge, middle_moment = carried(0, inward, ri, 0.0, base), section(0, 0.05 * t, 0.0, base)
    edged = 6.0 * abs(edge) / base**2 + pulled(inward[0])
    return {
        "wall": 6.0 * abs(carried(1, near, base, ri, ri + t)) / t**2,
        "disc": float(max(edged, 6.0 * abs(middle_moment) / base**2 + pulled(0.05 * t))),
        "sag": -float(u[mid.nodal["u^2"]].mean()),
    }
