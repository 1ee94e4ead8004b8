"""What a packet says is seen through a filled tube, against a ray trace of its own: Snell's law in vectors at each circle."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from asked import ask
from starters import bare

from assemblies.examine import Examined
from assemblies.kinds import schemas
from assemblies.liquid.sight.told import sight_blocks, sight_panels
from assemblies.order import read_order_text
from assemblies.report.blocks import Para

WATER, PMMA = 1.333, 1.49
VORTEX = (Path(__file__).parents[2] / "orders" / "vortex-column.toml").read_text(encoding="utf-8")


@cache
def found(text: str = VORTEX) -> Examined:
    return ask(read_order_text(text, schemas()), None)


def tube() -> Any:
    return found().report["sight"]["tube"]


def bent(way: np.ndarray, normal: np.ndarray, before: float, after: float) -> np.ndarray | None:
    """A ray's way behind a surface; None where it is thrown back."""
    if way @ normal > 0.0:
        normal = -normal
    ratio, cosine = before / after, -float(way @ normal)
    inside = 1.0 - ratio**2 * (1.0 - cosine**2)
    return None if inside < 0.0 else ratio * way + (ratio * cosine - math.sqrt(inside)) * normal


def meets(place: np.ndarray, way: np.ndarray, radius: float) -> np.ndarray | None:
    """Where a ray next meets a circle about the origin."""
    half = float(place @ way)
    inside = half**2 - float(place @ place) + radius**2
    if inside < 0.0:
        return None
    ahead = [d for d in (-half - math.sqrt(inside), -half + math.sqrt(inside)) if d > 1e-6]
    return place + min(ahead) * way if ahead else None


def traced(place: np.ndarray, way: np.ndarray, steps: tuple[tuple[float, float, float], ...]) -> Any:
    """Place and way behind circles (radius, index before, index after), one after another; None where it ends before."""
    for radius, before, after in steps:
        at = meets(place, way, radius)
        if at is None:
            return None
        turned = bent(way, at / radius, before, after)
        if turned is None:
            return None
        place, way = at, turned
    return place, way


@pytest.mark.parametrize("which", ["axis", "far"])
def test_how_wide_and_where_a_thing_in_the_tube_seems(which: str) -> None:
    """Two rays of a point a little off the line of view: where they come from, back on their straight lines."""
    one, inner, outer = tube()[which], tube()["bore"] / 2.0, tube()["outside"] / 2.0
    aside = 1e-3
    source = np.array([inner - one["deep"], aside])
    lines = []
    for angle in (0.0, 1e-5):
        place, way = traced(
            source, np.array([math.cos(angle), math.sin(angle)]), ((inner, WATER, PMMA), (outer, PMMA, 1.0))
        )
        lines.append((place, way))
    (p, u), (q, v) = lines
    t = ((q[0] - p[0]) * v[1] - (q[1] - p[1]) * v[0]) / (u[0] * v[1] - u[1] * v[0])
    image = p + t * u
    assert outer - image[0] == pytest.approx(one["behind"], rel=1e-4)
    assert image[1] / aside == pytest.approx(one["wider"], rel=1e-4)


def test_the_liquid_seems_to_reach_the_outside() -> None:
    """Level rays from afar, up to the very edge: each goes through the liquid; of a thick wall the outermost do not."""
    inner, outer = tube()["bore"] / 2.0, tube()["outside"] / 2.0
    assert tube()["fills"]

    def wets(height: float, bore: float) -> bool:
        into = ((outer, 1.0, PMMA), (bore, PMMA, WATER))
        return traced(np.array([-3.0 * outer, height]), np.array([1.0, 0.0]), into) is not None

    assert all(wets(share * outer, inner) for share in (0.1, 0.5, 0.9, 0.99, 0.9999))
    thick = 0.9 * outer / WATER
    assert not wets(0.99 * outer, thick)
    assert WATER * thick < outer  # what the packet goes by


@pytest.mark.parametrize(("key", "share", "rel"), [("turned", 0.02, 1e-3), ("turned_edge", 0.4, 1e-6)])
def test_where_the_suns_light_meets_behind_it(key: str, share: float, rel: float) -> None:
    inner, outer = tube()["bore"] / 2.0, tube()["outside"] / 2.0
    through = ((outer, 1.0, PMMA), (inner, PMMA, WATER), (inner, WATER, PMMA), (outer, PMMA, 1.0))
    place, way = traced(np.array([-3.0 * outer, share * outer]), np.array([1.0, 0.0]), through)
    crosses = place[0] - place[1] * way[0] / way[1]
    assert crosses - outer == pytest.approx(tube()[key], rel=rel)
    if key == "turned":
        (burns,) = [f for f in found().made.findings if f.check == "sight"]
        assert burns.level == "care"
        assert f"{tube()[key]:.0f} mm behind it" in burns.why


def test_from_above_the_wall_is_a_mirror_up_to_its_angle() -> None:
    """Down through the surface, then onto the upright wall: just within the angle nothing comes out, just past it it does."""

    def out(degrees: float) -> bool:
        down = np.array([math.sin(math.radians(degrees)), -math.cos(math.radians(degrees))])
        wet = bent(down, np.array([0.0, 1.0]), 1.0, WATER)
        assert wet is not None
        wall = bent(wet, np.array([1.0, 0.0]), WATER, PMMA)
        return wall is not None and bent(wall, np.array([1.0, 0.0]), PMMA, 1.0) is not None

    assert not out(tube()["mirror"] - 0.1)
    assert out(tube()["mirror"] + 0.1)


def test_the_packet_says_where_to_stand_and_what_is_in_the_picture() -> None:
    texts = [b.text for b in sight_blocks(found().report, "mm") if isinstance(b, Para)]
    assert len(texts) == 4
    assert texts[1].startswith("Stand level with what is to be seen")
    assert "Not above it" in texts[1]
    assert texts[2] == "In the picture, all around: its seams with base and ring, and the cut edges of base, ring."
    assert texts[0].count(". ") == 2  # three sentences
    from assemblies.liquid.sight.seen import Sight

    panels = sight_panels(found().made.of(Sight))
    (panel,) = panels["sight-tube"][0]
    assert panel.curves[0].y[9] == pytest.approx(tube()["axis"]["wider"])  # the tenth of twenty places is the axis
    assert float(panel.curves[0].y[-1]) == pytest.approx(tube()["far"]["wider"])


def test_a_dry_tube_a_liquid_without_an_index_and_a_box_without_a_face_say_nothing() -> None:
    dry = VORTEX.replace('fill  = "140 mm"', 'fill = "0 mm"')
    assert not ask(read_order_text(dry, schemas()), "hold").report.get("sight")
    blind = bare("tank").replace('seen-from = ["front"]', "seen-from = []")
    assert not ask(read_order_text(blind, schemas()), "hold").report.get("sight")
