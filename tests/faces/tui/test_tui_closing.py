"""The three lines that close a day, written from the page that stands when the day is over."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING

from days import BARLEY

from mashday.faces.tui.schedule_page import schedule_page
from mashday.schedule.door import load
from mashday.session.past import ToChange

if TYPE_CHECKING:
    from conftest import DayAtTheDesk

Made = Callable[[str], "DayAtTheDesk"]


def test_a_digit_opens_the_line_for_each_with_its_question_above_it(day: Made) -> None:
    at = day("finished")
    assert "1  What went wrong?" in at.screen()
    at.press("1")
    assert "What went wrong? Enter takes the line, Esc leaves it." in at.screen()
    at.type("it was cold", "enter")
    assert at.session.state.closing_line("wrong") == "it was cold"
    assert "1  Went wrong: it was cold" in at.screen() and not at.desk.leaving


def test_what_was_written_is_there_to_be_put_right(day: Made) -> None:
    at = day("finished")
    at.press("3")
    at.type("heat higher", "enter")
    at.press("3")
    assert at.desk.line is not None and at.desk.line.text == "change heat higher"
    at.type(" by 2 C", "enter")
    assert at.session.state.closing_line("change") == "heat higher by 2 C"


def test_a_line_left_writes_nothing_and_the_page_is_left_by_one_key(day: Made) -> None:
    at = day("finished")
    at.press("2", "escape")
    assert at.session.state.closing == () and not at.desk.leaving
    at.press("2", "enter")
    assert at.session.state.closing == () and not at.desk.leaving
    at.press("enter")
    assert at.desk.leaving


def test_the_page_stays_where_it_was_scrolled_to(day: Made) -> None:
    at = day("finished")
    at.press("pagedown", "1")
    top = at.desk.page.top
    at.type("it was cold", "enter")
    assert at.desk.page.top == top > 0


def test_the_page_of_a_schedule_tells_first_what_the_last_day_wants_changed() -> None:
    change = ToChange(date(2026, 10, 3), "heat higher", same_schedule=True)
    now = datetime(2026, 10, 10, 9, 0, tzinfo=UTC)
    page = schedule_page(load(BARLEY), "lock-seven-barley", None, now, change)
    assert page.lines[0] == "To change, as written on 2026-10-03: heat higher"
    assert all("To change" not in line for line in schedule_page(load(BARLEY), "x", None, now).lines)
