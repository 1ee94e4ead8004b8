"""Cautions, proof test, rules of bonding."""
