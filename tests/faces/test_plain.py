"""The line face on a clock that goes on: calls while nobody types, quiet, doubts, faults and the end."""

from __future__ import annotations

import io
import re
import threading
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from mashday.engine import facts as f
from mashday.engine import intents
from mashday.faces.plain import BELL, PlainFace, run
from mashday.schedule.samples import sample_text
from mashday.session.clock import VirtualClock
from mashday.session.disk import Disk
from mashday.session.rehearsal import Rehearsal
from mashday.session.session import Session, begin, look, resume


class Beside:
    """Somebody beside the pot: lines are typed, minutes pass, and what was told since is read."""

    def __init__(self, name: str = "lock-seven-barley", folder: Path | None = None) -> None:
        self.clock = VirtualClock(datetime(2026, 10, 3, 10, 0, tzinfo=UTC))
        self.session = begin(sample_text(name), self.clock, folder=folder)
        self.out = io.StringIO()
        self.face = PlainFace(self.session, self.out)
        self._read = 0

    def lives(self, *script: float | str) -> Beside:
        """Types the lines; minutes pass in quarters, each with a look at what is due."""
        for item in script:
            if isinstance(item, str):
                self.face.take(item)
                self.face.news()
            else:
                for _ in range(round(4 * item)):
                    self.clock.advance(15.0)
                    self.face.news()
        return self

    def jumps(self, minutes: float) -> Beside:
        """Minutes pass with one look at their end."""
        self.clock.advance(60.0 * minutes)
        self.face.news()
        return self

    def resting(self) -> Beside:
        """Goes on to the rest, and to its first reading, which is due and called."""
        self.lives("start", "done", "keep it").jumps(35).lives("69.1", "done").jumps(8)
        return self.lives("done", "keep it").jumps(5)

    def told(self, *script: float | str) -> str:
        """What is told while this is lived, and nothing told before."""
        before = self.out.tell()
        self.lives(*script)
        return self.out.getvalue()[before:]


def calls(told: str) -> list[str]:
    return [line.removeprefix("CALL   ") for line in told.splitlines() if line.startswith("CALL")]


@pytest.mark.parametrize("minutes", [1, 2, 5])
@pytest.mark.parametrize("rung", [0.0, 1.5, 4.0])
def test_a_snoozed_call_comes_back_when_it_was_asked_to_however_often_it_rang(
    minutes: int, rung: float
) -> None:
    beside = Beside().resting().lives(rung)
    assert calls(beside.told(f"snooze {minutes}", minutes - 0.25)) == []
    assert len(calls(beside.told(0.25))) == 1


def test_a_muted_call_comes_back_after_two_minutes() -> None:
    beside = Beside().resting().lives(4)
    assert "a new call breaks through" in beside.told("mute")
    assert calls(beside.told(1.75)) == []
    assert len(calls(beside.told(0.25))) == 1


def test_a_new_call_breaks_through_a_mute() -> None:
    beside = Beside().lives("start", *["skip", "keep it"] * 7, 1, "mute")
    assert beside.session.state.muted_at == 60.0
    # pitching asks for temperature at once, for gravity two minutes on
    assert calls(beside.told(0.75)) == []
    assert calls(beside.told(0.25)) == ["Gravity of the wash is due."]


def test_a_held_day_is_silent_and_its_clock_stands() -> None:
    beside = Beside().resting()
    assert calls(beside.told("hold", 20)) == []
    assert calls(beside.told("resume")) == ["Mash temperature is due."]


def test_a_doubt_that_is_passed_over_is_said_to_be_not_kept() -> None:
    beside = Beside().resting()
    assert "Say 'keep it' for yes, or 'wrong' for no." in beside.told("95")
    assert "What was doubted is not kept." in beside.told("note lid was open")
    assert "Nothing waits for that answer." in beside.told("keep it")
    assert not beside.session.state.valid("temperature", 4)


def test_a_doubt_stands_while_somebody_asks_why_or_mistypes() -> None:
    beside = Beside().resting()
    assert "not kept" not in beside.told("95", "why", "left", "kep it", "keep it")
    assert [reading.fact.value for reading in beside.session.state.valid("temperature", 4)] == [95.0]


