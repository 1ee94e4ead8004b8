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
    if "stopped" not in said and "assemblies" not in said:  # before Python itself was there: no line of ours had run
        assert after_s < 1.0
    else:
        assert (code, said) == (SIGNALS[number], "stopped\n")
    assert [p.name for p in show.iterdir()] == ["order.toml"]


def test_the_first_stop_of_a_cutting_search_keeps_the_best_plan_and_books_nothing(show: Path) -> None:
    text = starter("tank").replace("quantity = 1\n", "quantity = 40\n")
    (show / "order.toml").write_text(text)
    code = "import os, signal, threading;threading.Timer(4.0, lambda: os.kill(os.getpid(), signal.SIGINT)).start();"
    run = subprocess.run(
        [sys.executable, "-c", f"{code}import sys; sys.argv = ['seamwright', 'cut', 'order.toml', '--seconds', '60'];"
         "from assemblies.__main__ import run; run()"],
        cwd=show, text=True, capture_output=True, env={**os.environ, "PYTHONPATH": str(Path.cwd())}, check=False,
    )  # fmt: skip
    assert run.returncode in (0, 130), run.stderr
    if run.returncode == 130 and run.stdout:
        assert "this is the best plan until then" in " ".join(run.stdout.split())
