"""The check of a mount's strength: what its order says, made into what is proven; what is not covered, and why."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Final, Literal

from assemblies.report.blocks import Bar, Block, Figure, Figures, Report
from assemblies.report.check import Check, Checked, Made, Rows, SectionOf, not_covered
from assemblies.report.figures import amount, used_most
from parts.findings import Finding, NotCovered, Taken
from parts.lengths import LengthUnit

if TYPE_CHECKING:
    from assemblies.design import Design, Placed
    from assemblies.kinds.prop_mount.spec import PropMountSpec
    from assemblies.order import Order
    from assemblies.strength.mount.given import Bolted, Mount
    from assemblies.strength.mount.prove import MountProof, MountUse

__all__ = ["STRENGTH", "mount_of"]

#: How often a screw may be taken out of a tapped acrylic hole; no source has a figure (judgement: repeated assembly wants an
#: insert or a through bolt, common practice).
FEW: Final = 5
#: Modulus of metals, MPa, what bending their screws' necks may bear, MPa (judgement, far under any alloy's), density, kg/m3.
METALS: Final = {"aluminium": (70e3, 60.0, 2700.0), "brass": (100e3, 60.0, 8500.0), "steel": (200e3, 100.0, 7850.0)}


def _strength(made: Made) -> Checked:
    from assemblies.strength.mount.prove import prove

    order, design = made.order, made.design
    spec: PropMountSpec = order.table  # type: ignore[assignment]
    outside = [not_covered("strength", why) for why in _outside(order, spec, design)]
    stops = list(_unheld(spec, design))
    if outside:
        return Checked(
            state="failed" if stops else "not-covered", findings=(*stops, *outside), taken=_taken(order, spec)
        )
    mount = mount_of(order, design)
    try:
        proof = prove(mount)
    except NotCovered as error:
        said = (*stops, not_covered("strength", str(error)))
        return Checked(state="failed" if stops else "not-covered", findings=said, taken=_taken(order, spec))
    stops += list(_over(proof))
    return Checked(
        state="failed" if stops else "passed",
        findings=(*stops, *_said(mount, proof)),
        figures=proof,
        taken=_taken(order, spec),
    )


def _outside(order: Order, spec: PropMountSpec, design: Design) -> Iterator[str]:
    """Why no pass may be given, whatever the figures."""
    from assemblies.kinds.prop_mount.bolts import bolts_of

    if order.rig is not None and order.rig.over_people:
        yield "people are under it: no proof here covers that"
    if not spec.moves.still and spec.moves.stop is None:
        yield "how hard its emergency stop is is not said (stop in [prop-mount.moves]): it is harder than any move in use"
    if not spec.moves.still and spec.moves.shake is None:
        yield "how fast what it is bolted to shakes is not said (shake in [prop-mount.moves])"
    for name, face in (("rig", spec.rig), ("prop", spec.prop)):
        bolts = bolts_of(order, name)
        if bolts.tapped and bolts.pattern.counterpart == "screw":
            yield (
                f"{name}: how far the screw of {bolts.pattern.name} reaches into the sheet is not known (hardly 5 mm, from "
                "memory), and a thread so short is not calculated: let an insert in"
            )
        if bolts.tapped and face.refits > FEW:
            yield f"{name}: {face.refits} times out of a thread in acrylic; over {FEW} no source says that it still holds"
        if bolts.tapped and not spec.moves.still and not face.locked:
            yield f"{name}: screws in acrylic on what moves turn loose without a positive lock (locked = true)"
        if face.slot is not None and len({round(y, 3) for _, y in bolts.centres}) < 2:
            yield f"{name}: slots in one row: what turns about them is not calculated"


def _unheld(spec: PropMountSpec, design: Design) -> Iterator[Finding]:
    """What moves on bonds alone."""
    if spec.style in ("bracket", "riser") and not spec.moves.still and design.retention == "none":
        yield Finding(
            level="stop",
            check="strength",
            where="whole",
            why=f"a {spec.style} that moves hangs on its bonds alone: a bond that lets go drops the prop",
            do="hold the prop besides (retention in [support]: lanyard, cradle or through-bolts), or take a plate or a spacer",
            source="judgement",
        )


def mount_of(order: Order, design: Design) -> Mount:
    """What is proven: the pieces as thin as their sheet may come."""
    from assemblies.design.mass import cuboid
    from assemblies.kinds.prop_mount.build import gusset_places
    from assemblies.strength.bonds.allowed import factor_of
    from assemblies.strength.mount.given import Gussets, Mount, Moves, Rules, Standoffs
    from parts.stock.material import material
    from parts.stock.mounting import pattern

    spec: PropMountSpec = order.table  # type: ignore[assignment]
    placed = {p.name: p for p in design.placed}
    thin = min(p.piece.sheet.thickness_range_mm[0] for p in design.placed)
    loaded = {n: _thin(p, thin) for n, p in placed.items()}
    rig, held = _bolted(order, spec, loaded, "rig"), _bolted(order, spec, loaded, "prop")
    x, y, z = held.centre
    cx, cy, cz = spec.payload.centre
    size = spec.payload.size or tuple(max(2.0 * abs(c), 1.0) for c in spec.payload.centre)
    if spec.payload.size is None:
        size = (max(size),) * 3
    volume = size[0] * size[1] * size[2] * 1e-9
    prop = cuboid(size, (x + cx, y + cy, z + cz), spec.payload.mass / volume)  # type: ignore[arg-type]
    standoffs = gussets = None
    if spec.style == "spacer":
        assert spec.standoffs
        assert spec.standoff_thread
        assert spec.standoff
        assert spec.height
        modulus, allowed, density = METALS[spec.metal]
        centres = pattern(spec.standoffs, thread=spec.standoff_thread, unit=order.units).centres
        standoffs = Standoffs(
            places=tuple((spec.size[0] / 2.0 + a, spec.size[1] / 2.0 + b) for a, b in centres),
            diameter_mm=spec.standoff,
            length_mm=spec.height,
            modulus_mpa=modulus,
            allowed_mpa=allowed,
            density_kg_m3=density,
        )
    if spec.gusset is not None:
        thick = placed["upright"].piece.thickness_mm
        places = tuple(spec.size[0] / 2.0 + g for g in gusset_places(spec, thick))
        gussets = Gussets(reach_mm=spec.gusset[0], rise_mm=spec.gusset[1], places=places)
    limits = order.limits
    return Mount(
        style=spec.style,
        placed=loaded,
        material=material(order.sheet.material),
        rig=rig,
        held=held,
        prop=prop,
        moves=Moves(
            still=spec.moves.still,
            acceleration=spec.moves.acceleration or (0.0, 0.0, 0.0),
            stop=spec.moves.stop,
            shake=spec.moves.shake,
            stands=spec.moves.stands,
        ),
        rules=Rules(
            factor=limits.factor,
            joint=factor_of("joint_solvent") if limits.joint is None else limits.joint,
            sag_of_reach=limits.deflection.of_span,
            sag_mm=limits.deflection.mm,
        ),
        standoffs=standoffs,
        gussets=gussets,
    )


def _thin(placed: Placed, thin_mm: float) -> Placed:
    """An instance in the thinnest sheet that it may come in, its middle plane where it is drawn."""
    sheet = replace(placed.piece.sheet, readings_mm=(thin_mm,))
    return replace(placed, piece=replace(placed.piece, sheet=sheet))


def _bolted(order: Order, spec: PropMountSpec, loaded: Mapping[str, Placed], name: Literal["rig", "prop"]) -> Bolted:
    from assemblies.kinds.prop_mount.bolts import bolts_of
    from assemblies.kinds.prop_mount.outer import foot_of
    from assemblies.strength.mount.given import Bolted

    face = spec.rig if name == "rig" else spec.prop
    bolts, plate = bolts_of(order, name), loaded[foot_of(spec, name)]
    width, height, thick = plate.piece.size_mm
    return Bolted(
        side=name,
        plate=plate,
        places=tuple((width / 2.0 + x, height / 2.0 + y) for x, y in bolts.centres),
        thread=bolts.thread,
        tapped=bolts.tapped,
        hole_mm=bolts.hole_mm,
        seat_mm=face.seat,
        away=plate.z,
        face_mm=0.0 if name == "rig" else thick,
        refits=face.refits,
        locked=face.locked,
        slot_mm=bolts.slot_mm,
        pocket=plate.piece.pockets[0 if name == "rig" else -1] if bolts.let_in else None,
    )


def _over(proof: MountProof) -> Iterator[Finding]:
    """A stop for each place over its limit, with its worst case."""
    seen = set()
    for use in proof.uses:
        if use.use > 1.0 and (use.where, use.what) not in seen:
            seen.add((use.where, use.what))
            why, do = _words(use)
            yield Finding(
                level="stop",
                check="strength",
                where=use.where,
                why=f"{use.case}: {why}",
                do=do,
                source="computed: see the section on loads",
            )


def _words(use: MountUse) -> tuple[str, str]:
    figures = f"{use.value:.3g} {use.unit} of {use.allowed:.3g} {use.unit} allowed"
    if use.what == "sinks":
        return f"the prop sinks {figures}", "a thicker sheet, more or deeper gussets, a nearer centre of mass"
    if use.what == "shaken":
        return (
            f"its first frequency is {use.allowed:.3g} Hz, under three times what shakes it ({use.value:.3g} Hz wanted)",
            "a thicker sheet, a shorter reach, a lighter prop, or what shakes it made softer",
        )
    if use.what == "bond":
        return f"the bond bears {figures}", "larger gussets or walls, or a shorter reach"
    if use.what == "stress":
        return f"it bears {figures}", "a thicker sheet, or bolts further apart"
    return f"used to {100.0 * use.use:.0f} %: a bolt pulls {figures}", "more or larger bolts, further apart"


def _said(mount: Mount, proof: MountProof) -> Iterator[Finding]:
    if proof.as_sheets:
        yield Finding(
            level="care",
            check="strength",
            where="base and upright",
            why="a single bolt, slots, cut-outs or narrow room about holes: they are calculated as sheets, which solids do not "
            "back as closely; sag is taken 15 % larger, stress in the upright 70 %",
            do="for a closer figure: at least two round holes a side, further from each other and from edges",
            source="computed against solids of other brackets",
        )
    if mount.style == "bracket":
        yield Finding(
            level="care",
            check="strength",
            where="gussets",
            why="no formula says how a gusset's toe peels: its bond is checked together with the upright's, as one section"
            if proof.as_sheets
            else "a gusset's bond peels at its toe: it is proven as the mean over one thickness there, not at the very tip",
            do="look at the toes before every show; a crack there means retire it",
            source="judgement",
        )


def _taken(order: Order, spec: PropMountSpec) -> tuple[Taken, ...]:
    out = []
    if spec.payload.size is None:
        out.append(
            Taken(
                what="the box that the prop fills",
                value="a cube twice as large as its centre is off",
                why="its inertia, and so the first frequency",
                say="[prop-mount.payload] size",
                weight=1.3,
            )
        )
    for name, face in (("rig", spec.rig), ("prop", spec.prop)):
        if face.seat is None:
            out.append(
                Taken(
                    what=f"the face that the {name} bolts pull it against",
                    value="just past the bolts",
                    why="how hard the bolts are prised",
                    say=f"[prop-mount.{name}] seat",
                    weight=1.5,
                )
            )
    if not order.says("limits", "deflection"):
        out.append(
            Taken(
                what="how far the prop may sink",
                value="1/200 of its reach",
                why="the sag that passes",
                say="[limits] deflection",
                weight=1.2,
            )
        )
    return tuple(out)


def _rows(made: Made, proof: MountProof) -> Rows:
    return {
        "mount": {
            "uses": [vars(use) for use in proof.uses],
            "frequency": proof.frequency_hz,
            "felt": proof.felt,
            "sag": proof.sag_mm,
            "sag_allowed": proof.sag_allowed_mm,
            "torques": [{"side": side, "thread": name, "torque_Nm": most} for side, name, most in proof.torques],
            "bolts": [{"case": case, "side": side, **vars(use)} for case, side, use in proof.bolts],
        }
    }


_WHY: Final = {
    "stress": "bending by finite elements, plus the stress in its plane, times 3 at a hole",
    "bond": "eccentric load on the bonded area; a joint has its share of the sheet's strength",
    "sinks": "bending of every plate, creep included",
    "shaken": "three times the frequency of the shaking, against its own lowest (common practice)",
}
_BOLT_WHY: Final = (
    "the worse of two models, pivoting on the edge or on an elastic bed, prying and bearing in the hole included"
)


def _blocks(report: Report, _unit: LengthUnit = "mm") -> Iterator[Block]:
    """Per case what is used most; how it swings, and how far the prop sinks."""
    mount = report.get("mount")
    if not mount:
        return
    found: dict[str, list[Bar]] = {}
    for row in mount["uses"]:
        text = f"{amount(row['value'], row['unit'])} of {amount(row['allowed'], row['unit'])}"
        label = f"{row['where']}: {row['what']}"
        found.setdefault(row["case"], []).append(
            Bar(label=label, use=row["use"], text=text, why=_WHY.get(row["what"], _BOLT_WHY))
        )
    for case, bars in found.items():
        yield used_most(case, bars)
    yield Figures(
        items=[
            Figure(
                label="Lowest natural frequency",
                value=amount(mount["frequency"], "Hz", 1),
                why="all parts together, a lower bound (Dunkerley)",
            ),
            Figure(
                label="Movement in use is amplified",
                value=f"{mount['felt']:.2f} times",
                why="1 / (1 - (shake / frequency)2)",
            ),
            Figure(
                label="The prop sags over the years",
                value=amount(mount["sag"], "mm"),
                why="under its weight, creep included",
            ),
            *(
                Figure(
                    label=f"Tighten the {t['thread']} bolts of the {t['side']} to at most",
                    value=amount(t["torque_Nm"], "N m"),
                    why="T = K F d; the sheet bears what it presses for years",
                )
                for t in mount["torques"]
            ),
        ]
    )


STRENGTH: Final = Check(
    name="strength",
    run=_strength,
    questions=("hold",),
    rows=_rows,
    sections=(SectionOf(id="loads", station="plan", title="Loads", blocks=_blocks),),
)
