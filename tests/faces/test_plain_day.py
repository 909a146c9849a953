"""The line face: a whole day as a script, its refusals, doubts, calls and ends."""

from __future__ import annotations

import io
import threading
from datetime import UTC, datetime
from pathlib import Path

import pytest

from mashday.engine import facts as f
from mashday.engine.intents import Intent
from mashday.faces.plain import PlainFace, run
from mashday.schedule.samples import sample_text
from mashday.session.clock import VirtualClock
from mashday.session.disk import Disk
from mashday.session.rehearsal import Rehearsal
from mashday.session.session import Outcome, Session, begin, resume

SCRIPT = """\
start
tick
done
keep it
wait 35 min
69.1
done
wait 8 min
done
keep it
wait 5 min
61.0
take 1
1.05 L
wait 4 min
62.9
wait 25 min
62.3
wait 20 min
62.2
wait 15 min
starch pass
done
keep it
wait 6 min
gravity 1.076 at 24 C
wait 15 min
volume 19.5 L
done
keep it
wait 12 min
24.1
done
keep it
23.0
1.062 at 23 C
19.4
note smells of bread
done
keep it
wait 5 min
done
keep it
"""


def rehearsed(name: str = "lock-seven-barley", folder: Path | None = None) -> tuple[Session, Rehearsal]:
    clock = VirtualClock(datetime(2026, 10, 3, 10, 0, tzinfo=UTC))
    session = begin(sample_text(name), clock, folder=folder, rehearsed=True, seed=1)
    return session, Rehearsal(session)


def played(script: str) -> tuple[Session, str]:
    session, rehearsal = rehearsed()
    out = io.StringIO()
    assert run(session, stdin=io.StringIO(script), stdout=out, rehearsal=rehearsal) == 0
    return session, out.getvalue()


def test_a_whole_day_runs_from_a_script() -> None:
    session, told = played(SCRIPT)
    assert session.state.phase == "complete", told[-2000:]
    assert "2.2 C below 63.0 C" in told  # the thermometer of this sample shows 0.2 C too much
    assert "begins by itself" in told
    assert "The day is complete." in told
    assert session.state.additions[0].fact.offer is not None
    assert [note.text for note in session.state.notes] == ["smells of bread"]


def test_what_is_told_is_plain_text_for_any_terminal() -> None:
    _, told = played(SCRIPT)
    assert told.isascii()
    assert all(character.isprintable() or character == "\n" for character in told)


def test_the_end_of_the_input_leaves_the_day_open() -> None:
    session, _ = played("start\n")
    assert session.state.phase == "running"


@pytest.mark.parametrize(
    ("script", "phase"),
    [
        ("start\nquit\ndone\n", "running"),
        ("start\nfinish\nkeep it\n", "complete"),
        ("start\nabort\nkeep it\n", "aborted"),
        ("start\nabort\nwrong\n", "running"),
    ],
)
def test_the_ways_to_end(script: str, phase: str) -> None:
    assert played(script)[0].state.phase == phase


def test_a_refusal_and_a_doubt_are_told_with_what_would_do() -> None:
    _, told = played("start\ndone\nwrong\nresume\ngravity 1.6\nxyz\n")
    assert "items are open" in told and "'keep it' for yes" in told
    assert "Forgotten." in told
    assert "running already" in told
    assert "1.048" in told
    assert "is no word here" in told


def test_a_call_comes_at_its_moment_and_again_while_nobody_answers() -> None:
    session, told = played("start\ndone\nkeep it\nunknown\ndone\ndone\nkeep it\nwait 12 min\n")
    calls = [line for line in told.splitlines() if line.startswith("CALL   Mash temperature")]
    assert calls == [
        "CALL   Mash temperature is due.",
        "CALL   Mash temperature is due, 2 min 00 s ago.",
        "CALL   Mash temperature is due, 3 min 00 s ago.",
        "CALL   Mash temperature is due, 4 min 00 s ago.",
        "CALL   Mash temperature is due, 5 min 00 s ago.",
        "CALL   Mash temperature is due, 5 min 40 s ago.",
        "CALL   Mash temperature is due, 6 min 20 s ago.",
        "CALL   Mash temperature is due, 7 min 00 s ago.",
    ]  # every two minutes, every minute, every forty seconds
    assert session.state.phase == "running"


@pytest.mark.parametrize("word", ["why", "left", "again", "steps", "log", "help"])
def test_questions_are_answered_at_any_time(word: str) -> None:
    for before in (
        "",
        "start\n",
        "start\ndone\nkeep it\n",
        "start\ndone\nkeep it\n69.0\ndone\ndone\nkeep it\n",
    ):
        base = played(before)[1]
        assert len(played(f"{before}{word}\n")[1]) > len(base)


def test_waiting_is_for_rehearsals_only() -> None:
    session, _ = rehearsed()
    out = io.StringIO()
    PlainFace(session, out).take("wait 5 min")
    assert "rehearsals" in out.getvalue()


