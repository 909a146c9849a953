"""How the tests run. No property has a time limit: a loaded machine is slow; limits belong in benchmarks."""

from __future__ import annotations

import os

import pytest
from hypothesis import settings

settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """One more than there are cores: some tests wait beside a terminal, and a core is idle meanwhile."""
    return (os.cpu_count() or 1) + 1
