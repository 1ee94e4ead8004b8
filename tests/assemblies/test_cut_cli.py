"""The command `cut` as a person runs it: exit codes, streams, and a rack that changes only when it is booked."""

from __future__ import annotations

import errno
import json
import os
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from starters import two_plates

from assemblies import cli

START = two_plates()
RACK = """units = "mm"
[[sheet]]
label = "C6"
material = "cast-pmma"
thickness = 6
size = [1220, 1000]
quantity = 2
price = 40

[[offcut]]
label = "plates"
material = "cast-pmma"
thickness = 12
size = [300, 120]
"""


def run(*args: str | Path, cwd: Path, command: str = "cut") -> subprocess.CompletedProcess[str]:
    env = {**os.environ, "PYTHONPATH": str(Path(cli.__file__).parents[1])}
    line = [sys.executable, "-m", "assemblies.cli", command, *map(str, args)]
    return subprocess.run(line, cwd=cwd, env=env, capture_output=True, text=True, timeout=60, check=False)


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    (tmp_path / "order.toml").write_text(START)
    (tmp_path / "other.toml").write_text(START.replace('"ripple-trough"', '"other"'))
    (tmp_path / "rack.toml").write_text(RACK)
    return tmp_path


def there(folder: Path) -> dict[str, bytes]:
    return {p.name: p.read_bytes() for p in folder.iterdir() if p.is_file()}


def test_one_order_is_planned_in_words_and_nothing_is_written(shop: Path) -> None:
    before = there(shop)
    done = run("order.toml", cwd=shop)
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    assert "fence 311.64 mm (setting" in done.stdout
    assert "Offcuts, back on the rack:" in done.stdout
    assert "riving knife and guard on" in done.stdout
    assert all(len(line) <= 80 for line in done.stdout.splitlines() if not line.startswith(("    1  ", "    2  ")))
    assert there(shop) == before


def test_json_alone_stands_on_standard_output(shop: Path) -> None:
    done = run("order.toml", "--json", cwd=shop)
    report = json.loads(done.stdout)
    assert done.returncode == 0
    assert report["version"] == 1
    assert {p["name"] for s in report["cutting"]["sheets"] for p in s["placed"]} == {
        p["name"] for p in report["placed"]
    }
    assert report["checks"]["fit"] == "not-run"
    assert "fence 311.64 mm" in done.stderr
    several = json.loads(run("order.toml", "other.toml", "--json", cwd=shop).stdout)
    assert set(several) == {"version", "orders", "cutting", "findings"}
    assert len([p for s in several["cutting"]["sheets"] for p in s["placed"]]) == 14


def test_an_order_in_inches_is_cut_in_inches(shop: Path) -> None:
    text = START.replace('units = "mm"', 'units = "in"').replace("[300, 200, 150]", "[12, 8, 6]")
    text = text[: text.index("[rig]")] + text[text.index("[[case]]") :]
    (shop / "inch.toml").write_text(
        text.replace("thickness = 6 ", 'thickness = "6 mm" ').replace("5.82, 5.80, 5.84", "0.23")
    )
    done = run("inch.toml", cwd=shop)
    assert done.returncode == 0, done.stderr
    assert "sled, stop 6 in (setting" in done.stdout


def test_the_rack_is_proposed_and_booked_only_on_request(shop: Path) -> None:
    before = there(shop)
    done = run("order.toml", "--rack", "rack.toml", cwd=shop)
    assert done.returncode == 0, done.stderr
    assert "- 1 x C6" in done.stdout
    assert "Nothing was changed" in done.stdout
    assert there(shop) == before
    done = run("order.toml", "--rack", "rack.toml", "--book", "--json", cwd=shop)
    assert done.returncode == 0, done.stderr
    assert (shop / "rack.toml.bak").read_bytes() == before["rack.toml"]
    booked = tomllib.loads((shop / "rack.toml").read_text())
    assert [s["quantity"] for s in booked["sheet"]] == [1]
    labels = [r["label"] for s in json.loads(done.stdout)["cutting"]["sheets"] for r in s["offcuts"]]
    assert sorted(o["label"] for o in booked["offcut"]) == sorted(labels)
    assert {p.name for p in shop.iterdir()} == {*before, "rack.toml.bak"}  # no draft is left
    again = run("order.toml", "--rack", "rack.toml", "--book", cwd=shop)
    assert again.returncode == 0, again.stderr
    assert (shop / "rack.toml.bak.1").exists()


