"""A day that is only looked at, on both faces: it says why, offers nothing that acts, and rings nothing."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path

import pytest
from days import BARLEY

from mashday.engine import intents
from mashday.faces import telling
from mashday.faces.lines import understood
from mashday.faces.plain import PlainFace
from mashday.faces.tui.asked import Save
from mashday.faces.tui.desk import Desk
from mashday.faces.tui.paint import paint
from mashday.faces.tui.rows import text_of
from mashday.session.clock import VirtualClock
from mashday.session.session import Session, begin
from mashday.session.watched import taken_up


class Kitchen(VirtualClock):
    """A clock of a machine that has a name for its start."""

    def boot_id(self) -> str:
        return "kitchen"


class Terminal(io.StringIO):
    """What is written to a terminal."""

    def isatty(self) -> bool:
        return True


def said(session: Session, *lines: str) -> None:
    """Lines as they are said, kept where they are doubted."""
    for line in lines:
        meant = understood(line, session.schedule, session.state, session.t())
        assert isinstance(meant, intents.Intent), meant
        if session.send(meant).doubt is not None:
            session.send(intents.KeepIt())


@pytest.fixture
def clock() -> Kitchen:
    return Kitchen()


@pytest.fixture
def day(tmp_path: Path, clock: Kitchen) -> Iterator[Session]:
    """A day in its rest, with a reading due, that one program has."""
    session = begin(BARLEY, clock, folder=tmp_path)
    said(session, "start", "done", "69", "done", "done")
    assert session.state.step == 4
    clock.advance(400.0)
    yield session
    session.close()


@pytest.fixture
def look(day: Session, clock: Kitchen) -> Session:
    assert day.path is not None
    return taken_up(day.path, clock)


def screen(desk: Desk, width: int = 80, height: int = 24) -> str:
    """The screen as plain text."""
    return text_of(paint(desk.shown(desk.view()), width, height))


def test_the_view_offers_nothing_that_acts_and_rings_nothing(day: Session, look: Session) -> None:
    there, here = telling.view_of(day), telling.view_of(look)
    assert any(call.rings for call in there.calls) and there.moves
    assert [call.text for call in here.calls] == [call.text for call in there.calls]
    assert not any(call.rings for call in here.calls)
    assert here.moves == frozenset() and "left" in here.words and "done" not in here.words
    assert (here.instruction, here.countdown, here.steps) == (there.instruction, there.countdown, there.steps)


@pytest.mark.parametrize(("width", "height"), [(80, 24), (120, 40), (40, 12)])
def test_the_board_says_that_it_is_only_a_look_and_who_has_the_day(
    look: Session, width: int, height: int
) -> None:
    shown = screen(Desk(look), width, height)
    assert "ONLY A LOOK" in shown and " is in" in shown


def test_a_key_that_would_act_is_refused_in_words(look: Session, clock: Kitchen) -> None:
    desk = Desk(look)
    before = look.state
    for key, character in (("6", "6"), ("3", "3"), ("enter", "\r"), ("n", "n")):
        clock.advance(0.5)
        desk.key(key, character, clock.elapsed())
        desk.tick(clock.elapsed())
    clock.advance(0.5)
    desk.tick(clock.elapsed())
    assert desk.outbox
    while desk.outbox:
        asked = desk.outbox.popleft()
        assert isinstance(asked, intents.Intent)
        desk.told(asked, look.send(asked))
        assert desk.message.startswith("This is only a look.")
    assert look.state == before


def test_what_the_other_writes_is_told_on_the_board(day: Session, look: Session, clock: Kitchen) -> None:
    desk = Desk(look)
    assert not desk.has_business()
    said(day, "63.2")
    assert desk.has_business()
    desk.heard(look.tick().entries)
    assert "63.2 C" in screen(desk) and look.state == day.state


def test_in_lines_it_is_said_first_and_followed_without_a_bell(
    day: Session, look: Session, clock: Kitchen
) -> None:
    out = Terminal()
    face = PlainFace(look, out)
    face.greet()
    assert "ONLY A LOOK: " in out.getvalue() and "CALL" in out.getvalue()
    said(day, "63.2")
    face.news()
    assert "mash temperature 63.2 C" in out.getvalue()
    face.take("64")
    assert "This is only a look." in out.getvalue()
    assert "\a" not in out.getvalue()


def test_a_day_that_another_has_cannot_be_gone_on_with_in_a_new_file(look: Session, tmp_path: Path) -> None:
    assert telling.save(look, str(tmp_path / "new"))[0].startswith("This is only a look.")
    assert not (tmp_path / "new").exists()


def test_a_damaged_day_goes_on_by_one_word_beside_the_old_file(day: Session, clock: Kitchen) -> None:
    day.close()
    path = day.path
    assert path is not None
    path.write_bytes(path.read_bytes().replace(b"step begun", b"step begin", 1))
    desk = Desk(taken_up(path, clock))
    assert ":save to go on" in screen(desk).replace("\n ", " ")
    for character in ":save":
        clock.advance(0.5)
        desk.key({":": "colon"}.get(character, character), character, clock.elapsed())
        desk.tick(clock.elapsed())
    clock.advance(0.5)
    desk.key("enter", "\r", clock.elapsed())
    (asked,) = desk.outbox
    assert isinstance(asked, Save)
    (told,) = telling.save(desk.session, asked.folder)
    assert told.startswith("Saved whole in ") and desk.session.view_only == ""
    assert desk.session.path == path.with_name(path.name.replace(".toml", "-2.toml"))
    assert "ONLY A LOOK" not in screen(desk)
    desk.session.close()
