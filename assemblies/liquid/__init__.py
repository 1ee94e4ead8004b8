"""Liquid in a rig: where it stands, what leaves, how it presses; fluids; weight and balance.

Everything follows from one engine, `settle`: a cavity, a volume and an effective gravity.
"""

from typing import TYPE_CHECKING

from parts.late import late

if TYPE_CHECKING:
    from assemblies.design.mass import Body, combine, cuboid
    from assemblies.liquid.balance import TipCheck, TipLimit, tip_check, tip_limit
    from assemblies.liquid.engine import REST, Settled, WettedFace, capacity, depth_for_volume, settle, volume_for_depth
    from assemblies.liquid.loads.handling import (
        Lift,
        LiftLimit,
        drop_factor,
        lift_limits,
        recommended_weight,
        weight_limit,
    )
    from assemblies.liquid.loads.loadcase import LoadCase
    from assemblies.liquid.pour import (
        PourState,
        PushState,
        TiltState,
        capacity_at_tilt,
        pour_smoothly,
        pour_steadily,
        pushed,
        spill_acceleration,
        spill_tilt,
        tilted,
    )
    from assemblies.liquid.rigid import liquid_body, open_box_body
    from assemblies.liquid.shapes.cavity import Cavity, Cylinder, Face, Mesh, box, round_cavity
    from assemblies.liquid.shapes.openings import Circle3, Lip, Port
    from assemblies.liquid.waves.impulse import BoxBlow, RoundBlow, rect_share, round_blow_share
    from assemblies.liquid.waves.modes import FirstWaves, Mode, first_waves, rect_mode, round_mode, round_share

__all__ = [
    "REST",
    "Body",
    "BoxBlow",
    "Cavity",
    "Circle3",
    "Cylinder",
    "Face",
    "FirstWaves",
    "Lift",
    "LiftLimit",
    "Lip",
    "LoadCase",
    "Mesh",
    "Mode",
    "Port",
    "PourState",
    "PushState",
    "RoundBlow",
    "Settled",
    "TiltState",
    "TipCheck",
    "TipLimit",
    "WettedFace",
    "box",
    "capacity",
    "capacity_at_tilt",
    "combine",
    "cuboid",
    "depth_for_volume",
    "drop_factor",
    "first_waves",
    "lift_limits",
    "liquid_body",
    "open_box_body",
    "pour_smoothly",
    "pour_steadily",
    "pushed",
    "recommended_weight",
    "rect_mode",
    "rect_share",
    "round_blow_share",
    "round_cavity",
    "round_mode",
    "round_share",
    "settle",
    "spill_acceleration",
    "spill_tilt",
    "tilted",
    "tip_check",
    "tip_limit",
    "volume_for_depth",
    "weight_limit",
]

if not TYPE_CHECKING:
    __getattr__ = late(
        __name__,
        __all__,
        (
            "assemblies.design.mass",
            "assemblies.liquid.engine",
            "assemblies.liquid.shapes.cavity",
            "assemblies.liquid.shapes.openings",
            "assemblies.liquid.loads.loadcase",
            "assemblies.liquid.pour",
            "assemblies.liquid.rigid",
            "assemblies.liquid.balance",
            "assemblies.liquid.loads.handling",
            "assemblies.liquid.waves.impulse",
            "assemblies.liquid.waves.modes",
        ),
    )
