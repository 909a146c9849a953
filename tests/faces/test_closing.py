"""The three questions of a day that is over, in plain lines."""

from __future__ import annotations

import io

import pytest

from mashday.engine import facts as f
from mashday.engine import intents
from mashday.faces.closing import QUESTIONS
from mashday.faces.plain import PlainFace, run
from mashday.schedule.samples import sample_text
from mashday.session.clock import VirtualClock
from mashday.session.session import Session, begin


def ended(*lines: str) -> tuple[Session, str]:
    """A day ended early, and what is told while these lines are said after it."""
    session = begin(sample_text("lock-seven-barley"), VirtualClock(), folder=None)
    out = io.StringIO()
    typed = "".join(f"{line}\n" for line in ("start", "finish", "keep it", *lines))
    assert run(session, stdin=io.StringIO(typed), stdout=out) == 0
    return session, out.getvalue()


def written(session: Session) -> dict[str, str]:
    facts = (entry.fact for entry in session.state.log)
    return {fact.which: fact.text for fact in facts if isinstance(fact, f.ClosingLine)}


def test_the_three_are_asked_one_by_one_and_a_bare_answer_will_do() -> None:
    session, told = ended("the mash landed low", "two litres of boiling water", "63 C water is too cold", "x")
    assert written(session) == {
        "wrong": "the mash landed low",
        "mended": "two litres of boiling water",
        "change": "63 C water is too cold",
    }
    asked = [line for line in told.splitlines() if line.startswith("ASKED")]
    assert asked == [f"ASKED  {question}" for question in QUESTIONS.values()]
    assert "To change next time: 63 C water is too cold" in told


def test_each_may_be_left_out_and_is_not_asked_again() -> None:
    session, told = ended("", "skip", "nothing", "said too late")
    assert written(session) == {} and told.count("ASKED") == 3


def test_the_end_of_the_input_or_quit_leaves_all() -> None:
    for lines in ((), ("quit", "said too late")):
        session, told = ended(*lines)
        assert written(session) == {} and told.count("ASKED") == 1


def test_each_has_a_word_of_its_own_in_any_order() -> None:
    session, told = ended(
        "change heat higher", "mended boiling water", "note lid off", "went-wrong it was cold"
    )
    assert written(session) == {"change": "heat higher", "mended": "boiling water", "wrong": "it was cold"}
    assert [note.text for note in session.state.notes] == ["lid off"]
    assert told.count("ASKED") == 2


def test_a_reading_units_or_a_command_is_carried_out_and_the_question_asked_again() -> None:
    session, told = ended("temp 21", "units us", "volume 19 L", "help", "explain sparge", "heard no")
    assert [reading.quantity for reading in session.state.later] == ["temperature", "volume"]
    assert session.state.units == "us" and written(session) == {}
    assert [line for line in told.splitlines() if line.startswith("ASKED")] == [
        f"ASKED  {QUESTIONS['wrong']}" for _ in range(7)
    ]


def test_a_reading_that_is_doubted_is_answered_before_the_question() -> None:
    session, _ = ended("temp 63", "no", "temp 64", "keep it", "it was cold")
    assert [reading.fact.value for reading in session.state.later] == [64.0]
    assert written(session) == {"wrong": "it was cold"}


@pytest.mark.parametrize(
    "answer",
    [
        "left the lid off",
        "wait 15 min before the first reading",
        "save the first runnings",
        "time ran out",
        "temperature 2 C low",
        "gravity was too low",
        "2 C too cold",
        "65 C",
        "units mixed up",
        "heat higher",
        "why it stuck nobody knows",
    ],
)
def test_an_answer_may_begin_like_a_word_or_a_number(answer: str) -> None:
    assert written(ended(answer)[0]) == {"wrong": answer}


def test_a_lone_word_of_the_line_mode_is_no_answer() -> None:
    session, told = ended("done", "help", "go", "on", "well")
    assert "The day is over" in told and "go on after a hold" in told
    assert list(written(session).values()) == ["go", "on", "well"]


def test_a_closing_line_before_the_end_is_refused() -> None:
    session = begin(sample_text("lock-seven-barley"), VirtualClock(), folder=None)
    out = io.StringIO()
    run(session, stdin=io.StringIO("start\nchange heat higher\nmended\n"), stdout=out)
    assert "The day is not over" in out.getvalue() and "behind the word: mended" in out.getvalue()
    assert written(session) == {}


def test_an_interrupt_after_the_end_of_the_day_leaves_it_as_quit_does() -> None:
    session = begin(sample_text("lock-seven-barley"), VirtualClock(), folder=None)
    session.send(intents.Start())

    class Interrupted(io.StringIO):
        def __init__(self, ends: bool) -> None:
            super().__init__("note still there\n" if not ends else "finish\nkeep it\n")

        def readline(self, size: int | None = -1, /) -> str:
            line = super().readline()
            if not line:
                raise KeyboardInterrupt
            return line

        def __next__(self) -> str:
            return self.readline()

    PlainFace(session, io.StringIO()).news()
    with pytest.raises(KeyboardInterrupt):
        _in_this_thread(session, Interrupted(ends=False))
    assert _in_this_thread(session, Interrupted(ends=True)) == 0


def _in_this_thread(session: Session, stdin: io.StringIO) -> int:
    """Runs the lines of a rehearsed day, whose input is read where its face is."""
    from mashday.session.rehearsal import Rehearsal  # noqa: PLC0415 - for this one alone

    return run(session, stdin=stdin, stdout=io.StringIO(), rehearsal=Rehearsal(session))
