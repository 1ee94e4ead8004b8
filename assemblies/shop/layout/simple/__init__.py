"""Layouts made by rule, without the search: in strips, by sizes, by patterns that repeat."""
