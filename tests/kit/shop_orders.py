"""Orders that the shop tests share: the starter tank with edits, checked without the kernel."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from asked import ask
from starters import two_plates

from assemblies.design.mass import Body
from assemblies.design.model import Design
from assemblies.examine import Examined
from assemblies.kinds import schemas
from assemblies.liquid.fluids import fluid
from assemblies.liquid.state import LiquidState
from assemblies.order import Order, read_order_text
from assemblies.report.check import Check, Checked, Made, run_checks
from assemblies.strength.proof.figures import GoodFor, Strength, Tightening
from assemblies.strength.proof.uses import Proof


def order(*edits: tuple[str, str], more: str = "") -> Order:
    """The starter tank, each old text replaced by a new one, and more text at the end."""
    text = two_plates()
    for old, new in edits:
        assert old in text, old
        text = text.replace(old, new)
    return read_order_text(text + more, schemas())


def examined(*edits: tuple[str, str], more: str = "", strength: bool = False) -> Examined:
    return ask(order(*edits, more=more), None if strength else "fit")


def answers(
    order: Order, design: Design, got: Mapping[str, Checked], checks: Iterable[Check]
) -> tuple[Made, dict[str, Any]]:
    """What the checks answer and their rows, where others have answered so."""
    others = [Check(name=name, run=lambda made, answer=answer: answer) for name, answer in got.items()]
    return run_checks(Made(order=order, design=design), (*others, *checks))


def every_text(value: Any) -> list[str]:
    """All texts in plain data."""
    if isinstance(value, str):
        return [value]
    if isinstance(value, dict):
        return [t for v in value.values() for t in every_text(v)]
    if isinstance(value, list | tuple):
        return [t for v in value for t in every_text(v)]
    return []


def liquid_state(design: Design, *, assumed: bool = False) -> LiquidState:
    """Water in the starter tank, its figures by hand: 300 x 200 x 150 mm to the brim, 120 mm filled, 3.6 kg empty."""
    zero = (0.0, 0.0, 0.0)
    empty, full = (Body(mass_kg=m, centre_mm=zero, inertia_kg_mm2=(zero, zero, zero)) for m in (3.6, 3.6 + 7.2 * 0.998))
    return LiquidState(
        fluid=fluid("water"), assumed=assumed, cavity=design.cavities[0], capacity_l=9.0, fill_l=7.2, fill_depth_mm=120.0,
        brim_depth_mm=150.0, freeboard_mm=30.0, open=True, full_to=None, empty=empty, full=full, about_mm=zero,
        spill_tilt_deg={}, at_tilt=(), tips_at_deg=None, tips_at_push_m_s2=None, lost_l={},
    )  # fmt: skip


def strength_found() -> Strength:
    """Invented figures of a check of strength: it bears more than it spills at, and tilts less; one plate has no bolts."""
    good = GoodFor(fill_l=9.0, acceleration_m_s2=2.0, tilt_deg=12.0, dry_acceleration_m_s2=0.9, dry_tilt_deg=20.0)
    plates = (
        Tightening(plate="plate-1", thread="M6", torque_nm=1.5, longest_bolt_mm=11.0),
        Tightening(plate="plate-2", thread="M6", torque_nm=1.5, longest_bolt_mm=11.0),
        Tightening(plate="bare", thread=None, torque_nm=None, longest_bolt_mm=None),
    )
    proof = Proof(uses=(), seams=(), mounts=(), findings=())
    return Strength(proof=proof, good_for=good, covered=True, beyond=frozenset(), tightening=plates)
