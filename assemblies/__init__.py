"""Pieces together: designs, checks, exports and the command."""
