"""Calls: what needs the person now. Worked out from the state; only the answers to them are facts.

A call is due at a moment of running time and never shows before it. It stays until it is acknowledged
or until the thing it calls for is done; how late that was is kept. A heads-up comes before the end of a long
time and asks for nothing: the call itself takes its place.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from mashday.engine import asks, landing, pace
from mashday.engine import contents as pot
from mashday.engine.facts import PROBE, RemedyOffered
from mashday.engine.state import Fire, Offer, State, StepRecord
from mashday.schedule.model import Boil, Cook, Cool, DoughIn, Heat, MashOut, Raise, Rest, Schedule

Urgency = Literal["soon", "now", "danger"]
MUTE_SECONDS = 120.0
HEADS_UP_SECONDS = 120.0
"""How long before the end of a step's own time the heads-up comes. Judgement: time to dry one's hands."""
LEAST_FOR_HEADS_UP = 600.0
"""A time shorter than this, in seconds, ends without one."""
HEADS_UP = "soon-"
"""How the key of a heads-up begins."""
LONG_SECONDS = {"dough-in": 1200.0, "boil": 2400.0}
"""After so long in a dough-in, or on the way to a boil, it is asked whether it is done: the next clock does
not run before that is said. Judgement, twice the usual time (engine.timetable)."""
LONG_AGAIN_SECONDS = 600.0
"""It is asked again so long after it was answered. Judgement."""
ENDS_WITH_A_CALL = frozenset({"fire", "lid off", "decoction", "part out"})
"""Ways of a remedy with something to do when their minutes are over: heat off, lid on, stir it back in."""
OVER_ONCE_THERE = frozenset({"fire", "lid off", "wait"})
"""Ways that are over before their minutes are when a reading shows the mash at its target or beyond."""


@dataclass(frozen=True, slots=True)
class Call:
    """Something the person is wanted for; `due` in running seconds, `late_seconds` since then, those of a
    hold counted for a fire alone.

    `way` is the way of a remedy that is over.
    """

    key: str
    kind: Literal["time", "soon", "begun", "ask", "way", "long", "near", "there"]
    urgency: Urgency
    due: float
    late_seconds: float
    step: int
    quantity: str | None = None
    way: str | None = None
    acknowledged: bool = False
    quiet_seconds: float = 0.0

    @property
    def rings(self) -> bool:
        """True while it makes itself heard: not acknowledged, snoozed or muted."""
        return not self.acknowledged and self.quiet_seconds <= 0.0


def clock(schedule: Schedule, state: State, record: StepRecord) -> tuple[float, float] | None:
    """The beginning (running seconds) and length (seconds) of the step's own time; None if it has none
    or if it does not run yet."""
    step = schedule.step(record.number)
    if isinstance(step, Rest):
        began: float | None = record.began_run
    elif isinstance(step, Cook | Boil):
        began = record.clock_run
    else:
        return None
    if began is None:
        return None
    return began, max(0.0, step.minutes + record.extended_minutes) * 60.0


def remaining_seconds(schedule: Schedule, state: State, t: float) -> float | None:
    """Seconds the step's own time still has at session time `t`, negative once it is over; None if it
    has none."""
    record = state.current
    timer = clock(schedule, state, record) if record else None
    if timer is None:
        return None
    return timer[0] + timer[1] - state.running(t)


def calls(schedule: Schedule, state: State, t: float) -> tuple[Call, ...]:
    """The calls that are due at session time `t`, most urgent and oldest first.

    While the day is held none but the fire of a remedy: it calls at once, for nobody is there to turn it off.
    """
    record = state.current
    if record is None or state.phase not in ("running", "held"):
        return ()
    now = state.running(t)
    if state.phase == "held":
        return tuple(_mark(state, call, t) for call in _of_a_way(schedule, state, record, t))
    found = [*_of_the_time(schedule, state, record, now), *_of_a_way(schedule, state, record, t)]
    if record.by_itself:
        due = record.began_run
        found.append(Call(f"begun-{record.number}-{due:.0f}", "begun", "now", due, now - due, record.number))
    found += _of_a_long_step(schedule, state, record, now)
    found += _of_the_probe(schedule, state, record, now)
    for ask in asks.asks(schedule, state):
        if ask.due <= now:
            late = now - ask.due
            found.append(Call(ask.key, "ask", "now", ask.due, late, record.number, ask.quantity))
    marked = [_mark(state, call, t) for call in found]
    rank = {"danger": 0, "now": 1, "soon": 2}
    return tuple(sorted(marked, key=lambda call: (call.acknowledged, rank[call.urgency], call.due)))


def _of_a_long_step(schedule: Schedule, state: State, record: StepRecord, now: float) -> list[Call]:
    """A dough-in, or a boil that still comes up, that goes on for longer than such a thing takes.

    It is due once, and anew only some time after it was answered.
    """
    step = schedule.step(record.number)
    waits = isinstance(step, Boil) and record.clock_run is None
    if not (waits or isinstance(step, DoughIn)):
        return []
    due = record.began_run + LONG_SECONDS["boil" if waits else "dough-in"]
    key = f"long-{record.number}-{due:.0f}"
    answered = max((one.run for one in state.answered if one.call == key), default=-math.inf)
    if now >= answered + LONG_AGAIN_SECONDS:
        due = max(due, answered + LONG_AGAIN_SECONDS)
    return [Call(key, "long", "now", due, now - due, record.number)] if due <= now else []


def _of_the_probe(schedule: Schedule, state: State, record: StepRecord, now: float) -> list[Call]:
    """A heating or a cooling that a live thermometer has seen at its target, or coasting up to it.

    Whoever reads a thermometer knows; a probe's reading may have been taken with nobody there.
    """
    number = record.number
    seen = [r for r in state.valid("temperature", number) if r.t >= record.began and r.fact.source == PROBE]
    there = next((one for one in seen if is_at(schedule, state, number, one.metric)), None)
    if there is not None:
        return [Call(f"there-{number}-{there.number}", "there", "now", there.run, now - there.run, number)]
    near = next((one for one in seen if is_there(schedule, state, number, one.metric)), None)
    if near is not None:
        return [Call(f"near-{number}-{near.number}", "near", "now", near.run, now - near.run, number)]
    return []


def is_at(schedule: Schedule, state: State, number: int, celsius: float) -> bool:
    """True if `celsius` is what step `number` heats or cools to, within its band."""
    moves = heats(schedule, number) or isinstance(schedule.step(number), Cool)
    return moves and asks.at_target(schedule, state, number, celsius)


def is_there(schedule: Schedule, state: State, number: int, celsius: float) -> bool:
    """The same, or that a step which heats will be there by what its heater still holds."""
    if not heats(schedule, number):
        return is_at(schedule, state, number, celsius)
    return asks.at_target(schedule, state, number, celsius, pace.coast_kelvin(schedule, state, number))


def _of_the_time(schedule: Schedule, state: State, record: StepRecord, now: float) -> list[Call]:
    """The end of the step's own time, or the heads-up before it."""
    timer = clock(schedule, state, record)
    if timer is None:
        return []
    due, number = timer[0] + timer[1], record.number
    if due <= now:
        urgency: Urgency = "danger" if isinstance(schedule.step(number), Boil | Cook) else "now"
        return [Call(f"time-{number}-{due:.0f}", "time", urgency, due, now - due, number)]
    soon = due - HEADS_UP_SECONDS
    if soon <= now and timer[1] >= LEAST_FOR_HEADS_UP:
        return [Call(f"{HEADS_UP}{number}-{due:.0f}", "soon", "soon", soon, now - soon, number)]
    return []


