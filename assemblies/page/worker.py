"""Computations beside the server: one process that has the heavy libraries loaded and forks a child for each, which can be
ended at any moment. A newer state of a page ends the older one's child.

*Keeper*: that process. It ends, and its children with it, when the server does, however that comes to its end.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from importlib import import_module
from multiprocessing.connection import Connection, wait
from multiprocessing.process import BaseProcess
from typing import Any, Final, Protocol

from assemblies.page.answer import Ground, Message, solved
from parts.process.ending import ends_cleanly, undone_if_ended

__all__ = ["Computing", "Job", "Tell", "Worker", "ended_with", "keep", "work"]

Tell = Callable[[Message | None], None]
#: Solved side by side, for several pages; what else is asked waits. Makes come beside them. Judgement: two cores are common.
_MOST: Final = 2
#: Imported before the first question: what strength, plans and solids load.
_HEAVY: Final = (
    "numpy",
    "scipy.linalg",
    "scipy.optimize",
    "scipy.sparse.linalg",
    "scipy.special",
    "shapely",
    "assemblies.kinds.common",
    "assemblies.strength.tank.prove",
    "assemblies.strength.tank.said",
    "assemblies.strength.tank.sheet",
    "assemblies.strength.proof.checks",
    "parts.shape.kernel",
    "assemblies.shop.plan.plan",
)


@dataclass(frozen=True, kw_only=True)
class Job:
    """What is asked: to solve the text of a page's state, or to make its packet in a folder."""

    text: str
    ground: Ground
    out: str | None = None
    replace: bool = False


class Computing(Protocol):
    """Where jobs are done. `tell` is called from another thread with each answer, and at the end with None."""

    def ask(self, whose: str, job: Job, tell: Tell) -> None:
        """Do this for a page; what it asked before, if it is no make, is ended."""

    def drop(self, whose: str, tell: Tell) -> None:
        """End what this page asked with this `tell`, if it is still at work."""


def work(job: Job) -> Iterator[Message]:
    """The answers to a job; a fault of ours is one too."""
    try:
        if job.out is None:
            yield from solved(job.text, job.ground)
        else:
            from assemblies.page.make import made

            yield from made(job.text, job.ground, job.out, replace=job.replace)
    except MemoryError:
        yield {"stage": "fault", "why": "the machine has too little memory free for this order"}
    except Exception as error:
        yield {"stage": "fault", "why": f"a fault of seamwright, not of the order: {error!r}"}


class Worker:
    """The keeper, seen from the server."""

    def __init__(self) -> None:
        self._control, theirs = multiprocessing.Pipe()
        path, end = repr(sys.path), theirs.fileno()
        begin = f"import sys; sys.path[:] = {path}; from assemblies.page.worker import keep; keep({end})"
        words = [sys.executable, "-c", begin]
        # no fork of the server, which would hold its sockets open; a session of its own, out of reach of a terminal's Ctrl-C
        self._keeper = subprocess.Popen(words, pass_fds=[end], start_new_session=True, stdin=subprocess.DEVNULL)
        theirs.close()
        self._numbers: dict[int, Tell] = {}
        self._of: dict[str, int] = {}
        self._last = 0
        self._lock = threading.Lock()
        threading.Thread(target=self._listen, daemon=True).start()

    def ask(self, whose: str, job: Job, tell: Tell) -> None:
        slot = whose if job.out is None else f"make {whose}"
        with self._lock:
            self._last += 1
            number = self._last
            self._numbers[number] = tell
            older = self._of.get(slot)
            self._of[slot] = number
            self._send(("ask", slot, number, job))
        if older is not None:
            self._end(older)

    def drop(self, whose: str, tell: Tell) -> None:
        with self._lock:
            for slot in (whose, f"make {whose}"):
                number = self._of.get(slot)
                if number is not None and self._numbers.get(number) is tell:
                    del self._of[slot], self._numbers[number]
                    self._send(("drop", slot, number, None))

    def stop(self) -> None:
        """End it all; what is half made is undone."""
        making = any(slot.startswith("make ") for slot in self._of)
        with suppress(OSError):
            self._control.close()
        if making:  # its child undoes what is half made
            with suppress(subprocess.TimeoutExpired):
                self._keeper.wait(3.0)
        with suppress(OSError):
            os.killpg(self._keeper.pid, signal.SIGKILL)
        self._keeper.wait()

    def _send(self, words: tuple[str, str, int, Job | None]) -> None:
        with suppress(OSError, ValueError):
            self._control.send(words)

    def _listen(self) -> None:
        with suppress(OSError, EOFError, TypeError):
            while True:
                number, message = self._control.recv()
                if message is None:
                    self._end(number)
                elif (tell := self._numbers.get(number)) is not None:
                    tell(message)
        for number in list(self._numbers):  # the keeper has gone: nobody waits for ever
            if (tell := self._numbers.get(number)) is not None:
                tell({"stage": "fault", "why": "the computing process has ended; start seamwright try again"})
            self._end(number)

    def _end(self, number: int) -> None:
        with self._lock:
            tell = self._numbers.pop(number, None)
            for slot in [s for s, n in self._of.items() if n == number]:
                del self._of[slot]
        if tell is not None:
            tell(None)


