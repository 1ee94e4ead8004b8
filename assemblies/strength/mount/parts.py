"""The plates of a mount as sheets: what holds each, what each carries, and how they bend for a pull of 1 m/s2 each way."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np

from assemblies.design.mass import Body, combine, piece_body
from assemblies.design.model import Placed
from assemblies.strength.bonds.allowed import factor_of
from assemblies.strength.mount.beams import gusset_section, standoff_tower
from assemblies.strength.mount.bracket_mesh import Shape
from assemblies.strength.mount.bricks import Block, BracketPlate, bricks
from assemblies.strength.mount.given import Bolted, Mount
from assemblies.strength.mount.joints import Bond
from assemblies.strength.sheets.given import Attached, Held, Recess, Rib, SheetLoad, Spot
from assemblies.strength.sheets.sheet import SheetResult, sheet
from parts.findings import NotCovered
from parts.shape.outline import Circle, Loop, Outline
from parts.shape.piece import Piece
from parts.stock.thread import thread
from parts.vectors import Vector, dot

__all__ = ["Part", "bonds_of", "depth_of", "parts_of", "standing_on", "sways_of"]

_UNITS = tuple(SheetLoad(pull=tuple(1000.0 * (k == i) for k in range(3))) for i in range(3))  # type: ignore[arg-type]
_HEAD = 1.5
_WASHER = 2.0  # as in `bonds.heads`
_RIB_PLACES = 9
_SETTLED = 0.1  # as `plates.limits.COARSE`; what is in doubt is added to every figure (`Reading.safe`)
_Line = tuple[tuple[float, float], ...]
_Given = tuple[Any, ...]  # of `_bent`


@dataclass(frozen=True, kw_only=True, eq=False)
class Part:
    """A plate that bends: its answers for pulls along its own x, y and z, what it carries, about which point of its plane."""

    plate: Placed
    result: SheetResult | BracketPlate
    carried: Body
    middle: tuple[float, float]

    def weights(self, pull: Vector) -> tuple[float, float, float]:
        """A pull in the world as shares of the unit pulls."""
        return dot(pull, self.plate.x), dot(pull, self.plate.y), dot(pull, self.plate.z)

    def in_plane(self, pull: Vector) -> float:
        """Stress at a hole by what goes through the plate in its plane, MPa: net section and bending in the plane, times the
        factor of a hole."""
        piece = self.plate.piece
        width, height, t = piece.size_mm
        fu, fv, _ = (self.carried.mass_kg * one for one in self.weights(pull))
        cu, cv, _ = self.plate.local(self.carried.centre_mm)
        turn = abs((cu - self.middle[0]) * fv - (cv - self.middle[1]) * fu)
        openings = [(h.x_mm, h.y_mm, h.bore_mm) for h in piece.holes]
        openings += [_about(loop) for loop in (*piece.outline.inner, *(pocket.outline for pocket in piece.pockets))]
        across, along = _net(width, openings, 0), _net(height, openings, 1)
        least = min(across, along)
        if least <= 0.0:
            return math.inf
        plain = abs(fu) / (along * t) + abs(fv) / (across * t) + 6.0 * turn / (t * least**2)
        return factor_of("hole_stress") * plain

    def prop_moves(self, prop: Body, pull: Vector) -> tuple[float, float, float]:
        """How far the bending of this plate moves the prop's centre, in the plate's axes, mm."""
        if isinstance(self.result, BracketPlate):
            return self.result.prop_moves(self.weights(pull))
        w, rx, ry = self.result.moved(self.weights(pull))
        pu, pv, pw = self.plate.local(prop.centre_mm)
        cu, cv, _ = self.plate.local(self.carried.centre_mm)
        high = pw - self.plate.piece.thickness_mm / 2.0
        return ry * high, -rx * high, w + rx * (pv - cv) - ry * (pu - cu)


def _about(loop: Loop | Circle) -> tuple[float, float, float]:
    """The round hole that takes an opening."""
    x0, y0, x1, y1 = loop.bounds_mm
    return (x0 + x1) / 2.0, (y0 + y1) / 2.0, max(x1 - x0, y1 - y0)


def _net(size: float, holes: Iterable[tuple[float, float, float]], k: int) -> float:
    """What the row of holes across this way that takes most leaves of a width."""
    listed = list(holes)
    rows = [sum(d for *at, d in listed if abs(at[1 - k] - one[1 - k]) < one[2]) for one in listed]
    return size - max(rows, default=0.0)


def standing_on(mount: Mount, *names: str) -> Body:
    """The prop and these pieces as one body; of a spacer its standoffs with the plate on top of them."""
    bodies = [mount.prop, *(piece_body(p) for n, p in mount.placed.items() if n in names)]
    if mount.standoffs and "top" in names:
        one, base = mount.standoffs, mount.placed["base"]
        mass = one.density_kg_m3 * 1e-9 * math.pi * one.diameter_mm**2 / 4.0 * one.length_mm
        middle = base.piece.thickness_mm + one.length_mm / 2.0
        nil = (0.0, 0.0, 0.0)
        bodies += [
            Body(mass_kg=mass, centre_mm=base.world(x, y, middle), inertia_kg_mm2=(nil, nil, nil))
            for x, y in one.places
        ]
    return combine(bodies)


def parts_of(mount: Mount) -> tuple[Part, ...]:
    """The plates of a mount that bend; a bracket's as one solid where its holes leave room for bricks about them."""
    if mount.style == "bracket" and (whole := _in_bricks(mount)):
        return whole
    return tuple(_bent(*given) for given in _STYLES[mount.style](mount))


