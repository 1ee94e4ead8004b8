"""Series: members as single runs have them, resumed after any stop, the best by a plain sort, broken ones as rows."""

from __future__ import annotations

import csv
import io
import json
import multiprocessing
import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from starters import bare

from assemblies.examine import examine
from assemblies.kinds import kind
from assemblies.order.errors import OrderError
from assemblies.packet.folder import MANIFEST
from assemblies.series.figures import FIGURES
from assemblies.series.journal import journal_at
from assemblies.series.out import said, trade_off_svg, write_series
from assemblies.series.rank import ranked, trade_offs, within
from assemblies.series.rows import Row, row_of
from assemblies.series.run import by_processes, by_scheduler
from assemblies.series.series import Series, make_best, run
from assemblies.series.spec import Asked, Vary, read_series, vary_of
from parts.findings import SeamwrightError

ROOT = Path(__file__).parents[3]
SERIES = """name = "lengths"
title = "How long a trough"
order = "trough.toml"
least = ["mass", "use"]

[[vary]]
key = "tank.size[1]"
values = [300, "320 mm", 11]

[[vary]]
key = "sheet.thickness"
values = ["5 mm", 6]
"""


def _plain_tank() -> str:
    text = bare("tank").partition("[[case]]")[0]
    return "\n".join(line for line in text.splitlines() if not line.startswith("measured")) + "\n"


def folder_with(folder: Path, text: str = SERIES) -> Path:
    """A series file beside an order without a planned move or a reading."""
    (folder / "trough.toml").write_text(_plain_tank(), encoding="utf-8")
    path = folder / "series.toml"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def asked(tmp_path_factory: pytest.TempPathFactory) -> Asked:
    return read_series(folder_with(tmp_path_factory.mktemp("series")))


@pytest.fixture(scope="module")
def rows(asked: Asked) -> list[Row]:
    return run(asked, workers=2)


def test_every_member_is_what_a_single_run_says(asked: Asked, rows: list[Row]) -> None:
    assert [asked.values(k) for k in range(asked.count)] == [
        (size, sheet) for size in (300, "320 mm", 11) for sheet in ("5 mm", 6)
    ]
    assert [row.member for row in rows] == list(range(6))
    for row in rows[:4]:
        order = asked.order(row.member)
        report = examine(order, kind("tank").asked("hold")).report
        assert row.figures["mass-full"] == report["liquid"]["mass_full"]
        assert row.figures["mass"] == pytest.approx(report["liquid"]["mass_empty"], abs=2e-6)
        assert row.figures["use"] == max(one["use"] for key in ("cases", "seams") for one in report["strength"][key])
        assert row.state == "passed"


def test_a_broken_member_is_a_row_with_its_reason(asked: Asked, rows: list[Row]) -> None:
    for row in rows[4:]:
        assert row.state == "broken"
        assert "trough.toml:" in row.reason
        assert "allowed:" in row.reason
        assert "\n" not in row.reason


def test_files_say_the_same_as_the_rows(asked: Asked, rows: list[Row], tmp_path: Path) -> None:
    write_series(asked, rows, tmp_path)
    read = list(csv.DictReader(io.StringIO((tmp_path / "series.csv").read_text())))
    assert [one["state"] for one in read] == [row.state for row in rows]
    assert [float(one["mass_kg"]) for one in read[:4]] == [row.figures["mass"] for row in rows[:4]]
    page = (tmp_path / "series.html").read_text()
    assert page.count("<tr>") == 2 + len(rows) + len(trade_offs(asked, rows))
    assert "http" not in page.replace("http-equiv", "").replace("http://www.w3.org", "")
    text = said(asked, rows)
    assert max(map(len, text.splitlines())) <= 80
    assert "6 members, 4 passed, 2 broken" in text
    assert (tmp_path / "trade-offs.svg").read_text() == trade_off_svg(asked, rows)


def some_rows(count: int, seed: int) -> list[Row]:
    dice = random.Random(seed)
    return [
        Row(
            member=k,
            state=dice.choice(("passed", "passed", "passed", "stop")),
            reason="",
            figures={"mass": float(dice.randint(1, 9)), "use": dice.randint(1, 9) / 10.0, "capacity": dice.random()},
        )
        for k in range(count)
    ]


