"""What is and is not an order file: told before anything of it is opened, and never waited for."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from pathlib import Path

import pytest
from starters import two_plates

from assemblies.kinds import schemas
from assemblies.order import OrderError, read_order
from assemblies.order.reader import ORDER_FILE

START = two_plates()


def _folder(path: Path) -> None:
    path.mkdir()


SPECIAL: dict[str, Callable[[Path], None]] = {
    "a folder": _folder,
    "a pipe": os.mkfifo,
    "a device without end": lambda path: path.symlink_to("/dev/zero"),
    "a terminal": lambda path: path.symlink_to("/dev/tty"),
}


@pytest.mark.parametrize("name", SPECIAL)
def test_what_is_no_regular_file_is_not_even_opened(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "order.toml"
    SPECIAL[name](path)
    monkeypatch.setattr(os, "open", lambda *_: pytest.fail("opened"))
    with pytest.raises(OrderError) as caught:
        read_order(path, schemas())
    what = "is a folder" if name == "a folder" else "is not a regular file"
    assert str(caught.value) == f"{path}: {what}; allowed: an order file"


def test_a_file_that_turns_into_a_pipe_before_it_is_opened_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, other = tmp_path / "order.toml", tmp_path / "other.toml"
    os.mkfifo(path)
    other.write_text(START)
    regular = os.stat(other)
    monkeypatch.setattr(os, "stat", lambda *_: regular)
    with pytest.raises(OrderError, match="is not a regular file"):
        read_order(path, schemas())


@pytest.mark.parametrize("code", [errno.EACCES, errno.EIO, errno.EMFILE])
def test_a_file_that_cannot_be_opened_says_why(code: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "order.toml"
    path.write_text(START)

    def refuse(*_: object) -> int:
        raise OSError(code, os.strerror(code))

    monkeypatch.setattr(os, "open", refuse)
    with pytest.raises(OrderError) as caught:
        read_order(path, schemas())
    assert (
        str(caught.value) == f"{path}: cannot be opened: {os.strerror(code)}; allowed: an order file that can be read"
    )


@pytest.mark.parametrize(
    ("raw", "line", "says"),
    [
        (b"", None, "is empty"),
        (b"\xef\xbb\xbf", None, "is empty"),
        (b" \r\n\t", None, "is empty"),
        (START.encode().replace(b"harbour", b"h\xe4fen"), 4, "is not UTF-8: byte "),
        (START.encode("utf-16"), 1, "is not UTF-8: byte 1"),
        (START.encode().replace(b"harbour", b"har\x00bour"), 4, "is not TOML"),
        (START.encode().replace(b"\n", b"\r"), 1, "is not TOML"),
        (b"#" * (ORDER_FILE.largest_bytes + 1), None, "is too large"),
        (b"\xff" * (ORDER_FILE.largest_bytes + 1), None, "is too large"),
    ],
)
def test_bytes_that_are_no_order_are_refused(raw: bytes, line: int | None, says: str, tmp_path: Path) -> None:
    path = tmp_path / "order.toml"
    path.write_bytes(raw)
    with pytest.raises(OrderError) as caught:
        read_order(path, schemas())
    (problem,) = caught.value.problems
    assert (problem.line, problem.file) == (line, str(path))
    assert problem.what.startswith(says)


def test_the_byte_that_is_not_utf_8_is_counted_from_one(tmp_path: Path) -> None:
    path = tmp_path / "order.toml"
    path.write_bytes(b"a = 1\nb = '\xc3'\n")
    with pytest.raises(OrderError, match=r"order.toml:2: is not UTF-8: byte 12;"):
        read_order(path, schemas())


def test_the_largest_file_is_still_read(tmp_path: Path) -> None:
    path = tmp_path / "order.toml"
    path.write_text(START + "#" * (ORDER_FILE.largest_bytes - len(START.encode())))
    assert path.stat().st_size == ORDER_FILE.largest_bytes
    assert read_order(path, schemas()).name == "ripple-trough"


@pytest.mark.parametrize("name", ["a\0b", "", "x" * 5000, "a\nb", "\x1b[2J", "a\udcffb"])
def test_a_path_that_cannot_be_one_is_refused_in_one_line_of_plain_letters(name: str, tmp_path: Path) -> None:
    with pytest.raises(OrderError) as caught:
        read_order(f"{tmp_path}/{name}", schemas())
    assert str(caught.value).isprintable()
    assert str(caught.value).count("allowed") == 1