def _in_bricks(mount: Mount) -> tuple[Part, ...]:
    """Base and upright of a bracket of bricks; nothing with one bolt, more cut out than round holes, or no room."""
    assert mount.gussets
    base, upright = mount.placed["base"], mount.placed["upright"]
    (length, depth, t), (_, high, _) = base.piece.size_mm, upright.piece.size_mm
    sides = (mount.rig, mount.held)
    if min(len(s.places) for s in sides) < 2:
        return ()
    if any(s.slot_mm or s.plate.piece.pockets or len(s.plate.piece.profile.inner) != len(s.places) for s in sides):
        return ()
    u, v, w = upright.local(mount.prop.centre_mm)
    prop = replace(mount.prop, centre_mm=(u, t - w, t + v))
    shape = Shape(
        length=length,
        depth=depth,
        height=high,
        thick=t,
        gussets=mount.gussets.places,
        reach=mount.gussets.reach_mm,
        rise=mount.gussets.rise_mm,
        land=_land(mount),
        bolts=_walls(mount.rig),
        held=_walls(mount.held),
    )
    block = Block(
        modulus_mpa=mount.material.modulus_mpa,
        poisson=mount.material.poisson,
        density_kg_m3=base.piece.stock.density_kg_m3,
    )
    try:
        found = bricks(shape, block, prop)
    except NotCovered:
        return ()
    names = [n for n in mount.placed if n != "base"]
    carried = {"base": standing_on(mount, *names), "upright": mount.prop}
    middle = {"base": mount.rig.middle, "upright": (length / 2.0, 0.0)}
    return tuple(
        Part(
            plate=plate,
            result=BracketPlate(solved=found, part=name, axes=(plate.x, plate.y, plate.z), whole=name == "base"),
            carried=carried[name],
            middle=middle[name],
        )
        for name, plate in (("base", base), ("upright", upright))
    )


def _bent(
    mount: Mount,
    plate: Placed,
    held: list[Held],
    at: tuple[Spot | _Line, ...],
    carried: Body,
    middle: tuple[float, float],
    ribs: tuple[Rib, ...] = (),
    twist: float | None = None,
) -> Part:
    u, v, w = plate.local(carried.centre_mm)
    spread = np.array(carried.inertia_kg_mm2)
    own = tuple(float(np.array(axis) @ spread @ np.array(axis)) for axis in (plate.x, plate.y))
    body = Attached(
        name="what it carries",
        at=at,
        mass_kg=carried.mass_kg,
        centre_mm=(u, v, w - plate.piece.thickness_mm / 2.0),
        inertia_kg_mm2=(own[0], own[1]),
        twist=twist,
    )
    result = sheet(
        _cut(plate.piece),
        plate.piece.thickness_mm,
        mount.material.modulus_mpa,
        mount.material.poisson,
        held=held,
        loads=_UNITS,
        bodies=[body],
        ribs=ribs,
        recesses=[
            Recess(outline=p.outline, left_mm=plate.piece.thickness_mm - p.depth_mm) for p in plate.piece.pockets
        ],
        density_kg_m3=plate.piece.stock.density_kg_m3,
        vibrates=True,
        joint_mm=plate.piece.thickness_mm / 2.0,
        settled=_SETTLED,
    )
    return Part(plate=plate, result=result, carried=carried, middle=middle)


