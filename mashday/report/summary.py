"""The summary of a day: everything the log holds, planned beside actual, in metric numbers.

Built from schedule and state alone, so that the same day gives the same summary at any later time.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from typing import get_args

from mashday.engine import contents as pot
from mashday.engine import facts as f
from mashday.engine import instruments, landing, mid_mash, timetable
from mashday.engine.calls import is_heads_up
from mashday.engine.lessons import Lesson, lesson
from mashday.engine.prospect import prospect
from mashday.engine.state import Offer, Reading, State, StepRecord
from mashday.quantities import Units
from mashday.report import sugar
from mashday.schedule.model import Cook, Schedule, Step
from mashday.science import water


@dataclass(frozen=True, slots=True)
class StepSummary:
    """One step, planned beside actual.

    `held_celsius` is the mean of its readings over time, `last_celsius` the last of them; `band_kelvin` is
    how far from the target was still good. `beside` is true for water heated in another vessel. `ticked`
    holds the checklist items that were answered by a value, `open_items` those not ticked when it ended.
    """

    number: int
    kind: str
    title: str
    how: str
    planned_minute: float
    began: float | None
    planned_minutes: float
    actual_minutes: float | None
    target_celsius: float | None
    held_celsius: float | None
    last_celsius: float | None
    band_kelvin: float
    beside: bool
    ticked: tuple[tuple[str, str], ...] = ()
    open_items: tuple[str, ...] = ()


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
class AmountSummary:
    """Another amount than planned: kilograms of grain or litres of water, of the kind named if any.

    Or what was told of the pot a day in mid-mash was begun with: kilograms, litres or minutes.
    """

    step: int
    what: f.Amount
    name: str | None
    planned: float
    given: float
    typed: str


@dataclass(frozen=True, slots=True)
class Away:
    """A time in which nobody was there: how long, and how surely that is known."""

    minute: float
    minutes: float
    how: str


@dataclass(frozen=True, slots=True)
class Hold:
    """A time in which the day was held, minutes."""

    minute: float
    minutes: float


@dataclass(frozen=True, slots=True)
class Summary:
    """A whole day.

    `ending` is how the day was ended, None while it is open. `planned` is what the schedule alone promised,
    `expected` what the mash as it went should give by the model (nothing before there is one), `measured`
    what was read; what was read after the day ended tells the final gravity. `checks` are those of
    thermometer and hydrometer, with what they came to; `closing` holds the lines that close the day, ""
    unwritten.
    """

    schedule: str
    pot: str
    units: Units
    from_step: int
    started: datetime | None
    ended: datetime | None
    state: str
    ending: str | None
    left: str | None
    rehearsed: bool
    steps: tuple[StepSummary, ...]
    readings: tuple[Reading, ...]
    additions: tuple[AdditionSummary, ...]
    remedies: tuple[RemedySummary, ...]
    amounts: tuple[AmountSummary, ...]
    planned: sugar.Sugar
    expected: sugar.Sugar
    measured: sugar.Sugar
    calls: tuple[tuple[str, float], ...]
    notes: tuple[tuple[float, str], ...]
    checks: tuple[tuple[f.InstrumentChecked, str], ...]
    closing: dict[f.Closing, str]
    undone: tuple[str, ...]
    away: tuple[Away, ...]
    holds: tuple[Hold, ...]
    at: Callable[[float], datetime]
    started_t: float
    learned: Lesson
    log: tuple[f.Entry, ...]

    @property
    def lasted_minutes(self) -> float:
        """From its start to its end, to the last entry while it is open; by the session's own clock."""
        ends = [entry.t for entry in self.log if isinstance(entry.fact, f.DayEnded)]
        last = (ends or [entry.t for entry in self.log] or [self.started_t])[-1]
        return self.minute(last)

    def minute(self, t: float) -> float:
        """Minutes since the day began."""
        return (t - self.started_t) / 60.0


def summary(
    schedule: Schedule, state: State, *, at: Callable[[float], datetime], rehearsed: bool = False
) -> Summary:
    """The summary of this day; `at` gives the wall clock of a session time."""
    end = _end(state)
    started = state.started if state.started is not None else 0.0

    def minute(t: float) -> float:
        return (t - started) / 60.0

    return Summary(
        schedule=schedule.name,
        pot=schedule.pot.name,
        units=state.units or schedule.units,
        from_step=state.from_step,
        started=at(started) if state.started is not None else None,
        ended=at(state.ended) if state.ended is not None else None,
        state=state.phase,
        ending=end.fact.how if end is not None and isinstance(end.fact, f.DayEnded) else None,
        left=state.left,
        rehearsed=rehearsed,
        steps=_steps(schedule, state),
        readings=(*state.readings, *state.later),
        additions=tuple(_addition(state, addition.number, minute) for addition in state.additions),
        remedies=tuple(_remedy(state, offer, minute) for offer in state.offers if offer.options),
        amounts=_amounts(schedule, state),
        planned=sugar.promised(prospect(schedule, State(known=state.known))),
        expected=_as_mashed(schedule, state),
        measured=sugar.measured(schedule, state),
        calls=tuple(
            (answered.what, answered.late_seconds)
            for answered in state.answered
            if not is_heads_up(answered.call)
        ),
        notes=tuple((minute(note.t), note.text) for note in state.notes),
        checks=_checks(schedule, state),
        closing={which: state.closing_line(which) for which in get_args(f.Closing)},
        undone=state.undone,
        away=tuple(
            Away(minute(entry.t), entry.fact.away_seconds / 60.0, entry.fact.how)
            for entry in state.log
            if isinstance(entry.fact, f.Opened) and entry.fact.how not in ("new", "later")
        ),
        holds=tuple(_holds(state, minute)),
        at=at,
        started_t=started,
        learned=lesson(schedule, state),
        log=state.log,
    )


