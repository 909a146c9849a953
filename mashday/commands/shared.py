"""What several commands do alike: finding schedules, telling a summary."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from mashday.engine.state import State
from mashday.quantities import Units
from mashday.report.summary import summary
from mashday.report.values import summary_values
from mashday.report.words import summary_words
from mashday.schedule.door import load
from mashday.schedule.model import Schedule
from mashday.schedule.samples import find
from mashday.session.folder import sessions_folder
from mashday.session.session import moments


def found(file: str) -> tuple[Schedule, str]:
    """The schedule at this path or of the sample of this name, and its text."""
    _, written = find(file)
    return load(written), written


def folder(options: argparse.Namespace) -> Path:
    """The sessions folder meant by the options."""
    return sessions_folder(options.sessions)


def summary_text(schedule: Schedule, state: State, *, rehearsed: bool, units: Units | None) -> str:
    """The summary of a day in words."""
    made = summary(schedule, state, at=moments(state), rehearsed=rehearsed)
    return summary_words(made, units or state.units or schedule.units)


def summary_json(schedule: Schedule, state: State, *, rehearsed: bool) -> dict[str, Any]:
    """The summary of a day as plain values."""
    return summary_values(summary(schedule, state, at=moments(state), rehearsed=rehearsed))
