"""Taking back: whatever was entered last, the day is as it was before it, and the log keeps it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from days import BARLEY, Day, gravity, starch, temperature

from mashday.engine import calls, intents
from mashday.engine import facts as f
from mashday.engine.sound import believed
from mashday.engine.state import State
from mashday.schedule.door import load

LISTED = BARLEY.replace('time = "60 min"', 'time = "60 min"\nchecklist = ["lid on", "blanket on"]')


def standing(state: State) -> State:
    """What counts of a state: without its log, its place in it, and what is struck out."""
    return replace(state, t=0.0, seq=0, log=(), undone=(), readings=state.valid())


def offered(day: Day) -> None:
    day.read(60.5)


def taken(day: Day) -> None:
    day.read(60.5)
    day.send(intents.TakeRemedy(1))


def held(day: Day) -> None:
    day.send(intents.Hold())
    day.after(minutes=3)


def sampled(day: Day) -> None:
    day.send(gravity(1.075))


def read(day: Day) -> None:
    day.read(62.5)


def nothing(day: Day) -> None:
    day.send(intents.WriteNote("before"))


CASES: dict[str, tuple[Callable[[Day], None], Callable[[Day], intents.Intent]]] = {
    "reading": (nothing, lambda day: temperature(62.6)),
    "reading with its offer": (nothing, lambda day: temperature(60.6)),
    "gravity": (nothing, lambda day: gravity(1.07, 24.0)),
    "sample temperature": (
        sampled,
        lambda day: intents.TakeReading("sample temperature", 30.0, "C", "30", 30.0),
    ),
    "correction": (read, lambda day: intents.Correct(last(day), 60.2, "C", "60.2", 60.2)),
    "void": (read, lambda day: intents.Void(last(day))),
    "water": (nothing, lambda day: intents.AddWater(1.0, "1 L at 95 C", 95.0)),
    "water of a remedy": (taken, lambda day: intents.AddWater(1.1, "1.1 L")),
    "amount": (nothing, lambda day: intents.GiveAmount("grain", 4.8, "4.8 kg")),
    "remedy taken": (offered, lambda day: intents.TakeRemedy(1)),
    "remedy left": (offered, lambda day: intents.LeaveIt()),
    "item": (nothing, lambda day: intents.TickItem(value="on")),
    "note": (nothing, lambda day: intents.WriteNote("lid off")),
    "change of time": (nothing, lambda day: intents.Extend(15.0)),
    "hold": (nothing, lambda day: intents.Hold()),
    "resume": (held, lambda day: intents.Resume()),
    "step end": (read, lambda day: intents.Done(sure=True)),
    "step left out with its offer": (offered, lambda day: intents.Skip(sure=True)),
}


def last(day: Day) -> int:
    return day.state.readings[-1].number


@pytest.mark.parametrize("case", CASES)
def test_after_taking_it_back_the_day_is_as_it_was(case: str) -> None:
    before, intent = CASES[case]
    day = Day(load(LISTED)).to_step(4)
    day.read(62.9)
    day.after(minutes=8)
    before(day)
    stood = day.state
    entered = day.send(intent(day))
    day.after(minutes=1)
    undone = day.send(intents.Undo())
    assert standing(day.state) == standing(stood)
    assert isinstance(undone[0], f.Undone) and undone[0].what == day.state.undone[-1] != "nothing"
    assert [entry.fact for entry in day.state.log][len(stood.log) : -1] == list(entered)
    struck = [r for r in day.state.readings if r not in stood.readings]
    assert all(reading.voided for reading in struck)
    taken_in = [fact for fact in entered if isinstance(fact, f.ReadingTaken)]
    assert [reading.fact for reading in struck] == taken_in


def test_taking_back_again_goes_on_to_what_was_entered_before(resting: Day) -> None:
    resting.after(minutes=6)
    stood = [resting.state]
    for intent in (
        intents.WriteNote("lid off"),
        temperature(60.5),
        intents.TakeRemedy(1),
        intents.AddWater(1.1, "1.1 L"),
        intents.Extend(5.0),
    ):
        resting.after(minutes=0.5).send(intent)
        stood.append(resting.state)
    for before in reversed(stood[:-1]):
        resting.after(seconds=5).send(intents.Undo())
        assert standing(resting.state) == standing(before)


def test_what_is_entered_after_taking_back_is_what_is_taken_back_next(resting: Day) -> None:
    resting.after(minutes=6).read(62.2)
    resting.send(intents.Undo())
    resting.read(62.4)
    resting.send(intents.Undo())
    numbers = [reading.number for reading in resting.state.readings if reading.step == 4]
    assert resting.state.undone == (f"reading {numbers[0]}, 62.2 C", f"reading {numbers[1]}, 62.4 C")
    assert [reading.voided for reading in resting.state.readings if reading.step == 4] == [True, True]


def test_answers_to_calls_are_passed_over(resting: Day) -> None:
    resting.send(intents.WriteNote("lid off"))
    resting.after(minutes=6).send(intents.Acknowledge())
    resting.send(intents.ChooseUnits())
    resting.send(intents.Undo())
    assert resting.state.undone == ("note: lid off",)
    assert len(resting.state.answered) == 1 and resting.state.units == "us"


def test_time_taken_away_by_mistake_brings_the_rest_back_that_ended_by_it(resting: Day) -> None:
    resting.after(minutes=20).read(62.9)
    resting.send(intents.Extend(-40.0))
    assert resting.tick()[-1] == f.StepBegun(5, True)
    resting.after(minutes=1).send(intents.Undo())
    assert resting.state.step == 4
    assert calls.remaining_seconds(resting.schedule, resting.state, resting.t) == 39 * 60


def test_a_remedy_left_by_mistake_is_open_again_in_its_own_step(resting: Day) -> None:
    resting.after(minutes=59).read(60.5)
    resting.after(minutes=2).send(intents.LeaveIt())
    assert resting.tick()[-1] == f.StepBegun(5, True)
    resting.send(intents.Undo())
    assert resting.state.step == 4 and resting.state.offer is not None and resting.state.offer.is_open
    assert resting.tick() == ()


def test_an_offer_that_is_open_again_is_open_in_its_own_step(resting: Day) -> None:
    resting.after(minutes=50).read(60.5)
    resting.after(minutes=4).read(63.0)
    assert resting.after(minutes=6).tick()[-1] == f.StepBegun(5, True)
    resting.after(minutes=1).send(intents.Undo())
    assert resting.state.step == 4 and resting.state.offer is not None and resting.state.offer.is_open
    way = next(one for one in resting.state.offer.options if one.way == "more time")
    resting.send(intents.TakeRemedy(way.option))
    assert believed(resting.schedule, resting.state.log) == (resting.state, None)


def test_water_that_is_to_be_told_again_is_asked_for_in_its_own_step(resting: Day) -> None:
    resting.after(minutes=40).read(60.5)
    resting.send(intents.TakeRemedy(1))
    resting.after(minutes=2).send(intents.AddWater(1.0, "1 L at 95 C", 95.0))
    resting.after(minutes=6).read(63.0)
    while resting.state.step == 4:
        resting.after(minutes=5).tick()
    for _ in range(2):
        resting.send(intents.Undo())
    assert resting.state.step == 4 and resting.state.untold is not None
    assert resting.tick() == ()


def test_a_note_taken_back_leaves_the_step_that_began_by_itself(resting: Day) -> None:
    resting.after(minutes=59).read(62.9)
    resting.send(intents.WriteNote("lid off"))
    resting.after(minutes=1).tick()
    resting.send(intents.Undo())
    assert resting.state.step == 5 and resting.state.notes == ()


def test_a_starch_check_taken_back_is_asked_again_at_once(resting: Day) -> None:
    resting.to_step(5)
    resting.send(starch(False))
    resting.send(intents.Undo())
    found = calls.calls(resting.schedule, resting.state, resting.t)
    assert [call.quantity for call in found if call.kind == "ask"] == ["starch"]


@pytest.mark.parametrize(("litres", "told"), [(17.25, "17.25 L"), (0.86, "0.86 L"), (20.0, "20.00 L")])
def test_a_volume_taken_back_is_told_as_it_was_read(resting: Day, litres: float, told: str) -> None:
    resting.send(intents.TakeReading("volume", litres, "L", told, litres, sure=True))
    (undone,) = resting.send(intents.Undo())
    assert isinstance(undone, f.Undone) and undone.what.endswith(f", {told}")
