"""What days teach of their pot: the loss it read, where its dough-ins landed, how it answered to changes.

`lesson` reads one day, `learned` several days of one pot; both see nothing but schedules and states, so that
the same session files always teach the same.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from mashday.engine import belief, calls, landing
from mashday.engine import contents as pot
from mashday.engine.asks import SETTLE_AFTER_GRAIN, SOONEST_AFTER_ADDITION
from mashday.engine.facts import PotKnown, RemedyOffered, Way
from mashday.engine.state import Addition, Offer, Reading, State, StepRecord
from mashday.schedule.model import DoughIn, Rest, Schedule
from mashday.science import losses, water

MOST_DAYS = 12
"""Days that teach; older ones are forgotten, for pots and hands change. Judgement, no source."""
STRANGE_KELVIN = 6.0
"""A dough-in that lands further off than this was weighed or read wrong: it teaches nothing. Judgement."""
LATEST_LANDING_MINUTES = 15.0
"""A mash first read later than this after its grain was in says more of the loss than of where it landed.
Judgement, no source."""
LEAST_CHANGE_KELVIN = 0.7
"""A change reckoned smaller than this cannot be told from the error of its readings. Judgement."""
MOST_CHANGE_KELVIN = 60.0
"""A change larger than this is no correction of a mash. Judgement."""
LATEST_READING_MINUTES = 15.0
"""Readings further from a change than this say nothing of it. Judgement."""


@dataclass(frozen=True, slots=True)
class Change:
    """A change of temperature by one way: what it should have done and what it did, K."""

    way: Way
    reckoned_kelvin: float
    came_kelvin: float


@dataclass(frozen=True, slots=True)
class Landed:
    """A dough-in: thickness (L/kg), what the heat balance alone had it read and what it did read, Celsius."""

    thickness: float
    reckoned_celsius: float
    read_celsius: float

    @property
    def kelvin(self) -> float:
        """How much warmer it landed than the balance says, K."""
        return self.read_celsius - self.reckoned_celsius


@dataclass(frozen=True, slots=True)
class Lesson:
    """What one day taught."""

    loss: belief.Fitted | None
    landed: tuple[Landed, ...]
    changes: tuple[Change, ...]


def lesson(schedule: Schedule, state: State) -> Lesson:
    """What this day, as far as it has gone, teaches of its pot."""
    return Lesson(belief.loss_today(schedule, state), _landed(schedule, state), changes(schedule, state))


def learned(days: Iterable[tuple[Schedule, State]]) -> PotKnown | None:
    """What days of one pot, oldest first, teach together; None if they teach nothing."""
    lessons = [(schedule.pot.name, lesson(schedule, state)) for schedule, state in days][-MOST_DAYS:]
    taught = [(name, one) for name, one in lessons if one.loss or one.landed or one.changes]
    if not taught:
        return None
    loss = belief.joined(one.loss for _, one in taught if one.loss is not None)
    landings = [landing_ for _, one in taught for landing_ in one.landed]
    moved = [change for _, one in taught for change in one.changes]
    return PotKnown(
        pot=taught[-1][0],
        days=len(taught),
        loss_w_per_k=loss.w_per_k if loss else None,
        loss_error=loss.error if loss else None,
        thicknesses=tuple(one.thickness for one in landings),
        dough_ins=tuple(one.kelvin for one in landings),
        ways=tuple(one.way for one in moved),
        reckoned=tuple(one.reckoned_kelvin for one in moved),
        came=tuple(one.came_kelvin for one in moved),
    )


def _landed(schedule: Schedule, state: State) -> tuple[Landed, ...]:
    """The dough-ins whose first settled reading came soon, each against what it should have read by then."""
    found = []
    for record in state.records:
        if not isinstance(schedule.step(record.number), DoughIn) or record.ended is None:
            continue
        closed = _closed(schedule, state, record)
        read = None if closed is None else _first_settled(schedule, state, record, closed)
        before = landing.before_dough_in(schedule, state, record.number)
        inside = pot.contents(schedule, state, record.number)
        if closed is None or read is None or before is None or not before.is_read:
            continue
        reckoned = losses.drift_celsius(
            from_celsius=landing.lands_at(before.plan, before.celsius) - before.plan.learned_kelvin,
            minutes=max(0.0, (read.t - closed) / 60.0 - landing.CLOSED_MINUTES),
            capacity_kj_per_k=inside.kj_per_k,
            loss_w_per_k=belief.loss_w_per_k(schedule, state),
            room_celsius=schedule.place.room_celsius,
        )
        strange = abs(read.metric - reckoned) > STRANGE_KELVIN
        if not strange and belief.is_thickness(inside.thickness):
            found.append(Landed(inside.thickness, reckoned, read.metric))
    return tuple(found)


def _closed(schedule: Schedule, state: State, record: StepRecord) -> float | None:
    """The session second in which the grain was in and the lid on again; None if that is not known."""
    following = record.number + 1
    if following <= len(schedule.steps) and isinstance(schedule.step(following), Rest):
        rest = state.record(following)
        return rest.began if rest is not None else None
    return record.began + 60.0 * landing.LID_OFF_MINUTES


def _first_settled(schedule: Schedule, state: State, record: StepRecord, closed: float) -> Reading | None:
    """The first reading once the grain had settled, if it came soon and nothing was done before it.

    By session time: a held day stops no pot from cooling.
    """
    following = record.number + 1
    rests = following <= len(schedule.steps) and isinstance(schedule.step(following), Rest)
    settled = [
        r
        for r in state.valid("temperature", following if rests else record.number)
        if not r.fact.assumed and r.t >= closed + SETTLE_AFTER_GRAIN * 60.0
    ]
    if not settled or settled[0].t > closed + LATEST_LANDING_MINUTES * 60.0:
        return None
    first = settled[0]
    poured = [a.t for a in state.additions if record.began <= a.t <= first.t]
    taken = [o for o in state.offers if o.taken is not None and record.began <= o.t < first.t]
    return None if poured or taken else first


def changes(schedule: Schedule, state: State) -> tuple[Change, ...]:
    """What water and fire taken as a way today should have done and what the next reading says they did.

    Other ways teach nothing: a lid is taken off too seldom, and a part of the mash is out too long.
    """
    found = (_change(schedule, state, offer) for offer in state.offers)
    return tuple(
        one
        for one in found
        if one is not None
        and abs(one.reckoned_kelvin) >= LEAST_CHANGE_KELVIN
        and max(abs(one.reckoned_kelvin), abs(one.came_kelvin)) <= MOST_CHANGE_KELVIN
    )


def _change(schedule: Schedule, state: State, offer: Offer) -> Change | None:
    way = offer.way_taken
    if way is None or offer.taken_run is None:
        return None
    before = next((r for r in state.valid("temperature") if r.number == offer.reading), None)
    if before is None or before.fact.assumed:
        return None
    poured = [a for a in state.additions if a.fact.offer == offer.number]
    if way.litres > 0.0:
        if len(poured) != 1 or poured[0].fact.assumed:
            return None
        done = poured[0].run
    elif way.way == "fire":
        done = offer.taken_run + 60.0 * way.minutes
    else:
        return None
    settled = done + SOONEST_AFTER_ADDITION * 60.0
    after = next((r for r in state.valid("temperature", way.step) if r.run >= settled), None)
    if after is None or after.fact.assumed:
        return None
    if after.run > done + LATEST_READING_MINUTES * 60.0 or done > before.run + LATEST_READING_MINUTES * 60.0:
        return None
    others = [a for a in state.additions if a not in poured and before.run <= a.run <= after.run]
    later = [
        o for o in state.offers if o.taken_run is not None and offer.taken_run < o.taken_run <= after.run
    ]
    if others or later:
        return None
    if poured:
        return _by_water(schedule, state, way.way, before, poured[0], after)
    held = abs((after.t - before.t) - (after.run - before.run)) > 1.0
    as_said = not held and calls.way_ends(state, offer, way) == done
    return _by_fire(schedule, state, way, before, after) if as_said else None


def _by_water(
    schedule: Schedule, state: State, way: Way, before: Reading, poured: Addition, after: Reading
) -> Change:
    """Against the heat balance of what was poured, and what the pot lost by the reading."""
    inside = _kj_per_k(schedule, state, poured.fact.step, poured.t)
    reckoned = pot.stirred_in(before.metric, inside, poured.fact)
    lost = _lost_kelvin(schedule, state, reckoned, before, after)
    return Change(way, reckoned - before.metric, after.metric - before.metric + lost)


def _by_fire(schedule: Schedule, state: State, way: RemedyOffered, before: Reading, after: Reading) -> Change:
    """Against the heat of so many minutes by the schedule alone, whatever of it was believed to come.

    What the pot lost from one reading to the next is put back: the heat of the fire does not hold it.
    """
    assert schedule.pot.heater_kilowatts is not None
    watts = 1000.0 * schedule.pot.heater_kilowatts * schedule.pot.heater_efficiency
    reckoned = watts * 60.0 * way.minutes / (1000.0 * _kj_per_k(schedule, state, way.step, after.t))
    lost = _lost_kelvin(schedule, state, 0.5 * (before.metric + after.metric), before, after)
    return Change("fire", reckoned, after.metric - before.metric + lost)


def _kj_per_k(schedule: Schedule, state: State, number: int, t: float) -> float:
    """The heat capacity of the pot at step `number` without the water of session time `t` and later, kJ/K."""
    later = sum(a.fact.kilograms for a in state.additions if a.t >= t and a.fact.step <= number)
    return pot.contents(schedule, state, number).kj_per_k - later * water.SPECIFIC_HEAT


def _lost_kelvin(schedule: Schedule, state: State, celsius: float, before: Reading, after: Reading) -> float:
    """What the standing pot loses from `celsius` on in the time from one reading to the other, K."""
    return celsius - losses.drift_celsius(
        from_celsius=celsius,
        minutes=max(0.0, after.t - before.t) / 60.0,
        capacity_kj_per_k=_kj_per_k(schedule, state, after.step, math.inf),
        loss_w_per_k=belief.loss_w_per_k(schedule, state),
        room_celsius=schedule.place.room_celsius,
    )
