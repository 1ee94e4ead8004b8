"""The space in a tank that liquid can fill, and where it leaves."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from assemblies.kinds.tank.box import FRAMES, Box, face_point
from assemblies.kinds.tank.pouring.lips import Low, lips_of
from assemblies.kinds.tank.pouring.ramp import Ramp
from assemblies.kinds.tank.pouring.weir import Weir
from assemblies.kinds.tank.rim import Rim
from assemblies.kinds.tank.shell import Shell
from assemblies.order import Order, PortSpec
from parts.stock.rules import rule
from parts.stock.thread import thread
from parts.vectors import Vector

if TYPE_CHECKING:
    from assemblies.liquid.shapes.cavity import Cavity
    from assemblies.liquid.shapes.openings import Lip

__all__ = ["check_fill", "room"]


def room(lid: str, rim: Rim, shell: Shell, low: Sequence[Low], weirs: Sequence[Weir], ramps: Sequence[Ramp]) -> Cavity:
    """The space inside, up to the top of what lies on the rim of the walls; ports are open holes in it, drains are shut.

    Args:
        lid: what lies on the rim.
        rim: where a lid would sit.
        shell: the box.
        ramps: its sloped floor.
        low, weirs: where it leaves besides. What lies behind a weir is no room of it, nor are its ways out.
    """
    from assemblies.liquid.shapes.cavity import (
        box as liquid_box,  # brings numpy, which a refused order need not wait for
    )
    from assemblies.liquid.shapes.cells import Block
    from assemblies.liquid.shapes.openings import Circle3, Port

    order, box = shell.order, shell.box
    start, end = box.inside
    above = Block(name="rim", low=rim.opening[0], high=rim.opening[1]) if rim.strips else None
    half = (box.outside_mm[0] / 2.0, box.outside_mm[1] / 2.0)
    outside: tuple[Vector, Vector] = ((-half[0], -half[1], 0.0), (half[0], half[1], box.outside_mm[2]))
    ports = []
    for index, port in enumerate(order.port):
        if (port.on == "lid" and lid == "none") or any(one.takes(shell, port) for one in weirs):
            continue
        at = face_point(*outside, port.on, *port.at)
        x, y, z = (min(max(c, start[k]), end[k]) for k, c in enumerate(at))
        if port.on == "lid":
            z = rim.top_mm
        wide = thread(port.thread).major_mm if port.thread else port.diameter
        assert wide is not None
        hole = Circle3(centre=(x, y, z), normal=FRAMES[port.on][1], radius_mm=wide / 2.0)
        ports.append(
            Port(
                name=f"{port.kind}-{index + 1}",
                circle=hole,
                open=port.kind != "drain",
                kind=port.kind,
                free_mm2=_free_mm2(port, wide),
            )
        )
    closed = lid if lid in ("none", "loose") else "sealed"
    length, width, depth = (b - a for a, b in zip(start, end, strict=True))
    made = liquid_box(length, width, depth, low=start, lid=closed, ports=ports, above=above)
    before = [one for one in low if not any(weir.has(one.ends(shell)) for weir in weirs)]
    more = (*lips_of(shell, before), *(one.lip for one in weirs))
    made = replace(made, slopes=tuple(one.slope for one in ramps)) if ramps else made
    if not more:
        return made
    rims = tuple(_before(lip, weirs) for lip in made.lips if lip.name not in {one.spec.on for one in weirs})
    return replace(made, lips=(*rims, *more), solids=tuple(dry for one in weirs for dry in one.dry))


def _before(lip: Lip, weirs: Sequence[Weir]) -> Lip:
    """The rim of a wall as far as the weirs that end at it."""
    corners = list(lip.corners)
    for one in weirs:
        axis, wet = (0 if one.spec.on in ("left", "right") else 1), one.ends[0]
        keep = min if one.spec.on in ("right", "back") else max
        for k, corner in enumerate(corners):
            moved = list(corner)
            moved[axis] = keep(corner[axis], wet[axis])
            corners[k] = (moved[0], moved[1], moved[2])
    return replace(lip, corners=tuple(corners))


def check_fill(order: Order, box: Box) -> None:
    """Refuse more liquid than goes in up to the rim of the walls; ports may make it less, which `hold` sees."""
    if order.liquid is None:
        return
    length, width, depth = (high - low for low, high in zip(*box.inside, strict=True))
    fill, most = order.liquid.fill, length * width * depth / 1e6
    if fill.depth_mm is not None and fill.depth_mm > depth + 1e-9:
        raise order.refuse(("liquid", "fill"), f"{fill.depth_mm:g} mm is deeper than the inside", f"0 to {depth:g} mm")
    if fill.volume_l is not None and fill.volume_l > most * (1.0 + 1e-9):
        raise order.refuse(
            ("liquid", "fill"), f"{fill.volume_l:g} L is over what it holds to its rim", f"0 to {most:.3f} L"
        )


def _free_mm2(port: PortSpec, wide_mm: float) -> float:
    """What of a port air can pass: of a thread what the fitting in it leaves; nothing of one that is filled by a hose."""
    if port.kind == "drain" or (port.kind == "fill" and port.thread):
        return 0.0
    return math.pi / 4.0 * (wide_mm * (rule("fitting_bore") if port.thread else 1.0)) ** 2
