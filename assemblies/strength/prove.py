"""Prove a tank: every panel, hole, seam, plate and thread under every case, against the one chain of allowed stress."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from assemblies.design import Design, Placed, Vector
from assemblies.fit.seams import Seam, seams
from assemblies.liquid.loadcase import LoadCase
from assemblies.strength.allowed import Allowed, allowed_stress, factor_of, factor_source
from assemblies.strength.box import BoxResult, SeamResult, box_cases
from assemblies.strength.mounting import Group, GroupLoad, ThreadLoad, group_load, plate_groups, thread_loads
from assemblies.strength.setting import WALLS
from assemblies.strength.surface import PlateResult
from assemblies.strength.tank_model import TankModel, tank_model
from parts.findings import Finding
from parts.material import Duration

__all__ = ["Loaded", "MountUse", "Proof", "SeamUse", "Settings", "Use", "prove"]


@dataclass(frozen=True, kw_only=True)
class Settings:
    """What the order asks of the proof.

    Attributes:
        support: `flat`, `hung`, `plates` or `edges`.
        factor: on top of the allowed stress.
        joint: the share of the sheet's strength that a solvent joint has.
        bonded: the share of a plate's area that counts as bonded until inspected.
        environment: what liquid and temperature leave of the dry value.
        deflection_of_span, deflection_mm: the allowed deflection, one of the two.
    """

    support: str = "flat"
    factor: float = 1.0
    joint: float = field(default_factory=lambda: factor_of("joint_solvent"))
    bonded: float = 0.5
    environment: float = 1.0
    deflection_of_span: float | None = 1.0 / 200.0
    deflection_mm: float | None = None


@dataclass(frozen=True, kw_only=True)
class Loaded:
    """A case with the mass it moves: `name` is the order's case, of which there may be several variants."""

    name: str
    load: LoadCase
    mass_kg: float
    centre_mm: Vector

    @property
    def force_n(self) -> Vector:
        """Weight and inertia of everything, N."""
        x, y, z = (
            self.mass_kg * (g - a) / 1000.0 for g, a in zip(self.load.gravity, self.load.acceleration, strict=True)
        )
        return x, y, z


@dataclass(frozen=True, kw_only=True)
class Use:
    """One panel (or one hole in it) under one case."""

    case: str
    piece: str
    stress: float
    allowed: Allowed
    at_mm: tuple[float, float]
    deflection: float
    allowed_deflection: float
    deflection_at_mm: tuple[float, float]
    error: float
    what: str = "panel"

    @property
    def use(self) -> float:
        """The greater of stress and deflection over what is allowed."""
        return max(self.stress / self.allowed.value, self.deflection / self.allowed_deflection)

    @property
    def governs(self) -> str:
        return (
            "stress" if self.stress / self.allowed.value >= self.deflection / self.allowed_deflection else "deflection"
        )


@dataclass(frozen=True, kw_only=True)
class SeamUse:
    """One seam under one case: bending at the joint, pull, shear (MPa) at its worst place."""

    case: str
    seam: str
    butts: str
    bending: float
    tension: float
    shear: float
    combined: float
    allowed: Allowed
    at_mm: float

    @property
    def use(self) -> float:
        return self.combined / self.allowed.value


@dataclass(frozen=True, kw_only=True)
class MountUse:
    """The plates of one face under one case."""

    case: str
    group: Group
    bond: GroupLoad
    threads: tuple[ThreadLoad, ...]

    @property
    def use(self) -> float:
        return max([self.bond.use, *(t.use for t in self.threads)])


@dataclass(frozen=True, kw_only=True)
class Proof:
    """Everything that was proven, or not."""

    uses: tuple[Use, ...]
    seams: tuple[SeamUse, ...]
    mounts: tuple[MountUse, ...]
    findings: tuple[Finding, ...]

    @property
    def worst(self) -> Use | SeamUse | MountUse:
        """What is used most."""
        everything: list[Use | SeamUse | MountUse] = [*self.uses, *self.seams, *self.mounts]
        return max(everything, key=lambda one: one.use)


