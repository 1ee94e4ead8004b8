"""One piece of material: its outline, holes, thickness and solid. Never imports `assemblies`."""
