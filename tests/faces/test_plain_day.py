"""The line face: a whole day as a script, its refusals, doubts, calls and ends."""

from __future__ import annotations

import io
from datetime import UTC, datetime
from pathlib import Path

import pytest

from mashday.engine import facts as f
from mashday.faces.plain import PlainFace, run
from mashday.schedule.samples import sample_text
from mashday.session.clock import VirtualClock
from mashday.session.disk import Disk
from mashday.session.rehearsal import Rehearsal
from mashday.session.session import Session, begin

SCRIPT = """\
start
tick
done
keep it
wait 35 min
68.2
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
    assert "items are open" in told and "'keep it' or 'wrong'" in told
    assert "Forgotten." in told
    assert "running already" in told
    assert "1.048" in told
    assert "is no word here" in told


def test_a_call_comes_at_its_moment_and_again_while_nobody_answers() -> None:
    session, told = played("start\ndone\nkeep it\nunknown\ndone\ndone\nkeep it\nwait 12 min\n")
    calls = [line for line in told.splitlines() if line.startswith("CALL   Mash temperature")]
    assert calls == [
        "CALL   Mash temperature is due.",
        "CALL   Mash temperature is due, 1 min 00 s ago.",
        "CALL   Mash temperature is due, 3 min 00 s ago.",
        "CALL   Mash temperature is due, 5 min 00 s ago.",
        "CALL   Mash temperature is due, 7 min 00 s ago.",
    ]
    assert session.state.phase == "running"


@pytest.mark.parametrize("word", ["why", "left", "again", "steps", "log", "help"])
def test_questions_are_answered_at_any_time(word: str) -> None:
    for before in (
        "",
        "start\n",
        "start\ndone\nkeep it\n",
        "start\ndone\nkeep it\n68.1\ndone\ndone\nkeep it\n",
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
    assert "NOT SAVED" in told and "save FOLDER" in told
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
