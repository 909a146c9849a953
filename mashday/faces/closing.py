"""The three questions once a day is over: what went wrong, how it was mended, what to change next time.

Each is asked once and may be left out; none of them is a call.
"""

from __future__ import annotations

from mashday.engine.facts import Closing
from mashday.engine.intents import ChooseUnits, Correct, TakeReading, Void, WriteClosingLine
from mashday.engine.state import State
from mashday.faces.lines import LONGEST_LINE, Command, understood
from mashday.faces.vocabulary import ALIASES, MOVE_OF, WORDS
from mashday.schedule.model import Schedule
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
_ABOUT = frozenset({"explain", "why", "heard", "probe"})
"""Commands that are about one word behind them."""
_INTO = frozenset({"save", "sheet"})
"""Commands that have a folder behind them."""


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

    def leave_out(self, which: Closing) -> None:
        """Asks this one no more."""
        self._left_out.add(which)

    def leave_all(self) -> None:
        """Asks none of them any more."""
        self._left_out.update(QUESTIONS)

    def left_out(self, line: str, state: State) -> bool:
        """Leaves the question out that is asked, if the line says so; false if it says another thing."""
        which = self.asked(state)
        if which is None or cleaned(line).lower() not in LEAVES_OUT:
            return False
        self.leave_out(which)
        return True

    def answered(self, line: str, schedule: Schedule, state: State, t: float) -> WriteClosingLine | None:
        """The answer in a line said at session time `t`; None where nothing is asked, or where it is a word
        of the line mode, a reading, a choice of units or a command."""
        which, text = self.asked(state), cleaned(line, LONGEST_LINE)
        is_said = which is None or _is_word(text) or _is_for_the_day(text, schedule, state, t)
        return None if which is None or is_said else WriteClosingLine(which, text)


def _is_word(text: str) -> bool:
    """True for a word of the line mode alone, or one that takes any text behind it."""
    first, lowered = text.partition(" ")[0].lower(), text.lower()
    return lowered in WORDS or lowered in ALIASES or first in _WITH_TEXT


def _is_for_the_day(text: str, schedule: Schedule, state: State, t: float) -> bool:
    """True for what is understood as a reading by its word, units or a command: an answer in a person's own
    words may begin with such a word too, or with a number."""
    meant = understood(text, schedule, state, t)
    if isinstance(meant, Command):
        argument = meant.argument
        is_path = any(mark in argument for mark in "/\\~")
        of_one_word = meant.word in _ABOUT or (meant.word in _INTO and is_path)
        return not argument or (of_one_word and " " not in argument)
    if isinstance(meant, TakeReading):
        first = text.partition(" ")[0].lower()
        return MOVE_OF.get(ALIASES.get(first, first)) == "reading"
    return isinstance(meant, ChooseUnits | Correct | Void)