def prove(design: Design, cases: Sequence[Loaded], settings: Settings) -> Proof:
    """Solve the box for every case and compare.

    Raises:
        NotCovered: the design is no box of five panels.
    """
    model = tank_model(design, settings.support)
    results = box_cases(
        *model.size,
        model.thickness,
        model.material.modulus_mpa,
        model.material.poisson,
        [model.pressures(case.load) for case in cases],
        model.base,
        model.rim,
    )
    joints = _butting(design)
    uses: list[Use] = []
    seam_uses: list[SeamUse] = []
    for case, result in zip(cases, results, strict=True):
        uses += _panel_uses(design, model, case, result, settings)
        seam_uses += _seam_uses(model, case, result, joints, settings)
    mounts = list(_mount_uses(design, model, cases, settings))
    uses, seam_uses, mounts = _worst_each(uses, seam_uses, mounts)
    said = [f for result in results for f in result.findings]
    findings = [*_over(uses, seam_uses, mounts), *dict.fromkeys(said)]
    return Proof(uses=tuple(uses), seams=tuple(seam_uses), mounts=tuple(mounts), findings=tuple(findings))


def _worst_each(
    uses: list[Use], seam_uses: list[SeamUse], mounts: list[MountUse]
) -> tuple[list[Use], list[SeamUse], list[MountUse]]:
    """Of the variants of one case, the worst for each piece, seam and group."""
    by_panel: dict[tuple[str, str, str], Use] = {}
    for use in uses:
        key = (use.case, use.piece, use.what)
        if key not in by_panel or use.use > by_panel[key].use:
            by_panel[key] = use
    by_seam: dict[tuple[str, str], SeamUse] = {}
    for seam in seam_uses:
        at = (seam.case, seam.seam)
        if at not in by_seam or seam.use > by_seam[at].use:
            by_seam[at] = seam
    by_group: dict[tuple[str, str], MountUse] = {}
    for mount in mounts:
        on = (mount.case, mount.group.names)
        if on not in by_group or mount.use > by_group[on].use:
            by_group[on] = mount
    return list(by_panel.values()), list(by_seam.values()), list(by_group.values())


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
            stress=plate.stress.value,
            allowed=allowed,
            at_mm=(plate.stress.x_mm, plate.stress.y_mm),
            deflection=abs(plate.deflection.value) * soft,
            allowed_deflection=limit,
            deflection_at_mm=(plate.deflection.x_mm, plate.deflection.y_mm),
            error=plate.error_moment,
        )
        yield one
        yield from _hole_uses(design.instance(name), model, case, plate, one)


def _hole_uses(placed: Placed, model: TankModel, case: Loaded, plate: PlateResult, panel: Use) -> Iterator[Use]:
    """Stress at the edges of a panel's holes: the plain field round the rim times the table's concentration factor."""
    if not placed.piece.holes:
        return
    t = placed.piece.thickness_mm
    around = np.linspace(0.0, 2.0 * np.pi, 16, endpoint=False)
    worst, where = 0.0, (0.0, 0.0)
    for hole in placed.piece.holes:
        u0, v0 = model.inside_uv(placed.name, placed.world(hole.x_mm, hole.y_mm, 0.0))
        u, v = u0 + hole.bore_mm / 2.0 * np.cos(around), v0 + hole.bore_mm / 2.0 * np.sin(around)
        got = plate.field(u, v)
        mean, half = (got.mx + got.my) / 2.0, np.hypot((got.mx - got.my) / 2.0, got.mxy)
        moment = float(np.max(np.abs(mean) + half))
        stress = 6.0 * moment / t**2 * factor_of("hole_stress")
        if stress > worst:
            worst, where = stress, (u0, v0)
    yield Use(
        case=panel.case,
        piece=panel.piece,
        stress=worst,
        allowed=panel.allowed,
        at_mm=where,
        deflection=0.0,
        allowed_deflection=panel.allowed_deflection,
        deflection_at_mm=where,
        error=panel.error,
        what="hole",
    )


def _butting(design: Design) -> dict[frozenset[str], str]:
    """For each seam between panels, the one that meets it with its cut edge."""
    out: dict[frozenset[str], str] = {}
    for seam in seams(design):
        edge = _edge_of(seam)
        if edge is not None:
            out[frozenset((seam.a, seam.b))] = edge
    return out


def _edge_of(seam: Seam) -> str | None:
    edges = [n for n, end in ((seam.a, seam.a_end), (seam.b, seam.b_end)) if end not in ("near", "far", "round")]
    return edges[0] if len(edges) == 1 else None


def _seam_uses(
    model: TankModel, case: Loaded, result: BoxResult, joints: Mapping[frozenset[str], str], settings: Settings
) -> Iterator[SeamUse]:
    allowed = allowed_stress(
        model.material,
        case.load.duration,
        environment=settings.environment,
        joint=settings.joint,
        factor=settings.factor,
    )
    for seam in result.seams.values():
        butts = joints.get(frozenset((seam.a, seam.b)))
        if butts is not None:
            yield _one_seam(model, case, seam, butts, allowed)


