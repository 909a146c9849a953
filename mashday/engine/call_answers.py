"""Which calls are answered by what: the facts for the log, with how late each was."""

from __future__ import annotations

from mashday.engine import calls
from mashday.engine import facts as f
from mashday.engine.state import State
from mashday.schedule.model import Schedule


def answered(
    schedule: Schedule, state: State, t: float, quantity: str | None = None
) -> tuple[f.CallAnswered, ...]:
    """The facts that the calls on now (of this quantity, where given) are answered, with how late.

    A heads-up asks for nothing, so nothing answers it; that a step has begun is heard by whoever enters
    anything in it. That the heat of a remedy is off is answered by nothing but the person saying so.
    """
    return tuple(
        f.CallAnswered(call.key, words(schedule, call), call.late_seconds)
        for call in calls.calls(schedule, state, t)
        if not call.acknowledged
        and call.kind != "soon"
        and call.way != "fire"
        and (call.kind == "begun" or quantity in (None, call.quantity))
    )


def time_answered(schedule: Schedule, state: State, t: float) -> tuple[f.CallAnswered, ...]:
    """The facts that the end of the step's own time, and nothing else, is answered."""
    return tuple(
        f.CallAnswered(call.key, words(schedule, call), call.late_seconds)
        for call in calls.calls(schedule, state, t)
        if not call.acknowledged and call.kind in ("time", "begun")
    )


def acknowledged(
    schedule: Schedule, state: State, t: float, key: str | None = None
) -> tuple[f.CallAnswered, ...]:
    """The facts that the person has heard what rings, or the call of this key; a heads-up is never late.

    What was made quiet was heard already and comes back. That a heat is off is said of nothing else: it takes
    its own key, or a word while it is the gravest that rings, and then answers nothing besides.
    """
    standing = [call for call in calls.calls(schedule, state, t) if not call.acknowledged]
    heard = [call for call in standing if call.key == key] if key is not None else _heard(standing)
    return tuple(
        f.CallAnswered(call.key, words(schedule, call), 0.0 if call.kind == "soon" else call.late_seconds)
        for call in heard
    )


def _heard(standing: list[calls.Call]) -> list[calls.Call]:
    ringing = [call for call in standing if call.rings]
    if ringing and ringing[0].way == "fire":
        return ringing[:1]
    return [call for call in ringing if call.way != "fire"]


def words(schedule: Schedule, call: calls.Call) -> str:
    """What a call calls for, in a few words for the log."""
    step = schedule.step(call.step)
    name = step.title or step.kind
    if call.kind == "ask":
        return f"{call.quantity} in {name}"
    if call.kind == "way":
        return f"{call.way} in {name} over"
    said = {
        "time": f"time of {name} over",
        "soon": f"end of {name} near",
        "long": f"{name} done",
        "near": f"heat off in {name}",
        "there": f"{name} at its temperature",
    }
    return said.get(call.kind, f"{name} begun")
