"""The proof of a round tank: wall, seam, base and lid, as one shell of revolution.

The wall is bent where it is bonded to the base. A base that lies flat does not turn: the wall is clamped there. One that spans
the tube bows under the liquid and turns at its edge, which bends wall and seam far harder: both are coupled by the edge's one
angle. What is left out is on the safe side: the part of the base outside the tube, and what a boss or hole takes off the edge.

Source: Timoshenko and Woinowsky-Krieger, art. 16, 17 and 117 (from memory); held to finite elements in the tests.
Valid: loads that are the same all around: liquid at rest, upright, thrown straight up or turning with its tank; thin wall and
base. Liquid that turns stands as high at the wall as its paraboloid does there; on the base it presses more further out, which
bends it less than the same weight spread evenly, as which it counts for the sag alone. The tank's own mass in a turn presses
the wall out evenly, and pulls at the middle of the base as at a turning disc (Timoshenko and Goodier, art. 32; from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final, Literal

import numpy as np

from assemblies.liquid.loads.loadcase import LoadCase
from assemblies.motion.spin.wheel import spun_hoop
from assemblies.strength.bonds.allowed import Allowed, allowed_stress, factor_of
from assemblies.strength.proof.uses import Loaded, Proof, SeamUse, Settings, Use
from assemblies.strength.round.lid import Cover, lifted_lid
from assemblies.strength.round.shell import BentBase, bent_base
from assemblies.strength.sheets.round import overhung_plate, round_plate
from parts.findings import NotCovered
from parts.stock.material import Duration, Material

__all__ = ["LIFTED", "Bent", "Prover", "RoundTank", "bent", "pressed", "prove"]

LIFTED: Final = "lifted full"
G_M_S2: Final = 9.80665
#: How far under its foot the wall is as if clamped, in walls, for the base gives under it (a cantilever on a half-space gives
#: as 0.44 of its thickness would, O'Donnell 1960, from memory): plain, and where the base reaches out under it. Of a base that
#: lies flat there is the less, the thinner it is: `share / (1 + by x wall / base)`. Of one that spans there is half or 0.4, and
#: its wall is bent the more, the thicker it is: `1 + by x (p - over)`, p = wall / base x sqrt(wall / radius).
#: Fitted to 72 solids of revolution by finite elements (-3 to +10 %; bore 150 and 360, wall 4 to 14, base 6 to 18 mm),
#: held in the tests to others (`ccx_round.py`: -5 to +8 %).
_FLAT: Final = {False: (0.72, 0.43), True: (0.42, 0.2)}
_SPANS: Final = {False: (0.5, 0.3, 0.1), True: (0.4, 0.2, 0.3)}
_SMALL: Final = 1e-4  # rad: all of it is linear
_RINGS: Final = 400  # of the floor
_HEAVIER: Final = 1.001  # times its weight: less is at rest


@dataclass(frozen=True, kw_only=True)
class RoundTank:
    """What is proven; mm, at the least thickness that may come.

    Attributes:
        bore: diameter of the inside.
        wall, base: thickness.
        floor: height of the inside's floor in the rig's axes.
        tube, disc: what they are made of.
        spans: what carries the base under its edge: radius, None where it lies flat.
        pad: of a base that stands on a plate under its middle: the largest circle in that, radius, and how thick it is.
        flange: whether the base reaches out under the tube by more than its wall.
        inset: whether the base stands in the tube; groove: how deep the tube's end stands in it, 0 for not at all.
        seam: what the seam along a rolled tube has of the sheet's strength, 0 for none; peak: how far it stands off its circle.
        hole: whether a drain goes through the base.
        boss: radius of the motor's boss, 0 for none; motor_n: what hangs on it.
        lid: thickness of a lid, 0 for none; cover: what holds it where it is screwed on.
        density: of the liquid, kg/m3.
        above_kg: mass of all that stands on the base; bolts: number, width of their washers and of their holes, mm.
        pull: how often it weighs what it does at rest; omega: how fast it turns, rad/s.
        heads: of liquid that turns, on the base: spread evenly, as it clamps the edge and as it bends the middle, mm.
    """

    bore: float
    wall: float
    base: float
    floor: float
    tube: Material
    disc: Material
    spans: float | None
    pad: tuple[float, float] | None = None
    flange: bool = False
    inset: bool = False
    groove: float = 0.0
    seam: float = 0.0
    peak: float = 0.0
    hole: bool = False
    boss: float = 0.0
    motor_n: float = 0.0
    lid: float = 0.0
    cover: Cover | None = None
    density: float = 998.2
    above_kg: float = 0.0
    bolts: tuple[int, float, float] | None = None
    pull: float = 1.0
    omega: float = 0.0
    heads: tuple[float, float, float] | None = None

    @property
    def middle(self) -> float:
        """Radius of the middle of the wall."""
        return (self.bore + self.wall) / 2.0

    @property
    def weight(self) -> float:
        """Of the liquid, N/mm3."""
        return self.density * G_M_S2 * self.pull * 1e-9

    @property
    def even(self) -> float:
        """What the wall's own mass presses it out with as it turns, MPa."""
        return self.tube.density_kg_m3 * self.omega**2 * self.middle * self.wall * 1e-12

    @property
    def turning(self) -> float:
        """Stress in the middle of the base as it turns, MPa."""
        edge = max(self.spans or 0.0, self.middle)
        return (3.0 + self.disc.poisson) / 8.0 * self.disc.density_kg_m3 * (self.omega * edge) ** 2 * 1e-12


