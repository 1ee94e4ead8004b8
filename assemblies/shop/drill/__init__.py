"""The drill sheet: what the drill press does, in which order, how fast."""