@pytest.mark.parametrize("seed", range(20))
def test_trade_offs_are_those_of_comparing_each_with_each(asked: Asked, seed: int) -> None:
    given = some_rows(60, seed)
    good = [row for row in given if row.state == "passed"]

    def betters(a: Row, b: Row) -> bool:
        pairs = [(a.figures[f], b.figures[f]) for f in ("mass", "use")]
        return all(x <= y for x, y in pairs) and any(x < y for x, y in pairs)

    wanted = {row.member for row in good if not any(betters(other, row) for other in good)}
    found = trade_offs(asked, given)
    assert {row.member for row in found} == wanted
    assert found == sorted(found, key=lambda row: (row.figures["mass"], row.figures["use"], row.member))
    assert ranked(asked, given)[0] in found


def test_limits_and_figures_that_are_missing_keep_a_member_out(tmp_path: Path) -> None:
    more = SERIES + '[[limit]]\nfigure = "capacity"\nleast = 0.5\n'
    limited = read_series(folder_with(tmp_path, more))
    for row in some_rows(40, 3):
        assert within(limited, row) == (row.state == "passed" and row.figures["capacity"] >= 0.5)
    none = Row(member=0, state="passed", reason="", figures={"mass": 1.0, "use": 0.5})
    assert not within(limited, none)


def test_a_range_has_its_ends_and_equal_steps() -> None:
    assert vary_of("tank.size[1]", {"from": "300 mm", "to": "301 mm", "steps": 3}).values == (
        "300 mm",
        "300.5 mm",
        "301 mm",
    )
    assert vary_of("limits.factor", {"from": 1, "to": 2, "steps": 5}).values == (1.0, 1.25, 1.5, 1.75, 2.0)
    assert vary_of("plate[2].at[1]", [1]) == Vary(key=("plate", 1, "at", 0), values=(1,))


def test_readings_of_one_sheet_are_no_readings_of_another(tmp_path: Path) -> None:
    path = folder_with(tmp_path)
    order = tmp_path / "trough.toml"
    order.write_text(order.read_text().replace("[cutting]", "measured = [5.8, 5.82, 5.8]\n\n[cutting]", 1))
    with pytest.raises(
        OrderError, match=r"sheet.thickness varies, but the order has sheet.measured, readings of one sheet"
    ):
        read_series(path)


@pytest.mark.parametrize(
    ("old", "new", "said_of_it"),
    [
        ('key = "tank.size[1]"', 'key = "tank size"', "series.toml:7: vary[1].key: 'tank size' is no key"),
        ('key = "tank.size[1]"', 'key = "tank.size[4]"', "vary[1].key: tank.size[4] is not in the order"),
        ('key = "tank.size[1]"', 'key = "plate[3].at"', "plate[3].at is not in the order"),
        ('values = [300, "320 mm", 11]', "", "nothing to vary; allowed: one of them"),
        ('values = [300, "320 mm", 11]', "values = []", "vary[1].values"),
        ('values = [300, "320 mm", 11]', "from = 1", "a range that is not whole"),
        ('values = [300, "320 mm", 11]', 'from = "300 mm"\nto = "1 in"\nsteps = 3', "both with the same unit"),
        (
            'values = [300, "320 mm", 11]',
            'from = "long"\nto = 3\nsteps = 3',
            "vary[1].from: 'long' is no end of a range",
        ),
        ('values = [300, "320 mm", 11]', "from = 1\nto = 3\nsteps = 1", "vary[1].steps"),
        ("values = [300,", "steps = 3\nvalues = [300,", "not both"),
        ('least = ["mass", "use"]', 'least = ["weight"]', "least[1]: 'weight' is no figure"),
        ('least = ["mass", "use"]', 'fewest = ["mass"]', "fewest"),
        ('order = "trough.toml"', 'order = "gone.toml"', "gone.toml: cannot be opened"),
        ('name = "lengths"', 'name = "../x"', "series.toml:1: name"),
        ("[[vary]]\nkey", '[[limit]]\nfigure = "price"\n[[vary]]\nkey', "a limit without a bound"),
    ],
)
def test_wrong_files_name_the_mistake(tmp_path: Path, old: str, new: str, said_of_it: str) -> None:
    with pytest.raises(OrderError) as refused:
        read_series(folder_with(tmp_path, SERIES.replace(old, new, 1)))
    assert said_of_it in str(refused.value)


