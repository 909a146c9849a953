"""Which intents are allowed when, as one table and the few conditions beyond it.

| phase | what may be done |
|---|---|
| idle | start, note, units, finish, abort |
| running | everything but start and resume |
| held | resume, acknowledge; readings, water, amounts, correct, void, undo, note, units, finish, abort |
| complete, aborted | closing lines, readings, note, units |
"""

from __future__ import annotations

from mashday.engine import asks, calls, intents, undo
from mashday.engine.state import Phase, State
from mashday.schedule.model import Schedule, Step

ANY_TIME = frozenset({intents.WriteNote, intents.ChooseUnits})
ENTERING = frozenset(
    {
        intents.TakeReading,
        intents.AddWater,
        intents.GiveAmount,
        intents.Correct,
        intents.Void,
        intents.Undo,
        intents.Finish,
        intents.Abort,
    }
)
AFTERWARDS = frozenset({intents.WriteClosingLine, intents.TakeReading})
MOVING = frozenset(
    {
        intents.Done,
        intents.Skip,
        intents.Extend,
        intents.Hold,
        intents.AnswerUnknown,
        intents.TakeRemedy,
        intents.LeaveIt,
        intents.TickItem,
        intents.Acknowledge,
        intents.Snooze,
        intents.Mute,
    }
)
ALLOWED: dict[Phase, frozenset[type[intents.Intent]]] = {
    "idle": ANY_TIME | {intents.Start, intents.Finish, intents.Abort},
    "running": ANY_TIME | ENTERING | MOVING,
    "held": ANY_TIME | ENTERING | {intents.Resume, intents.Acknowledge},
    "complete": ANY_TIME | AFTERWARDS,
    "aborted": ANY_TIME | AFTERWARDS,
}
ALL: tuple[type[intents.Intent], ...] = tuple(
    sorted(
        ANY_TIME | ENTERING | MOVING | AFTERWARDS | {intents.Start, intents.Resume},
        key=lambda kind: kind.__name__,
    )
)

NOT_OVER = "The day is not over; that is written when it has ended."
NOT_NOW: dict[Phase, str] = {
    "idle": "The day has not begun; start it first.",
    "running": "The day is running already.",
    "held": "The day is held; resume it first.",
    "complete": "The day is over; its summary is ready.",
    "aborted": "The day was given up; its summary is ready.",
}


def checklist(step: Step) -> tuple[str, ...]:
    """The items of this step's checklist."""
    return step.checklist


def asks_value(item: str) -> bool:
    """True for an item that asks what is seen or read: it ends in a question mark."""
    return item.rstrip().endswith("?")


def item_asked(schedule: Schedule, state: State) -> str | None:
    """The next open item, if it asks for a value; None if it does not or if nothing is open."""
    left = unticked(schedule, state)
    item = checklist(schedule.step(state.step))[left[0] - 1] if left else ""
    return item if asks_value(item) else None


def unticked(schedule: Schedule, state: State) -> tuple[int, ...]:
    """The numbers, from 1, of the items of the step under way that are still open."""
    record = state.current
    if record is None:
        return ()
    ticked = {item for item, _ in record.ticks}
    items = checklist(schedule.step(record.number))
    return tuple(number for number in range(1, len(items) + 1) if number not in ticked)


def _calling(schedule: Schedule, state: State, t: float) -> bool:
    return any(not call.acknowledged for call in calls.calls(schedule, state, t))


def refusal(schedule: Schedule, state: State, kind: type[intents.Intent], t: float) -> str | None:
    """Why this kind of intent is not allowed now, as a sentence; None if it is."""
    if kind is intents.WriteClosingLine and not state.is_over:
        return NOT_OVER
    if kind not in ALLOWED[state.phase]:
        return NOT_NOW[state.phase]
    if kind in (intents.TakeRemedy, intents.LeaveIt) and not (state.offer and state.offer.is_open):
        return "There is no remedy to choose; type a reading first."
    if kind is intents.AnswerUnknown and asks.question(schedule, state, t) is None:
        return "Nothing is asked just now."
    if kind is intents.Extend and calls.remaining_seconds(schedule, state, t) is None:
        return "This step has no running time to change."
    if kind is intents.TickItem and not unticked(schedule, state):
        return "There is no open item on this step's checklist."
    if kind in (intents.Acknowledge, intents.Snooze, intents.Mute) and not _calling(schedule, state, t):
        return "Nothing calls just now."
    if kind is intents.Undo and undo.last_act(state) is None:
        return "There is nothing to take back."
    return None


def moves(schedule: Schedule, state: State, t: float) -> frozenset[type[intents.Intent]]:
    """The kinds of intent that are allowed at session time `t`."""
    return frozenset(kind for kind in ALL if refusal(schedule, state, kind, t) is None)
