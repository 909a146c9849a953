"""A session at its edges: files without entries, a second bad folder, doubts that lapse, held days."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest
from days import BARLEY, temperature

from mashday.engine import calls, intents
from mashday.engine import facts as f
from mashday.session.clock import VirtualClock
from mashday.session.disk import Disk
from mashday.session.faults import JournalFault
from mashday.session.library import days, meant
from mashday.session.session import Session, begin, look, resume

MORNING = datetime(2026, 10, 3, 10, 0, tzinfo=UTC)


class Kitchen(VirtualClock):
    """A clock of a real machine's boot that stands until it is moved."""

    def boot_id(self) -> str:
        return "this one"


def resting(folder: Path | None, clock: VirtualClock) -> Session:
    """A day six minutes into its rest, read at 62.8 C."""
    session = begin(BARLEY, clock, folder=folder)
    session.send(intents.Start())
    for intent in (intents.Done(sure=True), temperature(69.0), intents.Done(), intents.Done()):
        session.send(intent)
    clock.advance(360.0)
    session.send(temperature(62.8))
    assert session.state.step == 4
    return session


def path_of(session: Session) -> Path:
    assert session.path is not None
    return session.path


def header_only(folder: Path) -> Path:
    """A session file as a kill right after its creation leaves it."""
    session = begin(BARLEY, Kitchen(MORNING), folder=folder)
    session.close()
    path = path_of(session)
    data = path.read_bytes()
    path.write_bytes(data[: data.index(b"[[entry]]")])
    return path


def test_a_file_without_any_entry_is_taken_up_as_a_day_not_begun(tmp_path: Path) -> None:
    path = header_only(tmp_path)
    assert [day.unfinished for day in days(tmp_path)] == [True]
    session = resume(meant(tmp_path, None, unfinished=True), Kitchen(MORNING, elapsed=50.0))
    assert session.state.phase == "idle"
    opened = session.state.log[0].fact
    assert isinstance(opened, f.Opened) and (opened.how, opened.away_seconds) == ("new", 0.0)
    session.send(intents.Start())
    session.close()
    assert look(path)[1] == session.state


def test_a_first_entry_torn_off_is_set_aside_and_the_day_begins(tmp_path: Path) -> None:
    path = header_only(tmp_path)
    with path.open("ab") as file:
        file.write(b"[[entry]]\nseq = 1\nact = 1\nmore")
    session = resume(path, Kitchen(MORNING))
    assert session.torn is not None and session.state.phase == "idle"
    session.close()


def test_a_doubt_lapses_with_the_next_thing_that_is_said() -> None:
    session = resting(None, Kitchen(MORNING))
    assert session.send(temperature(95.0)).doubt
    assert session.send(intents.WriteNote("looked again")).entries
    assert session.send(intents.KeepIt()).refused == "Nothing waits for that answer."
    assert [r.metric for r in session.state.valid("temperature", 4)] == [62.8]


def test_a_doubted_reading_is_kept_or_forgotten_by_a_word() -> None:
    session = resting(None, Kitchen(MORNING))
    session.send(temperature(95.0))
    assert session.send(intents.Wrong()).entries == () and session.doubted is None
    session.send(temperature(95.0))
    kept = session.send(intents.KeepIt()).entries[0].fact
    assert isinstance(kept, f.ReadingTaken) and kept.kept and kept.celsius == 95.0


def test_what_is_kept_counts_from_when_it_was_kept() -> None:
    clock = Kitchen(MORNING)
    session = resting(None, clock)
    session.send(temperature(95.0))
    clock.advance(30.0)
    assert session.send(intents.KeepIt()).entries[0].t == 390.0


def test_what_was_doubted_is_kept_for_two_minutes_and_no_longer() -> None:
    for seconds, kept in ((120.0, True), (121.0, False)):
        clock = VirtualClock()
        session = resting(None, clock)
        clock.advance(360)
        assert session.send(temperature(75.0)).doubt is not None
        clock.advance(seconds)
        outcome = session.send(intents.KeepIt())
        assert bool(outcome.entries) is kept
        assert kept or outcome.refused == "That was asked 2 min ago; enter it again."
        assert session.send(intents.KeepIt()).refused == "Nothing waits for that answer."


def test_a_rehearsed_day_keeps_a_doubt_for_as_long_as_a_person_has() -> None:
    clock = VirtualClock()
    session = begin(BARLEY, clock, folder=None, rehearsed=True, seed=1, rate=60.0)
    session.send(intents.Start())
    assert session.send(intents.Skip()).doubt is not None
    clock.advance(60.0 * 60.0)  # derived: a minute of the person's at sixty times the speed
    assert session.send(intents.KeepIt()).entries


