"""The listener as a program beside the day: asked one thing at a time, and no crash of it harms anything."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mashday.channels.listener import Listener
from mashday.channels.listener_lines import Ask, Shut, Told, asked_from, asked_line, told_from, told_line

ANSWERS = """
import sys
print("noise before it is ready")
print("heard 1 99 | before it was asked")
print("ready")
for line in sys.stdin:
    asked, number, kind, *_ = *line.split(), "", ""
    last, number = number if kind else last, int(number or 0)
    if kind == "temperature":
        print("open", number)
        print("heard", number - 1, "99 | what was asked before")
        print("heard 99 | of no number")
        print("heard", number, "64.5 | Sixty four point five.")
        print("heard", number, "11 | once more, unasked")
    elif kind == "words":
        print("open", number)
    elif asked == "shut":
        print("closed", last)
    elif kind == "keep":
        print("trouble The microphone gives only zeros."); sys.exit(3)
"""


@contextmanager
def listening(script: str) -> Iterator[Listener]:
    listener = Listener((sys.executable, "-c", script))
    listener.start()
    try:
        yield listener
    finally:
        listener.close()


def until(true: Callable[[], object], seconds: float = 20.0) -> object:
    gives_up = time.monotonic() + seconds
    while not (found := true()) and time.monotonic() < gives_up:
        time.sleep(0.01)
    return found


def test_it_is_asked_once_it_is_ready_and_answers_once() -> None:
    with listening(ANSWERS) as listener:
        assert listener.state == "starting" and not listener.ask(Ask("temperature", 8.0))
        assert until(lambda: listener.state == "shut")
        assert listener.told() == []
        assert listener.ask(Ask("temperature", 8.0))
        assert until(lambda: not listener.is_asked)
        assert listener.told() == [Told("heard", "64.5", "Sixty four point five.", 1)]
        assert listener.state == "shut" and listener.trouble() is None


def test_it_is_shut_while_it_listens() -> None:
    with listening(ANSWERS) as listener:
        assert until(lambda: listener.ask(Ask("words", 8.0))) and not listener.ask(Ask("temperature", 8.0))
        assert until(lambda: listener.state == "open")
        listener.shut()
        assert until(lambda: listener.told() == [Told("closed", number=1)])
        assert listener.state == "shut"


def test_its_crash_is_told_and_what_was_asked_counts_as_not_heard() -> None:
    with listening(ANSWERS) as listener:
        assert until(lambda: listener.ask(Ask("keep", 8.0)))
        assert until(lambda: listener.told() == [Told("closed")])
        assert listener.trouble() == "The microphone gives only zeros."
        told = until(listener.trouble)
        assert isinstance(told, str) and "ended with code 3; it is started again" in told
        assert until(lambda: listener.ask(Ask("temperature", 8.0)))


def test_one_that_never_answers_is_given_up_and_started_again(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("mashday.channels.listener.LONGEST_ANSWER_SECONDS", 0.2)
    with listening(ANSWERS) as listener:
        assert until(lambda: listener.ask(Ask("words", 0.1)))
        assert until(lambda: not listener.is_asked)
        assert listener.told() == [Told("closed")]
        told = listener.trouble()
        assert told is not None and "does not answer" in told
        assert until(lambda: listener.ask(Ask("temperature", 8.0)))


def test_one_that_reads_nothing_any_more_is_told_and_started_again() -> None:
    script = "import os, time\nos.close(0)\nprint('ready')\ntime.sleep(60)"
    with listening(script) as listener:
        assert until(lambda: listener.state == "shut")
        assert until(lambda: not listener.ask(Ask("words", 8.0)))
        told = until(listener.trouble)
        assert isinstance(told, str) and "cannot be asked; it is started again" in told
        assert until(lambda: listener.state == "gone")


def test_one_that_begins_anew_in_the_midst_of_an_answer_owes_none() -> None:
    script = "import sys\nprint('ready')\nfor line in sys.stdin: print('open 1'); print('ready')\n"
    with listening(script) as listener:
        assert until(lambda: listener.ask(Ask("words", 8.0)))
        assert until(lambda: listener.told() == [Told("closed")])
        assert listener.state == "shut" and not listener.is_asked


def test_a_program_that_is_not_there_is_told() -> None:
    listener = Listener(("no-such-listener-anywhere",))
    listener.start()
    told = until(listener.trouble)
    assert isinstance(told, str) and "no such program" in told and listener.state == "gone"
    assert not listener.ask(Ask("temperature", 8.0))
    listener.close()


@pytest.mark.parametrize("asked", [Ask("temperature", 8.0, 1), Ask("keep", 2.5, 1234), Shut()])
def test_what_is_asked_comes_over_as_it_was(asked: Ask | Shut) -> None:
    assert asked_from(asked_line(asked)) == asked


@pytest.mark.parametrize(
    "line",
    [
        *("", "go", "ask", "ask 1 temperature", "ask temperature 8", "ask 1 soup 8", "ask 1 words inf"),
        *("ask 1 words 0", "ask -1 words 8", "ask \N{SUPERSCRIPT TWO} words 8", f"ask {'9' * 5000} words 8"),
    ],
)
def test_no_other_line_asks_anything(line: str) -> None:
    assert asked_from(line) is None


@pytest.mark.parametrize("line", ["heard 64.5", "heard | 64.5", "heard 7", "open", "silence x", "closed -7"])
def test_an_answer_without_its_number_or_its_line_tells_nothing(line: str) -> None:
    assert told_from(line) is None


@given(st.text(max_size=80), st.text(max_size=80))
def test_what_is_told_comes_over_clean_or_not_at_all(line: str, raw: str) -> None:
    told = told_from(told_line(Told("heard", line, raw, 7)))
    assert told is None or (told.word == "heard" and told.number == 7 and told.line.isprintable())


@pytest.mark.parametrize("line", ["heard", "hello", "", "ready 3", "trouble", "heard | only raw"])
def test_no_other_line_tells_anything(line: str) -> None:
    assert told_from(line) is None
