"""A day begun in mid-mash: what has to be told of the pot that stood, and what is taken where it is not.

The day's own steps begin at `State.from_step`; those before it put in what the schedule says, until the
person tells otherwise.
"""

from __future__ import annotations

from dataclasses import dataclass

from mashday.engine import contents as pot
from mashday.engine import conversion
from mashday.engine.facts import Amount, Told
from mashday.engine.state import State
from mashday.quantities import Kind
from mashday.schedule.model import Schedule
from mashday.science import water


@dataclass(frozen=True, slots=True)
class Question:
    """Something still to be told of the pot, and why."""

    what: Told
    why: str


KINDS: dict[Amount, Kind] = {
    "grain in the pot": "mass",
    "water in the pot": "volume",
    "minutes mashed": "time",
}
"""What may be told of such a pot, and what each is a quantity of."""

WHY: dict[Told, str] = {
    "grain in the pot": "thickness, heat and gravity are reckoned from it",
    "water in the pot": "thickness, room and gravity are reckoned from it; cold litres, as measured",
    "minutes mashed": "so that it is known how far the starch has been converted",
}


def wanted(schedule: Schedule, state: State) -> tuple[Told, ...]:
    """What has to be told of the pot this day was begun with; nothing once its wort has run off."""
    before = state.from_step - 1
    if before < 1 or pot.is_separated(schedule, state.from_step):
        return ()
    planned = pot.contents(schedule, State(), before)
    found: list[Told] = []
    if planned.grains:
        found.append("grain in the pot")
    if planned.water_kg > 0.0:
        found.append("water in the pot")
    if conversion.mashed_before(schedule, state):
        found.append("minutes mashed")
    return tuple(found)


def untold(schedule: Schedule, state: State) -> tuple[Told, ...]:
    """What is still to be told, first things first; nothing once the wort runs off without it."""
    if not state.step or pot.is_separated(schedule, state.step):
        return ()
    return tuple(what for what in wanted(schedule, state) if not _is_told(schedule, state, what))


def _is_told(schedule: Schedule, state: State, what: Told) -> bool:
    """True once it is told as a whole, or kind by kind."""
    if state.told(what) is not None:
        return True
    named = {amount.name for amount in state.amounts if amount.what == what}
    return what == "grain in the pot" and all(grain.name in named for grain, _ in grains(schedule, state))


def question(schedule: Schedule, state: State) -> Question | None:
    """The next thing to be told of the pot, None if all is."""
    left = untold(schedule, state)
    return Question(left[0], WHY[left[0]]) if left else None


def planned(schedule: Schedule, state: State, what: Told) -> float:
    """What the schedule says the pot should hold at its step: kg, cold litres, or minutes in the mash."""
    if what == "minutes mashed":
        return conversion.planned_minutes_before(schedule, state)
    inside = pot.contents(schedule, State(), state.from_step - 1)
    return inside.grain_kg if what == "grain in the pot" else water.litres(inside.water_kg, 20.0)


def is_first(state: State, number: int) -> bool:
    """True if step `number` is the one a day in mid-mash was begun with: its pot has stood, unread."""
    return 1 < state.from_step == number


def grains(schedule: Schedule, state: State) -> pot.Grains:
    """The grain the schedule has in the pot before the step the day was begun at."""
    return pot.contents(schedule, State(), state.from_step - 1).grains


def litres_in_pot(schedule: Schedule, state: State) -> float:
    """Room that what stood in the pot takes up while it is warm, litres."""
    return pot.stood(schedule, state).litres(60.0)
