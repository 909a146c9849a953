"""A day that is only looked at: it follows the one who has it, refuses everything, and says why."""

from __future__ import annotations

import os
from datetime import timedelta
from pathlib import Path

import pytest
from days import BARLEY, temperature

from mashday.engine import facts as f
from mashday.engine import intents
from mashday.session.clock import VIRTUAL_START, VirtualClock
from mashday.session.disk import beside
from mashday.session.faults import JournalFault
from mashday.session.folder import NoSession
from mashday.session.library import meant
from mashday.session.read_back import Unreadable
from mashday.session.session import Session, begin, look, resume
from mashday.session.watched import HOLDER_SECONDS, Watched, taken_up


class Kitchen(VirtualClock):
    """A clock of a machine that has a name for its start."""

    def boot_id(self) -> str:
        return "kitchen"


def in_its_rest(folder: Path, clock: VirtualClock) -> Session:
    """A day at the beginning of its rest."""
    session = begin(BARLEY, clock, folder=folder)
    for intent in (
        intents.Start(),
        intents.Done(sure=True),
        temperature(69.0),
        intents.Done(),
        intents.Done(),
    ):
        session.send(intent)
    assert session.state.step == 4
    return session


def path_of(session: Session) -> Path:
    assert session.path is not None
    return session.path


def test_a_day_that_another_has_is_looked_at_and_says_who_has_it(tmp_path: Path) -> None:
    clock = Kitchen()
    day = in_its_rest(tmp_path, clock)
    data = path_of(day).read_bytes()
    look_on = taken_up(path_of(day), clock)
    assert f"{path_of(day).name} is in use: process {os.getpid()}, since" in look_on.view_only
    assert look_on.state == day.state
    refused = look_on.send(intents.WriteNote("from the kitchen"))
    assert refused.refused is not None and refused.refused.startswith("This is only a look.")
    assert path_of(day).read_bytes() == data and look_on.path == day.path
    day.close()


def test_what_is_written_is_followed_to_the_second(tmp_path: Path) -> None:
    clock = Kitchen()
    day = in_its_rest(tmp_path, clock)
    look_on = taken_up(path_of(day), clock)
    assert not look_on.has_news and not look_on.tick().entries
    for minute in range(4):
        clock.advance(60.0)
        day.send(temperature(63.0 + minute / 10.0))
        assert look_on.has_news
        outcome = look_on.tick()
        assert [type(entry.fact) for entry in outcome.entries] == [f.ReadingTaken]
        assert outcome.before is not None and outcome.before.seq == day.state.seq - 1
        assert look_on.state == day.state and look_on.t() == day.t()
    clock.advance(61.5)
    assert look_on.t() == day.t()
    day.send(intents.Hold())
    clock.advance(30.0)
    look_on.tick()
    assert look_on.state.phase == "held"
    day.close()


def test_when_its_holder_is_gone_it_says_so_and_the_day_can_be_taken_up(tmp_path: Path) -> None:
    clock = Kitchen()
    day = in_its_rest(tmp_path, clock)
    look_on = taken_up(path_of(day), clock)
    day.close()
    clock.advance(HOLDER_SECONDS)
    assert look_on.has_news
    look_on.tick()
    assert look_on.view_only == (
        f"Nobody has this day open now. Take it up with: mashday resume {path_of(day)}"
    )
    again = taken_up(path_of(day), clock)
    assert again.view_only == ""
    clock.advance(HOLDER_SECONDS)
    look_on.tick()
    assert f"is in use: process {os.getpid()}" in look_on.view_only
    assert look_on.state == again.state
    again.close()


def test_a_day_of_another_program_cannot_be_written_elsewhere_by_who_looks_on(tmp_path: Path) -> None:
    day = in_its_rest(tmp_path, Kitchen())
    look_on = taken_up(path_of(day), Kitchen())
    with pytest.raises(JournalFault, match="only a look"):
        look_on.save_whole(tmp_path / "elsewhere")
    assert not (tmp_path / "elsewhere").exists()
    day.close()


def test_a_rehearsed_day_that_another_has_stands_at_its_last_entry(tmp_path: Path) -> None:
    day = begin(BARLEY, VirtualClock(), folder=tmp_path, rehearsed=True)
    day.send(intents.Start())
    own = VirtualClock()
    look_on = taken_up(path_of(day), own)
    own.advance(600.0)
    assert look_on.t() == day.state.t
    day.close()


