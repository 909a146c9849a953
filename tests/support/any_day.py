"""A machine that lives any day on any disk by any clock: all that may be done to it, in any order."""

from __future__ import annotations

import itertools
import math
from collections import Counter
from contextlib import suppress
from typing import get_args

from any_values import (
    ABSENCES,
    ABSURD,
    BEGINNINGS,
    DEATHS,
    ENTERED,
    FAILURES,
    LINES,
    MASH_TEMPERATURES,
    READINGS,
    SECONDS,
    SHARES,
    STEPS_OF_THE_WALL,
    TEXTS,
    UNITS,
    ZONES,
)
from day_on_trial import SLACK_SECONDS, DayOnTrial
from days import temperature
from hypothesis import HealthCheck, Phase, seed, settings
from hypothesis import strategies as st
from hypothesis.stateful import initialize, precondition, rule, run_state_machine_as_test
from simulated_disk import Killed, MachineClock, Trouble

from mashday.engine import calls, intents
from mashday.engine import facts as f
from mashday.faces.lines import Command, Misunderstood, understood
from mashday.session.disk import beside
from mashday.session.faults import Held, JournalFault
from mashday.session.session import Unreadable, resume
from mashday.session.watched import taken_up

LAST_TO_SKIP = 6
"""Steps after this one are gone through, so that a day is not over too soon."""
LONG_ENOUGH = 45
"""A day of so many entries may be ended."""


