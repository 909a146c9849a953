"""What `decide` can answer besides facts: a refusal or a doubt, each one clear sentence."""

from __future__ import annotations

from dataclasses import dataclass

from mashday.engine.facts import Fact
from mashday.engine.state import State
from mashday.quantities import Kind, Units, show
from mashday.schedule.model import Schedule


@dataclass(frozen=True, slots=True)
class Refused:
    """It cannot be; nothing changed. `why` says what was found and what would do."""

    why: str


@dataclass(frozen=True, slots=True)
class Doubt:
    """It could be, but is more likely a slip: it is done once the person keeps to it."""

    why: str


Decision = tuple[Fact, ...] | Refused | Doubt


def units_of(schedule: Schedule, state: State) -> Units:
    """The units things are shown in: as chosen today, else as the schedule says."""
    return state.units or schedule.units


def told(schedule: Schedule, state: State, value: float, kind: Kind, digits: int | None = None) -> str:
    """A value in the person's units."""
    return show(value, kind, units_of(schedule, state), digits)
