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
    lift,
)
from mashday.quantities import Units
from mashday.schedule.model import Cook, Cool, DoughIn, Heat, MashOut, Raise, Schedule, Separate, SetUp
from mashday.science import water


def cautions(schedule: Schedule, number: int, units: Units = "metric") -> tuple[str, ...]:
    """The cautions of step `number`, their numbers in these units."""
    weighed = {LIFT: _lift(schedule, number, units)}
    return tuple(weighed.get(text) or in_units(text, units) for text in _of_step(schedule, number))


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


def _lift(schedule: Schedule, number: int, units: Units) -> str:
    """The caution of lifting with the weight of the mash before step `number`, as planned.

    What is poured in to raise or cool it comes on top.
    """
    kilograms, more, mashed = 0.0, False, False
    for earlier, step in enumerate(schedule.steps[: number - 1], 1):
        kilograms += sum(grain.mass_kg for grain in schedule.grain_into(earlier))
        if isinstance(step, Cook) or (isinstance(step, Heat) and not mashed):
            kilograms += water.mass_kg(step.water_litres or 0.0)
        mashed = mashed or isinstance(step, Cook | DoughIn)
        if isinstance(step, Raise | MashOut):
            heated = schedule.pot.heater_kilowatts is not None
            more = more or step.by == "hot water" or (step.by is None and not heated)
        more = more or (isinstance(step, Cool) and step.by == "cold water")
    return lift(kilograms, units, more=more) if mashed else LIFT
