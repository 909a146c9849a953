"""The three questions of a day that is over on the screen: the line that stands open, and its keys."""

from __future__ import annotations

from mashday.engine.facts import Closing
from mashday.faces.closing import ClosingQuestions
from mashday.faces.tui.pages import SCROLLS
from mashday.faces.tui.typed import ENTER, LEAVES_THE_LINE, Typed
from mashday.session.session import Session
from mashday.text import cleaned

SETTLED_SECONDS = 1.0
"""The last key of a day may be hammered: for so long after another one it answers no question. Judgement."""


class ToClose:
    """The three questions of a day that is over: which one a line stands open for, and what a key does to it.

    The line is one that is being written only once something is typed into it.
    """

    def __init__(self, session: Session, typed: Typed) -> None:
        self.questions = ClosingQuestions()
        self._session = session
        self._typed = typed
        self._settled = False

    def asked(self) -> Closing | None:
        """The question that stands open; None on a look, while the day goes on, and once none is left."""
        return None if self._session.view_only else self.questions.asked(self._session.state)

    def key(self, key: str, character: str | None, name: str | None, quiet: float, *, again: bool) -> bool:
        """Takes a key for the question that is open; false if none is, or if it is for the page above it.

        It came `quiet` seconds after the one before, and is the same `again` or another; `name` is what it
        does on the board.
        """
        which = self.asked()
        if which is None:
            return False
        types = character is not None and character.isprintable()
        types = types and name not in ("quit", "ok") and (str(character).isalnum() or name != "next")
        if not self._settled and quiet < SETTLED_SECONDS and (again or not types):
            return True
        self._settled = True
        if key in ENTER:
            self.questions.leave_out(which)
        elif key in LEAVES_THE_LINE or name == "quit":
            self.questions.leave_all()
        elif name == "ok" or key in SCROLLS:
            return False
        elif types and character is not None:
            self._typed.begin(character)
        return True

    def paste(self, text: str) -> None:
        """Takes pasted text as the beginning of an answer."""
        if self.asked() is not None:
            self._typed.begin(cleaned(text, 200))