def test_a_doubt_doubted_again_is_asked_again_and_kept_once() -> None:
    beside = Beside().resting()
    assert "not kept" not in beside.told("95", "95", "keep it")
    assert [reading.fact.value for reading in beside.session.state.valid("temperature", 4)] == [95.0]


@pytest.mark.parametrize(
    "line", ["\x1b]0;owned\x07", "\u202e63", "note [/][@click=app.quit]x[/]", "9" * 999, "\x00"]
)
def test_strange_lines_end_nothing_and_are_told_without_what_steers(line: str) -> None:
    told = Beside().lives("start").told(line)
    assert all(character.isprintable() or character == "\n" for character in told)


def test_hints_of_a_rehearsed_us_day_are_in_us_units() -> None:
    clock = VirtualClock()
    session = begin(sample_text("bargemans-rye"), clock, folder=None, rehearsed=True, seed=1)
    script = "start\ndone\nkeep it\nwait 60 min\nunknown\ndone\ndone\nkeep it\nwait 10 min\nunknown\n"
    script += "finish\nwrong\nskip\nkeep it\nstarch pass\ndone\nkeep it\nwait 30 min\nunknown\nwait 1 min\n"
    out = io.StringIO()
    run(session, stdin=io.StringIO(script), stdout=out, rehearsal=Rehearsal(session))
    hinted = "\n".join(line for line in out.getvalue().splitlines() if "simulated" in line)
    for piece in (
        r"thermometer shows \d+\.\d F",
        r"hydrometer shows 1\.\d{3} at 68\.0 F",
        r"measure shows .* gal",
    ):
        assert re.search(piece, hinted), hinted
    assert not re.search(r"\d (C|L)\b", out.getvalue())


class FailingDisk(Disk):
    """A disk that fails when it is told to."""

    def __init__(self) -> None:
        self.fails = False

    def fsync(self, descriptor: int) -> None:
        if self.fails:
            raise OSError(28, "No space left on device")
        super().fsync(descriptor)


def failing(session: Session) -> FailingDisk:
    disk = FailingDisk()
    assert session._journal is not None
    session._journal._io = disk
    return disk


def test_what_the_disk_did_not_take_is_whole_where_it_was_saved_and_goes_on_there(tmp_path: Path) -> None:
    beside = Beside(folder=tmp_path / "first")
    disk = failing(beside.session)
    beside.lives("start", "tick")
    first = beside.session.path
    disk.fails = True
    assert "NOT SAVED: Not saved to" in beside.told("tick")
    assert "NOT SAVED" in beside.told("note still brewing")
    assert "Saved whole in" in beside.told(f"save {tmp_path / 'second'}")
    assert "NOT SAVED" not in beside.told("note and on")
    second = beside.session.path
    beside.session.close()
    assert first is not None and second is not None and second.parent == tmp_path / "second"
    _, kept, _ = look(second)
    assert kept == beside.session.state
    assert [note.text for note in kept.notes] == ["still brewing", "and on"]
    _, before, _ = look(first)
    assert before.notes == () and before.phase == "running"


def test_a_folder_that_fails_too_leaves_the_warning_standing(tmp_path: Path) -> None:
    beside = Beside(folder=tmp_path / "first")
    failing(beside.session).fails = True
    (tmp_path / "file").write_text("in the way")
    told = beside.told("start", f"save {tmp_path / 'file'}")
    assert told.count("NOT SAVED there either") == 1
    assert beside.session.not_saved is not None and "Say: save" in told.rpartition("either")[2]
    assert beside.session.state.phase == "running"
    beside.session.close()


