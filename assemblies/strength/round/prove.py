"""The proof of a round tank: wall, seam, base and lid.

What spans is a solid of revolution (`solid.py`, `aside.py`), and so is all that is tilted or pushed aside. What lies flat,
turns or has a motor under it is a shell on a plate: its wall is bent where it is bonded to the base. A base that lies flat
does not turn, so the wall is clamped there. One that spans bows under the liquid and turns at its edge, which bends wall and
seam far harder: both are coupled by the edge's one angle. What is left out of it is on the safe side: the part of the base
outside the tube, and what a boss or hole takes off the edge.

Source: Timoshenko and Woinowsky-Krieger, art. 16, 17 and 117 (from memory); held to finite elements in the tests.
Valid: of shell and plate, loads that are the same all around: liquid at rest, upright, thrown straight up or turning with its
tank; thin wall and base. Liquid that turns stands as high at the wall as its paraboloid does there; on the base it presses
more further out, which bends it less than the same weight spread evenly, as which it counts for the sag alone. The tank's own
mass in a turn presses the wall out evenly, and pulls at the middle of the base as at a turning disc (Timoshenko and Goodier,
art. 32; from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal, TypeVar

import numpy as np

from assemblies.liquid.loads.loadcase import LoadCase
from assemblies.motion.spin.wheel import spun_hoop
from assemblies.strength.bonds.allowed import Allowed, allowed_stress, factor_of
from assemblies.strength.proof.uses import Loaded, Proof, SeamUse, Settings, Use
from assemblies.strength.round.aside import Leaned, at_bolts, evenly, lean, lid_lift, stood
from assemblies.strength.round.bent import Bent, bent
from assemblies.strength.round.lid import lifted_lid
from assemblies.strength.round.tank import G_M_S2, RoundTank
from assemblies.strength.sheets.round import round_plate
from parts.findings import NotCovered
from parts.stock.material import Duration, Material

__all__ = ["G_M_S2", "LIFTED", "Bent", "Prover", "RoundTank", "bent", "pressed", "prove", "worst"]

LIFTED: Final = "lifted full"
_One = TypeVar("_One", Use, SeamUse)
_RINGS: Final = 400  # of the floor
_HEAVIER: Final = 1.001  # times its weight: less is at rest


def prove(tank: RoundTank, cases: Sequence[Loaded], settings: Settings) -> Proof:
    """Every use of wall, base, lid and seams in these cases, and of a tank that stands flat as it is lifted full."""
    prover = Prover(tank, settings)
    uses: list[Use] = []
    seams: list[SeamUse] = []
    even = [evenly(case, tank.bore / 2.0, tank.floor, tank.inside) for case in cases]
    aside = list(prover.aside([case for case, one in zip(cases, even, strict=True) if not one]))
    uses += worst((use for more, _ in aside for use in more), lambda use: (use.case, use.piece, use.what))
    seams += worst((seam for _, joints in aside for seam in joints), lambda seam: (seam.case, seam.seam))
    cases = [case for case, one in zip(cases, even, strict=True) if one]
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


def worst(every: Iterable[_One], key: Callable[[_One], tuple[str, ...]]) -> list[_One]:
    """Of the variants of a case, the worst at each place."""
    found: dict[tuple[str, ...], _One] = {}
    for one in every:
        place = key(one)
        if place not in found or one.use > found[place].use:
            found[place] = one
    return list(found.values())


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
        if tank.is_solid:
            uses, seams = replace(self, tank=tank).of(case, duration, stood(tank, depth))
            return [*uses, *([self._by_own_weight(case, duration, "lid", tank)] if tank.lid else [])], seams
        found = bent(tank, depth)
        around = max(found.wall.hoop_bent, found.stress(tank.wall))
        if tank.omega:
            around = max(around, _around(tank, depth))
        uses = [
            self.use(case, duration, "tube", tank.tube, around, found.wall.growth),
            self.use(case, duration, "base", tank.disc, found.disc, found.sag),
        ]
        if tank.hole:
            times = factor_of("hole_stress")
            uses.append(self.use(case, duration, "base", tank.disc, times * found.disc, found.sag, "hole"))
        if tank.lid:
            uses.append(self._by_own_weight(case, duration, "lid", tank))
        return uses, list(self._seams(case, duration, tank, depth, found))

    def aside(self, cases: Sequence[Loaded]) -> Iterator[tuple[list[Use], list[SeamUse]]]:
        """The uses of cases that load it the one side more than the other."""
        tank = self.tank
        for case, found in zip(cases, lean(tank, [one.load for one in cases]) if cases else (), strict=True):
            name, stays = case.name, case.load.duration
            uses, seams = self.of(name, stays, found)
            if tank.bolts is not None:
                uses.append(self.use(name, stays, "base", tank.disc, at_bolts(tank, case), 0.0, "hole"))
            if tank.cover is not None:
                more, joints = self.under_lift(name, stays, lid_lift(tank, case))
                uses += more
                seams += joints
            yield uses, seams

    def of(self, case: str, duration: Duration, found: Leaned) -> tuple[list[Use], list[SeamUse]]:
        """Of tube and base as a solid has them, and of the seams between and along."""
        tank = self.tank
        uses = [
            self.use(case, duration, "tube", tank.tube, found.tube, found.grows),
            self.use(case, duration, "base", tank.disc, found.disc, found.sag),
        ]
        if tank.hole:
            times = factor_of("hole_stress")
            uses.append(self.use(case, duration, "base", tank.disc, times * found.disc, found.sag, "hole"))
        k = found.worst
        bending, tension, shear = (float(one[k]) for one in (found.bending, found.tension, found.shear))
        seams = [self.seam(case, "tube and base", self.weaker(duration), duration, bending, tension, shear)]
        if tank.seam:
            peaks = 6.0 * found.around * tank.peak / tank.wall
            seams.append(self.seam(case, "tube, along", tank.tube, duration, peaks, found.around_bent, 0.0, tank.seam))
        return uses, seams

    def _by_own_weight(self, case: str, duration: Duration, piece: Literal["base", "lid"], tank: RoundTank) -> Use:
        """A disc with nothing on it, laid on its edge."""
        thick, radius = (tank.lid, tank.middle) if piece == "lid" else (tank.base, tank.spans or tank.middle)
        own = tank.disc.density_kg_m3 * G_M_S2 * tank.pull * 1e-9 * thick
        plate = round_plate(radius, thick, tank.disc.modulus_mpa, tank.disc.poisson, own, "supported")
        return self.use(case, duration, piece, tank.disc, plate.stress, plate.deflection)

    def torn(self, case: str, duration: Duration, loaded: Loaded) -> tuple[list[Use], list[SeamUse]]:
        """Stopped harder than gravity: what stands on the base pulls at its seam, and all of it at the bolts; the base bends
        between the two as a cantilever, as if it were cut along every radius, and by its own mass."""
        tank, up = self.tank, loaded.load.effective[2] * 1e-3
        along = tank.above_kg * up / (2.0 * math.pi * tank.middle)
        arm = max((tank.spans or tank.middle) - tank.middle, 0.0)
        own = self._by_own_weight(case, duration, "base", replace(tank, pull=up / G_M_S2))
        bends = 6.0 * along * arm / (tank.base - tank.groove) ** 2
        uses = [self.use(case, duration, "base", tank.disc, bends + own.stress, own.deflection)]
        if tank.bolts is not None:
            count, washer, hole = tank.bolts
            under = loaded.force_n[2] / count / (math.pi / 4.0 * (washer**2 - hole**2))
            uses.append(self.use(case, duration, "base", tank.disc, under, 0.0, "hole"))
        weaker = self.weaker(duration)
        pull, shear = (0.0, along / tank.base) if tank.inset else (along / tank.wall, 0.0)
        return uses, [self.seam(case, "tube and base", weaker, duration, 0.0, pull, shear)]

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
            self.use(case, duration, "lid", sheet, found.panel, found.deflection),
            self.use(case, duration, "lid", sheet, found.at_screws, 0.0, "hole"),
            self.use(case, duration, "ring", sheet, found.ring, 0.0),
            self.use(case, duration, "ring", sheet, found.thread, 0.0, "hole"),
        ]
        weaker = min((self.tank.tube, sheet), key=lambda m: m.design_stress(duration).value)
        return uses, [self.seam(case, "ring and tube", weaker, duration, found.bending, found.tension, 0.0)]

    def lid_bears_n(self, duration: Duration) -> float:
        """The largest lift that a screwed lid bears: all of it is linear.

        Raises:
            NotCovered: no lid is screwed on.
        """
        uses, seams = self.under_lift("lift", duration, 1.0)
        return 1.0 / max([u.use for u in uses] + [s.use for s in seams])

    def weaker(self, duration: Duration) -> Material:
        """Of tube and base."""
        return min((self.tank.tube, self.tank.disc), key=lambda m: m.design_stress(duration).value)

    def use(
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
        weaker = self.weaker(duration)
        if tank.inset:  # the rim of the base in the bore: pushed through, turned and pulled at
            pushed = tank.weight * depth * tank.middle / 2.0 if tank.spans is not None else 0.0
            bending, tension, shear = found.stress(tank.base), abs(found.wall.shear) / tank.base, pushed / tank.base
        else:
            bending, tension, shear = found.stress(tank.wall), 0.0, abs(found.wall.shear) / tank.wall
        yield self.seam(case, "tube and base", weaker, duration, bending, tension, shear)
        if tank.seam:  # hoop with what bends there, and the hoop's lever about a wall that stands off its circle
            around = max(found.wall.hoop, _around(tank, depth) if tank.omega else 0.0)
            yield self.seam(
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
            yield self.seam(
                case, "base and plate-1", tank.disc, duration, 0.0, _lifts(tank, found.pad) / self.settings.bonded, 0.0
            )
        if tank.boss and tank.spans is not None:
            area = self.settings.bonded * math.pi * tank.boss**2
            hangs = tank.motor_n * tank.pull / area
            yield self.seam(case, "base and motor-boss", tank.disc, duration, found.boss, hangs, 0.0)

    def seam(
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
