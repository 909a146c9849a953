"""The fold: from one entry to the next state, and from all of them to the state they add up to.

`evolve(state, entry)` folds one entry in and `replay(entries)` folds them all; both are total over the facts
that `decide` makes, call no science and know no clock. An undo strikes entries out and folds the rest anew; a
struck or voided reading stays in `readings`, marked, for the log.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from mashday.engine import facts as f
from mashday.engine.state import Addition, Answered, Fire, Note, Offer, Phase, Reading, State, StepRecord

Fold = Callable[[State, f.Entry, Any], State]


def _with_record(state: State, number: int, **changes: Any) -> State:
    index = max(i for i, record in enumerate(state.records) if record.number == number)
    changed = replace(state.records[index], **changes)
    return replace(state, records=(*state.records[:index], changed, *state.records[index + 1 :]))


def _opened(state: State, entry: f.Entry, fact: f.Opened) -> State:
    return state


def _pot_known(state: State, entry: f.Entry, fact: f.PotKnown) -> State:
    return replace(state, known=fact)


def _day_started(state: State, entry: f.Entry, fact: f.DayStarted) -> State:
    return replace(state, phase="running", started=entry.t, from_step=fact.from_step)


def _day_ended(state: State, entry: f.Entry, fact: f.DayEnded) -> State:
    phase: Phase = "aborted" if fact.how == "aborted" else "complete"
    return replace(state, phase=phase, ended=entry.t, left=fact.left)


def _step_begun(state: State, entry: f.Entry, fact: f.StepBegun) -> State:
    record = StepRecord(fact.step, entry.t, state.running(entry.t), by_itself=fact.by_itself)
    return replace(state, step=fact.step, records=(*state.records, record))


def _clock_started(state: State, entry: f.Entry, fact: f.ClockStarted) -> State:
    return _with_record(state, fact.step, clock_run=state.running(entry.t))


def _step_ended(state: State, entry: f.Entry, fact: f.StepEnded) -> State:
    return _with_record(state, fact.step, ended=entry.t, how=fact.how)


def _step_extended(state: State, entry: f.Entry, fact: f.StepExtended) -> State:
    record = state.record(fact.step)
    so_far = record.extended_minutes if record else 0.0
    return _with_record(state, fact.step, extended_minutes=so_far + fact.minutes)


def _held(state: State, entry: f.Entry, fact: f.Held) -> State:
    return replace(state, phase="held", held_since=entry.t)


def _resumed(state: State, entry: f.Entry, fact: f.Resumed) -> State:
    since = entry.t if state.held_since is None else state.held_since
    hold = (state.running(entry.t), entry.t - since)
    return replace(state, phase="running", held_since=None, holds=(*state.holds, hold))


def _reading(state: State, entry: f.Entry, fact: f.ReadingTaken) -> State:
    reading = Reading(entry.seq, entry.t, state.running(entry.t), fact, (fact.typed,))
    if state.is_over:
        return replace(state, later=(*state.later, reading))
    readings = (*state.readings, reading)
    if fact.quantity != "temperature":
        return replace(state, readings=readings)
    offers = tuple(replace(offer, stale=True) if offer.is_open else offer for offer in state.offers)
    return replace(state, readings=readings, offers=offers)


def _change_reading(state: State, number: int, change: Callable[[Reading], Reading]) -> State:
    readings = tuple(change(r) if r.number == number else r for r in state.readings)
    offers = tuple(
        replace(offer, stale=True) if offer.reading == number and offer.is_open else offer
        for offer in state.offers
    )
    return replace(state, readings=readings, offers=offers)


def _sample(state: State, entry: f.Entry, fact: f.SampleTemperatureGiven) -> State:
    def change(reading: Reading) -> Reading:
        known = replace(reading.fact, sample_celsius=fact.celsius, gravity=fact.gravity, trust=fact.trust)
        return replace(reading, fact=known)

    return _change_reading(state, fact.of, change)


def _corrected(state: State, entry: f.Entry, fact: f.ReadingCorrected) -> State:
    def change(reading: Reading) -> Reading:
        right = replace(
            reading.fact,
            value=fact.value,
            unit=fact.unit,
            typed=fact.typed,
            celsius=fact.celsius,
            gravity=fact.gravity,
            litres=fact.litres,
            ph=fact.ph,
            trust=fact.trust,
            assumed=False,
        )
        return replace(reading, fact=right, typed=(*reading.typed, fact.typed))

    return _change_reading(state, fact.of, change)


def _voided(state: State, entry: f.Entry, fact: f.ReadingVoided) -> State:
    return _change_reading(state, fact.of, lambda reading: replace(reading, voided=True))


def _water(state: State, entry: f.Entry, fact: f.WaterAdded) -> State:
    addition = Addition(entry.seq, entry.t, state.running(entry.t), fact)
    return replace(state, additions=(*state.additions, addition))


def _amount(state: State, entry: f.Entry, fact: f.AmountGiven) -> State:
    return replace(state, amounts=(*state.amounts, fact))


def _remedy_offered(state: State, entry: f.Entry, fact: f.RemedyOffered) -> State:
    if state.offers and state.offers[-1].number == fact.offer:
        offer = state.offers[-1]
        return replace(state, offers=(*state.offers[:-1], replace(offer, options=(*offer.options, fact))))
    last = state.valid("temperature")[-1].number
    offer = Offer(fact.offer, entry.t, state.running(entry.t), last, (fact,))
    return replace(state, offers=(*state.offers, offer))


def _answer_offer(state: State, number: int, **changes: Any) -> State:
    return replace(
        state,
        offers=tuple(
            replace(offer, **changes) if offer.number == number else offer for offer in state.offers
        ),
    )


def _remedy_taken(state: State, entry: f.Entry, fact: f.RemedyTaken) -> State:
    return _answer_offer(state, fact.offer, taken=fact.option, taken_run=state.running(entry.t))


def _remedy_left(state: State, entry: f.Entry, fact: f.RemedyLeft) -> State:
    return _answer_offer(state, fact.offer, left=True)


def _item(state: State, entry: f.Entry, fact: f.ItemTicked) -> State:
    record = state.record(fact.step)
    ticks = tuple(tick for tick in (record.ticks if record else ()) if tick[0] != fact.item)
    return _with_record(state, fact.step, ticks=(*ticks, (fact.item, fact.value or "")))


def _note(state: State, entry: f.Entry, fact: f.NoteWritten) -> State:
    return replace(state, notes=(*state.notes, Note(entry.seq, entry.t, fact.step, fact.text)))


def _checked(state: State, entry: f.Entry, fact: f.InstrumentChecked) -> State:
    return replace(state, checks=(*state.checks, fact))


def _closing_line(state: State, entry: f.Entry, fact: f.ClosingLine) -> State:
    return replace(state, closing=(*state.closing, fact))


def _call_answered(state: State, entry: f.Entry, fact: f.CallAnswered) -> State:
    answered = Answered(fact.call, fact.what, fact.late_seconds, entry.t, state.running(entry.t))
    return replace(state, answered=(*state.answered, answered))


def _call_snoozed(state: State, entry: f.Entry, fact: f.CallSnoozed) -> State:
    others = tuple(pair for pair in state.snoozed if pair[0] != fact.call)
    before = tuple(pair for pair in state.snoozed_run if pair[0] != fact.call)
    return replace(
        state,
        snoozed=(*others, (fact.call, entry.t + 60.0 * fact.minutes)),
        snoozed_run=(*before, (fact.call, state.running(entry.t))),
    )


def _calls_muted(state: State, entry: f.Entry, fact: f.CallsMuted) -> State:
    return replace(state, muted_at=entry.t, muted_run=state.running(entry.t))


def _units(state: State, entry: f.Entry, fact: f.UnitsChosen) -> State:
    return replace(state, units=fact.units)


def _undone(state: State, entry: f.Entry, fact: f.Undone) -> State:
    state = replace(state, undone=(*state.undone, fact.what))
    if fact.fire is None:
        return state
    run = state.running(entry.t)
    fire = Fire(fact.fire, run if fact.fire_due is None else fact.fire_due)
    return replace(state, fires_taken_back=(*state.fires_taken_back, (run, fire)))


_FOLDS: dict[type[f.Fact], Fold] = {
    f.Opened: _opened,
    f.PotKnown: _pot_known,
    f.DayStarted: _day_started,
    f.DayEnded: _day_ended,
    f.StepBegun: _step_begun,
    f.ClockStarted: _clock_started,
    f.StepEnded: _step_ended,
    f.StepExtended: _step_extended,
    f.Held: _held,
    f.Resumed: _resumed,
    f.ReadingTaken: _reading,
    f.SampleTemperatureGiven: _sample,
    f.ReadingCorrected: _corrected,
    f.ReadingVoided: _voided,
    f.WaterAdded: _water,
    f.AmountGiven: _amount,
    f.RemedyOffered: _remedy_offered,
    f.RemedyTaken: _remedy_taken,
    f.RemedyLeft: _remedy_left,
    f.ItemTicked: _item,
    f.InstrumentChecked: _checked,
    f.NoteWritten: _note,
    f.ClosingLine: _closing_line,
    f.CallAnswered: _call_answered,
    f.CallSnoozed: _call_snoozed,
    f.CallsMuted: _calls_muted,
    f.UnitsChosen: _units,
    f.Undone: _undone,
}


def _fold(state: State, entry: f.Entry) -> State:
    folded = _FOLDS[type(entry.fact)](state, entry, entry.fact)
    return replace(folded, t=entry.t, seq=entry.seq)


def _strike(state: State, entry: f.Entry) -> State:
    if isinstance(entry.fact, f.ReadingTaken):
        struck = Reading(
            entry.seq, entry.t, state.running(entry.t), entry.fact, (entry.fact.typed,), voided=True
        )
        return replace(state, readings=(*state.readings, struck), t=entry.t, seq=entry.seq)
    return replace(state, t=entry.t, seq=entry.seq)


def evolve(state: State, entry: f.Entry) -> State:
    """The state after one more entry."""
    log = (*state.log, entry)
    if isinstance(entry.fact, f.Undone):
        return replay(log)
    return replace(_fold(state, entry), log=log)


def foreseen(state: State, t: float, *found: f.Fact) -> State:
    """The state once these facts, of one intent at session time `t`, are written; its log stays as it is."""
    first = state.seq + 1
    for number, fact in enumerate(found, first):
        state = _fold(state, f.Entry(number, first, t, datetime.min, fact))
    return state


def replay(entries: Iterable[f.Entry]) -> State:
    """The state after all these entries, folded from the beginning."""
    log = tuple(entries)
    state = State()
    for folded in replayed(log):
        state = folded
    return replace(state, log=log)


def replayed(log: Sequence[f.Entry]) -> Iterator[State]:
    """The state after each entry as `replay` comes by it: what is taken back later is struck out; no log."""
    struck = taken_back(log)
    state = State()
    for entry in log:
        state = _strike(state, entry) if entry.seq in struck else _fold(state, entry)
        yield state


def taken_back(log: Iterable[f.Entry]) -> frozenset[int]:
    """The numbers of the entries that others of these take back."""
    return frozenset(
        number for entry in log if isinstance(entry.fact, f.Undone) for number in entry.fact.entries
    )
