"""The command as a person runs it: exit codes, what goes to which stream, and that nothing of theirs is touched."""

from __future__ import annotations

import errno
import json
import os
import socket
import subprocess
import sys
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

import pytest
from starters import two_plates

from assemblies import cli
from assemblies.examine import Examined, examine
from assemblies.kinds import schemas, starter
from assemblies.order import read_order_text
from parts.process.aside import Asked

START = two_plates()
LONGEST_S = 60


def run(*args: str | Path, cwd: Path, text: str | None = None) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "assemblies.cli", *map(str, args)]
    root = Path(cli.__file__).parents[1]
    env = {**os.environ, "PYTHONPATH": str(root)}
    return subprocess.run(
        command, cwd=cwd, env=env, input=text, capture_output=True, text=True, timeout=LONGEST_S, check=False
    )


def order(folder: Path, text: str = START, name: str = "order.toml") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def _none(folder: Path) -> Path:
    return folder / "order.toml"


def _empty(folder: Path) -> Path:
    return order(folder, "")


def _blank(folder: Path) -> Path:
    return order(folder, "\n \t\n")


def _not_utf8(folder: Path) -> Path:
    path = folder / "order.toml"
    path.write_bytes(START.encode().replace(b"Ripple", b"Rip\xffle"))
    return path


def _utf16(folder: Path) -> Path:
    path = folder / "order.toml"
    path.write_bytes(START.encode("utf-16"))
    return path


def _folder(folder: Path) -> Path:
    (folder / "order.toml").mkdir()
    return folder / "order.toml"


def _fifo(folder: Path) -> Path:
    os.mkfifo(folder / "order.toml")
    return folder / "order.toml"


def _socket(folder: Path) -> Path:
    with socket.socket(socket.AF_UNIX) as one:
        here = Path.cwd()
        os.chdir(folder)  # a socket's path is short
        try:
            one.bind("order.toml")
        finally:
            os.chdir(here)
    return folder / "order.toml"


def _link_to_nothing(folder: Path) -> Path:
    (folder / "order.toml").symlink_to("nowhere")
    return folder / "order.toml"


def _link_in_a_circle(folder: Path) -> Path:
    (folder / "order.toml").symlink_to("order.toml")
    return folder / "order.toml"


def _under_a_file(folder: Path) -> Path:
    (folder / "file").write_text("")
    return folder / "file" / "order.toml"


def _huge(folder: Path) -> Path:
    return order(folder, "#" * 300_000)


UNREADABLE: dict[str, tuple[Callable[[Path], Path], str]] = {
    "a missing file": (_none, "cannot be opened: No such file"),
    "an empty file": (_empty, "is empty"),
    "nothing but blanks": (_blank, "is empty"),
    "not UTF-8": (_not_utf8, "order.toml:4: is not UTF-8: byte"),
    "UTF-16": (_utf16, "is not UTF-8: byte 1"),
    "a folder": (_folder, "is a folder"),
    "a pipe nobody writes to": (_fifo, "is not a regular file"),
    "a socket": (_socket, "is not a regular file"),
    "a device without end": (lambda _: Path("/dev/zero"), "is not a regular file"),
    "a link to nothing": (_link_to_nothing, "cannot be opened"),
    "a link to itself": (_link_in_a_circle, "cannot be opened"),
    "a path under a file": (_under_a_file, "cannot be opened: Not a directory"),
    "a file of 300 KB": (_huge, "at most 256 KiB"),
    "a name of 300 letters": (lambda folder: folder / ("x" * 300), "File name too long"),
    "a name up a folder": (
        lambda folder: order(folder, START.replace("ripple-trough", "../x")),
        ":5: name: '../x' is not valid",
    ),
    "deeply nested tables": (lambda folder: order(folder, "a = " + "{a=" * 60_000), "order.toml:1: is nested too deep"),
    "a plate off the panel": (
        lambda folder: order(folder, START.replace("[87.5, 0]", "[875, 0]")),
        ":45: plate[1].at[2]: ",
    ),
}


@pytest.mark.parametrize("name", UNREADABLE)
def test_an_order_that_cannot_be_taken_ends_with_2_and_writes_nothing(name: str, tmp_path: Path) -> None:
    make, says = UNREADABLE[name]
    path = make(tmp_path)
    before = sorted(tmp_path.rglob("*"))
    done = run("make", path, cwd=tmp_path)
    assert done.returncode == 2, done.stderr
    assert done.stdout == ""
    assert says in done.stderr
    assert "Traceback" not in done.stderr
    assert sorted(tmp_path.rglob("*")) == before


_WRONG = 'order.toml:13: sheet.thicknes: unknown key (did you mean "thickness"?)'
_SLIP = "order.toml:23: tank.size: 12.6 x 7 x 2.75 mm is no tank of 6 mm sheet: these look like inches"


