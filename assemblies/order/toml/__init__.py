"""TOML itself: on which line each key stands, and what is wrong with a text that is none."""
