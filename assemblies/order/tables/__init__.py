"""More tables of an order: what was read of a made rig, values by name, edges that pour and walls inside."""
