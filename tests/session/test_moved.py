"""Where a day went on: notes beside its file, the home folder, and two programs that go on at once."""

from __future__ import annotations

import os
import shlex
import shutil
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from days import BARLEY, temperature

from mashday.engine import intents
from mashday.session.clock import VIRTUAL_START, VirtualClock
from mashday.session.disk import REAL_IO, beside, locked
from mashday.session.faults import JournalFault
from mashday.session.folder import NoSession
from mashday.session.journal import Journal
from mashday.session.library import meant
from mashday.session.moved import Moved, note_where, noted, noted_beside
from mashday.session.read_back import OnlyToLookAt
from mashday.session.session import Session, begin, look, resume
from mashday.session.watched import taken_up


class Kitchen(VirtualClock):
    """A clock of a machine that has a name for its start."""

    def boot_id(self) -> str:
        return "kitchen"


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(Path, "home", lambda: tmp_path / "home")
    return tmp_path / "home" / "mashday"


def begun(folder: Path, clock: VirtualClock | None = None) -> Session:
    session = begin(BARLEY, clock or Kitchen(), folder=folder)
    session.send(intents.Start())
    session.send(intents.WriteNote("the first"))
    return session


def path_of(session: Session) -> Path:
    assert session.path is not None
    return session.path


def damaged(folder: Path) -> Path:
    session = begun(folder)
    session.close()
    path = path_of(session)
    path.write_bytes(path.read_bytes().replace(b"day started", b"day startle", 1))
    return path


def test_a_day_saved_under_its_own_old_name_did_not_go_on_elsewhere(tmp_path: Path) -> None:
    folder = tmp_path / "sessions"
    session = begun(folder)
    shutil.rmtree(folder)
    assert session.save_whole(folder) == path_of(session)
    session.send(intents.WriteNote("after that"))
    session.close()
    assert not beside(path_of(session), "moved").exists()
    assert meant(folder, None, unfinished=True) == path_of(session)
    again = taken_up(path_of(session), Kitchen())
    assert again.view_only == "" and again.state.notes[-1].text == "after that"
    again.close()


def test_a_note_that_names_its_own_file_says_nothing(tmp_path: Path) -> None:
    path = path_of(session := begun(tmp_path))
    session.close()
    for told in (path.name, str(path)):
        beside(path, "moved").write_text(f"{told}\n")
        assert noted(path) is None and not noted_beside(path)
    assert meant(tmp_path, None, unfinished=True) == path


def test_no_new_day_takes_a_name_that_has_a_note(tmp_path: Path) -> None:
    path = path_of(session := begun(tmp_path))
    session.save_whole(tmp_path / "stick")
    session.close()
    path.unlink()
    beside(path, "bak").unlink(missing_ok=True)
    assert path_of(begun(tmp_path)).name == path.name.replace(".toml", "-2.toml")


def test_in_one_folder_the_name_is_noted_alone_so_that_the_folder_may_be_moved(tmp_path: Path) -> None:
    folder = tmp_path / "two  blanks, a\N{COMBINING DIAERESIS}"
    path = damaged(folder)
    found = taken_up(path, Kitchen())
    new = found.save_whole(folder)
    found.send(intents.Abort(sure=True))
    found.close()
    assert beside(path, "moved").read_text() == f"{new.name}\n"
    folder.rename(tmp_path / "elsewhere")
    moved = tmp_path / "elsewhere"
    assert noted_beside(moved / path.name)
    with pytest.raises(NoSession, match="There is no unfinished day"):
        meant(moved, None, unfinished=True)


def test_a_path_is_told_so_that_it_can_be_pasted(tmp_path: Path) -> None:
    stick = tmp_path / "lock keeper's stick; touch x"
    path = path_of(session := begun(tmp_path / "kept"))
    new = session.save_whole(stick)
    session.close()
    told = taken_up(path, Kitchen()).view_only
    words = told.partition("mashday resume ")[2]
    assert shlex.split(words) == [str(new)]