@dataclass(frozen=True, kw_only=True)
class Bent:
    """A tank filled so deep: N, mm, MPa.

    Attributes:
        wall: with its moment where it meets the base.
        turn: of the edge of the base, rad.
        disc: the largest stress of the base; boss: at the edge of a boss; sag: how far the base bows.
        pad: the base's moment over the edge of what it stands on.
        more: by how much more the wall's moment is than the shell's.
    """

    wall: BentBase
    turn: float
    disc: float
    boss: float
    sag: float
    more: float = 1.0
    pad: float = 0.0

    def stress(self, thickness: float) -> float:
        """Of bending, where the wall meets the base."""
        return self.more * 6.0 * abs(self.wall.moment) / thickness**2


def _foot(tank: RoundTank) -> tuple[float, float]:
    """How far under its foot the wall is as if clamped, mm, and by how much more its moment is than by that."""
    x = tank.wall / (tank.base - tank.groove)
    if tank.spans is None and tank.pad is None:
        share, by = _FLAT[tank.flange]
        return share / (1.0 + by * x) * tank.wall, 1.0
    share, by, over = _SPANS[tank.flange]
    return share * tank.wall, 1.0 + by * max(0.0, x * math.sqrt(tank.wall / tank.middle) - over)


@lru_cache(maxsize=256)
def bent(tank: RoundTank, depth: float) -> Bent:
    """The tank filled so deep.

    Raises:
        SeamwrightError: a size that is none.
    """
    wall, ed, nud, thick = tank.wall, tank.disc.modulus_mpa, tank.disc.poisson, tank.base
    foot, more = _foot(tank)
    arm = max(thick / 2.0 - tank.groove - foot, 0.0)
    under, sharp = thick - tank.groove, factor_of("hole_stress") if tank.groove else 1.0  # what is left under a groove

    def at(turn: float) -> BentBase:
        return bent_base(
            tank.middle,
            wall,
            depth + tank.groove,
            tank.weight,
            tank.tube.modulus_mpa,
            tank.tube.poisson,
            turn=turn,
            arm=arm,
            even=tank.even,
            give=tank.middle * (1.0 - nud) / (ed * thick),
            read=min(foot, depth / 2.0),
        )

    def into(one: BentBase) -> float:
        """The moment about the middle of the base's edge."""
        return one.foot + one.shear * arm

    held = at(0.0)
    if tank.pad is not None:
        return _on_pad(tank, tank.pad[0], depth, at, into, under, sharp, more)
    if tank.spans is None:
        flat = sharp * 6.0 * abs(into(held)) / under**2 + held.shear / under + tank.turning
        return Bent(wall=held, turn=0.0, disc=flat, boss=0.0, sag=0.0)
    r = tank.spans
    rigid = ed * thick**3 / (12.0 * (1.0 - nud**2))
    hangs, own = tank.motor_n * tank.pull, tank.disc.density_kg_m3 * G_M_S2 * tank.pull * 1e-9 * thick
    q, q_edge, q_middle = (tank.weight * head + own for head in tank.heads or (depth, depth, depth))
    edge = q_edge * r**2 / 8.0 + hangs / (
        4.0 * math.pi
    )  # what clamps the edge of a plate, what hangs in its middle too
    by_turn = (into(at(_SMALL)) - into(held)) / _SMALL
    turn = (edge - into(held)) / (rigid * (1.0 + nud) / r + by_turn)
    bent_wall = at(turn)
    moment = max(into(bent_wall), 0.0)
    relief = 0.0 if tank.groove else moment  # what is thin under the groove clamps the middle less
    middle = (3.0 + nud) * q_middle * r**2 / 16.0 - relief
    disc = max(6.0 * middle / thick**2, sharp * 6.0 * moment / under**2) + max(bent_wall.shear, 0.0) / under
    sag = (5.0 + nud) * q * r**4 / (64.0 * (1.0 + nud) * rigid) - relief * r**2 / (2.0 * (1.0 + nud) * rigid)
    sag += 0.6 * (1.0 + nud) * q * r**2 / (ed * thick)  # by shear: 0.3 q r2 / (G t), Reissner's plate (from memory)
    at_boss = 0.0
    if tank.boss:
        plate = round_plate(r, tank.base, ed, nud, q, "supported", boss_mm=tank.boss, force_n=hangs)
        disc, at_boss, sag = max(disc, plate.stress), 6.0 * abs(plate.radial_inner) / tank.base**2, plate.deflection
    return Bent(wall=bent_wall, turn=turn, disc=disc + tank.turning, boss=at_boss, sag=sag, more=more)


