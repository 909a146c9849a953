"""What the desk has on show: the view of the moment, what is being typed, the page over it, the keys."""

from __future__ import annotations

import math

from mashday.engine import calls, intents
from mashday.engine.facts import Closing
from mashday.engine.moves import item_asked
from mashday.engine.state import State
from mashday.faces import closing, telling
from mashday.faces.outside import Outside
from mashday.faces.probing import Probing
from mashday.faces.tui import keyline, pages
from mashday.faces.tui import keys as table
from mashday.faces.tui.answering import is_way
from mashday.faces.tui.entry import NumberEntry
from mashday.faces.tui.paint import Shown
from mashday.faces.tui.typed import Typed
from mashday.faces.tui.voice import ANSWERED_BY_NUMBER, GOING_ON, Voice
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
        moment = (doubt, session.not_saved, session.view_only, *self._second(t))
        if self._state is session.state and moment == self._moment:
            return self._view
        stands = self._state is session.state and 0.0 <= t - self._whole_at < WHOLE_AGAIN_SECONDS
        found = self._told(doubt, self._view if stands else None)
        if stands and _on(found) != _on(self._view):
            stands, found = False, self._told(doubt, None)
        if not stands:
            self._state, self._whole_at = session.state, t
            self._due = calls.next_due(session.schedule, session.state)
            moment = (doubt, session.not_saved, session.view_only, *self._second(t))
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


class Showing:
    """Puts together what stands on the screen of one day."""

    def __init__(
        self,
        outside: Outside,
        voice: Voice,
        typed: Typed,
        session: Session,
        rehearsal: Rehearsal | None,
        *,
        keys: tuple[table.Key, ...],
        ascii_only: bool,
    ) -> None:
        self._outside = outside
        self._voice = voice
        self._typed = typed
        self._session = session
        self._sight = Sight(session, rehearsal)
        self._rehearsed = rehearsal is not None
        self._keys = keys
        self._ascii_only = ascii_only

    def view(self) -> View:
        """The view now, with what is doubted, as it is while the probe reads by itself."""
        return self._outside.seen(self._sight.view(self._voice.asks_sure()))

    def shown(
        self,
        view: View,
        page: pages.OpenPage,
        *,
        over: bool,
        asked: Closing | None,
        saving: bool,
        notices: tuple[str, ...],
        pedal: tuple[keyline.Hint, ...],
    ) -> Shown:
        """All that stands on the screen; `notices` is what to see to, `pedal` what the pedal does.

        Once it is `over`, `asked` is the last question that a line stands open for.
        """
        entry, line = self._typed.entry, self._typed.line
        probe, prefill, live = _probed(self._outside.probing)
        label = _entry_label(self._session, view, entry)
        if prefill and not entry.text:
            label = f"{table.of(self._keys, 'commit').first} takes what the probe shows: {probe}"
        doubted = self._session.doubted if self._voice.doubt else None
        question = "" if asked is None else closing.QUESTIONS[asked]
        return Shown(
            view=view,
            entry=f"{entry.prefix} {entry.text}".strip(),
            entry_label="saving..." if saving else label,
            probe=probe,
            prefill=prefill,
            live=live,
            message=self._voice.message or question,
            hints=_hints_of_question(line is not None)
            if asked is not None
            else keyline.hints(
                self._keys,
                view,
                rehearsed=self._rehearsed,
                standing="line" if line is not None else _standing(doubted, entry),
                pedal=pedal,
                takes=bool(prefill),
            ),
            notices=notices,
            rehearsed=self._rehearsed,
            page_title=page.title,
            page=page.lines(),
            page_top=page.top,
            page_foot=_page_foot(
                view, over=over, asked=bool(asked), question=question if self._voice.message else ""
            ),
            typing=line.text if line is not None else None if asked is None else "",
            ascii_only=self._ascii_only,
            keys=self._keys,
        )


def _page_foot(view: View, *, over: bool, asked: bool, question: str) -> str:
    """What the keys do on a page; on that of a day that is over they write its closing lines too.

    While one of them is `asked`, its question stands here if something else was said below.
    """
    if asked:
        return question or pages.FOOT_WHILE_ASKED
    if not over:
        return pages.FOOT
    return pages.FOOT_OF_A_LOOK if view.view_only else pages.FOOT_WHEN_OVER


def _hints_of_question(is_typed: bool) -> tuple[keyline.Hint, ...]:
    """What the keys do to the line that stands open for a last question."""
    if is_typed:
        return (("Enter", "take the line"), ("Esc", "clear it"))
    return (("Enter", "leave it out"), ("Esc", "ask no more"))


def _on(view: View) -> tuple[str, ...]:
    """What calls, and what is to be done: with another of these the whole is told anew."""
    return (view.instruction, *(call.key for call in view.calls))


def _entry_label(session: Session, view: View, entry: NumberEntry) -> str:
    """What the number being typed answers, or what would be answered by one."""
    if view.view_only:
        return "only a look: nothing is taken"
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


def _probed(probing: Probing | None) -> tuple[str, str, str]:
    """What a live thermometer shows, what of it one key takes now, and the number a step waits for."""
    return ("", "", "") if probing is None else (probing.line(), probing.prefill(), probing.live())


def _standing(doubted: intents.Intent | None, entry: NumberEntry) -> keyline.Standing:
    """What stands on the screen and wants a key of its own."""
    if entry.text:
        return "number"
    if doubted is None:
        return ""
    if isinstance(doubted, ANSWERED_BY_NUMBER):
        return "doubted number"
    return "doubted step" if isinstance(doubted, GOING_ON) else "doubt"
