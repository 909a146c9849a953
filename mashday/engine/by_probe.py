"""What a thermometer that hangs in the pot has to say: when its value is news, and when it may be taken.

It only ever gives readings. Nothing here moves a day on, and what the person enters stands before it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from mashday.engine import asks, calls, landing
from mashday.engine.facts import PROBE
from mashday.engine.state import Reading, State, StepRecord
from mashday.schedule.model import Boil, Cook, Cool, Rest, Schedule

STIRRING_SECONDS = 60.0
"""From the call to the value taken of a mash: time to go there and stir it through. Judgement."""
STIRRED_SECONDS = 20.0
"""The same once the call was acknowledged, and for water, wort and wash. Judgement."""
DRIFTED_KELVIN = 0.3
"""How far past its band a rest has to stand before that is news: less is the probe's own noise. Judgement."""
SETTLED_SECONDS = 300.0
"""A rest that was read or changed sooner than this, or is over in less, s, is left in peace. Judgement."""

STANDS_SECONDS, STANDS_KELVIN = 150.0, 0.15
"""Readings so far apart with less than this between them: nothing coasts any more. Judgement."""

Why = Literal["asked", "there", "drifted"]
Coast = Literal["rises", "stands"]


@dataclass(frozen=True, slots=True)
class Live:
    """What the probe tells at this moment: true Celsius, whether it stands, K a minute where known."""

    celsius: float
    steady: bool = False
    rising_per_minute: float | None = None


@dataclass(frozen=True, slots=True)
class News:
    """A value worth a reading: it was asked for, the step is there, or a rest has left its band.

    `key` names the occasion; it may be taken `wait_seconds` after it was announced, and where
    `needs_steady`, only while the probe stands.
    """

    why: Why
    key: str
    wait_seconds: float
    needs_steady: bool


def news(schedule: Schedule, state: State, t: float, live: Live, awaited: str | None = None) -> News | None:
    """What the live value says at session time `t` that the day does not know yet; None if nothing.

    `awaited` is the key of the news before: a rest that is just leaving its band does not come and go.
    """
    record = state.current
    if record is None or state.phase != "running":
        return None
    there = _there(schedule, state, t, record, live)
    if there is not None:
        return there
    for ask in asks.due(schedule, state, t):
        if ask.quantity == "temperature":
            if moves(schedule, state):
                return News("asked", ask.key, 0.0, False)
            return News("asked", ask.key, _wait_seconds(schedule, state, t, ask), True)
    return _drifted(schedule, state, t, record, live, awaited)


def asked(schedule: Schedule, state: State, t: float) -> bool:
    """True while a temperature of what is in the pot is due at session time `t`."""
    return any(ask.quantity == "temperature" for ask in asks.due(schedule, state, t))


def moves(schedule: Schedule, state: State) -> bool:
    """True while the step under way brings what is in the pot to a temperature and waits for that."""
    record = state.current
    if record is None:
        return False
    return isinstance(schedule.step(record.number), Cool) or _heated_to(schedule, state, record) is not None


def takes_itself(schedule: Schedule, state: State) -> bool:
    """True while a value may be taken without hands in the step under way.

    From the separation on, and while water is heated beside the mash, nobody but the person knows what the
    probe hangs in: one value has to be taken by hand in each such step first. A probe's reading that was
    undone or struck out ends it for its step.
    """
    number = state.step
    here = [r for r in state.readings if r.step == number and r.fact.source == PROBE]
    if here and here[-1].voided:
        return False
    in_pot = asks.subject(schedule, number) not in ("wort", "wash")
    if in_pot and not landing.is_beside(schedule, number):
        return True
    return bool(here)


def coasts(schedule: Schedule, state: State, t: float) -> Coast | None:
    """What a heating does that the probe has called off before its target; None where it has not.

    One that stood short of it wants more heat from there on, until it is there.
    """
    called = next((call for call in calls.calls(schedule, state, t) if call.kind == "near"), None)
    if called is None:
        return None
    taken = [r for r in state.valid("temperature", state.step) if r.run >= called.due]
    return "stands" if _stood([r for r in taken if r.fact.source == taken[-1].fact.source]) else "rises"


