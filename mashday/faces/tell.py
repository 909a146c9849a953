"""Tells a moment of the day: from schedule, state and time to a `View` that any face can show."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime

from mashday.engine import asks, calls, intents, landing
from mashday.engine import contents as pot
from mashday.engine.moves import moves, unticked
from mashday.engine.prospect import Prospect, prospect, step_outlooks
from mashday.engine.state import State
from mashday.faces import glossary, guide, instructions, probed, questions, reasons, trouble, ways
from mashday.faces.moment import Moment, countdown, lateness, minutes, verdict
from mashday.faces.view import Band, CallLine, Curve, ItemLine, Mark, StepLine, View, WayLine
from mashday.faces.vocabulary import usable
from mashday.schedule import cautions
from mashday.schedule.model import CleanUp, Rest, Schedule, SetUp, Step
from mashday.science import water
from mashday.text import cleaned

MOVES: dict[type[intents.Intent], str] = {
    intents.Start: "start",
    intents.Done: "done",
    intents.Skip: "skip",
    intents.Extend: "more",
    intents.Hold: "hold",
    intents.Resume: "resume",
    intents.TakeReading: "reading",
    intents.AnswerUnknown: "unknown",
    intents.AddWater: "added",
    intents.GiveAmount: "amount",
    intents.Correct: "correct",
    intents.Void: "void",
    intents.TakeRemedy: "take",
    intents.LeaveIt: "leave",
    intents.TickItem: "tick",
    intents.WriteNote: "note",
    intents.WriteClosingLine: "closing",
    intents.Acknowledge: "ok",
    intents.Snooze: "snooze",
    intents.Mute: "mute",
    intents.ChooseUnits: "units",
    intents.Undo: "undo",
    intents.Finish: "finish",
    intents.Abort: "abort",
}
"""What each kind of intent is called among the moves of a view."""


def view(
    schedule: Schedule,
    state: State,
    t: float,
    at: Callable[[float], datetime],
    *,
    doubt: str = "",
    not_saved: str = "",
    view_only: str = "",
    thermometer: str = "",
) -> View:
    """All there is to show at session time `t`; `at` gives the wall clock of a session time."""
    now = Moment(schedule, state, t, at)
    shown = _of_the_clock(
        View(), now, doubt=doubt, not_saved=not_saved, view_only=view_only, thermometer=thermometer
    )
    outlook = prospect(schedule, state, t)
    number = state.step
    step = schedule.step(number) if number else None
    offer = state.offer
    is_open = offer is not None and offer.is_open and state.phase in ("running", "held")
    return replace(
        shown,
        name=cleaned(schedule.name, 60),
        units=now.units,
        step_number=number,
        step_count=len(schedule.steps),
        step_title=cleaned(now.title(number), 60) if number else "",
        details=tuple(cleaned(line) for line in instructions.details(now)),
        target=_target(now),
        remedy=ways.headline(now, offer) if offer is not None and is_open else "",
        ways=_ways(now) if is_open else (),
        checklist=_checklist(now),
        reads_first=step is not None and _reads_first(step),
        steps=_steps(now, outlook),
        curve=_curve(now),
        cautions=cautions.cautions(schedule, number, now.units) if number else (),
        terms=glossary.lines(glossary.at_step(step.kind)) if step else (),
        if_it_goes_wrong=trouble.lines(schedule, number, now.units) if step else (),
        why=tuple(cleaned(line) for line in reasons.why(now)),
        outlook=_outlook(now, outlook),
    )


def later(
    shown: View,
    schedule: Schedule,
    state: State,
    t: float,
    at: Callable[[float], datetime],
    *,
    doubt: str = "",
    not_saved: str = "",
    view_only: str = "",
    thermometer: str = "",
) -> View:
    """The view a few seconds later, while nothing has happened: only what goes by the clock is told anew.

    What is expected of the rest of the day and the working stay as they were.
    """
    now = Moment(schedule, state, t, at)
    return _of_the_clock(
        shown, now, doubt=doubt, not_saved=not_saved, view_only=view_only, thermometer=thermometer
    )


def _of_the_clock(
    shown: View, now: Moment, *, doubt: str, not_saved: str, view_only: str, thermometer: str
) -> View:
    schedule, state, t = now.schedule, now.state, now.t
    seconds, label = _counting(now)
    gone = _in_this_step(now)
    ask = asks.question(schedule, state, t)
    good, judged = _verdict(now)
    allowed = frozenset() if view_only else frozenset(MOVES[kind] for kind in moves(schedule, state, t))
    return replace(
        shown,
        phase=state.phase,
        time_of_day=now.clock(t),
        instruction=cleaned(instructions.instruction(now)),
        countdown=countdown(seconds) if seconds is not None else gone,
        countdown_label=label if seconds is not None or not gone else "in this step",
        overdue=seconds is not None and seconds <= 0.0,
        step_left=_step_left(now),
        last_reading=_last_reading(now),
        verdict=judged,
        good=good,
        question=questions.noun(ask.quantity, ask.subject) if ask else "",
        question_unit=questions.asked_unit(schedule, state, t, ask) if ask else "",
        question_due=_due(now, ask) if ask else "",
        next_due=_next_due(now),
        calls=tuple(
            replace(line, rings=line.rings and not view_only)
            for line in (call_line(now, call) for call in _standing(now))
        ),
        stages=guide.stages(now),
        words=usable(allowed, doubted=bool(doubt), rehearsed=bool(thermometer)),
        doubt=doubt,
        not_saved=not_saved,
        view_only=cleaned(view_only),
        thermometer=thermometer,
        moves=allowed,
    )


def _standing(now: Moment) -> tuple[calls.Call, ...]:
    """The calls that are on; what a step asks first of all is not said beside that it has begun."""
    found = calls.calls(now.schedule, now.state, now.t)
    begun = {(call.step, call.due) for call in found if call.kind == "begun"}
    return tuple(call for call in found if call.kind != "ask" or (call.step, call.due) not in begun)


def call_line(now: Moment, call: calls.Call) -> CallLine:
    """A call in words, with how late it is once that is worth a word."""
    title = cleaned(now.title(call.step), 60)
    if call.kind == "ask" and call.quantity is not None:
        ask = next(one for one in asks.asks(now.schedule, now.state) if one.key == call.key)
        text = f"{questions.noun(ask.quantity, ask.subject)} is due"
    elif call.kind == "way" and call.way is not None:
        text = guide.CALLED[call.way]
    elif call.kind in ("near", "there"):
        text = probed.called(now, call.kind, call.step)
    elif call.kind == "time":
        text = f"{title}: time is up"
    elif call.kind == "long":
        text = "Is it boiling" if now.schedule.step(call.step).kind == "boil" else "Is the grain all in"
        text += "? Then go on: the next time runs from there"
    elif call.kind == "soon":
        left = calls.remaining_seconds(now.schedule, now.state, now.t) or 0.0
        text = f"{title}: over in {lateness(max(1.0, math.ceil(left)))}"
    else:
        text = f"{title} has begun"
    if call.late_seconds >= 60.0 and call.kind not in ("soon", "long"):
        text += f", {lateness(call.late_seconds)} ago"
    return CallLine(
        call.key,
        text[0].upper() + text[1:],
        call.urgency,
        call.rings,
        call.acknowledged,
        call.quiet_seconds,
        call.late_seconds,
        call.way,
    )


def _counting(now: Moment) -> tuple[float | None, str]:
    """Seconds on the large countdown, and what they count to."""
    schedule, state = now.schedule, now.state
    record = state.current
    if record is None or state.phase not in ("running", "held"):
        return None, ""
    of_a_way = guide.timer(now)
    if of_a_way is not None:
        return of_a_way
    left = calls.remaining_seconds(schedule, state, now.t)
    if left is not None:
        title = cleaned(now.title(record.number), 60).lower()
        return left, f"left of {title}" if left > 0.0 else f"over the time of {title}"
    ask = asks.question(schedule, state, now.t)
    if ask is not None:
        seconds = ask.due - state.running(now.t)
        if ask.quantity == "added water":
            return seconds, "to pour" if seconds > 0.0 else "since the water was to go in"
        name = questions.noun(ask.quantity, ask.subject)
        return seconds, f"to the {name}" if seconds > 0.0 else f"since the {name} was due"
    return None, ""


def _in_this_step(now: Moment) -> str:
    """How long the step under way has gone on, where nothing counts down and no list is open.

    Nothing in its first second: "00:00" means due.
    """
    record = now.state.current
    if record is None or now.state.phase not in ("running", "held") or unticked(now.schedule, now.state):
        return ""
    seconds = math.floor(now.state.running(now.t) - record.began_run)
    return countdown(seconds) if seconds >= 1 else ""


def _step_left(now: Moment) -> str:
    """What is left of the step while a way of a remedy has the countdown."""
    left = calls.remaining_seconds(now.schedule, now.state, now.t)
    return countdown(left) if left is not None and guide.timer(now) is not None else ""


def _target(now: Moment) -> str:
    number = now.state.step
    target = landing.target_celsius(now.schedule, now.state, number) if number else None
    if target is None:
        return ""
    band = landing.band_kelvin(now.schedule, number)
    return f"{now.celsius(target)}, give or take {now.apart(band)}"


def _last_reading(now: Moment) -> str:
    taken = now.state.valid("temperature")
    if not taken:
        return ""
    last = taken[-1]
    age = (now.t - last.t) / 60.0
    when = "just now" if age < 1.0 else f"{minutes(age)} ago"
    assumed = ", assumed" if last.fact.assumed else ""
    where = "" if last.step == now.state.step else f", in {cleaned(now.title(last.step), 24).lower()}"
    return f"{now.celsius(last.metric)}, {when}{where}{assumed}"


def _verdict(now: Moment) -> tuple[bool | None, str]:
    number = now.state.step
    taken = now.state.valid("temperature", number) if number else ()
    return verdict(now, number, taken[-1].metric) if taken else (None, "")


def _due(now: Moment, ask: asks.Ask) -> str:
    left = ask.due - now.state.running(now.t)
    if left > 0.0:
        return f"in {minutes(max(1.0, left / 60.0))}"
    return "due now" if left > -60.0 else f"due {minutes(-left / 60.0)} ago"


def _next_due(now: Moment) -> str:
    due = calls.next_due(now.schedule, now.state)
    if due is None or now.state.phase != "running":
        return ""
    return now.clock(now.of_run(due))


def _ways(now: Moment) -> tuple[WayLine, ...]:
    offer = now.state.offer
    return ways.ways(now, offer) if offer is not None else ()


def _checklist(now: Moment) -> tuple[ItemLine, ...]:
    record = now.state.current
    if record is None:
        return ()
    values = dict(record.ticks)
    left = set(unticked(now.schedule, now.state))
    return tuple(
        ItemLine(number, cleaned(text), number not in left, cleaned(values.get(number, ""), 60))
        for number, text in enumerate(now.schedule.step(record.number).checklist, 1)
    )


def _reads_first(step: Step) -> bool:
    """True where each item is read and then done; laying out and cleaning up are done, then gone through."""
    if step.style is not None:
        return step.style == "read-do"
    return not isinstance(step, SetUp | CleanUp)


NO_TIME = "--:--"
"""Stands for the time of a step before a day begun in mid-mash."""

_MARKS: dict[str, Mark] = {"before": "before", "to come": "to come", "under way": "now", "skipped": "skipped"}


def _steps(now: Moment, outlook: Prospect) -> tuple[StepLine, ...]:
    """The step list: the plan's clock times beside what was and what is now expected."""
    planned = step_outlooks(now.schedule, State(from_step=now.state.from_step, known=now.state.known))
    started = now.state.started if now.state.started is not None else now.t
    lines = []
    for step, plan in zip(outlook.steps, planned, strict=True):
        before = step.state == "before"
        lines.append(
            StepLine(
                step.number,
                cleaned(now.title(step.number), 60),
                _MARKS.get(step.state, "done"),
                NO_TIME if before else now.clock(started + 60.0 * plan.starts_minute),
                NO_TIME if before else now.clock(started + 60.0 * step.starts_minute),
                "" if before else minutes(step.minutes),
                "" if step.target_celsius is None else now.celsius(step.target_celsius),
            )
        )
        if step.state == "under way":
            lines += _extra_steps(now)
    return tuple(lines)


