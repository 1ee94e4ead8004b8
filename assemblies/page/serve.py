"""Start the server of `try` on this machine alone, say where, and end without a word when it is told to."""

from __future__ import annotations

import asyncio
import secrets
import socket
import threading
import webbrowser
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import uvicorn

from assemblies.page.answer import data_of
from assemblies.page.app import Trial, application
from assemblies.page.disk import Disk
from assemblies.page.worker import Worker, ended_with
from parts.findings import SeamwrightError

__all__ = ["PORT", "serve"]

#: Tried first where none is named, so that a page which is still open finds its server again; no service is registered for it
#: (from memory).
PORT = 8611
_HOST = "127.0.0.1"


class _Server(uvicorn.Server):
    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        """Signals stay with `parts.ending`: one line, and the shell's exit code."""
        yield


def serve(
    order: Path | None,
    out: Path,
    shop: Path | None,
    port: int | None,
    kind: str,
    say: Callable[[str], None],
    *,
    browser: bool,
) -> None:
    """Serve until ended from outside.

    Args:
        order: the file to try; None for the starter of `kind`.
        out: where packets go.
        port: of this machine; None for the usual one, or any that is free.
        say: told the address.
        browser: whether to open it.

    Raises:
        SeamwrightError: the order cannot be read; the port is taken.
    """
    disk = Disk(order=None if order is None else order.resolve(), folder=Path.cwd())
    if order is not None:
        data_of(disk.opened().text, str(order))  # what is wrong in it as an order is said on the page
    with _listening(port) as listener:
        worker = Worker()
        with ended_with(worker):
            try:
                trial = Trial(
                    disk=disk,
                    out=out.resolve(),
                    shop=None if shop is None else shop.resolve(),
                    kind=kind,
                    computing=worker,
                )
                trial.begun()
                _serve(trial, listener, say, browser=browser)
            finally:
                worker.stop()


def _serve(trial: Trial, listener: socket.socket, say: Callable[[str], None], *, browser: bool) -> None:
    host = f"{_HOST}:{listener.getsockname()[1]}"
    token = secrets.token_urlsafe(24)
    config = uvicorn.Config(
        application(trial, host, token),
        log_level="critical",
        access_log=False,
        lifespan="off",
        server_header=False,
        date_header=False,
        proxy_headers=False,
        ws="none",
        timeout_keep_alive=30,
    )
    address = f"http://{host}/{token}/"
    say(address)
    if browser:
        threading.Thread(target=_open, args=(address,), daemon=True).start()
    asyncio.run(_Server(config).serve(sockets=[listener]))


def _open(address: str) -> None:
    with suppress(Exception):  # no browser on this machine: the address was said
        webbrowser.open(address)


@contextmanager
def _listening(port: int | None) -> Iterator[socket.socket]:
    """A socket on the loopback address alone."""
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    with listener:
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        for one in (PORT, 0) if port is None else (port,):
            try:
                listener.bind((_HOST, one))
                listener.listen(64)
            except OSError as error:
                if port is None and one:
                    continue
                raise SeamwrightError(
                    f"port {one} of this machine cannot be used: {error.strerror}; choose another --port"
                ) from error
            break
        yield listener