@pytest.mark.parametrize("command", ["make", "fit", "hold"])
@pytest.mark.parametrize(
    ("old", "new", "says"),
    [("thickness = 6 ", "thicknes = 6 ", _WRONG), ("[300, 200, 150]", "[12.6, 7, 2.75]", _SLIP)],
    ids=["in reading", "in building"],
)
def test_every_command_refuses_alike_without_kernel_and_checks(
    command: str, old: str, new: str, says: str, tmp_path: Path
) -> None:
    path = order(tmp_path, START.replace(old, new))
    code = (
        "import sys; from assemblies import cli\n"
        f"sys.argv = ['seamwright', {command!r}, {str(path)!r}, '--json']\n"
        "try: cli.main()\nexcept SystemExit as end: code = end.code\n"
        "heavy = [m for m in ('OCP', 'cadquery', 'scipy', 'shapely', 'trimesh', 'ezdxf') if m in sys.modules]\n"
        "checks = [m for m in sys.modules if m.startswith('assemblies.') and m.endswith('.checks')]\n"
        "print(code, heavy, checks)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=Path(cli.__file__).parents[1], capture_output=True, text=True, check=True
    )
    assert done.stdout.split() == ["2", "[]", "[]"]
    assert says in done.stderr


def test_twenty_faults_are_printed_and_the_rest_counted(tmp_path: Path) -> None:
    path = order(tmp_path, "".join(f"k{i} = 1\n" for i in range(50)) + START)
    done = run("fit", path, cwd=tmp_path)
    lines = done.stderr.splitlines()
    assert len(lines) == 21
    assert lines[0].startswith(f"{path}:1: k0: unknown key")
    assert lines[-1] == "and 30 more"


@pytest.mark.parametrize(
    ("args", "says"),
    [
        ([], "Usage: "),
        (["make"], "Missing argument 'ORDER'"),
        (["nonsense"], "No such command 'nonsense'"),
        (["make", "--colour"], "No such option '--colour'"),
        (["start", "boat"], "no kind 'boat'; there are: tank"),
        (["show", "boats"], "nothing to show for 'boats'; there are: threads, "),
        (["start"], "Missing argument 'KIND'"),
    ],
)
def test_wrong_use_ends_with_2_and_says_so_on_the_error_stream(args: Sequence[str], says: str, tmp_path: Path) -> None:
    done = run(*args, cwd=tmp_path)
    assert done.returncode == 2
    assert done.stdout == ""
    assert says in done.stderr
    assert "Traceback" not in done.stderr


def test_a_question_that_has_passed_ends_with_0(tmp_path: Path) -> None:
    order(tmp_path, START)
    done = run("fit", "order.toml", cwd=tmp_path)
    assert done.returncode == 0
    assert "Fit passed; strength and liquid not checked." in done.stdout


def test_the_starter_order_runs_as_it_is(tmp_path: Path) -> None:
    done = run("start", "tank", cwd=tmp_path)
    assert done.returncode == 0
    assert done.stdout == starter("tank")
    order(tmp_path, done.stdout)
    report = run("fit", "order.toml", "--json", "--sizes-only", cwd=tmp_path)
    assert report.returncode == 1  # nothing says stop, but the solids were not compared
    assert json.loads(report.stdout)["name"] == "ripple-trough"
    assert "Ripple trough" in report.stderr
    assert sorted(p.name for p in tmp_path.iterdir()) == ["order.toml"]


@pytest.mark.parametrize("subject", ["threads", "drills", "sheets", "materials", "mountings", "kinds"])
def test_every_subject_is_shown_even_where_the_terminal_knows_only_ascii(subject: str, tmp_path: Path) -> None:
    root = Path(cli.__file__).parents[1]
    env = {**os.environ, "PYTHONPATH": str(root), "PYTHONIOENCODING": "ascii", "LC_ALL": "C"}
    command = [sys.executable, "-m", "assemblies.cli", "show", subject]
    done = subprocess.run(command, cwd=tmp_path, env=env, capture_output=True, check=False)
    assert done.returncode == 0, done.stderr
    assert done.stderr == b""
    assert len(done.stdout.splitlines()) >= (1 if subject == "kinds" else 10)


def test_a_plus_and_minus_is_said_even_where_the_terminal_knows_only_ascii(tmp_path: Path) -> None:
    path = order(tmp_path, START.replace("measured  = [5.82, 5.80, 5.84]", ""))
    env = {**os.environ, "PYTHONPATH": str(Path(cli.__file__).parents[1]), "PYTHONIOENCODING": "ascii", "LC_ALL": "C"}
    command = [sys.executable, "-m", "assemblies.cli", "fit", str(path), "--sizes-only"]
    done = subprocess.run(command, cwd=tmp_path, env=env, capture_output=True, check=False)
    assert (done.returncode, done.stderr) == (1, b"")
    assert "5.00 to 7.00 mm thick (± 1.00 mm)" in " ".join(done.stdout.decode("utf-8").split())


