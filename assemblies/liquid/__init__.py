"""Liquid in a rig: where it stands, what leaves, how it presses; fluids; weight and balance.

Everything follows from one engine, `settle`: a cavity, a volume and an effective gravity.
"""

from assemblies.liquid.cavity import Cavity, Cylinder, Face, Mesh, box, round_cavity
from assemblies.liquid.engine import REST, Settled, WettedFace, capacity, depth_for_volume, settle, volume_for_depth
from assemblies.liquid.loadcase import LoadCase
from assemblies.liquid.openings import Circle3, Lip, Port

__all__ = [
    "REST",
    "Cavity",
    "Circle3",
    "Cylinder",
    "Face",
    "Lip",
    "LoadCase",
    "Mesh",
    "Port",
    "Settled",
    "WettedFace",
    "box",
    "capacity",
    "depth_for_volume",
    "round_cavity",
    "settle",
    "volume_for_depth",
]
