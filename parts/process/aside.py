"""A process beside this one for what needs slow libraries: their import and its work go on while this one does the rest.

Within `aside()`, `ask` hands a function over; without it, or where the other process is gone or failed, the answer is worked
out here when it is wanted: an error is raised where it can be told, and nothing depends on there being a second process.
"""

from __future__ import annotations

import copyreg
import os
import pickle
import signal
import struct
import subprocess
import sys
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from functools import partial
from importlib import import_module
from queue import SimpleQueue
from threading import Thread
from types import MappingProxyType
from typing import IO, Any, Final, Generic, TypeVar

from parts.process.ending import undone_if_ended

__all__ = ["Asked", "aside", "ask", "ended_with", "shared"]

_Answer = TypeVar("_Answer")
_LENGTH: Final = struct.Struct(">Q")


def _fixed(values: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    return MappingProxyType(values)


copyreg.pickle(MappingProxyType, lambda one: (_fixed, (dict(one),)))  # rows of tables go along


@dataclass(eq=False)
class Asked(Generic[_Answer]):
    """What was asked; `answer()` waits for it."""

    work: Callable[[], _Answer]
    helper: _Helper | None = None
    known: list[_Answer] = field(default_factory=list)

    def answer(self) -> _Answer:
        """The answer; whatever the work raises is raised here."""
        if not self.known and self.helper is not None:
            self.helper.collect(self)
        if not self.known:
            self.known.append(self.work())
        return self.known[0]


class _Helper:
    def __init__(self, modules: tuple[str, ...]) -> None:
        self.asked: deque[Asked[Any]] = deque()
        self.modules, self.over = modules, False
        self.child: subprocess.Popen[bytes] | None = None
        if modules:
            self.start()

    def start(self) -> None:
        """Start the other process, if none was: what it has imported first is there when it is asked."""
        if self.child is not None or self.over:
            return
        environment = {**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, sys.path))}
        command = [sys.executable, "-m", "parts.process.aside", *self.modules]
        pipe, none = subprocess.PIPE, subprocess.DEVNULL
        with suppress(OSError):
            self.child = subprocess.Popen(command, stdin=pipe, stdout=pipe, stderr=none, env=environment)

    def ask(self, asked: Asked[Any]) -> None:
        self.start()
        if self.child is None or self.child.stdin is None:
            return
        try:
            _write(self.child.stdin, pickle.dumps(asked.work))
        except (OSError, pickle.PicklingError, AttributeError, TypeError):
            return  # it is gone, or this cannot be handed over
        asked.helper = self
        self.asked.append(asked)

    def collect(self, wanted: Asked[Any]) -> None:
        """Take answers in until this one is there; those that failed stay unknown."""
        while wanted in self.asked:
            one = self.asked.popleft()
            with suppress(OSError, EOFError, pickle.UnpicklingError):
                if self.child is not None and self.child.stdout is not None:
                    one.known.extend(pickle.loads(_read(self.child.stdout)))
            one.helper = None

    def stop(self) -> None:
        """End it; what it was still asked is worked out here."""
        child, self.child, self.over = self.child, None, True
        if child is not None:
            child.kill()
            child.wait()
            for pipe in (child.stdin, child.stdout):
                with suppress(OSError):
                    assert pipe is not None
                    pipe.close()


_HELPER: list[_Helper] = []


@contextmanager
def aside(*modules: str) -> Iterator[None]:
    """Within the block there is a process beside this one, which imports these modules; without any it starts when asked."""
    helper = _Helper(modules)
    _HELPER.append(helper)
    with undone_if_ended(helper.stop):
        try:
            yield
        finally:
            _HELPER.remove(helper)
            helper.stop()


@contextmanager
def ended_with() -> Iterator[None]:
    """Within the block, whatever ends it ends the process beside this one too, before what stands around is undone.

    For work that writes into a place which is cleared after a failure.
    """
    helper = _HELPER[-1] if _HELPER else None
    if helper is None:
        yield
        return
    with undone_if_ended(helper.stop):
        try:
            yield
        except BaseException:
            helper.stop()
            raise


def ask(do: Callable[..., _Answer], *given: Any) -> Asked[_Answer]:
    """Have `do(*given)` worked out beside this process; all of it is to be what `pickle` can carry."""
    asked = Asked[_Answer](partial(do, *given))
    if _HELPER:
        _HELPER[-1].ask(asked)
    return asked


def shared(do: Callable[..., _Answer], every: Sequence[tuple[Any, ...]]) -> list[_Answer]:
    """`do` of each, every second one worked out beside this process."""
    asked = [ask(do, *given) if k % 2 else Asked[_Answer](partial(do, *given)) for k, given in enumerate(every)]
    for one in asked[::2]:
        one.answer()
    return [one.answer() for one in asked]


def _write(pipe: IO[bytes], data: bytes) -> None:
    pipe.write(_LENGTH.pack(len(data)) + data)
    pipe.flush()


def _read(pipe: IO[bytes]) -> bytes:
    """Raises EOFError: the other side is gone."""
    head = pipe.read(_LENGTH.size)
    if len(head) < _LENGTH.size:
        raise EOFError
    (length,) = _LENGTH.unpack(head)
    data = pipe.read(length)
    if len(data) < length:
        raise EOFError
    return data


def _beside() -> None:
    """The other process: it takes work until its parent is gone, and then it ends at once, whatever it does."""
    for number in (signal.SIGINT, signal.SIGHUP):
        signal.signal(number, signal.SIG_IGN)  # its parent ends it
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # what a library prints is no answer
    work: SimpleQueue[bytes] = SimpleQueue()

    def listen() -> None:
        with suppress(EOFError):
            while True:
                work.put(_read(sys.stdin.buffer))
        os._exit(0)

    Thread(target=listen, daemon=True).start()
    for name in sys.argv[1:]:
        with suppress(Exception):  # whoever needs it says what is amiss
            import_module(name)
    while True:
        try:
            done = pickle.dumps([pickle.loads(work.get())()])
        except Exception:
            done = pickle.dumps([])  # it is done again where the error can be told
        _write(answers, done)


if __name__ == "__main__":
    _beside()
