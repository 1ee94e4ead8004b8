"""A place against time, whatever moves along it: profiles of a move, and shapers of them."""
