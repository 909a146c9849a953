"""How long each step is expected to take, in minutes, and so when the later ones come."""

from __future__ import annotations

import math

from mashday.engine import contents as pot
from mashday.engine import landing
from mashday.engine.state import State
from mashday.schedule.model import (
    Add,
    Boil,
    CleanUp,
    Cook,
    Cool,
    Do,
    DoughIn,
    Heat,
    MashOut,
    Pitch,
    Raise,
    Rest,
    Schedule,
    Separate,
    SetUp,
    StarchCheck,
)

USUAL_MINUTES: dict[type, float] = {
    SetUp: 20.0,
    Heat: 35.0,
    DoughIn: 8.0,
    Raise: 10.0,
    MashOut: 10.0,
    StarchCheck: 5.0,
    Separate: 30.0,
    Boil: 25.0,
    Cool: 30.0,
    Add: 3.0,
    Pitch: 10.0,
    CleanUp: 25.0,
    Do: 5.0,
    Cook: 20.0,
}
"""Minutes a step takes where nothing better is known (for a boil and a cook: the way up to it).
Common practice, no source."""

ON_THE_GRAIN_MINUTES = 8.0
"""Minutes for a sample and its gravity where nothing is separated. Common practice, no source."""

COOLING_MINUTES = {"coil": 20.0, "ice bath": 45.0, "cold water": 5.0, "ice": 10.0}
"""Minutes a way of cooling usually takes for 20 L. Common practice, no source."""

SHORT_OF_BOILING_KELVIN = 0.5
"""What is heated comes to the boil if it comes so near. Judgement."""

LONGEST_MINUTES = 1440.0


def heat_up_minutes(schedule: Schedule, state: State, number: int, start: float) -> float:
    """Minutes from `start` Celsius up to the target of step `number`: by the heater, else the usual."""
    target = landing.target_celsius(schedule, state, number)
    usual = USUAL_MINUTES[type(schedule.step(number))]
    if target is None:
        return usual
    minutes = landing.heating_minutes(schedule, state, number, start, target)
    return usual if minutes is None or math.isinf(minutes) else minutes


def is_out_of_reach(schedule: Schedule, state: State, number: int) -> bool:
    """True if the pot's own heater never brings step `number` to its target."""
    step = schedule.step(number)
    by_fire = isinstance(step, Raise | MashOut) and pot.way_of(schedule, number) == "fire"
    heated = isinstance(step, Heat) and pot.heats_in_pot(schedule, number)
    target = landing.target_celsius(schedule, state, number)
    if target is None or not (by_fire or heated or isinstance(step, Cook | Boil)):
        return False
    near = min(target, pot.boiling_celsius(schedule) - SHORT_OF_BOILING_KELVIN)
    minutes = landing.heating_minutes(schedule, state, number, starts_at(schedule, state, number), near)
    return minutes is not None and math.isinf(minutes)


def step_minutes(schedule: Schedule, state: State, number: int, start: float) -> float:
    """Minutes step `number` is expected to take from beginning to end, with the pot at `start` Celsius."""
    step = schedule.step(number)
    record = state.record(number)
    extended = record.extended_minutes if record else 0.0
    if isinstance(step, Rest):
        return max(0.0, step.minutes + extended)
    if isinstance(step, Boil | Cook):
        return heat_up_minutes(schedule, state, number, start) + step.minutes + extended
    if isinstance(step, Heat):
        return heat_up_minutes(schedule, state, number, start)
    if isinstance(step, Raise | MashOut) and pot.way_of(schedule, number) == "fire":
        return heat_up_minutes(schedule, state, number, start)
    if isinstance(step, Cool):
        return _cooling_minutes(schedule, state, number, start)
    if isinstance(step, StarchCheck) and record is not None:
        failed = [r for r in state.valid("starch", number) if not r.fact.passed]
        if failed and record.ended is None:
            until_now = (failed[-1].run - record.began_run) / 60.0
            return until_now + step.retry_minutes + USUAL_MINUTES[StarchCheck]
    if isinstance(step, Separate) and step.by == "on the grain":
        return ON_THE_GRAIN_MINUTES
    return USUAL_MINUTES[type(step)]


def _cooling_minutes(schedule: Schedule, state: State, number: int, start: float) -> float:
    step = schedule.step(number)
    assert isinstance(step, Cool)
    target = landing.target_celsius(schedule, state, number)
    if target is None or start <= target:
        return USUAL_MINUTES[Cool] if target is None else 1.0
    if step.by == "standing":
        room = schedule.place.room_celsius
        reachable = max(target, room + 1.0)
        minutes = landing.drift_minutes(schedule, state, number, start, reachable)
        return min(LONGEST_MINUTES, minutes)
    return COOLING_MINUTES[step.by]


def starts_at(schedule: Schedule, state: State, number: int) -> float:
    """The temperature the pot is expected to have when step `number` begins, Celsius."""
    for earlier in range(number - 1, 0, -1):
        step = schedule.step(earlier)
        if isinstance(step, Heat) and not pot.heats_in_pot(schedule, earlier):
            continue
        target = landing.target_celsius(schedule, state, earlier)
        if target is not None:
            return target
    return schedule.place.tap_celsius


def planned_minutes(schedule: Schedule, from_step: int = 1) -> list[float]:
    """The minutes each step was expected to take before the day began; none for those before `from_step`."""
    fresh = State()
    own = [
        step_minutes(schedule, fresh, number, starts_at(schedule, fresh, number))
        for number in range(from_step, len(schedule.steps) + 1)
    ]
    return [0.0] * (from_step - 1) + own