def test_a_tick_writes_only_when_something_begins(tmp_path: Path) -> None:
    clock = Kitchen(MORNING)
    session = resting(tmp_path, clock)
    before = path_of(session).read_bytes()
    clock.advance(60.0)
    assert session.tick().entries == ()
    assert path_of(session).read_bytes() == before
    clock.advance(20 * 60.0)
    session.send(temperature(62.7))
    clock.advance(20 * 60.0)
    session.send(temperature(62.6))
    clock.advance(13 * 60.0)
    assert [entry.fact for entry in session.tick().entries] == [
        f.StepEnded(4, "by itself"),
        f.StepBegun(5, True),
    ]
    session.close()
    assert look(path_of(session))[1] == session.state


def test_entries_of_one_act_share_its_number_and_its_moment() -> None:
    clock = Kitchen(MORNING)
    session = resting(None, clock)
    clock.advance(600.0)
    entries = session.send(temperature(60.5)).entries
    assert len(entries) > 3 and {entry.act for entry in entries} == {entries[0].seq}
    assert {entry.t for entry in entries} == {960.0}
    assert {entry.at for entry in entries} == {datetime(2026, 10, 3, 10, 16, tzinfo=UTC)}


class BadDisk(Disk):
    """Writes nothing."""

    def fsync(self, descriptor: int) -> None:
        raise OSError(5, "Input/output error")


def test_a_second_folder_that_fails_too_leaves_the_day_unsaved_and_going(tmp_path: Path) -> None:
    clock = Kitchen(MORNING)
    session = resting(tmp_path / "first", clock)
    assert session._journal is not None
    session._journal._io = BadDisk()
    session.send(intents.WriteNote("lost"))
    assert session.not_saved is not None
    (tmp_path / "file").write_text("no folder")
    with pytest.raises(JournalFault):
        session.save_whole(tmp_path / "file")
    assert session.not_saved is not None
    session.send(intents.WriteNote("still going"))
    again = session.save_whole(tmp_path / "third")
    session.close()
    assert [note.text for note in look(again)[1].notes] == ["lost", "still going"]


def test_what_was_not_saved_is_not_in_the_old_file(tmp_path: Path) -> None:
    session = resting(tmp_path, Kitchen(MORNING))
    before = look(path_of(session))[1]
    assert session._journal is not None
    session._journal._io = BadDisk()
    for text in ("one", "two"):
        session.send(intents.WriteNote(text))
    old = look(path_of(session))[1]
    assert [note.text for note in old.notes] in ([], ["one"]) and old.readings == before.readings
    session.close()


def test_a_saved_day_is_taken_up_from_the_other_folder(tmp_path: Path) -> None:
    clock = Kitchen(MORNING)
    session = resting(tmp_path / "first", clock)
    session.send(intents.Undo())
    session.send(temperature(62.5))
    path = session.save_whole(tmp_path / "second")
    session.close()
    clock.advance(100.0)
    again = resume(path, clock)
    assert again.t() == 460.0
    assert again.state.log[:-1] == session.state.log
    again.close()


def test_a_held_day_is_taken_up_held_and_its_time_has_not_run(tmp_path: Path) -> None:
    clock = Kitchen(MORNING)
    session = resting(tmp_path, clock)
    session.send(intents.Hold())
    left = calls.remaining_seconds(session.schedule, session.state, session.t())
    session.close()
    clock.advance(3 * 3600.0)
    again = resume(path_of(session), clock)
    assert again.state.phase == "held"
    assert calls.remaining_seconds(again.schedule, again.state, again.t()) == left
    again.send(intents.Resume())
    assert calls.remaining_seconds(again.schedule, again.state, again.t()) == left
    again.close()


def test_a_day_with_things_taken_back_is_taken_up_as_it_stood(tmp_path: Path) -> None:
    clock = Kitchen(MORNING)
    session = resting(tmp_path, clock)
    session.send(temperature(61.0))
    session.send(intents.TakeRemedy(1))
    for _ in range(2):
        session.send(intents.Undo())
    session.close()
    again = resume(path_of(session), clock)
    assert again.state.offers == session.state.offers == ()
    assert again.state.undone == ("remedy taken", f"reading {session.state.readings[-1].number}, 61.0 C")
    again.close()


def test_taking_a_day_up_twice_counts_the_time_once(tmp_path: Path) -> None:
    clock = Kitchen(MORNING)
    session = resting(tmp_path, clock)
    session.close()
    for seconds in (100.0, 250.0):
        clock.advance(seconds)
        session = resume(path_of(session), clock)
        session.close()
    assert session.t() == 710.0
    away = [e.fact.away_seconds for e in session.state.log if isinstance(e.fact, f.Opened)]
    assert away == [0.0, 100.0, 250.0]
