"""Functions that make a piece from parameters."""
