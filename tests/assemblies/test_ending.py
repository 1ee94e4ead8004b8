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


def ended(folder: Path, number: signal.Signals, after_s: float, *args: str) -> tuple[int, str]:
    """Exit code and error stream of a command that gets a signal after a while."""
    with subprocess.Popen(
        [sys.executable, "-m", "assemblies", *args], cwd=folder, text=True,
        stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, env={**os.environ, "PYTHONPATH": str(Path.cwd())},
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
@pytest.mark.parametrize("after_s", [0.15, 0.4, 0.8, 1.2, 1.6, 2.0, 2.6, 3.4])
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
        "import os, signal; from parts.ending import ends_cleanly, stop_may_be_kept; ends_cleanly()\n"
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
