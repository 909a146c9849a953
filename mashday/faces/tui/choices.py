"""What the start screen offers: open days, the schedules of this folder, the samples, the days past."""

from __future__ import annotations

import re
import stat
from collections.abc import Iterator
from functools import partial
from itertools import islice
from pathlib import Path

from mashday.engine.prospect import prospect
from mashday.engine.state import State
from mashday.faces.moment import Moment, minutes
from mashday.faces.tui.past_days import UNREADABLE, Kept, kept, past_offer, unreadable_offer, why_unreadable
from mashday.faces.tui.schedule_page import fit, schedule_page
from mashday.faces.tui.start_page import Choice, Group, Listing, Offer, Page, Reading
from mashday.quantities import show
from mashday.schedule.door import LONGEST_FILE, BadSchedule, Problem, load
from mashday.schedule.model import Schedule
from mashday.schedule.samples import find, sample_names
from mashday.session.clock import Clock
from mashday.session.faults import shown
from mashday.session.known import known_pot
from mashday.session.moved import noted, noted_beside
from mashday.session.past import to_change
from mashday.session.read_back import goes_on
from mashday.session.session import look, moments
from mashday.text import cleaned

MOST_OPEN_DAYS, MOST_SCHEDULES, MOST_FILES = 12, 30, 500
"""Bounds of what is looked at before the first page stands."""
_MAY_BE_A_SCHEDULE = re.compile(rb"^[\s\[]*[\"']?(?:step|pot)\b", re.MULTILINE)
_OF_A_SCHEDULE = re.compile(rb"^\s*\[\[?\s*(?:step|pot)\s*\]", re.MULTILINE)
OTHERS = "the first of them; any other: mashday run and its name"
FIRST_USE = (
    "New here? Pick a sample: its number, then Enter (> marks the shortest day).",
    "Then 2 rehearses it by a simulated pot: nothing is heated, nothing at risk.",
)


def front(folder: Path, here: Path, clock: Clock) -> Listing:
    """The first page: what can be taken up or begun, of the sessions in `folder` and the schedules `here`."""
    days = kept(folder)
    opened = tuple(open_days(days, clock))
    own = tuple(own_schedules(folder, here, clock))
    samples = tuple(_samples(folder, clock))
    gone = past_offer(days)
    groups = (
        Group(_open_heading(days, opened), opened),
        Group("Schedules in this folder" + (f", {OTHERS}" if len(own) == MOST_SCHEDULES else ""), own),
        Group("Samples", samples),
        Group("Past", (gone,) if gone is not None else ()),
    )
    first_use = days == Kept() and not own
    return Listing(
        "mashday",
        tuple(group for group in groups if group.offers),
        above=FIRST_USE if first_use else (),
        marked=_shortest_sample() if first_use else 0,
    )


def _open_heading(days: Kept, opened: tuple[Offer, ...]) -> str:
    if len(days.open) > MOST_OPEN_DAYS:
        return f"Open days, the latest of {len(days.open)}; any other: mashday resume and its name"
    return "Open days" if len(opened) > 1 else "An open day"


def open_days(days: Kept, clock: Clock) -> Iterator[Offer]:
    """The real days that are not over, the latest first, with where each stands; then the damaged ones."""
    damaged = []
    for path in days.open[:MOST_OPEN_DAYS]:
        try:
            schedule, state, recovered = look(path)
        except UNREADABLE as fault:
            damaged.append(unreadable_offer(path, why_unreadable(fault, path)))
            continue
        if noted_beside(path):
            continue
        to = noted(path)
        wrong = str(to) if to is not None else recovered.damage
        if wrong is not None:
            below = cleaned(wrong.replace(shown(path), path.name))
            taken_up = Choice(str(path), resumes=True)
            damaged.append(Offer(f"look at {cleaned(schedule.name, 60)}", below=below, choice=taken_up))
        elif not state.is_over:
            yield _open_day(path, schedule, state, clock, recovered.held_by)
    yield from damaged


