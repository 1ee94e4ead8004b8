"""What may not be made so gets its packet all the same: one answer from every command, STOP on what is worked from."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path

import pytest
from click.testing import CliRunner
from starters import bare

from assemblies.cli import cli

MEETING = (
    bare("tank").partition("[[plate]]")[0].replace('kind = "plates"', 'kind = "flat"')
    .replace('fill = "120 mm"', 'fill = "100 mm"')
    + '[[port]]\nkind = "overflow"\non = "left"\nat = [0, 55]\ndiameter = 20\n'
    + '[[port]]\nkind = "fill"\non = "left"\nat = [{x}, 55]\ndiameter = 20\n'
)  # fmt: skip


def answered(*args: str | Path) -> tuple[int, str]:
    """Exit code and text of a command."""
    run = CliRunner().invoke(cli, [str(one) for one in args])
    assert run.exception is None or isinstance(run.exception, SystemExit), run.exception
    return run.exit_code, run.output


def pdf_text(path: Path) -> str:
    program = shutil.which("pdftotext")
    assert program, "pdftotext is not installed; Debian: apt-get install poppler-utils"
    return subprocess.run([program, path, "-"], capture_output=True, check=True, text=True).stdout


@pytest.mark.parametrize(("x", "process"), [(12, "saw"), (0, "router")])
def test_holes_that_meet_get_one_answer_and_a_packet_that_says_stop(tmp_path: Path, x: int, process: str) -> None:
    order = tmp_path / "o.toml"
    order.write_text(MEETING.format(x=x).replace('process    = "saw"', f'process    = "{process}"'))
    for command in (("fit", "--sizes-only"), ("hold",), ("cut",), ("make", "--out", tmp_path)):
        code, said = answered(*command, order)
        assert code == 1
        assert "run into each other" in " ".join(said.split())
    packet = tmp_path / "ripple-trough"
    report = json.loads((packet / "report.json").read_text())
    assert (report["verdict"], report["checks"]["fit"]) == ("stop", "passed")
    marked = "STOP, do not make: ripple-trough rev A"
    for path in [*packet.glob("profiles/*.dxf"), *packet.glob("cutting/*.dxf"), *packet.glob("cutting/*.svg")]:
        assert path.read_text().count(marked) >= 1, path
    drawings = [*packet.glob("drawings/*.pdf"), *packet.glob("templates/*.pdf")]
    assert len(drawings) >= 5
    for path in drawings:
        assert "STOP" in pdf_text(path), path


def test_what_may_be_made_does_not_say_stop(tmp_path: Path) -> None:
    order = tmp_path / "o.toml"
    order.write_text(bare("tank"))
    assert answered("make", "--out", tmp_path, order)[0] == 0
    packet = tmp_path / "ripple-trough"
    assert "ripple-trough rev A" in (packet / "profiles" / "bottom.dxf").read_text()
    for path in packet.rglob("*"):
        if path.suffix in (".dxf", ".svg"):
            assert "STOP" not in path.read_text(), path
