"""One piece of material: its outline, holes, thickness and solid. Never imports `assemblies`."""

from parts.lengths import read_length, write_length

__all__ = ["read_length", "write_length"]
