"""What each key does to the day."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from mashday.engine import intents
from mashday.faces.tui.asked import Save
from mashday.faces.tui.voice import READ_SECONDS
from mashday.schedule.samples import sample_text

Days = Callable[[str], Any]


# Numbers


def test_a_number_typed_from_anywhere_and_enter_is_a_reading(day: Days) -> None:
    at = day("called")
    at.type("63,2", "enter")
    assert at.session.state.readings[-1].fact.celsius == pytest.approx(63.0)  # the sample's offset of 0.2 K
    assert "63.0 C" in at.desk.message
    assert at.desk.entry.text == ""


def test_a_number_is_shown_large_with_what_it_answers_before_it_is_taken(day: Days) -> None:
    at = day("called")
    at.type("63")
    assert "> 63_  mash temperature (C)" in at.screen()
    assert len(at.session.state.readings) == 1


def test_several_places_are_typed_with_spaces_between(day: Days) -> None:
    at = day("called")
    at.type("63.5 64.1 62.8", "enter")
    assert at.session.state.readings[-1].fact.spots == (63.5, 64.1, 62.8)


def test_a_unit_may_follow_the_number(day: Days) -> None:
    at = day("called")
    at.type("145.4f", "enter")
    assert at.session.state.readings[-1].metric == pytest.approx(62.8, abs=0.01)  # derived: 63 C less 0.2 K


def test_what_is_typed_can_be_erased_and_cleared(day: Days) -> None:
    at = day("called")
    at.type("63.7", "backspace", "2")
    assert at.desk.entry.text == "63.2"
    at.press("escape")
    assert at.desk.entry.text == ""


def test_no_key_moves_the_day_on_over_a_number_that_stands(day: Days) -> None:
    at = day("resting")
    at.type("63.1", "+")
    assert at.session.state.step == 4
    assert "63.1 is typed and not taken yet" in at.desk.message
    assert at.desk.entry.text == "63.1"


def test_a_number_left_standing_is_set_aside_with_a_word_and_comes_back_by_a_key(day: Days) -> None:
    at = day("called")
    at.type("65.3")
    at.wait(20.0)
    assert at.desk.entry.text == ""
    assert "65.3 set aside" in at.desk.message
    at.press("r")
    assert at.desk.entry.text == "65.3"
    assert len(at.session.state.readings) == 1


def test_a_pasted_number_is_typed_but_not_taken(day: Days) -> None:
    at = day("called")
    at.desk.paste("63.2\n", at.clock.elapsed())
    assert at.desk.entry.text == "63.2"
    at.desk.paste("rm -rf ~\n", at.clock.elapsed())
    assert at.desk.entry.text == ""
    assert "no number" in at.desk.message


def test_arrows_while_a_number_is_asked_bring_up_the_numlock_key(day: Days) -> None:
    at = day("called")
    at.press("home")
    assert "NumLock" in at.desk.message


def test_a_lone_shift_or_volume_key_does_nothing(day: Days) -> None:
    at = day("called")
    at.press("left_shift", "raise_volume", "caps_lock")
    assert at.desk.message == ""
    assert len(at.session.state.log) == len(day("called").session.state.log)


# Moving on


def test_plus_begins_the_day_and_steps_on(day: Days) -> None:
    at = day("before")
    at.press("+")
    assert (at.session.state.phase, at.session.state.step) == ("running", 1)
    at.press(*["+"] * 2, "0", "+", "1", "+", *["+"] * 4)
    assert dict(at.session.state.current.ticks) == {n: {3: "0", 4: "1"}.get(n, "") for n in range(1, 9)}
    at.press("+")
    assert at.session.state.step == 2


def test_plus_ticks_the_next_item_and_n_goes_on_though_items_are_open(day: Days) -> None:
    at = day("set-up")
    at.press("n")
    assert "6 of 8 items are open" in at.desk.doubt
    at.press("n")
    assert at.session.state.step == 1  # sooner than anybody reads: a bounce
    at.wait(READ_SECONDS)
    at.press("n")
    assert at.session.state.step == 2


def test_an_item_that_asks_is_answered_by_a_number_and_enter(day: Days) -> None:
    at = day("set-up")
    assert "the answer to: What does the thermometer show" in at.screen()
    at.type("0.2", "enter")
    assert at.session.state.current.ticks[-1] == (3, "0.2")
    assert at.session.state.readings == ()


def test_an_item_that_asks_is_not_passed_over_unasked(day: Days) -> None:
    at = day("set-up")
    at.press("+")
    assert "Tick it without an answer?" in at.desk.doubt and "+ yes" in at.screen()
    at.type("0.1", "enter")
    assert at.session.state.current.ticks[-1] == (3, "0.1") and "not kept" not in at.desk.message
    at.press("+")
    at.wait(READ_SECONDS)
    at.press("+")
    assert at.session.state.current.ticks[-1] == (4, "")


def test_enter_and_space_never_step_on(day: Days) -> None:
    for name in ("before", "set-up", "heating", "resting", "called", "remedy", "starch"):
        at = day(name)
        before = at.session.state.step
        at.press(*["enter", "space"] * 5)
        assert at.session.state.step == before


def test_a_step_key_waits_for_quiet(day: Days) -> None:
    at = day("before")
    at.desk.key("plus", "+", at.clock.elapsed())
    at.carry_out()
    assert at.session.state.phase == "idle"
    at.wait(0.29)
    assert at.session.state.phase == "idle"
    at.wait(0.01)
    assert at.session.state.phase == "running"


def test_a_step_key_among_others_is_not_taken_and_says_so(day: Days) -> None:
    at = day("before")
    at.press("n", gap=0.1)
    at.press("a")
    assert at.session.state.phase == "idle"
    assert "Not taken: next" in at.desk.message


def test_a_spoon_on_the_keys_changes_nothing(day: Days) -> None:
    at = day("resting")
    before = at.session.state
    at.press(*"n" * 30, gap=0.03)  # an auto-repeat of about 30 a second: from memory
    at.wait(5.0)
    assert at.session.state is before
    assert "Too many keys" in at.desk.message


def test_a_roll_over_the_keys_enters_nothing(day: Days) -> None:
    at = day("resting")
    before = at.session.state
    at.press(*"nas7+u*h", gap=0.02)
    at.wait(5.0)
    assert at.session.state is before


def test_ending_a_rest_early_is_asked_and_the_same_key_again_keeps_to_it(day: Days) -> None:
    at = day("resting")
    at.press("+")
    assert at.session.state.step == 4
    assert "End it now?" in at.screen()
    assert "+ or y: yes" in at.screen()
    at.press("enter", "space")
    assert at.session.state.step == 4
    at.wait(1.0)
    at.press("+")
    assert at.session.state.step == 5


def test_a_key_that_bounces_does_not_end_a_rest(day: Days) -> None:
    at = day("resting")
    at.press("+", "+")
    assert at.session.state.step == 4 and "End it now?" in at.screen()
    at.wait(1.0)
    at.press("+")
    assert at.session.state.step == 5


def test_a_doubted_step_is_dropped_by_x(day: Days) -> None:
    at = day("resting")
    at.press("+", "x")
    assert at.desk.doubt == ""
    assert at.session.doubted is None
    assert at.session.state.step == 4


def test_leaving_a_step_out_asks_first(day: Days) -> None:
    at = day("set-up")
    at.press("g")
    assert "Leave out step 1" in at.screen()
    at.press("y")
    assert at.session.state.step == 2


def test_undo_takes_the_last_thing_back_and_says_what(day: Days) -> None:
    at = day("resting")
    at.press("-")
    assert at.session.state.readings[-1].voided
    number = at.session.state.readings[-1].number
    assert f"Taken back: reading {number}, 63.2 C" in at.desk.message


def test_hold_and_resume_are_one_key(day: Days) -> None:
    at = day("resting")
    at.press("*")
    assert at.session.state.phase == "held"
    assert "HELD" in at.screen()
    at.press("h")
    assert at.session.state.phase == "running"


def test_more_minutes_are_typed_after_their_key(day: Days) -> None:
    at = day("resting")
    at.press("e", "1", "0", "enter")
    assert at.session.state.current.extended_minutes == 10.0
    at.press("e", "-", "4", "enter")
    assert at.session.state.current.extended_minutes == 6.0


def test_finishing_needs_its_word_and_a_yes(day: Days) -> None:
    at = day("resting")
    at.type(":finish", "enter")
    assert "End the day here" in at.screen()
    assert at.session.state.phase == "running"
    at.press("y")
    assert at.session.state.phase == "complete"


# Doubts about numbers


def test_an_unlikely_number_waits_for_a_second_enter(day: Days) -> None:
    at = day("called")
    at.type("36.2", "enter")
    assert len(at.session.state.readings) == 1
    assert "(Enter keeps it, x forgets it)" in " ".join(at.screen().split())
    at.press("enter")
    assert len(at.session.state.readings) == 1  # sooner than anybody reads: a bounce
    at.wait(READ_SECONDS)
    at.press("enter")
    assert at.session.state.readings[-1].fact.kept


def test_enter_keeps_no_doubted_step_and_names_the_keys_that_do(day: Days) -> None:
    at = day("set-up")
    at.press("n")
    at.wait(READ_SECONDS)
    at.press("enter")
    assert at.session.state.step == 1 and "6 of 8 items are open" in at.desk.doubt
    assert at.desk.message == "That is answered by another key (+ or y: yes; x: no)."


def test_the_same_number_again_keeps_it_too(day: Days) -> None:
    at = day("called")
    at.type("36.2", "enter")
    at.type("36.2", "enter")
    assert at.session.state.readings[-1].fact.kept


def test_another_number_takes_the_place_of_the_doubted_one(day: Days) -> None:
    at = day("called")
    at.type("36.2", "enter")
    at.type("63.2", "enter")
    assert at.session.state.readings[-1].typed == ("63.2",)
    assert at.desk.doubt == ""


@pytest.mark.parametrize("key", ["x", "escape", "backspace"])
def test_a_doubted_number_is_forgotten_by_a_key(day: Days, key: str) -> None:
    at = day("called")
    at.type("36.2", "enter", key)
    assert len(at.session.state.readings) == 1
    assert at.desk.message == "Forgotten."
    assert at.desk.doubt == ""


def test_a_doubted_number_that_something_else_displaced_is_not_lost_in_silence(day: Days) -> None:
    at = day("called")
    at.type("36.2", "enter", "space")
    assert "What was doubted is not kept" in at.desk.message


# Calls


@pytest.mark.parametrize("key", ["enter", "space"])
def test_a_call_is_acknowledged_by_either_large_key(day: Days, key: str) -> None:
    at = day("called")
    assert "CALL  Mash temperature is due" in at.screen()
    at.press(key)
    assert "CALL" not in at.screen()
    assert at.session.state.step == 4


def test_with_nothing_to_acknowledge_a_large_key_says_so(day: Days) -> None:
    at = day("resting")
    at.press("space")
    assert "Nothing waits for that" in at.desk.message


def test_a_call_is_snoozed_for_one_two_or_five_minutes(day: Days) -> None:
    at = day("called")
    at.press("s")
    assert "1, 2 or 5" in at.desk.message
    at.press("2")
    assert [minutes for _, minutes in at.session.state.snoozed] == [pytest.approx(at.session.state.t + 120.0)]
    assert "(quiet 2:00 more)" in at.screen()


def test_a_snooze_of_another_length_is_a_number_like_any_other(day: Days) -> None:
    at = day("called")
    at.press("s", "3")
    assert at.session.state.snoozed == ()
    assert at.desk.entry.text == "3"


def test_mute_quiets_all_for_two_minutes(day: Days) -> None:
    at = day("called")
    at.press("m")
    assert at.session.state.muted_at is not None
    assert "(quiet 2:00 more)" in at.screen()
    at.wait(61.0)
    assert "(quiet 0:59 more)" in at.screen()


# Remedies


def test_a_way_is_taken_by_its_number(day: Days) -> None:
    at = day("remedy")
    at.press("1")
    assert "takes this way: add 1.1 L" in at.screen()
    at.press("enter")
    assert at.session.state.offer.taken == 1


def test_another_reading_can_be_typed_over_an_open_remedy(day: Days) -> None:
    at = day("remedy")
    at.type("61.4", "enter")
    assert at.session.state.readings[-1].typed == ("61.4",)


def test_a_remedy_is_left_by_its_key(day: Days) -> None:
    at = day("remedy")
    at.press("l")
    assert at.session.state.offer.left


# Checklists, starch, the unknown


def test_items_are_ticked_one_by_one_and_with_a_value(day: Days) -> None:
    at = day("set-up")
    at.type("0.2", "t")
    at.type("1", "t")
    at.press("t")
    assert at.session.state.current.ticks[-3:] == ((3, "0.2"), (4, "1"), (5, ""))


def test_starch_passes_or_fails_by_a_key(day: Days) -> None:
    at = day("starch")
    at.press("f")
    assert at.session.state.readings[-1].fact.passed is False
    at = day("starch")
    at.press("p")
    assert at.session.state.readings[-1].fact.passed is True


def test_what_cannot_be_said_is_assumed_aloud(day: Days) -> None:
    at = day("called")
    at.press("k")
    assert at.session.state.readings[-1].fact.assumed
    assert "Assumed" in at.desk.message


def test_units_change_by_a_key(day: Days) -> None:
    at = day("resting")
    at.press("v")
    assert "145.4 F" in at.screen()


# Lines of words


def test_a_note_is_written_with_any_character(day: Days) -> None:
    at = day("resting")
    at.press("o")
    at.type("lid off? [/b] 7 - 8 + é", "enter")
    assert at.session.state.notes[-1].text == "lid off? [/b] 7 - 8 + é"
    assert at.session.state.step == 4


def test_a_note_can_be_typed_as_fast_as_hands_go(day: Days) -> None:
    at = day("resting")
    at.press("o")
    at.press(*"hurried", gap=0.02)
    at.wait(1.5)
    at.press("enter")
    assert at.session.state.notes[-1].text == "hurried"


@pytest.mark.parametrize(
    ("line", "kind"),
    [
        ("gravity 1.052 at 24", intents.TakeReading),
        ("added 1.2 L at 95 C", intents.AddWater),
        ("weighed 4.8 kg", intents.GiveAmount),
        ("measured 14 L", intents.GiveAmount),
        ("correct 21 62", intents.Correct),
        ("abort", intents.Abort),
    ],
)
def test_every_word_of_the_line_mode_can_be_typed(day: Days, line: str, kind: type[intents.Intent]) -> None:
    at = day("resting")
    number = at.session.state.readings[-1].number
    at.desk.key("colon", ":", at.clock.elapsed())
    for character in line.replace("21", str(number)):
        at.clock.advance(0.2)
        at.desk.key(character, character, at.clock.elapsed())
    at.desk.key("enter", "\r", at.clock.elapsed())
    assert [type(asked) for asked in at.desk.outbox] == [kind]


def test_a_line_can_be_left(day: Days) -> None:
    at = day("resting")
    at.type(":abort", "escape")
    assert at.desk.line is None
    assert not at.desk.outbox


def test_a_word_that_is_none_is_answered_with_the_nearest(day: Days) -> None:
    at = day("resting")
    at.type(":unddo", "enter")
    assert "undo" in at.desk.message


def test_saving_elsewhere_is_asked_of_the_worker_not_done_by_the_screen(day: Days) -> None:
    at = day("resting")
    at.type(":save /media/stick")
    at.desk.key("enter", "\r", at.clock.elapsed())
    assert list(at.desk.outbox) == [Save("/media/stick")]


# Pages


@pytest.mark.parametrize(
    ("key", "title", "word"),
    [
        ("?", "Keys", "takes back the last thing entered"),
        ("/", "Why", ""),
        ("a", "This step", "If it goes wrong"),
        ("c", "Checklist", "This step has no checklist."),
        ("i", "Steps", "Dough-in"),
        ("j", "The day so far", "mash temperature 63.0 C"),
    ],
)
def test_a_page_opens_by_its_key_and_goes_by_the_same_or_by_escape(
    day: Days, key: str, title: str, word: str
) -> None:
    for leave in (key, "escape", "enter"):
        at = day("resting")
        at.press(key)
        text = at.screen(100, 60)
        assert title in text
        assert word in text
        at.press(leave)
        assert at.desk.page.title == ""


def test_a_step_key_on_a_page_only_closes_it(day: Days) -> None:
    at = day("resting")
    at.press("?", "+")
    assert at.desk.page.title == ""
    at.wait(1.0)
    assert at.desk.doubt == ""
    assert at.session.state.step == 4


def test_a_number_can_be_typed_on_a_page(day: Days) -> None:
    at = day("called")
    at.press("?")
    at.type("63.2", "enter")
    assert at.session.state.readings[-1].typed == ("63.2",)


def test_a_call_is_acknowledged_on_a_page(day: Days) -> None:
    at = day("called")
    at.press("?", "enter")
    assert "CALL" not in at.screen()


def test_a_page_scrolls(day: Days) -> None:
    at = day("resting")
    at.press("?", "pagedown")
    first = at.screen()
    at.press("pageup")
    assert at.screen() != first
    assert at.desk.page.top == 0


# Leaving


@pytest.mark.parametrize("key", ["q", "ctrl+c"])
def test_the_same_key_twice_within_three_seconds_leaves_the_day_open(day: Days, key: str) -> None:
    at = day("resting")
    at.press(key)
    assert not at.desk.leaving
    assert "mashday resume" in at.desk.message
    at.wait(1.0)
    at.press(key)
    assert at.desk.leaving
    assert at.session.state.phase == "running"


def test_a_quick_double_press_leaves_too(day: Days) -> None:
    at = day("resting")
    at.press("q", gap=0.15)
    at.press("q")
    assert at.desk.leaving


def test_twice_with_too_long_between_does_not_leave(day: Days) -> None:
    at = day("resting")
    at.press("q")
    at.wait(3.0)
    at.press("q")
    assert not at.desk.leaving


def test_a_held_leave_key_does_not_leave(day: Days) -> None:
    at = day("resting")
    at.press(*["ctrl+q"] * 40, gap=0.03)
    at.wait(2.0)
    assert not at.desk.leaving


# Rehearsals


def test_a_rehearsal_shows_its_thermometer_and_moves_ahead_by_a_key(day: Days) -> None:
    at = day("resting")
    at.press(">")
    assert "Only a rehearsal" in at.desk.message
    at.rehearse()
    assert "simulated thermometer" in at.screen(120, 40)
    at.desk.key("greater_than_sign", ">", at.clock.elapsed())
    (asked,) = at.desk.outbox
    assert asked.minutes == 5.0
    at.desk.outbox.clear()
    at.desk.key("colon", ":", at.clock.elapsed() + 1.0)
    for place, character in enumerate("wait 15 min"):
        at.desk.key(character, character, at.clock.elapsed() + 2.0 + place)
    at.desk.key("enter", "\r", at.clock.elapsed() + 20.0)
    (asked,) = at.desk.outbox
    assert asked.minutes == 15.0


# Words that stay


def test_a_day_taken_up_again_says_how_long_it_was_away_and_what_was_torn(day: Days) -> None:
    at = day("resting")
    at.session.opened(away_seconds=720.0, how="exact")
    at.session.torn = '[[entry]]\nkind = "reading"\nvalue = 63.4\ntyped = "63,4"\nquan'
    at.desk.greet(at.clock.elapsed())
    assert "Back after 12 min; the clocks went on meanwhile." in at.desk.message
    assert "The last entry was not finished: 63,4. Enter it again." in at.desk.message


def test_what_was_torn_and_is_no_entry_of_a_person_is_not_asked_for(day: Days) -> None:
    at = day("resting")
    at.session.torn = '[[entry]]\nkind = "opened"\napp = "0.1.0"\nboot_id = "x'
    at.desk.greet(at.clock.elapsed())
    assert "set aside; nothing that was told is lost" in at.desk.message
    assert "boot_id" not in at.desk.message


def test_to_leave_a_day_that_is_not_saved_says_what_becomes_of_it(day: Days) -> None:
    at = day("resting")
    at.session.not_saved = "The disk is full."
    at.press("q")
    assert "NOT SAVED: it is then kept in another folder, or now with :save" in at.desk.message


def test_a_new_day_greets_in_silence(day: Days) -> None:
    at = day("before")
    at.desk.greet(at.clock.elapsed())
    assert at.desk.message == ""


def test_the_last_word_goes_after_a_minute(day: Days) -> None:
    at = day("resting")
    at.press("space")
    assert at.desk.message
    at.wait(60.0)
    assert at.desk.message == ""


def test_the_key_line_says_what_can_be_pressed_now(day: Days) -> None:
    assert "+ begin the day" in day("before").screen()
    assert "Enter heard  s snooze" in day("called").screen()
    at = day("resting")
    at.type("63")
    assert "Enter take  - clear" in at.screen()
    at.type(".0", "enter")
    at.type("36", "enter")
    assert "Enter keep it  x forget it" in at.screen()
    assert "p starch gone  f starch left" in day("starch").screen()
    assert "l leave it" in day("remedy").screen()
    assert "* go on" in day("held").screen()
    for name in ("before", "set-up", "resting", "called", "remedy", "held"):
        assert "? help  q leave" in day(name).screen(60, 20)


def test_plus_says_the_heat_is_off_and_ends_no_rest(day: Days) -> None:
    at = day("heat-off")
    assert "Enter heat is off" in at.screen()
    at.wait(0.25)
    at.wait(1.0)
    at.press("+")
    assert at.desk.doubt == "" and at.session.state.step == 4
    assert not any(call.rings for call in at.desk.view().calls)


def test_an_amount_that_cannot_be_is_not_kept_by_enter(day: Days) -> None:
    at = day("pouring")
    at.type("69.4", "enter", "enter")
    assert "+ or y: yes" in at.desk.doubt and not at.session.state.additions


def test_what_is_typed_is_cleared_by_the_key_that_takes_back(day: Days) -> None:
    at = day("resting")
    at.type("519", "-")
    assert at.desk.entry.text == "" and at.session.state.undone == ()


def test_a_number_sticks_to_no_item_that_does_not_ask(day: Days) -> None:
    at = day("set-up")
    at.type("0", "enter")
    at.type("1", "enter")
    at.type("7", "+")
    assert "typed and not taken yet" in at.desk.message
    assert len(at.session.state.current.ticks) == 4


def test_the_sheet_is_offered_until_it_is_written(
    day: Days, tmp_path: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    at = day("before")
    assert "z writes it to a file" in at.screen()
    at.press("z")
    (sheet,) = tmp_path.glob("*-plan.txt")
    assert "PLAN  Lock Seven barley wash" in sheet.read_text(encoding="utf-8")
    assert "z writes it to a file" not in at.screen() and sheet.name in at.screen(200, 60)


def test_keys_too_fast_leave_the_number_set_aside(day: Days) -> None:
    at = day("resting")
    at.press(*"1234567", gap=0.01)
    assert at.desk.entry.text == "" and "r takes it up again" in at.desk.message


def test_yeast_is_kept_out_of_a_hot_wash(day_of: Callable[[str], Any]) -> None:
    at = day_of(sample_text("lock-seven-barley"))
    at.say("start")
    while at.session.schedule.step(at.session.state.step).kind != "pitch":
        at.say("skip")
    at.type("43", "enter", "enter")
    assert (
        "Keep the yeast out: 42.8 C kills it" in at.screen()
    )  # the sample's thermometer shows 0.2 C too much
    for typed in ("1.060 at 20", "19"):
        at.type(typed, "enter", "enter")
    for _ in range(6):
        at.press(*([] if "yeast dies there" in at.desk.doubt else ["+"]))
    assert "yeast dies there" in at.desk.doubt and at.session.state.phase == "running"


# Checks of the instruments


CHECKED_ITEM = "What does the thermometer show in melting ice?"


def test_what_a_check_came_to_is_seen_before_its_item_is_ticked(day: Days) -> None:
    at = day("before")
    for line in ("start", "tick", "tick"):
        at.say(line)
    at.press(*":tick 3.0", "enter")
    assert at.session.state.checks[-1].shown == 3.0
    screen = " ".join(at.screen().split())
    assert "The thermometer shows 3.0 C too much: readings are put right by it. For later days" in screen
    assert screen.index("The thermometer shows 3.0") < screen.index("[x] 3 of 8")
