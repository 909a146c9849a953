"""A day whose disk and clocks a test holds in its hands, and all that must be true of it at any moment.

A real session with its real journal lives on a simulated disk, by clocks that only the test moves; what comes
of it is held against a book of its own (`expected_day`). What is done to it stands in `any_day`.
"""

from __future__ import annotations

import itertools
import math
import shutil
import sys
import tempfile
import tomllib
from collections import Counter
from dataclasses import dataclass, replace
from pathlib import Path
from types import ModuleType
from typing import Any, ClassVar
from unittest import mock

from any_values import SCHEDULES
from days import temperature
from expected_day import ExpectedDay, Happened
from hypothesis.stateful import RuleBasedStateMachine, invariant
from simulated_disk import MachineClock, SimulatedDisk, Trouble

from mashday.engine import calls, intents
from mashday.engine import facts as f
from mashday.engine.fold import replay
from mashday.faces import tell
from mashday.faces.entries import entry_lines
from mashday.session import session as session_module
from mashday.session.clock import LONGEST_ABSENCE_SECONDS
from mashday.session.disk import beside
from mashday.session.faults import JournalFault
from mashday.session.journal import Journal
from mashday.session.session import CODEC, Outcome, Unreadable, begin, look, resume

SLACK_SECONDS = 0.05
"""How far the session's own seconds may be from the test's: they are kept to the millisecond, and each time a
day is taken up again one more rounding comes between them."""
TOLD_WITHIN_SECONDS = 1.0
"""How right it is told how long nobody was there: labels of the wall clock are whole seconds."""
BELIEVED_BACK_SECONDS = -1.0
"""How far a clock may seem to have gone back."""
NAMED = frozenset({"time", "soon", "begun", "long", "ask"})
"""The kinds of call that the book knows of."""


@dataclass(frozen=True, slots=True)
class Attempt:
    """An act that was handed to the journal, and by what clocks."""

    entries: tuple[f.Entry, ...]
    moment: tuple[Any, ...]


