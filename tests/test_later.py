"""The command that adds to a day that is over, as a whole: by flags, by questions, and what it refuses."""

from __future__ import annotations

import io
import json
import re
import sys
from pathlib import Path

import pytest

from mashday.cli import main
from mashday.session.session import look

DAY = """start
skip\nkeep it\nskip\nkeep it\nskip\nkeep it\nskip\nkeep it\nskip\nkeep it\nskip\nkeep it\nskip\nkeep it
gravity 1.060 at 20 C\nkeep it\nvolume 20 L\nfinish\nkeep it
"""


class Lines(io.StringIO):
    """A standard input that a person may sit at."""

    terminal = False

    def isatty(self) -> bool:
        return self.terminal


@pytest.fixture
def sessions(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The sessions folder of a person whose data and state lie in a folder of the test."""
    for name in ("XDG_STATE_HOME", "XDG_DATA_HOME", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / name.lower()))
    monkeypatch.setenv("MASHDAY_SESSIONS", str(tmp_path / "sessions"))
    monkeypatch.chdir(tmp_path)
    return tmp_path / "sessions"


@pytest.fixture
def says(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Says:
    return Says(monkeypatch, capsys)


class Says:
    """The program here: its exit code, what it told and what it complained of."""

    def __init__(self, patch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
        self._patch, self._capsys = patch, capsys

    def __call__(self, *words: str, typed: str = "", terminal: bool = False) -> tuple[int, str, str]:
        lines = Lines(typed)
        lines.terminal = terminal
        self._patch.setattr(sys, "stdin", lines)
        try:
            code = main(list(words))
        except SystemExit as left:
            code = int(left.code or 0)
        told = self._capsys.readouterr()
        return code, told.out, told.err


def lived(says: Says, sessions: Path, more: str = "", *, rehearse: bool = False) -> Path:
    """A day with 20 L at 1.060, ended; `more` is said after its end. Returns its file."""
    how = ("--rehearse",) if rehearse else ()
    before = set(sessions.glob("*.toml"))
    code, _, complained = says("run", "lock-seven-barley", "--plain", *how, typed=DAY + more)
    assert (code, complained) == (0, "")
    (path,) = set(sessions.glob("*.toml")) - before
    return path


def test_a_day_that_is_over_asks_its_three_questions_and_its_summary_tells_the_answers(
    says: Says, sessions: Path
) -> None:
    lived(says, sessions, "it landed low\n\nheat higher\n")
    _, told, _ = says("summary")
    assert "FOR NEXT TIME\n  went wrong: it landed low\n  to change next time: heat higher" in told
    _, told, _ = says("summary", "--json")
    assert json.loads(told)["closing"] == {"wrong": "it landed low", "mended": None, "change": "heat higher"}


def test_several_at_once_go_into_the_file_and_the_alcohol_is_told(says: Says, sessions: Path) -> None:
    path = lived(says, sessions)
    code, told, complained = says(
        "later", "--gravity", "0.998 at 20 C", "--volume", "19.5 L", "--temperature", "20 C",
        "--note", "twenty days on", "--change", "heat higher",
    )  # fmt: skip
    assert (code, complained) == (0, "")
    assert "85 % real" in told and "about 8.2 % vol" in told and "pure alcohol" in told
    _, state, recovered = look(path)
    assert recovered.damage is None and len(state.later) == 3
    assert state.notes[-1].text == "twenty days on" and state.closing_line("change") == "heat higher"
    _, told, _ = says("summary", "--json")
    assert json.loads(told)["measured"]["final_gravity"] == pytest.approx(0.998, abs=1e-4)


def test_it_is_told_as_json(says: Says, sessions: Path) -> None:
    path = lived(says, sessions)
    code, told, _ = says("later", path.stem, "--gravity", "0.998 at 68 F", "--json")
    made = json.loads(told)
    assert code == 0 and made["session"] == path.stem and made["added"] == 1
    assert made["abv_percent"] == pytest.approx(8.19, abs=0.05)
    assert made["pure_alcohol_litres"] == pytest.approx(1.628, abs=0.01)


@pytest.mark.parametrize(
    ("flag", "text", "why"),
    [
        ("--gravity", "1.070 at 20 C", "yeast only takes from that"),
        ("--gravity", "0.970", "cannot be"),
        ("--gravity", "0.985 at 20 C", "would stand at"),
        ("--gravity", "a little", "no"),
        ("--gravity", "5 Bx", "Use the hydrometer"),
        ("--volume", "-3 L", ""),
        ("--temperature", "wet", ""),
        ("--note", " ", "empty"),
        ("--note", "", 'Write it behind the flag: --note "lid left off"'),
        ("--mended", "", "behind the flag"),
        ("--gravity", "", 'behind the flag: --gravity "0.998 at 20 C"'),
        ("--gravity", "1.050 at 20 C", "add --sure"),
        ("--volume", "3 L", "add --sure"),
    ],
)
def test_what_cannot_be_or_is_doubted_is_told_in_a_sentence_and_nothing_is_written(
    says: Says, sessions: Path, flag: str, text: str, why: str
) -> None:
    path = lived(says, sessions)
    before = path.read_bytes()
    code, told, complained = says("later", flag, text, "--wrong", "this one is sound")
    assert (code, told) == (2, "") and path.read_bytes() == before
    assert complained.startswith(f"mashday: {flag}: ") and why in complained
    assert complained.endswith("Nothing was written.\n") and complained.count("\n") == 2


def test_what_is_doubted_is_kept_when_sure(says: Says, sessions: Path) -> None:
    lived(says, sessions)
    code, told, _ = says("later", "--gravity", "1.050 at 20 C", "--sure")
    assert code == 0 and "1.0500" in told
    _, told, _ = says("summary")
    assert "doubted and kept" in told


def test_questions_are_asked_in_a_terminal_and_enter_leaves_one_out(says: Says, sessions: Path) -> None:
    path = lived(says, sessions, "it landed low\n\n\n")
    typed = "1.070 at 20 C\nbroth\n1.050 at 20 C\nno\n0.998 at 20 C\n\n\n\nboiling water\n\n"
    code, told, complained = says("later", typed=typed, terminal=True)
    assert (code, complained) == (0, "")
    assert "yeast only takes from that" in told and "Is it right?" in told
    assert "What went wrong?" not in told and "How was it mended?" in told
    _, state, _ = look(path)
    assert [round(reading.metric, 4) for reading in state.later] == [0.998]
    assert state.closing_line("mended") == "boiling water"


def test_the_end_of_the_input_keeps_what_was_answered(says: Says, sessions: Path) -> None:
    path = lived(says, sessions)
    assert says("later", typed="0.998 at 20 C\n", terminal=True)[0] == 0
    assert len(look(path)[1].later) == 1


def test_without_anything_to_add_and_nobody_to_ask_it_says_what_would_do(says: Says, sessions: Path) -> None:
    lived(says, sessions)
    code, _, complained = says("later")
    assert code == 2 and "mashday later --gravity" in complained


def test_an_open_a_rehearsed_a_damaged_or_no_day_is_refused(says: Says, sessions: Path) -> None:
    add = ("later", "--gravity", "0.998 at 20 C")
    assert says(*add)[0] == 2
    rehearsed = lived(says, sessions, rehearse=True)
    assert "but a rehearsed one" in says(*add)[2]
    code, _, complained = says("later", rehearsed.stem, *add[1:])
    assert code == 2 and "add --rehearsed" in complained
    says("run", "lock-seven-barley", "--plain", typed="start\n")
    code, _, complained = says(*add)
    assert code == 2 and "still open" in complained
    real = lived(says, sessions)
    real.write_bytes(real.read_bytes().replace(b'typed = "20 L"', b'typed = "22 L"'))
    code, _, complained = says("later", real.stem, *add[1:])
    assert code == 1 and complained.count("\n") == 1


def test_no_word_is_said_of_distilling(says: Says, sessions: Path) -> None:
    lived(says, sessions)
    _, told, _ = says("later", "--gravity", "0.998 at 20 C")
    _, help_text, _ = says("later", "--help")
    assert "distil" not in (told + help_text).lower() and "still" not in told.lower()


def test_a_later_file_that_cannot_be_read_is_never_passed_over(says: Says, sessions: Path) -> None:
    path = lived(says, sessions)
    (sessions / "2999-01-01-no-day.toml").write_text("a list of things\n")
    add = ("--gravity", "0.998 at 20 C")
    code, _, complained = says("later", *add)
    assert code == 2 and "2999-01-01-no-day" in complained and f"mashday later {path.stem}" in complained
    code, told, _ = says("later", path.stem, *add)
    assert code == 0 and told.startswith(f"Lock Seven barley wash, {path.name[:10]}\n")


def test_us_units_have_us_examples(says: Says, sessions: Path) -> None:
    lived(says, sessions)
    for words in (("later", "--units", "us"), ("later", "--units", "us", "--gravity", " ", "--change", " ")):
        told = " ".join(says(*words, typed="\n" * 9, terminal=len(words) == 3)[1:])
        assert re.search("[0-9] F", told) and not re.search("[0-9] (?:C|L)\\b", told)
    assert "0.998 at 68 F" in says("later", "--units", "us")[2]


def test_what_is_added_to_a_rehearsed_day_comes_after_its_end(says: Says, sessions: Path) -> None:
    """The clock of a rehearsal runs ahead of that on the wall."""
    path = lived(says, sessions, "\n\n\n", rehearse=True)
    _, state, _ = look(path)
    says("later", "--rehearsed", path.stem, "--gravity", "0.998 at 20 C")
    _, after, _ = look(path)
    assert len(after.later) == 1 and after.log[-1].at >= state.log[-1].at
