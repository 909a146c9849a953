"""The pedal: one foot, or the two keys of a presenter. What a press means at this moment.

Nothing that is hard to take back comes of one press. What stands as a hint and what a press does are one
decision, so that they cannot differ.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from mashday.engine import asks, calls, intents, landing, pouring
from mashday.engine.decide import decide
from mashday.engine.decision import Refused
from mashday.engine.moves import asks_value, checklist, unticked
from mashday.engine.undo import described, last_act
from mashday.faces.moment import Moment, lateness, title
from mashday.faces.questions import noun
from mashday.faces.tui.voice import ANSWERED_BY_NUMBER, GOING_ON
from mashday.faces.view import View
from mashday.schedule.model import Boil, Cook, Cool, MashOut, Raise
from mashday.session.session import Session
from mashday.text import cleaned

ONCE_MORE_SECONDS = 10.0
"""For so long a press that has to be made twice waits for the second one. Judgement."""
ANSWER_SECONDS = 1.5
"""A press answers a question only behind so long a silence of the pedal: longer than any keyboard takes to
repeat a key that is held down (entry.SLOWEST_SECONDS)."""
ONCE_MORE = "Press once more in a moment"
HEARD = "heard"
"""What a press does with a call that wants nothing else."""
UNDO = "undo"
STARCH_GONE = intents.TakeReading("starch", 1.0, "", "starch pass", 1.0, passed=True)
STARCH_LEFT = intents.TakeReading("starch", 0.0, "", "starch fail", 0.0, passed=False)


@dataclass(frozen=True, slots=True)
class Press:
    """What a press does: asks the session something, or takes what the probe shows, or says why it does not.

    `label` is what it does, in a few words, "" where that is nothing. With `twice`, its own name, it takes
    two presses: the first one only says so. One that `answers` confirms what the session doubts; one that
    `hears` says whether the signal was heard; a `grave` one says that a heat is off, or takes a remedy.
    """

    label: str = ""
    ask: intents.Intent | None = None
    says: str = ""
    twice: str = ""
    takes_live: bool = False
    answers: bool = False
    hears: bool | None = None
    grave: bool = False

    @property
    def acts(self) -> bool:
        """True if it does something to the day."""
        return self.ask is not None or self.takes_live


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
            label = "it is done: heat is off" if part.is_fire_on else "it is done"
            return Press(label, _heard(part.key), grave=part.is_fire_on)
        if self._armed[0].startswith(UNDO):
            return Press("takes nothing back", says="Nothing was taken back.")
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
        schedule, state, t = session.schedule, session.state, session.t()
        if view.doubt:
            return Press("forgets it", intents.Wrong())
        due = asks.due(schedule, state, t) if view.phase == "running" else ()
        offered = state.offer is not None and state.offer.is_open
        if self._armed[0].startswith(UNDO):
            due, offered = (), False
        if due and due[0].quantity == "starch" and not offered:
            return Press("starch still there", STARCH_LEFT)
        if self._armed[0] and not self._armed[0].startswith(UNDO):
            return Press("not that", says="Then not.")
        if offered:
            return Press("leaves it as it is", intents.LeaveIt())
        act = last_act(state)
        if UNDO not in view.moves or act is None:
            return Press(says="Nothing to take back.")
        says = f"Take back {cleaned(described(act), 60)}? {ONCE_MORE}."
        return Press("takes back", intents.Undo(), says, f"{UNDO} {state.seq}")

    @property
    def waits(self) -> bool:
        """True while a press is to be made once more."""
        return bool(self._armed[0])

    def wants_again(self, meant: Press) -> bool:
        """True if this press was made once already and waits to be made once more."""
        return bool(meant.twice) and self._armed[0] == meant.twice

    def press(self, meant: Press, at: float, silence: float, now: float) -> Press:
        """What comes of a press made at `at` seconds: at first only its words, where it has to be made twice.

        `silence` is for how long no key of the pedal came before it, `now` when that is asked.
        """
        again, since = self.wants_again(meant), self._armed[1]
        if again and silence < ANSWER_SECONDS:
            return Press(says=f"Too soon to be an answer. {meant.says}")
        self.forget()
        if again and at - since <= ONCE_MORE_SECONDS:
            return replace(meant, says="")
        if not meant.twice:
            return meant
        self._armed = (meant.twice, now)
        return Press(says=meant.says)

    def forget(self) -> bool:
        """Lets go of a press that was to be made once more; true if there was one."""
        armed, self._armed = self._armed, ("", 0.0)
        return bool(armed[0])

    def tick(self, now: float) -> bool:
        """Lets go of one that was not made once more; true if that was just now."""
        return now - self._armed[1] > ONCE_MORE_SECONDS and self.forget()

    def _of_the_day(self, view: View) -> Press:
        session = self._session
        schedule, state, t = session.schedule, session.state, session.t()
        asked = {ask.key for ask in asks.asks(schedule, state)}
        ringing = next((call for call in view.calls if call.rings and call.key not in asked), None)
        if ringing is not None:
            return Press(HEARD, _heard(ringing.key))
        offer = state.offer
        if offer is not None and offer.is_open:
            best = next((way for way in view.ways if way.possible), None)
            if best is None:
                return Press("leaves it as it is", intents.LeaveIt())
            return Press(f"takes way {best.number}", intents.TakeRemedy(best.number), grave=True)
        due = asks.due(schedule, state, t)
        if due:
            return self._asked(view, due[0])
        left = unticked(schedule, state)
        if left:
            item = cleaned(checklist(schedule.step(state.step))[left[0] - 1])
            if asks_value(item):
                says = f"{item} {ONCE_MORE} to tick it without an answer."
                return Press("ticks it", intents.TickItem(sure=True), says, f"tick {state.seq}")
            return Press("ticks it", intents.TickItem())
        return self._on(view)

    def _asked(self, view: View, ask: asks.Ask) -> Press:
        heard = next((_heard(call.key) for call in view.calls if call.key == ask.key and call.rings), None)
        name = f"{ask.key} {self._session.state.seq}"
        if ask.quantity == "temperature" and self._awaited():
            if heard is None:
                return Press(says="It is read as soon as it stands still.")
            return Press("stirred: read it", heard)
        if ask.quantity == "temperature" and self._live():
            return Press("takes what the probe shows", takes_live=True)
        if ask.quantity == "added water":
            return Press(f"{self._to_pour()} went in", intents.AnswerUnknown())
        if ask.quantity == "starch":
            says = f"Did it stay yellow? {ONCE_MORE}. Blue or black: press back, or leave it."
            return Press("yellow: starch gone", STARCH_GONE, says, name)
        what = noun(ask.quantity, ask.subject)
        says = f"A pedal gives no number: type the {what}, or press once more in a moment and it is assumed."
        return Press(f"{what} unknown", intents.AnswerUnknown(), says, name)

    def _to_pour(self) -> str:
        """How much water was to go in, as it was told; "all of it" where no amount was."""
        session = self._session
        now = Moment(session.schedule, session.state, session.t(), session.at)
        told = pouring.water_told(session.schedule, session.state)
        return now.litres(told[0]) if told is not None and told[0] > 0.0 else "all of it"

    def _on(self, view: View) -> Press:
        session = self._session
        schedule, state, t = session.schedule, session.state, session.t()
        record = state.current
        assert record is not None
        left = calls.remaining_seconds(schedule, state, t)
        if left is not None and left > 0.0:
            return Press(says=f"{lateness(left)} of this step are left.")
        found = decide(schedule, state, intents.Done(), t)
        to_come = left is not None and any(ask.required for ask in asks.asks(schedule, state))
        if isinstance(found, Refused) or to_come:
            if view.question and not view.question_due.startswith("due"):
                return Press(says=f"Not yet: {view.question} {view.question_due}.")
            return Press(says=found.why if isinstance(found, Refused) else "Not yet: a reading is to come.")
        if isinstance(schedule.step(state.step), Boil | Cook) and record.clock_run is None:
            return Press("its time begins", intents.Done())
        if state.step == len(schedule.steps):
            says = f"That ends the day, and nothing takes it back. {ONCE_MORE}."
            return Press("ends the day", intents.Done(), says, f"end {state.seq}")
        label = f"next step: {cleaned(title(schedule, state.step + 1), 30)}"
        short = self._not_there()
        if short:
            return Press(label, intents.Done(), f"{short} {ONCE_MORE} to go on.", f"on {state.seq}")
        return Press(label, intents.Done())

    def _not_there(self) -> str:
        """That a step which moves to a target was last read away from it, "" if that is not so."""
        session = self._session
        now = Moment(session.schedule, session.state, session.t(), session.at)
        number = session.state.step
        target = landing.target_celsius(session.schedule, session.state, number)
        taken = session.state.valid("temperature", number)
        moves = isinstance(session.schedule.step(number), Raise | MashOut | Cool)
        if not moves or target is None or not taken or asks.reached(session.schedule, session.state, number):
            return ""
        return f"Last read at {now.celsius(taken[-1].metric)}, it is to come to {now.celsius(target)}."


def _heard(key: str) -> intents.Acknowledge:
    return intents.Acknowledge(key)


def _doubted(doubted: intents.Intent) -> Press:
    if isinstance(doubted, GOING_ON):
        return Press("yes", intents.KeepIt(), answers=True)
    if isinstance(doubted, ANSWERED_BY_NUMBER):
        return Press(says="A pedal keeps no doubted number: read again and type it; back forgets it.")
    return Press(says="A pedal does not confirm that: the keys do.")
