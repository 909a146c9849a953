"""The summary of a day: everything the log holds, planned beside actual, in metric numbers.

Built from schedule and state alone, so that the same day gives the same summary at any later time.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from mashday.engine import contents as pot
from mashday.engine import conversion, extract, landing, timetable
from mashday.engine import facts as f
from mashday.engine.state import Offer, Reading, State
from mashday.quantities import Units
from mashday.schedule.model import Boil, DoughIn, Schedule, Separate
from mashday.science import water
from mashday.science.limits import OutOfRange


@dataclass(frozen=True, slots=True)
class StepSummary:
    """One step, planned beside actual. `held_celsius` is the mean of its readings over time."""

    number: int
    kind: str
    title: str
    how: str
    began: float | None
    planned_minutes: float
    actual_minutes: float | None
    target_celsius: float | None
    held_celsius: float | None


@dataclass(frozen=True, slots=True)
class AdditionSummary:
    """Water that went in, and the reading after it."""

    seq: int
    minute: float
    litres_cold: float
    litres_as_poured: float
    celsius: float
    after_celsius: float | None
    typed: str
    assumed: bool


@dataclass(frozen=True, slots=True)
class RemedySummary:
    """What was offered for one reading, what was taken and what came of it.

    `stale` is true if the reading it was worked out from has been corrected or voided since.
    """

    minute: float
    read_celsius: float
    target_celsius: float
    offered: tuple[f.RemedyOffered, ...]
    taken: f.RemedyOffered | None
    answer: str
    result_celsius: float | None
    stale: bool


@dataclass(frozen=True, slots=True)
class Sugar:
    """Gravity, volume, conversion and alcohol, expected or measured; None where nothing is known."""

    first_runnings_gravity: float | None = None
    wash_gravity: float | None = None
    wash_litres: float | None = None
    conversion: float | None = None
    final_gravity: float | None = None
    abv_percent: float | None = None


@dataclass(frozen=True, slots=True)
class Away:
    """A time in which nobody was there: how long, and how surely that is known."""

    minute: float
    minutes: float
    how: str


@dataclass(frozen=True, slots=True)
class Summary:
    """A whole day."""

    schedule: str
    pot: str
    units: Units
    started: datetime | None
    ended: datetime | None
    state: str
    left: str | None
    rehearsed: bool
    steps: tuple[StepSummary, ...]
    readings: tuple[Reading, ...]
    additions: tuple[AdditionSummary, ...]
    remedies: tuple[RemedySummary, ...]
    amounts: tuple[f.AmountGiven, ...]
    expected: Sugar
    measured: Sugar
    calls: tuple[tuple[str, float], ...]
    notes: tuple[tuple[float, str], ...]
    undone: tuple[str, ...]
    away: tuple[Away, ...]
    at: Callable[[float], datetime]
    started_t: float
    log: tuple[f.Entry, ...]

    def minute(self, t: float) -> float:
        """Minutes since the day began."""
        return (t - self.started_t) / 60.0


def summary(
    schedule: Schedule, state: State, *, at: Callable[[float], datetime], rehearsed: bool = False
) -> Summary:
    """The summary of this day; `at` gives the wall clock of a session time."""
    started = state.started if state.started is not None else 0.0

    def minute(t: float) -> float:
        return (t - started) / 60.0

    return Summary(
        schedule=schedule.name,
        pot=schedule.pot.name,
        units=state.units or schedule.units,
        started=at(started) if state.started is not None else None,
        ended=at(state.ended) if state.ended is not None else None,
        state=state.phase,
        left=state.left,
        rehearsed=rehearsed,
        steps=_steps(schedule, state),
        readings=state.readings,
        additions=tuple(_addition(state, addition.number, minute) for addition in state.additions),
        remedies=tuple(_remedy(state, offer, minute) for offer in state.offers if offer.options),
        amounts=state.amounts,
        expected=_expected(schedule, state),
        measured=_measured(schedule, state),
        calls=tuple((answered.what, answered.late_seconds) for answered in state.answered),
        notes=tuple((minute(note.t), note.text) for note in state.notes),
        undone=state.undone,
        away=tuple(
            Away(minute(entry.t), entry.fact.away_seconds / 60.0, entry.fact.how)
            for entry in state.log
            if isinstance(entry.fact, f.Opened) and entry.fact.how != "new"
        ),
        at=at,
        started_t=started,
        log=state.log,
    )


def _steps(schedule: Schedule, state: State) -> tuple[StepSummary, ...]:
    planned = timetable.planned_minutes(schedule)
    found = []
    for number, step in enumerate(schedule.steps, 1):
        record = state.record(number)
        actual = began = None
        how = "not begun"
        if record is not None:
            began = record.began
            end = record.ended if record.ended is not None else state.t
            actual = (end - record.began) / 60.0
            how = record.how or "under way"
        found.append(
            StepSummary(
                number=number,
                kind=step.kind,
                title=step.title or step.kind,
                how=how,
                began=began,
                planned_minutes=planned[number - 1],
                actual_minutes=actual,
                target_celsius=landing.target_celsius(schedule, state, number),
                held_celsius=_held(state, number),
            )
        )
    return tuple(found)


def _held(state: State, number: int) -> float | None:
    """The mean of a step's temperature readings over the time between them, Celsius."""
    readings = [r for r in state.valid("temperature", number) if not r.fact.assumed]
    if not readings:
        return None
    whole = readings[-1].t - readings[0].t
    if whole <= 0.0:
        return readings[-1].metric
    area = sum(
        (second.t - first.t) * (first.metric + second.metric) / 2.0 for first, second in pairwise(readings)
    )
    return area / whole


