"""A design: every piece in its place, and what belongs to it. Plain data that every check reads and none edits.

Axes: x is length (left -, right +), y is width (front -, back +), z is up; the origin is the centre of the outside of the
underside.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import product
from typing import TYPE_CHECKING, Literal

from parts.findings import Finding, SeamwrightError, Taken
from parts.shape.bent import bent, box_mm
from parts.shape.piece import Piece
from parts.vectors import Vector, cross

if TYPE_CHECKING:
    from assemblies.design.onto import Onto
    from assemblies.design.release import Release
    from assemblies.liquid.shapes.cavity import Cavity

__all__ = [
    "Axis",
    "BarMesh",
    "Bore",
    "Bought",
    "Design",
    "Ends",
    "Fastener",
    "FlatPart",
    "Joint",
    "Mesh",
    "Placed",
    "Posts",
    "Support",
    "flat_parts",
    "shoe_base",
]

Ends = Literal["thread", "nut", "counterpart"]


@dataclass(frozen=True, kw_only=True)
class Placed:
    """One instance of a piece.

    Attributes:
        name: unique in the design, ASCII.
        piece: what it is.
        origin: world place (mm) of the lower-left corner of the outline's box, on the near face (thickness 0).
        x, z: the piece's own x and its normal (near to far face) in the world, unit length, square to each other.
    """

    name: str
    piece: Piece
    origin: Vector
    x: Vector = (1.0, 0.0, 0.0)
    z: Vector = (0.0, 0.0, 1.0)

    @property
    def y(self) -> Vector:
        return cross(self.z, self.x)

    def world(self, u_mm: float, v_mm: float, w_mm: float) -> Vector:
        """The world place of a point given in the piece's own axes."""
        y = self.y
        return (
            self.origin[0] + u_mm * self.x[0] + v_mm * y[0] + w_mm * self.z[0],
            self.origin[1] + u_mm * self.x[1] + v_mm * y[1] + w_mm * self.z[1],
            self.origin[2] + u_mm * self.x[2] + v_mm * y[2] + w_mm * self.z[2],
        )

    def local(self, point: Vector) -> Vector:
        """A world point in the piece's own axes; the inverse of `world`."""
        step = (point[0] - self.origin[0], point[1] - self.origin[1], point[2] - self.origin[2])
        u, v, w = (sum(step[k] * axis[k] for k in range(3)) for axis in (self.x, self.y, self.z))
        return u, v, w

    @property
    def box(self) -> tuple[Vector, Vector]:
        """The world bounding box (of the box in the piece's own axes; exact for pieces square to the axes)."""
        corners = [self.world(*corner) for corner in product(*zip(*box_mm(self.piece), strict=True))]
        low = (min(c[0] for c in corners), min(c[1] for c in corners), min(c[2] for c in corners))
        high = (max(c[0] for c in corners), max(c[1] for c in corners), max(c[2] for c in corners))
        return low, high


@dataclass(frozen=True, kw_only=True)
class FlatPart:
    """A flat part of an instance, in its place under the instance's name: all of a flat piece, one flat of a bent one.

    Attributes:
        placed: the part, as if it were a piece.
        ends: lines of its own plane along which it goes on into a bend, as (a, b, c): a x + b y = c.
    """

    placed: Placed
    ends: tuple[tuple[float, float, float], ...] = ()

    def goes_on(self, start: tuple[float, float], end: tuple[float, float]) -> bool:
        """Whether a straight edge between two points of its plane is none: the piece goes on into a bend there."""
        return any(all(abs(a * x + b * y - c) < 1e-6 for x, y in (start, end)) for a, b, c in self.ends)


def shoe_base(release: Release) -> Placed:
    """The base of a shoe in its place, with the holes alone that it is bolted to the rig by."""
    shoe = release.shoe
    return Placed(name=shoe.name, piece=shoe.base, origin=shoe.at, x=release.pull, z=release.out)


def flat_parts(placed: Placed) -> tuple[FlatPart, ...]:
    """The flat parts of an instance.

    Raises:
        NotCovered: as `parts.shape.bent.bent`.
    """
    if "bends" not in placed.piece.features:
        return (FlatPart(placed=placed),)

    def turned(way: Vector) -> Vector:
        x, y, z = (sum(way[j] * axis[k] for j, axis in enumerate((placed.x, placed.y, placed.z))) for k in range(3))
        return x, y, z

    return tuple(
        FlatPart(
            placed=Placed(
                name=placed.name, piece=one.piece, origin=placed.world(*one.origin), x=turned(one.x), z=turned(one.z)
            ),
            ends=one.ends,
        )
        for one in bent(placed.piece).flats
    )


@dataclass(frozen=True, kw_only=True)
class Mesh:
    """Gears that run together, for the joint kind `gear mesh`.

    Attributes:
        axes: a point of each gear's axis in the world.
        teeth: of each.
        gap_mm: least and greatest distance of the flanks when the teeth stand in the middle of their play.
    """

    axes: tuple[Vector, Vector]
    teeth: tuple[int, int]
    gap_mm: tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class BarMesh:
    """A wheel that drives a straight gear along that one's own x, for the joint kind `gear mesh`.

    Attributes:
        axis: a point of the wheel's axis in the world.
        a_turn_mm, pitch_mm: how far the bar goes in a turn of the wheel, and from tooth to tooth.
        travel_mm: how far it goes in all, half of it to either side of its place.
        gap_mm: as of a `Mesh`.
    """

    axis: Vector
    a_turn_mm: float
    pitch_mm: float
    travel_mm: float
    gap_mm: tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Axis:
    """A shaft or a screw that goes through both instances: they come apart along it.

    Attributes:
        axis: a point of it in the world; it runs along the normals of both.
    """

    axis: Vector


