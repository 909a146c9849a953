"""The ways that put nothing in: fire, an open lid, waiting; and how exactly a time can be held."""

from __future__ import annotations

import math
from dataclasses import replace

from mashday.engine import belief, landing
from mashday.engine import contents as pot
from mashday.engine.facts import RemedyOffered, Way
from mashday.engine.ways import POURING_MINUTES, STIRRING_MINUTES, Miss, plain
from mashday.science.limits import OutOfRange
from mashday.science.workings import pot as pots

LONGEST_WAIT_MINUTES = 30.0
LONGEST_FIRE_MINUTES = 30.0
SHORTEST_FIRE_SECONDS = 10.0
"""A fire shorter than this cannot be timed by hand: turning it on and off takes seconds. Judgement."""
STEPS_SECONDS = ((120.0, 5.0), (600.0, 10.0), (math.inf, 60.0))
"""Up to so many seconds a time is held in steps of so many: what a hand and a kitchen clock can do.
Judgement."""


def held_minutes(minutes: float) -> float:
    """A time as a person beside a pot can hold it, minutes: whole ones from ten on, before by seconds."""
    seconds = 60.0 * minutes
    step = next(step for limit, step in STEPS_SECONDS if seconds < limit)
    return step * round(seconds / step) / 60.0


def fire(miss: Miss) -> RemedyOffered | None:
    """The pot's own heater for some minutes; None without one."""
    kilowatts = miss.schedule.pot.heater_kilowatts
    if kilowatts is None:
        return None
    efficiency = min(1.0, miss.schedule.pot.heater_efficiency * miss.fire_effect)
    try:
        made = pots.fire(
            capacity_kj_per_k=miss.inside.kj_per_k,
            from_celsius=miss.celsius,
            to_celsius=miss.target,
            kilowatts=kilowatts,
            efficiency=efficiency,
            loss_w_per_k=belief.loss_w_per_k(miss.schedule, miss.state),
            room_celsius=miss.schedule.place.room_celsius,
        )
    except OutOfRange:
        return plain(miss, "fire", lands=miss.celsius, why="the heater is too weak for it")
    exact = made.answer
    assert isinstance(exact, float)
    if exact > LONGEST_FIRE_MINUTES:
        return plain(miss, "fire", lands=miss.celsius, why="the heater is too weak for it")
    if 60.0 * exact < SHORTEST_FIRE_SECONDS:
        return plain(miss, "fire", lands=miss.celsius, why="too short to time")
    minutes = held_minutes(exact)
    lands = miss.celsius + (miss.target - miss.celsius) * minutes / exact
    return replace(
        plain(miss, "fire", lands=lands),
        minutes=minutes,
        takes_minutes=minutes + STIRRING_MINUTES,
        working=(*made.lines(miss.units), *made.caution_lines(miss.units)),
    )


def lid_off(miss: Miss) -> RemedyOffered:
    """The lid off until it has cooled."""
    made = pots.lid_off(
        capacity_kj_per_k=miss.inside.kj_per_k,
        from_celsius=miss.celsius,
        to_celsius=miss.target,
        loss_w_per_k=belief.loss_w_per_k(miss.schedule, miss.state),
        room_celsius=miss.schedule.place.room_celsius,
        area_m2=pot.open_area_m2(miss.schedule),
    )
    minutes = made.answer
    assert isinstance(minutes, float)
    return _waited(miss, "lid off", minutes, made.lines(miss.units))


def wait(miss: Miss) -> RemedyOffered:
    """Waiting with the lid on until it has drifted down."""
    minutes = landing.drift_minutes(miss.schedule, miss.state, miss.number, miss.celsius, miss.target)
    made = pots.drift(
        from_celsius=miss.celsius,
        minutes=min(minutes, 24.0 * 60.0),
        capacity_kj_per_k=miss.inside.kj_per_k,
        loss_w_per_k=belief.loss_w_per_k(miss.schedule, miss.state),
        room_celsius=miss.schedule.place.room_celsius,
    )
    return _waited(miss, "wait", minutes, made.lines(miss.units))


def _waited(miss: Miss, way: Way, minutes: float, working: tuple[str, ...]) -> RemedyOffered:
    if math.isinf(minutes):
        return plain(miss, way, lands=miss.celsius, why="it does not get there by itself")
    if minutes > LONGEST_WAIT_MINUTES:
        return plain(miss, way, lands=miss.celsius, why=f"it takes about {minutes:.0f} min", working=working)
    return replace(
        plain(miss, way, lands=miss.target, working=working),
        minutes=round(minutes, 1),
        takes_minutes=minutes + POURING_MINUTES,
    )
