"""The days past: told apart by a glance at their files, listed the latest first, each with its summary."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from mashday.engine.facts import DayEnded
from mashday.engine.state import State
from mashday.faces.moment import minutes
from mashday.faces.tui.start_page import Choice, Group, Listing, Offer, Page, Reading
from mashday.report import sugar
from mashday.schedule.model import Schedule
from mashday.session.faults import JournalFault, shown
from mashday.session.folder import sessions_in
from mashday.session.frames import ENTRY_LINE, LARGEST_FILE_BYTES
from mashday.session.journal import Journal
from mashday.session.read_back import Unreadable, read_back
from mashday.session.session import look, moments
from mashday.text import cleaned

MOST_LISTED = 100
UNREADABLE = (Unreadable, JournalFault)
"""What a session file that cannot be read is refused with."""
_KIND = re.compile(rb'^kind = "(.*)"$', re.MULTILINE)
_OF_AN_OPENING = frozenset({b"opened", b"pot known", b"units"})
"""The kinds of entries of a day that was opened and left before it was begun."""
_ENDED, _REHEARSED = b'\nkind = "day ended"\n', b"\nrehearsed = true\n"


@dataclass(frozen=True, slots=True)
class Kept:
    """The session files of a folder, the latest first: real days not ended, real days past, rehearsed.

    A day that was opened and left again, with nothing entered, is none of them.
    """

    open: tuple[Path, ...] = ()
    past: tuple[Path, ...] = ()
    rehearsed: tuple[Path, ...] = ()


def kept(folder: Path) -> Kept:
    """The session files of this folder by a glance at each, for reading them all in full takes too long.

    No text of a person stands alone on a line of such a file, so these lines cannot be forged by one.
    """
    opened, past, rehearsed = [], [], []
    for path in sessions_in(folder):
        try:
            with path.open("rb") as file:
                data = file.read(LARGEST_FILE_BYTES)
        except OSError:
            opened.append(path)
            continue
        header, _, entries = data.partition(ENTRY_LINE)
        if _REHEARSED in header:
            rehearsed.append(path)
        elif _ENDED in entries:
            past.append(path)
        elif not _is_only_opened(entries):
            opened.append(path)
    return Kept(tuple(opened), tuple(past), tuple(rehearsed))


def _is_only_opened(entries: bytes) -> bool:
    kinds = set(_KIND.findall(entries))
    return bool(kinds) and kinds <= _OF_AN_OPENING


def past_offer(days: Kept) -> Offer | None:
    """The one line that stands for all past days; None where there is none."""
    if not days.past and not days.rehearsed:
        return None
    told = f"{len(days.past)}, the last of {_date(days.past[0])}" if days.past else "none yet"
    return Offer(f"past days: {told}", opens=partial(past, days))


def past(days: Kept, *, rehearsed: bool = False) -> Page:
    """The list of past days, or of the rehearsed ones."""
    paths = days.rehearsed if rehearsed else days.past
    schedules: dict[str, Schedule] = {}
    offers = tuple(_line(path, schedules) for path in paths[:MOST_LISTED])
    what = "Rehearsed days, beside a simulated pot" if rehearsed else "Past days, the latest first"
    if len(paths) > MOST_LISTED:
        what += f" ({MOST_LISTED} of {len(paths)}; any other: mashday summary and its name)"
    return Listing(
        "rehearsed days" if rehearsed else "past days",
        (Group(what if offers else f"{what}: none yet.", offers),),
        other=partial(past, days, rehearsed=not rehearsed),
        other_is="real ones" if rehearsed else "rehearsed",
    )


def _line(path: Path, schedules: dict[str, Schedule]) -> Offer:
    try:
        day = read_back(Journal.read(path), path, schedules)
        if day.trouble is not None:
            raise Unreadable(day.trouble)
    except UNREADABLE as fault:
        return unreadable_offer(path, why_unreadable(fault, path))
    schedule, state = day.schedule, day.state
    name = f"{_date(path)}  {cleaned(schedule.name, 60)}"
    if not state.is_over:
        return Offer(f"go on with {name}", _facts(schedule, state), choice=Choice(str(path), resumes=True))
    return Offer(name, _facts(schedule, state), opens=partial(day_page, path))


def _facts(schedule: Schedule, state: State) -> tuple[str, ...]:
    """Gravity of the wash, alcohol, length, and how it ended where it did not run to its end."""
    end = next((entry for entry in reversed(state.log) if isinstance(entry.fact, DayEnded)), None)
    if end is None or not isinstance(end.fact, DayEnded):
        return ("", "", "", "left open")
    read = sugar.measured(schedule, state)
    began = state.started if state.started is not None else state.log[0].t
    return (
        "" if read.wash_gravity is None else f"wash {read.wash_gravity:.3f}",
        "" if read.abv_percent is None else f"{read.abv_percent:.1f} % vol",
        minutes((end.t - began) / 60.0),
        {"complete": "", "early": "ended early", "aborted": "given up"}[end.fact.how],
    )


def day_page(path: Path) -> Page:
    """The summary of the day in this file, or why it cannot be read."""
    from mashday.report.summary import summary  # noqa: PLC0415 - the first page stands sooner without it
    from mashday.report.words import summary_words  # noqa: PLC0415 - likewise

    try:
        schedule, state, recovered = look(path)
    except UNREADABLE as fault:
        return trouble_page(path, why_unreadable(fault, path))
    made = summary(
        schedule,
        state,
        at=moments(state),
        rehearsed=bool(recovered.header.get("rehearsed", False)),
    )
    told = summary_words(made, state.units or schedule.units)
    lines = [line.removeprefix("  ") for line in told.splitlines()]
    if recovered.damage is not None:
        lines = [cleaned(recovered.damage), "What can be believed:", "", *lines]
    return Reading(path.stem, tuple(lines))


def unreadable_offer(path: Path, why: str) -> Offer:
    """A session file that cannot be gone on with: named, with what is wrong; picking it tells what helps."""
    return Offer(f"{path.name} cannot be taken up", below=why, opens=partial(trouble_page, path, why))


def trouble_page(path: Path, why: str) -> Reading:
    """What is wrong with a session file, and what helps."""
    helps = "The file is plain text: an editor shows what was written down."
    return Reading(path.name, (why, "", helps, "", f"It lies in {cleaned(str(path.parent), 300)}"))


def why_unreadable(fault: BaseException, path: Path) -> str:
    """Why this session file cannot be read, in a sentence; it goes by its name alone."""
    return cleaned(str(fault).replace(shown(path), path.name))


def _date(path: Path) -> str:
    return path.name[:10]