def _cut(piece: Piece) -> Outline:
    """Its outline with every bore: one before a pocket goes through what the pocket leaves."""
    bores = tuple(Circle(h.x_mm, h.y_mm, h.bore_mm / 2.0) for h in piece.holes if piece.pockets and h.kind == "blind")
    return replace(piece.profile, inner=(*piece.profile.inner, *bores))


def _beside(side: Bolted) -> tuple[Spot, ...]:
    """What a washer of two diameters presses on beside a slot: a spot on either side, in the middle of what it covers there."""
    slot = side.hole_mm / 2.0
    reach = max(_WASHER * thread(side.thread).major_mm / 2.0, _HEAD * slot)
    off, radius = (slot + reach) / 2.0, 0.4 * (reach - slot)
    return tuple(Spot(x_mm=x, y_mm=y + way * off, radius_mm=radius) for x, y in side.places for way in (-1.0, 1.0))


def _spots(side: Bolted) -> tuple[Spot, ...]:
    """The bolts of a side: at their holes' edges; a row of them, or one, clamps the plate under its heads instead."""
    if side.slot_mm:
        return _beside(side)
    places = np.array(side.places)
    row = np.linalg.matrix_rank(places - places.mean(axis=0), tol=0.1) < 2
    if row:
        return tuple(Spot(x_mm=x, y_mm=y, radius_mm=_HEAD * side.hole_mm / 2.0, stiff=True) for x, y in side.places)
    return tuple(
        Spot(x_mm=x, y_mm=y, radius_mm=bore / 2.0) for (x, y), bore in zip(side.places, _bores(side), strict=True)
    )


def _walls(side: Bolted) -> tuple[Spot, ...]:
    """Its holes' walls; those of a row, or of one bolt, do not turn."""
    return tuple(replace(spot, radius_mm=bore / 2.0) for spot, bore in zip(_spots(side), _bores(side), strict=True))


def _bores(side: Bolted) -> list[float]:
    bores = {(round(h.x_mm, 6), round(h.y_mm, 6)): h.bore_mm for h in side.plate.piece.holes}
    return [bores[round(x, 6), round(y, 6)] for x, y in side.places]


def _rig(side: Bolted) -> list[Held]:
    return [Held(at=spot) for spot in _spots(side)]


def _plate(mount: Mount) -> Iterator[_Given]:
    yield (mount, mount.rig.plate, _rig(mount.rig), _spots(mount.held), mount.prop, mount.rig.middle)


def _spacer(mount: Mount) -> Iterator[_Given]:
    assert mount.standoffs
    posts = tuple(
        Spot(x_mm=x, y_mm=y, radius_mm=mount.standoffs.diameter_mm / 2.0, stiff=True) for x, y in mount.standoffs.places
    )
    yield (mount, mount.rig.plate, _rig(mount.rig), posts, standing_on(mount, "top"), mount.rig.middle)
    top = mount.placed["top"]
    middle = top.piece.size_mm[0] / 2.0, top.piece.size_mm[1] / 2.0
    yield (mount, top, [Held(at=spot) for spot in posts], _spots(mount.held), mount.prop, middle)


def depth_of(mount: Mount, height: float) -> float:
    """How far back the gussets reach at a height over the base."""
    assert mount.gussets
    reach, rise, land = mount.gussets.reach_mm, mount.gussets.rise_mm, _land(mount)
    return float(np.interp(height, [0.0, land, rise], [reach, reach, land]))


def _rise_of(mount: Mount, back: float) -> float:
    """How high the gussets are so far back from the upright."""
    assert mount.gussets
    reach, rise, land = mount.gussets.reach_mm, mount.gussets.rise_mm, _land(mount)
    return float(np.interp(back, [0.0, land, reach], [rise, rise, land]))