def test_what_can_not_be_meant_or_would_take_days_is_refused_with_its_figures(tmp_path: Path, asked: Asked) -> None:
    huge = SERIES.replace('values = [300, "320 mm", 11]', "from = 1\nto = 2\nsteps = 10000")
    huge = huge.replace('values = ["5 mm", 6]', "from = 1\nto = 2\nsteps = 1000")
    with pytest.raises(SeamwrightError, match=r"10000 x 1000 are 10,000,000 members; at most 1,000,000"):
        read_series(folder_with(tmp_path, huge))
    many = read_series(
        folder_with(tmp_path, SERIES.replace('values = [300, "320 mm", 11]', "from = 1\nto = 2\nsteps = 99"))
    )
    with pytest.raises(SeamwrightError, match=r"198 members would take .* hours; at most 1e-07 \(--hours\)"):
        run(many, workers=1, hours=1e-7)


def test_a_journal_cut_at_any_byte_gives_the_same_rows_again(asked: Asked, rows: list[Row], tmp_path: Path) -> None:
    whole = tmp_path / "whole.jsonl"
    with journal_at(whole, asked.digest) as journal:
        for row in rows:
            journal.add(row)
            journal.add(row)  # a second time changes nothing
    data = whole.read_bytes()
    head = data.index(b"\n") + 1
    dice = random.Random(1)
    for at in [head, len(data), *(dice.randrange(head, len(data)) for _ in range(20))]:
        cut = tmp_path / "cut.jsonl"
        cut.write_bytes(data[:at])
        with journal_at(cut, asked.digest) as journal:
            assert all(journal.rows[k] == rows[k] for k in journal.rows)
            for row in rows:
                journal.add(row)
        assert cut.read_bytes() == data


def test_a_journal_is_of_one_series_and_of_one_run(asked: Asked, rows: list[Row], tmp_path: Path) -> None:
    path = tmp_path / "journal.jsonl"
    with journal_at(path, asked.digest) as journal:
        journal.add(rows[0])
        with (
            pytest.raises(SeamwrightError, match="another run of this series is at work"),
            journal_at(path, asked.digest),
        ):
            pass
    with journal_at(path, "another") as journal:
        assert journal.rows == {}
    for text in ("not ours\n", "not ours", '{"series": 2}\n'):
        path.write_text(text)
        with pytest.raises(SeamwrightError, match="is no journal"), journal_at(path, asked.digest):
            pass
        assert path.read_text() == text


def command(*words: str | Path) -> list[str]:
    return [sys.executable, "-m", "assemblies", *map(str, words)]


@pytest.mark.slow
def test_killed_and_run_again_it_gives_the_same_bytes(tmp_path: Path) -> None:
    """Twenty times at moments of its own; nothing is worked out twice, and the files are those of an undisturbed run."""
    path = folder_with(tmp_path, SERIES.replace('values = [300, "320 mm", 11]', "from = 300\nto = 340\nsteps = 6"))
    out = tmp_path / "out"
    done = subprocess.run(
        command("series", path, "--out", tmp_path / "calm"), cwd=ROOT, capture_output=True, check=False
    )
    assert done.returncode == 0, done.stderr
    journal = out / "lengths" / "journal.jsonl"
    began, dice = time.monotonic(), random.Random(7)
    for _ in range(20):
        child = subprocess.Popen(
            command("series", path, "--out", out), cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            start_new_session=True,
        )  # fmt: skip
        time.sleep(dice.uniform(0.0, 1.6))
        os.killpg(child.pid, dice.choice((signal.SIGKILL, signal.SIGTERM)))
        child.wait()
        if time.monotonic() - began > 30.0:
            break  # a busy machine: fewer moments
    again = subprocess.run(command("series", path, "--out", out), cwd=ROOT, capture_output=True, check=False)
    assert again.returncode == 0, again.stderr
    assert again.stdout.replace(b"/out/", b"/calm/") == done.stdout
    for name in ("series.csv", "series.html", "trade-offs.svg"):
        assert (out / "lengths" / name).read_bytes() == (tmp_path / "calm" / "lengths" / name).read_bytes()
    members = [json.loads(line)["member"] for line in journal.read_text().splitlines()[1:]]
    assert sorted(members) == list(range(12))