def _as_mashed(schedule: Schedule, state: State) -> sugar.Sugar:
    """What the mash as it went should give; nothing before there is one."""
    if not sugar.is_mashed(schedule, state):
        return sugar.Sugar()
    until = state.t if state.ended is None else state.ended
    return sugar.promised(prospect(schedule, state, until, overruled=False))


def _holds(state: State, minute: Callable[[float], float]) -> Iterator[Hold]:
    before = 0.0
    for began, seconds in state.holds:
        yield Hold(minute(began + before), seconds / 60.0)
        before += seconds
    if state.held_since is not None:
        until = state.t if state.ended is None else state.ended
        yield Hold(minute(state.held_since), (until - state.held_since) / 60.0)


def _checks(schedule: Schedule, state: State) -> tuple[tuple[f.InstrumentChecked, str], ...]:
    """The last check at each point, with what it came to, told once for an instrument."""
    last = {one.point: one for one in state.checks}
    told = {"water" if point == "water" else "thermometer": point for point in last}.values()
    return tuple(
        (one, instruments.said(schedule, state, point) if point in told else "")
        for point, one in last.items()
    )


def _end(state: State) -> f.Entry | None:
    """The entry with which the day ended."""
    return next((entry for entry in reversed(state.log) if isinstance(entry.fact, f.DayEnded)), None)


def _steps(schedule: Schedule, state: State) -> tuple[StepSummary, ...]:
    planned = timetable.planned_minutes(schedule, state.from_step)
    found = []
    for number, step in enumerate(schedule.steps, 1):
        record = state.record(number)
        readings = [r for r in state.valid("temperature", number) if not r.fact.assumed]
        ticks = dict(record.ticks) if record is not None else {}
        items = tuple(enumerate(step.checklist, 1))
        over = record is not None and (record.ended is not None or state.ended is not None)
        found.append(
            StepSummary(
                number=number,
                kind=step.kind,
                title=step.title or step.kind,
                how="before" if number < state.from_step else _how(state, record),
                planned_minute=sum(planned[: number - 1]),
                began=record.began if record is not None else None,
                planned_minutes=planned[number - 1],
                actual_minutes=_minutes(state, record) if record is not None else None,
                target_celsius=landing.target_celsius(schedule, state, number),
                held_celsius=_held(_at_heat(step, record, readings)),
                last_celsius=readings[-1].metric if readings else None,
                band_kelvin=landing.band_kelvin(schedule, number),
                beside=landing.is_beside(schedule, number),
                ticked=tuple((text, ticks[item]) for item, text in items if ticks.get(item)),
                open_items=tuple(text for item, text in items if over and item not in ticks),
            )
        )
    return tuple(found)


def _how(state: State, record: StepRecord | None) -> str:
    if record is None:
        return "not begun"
    return record.how or ("under way" if state.ended is None else "broken off")


def _minutes(state: State, record: StepRecord) -> float:
    """Minutes from the step's beginning to its end, or to that of the day, or until now."""
    ends = (record.ended, state.ended, state.t)
    return (next(end for end in ends if end is not None) - record.began) / 60.0


def _at_heat(step: Step, record: StepRecord | None, readings: list[Reading]) -> list[Reading]:
    """The readings of a step that count for what it was held at: of a cook, those since its clock ran."""
    if not isinstance(step, Cook) or record is None or record.clock_run is None:
        return readings
    since = record.clock_run
    return [reading for reading in readings if reading.run >= since] or readings[-1:]


def _held(readings: list[Reading]) -> float | None:
    """The mean of temperature readings over the time between them, joined by straight lines, Celsius."""
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
        stale=_is_stale(state, offer),
    )


def _is_stale(state: State, offer: Offer) -> bool:
    """True if the reading that called for the offer is struck, or no longer what the offer was made for."""
    reading = next((r for r in state.readings if r.number == offer.reading), None)
    return reading is None or reading.voided or reading.metric != offer.options[0].read_celsius


def _of_name(grains: pot.Grains, name: str | None) -> float:
    """Kilograms of the grain of this name, of all of it without one."""
    return sum(kg for grain, kg in grains if name in (None, grain.name))


def _amounts(schedule: Schedule, state: State) -> tuple[AmountSummary, ...]:
    """The last word on each amount that was given."""
    last = {(given.step, given.what, given.name): given for given in state.amounts}
    found = []
    for given in last.values():
        if given.what == "water":
            planned = pot.water_litres(schedule, State(), given.step)
        elif given.what == "grain temperature":
            planned = pot.mean_grain_celsius(pot.grain_in(schedule, State(), given.step))
        elif given.what == "grain":
            planned = _of_name(pot.grain_in(schedule, State(), given.step), given.name)
        elif given.name is not None:
            planned = _of_name(mid_mash.grains(schedule, state), given.name)
        else:
            planned = mid_mash.planned(schedule, state, given.what)
        found.append(AmountSummary(given.step, given.what, given.name, planned, given.amount, given.typed))
    return tuple(found)
