"""Rectangles on sheets by straight cuts from edge to edge: the search."""
