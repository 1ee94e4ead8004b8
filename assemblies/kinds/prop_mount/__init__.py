"""Mounts between a prop and what moves it: tables, build, checks, starter."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from assemblies.kinds.kind import Kind
from assemblies.kinds.prop_mount.build import build_prop_mount
from assemblies.kinds.prop_mount.spec import PropMountSpec

if TYPE_CHECKING:
    from assemblies.report.check import Check

__all__ = ["KIND"]


def _checks() -> tuple[Check, ...]:
    from assemblies.kinds.common import GO_TOGETHER, SHOP
    from assemblies.kinds.prop_mount.checks import STRENGTH
    from assemblies.shop.care.checks import PROOF_TEST

    return (*GO_TOGETHER, STRENGTH, PROOF_TEST, *SHOP)


KIND: Final = Kind(
    name="prop-mount",
    about="mount between a prop and a robot arm, slider, rail or camera screw",
    tables={"prop-mount": PropMountSpec},
    shared=("rig",),
    build=build_prop_mount,
    checks=_checks,
    required=("fit", "strength"),
    starter="prop_mount/prop-mount.toml",
)
