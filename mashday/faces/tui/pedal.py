"""The pedal: one foot, or the two keys of a presenter. What a press means at this moment, and what it does.

Nothing that is hard to take back comes of one press. What stands as a hint and what a press does are one
decision, so that they cannot differ.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from mashday.engine import asks, calls, intents
from mashday.engine.decide import decide
from mashday.engine.decision import Refused
from mashday.engine.moves import asks_value, checklist, unticked
from mashday.faces.moment import Moment, lateness, title
from mashday.faces.questions import noun
from mashday.faces.tui.voice import ANSWERED_BY_NUMBER, GOING_ON
from mashday.faces.view import View
from mashday.session.session import Session
from mashday.text import cleaned

ONCE_MORE_SECONDS = 10.0
"""For so long a press that has to be made twice waits for the second one. Judgement."""
HEARD = "heard"
"""What a press does with a call that wants nothing else."""
UNDO = "undo"
STARCH_GONE = intents.TakeReading("starch", 1.0, "", "starch pass", 1.0, passed=True)
STARCH_LEFT = intents.TakeReading("starch", 0.0, "", "starch fail", 0.0, passed=False)


@dataclass(frozen=True, slots=True)
class Press:
    """What a press does: asks the session something, or takes what the probe shows, or says why it does not.

    `label` is what it does, in a few words, "" where that is nothing. With `twice`, its own name, it takes
    two presses: the first one only says so.
    """

    label: str = ""
    ask: intents.Intent | None = None
    says: str = ""
    twice: str = ""
    takes_live: bool = False


class Pedal:
    """The two meanings of a moment; remembers a press that has to be made once more."""

    def __init__(self, session: Session, live: Callable[[], str], awaited: Callable[[], bool]) -> None:
        """`live` is what the probe has to give to a question that is due; `awaited`: it is read by itself."""
        self._session = session
        self._live = live
        self._awaited = awaited
        self._armed: tuple[str, float] = ("", 0.0)

    def forward(self, view: View) -> Press:
        """What the pedal, or the forward key, means now."""
        session = self._session
        if view.doubt and session.doubted is not None:
            return _doubted(session.doubted)
        part = next((call for call in view.calls if call.way and call.rings), None)
        if part is not None:
            return Press("it is done: heat is off" if part.is_fire_on else "it is done", _heard(part.key))
        if view.phase == "idle":
            return Press("begins the day", intents.Start())
        if view.phase == "held":
            return Press("goes on", intents.Resume())
        if view.phase != "running":
            return Press()
        return self._of_the_day(view)

    def back(self, view: View) -> Press:
        """What the back key means now."""
        session = self._session
        state = session.state
        if view.doubt:
            return Press("forgets it", intents.Wrong())
        if self._armed[0] not in ("", UNDO):
            return Press("not that", says="Then not.")
        if state.offer is not None and state.offer.is_open:
            return Press("leaves it as it is", intents.LeaveIt())
        due = asks.due(session.schedule, state, session.t())
        if view.phase == "running" and due and due[0].quantity == "starch":
            return Press("starch still there", STARCH_LEFT)
        if "undo" not in view.moves:
            return Press(says="Nothing to take back.")
        return Press("takes back", intents.Undo(), "Take back the last entry? Press once more.", UNDO)

    def press(self, meant: Press, now: float) -> Press:
        """What comes of a press at `now` seconds: at first only its words, where it has to be made twice."""
        armed, since = self._armed
        self._armed = ("", 0.0)
        if not meant.twice or (armed == meant.twice and now - since <= ONCE_MORE_SECONDS):
            return meant
        self._armed = (meant.twice, now)
        return Press(says=meant.says)

    def tick(self, now: float) -> None:
        """Forgets a press that was not made once more."""
        if self._armed[0] and now - self._armed[1] > ONCE_MORE_SECONDS:
            self._armed = ("", 0.0)

    def _of_the_day(self, view: View) -> Press:
        session = self._session
        schedule, state, t = session.schedule, session.state, session.t()
        offer = state.offer
        if offer is not None and offer.is_open:
            best = next((way for way in view.ways if way.possible), None)
            if best is None:
                return Press("leaves it as it is", intents.LeaveIt())
            return Press(f"takes way {best.number}", intents.TakeRemedy(best.number))
        due = asks.due(schedule, state, t)
        if due:
            return self._asked(view, due[0])
        ringing = next((call for call in view.calls if call.rings), None)
        if ringing is not None:
            return Press(HEARD, _heard(ringing.key))
        left = unticked(schedule, state)
        if left:
            item = cleaned(checklist(schedule.step(state.step))[left[0] - 1], 60)
            if asks_value(item):
                says = f"{item} Press once more to tick it without an answer."
                return Press("ticks it", intents.TickItem(sure=True), says, f"tick-{state.step}-{left[0]}")
            return Press("ticks it", intents.TickItem())
        return self._on(view)

    def _asked(self, view: View, ask: asks.Ask) -> Press:
        heard = next((_heard(call.key) for call in view.calls if call.key == ask.key and call.rings), None)
        if ask.quantity == "temperature" and self._awaited():
            says = "It is read as soon as it stands still."
            return Press("stirred: read it", heard, "" if heard else says) if heard else Press(says=says)
        if ask.quantity == "temperature" and self._live():
            return Press(f"takes {self._live()}", takes_live=True)
        if ask.quantity == "added water":
            return Press("that much went in", intents.AnswerUnknown())
        if ask.quantity == "starch":
            says = "Did it stay yellow? Press once more. Blue or black: press back, or leave it."
            return Press("yellow: starch gone", STARCH_GONE, says, ask.key)
        what = noun(ask.quantity, ask.subject)
        says = f"A pedal gives no number: type the {what}, or press once more and it is assumed."
        return Press(f"{what} unknown", intents.AnswerUnknown(), says, ask.key)

    def _on(self, view: View) -> Press:
        session = self._session
        schedule, state, t = session.schedule, session.state, session.t()
        left = calls.remaining_seconds(schedule, state, t)
        if left is not None and left > 0.0:
            return Press(says=f"{lateness(left)} of this step are left.")
        if isinstance(found := decide(schedule, state, intents.Done(), t), Refused):
            waits = bool(view.question) and not view.question_due.startswith("due")
            return Press(says=f"Not yet: {view.question} {view.question_due}." if waits else found.why)
        number = state.step + 1
        if number > len(schedule.steps):
            return Press("ends the day", intents.Done())
        now = Moment(schedule, state, t, session.at)
        return Press(f"next step: {cleaned(title(now.schedule, number), 30)}", intents.Done())


def _heard(key: str) -> intents.Acknowledge:
    return intents.Acknowledge(key)


def _doubted(doubted: intents.Intent) -> Press:
    if isinstance(doubted, GOING_ON):
        return Press("yes", intents.KeepIt())
    if isinstance(doubted, ANSWERED_BY_NUMBER):
        return Press(says="A pedal keeps no doubted number: read it again, or press back to forget it.")
    return Press(says="A pedal does not confirm that: the keys do.")