@pytest.mark.parametrize("ending", ["", "quit\n"])
def test_a_day_left_open_is_taken_up_again_where_it_was(tmp_path: Path, ending: str) -> None:
    clock = VirtualClock(datetime(2026, 10, 3, 10, 0, tzinfo=UTC))
    session = begin(sample_text("lock-seven-barley"), clock, folder=tmp_path)
    assert run(session, stdin=io.StringIO(f"start\ntick\n{ending}"), stdout=io.StringIO()) == 0
    path, left = session.path, session.state
    session.close()
    assert path is not None and left.phase == "running"
    again = resume(path, clock)
    assert again.state.log[:-1] == left.log and again.state.step == 1
    again.close()


def test_an_entry_that_was_not_finished_is_named_when_the_day_is_taken_up_again(tmp_path: Path) -> None:
    beside = Beside(folder=tmp_path).lives("start", "note whole", "note torn")
    path = beside.session.path
    beside.session.close()
    assert path is not None
    path.write_bytes(path.read_bytes()[:-20])
    again = resume(path, beside.clock)
    out = io.StringIO()
    PlainFace(again, out).greet()
    assert "The last entry was not finished: " in out.getvalue() and "Enter it again." in out.getvalue()
    assert [note.text for note in again.state.notes] == ["whole"]
    again.close()


class Pipe(io.StringIO):
    """A standard output whose reader goes away at some word."""

    def __init__(self, until: str) -> None:
        super().__init__()
        self.until = until

    def write(self, text: str) -> int:
        if self.until in text:
            raise BrokenPipeError
        return super().write(text)


def test_a_reader_that_goes_away_in_mid_day_loses_nothing_that_was_entered(tmp_path: Path) -> None:
    session = begin(sample_text("lock-seven-barley"), VirtualClock(), folder=tmp_path)
    script = io.StringIO("start\nnote first\nnote the last\nnote never heard\n")
    assert run(session, stdin=script, stdout=Pipe("the last")) == 0
    path = session.path
    session.close()
    assert path is not None
    _, kept, _ = look(path)
    assert [note.text for note in kept.notes] == ["first", "the last"] and kept.phase == "running"


class Terminal(io.StringIO):
    """A terminal that lets others wait for a word."""

    def __init__(self) -> None:
        super().__init__()
        self.changed = threading.Condition()

    def isatty(self) -> bool:
        return True

    def write(self, text: str) -> int:
        with self.changed:
            written = super().write(text)
            self.changed.notify_all()
        return written

    def until(self, word: str) -> bool:
        with self.changed:
            return self.changed.wait_for(lambda: word in self.getvalue(), timeout=20.0)


class Hands:
    """A person who types some lines, lets minutes pass without typing, and types again once called."""

    def __init__(self, clock: VirtualClock, screen: Terminal) -> None:
        self.clock = clock
        self.screen = screen
        self.called = False

    def __iter__(self) -> Iterator[str]:
        for line in ("start", "done", "keep it", "unknown", "done", "done", "keep it"):
            yield f"{line}\n"
        self.screen.until("NOW    Rest at")
        self.clock.advance(300.0)
        self.called = self.screen.until("CALL   Mash temperature is due.")
        yield "62.9\n"
        yield "quit\n"


def test_on_a_real_day_a_call_comes_while_nobody_types_and_rings_the_terminal() -> None:
    clock, screen = VirtualClock(), Terminal()
    session = begin(sample_text("lock-seven-barley"), clock, folder=None)
    hands = Hands(clock, screen)
    assert run(session, stdin=hands, stdout=screen) == 0  # type: ignore[arg-type]
    assert hands.called and f"{BELL}CALL" in screen.getvalue()
    assert [reading.fact.value for reading in session.state.valid("temperature", 4)] == [62.9]
    assert session.state.phase == "running"


class Gone:
    """A standard input that is torn away."""

    def __iter__(self) -> Iterator[str]:
        yield "start\n"
        raise OSError(5, "Input/output error")


def test_an_input_torn_away_leaves_the_day_open() -> None:
    session = begin(sample_text("lock-seven-barley"), VirtualClock(), folder=None)
    assert run(session, stdin=Gone(), stdout=io.StringIO()) == 0  # type: ignore[arg-type]
    assert session.state.phase == "running"


