"""Calls: the heads-up before the end of a long time, and what answers it."""

from __future__ import annotations

import pytest
from days import BARLEY, Day

from mashday.engine import calls, intents
from mashday.engine import facts as f
from mashday.schedule.door import load


def standing(day: Day) -> list[tuple[str, bool]]:
    return [(call.kind, call.rings) for call in calls.calls(day.schedule, day.state, day.t)]


def near_the_end(seconds: float, minutes: float = 60.0) -> Day:
    """A rest that was read shortly before, with so many seconds left."""
    day = Day(load(BARLEY.replace('time = "60 min"', f'time = "{minutes:.0f} min"'))).to_step(4)
    day.after(minutes=minutes - 4.0).read(62.9)
    return day.after(seconds=240.0 - seconds)


@pytest.mark.parametrize(("left", "comes"), [(121.0, False), (120.0, True), (1.0, True), (0.0, False)])
def test_a_heads_up_comes_two_minutes_before_the_end_and_goes_with_it(left: float, comes: bool) -> None:
    assert (("soon", True) in standing(near_the_end(left))) is comes


def test_a_short_time_ends_without_a_heads_up() -> None:
    assert standing(near_the_end(60.0, minutes=9.0)) == []


def test_a_heads_up_that_was_heard_is_quiet_and_never_late() -> None:
    day = near_the_end(90.0)
    (answered,) = day.send(intents.Acknowledge())
    assert isinstance(answered, f.CallAnswered) and answered.late_seconds == 0.0
    assert standing(day) == [("soon", False)]


def test_going_on_does_not_answer_a_heads_up() -> None:
    day = near_the_end(90.0)
    found = day.send(intents.Done(sure=True))
    assert not [fact for fact in found if isinstance(fact, f.CallAnswered)]


def test_a_heads_up_comes_after_everything_else() -> None:
    day = Day(load(BARLEY)).to_step(4).after(minutes=58.5)
    found = calls.calls(day.schedule, day.state, day.t)
    assert [call.urgency for call in found] == ["now", "soon"]


def test_a_dough_in_that_goes_on_for_long_asks_whether_it_is_done() -> None:
    day = Day(load(BARLEY)).to_step(3).after(minutes=19.9)
    assert standing(day) == []
    day.after(minutes=0.2)
    assert standing(day) == [("long", True)]
    day.send(intents.Acknowledge())
    assert standing(day) == [("long", False)]


def test_a_remedy_of_an_old_reading_is_taken_only_on_second_thoughts() -> None:
    day = Day(load(BARLEY)).to_step(4).after(minutes=6)
    day.read(61.0)
    day.after(minutes=15.0)
    assert "61.0 C of 15 min ago" in day.doubted(intents.TakeRemedy(1))
    day.send(intents.TakeRemedy(1, sure=True))
    assert day.state.offer is not None and day.state.offer.taken == 1


def test_a_call_that_moves_on_leaves_its_snooze_behind() -> None:
    day = Day(load(BARLEY)).to_step(4).after(minutes=6)
    day.send(intents.Snooze(5))
    day.send(intents.AddWater(1.0, "1 L at 95 C", 95.0))
    assert standing(day) == []
    day.after(minutes=3)
    assert standing(day) == [("ask", True)]


def test_what_was_made_quiet_before_a_hold_is_quiet_for_its_time_after_it() -> None:
    day = Day(load(BARLEY)).to_step(4).after(minutes=5)
    day.send(intents.Mute())
    day.send(intents.Hold())
    day.after(seconds=30).send(intents.Resume())
    assert standing(day) == [("ask", False)]
    day.after(seconds=91)
    assert standing(day) == [("ask", True)]


def long_dough_in(minutes: float) -> Day:
    return Day(load(BARLEY)).to_step(3).after(minutes=minutes)


def long_call(day: Day) -> calls.Call:
    (found,) = calls.calls(day.schedule, day.state, day.t)
    assert found.kind == "long"
    return found


def test_a_long_step_grows_late_until_it_is_answered_and_then_asks_anew() -> None:
    day = long_dough_in(32.0)
    assert long_call(day).late_seconds == 720.0  # derived: 32 min, due after 20
    (answered,) = day.send(intents.Acknowledge())
    assert isinstance(answered, f.CallAnswered) and answered.late_seconds == 720.0
    assert not long_call(day.after(minutes=9.9)).rings
    again = long_call(day.after(minutes=0.2))
    assert again.rings and again.late_seconds == pytest.approx(6.0)
    day.send(intents.Acknowledge())
    assert not long_call(day.after(minutes=5)).rings


def test_the_snooze_of_a_long_step_lasts_as_long_as_it_was_asked_for() -> None:
    day = long_dough_in(29.0)
    day.send(intents.Snooze(5))
    assert not long_call(day.after(minutes=4)).rings
    assert long_call(day.after(minutes=1.1)).rings