def _gusset(mount: Mount) -> Placed:
    return next(p for n, p in mount.placed.items() if n.startswith("gusset"))


def _land(mount: Mount) -> float:
    """The blunt end of a gusset, read from its outline: its least side."""
    outer = _gusset(mount).piece.outline.outer
    return min(segment.length_mm for segment in outer.segments())  # type: ignore[union-attr]


def _bracket(mount: Mount) -> Iterator[_Given]:
    """Base and upright, each stiffened by the gussets as by ribs; where they meet they turn as one, and twist as the upright
    lets them. Held to solids: `tests/assemblies/strength/mount/test_solid_bracket.py`."""
    assert mount.gussets
    upright, base, gussets = mount.placed["upright"], mount.placed["base"], mount.gussets
    (length, high, t), nu = upright.piece.size_mm, mount.material.poisson
    root = ((0.0, t / 2.0), (length, t / 2.0))
    twist = mount.material.modulus_mpa * t**3 / (6.0 * (1.0 + nu)) * length * high  # 2 D (1 - nu) A of a twisted plate
    heights = [gussets.rise_mm * (k + 0.5) / _RIB_PLACES for k in range(_RIB_PLACES)]
    turned = _torsion(mount, [depth_of(mount, up) for up in heights])
    twist += (
        len(gussets.places) * sum(turned) * gussets.rise_mm / _RIB_PLACES
    )  # and of the gussets on it, twisted with it
    names = [n for n in mount.placed if n != "base"]
    steps = [gussets.reach_mm * k / (_RIB_PLACES - 1) for k in range(_RIB_PLACES)]
    added = _added(mount, base, [_rise_of(mount, back) for back in steps])
    turned = _torsion(mount, [_rise_of(mount, back) for back in steps])
    sheared = _sheared(mount, steps)
    ribs = tuple(
        Rib(start=(x, t / 2.0), end=(x, t + gussets.reach_mm), stiffness=added, torsion=turned, shear=sheared)
        for x in gussets.places
    )
    yield (mount, base, _rig(mount.rig), (root,), standing_on(mount, *names), mount.rig.middle, ribs, twist)
    steps = [gussets.rise_mm * k / (_RIB_PLACES - 1) for k in range(_RIB_PLACES)]
    added = _added(mount, upright, [depth_of(mount, up) for up in steps])
    ribs = tuple(Rib(start=(x, 0.0), end=(x, gussets.rise_mm), stiffness=added, built_in=True) for x in gussets.places)
    foot = [Held(at=((0.0, 0.0), (length, 0.0)), clamped=True)]
    yield (mount, upright, foot, _spots(mount.held), mount.prop, (length / 2.0, 0.0), ribs)


def _added(mount: Mount, plate: Placed, depths: Iterable[float]) -> tuple[float, ...]:
    """What each gusset adds to a plate's bending stiffness where it stands out so far: both as one section, less the plate."""
    assert mount.gussets
    wide, _, t = plate.piece.size_mm
    thick, count, modulus = _gusset(mount).piece.thickness_mm, len(mount.gussets.places), mount.material.modulus_mpa
    return tuple(
        modulus / count * (gusset_section(wide, t, count, thick, deep, 0.0).second - wide * t**3 / 12.0)
        for deep in depths
    )


def _sheared(mount: Mount, steps: Iterable[float]) -> tuple[float, ...]:
    """Of a gusset by itself, so far back from the upright: 5/6 G A, as of any rectangle (any text on beams). Once, in the base
    alone: what shears it there is what shears it as the upright's rib. It works no deeper than what comes from its toe spreads
    to at 45 degrees (judgement)."""
    assert mount.gussets
    thick, shear = (
        _gusset(mount).piece.thickness_mm,
        mount.material.modulus_mpa / (2.0 * (1.0 + mount.material.poisson)),
    )
    far = mount.gussets.reach_mm + _land(mount)
    return tuple(5.0 / 6.0 * shear * thick * min(_rise_of(mount, back), far - back) for back in steps)


