"""The three lines that close a day, written from the page that stands when the day is over."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING

import pytest
from days import BARLEY

from mashday.faces.closing import QUESTIONS
from mashday.faces.tui.schedule_page import schedule_page
from mashday.schedule.door import load
from mashday.session.past import ToChange

if TYPE_CHECKING:
    from conftest import DayAtTheDesk

Made = Callable[[str], "DayAtTheDesk"]


def ended(day: Made) -> DayAtTheDesk:
    """A day that ended a while ago."""
    at = day("finished")
    at.wait(2.0)
    return at


def asked(at: DayAtTheDesk) -> str:
    """The question a line stands open for, "" where none does."""
    rows = at.screen().splitlines()
    found = [which for which in QUESTIONS.values() if any(row.endswith(f" {which}") for row in rows[-5:-2])]
    return "".join(found) if rows[-2].startswith(" >") else ""


def test_the_three_are_asked_one_after_the_other_under_the_summary(day: Made) -> None:
    at = ended(day)
    said = ("no hot water was left", "2 L of it from the kettle", "more of it, sooner")
    for which, words in zip(QUESTIONS, said, strict=True):
        assert asked(at) == QUESTIONS[which] and "leave it out" in at.screen()
        at.type(words)
        assert asked(at) == QUESTIONS[which] and "take the line" in at.screen()
        at.press("enter")
        assert "The day is over" in at.screen() and not at.desk.leaving
    assert tuple(at.session.state.closing_line(which) for which in QUESTIONS) == said
    assert asked(at) == "" and "1-3: write" in at.screen()
    at.press("enter")
    assert at.desk.leaving


def test_an_empty_enter_leaves_one_out_and_goes_on_to_the_next(day: Made) -> None:
    at = ended(day)
    at.press("enter")
    assert asked(at) == QUESTIONS["mended"]
    at.type("no", "enter")
    assert asked(at) == QUESTIONS["change"]
    at.press("enter")
    assert asked(at) == "" and not at.desk.leaving and at.session.state.closing == ()
    at.press("enter")
    assert at.desk.leaving


@pytest.mark.parametrize("key", ["escape", "q", "ctrl+c", "ctrl+q"])
def test_all_may_be_left_and_then_the_summary(day: Made, key: str) -> None:
    at = ended(day)
    at.press(key)
    assert asked(at) == "" and "1-3: write" in at.screen() and not at.desk.leaving
    at.press(key)
    assert at.desk.leaving and at.session.state.closing == ()


def test_esc_clears_what_is_typed_and_the_question_stands(day: Made) -> None:
    at = ended(day)
    at.type("it was", "escape")
    assert asked(at) == QUESTIONS["wrong"] and "leave it out" in at.screen()
    at.type("x", "backspace", "enter")
    assert asked(at) == QUESTIONS["wrong"] and at.session.state.closing == ()


@pytest.mark.parametrize("key", ["+", "y", "enter", "space", "q", "escape"])
def test_a_key_hammered_at_the_end_of_the_day_answers_nothing_and_closes_nothing(day: Made, key: str) -> None:
    at = day("finished")
    at.press(*[key] * 30)
    assert asked(at) == QUESTIONS["wrong"] and "leave it out" in at.screen() and not at.desk.leaving


def test_an_answer_may_be_typed_at_once(day: Made) -> None:
    at = day("finished")
    at.type("it was cold", "enter")
    assert at.session.state.closing_line("wrong") == "it was cold"


def test_an_enter_too_fast_behind_the_answer_is_told_beside_the_question(day: Made) -> None:
    at = ended(day)
    at.press(*"it was cold", "enter", gap=0.02)
    assert "press it once more." in at.screen() and asked(at) == QUESTIONS["wrong"]
    assert at.session.state.closing == ()
    at.wait(2.0)
    at.press("enter")
    assert at.session.state.closing_line("wrong") == "it was cold" and asked(at) == QUESTIONS["mended"]


def test_plus_space_and_a_burst_never_answer_nor_close(day: Made) -> None:
    at = ended(day)
    at.press("+", "space", "+", "pagedown", gap=2.0)
    at.press(*"+n+n+n+n", "enter", "enter", gap=0.01)
    assert not at.desk.leaving and at.session.state.closing == ()
    at.wait(3.0)
    at.press("escape", "escape", gap=2.0)
    assert asked(at) == "" and not at.desk.leaving
    at.press("+", "n", "space", gap=2.0)
    assert not at.desk.leaving and "The day is over" in at.screen()


def test_the_summary_is_scrolled_beside_a_line_that_is_typed(day: Made) -> None:
    at = ended(day)
    at.press("pagedown")
    at.type("it was cold")
    at.press("down")
    assert at.desk.page.top == 11
    at.press("enter")
    assert at.desk.page.top == 11 and at.session.state.closing_line("wrong") == "it was cold"


def test_a_reading_or_a_command_is_no_answer(day: Made) -> None:
    at = ended(day)
    at.type("temp 21", "enter")
    assert [reading.fact.value for reading in at.session.state.later] == [21.0]
    assert asked(at) == QUESTIONS["wrong"] and at.session.state.closing == ()
    at.type("help", "enter")
    assert "Keys that do something now" in at.screen() and asked(at) == ""
    at.wait(6.0)
    at.press("pagedown", "enter")
    assert "The day is over" in at.screen() and asked(at) == QUESTIONS["wrong"] and not at.desk.leaving


@pytest.mark.parametrize(("key", "kept"), [("enter", 1), ("y", 1), ("x", 0), ("escape", 0)])
def test_a_doubted_reading_is_answered_before_the_question(day: Made, key: str, kept: int) -> None:
    at = ended(day)
    at.type("temp 63", "enter")
    assert "not that warm or cold" in at.screen() and asked(at) == ""
    at.press("n", "+", key)
    assert len(at.session.state.later) == kept
    assert asked(at) == QUESTIONS["wrong"] and not at.desk.leaving


def test_pasted_words_begin_an_answer(day: Made) -> None:
    at = ended(day)
    at.desk.paste("it was cold\nindeed", at.clock.elapsed())
    at.press("enter")
    assert at.session.state.closing_line("wrong") == "it was cold indeed"


def test_a_question_and_its_line_have_room_on_a_small_screen(day: Made) -> None:
    at = ended(day)
    for width, height in ((40, 15), (30, 10), (20, 6)):
        rows = at.screen(width, height).splitlines()
        assert any("What went wrong?" in row for row in rows[-3:])
        assert any(row.startswith(" >") for row in rows[-2:])


def test_once_they_are_asked_a_digit_opens_the_line_for_each(day: Made) -> None:
    at = ended(day)
    at.press("escape")
    assert "1  What went wrong?" in at.screen()
    at.press("1")
    assert "What went wrong? Enter takes the line, Esc leaves it." in at.screen()
    at.type("it was cold", "enter")
    assert at.session.state.closing_line("wrong") == "it was cold"
    assert "1  Went wrong: it was cold" in at.screen() and not at.desk.leaving
    at.press("1")
    assert at.desk.line is not None and at.desk.line.text == "went-wrong it was cold"
    at.type(", and late", "enter")
    assert at.session.state.closing_line("wrong") == "it was cold, and late"
    at.press("2", "escape", "2", "enter")
    assert at.session.state.closing_line("mended") == "" and not at.desk.leaving


def test_the_page_of_a_schedule_tells_first_what_the_last_day_wants_changed() -> None:
    change = ToChange(date(2026, 10, 3), "heat higher", same_schedule=True)
    now = datetime(2026, 10, 10, 9, 0, tzinfo=UTC)
    page = schedule_page(load(BARLEY), "lock-seven-barley", None, now, change)
    assert page.lines[0] == "To change, as written on 2026-10-03: heat higher"
    assert all("To change" not in line for line in schedule_page(load(BARLEY), "x", None, now).lines)