def _on_pad(
    tank: RoundTank,
    inner: float,
    depth: float,
    at: Callable[[float], BentBase],
    into: Callable[[BentBase], float],
    under: float,
    sharp: float,
    more: float,
) -> Bent:
    """A base that hangs over the plate under its middle, with liquid, wall and all that stands on that.

    It is taken as clamped within the largest circle of the plate alone, the same all round: a corner of the plate holds it
    further out, and the wall as a ring keeps its rim flat. Held to solids by finite elements in the tests.
    """
    r, ed, nud, thick = tank.middle, tank.disc.modulus_mpa, tank.disc.poisson, tank.base
    q = tank.weight * depth + tank.disc.density_kg_m3 * G_M_S2 * tank.pull * 1e-9 * thick
    rim = tank.above_kg * G_M_S2 * tank.pull / (2.0 * math.pi * r)
    alone = overhung_plate(r, thick, ed, nud, q, inner, rim)
    soft = overhung_plate(r, thick, ed, nud, 0.0, inner, 0.0, 1.0)  # by a moment of 1 that lifts the rim
    held, by_turn = at(0.0), (into(at(_SMALL)) - into(at(0.0))) / _SMALL
    turn = -(alone.slope + abs(soft.slope) * into(held)) / (1.0 + abs(soft.slope) * by_turn)
    wall = at(turn)
    moment = alone.moment - soft.moment * into(wall)  # the wall's moment presses the rim down
    disc = max(6.0 * abs(moment) / thick**2, sharp * 6.0 * abs(into(wall)) / under**2) + abs(wall.shear) / under
    sag = alone.drop - soft.drop * into(wall)
    return Bent(wall=wall, turn=turn, disc=disc + tank.turning, boss=0.0, sag=sag, more=more, pad=abs(moment))


