"""The rendered picture of a design, made by a child process while the rest of the packet is written.

The renderer needs a graphics library (EGL or OSMesa) and dies without one; a child that dies leaves no picture and a word
why, and never takes the parent with it.
"""

from __future__ import annotations

import os
import pickle
import struct
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from assemblies.packet.models.scene import Scene
from parts.findings import Finding
from parts.process.ending import undone_if_ended

__all__ = ["SIZE", "Picture", "picture_of", "png_fault", "renderer_ready", "start_picture"]

SIZE: Final = (1600, 1200)
_LONGEST_S: Final = 60.0  # judgement: twenty times what two slow cores take
_PACKAGES: Final = "libegl1 and libgl1-mesa-dri, or libosmesa6"
_NO_LIBRARY: Final = 3  # how the child says that it found neither


@dataclass(frozen=True, kw_only=True)
class Picture:
    """A picture that is being made."""

    path: Path
    child: subprocess.Popen[bytes] | None
    started_s: float
    size: tuple[int, int] = SIZE

    def collect(self, longest_s: float = _LONGEST_S) -> Finding | None:
        """Wait for the picture, and hold it to be one; a note, and no file, when there is none."""
        if self.child is None:
            return self._none("no renderer could be started")
        try:
            left = self.started_s + longest_s - time.monotonic()
            code = self.child.wait(timeout=max(0.0, left))
        except subprocess.TimeoutExpired:
            self.stop()
            return self._none(f"the renderer was stopped after {longest_s:g} s")
        if code == _NO_LIBRARY:
            return self._none("this machine has no library to render with")
        if code != 0:
            return self._none("the renderer died" + (f" of signal {-code}" if code < 0 else f" with code {code}"))
        fault = png_fault(self.path, self.size)
        return self._none(f"the renderer's file {fault}") if fault else None

    def stop(self) -> None:
        """End the child, if it still runs, and leave no picture."""
        if self.child is not None and self.child.poll() is None:
            self.child.kill()
            self.child.wait()
        self.path.unlink(missing_ok=True)

    def _none(self, why: str) -> Finding:
        self.path.unlink(missing_ok=True)
        return Finding(
            level="note",
            check="picture",
            where=self.path.name,
            why=f"not in this packet: {why}",
            do=f"to have it, install {_PACKAGES} (Debian's names) and make the packet again; nothing else needs it",
            source="computed: what the renderer said on this machine",
        )


def start_picture(scene: Scene, path: Path, size: tuple[int, int] = SIZE) -> Picture:
    """Start to render a scene, put together and filled, to a PNG file of `size` pixels.

    The child takes the scene from its standard input; it draws in software, so that one machine gives the same bytes every
    time.
    """
    path.unlink(missing_ok=True)
    child = _READY.pop() if _READY else _renderer()
    if child is not None and child.stdin is not None:
        with suppress(OSError), child.stdin as given:  # one that has died says so when it is collected
            given.write(pickle.dumps((replace(scene, plays=()), str(path), size)))
    return Picture(path=path, child=child, started_s=time.monotonic(), size=size)


_READY: list[subprocess.Popen[bytes]] = []


def _renderer() -> subprocess.Popen[bytes] | None:
    """A child that waits for its scene; None where none can be started."""
    environment = {**os.environ, "LIBGL_ALWAYS_SOFTWARE": "1", "PYTHONPATH": os.pathsep.join(filter(None, sys.path))}
    environment.pop("DISPLAY", None)
    command = [sys.executable, "-m", "assemblies.packet.pictures.render"]
    none = subprocess.DEVNULL
    with suppress(OSError):
        return subprocess.Popen(command, stdin=subprocess.PIPE, stdout=none, stderr=none, env=environment)
    return None


@contextmanager
def renderer_ready() -> Iterator[None]:
    """Within the block a child waits for the scene of the next picture: its libraries are loaded by then."""
    child = _renderer()
    if child is None:
        yield
        return
    _READY.append(child)

    def stop() -> None:
        if child in _READY:
            _READY.remove(child)
            child.kill()
            child.communicate()

    with undone_if_ended(stop):
        try:
            yield
        finally:
            stop()


@contextmanager
def picture_of(scene: Scene, path: Path) -> Iterator[Picture]:
    """The packet's picture, started on entry; if the block fails before it is collected, the child is ended."""
    picture = start_picture(scene, path)
    with undone_if_ended(picture.stop):
        try:
            yield picture
        except BaseException:
            picture.stop()
            raise


def png_fault(path: Path, wanted: tuple[int, int] = SIZE) -> str:
    """What is wrong with a PNG file of ours; empty when nothing is.

    Source: PNG specification (ISO/IEC 15948), signature, IHDR and IEND chunks.
    """
    try:
        data = path.read_bytes()
    except OSError:
        return "is missing"
    if len(data) < 45 or data[:8] != b"\x89PNG\r\n\x1a\n" or data[-8:-4] != b"IEND":
        return "is not a whole PNG file"
    size = struct.unpack(">II", data[16:24])
    return "" if size == wanted else f"has {size[0]} x {size[1]} pixels"