def test_a_full_disk_behind_the_output_is_no_fault_of_ours(tmp_path: Path) -> None:
    env = {**os.environ, "PYTHONPATH": str(Path(cli.__file__).parents[1])}
    with Path("/dev/full").open("w") as full:
        command = [sys.executable, "-m", "assemblies.cli", "start", "tank"]
        done = subprocess.run(
            command, cwd=tmp_path, env=env, stdout=full, stderr=subprocess.PIPE, text=True, check=False
        )
    assert done.returncode == 2
    assert "No space left on device" in done.stderr
    assert "Traceback" not in done.stderr


def _inside(args: Sequence[str | Path], monkeypatch: pytest.MonkeyPatch) -> int:
    """The exit code of the command, run in this process."""
    monkeypatch.setattr(sys, "argv", ["seamwright", *map(str, args)])
    with pytest.raises(SystemExit) as end:
        cli.main()
    assert isinstance(end.value.code, int)
    return end.value.code


def _tree(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def _my_folder(target: Path) -> None:
    target.mkdir(parents=True)
    (target / "mine.txt").write_text("mine")


def _my_file(target: Path) -> None:
    target.parent.mkdir()
    target.write_text("mine")


def _my_link(target: Path) -> None:
    (target.parent / "elsewhere").mkdir(parents=True)
    target.symlink_to("elsewhere")


def _out_is_a_file(target: Path) -> None:
    target.parent.write_text("mine")


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (_my_folder, "/out/ripple-trough: is not a packet of this tool"),
        (_my_file, "/out/ripple-trough: stands in the way and is no packet"),
        (_my_link, "/out/ripple-trough: stands in the way and is no packet"),
        (_out_is_a_file, "/out: is no folder; choose another --out"),
    ],
)
def test_what_stands_in_the_way_is_left_alone(
    make: Callable[[Path], None],
    says: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    path, target = order(tmp_path), tmp_path / "out" / "ripple-trough"
    make(target)
    before = _tree(tmp_path)
    assert _inside(["make", path, "--out", tmp_path / "out"], monkeypatch) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert says in err
    assert _tree(tmp_path) == before


@pytest.fixture(scope="module")
def packet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A packet made once, by the command, in a process of its own."""
    folder = tmp_path_factory.mktemp("made")
    done = run("make", order(folder), "--json", cwd=folder)
    verdict = json.loads(done.stdout)["verdict"]
    assert done.returncode == (0 if verdict == "go" else 1), done.stderr
    assert "Packet: out/ripple-trough" in done.stderr
    return folder


@pytest.fixture(scope="module")
def found() -> Examined:
    """The starter order, examined once."""
    return examine(read_order_text(START, schemas()))


def test_make_writes_the_packet_and_its_report(packet: Path) -> None:
    target = packet / "out" / "ripple-trough"
    report = json.loads((target / "report.json").read_text())
    assert {p.name for p in (packet / "out").iterdir()} == {"ripple-trough"}
    for part in report["parts"]:
        assert (target / part["file"]).is_file()
    assert (target / "ripple-trough.step").is_file()


def test_make_sets_aside_what_was_put_into_a_packet(
    packet: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    target = packet / "out" / "ripple-trough"
    (target / "my-notes.txt").write_text("mine")
    try:
        assert _inside(["make", packet / "order.toml", "--out", packet / "out"], monkeypatch) == 0
        assert "Your own files were kept, set aside in it: my-notes.txt.yours." in capsys.readouterr().out
        assert (target / "my-notes.txt.yours").read_text() == "mine"
    finally:
        (target / "my-notes.txt.yours").unlink()


@pytest.mark.parametrize("writer", ["write_step", "write_glb", "write_stl", "write_profile", "_write_text"])
def test_a_disk_that_fills_up_leaves_the_old_packet_and_no_draft(
    writer: str, packet: Path, found: Examined, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from assemblies.packet import write

    def full(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    before = _tree(packet)
    monkeypatch.setattr("assemblies.examine.examine", lambda *_, **__: found)
    monkeypatch.setattr(write, writer, full)
    monkeypatch.setattr(write, "ask", lambda do, *given: Asked(partial(do, *given)))  # here, where the disk is full
    assert _inside(["make", packet / "order.toml", "--out", packet / "out"], monkeypatch) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "No space left on device" in err
    assert _tree(packet) == before
    assert [p.name for p in (packet / "out").iterdir()] == ["ripple-trough"]
    assert _inside(["make", packet / "order.toml", "--out", packet / "new" / "out"], monkeypatch) == 2
    assert not (packet / "new").exists()


def test_a_fault_of_ours_ends_with_3_and_asks_for_a_report(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken(_: object) -> None:
        raise ZeroDivisionError("not meant to be")

    monkeypatch.setattr(cli, "_read", broken)
    assert _inside(["fit", order(tmp_path)], monkeypatch) == 3
    assert "Please report it" in capsys.readouterr().err
