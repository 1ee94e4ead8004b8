"""Test settings: hypothesis runs the same examples every time; one BLAS thread, as the command has, so that figures repeat."""

import os
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before anything imports numpy

import pytest  # after the variable is set
from hypothesis import HealthCheck, settings

settings.register_profile("same", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("same")

#: The second lane of `.setup/test`, about half of the time: a browser, solid models, and plates against published rows.
SLOW = ("browser", "assemblies/strength")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what stands in those folders `slow`, besides what says so itself."""
    here = Path(__file__).parent
    folders = tuple(here / folder for folder in SLOW)
    for item in items:
        if any(folder in item.path.parents for folder in folders):
            item.add_marker(pytest.mark.slow)
