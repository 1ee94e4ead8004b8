"""Test settings: hypothesis runs the same examples every time; one BLAS thread, as the command has, so that figures repeat."""

import os
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before anything imports numpy

import pytest  # after the variable is set
from hypothesis import HealthCheck, settings

settings.register_profile("same", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("same")

#: The second lane of `.setup/test`, about half of the time: solid models, plates against published rows, plans, kinds.
SLOW = ("assemblies/strength", "assemblies/shop", "assemblies/kinds")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what stands in those places `slow`, besides what says so itself."""
    here = Path(__file__).parent
    places = {here / place for place in SLOW}
    for item in items:
        if places & {item.path, *item.path.parents}:
            item.add_marker(pytest.mark.slow)
