"""The foot at the desk: which keys are presses of a pedal, and what a press does there."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mashday.engine import intents
from mashday.faces.tui import keys as table
from mashday.faces.tui.entry import Foot
from mashday.faces.tui.keyline import Hint
from mashday.faces.tui.pages import SCROLLS
from mashday.faces.tui.pedal import HEARD, Pedal, Press
from mashday.faces.view import View

if TYPE_CHECKING:
    from mashday.faces.tui.desk import Desk

NAVIGATION = frozenset(
    {"home", "end", "up", "down", "left", "right", "pageup", "pagedown", "insert", "delete", "kp_begin"}
)
IS_NUMLOCK_OFF = "That key gives no number. Is NumLock off?"
WENT_ON = "The day went on just then: look, and press again."
TOO_SOON = "Too soon to be an answer. Press again."
STANDS_SECONDS = 1.0
"""What a press does must have stood for so long when it was made: it is for nothing sooner. Judgement."""
GRAVE_SECONDS = 2.0
"""The same where it says that a heat is off, or takes a remedy. Judgement."""
NUMLOCK_SECONDS = 5.0
"""So long after a key of a keypad without NumLock its page keys are taken for more of the same."""
BY_HAND_SECONDS = 1.0
"""A pedal's key so soon after it took a number or a line is its bounce, and no press."""
PAGE_LINES = 10
"""Lines a Page key scrolls by."""


