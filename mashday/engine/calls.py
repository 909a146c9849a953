"""Calls: what needs the person now. Worked out from the state; only the answers to them are facts.

A call is due at a moment of running time and never shows before it. It stays until it is acknowledged
or until the thing it calls for is done; how late that was is kept.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from mashday.engine import asks
from mashday.engine.state import State, StepRecord
from mashday.schedule.model import Boil, Cook, Rest, Schedule

Urgency = Literal["soon", "now", "danger"]
MUTE_SECONDS = 120.0


@dataclass(frozen=True, slots=True)
class Call:
    """Something the person is wanted for; `due` in running seconds, `late_seconds` since then."""

    key: str
    kind: Literal["time", "begun", "ask"]
    urgency: Urgency
    due: float
    late_seconds: float
    step: int
    quantity: str | None = None
    acknowledged: bool = False
    quiet_seconds: float = 0.0

    @property
    def rings(self) -> bool:
        """True while it makes itself heard: not acknowledged, snoozed or muted."""
        return not self.acknowledged and self.quiet_seconds <= 0.0


def clock(schedule: Schedule, state: State, record: StepRecord) -> tuple[float, float] | None:
    """The beginning (running seconds) and length (seconds) of the step's own time; None if it has none
    or if it does not run yet."""
    step = schedule.step(record.number)
    if isinstance(step, Rest):
        began: float | None = record.began_run
    elif isinstance(step, Cook | Boil):
        began = record.clock_run
    else:
        return None
    if began is None:
        return None
    return began, max(0.0, step.minutes + record.extended_minutes) * 60.0


def remaining_seconds(schedule: Schedule, state: State, t: float) -> float | None:
    """Seconds the step's own time still has at session time `t`, negative once it is over; None if it
    has none."""
    record = state.current
    timer = clock(schedule, state, record) if record else None
    if timer is None:
        return None
    return timer[0] + timer[1] - state.running(t)


def calls(schedule: Schedule, state: State, t: float) -> tuple[Call, ...]:
    """The calls that are due at session time `t`, most urgent and oldest first; none while held."""
    record = state.current
    if state.phase != "running" or record is None:
        return ()
    now = state.running(t)
    found: list[Call] = []
    timer = clock(schedule, state, record)
    if timer is not None and timer[0] + timer[1] <= now:
        due = timer[0] + timer[1]
        step = schedule.step(record.number)
        urgency: Urgency = "danger" if isinstance(step, Boil | Cook) else "now"
        key = f"time-{record.number}-{due:.0f}"
        found.append(Call(key, "time", urgency, due, now - due, record.number))
    if record.by_itself:
        due = record.began_run
        found.append(Call(f"begun-{record.number}-{due:.0f}", "begun", "now", due, now - due, record.number))
    for ask in asks.asks(schedule, state):
        if ask.due <= now:
            late = now - ask.due
            found.append(Call(ask.key, "ask", "now", ask.due, late, record.number, ask.quantity))
    marked = [_mark(state, call, t) for call in found]
    rank = {"danger": 0, "now": 1, "soon": 2}
    return tuple(sorted(marked, key=lambda call: (call.acknowledged, rank[call.urgency], call.due)))


def _mark(state: State, call: Call, t: float) -> Call:
    acknowledged = any(answered.call == call.key for answered in state.answered)
    quiet = max((until - t for key, until in state.snoozed if key == call.key), default=0.0)
    if state.muted_at is not None and state.running(state.muted_at) >= call.due:
        quiet = max(quiet, state.muted_at + MUTE_SECONDS - t)
    return Call(
        call.key,
        call.kind,
        call.urgency,
        call.due,
        call.late_seconds,
        call.step,
        call.quantity,
        acknowledged,
        max(0.0, quiet),
    )


def next_due(schedule: Schedule, state: State) -> float | None:
    """The running second of the next thing that becomes due after now, None if nothing will."""
    record = state.current
    if record is None:
        return None
    moments = [ask.due for ask in asks.asks(schedule, state)]
    timer = clock(schedule, state, record)
    if timer is not None:
        moments.append(timer[0] + timer[1])
    return min(moments, default=None)
