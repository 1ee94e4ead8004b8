"""Ended from outside at any moment: one line, the shell's exit code, nothing left behind."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from assemblies.kinds import starter

SIGNALS = {signal.SIGINT: 130, signal.SIGTERM: 143, signal.SIGHUP: 129}


def hears_ctrl_c() -> None:
    """A lane that runs in the background ignores Ctrl-C, and so would what it starts: then nothing would be tested."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def ended(folder: Path, number: signal.Signals, after_s: float, *args: str) -> tuple[int, str]:
    """Exit code and error stream of a command that gets a signal after a while."""
    with subprocess.Popen(
        [sys.executable, "-m", "assemblies", *args], cwd=folder, text=True,
        stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, env={**os.environ, "PYTHONPATH": str(Path.cwd())},
        preexec_fn=hears_ctrl_c,
    ) as run:  # fmt: skip
        time.sleep(after_s)
        run.send_signal(number)
        _, said = run.communicate(timeout=60)
    return run.returncode, said


@pytest.fixture
def show(tmp_path: Path) -> Path:
    (tmp_path / "order.toml").write_text(starter("tank"))
    return tmp_path


@pytest.mark.parametrize("number", SIGNALS)
@pytest.mark.parametrize("after_s", [0.15, 0.25, 0.4, 0.6, 0.8, 1.2, 1.6, 2.0, 2.6, 3.4])
def test_make_that_is_ended_leaves_nothing_and_says_so_in_one_line(
    show: Path, number: signal.Signals, after_s: float
) -> None:
    code, said = ended(show, number, after_s, "make", "order.toml")
    if code == 0:  # it was done before
        assert sorted(p.name for p in show.iterdir()) == ["order.toml", "out"]
        return
    if "stopped" not in said:  # while Python itself was starting: our first lines had not run
        assert after_s < 1.0
    else:
        assert (code, said) == (SIGNALS[number], "stopped\n")
    assert [p.name for p in show.iterdir()] == ["order.toml"]


def test_the_first_stop_is_a_wish_to_come_to_an_end_and_the_second_ends(tmp_path: Path) -> None:
    code = (
        "import os, signal; from parts.process.ending import ends_cleanly, stop_may_be_kept; ends_cleanly()\n"
        "me = lambda: os.kill(os.getpid(), signal.SIGINT)\n"
        "with stop_may_be_kept():\n"
        "    try:\n        me()\n    except KeyboardInterrupt:\n        print('kept', flush=True)\n"
        "    me()\n    print('never', flush=True)\n"
    )
    run = subprocess.run(
        [sys.executable, "-c", code], text=True, capture_output=True, check=False,
        env={**os.environ, "PYTHONPATH": str(Path.cwd())},
    )  # fmt: skip
    assert (run.returncode, run.stdout, run.stderr) == (130, "kept\n", "stopped\n")


STOP_ONCE = """
import os, signal, sys
from assemblies.shop.layout import engine
tell, sent = engine._Finder._tell, []

def stop(self, share):
    tell(self, share)
    if self.best is not None and not sent:  # a plan is in hand
        sent.append(True)
        os.kill(os.getpid(), signal.SIGINT)

engine._Finder._tell = stop
from assemblies.__main__ import run
sys.argv = ["seamwright", *sys.argv[1:]]
run()
"""

RACK = """
units = "mm"
[[sheet]]
label = "C6"
material = "cast-pmma"
thickness = 6
size = [1220, 1000]
quantity = 9
[[sheet]]
label = "C6 small"
material = "cast-pmma"
thickness = 6
size = [700, 520]
quantity = 9
[[sheet]]
label = "C12"
material = "cast-pmma"
thickness = 15
size = [400, 300]
quantity = 9
"""


def test_the_first_stop_of_cut_with_a_plan_in_hand_prints_it_and_never_books(show: Path) -> None:
    order = show / "order.toml"
    order.write_text(order.read_text().replace("quantity = 1", "quantity = 7"))
    assert "quantity = 7" in order.read_text()
    (show / "rack.toml").write_text(RACK)
    run = subprocess.run(
        [sys.executable, "-c", STOP_ONCE, "cut", "order.toml", "--rack", "rack.toml", "--book"], cwd=show, text=True,
        capture_output=True, check=False, env={**os.environ, "PYTHONPATH": str(Path.cwd())}, timeout=120,
    )  # fmt: skip
    assert run.returncode == 130, run.stderr
    assert "Cuts (" in run.stdout
    assert "the search was stopped by hand" in run.stdout + run.stderr
    assert (show / "rack.toml").read_text() == RACK
    assert sorted(p.name for p in show.iterdir()) == ["order.toml", "rack.toml"]
