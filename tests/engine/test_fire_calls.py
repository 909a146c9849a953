"""The heat of a remedy: nothing but the person's word for it says that it is off."""

from __future__ import annotations

import pytest
from days import BARLEY, Day

from mashday.engine import calls, intents
from mashday.engine import facts as f
from mashday.schedule.door import load


def on_fire(text: str = BARLEY, celsius: float = 61.0) -> Day:
    """A day in its rest, read at so much, with the way by fire just taken."""
    day = Day(load(text)).to_step(4).after(minutes=6)
    day.read(celsius, sure=True)
    return take_fire(day)


def take_fire(day: Day) -> Day:
    option = next(one for one in day.state.offers[-1].options if one.way == "fire")
    assert option.possible, option.why
    day.send(intents.TakeRemedy(option.option))
    return day


def minutes_of(day: Day) -> float:
    """How long the fire is to burn, minutes."""
    offer = max((one for one in day.state.offers if one.taken_run is not None), key=lambda one: one.number)
    assert offer.way_taken is not None
    return offer.way_taken.minutes


def burnt() -> Day:
    """The same with its minutes over: the heat is to be turned off."""
    day = on_fire()
    return day.after(minutes=minutes_of(day), seconds=1)


def fire(day: Day) -> calls.Call | None:
    found = [call for call in calls.calls(day.schedule, day.state, day.t) if call.way == "fire"]
    assert len(found) < 2
    return found[0] if found else None


def fire_rings(day: Day) -> bool:
    call = fire(day)
    return call is not None and call.rings


def test_heat_off_said_in_a_hold_does_not_speak_for_the_fire_that_is_lit_again() -> None:
    day = on_fire()
    day.after(seconds=20).send(intents.Hold())
    assert fire_rings(day)
    day.send(intents.Acknowledge())
    assert not fire_rings(day)
    day.after(minutes=1).send(intents.Resume())
    assert fire(day) is None
    day.after(minutes=minutes_of(day))
    assert fire_rings(day)
    day.read(61.5)
    assert fire_rings(day)
    day.send(intents.Acknowledge())
    assert not fire_rings(day)


def test_heat_off_said_in_a_hold_does_not_speak_for_the_step_after() -> None:
    day = on_fire()
    day.after(seconds=20).send(intents.Hold())
    day.send(intents.Acknowledge())
    day.after(minutes=1).send(intents.Resume())
    day.after(seconds=10).send(intents.Skip(sure=True))
    assert day.state.step == 5 and fire_rings(day)


def test_a_fire_that_is_taken_back_calls_until_its_heat_is_said_to_be_off() -> None:
    day = burnt()
    day.after(minutes=2).send(intents.Undo())
    assert day.state.offer is not None and day.state.offer.is_open
    call = fire(day)
    # derived: over for a second when it was two minutes ago
    assert call is not None and call.rings and call.late_seconds == pytest.approx(121.0)
    day.after(minutes=30).send(intents.LeaveIt())
    day.read(62.8, sure=True)
    assert fire_rings(day)
    day.send(intents.Acknowledge())
    assert fire(day) is None


def test_a_fire_that_is_taken_back_before_its_minutes_are_over_calls_at_once() -> None:
    day = on_fire()
    day.after(seconds=30).send(intents.Undo())
    call = fire(day)
    assert call is not None and call.rings and call.late_seconds == 0.0


def test_a_fire_said_to_be_off_is_taken_back_in_silence() -> None:
    day = burnt()
    day.send(intents.Acknowledge())
    day.after(minutes=1).send(intents.Undo())
    assert fire(day) is None


def test_a_fire_that_is_taken_again_after_it_was_taken_back_burns_its_minutes() -> None:
    day = on_fire()
    day.after(seconds=30).send(intents.Undo())
    day.send(intents.Acknowledge())
    take_fire(day.after(seconds=30))
    assert fire(day) is None
    day.after(minutes=minutes_of(day))
    assert fire_rings(day)