def prove(tank: RoundTank, cases: Sequence[Loaded], settings: Settings) -> Proof:
    """Every use of wall, base, lid and seams in these cases, and of a tank that stands flat as it is lifted full."""
    prover = Prover(tank, settings)
    uses: list[Use] = []
    seams: list[SeamUse] = []
    for case in cases:
        name, stays = case.name, case.load.duration
        if case.load.effective[2] >= 0.0:
            found = [prover.torn(name, stays, case)]
        else:
            found = [prover.at(name, stays, *pressed(tank, case))]
            if case.load.lift_n > 0.0:
                found.append(prover.under_lift(name, stays, case.load.lift_n))
        for more, joints in found:
            uses += more
            seams += joints
    still = [pressed(tank, case)[1] for case in cases if case.load.omega == 0.0 and case.load.dynamic_factor == 1.0]
    if tank.spans is None and still:
        more, joints = prover.at(LIFTED, "minutes", replace(tank, spans=tank.middle, pad=None), max(still))
        uses += more
        seams += joints
    return Proof(uses=tuple(uses), seams=tuple(seams), mounts=(), findings=())


def pressed(tank: RoundTank, case: Loaded) -> tuple[RoundTank, float]:
    """The tank as a case loads it, and the head at its wall, mm."""
    load, radius = case.load, tank.bore / 2.0
    one = replace(tank, pull=-load.effective[2] / (1000.0 * G_M_S2), omega=load.omega)
    reach = radius if load.omega else 0.0
    wall = float(load.pressure("bottom", np.array([[reach, 0.0, tank.floor]]))[0])
    if load.omega:
        one = replace(one, heads=_heads(one, load))
    return one, wall / one.weight


def _heads(tank: RoundTank, load: LoadCase) -> tuple[float, float, float]:
    """What liquid that turns does to the base, as the heads that would do it evenly (`RoundTank.heads`).

    By rings of the same area: one of P at b clamps the edge of a plate of radius a with P (1 - b2/a2) / (4 pi), and bends the
    middle of a supported one with P ((1 + nu) ln(a/b) + (1 - nu) (1 - b2/a2) / 2) / (4 pi) (Timoshenko, art. 17).
    """
    radius, reach, nu = tank.bore / 2.0, tank.spans or tank.bore / 2.0, tank.disc.poisson
    b = radius * np.sqrt((np.arange(_RINGS) + 0.5) / _RINGS)
    places = np.column_stack([b, np.zeros(_RINGS), np.full(_RINGS, tank.floor)])
    head = load.pressure("bottom", places) / tank.weight
    inside = 1.0 - (b / reach) ** 2
    share = (radius / reach) ** 2  # of the area that an even head presses on
    clamps = 2.0 * share * (head * inside).mean()
    bends = (head * ((1.0 + nu) * np.log(reach / b) + (1.0 - nu) * inside / 2.0)).mean() * 4.0 / (3.0 + nu) * share
    return float(head.mean()), float(clamps), float(bends)


