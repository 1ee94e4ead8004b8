"""The process beside this one: what it answers, and that nothing hangs on it."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from math import gcd
from pathlib import Path
from types import MappingProxyType

import pytest

from parts.process import aside as beside
from parts.process.aside import aside, ask, ended_with, shared

ROOT = Path(__file__).parents[2]


def test_it_answers_as_this_process_would_and_in_another() -> None:
    with aside("math"):
        other, sums = ask(os.getpid), [ask(gcd, 12 * n, 18) for n in range(1, 4)]
        assert [one.answer() for one in reversed(sums)] == [gcd(36, 18), gcd(24, 18), gcd(12, 18)]
        assert other.answer() != os.getpid()
    assert ask(os.getpid).answer() == os.getpid(), "without one the work is done here"


def test_more_than_a_pipe_holds_goes_both_ways() -> None:
    with aside():
        long = [ask(bytes.upper, b"a" * 1_000_000) for _ in range(4)]
        assert all(one.answer() == b"A" * 1_000_000 for one in long)


def test_an_error_is_raised_where_the_answer_is_wanted() -> None:
    with aside():
        wrong, right = ask(int, "seven"), ask(int, "7")
        with pytest.raises(ValueError, match="seven"):
            wrong.answer()
        assert right.answer() == 7


def test_what_cannot_be_handed_over_is_done_here() -> None:
    with aside():
        assert ask(lambda: os.getpid()).answer() == os.getpid()


def test_every_second_piece_of_work_is_done_beside() -> None:
    with aside():
        where = shared(os.getpid, [()] * 4)
    assert where[0] == where[2] == os.getpid()
    assert where[1] == where[3] != os.getpid()


def test_rows_of_tables_go_along() -> None:
    row = MappingProxyType({"source": "ISO 261"})
    with aside():
        asked = [ask(os.getpid), ask(dict, row), ask(MappingProxyType, {"a": row})]
        assert asked[1].helper is not None, "handed over, not done here"
        assert asked[2].answer() == {"a": {"source": "ISO 261"}}
        assert asked[1].answer() == row


def test_the_work_of_one_that_was_killed_is_done_here() -> None:
    with aside():
        other = ask(os.getpid).answer()
        asked = [ask(time.sleep, 30), ask(gcd, 12, 18)]
        os.kill(other, signal.SIGKILL)
        assert asked[1].answer() == 6
        assert ask(os.getpid).answer() == os.getpid()


def test_a_failure_ends_it_before_what_stands_around_is_undone(tmp_path: Path) -> None:
    with aside(), pytest.raises(RuntimeError), ended_with():  # noqa: PT012
        other = ask(os.getpid).answer()
        ask(time.sleep, 30)
        raise RuntimeError
    with pytest.raises(ProcessLookupError):
        os.kill(other, 0)
    assert not beside._HELPER


def test_it_ends_at_once_when_its_parent_is_killed() -> None:
    text = (
        "import os, time\nfrom parts.process.aside import ask, aside\n"
        "with aside():\n    print(ask(os.getpid).answer(), flush=True)\n    ask(time.sleep, 30)\n    time.sleep(30)\n"
    )
    with subprocess.Popen([sys.executable, "-c", text], cwd=ROOT, stdout=subprocess.PIPE, text=True) as parent:
        assert parent.stdout is not None
        other = int(parent.stdout.readline())
        parent.kill()
        parent.wait()
    until = time.monotonic() + 20.0
    while Path(f"/proc/{other}").exists() and Path(f"/proc/{other}/stat").read_text().split()[2] != "Z":
        assert time.monotonic() < until, "it still runs"
        time.sleep(0.05)


def test_make_leaves_the_kernel_to_it(tmp_path: Path) -> None:
    text = (
        "import sys\nfrom pathlib import Path\nfrom assemblies.kinds import starter\n"
        "Path('o.toml').write_text(starter('round-tank'))\nsys.argv = ['seamwright', 'make', 'o.toml']\n"
        "from assemblies.cli import main\n"
        "try:\n    main()\nexcept SystemExit as end:\n    print(end.code, sorted({'OCP', 'cadquery'} & set(sys.modules)))\n"
    )
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        [sys.executable, "-c", text], cwd=tmp_path, env=environment, capture_output=True, text=True, check=True
    )
    assert done.stdout.splitlines()[-1] == "0 []"
    assert (tmp_path / "out" / "rain-column" / "rain-column.step").is_file()
