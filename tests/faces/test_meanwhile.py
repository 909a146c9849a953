"""An open day nobody was beside, told in words."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest

from mashday.engine import intents
from mashday.engine.state import State
from mashday.faces.lines import understood
from mashday.faces.meanwhile import day_and_time, standing
from mashday.faces.moment import Moment
from mashday.session.clock import VirtualClock
from mashday.session.read_back import goes_on
from mashday.session.session import Session, begin, moments

WRITTEN = """
format = 1
name = "Lock Seven barley wash"
[pot]
name = "lock-keeper's kettle"
volume = "33 L"
mass = "4.6 kg"
material = "stainless steel"
heater = "2.5 kW"
[[grain]]
name = "pale barley malt"
kind = "barley malt"
mass = "5 kg"
[[step]]
kind = "heat"
water = "15 L"
[[step]]
kind = "dough-in"
target = "63 degC"
[[step]]
kind = "rest"
target = "63 degC"
time = "60 min"
read_every = "20 min"
[[step]]
kind = "raise"
target = "72 degC"
by = "fire"
[[step]]
kind = "clean-up"
"""
CONFIRMED = WRITTEN.replace('read_every = "20 min"', 'read_every = "20 min"\nconfirm = true')
RESTING: tuple[str | float, ...] = ("start", 30, "68.0", 1, "done", 8, "done")


def lived(*said: str | float, written: str = CONFIRMED) -> Session:
    """A day begun at 10:00, with what was said and the minutes that passed."""
    clock = VirtualClock()
    session = begin(written, clock, folder=None)
    for one in said:
        if isinstance(one, str):
            meant = understood(one, session.schedule, session.state, session.t())
            assert isinstance(meant, intents.Intent), meant
            outcome = session.send(meant)
            if outcome.doubt is not None:
                outcome = session.send(intents.KeepIt())
            assert outcome.refused is None, (one, outcome)
        else:
            clock.advance(60.0 * one)
            session.tick()
    return session


def told_after(session: Session, minutes: float) -> str:
    """What is said of the day after so many more minutes away."""
    clock = session.clock
    assert isinstance(clock, VirtualClock)
    clock.advance(60.0 * minutes)
    back = goes_on(session.state, clock)
    return standing(Moment(session.schedule, session.state, back.t, moments(session.state)), back)


def test_what_was_due_while_away_is_told_the_longest_due_first() -> None:
    # derived: a mash is read five minutes after the grain is in, and rests for 60 min from then on
    told = told_after(lived(*RESTING), 72)
    assert told == (
        "at step 3, Rest 63.0 C; away 72 min; due meanwhile: mash temperature, 67 min ago;"
        " the rest was over 12 min ago"
    )


def test_time_still_to_go_is_told_where_nothing_is_due() -> None:
    told = told_after(lived(*RESTING), 2)
    assert told == "at step 3, Rest 63.0 C; away 2 min; nothing is due; 58 min of Rest to go"


def test_a_day_just_left_says_so() -> None:
    assert "; left just now; " in told_after(lived(*RESTING), 0.5)


def test_what_was_due_before_it_was_left_is_not_put_to_the_absence() -> None:
    session = lived(*RESTING, 10, "note gas is low")
    assert "; left just now; due: mash temperature, 5 min ago; " in told_after(session, 0.25)


def test_a_call_that_was_answered_is_not_told_again() -> None:
    told = told_after(lived(*RESTING, 61, "ok"), 5)
    assert "due meanwhile" not in told


def test_a_held_day_stands_still_and_has_nothing_due() -> None:
    told = told_after(lived(*RESTING, 2, "hold"), 90)
    assert told == "held at step 3, Rest 63.0 C; away 90 min; 58 min of Rest to go"


def test_what_will_begin_by_itself_is_told_before_it_does() -> None:
    session = lived(*RESTING, 5.2, "63.0", 20, "63.0", 20, "63.0", written=WRITTEN)
    told = told_after(session, 30)
    assert told.endswith("then Raise 72.0 C begins by itself")


def test_a_day_not_begun_says_so() -> None:
    assert told_after(lived(), 5) == "not begun yet; away 5 min"


@pytest.mark.parametrize(("hours", "long"), [(25, "25 h 00 min"), (72, "3 days")])
def test_after_more_than_a_day_it_goes_on_from_its_last_entry(hours: float, long: str) -> None:
    session = lived("start", 1, "note gas is low")
    last = session.state.t
    told = told_after(session, 60 * hours)
    assert told.endswith(f"; left {long} ago, so it goes on from its last entry; nothing is due")
    assert goes_on(session.state, session.clock).t == last


def test_a_clock_that_went_back_is_named() -> None:
    session = lived("start", 1, "note gas is low")
    earlier = VirtualClock(session.state.log[-1].at - timedelta(hours=1), elapsed=-3600.0)
    back = goes_on(session.state, earlier)
    told = standing(Moment(session.schedule, session.state, back.t, moments(session.state)), back)
    assert "the clock went back since, so it goes on from its last entry" in told


def test_a_log_without_an_opening_goes_on_from_its_last_entry() -> None:
    session = lived("start")
    state = State(t=5.0, log=session.state.log[1:])
    assert goes_on(state, session.clock).how == "ask"


@pytest.mark.parametrize(
    ("at", "told"),
    [
        (datetime(2026, 10, 3, 8, 0, tzinfo=UTC), "today 10:00"),
        (datetime(2026, 10, 2, 16, 20, tzinfo=UTC), "yesterday 18:20"),
        (datetime(2026, 9, 1, 8, 0, tzinfo=UTC), "2026-09-01 10:00"),
    ],
)
def test_a_moment_is_told_as_seen_from_the_clock_on_the_wall(at: datetime, told: str) -> None:
    wall = datetime(2026, 10, 3, 12, 0, tzinfo=timezone(timedelta(hours=2)))
    assert day_and_time(at, wall) == told