@dataclass(frozen=True)
class Prover:
    """What turns figures into uses: a tank and what its order asks of the proof."""

    tank: RoundTank
    settings: Settings

    def allowed(self, material: Material, duration: Duration, joint: float = 1.0) -> Allowed:
        given = self.settings
        return allowed_stress(material, duration, environment=given.environment, joint=joint, factor=given.factor)

    def at(self, case: str, duration: Duration, tank: RoundTank, depth: float) -> tuple[list[Use], list[SeamUse]]:
        """The uses of one case; of what stands on a plate as it hangs over that, or as where that reaches under the wall."""
        if tank.pad is None or tank.pad[0] >= tank.middle:
            return self._of(case, duration, replace(tank, pad=None), depth)
        both = [self._of(case, duration, one, depth) for one in (tank, replace(tank, pad=None))]
        uses: dict[tuple[str, str], Use] = {}
        seams: dict[str, SeamUse] = {}
        for found, joints in both:
            for use in found:
                key = use.piece, use.what
                uses[key] = max(uses.get(key, use), use, key=lambda one: one.use)
            for seam in joints:
                seams[seam.seam] = max(seams.get(seam.seam, seam), seam, key=lambda one: one.use)
        return list(uses.values()), list(seams.values())

    def _of(self, case: str, duration: Duration, tank: RoundTank, depth: float) -> tuple[list[Use], list[SeamUse]]:
        if depth <= 0.0:
            return [
                self._by_own_weight(case, duration, "base", tank)
            ] if tank.pull > _HEAVIER and tank.spans else [], []
        found = bent(tank, depth)
        around = max(found.wall.hoop_bent, found.stress(tank.wall))
        if tank.omega:
            around = max(around, _around(tank, depth))
        uses = [
            self._use(case, duration, "tube", tank.tube, around, found.wall.growth),
            self._use(case, duration, "base", tank.disc, found.disc, found.sag),
        ]
        if tank.hole:
            times = factor_of("hole_stress")
            uses.append(self._use(case, duration, "base", tank.disc, times * found.disc, found.sag, "hole"))
        if tank.lid:
            uses.append(self._by_own_weight(case, duration, "lid", tank))
        return uses, list(self._seams(case, duration, tank, depth, found))

    def _by_own_weight(self, case: str, duration: Duration, piece: Literal["base", "lid"], tank: RoundTank) -> Use:
        """A disc with nothing on it, laid on its edge."""
        thick, radius = (tank.lid, tank.middle) if piece == "lid" else (tank.base, tank.spans or tank.middle)
        own = tank.disc.density_kg_m3 * G_M_S2 * tank.pull * 1e-9 * thick
        plate = round_plate(radius, thick, tank.disc.modulus_mpa, tank.disc.poisson, own, "supported")
        return self._use(case, duration, piece, tank.disc, plate.stress, plate.deflection)

    def torn(self, case: str, duration: Duration, loaded: Loaded) -> tuple[list[Use], list[SeamUse]]:
        """Stopped harder than gravity: what stands on the base pulls at its seam, and all of it at the bolts; the base bends
        between the two as a cantilever, as if it were cut along every radius, and by its own mass."""
        tank, up = self.tank, loaded.load.effective[2] * 1e-3
        along = tank.above_kg * up / (2.0 * math.pi * tank.middle)
        arm = max((tank.spans or tank.middle) - tank.middle, 0.0)
        own = self._by_own_weight(case, duration, "base", replace(tank, pull=up / G_M_S2))
        bends = 6.0 * along * arm / (tank.base - tank.groove) ** 2
        uses = [self._use(case, duration, "base", tank.disc, bends + own.stress, own.deflection)]
        if tank.bolts is not None:
            count, washer, hole = tank.bolts
            under = loaded.force_n[2] / count / (math.pi / 4.0 * (washer**2 - hole**2))
            uses.append(self._use(case, duration, "base", tank.disc, under, 0.0, "hole"))
        weaker = min((tank.tube, tank.disc), key=lambda m: m.design_stress(duration).value)
        pull, shear = (0.0, along / tank.base) if tank.inset else (along / tank.wall, 0.0)
        return uses, [self._seam(case, "tube and base", weaker, duration, 0.0, pull, shear)]

    def under_lift(self, case: str, duration: Duration, lift_n: float) -> tuple[list[Use], list[SeamUse]]:
        """The uses of a screwed lid that is lifted by the liquid beneath it.

        Raises:
            NotCovered: no lid is screwed on.
        """
        cover = self.tank.cover
        if cover is None:
            raise NotCovered("a lift on a lid that nothing holds down")
        found, sheet = lifted_lid(cover, self.tank.bore / 2.0, lift_n), cover.sheet
        uses = [
            self._use(case, duration, "lid", sheet, found.panel, found.deflection),
            self._use(case, duration, "lid", sheet, found.at_screws, 0.0, "hole"),
            self._use(case, duration, "ring", sheet, found.ring, 0.0),
            self._use(case, duration, "ring", sheet, found.thread, 0.0, "hole"),
        ]
        weaker = min((self.tank.tube, sheet), key=lambda m: m.design_stress(duration).value)
        return uses, [self._seam(case, "ring and tube", weaker, duration, found.bending, found.tension, 0.0)]

    def lid_bears_n(self, duration: Duration) -> float:
        """The largest lift that a screwed lid bears: all of it is linear.

        Raises:
            NotCovered: no lid is screwed on.
        """
        uses, seams = self.under_lift("lift", duration, 1.0)
        return 1.0 / max([u.use for u in uses] + [s.use for s in seams])

    def _use(
        self,
        case: str,
        duration: Duration,
        piece: str,
        material: Material,
        stress: float,
        deflection: float,
        what: Literal["panel", "hole"] = "panel",
    ) -> Use:
        given = self.settings
        soft = material.modulus_mpa / material.creep_modulus(duration).value / given.stiffness
        most = given.deflection_mm if given.deflection_of_span is None else given.deflection_of_span * self.tank.bore
        assert most is not None
        return Use(
            case=case,
            piece=piece,
            stress=stress,
            allowed=self.allowed(material, duration),
            at_mm=(0.0, 0.0),
            deflection=deflection * soft,
            allowed_deflection=most,
            deflection_at_mm=(0.0, 0.0),
            error=0.0,
            what=what,
        )

    def _seams(self, case: str, duration: Duration, tank: RoundTank, depth: float, found: Bent) -> Iterator[SeamUse]:
        weaker = min((tank.tube, tank.disc), key=lambda m: m.design_stress(duration).value)
        if tank.inset:  # the rim of the base in the bore: pushed through, turned and pulled at
            pushed = tank.weight * depth * tank.middle / 2.0 if tank.spans is not None else 0.0
            bending, tension, shear = found.stress(tank.base), abs(found.wall.shear) / tank.base, pushed / tank.base
        else:
            bending, tension, shear = found.stress(tank.wall), 0.0, abs(found.wall.shear) / tank.wall
        yield self._seam(case, "tube and base", weaker, duration, bending, tension, shear)
        if tank.seam:  # hoop with what bends there, and the hoop's lever about a wall that stands off its circle
            around = max(found.wall.hoop, _around(tank, depth) if tank.omega else 0.0)
            yield self._seam(
                case,
                "tube, along",
                tank.tube,
                duration,
                6.0 * around * tank.peak / tank.wall,
                max(found.wall.hoop_bent, around),
                0.0,
                tank.seam,
            )
        if tank.pad is not None:
            yield self._seam(
                case, "base and plate-1", tank.disc, duration, 0.0, _lifts(tank, found.pad) / self.settings.bonded, 0.0
            )
        if tank.boss and tank.spans is not None:
            area = self.settings.bonded * math.pi * tank.boss**2
            hangs = tank.motor_n * tank.pull / area
            yield self._seam(case, "base and motor-boss", tank.disc, duration, found.boss, hangs, 0.0)

    def _seam(
        self,
        case: str,
        seam: str,
        material: Material,
        duration: Duration,
        bending: float,
        tension: float,
        shear: float,
        joint: float | None = None,
    ) -> SeamUse:
        pull = bending + tension
        return SeamUse(
            case=case,
            seam=seam,
            butts="tube",
            bending=bending,
            tension=tension,
            shear=shear,
            combined=pull / 2.0 + math.hypot(pull / 2.0, shear),
            allowed=self.allowed(material, duration, joint or self.settings.joint),
            at_mm=0.0,
        )


def _lifts(tank: RoundTank, moment: float) -> float:
    """What a base that bends over the edge of its plate pulls at the bond there, MPa, as if it pulled as hard as it presses:
    2 M b2, b4 = k / (4 D), for a half-infinite beam on a bed that gives as the plate does (Hetenyi; from memory)."""
    assert tank.pad is not None
    rigid = tank.disc.modulus_mpa * tank.base**3 / (12.0 * (1.0 - tank.disc.poisson**2))
    return 2.0 * moment * math.sqrt(tank.disc.modulus_mpa / tank.pad[1] / (4.0 * rigid))


def _around(tank: RoundTank, depth: float) -> float:
    """Hoop stress of the tube as a thick one, under the head and its own mass."""
    return spun_hoop(
        tank.bore / 2.0, tank.wall, tank.omega, depth, tank.density, tank.tube.density_kg_m3, tank.tube.poisson
    ).thick