def _extra_steps(now: Moment) -> list[StepLine]:
    """What the step under way asks beyond its plan: another starch check, a reading after a change."""
    number = now.state.step
    due = [
        ask
        for ask in asks.asks(now.schedule, now.state)
        if ask.key in asks.unplanned(now.schedule, now.state)
    ]
    return [
        StepLine(
            number,
            "read again"
            if ask.quantity == "temperature"
            else f"{questions.noun(ask.quantity, ask.subject)} again",
            "to come",
            NO_TIME,
            now.clock(now.of_run(ask.due)),
            "",
            "",
            extra=True,
        )
        for ask in due
    ]


def _curve(now: Moment) -> Curve:
    started = now.state.started if now.state.started is not None else 0.0

    def minute(t: float) -> float:
        return (t - started) / 60.0

    bands = []
    for record in now.state.records:
        step = now.schedule.step(record.number)
        if isinstance(step, Rest):
            end = record.ended if record.ended is not None else now.t
            band = landing.band_kelvin(now.schedule, record.number)
            bands.append(Band(minute(record.began), minute(end), step.target_celsius, band))
    taken = [r for r in now.state.valid("temperature") if not landing.is_beside(now.schedule, r.step)]
    return Curve(
        readings=tuple((minute(r.t), r.metric) for r in taken if not r.fact.assumed),
        bands=tuple(bands),
        additions=tuple(minute(addition.t) for addition in now.state.additions),
        now_minute=minute(now.t),
        clock=lambda minutes: now.clock(started + 60.0 * minutes),
    )