@pytest.mark.parametrize(
    ("rack", "says"),
    [(None, "rack.toml: cannot be opened: No such file"), ("sheets = 1", "sheets: unknown key")],
    ids=["no rack", "unknown key"],
)
def test_a_rack_that_cannot_be_read_ends_with_2_and_is_left_alone(shop: Path, rack: str | None, says: str) -> None:
    (shop / "rack.toml").unlink() if rack is None else (shop / "rack.toml").write_text(rack)
    before = there(shop)
    done = run("order.toml", "--rack", "rack.toml", "--book", "--json", cwd=shop)
    assert done.returncode == 2
    assert done.stdout == ""
    assert says in done.stderr
    assert "Traceback" not in done.stderr
    assert there(shop) == before


@pytest.mark.parametrize(
    ("rack", "says"),
    [
        (RACK.replace("thickness = 6", "thickness = 5"), "no cast-pmma of 6 mm on the rack"),
        (RACK.replace("[1220, 1000]", "[300, 300]"), "is larger than every sheet"),
        (RACK.replace("[1220, 1000]", "[320, 320]").replace("quantity = 2", "quantity = 1"), "do not hold all pieces"),
    ],
    ids=["wrong thickness", "too small", "too few"],
)
def test_what_the_rack_cannot_hold_is_a_stop_and_nothing_is_booked_or_drawn(shop: Path, rack: str, says: str) -> None:
    (shop / "rack.toml").write_text(rack)
    before = there(shop)
    done = run("order.toml", "--rack", "rack.toml", "--book", "--out", "plans", "--json", cwd=shop)
    assert done.returncode == 1, done.stderr
    report = json.loads(done.stdout)
    assert report["verdict"] == "stop"
    assert [f for f in report["findings"] if f["level"] == "stop" and f["check"] == "cutting" and says in f["why"]]
    assert "rack" not in report
    assert report["cutting"]["complete"] is False  # the plates still have their sheet
    words = " ".join(done.stderr.split())
    assert "STOP: not every piece can be cut from these sheets." in words
    assert "do not start cutting" in words
    assert "rack.toml was left as it is" in words
    assert "Nothing was drawn" in words
    assert there(shop) == before
    assert not (shop / "plans").exists()


@pytest.mark.slow
def test_a_piece_longer_than_every_sheet_is_a_stop_for_make_and_cut_in_the_same_words(shop: Path) -> None:
    (shop / "long.toml").write_text(START.replace("[300, 200, 150]", "[3300, 200, 150]"))
    cut = run("long.toml", "--json", cwd=shop)
    made = run("long.toml", "--json", cwd=shop, command="make")
    assert (cut.returncode, made.returncode) == (1, 1), made.stderr
    here, there = json.loads(cut.stdout), json.loads(made.stdout)
    assert here["verdict"] == there["verdict"] == "stop"
    too_long = [f for f in here["findings"] if f["check"] == "cutting"]
    assert [f["where"] for f in too_long] == ["front", "bottom"]
    assert [f for f in there["findings"] if f["check"] == "cutting" and f["level"] == "stop"] == too_long
    assert json.loads((shop / "out" / "ripple-trough" / "report.json").read_text())["verdict"] == "stop"


@pytest.mark.parametrize(
    ("args", "says"),
    [
        ([], "Missing argument"),
        (["order.toml", "--book"], "--book needs the stock file"),
        (["order.toml", "order.toml"], "two orders are called ripple-trough"),
        (["order.toml", "--spare", "end"], "write PART=N"),
        (["order.toml", "--spare", "side=1"], "no part 'side'"),
        (["order.toml", "--seconds", "-1"], "--seconds"),
        (["missing.toml"], "missing.toml: cannot be opened"),
    ],
)
def test_wrong_use_ends_with_2(shop: Path, args: list[str], says: str) -> None:
    done = run(*args, cwd=shop)
    assert done.returncode == 2
    assert done.stdout == ""
    assert says in done.stderr


def test_a_kerf_wider_than_a_piece_is_a_stop(shop: Path) -> None:
    text = START.replace("[cutting]", "[cutting]\nkerf = 30").replace("size      = [50, 50]", "size      = [25, 25]")
    (shop / "wide.toml").write_text(
        text.replace("grid 25 2x2", "grid 25 1x1").replace('thread    = "M6"', 'thread = "M3"')
    )
    done = run("wide.toml", cwd=shop)
    assert done.returncode == 1, done.stderr
    assert "thinner than the kerf of 30 mm" in " ".join(done.stdout.split())