def test_water_that_is_taken_back_leaves_no_call() -> None:
    day = Day(load(BARLEY)).to_step(4).after(minutes=6)
    day.read(61.0)
    water = next(one for one in day.state.offers[-1].options if one.way == "hot water")
    day.send(intents.TakeRemedy(water.option))
    found = day.send(intents.Undo())
    assert found == (f.Undone((day.state.seq - 1,), "remedy taken"),)
    assert fire(day) is None


ENDS_IN_THE_REST = BARLEY[: BARLEY.index('[[step]]\nkind = "starch-check"')]


@pytest.mark.parametrize("over", [True, False])
def test_a_day_is_not_ended_over_a_fire_without_asking_whether_its_heat_is_off(over: bool) -> None:
    day = on_fire(ENDS_IN_THE_REST)
    day.after(minutes=minutes_of(day) + 4 if over else 0.5)
    if over:
        day.read(62.8)
    doubt = day.doubted(intents.Done())
    assert doubt.startswith("First: is the heat off?") and "min of this step are left" in doubt
    assert day.doubted(intents.Skip()).startswith("First: is the heat off?")
    if over:
        day.send(intents.Acknowledge())
        assert "heat" not in day.doubted(intents.Done())


def test_a_day_whose_last_step_is_over_asks_for_the_heat_alone() -> None:
    day = on_fire(ENDS_IN_THE_REST)
    day.after(minutes=minutes_of(day) + 4).read(62.9)
    day.after(minutes=30).read(62.8)
    day.after(minutes=30)
    assert day.doubted(intents.Done()) == "First: is the heat off? End the day?"
    assert day.send(intents.Done(sure=True))[-1] == f.DayEnded("complete")


def test_nothing_goes_on_by_itself_while_a_fire_rings() -> None:
    day = on_fire()
    day.after(minutes=minutes_of(day) + 4).read(62.9)
    day.after(minutes=30).read(62.8)
    day.after(minutes=30)
    assert fire_rings(day) and day.tick() == ()
    day.send(intents.Acknowledge("way-" + str(day.state.offers[-1].number)))
    assert day.tick()[-1] == f.StepBegun(5, True)


def test_an_unknown_in_place_of_the_reading_lets_nothing_go_on_over_a_fire() -> None:
    day = on_fire()
    day.send(intents.AnswerUnknown())
    day.send(intents.Extend(-50.0))
    day.after(minutes=5)
    assert day.tick() == ()


RAISED = BARLEY.replace(
    '[[step]]\nkind = "starch-check"',
    '[[step]]\nkind = "raise"\ntarget = "72 C"\n'
    '[[step]]\nkind = "rest"\ntarget = "72 C"\ntime = "20 min"\n[[step]]\nkind = "starch-check"',
)


def test_a_fire_forgotten_before_a_raise_by_fire_is_late_only_since_the_raise() -> None:
    day = on_fire(RAISED)
    day.after(minutes=5).send(intents.Skip(sure=True))
    assert day.state.step == 5 and fire(day) is None
    day.after(minutes=40).read(72.0)
    day.send(intents.Done(sure=True))
    day.after(seconds=10)
    call = fire(day)
    assert call is not None and call.rings and call.late_seconds == 10.0


BESIDE = BARLEY.replace(
    '[[step]]\nkind = "starch-check"',
    '[[step]]\nkind = "heat"\nwater = "5 L"\ntarget = "78 C"\n[[step]]\nkind = "starch-check"',
)


def test_water_heated_beside_the_mash_leaves_a_fire_under_it_calling() -> None:
    day = on_fire(BESIDE)
    day.after(minutes=5).send(intents.Skip(sure=True))
    assert day.schedule.step(day.state.step).kind == "heat" and fire_rings(day)


def rings_with_another() -> Day:
    """The heat of a fire made quiet for five minutes, and the reading after it due beside it."""
    day = burnt()
    day.send(intents.Snooze(5))
    return day.after(minutes=3)


