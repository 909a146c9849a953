"""A day that is only looked at: another program has it, or its file cannot be gone on with as it is.

It follows the file while another program writes it. Where the file is damaged, the day can be gone on with in
a new one, with all that can be believed of the old.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from mashday.engine import intents
from mashday.engine.fold import evolve
from mashday.session.clock import Clock
from mashday.session.disk import REAL_IO, holder, locked
from mashday.session.faults import LOOK, Held, JournalFault, shown
from mashday.session.frames import Recovered
from mashday.session.journal import Journal
from mashday.session.moved import noted, where
from mashday.session.read_back import OnlyToLookAt, ReadBack, Unreadable, goes_on, is_over, read_back
from mashday.session.session import Outcome, Session, resume
from mashday.text import cleaned, shell_word

HOLDER_SECONDS = 2.0
"""How often it is asked whether the program that has the day still runs. Judgement."""

Signature = tuple[int, int, int]


def taken_up(path: Path, clock: Clock) -> Session:
    """The day in this file taken up; where that cannot be, the day to look at, its `view_only` says why.

    Raises what `resume` does where there is nothing to look at, or nothing to go on with.
    """
    try:
        return resume(path, clock)
    except (JournalFault, OnlyToLookAt) as why:
        try:
            recovered = Journal.read(path)
        except JournalFault:
            raise why from None
        day = read_back(recovered, path)
        over = is_over(day.state, path)
        if over is not None and recovered.damage is None:
            raise Unreadable(over) from None
        return Watched(path, clock, recovered, day, str(why))


class Watched(Session):
    """A day to look at. It refuses everything, and tells what the program that has it writes down."""

    def __init__(self, path: Path, clock: Clock, recovered: Recovered, day: ReadBack, why: str) -> None:
        super().__init__(day.schedule, clock, header=recovered.header, entries=day.state.log)
        self._file = path
        self._held = recovered.held_by is not None
        self._followed = True
        self._to = where(path, recovered)
        wrong = str(self._to) if self._to else recovered.damage or why
        told = wrong.removesuffix(LOOK).replace(shown(path), self._name)
        self.view_only = told if recovered.held_by is None else self._in_use(recovered.held_by)
        over = is_over(day.state, path)
        went_on = self._to is not None and self._to.is_there
        self._can_go_on = not (self._held or day.is_foreign or self.rehearsed or over or went_on)
        self._signature = _signature(path)
        self._asked_at = clock.elapsed()
        self._stands = False
        self._set_going()

    @property
    def path(self) -> Path | None:
        """The session file that is looked at, or the new one once the day goes on there."""
        return super().path or self._file

    @property
    def can_go_on(self) -> bool:
        """True while `save_whole` goes on with the day in a new file."""
        return bool(self.view_only) and self._can_go_on

    def t(self) -> float:
        """Session seconds now; those of the last entry where the clocks do not tell."""
        return self.state.t if self._stands else super().t()

    def send(self, intent: intents.Intent) -> Outcome:
        """Refuses, for it is only a look; once the day goes on in a new file, as any session does."""
        if not self.view_only:
            return super().send(intent)
        return Outcome(refused=f"This is only a look. {self.view_only}")

    def tick(self) -> Outcome:
        """What was written since, if anything was."""
        if not self.view_only:
            return super().tick()
        if not self._followed:
            return Outcome()
        self._ask_for_holder()
        signature = _signature(self._file)
        if signature == self._signature:
            return Outcome()
        self._signature = signature
        try:
            recovered = Journal.read(self._file)
            log = read_back(recovered, self._file).state.log
        except (JournalFault, Unreadable) as fault:
            return self._lost(str(fault))
        before, known = self.state, len(self.state.log)
        if log[:known] != before.log:
            return self._lost(recovered.damage or f"{self._name} was changed.")
        for entry in log[known:]:
            self.state = evolve(self.state, entry)
        self._set_going()
        return Outcome(entries=log[known:], before=before)

    @property
    def has_news(self) -> bool:
        """True if the file may hold more than is shown, or its holder is to be asked for."""
        if not self.view_only:
            return super().has_news
        due = self._held and self.clock.elapsed() - self._asked_at >= HOLDER_SECONDS
        return self._followed and (due or _signature(self._file) != self._signature)

    def save_whole(self, folder: Path) -> Path:
        """Goes on in a new file in `folder`, with all that is shown.

        Raises JournalFault if that folder fails, if the day is another program's or another version's, or if
        another went on with it first.
        """
        if not self.view_only:
            return super().save_whole(folder)
        with self._alone():
            to = noted(self._file) or self._to
            if to != self._to:
                raise JournalFault(f"This is only a look. {to}")
            if not self._can_go_on:
                raise JournalFault(f"This is only a look. {self.view_only}")
            if _signature(self._file) != self._signature:
                again = f"Look at it anew: mashday resume {shell_word(self._file)}"
                raise JournalFault(f"This is only a look. {self._name} was written to meanwhile. {again}")
            path = super().save_whole(folder)
        self.view_only, self._stands = "", False
        self.taken_up()
        return path

    def spare_folders(self) -> Iterator[Path]:
        """Beside the file that is looked at, then where any day can go."""
        if self.view_only:
            yield self._file.parent
        yield from super().spare_folders()

    @contextmanager
    def _alone(self) -> Iterator[None]:
        """Keeps every other program from the file; where it cannot be locked, none can write there."""
        lock: int | None = None
        try:
            lock = locked(self._file, REAL_IO)
        except Held:
            by = holder(self._file) or "another program"
            raise JournalFault(f"This is only a look. {self._in_use(by)}") from None
        except (OSError, JournalFault):
            pass
        try:
            yield
        finally:
            if lock is not None:
                os.close(lock)

    def _set_going(self) -> None:
        """Sets the clock of the day to where it would be taken up now; one that is not known stands."""
        if not self.state.log:
            return
        going = goes_on(self.state, self.clock)
        self._stands = self.rehearsed or going.how == "ask"
        self._runs_from(going.t)

    def _ask_for_holder(self) -> None:
        if not self._held or self.clock.elapsed() - self._asked_at < HOLDER_SECONDS:
            return
        self._asked_at = self.clock.elapsed()
        by, to = holder(self._file), noted(self._file)
        if to is not None:
            self.view_only = str(to)
        elif by is not None:
            self.view_only = self._in_use(by)
        else:
            known = shell_word(self._file)
            self.view_only = f"Nobody has this day open now. Take it up with: mashday resume {known}"

    def _in_use(self, by: str) -> str:
        return f"{self._name} is in use: {by}."

    def _lost(self, why: str) -> Outcome:
        """What was seen stays, and is not followed any more."""
        self._followed = False
        told = why.replace(shown(self._file), self._name)
        self.view_only = f"{told} What stands here is what was seen before, and is not followed any more."
        return Outcome()

    @property
    def _name(self) -> str:
        return cleaned(self._file.name, 300)


def _signature(path: Path) -> Signature | None:
    """What tells a file that was written to from what it was; None if it is not there."""
    try:
        found = REAL_IO.stat(path)
    except OSError:
        return None
    return found.st_ino, found.st_size, found.st_mtime_ns
