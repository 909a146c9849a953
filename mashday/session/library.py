"""The days kept in the sessions folder: which there are, which is meant, which is unfinished."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from mashday.engine.state import State
from mashday.schedule.model import Schedule
from mashday.session.faults import JournalFault, shown
from mashday.session.folder import NoSession, find_session, home_folder, in_folder, named, sessions_in
from mashday.session.frames import ENTRY_LINE, LARGEST_FILE_BYTES
from mashday.session.journal import Journal
from mashday.session.moved import Moved, noted, noted_beside, of_a_file_gone, where
from mashday.session.read_back import Unreadable
from mashday.session.session import look
from mashday.text import shell_word


@dataclass(frozen=True, slots=True)
class Day:
    """One day of the folder; `went_on` is where it was gone on with, if it was."""

    path: Path
    schedule: Schedule
    state: State
    rehearsed: bool
    damaged: bool = False
    went_on: Moved | None = None

    @property
    def unfinished(self) -> bool:
        """True if it can be taken up again."""
        return not self.state.is_over

    @property
    def was_begun(self) -> bool:
        """True if its first step was begun: else there is nothing to tell of it."""
        return self.state.started is not None


def days(folder: Path) -> Iterator[Day]:
    """The readable days of this folder, latest first, each read when it is asked for; files that are no day
    are left out."""
    for path in sessions_in(folder):
        try:
            schedule, state, recovered = look(path)
        except (Unreadable, JournalFault):
            continue
        yield Day(
            path,
            schedule,
            state,
            bool(recovered.header.get("rehearsed", False)),
            damaged=recovered.damage is not None,
            went_on=noted(path),
        )


def meant(folder: Path, name: str | None, *, unfinished: bool = False) -> Path:
    """The session meant by a path or the beginning of a name; left out: the latest real day, one that was
    never begun only where there is no other.

    With `unfinished`, the latest that can be taken up; a later one that cannot be read or went on elsewhere
    is never passed over for it. NoSession, with a sentence, if there is none.
    """
    if name is not None:
        return find_session(folder, name)
    kind = "unfinished day" if unfinished else "day"
    rehearsed, unbegun, readable = None, None, False
    for day in days(folder):
        readable = True
        if unfinished and (not day.unfinished or noted_beside(day.path)):
            continue
        if day.rehearsed:
            rehearsed = rehearsed or day.path
            continue
        if not day.was_begun:
            unbegun = unbegun or day.path
            continue
        if unfinished:
            _refuse_to_pass_over(folder, day)
        return day.path
    if unbegun is not None:
        return unbegun
    if rehearsed is not None:
        raise NoSession(f"There is no {kind} but a rehearsed one; name it to have it: {named(rehearsed)}")
    if not readable and sessions_in(folder):
        if unfinished:
            return sessions_in(folder)[0]
        unread = named(sessions_in(folder)[0])
        raise NoSession(f"No file in {folder} can be read as a day. See why with: mashday summary {unread}")
    to = of_a_file_gone(folder)
    if to is not None:
        raise NoSession(f"The file of the latest day is gone. {to}")
    _refuse_to_forget_home(folder, unfinished=unfinished)
    raise NoSession(f"There is no {kind} in {folder}. Begin one with: mashday run FILE{in_folder(folder)}")


def _refuse_to_pass_over(folder: Path, day: Day) -> None:
    """NoSession if the day meant is not surely this one."""
    to = where(day.path, Journal.read(day.path))
    if to is not None:
        raise NoSession(f"{day.path.stem}: {to}. To look at this one: mashday resume {named(day.path)}")
    known = sessions_in(folder)
    for path in known[: known.index(day.path)]:
        if noted(path) is not None:
            continue
        try:
            look(path)
        except (Unreadable, JournalFault) as fault:
            if _was_begun(path):
                raise NoSession(
                    f"The latest day cannot be read: {fault} Name the day that is meant, as in: "
                    f"mashday resume {named(day.path)}"
                ) from fault


def _refuse_to_forget_home(folder: Path, *, unfinished: bool) -> None:
    """NoSession, naming it, if the home folder keeps a day that another folder could not keep."""
    home = home_folder()
    if home is None or home.absolute() == folder.absolute():
        return
    for day in days(home):
        if not day.rehearsed and (day.unfinished or not unfinished) and not noted_beside(day.path):
            does = "resume" if unfinished else "summary"
            raise NoSession(
                f"There is no day in {shown(folder)}. What could not be kept there is in your home folder: "
                f"mashday {does} {shell_word(day.path)}"
            )


def _was_begun(path: Path) -> bool:
    """True if anything was entered: a file cut off while it was made holds no day."""
    try:
        with path.open("rb") as file:
            return ENTRY_LINE in file.read(LARGEST_FILE_BYTES)
    except OSError:
        return True
