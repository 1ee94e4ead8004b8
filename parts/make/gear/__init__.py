"""Spur gears and straight gears of sheet: teeth, pairs, ratios, outlines, strength."""
