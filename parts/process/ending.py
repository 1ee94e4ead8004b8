"""What is to be undone when the process is ended from outside, and the ending itself: one line, and the shell's exit code.

*Undo*: a function that takes away what is half done: a draft on the disk, a child at work.
"""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from types import FrameType

__all__ = ["ended_by_hand", "ends_cleanly", "stop_may_be_kept", "undone_if_ended"]

_UNDO: list[Callable[[], None]] = []
_ENDS = tuple(getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name))


@contextmanager
def undone_if_ended(undo: Callable[[], None]) -> Iterator[None]:
    """Within the block, an ending from outside calls `undo` first."""
    _UNDO.append(undo)
    try:
        yield
    finally:
        _UNDO.remove(undo)


def ends_cleanly() -> None:
    """From now on Ctrl-C, SIGTERM and SIGHUP undo what is half done, say so in one line and end with 130, 143, 129.

    Nothing is raised: an error out of the middle of an import, or of the kernel, would be taken for a fault of ours.
    """
    for number in _ENDS:
        if signal.getsignal(number) is not signal.SIG_IGN:  # as a shell's nohup wants it
            signal.signal(number, ended_by_hand)


def ended_by_hand(number: int, frame: FrameType | None = None) -> None:
    """End now, with nothing half done left behind."""
    for undo in reversed(_UNDO):
        with suppress(Exception):
            undo()
    with suppress(OSError):
        os.write(2, b"stopped\n")
    os._exit(128 + number)


@contextmanager
def stop_may_be_kept() -> Iterator[None]:
    """Within the block the first Ctrl-C is a KeyboardInterrupt, which whoever searches takes as a wish to come to an end."""

    def first(number: int, frame: FrameType | None) -> None:
        signal.signal(signal.SIGINT, ended_by_hand)  # the second ends
        raise KeyboardInterrupt

    before = signal.signal(signal.SIGINT, first)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
