"""The rules of the day: moves, timers, holds, what begins by itself, doubts, undo, corrections."""

from __future__ import annotations

import pytest
from days import BARLEY, Day, gravity, starch, temperature, volume

from mashday.engine import asks, calls, intents, undo
from mashday.engine import facts as f
from mashday.engine.decide import RULES
from mashday.engine.decision import Refused
from mashday.engine.fold import replay
from mashday.engine.moves import ALL, ALLOWED, moves, refusal
from mashday.engine.state import State
from mashday.schedule.door import load

SAMPLES: dict[type[intents.Intent], intents.Intent] = {
    intents.Start: intents.Start(),
    intents.Done: intents.Done(),
    intents.Skip: intents.Skip(),
    intents.Extend: intents.Extend(10.0),
    intents.Hold: intents.Hold(),
    intents.Resume: intents.Resume(),
    intents.TakeReading: temperature(62.9),
    intents.AnswerUnknown: intents.AnswerUnknown(),
    intents.AddWater: intents.AddWater(0.5, "0.5 L", 95.0),
    intents.GiveAmount: intents.GiveAmount("grain", 4.9, "4.9 kg"),
    intents.Correct: intents.Correct(1, 63.0, "C", "63", 63.0),
    intents.Void: intents.Void(1),
    intents.TakeRemedy: intents.TakeRemedy(1),
    intents.LeaveIt: intents.LeaveIt(),
    intents.TickItem: intents.TickItem(),
    intents.WriteNote: intents.WriteNote("a note"),
    intents.WriteClosingLine: intents.WriteClosingLine("change", "heat higher"),
    intents.Acknowledge: intents.Acknowledge(),
    intents.Snooze: intents.Snooze(2),
    intents.Mute: intents.Mute(),
    intents.ChooseUnits: intents.ChooseUnits(),
    intents.Undo: intents.Undo(),
    intents.Finish: intents.Finish(),
    intents.Abort: intents.Abort(),
}


def in_phase(phase: str) -> Day:
    day = Day(load(BARLEY))
    if phase == "idle":
        return day
    day.to_step(4)
    if phase == "held":
        day.send(intents.Hold())
    elif phase == "complete":
        day.send(intents.Finish(sure=True))
    elif phase == "aborted":
        day.send(intents.Abort(sure=True))
    return day


def test_every_intent_has_a_rule_and_a_place_in_the_table() -> None:
    assert set(RULES) == set(ALL) == set(SAMPLES)


@pytest.mark.parametrize("phase", list(ALLOWED))
@pytest.mark.parametrize("kind", ALL, ids=lambda kind: kind.__name__)
def test_what_the_phase_table_leaves_out_is_refused_with_a_sentence(
    phase: str, kind: type[intents.Intent]
) -> None:
    day = in_phase(phase)
    assert day.state.phase == phase
    if kind in ALLOWED[day.state.phase]:
        return
    assert kind not in moves(day.schedule, day.state, day.t)
    why = day.refused(SAMPLES[kind])
    assert why.endswith(".") and len(why) < 120


@pytest.mark.parametrize("phase", list(ALLOWED))
@pytest.mark.parametrize("kind", ALL, ids=lambda kind: kind.__name__)
def test_moves_and_refusals_agree(phase: str, kind: type[intents.Intent]) -> None:
    day = in_phase(phase)
    allowed = kind in moves(day.schedule, day.state, day.t)
    assert allowed == (refusal(day.schedule, day.state, kind, day.t) is None)
    if not allowed:
        assert isinstance(day.ask(SAMPLES[kind]), Refused)


def test_a_refusal_changes_nothing(resting: Day) -> None:
    before = resting.state
    resting.refused(intents.Start())
    assert resting.state is before


def test_the_day_begins_with_its_first_step(day: Day) -> None:
    assert day.send(intents.Start()) == (f.DayStarted(), f.StepBegun(1))
    assert (day.state.phase, day.state.step) == ("running", 1)


def test_open_items_of_a_checklist_are_doubted_once(day: Day) -> None:
    day.send(intents.Start())
    day.send(intents.TickItem())
    assert "1 of 2 items" in day.doubted(intents.Done())
    day.send(intents.TickItem(value="shut"))
    assert day.state.records[0].ticks == ((1, ""), (2, "shut"))
    day.send(intents.Done())
    assert day.state.step == 2