@dataclass(frozen=True, kw_only=True)
class Bore(Axis):
    """What goes in the bores of both instances, for the joint kind `bore fit`.

    Attributes:
        into_mm: the diameter of what goes into the bore of either, such as a bearing and a shaft.
        play_mm: least and greatest play on the diameter, of either.
    """

    axis: Vector
    into_mm: tuple[float, float]
    play_mm: tuple[tuple[float, float], tuple[float, float]]


@dataclass(frozen=True, kw_only=True)
class Posts:
    """Bought standoffs that hold two plates apart, for the joint kind `standoffs`.

    Attributes:
        at: of each a point of its axis in the world, halfway between the plates.
        long_mm, wide_mm: of each.
    """

    at: tuple[Vector, ...]
    long_mm: float
    wide_mm: float


@dataclass(frozen=True, kw_only=True)
class Joint:
    """How two instances are joined, where it is not the usual solvent bond.

    Attributes:
        a, b: the instances; b is the one that comes off.
        kind: a name of `assemblies.fit.joints`, where each kind has its judge.
        by: what a joint without faces that meet is judged by, or the screw that goes through.
    """

    a: str
    b: str
    kind: str
    by: Mesh | BarMesh | Axis | Posts | None = None


@dataclass(frozen=True, kw_only=True)
class Fastener:
    """A bought screw, bolt or washer: listed, never a piece and never an interference.

    Attributes:
        name: what to buy, such as `screw M6`.
        piece: the instance that it is listed with: the plate it is screwed into, or the lid it holds down.
        through: every instance that it goes through or into, from its head on; of several alike, those of all of them.
        thread: designation.
        count: how many.
        longest_mm: the longest thread reach that does not bottom out; None where it may come through.
        note: how it is used.
        ends: what it is screwed into: a `thread` of the last that it goes into, a `nut`, or the `counterpart`, which
            is what the whole is bolted to.
        sealed: whether it has a sealing washer under its head, on the wet side.
        insert_mm: of metal inserts let into the piece: barrel, flange, thickness of the flange.
        onto: what they hold the piece against that is not of the design; None where its template needs no more than the
            openings of a piece whose role is `mount`.
    """

    name: str
    piece: str
    through: tuple[str, ...]
    thread: str
    count: int
    longest_mm: float | None = None
    note: str = ""
    ends: Ends = "thread"
    sealed: bool = False
    insert_mm: tuple[float, float, float] | None = None
    onto: Onto | None = None

    def __post_init__(self) -> None:
        if self.piece not in self.through:
            raise SeamwrightError(f"{self.name}: listed with {self.piece}, and does not go through it")


@dataclass(frozen=True, kw_only=True)
class Bought:
    """Something bought that is no screw and no piece, such as a shaft; `note` says where it goes."""

    item: str
    count: int
    note: str


@dataclass(frozen=True, kw_only=True)
class Support:
    """What carries the thing: `flat`, `hung`, `plates` or `edges`, and by which instances or faces."""

    kind: str
    where: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Design:
    """Every piece in its place.

    Attributes:
        name, title, kind, revision: from the order.
        placed: the instances, walls before floor before lid before strips before attachment plates: the order in which a
            builder would tape them up; of two seams that close one loop the later one is the captive one.
        joints: touching pairs that are not solvent bonds.
        cavities: what can hold liquid.
        bought: what is bought besides.
        supports, fasteners, retention: what carries it and what still holds it if a bond lets go.
        findings: what the builder noticed.
        taken: what the builder took because the order does not say it.
        releases: plates on strips that slide into shoes.
        drawn: of instances whose sizes are readings, what they were to be: name, (width, height) in mm.
    """

    name: str
    title: str
    kind: str
    revision: str
    placed: tuple[Placed, ...]
    joints: tuple[Joint, ...] = ()
    cavities: tuple[Cavity, ...] = ()
    supports: tuple[Support, ...] = ()
    fasteners: tuple[Fastener, ...] = ()
    bought: tuple[Bought, ...] = ()
    retention: str = "none"
    quantity: int = 1
    findings: tuple[Finding, ...] = field(default=())
    taken: tuple[Taken, ...] = ()
    releases: tuple[Release, ...] = ()
    drawn: tuple[tuple[str, tuple[float, float]], ...] = ()

    def __post_init__(self) -> None:
        names = [p.name for p in self.placed]
        twice = sorted({n for n in names if names.count(n) > 1}) if len(set(names)) < len(names) else []
        if twice:
            raise SeamwrightError(f"{self.name}: two instances are called {', '.join(twice)}")

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """Each part once, in order of first use."""
        return tuple(dict.fromkeys(p.piece for p in self.placed))

    @property
    def left_behind(self) -> frozenset[str]:
        """The instances that stay on the rig when the rest is taken off it: shoes."""
        return frozenset(name for one in self.releases for name in one.shoe.names)

    @property
    def carried(self) -> tuple[Placed, ...]:
        """All instances but those that stay on the rig."""
        behind = self.left_behind
        return tuple(p for p in self.placed if p.name not in behind) if behind else self.placed

    def ends_in(self, fastener: Fastener) -> Ends:
        """What a bolt is screwed into; a plate without a thread leaves it to what that is bolted to."""
        piece = self.instance(fastener.piece).piece
        bare = piece.role == "mount" and not any(hole.thread for hole in piece.holes) and fastener.insert_mm is None
        return "counterpart" if bare and fastener.ends == "thread" else fastener.ends

    def instance(self, name: str) -> Placed:
        """The instance of this name.

        Raises:
            KeyError: there is none.
        """
        for placed in self.placed:
            if placed.name == name:
                return placed
        raise KeyError(name)
