"""More tables of an order: what was read of a made rig, values by name, plates, edges that pour and walls inside."""
