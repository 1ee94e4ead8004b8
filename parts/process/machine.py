"""What the command needs of the machine: its three streams, and shared libraries that no wheel brings."""

from __future__ import annotations

import os
import re
import sys
from contextlib import suppress
from typing import Final, NoReturn

__all__ = ["end", "hold_streams", "library_words"]

#: Shared libraries that the kernel and its renderer load from the system, and the package of Debian and Ubuntu that has each.
#: Source: the lists of files of these packages in Debian 12 (`dpkg -S`).
_PACKAGES: Final = {
    "libGL.so": "libgl1",
    "libGLX.so": "libglx0",
    "libGLdispatch.so": "libglvnd0",
    "libEGL.so": "libegl1",
    "libX11.so": "libx11-6",
    "libXau.so": "libxau6",
    "libXdmcp.so": "libxdmcp6",
    "libxcb.so": "libxcb1",
    "libXrender.so": "libxrender1",
    "libSM.so": "libsm6",
    "libICE.so": "libice6",
    "libexpat.so": "libexpat1",
    "libgomp.so": "libgomp1",
    "libstdc++.so": "libstdc++6",
    "libz.so": "zlib1g",
}


def hold_streams() -> bool:
    """Whether standard output is open. What is closed is put on the null device, so that no file takes its number: what the
    kernel prints would land in it."""
    closed = []
    for number in range(3):
        try:
            os.fstat(number)
        except OSError:
            closed.append(number)
            os.open(os.devnull, os.O_RDWR)  # takes the lowest number that is free: this one
    return 1 not in closed


def end(text: str, code: int) -> NoReturn:
    """Say it, as far as there is anyone to hear it, and end; what is left for a broken pipe goes nowhere."""
    with suppress(OSError, ValueError):
        print(text, file=sys.stderr, flush=True)
    try:
        sys.stdout.flush()
    except (OSError, ValueError, AttributeError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    sys.exit(code)


def library_words(error: ImportError) -> str:
    """What to do about a shared library that is missing or broken; empty where the error is about something else.

    >>> library_words(ImportError("libGL.so.1: cannot open shared object file: No such file or directory"))[:43]
    'the geometry kernel cannot load libGL.so.1:'
    """
    found = re.match(r"(\S*?)([^/\s]+\.so)([.\d]*): (.+)", str(error))
    if found is None:
        return ""
    name, why = found[2] + found[3], found[4]
    package = _PACKAGES.get(found[2])
    do = (
        f"install {package}, as Debian and Ubuntu call it"
        if package
        else "install it again, or the package that has it"
    )
    return f"the geometry kernel cannot load {name}: {why}; {do}. What needs no solids (hold, cut, show) works without"
