"""`run --from STEP` as a person meets it: which step is meant, and the sentences it is refused with."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest
from days import BARLEY

from mashday.cli import main
from mashday.commands.steps import no_such_step, step_meant
from mashday.schedule.door import load
from mashday.schedule.samples import sample_text
from mashday.session.library import days
from mashday.session.session import look

STEPPED = load(sample_text("towpath-stepped"))


@pytest.fixture
def sessions(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The sessions folder of a person who types `quit`."""
    folder = tmp_path / "sessions"
    monkeypatch.setenv("MASHDAY_SESSIONS", str(folder))
    monkeypatch.setattr("sys.stdin", io.StringIO("quit\n"))
    return folder


@pytest.mark.parametrize(
    ("said", "number"),
    [
        ("1", 1),
        (" 16 ", 16),
        ("rest", 4),
        ("REST", 4),
        ("sugar rest", 6),
        ("Sugar-Rest", 6),
        ("starch-check", 9),
        ("starch check", 9),
        ("Starch_Check", 9),
        ("mash out", 10),
        ("raise", 5),
        ("clean up", 16),
    ],
)
def test_a_step_is_meant_by_number_kind_or_title(said: str, number: int) -> None:
    assert step_meant(STEPPED, said) == number


@pytest.mark.parametrize("said", ["0", "17", "-1", "1.5", "", " ", "rests", "99999999", "\u00b2"])
def test_any_other_word_means_no_step(said: str) -> None:
    assert step_meant(STEPPED, said) is None


def test_the_refusal_lists_the_steps_and_is_clean() -> None:
    told = no_such_step(load(BARLEY), "\x1b[2J")
    assert told.isprintable()
    assert "1 Set-up, 2 Heat, 3 Dough-in, 4 Rest, 5 Starch check" in told


@pytest.mark.parametrize("said", ["nowhere", "99", ""])
def test_a_wrong_step_is_refused_and_begins_no_day(
    said: str, sessions: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["run", "lock-seven-barley", "--plain", "--from", said]) == 2
    told = capsys.readouterr().err
    assert re.fullmatch(r"mashday: --from: there is no step [^\n]* The steps are: [^\n]*\n", told)
    assert not sessions.exists()


def test_a_rehearsal_is_refused_with_it(sessions: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["run", "lock-seven-barley", "--plain", "--rehearse", "--from", "rest"]) == 2
    assert capsys.readouterr().err.count("\n") == 1
    assert not sessions.exists()


def test_the_day_begins_at_the_step_and_stays_open(
    sessions: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["run", "lock-seven-barley", "--plain", "--from", "Starch check"]) == 0
    assert "The day has begun in mid-mash" in capsys.readouterr().out
    (path,) = sessions.glob("*.toml")
    _, state, _ = look(path)
    assert (state.from_step, state.step, state.phase) == (5, 5, "running")
    assert len(list(days(sessions))) == 1


def test_units_asked_for_hold_from_the_first_question(
    sessions: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["run", "lock-seven-barley", "--plain", "--from", "4", "--units", "us"]) == 0
    assert "ASKED  grain in the pot (lb)" in capsys.readouterr().out
    assert sessions.exists()
