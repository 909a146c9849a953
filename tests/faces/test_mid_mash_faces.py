"""A day begun in mid-mash, in lines, in words and on the desk of the screen."""

from __future__ import annotations

import io
from datetime import UTC, datetime
from pathlib import Path

import pytest

from mashday.engine import facts as f
from mashday.engine import intents
from mashday.faces import tell
from mashday.faces.lines import understood
from mashday.faces.plain import PlainFace
from mashday.faces.tui.desk import Desk
from mashday.faces.tui.paint import paint
from mashday.faces.tui.rows import text_of
from mashday.schedule.samples import sample_text
from mashday.session.clock import VirtualClock
from mashday.session.session import Session, begin, look, resume


def begun(number: int = 4, name: str = "lock-seven-barley", folder: Path | None = None) -> Session:
    """A real day begun at this step, on a clock moved by hand."""
    clock = VirtualClock(datetime(2026, 10, 3, 10, 0, tzinfo=UTC))
    session = begin(sample_text(name), clock, folder=folder)
    assert session.send(intents.Start(number)).refused is None
    return session


class Lines:
    """The line face beside such a day."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self.out = io.StringIO()
        self.face = PlainFace(session, self.out)
        self.face.greet()

    def told(self, *typed: str) -> str:
        """What is told while these lines are typed."""
        before = self.out.tell()
        for line in typed:
            self.face.take(line)
            self.face.news()
        return self.out.getvalue()[before:]


def test_the_first_lines_say_where_the_day_begins_and_ask() -> None:
    greeting = Lines(begun()).out.getvalue()
    assert "10:00  The day has begun in mid-mash: Lock Seven barley wash." in greeting
    assert "10:00  Step 4 of 9, Rest 63.0 C begins, 60 min." in greeting
    assert "ASKED  grain in the pot (kg)" in greeting
    assert "last thing done" not in greeting


def test_numbers_answer_one_after_the_other_down_to_the_temperature() -> None:
    lines = Lines(begun())
    assert "Written down: grain in the pot 4.80 kg." in (told := lines.told("4.8"))
    assert "ASKED  water in the pot (L)" in told
    assert "ASKED  time since the grain went in (min)" in lines.told("14")
    told = lines.told("0.5 h")
    assert "Written down: time since the grain went in 30 min." in told
    assert "Rest counts its 60 min from now; if some are over, take them off: more -10" in told
    assert "ASKED  mash temperature (C)" in told
    assert "Ways to put it right" in lines.told("58")


def test_unknown_is_assumed_aloud() -> None:
    told = Lines(begun()).told("unknown", "unknown", "unknown")
    assert "Assumed, as the schedule says: grain in the pot 5.00 kg." in told
    assert "Assumed, as the schedule says: water in the pot 15.0 L." in told
    assert "Assumed, as the schedule says: time since the grain went in 5 min." in told


def test_the_minutes_of_another_step_than_a_rest_need_no_word() -> None:
    told = Lines(begun(5)).told("4.8", "14", "70")
    assert "Written down: time since the grain went in 70 min." in told
    assert "from now" not in told


def test_us_units_are_asked_and_understood() -> None:
    lines = Lines(begun())
    assert "ASKED  grain in the pot" not in lines.told("units us")
    lines.told("11", "4 gal")
    # published: NIST SP 811, 1 lb = 0.45359237 kg, 1 gal = 3.785411784 L
    assert [a.amount for a in lines.session.state.amounts] == pytest.approx(
        [11 * 0.45359237, 4 * 3.785411784]
    )


def test_the_wrong_unit_is_not_understood_and_nothing_is_written() -> None:
    lines = Lines(begun())
    lines.told("14 L", "twelve", "63 C")
    assert not lines.session.state.amounts


def test_a_word_for_a_temperature_is_taken_while_the_pot_is_asked() -> None:
    lines = Lines(begun())
    told = lines.told("temp 58")
    assert "mash temperature 57.8 C" in told and "Ways to put it right" not in told
    assert "Ways to put it right" in lines.told("4.8", "14", "20")


def test_a_doubted_answer_is_kept_by_a_word() -> None:
    lines = Lines(begun())
    assert "where 5.00 kg was planned? Keep it?" in lines.told("48")
    assert "grain in the pot 48.00 kg" in lines.told("keep it")


def test_undo_takes_an_answer_back_and_asks_again() -> None:
    lines = Lines(begun())
    lines.told("4.8")
    told = lines.told("undo")
    assert "Taken back: amount 4.8." in told and "ASKED  grain in the pot (kg)" in told


def test_weighed_and_measured_answer_too() -> None:
    session = begun()
    for line in ("measured 14 L", "weighed 4.8 kg"):
        meant = understood(line, session.schedule, session.state, session.t())
        assert isinstance(meant, intents.GiveAmount)
        session.send(meant)
    assert [a.what for a in session.state.amounts] == ["water in the pot", "grain in the pot"]


def test_the_list_of_steps_marks_those_before() -> None:
    told = Lines(begun()).told("steps").splitlines()
    assert all("before   --:-- --:--" in line for line in told[1:4])
    assert "now" in told[4] and "10:00 10:00" in told[4]


def test_a_day_taken_up_again_keeps_where_it_began(tmp_path: Path) -> None:
    session = begun(folder=tmp_path)
    Lines(session).told("4.8")
    path = session.path
    session.close()
    assert path is not None
    _, state, _ = look(path)
    assert (state.from_step, state.told("grain in the pot")) == (4, 4.8)
    taken_up = resume(path, VirtualClock(datetime(2026, 10, 3, 10, 5, tzinfo=UTC)))
    lines = Lines(taken_up)
    assert "The last thing done:" in lines.out.getvalue()
    assert "ASKED  water in the pot (L)" in lines.out.getvalue()
    taken_up.close()


def test_the_desk_of_the_screen_takes_the_answers() -> None:
    session = begun()
    desk, now = Desk(session), 10.0
    shown = text_of(paint(desk.shown(desk.view()), 120, 40))
    assert "Say how much grain is in the pot" in shown
    for key, character in (("4", "4"), ("full_stop", "."), ("8", "8"), ("enter", "\r")):
        desk.key(key, character, now)
        now += 0.5
    while desk.outbox:
        asked = desk.outbox.popleft()
        assert isinstance(asked, intents.Intent)
        desk.told(asked, session.send(asked))
    assert session.state.told("grain in the pot") == 4.8
    assert "Say how much water went into the pot" in text_of(paint(desk.shown(desk.view()), 120, 40))


@pytest.mark.parametrize("number", range(1, 10))
def test_every_step_can_be_begun_at_and_told(number: int) -> None:
    session = begun(number)
    shown = tell.view(session.schedule, session.state, session.t(), session.at)
    assert shown.instruction.isprintable()
    assert [step.mark for step in shown.steps].count("before") == number - 1
    desk = Desk(session)
    for size in ((60, 20), (80, 24), (200, 60)):
        assert text_of(paint(desk.shown(desk.view()), *size))
    assert isinstance(session.state.log[1].fact, f.DayStarted)
