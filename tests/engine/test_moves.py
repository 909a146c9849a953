"""The table of phases, written out once more by hand, held against moves and decide."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from days import BARLEY, Day, gravity, temperature

from mashday.engine import intents as i
from mashday.engine.decision import Refused
from mashday.engine.moves import ALL, NOT_NOW, NOT_OVER, moves
from mashday.schedule.door import load

ALWAYS = {i.WriteNote, i.ChooseUnits}
ENTERING = {i.TakeReading, i.AddWater, i.GiveAmount, i.Correct, i.Void, i.Undo, i.Finish, i.Abort}
AFTERWARDS = {i.TakeReading, i.WriteClosingLine}
TABLE = {
    "idle": ALWAYS | {i.Start, i.Finish, i.Abort},
    "running": set(ALL) - {i.Start, i.Resume, i.WriteClosingLine},
    "held": ALWAYS | ENTERING | {i.Resume, i.Acknowledge},
    "complete": ALWAYS | AFTERWARDS,
    "aborted": ALWAYS | AFTERWARDS,
}
"""ISA-88: in each state only the commands listed for it (ISA-TR88.00.02, the glossary of its phase model)."""

ANY: dict[type[i.Intent], i.Intent] = {
    i.Extend: i.Extend(5.0),
    i.TakeReading: temperature(62.9),
    i.AddWater: i.AddWater(0.5, "0.5 L", 95.0),
    i.GiveAmount: i.GiveAmount("grain", 4.9, "4.9 kg"),
    i.Correct: i.Correct(9, 62.5, "C", "62.5", 62.5),
    i.Void: i.Void(9),
    i.TakeRemedy: i.TakeRemedy(1),
    i.WriteNote: i.WriteNote("lid off"),
    i.WriteClosingLine: i.WriteClosingLine("mended", "a litre of boiling water"),
    i.Snooze: i.Snooze(2),
}


def an(kind: type[i.Intent]) -> i.Intent:
    return ANY.get(kind) or kind()


LISTED = BARLEY.replace('time = "60 min"', 'time = "60 min"\nchecklist = ["lid on", "blanket on"]')


def busy() -> Day:
    """A rest with everything open at once: a remedy, an item, a call, a reading to take back."""
    day = Day(load(LISTED)).to_step(4)
    day.after(minutes=58).read(60.5)
    return day.after(minutes=3)


PHASES: dict[str, Callable[[Day], object]] = {
    "running": lambda day: None,
    "held": lambda day: day.send(i.Hold()),
    "complete": lambda day: day.send(i.Finish(sure=True)),
    "aborted": lambda day: day.send(i.Abort(sure=True)),
}


def in_phase(phase: str) -> Day:
    if phase == "idle":
        return Day(load(LISTED))
    day = busy()
    PHASES[phase](day)
    return day


@pytest.mark.parametrize("phase", TABLE)
def test_the_phase_allows_what_the_table_says_and_nothing_else(phase: str) -> None:
    day = in_phase(phase)
    assert day.state.phase == phase
    allowed = moves(day.schedule, day.state, day.t)
    open_only = {"running": {i.AnswerUnknown}, "held": {i.Acknowledge}}.get(phase, set())
    assert allowed | open_only == TABLE[phase]


@pytest.mark.parametrize("phase", TABLE)
@pytest.mark.parametrize("kind", ALL, ids=lambda kind: kind.__name__)
def test_decide_refuses_for_the_phase_exactly_what_the_table_leaves_out(
    phase: str, kind: type[i.Intent]
) -> None:
    day = in_phase(phase)
    decision = day.ask(an(kind))
    for_the_phase = isinstance(decision, Refused) and decision.why in (NOT_NOW[day.state.phase], NOT_OVER)
    assert for_the_phase == (kind not in TABLE[phase])


@pytest.mark.parametrize("kind", sorted(TABLE["running"], key=lambda kind: kind.__name__))
def test_what_is_allowed_can_be_done_but_for_what_has_to_be_answered_first(kind: type[i.Intent]) -> None:
    day = busy()
    reading = day.state.readings[-1].number
    of = {i.Correct: i.Correct(reading, 60.6, "C", "60.6", 60.6), i.Void: i.Void(reading)}
    refused = isinstance(day.ask(of.get(kind) or an(kind)), Refused)
    assert refused == (kind in (i.Done, i.AnswerUnknown))


def test_without_an_offer_an_item_a_call_or_a_timer_their_intents_are_left_out(day: Day) -> None:
    day.to_step(3)
    needing = {i.TakeRemedy, i.LeaveIt, i.AnswerUnknown, i.Extend, i.TickItem}
    needing |= {i.Acknowledge, i.Snooze, i.Mute}
    assert not needing & moves(day.schedule, day.state, day.t)
    for kind in needing:
        assert day.refused(an(kind)).endswith(".")


def test_a_gravity_without_its_sample_can_be_answered_unknown(day: Day) -> None:
    day.to_step(6)
    day.send(gravity(1.075))
    assert i.AnswerUnknown in moves(day.schedule, day.state, day.t)
