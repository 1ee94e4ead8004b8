"""What loads a thing: the ways of moving it, and the load cases that strength reads."""
