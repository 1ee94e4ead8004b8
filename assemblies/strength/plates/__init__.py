"""One plate in bending."""
