"""Dimensioned drawings of each part and of the whole."""
