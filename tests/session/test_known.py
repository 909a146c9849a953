"""What the kept days of a pot teach the next one: from their files alone, rehearsed days never."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from days import BARLEY

from mashday.cli import main
from mashday.engine import facts as f
from mashday.engine import intents
from mashday.engine.lessons import MOST_DAYS
from mashday.session.clock import VirtualClock
from mashday.session.known import known_pot
from mashday.session.rehearsal import whole_day
from mashday.session.session import begin, look, resume

MORNING = datetime(2026, 10, 3, 10, 0, tzinfo=UTC)
POT = "lock-keeper's kettle"


def lived(folder: Path, day: int, *, rehearsed: bool, text: str = BARLEY) -> Path:
    """A whole day kept in a folder; a real one lived by the simulated person too."""
    known = None if rehearsed else known_pot(folder, POT)
    clock = VirtualClock(MORNING + timedelta(days=day))
    session = begin(text, clock, folder=folder, rehearsed=rehearsed, seed=4, known=known)
    whole_day(session, day=day + 1)
    path = session.path
    session.close()
    assert path is not None
    return path


def test_rehearsed_days_teach_nothing(tmp_path: Path) -> None:
    lived(tmp_path, 0, rehearsed=True)
    assert known_pot(tmp_path, POT) is None


def test_a_real_day_teaches_the_next_one_of_the_same_pot(tmp_path: Path) -> None:
    lived(tmp_path, 0, rehearsed=False)
    known = known_pot(tmp_path, POT)
    assert known is not None and known.days == 1 and len(known.dough_ins) == 1
    assert known_pot(tmp_path, "another pot") is None
    second = lived(tmp_path, 1, rehearsed=False)
    _, state, _ = look(second)
    assert state.known == known
    third = known_pot(tmp_path, POT)
    assert third is not None and third.days == 2 and third.dough_ins[0] == known.dough_ins[0]


def test_days_never_begun_push_no_day_that_taught_out_of_the_latest(tmp_path: Path) -> None:
    lived(tmp_path, 0, rehearsed=False)
    known = known_pot(tmp_path, POT)
    for day in range(1, MOST_DAYS + 2):
        begin(BARLEY, VirtualClock(MORNING + timedelta(days=day)), folder=tmp_path).close()
    assert known_pot(tmp_path, POT) == known is not None


def test_the_same_files_always_teach_the_same(tmp_path: Path) -> None:
    for day in range(3):
        lived(tmp_path, day, rehearsed=False)
    assert known_pot(tmp_path, POT) == known_pot(tmp_path, POT)


def test_a_damaged_day_teaches_nothing_for_it_may_have_gone_on_in_another_file(tmp_path: Path) -> None:
    path = lived(tmp_path, 0, rehearsed=False)
    damaged = path.read_bytes().replace(b"day started", b"day starred")
    path.write_bytes(damaged)
    _, state, recovered = look(path)
    assert recovered.damage is not None and state.readings
    assert known_pot(tmp_path, POT) is None


def test_a_file_that_cannot_be_read_teaches_nothing_and_stops_nothing(tmp_path: Path) -> None:
    path = lived(tmp_path, 0, rehearsed=False)
    known = known_pot(tmp_path, POT)
    (tmp_path / "2026-10-09-rubbish.toml").write_text("not a day")
    assert known_pot(tmp_path, POT) == known
    path.write_bytes(b"")
    assert known_pot(tmp_path, POT) is None


def test_a_day_keeps_what_it_was_begun_with_though_the_others_are_gone(tmp_path: Path) -> None:
    first = lived(tmp_path, 0, rehearsed=False)
    known = known_pot(tmp_path, POT)
    clock = VirtualClock(MORNING + timedelta(days=1))
    session = begin(BARLEY, clock, folder=tmp_path, known=known)
    session.send(intents.Start())
    session.close()
    first.unlink()
    assert session.path is not None
    again = resume(session.path, clock)
    assert again.state.known == known
    assert sum(isinstance(entry.fact, f.PotKnown) for entry in again.state.log) == 1
    again.send(intents.Undo())
    assert again.state.known == known
    again.close()


def test_the_plan_and_the_summary_tell_what_the_pot_taught(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    schedule = tmp_path / "day.toml"
    schedule.write_text(BARLEY)
    folder = tmp_path / "kept"
    folder.mkdir()
    assert main(["plan", str(schedule), "--json", "--sessions", str(folder)]) == 0
    new = json.loads(capsys.readouterr().out)["strike"]["water_celsius"]
    path = lived(folder, 0, rehearsed=False)
    assert main(["plan", str(schedule), "--sessions", str(folder)]) == 0
    told = capsys.readouterr().out
    assert "THE POT lock-keeper's kettle, by one day before this" in told
    assert main(["plan", str(schedule), "--json", "--sessions", str(folder)]) == 0
    known = json.loads(capsys.readouterr().out)["strike"]["water_celsius"]
    assert main(["summary", str(path), "--json"]) == 0
    taught = json.loads(capsys.readouterr().out)["learned"]
    (landed,) = taught["dough_ins"]
    # it landed lower than the sum, so the water is heated higher, or the other way round
    assert (landed["read_celsius"] < landed["reckoned_celsius"]) == (known > new)
    assert main(["summary", str(path)]) == 0
    assert "WHAT THE POT TAUGHT" in capsys.readouterr().out
