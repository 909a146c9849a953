"""Gravity, volume, conversion and alcohol of a day: as the model promised them and as they were read."""

from __future__ import annotations

from dataclasses import dataclass

from mashday.engine import afterwards, extract
from mashday.engine import contents as pot
from mashday.engine import facts as f
from mashday.engine.conversion import MOST_DISSOLVED
from mashday.engine.prospect import Prospect
from mashday.engine.state import State
from mashday.schedule.model import Boil, DoughIn, Schedule, Separate
from mashday.science import alcohol
from mashday.science.limits import OutOfRange


@dataclass(frozen=True, slots=True)
class Sugar:
    """Gravity, volume, conversion and alcohol, planned, expected or measured; None where nothing is known.

    `is_over` is true where what was read says that more is dissolved than the grain can hold: then it tells
    no conversion.
    """

    first_runnings_gravity: float | None = None
    wash_gravity: float | None = None
    wash_litres: float | None = None
    conversion: float | None = None
    final_gravity: float | None = None
    abv_percent: float | None = None
    is_over: bool = False


def promised(outlook: Prospect) -> Sugar:
    """What an outlook says the mash will give, by the model."""
    result = outlook.expected
    if result is None:
        return Sugar()
    return Sugar(
        result.first_runnings_gravity,
        result.wash_gravity,
        result.wash_litres,
        outlook.conversion_end,
        result.final_gravity,
        result.abv_percent,
    )


def measured(schedule: Schedule, state: State) -> Sugar:
    """What was read on the day, and the final gravity read later; assumed values count for nothing."""
    first = _first_runnings(schedule, state)
    wash_gravity = afterwards.wash_gravity(state)
    litres = afterwards.wash_litres(state)
    if litres is None and pot.first_step(schedule, Boil) is None:
        litres = _last(state, "volume", ("wort",))
    if litres is None:
        litres = afterwards.last_read(state, "volume")
    final = afterwards.last_read(state, "gravity")
    dissolved = _measured_conversion(schedule, state, first)
    is_over = dissolved is not None and dissolved > MOST_DISSOLVED
    alcohol_read = _abv_percent(wash_gravity, final)
    return Sugar(first, wash_gravity, litres, None if is_over else dissolved, final, alcohol_read, is_over)


def is_mashed(schedule: Schedule, state: State) -> bool:
    """True once the first grain was doughed in, or stood so before the day; of a day without a dough-in, once
    it has begun."""
    number = pot.first_step(schedule, DoughIn)
    if number is None:
        return state.started is not None
    return state.from_step > number or state.record(number) is not None


def foreseen(read: Sugar, expected: Sugar) -> tuple[float, float] | None:
    """End gravity and alcohol (% by volume) of a wash whose gravity was read, fermented as far as the mash is
    expected to; None where one of them is not known, or the end gravity was read."""
    if read.wash_gravity is None or read.final_gravity is not None:
        return None
    if expected.wash_gravity is None or expected.final_gravity is None:
        return None
    try:
        fermented = alcohol.true_rdf(expected.wash_gravity, expected.final_gravity)
        final = alcohol.final_gravity(read.wash_gravity, fermented)
        return final, alcohol.abv_percent(read.wash_gravity, final)
    except OutOfRange:
        return None


def _abv_percent(original: float | None, final: float | None) -> float | None:
    """Alcohol from both gravities, % by volume; None if one is missing or no wash ends so."""
    if original is None or final is None:
        return None
    try:
        return alcohol.abv_percent(original, final)
    except OutOfRange:
        return None


def _first_runnings(schedule: Schedule, state: State) -> float | None:
    """The first gravity of the separation, before anything is rinsed or boiled; else the last of the mash."""
    number = pot.first_step(schedule, Separate)
    for reading in state.valid("gravity", number) if number is not None else ():
        if not reading.fact.assumed:
            return reading.metric
    return _last(state, "gravity", ("mash",))


def _measured_conversion(schedule: Schedule, state: State, first: float | None) -> float | None:
    """The fraction converted by the gravity of the first runnings; None where no balance can be drawn."""
    number = pot.first_step(schedule, Separate) or pot.first_step(schedule, DoughIn)
    if first is None or number is None:
        return None
    mash = pot.contents(schedule, state, number)
    try:
        return extract.conversion_from(mash, first) if extract.is_mash(mash) else None
    except OutOfRange:
        return None


def _last(state: State, quantity: f.Quantity, subjects: tuple[f.Subject, ...]) -> float | None:
    """The last value read of this quantity and of one of these."""
    for reading in reversed(state.valid(quantity)):
        if reading.fact.subject in subjects and not reading.fact.assumed:
            return reading.metric
    return None