def damaged(session: Session) -> Path:
    """The file of a day that was closed, one of its entries changed."""
    session.close()
    path = path_of(session)
    data = path.read_bytes()
    assert data.count(b'"mash"') > 0 or data.count(b"step begun") > 0
    path.write_bytes(data.replace(b"step begun", b"step begin", 1))
    return path


def test_a_damaged_day_is_looked_at_and_goes_on_in_a_new_file(tmp_path: Path) -> None:
    clock = Kitchen()
    day = in_its_rest(tmp_path, clock)
    clock.advance(300.0)
    day.send(intents.WriteNote("after the copy"))
    path = damaged(day)
    data = path.read_bytes()
    clock.advance(60.0)
    found = taken_up(path, clock)
    assert found.view_only.startswith(f"Entry 3 of {path.name} was changed after it was written")
    assert "With the copy beside it (.bak)" in found.view_only
    assert found.state == day.state
    t = found.t()
    assert t == pytest.approx(day.state.t + 60.0)
    assert found.send(intents.WriteNote("too early")).refused is not None
    new = found.save_whole(tmp_path)
    assert new.name == path.name.replace(".toml", "-2.toml")
    assert found.view_only == "" and found.path == new
    assert found.send(intents.WriteNote("gone on")).entries
    assert found.t() == t
    found.close()
    assert path.read_bytes() == data
    _, state, recovered = look(new)
    assert recovered.damage is None
    assert [note.text for note in state.notes] == ["after the copy", "gone on"]
    opened = [entry.fact for entry in state.log if isinstance(entry.fact, f.Opened)]
    assert [one.how for one in opened] == ["new", "exact"] and opened[1].away_seconds == 60.0


def test_without_a_copy_what_stands_before_the_damage_goes_on(tmp_path: Path) -> None:
    clock = Kitchen()
    path = damaged(in_its_rest(tmp_path, clock))
    beside(path, "bak").unlink()
    found = taken_up(path, clock)
    assert "Before it one entry is sound" in found.view_only
    assert found.state.seq == 1
    found.save_whole(tmp_path / "elsewhere")
    assert found.state.seq == 2 and found.view_only == ""
    found.close()


def test_a_new_file_that_cannot_be_written_leaves_it_a_look(tmp_path: Path) -> None:
    found = taken_up(damaged(in_its_rest(tmp_path, Kitchen())), Kitchen())
    (tmp_path / "file").write_text("x")
    with pytest.raises(JournalFault, match="is no folder"):
        found.save_whole(tmp_path / "file")
    assert found.view_only.startswith("Entry 3")


def test_the_clock_of_a_damaged_day_left_two_days_ago_stands(tmp_path: Path) -> None:
    path = damaged(in_its_rest(tmp_path, Kitchen()))

    class Restarted(VirtualClock):
        def boot_id(self) -> str:
            return "another start"

    clock = Restarted(VIRTUAL_START + timedelta(days=2))
    found = taken_up(path, clock)
    clock.advance(60.0)
    assert found.t() == found.state.t


def test_a_file_damaged_under_a_look_is_said_and_what_was_seen_stays(tmp_path: Path) -> None:
    clock = Kitchen()
    day = in_its_rest(tmp_path, clock)
    look_on = taken_up(path_of(day), clock)
    seen = look_on.state
    damaged(day)
    beside(path_of(day), "bak").unlink()
    look_on.tick()
    assert look_on.state == seen
    assert look_on.view_only.startswith("Entry 3 of ")


def test_a_file_that_vanishes_under_a_look_is_said_and_what_was_seen_stays(tmp_path: Path) -> None:
    day = in_its_rest(tmp_path, Kitchen())
    look_on = taken_up(path_of(day), Kitchen())
    day.close()
    path_of(day).unlink()
    look_on.tick()
    assert "it is not there" in look_on.view_only and look_on.state == day.state


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write everywhere")
def test_a_day_that_may_not_be_written_is_looked_at(tmp_path: Path) -> None:
    day = in_its_rest(tmp_path, Kitchen())
    day.close()
    path_of(day).chmod(0o400)
    assert "it is not allowed" in taken_up(path_of(day), Kitchen()).view_only


