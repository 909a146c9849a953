"""An open day nobody is beside, in words: where it stands, how long it was left, what was due meanwhile."""

from __future__ import annotations

from datetime import datetime

from mashday.engine import asks, calls
from mashday.engine import facts as f
from mashday.engine.decide import by_itself
from mashday.faces import questions
from mashday.faces.moment import Moment, minutes
from mashday.faces.tell import call_line
from mashday.session.clock import Resumption
from mashday.text import cleaned

JUST_NOW_SECONDS = 60.0
HOURS_TOLD_UP_TO = 48


def day_and_time(at: datetime, wall: datetime) -> str:
    """A moment as seen from `wall`: "today 10:00", "yesterday 18:20", "2026-10-03 10:00"."""
    local = at.astimezone(wall.tzinfo)
    day = {0: "today", 1: "yesterday"}.get((wall.date() - local.date()).days, f"{local:%Y-%m-%d}")
    return f"{day} {local:%H:%M}"


def standing(now: Moment, back: Resumption) -> str:
    """Where the day stands, how long it was left, and what is due; `now` at the second it would go on."""
    parts = [_where(now), _left(back)]
    due = _due(now)
    if due:
        was_away = back.how != "ask" and back.away_seconds >= JUST_NOW_SECONDS
        parts.append(f"{'due meanwhile' if was_away else 'due'}: {due[0]}")
        parts += due[1:]
    elif now.state.phase == "running":
        parts.append("nothing is due")
    return "; ".join([*parts, *_coming(now)])


def _where(now: Moment) -> str:
    number = now.state.step
    if not number:
        return "not begun yet"
    held = "held at" if now.state.phase == "held" else "at"
    return f"{held} step {number}, {cleaned(now.named(number), 60)}"


def _left(back: Resumption) -> str:
    if back.how == "ask" and back.away_seconds < 0.0:
        return "the clock went back since, so it goes on from its last entry"
    if back.away_seconds < JUST_NOW_SECONDS:
        return "left just now"
    if back.how == "ask":
        return f"left {_long(back.away_seconds)} ago, so it goes on from its last entry"
    return f"away {_long(back.away_seconds)}"


def _long(seconds: float) -> str:
    hours = seconds / 3600.0
    return minutes(seconds / 60.0) if hours < HOURS_TOLD_UP_TO else f"{hours / 24.0:.0f} days"


def _due(now: Moment) -> list[str]:
    """What calls for the person, the longest due first."""
    standing = [
        call
        for call in calls.calls(now.schedule, now.state, now.t)
        if not call.acknowledged and call.urgency != "soon"
    ]
    return [_call(now, call) for call in sorted(standing, key=lambda call: call.due)]


def _call(now: Moment, call: calls.Call) -> str:
    ago = "just now" if call.late_seconds < JUST_NOW_SECONDS else f"{minutes(call.late_seconds / 60.0)} ago"
    title = cleaned(now.title(call.step), 60)
    if call.kind == "time":
        called = title if now.schedule.step(call.step).title else f"the {title.lower()}"
        return f"{called} was over {ago}"
    if call.kind == "begun":
        return f"{title} began by itself {ago}"
    for ask in asks.asks(now.schedule, now.state):
        if ask.key == call.key:
            return f"{questions.noun(ask.quantity, ask.subject)}, {ago}"
    return call_line(now, call).text


def _coming(now: Moment) -> list[str]:
    """What begins by itself once the day goes on, else what the step's own time still has."""
    for fact in by_itself(now.schedule, now.state, now.t):
        if isinstance(fact, f.StepBegun):
            return [f"then {cleaned(now.named(fact.step), 60)} begins by itself"]
    left = calls.remaining_seconds(now.schedule, now.state, now.t)
    if left is None or left <= 0.0:
        return []
    return [f"{minutes(max(1.0, left / 60.0))} of {cleaned(now.title(now.state.step), 60)} to go"]