class BrokenDisk(Disk):
    """A disk that is full from the third flush on."""

    def __init__(self) -> None:
        self.flushes = 0

    def fsync(self, descriptor: int) -> None:
        self.flushes += 1
        if self.flushes > 3:
            raise OSError(28, "No space left on device")
        super().fsync(descriptor)


def test_not_saved_is_said_and_the_day_can_be_saved_elsewhere(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    session, rehearsal = rehearsed(folder=tmp_path / "first")
    assert session._journal is not None
    session._journal._io = BrokenDisk()
    out = io.StringIO()
    script = f"start\ntick\ntick\ntick\ndone\nkeep it\nnote still going\nsave {tmp_path / 'second'}\nquit\n"
    run(session, stdin=io.StringIO(script), stdout=out, rehearsal=rehearsal)
    told = out.getvalue()
    assert "NOT SAVED" in told and "Say: save" in told
    assert "Saved whole in" in told and session.not_saved is None
    assert [note.text for note in session.state.notes] == ["still going"]
    assert session.path is not None and session.path.parent == tmp_path / "second"
    session.close()


def test_a_closed_reader_ends_nothing_but_the_face() -> None:
    class Closed(io.StringIO):
        def write(self, text: str) -> int:
            raise BrokenPipeError

    session, rehearsal = rehearsed()
    assert run(session, stdin=io.StringIO("start\n"), stdout=Closed(), rehearsal=rehearsal) == 0


def test_a_real_day_ends_with_its_input_too() -> None:
    session = begin(sample_text("lock-seven-barley"), VirtualClock(), folder=None)
    out = io.StringIO()
    run(session, stdin=io.StringIO("start\ntick\n"), stdout=out)
    assert [type(entry.fact) for entry in session.state.log][-1] is f.ItemTicked


TO_THE_REST = ("start", "done", "keep it", 35, "69.1", "done", 8, "done", "keep it")


def lived(
    *script: float | str, name: str = "lock-seven-barley"
) -> tuple[Session, VirtualClock, PlainFace, io.StringIO]:
    """A day on a clock that goes on as a real one does, looked at every half minute."""
    clock = VirtualClock(datetime(2026, 10, 3, 10, 0, tzinfo=UTC))
    session = begin(sample_text(name), clock, folder=None)
    out = io.StringIO()
    face = PlainFace(session, out)
    face.greet()
    carry_on(clock, face, *script)
    return session, clock, face, out


def carry_on(clock: VirtualClock, face: PlainFace, *script: float | str) -> None:
    for item in script:
        if isinstance(item, str):
            face.take(item)
            face.news()
        else:
            for _ in range(round(2 * item)):
                clock.advance(30.0)
                face.news()


def test_what_falls_due_while_the_disk_is_slow_is_called_before_that_is_done() -> None:
    session, clock, face, out = lived(*TO_THE_REST, "62.9")
    before, called = out.tell(), threading.Event()
    write, flush = out.write, session.send

    def heard(text: str) -> int:
        if text.startswith("CALL"):
            called.set()
        return write(text)

    def slow(intent: Intent) -> Outcome:
        clock.advance(3600.0)
        assert called.wait(30.0), "nothing was called while the disk was slow"
        return flush(intent)

    out.write, session.send = heard, slow  # type: ignore[method-assign]
    face.take("note how slow")
    told = out.getvalue()[before:]
    assert 0 <= told.find("CALL") < told.find("how slow")


def test_not_saved_stands_under_all_that_is_told_but_not_in_silence() -> None:
    session, clock, face, out = lived("start")
    session.not_saved = "No space left on device."
    before = out.tell()
    carry_on(clock, face, 5)
    silent = out.getvalue()[before:]
    assert silent.count("NOT SAVED") <= 1
    carry_on(clock, face, "note one", "note two")
    told = out.getvalue()[before + len(silent) :]
    assert told.count("NOT SAVED") == 2 and "Say: save" in told


def test_time_alone_does_not_repeat_an_instruction() -> None:
    _, clock, face, out = lived("start", *["skip", "keep it"] * 6, 10, "60", 5, "45")
    before = out.tell()
    carry_on(clock, face, 4)
    assert "NOW" not in out.getvalue()[before:]


def test_another_amount_of_grain_tells_the_new_strike_at_once() -> None:
    _, clock, face, out = lived("start", "done", "keep it")
    before = out.tell()
    carry_on(clock, face, "weighed 4.2 kg")
    assert "NOW    Heat 15.0 L of water to 68." in out.getvalue()[before:]  # less grain, cooler strike


def test_a_question_is_asked_again_with_each_repeated_call() -> None:
    _, clock, face, out = lived(*TO_THE_REST)
    before = out.tell()
    carry_on(clock, face, 8)  # due at 5 min; repeated after 2 min, then after a minute more
    told = [line[:6].strip() for line in out.getvalue()[before:].splitlines()]
    assert told == ["CALL", "NOW", "ASKED", "CALL", "ASKED", "CALL", "ASKED"]


def test_a_rehearsed_wait_asks_again_with_each_repeated_call_too() -> None:
    _, told = played("start\ndone\nkeep it\nunknown\ndone\ndone\nkeep it\nwait 8 min\n")
    rest = told.split("Rest 63.0 C begins", 1)[1]
    assert rest.count("CALL   Mash temperature") == rest.count("ASKED  mash temperature") == 3


def test_a_call_is_never_told_before_it_is_due() -> None:
    _, clock, face, out = lived(*TO_THE_REST)
    before = out.tell()
    clock.advance(299.9)
    face.news()
    assert "CALL" not in out.getvalue()[before:]
    clock.advance(0.1)
    face.news()
    assert "CALL   Mash temperature is due." in out.getvalue()[before:]


def test_a_snoozed_call_is_quiet_and_comes_back() -> None:
    _, clock, face, out = lived(*TO_THE_REST, 5, "snooze 5")
    before = out.tell()
    carry_on(clock, face, 4.5)
    assert "CALL" not in out.getvalue()[before:]
    carry_on(clock, face, 1)
    assert "CALL" in out.getvalue()[before:]


def test_an_acknowledged_call_rings_no_more() -> None:
    session, clock, face, out = lived(*TO_THE_REST, 5, "")
    assert isinstance(session.state.log[-1].fact, f.CallAnswered)
    before = out.tell()
    carry_on(clock, face, 10)
    assert "CALL" not in out.getvalue()[before:]


def test_a_reading_in_its_band_is_called_good() -> None:
    _, _, _, out = lived(*TO_THE_REST, 5, "62.9")
    assert (
        "mash temperature 62.7 C, 0.3 C low, good; the thermometer showed 62.9 C." in out.getvalue()
    )  # the sample's offset is 0.2 C


def test_a_bare_number_takes_a_way_and_the_next_one_says_how_much_went_in() -> None:
    session, _, _, out = lived(*TO_THE_REST, 5, "61.0", "1", "1,1")
    assert session.state.additions[0].fact.litres == 1.1
    assert "Stir well, lid on; the next reading shows what it did" in out.getvalue()


def test_a_caution_is_told_once_a_step() -> None:
    _, _, _, out = lived("start", "done", "keep it", 5, "again", "note x", 5, name="sluice-maize")
    assert out.getvalue().count("A thick mash throws") == 1


def test_again_tells_the_instruction_the_ways_and_the_open_items() -> None:
    _, clock, face, out = lived("start")
    before = out.tell()
    carry_on(clock, face, "tick", "again")
    told = out.getvalue()[before:]
    assert "Open: 2 " in told and "Open: 1 " not in told
    _, clock, face, out = lived(*TO_THE_REST, 5, "61.0")
    before = out.tell()
    carry_on(clock, face, "again")
    assert "1: add 1.2 L" in out.getvalue()[before:]


def test_a_day_taken_up_again_tells_the_last_thing_done_and_the_next(tmp_path: Path) -> None:
    clock = VirtualClock(datetime(2026, 10, 3, 10, 0, tzinfo=UTC))
    session = begin(sample_text("lock-seven-barley"), clock, folder=tmp_path)
    path = session.path
    assert path is not None
    carry_on(clock, PlainFace(session, io.StringIO()), *TO_THE_REST, 5, "62.9")
    session.close()
    clock.advance(600.0)
    again = resume(path, clock)
    out = io.StringIO()
    PlainFace(again, out).greet()
    told = out.getvalue()
    assert "The last thing done:\n10:48  Reading " in told
    assert "Back after 10 min" in told
    assert "Step 4 of 9, Rest." in told
    assert "NOW    Rest at 63.0 C" in told
    again.close()


def test_a_step_that_ends_by_itself_goes_on_into_its_next_with_a_call() -> None:
    _, clock, face, out = lived(*TO_THE_REST, 5, "62.9", 20, "62.9", 20, "62.9")
    before = out.tell()
    carry_on(clock, face, 16)
    told = out.getvalue()[before:]
    assert "Starch check begins by itself" in told
    assert "CALL   Starch check has begun." in told


def test_a_folder_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    session, rehearsal = rehearsed(folder=tmp_path / "first")
    (tmp_path / "file").write_text("in the way")
    out = io.StringIO()
    run(session, stdin=io.StringIO(f"save {tmp_path / 'file'}\nsave\n"), stdout=out, rehearsal=rehearsal)
    assert "NOT SAVED there either" in out.getvalue() and "In which folder?" in out.getvalue()
    session.close()


@pytest.mark.parametrize(
    ("text", "seconds", "said"),
    [
        ("wait", 60.0, ""),
        ("wait -5 min", 0.0, "less than nothing"),
        ("wait 9000 min", 0.0, "wait 15 min"),
        ("wait soon", 0.0, "does not begin with a number"),
    ],
)
def test_a_wait_is_bounded(text: str, seconds: float, said: str) -> None:
    session, told = played(f"start\n{text}\n")
    assert session.t() == seconds and said in told
