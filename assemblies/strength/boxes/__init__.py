"""Plates that share their edges."""