def test_what_holds_no_day_or_is_over_is_refused_and_not_looked_at(tmp_path: Path) -> None:
    day = in_its_rest(tmp_path, Kitchen())
    day.send(intents.Abort(sure=True))
    day.close()
    with pytest.raises(Unreadable, match="is over"):
        taken_up(path_of(day), Kitchen())
    with pytest.raises(JournalFault, match="it is not there"):
        taken_up(tmp_path / "nothing.toml", Kitchen())
    (tmp_path / "other.toml").write_text("[tool]\n")
    with pytest.raises(JournalFault, match="does not begin as a session file does"):
        taken_up(tmp_path / "other.toml", Kitchen())


def test_a_sound_day_is_taken_up_and_no_look(tmp_path: Path) -> None:
    day = in_its_rest(tmp_path, Kitchen())
    day.close()
    again = taken_up(path_of(day), Kitchen())
    assert not isinstance(again, Watched) and again.view_only == ""
    again.close()
    resume(path_of(day), Kitchen()).close()


def unopenable(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every opening for writing fails from here on, as on a disk that can only be read."""

    def refused(*_: object, **__: object) -> None:
        raise JournalFault("the disk can only be read.")

    monkeypatch.setattr("mashday.session.session.Journal.open", refused)


def test_a_day_that_cannot_be_opened_and_is_anothers_is_not_gone_on_with(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    day = in_its_rest(tmp_path, Kitchen())
    unopenable(monkeypatch)
    look_on = taken_up(path_of(day), Kitchen())
    assert f"is in use: process {os.getpid()}" in look_on.view_only and not look_on.can_go_on
    day.close()
    assert taken_up(path_of(day), Kitchen()).can_go_on


def test_a_day_that_is_over_is_not_gone_on_with_whatever_is_wrong_with_its_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    day = in_its_rest(tmp_path, Kitchen())
    day.send(intents.WriteNote("the last one"))
    day.send(intents.Abort(sure=True))
    path = damaged(day)
    look_on = taken_up(path, Kitchen())
    assert look_on.view_only.startswith("Entry 3") and look_on.state.phase == "aborted"
    assert not look_on.can_go_on
    path.write_bytes(path.read_bytes().replace(b"step begin", b"step begun", 1))
    unopenable(monkeypatch)
    with pytest.raises(Unreadable, match="is over"):
        taken_up(path, Kitchen())


def test_a_rehearsed_day_that_is_damaged_is_looked_at_and_not_gone_on_with(tmp_path: Path) -> None:
    day = begin(BARLEY, VirtualClock(), folder=tmp_path, rehearsed=True)
    day.send(intents.Start())
    day.send(intents.WriteNote("the last one"))
    clock = VirtualClock()
    look_on = taken_up(damaged(day), clock)
    clock.advance(60.0)
    assert look_on.t() == look_on.state.t and not look_on.can_go_on
    with pytest.raises(JournalFault, match="only a look"):
        look_on.save_whole(tmp_path)


def test_what_is_not_followed_any_more_is_not_called_in_use(tmp_path: Path) -> None:
    clock = Kitchen()
    day = in_its_rest(tmp_path, clock)
    look_on = taken_up(path_of(day), clock)
    data = path_of(day).read_bytes()
    path_of(day).write_bytes(data.replace(b"step begun", b"step begin", 1))
    beside(path_of(day), "bak").unlink()
    look_on.tick()
    clock.advance(HOLDER_SECONDS)
    assert not look_on.has_news
    look_on.tick()
    assert look_on.view_only.startswith("Entry 3 of ") and "not followed any more" in look_on.view_only
    day.close()


def test_of_two_who_look_at_a_damaged_day_one_goes_on_with_it(tmp_path: Path) -> None:
    path = damaged(in_its_rest(tmp_path, Kitchen()))
    one, other = taken_up(path, Kitchen()), taken_up(path, Kitchen())
    new = one.save_whole(tmp_path)
    with pytest.raises(JournalFault, match=f"went on in another file.*{new.name}"):
        other.save_whole(tmp_path)
    one.close()
    third = taken_up(path, Kitchen())
    assert third.view_only == f"This day went on in another file. Take it up with: mashday resume {new}"
    assert not third.can_go_on
    new.unlink()
    fourth = taken_up(path, Kitchen())
    assert fourth.view_only == f"This day went on in another file, which is not there now: {new}"
    assert fourth.can_go_on and fourth.save_whole(tmp_path).is_file()


def test_a_day_saved_elsewhere_is_followed_to_its_new_place_by_its_name_alone(tmp_path: Path) -> None:
    clock = Kitchen()
    day = in_its_rest(tmp_path / "kept", clock)
    old = path_of(day)
    look_on = taken_up(old, clock)
    new = day.save_whole(tmp_path / "elsewhere")
    clock.advance(HOLDER_SECONDS)
    look_on.tick()
    assert look_on.view_only == f"This day went on in another file. Take it up with: mashday resume {new}"
    day.close()
    with pytest.raises(NoSession, match=f"went on in another file.*{new}"):
        meant(tmp_path / "kept", None, unfinished=True)


def test_a_day_gone_on_with_in_the_same_folder_is_not_meant_any_more(tmp_path: Path) -> None:
    path = damaged(in_its_rest(tmp_path, Kitchen()))
    found = taken_up(path, Kitchen())
    new = found.save_whole(tmp_path)
    assert meant(tmp_path, None, unfinished=True) == new
    found.send(intents.Abort(sure=True))
    found.close()
    with pytest.raises(NoSession, match="There is no unfinished day"):
        meant(tmp_path, None, unfinished=True)


def test_no_later_day_that_cannot_be_read_is_passed_over_for_an_older_one(tmp_path: Path) -> None:
    older = in_its_rest(tmp_path, Kitchen())
    older.close()
    later = in_its_rest(tmp_path, Kitchen(VIRTUAL_START + timedelta(days=1)))
    later.close()
    path_of(later).write_bytes(b"\0" * 40 + path_of(later).read_bytes()[40:])
    beside(path_of(later), "bak").unlink()
    with pytest.raises(
        NoSession, match=f"The latest day cannot be read.*mashday resume {path_of(older).stem}"
    ):
        meant(tmp_path, None, unfinished=True)
    assert meant(tmp_path, path_of(older).stem, unfinished=True) == path_of(older)
    path_of(later).write_bytes(b"[session]\nschema = 1\n")
    assert meant(tmp_path, None, unfinished=True) == path_of(older)


def test_a_day_whose_file_is_gone_is_told_where_it_went_on(tmp_path: Path) -> None:
    day = in_its_rest(tmp_path / "kept", Kitchen())
    old = path_of(day)
    old.unlink()
    new = day.save_whole(tmp_path / "elsewhere")
    day.close()
    with pytest.raises(NoSession, match=f"went on in another file. Take it up with: mashday resume {new}"):
        meant(tmp_path / "kept", None, unfinished=True)


def test_a_note_that_a_full_disk_left_empty_still_says_that_the_day_went_on(tmp_path: Path) -> None:
    day = in_its_rest(tmp_path, Kitchen())
    day.close()
    beside(path_of(day), "moved").touch()
    look_on = taken_up(path_of(day), Kitchen())
    assert look_on.view_only.startswith("This day went on in another file.")
    assert "look into" in look_on.view_only
    with pytest.raises(NoSession, match="went on in another file"):
        meant(tmp_path, None, unfinished=True)


def test_a_file_that_was_emptied_is_found_by_its_copy(tmp_path: Path) -> None:
    day = in_its_rest(tmp_path, Kitchen())
    day.close()
    path_of(day).write_bytes(b"")
    assert meant(tmp_path, None, unfinished=True) == path_of(day)
    found = taken_up(path_of(day), Kitchen())
    assert found.view_only.startswith(f"{path_of(day).name} is empty. In the copy beside it (.bak)")
    assert found.can_go_on and found.state.step == 4


def test_where_nothing_can_be_read_the_latest_file_says_why_itself(tmp_path: Path) -> None:
    day = in_its_rest(tmp_path, Kitchen())
    day.close()
    data = path_of(day).read_bytes()
    path_of(day).write_bytes(b"[session]\nschema = 9\n" + data)
    beside(path_of(day), "bak").unlink()
    assert meant(tmp_path, None, unfinished=True) == path_of(day)
