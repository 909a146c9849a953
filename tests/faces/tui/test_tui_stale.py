"""What stands too long, or is answered by something else: no call is lost and no key acts on what is gone."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from mashday.engine import calls, intents
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
    at.wait(2.0)
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
    at.wait(0.3)
    at.wait(1.0)
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


@pytest.fixture
def on_fire(day: Days) -> Any:
    """A day whose remedy by fire is over and rings."""
    at = day("pouring")
    at.say("undo")
    at.say("take 2")
    offer = at.session.state.offer
    assert offer is not None and offer.way_taken is not None and offer.way_taken.way == "fire"
    at.wait(60.0 * offer.way_taken.minutes + 5.0)
    assert ringing(at) == ["way fire"]
    return at


def test_enter_that_bounces_behind_a_number_does_not_say_that_the_heat_is_off(on_fire: Any) -> None:
    on_fire.wait(3.0)
    on_fire.type("61.9", "enter", "enter")
    assert "way fire" in ringing(on_fire)
    assert "Is the heat off? Then press it once more." in on_fire.screen()
    on_fire.wait(1.0)
    on_fire.press("enter")
    assert "way fire" not in ringing(on_fire)


def test_enter_for_a_number_that_was_set_aside_does_not_say_it(on_fire: Any) -> None:
    on_fire.type("63")
    on_fire.wait(20.5)
    on_fire.press("enter")
    assert ringing(on_fire) == ["way fire"]


def test_a_key_on_its_way_when_the_fire_begins_to_call_does_not_say_it(day: Days) -> None:
    at = day("pouring")
    at.say("undo")
    at.say("take 2")
    offer = at.session.state.offer
    assert offer is not None and offer.way_taken is not None
    at.wait(60.0 * offer.way_taken.minutes - 0.2)
    assert ringing(at) == []
    at.desk.key("plus", "+", at.clock.elapsed())
    at.wait(0.4)
    assert ringing(at) == ["way fire"] and "look, and press again" in at.screen()


def rings_in(at: Any, seconds: float) -> Any:
    """A day whose fire begins to call in so many seconds."""
    at.say("undo")
    at.say("take 2")
    offer = at.session.state.offer
    assert offer is not None and offer.way_taken is not None
    at.wait(60.0 * offer.way_taken.minutes - seconds)
    assert ringing(at) == []
    return at


@pytest.mark.parametrize("key", ["+", "enter", "space"])
def test_a_key_a_moment_behind_the_call_does_not_say_it_and_a_later_one_does(day: Days, key: str) -> None:
    at = rings_in(day("pouring"), 0.05)
    at.wait(0.15)
    at.press(key, gap=0.5)
    assert ringing(at) == ["way fire"] and "Is the heat off? Then press it once more." in at.screen()
    at.wait(1.5)
    at.press(key)
    assert ringing(at) == []


@pytest.mark.parametrize("gap", [0.04, 0.5])
def test_a_key_held_down_as_the_fire_begins_to_call_does_not_say_it(day: Days, gap: float) -> None:
    at = rings_in(day("pouring"), 0.05)
    at.wait(0.15)
    at.press("enter", gap=0.5)
    at.press(*["enter"] * 30, gap=gap)
    assert ringing(at) == ["way fire"]


def test_the_word_ok_begun_before_the_fire_called_does_not_say_it(day: Days) -> None:
    at = rings_in(day("pouring"), 1.0)
    at.type(":ok")
    at.wait(2.0)
    at.press("enter")
    assert ringing(at) == ["way fire"] and "Is the heat off? Then say so: :heat off" in at.screen()
    at.wait(1.0)
    at.type(":ok", "enter")
    assert ringing(at) == []


def test_enter_answers_no_heat_whose_call_is_quiet_and_the_words_do(on_fire: Any) -> None:
    on_fire.press("s", "5")
    on_fire.press("enter")
    assert "If it is off, say so: :heat off" in on_fire.screen()
    on_fire.wait(300.0)
    assert "way fire" in ringing(on_fire)
    on_fire.press("s", "5")
    on_fire.type(":heat off", "enter")
    on_fire.wait(300.0)
    assert "way fire" not in ringing(on_fire)


def test_enter_answers_the_heat_alone_where_more_calls(on_fire: Any) -> None:
    on_fire.wait(300.0)
    assert len(ringing(on_fire)) > 1
    on_fire.press("enter")
    assert "way fire" not in ringing(on_fire) and ringing(on_fire)


def test_plus_ends_no_step_that_began_behind_it(day: Days) -> None:
    at = day("resting")
    step = at.session.state.step
    at.desk.key("plus", "+", at.clock.elapsed())
    assert at.session.send(intents.Skip(sure=True)).entries
    at.wait(0.4)
    assert at.session.state.step == step + 1 and "look, and press again" in at.screen()


def test_nothing_is_read_by_itself_while_a_key_waits_for_quiet(
    day: Days, monkeypatch: pytest.MonkeyPatch
) -> None:
    at, found = day("resting"), list[bool]()
    monkeypatch.setattr(at.desk.outside, "look", lambda *, busy, **_: found.append(busy) or ())
    at.desk.key("minus", "-", at.clock.elapsed())
    at.desk.look_outside()
    at.wait(0.5)
    at.desk.look_outside()
    assert found == [True, False]


def test_what_came_behind_the_key_that_takes_back_is_not_taken_back_in_its_place(day: Days) -> None:
    at = day("resting")
    at.desk.key("minus", "-", at.clock.elapsed())
    at.say("note lid off")
    at.wait(0.4)
    assert at.session.state.undone == () and "look, and press again" in at.screen()
    at.press("-")
    assert at.session.state.undone != ()


def test_quiet_is_not_asked_for_where_nothing_calls(day: Days) -> None:
    at = day("resting")
    at.press("s")
    assert "Nothing calls just now." in at.screen()
    at.type("17", "L")
    assert at.desk.entry.text == "17L"


def test_the_question_for_how_long_goes_with_the_time_to_answer_it(on_fire: Any) -> None:
    on_fire.press("s")
    assert "Quiet for how long?" in on_fire.screen()
    on_fire.wait(21.0)
    assert "Quiet for how long?" not in on_fire.screen()


def test_a_held_day_that_calls_names_the_key_that_answers(day: Days) -> None:
    at = day("pouring")
    at.say("undo")
    at.say("take 2")
    at.say("hold")
    assert at.desk.shown(at.desk.view()).hints[0] == ("Enter", "heat is off")
