"""What a day should hold: lines that will be taken, what each becomes, and what a file makes of it."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from killable import elapsed

from mashday.engine import calls, undo
from mashday.engine import facts as f
from mashday.engine.decide import decide
from mashday.engine.decision import Doubt, Refused
from mashday.engine.fold import evolve
from mashday.engine.intents import Intent
from mashday.engine.moves import unticked
from mashday.engine.state import State
from mashday.faces import tell
from mashday.faces.entries import entry_lines
from mashday.faces.lines import understood
from mashday.faces.view import View
from mashday.session.clock import VirtualClock
from mashday.session.session import Session, look, moments

REST = 4
"""The step of the rest in the schedule of these days."""
MOST_MINUTES = 40.0
AFTER_TIME = len("00:00  ")
SLACK_SECONDS = 0.05
"""How far a day may be from the elapsed clock: each opening is written to the millisecond."""
PLAIN_ENTRIES = (
    *(f.NoteWritten, f.ReadingTaken, f.StepExtended, f.Held, f.Resumed),
    *(f.ReadingCorrected, f.ReadingVoided),
)
"""What is taken back here: moves that open the way to another step are not."""


@dataclass(frozen=True, slots=True)
class Act:
    """A line that was sent: what it becomes, and the words by which it is told as entered."""

    line: str
    facts: tuple[f.Fact, ...]
    told: str


class Kept:
    """A session file as it stands."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.bytes = path.read_bytes()
        self.schedule, self.state, self.recovered = look(path)
        self.entries = self.state.log
        assert self.recovered.damage is None, self.recovered.damage

    @property
    def whole(self) -> bytes:
        """Its bytes without those of an entry that was not finished."""
        return self.bytes[: self.bytes.rfind(b'sum = "') + len(b'sum = "00000000"\n')]

    def session(self) -> Session:
        """The day at its last entry, in memory only."""
        return Session(
            self.schedule, VirtualClock(), header=dict(self.recovered.header), entries=self.entries
        )

    def t(self, at: float) -> float:
        """The session second at `at` of the elapsed clock, by the last time the file was opened."""
        opened = next(entry for entry in reversed(self.entries) if isinstance(entry.fact, f.Opened))
        assert isinstance(opened.fact, f.Opened)
        return opened.t + at - opened.fact.elapsed

    def due_at(self) -> float:
        """When the time of the step under way is up, by the elapsed clock, if the day is not held."""
        return self.left(0.0)

    def left(self, at: float) -> float:
        """Seconds left of the time of the step under way, at `at` of the elapsed clock."""
        left = calls.remaining_seconds(self.schedule, self.state, self.t(at))
        assert left is not None
        return left

    def view(self, at: float) -> View:
        """What a face has to show at `at` of the elapsed clock."""
        return tell.view(self.schedule, self.state, self.t(at), moments(self.state))

    def clock_went_on(self) -> bool:
        """True if the session's seconds went on as the elapsed clock did, from each opening to the next."""
        opened = [(entry.t, entry.fact) for entry in self.entries if isinstance(entry.fact, f.Opened)]
        (first, fact), *others = opened
        return all(
            abs((t - first) - (again.elapsed - fact.elapsed)) < SLACK_SECONDS and again.how == "exact"
            for t, again in others
        )


def acts_of(kept: Kept) -> list[Act]:
    """What a file holds that was entered, act by act, each with the words by which it was told."""
    found: list[Act] = []
    for number in dict.fromkeys(entry.act for entry in kept.entries):
        entries = [entry for entry in kept.entries if entry.act == number]
        lines = [line for entry in entries for line in entry_lines(entry, kept.state, kept.schedule)]
        if lines and not isinstance(entries[0].fact, f.Opened):
            found.append(Act("", tuple(entry.fact for entry in entries), lines[0][AFTER_TIME:]))
    return found


def told_in_order(told: str, sent: Sequence[Act]) -> int:
    """How many of these, from the first on, stand in what was told, one after the other."""
    place = 0
    for number, act in enumerate(sent):
        found = told.find(act.told, place)
        if found < 0:
            return number
        place = found + len(act.told)
    return len(sent)


class SentLines:
    """The lines sent to a day so far, and what they should make of what its file holds."""

    def __init__(self, kept: Kept, chance: random.Random) -> None:
        self.kept = kept
        self.sent: list[Act] = []
        self._chance = chance
        self._state = kept.state
        self._told = ""

    def next(self) -> Act:
        """A line that will be taken as the day stands after all the others; never told as the one before."""
        while True:
            line = self._line()
            act, state = self._act(line)
            if act.told != self._told:
                self._state, self._told = state, act.told
                self.sent.append(act)
                return act

    def _line(self) -> str:
        state, chance = self._state, self._chance
        if state.phase == "idle":
            return "start"
        if state.phase == "running" and state.step < REST:
            return self._on_the_way(state)
        if state.phase == "held" and chance.random() < 0.4:
            return "resume"
        numbers = [reading.number for reading in state.valid("temperature", REST)]
        last = undo.last_act(state)
        may_undo = last is not None and all(isinstance(entry.fact, PLAIN_ENTRIES) for entry in last)
        value = f"{chance.uniform(62.3, 63.7):.1f}"
        lines = [f"note turn {state.seq} {chance.randrange(10**6)}"] * 4 + [f"temp {value}"] * 4
        if may_undo:
            lines += ["undo"] * 2
        if numbers:
            lines += [f"correct {chance.choice(numbers)} {value}", f"void {chance.choice(numbers)}"]
        record = state.current
        if state.phase == "running":
            lines += ["hold"]
            if record is not None and record.extended_minutes < MOST_MINUTES:
                lines += [f"more {chance.randint(1, 9)}"] * 2
        return chance.choice(lines)

    def _on_the_way(self, state: State) -> str:
        if unticked(self.kept.schedule, state):
            return "tick"
        kind = self.kept.schedule.step(state.step).kind
        return "temp 69.0" if kind == "heat" and not state.valid("temperature", state.step) else "done"

    def _act(self, line: str) -> tuple[Act, State]:
        kept, t = self.kept, max(self._state.t, self.kept.t(elapsed()))
        intent = understood(line, kept.schedule, self._state, t)
        assert isinstance(intent, Intent), (line, intent)
        decision = decide(kept.schedule, self._state, intent, t)
        assert not isinstance(decision, Refused | Doubt), (line, decision)
        state, told = self._state, []
        at = kept.entries[-1].at
        entries = [f.Entry(state.seq + 1 + i, state.seq + 1, t, at, fact) for i, fact in enumerate(decision)]
        for entry in entries:
            state = evolve(state, entry)
        for entry in entries:
            told += entry_lines(entry, state, kept.schedule)
        return Act(line, decision, told[0][AFTER_TIME:]), state

    def kept_of_it(self, now: Kept) -> int:
        """How many of the lines sent, from the first on, the file holds now; it must hold nothing else."""
        assert now.bytes.startswith(self.kept.whole), "what was on the disk has been changed"
        new = [entry.fact for entry in now.entries[len(self.kept.entries) :]]
        count = 0
        for act in self.sent:
            if tuple(new[: len(act.facts)]) != act.facts:
                break
            count, new = count + 1, new[len(act.facts) :]
        assert not new, f"not what was sent: {new} of {self.sent[count:]}"
        return count
