"""A packet takes its place whole or not at all, and nothing of the user's is ever replaced."""

from __future__ import annotations

import errno
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from assemblies.packet import folder as room
from assemblies.packet.folder import MANIFEST, PacketError, check_replaceable, new_packet


def write(target: Path, **files: str) -> None:
    with new_packet(target) as draft:
        (draft / "pieces").mkdir()
        for name, text in files.items():
            (draft / "pieces" / name).write_text(text)


def inside(folder: Path) -> dict[str, str]:
    return {p.relative_to(folder).as_posix(): p.read_text() for p in folder.rglob("*") if p.is_file()}


def no_drafts(folder: Path) -> bool:
    return not [p for p in folder.iterdir() if p.name.startswith(".")]


def test_a_packet_appears_whole_with_a_list_of_its_files(tmp_path: Path) -> None:
    target = tmp_path / "deep" / "out" / "job"
    write(target, a="1", b="2")
    listed = json.loads((target / MANIFEST).read_text())["files"]
    assert set(listed) == {"pieces/a", "pieces/b"}
    assert listed["pieces/a"] == "6b86b273ff34fce19d6b804eff5a3f5747ada4eaa22f1d49c01e52ddb7875b4b"  # sha256sum of "1"
    assert no_drafts(target.parent)
    assert (target.stat().st_mode & 0o777) == 0o777 & ~room._umask()


def test_an_untouched_packet_is_replaced_and_gives_the_same_bytes(tmp_path: Path) -> None:
    target = tmp_path / "job"
    write(target, a="1", b="2")
    before = inside(target)
    write(target, a="1", b="2")
    assert inside(target) == before
    write(target, c="3")
    assert set(inside(target)) == {MANIFEST, "pieces/c"}
    assert no_drafts(tmp_path)


def test_an_empty_folder_is_taken(tmp_path: Path) -> None:
    target = tmp_path / "job"
    target.mkdir()
    write(target, a="1")
    assert (target / "pieces" / "a").is_file()


def _users_folder(target: Path) -> None:
    target.mkdir()
    (target / "thesis.txt").write_text("mine")


def _extra_file(target: Path) -> None:
    write(target, a="1")
    (target / "pieces" / "note.txt").write_text("mine")


def _changed_file(target: Path) -> None:
    write(target, a="1")
    (target / "pieces" / "a").write_text("mine")


def _file_in_the_way(target: Path) -> None:
    target.write_text("mine")


def _link_to_a_packet(target: Path) -> None:
    write(target.parent / "real", a="mine")
    target.symlink_to(target.parent / "real")


def _dangling_link(target: Path) -> None:
    target.symlink_to(target.parent / "nowhere")


def _file_turned_into_a_link(target: Path) -> None:
    write(target, a="1")
    (target.parent / "copy").write_text("1")
    (target / "pieces" / "a").unlink()
    (target / "pieces" / "a").symlink_to(target.parent / "copy")


def _extra_link(target: Path) -> None:
    write(target, a="1")
    (target / "mine").symlink_to(target.parent)


def _list_not_json(target: Path) -> None:
    target.mkdir()
    (target / MANIFEST).write_text("mine")


def _list_of_another_tool(target: Path) -> None:
    target.mkdir()
    (target / MANIFEST).write_text('{"files": ["mine"]}')


def _list_not_text(target: Path) -> None:
    target.mkdir()
    (target / MANIFEST).write_bytes(b"\xff\xfe")


def _list_is_a_link(target: Path) -> None:
    write(target, a="1")
    (target / MANIFEST).rename(target.parent / "list")
    (target / MANIFEST).symlink_to(target.parent / "list")


def _list_nested_deep(target: Path) -> None:
    target.mkdir()
    (target / MANIFEST).write_text("[" * 100_000)


def _list_is_a_pipe(target: Path) -> None:
    target.mkdir()
    os.mkfifo(target / MANIFEST)


USERS = [
    _users_folder, _file_in_the_way, _link_to_a_packet, _dangling_link, _list_not_json, _list_of_another_tool,
    _list_not_text, _list_is_a_link, _list_nested_deep, _list_is_a_pipe,
]  # fmt: skip


def _pipe_for_a_file(target: Path) -> None:
    write(target, a="1")
    (target / "pieces" / "a").unlink()
    os.mkfifo(target / "pieces" / "a")


