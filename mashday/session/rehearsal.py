"""Rehearsal: a session beside a simulated pot, on a clock that can be moved on.

`Rehearsal` joins the two for a person at the keys; `whole_day` lets a simulated person live it through.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from typing import Any

from mashday.engine import asks, intents
from mashday.engine import facts as f
from mashday.engine.state import Offer, State
from mashday.schedule.model import DoughIn, Rest, Schedule
from mashday.session.clock import Clock, FastClock, VirtualClock
from mashday.session.person import SimulatedPerson
from mashday.session.session import Outcome, Session
from mashday.session.simulation import SimulatedDay
from mashday.session.truth import Truth

SLICE_SECONDS = 5.0
UNSEEN_SLICE_SECONDS = 15.0
"""With nobody looking on, time passes in longer slices."""
SETTLING_SECONDS = 180.0
"""How long after a change a mash is judged, s. Common practice, no source."""
LONGEST_DAY_SECONDS = 48.0 * 3600.0


class Rehearsal:
    """A session with its simulated pot."""

    def __init__(self, session: Session, day: int = 1) -> None:
        self.session = session
        self.seed = int(session.header.get("seed", 0))
        self.day = SimulatedDay(session.schedule, self.seed, day)
        for entry in session.state.log:
            self.day.happened(entry)
        session.listeners.append(self.day.happened)

    def thermometer(self) -> float:
        """What the simulated thermometer shows now, Celsius."""
        self.day.follow(self.session.t())
        return self.day.thermometer()

    def probe(self, t: float) -> float:
        """What a thermometer that hangs in the simulated pot shows at session second `t`, put right."""
        self.day.follow(t)
        return self.day.probe() - self.session.schedule.thermometer.offset_kelvin

    def wait(self, minutes: float, slice_seconds: float = SLICE_SECONDS) -> Iterator[Outcome]:
        """Moves the clock on by so many minutes, in slices, yielding after each what came of it by itself."""
        left = 60.0 * minutes
        while left > 0.0:
            seconds = min(slice_seconds, left)
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
    """How a rest really went, by the pot's own truth; temperatures in Celsius.

    first: at the first reading; settled: three minutes after the last change. after_grain: no rest before it.
    """

    target_celsius: float
    first_celsius: float
    settled_celsius: float
    mean_celsius: float
    remedies: int
    after_grain: bool


@dataclass(frozen=True, slots=True)
class RemedyOutcome:
    """What a way taken to put a mash right really did; temperatures in Celsius.

    before: the true one as it began; after: three minutes after it was done; read: what it was taken by.
    """

    way: str
    target_celsius: float
    read_celsius: float
    before_celsius: float
    after_celsius: float

    @property
    def worse(self) -> bool:
        """True if the mash was further off afterwards."""
        return abs(self.after_celsius - self.target_celsius) > abs(self.before_celsius - self.target_celsius)

    @property
    def by_the_thermometer(self) -> bool:
        """True if even a change by exactly what was read would have left it further off."""
        moved = self.before_celsius + self.target_celsius - self.read_celsius
        return abs(moved - self.target_celsius) > abs(self.before_celsius - self.target_celsius)


@dataclass(frozen=True, slots=True)
class Result:
    """What a rehearsed day came to."""

    seed: int
    truth: Truth
    rests: tuple[RestOutcome, ...]
    remedies: tuple[RemedyOutcome, ...]
    overfull_litres: float
    absurd: int
    overflowed: bool
    finished: bool

    def as_json(self) -> dict[str, Any]:
        """The result as plain values."""
        truth = asdict(self.truth)
        return {
            "seed": self.seed,
            "truth": {**truth.pop("pot"), **truth},
            "rests": [asdict(rest) for rest in self.rests],
            "remedies": [asdict(remedy) for remedy in self.remedies],
            "overfull_litres": self.overfull_litres,
            "overflowed": self.overflowed,
            "finished": self.finished,
        }


def whole_day(
    session: Session,
    told: Callable[[f.Entry], None] | None = None,
    *,
    day: int = 1,
    person: type[SimulatedPerson] = SimulatedPerson,
    until: str | None = None,
) -> Result:
    """Lives a day of the session's pot through without a terminal; `told` hears every entry.

    The session must stand on a `VirtualClock`. Ends with the day, where a step of kind `until` begins, or
    unfinished after 48 hours.
    """
    rehearsal = Rehearsal(session, day)
    if told is not None:
        session.listeners.append(told)
    somebody = person(session, rehearsal.day)
    while session.state.phase in ("idle", "running") and session.t() < LONGEST_DAY_SECONDS:
        if session.state.step and session.schedule.step(session.state.step).kind == until:
            break
        intent = somebody.next_intent()
        if intent is None:
            _let_pass(rehearsal, somebody.seconds_to_next())
            continue
        _let_pass(rehearsal, somebody.seconds_for(intent))
        outcome = session.send(somebody.next_intent() or intent)
        if outcome.doubt is not None and session.doubted is not None:
            _settle_doubt(session, somebody)
        elif outcome.refused is not None:
            _let_pass(rehearsal, 60.0)
    simulated = rehearsal.day
    return Result(
        seed=rehearsal.seed,
        truth=simulated.truth,
        rests=_rests(session, simulated),
        remedies=_remedies(session, simulated),
        overfull_litres=simulated.overfull_litres,
        absurd=sum(_is_absurd(way, session.schedule) for o in session.state.offers for way in o.options),
        overflowed=simulated.overflowed,
        finished=session.state.phase == "complete",
    )


def _settle_doubt(session: Session, person: SimulatedPerson) -> None:
    """What is doubted is looked at once more; what is doubted again is kept."""
    assert session.doubted is not None
    if session.send(person.asked_again(session.doubted)).doubt is not None:
        session.send(intents.KeepIt())


def _let_pass(rehearsal: Rehearsal, seconds: float) -> None:
    for _ in rehearsal.wait(seconds / 60.0, UNSEEN_SLICE_SECONDS):
        pass


@dataclass(frozen=True, slots=True)
class _Change:
    """A way that was carried out: when it began and when it was done, session seconds."""

    way: f.RemedyOffered
    began: float
    done: float


def _changes(state: State) -> list[_Change]:
    """The ways that were carried out, in the order in which they were done."""
    found = [change for offer in state.offers if (change := _change(state, offer)) is not None]
    return sorted(found, key=lambda change: change.done)


def _change(state: State, offer: Offer) -> _Change | None:
    way = offer.way_taken
    if way is None or way.way == "leave it" or offer.taken_run is None:
        return None
    poured = [a.t for a in state.additions if a.fact.offer == offer.number]
    if way.litres > 0.0:
        return _Change(way, poured[0], poured[-1]) if poured else None
    taken = next((e.t for e in state.log if e.fact == f.RemedyTaken(offer.number, way.option)), offer.t)
    return _Change(way, taken, taken + 60.0 * way.minutes)


def _rests(session: Session, day: SimulatedDay) -> tuple[RestOutcome, ...]:
    state, schedule = session.state, session.schedule
    changes = _changes(state)
    found = []
    for record in state.records:
        step = schedule.step(record.number)
        if not isinstance(step, Rest) or record.ended is None:
            continue
        taken = state.valid("temperature", record.number)
        first = taken[0].t if taken else record.began
        poured = [a.t for a in state.additions if a.fact.step == record.number and a.fact.offer is None]
        done = poured + [change.done for change in changes if change.way.step == record.number]
        settled = max([first, *done]) + SETTLING_SECONDS
        found.append(
            RestOutcome(
                target_celsius=step.target_celsius,
                first_celsius=day.true_at(first),
                settled_celsius=day.true_at(min(settled, record.ended)),
                mean_celsius=day.true_mean(record.began, record.ended),
                remedies=len(done),
                after_grain=record.number > 1 and isinstance(schedule.step(record.number - 1), DoughIn),
            )
        )
    return tuple(rest for rest in found if not math.isnan(rest.mean_celsius))


def _remedies(session: Session, day: SimulatedDay) -> tuple[RemedyOutcome, ...]:
    """What the ways taken did to the mash; those that moved water alone are left out."""
    state, schedule = session.state, session.schedule
    found = []
    for change in _changes(state):
        number = change.way.step
        if asks.subject(schedule, number) != "mash":
            continue
        record = state.record(number)
        ends = record.ended if record is not None and record.ended is not None else state.t
        found.append(
            RemedyOutcome(
                way=change.way.way,
                target_celsius=change.way.target_celsius,
                read_celsius=change.way.read_celsius,
                before_celsius=day.true_at(change.began),
                after_celsius=day.true_at(max(change.done, min(change.done + SETTLING_SECONDS, ends))),
            )
        )
    return tuple(found)


def _is_absurd(way: f.RemedyOffered, schedule: Schedule) -> bool:
    """True for a way said to be possible with an amount that cannot be."""
    amounts = (way.litres, way.first_litres, way.kilograms, way.minutes)
    sound = all(math.isfinite(one) and one >= 0.0 for one in amounts)
    fits = way.litres <= schedule.pot.volume_litres and 0.0 < way.lands_celsius < 100.0
    return way.possible and not (sound and fits)
