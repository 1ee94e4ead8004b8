"""Killed between two steps, two at once, no room on the disk: whole or not at all, one line, nothing left lying."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from starters import bare

from assemblies.packet import folder as room
from assemblies.packet.folder import MANIFEST, PacketError, new_packet

ROOT = Path(__file__).parents[2]
ENV = {**os.environ, "PYTHONPATH": str(ROOT)}
RACK = "".join(
    f'[[sheet]]\nlabel = "C{thick} {letter}"\nmaterial = "cast-pmma"\nthickness = {thick}\n'
    f"size = [1220, {high}]\nquantity = 9\n"
    for thick in (6, 12) for letter, high in zip("abcdefgh", range(600, 1400, 100), strict=True)
)  # fmt: skip

KILLED = """
import os, signal, sys
from pathlib import Path
from assemblies.packet.folder import new_packet
where, after = sys.argv[1], int(sys.argv[2])
calls = [0]
for name in ("rename", "link", "rmdir"):
    def counted(*args, real=getattr(os, name), **more):
        calls[0] += 1
        if calls[0] == after:
            os.kill(os.getpid(), signal.SIGKILL)
        return real(*args, **more)
    setattr(os, name, counted)
with new_packet(Path(where)) as draft:
    (draft / "a").write_text("new")
print("whole")
"""


def python(code: str, *args: str | Path, cwd: Path) -> subprocess.CompletedProcess[str]:
    line = [sys.executable, "-c", code, *map(str, args)]
    return subprocess.run(line, cwd=cwd, env=ENV, text=True, capture_output=True, check=False, timeout=60)


@pytest.mark.parametrize("after", range(1, 6))
def test_killed_at_any_step_of_the_exchange_nothing_is_lost(after: int, tmp_path: Path) -> None:
    """1: before the old packet is moved; 2: before the user's file is set aside; 3: between the two renames; then after."""
    target = tmp_path / "job"
    with new_packet(target) as draft:
        (draft / "a").write_text("old")
    (target / "mine").write_text("mine")
    assert python(KILLED, target, after, cwd=tmp_path).returncode == -9
    with new_packet(target) as draft:  # the next run: the old packet is at its place again, or the new one is
        assert (target / "a").read_text() == ("old" if after < 4 else "new")
        assert any((target / name).read_text() == "mine" for name in ("mine", "mine.yours") if (target / name).exists())
        (draft / "a").write_text("newest")
    found = {path.name: path.read_text() for path in target.iterdir() if path.name != MANIFEST}
    assert found == {"a": "newest", "mine.yours": "mine"}
    assert [path.name for path in tmp_path.iterdir()] == ["job"]


def test_a_file_that_comes_while_the_packets_are_exchanged_is_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is written through a folder that was open before: it lands in the old packet, once that has been looked through."""
    target, users, told = tmp_path / "job", room._users, list[str]()
    with new_packet(target) as draft:
        (draft / "a").write_text("old")

    def then_it_comes(folder: Path, listed: dict[str, str]) -> dict[str, Path]:
        found = users(folder, listed)
        (folder / "late").write_text("mine")
        return found

    monkeypatch.setattr(room, "_users", then_it_comes)
    with new_packet(target, told.append) as draft:
        (draft / "a").write_text("new")
    assert told == ["late.yours"]
    assert (target / "late.yours").read_text() == "mine"
    assert [path.name for path in tmp_path.iterdir()] == ["job"]


def test_a_folder_that_comes_in_the_place_meanwhile_loses_nobody_anything(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target, rename = tmp_path / "job", os.rename
    with new_packet(target) as draft:
        (draft / "a").write_text("old")

    def then_it_comes(source: Path, goal: Path) -> None:
        rename(source, goal)
        if source == target:
            target.mkdir()
            (target / "mine").write_text("mine")

    monkeypatch.setattr(os, "rename", then_it_comes)
    with pytest.raises(PacketError, match="something else came there meanwhile"), new_packet(target) as draft:
        (draft / "a").write_text("new")
    (kept,) = tmp_path.glob("job-before-*")
    assert (kept / "a").read_text() == "old"
    assert {path.name for path in target.iterdir()} == {"mine"}
    assert len(list(tmp_path.iterdir())) == 2


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    (tmp_path / "order.toml").write_text(bare("tank"))
    (tmp_path / "rack.toml").write_text(RACK)
    return tmp_path


BOOKED = """
import sys, time
from pathlib import Path
import assemblies.cutting as room
real, mine, other = room.cut_orders, *map(Path, sys.argv[1:3])

