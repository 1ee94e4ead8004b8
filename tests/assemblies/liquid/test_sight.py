"""Looking through flat walls and tubes, against a ray trace of its own: Snell's law in vectors at each surface."""

from __future__ import annotations

import math

import numpy as np
import pytest

from assemblies.liquid.sight.flat import apparent_depth, oblique_depth, shifted, side_mirror
from assemblies.liquid.sight.tube import seen_in_tube, tube_lens

WATER, PMMA = 1.333, 1.4914


def bent(ray: np.ndarray, normal: np.ndarray, before: float, after: float) -> np.ndarray | None:
    """A ray past a surface (Snell in vectors); None where all of it is thrown back."""
    normal = normal if ray @ normal < 0.0 else -normal
    ratio, cosine = before / after, -(ray @ normal)
    left = 1.0 - ratio**2 * (1.0 - cosine**2)
    if left < 0.0:
        return None
    return ratio * ray + (ratio * cosine - math.sqrt(left)) * normal


def through(layers: list[tuple[float, float]], angle: float) -> np.ndarray:
    """Where a ray from (0, 0) leaves flat layers that lie below each other."""
    at, ray, before = np.zeros(2), np.array([math.sin(angle), -math.cos(angle)]), 1.0
    for thick, index in layers:
        found = bent(ray, np.array([0.0, 1.0]), before, index)
        assert found is not None
        ray, before = found, index
        at = at + ray * (thick / -ray[1])
    return at


@pytest.mark.parametrize("angle", [0.0, 0.3, 0.8, 1.3])
def test_a_ray_comes_out_aside_as_traced(angle: float) -> None:
    layers = [(6.0, PMMA), (200.0, WATER), (6.0, PMMA)]
    straight = np.array([math.tan(angle) * 212.0, -212.0])
    along = straight[0] - through(layers, angle)[0]
    found = shifted(layers, angle)
    assert found.along == pytest.approx(along, abs=1e-9)
    assert found.aside == pytest.approx(along * math.cos(angle), abs=1e-9)


def test_apparent_depth_is_where_steep_rays_meet() -> None:
    layers, angle = [(10.0, PMMA), (150.0, WATER)], 1e-4
    out = through(layers, angle)[0]
    assert apparent_depth(layers) == pytest.approx(out / math.tan(angle), rel=1e-6)


@pytest.mark.parametrize("view", [0.2, 0.7, 1.2])
def test_an_oblique_image_is_where_two_rays_beside_each_other_meet(view: float) -> None:
    depth, step = 150.0, 1e-5

    def leaves(angle: float) -> tuple[float, float]:
        inside = math.asin(math.sin(angle) / WATER)
        return depth * math.tan(inside), math.tan(angle)

    (one, slope), (other, steeper) = leaves(view - step), leaves(view + step)
    found = oblique_depth(depth, WATER, view)
    assert found.in_plane == pytest.approx((other - one) / (steeper - slope), rel=1e-6)
    assert found.across == pytest.approx(leaves(view)[0] / math.tan(view), rel=1e-9)
    assert found.sideways == pytest.approx(leaves(view)[0] - found.in_plane * math.tan(view), rel=1e-9)


def tube_ray(
    start: np.ndarray, ray: np.ndarray, surfaces: list[tuple[float, float, float]]
) -> tuple[np.ndarray, np.ndarray]:
    """A ray from a place through circles about the middle, each the next that it meets: radius, index before and behind."""
    for radius, before, after in surfaces:
        half, rest = start @ ray, start @ start - radius**2
        roots = [-half - math.sqrt(half**2 - rest), -half + math.sqrt(half**2 - rest)]
        start = start + ray * min(root for root in roots if root > 1e-12)
        found = bent(ray, start / radius, before, after)
        assert found is not None
        ray = found / np.linalg.norm(found)
    return start, ray


def crossing(start: np.ndarray, ray: np.ndarray) -> float:
    """Where a ray crosses the line y = 0."""
    return float(start[0] - ray[0] * start[1] / ray[1])


@pytest.mark.parametrize(("inner", "wall"), [(100.0, 5.0), (20.0, 10.0), (147.0, 3.0)])
def test_a_beam_across_a_filled_tube_crosses_where_it_is_traced(inner: float, wall: float) -> None:
    outer = inner + wall
    surfaces = [(outer, 1.0, PMMA), (inner, PMMA, WATER), (inner, WATER, PMMA), (outer, PMMA, 1.0)]
    found = tube_lens(inner, wall, WATER, PMMA, outer / 3.0)
    for height, back in ((1e-4 * outer, found.back), (outer / 3.0, found.back_edge)):
        start, ray = tube_ray(np.array([-2.0 * outer, height]), np.array([1.0, 0.0]), surfaces)
        assert crossing(start, ray) - outer == pytest.approx(back, rel=1e-6)


@pytest.mark.parametrize("depth", [20.0, 50.0, 100.0, 150.0])
def test_a_thing_in_a_tube_seems_where_its_rays_come_from(depth: float) -> None:
    inner, outer = 100.0, 105.0
    start, tilt = np.array([inner - depth, 0.0]), 1e-5
    out, ray = tube_ray(start, np.array([math.cos(tilt), math.sin(tilt)]), [(inner, WATER, PMMA), (outer, PMMA, 1.0)])
    found = seen_in_tube(inner, 5.0, depth, WATER, PMMA)
    assert outer - crossing(out, ray) == pytest.approx(found.behind, rel=1e-5)
    high = np.array([inner - depth, 1e-3])  # a thing a little off the middle, by the ray through it that stays level
    out, ray = tube_ray(high, np.array([1.0, 0.0]), [(inner, WATER, PMMA), (outer, PMMA, 1.0)])
    seen = out[1] + ray[1] / ray[0] * (outer - found.behind - out[0])
    assert seen / 1e-3 == pytest.approx(found.wider, rel=1e-5)


@pytest.mark.parametrize(("liquid", "wall"), [(1.36, PMMA), (1.333, PMMA), (1.47, PMMA)])
def test_a_side_wall_turns_into_a_mirror_where_the_trace_says_so(liquid: float, wall: float) -> None:
    found = side_mirror(liquid, wall)

    def thrown_back(incidence: float) -> bool:
        ray = np.array([math.sin(incidence), math.cos(incidence)])
        inside = bent(ray, np.array([0.0, 1.0]), liquid, wall)
        return inside is None or bent(inside, np.array([0.0, 1.0]), wall, 1.0) is None

    assert thrown_back(found.critical + 1e-6)
    assert not thrown_back(found.critical - 1e-6)
    for front, mirror in ((found.front - 1e-6, True), (found.front + 1e-6, False)):
        if front < math.pi / 2.0:
            inside = bent(np.array([math.sin(front), -math.cos(front)]), np.array([0.0, 1.0]), 1.0, liquid)
            assert inside is not None
            assert thrown_back(math.pi / 2.0 - math.atan2(inside[0], -inside[1])) is mirror
