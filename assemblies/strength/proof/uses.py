"""What a proof is asked, and what it answers: settings, loaded cases, uses of panels, seams and plates."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from assemblies.liquid.loads.loadcase import LoadCase
from assemblies.strength.bonds.allowed import Allowed, factor_of
from assemblies.strength.bonds.bolts import EdgeLoad, ThreadLoad
from assemblies.strength.bonds.mounting import Group, GroupLoad
from parts.findings import Finding
from parts.vectors import Vector

__all__ = ["Loaded", "MountUse", "Place", "Proof", "SeamUse", "Settings", "Use", "WholeUse", "by_place"]

Place = tuple[str, str, str]  # piece, seam or plates; panel, hole, seam or mount; by stress or by bow


@dataclass(frozen=True, kw_only=True)
class Settings:
    """What the order asks of the proof.

    Attributes:
        support: `flat`, `hung`, `plates` or `edges`.
        factor: on top of the allowed stress.
        joint: the share of the sheet's strength that a solvent joint has.
        bonded: the share of a plate's area that counts as bonded until inspected.
        environment: what liquid and temperature leave of the dry value.
        stiffness: what temperature leaves of the modulus.
        deflection_of_span, deflection_mm: the allowed deflection, one of the two.
        sag_of_span, sag_mm: the same of the whole tank, of the floor's shorter side.
    """

    support: str = "flat"
    factor: float = 1.0
    joint: float = field(default_factory=lambda: factor_of("joint_solvent"))
    bonded: float = 0.5
    environment: float = 1.0
    stiffness: float = 1.0
    deflection_of_span: float | None = 1.0 / 200.0
    deflection_mm: float | None = None
    sag_of_span: float | None = 1.0 / 200.0
    sag_mm: float | None = None


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
        x, y, z = (self.mass_kg * g / 1000.0 for g in self.load.effective)
        return x, y, z


@dataclass(frozen=True, kw_only=True)
class Use:
    """One panel (or the worst hole in it) under one case.

    Attributes:
        stress: largest tensile stress, MPa, taken larger by the estimated error where that is over 2 %.
        deflection: with the creep modulus of the case's duration, mm; of a panel its bow out of the plane through its corners,
            with what it yields in shear.
        error: estimated share by which the stress still changes with the order of the solution.
        what: `panel`, `hole`, or `strip` of a rim strip or a brace.
    """

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
    def stress_use(self) -> float:
        return self.stress / self.allowed.value

    @property
    def bow_use(self) -> float:
        return self.deflection / self.allowed_deflection

    @property
    def use(self) -> float:
        """The greater of stress and deflection over what is allowed."""
        return max(self.stress_use, self.bow_use)

    @property
    def governs(self) -> str:
        return "stress" if self.stress_use >= self.bow_use else "deflection"


@dataclass(frozen=True, kw_only=True)
class SeamUse:
    """One seam under one case: bending at the joint (peel), pull, shear (MPa) at its worst place; all of them taken larger
    by the share that is in doubt."""

    case: str
    seam: str
    butts: str
    bending: float
    tension: float
    shear: float
    combined: float
    allowed: Allowed
    at_mm: float
    doubt: float = 0.0

    @property
    def use(self) -> float:
        return self.combined / self.allowed.value


@dataclass(frozen=True, kw_only=True)
class WholeUse:
    """The tank as one beam on its supports under one case, with the creep modulus of the case's duration.

    Attributes:
        sag: how far the floor sinks at most, mm. drop: how far its edges do. lean: how far the tank tilts, degrees.
        allowed: of sag and drop, mm.
    """

    case: str
    sag: float
    drop: float
    lean: float
    allowed: float

    @property
    def use(self) -> float:
        return max(self.sag, self.drop) / self.allowed


@dataclass(frozen=True, kw_only=True)
class MountUse:
    """The plates of one face under one case."""

    case: str
    group: Group
    bond: GroupLoad
    threads: tuple[ThreadLoad, ...]
    edges: tuple[EdgeLoad, ...] = ()

    @property
    def use(self) -> float:
        return max([self.bond.use, *(t.use for t in self.threads), *(e.use for e in self.edges)])


Anything = Use | SeamUse | MountUse | WholeUse


@dataclass(frozen=True, kw_only=True)
class Proof:
    """Everything that was proven, or not.

    Attributes:
        whole: the tank as one, per case.
        findings: what the solver noticed; what is over its limit `over` says.
        probed: what `by_place` gives of each probe, by its name.
    """

    uses: tuple[Use, ...]
    seams: tuple[SeamUse, ...]
    mounts: tuple[MountUse, ...]
    findings: tuple[Finding, ...]
    whole: tuple[WholeUse, ...] = ()
    probed: Mapping[str, Mapping[Place, float]] = field(default_factory=dict)

    @property
    def everything(self) -> tuple[Anything, ...]:
        return (*self.uses, *self.seams, *self.mounts, *self.whole)

    @property
    def worst(self) -> Anything:
        """What is used most."""
        return max(self.everything, key=lambda one: one.use)


def by_place(everything: Iterable[Anything]) -> dict[Place, float]:
    """Greatest use of each place, stress and deflection apart."""
    found: dict[Place, float] = {}

    def add(place: Place, use: float) -> None:
        found[place] = max(found.get(place, 0.0), use)

    for one in everything:
        if isinstance(one, Use):
            add((one.piece, one.what, "stress"), one.stress_use)
            add((one.piece, one.what, "bow"), one.bow_use)
        elif isinstance(one, SeamUse):
            add((one.seam, "seam", "stress"), one.use)
        elif isinstance(one, WholeUse):
            add(("whole", "whole", "bow"), one.use)
        else:
            add((one.group.names, "mount", "stress"), one.use)
    return found
