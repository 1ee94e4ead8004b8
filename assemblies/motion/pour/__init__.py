"""Turning to pour: what stays in at each tilt and what it weighs about the pivot, flow over a lip, the schedule of a pour."""
