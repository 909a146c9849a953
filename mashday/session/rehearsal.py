"""Rehearsal: a session beside a simulated pot, on a clock that can be moved on.

`Rehearsal` joins the two for a person at the keys; `whole_day` lets the simulated person live it through.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from typing import Any

from mashday.engine import calls, intents
from mashday.engine import facts as f
from mashday.schedule.model import Rest
from mashday.session.clock import Clock, FastClock, VirtualClock
from mashday.session.person import SimulatedPerson
from mashday.session.session import Outcome, Session
from mashday.session.simulation import SimulatedDay, Truth

SLICE_SECONDS = 5.0
LONGEST_DAY_SECONDS = 48.0 * 3600.0


class Rehearsal:
    """A session with its simulated pot."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self.seed = int(session.header.get("seed", 0))
        self.day = SimulatedDay(session.schedule, self.seed)
        for entry in session.state.log:
            self.day.happened(entry)
        session.listeners.append(self.day.happened)

    def thermometer(self) -> float:
        """What the simulated thermometer shows now, Celsius."""
        self.day.follow(self.session.t())
        return self.day.thermometer()

    def wait(self, minutes: float) -> Iterator[Outcome]:
        """Moves the clock on by so many minutes, in slices, yielding after each what came of it by itself."""
        left = 60.0 * minutes
        while left > 0.0:
            seconds = min(SLICE_SECONDS, left)
            _move(self.session.clock, seconds)
            left -= seconds
            self.day.follow(self.session.t())
            yield self.session.tick()


def _move(clock: Clock, seconds: float) -> None:
    if isinstance(clock, VirtualClock):
        clock.advance(seconds)
    elif isinstance(clock, FastClock):
        clock.jump(seconds)
    else:
        raise TypeError("the clock of a real day cannot be moved on")


@dataclass(frozen=True, slots=True)
class RestOutcome:
    """How a rest really went, by the pot's own truth; temperatures in Celsius."""

    target_celsius: float
    first_celsius: float
    settled_celsius: float
    mean_celsius: float
    remedies: int


@dataclass(frozen=True, slots=True)
class Result:
    """What a rehearsed day came to."""

    seed: int
    truth: Truth
    rests: tuple[RestOutcome, ...]
    overflowed: bool
    finished: bool

    def as_json(self) -> dict[str, Any]:
        """The result as plain values."""
        truth = asdict(self.truth)
        return {
            "seed": self.seed,
            "truth": {**truth.pop("pot"), **truth},
            "rests": [asdict(rest) for rest in self.rests],
            "overflowed": self.overflowed,
            "finished": self.finished,
        }


def whole_day(session: Session, told: Callable[[f.Entry], None] | None = None) -> Result:
    """Lives a whole day through without a terminal; `told` hears every entry.

    The session must stand on a `VirtualClock`. Ends with the day, or unfinished after 48 hours.
    """
    rehearsal = Rehearsal(session)
    if told is not None:
        session.listeners.append(told)
    person = SimulatedPerson(session, rehearsal.day, rehearsal.seed)
    while session.state.phase in ("idle", "running") and session.t() < LONGEST_DAY_SECONDS:
        intent = person.next_intent()
        if intent is None:
            _let_pass(rehearsal, _seconds_to_next(session))
            continue
        _let_pass(rehearsal, person.seconds_for(intent))
        intent = person.next_intent() or intent
        outcome = session.send(intent)
        if outcome.doubt is not None:
            session.send(intents.KeepIt())
        elif outcome.refused is not None:
            _let_pass(rehearsal, 60.0)
    return Result(
        seed=rehearsal.seed,
        truth=rehearsal.day.truth,
        rests=_rests(session, rehearsal.day),
        overflowed=rehearsal.day.overflowed,
        finished=session.state.phase == "complete",
    )


def _let_pass(rehearsal: Rehearsal, seconds: float) -> None:
    for _ in rehearsal.wait(seconds / 60.0):
        pass


def _seconds_to_next(session: Session) -> float:
    """Seconds until something becomes due, at most half a minute."""
    due = calls.next_due(session.schedule, session.state)
    now = session.state.running(session.t())
    if due is None or due <= now:
        return 30.0
    return min(30.0, max(0.5, due - now))


def _rests(session: Session, day: SimulatedDay) -> tuple[RestOutcome, ...]:
    found = []
    for record in session.state.records:
        step = session.schedule.step(record.number)
        if not isinstance(step, Rest) or record.ended is None:
            continue
        taken = session.state.valid("temperature", record.number)
        first = taken[0].t if taken else record.began
        changes = [a.t for a in session.state.additions if a.fact.step == record.number]
        settled = (max(changes) if changes else first) + 180.0
        found.append(
            RestOutcome(
                target_celsius=step.target_celsius,
                first_celsius=day.true_at(first),
                settled_celsius=day.true_at(min(settled, record.ended)),
                mean_celsius=day.true_mean(record.began, record.ended),
                remedies=len(changes),
            )
        )
    return tuple(rest for rest in found if not math.isnan(rest.mean_celsius))
