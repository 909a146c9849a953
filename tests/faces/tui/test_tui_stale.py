"""What stands too long, or is answered by something else: no call is lost and no key acts on what is gone."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from mashday.engine import calls
from mashday.schedule.samples import sample_text

Days = Callable[[str], Any]
TWO_RESTS = sample_text("lock-seven-barley").replace(
    '[[step]]\nkind = "starch-check"',
    '[[step]]\nkind = "rest"\ntarget = "63 C"\ntime = "60 min"\n\n[[step]]\nkind = "starch-check"',
)


def ringing(at: Any) -> list[str]:
    found = calls.calls(at.session.schedule, at.session.state, at.session.t())
    return [f"{call.kind} {call.way or call.quantity or ''}".strip() for call in found if call.rings]


@pytest.mark.parametrize(
    "keys",
    [("e", "5", "enter"), ("g", "y"), ("k",), ("6", "1", ".", "9", "enter")],
    ids=["more", "skip", "k", "read"],
)
def test_nothing_but_saying_so_answers_that_the_heat_is_off(day: Days, keys: tuple[str, ...]) -> None:
    at = day("heat-off")
    at.press(*keys)
    assert "way fire" in ringing(at) and "Heat off now" in at.screen()
    at.press("+") if keys == ("k",) else at.press("enter")
    assert "way fire" not in ringing(at)


def test_more_time_answers_no_reading_that_is_due(day: Days) -> None:
    at = day("called")
    at.press("e", "5", "enter")
    assert "ask temperature" in ringing(at)


def test_a_reading_that_counts_for_nothing_is_called_for_anew(day: Days) -> None:
    at = day("called")
    at.type("63.1", "enter")
    number = at.session.state.readings[-1].number
    at.say(f"void {number}")
    assert "ask temperature" in ringing(at)


def test_a_call_that_was_heard_says_nothing_of_the_next_one(day: Days) -> None:
    at = day("called")
    at.press("enter")
    at.say("added 1 L at 95 C")
    at.wait(190.0)
    assert "ask temperature" in ringing(at)


def test_a_doubt_does_not_outlive_its_step(day_of: Callable[[str], Any]) -> None:
    at = day_of(TWO_RESTS)
    at.say("start")
    while at.session.schedule.step(at.session.state.step).kind != "rest":
        at.say("skip")
    first = at.session.state.step
    for minutes in (10, 20, 20):
        at.let_pass(60.0 * minutes)
        at.say("63.2")
    at.let_pass(60.0 * 9.5)
    at.press("+")
    assert "End it now?" in at.desk.doubt
    at.wait(31.0)
    at.desk.heard(at.session.tick().entries)
    assert at.session.state.step == first + 1 and at.desk.doubt == ""
    at.press("+", "enter")
    assert at.session.state.step == first + 1


def test_a_doubt_that_stands_for_a_minute_is_kept_by_no_key(day: Days) -> None:
    at = day("resting")
    at.type("36", "enter")
    assert at.desk.doubt
    at.wait(61.0)
    at.press("enter")
    assert at.desk.doubt == "" and all(reading.metric > 60.0 for reading in at.session.state.readings)


def test_a_question_for_how_long_is_forgotten(day: Days) -> None:
    at = day("called")
    at.press("s")
    at.wait(30.0)
    at.type("25.4")
    assert at.desk.entry.text == "25.4" and at.session.state.snoozed == ()


def test_a_held_day_still_calls_for_the_fire_that_is_on(day: Days) -> None:
    at = day("pouring")
    at.say("undo")
    at.say("take 2")
    at.say("hold")
    assert ringing(at) == ["way fire"] and "Heat off now: the fire of the remedy is still on" in at.screen()
    at.press("enter")
    assert ringing(at) == []


def test_a_held_day_calls_for_nothing_else(day: Days) -> None:
    at = day("called")
    at.say("hold")
    assert ringing(at) == []


def test_a_digit_does_not_close_the_summary(day: Days) -> None:
    at = day("finished")
    at.press("5")
    assert "The day is over" in at.screen() and not at.desk.leaving


def test_a_long_dough_in_asks_again(day: Days) -> None:
    at = day("heating")
    at.type("69", "enter")
    at.press("n", "n")
    at.wait(1201.0)
    assert ringing(at) == ["long"]
    at.press("enter")
    assert ringing(at) == []
    at.wait(600.0)
    assert ringing(at) == ["long"]


def test_a_number_goes_to_the_question_that_stands_not_to_an_item(day: Days) -> None:
    at = day("called")
    at.type("62.9", "+")
    assert "typed and not taken yet" in at.desk.message