class AnyDay(DayOnTrial):
    """One day after another under hands that know no schedule, in a shed where everything goes wrong."""

    def _runs(self) -> bool:
        return self.day.phase == "running"

    def _is_open(self) -> bool:
        return self.day.phase in ("running", "held")

    def _has_time_left(self) -> bool:
        timer = self.day.timer()
        return self._runs() and timer is not None and self.day.running(self.t) < sum(timer)

    def _left(self) -> float:
        left = calls.remaining_seconds(self.session.schedule, self.session.state, self.session.t())
        return math.inf if left is None else left

    def _counting(self) -> list[int]:
        return [number for number, (_, counts) in self.day.readings().items() if counts]

    # What is entered.

    @initialize(beginning=BEGINNINGS, tells_boots=st.sampled_from((True, True, True, False)))
    def a_day_begins(self, beginning: tuple[str, int], tells_boots: bool) -> None:
        self.clock = MachineClock(tells_boots=tells_boots)
        self.begins(beginning[0])
        self.hurries_to(beginning[1])

    @rule(line=LINES | TEXTS)
    def something_is_said(self, line: str) -> None:
        session = self.session
        meant = understood(line, session.schedule, session.state, session.t())
        if isinstance(meant, intents.Intent):
            self.sends(meant)
        elif not isinstance(meant, Command):
            assert isinstance(meant, Misunderstood), "no intent, no command and no word about it"
            assert meant.why.strip() and meant.why.isprintable(), "not understood, without a word"

    @rule(text=TEXTS)
    def a_note_is_written(self, text: str) -> None:
        outcome = self.sends(intents.WriteNote(text))
        written = [entry.fact.text for entry in outcome.entries]
        assert all(one.isprintable() and len(one) <= 500 for one in written), "a note was not cleaned"
        if text.isascii() and text.isprintable() and text.strip():
            whole = " ".join(text.split())
            assert written == ([whole] if len(whole) <= 500 else []), "a note is not what was written"
            assert (outcome.refused is not None) == (len(whole) > 500), "a note was cut without a word"

    @rule(which=st.sampled_from(get_args(f.Closing)), text=TEXTS)
    def a_closing_line_is_written(self, which: f.Closing, text: str) -> None:
        outcome = self.sends(intents.WriteClosingLine(which, text))
        written = [entry.fact.text for entry in outcome.entries]
        assert not (written and self._is_open()), "a day that goes on was closed"
        assert all(one.isprintable() and len(one) <= 500 for one in written), "a line was not cleaned"

    @precondition(lambda self: self._is_open())
    @rule(reading=MASH_TEMPERATURES | READINGS)
    def something_is_read(self, reading: intents.TakeReading) -> None:
        outcome = self.sends(reading)
        read = [entry.fact for entry in outcome.entries if isinstance(entry.fact, f.ReadingTaken)]
        assert outcome.refused or [one.value for one in read] == [reading.value], "another reading was taken"
        if reading.quantity == "temperature":
            assert all(one.celsius == reading.metric for one in read), "another temperature was taken"

    @precondition(lambda self: self._is_open() and self._counting())
    @rule(data=st.data(), value=st.none() | st.sampled_from((61.0, 63.5, 65.4, 1.055, 17.0, math.nan)))
    def a_reading_is_put_right_or_made_void(self, data: st.DataObject, value: float | None) -> None:
        of = data.draw(st.sampled_from(self._counting()))
        if value is None:
            assert self.sends(intents.Void(of)).entries, "a reading could not be made void"
            return
        unit = UNITS.get(self.day.happened[of - 1].fact.quantity, "")
        outcome = self.sends(intents.Correct(of, value, unit, f"{value}", value))
        put_right = [one.fact.of for one in outcome.entries if isinstance(one.fact, f.ReadingCorrected)]
        assert outcome.refused or put_right == [of], "another reading was put right"

    @precondition(lambda self: self._is_open())
    @rule(times=st.sampled_from((1, 1, 2)))
    def the_last_thing_is_taken_back(self, times: int) -> None:
        for entry in itertools.chain(*(self.sends(intents.Undo()).entries for _ in range(times))):
            assert isinstance(entry.fact, f.Undone), "something else than taking back"
            struck = [self.day.happened[number - 1] for number in entry.fact.entries]
            entered = {one.act for one in struck if not _by_itself(one.fact)}
            assert len(entered) == 1, "not one thing was taken back"

    @precondition(lambda self: self._runs() and self.is_offered())
    @rule(option=st.integers(0, 5), again=st.sampled_from((None, 64.0, 62.5)))
    def a_remedy_is_chosen(self, option: int, again: float | None) -> None:
        self.sends(intents.TakeRemedy(option) if option else intents.LeaveIt())
        if again is not None:
            self.waits(200.0)
            self.sends(intents.AnswerUnknown())
            self.sends(temperature(again))

    @precondition(lambda self: self._runs() and not self._has_time_left())
    @rule(skips=st.booleans())
    def a_step_is_done(self, skips: bool) -> None:
        step = self.step
        if skips and step <= LAST_TO_SKIP:
            assert self.sends(intents.Skip(sure=True)).entries and self.step == step + 1, "it was not skipped"
            return
        if self.session.schedule.step(step).kind != "rest":
            self.sends(intents.AnswerUnknown())
        self.goes_on()

    @precondition(lambda self: self._is_open() and len(self.session.state.log) > LONG_ENOUGH)
    @rule(intent=st.sampled_from((intents.Finish(), intents.Abort())))
    def the_day_is_ended(self, intent: intents.Intent) -> None:
        assert self.sends(intent).entries, "it could not be ended"

    @precondition(lambda self: self.day.phase in ("complete", "aborted"))
    @rule()
    def another_day_begins(self) -> None:
        self.session.close()
        self.is_over()

    # What is done about time, and what time does.

    @precondition(lambda self: self._is_open())
    @rule(seconds=SECONDS)
    def the_day_is_held_or_goes_on(self, seconds: float) -> None:
        if self._runs():
            assert self.sends(intents.Hold()).entries, "it could not be held"
        else:
            self.waits(seconds)
            assert self.sends(intents.Resume()).entries, "it does not go on"

    @precondition(lambda self: self._runs())
    @rule(seconds=SECONDS)
    def it_is_held_for_a_while(self, seconds: float) -> None:
        before = self._left()
        self.sends(intents.Hold())
        self.waits(seconds)
        self.sends(intents.Resume())
        after = self._left()
        assert after == before or abs(after - before) <= SLACK_SECONDS, "a hold took or gave time"

    @precondition(lambda self: self._runs() and self.day.timer() is not None)
    @rule(minutes=st.sampled_from((10.0, 1.0, 0.5, 25.0, -1.0, -10.0)))
    def more_time_is_given(self, minutes: float) -> None:
        left = max(0.0, sum(self.day.timer()) - self.day.running(self.t))
        given = self.sends(intents.Extend(minutes)).entries
        assert given or minutes < 0.0, "no more time could be given"
        expected = left + 60.0 * minutes
        assert not given or abs(self._left() - expected) <= SLACK_SECONDS, (
            "other time was given than was asked"
        )

    @precondition(lambda self: self.ringing())
    @rule()
    def what_calls_is_acknowledged(self) -> None:
        ringing = self.ringing()
        heard = ringing[:1] if ringing[0].way == "fire" else [one for one in ringing if one.way != "fire"]
        assert self.sends(intents.Acknowledge()).entries, "it could not be acknowledged"
        still = {call.key for call in self.ringing()}
        assert not still & {call.key for call in heard}, "it was acknowledged and rings"

    @precondition(lambda self: self._runs() and self.ringing())
    @rule(minutes=st.sampled_from((1, 2, 5)))
    def what_calls_is_made_quiet(self, minutes: int) -> None:
        quieted = {call.key for call in self.calls() if not call.acknowledged}
        assert self.sends(intents.Snooze(minutes)).entries, "it could not be made quiet"
        assert not quieted & {call.key for call in self.ringing()}, "it was made quiet and rings"
        self.waits(60.0 * minutes + 0.1)
        quiet = {call.key for call in self.calls() if not call.rings and not call.acknowledged}
        assert not quieted & quiet, "what was made quiet has not come back"

    @rule(seconds=SECONDS, ticks=st.integers(0, 3))
    def time_passes(self, seconds: float, ticks: int) -> None:
        for _ in range(ticks):
            self.waits(seconds / ticks)
        if not ticks:
            self._sleeps(seconds)

    @rule(seconds=ABSENCES, wall=STEPS_OF_THE_WALL, zone=ZONES)
    def the_wall_clock_is_set(self, seconds: float, wall: int, zone: int) -> None:
        self.clock.set_wall(wall)
        self.clock.move_zone(zone)
        self._sleeps(seconds)

    def _sleeps(self, seconds: float) -> None:
        self.clock.wait(seconds)
        self.what_is_due_calls_and_nothing_else()
        self.waits(0.0)

    def _coming(self) -> float | None:
        """The running second in which the next thing is due, by the book or by the engine."""
        now = self.day.running(self.t)
        dues = [*self.day.dues(self.t).when.values()]
        of_the_engine = calls.next_due(self.session.schedule, self.session.state)
        if of_the_engine is not None:
            dues.append(of_the_engine)
        return min((due for due in dues if due > now + 1.0), default=None)

    def _comes_to(self, due: float) -> None:
        """Looks just before it is due, and then when it is."""
        self.tally["looked just before and after"] += 1
        self.waits(due - self.day.running(self.t) - 0.5)
        self.waits(0.5 + 2.0 * SLACK_SECONDS)

    @precondition(lambda self: self._runs() and self._coming() is not None)
    @rule()
    def it_comes_to_what_is_due_next(self) -> None:
        due = self._coming()
        assert due is not None
        self._comes_to(due)

    @precondition(lambda self: self._has_time_left())
    @rule()
    def a_step_runs_out_of_time(self) -> None:
        """With somebody there who answers what is asked, so that the next one may begin by itself."""
        step = self.step
        while self.step == step and self._has_time_left():
            due = self._coming()
            if due is None:
                self.waits(1.0)
                continue
            self._comes_to(due)
            self.sends(intents.LeaveIt() if self.is_offered() else intents.AnswerUnknown())

    # How it dies.

    @rule(away=ABSENCES, reboots=st.booleans(), wall=STEPS_OF_THE_WALL, zone=ZONES)
    def it_is_killed(self, away: float, reboots: bool, wall: int, zone: int) -> None:
        self.dies()
        self.is_away(away, reboots=reboots, wall=wall, zone=zone)
        self.is_taken_up()

    @rule(share=SHARES, zeros=st.booleans(), names=SHARES, away=ABSENCES, wall=STEPS_OF_THE_WALL | ABSURD)
    def the_power_is_cut(self, share: float, zeros: bool, names: float, away: float, wall: int) -> None:
        self.dies(cut=True, share=share, zeros=zeros, names=names)
        self.is_away(away, reboots=True, wall=wall)
        self.is_taken_up()

    @rule(death=DEATHS, intent=ENTERED, cut=st.booleans(), share=SHARES, zeros=st.booleans())
    def it_dies_in_the_midst(
        self, death: Trouble, intent: intents.Intent, cut: bool, share: float, zeros: bool
    ) -> None:
        self.has_trouble(death)
        with suppress(Killed):
            self.sends(intent)
        self.dies(cut=cut, share=share, zeros=zeros)
        self.is_away(30.0, reboots=cut)
        self.is_taken_up()

    @rule(trouble=st.none() | FAILURES | DEATHS, torn=SHARES, cut=st.booleans(), share=SHARES)
    def an_unfinished_entry_stands_at_the_end(
        self, trouble: Trouble | None, torn: float, cut: bool, share: float
    ) -> None:
        """And to mend it may fail, or be broken off too. The file of a day that is over is not mended."""
        self.dies()
        tail = self.tears(torn) if self.not_saved is None else b""
        self.is_away(5.0)
        if trouble is not None:
            self._is_not_taken_up(trouble)
            self.dies(cut=cut, share=share)
            self.is_away(5.0, reboots=cut)
        path = self.path
        self.is_taken_up()
        kept = beside(path, "torn")
        untouched = self.path != path and path.read_bytes().endswith(tail)
        is_kept = untouched or (kept.exists() and tail in kept.read_bytes())
        assert not tail or is_kept, "what was torn off is not kept"
        told = self.session.torn or trouble is not None or self.path != path
        assert not tail or told, "that it was torn off is not told"

    def _is_not_taken_up(self, trouble: Trouble) -> None:
        self.has_trouble(trouble)
        try:
            resume(self.path, self.clock)
        except (Killed, Unreadable):
            return
        except JournalFault as fault:
            assert str(fault).isprintable(), "no sentence about it"

    # What goes wrong with the disk.

    @precondition(lambda self: self.not_saved is None)
    @rule(trouble=FAILURES, intent=ENTERED)
    def the_disk_fails(self, trouble: Trouble, intent: intents.Intent) -> None:
        self.has_trouble(trouble)
        self.sends(intent)
        self._what_failed_is_told(trouble)

    @precondition(lambda self: self.not_saved is None and self._is_open())
    @rule(trouble=FAILURES)
    def the_disk_fails_as_a_step_ends(self, trouble: Trouble) -> None:
        """Then a copy is made as well."""
        if self.is_offered():
            self.sends(intents.LeaveIt())
        self.has_trouble(trouble)
        self.sends(intents.Done(sure=True))
        self._what_failed_is_told(trouble)

    def _what_failed_is_told(self, trouble: Trouble) -> None:
        met = self.disk.met
        self.has_trouble(None)
        if met is not None and met[0] in ("write", "fsync", "stat") and met[1] == self.path:
            self.tally["failures"] += 1
            assert self.not_saved is not None, "a failure is not told"
            assert self.not_saved.startswith("Not saved to "), "that it is not saved is not said"
            assert trouble.how != "short" or "the disk took only" in self.not_saved, (
                "the reason is told wrong"
            )
        else:
            assert self.not_saved is None, "not saved, and the file was well"
            assert met is None or self.session.why_no_copy(), "that no copy was made is not told"

    @precondition(lambda self: self.not_saved is None)
    @rule(how=st.sampled_from(("cut", "written on", "replaced", "removed")), share=SHARES)
    def another_program_spoils_the_file(self, how: str, share: float) -> None:
        data = self.path.read_bytes()
        cut = data[: int(share * (len(data) - 1))]
        other = {"cut": cut, "written on": data + b"\n# mine\n", "replaced": data}.get(how)
        self.disk.of_another(self.path, other, renamed=how == "replaced")
        self.disk.met = ("another program", self.path)
        self.sends(intents.WriteNote("is it kept"))
        assert self.not_saved is not None, "the file was spoiled, and nobody is told"
        self.sends(intents.WriteNote("in memory"))
        self.is_saved_elsewhere()

    @precondition(lambda self: self.not_saved is not None)
    @rule(trouble=st.none() | FAILURES | DEATHS)
    def it_is_to_be_saved_elsewhere(self, trouble: Trouble | None) -> None:
        self.has_trouble(trouble)
        try:
            self.is_saved_elsewhere()
        except JournalFault as fault:
            self.has_trouble(None)
            assert str(fault).isprintable() and self.session.not_saved == self.not_saved, "it was forgotten"
        except Killed:
            self.dies()
            self.is_away(60.0)
            self.is_taken_up()

    @rule(looks=st.booleans())
    def another_program_wants_the_day(self, looks: bool) -> None:
        if looks and self.not_saved is None and self._is_open():
            self._is_looked_at()
            return
        try:
            resume(self.path, self.clock)
        except Held as held:
            assert "is in use: process" in str(held), "it is not told who has it"
            return
        except Unreadable as why:
            raise AssertionError("a day that is over is not locked any more") from why
        raise AssertionError("one day is open twice")

    def _is_looked_at(self) -> None:
        """The other program sees the day as it is, and what is entered meanwhile."""
        look = taken_up(self.path, self.clock)
        assert look.view_only and look.send(intents.WriteNote("not mine")).refused, "it is no mere look"
        assert look.state == self.session.state, "another day is looked at"
        self.sends(intents.WriteNote("seen"))
        look.tick()
        assert look.state == self.session.state, "what is entered is not seen"
        look.close()


def _by_itself(fact: f.Fact) -> bool:
    if isinstance(fact, f.StepEnded):
        return fact.how == "by itself"
    return isinstance(fact, f.StepBegun) and fact.by_itself


def under_seed(number: int) -> type[AnyDay]:
    """The machine under the seed of this number, with a tally of its own."""
    return seed(number)(type("AnyDay", (AnyDay,), {"tally": Counter(), "furthest_told": [0.0]}))


def live(machine: type[AnyDay], examples: int, steps: int = 40) -> None:
    """Runs the machine so many times, for so many steps each; raises what fails first."""
    run_state_machine_as_test(
        machine,
        settings=settings(
            max_examples=examples,
            stateful_step_count=steps,
            deadline=None,
            database=None,
            phases=(Phase.generate,),
            report_multiple_bugs=False,
            suppress_health_check=tuple(HealthCheck),
        ),
    )
