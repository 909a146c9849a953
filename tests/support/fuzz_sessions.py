"""What is done with session files of another hand: looked at, told, listed and taken up."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path
from random import Random

from fuzz import Area, Outcome, shown
from fuzz_days import MANY_KINDS, anything, lived, told_of, view_texts
from fuzz_forged import Hostile, changed_file, hostile_entries
from fuzz_schedules import strict_json

from mashday.commands import shared
from mashday.engine.state import State
from mashday.faces import tell
from mashday.faces.tui.choices import open_days
from mashday.faces.tui.paint import Shown, paint
from mashday.faces.tui.past_days import kept, past
from mashday.faces.tui.rows import text_of
from mashday.faces.tui.start_page import Listing, Page, Reading, listing_rows, reading_rows
from mashday.schedule.model import Schedule
from mashday.session.clock import VIRTUAL_START, FastClock, VirtualClock
from mashday.session.faults import JournalFault
from mashday.session.frames import Recovered
from mashday.session.journal import Journal
from mashday.session.known import known_pot
from mashday.session.library import days
from mashday.session.read_back import Unreadable
from mashday.session.rehearsal import Rehearsal
from mashday.session.session import look, moments
from mashday.session.watched import taken_up

NAME = "2026-10-03-lock-seven.toml"
BESIDE = (".bak", ".torn", ".lock", ".moved")
"""What may come to lie beside a session file that is taken up."""
LATER = (0.0, 30.0, 3600.0, 90000.0)


def met(found: Hostile, folder: Path) -> Outcome:
    """A session file looked at, told, listed and taken up, as far as it can be believed."""
    path = _laid(found, folder)
    chance = Random(found.seed)
    try:
        schedule, state, recovered = look(path)
    except (Unreadable, JournalFault) as why:
        _refused(why)
        _listed(folder, chance)
        _clean(folder, path)
        return "refused"
    kinds = {type(entry.fact) for entry in state.log}
    _summary(schedule, state, recovered)
    what = chance.randint(0, 3)
    if what == 0:
        _listed(folder, chance)
    elif what == 1:
        _shown_at(schedule, state, chance)
    else:
        _taken_up(folder, path, chance)
    _clean(folder, path)
    if recovered.damage is not None:
        return "damaged"
    return "a long day" if len(kinds) >= MANY_KINDS else "a short day"


def _laid(found: Hostile, folder: Path) -> Path:
    path = folder / NAME
    path.write_bytes(found.data)
    if found.copy is not None:
        path.with_name(f"{NAME}.bak").write_bytes(found.copy)
    return path


def _clean(folder: Path, path: Path) -> None:
    """Nothing but the file and what belongs beside it lies in the folder; it is emptied for the next case."""
    for one in folder.iterdir():
        stem = one.name
        for ending in BESIDE:
            stem = stem.removesuffix(ending)
        assert stem.removeprefix(".") == path.name, one.name
        one.unlink()


def _refused(why: Exception) -> None:
    text = str(why)
    assert text.strip() and len(text) < 1500, text
    shown(text)


def _summary(schedule: Schedule, state: State, recovered: Recovered) -> None:
    rehearsed = bool(recovered.header.get("rehearsed", False))
    for words in (recovered.damage, recovered.torn, recovered.held_by):
        shown(words or "")
    for units in (None, "us"):
        shown(shared.summary_text(schedule, state, rehearsed=rehearsed, units=units))
    strict_json(shared.summary_json(schedule, state, rehearsed=rehearsed))


def _listed(folder: Path, chance: Random) -> None:
    """The folder as the start screen shows it, with what stands behind each line."""
    clock = VirtualClock(VIRTUAL_START + timedelta(seconds=chance.choice(LATER)))
    lying = kept(folder)
    offers = tuple(open_days(lying, clock))
    page = past(lying, rehearsed=bool(lying.rehearsed))
    assert isinstance(page, Listing)
    pages: list[Page] = [page]
    for offer in (*offers, *page.offers):
        shown(offer.text, *offer.facts, offer.below)
        if offer.opens is not None:
            pages.append(offer.opens())
    rows, _ = listing_rows(page, 0, 78)
    shown(*rows)
    for one in pages:
        if isinstance(one, Reading):
            shown(one.title, *reading_rows(one, 78))
            shown(text_of(paint(Shown(page_title=one.title, page=reading_rows(one, 78)), 80, 24)))
    for day in days(folder):
        known_pot(folder, day.schedule.pot.name)


def _shown_at(schedule: Schedule, state: State, chance: Random) -> None:
    """The day as a screen would show it at some later moment."""
    t = state.t + chance.choice(LATER)
    at = moments(state) if state.log else (lambda _: VIRTUAL_START)
    view = tell.view(schedule, state, t, at)
    shown(*view_texts(view))
    shown(text_of(paint(Shown(view=view), *chance.choice(((80, 24), (120, 40), (40, 12))))))


def _taken_up(folder: Path, path: Path, chance: Random) -> None:
    """The day gone on with, or looked at where it cannot be; then some things are asked of it."""
    header = Journal.read(path).header
    clock: VirtualClock | FastClock = VirtualClock(VIRTUAL_START + timedelta(seconds=chance.choice(LATER)))
    try:
        session = taken_up(path, clock)
    except (Unreadable, JournalFault) as why:
        _refused(why)
        return
    try:
        shown(session.view_only, session.torn or "")
        if header.get("rehearsed") and not session.view_only and chance.random() < 0.3:
            Rehearsal(session)
        lived(session, clock, chance, 4)
        told_of(session, session.send(anything(chance)))
    finally:
        session.close()


AREAS = (
    Area("session bytes", changed_file, met, frozenset({"damaged", "a long day", "a short day"}), 0.3),
    Area("session entries", hostile_entries, met, frozenset({"a long day", "a short day"}), 0.15),
)