@pytest.mark.parametrize(("line", "how"), [("finish", "early"), ("abort", "aborted")])
def test_an_end_is_asked_about_once_and_nothing_is_heard_after_its_questions(line: str, how: str) -> None:
    session = begin(sample_text("lock-seven-barley"), VirtualClock(), folder=None)
    out = io.StringIO()
    run(session, stdin=io.StringIO(f"start\n{line}\nkeep it\n\nskip\nno\nnote too late\n"), stdout=out)
    last = session.state.log[-1].fact
    assert isinstance(last, f.DayEnded) and last.how == how
    assert session.state.notes == () and "Say 'keep it' for yes, or 'wrong' for no." in out.getvalue()


def test_an_abort_is_asked_about_with_the_heat_first() -> None:
    told = Beside().lives("start").told("abort")
    assert "is the heat off" in told
    session = Beside().lives("start", "abort", "no").session
    assert session.state.phase == "running" and session.doubted is None


@pytest.mark.parametrize("line", ["ok", ""])
def test_a_line_on_its_way_when_a_fire_begins_to_call_does_not_say_that_the_heat_is_off(line: str) -> None:
    beside = Beside().resting().lives("61.2", "ok", "take 2")
    beside.clock.advance(74.0)
    beside.face.news()
    beside.clock.advance(2.0)  # the fire of this remedy is on for 75 s
    before = beside.out.tell()
    beside.face.take(line)
    assert beside.out.getvalue()[before:] == "Is the heat off? Then say: heat off\n"
    beside.face.news()
    assert "DANGER Heat off" in beside.out.getvalue()[before:]
    beside.clock.advance(0.5)
    beside.face.take(line)
    beside.clock.advance(5.0)
    assert "DANGER" in beside.told(0.25)
    beside.face.take(line)
    assert "DANGER" not in beside.told(1)


def test_heat_off_is_taken_the_moment_it_is_due() -> None:
    beside = Beside().resting().lives("61.2", "take 2")
    beside.clock.advance(160.0)
    beside.face.take("heat off")
    assert "DANGER" not in beside.told(1)


def test_nothing_is_told_twice_in_a_quiet_minute() -> None:
    beside = Beside().resting().lives("62.9")
    assert beside.told(2) == ""
    assert beside.session.send(intents.Acknowledge()).refused == "Nothing calls just now."


def test_save_alone_finds_a_folder_that_can_keep_the_day(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    monkeypatch.setenv("USERPROFILE", str(tmp_path / "home"))
    beside = Beside(folder=tmp_path / "first")
    assert "In which folder?" in beside.told("start", "save")
    failing(beside.session).fails = True
    told = beside.told("note still brewing", "save", "note and on")
    path = beside.session.path
    assert path is not None and path.parent == tmp_path / "home" / "mashday" and str(path) in told
    assert beside.session.not_saved is None
    _, kept, _ = look(path)
    assert [note.text for note in kept.notes] == ["still brewing", "and on"]
    beside.session.close()


def test_where_the_home_folder_fails_too_the_folder_for_passing_files_keeps_the_day(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("in the way")
    monkeypatch.setenv("HOME", str(tmp_path / "file"))
    monkeypatch.setenv("USERPROFILE", str(tmp_path / "file"))
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    beside = Beside(folder=tmp_path / "first")
    failing(beside.session).fails = True
    told = beside.told("start", "save")
    path = beside.session.path
    assert path is not None and path.parent.parent == tmp_path and path.parent.name.startswith("mashday-")
    assert str(path) in told and beside.session.not_saved is None
    beside.session.close()


def test_a_file_that_goes_away_is_told_before_the_next_entry(tmp_path: Path) -> None:
    beside = Beside(folder=tmp_path / "first")
    beside.lives("start")
    path = beside.session.path
    assert path is not None and beside.session.not_saved is None
    path.rename(path.with_name("elsewhere.toml"))
    told = beside.told(0.25)
    assert "NOT SAVED: Not saved to" in told and "it is not there" in told
    beside.told("save " + str(tmp_path / "second"))
    assert beside.session.not_saved is None
    beside.session.close()
