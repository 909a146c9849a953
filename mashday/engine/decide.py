"""The rules of the day: from an intent to facts, a refusal or a doubt.

`decide` is pure: the same schedule, state, intent and moment give the same answer. Nothing moves on by
itself past a check, a call that is on, a reading that is due or water that is not yet told; `by_itself`
holds that rule.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from mashday.engine import (
    afterwards,
    asks,
    call_answers,
    calls,
    conversion,
    instruments,
    intents,
    landing,
    mid_mash,
    moves,
    pot_told,
    pouring,
    readings,
    undo,
)
from mashday.engine import facts as f
from mashday.engine.decision import Decision, Doubt, Refused, told
from mashday.engine.state import State, StepRecord
from mashday.schedule.model import Add, Boil, Cook, Heat, Pitch, Schedule, StarchCheck
from mashday.science import yeast
from mashday.text import cleaned

Rule = Callable[[Schedule, State, Any, float], Decision]
LONGEST_EXTENSION_MINUTES = 600.0
LONGEST_TEXT = 500
"""Characters of a note or a closing line that a day keeps; a longer one is refused rather than cut."""
OLD_OFFER_MINUTES = 15.0
"""A remedy reckoned for a reading this old no longer fits: the mash has drifted on. Judgement."""


def decide(schedule: Schedule, state: State, intent: intents.Intent, t: float) -> Decision:
    """What `intent` at session time `t` comes to."""
    why = moves.refusal(schedule, state, type(intent), t)
    if why is not None:
        return Refused(why)
    found = RULES[type(intent)](schedule, state, intent, t)
    return Refused("Nothing is left to do there.") if found == () else found


def by_itself(schedule: Schedule, state: State, t: float) -> tuple[f.Fact, ...]:
    """The facts of a step that ends and a next one that begins without the person, if it is time.

    A reading that is still to come after water or fire holds it too, and so does a fire whose heat may still
    be on: else it could stay on unseen.
    """
    record = state.current
    if state.phase != "running" or record is None or schedule.confirms(record.number):
        return ()
    left = calls.remaining_seconds(schedule, state, t)
    if left is None or left > 0.0 or state.untold or (state.offer is not None and state.offer.is_open):
        return ()
    if any(ask.required for ask in asks.asks(schedule, state)) or any(
        call.kind == "begun" and not call.acknowledged for call in calls.calls(schedule, state, t)
    ):
        return ()
    if calls.fire_on(schedule, state, t) is not None:
        return ()
    return (
        f.StepEnded(record.number, "by itself"),
        *_next(schedule, record.number, by_itself=True),
    )


def _next(schedule: Schedule, number: int, *, by_itself: bool = False) -> tuple[f.Fact, ...]:
    if number < len(schedule.steps):
        return (f.StepBegun(number + 1, by_itself),)
    return (f.DayEnded("complete"),)


def _start(schedule: Schedule, state: State, intent: intents.Start, t: float) -> Decision:
    if not 1 <= intent.from_step <= len(schedule.steps):
        return Refused(f"There is no step {intent.from_step}; the day has {len(schedule.steps)}.")
    return (f.DayStarted(intent.from_step), f.StepBegun(intent.from_step))


def _done(schedule: Schedule, state: State, intent: intents.Done, t: float) -> Decision:
    found = _gone_on(schedule, state, intent, t)
    if intent.sure or isinstance(found, Refused) or not _ends_over_a_fire(schedule, state, t):
        return found
    return Doubt(f"First: is the heat off? {found.why if isinstance(found, Doubt) else 'End the day?'}")


def _ends_over_a_fire(schedule: Schedule, state: State, t: float) -> bool:
    """True in the last step while the fire of a remedy may still be on: no call outlives the day."""
    return state.step == len(schedule.steps) and calls.fire_on(schedule, state, t) is not None


def _gone_on(schedule: Schedule, state: State, intent: intents.Done, t: float) -> Decision:
    record = state.current
    if record is None:
        return Refused("No step is under way.")
    offer = state.offer
    if offer is not None and offer.is_open:
        return Refused("A remedy is offered: take one by its number, or leave it.")
    owed = _owed(schedule, state, t)
    if owed is not None and not (intent.sure and owed.quantity == "starch"):
        return _unanswered(schedule, state, record, owed, t)
    if _waits_for_clock(schedule, record):
        short = None if intent.sure else _short_of_target(schedule, state, record)
        if short is not None:
            return Doubt(f"{short} Start its time now?")
        return (f.ClockStarted(record.number), *call_answers.answered(schedule, state, t))
    doubt = None if intent.sure else _too_soon(schedule, state, record, t)
    if doubt is not None:
        return Doubt(doubt)
    return (
        f.StepEnded(record.number, "done"),
        *call_answers.answered(schedule, state, t),
        *_next(schedule, record.number),
    )


def _owed(schedule: Schedule, state: State, t: float) -> asks.Ask | None:
    """The ask that has to be answered before the step can end: one that is due, and in a step without a
    running time of its own (or where water went in) also one that is still to come."""
    timed = calls.remaining_seconds(schedule, state, t) is not None
    now = state.running(t)
    for ask in asks.asks(schedule, state):
        early = ask.quantity == "added water" or (not timed and ask.quantity != "starch")
        if ask.required and (ask.due <= now or early):
            return ask
    return None


def _unanswered(schedule: Schedule, state: State, record: StepRecord, ask: asks.Ask, t: float) -> Decision:
    if ask.quantity == "starch":
        failed = len(state.valid("starch", record.number))
        mashed = _mash_minutes(schedule, state, t)
        if failed >= 2 and mashed >= asks.STARCH_GIVE_UP_MINUTES:
            return Doubt(
                f"Two checks still showed starch after {mashed:.0f} min; more time will hardly help. Go on?"
            )
        return Refused("First the starch check: say 'starch pass' or 'starch fail', or skip the step.")
    return Refused(f"First the {ask.quantity}: type the number, or 'unknown' and it is assumed.")


def _mash_minutes(schedule: Schedule, state: State, t: float) -> float:
    """Minutes the grain has been in, those before a day begun in mid-mash counted."""
    before = conversion.minutes_before(schedule, state)
    begun = next((r.began for r in state.records if schedule.step(r.number).kind == "dough-in"), t)
    if conversion.mashed_before(schedule, state):
        begun = state.records[0].began
    return before + (t - begun) / 60.0


def _waits_for_clock(schedule: Schedule, record: StepRecord) -> bool:
    return isinstance(schedule.step(record.number), Boil | Cook) and record.clock_run is None


def _too_soon(schedule: Schedule, state: State, record: StepRecord, t: float) -> str | None:
    """Why going on now is doubtful; None if it is not."""
    step = schedule.step(record.number)
    left = calls.remaining_seconds(schedule, state, t)
    if left is not None and left > 0.0:
        return f"{-(-left // 60):.0f} min of this step are left. End it now?"
    open_items = moves.unticked(schedule, state)
    if open_items:
        items = moves.checklist(step)
        following = cleaned(items[open_items[0] - 1]).rstrip(".")
        return f"{len(open_items)} of {len(items)} items are open, next: {following} - go on?"
    if isinstance(step, StarchCheck) and not any(r.fact.passed for r in state.valid("starch", record.number)):
        return "The last sample still showed starch. Go on all the same?"
    latest = [r for r in state.valid("temperature", record.number) if r.t >= record.began]
    if isinstance(step, Add) and latest and not asks.allows_adding(step, latest[-1].metric):
        shown = told(schedule, state, latest[-1].metric, "temperature")
        return f"{shown}: not the right temperature yet. Go on?"
    if isinstance(step, Pitch) and latest and latest[-1].metric > yeast.HOTTEST_PITCH_CELSIUS:
        shown = told(schedule, state, latest[-1].metric, "temperature")
        return f"The wash was last read at {shown}, and yeast dies there. Go on all the same?"
    if isinstance(step, Heat):
        short = _short_of_target(schedule, state, record)
        return f"{short} Go on?" if short is not None else None
    return None


def _short_of_target(schedule: Schedule, state: State, record: StepRecord) -> str | None:
    """How far the newest reading of a heating is short of its target, as a sentence; None if it is there or
    nothing was read."""
    latest = [r for r in state.valid("temperature", record.number) if r.t >= record.began]
    target = landing.target_celsius(schedule, state, record.number)
    if not latest or target is None or asks.reached(schedule, state, record.number):
        return None
    short = told(schedule, state, target - latest[-1].metric, "temperature difference")
    return f"The last reading was {short} short of {told(schedule, state, target, 'temperature')}."


def _skip(schedule: Schedule, state: State, intent: intents.Skip, t: float) -> Decision:
    record = state.current
    if record is None:
        return Refused("No step is under way.")
    if not intent.sure:
        step = schedule.step(record.number)
        first = "First: is the heat off? " if _ends_over_a_fire(schedule, state, t) else ""
        return Doubt(f"{first}Leave out step {record.number}, {step.title or step.kind}?")
    left = [f.RemedyLeft(state.offer.number)] if state.offer and state.offer.is_open else []
    return (
        *left,
        f.StepEnded(record.number, "skipped"),
        *call_answers.answered(schedule, state, t),
        *_next(schedule, record.number),
    )


def _extend(schedule: Schedule, state: State, intent: intents.Extend, t: float) -> Decision:
    left = calls.remaining_seconds(schedule, state, t) or 0.0
    if not 0.0 < abs(intent.minutes) <= LONGEST_EXTENSION_MINUTES:
        return Refused(f"More by how much? Between 1 and {LONGEST_EXTENSION_MINUTES:.0f} minutes.")
    if intent.minutes > 0.0:
        minutes = intent.minutes + max(0.0, -left) / 60.0
    elif left + 60.0 * intent.minutes < 0.0:
        return Refused(f"Only {max(0.0, left) / 60.0:.0f} min are left to take away.")
    else:
        minutes = intent.minutes
    return (f.StepExtended(state.step, minutes), *call_answers.time_answered(schedule, state, t))


def _hold(schedule: Schedule, state: State, intent: intents.Hold, t: float) -> Decision:
    return (f.Held(),)


def _resume(schedule: Schedule, state: State, intent: intents.Resume, t: float) -> Decision:
    return (f.Resumed(),)


def _unknown(schedule: Schedule, state: State, intent: intents.AnswerUnknown, t: float) -> Decision:
    found = mid_mash.question(schedule, state)
    if found is not None:
        return pot_told.assume(schedule, state, found.what, t)
    return readings.assume(schedule, state, t)


def _give_amount(schedule: Schedule, state: State, intent: intents.GiveAmount, t: float) -> Decision:
    about = pot_told.meant(schedule, state, intent.what)
    if about is not None:
        return pot_told.tell(schedule, state, replace(intent, what=about), t)
    return readings.give_amount(schedule, state, intent, t)


def _take_remedy(schedule: Schedule, state: State, intent: intents.TakeRemedy, t: float) -> Decision:
    offer = state.offer
    assert offer is not None
    way = next((option for option in offer.options if option.option == intent.option), None)
    if way is None:
        return Refused(f"There is no way {intent.option}; choose 1 to {len(offer.options)}.")
    if way.way == "leave it":
        return (f.RemedyLeft(offer.number),)
    if not way.possible:
        return Refused(f"Way {intent.option} cannot be taken: {way.why}.")
    old = (t - offer.t) / 60.0
    if old >= OLD_OFFER_MINUTES and not intent.sure:
        read = told(schedule, state, way.read_celsius, "temperature")
        return Doubt(
            f"That is reckoned for the {read} of {old:.0f} min ago. Read again first; or take it as it is?"
        )
    taken = f.RemedyTaken(offer.number, intent.option)
    return (taken, f.StepExtended(way.step, way.minutes)) if way.way == "more time" else (taken,)


def _leave_it(schedule: Schedule, state: State, intent: intents.LeaveIt, t: float) -> Decision:
    assert state.offer is not None
    return (f.RemedyLeft(state.offer.number),)


def _tick(schedule: Schedule, state: State, intent: intents.TickItem, t: float) -> Decision:
    open_items = moves.unticked(schedule, state)
    item = open_items[0] if intent.item is None else intent.item
    items = moves.checklist(schedule.step(state.step))
    if not 1 <= item <= len(items):
        return Refused(f"There is no item {item}; the list has {len(items)}.")
    value = cleaned(intent.value, 60) if intent.value else None
    if moves.asks_value(items[item - 1]) and not value and not intent.sure:
        return Doubt(f"Item {item} asks: {cleaned(items[item - 1])} Tick it without an answer?")
    check = instruments.checked(schedule, state, items[item - 1], value or "", sure=intent.sure)
    if isinstance(check, Doubt):
        return check
    return (
        f.ItemTicked(state.step, item, value or None),
        *(() if check is None else (check,)),
        *call_answers.answered(schedule, state, t, "list"),
    )


def _note(schedule: Schedule, state: State, intent: intents.WriteNote, t: float) -> Decision:
    text = cleaned(intent.text, len(intent.text))
    if not text:
        return Refused("The note is empty. Type it after the word: note lid left off")
    if len(text) > LONGEST_TEXT:
        return Refused(_too_long(text, "write it in two notes"))
    return (f.NoteWritten(state.step, text),)


def _take_reading(schedule: Schedule, state: State, intent: intents.TakeReading, t: float) -> Decision:
    if state.is_over:
        return afterwards.take(schedule, state, intent)
    return _as_typed(schedule, state, intent, readings.take(schedule, state, intent, t))


def _correct(schedule: Schedule, state: State, intent: intents.Correct, t: float) -> Decision:
    return _as_typed(schedule, state, intent, readings.correct(schedule, state, intent, t))


def _as_typed(
    schedule: Schedule, state: State, intent: intents.TakeReading | intents.Correct, found: Decision
) -> Decision:
    """What is found, with what was typed named in a doubt of a temperature that was put right."""
    if not isinstance(found, Doubt):
        return found
    return Doubt(instruments.as_typed(schedule, state, intent, found.why))


def _closing_line(schedule: Schedule, state: State, intent: intents.WriteClosingLine, t: float) -> Decision:
    text = cleaned(intent.text, len(intent.text))
    if not text:
        return Refused("Nothing was written. Type it behind the word: change dough in by smaller portions")
    if len(text) > LONGEST_TEXT:
        return Refused(_too_long(text, "write it shorter, and the rest as a note"))
    return (f.ClosingLine(intent.which, text),)


def _too_long(text: str, would_do: str) -> str:
    return (
        f"That is {len(text)} characters long, and {LONGEST_TEXT} is the most: nothing of it is kept;"
        f" {would_do}."
    )


def _acknowledge(schedule: Schedule, state: State, intent: intents.Acknowledge, t: float) -> Decision:
    found = call_answers.acknowledged(schedule, state, t, intent.key)
    if found:
        return found
    if intent.key is not None:
        return Refused("That is answered already, or calls no more.")
    return Refused("What calls is quiet for now; it calls again by itself, and can be answered then.")


def _snooze(schedule: Schedule, state: State, intent: intents.Snooze, t: float) -> Decision:
    if intent.minutes not in (1, 2, 5):
        return Refused("Snooze 1, 2 or 5 minutes.")
    standing = [call for call in calls.calls(schedule, state, t) if not call.acknowledged]
    return tuple(f.CallSnoozed(call.key, float(intent.minutes)) for call in standing)


def _mute(schedule: Schedule, state: State, intent: intents.Mute, t: float) -> Decision:
    return (f.CallsMuted(),)


def _units(schedule: Schedule, state: State, intent: intents.ChooseUnits, t: float) -> Decision:
    now = state.units or schedule.units
    return (f.UnitsChosen(intent.units or ("us" if now == "metric" else "metric")),)


def _undo(schedule: Schedule, state: State, intent: intents.Undo, t: float) -> Decision:
    act = undo.last_act(state)
    assert act is not None
    taken_back = f.Undone(tuple(entry.seq for entry in act), undo.described(act))
    fire = calls.fire_on(schedule, state, t)
    ways_taken = [entry.fact.offer for entry in act if isinstance(entry.fact, f.RemedyTaken)]
    if fire is None or fire.offer not in ways_taken:
        return (taken_back,)
    return (replace(taken_back, fire=fire.offer, fire_due=min(fire.due, state.running(t))),)


def _finish(schedule: Schedule, state: State, intent: intents.Finish, t: float) -> Decision:
    if not intent.sure:
        count = len(schedule.steps) - state.from_step + 1
        left = count - max(0, state.step - state.from_step)
        return Doubt(f"End the day here, with {left} of {count} steps not done? First: is the heat off?")
    return (f.DayEnded("early"),)


def _abort(schedule: Schedule, state: State, intent: intents.Abort, t: float) -> Decision:
    if not intent.sure:
        return Doubt("Give the day up? First: is the heat off, the gas shut, the lid safe?")
    step = schedule.step(state.step) if state.step else None
    left = f"given up in step {state.step}, {step.title or step.kind}" if step else "given up before it began"
    return (f.DayEnded("aborted", left),)


RULES: dict[type[intents.Intent], Rule] = {
    intents.Start: _start,
    intents.Done: _done,
    intents.Skip: _skip,
    intents.Extend: _extend,
    intents.Hold: _hold,
    intents.Resume: _resume,
    intents.TakeReading: _take_reading,
    intents.AnswerUnknown: _unknown,
    intents.AddWater: pouring.add_water,
    intents.GiveAmount: _give_amount,
    intents.Correct: _correct,
    intents.Void: readings.void,
    intents.TakeRemedy: _take_remedy,
    intents.LeaveIt: _leave_it,
    intents.TickItem: _tick,
    intents.WriteNote: _note,
    intents.WriteClosingLine: _closing_line,
    intents.Acknowledge: _acknowledge,
    intents.Snooze: _snooze,
    intents.Mute: _mute,
    intents.ChooseUnits: _units,
    intents.Undo: _undo,
    intents.Finish: _finish,
    intents.Abort: _abort,
}