def _one_seam(model: TankModel, case: Loaded, seam: SeamResult, butts: str, allowed: Allowed) -> SeamUse:
    """The cut edge of the butting panel is the bonded section: its moment, the neighbour's pull, its own edge shear."""
    t = model.thickness[butts]
    own = butts == seam.a
    moment = seam.moment_a if own else seam.moment_b
    pull, shear = (seam.force_b, seam.force_a) if own else (seam.force_a, seam.force_b)
    clear = np.ones(len(moment), dtype=bool)
    if seam.b in WALLS and "lid" not in model.thickness:
        clear[-1] = False  # the very end at a free rim is a singular point of the plate theory
    bending = 6.0 * np.abs(moment) / t**2
    tension = np.maximum(pull, 0.0) / t
    sheared = 1.5 * np.abs(shear) / t  # parabolic over the thickness
    normal = bending + tension
    combined = np.where(clear, normal / 2.0 + np.sqrt((normal / 2.0) ** 2 + sheared**2), 0.0)
    worst = int(np.argmax(combined))
    return SeamUse(
        case=case.name,
        seam=seam.name,
        butts=butts,
        bending=float(bending[worst]),
        tension=float(tension[worst]),
        shear=float(sheared[worst]),
        combined=float(combined[worst]),
        allowed=allowed,
        at_mm=float(seam.places_mm[worst]),
    )


def _mount_uses(design: Design, model: TankModel, cases: Sequence[Loaded], settings: Settings) -> Iterator[MountUse]:
    if settings.support != "plates":
        return
    x, y, z = (p + s / 2.0 for p, s in zip(model.low, model.size, strict=True))
    groups = plate_groups(design.placed, (x, y, z))
    for case in cases:
        for group in groups:
            share = len(groups)
            fx, fy, fz = (f / share for f in case.force_n)
            bond = group_load(
                group,
                (fx, fy, fz),
                case.centre_mm,
                model.material,
                case.load.duration,
                bonded=settings.bonded,
                joint=settings.joint,
                environment=settings.environment,
                factor=settings.factor,
            )
            threads = thread_loads(
                group,
                (fx, fy, fz),
                case.centre_mm,
                model.material,
                case.load.duration,
                environment=settings.environment,
                factor=settings.factor,
            )
            yield MountUse(case=case.name, group=group, bond=bond, threads=threads)


def _over(uses: Sequence[Use], seam_uses: Sequence[SeamUse], mounts: Sequence[MountUse]) -> Iterator[Finding]:
    for use in uses:
        if use.use > 1.0:
            yield _over_panel(use)
    for seam in seam_uses:
        if seam.use > 1.0:
            yield Finding(
                level="stop",
                check="strength",
                where=seam.seam,
                why=f"{seam.case}: the seam carries {seam.combined:.2f} MPa (bending {seam.bending:.2f}, pull "
                f"{seam.tension:.2f}, shear {seam.shear:.2f}), allowed {seam.allowed.value:.2f}",
                do="thicker sheet, a rim strip or corner strips, a lower fill or gentler motion",
                source=factor_source("joint_solvent"),
            )
    for mount in mounts:
        if mount.bond.use > 1.0:
            yield Finding(
                level="stop",
                check="strength",
                where=mount.group.names,
                why=f"{mount.case}: the plates' bond carries {mount.bond.combined:.2f} MPa, allowed "
                f"{mount.bond.allowed:.2f}",
                do="larger or more plates, plates further apart, or through bolts",
                source=factor_source("joint_solvent"),
            )
        for thread in mount.threads:
            if thread.use > 1.0:
                yield Finding(
                    level="stop",
                    check="strength",
                    where=thread.plate,
                    why=f"{mount.case}: a bolt pulls {thread.pull_n:.0f} N, its {thread.thread} thread holds "
                    f"{thread.holds_n:.0f} N",
                    do="more bolts, a thicker plate or through bolts",
                    source="ASME B1.1 appendix B, internal thread shear area",
                )


def _over_panel(use: Use) -> Finding:
    if use.governs == "stress":
        plain = f"{use.stress:.2f} MPa at ({use.at_mm[0]:.0f}, {use.at_mm[1]:.0f}), allowed {use.allowed.value:.2f}"
        why = f"{use.case}: {'the edge of a hole carries ' if use.what == 'hole' else 'it carries '}{plain}"
    else:
        why = f"{use.case}: it bows {use.deflection:.2f} mm, allowed {use.allowed_deflection:.2f}"
    return Finding(
        level="stop",
        check="strength",
        where=use.piece,
        why=why,
        do="thicker sheet, a rim strip, a brace, a lower fill or gentler motion",
        source=use.allowed.source,
    )