def test_strike_water_has_to_be_read_or_assumed_before_going_on(day: Day) -> None:
    day.to_step(2)
    assert "temperature" in day.refused(intents.Done())
    found = day.send(intents.AnswerUnknown())
    assert isinstance(found[0], f.ReadingTaken) and found[0].assumed
    day.send(intents.Done())
    assert day.state.step == 3


def test_water_short_of_its_target_is_doubted(day: Day) -> None:
    day.to_step(2)
    day.read(60.0)
    assert "short of" in day.doubted(intents.Done())


@pytest.mark.parametrize("seconds", [-1, 0, 1])
def test_no_call_comes_before_its_moment(resting: Day, seconds: int) -> None:
    first = asks.asks(resting.schedule, resting.state)[0]
    resting.t = resting.state.t + first.due - resting.state.running(resting.state.t) + seconds
    due = [call.key for call in calls.calls(resting.schedule, resting.state, resting.t)]
    assert (first.key in due) == (seconds >= 0)


@pytest.mark.parametrize("seconds", [-1, 0, 1])
def test_the_time_of_a_rest_is_over_exactly_when_it_is(resting: Day, seconds: int) -> None:
    resting.after(minutes=60, seconds=seconds)
    left = calls.remaining_seconds(resting.schedule, resting.state, resting.t)
    assert left == pytest.approx(-seconds)
    kinds = {call.kind for call in calls.calls(resting.schedule, resting.state, resting.t)}
    assert ("time" in kinds) == (seconds >= 0)


def test_a_hold_stops_the_clock_and_what_is_asked(resting: Day) -> None:
    resting.after(minutes=4).send(intents.Hold())
    left = calls.remaining_seconds(resting.schedule, resting.state, resting.t)
    resting.after(minutes=30)
    assert calls.remaining_seconds(resting.schedule, resting.state, resting.t) == left
    assert not calls.calls(resting.schedule, resting.state, resting.t)
    resting.send(intents.Resume())
    assert calls.remaining_seconds(resting.schedule, resting.state, resting.t) == left
    resting.after(seconds=59)
    assert not calls.calls(resting.schedule, resting.state, resting.t)
    resting.after(seconds=1)
    assert [c.quantity for c in calls.calls(resting.schedule, resting.state, resting.t)] == ["temperature"]


def test_while_held_readings_are_still_taken(resting: Day) -> None:
    resting.after(minutes=6).send(intents.Hold())
    resting.after(minutes=5).read(62.8)
    assert resting.state.valid("temperature", 4)[-1].metric == 62.8


def test_more_and_fewer_minutes(resting: Day) -> None:
    resting.after(minutes=10).send(intents.Extend(15.0))
    assert calls.remaining_seconds(resting.schedule, resting.state, resting.t) == 65 * 60
    resting.send(intents.Extend(-60.0))
    assert calls.remaining_seconds(resting.schedule, resting.state, resting.t) == 5 * 60
    assert "left to take away" in resting.refused(intents.Extend(-6.0))
    assert "Between" in resting.refused(intents.Extend(601.0))


def test_a_rest_goes_on_by_itself_into_the_starch_check(resting: Day) -> None:
    resting.after(minutes=6).read(62.8)
    for minutes in (20, 20):
        resting.after(minutes=minutes).read(62.6)
    resting.after(minutes=13, seconds=59)
    assert resting.tick() == ()
    resting.after(seconds=1)
    assert resting.tick() == (f.StepEnded(4, "by itself"), f.StepBegun(5, True))
    kinds = [call.kind for call in calls.calls(resting.schedule, resting.state, resting.t)]
    assert "begun" in kinds


def test_nothing_goes_on_by_itself_past_a_reading_that_is_due(resting: Day) -> None:
    resting.after(minutes=61)
    assert asks.due(resting.schedule, resting.state, resting.t)
    assert resting.tick() == ()
    resting.read(62.9)
    assert resting.tick()[0] == f.StepEnded(4, "by itself")


def test_nothing_goes_on_by_itself_past_an_open_remedy(resting: Day) -> None:
    resting.after(minutes=59).read(60.5)
    resting.after(minutes=2)
    assert resting.tick() == ()
    resting.send(intents.LeaveIt())
    assert resting.tick()


def test_nothing_goes_on_by_itself_while_a_fire_may_still_be_on(resting: Day) -> None:
    resting.after(minutes=59).read(60.5)
    assert resting.state.offer is not None
    fire = next(way for way in resting.state.offer.options if way.way == "fire")
    resting.send(intents.TakeRemedy(fire.option))
    resting.after(minutes=2)
    assert resting.tick() == ()
    resting.after(minutes=5).read(62.9)
    assert resting.tick() == ()
    resting.send(intents.Acknowledge())
    assert resting.tick()[0] == f.StepEnded(4, "by itself")