def test_a_rack_that_cannot_be_written_keeps_its_old_text(
    shop: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (shop / "own").mkdir()
    (shop / "own" / "rack.toml").write_text(RACK)

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("assemblies.shop.stock.rack.os.replace", full)
    monkeypatch.chdir(shop)
    monkeypatch.setattr(sys, "argv", ["seamwright", "cut", "order.toml", "--rack", "own/rack.toml", "--book"])
    with pytest.raises(SystemExit) as ended:
        cli.main()
    assert ended.value.code == 2
    assert (
        f"own/rack.toml: cannot be written: {os.strerror(errno.ENOSPC)}; nothing was booked" in capsys.readouterr().err
    )
    assert there(shop / "own") == {"rack.toml": RACK.encode()}


def test_sheets_are_drawn_where_asked_and_replaced_whole(shop: Path) -> None:
    for _ in range(2):
        done = run("order.toml", "other.toml", "--out", "plans", cwd=shop)
        assert done.returncode == 0, done.stderr
    folder = shop / "plans" / "ripple-trough-and-1-more-cutting"
    assert {p.name for p in folder.iterdir()} >= {"sheet-1.dxf", "sheet-1.svg", "labels.pdf", "manifest.json"}
    (folder / "sheet-1.svg").write_text("mine")
    done = run("order.toml", "other.toml", "--out", "plans", cwd=shop)
    assert "set aside in it: sheet-1.svg.yours." in done.stdout
    assert (folder / "sheet-1.svg.yours").read_text() == "mine"
    assert (folder / "sheet-1.svg").read_text() != "mine"


def labels_in(folder: Path) -> str:
    program = shutil.which("pdftotext")
    assert program, "pdftotext is not installed; Debian: apt-get install poppler-utils"
    path = folder / "labels.pdf"
    return subprocess.run([program, "-layout", path, "-"], capture_output=True, check=True, timeout=60).stdout.decode()


def test_a_plan_for_several_orders_brings_a_label_for_each_piece_in_its_own_order_s_units(shop: Path) -> None:
    """The second order is in inches, twice, and laser cut: its nest is drawn and its pieces have labels too."""
    text = (
        START.replace("quantity = 1", "quantity = 2").replace("ripple-trough", "in-inches").replace('"saw" ', '"laser"')
    )
    text = text.replace('units = "mm"', 'units = "in"').replace("[300, 200, 150]", "[12, 8, 6]")
    text = text.replace("thickness = 6 ", 'thickness = "6 mm" ').replace("[5.82, 5.80, 5.84]", '["5.82 mm"]')
    text = text[: text.index("[rig]")] + text[text.index("[[case]]") :]
    lengths = (("0.25 ", '"0.25 mm" '), ("0.05 ", '"0.05 mm" '))
    for bare, own in lengths:
        text = text.replace(f"= {bare}", f"= {own}")
    (shop / "inches.toml").write_text(text.replace('kind = "plates"', 'kind = "flat"'))
    done = run("order.toml", "inches.toml", "--out", "plans", "--json", cwd=shop)
    assert done.returncode == 0, done.stderr
    folder = shop / "plans" / "ripple-trough-and-1-more-cutting"
    assert {p.name for p in folder.iterdir()} >= {"nest-1.dxf", "nest-1.svg", "labels.pdf"}
    said = labels_in(folder)
    report = json.loads(done.stdout)
    rows = [row for key in ("cutting", "nesting") for row in report[key]["labels"]]
    assert len(rows) == 7 + 2 * 5
    assert all(said.count(row["name"]) >= 1 for row in rows)
    assert said.count("face outside") == len(rows)
    assert "311.64 mm × 155.82 mm" in said
    assert "8 in × 6 in" in said
    assert "Labels: ripple-trough, revision A; in-inches, revision A" in said


def test_a_plan_for_one_order_brings_its_labels_and_its_spares(shop: Path) -> None:
    done = run("order.toml", "--spare", "end=1", "--out", "plans", cwd=shop)
    assert done.returncode == 0, done.stderr
    said = labels_in(shop / "plans" / "ripple-trough-cutting")
    assert said.count("face outside") == 7
    assert "end.spare1" in said


def test_a_quote_for_cutting_alone_says_that_bonding_is_not_in_it(shop: Path) -> None:
    said = " ".join(run("order.toml", cwd=shop).stdout.split())
    assert "Quote without taping and bonding, which `seamwright make` includes: " in said
