"""Cavities, turns and an independent way (trimesh) to measure liquid, for the tests of this folder."""

from __future__ import annotations

import math

import numpy as np
import trimesh
from scipy.spatial import ConvexHull
from scipy.spatial.transform import Rotation

from assemblies.liquid import Cavity, Face, Mesh

G = 9806.65


def vector(values: np.ndarray) -> tuple[float, float, float]:
    return float(values[0]), float(values[1]), float(values[2])


def gravity(tilt_deg: float, toward_deg: float = 0.0) -> tuple[float, float, float]:
    t, a = math.radians(tilt_deg), math.radians(toward_deg)
    return G * math.sin(t) * math.cos(a), G * math.sin(t) * math.sin(a), -G * math.cos(t)


def random_hull(seed: int, points: int = 12) -> tuple[Cavity, trimesh.Trimesh]:
    """A closed convex polyhedron of random corners, as a cavity and as a mesh."""
    rng = np.random.default_rng(seed)
    cloud = rng.uniform(-100.0, 100.0, (points, 3)) * rng.uniform(0.3, 1.0, 3)
    hull = ConvexHull(cloud)
    inside = cloud.mean(axis=0)
    faces, triangles = [], []
    for k, (a, b, c) in enumerate(hull.simplices):
        outward = np.dot(np.cross(cloud[b] - cloud[a], cloud[c] - cloud[a]), cloud[a] - inside) > 0.0
        order = (a, b, c) if outward else (a, c, b)
        triangles.append(order)
        faces.append(Face(name=f"f{k}", corners=tuple(vector(cloud[i]) for i in order)))
    return Cavity(faces=tuple(faces)), trimesh.Trimesh(cloud, triangles, process=False)


def below(solid: trimesh.Trimesh, up: tuple[float, float, float], level: float) -> trimesh.Trimesh:
    """The capped part of a solid below a level."""
    part = solid.slice_plane(np.array(up) * level, -np.array(up), cap=True)
    assert part.is_watertight
    return part


def turned(cavity: Cavity, turn: Rotation, step: np.ndarray) -> Cavity:
    """The same faces after a turn and a step; no lips."""
    return Cavity(
        faces=tuple(
            Face(name=f.name, corners=tuple(vector(turn.apply(np.array(c)) + step) for c in f.corners))
            for f in cavity.faces
        )
    )


def as_mesh(solid: trimesh.Trimesh, names: tuple[str, ...] = ("wall",)) -> Cavity:
    return Cavity(
        mesh=Mesh(
            points=tuple(vector(p) for p in solid.vertices),
            triangles=tuple((int(a), int(b), int(c)) for a, b, c in solid.faces),
            names=names,
        )
    )
