"""A cup that an air cylinder throws: what drives it, how fast it can get, what its stop must take."""
