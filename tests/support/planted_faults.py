"""Faults planted in the product, one function each: what tests are worth shows in whether they find them."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import replace
from pathlib import Path
from typing import Any
from unittest import mock

from any_day import live, under_seed

from mashday.engine import asks, call_answers, calls, fold, undo
from mashday.engine import facts as f
from mashday.engine.state import State
from mashday.session import clock, disk, frames, journal, read_back, session
from mashday.session.disk import Disk
from mashday.session.faults import NotAsWritten
from mashday.session.journal import Journal
from mashday.session.session import Session

Patch = AbstractContextManager[Any]
Plant = Callable[[], Patch]


def _fold_of(kind: type[f.Fact], fault: Callable[..., State]) -> Patch:
    return mock.patch.dict(fold._FOLDS, {kind: fault})


def _ignored(kind: type[f.Fact]) -> Patch:
    return _fold_of(kind, lambda state, entry, fact: state)


def time_is_lost_on_hold() -> Patch:
    """What had run before a hold is counted only by half of the hold."""

    def running(self: State, t: float) -> float:
        now = t if self.held_since is None else min(t, self.held_since)
        return now - 1.5 * self.held_seconds

    return mock.patch.object(State, "running", running)


def time_runs_on_while_held() -> Patch:
    return mock.patch.object(State, "running", lambda self, t: t - self.held_seconds)


def a_call_rings_a_second_early() -> Patch:
    right = calls._of_the_time
    return mock.patch.object(calls, "_of_the_time", lambda s, state, r, now: right(s, state, r, now + 1.0))


def a_call_rings_a_second_late() -> Patch:
    right = calls._of_the_time
    return mock.patch.object(calls, "_of_the_time", lambda s, state, r, now: right(s, state, r, now - 1.0))


def a_due_call_is_never_shown() -> Patch:
    right = calls._of_the_time

    def no_end(*given: Any) -> list[calls.Call]:
        return [call for call in right(*given) if call.kind != "time"]

    return mock.patch.object(calls, "_of_the_time", no_end)


def what_is_asked_is_asked_late() -> Patch:
    right = asks._runnings

    def late(*given: Any) -> list[asks.Ask]:
        return [replace(ask, due=ask.due + 30.0) for ask in right(*given)]

    return mock.patch.object(asks, "_runnings", late)


def acknowledging_does_nothing() -> Patch:
    return _ignored(f.CallAnswered)


def acknowledging_answers_nothing_that_rings() -> Patch:
    right = call_answers.acknowledged

    def other(*given: Any) -> tuple[f.CallAnswered, ...]:
        return tuple(replace(fact, call=f"{fact.call}0") for fact in right(*given))

    return mock.patch.object(call_answers, "acknowledged", other)


def what_was_snoozed_stays_quiet() -> Patch:
    right = fold._call_snoozed
    return _fold_of(
        f.CallSnoozed,
        lambda state, entry, fact: right(state, entry, replace(fact, minutes=60.0 * fact.minutes)),
    )


def a_correction_is_ignored() -> Patch:
    return _ignored(f.ReadingCorrected)


def a_void_is_ignored() -> Patch:
    return _ignored(f.ReadingVoided)


def more_time_is_ignored() -> Patch:
    return _ignored(f.StepExtended)


def undo_takes_two() -> Patch:
    right = undo.last_act

    def last_two(state: State) -> tuple[f.Entry, ...] | None:
        act = right(state)
        before = [e for e in state.log if act and e.seq < act[0].seq and type(e.fact) in undo.NAMES]
        return (*(before[-1:]), *act) if act else None

    return mock.patch.object(undo, "last_act", last_two)


def a_step_goes_on_a_minute_early() -> Patch:
    right = session.by_itself
    return mock.patch.object(
        session, "by_itself", lambda schedule, state, t: right(schedule, state, t + 60.0)
    )


def acknowledged_before_it_is_written() -> Patch:
    right = Journal.append

    def put_off(self: Any, tables: Sequence[Mapping[str, Any]]) -> None:
        waiting, self.waiting = getattr(self, "waiting", None), tables
        if waiting is not None:
            right(self, waiting)

    return mock.patch.object(Journal, "append", put_off)


def _append(*, flush: str = "once", count: bool = True, place: bool = True) -> Patch:
    """The appending of the journal without some of its care."""

    def careless(io: Disk, descriptor: int, path: Path, data: bytes, size: int) -> None:
        written = io.write(descriptor, data)
        if count and written != len(data):
            raise NotAsWritten("short")
        if flush == "once":
            io.fsync(descriptor)
        elif flush == "again":
            try:
                io.fsync(descriptor)
            except OSError:
                io.fsync(descriptor)
        if place:
            ours, there = io.stat(descriptor), io.stat(path)
            if ours.st_ino != there.st_ino or (count and there.st_size != size + len(data)):
                raise NotAsWritten("elsewhere")

    return mock.patch.object(journal, "append_whole", careless)


def nothing_is_flushed() -> Patch:
    return _append(flush="never")


def a_failed_flush_is_tried_again() -> Patch:
    return _append(flush="again")


def a_short_write_is_not_seen() -> Patch:
    return _append(count=False)


def it_is_not_seen_that_the_file_is_gone() -> Patch:
    return _append(place=False)


def a_failure_is_forgotten_with_the_next_entry() -> Patch:
    right = Session._write

    def forgetful(self: Session, *given: Any) -> tuple[f.Entry, ...]:
        failed = self.not_saved is not None
        entries = right(self, *given)
        if failed:
            self.not_saved = None
        return entries

    return mock.patch.object(Session, "_write", forgetful)


def an_entry_is_written_twice() -> Patch:
    right = frames.framed_all
    return mock.patch.object(frames, "framed_all", lambda tables, crc: right([*tables, *tables], crc))


def a_torn_end_is_not_cut_off() -> Patch:
    def left(self: Journal) -> None:
        scan, descriptor = _opened(self)
        self._io.fsync(descriptor)
        self._size += len(scan.tail)

    return mock.patch.object(Journal, "mend", left)


def a_torn_end_is_not_kept() -> Patch:
    def cut(self: Journal) -> None:
        scan, descriptor = _opened(self)
        self._io.truncate(descriptor, scan.end)
        self._io.fsync(descriptor)

    return mock.patch.object(Journal, "mend", cut)


def _opened(journal: Journal) -> tuple[frames.Scan, int]:
    """What is to be mended, which is then said to have been."""
    scan, descriptor = journal._unmended, journal._descriptor
    assert scan is not None and descriptor is not None
    journal._unmended = None
    return scan, descriptor


def the_folder_is_not_flushed() -> Patch:
    right = Journal.create.__func__  # type: ignore[attr-defined]

    def create(cls: type[Journal], *given: Any, io: Disk) -> Any:
        with mock.patch.object(io, "fsync_folder"):
            return right(cls, *given, io=io)

    return mock.patch.object(Journal, "create", classmethod(create))


def no_copy_is_made() -> Patch:
    return mock.patch.object(Session, "_back_up", lambda self: None)


def that_no_copy_was_made_is_not_told() -> Patch:
    return mock.patch.object(Session, "why_no_copy", lambda self: "")


def a_day_can_be_opened_twice() -> Patch:
    def unlocked(path: Path, io: Disk) -> int:
        return io.open(disk.beside(path, "lock"), os.O_RDWR | os.O_CREAT)

    return mock.patch.object(journal, "locked", unlocked)


def what_was_not_saved_is_left_out_elsewhere() -> Patch:
    right = Journal.write_whole.__func__  # type: ignore[attr-defined]

    def cut_short(
        cls: type[Journal], folder: Path, slug: str, day: Any, header: Any, tables: Any, **named: Any
    ) -> Any:
        return right(cls, folder, slug, day, header, tables[:-1], **named)

    return mock.patch.object(Journal, "write_whole", classmethod(cut_short))


def _resumed(change: Callable[[clock.Resumption, dict[str, Any]], clock.Resumption]) -> Patch:
    right = clock.resumed_t
    return mock.patch.object(read_back, "resumed_t", lambda **known: change(right(**known), known))


def the_time_of_a_crash_is_not_counted() -> Patch:
    return _resumed(lambda found, known: replace(found, t=known["last_t"]))


def a_restart_is_taken_for_the_same_boot() -> Patch:
    right = clock.resumed_t

    def same(**known: Any) -> clock.Resumption:
        return right(**{**known, "boot_id": known["last_opened"].boot_id or "this"})

    return mock.patch.object(read_back, "resumed_t", same)


def what_is_absurd_is_guessed() -> Patch:
    return mock.patch.object(clock, "LONGEST_ABSENCE_SECONDS", float("inf"))


def the_zone_is_forgotten() -> Patch:
    right = clock.resumed_t

    def by_labels(**known: Any) -> clock.Resumption:
        labels = {name: known[name].replace(tzinfo=clock.UTC) for name in ("wall", "last_wall")}
        return right(**{**known, **labels})

    return mock.patch.object(read_back, "resumed_t", by_labels)


def the_wall_clock_measures() -> Patch:
    def by_the_wall(self: Session) -> float:
        if not self.state.log:
            return self.state.t
        last = self.state.log[-1]
        return max(self.state.t, last.t + (self.clock.wall() - last.at).total_seconds())

    return mock.patch.object(Session, "t", by_the_wall)


FAULTS: tuple[Plant, ...] = (
    time_is_lost_on_hold,
    time_runs_on_while_held,
    a_call_rings_a_second_early,
    a_call_rings_a_second_late,
    a_due_call_is_never_shown,
    what_is_asked_is_asked_late,
    acknowledging_does_nothing,
    acknowledging_answers_nothing_that_rings,
    what_was_snoozed_stays_quiet,
    a_correction_is_ignored,
    a_void_is_ignored,
    more_time_is_ignored,
    undo_takes_two,
    a_step_goes_on_a_minute_early,
    acknowledged_before_it_is_written,
    nothing_is_flushed,
    a_failed_flush_is_tried_again,
    a_short_write_is_not_seen,
    it_is_not_seen_that_the_file_is_gone,
    a_failure_is_forgotten_with_the_next_entry,
    an_entry_is_written_twice,
    a_torn_end_is_not_cut_off,
    a_torn_end_is_not_kept,
    the_folder_is_not_flushed,
    no_copy_is_made,
    that_no_copy_was_made_is_not_told,
    a_day_can_be_opened_twice,
    what_was_not_saved_is_left_out_elsewhere,
    the_time_of_a_crash_is_not_counted,
    a_restart_is_taken_for_the_same_boot,
    what_is_absurd_is_guessed,
    the_zone_is_forgotten,
    the_wall_clock_measures,
)
"""Each plants its fault while it is entered."""


def found(plant: Plant, number: int, most: int) -> tuple[str, int]:
    """By which failed assertion the machine finds a planted fault under this seed, and in how many examples;
    "" if it does not in `most`."""
    machine = under_seed(number)
    try:
        with plant():
            live(machine, most)
    except AssertionError as why:
        return str(why).partition("\n")[0], machine.tally["examples"] - 1
    return "", most
