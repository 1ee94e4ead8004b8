"""Prove a tank: every panel, hole, seam, plate and thread under every case, against the one chain of allowed stress."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from assemblies.design.mass import Body
from assemblies.design.model import Design, Placed
from assemblies.fit.seams import Seam, seams
from assemblies.strength.bonds.allowed import Allowed, allowed_stress, factor_of
from assemblies.strength.bonds.mounting import Group
from assemblies.strength.boxes.box import BoxResult, SeamResult, box_cases
from assemblies.strength.boxes.setting import WALLS, Brace, Padded, Strip
from assemblies.strength.plates.basis import Array
from assemblies.strength.plates.limits import SETTLED
from assemblies.strength.plates.surface import EDGE_PLACES, PlateResult
from assemblies.strength.proof.uses import Loaded, MountUse, Proof, SeamUse, Settings, Use, by_place
from assemblies.strength.tank.model import TankModel, tank_model
from assemblies.strength.tank.pads import groups_of, mount_uses, pad_findings, peel_uses, wall_pads
from assemblies.strength.tank.said import merged
from parts.stock.material import Duration

__all__ = ["Tank", "prove", "tank_of"]

_CLEAR = 0.98  # of a seam that ends at a free rim: beyond, the theory is singular and nothing is read


def prove(
    tank: Tank, cases: Sequence[Loaded], probes: Sequence[Loaded] = (), *, orders: tuple[int, ...] = (0, 1)
) -> Proof:
    """Solve the box for every case and compare.

    Args:
        tank: what is solved, and what is allowed.
        cases: to prove.
        probes: cases, each of its own name, of which only the uses are wanted (`Proof.probed`); they share the stiffness.
        orders: as in `box_cases`; of one order alone no error is known, and what it gives is no proof.
    """
    model, groups = tank.model, tank.groups
    every = [*cases, *probes]
    results = box_cases(
        *model.size,
        model.thickness,
        model.material.modulus_mpa,
        model.material.poisson,
        [Padded(pressure=model.pressures(case.load), pads=wall_pads(groups, model, case)) for case in every],
        model.base,
        model.rim,
        orders=orders,
    )
    found = [tank.at(case, result) for case, result in zip(every, results, strict=True)]
    proof = _worst_each(found[: len(cases)])
    probed = {case.name: by_place(one.everything) for case, one in zip(probes, found[len(cases) :], strict=True)}
    said = merged(f for result in results[: len(cases)] for f in result.findings)
    return replace(proof, findings=(*said, *pad_findings(groups)), probed=probed)


@dataclass(frozen=True, kw_only=True)
class Tank:
    """What is looked at in every case.

    Attributes:
        design, model: a tank, and the box that it is solved as.
        groups: the plates that carry it.
        joints: for each seam between panels, the one that meets it with its cut edge.
        settings: what is allowed.
    """

    design: Design
    model: TankModel
    groups: tuple[Group, ...]
    joints: Mapping[frozenset[str], str]
    settings: Settings

    def at(self, case: Loaded, result: BoxResult) -> Proof:
        """The uses of one solved case."""
        allowed = _joint_allowed(self.model, case.load.duration, self.settings)
        mounts = mount_uses(self.groups, self.model, case, self.settings)
        return Proof(
            uses=tuple(_panel_uses(self.design, self.model, case, result, self.settings)),
            seams=(
                *_seam_uses(self.model, case, result, self.joints, allowed),
                *_rim_uses(self.model, case, result, allowed),
                *peel_uses(mounts, self.model, case, result, self.settings, allowed),
            ),
            mounts=tuple(mounts),
            findings=(),
        )


def tank_of(design: Design, settings: Settings, bodies: Mapping[str, Body] | None = None) -> Tank:
    """A design as it is solved.

    Args:
        design: a tank.
        settings: what is allowed.
        bodies: each instance by name, where they are known.

    Raises:
        NotCovered: it is no box of five panels.
    """
    model = tank_model(design, settings.support, bodies)
    groups = groups_of(design, model, settings)
    return Tank(design=design, model=model, groups=groups, joints=_butting(design), settings=settings)


def _worst_each(found: Sequence[Proof]) -> Proof:
    """Of the variants of one case, the worst for each piece, seam and group.

    A panel's stress and deflection may be worst in different variants: both are kept.
    """
    by_panel: dict[tuple[str, str, str], Use] = {}
    for use in (u for one in found for u in one.uses):
        key = (use.case, use.piece, use.what)
        by_panel[key] = _worse(by_panel[key], use) if key in by_panel else use
    by_seam: dict[tuple[str, str], SeamUse] = {}
    for seam in (s for one in found for s in one.seams):
        at = (seam.case, seam.seam)
        if at not in by_seam or seam.use > by_seam[at].use:
            by_seam[at] = seam
    by_group: dict[tuple[str, str], MountUse] = {}
    for mount in (m for one in found for m in one.mounts):
        on = (mount.case, mount.group.names)
        by_group[on] = _worse_mount(by_group[on], mount) if on in by_group else mount
    return Proof(
        uses=tuple(by_panel.values()), seams=tuple(by_seam.values()), mounts=tuple(by_group.values()), findings=()
    )


def _worse(a: Use, b: Use) -> Use:
    stress = a if a.stress_use >= b.stress_use else b
    bow = a if a.bow_use >= b.bow_use else b
    return replace(
        stress,
        deflection=bow.deflection,
        allowed_deflection=bow.allowed_deflection,
        deflection_at_mm=bow.deflection_at_mm,
    )


def _worse_mount(a: MountUse, b: MountUse) -> MountUse:
    threads = tuple(max(pair, key=lambda t: t.use) for pair in zip(a.threads, b.threads, strict=True))
    edges = tuple(max(pair, key=lambda e: e.use) for pair in zip(a.edges, b.edges, strict=True))
    return replace(a if a.bond.use >= b.bond.use else b, threads=threads, edges=edges)


def _span(model: TankModel, panel: str) -> float:
    """The span that a deflection is a part of: the short side, or for a wall with a free rim the smaller of its length
    and twice its height (judgement)."""
    length, width, height = model.size
    if panel in ("bottom", "lid"):
        return min(length, width)
    along = length if panel in ("front", "back") else width
    return min(along, 2.0 * height if "lid" not in model.thickness else height)


def _panel_uses(design: Design, model: TankModel, case: Loaded, result: BoxResult, settings: Settings) -> Iterator[Use]:
    duration: Duration = case.load.duration
    allowed = allowed_stress(model.material, duration, environment=settings.environment, factor=settings.factor)
    soft = model.material.modulus_mpa / model.material.creep_modulus(duration).value
    for name, plate in result.panels.items():
        limit = settings.deflection_mm or _span(model, name) * (settings.deflection_of_span or 1.0 / 200.0)
        one = Use(
            case=case.name,
            piece=name,
            stress=plate.stress.value * _unsure(plate),
            allowed=allowed,
            at_mm=(plate.stress.x_mm, plate.stress.y_mm),
            deflection=abs(plate.deflection.value) * soft,
            allowed_deflection=limit,
            deflection_at_mm=(plate.deflection.x_mm, plate.deflection.y_mm),
            error=plate.error_moment,
        )
        yield one
        yield from _hole_uses(design.instance(name), model, plate, one)


def _unsure(plate: PlateResult) -> float:
    """By how much a stress is taken larger because the solution has not settled."""
    return 1.0 + plate.error_moment if plate.error_moment > SETTLED else 1.0


def _hole_uses(placed: Placed, model: TankModel, plate: PlateResult, panel: Use) -> Iterator[Use]:
    """Stress at the edges of a panel's holes: the plain field round the rim, and the neighbours' pull, times the table's
    concentration factor."""
    if not placed.piece.holes:
        return
    t = model.thickness[placed.name]
    pull = max([0.0, *(float(np.max(p)) for p in plate.bent.pull.values())]) / t
    around = np.linspace(0.0, 2.0 * np.pi, 16, endpoint=False)
    worst, where = 0.0, (0.0, 0.0)
    for hole in placed.piece.holes:
        u0, v0 = model.inside_uv(placed.name, placed.world(hole.x_mm, hole.y_mm, 0.0))
        u, v = u0 + hole.bore_mm / 2.0 * np.cos(around), v0 + hole.bore_mm / 2.0 * np.sin(around)
        moment = float(np.max(np.abs(plate.field(u, v).principal)))
        stress = (6.0 * moment / t**2 + pull) * factor_of("hole_stress") * _unsure(plate)
        if stress > worst:
            worst, where = stress, (u0, v0)
    yield replace(panel, stress=worst, at_mm=where, deflection=0.0, deflection_at_mm=where, what="hole")


def _butting(design: Design) -> dict[frozenset[str], str]:
    """For each seam between panels, the one that meets it with its cut edge."""
    out: dict[frozenset[str], str] = {}
    panels = [p for p in design.placed if p.name in (*WALLS, "bottom", "lid")]
    for seam in seams(replace(design, placed=tuple(panels), joints=())):
        edge = _edge_of(seam)
        if edge is not None:
            out[frozenset((seam.a, seam.b))] = edge
    return out


def _edge_of(seam: Seam) -> str | None:
    edges = [n for n, end in ((seam.a, seam.a_end), (seam.b, seam.b_end)) if end not in ("near", "far", "round")]
    return edges[0] if len(edges) == 1 else None


def _joint_allowed(model: TankModel, duration: Duration, settings: Settings) -> Allowed:
    return allowed_stress(
        model.material,
        duration,
        environment=settings.environment,
        joint=settings.joint,
        factor=settings.factor,
    )


def _seam_uses(
    model: TankModel, case: Loaded, result: BoxResult, joints: Mapping[frozenset[str], str], allowed: Allowed
) -> Iterator[SeamUse]:
    for seam in result.seams.values():
        butts = joints.get(frozenset((seam.a, seam.b)))
        if butts is not None:
            yield _one_seam(model, case, seam, butts, allowed, _unsure(result.panels[seam.a]))


def _one_seam(model: TankModel, case: Loaded, seam: SeamResult, butts: str, allowed: Allowed, unsure: float) -> SeamUse:
    """The cut edge of the butting panel is the bonded section: its moment, the neighbour's pull, its own edge shear."""
    t = model.thickness[butts]
    own = butts == seam.a
    moment = seam.moment_a if own else seam.moment_b
    pull, shear = (seam.force_b, seam.force_a) if own else (seam.force_a, seam.force_b)
    open_rim = seam.b in WALLS and "lid" not in model.thickness
    bending, tension = 6.0 * np.abs(moment) / t**2 * unsure, np.maximum(pull, 0.0) / t
    sheared = 1.5 * np.abs(shear) / t  # parabolic over the thickness
    return _seam_use(case, seam.name, butts, (bending, tension, sheared), seam.places_mm, allowed, open_rim)


