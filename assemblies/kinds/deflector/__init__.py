"""Deflectors and bent covers of sheet: tables, build, checks, starter."""
