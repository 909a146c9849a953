"""Days for the tests of the engine."""

from __future__ import annotations

import pytest
from days import BARLEY, Day

from mashday.schedule.door import load


@pytest.fixture
def day() -> Day:
    """A day of barley, not begun."""
    return Day(load(BARLEY))


@pytest.fixture
def resting(day: Day) -> Day:
    """A day just gone into its rest."""
    return day.to_step(4)