def _gone_in(now: Moment) -> list[str]:
    """The running total of what is in the pot, while there is a mash in it."""
    step = now.state.step
    if not step or pot.is_separated(now.schedule, step):
        return []
    inside = pot.contents(now.schedule, now.state, step)
    if not inside.grains:
        return []
    litres = now.litres(water.litres(inside.water_kg, 20.0))
    return [f"in the pot {now.kilograms(inside.grain_kg)} of grain, {litres} of water"]


def _outlook(now: Moment, outlook: Prospect) -> tuple[str, ...]:
    """What is now expected of the rest of the day, in a few lines."""
    lines = []
    if outlook.conversion_now > 0.0:
        lines.append(f"starch about {100.0 * outlook.conversion_now:.0f} % converted")
    if outlook.starch_now.stalled:
        lines.append("not enough enzyme is left to finish: cool, then add malt or enzyme")
    elif outlook.expected is not None:
        wash = now.litres(outlook.expected.wash_litres)
        lines.append(f"first runnings about {outlook.expected.first_runnings_gravity:.3f}")
        lines.append(f"wash about {wash} at {outlook.expected.wash_gravity:.3f}")
    lines += _gone_in(now)
    if outlook.sparge_litres > 0.0:
        lines.append(f"sparge with {now.litres(outlook.sparge_litres)}")
    started = now.state.started
    if started is not None and now.state.phase in ("running", "held"):
        lines.append(f"done about {now.clock(started + 60.0 * outlook.ends_minute)}")
    return tuple(lines)