COOKED = BARLEY.replace(
    '[[step]]\nkind = "heat"',
    '[[step]]\nkind = "cook"\ntarget = "95 C"\ntime = "30 min"\nwater = "4 L"\ngrain = ["maize"]\n'
    '[[step]]\nkind = "heat"',
).replace("[[grain]]", '[[grain]]\nname = "maize"\nkind = "raw maize"\nmass = "1 kg"\n[[grain]]', 1)


def test_a_cook_far_below_its_target_starts_its_time_only_after_a_doubt() -> None:
    day = Day(load(COOKED)).to_step(2)
    day.read(60.0)
    assert "35.0 C short of 95.0 C" in day.doubted(intents.Done())
    assert day.send(intents.Done(sure=True))[0] == f.ClockStarted(2)


def test_nothing_goes_on_by_itself_where_the_person_confirms() -> None:
    day = Day(load(BARLEY.replace('band = "1 C"', 'band = "1 C"\nconfirm = true'))).to_step(4)
    day.after(minutes=59).read(62.9)
    day.after(minutes=5)
    assert day.tick() == ()
    assert [call.kind for call in calls.calls(day.schedule, day.state, day.t)] == ["time"]


def test_ending_a_rest_early_is_doubted_with_what_is_left(resting: Day) -> None:
    resting.after(minutes=20).read(62.9)
    assert "40 min" in resting.doubted(intents.Done())


def test_a_failed_starch_check_is_asked_again_after_its_time(resting: Day) -> None:
    resting.to_step(5)
    resting.send(starch(False))
    assert asks.due(resting.schedule, resting.state, resting.t) == ()
    assert "showed starch" in resting.doubted(intents.Done())
    resting.after(minutes=14, seconds=59)
    assert asks.due(resting.schedule, resting.state, resting.t) == ()
    resting.after(seconds=1)
    assert [ask.quantity for ask in asks.due(resting.schedule, resting.state, resting.t)] == ["starch"]
    assert "starch check" in resting.refused(intents.Done())
    resting.send(starch(True))
    resting.send(intents.Done())
    assert resting.state.step == 6


def test_after_two_failures_and_ninety_minutes_going_on_is_offered(resting: Day) -> None:
    resting.after(minutes=60).to_step(5)
    for _ in range(2):
        resting.send(starch(False))
        resting.after(minutes=16)
    assert "Go on?" in resting.doubted(intents.Done())
    resting.send(intents.Done(sure=True))
    assert resting.state.step == 6


def test_starch_cannot_be_assumed(resting: Day) -> None:
    resting.to_step(5)
    assert "starch pass" in resting.refused(intents.AnswerUnknown())


@pytest.mark.parametrize(
    "intent",
    [
        temperature(120.0),
        temperature(-20.0),
        temperature(float("nan")),
        temperature(float("inf")),
        gravity(1.6),
        gravity(0.5),
        gravity(float("nan")),
        volume(0.0),
        volume(-3.0),
        volume(float("inf")),
        intents.TakeReading("ph", 14.5, "pH", "14.5", 14.5),
        intents.AddWater(-1.0, "-1 L", 95.0),
        intents.AddWater(1.0, "1 L at 300", 300.0),
        intents.AddWater(float("nan"), "nan", 95.0),
        intents.GiveAmount("grain", 0.0, "0 kg"),
    ],
)
def test_what_cannot_be_is_refused_with_what_would_do(resting: Day, intent: intents.Intent) -> None:
    why = resting.refused(intent)
    assert "cannot" in why or "more than nothing" in why


def test_ninety_five_in_a_rest_at_63_is_asked_about_before_it_is_believed(resting: Day) -> None:
    resting.after(minutes=6)
    assert "95.0 C" in resting.doubted(temperature(95.0))
    found = resting.read(95.0, sure=True)
    assert isinstance(found[0], f.ReadingTaken) and found[0].kept


def test_a_hot_sample_is_no_gravity(resting: Day) -> None:
    resting.to_step(6)
    assert "30 C" in resting.refused(gravity(1.050, sample=70.0))