@pytest.mark.parametrize(
    ("make", "kept"),
    [
        (_extra_file, {"pieces/note.txt.yours": "mine"}),
        (_changed_file, {"pieces/a.yours": "mine"}),
        (_file_turned_into_a_link, {"pieces/a.yours": "1"}),
    ],
)
def test_what_the_user_put_or_changed_in_a_packet_is_set_aside(make, kept, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    target, told = tmp_path / "job", list[str]()
    make(target)
    with new_packet(target, told.append) as draft:
        (draft / "b").write_text("new")
    assert told == list(kept)
    assert inside(target) == {"b": "new", MANIFEST: (target / MANIFEST).read_text(), **kept}
    write(target, c="3")  # what was set aside once is carried on under the same name
    assert {name: text for name, text in inside(target).items() if name.endswith(".yours")} == kept
    assert no_drafts(tmp_path)


@pytest.mark.parametrize("make", [_extra_link, _pipe_for_a_file])
def test_a_link_and_a_pipe_are_set_aside_as_they_are(make, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    target = tmp_path / "job"
    make(target)
    write(target, b="2")
    (mine,) = list(target.rglob("*.yours"))
    assert mine.is_symlink() or mine.is_fifo()


def test_two_changed_in_turn_are_both_kept(tmp_path: Path) -> None:
    target = tmp_path / "job"
    for text in ("first", "second"):
        write(target, a="1")
        (target / "pieces" / "a").write_text(text)
    write(target, a="1")
    kept = {name: text for name, text in inside(target).items() if name.endswith(".yours")}
    assert kept == {"pieces/a.yours": "first", "pieces/a.2.yours": "second"}


def test_what_a_killed_run_left_is_cleared_and_the_old_packet_is_back(tmp_path: Path) -> None:
    target = tmp_path / "job"
    write(target, a="1")
    before = inside(target)
    dead = subprocess.Popen([sys.executable, "-c", ""])
    dead.wait()
    for name in (f".job-{dead.pid}-x1.draft", f".job-{dead.pid}-x2.old", f".job-{os.getpid()}-x3.draft", ".job-notes"):
        (tmp_path / name).mkdir()
    os.rename(target, tmp_path / f".job-{dead.pid}-x2.old" / "job")  # killed between the two renames
    room._clear(target)
    assert inside(target) == before
    assert sorted(p.name for p in tmp_path.iterdir()) == [f".job-{os.getpid()}-x3.draft", ".job-notes", "job"]


def _tree(folder: Path) -> dict[str, object]:
    out: dict[str, object] = {}
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder).as_posix()
        out[name] = os.readlink(path) if path.is_symlink() else path.read_bytes() if path.is_file() else None
    return out


@pytest.mark.parametrize("make", USERS)
def test_what_is_the_users_is_refused_and_left_as_it_was(make, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    target = tmp_path / "job"
    make(target)
    before = _tree(tmp_path)
    with pytest.raises(PacketError, match="job"):
        check_replaceable(target)
    with pytest.raises(PacketError):
        write(target, a="new")
    assert _tree(tmp_path) == before


def test_a_file_put_in_while_the_packet_was_written_is_not_lost(tmp_path: Path) -> None:
    target = tmp_path / "job"
    write(target, a="1")
    packet = new_packet(target)
    (packet.__enter__() / "a").write_text("2")
    (target / "mine").write_text("mine")
    packet.__exit__(None, None, None)
    assert (target / "mine.yours").read_text() == "mine"
    assert (target / "a").read_text() == "2"
    assert no_drafts(tmp_path)


def _half_a_packet(target: Path, error: BaseException) -> None:
    with new_packet(target) as draft:
        (draft / "a").write_text("half")
        raise error


@pytest.mark.parametrize(
    "error", [OSError(errno.ENOSPC, "No space left on device"), ValueError("a fault"), KeyboardInterrupt()]
)
@pytest.mark.parametrize("before", [False, True])
def test_an_error_while_writing_leaves_everything_as_it_was(error: BaseException, before: bool, tmp_path: Path) -> None:
    target = tmp_path / "new" / "job"
    if before:
        write(target, a="1")
    tree = _tree(tmp_path)
    expected = PacketError if isinstance(error, OSError) else type(error)
    with pytest.raises(expected) as caught:
        _half_a_packet(target, error)
    assert _tree(tmp_path) == tree
    if isinstance(error, OSError):
        assert "No space left on device" in str(caught.value)


def test_an_error_while_listing_the_files_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(path: Path, *_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(Path, "write_text", full)
    with pytest.raises(PacketError, match="No space left"), new_packet(tmp_path / "job"):
        pass
    assert _tree(tmp_path) == {}


def test_a_new_packet_that_cannot_take_its_place_gives_the_old_one_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "job"
    write(target, a="1")
    tree = _tree(tmp_path)
    rename, calls = os.rename, []

    def failing(source: str, goal: str) -> None:
        calls.append(goal)
        if len(calls) == 2:
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        rename(source, goal)

    monkeypatch.setattr(os, "rename", failing)
    with pytest.raises(PacketError, match="Input/output error"):
        write(target, a="2")
    assert len(calls) == 3
    assert _tree(tmp_path) == tree


@pytest.mark.parametrize("code", [errno.EROFS, errno.EACCES])
def test_a_folder_that_may_not_be_written_to_is_refused(
    code: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object, **__: object) -> str:
        raise OSError(code, os.strerror(code))

    monkeypatch.setattr("tempfile.mkdtemp", refuse)
    with pytest.raises(PacketError, match=os.strerror(code)):
        write(tmp_path / "deep" / "job", a="1")
    assert _tree(tmp_path) == {}


def test_places_that_cannot_be_are_refused(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("mine")
    for target in (tmp_path / "file" / "job", tmp_path / ("x" * 300), Path("/proc/nothing/job"), Path("/dev/null/job")):
        with pytest.raises(PacketError):
            write(target, a="1")
    assert _tree(tmp_path) == {"file": b"mine"}
