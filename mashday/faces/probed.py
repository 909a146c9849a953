"""What a live thermometer says, in words: its value with its age, what it calls for, what is to come."""

from __future__ import annotations

import math
from typing import Literal

from mashday.channels.probe import Shown
from mashday.engine import asks, landing
from mashday.engine.by_probe import News, coasts
from mashday.faces.moment import Moment
from mashday.schedule.model import Boil, Cook, Cool, Heat
from mashday.text import cleaned, minutes_and_seconds

NO_AGE_SECONDS = 2.0
"""A value younger than this has no age worth a word."""


def value(now: Moment, shown: Shown) -> str:
    """What it shows with its age: "63.4 C, 3 s ago, steady"; what is wrong where it shows nothing."""
    trouble = cleaned(shown.trouble or "", 160)
    if shown.celsius is None:
        return trouble or "nothing yet"
    age = shown.age_seconds or 0.0
    when = "" if age < NO_AGE_SECONDS else f", {minutes_and_seconds(math.floor(age) / 60.0)} ago"
    said = f"{now.celsius(shown.celsius)}{when}{_moving(now, shown)}"
    return f"{said}; {trouble}" if trouble else said


def _moving(now: Moment, shown: Shown) -> str:
    if shown.steady:
        return ", steady"
    rate = shown.rising_per_minute
    if rate is None or abs(rate) < 0.05:
        return ""
    return f", {'rising' if rate > 0.0 else 'falling'} {now.apart(rate)} a minute"


def called(now: Moment, kind: Literal["near", "there"], number: int) -> str:
    """A heating or a cooling that the probe has seen at its target, or coasting up to it."""
    step = now.schedule.step(number)
    taken = now.state.valid("temperature", number)
    target = landing.target_celsius(now.schedule, now.state, number)
    read = now.celsius(taken[-1].metric) if taken else ""
    if kind == "near" and target is not None:
        return f"Heat off: {read}, it goes on up to {now.celsius(target)} by itself"
    if isinstance(step, Boil | Cook):
        return f"{read}: its time runs from here. Turn the heat down"
    if isinstance(step, Cool):
        return f"{read}: cool enough. Stop cooling"
    where = "the water is there" if isinstance(step, Heat) else "it is there"
    return f"Heat off: {read}, {where}"


def coasting(now: Moment, number: int) -> str:
    """What to do in a heating that the probe has called off before its target; "" where it has not."""
    target = landing.target_celsius(now.schedule, now.state, number)
    coast = coasts(now.schedule, now.state, now.t)
    if coast is None or target is None:
        return ""
    to = now.celsius(target)
    if coast == "rises":
        return f"Leave the heat off: it goes on up to {to} by itself"
    newest = now.state.valid("temperature", number)[-1].metric
    return f"A little more heat: it is at {now.celsius(newest)}, {now.apart(target - newest)} short of {to}"


def moved(now: Moment, shown: Shown) -> str:
    """That a rest has left its band."""
    return f"The mash has moved to {_celsius(now, shown)}"


def awaited(now: Moment, news: News, shown: Shown, seconds: float) -> str:
    """What to do while a value is awaited that is taken by itself in so many seconds."""
    ask = asks.question(now.schedule, now.state, now.t)
    what = "the mash" if ask is None or news.why == "drifted" else f"the {ask.subject}"
    if not news.needs_steady:
        reads = "is read with its next values"
    elif seconds > 0.0:
        reads = f"is read in {_wait(seconds)}, once it stands still"
    else:
        reads = "is read once it stands still"
    return f"Stir {what}; the probe shows {_celsius(now, shown)} and {reads}"


def _celsius(now: Moment, shown: Shown) -> str:
    return now.celsius(shown.celsius) if shown.celsius is not None else "nothing"


def _wait(seconds: float) -> str:
    """Always in seconds: a number that only counts down is said once."""
    return f"{math.ceil(seconds)} s"
