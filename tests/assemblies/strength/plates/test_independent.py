"""Ten random mixes of edges and loads, held to an independent method: fifth-order Argyris triangles of scikit-fem.

A quasi-uniform mesh of about ten by ten
cells, each cut in two. Moments are compared where both methods are good: in the span and along
held sides away from the corners of free edges, where neither converges fast.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from skfem import Basis, BilinearForm, ElementTriArgyris, LinearForm, MeshTri, condense, solve
from skfem.helpers import dd, ddot, trace

from assemblies.strength import plate

SIDES = ("left", "right", "bottom", "top")
MODULUS, THICK = 3000.0, 6.0


@dataclass(frozen=True)
class Case:
    width: float
    height: float
    poisson: float
    edges: dict[str, str]
    load: tuple[float, float, float, float]  # p = a + b x/w + c y/h + d x y / (w h), in 1e-3 MPa

    def pressure(self, x, y):
        a, b, c, d = self.load
        u, v = x / self.width, y / self.height
        return 1e-3 * (a + b * u + c * v + d * u * v)


def cases() -> list[Case]:
    random = np.random.default_rng(20)
    made: list[Case] = []
    while len(made) < 10:
        edges = dict(
            zip(SIDES, random.choice(["clamped", "supported", "free"], size=4, p=[0.4, 0.35, 0.25]), strict=True)
        )
        loose = [s for s in SIDES if edges[s] == "free"]
        if len(loose) > 1 or set(edges.values()) == {"free"}:
            continue
        made.append(
            Case(
                width=float(random.uniform(150, 500)),
                height=float(random.uniform(150, 400)),
                poisson=float(random.uniform(0.2, 0.4)),
                edges={k: str(v) for k, v in edges.items()},
                load=tuple(float(v) for v in random.uniform(-0.5, 1.0, size=4)),
            )
        )
    return made


@dataclass(frozen=True)
class Reference:
    w: np.ndarray
    mx: np.ndarray
    my: np.ndarray
    mxy: np.ndarray


def argyris(case: Case, x: np.ndarray, y: np.ndarray) -> Reference:
    """Deflection and moments at points."""
    columns = max(6, round(10 * case.width / case.height))
    mesh = MeshTri.init_tensor(np.linspace(0, case.width, columns + 1), np.linspace(0, case.height, 11))
    basis = Basis(mesh, ElementTriArgyris(), intorder=10)
    rigidity, nu = MODULUS * THICK**3 / 12 / (1 - case.poisson**2), case.poisson

    def moment(w):
        return rigidity * ((1 - nu) * dd(w) + nu * np.einsum("ij,kl->ijkl", np.eye(2), trace(dd(w))))

    stiffness = BilinearForm(lambda u, v, _: ddot(moment(u), dd(v))).assemble(basis)
    force = LinearForm(lambda v, p: case.pressure(*p.x) * v).assemble(basis)
    fixed = [held(basis, mesh, case, side) for side in SIDES]
    solution = solve(*condense(stiffness, force, D=np.unique(np.concatenate(fixed))))
    return at_points(mesh, basis, solution, x, y, rigidity, nu)


def held(basis, mesh, case: Case, side: str) -> np.ndarray:
    axis, place = {"left": (0, 0.0), "right": (0, case.width), "bottom": (1, 0.0), "top": (1, case.height)}[side]
    dofs = basis.get_dofs(mesh.facets_satisfying(lambda p: np.isclose(p[axis], place), boundaries_only=True))
    n, t = "xy"[axis], "xy"[1 - axis]
    names = {"free": [], "supported": ["u", f"u_{t}", f"u_{t}{t}"]}
    names["clamped"] = [*names["supported"], f"u_{n}", "u_xy", "u_n"]
    kept = [dofs.keep(name).flatten() for name in names[case.edges[side]]]
    return np.concatenate(kept) if kept else np.zeros(0, dtype=int)


def at_points(mesh, basis, solution, x, y, rigidity, nu) -> Reference:
    """Evaluate at points, by the shape functions of the triangle around each."""
    points = np.stack([x, y])
    cells = mesh.element_finder()(*points)
    local = mesh.mapping().invF(points[:, :, None], tind=cells)
    w, second = np.zeros(len(x)), np.zeros((2, 2, len(x)))
    for k in range(basis.Nbfun):
        shape = basis.elem.gbasis(mesh.mapping(), local, k, tind=cells)[0]
        c = solution[basis.element_dofs[k, cells]]
        w += c * np.asarray(shape)[:, 0]
        second += c * shape.hess[:, :, :, 0]
    mx = -rigidity * (second[0, 0] + nu * second[1, 1])
    my = -rigidity * (second[1, 1] + nu * second[0, 0])
    return Reference(w=w, mx=mx, my=my, mxy=rigidity * (1 - nu) * second[0, 1])


@pytest.mark.parametrize("case", cases(), ids=lambda c: "-".join(e[0] for e in c.edges.values()))
def test_any_mix_of_edges_and_loads_agrees_with_argyris_triangles(case):
    ours = plate(case.width, case.height, THICK, MODULUS, case.poisson, case.edges, case.pressure)
    share = np.linspace(0.1, 0.9, 9) + 1e-4
    x, y = (g.ravel() for g in np.meshgrid(share * case.width, share * case.height))
    for side in SIDES:
        if case.edges[side] != "free":
            along, end = share[1:-1], 1e-6 if side in ("left", "bottom") else 1.0 - 1e-6
            u, v = (end + 0.0 * along, along) if side in ("left", "right") else (along, end + 0.0 * along)
            x, y = np.concatenate([x, u * case.width]), np.concatenate([y, v * case.height])
    got, reference = ours.field(x, y), argyris(case, x, y)
    largest = np.max(np.abs(reference.w))
    assert np.max(np.abs(got.w - reference.w)) < 0.002 * largest
    scale = max(np.max(np.abs(m)) for m in (reference.mx, reference.my, reference.mxy))
    # 1 %: second derivatives of the triangles jump from cell to cell by up to this beside a clamped side
    for name in ("mx", "my", "mxy"):
        assert np.max(np.abs(getattr(got, name) - getattr(reference, name))) < 0.01 * scale, name
