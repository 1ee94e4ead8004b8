"""`seamwright hold` as a process: exit codes, streams, 80 columns, no geometry kernel, memory."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

from assemblies.kinds import starter


def run(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-m", "assemblies.cli", *words], capture_output=True, text=True, check=False)


@pytest.fixture(scope="module")
def demo(tmp_path_factory) -> Path:
    path = tmp_path_factory.mktemp("orders") / "demo.toml"
    path.write_text(starter("tank"), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def weak(demo) -> Path:
    text = demo.read_text().replace("thickness = 6 ", "thickness = 2 ").replace("5.82, 5.80, 5.84", "2.0")
    path = demo.with_name("weak.toml")
    path.write_text(text, encoding="utf-8")
    return path


def test_people_read_a_table_of_80_columns(demo):
    got = run("hold", str(demo))
    assert got.returncode == 0  # strength and liquid pass
    assert "Strength and liquid passed; fit not checked." in got.stdout
    assert got.stderr == ""
    assert max(len(line) for line in got.stdout.splitlines()) <= 80
    assert "strength passed, liquid passed" in got.stdout
    assert "Local codes and a licensed engineer have the last word" in got.stdout
    used = [line for line in got.stdout.splitlines() if re.search(r"  +\d+ %$", line)]
    assert len(used) == 3 * 5  # five of each of three cases


def test_all_prints_every_part(demo, weak):
    few, all_ = run("hold", str(demo)).stdout, run("hold", "--all", str(demo)).stdout
    assert all_.count(" %\n") > 3 * few.count(" %\n")
    assert max(len(line) for line in run("hold", "--all", str(weak)).stdout.splitlines()) <= 80


def test_json_is_alone_on_standard_output(demo):
    got = run("hold", "--json", str(demo))
    report = json.loads(got.stdout)
    assert report["checks"] == {"fit": "not-run", "strength": "passed", "liquid": "passed"}
    assert report["verdict"] == "not-proven"
    assert {"thickness", "cases", "seams", "threads", "mounting", "good_for"} <= set(report["strength"])
    assert {"capacity_L", "fill_L", "fill_depth", "mass_empty", "mass_full", "centre_empty", "centre_full"} <= set(
        report["liquid"]
    )
    assert report["strength"]["thickness"]["front"] == pytest.approx(5.82)
    assert "Infinity" not in got.stdout
    assert "NaN" not in got.stdout
    assert got.returncode == 0


def test_a_tank_that_does_not_hold_exits_with_1_and_says_stop(weak):
    got = run("hold", "--json", str(weak))
    assert got.returncode == 1
    report = json.loads(got.stdout)
    assert report["verdict"] == "stop"
    assert report["checks"]["strength"] == "failed"


def test_what_is_taken_and_what_is_beyond_the_method_are_in_text_and_json(demo):
    path = demo.with_name("far.toml")
    path.write_text(
        'title = "Far"\nname = "far"\nkind = "tank"\n[sheet]\nthickness = 3\n[tank]\nsize = [900, 400, 400]\n',
        encoding="utf-8",
    )
    got = run("hold", "--json", str(path))
    assert got.returncode == 1
    report = json.loads(got.stdout)
    assert report["liquid"]["assumed"] is True
    assert report["strength"]["largest_bow"] == 3.0
    assert any(row["beyond_method"] for row in report["strength"]["cases"])
    assert all(isinstance(row["deflection"], float) for row in report["strength"]["cases"])
    assert "assumed, the order has no [liquid]" in got.stderr
    assert "beyond" in got.stderr
    assert max(len(line) for line in got.stderr.splitlines()) <= 80


def test_bad_input_exits_with_2_and_names_the_key(demo):
    path = demo.with_name("bad.toml")
    path.write_text(demo.read_text().replace('fill = "120 mm"', 'fill = "12 L"'), encoding="utf-8")
    got = run("hold", str(path))
    assert got.returncode == 2
    assert got.stdout == ""
    assert "liquid.fill" in got.stderr
    assert "Traceback" not in got.stderr
    assert run("hold", str(demo.with_name("no-such.toml"))).returncode == 2


def test_a_second_run_says_the_same(demo):
    assert run("hold", "--json", str(demo)).stdout == run("hold", "--json", str(demo)).stdout


def test_no_geometry_kernel_is_loaded(demo):
    code = (
        "import sys; from assemblies.cli import main; sys.argv = ['seamwright', 'hold', sys.argv[1]]\n"
        "try: main()\nexcept SystemExit: pass\n"
        "print([m for m in ('cadquery', 'OCP', 'shapely', 'numba', 'trimesh') if m in sys.modules], file=sys.stderr)"
    )
    got = subprocess.run([sys.executable, "-c", code, str(demo)], capture_output=True, text=True, check=True)
    assert got.stderr.strip() == "[]"


def test_memory_stays_under_300_mb(demo):
    choosing = demo.with_name("choose.toml")
    text = demo.read_text().replace("thickness = 6 ", 'thickness = "choose" ')
    choosing.write_text("\n".join(r for r in text.splitlines() if not r.startswith("measured")), encoding="utf-8")
    code = (
        "import sys; from assemblies.cli import main; sys.argv = ['seamwright', 'hold', '--json', sys.argv[1]]\n"
        "try: main()\nexcept SystemExit: pass\n"
        "peak = next(x for x in open('/proc/self/status') if x.startswith('VmHWM')).split()[1]\n"
        "print('PEAK', peak, file=sys.stderr)"
    )
    got = subprocess.run([sys.executable, "-c", code, str(choosing)], capture_output=True, text=True, check=True)
    assert json.loads(got.stdout)["checks"]["strength"] == "passed"
    # its own peak since it began: what getrusage tells of a child counts the parent it was forked from
    assert int(got.stderr.split("PEAK")[1]) / 1024.0 < 300.0  # MB


def test_what_the_starter_says_of_an_order_without_liquid_is_so(demo):
    text = demo.read_text(encoding="utf-8")
    before, table = text.split("[liquid]")
    assert before.splitlines()[-1].startswith("# Without this table, water to the brim is taken")
    path = demo.with_name("dry.toml")
    path.write_text(before + table[table.index("[support]") :], encoding="utf-8")
    got = run("hold", "--json", str(path))
    report = json.loads(got.stdout)
    assert report["liquid"]["assumed"] is True
    assert report["liquid"]["fill_L"] == pytest.approx(300 * 200 * 150 / 1e6)
    assert any("no [liquid]: assumed: water" in f["why"] for f in report["findings"])