class Footwork:
    """Takes the keys of a pedal for a desk and does what a press means there."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        probing = desk.outside.probing
        self._foot = Foot()
        self._pedal = Pedal(
            desk.session,
            probing.prefill if probing is not None else str,
            probing.awaits if probing is not None else bool,
        )
        self._navigated = self._by_hand = -1e9
        self._stands: dict[str, tuple[tuple[object, ...], float]] = {}
        self._acknowledged = False
        self._said = ""

    def key(self, key: str, character: str | None, now: float) -> bool:
        """Takes a key of the pedal; false if it is for a hand: something is typed, or it is another key."""
        desk = self._desk
        name = table.name_of(desk.keys, key, character)
        if not table.is_pedal(desk.keys, name, key):
            if self._foot.cancel():
                desk.say("The pedal did not count: another key came with it.")
            self._pedal.forget()
            return False
        foot = "back" if name == "back" else "go"
        is_for_a_hand = name != foot
        if desk.guard.mutes(now):
            desk.typed.burst(now)
            return True
        if desk.typed.line is not None:
            return self._beside_a_line(foot, character, now, is_for_a_hand=is_for_a_hand)
        if not any(character.isdigit() for character in desk.entry.text) and not desk.entry.prefix:
            desk.entry.clear()
        if desk.entry.text or desk.entry.prefix:
            return self._beside_a_number(foot, now, is_for_a_hand=is_for_a_hand)
        if key in NAVIGATION and now - self._navigated < NUMLOCK_SECONDS:
            if desk.page.title and key in SCROLLS:
                return False
            self._foot.cancel()
            desk.say(IS_NUMLOCK_OFF)
            return True
        if is_for_a_hand and now - self._by_hand < BY_HAND_SECONDS:
            self._foot.spend(foot, now)
            return True
        self.tick(now)
        if self._foot.press(foot, now):
            desk.say("The pedal did not count: the other one came with it.")
        return True

    def navigated(self, now: float) -> None:
        """A key that moves about came, where there is nothing to move about in."""
        self._navigated = now

    def tick(self, now: float) -> None:
        """Lets the presses happen that count by now, and lets go of one that was not made once more."""
        self._see(now)
        while (name := self._foot.due(now)) is not None:
            self._pressed(name, now)
        if self._pedal.tick(now):
            self._desk.say("No second press came: nothing was done.")

    def not_shown(self) -> None:
        """Takes in that it is not seen just now what a press would do."""
        self._stands.clear()

    def told(self) -> None:
        """Takes in that the session has answered: what a press would do next is said behind a call's."""
        acknowledged, self._acknowledged = self._acknowledged, False
        if acknowledged and (label := self._meant("go", self._desk.view()).label):
            self._desk.say(f"{self._desk.message} Press again: {label}.".strip())

    @property
    def waits(self) -> bool:
        """True while a press does not count yet, or is to be made once more."""
        return self._foot.waits or bool(self._foot.owed) or self._pedal.waits

    def label(self, view: View) -> str:
        """What a press of the pedal does now, "" where that is nothing or no pedal was named."""
        return self._label("go", view) if table.has_pedal(self._desk.keys) else ""

    def says(self, view: View) -> str:
        """That as a sentence to be said, with what the back key does where that is an answer; may be ""."""
        label = self.label(view)
        if not label or label == HEARD:
            return ""
        back = self._answer_by_back(view)
        return f"Pedal: {label}. Back: {back}." if back else f"Pedal: {label}."

    def hints(self, view: View) -> tuple[Hint, ...]:
        """The keys of the pedal with what they do now, where one was named."""
        keys, label = self._desk.keys, self.label(view)
        back = self._answer_by_back(view)
        found = [(table.of(keys, "go").first, label)] if label else []
        return (*found, (table.of(keys, "back").first, back)) if back else tuple(found)

    def aloud(self, view: View) -> None:
        """Says aloud what a press would do, when that is something else than before."""
        said = self.says(view)
        if said and said != self._said:
            self._aloud(said)
        self._said = said

    def _answer_by_back(self, view: View) -> str:
        """What the back key answers, "" where it would only take something back or none was named."""
        if not table.has_pedal(self._desk.keys, "back") or self._meant("back", view).twice:
            return ""
        return self._label("back", view)

    def _label(self, name: str, view: View) -> str:
        meant = self._meant(name, view)
        again = "once more: " if meant.label and self._pedal.wants_again(meant) else ""
        return f"{again}{meant.label}"

    def _meant(self, name: str, view: View) -> Press:
        """What a press means now: on the board, or for the question whether the signal was heard."""
        if self._desk.asks_whether_heard(view) and not self._desk.doubt:
            return Press("heard it" if name == "go" else "heard nothing", hears=name == "go")
        return self._pedal.forward(view) if name == "go" else self._pedal.back(view)

    def _pressed(self, name: str, now: float) -> None:
        desk = self._desk
        view = desk.view()
        desk.typed.snoozed(None, now)
        if desk.page.title:
            self._on_page(name, view)
            return
        if desk.outbox or desk.saving:
            self._say("The last entry is still being written. Press again.")
            return
        meant = self._meant(name, view)
        if meant.hears is not None:
            desk.answer_heard(yes=meant.hears)
            return
        if not meant.twice and meant.acts and not self._stood(name, meant, view):
            self._say(TOO_SOON if meant.answers else WENT_ON)
            return
        done = self._pedal.press(meant, self._foot.at, self._foot.silence, now)
        if done.says:
            self._say(done.says)
        if done.takes_live:
            desk.take_live()
        elif done.ask is not None:
            self._acknowledged = isinstance(done.ask, intents.Acknowledge)
            desk.ask(done.ask)

    def _on_page(self, name: str, view: View) -> None:
        """Pages through; past its end, and where something calls, it is closed; a day now over is left."""
        desk = self._desk
        more = desk.page.top + PAGE_LINES < len(desk.page.lines())
        if name == "back" and desk.page.top > 0:
            desk.page.scrolled("pageup")
        elif name == "go" and more and not any(call.rings for call in view.calls):
            desk.page.scrolled("pagedown")
        elif desk.over:
            desk.leaving = name == "go"
        else:
            desk.close_page()

    def _beside_a_line(self, foot: str, character: str | None, now: float, *, is_for_a_hand: bool) -> bool:
        if is_for_a_hand or (character is not None and character.isprintable()):
            self._hand(foot, now)
            return False
        self._desk.say("A line is being written: Enter takes it, Esc leaves it.")
        return True

    def _beside_a_number(self, foot: str, now: float, *, is_for_a_hand: bool) -> bool:
        desk = self._desk
        if is_for_a_hand:
            self._hand(foot, now)
            return False
        if foot == "back":
            desk.typed.wrong()
        else:
            take, clear = (table.of(desk.keys, name).first for name in ("commit", "wrong"))
            typed = desk.entry.text or desk.entry.prefix
            desk.say(f"{typed} is typed and not taken yet: {take} takes it, {clear} clears it.")
        self._foot.spend(foot, now)
        return True

    def _hand(self, foot: str, now: float) -> None:
        self._by_hand = now
        self._foot.spend(foot, now)

    def _see(self, now: float) -> None:
        """Notes since when a press of either key means what it means."""
        view = self._desk.view()
        for name in ("go", "back"):
            meaning = self._meaning(self._meant(name, view), view)
            if name not in self._stands or self._stands[name][0] != meaning:
                self._stands[name] = (meaning, now)

    def _stood(self, name: str, meant: Press, view: View) -> bool:
        """True if the press that counts now was made when it meant this, and had for a while."""
        meaning, since = self._stands[name]
        long_enough = GRAVE_SECONDS if meant.grave else STANDS_SECONDS
        return meaning == self._meaning(meant, view) and self._foot.at - since >= long_enough

    def _meaning(self, meant: Press, view: View) -> tuple[object, ...]:
        """What tells one meaning from another; that the probe's value goes up and down makes no other."""
        state = self._desk.session.state
        offer = state.offer.number if state.offer is not None else 0
        label = "" if meant.takes_live else meant.label
        return (label, meant.ask, meant.takes_live, view.doubt, state.step, offer, len(state.readings))

    def _say(self, text: str) -> None:
        self._desk.say(text)
        self._aloud(text)

    def _aloud(self, text: str) -> None:
        if self._desk.herald is not None:
            self._desk.herald.say(text)
