"""State: what the facts so far add up to.

`evolve(state, entry)` folds one entry in and `replay(entries)` folds them all; both are total over the
facts that `decide` makes, call no science and know no clock. Time is the session's own: `t` in seconds
since it was begun. The clocks of the steps run on *running* seconds, which stand still while the day is
held; a timer is a start and a length, so what remains is always a difference.

An undo strikes entries out and folds the rest anew. A struck or voided reading stays in `readings`,
marked, for the log.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Any, Literal

from mashday.engine import facts as f

Phase = Literal["idle", "running", "held", "complete", "aborted"]


@dataclass(frozen=True, slots=True)
class Reading:
    """A reading as it stands now; `typed` holds what was typed, oldest first."""

    number: int
    t: float
    run: float
    fact: f.ReadingTaken
    typed: tuple[str, ...]
    voided: bool = False

    @property
    def step(self) -> int:
        """The step it was taken in."""
        return self.fact.step

    @property
    def quantity(self) -> f.Quantity:
        """What was read."""
        return self.fact.quantity

    @property
    def metric(self) -> float:
        """The value in Celsius, SG, litres or pH; 1 or 0 for a starch check."""
        fact = self.fact
        for value in (fact.celsius, fact.gravity, fact.litres, fact.ph):
            if value is not None:
                return value
        return 1.0 if fact.passed else 0.0


@dataclass(frozen=True, slots=True)
class Addition:
    """Water that went into the pot."""

    number: int
    t: float
    run: float
    fact: f.WaterAdded


@dataclass(frozen=True, slots=True)
class Offer:
    """The ways offered to put one reading right, and what became of them."""

    number: int
    t: float
    run: float
    reading: int
    options: tuple[f.RemedyOffered, ...]
    taken: int | None = None
    taken_run: float | None = None
    left: bool = False
    stale: bool = False

    @property
    def is_open(self) -> bool:
        """True while it waits for an answer."""
        return self.taken is None and not self.left and not self.stale

    @property
    def way_taken(self) -> f.RemedyOffered | None:
        """The way that was taken, if any."""
        return next((option for option in self.options if option.option == self.taken), None)


@dataclass(frozen=True, slots=True)
class StepRecord:
    """What is known of one step that has begun."""

    number: int
    began: float
    began_run: float
    by_itself: bool = False
    clock_run: float | None = None
    extended_minutes: float = 0.0
    ended: float | None = None
    ended_run: float | None = None
    how: str | None = None
    ticks: tuple[tuple[int, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Note:
    """A note and when it was written."""

    number: int
    t: float
    step: int
    text: str


@dataclass(frozen=True, slots=True)
class Answered:
    """A call that was acknowledged."""

    call: str
    what: str
    late_seconds: float
    t: float


@dataclass(frozen=True, slots=True)
class State:
    """Everything the facts so far add up to; `State()` is the day before its first entry."""

    phase: Phase = "idle"
    t: float = 0.0
    seq: int = 0
    step: int = 0
    held_since: float | None = None
    held_seconds: float = 0.0
    records: tuple[StepRecord, ...] = ()
    readings: tuple[Reading, ...] = ()
    additions: tuple[Addition, ...] = ()
    amounts: tuple[f.AmountGiven, ...] = ()
    offers: tuple[Offer, ...] = ()
    notes: tuple[Note, ...] = ()
    answered: tuple[Answered, ...] = ()
    snoozed: tuple[tuple[str, float], ...] = ()
    muted_at: float | None = None
    units: Literal["metric", "us"] | None = None
    started: float | None = None
    ended: float | None = None
    left: str | None = None
    undone: tuple[str, ...] = ()
    log: tuple[f.Entry, ...] = ()

    def running(self, t: float) -> float:
        """The running seconds at session time `t`: those in which the day was not held."""
        now = t if self.held_since is None else min(t, self.held_since)
        return now - self.held_seconds

    def record(self, number: int) -> StepRecord | None:
        """The newest record of step `number`, None if it has not begun."""
        return next((record for record in reversed(self.records) if record.number == number), None)

    @property
    def current(self) -> StepRecord | None:
        """The record of the step that is under way, None if there is none."""
        if not self.records or self.records[-1].ended is not None:
            return None
        return self.records[-1]

    @property
    def offer(self) -> Offer | None:
        """The newest offer that still stands (open, taken or left), None if there is none."""
        return next((offer for offer in reversed(self.offers) if not offer.stale), None)

    @property
    def untold(self) -> Offer | None:
        """The oldest offer whose water was taken and of which it is not yet told what went in."""
        told = {addition.fact.offer for addition in self.additions}
        return next(
            (
                offer
                for offer in self.offers
                if offer.way_taken is not None and offer.way_taken.litres > 0.0 and offer.number not in told
            ),
            None,
        )

    def valid(self, quantity: f.Quantity | None = None, step: int | None = None) -> tuple[Reading, ...]:
        """The readings that count, of this quantity and step where given, oldest first."""
        return tuple(
            reading
            for reading in self.readings
            if not reading.voided and quantity in (None, reading.quantity) and step in (None, reading.step)
        )


Fold = Callable[[State, f.Entry, Any], State]


def _with_record(state: State, number: int, **changes: Any) -> State:
    index = max(i for i, record in enumerate(state.records) if record.number == number)
    changed = replace(state.records[index], **changes)
    return replace(state, records=(*state.records[:index], changed, *state.records[index + 1 :]))


def _opened(state: State, entry: f.Entry, fact: f.Opened) -> State:
    return state


def _day_started(state: State, entry: f.Entry, fact: f.DayStarted) -> State:
    return replace(state, phase="running", started=entry.t)


def _day_ended(state: State, entry: f.Entry, fact: f.DayEnded) -> State:
    phase: Phase = "aborted" if fact.how == "aborted" else "complete"
    return replace(state, phase=phase, ended=entry.t, left=fact.left)


def _step_begun(state: State, entry: f.Entry, fact: f.StepBegun) -> State:
    record = StepRecord(fact.step, entry.t, state.running(entry.t), by_itself=fact.by_itself)
    return replace(state, step=fact.step, records=(*state.records, record))


def _clock_started(state: State, entry: f.Entry, fact: f.ClockStarted) -> State:
    return _with_record(state, fact.step, clock_run=state.running(entry.t))


def _step_ended(state: State, entry: f.Entry, fact: f.StepEnded) -> State:
    return _with_record(state, fact.step, ended=entry.t, ended_run=state.running(entry.t), how=fact.how)


def _step_extended(state: State, entry: f.Entry, fact: f.StepExtended) -> State:
    record = state.record(fact.step)
    so_far = record.extended_minutes if record else 0.0
    return _with_record(state, fact.step, extended_minutes=so_far + fact.minutes)


def _held(state: State, entry: f.Entry, fact: f.Held) -> State:
    return replace(state, phase="held", held_since=entry.t)


def _resumed(state: State, entry: f.Entry, fact: f.Resumed) -> State:
    since = entry.t if state.held_since is None else state.held_since
    return replace(state, phase="running", held_since=None, held_seconds=state.held_seconds + entry.t - since)


def _reading(state: State, entry: f.Entry, fact: f.ReadingTaken) -> State:
    reading = Reading(entry.seq, entry.t, state.running(entry.t), fact, (fact.typed,))
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


def _call_answered(state: State, entry: f.Entry, fact: f.CallAnswered) -> State:
    answered = Answered(fact.call, fact.what, fact.late_seconds, entry.t)
    return replace(state, answered=(*state.answered, answered))


def _call_snoozed(state: State, entry: f.Entry, fact: f.CallSnoozed) -> State:
    others = tuple(pair for pair in state.snoozed if pair[0] != fact.call)
    return replace(state, snoozed=(*others, (fact.call, entry.t + 60.0 * fact.minutes)))


def _calls_muted(state: State, entry: f.Entry, fact: f.CallsMuted) -> State:
    return replace(state, muted_at=entry.t)


def _units(state: State, entry: f.Entry, fact: f.UnitsChosen) -> State:
    return replace(state, units=fact.units)


def _undone(state: State, entry: f.Entry, fact: f.Undone) -> State:
    return replace(state, undone=(*state.undone, fact.what))


_FOLDS: dict[type[f.Fact], Fold] = {
    f.Opened: _opened,
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
    f.NoteWritten: _note,
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


def replay(entries: Iterable[f.Entry]) -> State:
    """The state after all these entries, folded from the beginning."""
    log = tuple(entries)
    struck = {number for entry in log if isinstance(entry.fact, f.Undone) for number in entry.fact.entries}
    state = State()
    for entry in log:
        state = _strike(state, entry) if entry.seq in struck else _fold(state, entry)
    return replace(state, log=log)
