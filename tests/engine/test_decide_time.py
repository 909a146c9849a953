"""Timers and moves: more time after the end, chains of steps that begin by themselves, cooks and boils."""

from __future__ import annotations

import pytest
from days import BARLEY, Day, starch, temperature

from mashday.engine import calls, intents
from mashday.engine import facts as f
from mashday.schedule.door import load
from mashday.schedule.samples import sample_text

PATIENT = BARLEY.replace('band = "1 C"', 'band = "1 C"\nconfirm = true')
SHORT = '[[step]]\nkind = "rest"\ntarget = "63 C"\ntime = "{} min"\n'
CHAIN = BARLEY.replace(
    '[[step]]\nkind = "starch-check"', SHORT.format(6) + SHORT.format(4) + '[[step]]\nkind = "starch-check"'
)


def left(day: Day) -> float | None:
    return calls.remaining_seconds(day.schedule, day.state, day.t)


def patient() -> Day:
    day = Day(load(PATIENT)).to_step(4)
    day.after(minutes=59).read(62.9)
    return day


@pytest.mark.parametrize("late", [0.0, 0.5, 12.0])
def test_more_minutes_once_the_time_is_over_count_from_now(late: float) -> None:
    day = patient().after(minutes=1.0 + late)
    day.send(intents.Extend(10.0))
    assert left(day) == pytest.approx(600.0)
    assert calls.calls(day.schedule, day.state, day.t) == ()
    day.after(minutes=10)
    standing = calls.calls(day.schedule, day.state, day.t)
    assert [(call.kind, call.rings) for call in standing] == [("time", True)]


def test_nothing_can_be_taken_away_once_the_time_is_over() -> None:
    day = patient().after(minutes=5)
    assert "Only 0 min" in day.refused(intents.Extend(-1.0))


@pytest.mark.parametrize("minutes", [0.0, float("nan"), float("inf"), -601.0])
def test_a_change_of_time_has_to_be_a_number_of_minutes(resting: Day, minutes: float) -> None:
    assert "minutes" in resting.refused(intents.Extend(minutes))


def test_a_change_of_time_answers_the_call_for_the_end() -> None:
    day = patient().after(minutes=4)
    found = day.send(intents.Extend(5.0))
    assert [fact.late_seconds for fact in found if isinstance(fact, f.CallAnswered)] == [180.0]


def chained() -> Day:
    """A day whose second rest has just begun by itself."""
    day = Day(load(CHAIN)).to_step(4)
    day.after(minutes=59).read(62.9)
    day.after(minutes=1)
    assert day.tick()[-1] == f.StepBegun(5, True)
    return day


def test_a_step_that_began_by_itself_goes_no_further_until_somebody_was_there() -> None:
    day = chained().after(minutes=9)
    assert left(day) == -180.0 and day.tick() == ()
    day.send(intents.Acknowledge())
    assert day.tick() == ()  # its reading is due
    day.read(62.8)
    assert day.tick() == (f.StepEnded(5, "by itself"), f.StepBegun(6, True))


def test_whoever_reads_in_a_step_knows_that_it_has_begun() -> None:
    day = chained().after(minutes=4)
    found = day.read(62.8)
    begun = [fact for fact in found if isinstance(fact, f.CallAnswered) and fact.what.endswith("begun")]
    assert [fact.late_seconds for fact in begun] == [240.0]
    day.after(minutes=2)
    assert day.tick() == (f.StepEnded(5, "by itself"), f.StepBegun(6, True))


def test_a_held_day_goes_nowhere_by_itself(resting: Day) -> None:
    resting.after(minutes=59).read(62.9)
    resting.send(intents.Hold())
    resting.after(minutes=60)
    assert resting.tick() == ()
    resting.send(intents.Resume())
    assert resting.tick() == ()
    resting.after(minutes=1)
    assert resting.tick()[-1] == f.StepBegun(5, True)


def test_what_begins_by_itself_is_called_until_it_is_acknowledged(resting: Day) -> None:
    resting.after(minutes=59).read(62.9)
    resting.after(minutes=1).tick()
    resting.after(minutes=3)
    begun = [c for c in calls.calls(resting.schedule, resting.state, resting.t) if c.kind == "begun"]
    assert [(c.rings, c.late_seconds) for c in begun] == [(True, 180.0)]
    resting.send(intents.Acknowledge())
    later = calls.calls(resting.schedule, resting.state, resting.t)
    assert not any(call.rings for call in later)


@pytest.mark.parametrize("number", range(1, 16))
def test_only_what_the_schedule_lets_go_on_goes_on_by_itself(number: int) -> None:
    """Of the stepped sample: its three timed rests, into a raise or the starch check; nothing else."""
    schedule = load(sample_text("towpath-stepped"))
    assert (not schedule.confirms(number)) == (number in (4, 6, 8))


