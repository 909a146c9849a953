"""The days past: all that can be read of a folder, grouped by pot, and what the last one says to change.

A function of these files alone. A file whose day went on in another is left out; one that cannot be read, or
was damaged, is named apart.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from mashday.engine.lessons import MOST_DAYS, learned
from mashday.engine.state import State
from mashday.report.pots import PotTaught
from mashday.schedule.model import Schedule
from mashday.session.faults import JournalFault
from mashday.session.folder import sessions_in
from mashday.session.frames import LARGEST_FILE_BYTES
from mashday.session.journal import Journal
from mashday.session.library import Day
from mashday.session.moved import noted
from mashday.session.read_back import Unreadable, read_back
from mashday.text import cleaned

LONGEST_CHANGE = 210
"""Characters of what is to be changed that are shown at the next start: three lines. Judgement."""
_CLOSES = b'\nkind = "closing line"\n'


@dataclass(frozen=True, slots=True)
class Unread:
    """A file that cannot be read, or not wholly."""

    path: Path


@dataclass(frozen=True, slots=True)
class ToChange:
    """What a day said is to be changed next time; `same_schedule` is false if only its pot is the same."""

    day: date
    text: str
    same_schedule: bool

    def __str__(self) -> str:
        """It in one line, cut where it is long."""
        of = "" if self.same_schedule else ", of another day in this pot"
        told = f"To change, as written on {self.day.isoformat()}{of}: {self.text}"
        return told if len(told) <= LONGEST_CHANGE else f"{told[: LONGEST_CHANGE - 3].rstrip()}..."


def kept(folder: Path, since: date | None = None) -> Iterator[Day | Unread]:
    """The days of this folder begun on `since` or later, real and rehearsed, the latest first."""
    loaded: dict[str, Schedule] = {}
    for path in sessions_in(folder):
        if since is not None and path.name[:10] < since.isoformat():
            continue
        to = noted(path)
        if to is not None and to.is_there:
            continue
        yield _day(path, loaded)


def _day(path: Path, loaded: dict[str, Schedule]) -> Day | Unread:
    try:
        recovered = Journal.read(path)
        day = read_back(recovered, path, loaded)
    except (Unreadable, JournalFault):
        return Unread(path)
    if recovered.damage is not None or day.trouble is not None:
        return Unread(path)
    return Day(path, day.schedule, day.state, bool(recovered.header.get("rehearsed", False)))


def pots_of(days: Iterable[Day | Unread]) -> tuple[PotTaught, ...]:
    """The pots of the real days that were begun, in the order of the days, each by its first `MOST_DAYS`."""
    found: dict[str, list[tuple[Schedule, State]]] = {}
    for day in days:
        if isinstance(day, Day) and day.was_begun and not day.rehearsed and noted(day.path) is None:
            found.setdefault(day.schedule.pot.name, []).append((day.schedule, day.state))
    return tuple(
        PotTaught(
            name,
            len(of_it),
            of_it[0][0],
            learned(reversed(of_it[:MOST_DAYS])),
            still_open=sum(not state.is_over for _, state in of_it),
        )
        for name, of_it in found.items()
    )


def to_change(folder: Path, schedule: Schedule) -> ToChange | None:
    """What the last real day of this schedule that says so, else of its pot, wants changed; None if none."""
    of_the_pot = None
    for path in sessions_in(folder):
        if not _closes(path) or noted(path) is not None:
            continue
        day = _day(path, {})
        text = "" if isinstance(day, Unread) or day.rehearsed else cleaned(day.state.closing_line("change"))
        if not text or isinstance(day, Unread):
            continue
        began = date.fromisoformat(path.name[:10])
        if day.schedule.name == schedule.name:
            return ToChange(began, text, same_schedule=True)
        if of_the_pot is None and day.schedule.pot.name == schedule.pot.name:
            of_the_pot = ToChange(began, text, same_schedule=False)
    return of_the_pot


def _closes(path: Path) -> bool:
    """True if a closing line was written, by a glance: reading every file in full takes too long."""
    try:
        with path.open("rb") as file:
            return _CLOSES in file.read(LARGEST_FILE_BYTES)
    except OSError:
        return False
