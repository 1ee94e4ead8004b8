"""The machine fails the command: closed streams, pipes that nobody reads, libraries that are not there. One line each."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from assemblies.kinds import starter
from parts.process.machine import library_words

ENV = {**os.environ, "PYTHONPATH": str(Path.cwd())}
COMMAND = f"{sys.executable} -m assemblies"


def shell(line: str, folder: Path, **more: str) -> tuple[int, str]:
    """Exit code of the command (the first of a pipe) and what it says on the error stream."""
    run = subprocess.run(
        ["bash", "-c", f"{COMMAND} {line}; exit ${{PIPESTATUS[0]}}"], cwd=folder, env=ENV | more, text=True,
        capture_output=True, check=False, timeout=60,
    )  # fmt: skip
    return run.returncode, run.stderr


@pytest.fixture
def job(tmp_path: Path) -> Path:
    (tmp_path / "o.toml").write_text(starter("tank"))
    return tmp_path


@pytest.mark.parametrize("line", ["make o.toml", "show threads", "--help"])
def test_a_closed_standard_output_is_one_line_and_nothing_is_written(job: Path, line: str) -> None:
    assert shell(f"{line} >&-", job) == (2, "standard output is closed: the answer could not be written\n")
    assert [path.name for path in job.iterdir()] == ["o.toml"]


def test_with_a_closed_error_stream_and_input_the_answer_is_the_same(job: Path) -> None:
    assert shell("show kinds <&- 2>&-", job) == (0, "")


@pytest.mark.parametrize("line", ["show order", "start tank", "--help"])
def test_a_pipe_that_nobody_reads_is_one_line(job: Path, line: str) -> None:
    assert shell(f"{line} | true", job) == (2, "the answer could not be written: Broken pipe\n")


def test_a_full_device_is_one_line(job: Path) -> None:
    assert shell("show threads > /dev/full", job) == (2, "the answer could not be written: No space left on device\n")


def test_a_broken_graphics_library_says_which_package_has_it_and_writes_nothing(job: Path) -> None:
    (job / "lib").mkdir()
    (job / "lib" / "libGL.so.1").touch()
    code, said = shell("make o.toml", job, LD_LIBRARY_PATH=str(job / "lib"))
    assert code == 2
    assert said.startswith("the geometry kernel cannot load libGL.so.1: file too short; install libgl1")
    assert said.count("\n") == 1
    assert sorted(path.name for path in job.iterdir()) == ["lib", "o.toml"]
    assert shell("show kinds", job, LD_LIBRARY_PATH=str(job / "lib"))[0] == 0


@pytest.mark.parametrize(
    ("error", "name"),
    [
        ("libGL.so.1: cannot open shared object file: No such file or directory", "libgl1"),
        ("/usr/lib/libX11.so.6: invalid ELF header", "libx11-6"),
        ("libodd.so.3: cannot open shared object file: No such file or directory", "the package that has it"),
    ],
)
def test_a_library_is_named_with_its_package(error: str, name: str) -> None:
    assert name in library_words(ImportError(error))


def test_what_is_no_library_is_a_fault_of_ours() -> None:
    assert library_words(ImportError("cannot import name 'x' from 'parts'")) == ""