def test_a_gravity_without_its_sample_temperature_asks_for_it(resting: Day) -> None:
    resting.to_step(6)
    resting.send(gravity(1.075))
    ask = asks.question(resting.schedule, resting.state, resting.t)
    assert ask is not None and ask.quantity == "sample temperature"
    resting.send(intents.TakeReading("sample temperature", 30.0, "C", "30", 30.0))
    reading = resting.state.valid("gravity")[-1]
    # a sample at 30 C reads about 3 points low (OIML/ICUMSA density of sucrose solutions)
    assert 1.0775 < reading.metric < 1.0785
    assert reading.fact.sample_celsius == 30.0


def test_an_unknown_sample_temperature_is_taken_as_the_scale_s_own(resting: Day) -> None:
    resting.to_step(6)
    resting.send(gravity(1.075))
    found = resting.send(intents.AnswerUnknown())
    assert isinstance(found[0], f.SampleTemperatureGiven) and found[0].assumed and found[0].celsius == 20.0


def test_undo_takes_back_the_last_reading_and_its_offer(resting: Day) -> None:
    resting.after(minutes=6).read(60.5)
    assert resting.state.offer is not None
    found = resting.send(intents.Undo())
    assert isinstance(found[0], f.Undone) and "60.5" in found[0].what
    assert resting.state.offer is None
    struck = [r for r in resting.state.readings if r.voided]
    assert [r.metric for r in struck] == [60.5]


def test_undo_of_a_step_end_takes_the_step_up_where_it_was(resting: Day) -> None:
    resting.after(minutes=59).read(62.8)
    resting.after(minutes=1).tick()
    resting.send(starch(True))
    resting.after(minutes=1).send(intents.Done())
    assert resting.state.step == 6
    resting.send(intents.Undo())
    assert resting.state.step == 5
    assert resting.state.current is not None and resting.state.current.ended is None


def test_undo_of_a_done_also_takes_back_what_began_by_itself_after_it() -> None:
    text = BARLEY.replace('time = "60 min"', 'time = "1 min"').replace('read_every = "20 min"\n', "")
    day = Day(load(text)).to_step(3)
    day.send(intents.Done(sure=True))
    day.after(minutes=1).send(intents.AnswerUnknown())
    day.tick()
    assert day.state.step == 5
    day.send(intents.Undo())
    day.send(intents.Undo())
    assert day.state.step == 3


def test_undo_goes_back_one_thing_after_the_other(resting: Day) -> None:
    resting.send(intents.WriteNote("lid off"))
    resting.after(minutes=6).read(62.9)
    resting.send(intents.Undo())
    resting.send(intents.Undo())
    assert resting.state.notes == ()
    number = resting.state.readings[-1].number
    assert resting.state.undone == (f"reading {number}, 62.9 C", "note: lid off")


def test_a_new_day_has_nothing_to_take_back(day: Day) -> None:
    day.send(intents.Start())
    assert undo.last_act(day.state) is None
    assert "nothing to take back" in day.refused(intents.Undo())


def test_a_correction_keeps_what_was_entered_first(resting: Day) -> None:
    resting.after(minutes=6).read(62.1)
    number = resting.state.readings[-1].number
    resting.send(intents.Correct(number, 62.6, "C", "62.6", 62.6))
    resting.send(intents.Correct(number, 62.7, "C", "62.7", 62.7))
    reading = resting.state.valid("temperature")[-1]
    assert (reading.metric, reading.typed) == (62.7, ("62.1", "62.6", "62.7"))


def test_a_correction_into_the_band_closes_the_offer(resting: Day) -> None:
    resting.after(minutes=6).read(59.8)
    number = resting.state.readings[-1].number
    resting.send(intents.Correct(number, 62.8, "C", "62.8", 62.8))
    assert resting.state.offer is None


def test_a_correction_out_of_the_band_makes_a_new_offer(resting: Day) -> None:
    resting.after(minutes=6).read(62.8)
    number = resting.state.readings[-1].number
    resting.send(intents.Correct(number, 60.8, "C", "60.8", 60.8))
    assert resting.state.offer is not None and resting.state.offer.is_open


def test_a_voided_reading_counts_for_nothing_and_stays(resting: Day) -> None:
    resting.after(minutes=6).read(62.8)
    number = resting.state.readings[-1].number
    resting.send(intents.Void(number))
    assert resting.state.valid("temperature", 4) == ()
    assert resting.state.readings[-1].voided
    assert "no reading" in resting.refused(intents.Void(number))