def _torsion(mount: Mount, heights: Iterable[float]) -> tuple[float, ...]:
    """Of a gusset by itself, where it stands so high: G h t3 / 3 (1 - 0.63 t / h), as of a flat bar (Roark's Formulas for
    Stress and Strain, table 10.7; from memory)."""
    thick, material = _gusset(mount).piece.thickness_mm, mount.material
    shear = material.modulus_mpa / (2.0 * (1.0 + material.poisson))
    return tuple(shear * h * thick**3 / 3.0 * max(1.0 - 0.63 * thick / h, 0.0) for h in heights)


def _riser(mount: Mount) -> Iterator[_Given]:
    base, top = mount.placed["base"], mount.placed["top"]
    length, width, _ = base.piece.size_mm
    t = mount.placed["back"].piece.thickness_mm
    walls: tuple[_Line, ...] = (
        ((t / 2.0, 0.0), (t / 2.0, width)),
        ((length - t / 2.0, 0.0), (length - t / 2.0, width)),
        ((t / 2.0, width - t / 2.0), (length - t / 2.0, width - t / 2.0)),
    )
    names = [n for n in mount.placed if n != "base"]
    yield (mount, base, _rig(mount.rig), walls, standing_on(mount, *names), mount.rig.middle)
    yield (mount, top, [Held(at=wall) for wall in walls], _spots(mount.held), mount.prop, (length / 2.0, width / 2.0))


_STYLES: Final = {"plate": _plate, "spacer": _spacer, "bracket": _bracket, "riser": _riser}


def bonds_of(mount: Mount) -> Iterator[tuple[Bond, Body]]:
    """The level bonds of a mount, each with what stands on it."""
    base = mount.placed.get("base")
    if base is None:
        return
    (x0, y0, _), (x1, y1, z1) = base.box
    names = [n for n in mount.placed if n != "base"]
    if mount.style == "bracket":
        assert mount.gussets
        t = mount.placed["upright"].piece.thickness_mm
        thick = _gusset(mount).piece.thickness_mm
        reach = mount.gussets.reach_mm
        feet = [((x0 + x1) / 2.0, y0 + t / 2.0, x1 - x0, t)]
        feet += [(x0 + g, y0 + t + reach / 2.0, thick, reach) for g in mount.gussets.places]
        yield Bond(name="upright and gussets on base", rectangles=tuple(feet), height_mm=z1), standing_on(mount, *names)
    elif mount.style == "riser":
        t = mount.placed["back"].piece.thickness_mm
        middle = (y0 + y1) / 2.0
        feet = [(x0 + t / 2.0, middle, t, y1 - y0), (x1 - t / 2.0, middle, t, y1 - y0)]
        feet.append(((x0 + x1) / 2.0, y1 - t / 2.0, x1 - x0 - 2.0 * t, t))
        high = mount.placed["top"].box[0][2]
        yield Bond(name="walls on base", rectangles=tuple(feet), height_mm=z1), standing_on(mount, *names)
        yield Bond(name="top on walls", rectangles=tuple(feet), height_mm=high), standing_on(mount, "top")


def sways_of(mount: Mount) -> Iterator[float]:
    """First frequencies of what sways besides its plates' bending, Hz: standoffs pinned at one end, walls in their plane."""
    carried = standing_on(mount, "top") if "top" in mount.placed else None
    if mount.standoffs and carried:
        one = mount.standoffs
        tower = standoff_tower(
            len(one.places), one.length_mm, one.diameter_mm, one.modulus_mpa, carried.mass_kg * 1e-3, 1e-15
        )
        yield tower.frequency / 2.0  # a quarter of the stiffness of both ends built in
    elif mount.style == "riser" and carried:
        modulus, nu = mount.material.modulus_mpa, mount.material.poisson
        for names in (("back",), ("cheek-left", "cheek-right")):
            yields = []
            for name in names:
                wide, high, t = mount.placed[name].piece.size_mm
                bend = high**3 / (3.0 * modulus * t * wide**3 / 12.0)
                yields.append(1.0 / (bend + 1.2 * high * 2.0 * (1.0 + nu) / (modulus * t * wide)))
            yield math.sqrt(sum(yields) / (carried.mass_kg * 1e-3)) / (2.0 * math.pi)
