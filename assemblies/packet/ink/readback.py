"""Every file is read back after writing and held against the model; a wrong one is never left behind."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

from assemblies.design.model import Design, Placed
from parts.findings import SeamwrightError
from parts.shape.piece import Piece
from parts.vectors import Vector

__all__ = ["WrongFile", "check_name", "expect", "part_names", "shifted_origins", "write_checked"]


class WrongFile(SeamwrightError):
    """A file does not say what the model says; it has been removed if we wrote it."""


def write_checked(path: Path, data: bytes, check: Callable[[Path], None]) -> None:
    """Write the bytes, read the file back through `check`, and remove it if the check raises."""
    path.write_bytes(data)
    try:
        check(path)
    except BaseException:
        path.unlink(missing_ok=True)
        raise


def expect(path: Path, right: bool, what: str) -> None:
    """Raise `WrongFile` naming the file and what is wrong unless `right`."""
    if not right:
        raise WrongFile(f"{path.name}: {what}")


def check_name(name: str) -> None:
    """Refuse a name that cannot stand unchanged in every file.

    Raises:
        SeamwrightError: it is empty or has more than ASCII letters, digits, `- _ . +` and inner spaces.
    """
    plain = name.isascii() and name.strip() == name and name != ""
    if not (plain and all(c.isalnum() or c in "-_.+ " for c in name)):
        raise SeamwrightError(f"{name!r} cannot be a name in a file: ASCII letters, digits, - _ . + only")


def part_names(design: Design) -> tuple[tuple[str, Piece], ...]:
    """Each part once with its name; the design's, the parts' and the instances' names all fit to stand in
    any file.

    Raises:
        SeamwrightError: two different parts have one name, or a name is refused by `check_name`.
    """
    pieces = design.pieces
    names = [piece.name for piece in pieces]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise SeamwrightError(f"{design.name}: two different parts are called {', '.join(twice)}")
    for name in (design.name, *names, *(placed.name for placed in design.placed)):
        check_name(name)
    return tuple(zip(names, pieces, strict=True))


def shifted_origins(design: Design, offsets: Mapping[str, Vector] | None) -> tuple[tuple[Placed, Vector], ...]:
    """Each instance with the world place of its origin, moved by its offset (mm) where it has one.

    Raises:
        SeamwrightError: an offset for an instance that is not in the design.
    """
    offsets = offsets or {}
    unknown = sorted(set(offsets) - {placed.name for placed in design.placed})
    if unknown:
        raise SeamwrightError(f"{design.name}: no instance is called {', '.join(unknown)}")
    rows = []
    for placed in design.placed:
        dx, dy, dz = offsets.get(placed.name, (0.0, 0.0, 0.0))
        x, y, z = placed.origin
        rows.append((placed, (x + dx, y + dy, z + dz)))
    return tuple(rows)
