"""packet.html in a real browser, from the disk, with the network off.

What is seen comes from headless Chromium (driven by playwright-core) and axe-core, neither of which knows this project; what
must be seen is worked out from the design, by `explode` and from the report. They fail, and say so, when a program is missing.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from node_tools import HERE
from starters import two_plates

from assemblies.examine import Examined, examine
from assemblies.kinds import schemas, starter
from assemblies.order import read_order
from assemblies.packet.write import write_packet

LOOK = Path(__file__).with_name("look.cjs")


@dataclass(frozen=True)
class Made:
    """A packet, and what it was made of."""

    found: Examined
    page: Path

    @property
    def report(self) -> dict[str, Any]:
        report: dict[str, Any] = json.loads((self.page.parent / "report.json").read_text())
        return report


def look(job: str, page: Path) -> dict[str, Any]:
    """What the browser saw."""
    program, browser = shutil.which("node"), shutil.which("chromium")
    assert program, "node is not installed; Debian: apt-get install nodejs npm"
    assert browser, "chromium is not installed; Debian: apt-get install chromium"
    modules = Path(os.environ.get("SEAMWRIGHT_NODE_MODULES", HERE / "node_modules"))
    assert (modules / "playwright-core").is_dir(), f"playwright-core is not in {modules}; run: npm ci --prefix tests"
    done = subprocess.run(
        [program, str(LOOK), job, str(page)],
        env={**os.environ, "NODE_PATH": str(modules), "SEAMWRIGHT_CHROMIUM": browser},
        capture_output=True, text=True, timeout=180, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    seen: dict[str, Any] = json.loads(done.stdout)
    return seen


def _made(folder: Path, text: str) -> Made:
    order = folder / "order.toml"
    order.write_text(text)
    found = examine(read_order(order, schemas()))
    write_packet(found, folder / "packet")
    return Made(found, folder / "packet" / "packet.html")


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """The starter tank."""
    return _made(tmp_path_factory.mktemp("good"), starter("tank"))


@pytest.fixture(scope="module")
def bad(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """The same, cut so badly that corners stay open and the bottom may not go in."""
    text = two_plates().replace("repeat     = 0.05", "repeat     = 0.4")
    assert text != two_plates()
    return _made(tmp_path_factory.mktemp("bad"), text)


@pytest.fixture(scope="module")
def seen(good: Made) -> dict[str, Any]:
    return look("view", good.page)


@pytest.fixture(scope="module")
def reached(good: Made) -> dict[str, Any]:
    return look("access", good.page)


def test_it_opens_from_the_disk_without_a_word_on_the_console_and_without_a_request(seen: dict[str, Any]) -> None:
    assert seen["seen"] == {"messages": [], "requests": []}
    assert seen["title"] == "Ripple trough for the harbour stage: Go"


@pytest.mark.parametrize("share", [0, 25, 50, 100])
def test_the_slider_moves_each_piece_the_way_explode_says(good: Made, seen: dict[str, Any], share: int) -> None:
    exploded = good.found.exploded
    assert exploded is not None
    at = seen["at"][str(share)]
    assert sorted(at) == sorted(exploded.offsets)
    for name, (x, y, z) in exploded.offsets.items():
        # mm, z up, to metres, y up (glTF 2.0, "Coordinate System and Units"); 32-bit floats in the file
        assert at[name] == pytest.approx([v * share / 100 / 1000 for v in (x, z, -y)], abs=1e-7)
    assert max(abs(v) for p in exploded.offsets.values() for v in p) > 10.0


def test_the_picture_changes_with_the_slider_and_the_slider_says_how_far(seen: dict[str, Any]) -> None:
    assert seen["moved"]
    assert seen["spoken"] == "25 % apart"


def test_a_click_picks_the_piece_under_it_and_shows_it_everywhere(good: Made, seen: dict[str, Any]) -> None:
    assert {"front", "right", "bottom", "plate-1"} <= set(seen["picked"])  # the rest may stand behind these
    for name, shown in seen["picked"].items():
        assert shown["picked"] == name
        assert shown["pressed"] == [name]
        assert set(shown["lines"]) == {name}  # of the exploded drawing and of the cutting plan
        part = next(p for p in good.report["placed"] if p["name"] == name)["part"]
        assert f"Drawing of {part}" in shown["figures"]
        assert {"Pieces to cut", "Seams", "Piece by piece", "Seams in the order they are run"} <= set(shown["tables"])
        mine = [s for s in good.report["fit"]["seams"] if name in (s["a"], s["b"])]
        assert _pairs(mine) == set(shown["rows"]) & _pairs(good.report["fit"]["seams"])
        assert shown["said"].endswith(f"Seams: {', '.join(s['id'] for s in mine)}.")
    assert seen["after"] == {
        "picked": None,
        "pressed": [],
        "rows": [],
        "tables": [],
        "figures": [],
        "lines": [],
        "said": "",
    }


def _pairs(seams: Sequence[dict[str, Any]]) -> set[str]:
    return {f"{s['a']} {s['b']}" for s in seams}


def test_a_drag_turns_the_model_and_picks_nothing(seen: dict[str, Any]) -> None:
    assert seen["dragged"]["picked"] is None
    assert abs(seen["dragged"]["from"]["x"] - seen["dragged"]["to"]["x"]) > 5.0


def test_every_link_leads_to_a_heading_of_the_page_and_no_name_stands_twice(seen: dict[str, Any]) -> None:
    assert len(seen["ids"]) == len(set(seen["ids"]))
    assert set(seen["links"]) <= set(seen["ids"])
    assert {"verdict", "view-title", "pieces", "cutting", "bonding"} <= set(seen["links"])


def test_a_sound_design_has_no_marks(seen: dict[str, Any]) -> None:
    assert seen["flags"] == []
    assert seen["marks"] == []


def test_what_does_not_seal_or_go_in_is_marked_in_the_view_with_its_figure(bad: Made) -> None:
    seen = look("view", bad.page)
    assert seen["seen"] == {"messages": [], "requests": []}
    assert seen["title"].endswith(": Stop")
    faults = [s for s in bad.report["fit"]["seams"] if s["seals"] != "ok" or not s["goes_in"]]
    assert any(not s["goes_in"] for s in faults)
    assert any(s["goes_in"] for s in faults)
    assert len(seen["flags"]) == len(seen["marks"]) == len(faults)
    for seam, flag, mark in zip(faults, seen["flags"], seen["marks"], strict=True):
        figure = f"gap {seam['gap']['max']:.2f} mm" if seam["goes_in"] else f"{-seam['gap']['min']:.2f} mm too large"
        assert flag == {"text": f"{seam['id']} {figure}", "level": "flag stop", "inside": True}
        assert mark.startswith(f"Seam {seam['id']}, {seam['a']} and {seam['b']}: ")
        assert ("may not go in" in mark) is not seam["goes_in"]


#: Text that would be code if it were not escaped, and a word that no screen is wide enough for.
HOSTILE = """</title><script>window.fooled = 1</script><img src=x onerror='fooled=1'> "quoted" & `ticked` """ + "w" * 90


def crowded_order() -> str:
    """The badly cut starter, larger, with 55 plates on three faces, a hostile title and a hostile case."""
    text = two_plates().replace("repeat     = 0.05", "repeat     = 0.4").replace("[300, 200, 150]", "[700, 600, 300]")
    for old in ('"Ripple trough for the harbour stage"', '"run the trough"'):
        assert old in text
        text = text.replace(old, json.dumps(HOSTILE))
    head, plate, tail = text.partition("[[plate]]")
    plate, case, tail = tail.partition("[[case]]")
    for face, rows, first in (("bottom", 5, -200), ("front", 3, -100), ("back", 3, -100)):
        places = json.dumps([[100 * i - 200, 100 * k + first] for i in range(5) for k in range(rows)])
        head += "[[plate]]" + plate.replace('"bottom"', f'"{face}"').replace("[[-87.5, 0], [87.5, 0]]", places)
    return head + case + tail


@pytest.fixture(scope="module")
def crowded(tmp_path_factory: pytest.TempPathFactory) -> Made:
    return _made(tmp_path_factory.mktemp("crowded"), crowded_order())


@pytest.fixture(scope="module")
def crowd(crowded: Made) -> dict[str, Any]:
    return look("crowd", crowded.page)


@pytest.mark.parametrize("width", [360, 768, 1280])
def test_sixty_pieces_and_hostile_words_make_a_page_like_any_other(
    crowded: Made, crowd: dict[str, Any], width: int
) -> None:
    at, names = crowd[str(width)], [p["name"] for p in crowded.report["placed"]]
    assert len(names) == 60
    assert at["seen"] == {"messages": [], "requests": []}
    assert at["wide"] == {"page": width, "over": []}
    assert sorted(at["moved"]) == sorted(names)
    assert at["chosen"]["picked"] == names[-1]
    assert at["heading"] == crowded.report["title"]
    assert "<script>window.fooled" in at["heading"]
    assert not at["fooled"]
    assert crowded.page.stat().st_size < 3_000_000


@pytest.mark.parametrize("width", [360, 768, 1280])
def test_no_flag_lies_on_another(crowd: dict[str, Any], width: int) -> None:
    at = crowd[str(width)]
    assert at["flags"] >= 8
    assert at["overlaps"] == {str(share): [] for share in (0, 25, 50, 75, 100)}


@pytest.mark.parametrize("width", [360, 1280])
def test_the_page_begins_with_the_verdict_then_the_model_then_what_to_care_for(
    reached: dict[str, Any], width: int
) -> None:
    at = reached["tops"][f"{width} light"]
    assert at["verdict"]["top"] < at["findings"]["top"]
    assert at["stage"]["top"] < at["findings"]["top"]
    if width == 1280:  # beside it, and the whole of both on the first screen but for the last of the controls
        assert at["verdict"]["right"] <= at["stage"]["left"]
        assert at["stage"]["bottom"] <= 900
    else:
        assert at["verdict"]["bottom"] <= at["stage"]["top"] < 740


def test_axe_finds_nothing_in_light_and_dark_wide_and_narrow(reached: dict[str, Any]) -> None:
    assert set(reached["axe"]) == {"1280 light", "1280 dark", "360 light", "360 dark"}
    for result in reached["axe"].values():
        assert result["found"] == []
        assert result["ran"] > 30  # rules that had something to look at


def test_a_page_with_nests_is_as_sound(tmp_path: Path) -> None:
    """Cut by laser, its sheets are drawn too: they have words, hide nothing, and are no wider than a telephone."""
    nested = _made(tmp_path, two_plates().replace('process    = "saw"', 'process    = "laser"'))
    text = nested.page.read_text(encoding="utf-8")
    assert text.count('<figure class="nest"') == len(nested.report["nesting"]["sheets"]) == 2
    seen = look("access", nested.page)
    assert {key: result["found"] for key, result in seen["axe"].items()} == {
        f"{width} {scheme}": [] for width in (1280, 360) for scheme in ("light", "dark")
    }
    for width in (360, 768, 1280):
        assert seen["wide"][f"{width} light"] == {"page": width, "over": []}


@pytest.mark.parametrize("width", [360, 768, 1280])
def test_nothing_is_wider_than_the_screen(reached: dict[str, Any], width: int) -> None:
    assert reached["wide"][f"{width} light"] == {"page": width, "over": []}


def test_nothing_moves_by_itself_where_less_motion_is_asked_for(reached: dict[str, Any]) -> None:
    assert {s["motion"] for s in reached["screens"].values()} == {"auto"}
    assert [s["messages"] for s in reached["screens"].values()] == [[]] * 5


def test_the_keyboard_alone_reaches_turns_and_picks(reached: dict[str, Any]) -> None:
    keys = reached["keys"]
    assert keys["first"]["what"] == "skip"
    assert keys["skipInView"]
    assert keys["skipped"] == "content"
    stops = [stop["what"] or stop["tag"] for stop in keys["stops"]]
    assert stops == ["CANVAS", "apart", "nearer", "farther", "whole", "left"]
    assert {stop["ring"] for stop in [keys["first"], *keys["stops"]]} == {"solid 3px"}
    assert keys["turned"]
    assert keys["chosen"]["picked"] == "left"
    assert keys["chosen"]["pressed"] == ["left"]
    assert keys["freed"] is None


@pytest.fixture(scope="module")
def bare(good: Made) -> dict[str, Any]:
    return look("without", good.page)


@pytest.mark.parametrize("lacking", ["scripts", "webgl"])
def test_without_scripts_or_webgl_the_drawn_picture_stands_in(good: Made, bare: dict[str, Any], lacking: str) -> None:
    page = bare[lacking]
    assert not page["view"]
    assert page["picture"]
    assert page["messages"] == []
    text = page["text"]  # the links come first
    assert text.index("Go\n") < text.rindex("Findings\n") < text.index("Pieces to cut")
    for finding in good.report["findings"]:
        assert finding["why"].replace("`", "").lower() in page["text"].replace("`", "").lower()


def test_on_paper_every_figure_shows_its_why_and_the_view_is_gone(good: Made) -> None:
    program = shutil.which("pdftotext")
    assert program, "pdftotext is not installed; Debian: apt-get install poppler-utils"
    printed = look("paper", good.page)
    text = subprocess.run([program, printed["file"], "-"], capture_output=True, text=True, check=True).stdout
    flat = "".join(text.split())
    assert len(printed["whys"]) > 30
    missing = [why for why in printed["whys"] if "".join(why.split()) not in flat]
    assert not missing
    assert "Nearer" not in text
    for part in good.report["parts"]:
        assert part["part"] in text