def test_calls_are_answered_with_how_late(resting: Day) -> None:
    resting.after(minutes=8)
    found = resting.send(intents.Acknowledge())
    assert [fact.late_seconds for fact in found if isinstance(fact, f.CallAnswered)] == [180.0]
    call = calls.calls(resting.schedule, resting.state, resting.t)[0]
    assert call.acknowledged and not call.rings
    assert "Nothing calls" in resting.refused(intents.Acknowledge())


def test_a_reading_answers_the_call_for_it(resting: Day) -> None:
    found = resting.after(minutes=7).read(62.9)
    assert [fact.late_seconds for fact in found if isinstance(fact, f.CallAnswered)] == [120.0]


def test_a_snoozed_call_comes_back_by_itself(resting: Day) -> None:
    resting.after(minutes=5).send(intents.Snooze(2))
    assert not calls.calls(resting.schedule, resting.state, resting.t + 119)[0].rings
    assert calls.calls(resting.schedule, resting.state, resting.t + 120)[0].rings
    assert "1, 2 or 5" in resting.refused(intents.Snooze(7))


def test_muting_lasts_two_minutes_and_a_new_call_breaks_through(resting: Day) -> None:
    resting.after(minutes=59).send(intents.Mute())
    assert not any(c.rings for c in calls.calls(resting.schedule, resting.state, resting.t + 30))
    later = calls.calls(resting.schedule, resting.state, resting.t + 60)
    assert [call.kind for call in later if call.rings] == ["time"]
    assert all(c.rings for c in calls.calls(resting.schedule, resting.state, resting.t + 120))


def test_finish_and_abort_are_asked_about_first(resting: Day) -> None:
    assert "steps not done" in resting.doubted(intents.Finish())
    assert "heat off" in resting.doubted(intents.Abort())
    resting.send(intents.Abort(sure=True))
    assert resting.state.phase == "aborted" and resting.state.left


def test_the_last_step_ends_the_day(day: Day) -> None:
    day.to_step(9)
    found = day.send(intents.Done(sure=True))
    assert found[-1] == f.DayEnded("complete")
    assert day.state.phase == "complete"


def test_skip_is_asked_about_and_marked(resting: Day) -> None:
    assert "Leave out step 4" in resting.doubted(intents.Skip())
    resting.send(intents.Skip(sure=True))
    record = resting.state.record(4)
    assert record is not None and record.how == "skipped"


def test_pitching_asks_temperature_gravity_and_volume(day: Day) -> None:
    day.to_step(8)
    assert [ask.quantity for ask in asks.asks(day.schedule, day.state)] == [
        "temperature",
        "gravity",
        "volume",
    ]
    day.read(22.0)
    day.send(gravity(1.062, sample=22.0))
    day.send(volume(19.6))
    assert asks.asks(day.schedule, day.state) == ()
    day.send(intents.Done())
    assert day.state.step == 9


def test_a_boil_runs_from_when_it_boils() -> None:
    text = BARLEY.replace(
        '[[step]]\nkind = "cool"', '[[step]]\nkind = "boil"\ntime = "30 min"\n[[step]]\nkind = "cool"'
    )
    day = Day(load(text)).to_step(7)
    assert calls.remaining_seconds(day.schedule, day.state, day.t) is None
    day.after(minutes=20)
    assert day.send(intents.Done())[0] == f.ClockStarted(7)
    assert calls.remaining_seconds(day.schedule, day.state, day.t) == 30 * 60
    day.after(minutes=30)
    standing = calls.calls(day.schedule, day.state, day.t)
    assert [(call.kind, call.urgency) for call in standing] == [("time", "danger")]


def test_replaying_no_entries_is_the_day_before_its_first() -> None:
    assert replay(()) == State()


@pytest.mark.parametrize("sample", [20.0, 60.0])
def test_a_gravity_stronger_than_any_wort_is_refused_once_it_is_put_right_too(sample: float) -> None:
    day = Day(load(BARLEY)).to_step(6)
    # 1.180 is 40 Plato; at 60 C a hydrometer shows some 0.017 less (SPS-4, by science.gravity).
    assert "cannot be" in day.refused(gravity(1.181 if sample == 20.0 else 1.178, sample))


def test_below_the_sea_no_reading_is_hotter_than_water_is_reckoned() -> None:
    day = Day(load(BARLEY.replace("[place]", '[place]\naltitude = "-400 m"'))).to_step(2)
    assert "cannot be" in day.refused(temperature(102.5))