def dies_of_the_third(asked: Asked, member: int) -> Row:
    """The work, but for one member that ends its process."""
    if member == 2:
        os.kill(os.getpid(), signal.SIGKILL)
    return row_of(asked, member)


@pytest.mark.slow
def test_a_worker_that_dies_costs_its_member_and_no_other(asked: Asked, rows: list[Row]) -> None:
    got = sorted(by_processes(asked, range(asked.count), 2, dies_of_the_third), key=lambda row: row.member)
    assert [row for row in got if row.member != 2] == [row for row in rows if row.member != 2]
    assert got[2].state == "broken"
    assert "died, twice" in got[2].reason


@pytest.mark.slow
def test_a_worker_that_is_killed_from_outside_costs_nothing(asked: Asked, rows: list[Row]) -> None:
    got = []
    for row in by_processes(asked, range(asked.count), 2):
        got.append(row)
        if len(got) == 1:
            multiprocessing.active_children()[0].kill()
    assert sorted(got, key=lambda row: row.member) == rows


@pytest.mark.slow
def test_members_go_to_packets_only_where_all_says_go(asked: Asked, rows: list[Row], tmp_path: Path) -> None:
    made = list(make_best(asked, rows, 1, tmp_path))
    best = ranked(asked, rows)[0]
    assert made[-1].folder is not None
    assert (made[-1].folder / MANIFEST).is_file()
    assert json.loads((made[-1].folder / "report.json").read_text())["verdict"] == "go"
    assert made[0].row == best


def test_from_python_it_is_the_same(asked: Asked, rows: list[Row]) -> None:
    one = Series(
        asked.file, vary={"tank.size[1]": [300, "320 mm", 11], "sheet.thickness": ["5 mm", 6]}, least=["mass", "use"],
        name="lengths",
    )  # fmt: skip
    assert one.run(workers=1) == rows
    assert one.best(rows) == trade_offs(asked, rows)
    with pytest.raises(SeamwrightError, match="'weight' is no figure"):
        Series(asked.file, vary={}, least=["weight"])
    with pytest.raises(SeamwrightError, match=r"tank.size\[4\] is not in the order"):
        Series(asked.file, vary={"tank.size[4]": [1]})


def test_a_price_asks_the_plan_too(tmp_path: Path) -> None:
    text = SERIES.replace('["mass", "use"]', '["price"]').replace('values = [300, "320 mm", 11]', "values = [300]")
    priced = read_series(folder_with(tmp_path, text.replace('values = ["5 mm", 6]', "values = [6]")))
    (row,) = run(priced, workers=1)
    assert row.figures["price"] > 0.0
    assert row.figures["settings"] >= 1.0
    assert set(row.figures) <= set(FIGURES)


@pytest.mark.slow
def test_a_cluster_of_two_workers_gives_every_member_once_though_one_is_killed(asked: Asked, rows: list[Row]) -> None:
    from distributed import LocalCluster

    with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None, host="127.0.0.1") as cluster:
        got = []
        for row in by_scheduler(asked, range(asked.count), cluster.scheduler_address):
            got.append(row)
            if len(got) == 1:
                os.kill(next(iter(cluster.workers.values())).pid, signal.SIGKILL)
        assert sorted(got, key=lambda row: row.member) == rows


@pytest.mark.parametrize("address", ["tcp://10.0.0.7:8786", "studio:8786", "tls://192.168.1.4:8786"])
def test_off_this_machine_only_encrypted(asked: Asked, address: str) -> None:
    with pytest.raises(SeamwrightError, match="off this machine only by tls"):
        next(by_scheduler(asked, [0], address))


def test_the_starter_is_read_beside_a_tank_without_readings(tmp_path: Path) -> None:
    text = (ROOT / "assemblies" / "series" / "series.toml").read_text()
    path = folder_with(tmp_path, text)
    (tmp_path / "trough.toml").rename(tmp_path / "my-tank.toml")
    asked = read_series(path)
    assert asked.count == 12
    assert asked.figures == ("mass", "price", "capacity", "use")
