"""Which cautions apply at a step, and on a whole day."""

from __future__ import annotations

from mashday.cautions import (
    BOIL_OVER,
    CLEANERS,
    COOK,
    DUST,
    FIRE,
    FIRST_OUT,
    GAS,
    GLASS,
    HOT,
    IODINE,
    LAW,
    LID,
    LIFT,
    STANDING,
    in_units,
)
from mashday.quantities import Units
from mashday.schedule.model import Cool, MashOut, Raise, Schedule, Separate, SetUp


def cautions(schedule: Schedule, number: int, units: Units = "metric") -> tuple[str, ...]:
    """The cautions of step `number`, their numbers in these units."""
    return tuple(in_units(text, units) for text in _of_step(schedule, number))


def of_the_day(schedule: Schedule, units: Units = "metric") -> tuple[str, ...]:
    """The cautions of all steps, each once, in the order of the day, their numbers in these units."""
    numbers = range(1, len(schedule.steps) + 1)
    return tuple(dict.fromkeys(text for number in numbers for text in cautions(schedule, number, units)))


def _of_step(schedule: Schedule, number: int) -> tuple[str, ...]:
    step = schedule.step(number)
    if isinstance(step, SetUp):
        return (DUST, FIRE)
    if isinstance(step, Cool):
        return (FIRST_OUT, STANDING) if step.by == "coil" else (STANDING,)
    if isinstance(step, Separate):
        return (GLASS,) if step.by == "on the grain" else (LIFT, HOT, GLASS)
    if isinstance(step, Raise | MashOut):
        return (HOT, LID)
    by_kind: dict[str, tuple[str, ...]] = {
        "heat": (FIRE,),
        "dough-in": (HOT, LID),
        "cook": (COOK, BOIL_OVER),
        "boil": (BOIL_OVER, LID),
        "starch-check": (IODINE,),
        "pitch": (GLASS, GAS, LAW),
        "clean-up": (CLEANERS,),
    }
    return by_kind.get(step.kind, ())