def test_a_note_may_say_anything_and_acts_on_nothing(tmp_path: Path) -> None:
    path = path_of(session := begun(tmp_path))
    session.close()
    for told in (b"\x1b[2J\n", b"\xff\xfe\n", b"../../x\n", b"a" * 5000, b"\0\n", b"/dev/null\n"):
        beside(path, "moved").write_bytes(told)
        found = taken_up(path, Kitchen())
        assert (
            found.view_only.startswith("This day went on in another file") and found.view_only.isprintable()
        )
        assert str(Moved(None)).isprintable()


def test_a_day_whose_next_file_is_gone_is_not_passed_over_for_an_older_one(tmp_path: Path) -> None:
    begun(tmp_path, Kitchen(VIRTUAL_START - timedelta(days=6))).close()
    path = path_of(session := begun(tmp_path))
    new = session.save_whole(tmp_path)
    session.close()
    new.unlink()
    with pytest.raises(NoSession, match=f"{path.stem}: This day went on.*which is not there now"):
        meant(tmp_path, None, unfinished=True)
    assert taken_up(path, Kitchen()).can_go_on


def test_a_finished_day_that_went_on_holds_no_other_up(tmp_path: Path) -> None:
    older = path_of(one := begun(tmp_path, Kitchen(VIRTUAL_START - timedelta(days=1))))
    one.close()
    path = path_of(session := begun(tmp_path))
    new = session.save_whole(tmp_path)
    session.send(intents.Abort(sure=True))
    session.close()
    path.write_bytes(b"\0" * 40 + path.read_bytes()[40:])
    assert noted(path) == Moved(new)
    assert meant(tmp_path, None, unfinished=True) == older


# Days that are in the home folder, for their own could not keep them


def stale(folder: Path, home: Path) -> tuple[Path, Path]:
    """A file on a stick that was pulled out, with no note, and the one in which its day went on."""
    session = begun(folder)
    path = path_of(session)
    before = path.read_bytes()
    session.send(intents.WriteNote("while the stick was out"))
    new = session.save_whole(home)
    session.close()
    path.write_bytes(before)
    beside(path, "moved").unlink()
    return path, new


def test_what_went_on_in_the_home_folder_is_found_without_a_note(tmp_path: Path, home: Path) -> None:
    path, new = stale(tmp_path / "stick", home)
    with pytest.raises(OnlyToLookAt, match=f"Take it up with: mashday resume {new}"):
        resume(path, Kitchen())
    with pytest.raises(NoSession, match=f"Take it up with: mashday resume {new}"):
        meant(tmp_path / "stick", None, unfinished=True)
    assert not taken_up(path, Kitchen()).can_go_on
    resume(new, Kitchen()).close()


def test_another_day_in_the_home_folder_is_no_part_of_this_one(tmp_path: Path, home: Path) -> None:
    other = begun(home)
    for _ in range(9):
        other.send(intents.WriteNote("another day"))
    other.close()
    path = path_of(session := begun(tmp_path, Kitchen(VIRTUAL_START + timedelta(minutes=1))))
    session.close()
    assert meant(tmp_path, None, unfinished=True) == path
    resume(path, Kitchen()).close()


def test_where_the_folder_is_gone_the_day_in_the_home_folder_is_named(tmp_path: Path, home: Path) -> None:
    folder = tmp_path / "sessions"
    session = begun(folder)
    shutil.rmtree(folder)
    new = session.save_whole(home)
    session.close()
    with pytest.raises(NoSession, match=f"in your home folder: mashday resume {new}"):
        meant(folder, None, unfinished=True)
    with pytest.raises(NoSession, match=f"in your home folder: mashday summary {new}"):
        meant(folder, None)
    assert meant(home, None, unfinished=True) == new


# Two at once


