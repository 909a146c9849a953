"""Answering: what a key asks of the session for a number, a call, a doubt, the list, the step."""

from __future__ import annotations

from collections.abc import Callable

from mashday.engine import asks, calls, intents
from mashday.engine.moves import item_asked, unticked
from mashday.engine.state import State
from mashday.faces import fire_told
from mashday.faces.tui.asked import Asked
from mashday.faces.tui.entry import NumberEntry
from mashday.faces.tui.voice import ANSWERED_BY_NUMBER, GOING_ON, Voice
from mashday.faces.view import CallLine, View
from mashday.session.session import Session

MEANT_SECONDS = 2.0
"""Enter so soon after a number was taken, set aside or forgotten was meant for that, not for the heat."""


class Answering:
    """The keys that answer. `take_live` takes what the probe shows, false if it took nothing."""

    def __init__(
        self,
        session: Session,
        voice: Voice,
        entry: NumberEntry,
        *,
        view: Callable[[], View],
        say: Callable[[str], None],
        ask: Callable[[Asked], None],
        take_live: Callable[[], bool],
        named: Callable[[str], str],
    ) -> None:
        self._session = session
        self._voice = voice
        self._entry = entry
        self._view = view
        self._say = say
        self._ask = ask
        self._take_live = take_live
        self._named = named
        self._meant_otherwise = -1e9
        self._fire = ("", -1e9)

    # Enter

    def enter(self, now: float) -> str:
        """Answers with the number typed, else what stands; returns what was typed where that is no answer."""
        doubts_a_number = self._voice.doubts(*ANSWERED_BY_NUMBER)
        if not self._entry.text:
            self._entry.clear()
            if doubts_a_number:
                self._keep(now)
            elif not self._take_live():
                self.ok(now)
            return ""
        typed = self._entry.take()
        self.meant_otherwise(now)
        if doubts_a_number and typed == self._voice.typed:
            self._ask(intents.KeepIt())
        elif is_way(self._entry, self._session.state, typed):
            self._ask(intents.TakeRemedy(int(typed)))
        else:
            return typed
        return ""

    def ok(self, now: float) -> None:
        """Acknowledges what calls just now; heat off alone, and by no key meant for another thing."""
        open_calls = _unacknowledged(self._session)
        ringing = [call for call in open_calls if call.rings]
        fire = next((call for call in ringing if call.way == "fire"), None)
        if fire is not None:
            self._heat_off(fire.key, now, now)
        elif standing := ringing or [call for call in open_calls if call.way != "fire"]:
            for call in standing:
                self._ask(intents.Acknowledge(call.key))
        elif open_calls:
            self._say(f"Heat off is quiet for now. If it is off, say so: {self._named('word')}heat off")
        elif self._voice.doubt:
            self._say(f"That is answered by another key {self._voice.ways_out}.")
        else:
            self._say(f"Nothing waits for that. {self._named('help')} shows the keys.")

    def word_ok(self, since: float, now: float) -> bool:
        """Takes the bare ok of a line begun at `since` seconds, where a fire rings; false if none does."""
        fire = fire_told.ringing(self._session)
        if fire is not None:
            self._heat_off(fire.key, since, now, f"say so: {self._named('word')}heat off")
        return fire is not None

    def _heat_off(self, fire: str, since: float, now: float, then: str = "press it once more.") -> None:
        """The heat is off, by what was begun at `since` seconds; asked first if that was for another thing.

        `then` is what to do if it is. A key that is held down answers that question no more than it answered
        the call.
        """
        if self._meant_for_another(fire, since):
            self._say(f"Is the heat off? Then {then}")
            self._meant_otherwise, self._fire = -1e9, (fire, now)
        else:
            self._ask(intents.Acknowledge(fire))

    def tick(self, now: float) -> None:
        """Notes since when a fire calls."""
        fire = next((call.key for call in self._view().calls if call.is_fire_on), "")
        if fire != self._fire[0]:
            self._fire = (fire, now)

    def not_shown(self) -> None:
        """Takes in that no call is seen just now."""
        self._fire = ("", -1e9)

    def meant_otherwise(self, at: float) -> None:
        """Enter was for another thing at `at` seconds: a number that was taken, set aside or forgotten."""
        self._meant_otherwise = max(self._meant_otherwise, at)

    def _meant_for_another(self, fire: str, since: float) -> bool:
        """True for a key that was on its way when this fire began to call, or that follows another entry."""
        key, stands = self._fire
        unseen = key != fire or since - stands < fire_told.SEEN_SECONDS
        return unseen or since - self._meant_otherwise < MEANT_SECONDS

    # The day

    def next(self, pressed: float, now: float) -> None:
        """The next item of the list, else the next step; a second time what was doubted of it.

        `pressed` is when the key was pressed that counts `now`, in seconds.
        """
        session = self._session
        if self._voice.doubts(*GOING_ON) and not self._entry.text:
            self._keep(pressed)
        elif part := next(iter(self._parts()), None):
            if part.is_fire_on:
                self._heat_off(part.key, pressed, now)
            else:
                self._ask(intents.Acknowledge(part.key))
        elif session.state.phase == "running" and unticked(session.schedule, session.state):
            self.tick_item()
        else:
            self.done(pressed)

    def _keep(self, pressed: float) -> None:
        """Keeps to what is doubted, by a key that may have been for what was doubted: one pressed before
        anybody can have read the doubt does nothing."""
        if self._voice.was_read(pressed):
            self._ask(intents.KeepIt())

    def done(self, pressed: float) -> None:
        """Begins the day, or ends the step; a second time although it was doubted."""
        if self._session.state.phase == "idle":
            self._ask(intents.Start())
        elif self._voice.doubts(intents.Done):
            self._keep(pressed)
        else:
            self._ask(intents.Done())

    def skip(self, pressed: float) -> None:
        """Leaves the step out; a second time although it was doubted."""
        if self._voice.doubts(intents.Skip):
            self._keep(pressed)
        else:
            self._ask(intents.Skip())

    def hold(self) -> None:
        """Holds the day, or lets it go on."""
        self._ask(intents.Resume() if self._session.state.phase == "held" else intents.Hold())

    def tick_item(self) -> None:
        """Ticks the next item, with what is typed as its answer."""
        self._ask(intents.TickItem(value=self._entry.take() if self._entry.text else None))

    def takes(self, name: str) -> bool:
        """True if this key answers the next item with what is typed: one that asks for it."""
        schedule, state = self._session.schedule, self._session.state
        asked = asks.question(schedule, state, self._session.t())
        return name == "next" and asked is None and item_asked(schedule, state) is not None

    def sees(self) -> tuple[object, ...]:
        """What a press that waits for quiet was meant for: the step, and what is to be done in it."""
        return (self._session.state.phase, self._session.state.step, *(part.key for part in self._parts()))

    def _parts(self) -> list[CallLine]:
        """The parts of a remedy that call for a hand."""
        return [call for call in self._view().calls if call.way and call.rings]


def is_way(entry: NumberEntry, state: State, typed: str) -> bool:
    """While a remedy is open, a small whole number is the number of a way."""
    offer = state.offer
    if offer is None or not offer.is_open or entry.prefix:
        return False
    return typed.isdigit() and 1 <= int(typed) <= len(offer.options)


def calling(session: Session) -> bool:
    """True while a call is on that nobody has acknowledged."""
    return bool(_unacknowledged(session))


def _unacknowledged(session: Session) -> list[calls.Call]:
    found = calls.calls(session.schedule, session.state, session.t())
    return [call for call in found if not call.acknowledged]
