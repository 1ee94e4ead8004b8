"""Pieces together: designs, checks, exports and the command."""

import os

# The plates are small: more threads than one only get in each other's way, and in other workers'. Set before numpy is imported.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