def both_have_read(*args, **more):
    mine.touch()
    while not other.exists():
        time.sleep(0.01)
    return real(*args, **more)

room.cut_orders = both_have_read
from assemblies.__main__ import run
sys.argv = ["seamwright", "cut", "order.toml", "--rack", "rack.toml", "--book", "--seconds", "0.05"]
run()
"""


def test_of_two_bookings_planned_from_one_rack_one_is_refused_in_words(shop: Path) -> None:
    """The real command, twice at once: both have read the rack before either plans."""
    (shop / "flags").mkdir()
    names = [("flags/a", "flags/b"), ("flags/b", "flags/a")]
    runs = [
        subprocess.Popen(
            [sys.executable, "-c", BOOKED, *pair], cwd=shop, env=ENV, text=True,
            stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        ) for pair in names
    ]  # fmt: skip
    said = [(run.communicate(timeout=60), run.returncode) for run in runs]
    assert sorted(code for _, code in said) == [0, 2]
    (refused,) = [err for (_, err), code in said if code == 2]
    assert refused == "rack.toml: has changed since the plan was made: nothing was booked; plan again\n"
    assert sorted(path.name for path in shop.iterdir()) == ["flags", "order.toml", "rack.toml", "rack.toml.bak"]
    assert (shop / "rack.toml.bak").read_text() == RACK
    assert (shop / "rack.toml").read_text() != RACK


def small_disk(line: str, folder: Path, kib: int) -> tuple[int, str]:
    """Exit code and error stream where no file may be larger than so much."""
    run = subprocess.run(
        ["bash", "-c", f"ulimit -f {kib}; exec {sys.executable} -m assemblies {line}"], cwd=folder, env=ENV, text=True,
        capture_output=True, check=False, timeout=60,
    )  # fmt: skip
    return run.returncode, run.stderr


def test_a_rack_for_which_there_is_no_room_is_as_it_was(shop: Path) -> None:
    code, said = small_disk("cut order.toml --rack rack.toml --book --seconds 0.05", shop, 1)
    assert (code, said) == (2, "rack.toml: cannot be written: File too large; nothing was booked\n")
    assert sorted(path.name for path in shop.iterdir()) == ["order.toml", "rack.toml"]
    assert (shop / "rack.toml").read_text() == RACK


def test_a_packet_for_which_there_is_no_room_leaves_nothing(shop: Path) -> None:
    (shop / "order.toml").write_text(bare("panels"))
    code, said = small_disk("make order.toml", shop, 4)
    assert (code, said) == (2, "out/ripple-stand: could not be written: File too large\n")
    assert sorted(path.name for path in shop.iterdir()) == ["order.toml", "rack.toml"]


def test_a_journal_for_which_there_is_no_room_keeps_its_rows_and_goes_on(tmp_path: Path) -> None:
    (tmp_path / "order.toml").write_text(bare("panels"))
    (tmp_path / "series.toml").write_text(
        'name = "stands"\ntitle = "Stands"\norder = "order.toml"\nleast = ["mass"]\n'
        '[[vary]]\nkey = "panels.piece[1].size[1]"\nfrom = 230\nto = 250\nsteps = 11\n'
    )
    code, said = small_disk("series series.toml --workers 1", tmp_path, 1)
    assert (code, said.count("\n")) == (2, 1)
    assert said.startswith(
        "out/stands/journal.jsonl: cannot be written: No space left on device; the rows that stand there are kept"
    )
    folder = tmp_path / "out" / "stands"
    before = (folder / "journal.jsonl").read_text()
    rows = [json.loads(line) for line in before.splitlines()]
    assert 2 <= len(rows) <= 11
    code, said = small_disk("series series.toml --workers 1", tmp_path, 1024)
    assert code in (0, 1), said
    assert (folder / "journal.jsonl").read_text().startswith(before)
    assert len((folder / "journal.jsonl").read_text().splitlines()) == 12
    assert sorted(path.name for path in folder.iterdir()) == ["journal.jsonl", "series.csv", "series.html"]


def test_a_shop_file_that_is_no_file_is_said(shop: Path) -> None:
    os.mkfifo(shop / "shop.toml")
    run = subprocess.run(
        [sys.executable, "-m", "assemblies", "hold", "order.toml"], cwd=shop, env=ENV, text=True, capture_output=True,
        check=False, timeout=60,
    )  # fmt: skip
    assert (run.returncode, run.stdout) == (2, "")
    assert run.stderr.startswith(str(shop / "shop.toml") + ": is not a regular file; allowed: a shop file")
    assert run.stderr.count("\n") == 1
