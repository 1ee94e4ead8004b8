"""Test settings: hypothesis runs the same examples every time; one BLAS thread, as the command has, so that figures repeat."""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before anything imports numpy

from hypothesis import HealthCheck, settings  # after the variable is set

settings.register_profile("same", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("same")