def _seam_use(
    case: Loaded,
    name: str,
    butts: str,
    stresses: tuple[Array, Array, Array],
    places: Array,
    allowed: Allowed,
    cut: bool,
) -> SeamUse:
    """A seam at its worst place; bending and pull along, shear across the joint face, as the largest principal stress."""
    bending, tension, sheared = stresses
    normal = bending + tension
    combined = normal / 2.0 + np.hypot(normal / 2.0, sheared)
    if cut:
        combined = np.where(EDGE_PLACES <= _CLEAR, combined, 0.0)
    worst = int(np.argmax(combined))
    return SeamUse(
        case=case.name,
        seam=name,
        butts=butts,
        bending=float(bending[worst]),
        tension=float(tension[worst]),
        shear=float(sheared[worst]),
        combined=float(combined[worst]),
        allowed=allowed,
        at_mm=float(places[worst]),
    )


def _rim_uses(model: TankModel, case: Loaded, result: BoxResult, allowed: Allowed) -> Iterator[SeamUse]:
    """The bonds of a rim strip (what it holds back of each wall) and of braces (their pull over the walls' edges)."""
    parts = () if isinstance(model.rim, str) else tuple(model.rim) if not isinstance(model.rim, Strip | Brace) else ()
    for part in parts:
        if isinstance(part, Strip):
            for wall in WALLS:
                plate, t = result.panels[wall], model.thickness[wall]
                bending = 6.0 * np.abs(plate.edges["top"].normal) / t**2
                shear = 1.5 * np.abs(plate.bent.holding_force("top")) / t
                clear = np.abs(EDGE_PLACES - 0.5) <= _CLEAR - 0.5  # the strip's own corners are singular too
                stresses = (bending * clear, np.zeros(len(shear)), shear * clear)
                places = plate.edges["top"].places_mm
                yield _seam_use(case, f"{wall}-rim", wall, stresses, places, allowed, False)
        else:
            yield _brace_use(model, case, result, part, allowed)


def _brace_use(model: TankModel, case: Loaded, result: BoxResult, brace: Brace, allowed: Allowed) -> SeamUse:
    """The pull in a brace, from how far it lets the walls part, as shear over its overlap with the thinner wall's edge.

    The bond ends where the wall does, so the shear peaks there: 1.5 times its mean, as in a section (judgement).
    """
    length, width, height = model.size
    places = brace.at_mm + brace.width * np.array([-3.0, -1.0, 1.0, 3.0]) / 8.0
    top = np.full(4, height)
    part = (
        result.panels["front"].field(places, top).w.mean() + result.panels["back"].field(length - places, top).w.mean()
    )
    span = width + (model.thickness["front"] + model.thickness["back"]) / 2.0
    pull = abs(float(part)) * model.material.modulus_mpa * brace.width * brace.thickness / span
    shear = 1.5 * pull / (brace.width * min(model.thickness["front"], model.thickness["back"]))
    return SeamUse(
        case=case.name,
        seam=f"front-back-brace-{brace.at_mm:.0f}",
        butts="brace",
        bending=0.0,
        tension=0.0,
        shear=shear,
        combined=shear,
        allowed=allowed,
        at_mm=brace.at_mm,
    )
