"""Orders whose view moves: a tank that slides, pours and leans, on bolted plates."""

from __future__ import annotations

from starters import bare

__all__ = ["moving_order"]

_CASES = """
[[plate]]
on = "left"
at = [0, 0]
size = [60, 60]
thickness = 12
thread = "M6"
pattern = [[-20, -20], [20, -20], [0, 20]]
holes = "through"

[[case]]
name = "glide across"
kind = "slide"
acceleration = "0.8 m/s2"
speed = "0.5 m/s"
jerk = "10 m/s3"
distance = "600 mm"
stop = "0.1 m/s2"
brake = true

[[case]]
name = "pour two litres"
kind = "turn"
toward = "right"
pour = "2 L"
flow = "0.2 L/s"
pivot = [0, 0, 140]

[[case]]
name = "lean back"
kind = "turn"
axis = [-1, 0, 0]
angle = 40
"""


def moving_order() -> str:
    """Seven litres in 300 x 200 x 150."""
    return bare("tank") + _CASES
