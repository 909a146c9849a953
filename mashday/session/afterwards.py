"""A day that is over, opened once more: what is read of its wash days later goes into the same file.

The file is only touched when something is written, and then all of it at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import islice
from pathlib import Path

from mashday import __version__
from mashday.engine import facts as f
from mashday.engine import intents
from mashday.engine.decide import decide
from mashday.engine.decision import Doubt, Refused
from mashday.engine.fold import foreseen
from mashday.engine.sound import LONGEST_DAY_SECONDS
from mashday.engine.state import State
from mashday.session.clock import Clock, VirtualClock
from mashday.session.faults import JournalFault
from mashday.session.folder import NoSession, in_folder, named
from mashday.session.frames import Recovered
from mashday.session.journal import Journal
from mashday.session.moved import where
from mashday.session.read_back import OnlyToLookAt, ReadBack, read_back
from mashday.session.session import Outcome, Session
from mashday.session.versions import SCHEMA
from mashday.text import cleaned

IN_MEMORY = " The day is kept in memory only."
"""How a journal ends its word on a day that goes on without it; this one does not go on."""
LATER = "later"
"""How a file was opened that only takes what was read once its day was over."""


def finished(path: Path, clock: Clock, *, rehearsed: bool = False) -> Finished:
    """The day in this file, which is over; it is locked until it is closed.

    NoSession, in a sentence, for a day that is still open, or a rehearsed one unless those are asked for;
    OnlyToLookAt where it is damaged, of a newer version or went on elsewhere; Held or JournalFault as
    `resume`.
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
        _refuse_unless_over(day, path)
        if recovered.header.get("rehearsed", False) and not rehearsed:
            raise NoSession(
                f"{cleaned(path.stem, 300)} is a rehearsed day: nothing was brewed. Name a real day, or add"
                " --rehearsed."
            )
        return Finished(_not_behind(clock, recovered, day), journal, recovered, day)
    except BaseException:
        journal.close()
        raise


def _not_behind(clock: Clock, recovered: Recovered, day: ReadBack) -> Clock:
    """The clock, or for a rehearsed day that ran ahead of it one that stands at the last entry."""
    last = day.state.log[-1].at
    ahead = recovered.header.get("rehearsed", False) and clock.wall() < last
    return VirtualClock(last) if ahead else clock


def _refuse_unless_over(day: ReadBack, path: Path) -> None:
    if not day.state.is_over:
        raise NoSession(
            f"The day in {cleaned(path.stem, 300)} is still open: enter readings there, with: mashday resume"
            f" {named(path)}. Or name one that is over: mashday later SESSION{in_folder(path.parent)}"
        )


class Finished(Session):
    """A day that is over. What is written behind its end is decided first, and then written as one act."""

    def __init__(self, clock: Clock, journal: Journal, recovered: Recovered, day: ReadBack) -> None:
        super().__init__(day.schedule, clock, header=recovered.header, journal=journal, entries=day.state.log)
        self._mends, self._path = journal.mend, journal.path
        elapsed = clock.elapsed()
        self._runs_from(seconds_now(self.state, clock, elapsed), elapsed)

    def weighed(self, wanted: Sequence[intents.Intent]) -> tuple[Outcome, ...]:
        """What would come of each of these, one after the other: refused, doubted or nothing against it."""
        return tuple(outcome for outcome, _ in self._decided(wanted))

    def write(self, wanted: Sequence[intents.Intent]) -> tuple[f.Entry, ...]:
        """Writes what was weighed, doubts kept to, in one act: all of it is in the file afterwards or, with a
        JournalFault, none of it that can be relied upon.

        ValueError, with nothing written, if any of it is refused.
        """
        decided = self._decided(wanted)
        if any(outcome.refused is not None for outcome, _ in decided):
            raise ValueError("something refused cannot be written")
        self._mends()
        elapsed = self.clock.elapsed()
        t = self._t_at(elapsed)
        opened = f.Opened(
            __version__, self.clock.boot_id(), elapsed, max(0.0, t - self.state.t), LATER, SCHEMA
        )
        _, *entries = self._write((opened, *(fact for _, facts in decided for fact in facts)), t)
        if self.not_saved is not None:
            why = self.not_saved.removesuffix(IN_MEMORY)
            raise JournalFault(
                f"{why} None of what was to be added can be relied upon: once that is seen to, look with"
                f" mashday summary {named(self._path)}, and add again what is not there."
            )
        return tuple(entries)

    def _decided(self, wanted: Sequence[intents.Intent]) -> list[tuple[Outcome, tuple[f.Fact, ...]]]:
        """What would come of each, with the facts it becomes if its doubt is kept to; none where refused."""
        state, t = self.state, self.t()
        found: list[tuple[Outcome, tuple[f.Fact, ...]]] = []
        for intent in wanted:
            decision = decide(self.schedule, state, intent, t)
            outcome = Outcome()
            if isinstance(decision, Doubt):
                outcome = Outcome(doubt=decision.why)
                decision = decide(self.schedule, state, intents.kept_to(intent), t)
            if isinstance(decision, Refused):
                outcome = Outcome(refused=decision.why)
            facts = decision if isinstance(decision, tuple) else ()
            state = foreseen(state, t, *facts)
            found.append((outcome, facts))
        return found


def seconds_now(state: State, clock: Clock, elapsed: float) -> float:
    """The session second it is by now, however many days later.

    By the elapsed clock where the machine was not started anew since, else by the wall clock; that of the
    last entry where neither can be believed.
    """
    last = state.log[-1]
    boot_id = clock.boot_id()
    now = last.t + (clock.wall() - last.at).total_seconds()
    opened = ((entry.t, entry.fact) for entry in reversed(state.log) if isinstance(entry.fact, f.Opened))
    for t, fact in islice(opened, 1):
        if boot_id == fact.boot_id != "":
            now = t + elapsed - fact.elapsed
    return now if last.t <= now <= LONGEST_DAY_SECONDS else last.t
