"""What the shop has: its rack, its machines and processes, its rates."""