def _open_day(path: Path, schedule: Schedule, state: State, clock: Clock, held_by: str | None) -> Offer:
    from mashday.faces import meanwhile  # noqa: PLC0415 - the first page stands sooner where no day is open

    name, taken_up = cleaned(schedule.name, 60), Choice(str(path), resumes=True)
    if not state.log:
        return Offer(f"go on with {name}", below="not begun yet", choice=taken_up)
    at = moments(state)
    name += f", of {meanwhile.day_and_time(at(state.started or 0.0), clock.wall())}"
    if held_by is not None:
        where = f"It is open in another window ({held_by}): here it can be looked at."
        return Offer(f"look at {name}", below=where, choice=taken_up)
    back = goes_on(state, clock)
    told = meanwhile.standing(Moment(schedule, state, back.t, at), back)
    return Offer(f"go on with {name}", below=told, choice=taken_up)


def own_schedules(folder: Path, here: Path, clock: Clock) -> Iterator[Offer]:
    """The schedules in the folder `here`, those to be mended among them."""
    found = (_own(path, folder, clock) for path in sorted(here.glob("*.toml"))[:MOST_FILES])
    yield from islice((offer for offer in found if offer is not None), MOST_SCHEDULES)


def _own(path: Path, folder: Path, clock: Clock) -> Offer | None:
    """A schedule file, with what is wrong with it; None for a file that is no schedule at all."""
    name, written = cleaned(path.name, 60), _written(path)
    if written is None or not _MAY_BE_A_SCHEDULE.search(written):
        return None
    try:
        schedule = load(written)
    except BadSchedule as bad:
        if not _OF_A_SCHEDULE.search(written):
            return None
        return _to_mend(name, bad.problems)
    return _schedule_offer(f"{name}: {cleaned(schedule.name, 60)}", schedule, str(path), folder, clock)


def _written(path: Path) -> bytes | None:
    """What stands in a plain file, as far as a schedule may be long; None if it is none or cannot be read."""
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            return None
        with path.open("rb") as file:
            return file.read(LONGEST_FILE + 1)
    except OSError:
        return None


def _to_mend(name: str, problems: tuple[Problem, ...]) -> Offer:
    more = len(problems) - 1
    first = f"{cleaned(str(problems[0]), 160)}{f'; and {more} more' if more else ''}"
    return Offer(f"{name}: to mend first", below=first, opens=partial(_problems_page, name, problems))


def _problems_page(name: str, problems: tuple[Problem, ...]) -> Page:
    count = "One thing is" if len(problems) == 1 else f"{len(problems)} things are"
    rows = (f"{place:3d}  {cleaned(str(problem))}" for place, problem in enumerate(problems, 1))
    ending = "Mend them in an editor and save the file; this page then goes, and the day can be begun."
    return Reading(name, (f"{count} to mend in {name} before the day can be begun:", "", *rows, "", ending))


def _samples(folder: Path, clock: Clock) -> Iterator[Offer]:
    for name in sample_names():
        schedule = load(find(name)[1])
        yield _schedule_offer(cleaned(schedule.name, 60), schedule, name, folder, clock)


def _shortest_sample() -> int:
    """The place among the samples of the one with the shortest day."""
    ends = [prospect(load(find(name)[1]), State()).ends_minute for name in sample_names()]
    return ends.index(min(ends))


def _schedule_offer(text: str, schedule: Schedule, what: str, folder: Path, clock: Clock) -> Offer:
    plan = prospect(schedule, State())
    facts = (
        f"{show(plan.grist_kg, 'mass', schedule.units)} of grain",
        f"{show(plan.total_litres, 'volume', schedule.units)} of water",
        minutes(plan.ends_minute),
        fit(schedule, plan),
    )

    def opens() -> Page:
        known = known_pot(folder, schedule.pot.name)
        return schedule_page(schedule, what, known, clock.wall(), to_change(folder, schedule))

    return Offer(text, facts, opens=opens)