def test_a_word_for_another_call_does_not_say_that_a_quiet_fire_is_off() -> None:
    day = rings_with_another()
    quiet = fire(day)
    assert quiet is not None and quiet.quiet_seconds > 0.0
    (answered,) = day.send(intents.Acknowledge())
    assert isinstance(answered, f.CallAnswered) and answered.call.startswith("temperature")
    day.after(minutes=3)
    assert fire_rings(day)


def test_a_word_for_another_call_does_not_say_that_a_muted_fire_is_off() -> None:
    day = burnt()
    day.after(minutes=2).send(intents.Mute())
    day.after(minutes=1.5)
    (answered,) = day.send(intents.Acknowledge())
    assert isinstance(answered, f.CallAnswered) and answered.call.startswith("temperature")
    day.after(minutes=1)
    assert fire_rings(day)


def test_a_word_while_the_fire_rings_first_answers_the_fire_alone() -> None:
    day = burnt()
    day.after(minutes=3)
    assert len(calls.calls(day.schedule, day.state, day.t)) == 2
    (answered,) = day.send(intents.Acknowledge())
    assert isinstance(answered, f.CallAnswered) and answered.call.startswith("way-")
    (second,) = day.send(intents.Acknowledge())
    assert isinstance(second, f.CallAnswered) and second.call.startswith("temperature")


def test_a_fire_that_is_named_is_answered_though_it_is_quiet() -> None:
    day = rings_with_another()
    quiet = fire(day)
    assert quiet is not None
    (answered,) = day.send(intents.Acknowledge(quiet.key))
    assert isinstance(answered, f.CallAnswered) and answered.call == quiet.key


def test_where_everything_is_quiet_a_word_answers_nothing() -> None:
    day = burnt()
    day.send(intents.Snooze(5))
    assert "calls again by itself" in day.refused(intents.Acknowledge())
    assert fire(day) is not None


def test_a_call_that_is_answered_is_not_answered_again() -> None:
    day = rings_with_another()
    quiet = fire(day)
    assert quiet is not None
    day.send(intents.Acknowledge(quiet.key))
    assert "answered already" in day.refused(intents.Acknowledge(quiet.key))


def test_a_fire_grows_late_while_the_day_is_held() -> None:
    day = on_fire()
    day.after(seconds=20).send(intents.Hold())
    day.after(minutes=40)
    call = fire(day)
    assert call is not None and call.late_seconds == 2400.0  # derived: over at once, then 40 min
    (answered,) = day.send(intents.Acknowledge())
    assert isinstance(answered, f.CallAnswered) and answered.late_seconds == 2400.0


def test_a_fire_that_was_due_before_a_hold_is_late_since_then_and_stays_so_after_it() -> None:
    day = burnt()
    day.after(minutes=1).send(intents.Hold())
    day.after(minutes=10)
    call = fire(day)
    assert call is not None and call.late_seconds == pytest.approx(661.0)  # derived: 1 s, 1 min and 10 min
    day.send(intents.Resume())
    day.after(minutes=1)
    call = fire(day)
    assert call is not None and call.late_seconds == pytest.approx(721.0)


def test_a_hold_before_a_fire_makes_it_no_later() -> None:
    day = Day(load(BARLEY)).to_step(4)
    day.send(intents.Hold())
    day.after(minutes=30).send(intents.Resume())
    day.after(minutes=6).read(61.0, sure=True)
    take_fire(day).after(minutes=minutes_of(day), seconds=5)
    call = fire(day)
    assert call is not None and call.late_seconds == pytest.approx(5.0)


def test_a_fire_that_comes_due_anew_is_not_born_quiet() -> None:
    day = on_fire()
    day.after(seconds=10).read(63.4, sure=True)
    assert fire_rings(day)
    day.send(intents.Snooze(5))
    assert not fire_rings(day)
    day.send(intents.Undo())
    day.after(minutes=minutes_of(day))
    assert fire_rings(day)