def test_a_cook_runs_from_the_reading_that_finds_it_hot() -> None:
    day = Day(load(sample_text("sluice-maize"))).to_step(2)
    assert left(day) is None
    assert intents.Extend(5.0) and "no running time" in day.refused(intents.Extend(5.0))
    day.after(minutes=30).read(80.0)
    assert left(day) is None
    found = day.after(minutes=10).read(94.5)
    assert f.ClockStarted(2) in found
    assert left(day) == 3600.0
    day.after(minutes=59, seconds=59)
    urgent = [c.urgency for c in calls.calls(day.schedule, day.state, day.t) if c.kind == "time"]
    assert urgent == []
    day.after(seconds=1)
    urgent = [c.urgency for c in calls.calls(day.schedule, day.state, day.t) if c.kind == "time"]
    assert urgent == ["danger"]


def test_a_hold_in_a_cook_stops_its_clock_too() -> None:
    day = Day(load(sample_text("sluice-maize"))).to_step(2)
    day.after(minutes=40).read(95.0)
    day.after(minutes=10).send(intents.Hold())
    day.after(minutes=25).send(intents.Resume())
    assert left(day) == 50 * 60.0


def test_snoozing_and_muting_say_when_they_come_back(resting: Day) -> None:
    resting.after(minutes=6).send(intents.Snooze(5))
    assert calls.calls(resting.schedule, resting.state, resting.t + 60)[0].quiet_seconds == 240.0
    resting.after(minutes=5).send(intents.Mute())
    assert calls.calls(resting.schedule, resting.state, resting.t + 30)[0].quiet_seconds == 90.0


def test_a_call_that_is_snoozed_is_not_acknowledged(resting: Day) -> None:
    resting.after(minutes=6).send(intents.Snooze(2))
    assert resting.tick() == () and resting.state.answered == ()
    resting.after(minutes=4).send(intents.Acknowledge())
    assert [round(answered.late_seconds) for answered in resting.state.answered] == [300]


def test_an_item_is_answered_by_what_was_seen_and_can_be_answered_anew(day: Day) -> None:
    day.send(intents.Start())
    day.send(intents.TickItem(2, "both shut"))
    day.send(intents.TickItem(2, "all shut"))
    assert day.state.records[0].ticks == ((2, "all shut"),)
    assert "no item 3" in day.refused(intents.TickItem(3))
    assert "no item 0" in day.refused(intents.TickItem(0))


def test_a_note_is_cleaned_and_never_empty(day: Day) -> None:
    assert "empty" in day.refused(intents.WriteNote(" \x1b\u200b "))
    day.send(intents.Start())
    day.send(intents.WriteNote("lid\x1b[2J off\r\n"))
    assert "That is 501 characters long, and 500 is the most" in day.refused(intents.WriteNote("x" * 501))
    assert day.state.notes[-1].text == "lid[2J off"


def test_units_go_to_and_fro(day: Day) -> None:
    shown = [day.send(intents.ChooseUnits())[0] for _ in range(2)]
    assert shown == [f.UnitsChosen("us"), f.UnitsChosen("metric")]
    day.to_step(4)
    day.send(intents.ChooseUnits("us"))
    assert "203.0 F" in day.after(minutes=6).doubted(
        intents.TakeReading("temperature", 203.0, "F", "203", 95.0)
    )


def test_the_day_given_up_says_where(day: Day) -> None:
    assert day.send(intents.Abort(sure=True)) == (f.DayEnded("aborted", "given up before it began"),)
    later = Day(day.schedule).to_step(4)
    later.send(intents.Hold())
    later.send(intents.Abort(sure=True))
    assert later.state.left == "given up in step 4, rest"


def test_a_day_ended_early_says_how_much_is_left(resting: Day) -> None:
    assert "6 of 9 steps" in resting.doubted(intents.Finish())
    resting.send(intents.Finish(sure=True))
    assert resting.state.phase == "complete" and resting.state.ended == resting.t


def test_a_pot_on_the_fire_that_reads_much_colder_than_a_moment_ago_is_doubted(day: Day) -> None:
    day.send(intents.Start())
    day.to_step(2).read(63.5)
    day.after(minutes=2)
    assert day.doubted(temperature(17.5)).startswith("17.5 C? It should lie between")
    number = day.state.readings[-1].number
    day.send(intents.Correct(number, 36.5, "C", "36.5", 36.5))


def test_a_mash_that_stands_for_its_starch_check_has_not_gone_cold(resting: Day) -> None:
    resting.after(minutes=6).read(64.0)
    resting.to_step(5)
    assert resting.doubted(temperature(25.0)).startswith("25.0 C? It should lie between")
    resting.read(60.0)


def test_starch_cannot_be_gone_before_the_malt_is_in(day: Day) -> None:
    day.send(intents.Start())
    assert "The malt is not in before step 3" in day.refused(starch(True))