def just_before_opening(monkeypatch: pytest.MonkeyPatch, happens: Callable[[], object]) -> None:
    opens = Journal.open

    def late(*arguments: object, **options: object) -> object:
        monkeypatch.setattr(Journal, "open", opens)
        happens()
        return opens(*arguments, **options)  # type: ignore[arg-type]

    monkeypatch.setattr(Journal, "open", late)


def test_a_day_that_went_elsewhere_while_its_lock_was_waited_for_is_not_taken_up(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    day = begun(tmp_path / "kept")
    path = path_of(day)
    new: list[Path] = []
    just_before_opening(monkeypatch, lambda: new.append(day.save_whole(tmp_path / "stick")))
    found = taken_up(path, Kitchen())
    assert str(new[0]) in found.view_only and not found.can_go_on
    day.close()


def test_no_look_goes_on_with_a_day_while_another_program_has_it(tmp_path: Path) -> None:
    found = taken_up(damaged(tmp_path), Kitchen())
    lock = locked(found.path or tmp_path, REAL_IO)
    with pytest.raises(JournalFault, match=f"is in use: process {os.getpid()}"):
        found.save_whole(tmp_path)
    os.close(lock)
    assert found.save_whole(tmp_path).is_file()
    found.close()


def test_no_look_goes_on_with_what_has_been_written_to_since(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    session = begun(tmp_path)
    session.close()
    path = path_of(session)

    def refused(*_: object, **__: object) -> None:
        raise JournalFault("the disk can only be read.")

    with monkeypatch.context() as here:
        here.setattr("mashday.session.session.Journal.open", refused)
        found = taken_up(path, Kitchen())
    assert found.can_go_on
    other = resume(path, Kitchen())
    other.send(intents.WriteNote("of the other one"))
    other.close()
    with pytest.raises(JournalFault, match="was written to meanwhile"):
        found.save_whole(tmp_path)
    assert sorted(one.name for one in tmp_path.glob("*.toml*")) == [path.name, f"{path.name}.lock"]
    found.tick()
    assert found.save_whole(tmp_path).is_file() and found.state.notes[-1].text == "of the other one"
    found.close()


@pytest.mark.parametrize("amiss", [b'kind = "of a newer kind"', b'kind = "step ended"'])
def test_what_is_only_to_be_looked_at_is_not_mended(tmp_path: Path, amiss: bytes) -> None:
    """An act of a kind unknown here, or one that does not follow, with an unfinished act behind it."""
    session = begun(tmp_path)
    session.send(temperature(20.0))
    session.close()
    path = path_of(session)
    tables = [*Journal.read(path).tables]
    path.unlink()
    last = {**tables[-1], "seq": tables[-1]["seq"] + 1, "act": tables[-1]["seq"] + 1}
    strange = {key: value for key, value in last.items() if key in ("seq", "act", "t", "at")}
    kind = amiss.decode().partition('"')[2].rstrip('"')
    more = {"step": 7, "how": "done"} if kind == "step ended" else {}
    with Journal.write_whole(
        tmp_path, "day", VIRTUAL_START.date(), session.header, [*tables, {**strange, "kind": kind, **more}]
    ) as journal:
        path = journal.path
    path.write_bytes(path.read_bytes() + b"[[entry]]\nseq = ")
    data = path.read_bytes()
    found = taken_up(path, Kitchen())
    assert found.view_only and path.read_bytes() == data
    assert not beside(path, "torn").exists()


def test_what_is_written_whole_is_of_todays_schema_throughout(tmp_path: Path) -> None:
    session = begun(tmp_path)
    session.header["schema"] = 0
    new = session.save_whole(tmp_path)
    session.close()
    assert look(new)[2].header["schema"] == 1


def test_a_note_to_nowhere_is_written_without_harm(tmp_path: Path) -> None:
    note_where(tmp_path / "gone" / "x.toml", tmp_path / "y.toml")
    assert not (tmp_path / "gone").exists()
