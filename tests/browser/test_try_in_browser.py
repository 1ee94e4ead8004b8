"""The page of `seamwright try` in a real browser: sliders, undo, a kept state, save, faults, two tabs, keyboard, 360 px.

One server and one browser for all; what is seen comes from headless Chromium and axe-core.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from node_tools import HERE

from assemblies.examine import examine
from assemblies.kinds import kind, schemas, starter
from assemblies.order import read_order

ACTS = Path(__file__).with_name("try.cjs")
ROOT = Path(__file__).parents[2]


@dataclass(frozen=True)
class Tried:
    """What the browser saw, at which address; the order before and after."""

    seen: dict[str, Any]
    address: str
    before: bytes
    after: bytes


@pytest.fixture(scope="module")
def tried(tmp_path_factory: pytest.TempPathFactory) -> Tried:
    program, browser = shutil.which("node"), shutil.which("chromium")
    assert program, "node is not installed; Debian: apt-get install nodejs npm"
    assert browser, "chromium is not installed; Debian: apt-get install chromium"
    modules = Path(os.environ.get("SEAMWRIGHT_NODE_MODULES", HERE / "node_modules"))
    assert (modules / "playwright-core").is_dir(), f"playwright-core is not in {modules}; run: npm ci --prefix tests"
    folder = tmp_path_factory.mktemp("try")
    order = folder / "order.toml"
    order.write_text(starter("tank"), encoding="utf-8")
    before = order.read_bytes()
    with subprocess.Popen(
        [sys.executable, "-m", "assemblies", "try", "order.toml", "--no-browser"], cwd=folder, text=True,
        stdout=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    ) as server:  # fmt: skip
        try:
            assert server.stdout is not None
            address = server.stdout.readline().strip()
            done = subprocess.run(
                [program, str(ACTS), address], env={**os.environ, "NODE_PATH": str(modules), "SEAMWRIGHT_CHROMIUM": browser},
                capture_output=True, text=True, timeout=230, check=False,
            )  # fmt: skip
        finally:
            server.terminate()
    assert done.returncode == 0, done.stderr
    assert [path.name for path in folder.iterdir()] == ["order.toml"]
    return Tried(json.loads(done.stdout), address, before, order.read_bytes())


def test_nothing_is_asked_of_any_other_machine_and_the_console_is_silent(tried: Tried) -> None:
    assert tried.seen["requests"]
    assert [url for url in tried.seen["requests"] if not url.startswith((tried.address, "data:", "blob:"))] == []
    told = [m for m in tried.seen["messages"] if "409" not in m]  # the refused save is told by the browser too
    assert told == []


def test_the_first_state_shows_what_the_commands_say(tried: Tried, tmp_path: Path) -> None:
    begun = tried.seen["begun"]
    (tmp_path / "order.toml").write_bytes(tried.before)
    report = examine(read_order(tmp_path / "order.toml", schemas()), kind("tank").asked("hold")).report
    assert (begun["stage"], begun["tone"]) == ("whole", "go")
    assert begun["text"].encode() == tried.before
    rows = {name: row["value"] for name, row in begun["rows"].items()}
    assert rows["freeboard"] == f"{report['liquid']['freeboard']:.0f} mm"
    assert rows["full"] == f"{report['liquid']['mass_full']:.2f} kg"
    used = max(one["use"] for key in ("cases", "seams") for one in report["strength"][key])
    assert f"{round(100 * used)} % of its limit" in rows["use"]
    assert {"price", "fence", "sheet", "mass"} <= set(rows)
    assert begun["view"]["water"]["volume"] == pytest.approx(report["liquid"]["fill_L"] * 1e6, rel=1e-6)  # mm3
    assert begun["view"]["water"]["uneven"] < 1e-3


def test_the_view_turns_by_key_and_goes_from_assembled_to_apart(tried: Tried) -> None:
    home, apart = tried.seen["begun"]["view"]["places"], tried.seen["apart"]
    assert tried.seen["turned"]
    assert tried.seen["spoken"] == "apart"
    assert sorted(home) == sorted(apart)
    assert sum(home[name] != apart[name] for name in home) >= len(home) - 1


def test_sizes_follow_the_slider_while_it_is_dragged(tried: Tried) -> None:
    drag = tried.seen["drag"]
    lengths = [one["length"] for one in drag["seen"]]
    assert lengths == sorted(lengths)
    assert lengths[-1] > lengths[0] >= 300
    volumes = [one["volume"] for one in drag["seen"]]
    assert len(set(volumes)) >= 3  # the view follows before the mouse is let go
    for one in drag["seen"]:  # length x 200 x 120 mm of water, of the text that the view shows
        length = float(re.findall(r"[\d.]+", one["text"])[0])
        assert one["volume"] == pytest.approx(length * 200 * 120, rel=1e-6)
    assert drag["end"].startswith(f"size      = [{lengths[-1]:g}, 200, 150]    # length")


@pytest.mark.parametrize("part", ["drag", "two"])
def test_a_stale_verdict_is_never_go(tried: Tried, part: str) -> None:
    """Every verdict that was shown from the change until all was known again."""
    tones = tried.seen[part]["tones"]
    assert tones
    assert tried.seen["again"] == "go"  # it was, before the two changes
    assert {tone for tone, _, stage in tones if stage != "whole"} <= {"working", "stop", "refused"}
    assert not any(word.lower().startswith("go") for _, word, stage in tones if stage != "whole")
    assert all(one["tone"] != "go" for one in tried.seen["drag"]["seen"] if one["stage"] != "whole")


def test_beside_what_is_typed_and_not_taken_no_verdict_stands(tried: Tried) -> None:
    assert tried.seen["typed"].startswith("Not taken yet")
    assert tried.seen["escaped"] == ["120 mm", "go"]


def test_what_changed_and_the_kept_state_stand_beside(tried: Tried) -> None:
    dragged = tried.seen["dragged"]
    assert dragged["columns"] == ["Figure", "Now", "Kept"]
    (full,) = [row for row in dragged["lines"] if row.startswith("Mass, filled")]
    was = tried.seen["begun"]["rows"]["full"]["value"]
    name, now, before, kept = [cell for cell in re.split(r"[\t\n]", full) if cell]
    assert (name, before, kept) == ("Mass, filled", f"was {was}", was)
    assert now == dragged["rows"]["full"]["value"] != was


def test_a_drag_is_one_step_of_undo(tried: Tried) -> None:
    assert tried.seen["redo"]  # and the text was the first one again, or it would have waited in vain


def test_of_two_changes_in_20_ms_the_later_is_shown(tried: Tried) -> None:
    assert tried.seen["two"]["text"].startswith("size      = [320, 200, 150]")
    assert tried.seen["two"]["row"].startswith(f"{320 + 2 * 5.82:g} mm")  # the bottom runs long under the ends


def test_save_changes_one_figure_of_the_file_and_no_other_byte(tried: Tried) -> None:
    assert tried.seen["saved"] == "(saved)"
    assert tried.after == tried.before.replace(b"[300, 200, 150]", b"[320, 200, 150]")
    assert tried.after != tried.before


def test_a_fault_stands_at_its_field_and_is_reached_by_key(tried: Tried) -> None:
    refused = tried.seen["refused"]
    assert refused == {
        "tone": "refused",
        "said": "400 mm is deeper than the inside; allowed: 0 to 150 mm",
        "invalid": "true",
        "focus": "f-liquid.fill",
    }
    assert tried.seen["still"].startswith("size      = [320, 200, 150]")


def test_two_tabs_do_not_mix_and_lose_nothing(tried: Tried) -> None:
    other = tried.seen["other"]
    assert other["text"].startswith("size      = [300, 200, 150]")
    assert "order.toml has changed since it was read" in other["said"]
    assert other["after"] == "(changed, not saved)"  # after a reload its change is there again
    assert tried.seen["plates"].startswith("size      = [320, 200, 150]")


@pytest.mark.parametrize("screen", ["1280 light", "360 dark"])
def test_axe_finds_no_fault_and_nothing_is_wider_than_the_screen(tried: Tried, screen: str) -> None:
    assert tried.seen["axe"][screen]["ran"] > 20
    assert tried.seen["axe"][screen]["found"] == []
    wide = tried.seen["wide"][screen]
    assert wide == {"page": int(screen.split()[0]), "over": []}


def test_every_control_is_large_enough_to_touch(tried: Tried) -> None:
    """WCAG 2.2, 2.5.8 Target Size (Minimum): 24 by 24 CSS px."""
    assert tried.seen["touched"] == []


def test_the_first_key_leads_to_the_fields(tried: Tried) -> None:
    assert tried.seen["first"] == "To the fields"