@dataclass
class _Child:
    process: BaseProcess
    answers: Connection
    number: int


@dataclass
class _Keeping:
    """What the keeper knows: children at work and jobs that wait, by their slot."""

    control: Connection
    children: dict[str, _Child] = field(default_factory=dict)
    waiting: dict[str, tuple[int, Job]] = field(default_factory=dict)

    def hear(self) -> None:
        """One word of the server's."""
        what, slot, number, job = self.control.recv()
        if what == "ask" or (slot in self.children and self.children[slot].number == number):
            self.end(slot)
        self.waiting.pop(slot, None)
        if what == "ask":
            self.waiting[slot] = (number, job)

    def end(self, slot: str) -> None:
        """End a child; one that makes a packet undoes what is half done."""
        child = self.children.pop(slot, None)
        if child is not None:
            child.process.terminate()
            child.process.join(2.0)
            child.process.kill()
            child.process.join()
            child.answers.close()

    def begin(self) -> None:
        """Start what waits, as far as there is room."""
        for slot in list(self.waiting):
            solving = sum(not s.startswith("make ") for s in self.children)
            if not slot.startswith("make ") and solving >= _MOST:
                continue
            number, job = self.waiting.pop(slot)
            ours, theirs = multiprocessing.Pipe(duplex=False)
            process = multiprocessing.get_context("fork").Process(target=_child, args=(theirs, job), daemon=False)
            process.start()
            theirs.close()
            self.children[slot] = _Child(process, ours, number)

    def pass_on(self, slot: str) -> None:
        """An answer of a child's, or its end."""
        child = self.children[slot]
        try:
            self.control.send((child.number, child.answers.recv()))
        except EOFError:
            self.control.send((child.number, None))
            self.end(slot)


def keep(handle: int) -> None:
    """The keeper's life; `handle` is of its end of the pipe to the server."""
    control = Connection(handle)
    keeping, unloaded = _Keeping(control), list(_HEAVY)
    try:
        while True:
            ready = wait([control, *(c.answers for c in keeping.children.values())], 0 if unloaded else None)
            if not ready and unloaded:  # a library more; what is asked meanwhile does not wait for all of them
                with suppress(ImportError):
                    import_module(unloaded.pop(0))
            if control in ready:
                keeping.hear()
            for slot in [s for s, c in keeping.children.items() if c.answers in ready]:
                keeping.pass_on(slot)
            keeping.begin()
    except (EOFError, OSError):
        for slot in list(keeping.children):
            keeping.end(slot)


def _child(answers: Connection, job: Job) -> None:
    """One job in a process of its own, silent on the terminal."""
    nowhere = os.open(os.devnull, os.O_RDWR)
    for stream in (1, 2):
        os.dup2(nowhere, stream)
    if job.out is not None:  # what is half made is undone when it is ended
        ends_cleanly()
    with suppress(OSError):
        for message in work(job):
            answers.send(message)
    answers.close()
    os._exit(0)


def ended_with(worker: Worker) -> Any:
    """Within the block, an ending from outside ends the worker too."""
    return undone_if_ended(worker.stop)