def _of_a_way(schedule: Schedule, state: State, record: StepRecord, t: float) -> list[Call]:
    """Heat off, lid on, stir it back in: when a way is over.

    While the day is held a fire is over at once, and grows late though the clocks of the steps stand.
    """
    found, now = [], state.running(t)
    under_way = way_under_way(state)
    if under_way is not None and under_way[1].way in ENDS_WITH_A_CALL - {"fire"} and state.phase != "held":
        offer, way = under_way
        due = way_ends(state, offer, way)
        if due <= now:
            key = f"way-{offer.number}"
            found.append(Call(key, "way", "now", due, now - due, record.number, "temperature", way.way))
    fire = _last_fire(schedule, state, record)
    if fire is not None:
        due = min(fire.due, now) if state.phase == "held" else fire.due
        if due <= now:
            late = state.seconds_since(due, t)
            key = f"way-{fire.offer}"
            found.append(Call(key, "way", "danger", due, late, record.number, "temperature", "fire"))
    return found


def fire_on(schedule: Schedule, state: State, t: float) -> Fire | None:
    """The fire of a remedy whose heat may still be on at session time `t`, its minutes over or not; None once
    it was said to be off, and in a step that heats."""
    record = state.current
    fire = _last_fire(schedule, state, record) if record is not None else None
    if fire is None:
        return None
    now = state.running(t)
    due = min(fire.due, now) if state.phase == "held" else fire.due
    return None if _said_off(state, fire.offer, due) else replace(fire, due=due)


