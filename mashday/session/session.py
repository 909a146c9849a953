"""Session: one day under way. Decides, writes, evolves and tells, in this order.

A fact is taken into the state only after the journal has it on the disk. If the disk fails, the journal
is closed for good, the day goes on in memory and `not_saved` says so until the day is written elsewhere.
`send` and `tick` may be called from one thread at a time; `state` may be read from any.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any

from mashday import __version__
from mashday.engine import facts as f
from mashday.engine import intents
from mashday.engine.decide import by_itself, decide
from mashday.engine.decision import Doubt, Refused
from mashday.engine.fold import evolve, replay
from mashday.engine.state import State
from mashday.schedule.door import load
from mashday.schedule.model import Schedule
from mashday.session.clock import Clock
from mashday.session.faults import JournalFault
from mashday.session.folder import spare_folders
from mashday.session.frames import Recovered
from mashday.session.journal import Journal
from mashday.session.moved import note_where, where
from mashday.session.read_back import CODEC, OnlyToLookAt, Unreadable, entry_of, goes_on, is_over, read_back
from mashday.session.versions import SCHEMA
from mashday.text import slug

NOTHING_WAITS = "Nothing waits for that answer."
DOUBT_SECONDS = 120.0
"""Session seconds for which a doubt can be answered by keeping to it: what was doubted was true of the moment
it was entered at, and a pot moves on. Judgement: time to stir and look again."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of an intent: the entries it became, or why it was refused, or the doubt about it.

    `before` is the state before the entries.
    """

    entries: tuple[f.Entry, ...] = ()
    before: State | None = None
    refused: str | None = None
    doubt: str | None = None


LOOK_SECONDS = 5.0
"""How often a file is looked at between entries. Judgement: cheap, and sooner than the next reading."""

Listener = Callable[[f.Entry], None]


class Session:
    """One day under way."""

    def __init__(
        self,
        schedule: Schedule,
        clock: Clock,
        *,
        header: dict[str, Any],
        journal: Journal | None = None,
        entries: tuple[f.Entry, ...] = (),
    ) -> None:
        self.schedule = schedule
        self.clock = clock
        self.header = header
        self.state = replay(entries)
        self.doubted: intents.Intent | None = None
        self._doubted_at = 0.0
        self.not_saved: str | None = None
        self.view_only = ""
        """Why it is only a look; "" for a day that is ours."""
        self.torn: str | None = None
        self.listeners: list[Listener] = []
        self._journal = journal
        self._no_copy = ""
        self._looked_at = self.clock.elapsed()
        self._runs_from(self.state.t)

    @property
    def rehearsed(self) -> bool:
        """True for a rehearsed day."""
        return bool(self.header.get("rehearsed", False))

    @property
    def can_go_on(self) -> bool:
        """True for a look from which `save_whole` goes on with the day in a new file."""
        return False

    @property
    def path(self) -> Path | None:
        """The session file, None for a day kept in memory only."""
        return self._journal.path if self._journal else None

    def t(self) -> float:
        """Session seconds now, to the millisecond; never before the last entry."""
        return self._t_at(self.clock.elapsed())

    def _t_at(self, elapsed: float) -> float:
        return max(self.state.t, round(self._t_opened + elapsed - self._elapsed_opened, 3))

    def at(self, t: float) -> datetime:
        """The wall clock at session time `t`, a label: reckoned from the nearest entry."""
        return moments(self.state)(t) if self.state.log else self.clock.wall()

    def opened(self, away_seconds: float = 0.0, how: str = "new") -> None:
        """Writes down that the file was opened, and by which clock."""
        elapsed = self.clock.elapsed()
        fact = f.Opened(__version__, self.clock.boot_id(), elapsed, away_seconds, how, SCHEMA)
        self._write((fact,), self._t_at(elapsed))

    def taken_up(self) -> None:
        """Goes on where the clocks say that the day is by now, and writes down that it was opened."""
        away, how = 0.0, "rehearsed" if self.rehearsed else "new"
        if self.state.log and not self.rehearsed:
            elapsed = self.clock.elapsed()
            going = goes_on(self.state, self.clock, elapsed)
            self._runs_from(going.t, elapsed)
            away, how = going.away_seconds, going.how
        self.opened(away, how)

    def _runs_from(self, t: float, elapsed: float | None = None) -> None:
        self._t_opened = t
        self._elapsed_opened = self.clock.elapsed() if elapsed is None else elapsed

    def knows(self, known: f.PotKnown) -> None:
        """Writes down what earlier days taught of the pot."""
        self._write((known,), self.t())

    def send(self, intent: intents.Intent) -> Outcome:
        """Carries an intent out, or says why not. A doubted one waits for `KeepIt` or `Wrong`, but not for
        longer than `DOUBT_SECONDS` (as many times that as a rehearsed day runs faster)."""
        if isinstance(intent, intents.Wrong | intents.KeepIt):
            doubted, self.doubted = self.doubted, None
            if doubted is None:
                return Outcome(refused=NOTHING_WAITS)
            if isinstance(intent, intents.Wrong):
                return Outcome()
            age = self.t() - self._doubted_at
            if age > DOUBT_SECONDS * max(1.0, float(self.header.get("rate", 1.0))):
                return Outcome(refused=f"That was asked {age / 60.0:.0f} min ago; enter it again.")
            intent = intents.kept_to(doubted)
        self.doubted = None
        t = self.t()
        decision = decide(self.schedule, self.state, intent, t)
        if isinstance(decision, Refused):
            return Outcome(refused=decision.why)
        if isinstance(decision, Doubt):
            self.doubted, self._doubted_at = intent, t
            return Outcome(doubt=decision.why)
        before = self.state
        return Outcome(entries=self._write(decision, t), before=before)

    def tick(self) -> Outcome:
        """Lets what begins by itself begin, if it is time; what was doubted before that is not kept."""
        self._look_at_file()
        t = self.t()
        found = by_itself(self.schedule, self.state, t)
        if found:
            self.doubted = None
        return Outcome(entries=self._write(found, t)) if found else Outcome()

    @property
    def has_news(self) -> bool:
        """True if `tick` has something to do."""
        return self._is_look_due() or bool(by_itself(self.schedule, self.state, self.t()))

    def _is_look_due(self) -> bool:
        due = self.clock.elapsed() - self._looked_at >= LOOK_SECONDS
        return due and self._journal is not None and self.not_saved is None

    def _look_at_file(self) -> None:
        """Now and again between entries: is the file still what was written, and in its place?"""
        if self._journal is None or not self._is_look_due():
            return
        self._looked_at = self.clock.elapsed()
        try:
            self._journal.look()
        except JournalFault as fault:
            self.not_saved = str(fault)

    def _write(self, found: tuple[f.Fact, ...], t: float) -> tuple[f.Entry, ...]:
        wall = self.clock.wall()
        first = self.state.seq + 1
        tables = [
            CODEC.encode(first + i, first, t, wall, fact, more=i < len(found) - 1)
            for i, fact in enumerate(found)
        ]
        if self._journal is not None and self.not_saved is None:
            try:
                self._journal.append(tables)
            except JournalFault as fault:
                self.not_saved = str(fault)
        entries = tuple(entry_of(table) for table in tables)
        for entry in entries:
            self.state = evolve(self.state, entry)
        if self._step_ended(entries):
            self._back_up()
        for entry in entries:
            for listener in self.listeners:
                listener(entry)
        return entries

    def _step_ended(self, entries: tuple[f.Entry, ...]) -> bool:
        return any(isinstance(entry.fact, f.StepEnded) for entry in entries)

    def _back_up(self) -> None:
        if self._journal is None or self.not_saved is not None:
            return
        try:
            self._journal.backup()
        except JournalFault as fault:
            self._no_copy = str(fault)

    def why_no_copy(self) -> str:
        """Why the copy beside the file could not be made, told once; "" where it was."""
        told, self._no_copy = self._no_copy, ""
        return told

    def save_whole(self, folder: Path) -> Path:
        """Writes the whole day to a fresh file in `folder` and goes on there.

        Raises JournalFault if that folder fails too.
        """
        tables = [
            CODEC.encode(e.seq, e.act, e.t, e.at, _of_today(e.fact), more=_more(self.state.log, i))
            for i, e in enumerate(self.state.log)
        ]
        started = self.state.log[0].at if self.state.log else self.clock.wall()
        header = {**self.header, "schema": SCHEMA}
        journal = Journal.write_whole(folder, slug(self.schedule.name), started.date(), header, tables)
        if self.path is not None:
            note_where(self.path, journal.path)
        if self._journal is not None:
            self._journal.close()
        self._journal, self.not_saved = journal, None
        return journal.path

    @property
    def is_in_need(self) -> bool:
        """True while the day is not kept where it is, or cannot go on there: then `save_whole` is of use."""
        return self.not_saved is not None or bool(self.view_only)

    def spare_folders(self) -> Iterator[Path]:
        """Where it can be saved whole, the best first."""
        return spare_folders()

    def close(self) -> None:
        """Lets go of the file and its lock. The day stays open in the file."""
        if self._journal is not None:
            self._journal.close()


def moments(state: State) -> Callable[[float], datetime]:
    """From a session time to the wall clock it was or will be, reckoned from the nearest entry before."""

    def at(t: float) -> datetime:
        entry = next((e for e in reversed(state.log) if e.t <= t), state.log[0])
        return datetime.fromtimestamp(entry.at.timestamp() + t - entry.t, entry.at.tzinfo)

    return at


def _more(log: tuple[f.Entry, ...], index: int) -> bool:
    return index + 1 < len(log) and log[index + 1].act == log[index].act


def _of_today(fact: f.Fact) -> f.Fact:
    """The fact as it is written now: entries of an older schema are lifted as they are read."""
    return replace(fact, schema=SCHEMA) if isinstance(fact, f.Opened) else fact


def begin(
    schedule_text: str,
    clock: Clock,
    *,
    folder: Path | None,
    rehearsed: bool = False,
    seed: int = 0,
    rate: float = 1.0,
    known: f.PotKnown | None = None,
) -> Session:
    """A new day from the text of a schedule, kept in a fresh file in `folder` (None: in memory only).

    `known` is what earlier days taught of its pot; it is written down, so that the day does not change when
    those are gone.

    Raises BadSchedule for a schedule that does not load and JournalFault if the folder cannot keep it.
    """
    schedule = load(schedule_text)
    header: dict[str, Any] = {
        "schema": SCHEMA,
        "app": __version__,
        "started": clock.wall(),
        "boot_id": clock.boot_id(),
        "schedule": schedule_text,
    }
    if rehearsed:
        header |= {"rehearsed": True, "seed": seed, "rate": rate}
    journal = None
    if folder is not None:
        journal = Journal.create(folder, slug(schedule.name), clock.wall().date(), header)
    session = Session(schedule, clock, header=header, journal=journal)
    session.opened()
    if known is not None:
        session.knows(known)
    return session


def resume(path: Path, clock: Clock) -> Session:
    """The day in this file, taken up where it was.

    Raises Unreadable with one sentence if the day is over or its file holds none, OnlyToLookAt if it is
    damaged, of a newer version or went on in another file, and Held or JournalFault if it is in use or cannot
    be written. The file is only touched once all that is ruled out.
    """
    journal, recovered = Journal.open(path, newest_schema=SCHEMA, mends=False)
    try:
        to = where(path, recovered)
        if to is not None:
            raise OnlyToLookAt(str(to))
        day = read_back(recovered, path)
        why = day.trouble or recovered.damage
        if why is not None:
            raise OnlyToLookAt(why)
        over = is_over(day.state, path)
        if over is not None:
            raise Unreadable(over)
        journal.mend()
        session = Session(
            day.schedule, clock, header=recovered.header, journal=journal, entries=day.state.log
        )
        session.torn = recovered.torn
        session.taken_up()
    except BaseException:
        journal.close()
        raise
    return session


def look(path: Path) -> tuple[Schedule, State, Recovered]:
    """The day in this file, for reading only, as far as it can be believed; `damage` says what is wrong.

    Unreadable, in a sentence, if it is of a newer version or holds no day.
    """
    recovered = Journal.read(path)
    day = read_back(recovered, path)
    if day.trouble is not None:
        raise Unreadable(day.trouble)
    return day.schedule, day.state, recovered