class DayOnTrial(RuleBasedStateMachine):
    """One day after another, and what must be true of them."""

    tally: ClassVar[Counter[str]] = Counter()
    furthest_told: ClassVar[list[float]] = [0.0]
    """How far what was told of a call's lateness was ever from the truth, in seconds."""

    clock: MachineClock

    def __init__(self) -> None:
        super().__init__()
        self.tally["examples"] += 1
        self.root = Path(tempfile.mkdtemp(prefix="any-day-"))
        self.disk = SimulatedDisk(self.root)
        self.attempts: list[Attempt] = []
        self.not_saved: str | None = None
        self.acknowledged: tuple[f.Entry, ...] = ()
        self._patches = (
            mock.patch.object(session_module, "Journal", self._journal_on_the_disk()),
            mock.patch("mashday.session.disk._LOCK_PAUSE_SECONDS", 0.0),
            *(mock.patch.object(module, "REAL_IO", self.disk) for module in _touching_the_disk()),
        )
        for patch in self._patches:
            patch.start()

    def teardown(self) -> None:
        for patch in self._patches:
            patch.stop()
        self.disk.kill()
        shutil.rmtree(self.root)

    def _journal_on_the_disk(self) -> type[Journal]:
        trial = self

        class JournalOnTheDisk(Journal):
            @classmethod
            def create(cls, *given: Any, **named: Any) -> Any:
                return super().create(*given, **named, io=trial.disk)

            @classmethod
            def write_whole(cls, *given: Any, **named: Any) -> Any:
                return super().write_whole(*given, **named, io=trial.disk)

            @classmethod
            def open(cls, *given: Any, **named: Any) -> Any:
                return super().open(*given, **named, io=trial.disk)

            def append(self, tables: Any) -> None:
                trial.attempts.append(Attempt(tuple(_entry(table) for table in tables), trial.moment()))
                super().append(tables)

        return JournalOnTheDisk

    @property
    def t(self) -> float:
        """The second of the day by the test's own count."""
        return self.clock.passed - self.zero

    @property
    def path(self) -> Path:
        """The file of the day."""
        path = self.session.path
        assert path is not None
        return path

    @property
    def step(self) -> int:
        """The number of the step that is under way by the book, 0 if none is."""
        return self.day.begun.fact.step if self.day.begun is not None else 0

    def moment(self) -> tuple[Any, ...]:
        """What the clocks say now, as the book keeps it."""
        return (self.t, self.clock.passed, self.clock.wall(), self.clock.boot_id())

    def calls(self) -> tuple[calls.Call, ...]:
        """What the engine says that calls now."""
        return calls.calls(self.session.schedule, self.session.state, self.session.t())

    def ringing(self) -> list[calls.Call]:
        """Those that make themselves heard."""
        return [call for call in self.calls() if call.rings]

    # A day, and what is entered into it.

    def begins(self, schedule: str) -> None:
        """A day begins, in the folder of those before it."""
        self.text = schedule
        self.zero = self.clock.passed
        self.not_saved = None
        self.session = begin(SCHEDULES[schedule], self.clock, folder=self.root / "sessions")
        self.day = ExpectedDay(self.session.schedule)
        self._file_is_new()
        self.took(Outcome(entries=self.session.state.log))

    def hurries_to(self, step: int) -> None:
        """Goes straight on to this step, as a hurried person would."""
        self.sends(intents.Start())
        while 0 < self.step < step:
            before = self.step
            if self.session.schedule.step(before).kind == "heat":
                self.sends(temperature(69.0))
            self.goes_on()
            self.waits(7.0)
            if self.step == before:
                self.sends(intents.Skip(sure=True))

    def goes_on(self) -> None:
        """Says that the step is done, and leaves a remedy that is offered."""
        if self.is_offered():
            self.sends(intents.LeaveIt())
        self.sends(intents.Done(sure=True))

    def is_offered(self) -> bool:
        """True while a remedy waits for its answer."""
        offer = self.session.state.offer
        return offer is not None and offer.is_open

    def waits(self, seconds: float) -> None:
        """Time passes, and the program looks."""
        self.clock.wait(max(0.0, seconds))
        self.took(self.session.tick())
        self.what_is_due_calls_and_nothing_else()

    def sends(self, intent: intents.Intent) -> Outcome:
        """Enters something, and keeps to it if it is doubted."""
        outcome = self.session.send(intent)
        if outcome.doubt is not None:
            assert not outcome.entries and outcome.doubt.strip() and outcome.doubt.isprintable(), "no doubt"
            outcome = self.session.send(intents.KeepIt())
        self.took(outcome)
        return outcome

    def took(self, outcome: Outcome) -> None:
        """Notes in the book what has become of it, and what was said of its being saved."""
        log = self.session.state.log
        for entry in outcome.entries:
            assert entry.seq == len(self.day.happened) + 1, "an entry is missing or doubled"
            assert abs(entry.t - self.t) <= SLACK_SECONDS, "entered at another time"
            assert entry.at == self.clock.wall(), "labelled with another time"
            if isinstance(entry.fact, f.StepEnded) and entry.fact.how == "by itself":
                over = self.day.running(self.t) - sum(self.day.timer())
                assert over >= -SLACK_SECONDS, "a step went on by itself before its time was over"
            self.day.note(Happened(entry.seq, entry.act, *self.moment(), entry.fact))
        assert outcome.entries == log[len(log) - len(outcome.entries) :], (
            "entered and not taken into the state"
        )
        said = outcome.refused
        assert said is None or (said.strip() and said.isprintable()), "refused without a word"
        if self.not_saved is not None:
            assert self.session.not_saved == self.not_saved, "that it is not saved was forgotten"
            assert len(self.attempts) <= 1, "after a failure the same file was written to again"
        elif self.session.not_saved is not None:
            assert self.disk.met is not None, "not saved, and the disk was well"
            self.not_saved = self.session.not_saved
        else:
            self._is_acknowledged(outcome)

    def _is_acknowledged(self, outcome: Outcome) -> None:
        self.tally["acknowledged"] += len(outcome.entries)
        self.acknowledged = self.session.state.log
        self.attempts.clear()
        if self.disk.met is None and any(isinstance(entry.fact, f.StepEnded) for entry in outcome.entries):
            copy = beside(self.path, "bak")
            assert copy.exists() and copy.read_bytes() == self.path.read_bytes(), "no copy was made"

    # How it dies, and is taken up again.

    def dies(self, *, cut: bool = False, share: float = 0.0, zeros: bool = False, names: float = 0.0) -> None:
        """The program is killed, or the power is cut."""
        self.tally["power cuts" if cut else "kills"] += 1
        if cut:
            self.disk.cut_power(share=share, zeros=zeros, names=names)
        else:
            self.disk.kill()

    def is_away(self, seconds: float, *, reboots: bool = False, wall: int = 0, zone: int = 120) -> None:
        """Time passes with nobody there, and the clocks may be changed."""
        self.clock.wait(seconds)
        self.clock.set_wall(wall)
        self.clock.move_zone(zone)
        if reboots:
            self.clock.reboot()

    def is_taken_up(self) -> None:
        """Takes the day up again: what was acknowledged is there, and besides only what was being entered."""
        known, attempts, path = self.acknowledged, self.attempts, self.path
        self.attempts, self.not_saved, over = [], None, False
        try:
            self.session = resume(path, self.clock)
            log = self.session.state.log[:-1]
        except Unreadable as why:
            state, over = look(path)[1], True
            assert state.phase in ("complete", "aborted"), f"it cannot be taken up again: {why}"
            log = state.log
        except JournalFault as why:
            raise AssertionError(f"it cannot be opened again: {why}") from why
        assert log[: len(known)] == known, "something that was acknowledged is lost"
        self._finds(log[len(known) :], attempts)
        copy = beside(path, "bak")
        grown = not copy.exists() or path.read_bytes().startswith(copy.read_bytes())
        assert grown, "the copy is no beginning of the file"
        if over:
            self.is_over()
        else:
            self._goes_on_from(self.session.state.log[-1])

    def _finds(self, more: tuple[f.Entry, ...], attempts: list[Attempt]) -> None:
        """What is there beyond what was acknowledged: whole acts that were under way when it died."""
        self.day.forget_after(len(self.acknowledged))
        for attempt in attempts:
            count = len(attempt.entries)
            if more[:count] == attempt.entries:
                self.tally["acts kept that were not acknowledged"] += 1
                for entry in more[:count]:
                    self.day.note(Happened(entry.seq, entry.act, entry.t, *attempt.moment[1:], entry.fact))
                more = more[count:]
        assert not more, "something is there that was not entered last"

    def is_over(self) -> None:
        """The day is over: it is not taken up again, and another one begins."""
        if self.not_saved is None:
            try:
                resume(self.path, self.clock)
            except Unreadable as why:
                assert "is over" in str(why), str(why)
            else:
                raise AssertionError("a day that is over was taken up again")
        self.begins(self.text)
        self.hurries_to(4)

    def _goes_on_from(self, opened: f.Entry) -> None:
        """How long it was away is right by the machine's clock or else by the wall clock, or it is asked."""
        last, before, clock = self.day.happened[-1], self.day.of(f.Opened)[-1], self.clock
        same = before.boot == clock.boot_id() != ""
        away = (clock.wall() - last.wall).total_seconds()
        if same:
            away = before.t + clock.passed - before.passed - last.t
        believed = BELIEVED_BACK_SECONDS <= away <= LONGEST_ABSENCE_SECONDS
        how = "ask" if not believed else "exact" if same else "estimated"
        assert isinstance(opened.fact, f.Opened) and opened.fact.how == how, "how it is known is told wrong"
        told = abs(opened.fact.away_seconds - away)
        assert told <= TOLD_WITHIN_SECONDS, "how long nobody was there is told wrong"
        expected = last.t + (max(0.0, away) if believed else 0.0)
        assert abs(self.session.t() - expected) <= SLACK_SECONDS, "the day does not go on where it must"
        self.tally[f"taken up again, {how}"] += 1
        self.zero = clock.passed - expected
        self._file_is_new()
        self.took(Outcome(entries=(opened,)))
        self.what_is_due_calls_and_nothing_else()
        self._is_shown()

    def _is_shown(self) -> None:
        """What calls is on the screen at once, and that somebody is back is told."""
        session = self.session
        shown = tell.view(session.schedule, session.state, session.t(), session.at)
        found = self.calls()
        begun = {call.step for call in found if call.kind == "begun"}
        told = {call.key for call in found if call.kind != "ask" or call.step not in begun}
        assert told <= {call.key for call in shown.calls}, "a call is not shown"
        assert entry_lines(session.state.log[-1], session.state, session.schedule), "coming back is not told"

    # What goes wrong with the disk.

    def has_trouble(self, trouble: Trouble | None) -> None:
        """From now on the disk is in this trouble, or in none."""
        self.disk.met = None
        self.disk.trouble = None if trouble is None else replace(trouble)

    def tears(self, share: float) -> bytes:
        """Leaves a part of a next entry at the end of the file, as a program that was broken off would."""
        seq = len(self.acknowledged) + 1
        entry = f'[[entry]]\nseq = {seq}\nact = {seq}\nt = 9999.0\nkind = "note"\nstep = 1\ntext = "off"\n'
        tail = entry[: round(share * len(entry))].encode()
        self.disk.of_another(self.path, self.path.read_bytes() + tail)
        return tail

    def is_saved_elsewhere(self) -> None:
        """The whole day, with what was not saved, stands in a fresh file and goes on there."""
        log = self.session.state.log
        path = self.session.save_whole(self.root / f"elsewhere-{len(list(self.root.iterdir()))}")
        self.has_trouble(None)
        self.not_saved = None
        assert path == self.path and self.session.state.log == log, "another day is saved elsewhere"
        self.tally["saved elsewhere"] += 1
        self._file_is_new()
        self.took(Outcome())
        self.the_file_is_what_was_entered()

    # What must be true at any moment.

    @invariant()
    def all_is_well(self) -> None:
        self.tally["steps"] += 1
        self.the_file_is_what_was_entered()
        self.the_state_is_what_the_entries_add_up_to()
        self.what_is_due_calls_and_nothing_else()

    def _file_is_new(self) -> None:
        self._filed = b""
        self._entries_filed: tuple[f.Entry, ...] = ()
        self._replayed: f.Entry | None = None

    def the_file_is_what_was_entered(self) -> None:
        """The file is TOML, only ever grows, and holds every entry that was acknowledged, and no other."""
        if self.not_saved is not None:
            return
        data = self.path.read_bytes()
        assert data.startswith(self._filed), "what was written was changed"
        if data != self._filed:
            try:
                tables = tomllib.loads(data[len(self._filed) :].decode())["entry"]
            except ValueError as why:
                raise AssertionError(f"the file is no TOML: {why}") from why
            self._entries_filed += tuple(_entry(table) for table in tables)
            self._filed = data
        assert self._entries_filed == self.acknowledged, "acknowledged, and not in the file"

    def the_state_is_what_the_entries_add_up_to(self) -> None:
        """A replay of the file gives the live state, in order; and it says what the book says."""
        state = self.session.state
        if self._replayed is state.log[-1]:
            return
        self._replayed = state.log[-1]
        entries = self._entries_filed if self.not_saved is None else state.log
        assert replay(entries) == state, "a replay gives another day"
        assert [entry.seq for entry in state.log] == list(range(1, len(state.log) + 1)), (
            "not one after another"
        )
        assert all(before.t <= after.t for before, after in itertools.pairwise(state.log)), "time went back"
        assert state.phase == self.day.phase, "the day does not stand where it should"
        assert self.step in (0, state.step), "another step is under way"
        measured = [one for one in (*state.readings, *state.later) if one.quantity != "starch"]
        there = {one.number: (one.metric, not one.voided) for one in measured}
        known = {number: kept for number, kept in self.day.readings().items() if kept[0] is not None}
        assert there == known, "a reading is not what was entered"
        notes = [one.fact.text for one in self.day.of(f.NoteWritten)]
        assert [note.text for note in state.notes] == notes, "a note is not what was written"

    def what_is_due_calls_and_nothing_else(self) -> None:
        """No call comes early by the test's own count, none is missing, and each tells how late it is."""
        clock_is_off = abs(self.session.t() - self.t)
        assert clock_is_off <= SLACK_SECONDS, "the session's clock does not run as time does"
        now, dues = self.day.running(self.t), self.day.dues(self.t)
        ran = self.session.state.running(self.session.t())
        assert abs(ran - now) <= SLACK_SECONDS, "the clocks of the steps do not run as they must"
        found = {_named(call): call for call in self.calls() if call.kind in NAMED}
        for name in dues.sure:
            due, call = dues.when.get(name, math.inf), found.get(name)
            if name == "soon" and abs(now - dues.when.get("time", math.inf)) <= SLACK_SECONDS:
                continue
            if call is not None:
                assert due <= now + SLACK_SECONDS, f"it calls early: {name}"
                self._is_told_right(call, now - due)
            assert call is not None or due >= now - SLACK_SECONDS, f"it is due and does not call: {name}"
        for call in self.calls():
            self._is_as_quiet_as_was_asked(call)

    def _is_told_right(self, call: calls.Call, late: float) -> None:
        """Where a call is due anew in this very moment, either lateness will do."""
        anew = self.day.answered(call.key) + 600.0
        if call.kind != "long" or abs(self.day.running(self.t) - anew) > SLACK_SECONDS:
            self.furthest_told[0] = max(self.furthest_told[0], abs(call.late_seconds - late))
            assert abs(call.late_seconds - late) <= SLACK_SECONDS, "how late it is is told wrong"

    def _is_as_quiet_as_was_asked(self, call: calls.Call) -> None:
        """Where somebody answered in the very moment in which it was due, either will do."""
        answered = self.day.answered(call.key)
        if abs(answered - call.due) > SLACK_SECONDS:
            assert call.acknowledged == (answered > call.due), "whether it was acknowledged is told wrong"
        about = (call.due - SLACK_SECONDS, call.due + SLACK_SECONDS)
        quiet = [self.day.quiet(call.key, due, self.t) for due in about]
        right = any(abs(call.quiet_seconds - one) <= SLACK_SECONDS for one in quiet)
        assert right, "it is quiet for another time than was asked"


def _touching_the_disk() -> list[ModuleType]:
    """The rooms of the session that know the real disk."""
    rooms = [room for name, room in sys.modules.items() if name.startswith("mashday.session.")]
    return [room for room in rooms if hasattr(room, "REAL_IO")]


def _named(call: calls.Call) -> str:
    return f"ask {call.quantity}" if call.kind == "ask" else call.kind


def _entry(table: dict[str, Any]) -> f.Entry:
    decoded = CODEC.decode({key: value for key, value in table.items() if key != "sum"})
    assert not decoded.other, "an entry says more than it should"
    return f.Entry(decoded.seq, decoded.act, decoded.t, decoded.at, decoded.fact)
