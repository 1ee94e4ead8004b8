"""The proof of a tank by the box method."""