def _last_fire(schedule: Schedule, state: State, record: StepRecord) -> Fire | None:
    """The last way by fire while it is under way, and after that until its heat is said to be off: a reading
    calls for another way, its step is over, or it was taken back.

    What was said in a hold, before its minutes were over, says nothing of the fire that was lit again. A step
    that heats needs it on; the step after that calls anew.
    """
    lit = [
        (offer.taken_run, Fire(offer.number, way_ends(state, offer, way)))
        for offer in state.offers
        if (way := offer.way_taken) is not None and way.way == "fire" and offer.taken_run is not None
    ]
    began, fire = max((*lit, *state.fires_taken_back), key=lambda one: one[0], default=(0.0, None))
    under_way = way_under_way(state)
    if fire is None or (
        under_way is not None and (under_way[0].number, under_way[1].way) == (fire.offer, "fire")
    ):
        return fire
    if heats(schedule, record.number) or _said_off(state, fire.offer, fire.due):
        return None
    heated = (
        after.began_run
        for before, after in pairwise(state.records)
        if before.began_run >= began and heats(schedule, before.number)
    )
    return replace(fire, due=max((fire.due, *heated)))


def _said_off(state: State, offer: int, due: float) -> bool:
    return any(one.call == f"way-{offer}" and one.run >= due for one in state.answered)


def heats(schedule: Schedule, number: int) -> bool:
    """True for a step that brings the pot up by its heater; water heated beside the mash leaves it alone."""
    step = schedule.step(number)
    if isinstance(step, Raise | MashOut):
        return pot.way_of(schedule, number) == "fire"
    return isinstance(step, Heat | Cook | Boil) and not landing.is_beside(schedule, number)


def way_under_way(state: State) -> tuple[Offer, RemedyOffered] | None:
    """The way that was taken in this step and what its offer is, until the reading that shows what it did.

    A reading while the heat is on, the lid off or a part of the mash out shows nothing of that yet. One that
    is assumed stands for the reading, but ends no fire whose heat may still be on.
    """
    offer = state.offer
    way = offer.way_taken if offer else None
    if offer is None or way is None or offer.taken_run is None or way.step != state.step:
        return None
    poured = [addition.run for addition in state.additions if addition.fact.offer == offer.number]
    since = max((offer.taken_run, *poured))
    assumed_too = way.way != "fire" or _said_off(state, offer.number, way_ends(state, offer, way))
    taken = [one for one in state.valid("temperature", state.step) if assumed_too or not one.fact.assumed]
    read = taken[-1].run if taken else -math.inf
    if way.way in ENDS_WITH_A_CALL:
        done = read > way_ends(state, offer, way) or read >= offer.taken_run + 60.0 * way.minutes
    else:
        done = read > since and (bool(poured) or way.litres <= 0.0)
    return None if done or way.way == "more time" else (offer, way)


def way_ends(state: State, offer: Offer, way: RemedyOffered) -> float:
    """The running second at which a way that was taken is over: after its minutes, sooner with its step or,
    where it only has to go on until the mash is there, with the reading that says so."""
    taken = offer.taken_run
    assert taken is not None
    moments = [taken + 60.0 * way.minutes]
    moments += [r.began_run for r in state.records if r.began_run >= taken and r.number != way.step]
    if way.way in OVER_ONCE_THERE:
        up = way.target_celsius > way.read_celsius
        moments += [
            reading.run
            for reading in state.valid("temperature", way.step)
            if reading.run > taken
            and not reading.fact.assumed
            and (reading.metric >= way.target_celsius if up else reading.metric <= way.target_celsius)
        ]
    return min(moments)


def _mark(state: State, call: Call, t: float) -> Call:
    """The call with what was said of it since it was due: what was said before that was of another moment."""
    acknowledged = any(answered.call == call.key and answered.run >= call.due for answered in state.answered)
    quiet = 0.0
    if dict(state.snoozed_run).get(call.key, -math.inf) >= call.due:
        quiet = dict(state.snoozed)[call.key] - t
    if state.muted_at is not None and state.muted_run is not None and state.muted_run >= call.due:
        quiet = max(quiet, state.muted_at + MUTE_SECONDS - t)
    return replace(call, acknowledged=acknowledged, quiet_seconds=max(0.0, quiet))


def is_heads_up(key: str) -> bool:
    """True for the key of a heads-up."""
    return key.startswith(HEADS_UP)


def next_due(schedule: Schedule, state: State) -> float | None:
    """The running second of the next thing that becomes due after now, None if nothing will."""
    record = state.current
    if record is None:
        return None
    moments = [ask.due for ask in asks.asks(schedule, state)]
    timer = clock(schedule, state, record)
    if timer is not None:
        moments.append(timer[0] + timer[1])
    under_way = way_under_way(state)
    if under_way is not None and under_way[1].way in ENDS_WITH_A_CALL:
        moments.append(way_ends(state, *under_way))
    return min(moments, default=None)
