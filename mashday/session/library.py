"""The days kept in the sessions folder: which there are, which is meant, which is unfinished."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from mashday.engine.state import State
from mashday.schedule.model import Schedule
from mashday.session.faults import JournalFault
from mashday.session.folder import NoSession, find_session, sessions_in
from mashday.session.read_back import Unreadable
from mashday.session.session import look


@dataclass(frozen=True, slots=True)
class Day:
    """One day of the folder."""

    path: Path
    schedule: Schedule
    state: State
    rehearsed: bool
    damaged: bool = False

    @property
    def unfinished(self) -> bool:
        """True if it can be taken up again."""
        return self.state.phase not in ("complete", "aborted")


def days(folder: Path) -> Iterator[Day]:
    """The readable days of this folder, latest first, each read when it is asked for; files that are no day
    are left out."""
    for path in sessions_in(folder):
        try:
            schedule, state, recovered = look(path)
        except (Unreadable, JournalFault):
            continue
        rehearsed = bool(recovered.header.get("rehearsed", False))
        yield Day(path, schedule, state, rehearsed, damaged=recovered.damage is not None)


def meant(folder: Path, name: str | None, *, unfinished: bool = False) -> Path:
    """The session meant by a path or the beginning of a name; left out: the latest real day.

    With `unfinished`, the latest that can be taken up. NoSession, with a sentence, if there is none.
    """
    if name is not None:
        return find_session(folder, name)
    kind = "unfinished day" if unfinished else "day"
    rehearsed, readable = None, False
    for day in days(folder):
        readable = True
        if unfinished and not day.unfinished:
            continue
        if not day.rehearsed:
            return day.path
        rehearsed = rehearsed or day.path
    if rehearsed is not None:
        raise NoSession(f"There is no {kind} but a rehearsed one; name it to have it: {rehearsed.stem}")
    if not readable and sessions_in(folder):
        unread = sessions_in(folder)[0].stem
        raise NoSession(f"No file in {folder} can be read as a day. See why with: mashday summary {unread}")
    raise NoSession(f"There is no {kind} in {folder}. Begin one with: mashday run FILE")
