"""How a rig is moved: slid without spilling, turned to pour, stopped; the drive that takes it, the schedule it runs by.

What a move does to the liquid comes from the engine and the waves of `liquid`; the loads it gives stand in `case_kinds`, and
strength reads nothing else of it.
"""
