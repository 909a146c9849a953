"""What the desk has on show: the view of the moment, and the word for what is being typed."""

from __future__ import annotations

import math

from mashday.engine import calls, intents
from mashday.engine.moves import item_asked
from mashday.engine.state import State
from mashday.faces import telling
from mashday.faces.probing import Probing
from mashday.faces.tui import keyline
from mashday.faces.tui.entry import NumberEntry
from mashday.faces.tui.voice import ANSWERED_BY_NUMBER, GOING_ON
from mashday.faces.view import View
from mashday.session.rehearsal import Rehearsal
from mashday.session.session import Session
from mashday.text import cleaned

WHOLE_AGAIN_SECONDS = 5.0
"""What is expected of the rest of the day is reckoned anew that often, and whenever something happens."""


class Sight:
    """The view of a session; the same one while nothing in it has changed.

    What goes by the clock is told anew with each second of the countdown, and at once when something is due.
    """

    def __init__(self, session: Session, rehearsal: Rehearsal | None) -> None:
        self._session = session
        self._rehearsal = rehearsal
        self._state: State | None = None
        self._whole_at = 0.0
        self._due: float | None = None
        self._moment: tuple[object, ...] = ()
        self._view = View()

    def view(self, doubt: str) -> View:
        """The view now, with this doubt in it."""
        session, t = self._session, self._session.t()
        moment = (doubt, session.not_saved, *self._second(t))
        if self._state is session.state and moment == self._moment:
            return self._view
        stands = self._state is session.state and 0.0 <= t - self._whole_at < WHOLE_AGAIN_SECONDS
        found = self._told(doubt, self._view if stands else None)
        if stands and _on(found) != _on(self._view):
            stands, found = False, self._told(doubt, None)
        if not stands:
            self._state, self._whole_at = session.state, t
            self._due = calls.next_due(session.schedule, session.state)
            moment = (doubt, session.not_saved, *self._second(t))
        self._moment = moment
        if found != self._view:
            self._view = found
        return self._view

    def _second(self, t: float) -> tuple[int, bool]:
        """The second the countdown shows, and whether what is due next is due by now."""
        schedule, state = self._session.schedule, self._session.state
        left = calls.remaining_seconds(schedule, state, t) if state.phase == "running" else None
        due = self._due is not None and state.running(t) >= self._due
        return math.ceil(left) if left is not None else int(t), due

    def _told(self, doubt: str, before: View | None) -> View:
        return telling.view_of(self._session, self._rehearsal, doubt=doubt, before=before)


def _on(view: View) -> tuple[str, ...]:
    """What calls, and what is to be done: with another of these the whole is told anew."""
    return (view.instruction, *(call.key for call in view.calls))


def is_way(entry: NumberEntry, state: State, typed: str) -> bool:
    """While a remedy is open, a small whole number is the number of a way."""
    offer = state.offer
    if offer is None or not offer.is_open or entry.prefix:
        return False
    return typed.isdigit() and 1 <= int(typed) <= len(offer.options)


def calling(session: Session) -> bool:
    """True while a call is on that nobody has acknowledged."""
    standing = calls.calls(session.schedule, session.state, session.t())
    return any(not call.acknowledged for call in standing)


def entry_label(session: Session, view: View, entry: NumberEntry) -> str:
    """What the number being typed answers, or what would be answered by one."""
    if entry.prefix:
        return "minutes, for this step"
    if entry.text and is_way(entry, session.state, entry.text):
        way = next((way for way in view.ways if way.number == int(entry.text)), None)
        return f"takes this way: {way.headline}" if way is not None else ""
    if view.question:
        or_way = "the number of a way, or " if view.ways and not entry.text else ""
        return f"{or_way}{view.question} ({view.question_unit})"
    item = item_asked(session.schedule, session.state) if view.phase == "running" else None
    if item is not None:
        return f"the answer to: {cleaned(item, 60)}"
    if view.phase not in ("running", "held"):
        return ""
    return "the number of a way, or a temperature" if view.ways else "a temperature, any time"


def probed(probing: Probing | None) -> tuple[str, str, str]:
    """What a live thermometer shows, what of it one key takes now, and the number a step waits for."""
    return ("", "", "") if probing is None else (probing.line(), probing.prefill(), probing.live())


def standing(doubted: intents.Intent | None, entry: NumberEntry) -> keyline.Standing:
    """What stands on the screen and wants a key of its own."""
    if entry.text:
        return "number"
    if doubted is None:
        return ""
    if isinstance(doubted, ANSWERED_BY_NUMBER):
        return "doubted number"
    return "doubted step" if isinstance(doubted, GOING_ON) else "doubt"