def _stood(taken: Sequence[Reading]) -> bool:
    """True if one of these readings was hardly above one that was taken a while before it."""
    for place, reading in enumerate(taken):
        before = [r for r in taken[:place] if reading.run - r.run >= STANDS_SECONDS]
        if before and reading.metric - before[-1].metric < STANDS_KELVIN:
            return True
    return False


def _wait_seconds(schedule: Schedule, state: State, t: float, ask: asks.Ask) -> float:
    if ask.subject != "mash":
        return STIRRED_SECONDS
    heard = any(call.key == ask.key and call.acknowledged for call in calls.calls(schedule, state, t))
    return STIRRED_SECONDS if heard else STIRRING_SECONDS


def _there(schedule: Schedule, state: State, t: float, record: StepRecord, live: Live) -> News | None:
    """A heating that is at its target, or will be by what the heater still holds; a cooling that is.

    One that was called off too early and heats once more is called anew at its target.
    """
    number = record.number
    key = f"there-{number}-{sum(r.step == number for r in state.readings)}"
    if not moves(schedule, state):
        return _fired(state, live, key)
    newest = asks.newest_temperature(state, record)
    cools = isinstance(schedule.step(number), Cool)
    if newest is None and cools:
        return None
    coast = coasts(schedule, state, t)
    known = newest is not None and calls.is_there(schedule, state, number, newest.metric)
    if coast == "rises" or (coast is None and known):
        return None
    rises = live.rising_per_minute is not None and live.rising_per_minute > 0.0
    is_there = calls.is_there if rises and coast is None else calls.is_at
    return News("there", key, 0.0, False) if is_there(schedule, state, number, live.celsius) else None


def _fired(state: State, live: Live, key: str) -> News | None:
    """The fire of a remedy that has brought the mash up before its minutes are over."""
    under_way = calls.way_under_way(state)
    if under_way is None or under_way[1].way != "fire":
        return None
    offer, way = under_way
    assert offer.taken_run is not None
    ended = calls.way_ends(state, offer, way) < offer.taken_run + 60.0 * way.minutes
    return None if ended or live.celsius < way.target_celsius else News("there", key, 0.0, False)


def _heated_to(schedule: Schedule, state: State, record: StepRecord) -> float | None:
    """What the heater brings the pot to in this step, None once that is over or where none does."""
    step = schedule.step(record.number)
    if isinstance(step, Cook | Boil) and record.clock_run is not None:
        return None
    heats = calls.heats(schedule, record.number)
    return landing.target_celsius(schedule, state, record.number) if heats else None


def _drifted(
    schedule: Schedule, state: State, t: float, record: StepRecord, live: Live, awaited: str | None
) -> News | None:
    """A rest whose last reading was good and that has left its band since."""
    number = record.number
    step = schedule.step(number)
    latest = asks.newest_temperature(state, record)
    target = landing.target_celsius(schedule, state, number)
    if not isinstance(step, Rest) or latest is None or target is None:
        return None
    key = f"drifted-{number}-{latest.number}"
    stands = key == awaited
    band = landing.band_kelvin(schedule, number)
    now = state.running(t)
    changed = [latest.run, *(a.run for a in state.additions if a.fact.step == number)]
    offer = state.offer
    if (offer is not None and offer.is_open) or calls.way_under_way(state) is not None or state.untold:
        return None
    left = calls.remaining_seconds(schedule, state, t)
    over_soon = left is not None and left < SETTLED_SECONDS
    if over_soon or now - max(changed) < SETTLED_SECONDS or abs(latest.metric - target) > band:
        return None
    if abs(live.celsius - target) <= band + (0.0 if stands else DRIFTED_KELVIN) or not (
        stands or live.steady
    ):
        return None
    return News("drifted", key, STIRRING_SECONDS, True)
