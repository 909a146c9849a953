"""State: what the facts so far add up to; `fold` makes it.

Time is the session's own: `t` in seconds since it was begun. The clocks of the steps run on *running*
seconds, which stand still while the day is held; a timer is a start and a length, so what remains is always
a difference.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

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
    """A call that was acknowledged; `run` in running seconds."""

    call: str
    what: str
    late_seconds: float
    t: float
    run: float


@dataclass(frozen=True, slots=True)
class Fire:
    """The fire of a remedy: its offer, and the running second at which its heat is to go off."""

    offer: int
    due: float


@dataclass(frozen=True, slots=True)
class State:
    """Everything the facts so far add up to; `State()` is the day before its first entry.

    `snoozed` holds until which session second a call is quiet, `snoozed_run` the running second in which that
    was asked for, as `muted_run` does for all calls.
    `holds` are those that are over: the running second they began in and how many seconds they lasted.
    `fires_taken_back` are those that may still burn though their way was taken back, each with the running
    second in which it was. `later` are the readings taken once the day was over: they are not the pot's.
    """

    phase: Phase = "idle"
    t: float = 0.0
    seq: int = 0
    step: int = 0
    held_since: float | None = None
    holds: tuple[tuple[float, float], ...] = ()
    records: tuple[StepRecord, ...] = ()
    readings: tuple[Reading, ...] = ()
    additions: tuple[Addition, ...] = ()
    amounts: tuple[f.AmountGiven, ...] = ()
    offers: tuple[Offer, ...] = ()
    checks: tuple[f.InstrumentChecked, ...] = ()
    notes: tuple[Note, ...] = ()
    answered: tuple[Answered, ...] = ()
    snoozed: tuple[tuple[str, float], ...] = ()
    snoozed_run: tuple[tuple[str, float], ...] = ()
    muted_at: float | None = None
    muted_run: float | None = None
    units: Literal["metric", "us"] | None = None
    known: f.PotKnown | None = None
    from_step: int = 1
    closing: tuple[f.ClosingLine, ...] = ()
    later: tuple[Reading, ...] = ()
    started: float | None = None
    ended: float | None = None
    left: str | None = None
    undone: tuple[str, ...] = ()
    fires_taken_back: tuple[tuple[float, Fire], ...] = ()
    log: tuple[f.Entry, ...] = ()

    @property
    def held_seconds(self) -> float:
        """Seconds of all the holds that are over."""
        return sum(seconds for _, seconds in self.holds)

    def running(self, t: float) -> float:
        """The running seconds at session time `t`: those in which the day was not held."""
        now = t if self.held_since is None else min(t, self.held_since)
        return now - self.held_seconds

    def seconds_since(self, run: float, t: float) -> float:
        """Session seconds from running second `run` to session time `t`: those held counted too."""
        held_now = 0.0 if self.held_since is None else max(0.0, t - self.held_since)
        held = sum(seconds for began, seconds in self.holds if began >= run)
        return self.running(t) - run + held + held_now

    def record(self, number: int) -> StepRecord | None:
        """The newest record of step `number`, None if it has not begun."""
        return next((record for record in reversed(self.records) if record.number == number), None)

    def told(self, what: f.Told) -> float | None:
        """What was last told of the pot the day was begun with, None if nothing was."""
        given = (a.amount for a in reversed(self.amounts) if a.what == what and a.name is None)
        return next(given, None)

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

    @property
    def is_over(self) -> bool:
        """True once the day has ended, in whatever way."""
        return self.phase in ("complete", "aborted")

    def closing_line(self, which: f.Closing) -> str:
        """What was last written for this closing line; "" where nothing was."""
        return next((line.text for line in reversed(self.closing) if line.which == which), "")

    def valid(self, quantity: f.Quantity | None = None, step: int | None = None) -> tuple[Reading, ...]:
        """The readings that count, of this quantity and step where given, oldest first."""
        return tuple(
            reading
            for reading in self.readings
            if not reading.voided and quantity in (None, reading.quantity) and step in (None, reading.step)
        )
