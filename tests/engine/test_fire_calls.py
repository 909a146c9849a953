"""The heat of a remedy: nothing but the person's word for it says that it is off."""

from __future__ import annotations

from days import BARLEY, Day

from mashday.engine import calls, intents
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
