"""The bolts of a tank's plates: where each ends, what lies under its head, and what is to be said of the way that it goes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Final

from assemblies.design.model import Ends, Fastener, Placed
from assemblies.design.onto import Onto
from assemblies.kinds.mount import Mount
from assemblies.kinds.tank.box import place
from assemblies.kinds.tank.shell import Shell
from assemblies.order import PlateSpec
from assemblies.order.errors import Key
from parts.findings import Finding, SeamwrightError
from parts.make.panel import panel
from parts.shape.piece import Hole, Piece
from parts.shape.spots import Spot, spots_of
from parts.shape.tapped import longest_bolt_mm
from parts.stock.rules import rule, rule_source
from parts.stock.thread import clearance, thread
from parts.vectors import dot

__all__ = ["backing", "bolt_findings", "plate_bolts", "plate_name"]

_SLACK_MM: Final = 1e-6
_HEAD: Final = 1.0  # radius of a head's washer, in diameters of its screw: ISO 7089 has twice the screw, from memory


def plate_name(number: int) -> str:
    """The instance of the plate of this number, counted over all of an order from 1."""
    return f"plate-{number}"


def plate_bolts(shell: Shell, spec: PlateSpec, made: Mount, one: Placed, behind: Sequence[Placed]) -> Fastener:
    """The bolts of one plate, as they are bought."""
    (width, height, thick), spots = one.piece.size_mm, spots_of(one.piece)
    through: tuple[str, ...] = (one.name,)
    ends: Ends = "thread"
    longest: float | None = None
    if made.holes == "through":
        through = (*(b.name for b in behind), spec.on, one.name)
        ends = "counterpart" if made.pattern.counterpart == "tapped" else "nut"
        note = "from inside through the wall: a sealing washer under its head"
    elif made.holes == "clearance":
        ends, note = "counterpart", "screws into what the plate is bolted to: its depth is the maker's to say"
    elif made.let_in is None:
        assert spots[0].hole is not None
        longest, note = (
            longest_bolt_mm(spots[0].hole, thick),
            "any longer and it bottoms out on the wall and prises the plate off",
        )
    else:
        ends = "nut" if made.let_in == "nut" else "thread"
        longest = thick - rule("bolt_end_clearance")
        note = f"into the {made.let_in} in the plate's back; any longer and it bottoms out on the wall and prises the plate off"
    return Fastener(
        name=f"bolt {made.screw}",
        piece=one.name,
        through=through,
        thread=made.screw,
        count=len(spots),
        longest_mm=longest,
        note=note,
        ends=ends,
        sealed=made.holes == "through",
        insert_mm=spec.insert,
        onto=Onto(
            name="",
            side="far" if dot(shell.outward(spec.on), one.z) > 0.0 else "near",
            pattern=made.pattern,
            at=(width / 2.0, height / 2.0),
        ),
    )


def backing(shell: Shell, spec: PlateSpec, made: Mount, one: Placed, number: int, key: Key) -> tuple[Placed, ...]:
    """What is bonded to the wall's inside under the heads: nothing, a strip under each row of bolts, or a plate as large
    as the one outside; of the plate's own sheet.

    Raises:
        OrderError: there is no room for it.
    """
    if spec.behind == "washer":
        return ()
    wide = spec.hole or clearance(thread(made.screw)).diameter_mm
    width, height = one.piece.outline.size_mm
    half = wide / 2.0 + rule("plain_left_good") * wide
    spots = [(spot.x_mm, spot.y_mm) for spot in spots_of(one.piece)]
    spans = [(0.0, height)]
    if spec.behind == "strip":
        spans = [(y - half, y + half) for y in sorted({round(y, 6) for _, y in spots})]
        if any(b[0] < a[1] for a, b in pairwise(spans)):
            what = f"strips {2 * half:g} mm wide under rows that are nearer than that"
            raise shell.order.refuse((*key[:2], "behind"), what, 'behind = "plate"')
    out = []
    for k, (low, high) in enumerate(spans):
        mine = [(x, y - low) for x, y in spots if low < y < high]
        holes = tuple(Hole(x_mm=x, y_mm=y, kind="through", diameter_mm=wide) for x, y in mine)
        part = made.piece.name.replace("plate", "backing", 1)
        name = f"backing-{number}" + (f"-{k + 1}" if len(spans) > 1 else "")
        same = spec.behind == "plate" or len({round(x, 6) for x, _ in mine}) == len({round(x, 6) for x, _ in spots})
        try:
            piece = panel(
                part if same else f"{part}-{k + 1}",
                width,
                high - low,
                one.piece.sheet,
                holes=holes,
                cut_group="backing",
                kind="drilled-plate" if spec.behind == "plate" else "strip",
                role="stiffener",
            )
        except SeamwrightError as error:
            raise shell.order.refuse((*key[:2], "behind"), str(error), 'behind = "washer"') from error
        out.append(_inside(shell, spec.on, one, name, piece, (low, high), (*key[:2], "behind")))
    return tuple(out)


def _inside(
    shell: Shell, face: str, plate: Placed, name: str, piece: Piece, span: tuple[float, float], key: Key
) -> Placed:
    """A backing against the inside of a wall, behind its part of the plate."""
    out, (low, high) = shell.outward(face), shell.box.inside
    corners = [plate.world(x, y, 0.0) for x in (0.0, plate.piece.size_mm[0]) for y in span]
    start = [min(c[k] for c in corners) for k in range(3)]
    for k in range(3):
        if out[k]:
            start[k] = low[k] if out[k] < 0.0 else high[k] - piece.thickness_mm
    made = place(name, piece, face, start)
    inner, outer = made.box
    if any(inner[k] < low[k] - _SLACK_MM or outer[k] > high[k] + _SLACK_MM for k in range(3)):
        what = f"{name} would stand in the tank's walls"
        raise shell.order.refuse(key, what, 'a plate further from the walls, or behind = "washer"')
    return made


def bolt_findings(
    shell: Shell, spec: PlateSpec, made: Mount, one: Placed, behind: Sequence[Placed]
) -> Iterator[Finding]:
    """What is to be said of the bolts of one plate."""
    spots = spots_of(one.piece)
    if made.holes == "through":
        yield from _leaks(shell, spec, made, one, behind, len(spots))
        if behind:
            names = ", ".join(b.name for b in behind)
            yield _said(
                one,
                "note",
                f"{names} inside under the heads: what is stiffer by it is not counted, "
                "only what it spares the wall at each head",
                "",
                "judgement: limit of this method",
            )
        if any(not _has_room(shell, spec.on, one, spot, thread(made.screw).major_mm) for spot in spots):
            yield _said(
                one,
                "stop",
                f"the washers of its {made.screw} bolts run into a wall inside",
                "move the plate, or take a pattern that is further from the walls",
                "ISO 7089, outside diameter (from memory)",
            )
    elif made.holes == "clearance":
        yield from _heads(shell, spec, made, one, spots)
    if made.holes == "clearance" and spec.slot is not None:
        yield _said(
            one,
            "care",
            f"slots let its {made.screw} bolts slide {spec.slot:g} mm: along them friction alone holds it",
            "tighten to the torque, mark where it stands, and look at it before each use; a dowel once it is set",
            "judgement",
        )
    if made.let_in is not None:
        yield _said(
            one,
            "note",
            f"{made.let_in}s are let into its back: they go in before it is bonded on, and stay there",
            f"mill the pockets with a cutter no wider than {_pocket_mm(one.piece):g} mm; no solvent runs into them",
            rule_source("floor_left_min"),
        )


def _pocket_mm(piece: Piece) -> float:
    x0, y0, x1, y1 = piece.pockets[0].outline.bounds_mm
    return round(min(x1 - x0, y1 - y0), 3)


def _said(one: Placed, level: str, why: str, do: str, source: str) -> Finding:
    return Finding(
        level="stop" if level == "stop" else "care" if level == "care" else "note",
        check="plates",
        where=one.name,
        why=why,
        do=do,
        source=source,
    )


def _leaks(
    shell: Shell, spec: PlateSpec, made: Mount, one: Placed, behind: Sequence[Placed], count: int
) -> Iterator[Finding]:
    """Every bolt through a wall that stands in liquid is a way out for it."""
    seal = "a sealing washer (steel, with a soft rubber face) under each head"
    under = f", on {'the backing that is bonded on' if behind else 'the bare wall'} inside"
    yield _said(
        one,
        "care",
        f"a leak path: {count} holes for {made.screw} go through the {spec.on}, from the liquid along each bolt to what the "
        f"plate is bolted to{' and between backing and wall' if behind else ''}",
        f"{seal}{under}; torque once, again after a day, then the proof test with dry paper under every hole",
        "common practice, no source",
    )


def _has_room(shell: Shell, face: str, one: Placed, spot: Spot, screw_mm: float) -> bool:
    """Whether the washer of a bolt from inside lies clear of the other walls."""
    (low, high), out = shell.box.inside, shell.outward(face)
    at, radius = one.world(spot.x_mm, spot.y_mm, 0.0), _HEAD * screw_mm
    return all(out[k] != 0 or low[k] + radius <= at[k] <= high[k] - radius for k in range(3))


def _heads(shell: Shell, spec: PlateSpec, made: Mount, one: Placed, spots: Sequence[Spot]) -> Iterator[Finding]:
    """Where the heads of bolts that end in the counterpart come: behind the plate, over the face's edge, or in the open."""
    low, high = shell.corners
    across = [k for k in range(3) if shell.outward(spec.on)[k] == 0]
    radius = _HEAD * thread(made.screw).major_mm
    covered = edge = 0
    for spot in spots:
        ends = [one.world(x, y, 0.0) for x, y in spot.ends]
        apart = [max(max(low[k] - e[k], e[k] - high[k]) for k in across) for e in ends]
        covered += max(apart) <= -spot.width_mm / 2.0
        edge += max(apart) > -spot.width_mm / 2.0 and min(apart) < radius
    if edge:
        yield _said(
            one,
            "stop",
            f"{edge} of its {len(spots)} holes lie at the edge of the {spec.on} face: no room for a head",
            f"move it so that they are on the face, or {radius:g} mm past its edge at the least",
            "judgement",
        )
    if covered:
        decided = made.pattern.counterpart == "tapped"
        yield _said(
            one,
            "care",
            (
                f"what {made.pattern.name} bolts to is tapped, so that the plate has clearance holes of "
                if decided
                else "it has clearance holes of "
            )
            + f"{spots[0].width_mm:g} mm for {made.screw}: the heads of the screws come "
            f"between plate and {spec.on}",
            'write holes = "through", so that they go in from inside, sealed under their heads; or sink them into the '
            "plate's back and screw it on before it is bonded: then it stays on",
            "judgement",
        )
