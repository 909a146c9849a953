"""How long a step that heats or cools still needs: by its readings, by the heater, by the pot's own loss."""

from __future__ import annotations

import math

from mashday.engine import landing, timetable
from mashday.engine.facts import PROBE
from mashday.engine.state import Reading, State, StepRecord
from mashday.schedule.model import Cool, Heat, MashOut, Raise, Schedule
from mashday.science import cooling

SLOWER_THAN_HEATED = 2.0
"""Two readings that say it takes so many times what the heater should: one of them was taken badly, or water
went in between; the heater is believed. Judgement."""


def minutes_left(schedule: Schedule, state: State, number: int) -> float | None:
    """Minutes after the newest reading of step `number` until its target, from what is known; None if
    nothing is.

    Two readings give the rate (going up: even; going down: towards the coolant, as Newton's law has it);
    one reading falls back on the heater or on the standing pot's own loss.
    """
    target = landing.target_celsius(schedule, state, number)
    record = state.record(number)
    if target is None or record is None:
        return None
    readings = [r for r in state.valid("temperature", number) if r.t >= record.began]
    if not readings:
        return None
    latest = readings[-1]
    step = schedule.step(number)
    if len(readings) >= 2:
        found = _from_two(schedule, readings[-2], latest, target, falling=isinstance(step, Cool))
        heated = landing.heating_minutes(schedule, state, number, latest.metric, target)
        if isinstance(step, Cool) or heated is None:
            return found
        return heated if found is None or found > SLOWER_THAN_HEATED * heated else found
    if isinstance(step, Cool):
        if step.by != "standing":
            start = timetable.starts_at(schedule, state, number)
            minutes_so_far = (latest.run - record.began_run) / 60.0
            return _falling(schedule, start, latest, minutes_so_far, target)
        minutes = landing.drift_minutes(schedule, state, number, latest.metric, target)
        return None if math.isinf(minutes) else minutes
    return landing.heating_minutes(schedule, state, number, latest.metric, target)


STALLED_KELVIN, STALLED_SECONDS = 0.5, 600.0
"""A heating or cooling that came no further than this in so long stands still. Judgement."""


def stands_still(schedule: Schedule, state: State, number: int) -> bool:
    """True if the readings of step `number` have come no nearer to its target for ten minutes or more."""
    target = landing.target_celsius(schedule, state, number)
    record = state.record(number)
    if target is None or record is None:
        return False
    readings = [r for r in state.valid("temperature", number) if r.t >= record.began and not r.fact.assumed]
    earlier = [r for r in readings if readings[-1].run - r.run >= STALLED_SECONDS]
    if not earlier:
        return False
    nearer = abs(earlier[-1].metric - target) - abs(readings[-1].metric - target)
    return nearer < STALLED_KELVIN


def _from_two(
    schedule: Schedule, first: Reading, last: Reading, target: float, *, falling: bool
) -> float | None:
    minutes = (last.run - first.run) / 60.0
    if minutes <= 0.0:
        return None
    if not falling:
        rise = last.metric - first.metric
        return max(0.0, (target - last.metric) * minutes / rise) if rise > 0.1 else None
    return _falling(schedule, first.metric, last, minutes, target)


def _falling(schedule: Schedule, start: float, last: Reading, minutes: float, target: float) -> float | None:
    """Minutes more from `last` to the target when it took `minutes` to fall from `start`, towards the tap."""
    if minutes < 0.01 or last.metric <= target or start - last.metric <= 0.1:
        return None
    return cooling.minutes_left(
        before=(0.0, start),
        now=(minutes, last.metric),
        to_celsius=target,
        coolant_celsius=min(schedule.place.tap_celsius, target - 0.5),
    )


COAST_SECONDS = 30.0
"""A heater that is turned off gives about as much more as it gave in so many seconds, with the way to it.
Judgement; the day's own heatings put it right."""
MOST_COAST_SECONDS = 120.0
COASTED_WITHIN_SECONDS = 900.0
"""Two readings by the probe at the end of a heating further apart than this tell no coast. Judgement."""


def coast_kelvin(schedule: Schedule, state: State, number: int) -> float:
    """How far step `number` still rises once its heater is told to go off, K; 0 where no heater is known.

    By the heatings of this day that a probe has watched, else by `COAST_SECONDS` of the heater's pace.
    """
    minutes = _minutes_a_kelvin(schedule, state, number)
    if minutes is None:
        return 0.0
    watched = [_coasted_seconds(schedule, state, record) for record in state.records]
    seen = [seconds for seconds in watched if seconds is not None]
    seconds = sum(seen) / len(seen) if seen else COAST_SECONDS
    return min(max(seconds, 0.0), MOST_COAST_SECONDS) / 60.0 / minutes


def _minutes_a_kelvin(schedule: Schedule, state: State, number: int) -> float | None:
    target = landing.target_celsius(schedule, state, number)
    if target is None:
        return None
    minutes = landing.heating_minutes(schedule, state, number, target - 1.0, target)
    return None if minutes is None or math.isinf(minutes) or minutes <= 0.0 else minutes


def _coasted_seconds(schedule: Schedule, state: State, record: StepRecord) -> float | None:
    """How many seconds of its heater's pace an earlier heating still rose after the probe had called it."""
    if record.ended is None or not isinstance(schedule.step(record.number), Heat | Raise | MashOut):
        return None
    if landing.is_beside(schedule, record.number):
        return None
    minutes = _minutes_a_kelvin(schedule, state, record.number)
    seen = [r for r in state.valid("temperature", record.number) if r.fact.source == PROBE]
    if minutes is None or len(seen) < 2:
        return None
    called, after = seen[-2:]
    if not 0.0 < after.run - called.run <= COASTED_WITHIN_SECONDS or after.metric < called.metric:
        return None
    return 60.0 * minutes * (after.metric - called.metric)
