"""What the desk has on show: the view of the moment, and the word for what is being typed."""

from __future__ import annotations

from mashday.engine import calls, intents
from mashday.engine.moves import item_asked
from mashday.engine.state import State
from mashday.faces import telling
from mashday.faces.tui import keyline
from mashday.faces.tui.entry import NumberEntry
from mashday.faces.tui.voice import ANSWERED_BY_NUMBER, GOING_ON
from mashday.faces.view import View
from mashday.session.rehearsal import Rehearsal
from mashday.session.session import Session
from mashday.text import cleaned

VIEWS_A_SECOND = 2
"""A view is reckoned anew that often: what is due shows within 0.75 s with a tick of a quarter second."""
_Moment = tuple[str, str | None, int]


class Sight:
    """The view of a session; the same one within half a second in which nothing happened."""

    def __init__(self, session: Session, rehearsal: Rehearsal | None) -> None:
        self._session = session
        self._rehearsal = rehearsal
        self._seen: tuple[State, _Moment, View] | None = None

    def view(self, doubt: str) -> View:
        """The view now, with this doubt in it."""
        session = self._session
        state, moment = session.state, (doubt, session.not_saved, int(session.t() * VIEWS_A_SECOND))
        if self._seen is None or self._seen[0] is not state or self._seen[1] != moment:
            self._seen = state, moment, telling.view_of(session, self._rehearsal, doubt=doubt)
        return self._seen[2]


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
    return "a temperature, any time" if view.phase in ("running", "held") else ""


def standing(doubted: intents.Intent | None, entry: NumberEntry) -> keyline.Standing:
    """What stands on the screen and wants a key of its own."""
    if entry.text:
        return "number"
    if doubted is None:
        return ""
    if isinstance(doubted, ANSWERED_BY_NUMBER):
        return "doubted number"
    return "doubted step" if isinstance(doubted, GOING_ON) else "doubt"
