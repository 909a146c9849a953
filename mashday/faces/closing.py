"""The three questions once a day is over: what went wrong, how it was mended, what to change next time.

Each is asked once and may be left out; none of them is a call.
"""

from __future__ import annotations

from mashday.engine.facts import Closing
from mashday.engine.intents import WriteClosingLine
from mashday.engine.state import State
from mashday.faces.vocabulary import ALIASES, WORDS
from mashday.text import cleaned

QUESTIONS: dict[Closing, str] = {
    "wrong": "What went wrong?",
    "mended": "How was it mended?",
    "change": "What to change next time?",
}
NAMES: dict[Closing, str] = {"wrong": "Went wrong", "mended": "Mended", "change": "To change next time"}
WORD_OF: dict[Closing, str] = {"wrong": "went-wrong", "mended": "mended", "change": "change"}
OPENING = "Three lines for next time, if you like: type each, or Enter to leave it out; quit leaves all."
LEAVES_OUT = frozenset({"", "-", "no", "none", "nothing", "skip"})
_WITH_TEXT = frozenset({*WORD_OF.values(), "note"})


def told(which: Closing, state: State) -> str:
    """A closing line behind its name; "" where it was not written."""
    text = state.closing_line(which)
    return f"{NAMES[which]}: {text}" if text else ""


class ClosingQuestions:
    """Which of the three is asked, and what a line answers to it."""

    def __init__(self) -> None:
        self._left_out: set[Closing] = set()

    def asked(self, state: State) -> Closing | None:
        """The first that is neither answered nor left out; None where none is left, or the day goes on."""
        if not state.is_over:
            return None
        left = (which for which in QUESTIONS if which not in self._left_out)
        return next((which for which in left if not state.closing_line(which)), None)

    def left_out(self, line: str, state: State) -> bool:
        """Leaves the question out that is asked, if the line says so; false if it says another thing."""
        which = self.asked(state)
        if which is None or cleaned(line).lower() not in LEAVES_OUT:
            return False
        self._left_out.add(which)
        return True

    def answered(self, line: str, state: State) -> WriteClosingLine | None:
        """The answer in a line; None where nothing is asked, or where it is a word of the line mode."""
        which, text = self.asked(state), cleaned(line)
        first, lowered = text.partition(" ")[0].lower(), text.lower()
        is_word = lowered in WORDS or lowered in ALIASES or first in _WITH_TEXT
        return None if which is None or is_word else WriteClosingLine(which, text)
