"""Filling and emptying: how long it drains, what an overflow carries, how fast it may be filled."""
