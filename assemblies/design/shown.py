"""What is no piece of a design and yet to be seen: locking pins and lanyard of a quick-release plate, a shoe of metal.

All of it as simple bodies in their places, so that a drawing, an exploded view and a picture show where each goes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Final

from assemblies.design.model import Design, Placed
from assemblies.design.release import Release
from parts.make.disc import disc
from parts.shape.piece import Piece
from parts.stock.sheet import Sheet
from parts.stock.thread import thread
from parts.vectors import Vector

__all__ = ["HEAD", "MADE_ELSEWHERE", "as_shown", "beside", "is_bought", "offsets_of", "shoe_parts"]

MADE_ELSEWHERE: Final = ("aluminium", "steel")  # kinds of piece: what a shoe of metal is of
HEAD: Final = 1.5  # height of a pin's head, and over 2 its radius, in diameters of the pin (judgement: to be seen)
_BOUGHT: Final = {"pin": "steel, bought", "shackle": "bought with the lanyard", "screw": "steel, with the shoe"}
_NAMES: Final = {"pin": "locking-pin", "shackle": "lanyard-shackle", "screw": "jaw-screw"}


def is_bought(piece: Piece) -> str:
    """What a body that is only shown is of, and where it comes from; empty for a piece that is made here."""
    return f"{piece.kind}, made elsewhere" if piece.kind in MADE_ELSEWHERE else _BOUGHT.get(piece.kind, "")


def shoe_parts(release: Release) -> tuple[Placed, ...]:
    """The parts of a shoe of metal in their places."""
    return tuple(
        Placed(name=one.name, piece=one.piece, origin=one.at, x=one.x, z=release.out) for one in release.shoe.made
    )


def as_shown(design: Design) -> Design:
    """The design with what is only shown among its pieces, to be drawn."""
    more = tuple(one for release in design.releases for one in beside(release))
    return replace(design, placed=(*design.placed, *more)) if more else design


def offsets_of(design: Design, offsets: Mapping[str, Vector]) -> dict[str, Vector]:
    """How far everything that is shown is moved when all is taken apart: the pins out of the strip, a shoe of metal off it."""
    out = dict(offsets)
    for release in design.releases:
        strip = offsets.get(release.strip, (0.0, 0.0, 0.0))
        for one, (along, across, off) in _ways(release):
            x, y, z = (
                s + along * a + across * b + off * c
                for s, a, b, c in zip(strip, release.pull, release.across, release.out, strict=True)
            )
            out[one.name] = (x, y, z)
    return out


def _ways(release: Release) -> Iterator[tuple[Placed, tuple[float, float, float]]]:
    """Each body with its way apart: along the slot, across it, away from the plate."""
    far = 2.0 * release.grip + 20.0
    way = {
        "fixed": (0.0, -far, far),
        "clamped": (0.0, far, far),
        "rail": (0.0, 1.8 * far, far),
        "stop": (-far, 0.0, far),
    }
    for one in beside(release):
        if one.piece.kind in MADE_ELSEWHERE:
            yield one, way.get(one.name.rsplit("-", 1)[-1], (0.0, 0.0, 2.0 * far))
        elif one.piece.kind == "screw":
            _, across, off = way[one.name.rsplit("-", 2)[-2]]
            yield one, (0.0, across, off - 1.5 * one.piece.thickness_mm)
        else:
            yield one, (0.0, 0.0, -1.5 * release.grip)


def beside(release: Release) -> Iterator[Placed]:
    """Every body of a quick-release plate that is only shown."""
    number = release.strip.rsplit("-", 1)[-1]
    head = HEAD * release.pin
    for k, across in enumerate(release.beside, 1):
        seat = release.on_strip(release.reach, across)
        yield _rod(release, f"pin-{number}-{k}", "pin", seat, release.pin, -head, head + release.grip)
    eye = release.on_strip(release.lanyard_at, 0.0)
    wide = 0.75 * release.lanyard
    yield _rod(release, f"shackle-{number}", "shackle", eye, wide, -2.0 * wide, release.depth + 4.0 * wide)
    for one in shoe_parts(release):
        yield one
        which = one.name.rsplit("-", 1)[-1]
        if which in ("fixed", "clamped"):
            screw = thread(release.shoe.screw)
            for k, hole in enumerate(one.piece.holes, 1):
                at, deep = one.world(hole.x_mm, hole.y_mm, 0.0), 1.5 * screw.major_mm
                long = release.depth + deep
                name = f"{one.name.removesuffix(which)}screw-{which}-{k}"
                yield _rod(release, name, "screw", at, screw.major_mm, -screw.major_mm, long + screw.major_mm)


def _rod(release: Release, name: str, kind: str, at: Vector, wide: float, start: float, long: float) -> Placed:
    """A round rod along the way from the plate to the rig."""
    piece = disc(_NAMES[kind], wide, Sheet(material="cast-pmma", nominal_mm=long), kind=kind, role="inner")
    side, half = release.across, wide / 2.0
    x, y, z = (
        c - half * a - half * b + start * o for c, a, b, o in zip(at, release.pull, side, release.out, strict=True)
    )
    return Placed(name=name, piece=piece, origin=(x, y, z), x=release.pull, z=release.out)
