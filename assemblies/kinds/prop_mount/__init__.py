"""Mounts between a prop and what moves it: tables, build, checks, starter."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from assemblies.kinds.kind import Kind
from assemblies.kinds.prop_mount.spec import PropMountSpec

if TYPE_CHECKING:
    from assemblies.design import Design
    from assemblies.order import Order
    from assemblies.report.check import Check

__all__ = ["KIND"]


def _checks() -> tuple[Check, ...]:
    from assemblies.kinds.common import GO_TOGETHER, SHOP
    from assemblies.kinds.prop_mount.checks import STRENGTH
    from assemblies.shop.care.checks import PROOF_TEST

    return (*GO_TOGETHER, STRENGTH, PROOF_TEST, *SHOP)


def _build(order: Order, thickness: object = None) -> Design:
    """As the builder, whose rooms a refused order need not wait for."""
    from assemblies.kinds.prop_mount.build import build_prop_mount

    return build_prop_mount(order, thickness)


KIND: Final = Kind(
    name="prop-mount",
    about="mount between a prop and a robot arm, slider, rail or camera screw",
    tables={"prop-mount": PropMountSpec},
    shared=("rig",),
    build=_build,
    checks=_checks,
    required=("fit", "strength"),
    starter="prop_mount/prop-mount.toml",
)
