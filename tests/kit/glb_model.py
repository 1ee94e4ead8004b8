"""The sample tank as GLB, made once."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from samples import design

from assemblies.packet.models.glb import write_glb


@cache
def model() -> bytes:
    with TemporaryDirectory() as folder:
        write_glb(design(), Path(folder) / "a.glb")
        return (Path(folder) / "a.glb").read_bytes()
