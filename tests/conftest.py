"""No property has a time limit: a loaded machine is slow, and limits belong in the named benchmarks."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")
