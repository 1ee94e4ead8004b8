"""More tables of an order: what was read of a made rig, values by name, plates."""
