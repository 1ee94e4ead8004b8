"""Members on all cores, or on a scheduler's workers. A worker that dies costs its member, and no other, one more try."""

from __future__ import annotations

import ctypes
import ipaddress
import multiprocessing
import os
import signal
import ssl
from collections.abc import Callable, Generator, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Executor, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from functools import cache
from importlib import import_module
from itertools import islice
from pathlib import Path
from typing import Any, Final
from urllib.parse import urlsplit

from assemblies.series.rows import Row, broken, row_of
from assemblies.series.spec import Asked
from parts.findings import SeamwrightError
from parts.process.ending import undone_if_ended

__all__ = ["Tls", "by_processes", "by_scheduler", "cores"]

Tls = tuple[Path, Path, Path]  # of the authority, of this client, its key
_AHEAD: Final = 2  # members a worker is given before it asks: it never waits, and little is lost where it dies
_MOST_LOST: Final = 2
Work = Callable[[Asked, int], Row]
_GIVEN: list[tuple[Asked, Work]] = []  # in a worker


def cores() -> int:
    """The cores that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _begin(asked: Asked, work: Work) -> None:
    """What a worker is given once; Ctrl-C is for the one that it works for."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _GIVEN.append((asked, work))


def _member(member: int) -> Row:
    asked, work = _GIVEN[0]
    return work(asked, member)


def by_processes(asked: Asked, members: Iterable[int], workers: int, work: Work = row_of) -> Iterator[Row]:
    """Rows as they come, from so many processes.

    Where a worker dies those at work are run again alone, each in a process of its own; the one that kills that too is a
    row that says so.

    Raises:
        SeamwrightError: workers die before any has answered.
    """
    left = iter(members)
    lost = answered = 0
    with undone_if_ended(_end_workers):
        while True:
            hurt = yield from _until_broken(asked, left, workers, work)
            if not hurt:
                return
            for member in hurt:
                again = yield from _until_broken(asked, iter((member,)), 1, work)
                lost, answered = lost + len(again), answered + 1 - len(again)
                if lost > _MOST_LOST and not answered:
                    raise SeamwrightError(f"{asked.name}: the processes that should work its members out die at once")
                if again:
                    yield broken(member, "the process that worked it out died, twice: too little memory perhaps")


def _end_workers() -> None:
    for child in multiprocessing.active_children():
        child.kill()


def _until_broken(asked: Asked, left: Iterator[int], workers: int, work: Work) -> Generator[Row, None, list[int]]:
    """Rows until all are done or a worker dies; gives back the members that were at work then."""
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(workers, mp_context=context, initializer=_begin, initargs=(asked, work)) as pool:
        at_work: dict[int, Future[Row]] = {}
        try:
            yield from _fed(pool, lambda member: pool.submit(_member, member), left, workers * _AHEAD, at_work)
        except BrokenProcessPool:
            return list(at_work)
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise
    return []


def _fed(
    pool: Executor, submit: Callable[[int], Future[Row]], left: Iterator[int], most: int, at_work: dict[int, Any]
) -> Iterator[Row]:
    """Rows as they come, so many members given out at a time."""
    while True:
        for member in islice(left, most - len(at_work)):
            at_work[member] = None
            at_work[member] = submit(member)
        if not at_work:
            return
        done, _ = wait(list(at_work.values()), return_when=FIRST_COMPLETED)
        for member in [m for m, future in at_work.items() if future in done]:
            row = at_work[member].result()
            del at_work[member]
            yield row


def by_scheduler(asked: Asked, members: Iterable[int], address: str, tls: Tls | None = None) -> Iterator[Row]:
    """The same on the workers of a running scheduler of dask.distributed, through its executor.

    What goes to the workers is the order's data and a number: they have this tool installed themselves.

    Raises:
        SeamwrightError: the library is not there, the address is off this machine without TLS, or nobody answers.
    """
    _check_address(address, tls)
    try:
        library: Any = import_module("distributed")
        killed: Any = import_module("distributed.scheduler").KilledWorker
    except ImportError:
        raise SeamwrightError("--scheduler needs dask.distributed: pip install 'seamwright[cluster]'") from None
    secure = None
    if tls:
        ca, cert, key = _checked_tls(tls)
        secure = library.Security(tls_ca_file=ca, tls_client_cert=cert, tls_client_key=key, require_encryption=True)
    try:
        client = library.Client(address, security=secure, timeout=10, set_as_default=False)
    except (OSError, TimeoutError, ValueError) as error:
        raise SeamwrightError(f"--scheduler {address}: nobody answers: {error}") from error
    with client:
        pool = client.get_executor(pure=False)
        most = max(1, sum(client.nthreads().values())) * _AHEAD
        at_work: dict[int, Future[Row]] = {}
        left = iter(members)
        while True:
            try:
                yield from _fed(pool, lambda member: pool.submit(_far_row, asked, member), left, most, at_work)
                return
            except killed:
                for member in [
                    m for m, future in at_work.items() if future is None or (future.done() and future.exception())
                ]:
                    del at_work[member]
                    yield broken(member, "the workers that worked it out died: too little memory perhaps")


def _far_row(asked: Asked, member: int) -> Row:
    """A member worked out by a worker of the scheduler."""
    _keep_what_is_freed()
    return row_of(asked, member)


@cache
def _keep_what_is_freed() -> None:
    """Let the worker keep up to 128 MB of freed memory, as processes do that nobody tells otherwise.

    A nanny of dask sets MALLOC_TRIM_THRESHOLD_ to 64 kB: every array goes back to the system and is fetched again, which takes
    two fifths of the time. `mallopt` of glibc (M_TRIM_THRESHOLD is -1, as its header has it); elsewhere nothing is done.
    """
    with suppress(OSError, AttributeError):
        ctypes.CDLL(None).mallopt(-1, 128 * 1024 * 1024)


def _checked_tls(tls: Tls) -> tuple[str, str, str]:
    """The three files, once they can be used."""
    ca, cert, key = map(str, tls)
    try:
        ssl.create_default_context(cafile=ca).load_cert_chain(cert, key)
    except OSError as error:  # what ssl raises is one too
        raise SeamwrightError(f"--tls {ca} {cert} {key}: cannot be used: {error.strerror or error}") from error
    return ca, cert, key


def _check_address(address: str, tls: Tls | None) -> None:
    """Off this machine only encrypted, and known to each other."""
    parts = urlsplit(address if "://" in address else f"tcp://{address}")
    host = parts.hostname or ""
    try:
        here = host == "localhost" or ipaddress.ip_address(host).is_loopback
    except ValueError:
        here = False
    if not here and (tls is None or parts.scheme != "tls"):
        raise SeamwrightError(
            f"--scheduler {address}: off this machine only by tls:// with --tls CA CERT KEY; allowed without: a loopback "
            "address such as tcp://127.0.0.1:8786"
        )
    if parts.scheme == "tls" and tls is None:
        raise SeamwrightError(f"--scheduler {address}: tls:// needs --tls CA CERT KEY")
