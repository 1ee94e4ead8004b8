"""Prove a tank: every panel, hole, seam, strip, plate and thread under every case, against the one chain of allowed stress; and
the tank as one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from assemblies.design.mass import Body
from assemblies.design.model import Design
from assemblies.fit.seams import Seam, seams
from assemblies.strength.bonds.allowed import Allowed, allowed_stress, factor_of
from assemblies.strength.bonds.mounting import Group
from assemblies.strength.boxes.setting import JOINTS, WALLS
from assemblies.strength.inner.trough import trough_uses, troughs_of
from assemblies.strength.inner.walls import Inner, Passed, inners_of, passed
from assemblies.strength.plates.limits import SETTLED, UNRESOLVED, unresolved, unsettled
from assemblies.strength.proof.uses import Loaded, MountUse, Proof, SeamUse, Settings, Use, WholeUse, by_place
from assemblies.strength.sheets.openings import Opened, more_at_neighbours
from assemblies.strength.tank.box_scope import openings_of
from assemblies.strength.tank.model import TankModel, tank_model
from assemblies.strength.tank.pads import Lifts, clamps, groups_of, mount_uses, pad_findings, peel_uses, pulls
from assemblies.strength.tank.read import JointRead, PanelRead, Read
from assemblies.strength.tank.rim import Bar, brace_reads, strip_reads
from assemblies.strength.tank.said import doubts, merged
from parts.findings import Finding

__all__ = ["Tank", "prove", "tank_of"]


def prove(
    tank: Tank, cases: Sequence[Loaded], probes: Sequence[Loaded] = (), *, orders: tuple[int, ...] = (0, 1)
) -> Proof:
    """Solve the tank for every case and compare.

    Args:
        tank: what is solved, and what is allowed.
        cases: to prove.
        probes: cases, each of its own name, of which only the uses are wanted (`Proof.probed`), by the last order.
        orders: by how many functions less than usual to solve; what is read comes from the first, its error from the
            second where there is one. Of one order alone no error is known, and what it gives is no proof.
    """
    proof = _worst_each(tank.all(cases, orders))
    found = tank.all(probes, orders[-1:])
    probed = {case.name: by_place(one.everything) for case, one in zip(probes, found, strict=True)}
    panels = {use.piece: 0.0 for use in proof.uses}
    for use in proof.uses:
        panels[use.piece] = max(panels[use.piece], use.use)
    said = merged((*_unsettled(proof), *doubts(proof)), panels)
    return replace(proof, findings=(*said, *pad_findings(tank.groups)), probed=probed)


def _unsettled(proof: Proof) -> Iterator[Finding]:
    for use in proof.uses:
        if use.what == "panel":
            yield from unresolved(use.piece) if use.error == UNRESOLVED else unsettled(use.piece, use.error)


@dataclass(frozen=True, kw_only=True)
class Tank:
    """What is looked at in every case.

    Attributes:
        design, model: a tank, and what is solved of it.
        groups: the plates that carry it.
        joints: for each seam between panels, the one that meets it with its cut edge.
        settings: what is allowed.
        openings: what those of a panel make of it, by its name.
    """

    design: Design
    model: TankModel
    groups: tuple[Group, ...]
    joints: Mapping[frozenset[str], str]
    settings: Settings
    openings: Mapping[str, Opened] = field(default_factory=dict)

    def all(self, cases: Sequence[Loaded], orders: tuple[int, ...]) -> list[Proof]:
        """The uses in each case, solved together."""
        if not cases:
            return []
        model, loads = self.model, [self.model.load(case.load) for case in cases]
        fine, *rest = model.box.solve(loads, orders)
        read, lifts = Read(fine, rest[0] if rest else None, loads), Lifts(model, fine)
        panels = {name: self._opened(name, read.panel(name)) for name in fine.sheets}
        rim = [*strip_reads(fine), *brace_reads(fine, model.braces)]
        joints = [*self._seams(read), *(one for one in rim if isinstance(one, JointRead))]
        more = more_at_neighbours(self.openings)
        joints = [
            replace(
                j, bending=j.bending * more, tension=j.tension * more, shear=j.shear * more, combined=j.combined * more
            )
            for j in joints
        ]
        bars = [one for one in rim if isinstance(one, Bar)]
        holes = {name: self._holes(read, name) for name in panels}
        pulled = pulls(self.groups, model, fine, cases)
        held = clamps(self.groups, model, fine, len(cases))
        troughs, inners = troughs_of(self.design), inners_of(self.design)
        found = []
        for k, case in enumerate(cases):
            allowed = self._allowed(case)
            joint = self._allowed(case, self.settings.joint)
            mounts = mount_uses(self.groups, pulled[k], held[k], model, case, self.settings)
            peels = [
                replace(p, bending=p.bending * part, combined=p.combined * part)
                for p in peel_uses(mounts, lifts, k, model, case, self.settings, joint)
                for part in (self._peels_more(model.pads[p.butts].panel),)
            ]
            uses = (*self._panel_uses(case, k, panels, holes, allowed), *_bar_uses(case, k, bars, allowed))
            inside = [self._inside(one, case, uses) for one in inners]
            found.append(
                Proof(
                    uses=(*uses, *(use for one in inside for use in one.uses)),
                    seams=(
                        *_joint_uses(case, k, joints, joint),
                        *peels,
                        *trough_uses(troughs, case, joint),
                        *(s for one in inside for s in one.seams),
                    ),
                    mounts=tuple(mounts),
                    findings=(),
                    whole=(self._whole_use(case, k, read),),
                )
            )
        return found

    def _opened(self, name: str, read: PanelRead) -> PanelRead:
        """A panel with its openings, or beside panels that have some."""
        own, beside = self.openings.get(name, Opened()), more_at_neighbours(self.openings, name)
        return replace(read, stress=read.stress * own.stress * beside, bow=read.bow * own.bow * beside)

    def _peels_more(self, panel: str) -> float:
        """By how much more a panel with its openings, or beside panels that have some, lifts off its plates."""
        return self.openings.get(panel, Opened()).plate * more_at_neighbours(self.openings, panel)

    def _seams(self, read: Read) -> Iterator[JointRead]:
        """The joints between panels."""
        for a, b in JOINTS:
            butts = self.joints.get(frozenset((a, b)))
            if butts is not None and {a, b} <= set(read.fine.sheets):
                yield read.seam(f"{a}-{b}", butts, b if butts == a else a)

    def _inside(self, one: Inner, case: Loaded, uses: Sequence[Use]) -> Passed:
        """A wall inside, with the panels that it stands on."""
        given, lasts = self.settings, replace(case, load=replace(case.load, duration=one.duration(case)))
        return passed(
            one,
            lasts,
            {use.piece: use for use in uses if use.what == "panel"},
            self.model.thickness,
            self._allowed(lasts),
            self._allowed(lasts, given.joint),
            (given.deflection_mm, given.deflection_of_span or 1.0 / 200.0),
            self._soft(lasts),
        )

    def _allowed(self, case: Loaded, joint: float = 1.0) -> Allowed:
        given = self.settings
        return allowed_stress(
            self.model.material, case.load.duration, environment=given.environment, joint=joint, factor=given.factor
        )

    def _soft(self, case: Loaded) -> float:
        """By how much sheet has crept when the case is over."""
        material = self.model.material
        return material.modulus_mpa / material.creep_modulus(case.load.duration).value / self.settings.stiffness

    def _panel_uses(
        self,
        case: Loaded,
        k: int,
        panels: Mapping[str, PanelRead],
        holes: Mapping[str, tuple[np.ndarray, tuple[np.ndarray, np.ndarray]] | None],
        allowed: Allowed,
    ) -> Iterator[Use]:
        soft, settings = self._soft(case), self.settings
        for name, panel in panels.items():
            error = float(panel.error[k])
            unsure = 1.0 + error if error > SETTLED else 1.0
            one = Use(
                case=case.name,
                piece=name,
                stress=float(panel.stress[k]) * unsure,
                allowed=allowed,
                at_mm=self.model.seen(name, float(panel.stress_at[0][k]), float(panel.stress_at[1][k])),
                deflection=float(panel.bow[k]) * soft,
                allowed_deflection=settings.deflection_mm
                or _span(self.model, name) * (settings.deflection_of_span or 1.0 / 200.0),
                deflection_at_mm=self.model.seen(name, float(panel.bow_at[0][k]), float(panel.bow_at[1][k])),
                error=error,
            )
            yield one
            hole = holes[name]
            if hole is not None:
                at = self.model.seen(name, float(hole[1][0][k]), float(hole[1][1][k]))
                stress = float(hole[0][k]) * unsure
                yield replace(one, stress=stress, at_mm=at, deflection=0.0, deflection_at_mm=at, what="hole")

    def _holes(self, read: Read, name: str) -> tuple[np.ndarray, tuple[np.ndarray, np.ndarray]] | None:
        """The largest stress at the edges of a panel's holes, and at which: the plain field round the rim times the table's
        concentration factor."""
        placed = self.design.instance(name)
        if not placed.piece.holes:
            return None
        around = np.linspace(0.0, 2.0 * np.pi, 16, endpoint=False)
        stresses, places = [], []
        for hole in placed.piece.holes:
            a0, b0 = self.model.inside(name, placed.world(hole.x_mm, hole.y_mm, 0.0))
            a, b = a0 + hole.bore_mm / 2.0 * np.cos(around), b0 + hole.bore_mm / 2.0 * np.sin(around)
            every = read.fine.sheets[name].forces(a, b).largest
            stresses.append(np.diagonal(every, 0, 1, 2).max(axis=1) * factor_of("hole_stress"))
            places.append((a0, b0))
        values, at = np.array(stresses), np.array(places)
        best = np.argmax(values, axis=0)
        return values[best, np.arange(values.shape[1])], (at[best, 0], at[best, 1])

    def _whole_use(self, case: Loaded, k: int, read: Read) -> WholeUse:
        soft, settings, whole = self._soft(case), self.settings, read.whole
        side = min(self.model.size[:2])
        for panel in {pad.panel for pad in self.model.pads.values()}:
            soft *= self.openings.get(panel, Opened()).bow  # it hangs by a panel that is softer by its openings
        return WholeUse(
            case=case.name,
            sag=float(whole.sag[k]) * soft,
            drop=float(whole.drop[k]) * soft,
            lean=float(whole.lean[k]) * soft,
            allowed=settings.sag_mm or side * (settings.sag_of_span or 1.0 / 200.0),
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
    openings = {}
    for name, one in openings_of(design, model.material.poisson).items():
        if isinstance(one, Opened):  # where the method ends, the scope has said so
            openings[name] = one
    return Tank(
        design=design, model=model, groups=groups, joints=_butting(design), settings=settings, openings=openings
    )


def _bar_uses(case: Loaded, k: int, bars: Iterable[Bar], allowed: Allowed) -> Iterator[Use]:
    """Strips and braces themselves."""
    for one in bars:
        at = (float(one.at[k]), 0.0)
        yield Use(
            case=case.name,
            piece=one.name,
            stress=float(one.stress[k]),
            allowed=allowed,
            at_mm=at,
            deflection=0.0,
            allowed_deflection=1.0,
            deflection_at_mm=at,
            error=0.0,
            what="strip",
        )


def _joint_uses(case: Loaded, k: int, joints: Iterable[JointRead], allowed: Allowed) -> Iterator[SeamUse]:
    for one in joints:
        yield SeamUse(
            case=case.name,
            seam=one.name,
            butts=one.butts,
            bending=float(one.bending[k]),
            tension=float(one.tension[k]),
            shear=float(one.shear[k]),
            combined=float(one.combined[k]),
            allowed=allowed,
            at_mm=float(one.at[k]),
            doubt=float(np.broadcast_to(one.doubt, one.at.shape)[k]),
        )


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
    whole: dict[str, WholeUse] = {}
    for sunk in (w for one in found for w in one.whole):
        known = whole.get(sunk.case, sunk)
        whole[sunk.case] = replace(
            sunk, sag=max(sunk.sag, known.sag), drop=max(sunk.drop, known.drop), lean=max(sunk.lean, known.lean)
        )
    return Proof(
        uses=tuple(by_panel.values()),
        seams=tuple(by_seam.values()),
        mounts=tuple(by_group.values()),
        findings=(),
        whole=tuple(whole.values()),
    )


def _worse(a: Use, b: Use) -> Use:
    stress = a if a.stress_use >= b.stress_use else b
    bow = a if a.bow_use >= b.bow_use else b
    return replace(
        stress,
        deflection=bow.deflection,
        allowed_deflection=bow.allowed_deflection,
        deflection_at_mm=bow.deflection_at_mm,
        error=max(a.error, b.error),
    )


def _worse_mount(a: MountUse, b: MountUse) -> MountUse:
    threads = tuple(max(pair, key=lambda t: t.use) for pair in zip(a.threads, b.threads, strict=True))
    edges = tuple(max(pair, key=lambda e: e.use) for pair in zip(a.edges, b.edges, strict=True))
    return replace(a if a.bond.use >= b.bond.use else b, threads=threads, edges=edges)


def _span(model: TankModel, panel: str) -> float:
    """The span that a deflection is a part of: the short side, or for a wall with a free rim the smaller of its length
    and twice its height (judgement)."""
    length, width, _ = model.size
    if panel in ("bottom", "lid"):
        return min(length, width)
    along, height = length if panel in ("front", "back") else width, model.spec.reach(panel, 2)
    return min(along, 2.0 * height if "lid" not in model.thickness else height)


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