def _reading_after(state: State, t: float, step: int) -> float | None:
    """The first temperature read after session time `t` in step `step`, Celsius."""
    later = (r.metric for r in state.valid("temperature", step) if r.t > t and not r.fact.assumed)
    return next(later, None)


def _addition(state: State, number: int, minute: Callable[[float], float]) -> AdditionSummary:
    addition = next(a for a in state.additions if a.number == number)
    fact = addition.fact
    return AdditionSummary(
        seq=number,
        minute=minute(addition.t),
        litres_cold=water.litres(fact.kilograms, 20.0),
        litres_as_poured=fact.litres,
        celsius=fact.celsius,
        after_celsius=_reading_after(state, addition.t, fact.step),
        typed=fact.typed,
        assumed=fact.assumed,
    )


def _remedy(state: State, offer: Offer, minute: Callable[[float], float]) -> RemedySummary:
    first = offer.options[0]
    reading = next((r for r in state.readings if r.number == offer.reading), None)
    changed = reading is None or reading.voided or len(reading.typed) > 1
    poured = [a.t for a in state.additions if a.fact.offer == offer.number]
    way = offer.way_taken
    answer: str
    if way is not None:
        answer = way.way
    elif offer.left:
        answer = "left"
    else:
        answer = "not answered"
    result = _reading_after(state, poured[-1] if poured else offer.t, first.step) if way else None
    return RemedySummary(
        minute=minute(offer.t),
        read_celsius=first.read_celsius,
        target_celsius=first.target_celsius,
        offered=offer.options,
        taken=way,
        answer=answer,
        result_celsius=result,
        stale=changed,
    )


def _expected(schedule: Schedule, state: State) -> Sugar:
    """What the mash as it went should have given, by the model."""
    converted = _converted(schedule, state)
    result = extract.expected(schedule, state, converted)
    if result is None:
        return Sugar()
    return Sugar(
        result.first_runnings_gravity,
        result.wash_gravity,
        result.wash_litres,
        converted,
        result.final_gravity,
        result.abv_percent,
    )


def _converted(schedule: Schedule, state: State) -> float:
    past = conversion.past(schedule, state, state.t)
    if past:
        return conversion.converted(schedule, state, past).released
    return conversion.converted(schedule, state, conversion.to_come(schedule, state, 0)).released


def _measured(schedule: Schedule, state: State) -> Sugar:
    first = _first_runnings(schedule, state)
    wash_gravity = _last(state, "gravity", "wash")
    litres = _last(state, "volume", "wash")
    if litres is None and pot.first_step(schedule, Boil) is None:
        litres = _last(state, "volume", "wort")
    return Sugar(first, wash_gravity, litres, _measured_conversion(schedule, state, first))


def _first_runnings(schedule: Schedule, state: State) -> float | None:
    """The first gravity of the separation, before anything is rinsed or boiled; else the last of the mash."""
    number = pot.first_step(schedule, Separate)
    for reading in state.valid("gravity", number) if number is not None else ():
        if not reading.fact.assumed:
            return reading.metric
    return _last(state, "gravity", "mash")


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


def _last(state: State, quantity: f.Quantity, subject: f.Subject) -> float | None:
    for reading in reversed(state.valid(quantity)):
        if reading.fact.subject == subject and not reading.fact.assumed:
            return reading.metric
    return None
