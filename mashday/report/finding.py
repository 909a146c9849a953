"""One thing found about a day: how it is told, and where it stands in the file."""

from __future__ import annotations

from mashday.quantities import TABLE, Kind, Units, show
from mashday.schedule.door import Problem
from mashday.schedule.model import Schedule


def told(schedule: Schedule, value: float, kind: Kind, digits: int | None = None) -> str:
    """A value in the schedule's own units."""
    return show(value, kind, schedule.units, digits)


def little(grams: float, units: Units) -> str:
    """A mass of a few grams: whole grams, or tenths of an ounce."""
    return f"{grams:.0f} g" if units == "metric" else f"{grams / 1000.0 / TABLE['mass']['oz'].factor:.1f} oz"


def error(key: str, found: str, remedy: str) -> Problem:
    """What cannot be done at all; `key` names the place in the file."""
    return Problem("error", key, None, found, remedy)


def warning(key: str, found: str, remedy: str) -> Problem:
    """What is to be thought about."""
    return Problem("warning", key, None, found, remedy)
