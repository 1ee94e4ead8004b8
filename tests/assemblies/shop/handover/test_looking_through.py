"""Looking through a tank: figures by hand, what is in the picture, and what is not covered."""

from __future__ import annotations

from typing import Any
from xml.etree import ElementTree

import pytest
from starters import bare

from assemblies.examine import Examined, examine
from assemblies.kinds import kind, schemas
from assemblies.liquid.sight.seen import Sight
from assemblies.liquid.sight.told import sight_blocks, sight_panels
from assemblies.order import read_order_text
from assemblies.packet.pictures.plots import plot_svg
from assemblies.report.blocks import Para

START = bare("tank").partition("[[case]]")[0]


def found(*changes: tuple[str, str]) -> Examined:
    text = START
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    checks = [one for one in kind("tank").asked(solids=False) if one.name in ("build", "fit", "liquid", "sight")]
    return examine(read_order_text(text, schemas(), "order.toml"), checks)


def faces(one: Examined) -> list[dict[str, Any]]:
    return list(one.report["sight"]["faces"])


@pytest.fixture(scope="module")
def front() -> Examined:
    return found()


def test_the_back_seems_a_quarter_nearer(front: Examined) -> None:
    """Thickness over index, added up: Snell's law for small angles (Hecht, Optics, ch. 4; from memory)."""
    (face,) = faces(front)
    assert (face["face"], face["far"]) == ("front", "back")
    assert face["seems"] == pytest.approx(face["wall"] / 1.49 + face["inside"] / 1.333, abs=1e-4)
    assert face["inside"] == pytest.approx(200.0, abs=0.01)
    assert face["mirror"] == pytest.approx(61.81, abs=0.01)  # asin(1.333 cos(asin(1 / 1.333)))
    depths = [v["in_plane"] for v in face["views"]]
    assert depths == sorted(depths, reverse=True)
    assert all(v["in_plane"] < v["across"] < face["seems"] for v in face["views"])


def test_what_is_in_the_picture_is_named(front: Examined) -> None:
    """The front runs long by default: no cut edge; where the ends run past it, theirs are beside it."""
    (face,) = faces(front)
    assert face["edges"] == []
    assert face["seams"] == ["bottom", "left", "right"]
    ends = found(('runs-long = ["front-back", "bottom", "ends"]', 'runs-long = ["ends", "front-back", "bottom"]'))
    assert faces(ends)[0]["edges"] == ["left", "right"]


def test_three_sentences_and_a_plot_say_it(front: Examined) -> None:
    said = " ".join(b.text for b in sight_blocks(front.report, "mm") if isinstance(b, Para))
    for words in ("looks nearer by 25 %", "stand square to it", "are mirrors", "no cut edge"):
        assert words in said
    sight = front.made.of(Sight)
    assert sight is not None
    ((key, (panels, words)),) = sight_panels(sight).items()
    assert key == "sight-front"
    drawn = "".join(ElementTree.fromstring(plot_svg(panels, words)).itertext())
    assert "degrees from square" in drawn
    assert "where it is" in drawn


def test_the_index_is_of_the_liquid() -> None:
    milk = found(('name = "water"', 'name = "milk"'))
    assert milk.report["checks"].get("sight", "not-covered") == "not-covered"
    assert "sight" not in milk.report
    assert any("how milk bends light is not known" in f["why"] for f in milk.report["findings"])


def test_of_a_tank_that_nobody_looks_through_nothing_is_said() -> None:
    assert "sight" not in found(('seen-from = ["front"]', "seen-from = []")).report
