"""How often a day will call, by its plan: too many calls are no longer answered, and then not even heard."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from mashday.engine import asks
from mashday.engine.prospect import StepOutlook, step_outlooks
from mashday.engine.state import State
from mashday.schedule.model import (
    Boil,
    Cook,
    Cool,
    DoughIn,
    Heat,
    MashOut,
    Pitch,
    Raise,
    Rest,
    Schedule,
    Separate,
    StarchCheck,
)

STEADY_MOST = 6
"""Calls an hour one answers for long beside other work: one in ten minutes (EEMUA 191)."""
PEAK_MOST = 12
"""Calls in a single hour of much handling. Judgement: twice the steady rate."""


CLOSEST = 1.0
"""Minutes; readings closer than this are counted as if they came each minute."""


@dataclass(frozen=True, slots=True)
class PlannedCall:
    """A call the plan foresees: minutes from the start of the day, and the step it is of."""

    minute: float
    step: int


def planned_calls(schedule: Schedule) -> tuple[PlannedCall, ...]:
    """The calls of a day that goes by its plan, in their order."""
    found = [
        PlannedCall(outlook.starts_minute + after, outlook.number)
        for outlook in step_outlooks(schedule, State())
        for after in _of_step(schedule, outlook)
    ]
    return tuple(sorted(found, key=lambda call: call.minute))


def steady_per_hour(schedule: Schedule, number: int) -> float | None:
    """Readings an hour that a rest, cook or cooling asks for itself; None where it leaves that open."""
    step = schedule.step(number)
    every = step.read_every_minutes if isinstance(step, Rest | Cook | Cool) else None
    return None if every is None else 60.0 / every


def busiest_hour(calls: tuple[PlannedCall, ...]) -> tuple[int, int]:
    """The most calls within one hour, and the step the first of them is of; (0, 0) without calls."""
    best, last = (0, 0), 0
    for place, first in enumerate(calls):
        while last < len(calls) and calls[last].minute < first.minute + 60.0:
            last += 1
        if last - place > best[0]:
            best = (last - place, first.step)
    return best


def _of_step(schedule: Schedule, outlook: StepOutlook) -> Iterator[float]:
    """Minutes after the start of the step at which it will call."""
    step = schedule.step(outlook.number)
    if isinstance(step, Rest | Cook | Boil):
        runs = outlook.minutes - step.minutes
        if not isinstance(step, Boil):
            yield from (runs + after for after in _readings(schedule, outlook.number, step))
        yield outlook.minutes
    elif isinstance(step, Cool) and step.read_every_minutes is not None:
        yield from _every(step.read_every_minutes, step.read_every_minutes, outlook.minutes)
    elif isinstance(step, Heat | Raise | MashOut | Cool):
        yield outlook.minutes
    elif isinstance(step, StarchCheck):
        yield 0.0
    elif isinstance(step, Separate):
        yield from (5.0,) if step.by == "on the grain" else (5.0, 20.0)
    elif isinstance(step, Pitch):
        yield from (0.0, 2.0, 4.0)


def _readings(schedule: Schedule, number: int, step: Rest | Cook) -> Iterator[float]:
    after_grain = number > 1 and isinstance(schedule.step(number - 1), DoughIn)
    first = asks.SETTLE_AFTER_GRAIN if after_grain else asks.AFTER_ADDITION
    every = step.read_every_minutes if step.read_every_minutes is not None else asks.LONGEST_GAP
    yield from _every(min(first, step.minutes), every, step.minutes - asks.LEAST_GAP)


def _every(first: float, gap: float, end: float) -> Iterator[float]:
    yield first
    count = int(max(0.0, end - first) / max(gap, CLOSEST))
    yield from (first + max(gap, CLOSEST) * place for place in range(1, count + 1))
