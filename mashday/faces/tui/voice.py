"""The last word said on the screen, and what was doubted: what the desk tells of what came of an intent."""

from __future__ import annotations

from collections.abc import Callable

from mashday.engine import facts as f
from mashday.engine import intents
from mashday.faces import telling
from mashday.faces.entries import entry_lines
from mashday.session.session import Outcome, Session
from mashday.text import cleaned

MESSAGE_SECONDS = 60.0
DOUBT_SECONDS = 60.0
READ_SECONDS = 1.0
"""A key pressed sooner after a doubt was shown was pressed before anybody read it: a bounce. Judgement."""
ANSWERED_BY_NUMBER = (intents.TakeReading, intents.Correct)
"""What is kept, when doubted, by Enter or by the same number once more."""
GOING_ON = (intents.Done, intents.TickItem, intents.AddWater, intents.GiveAmount, intents.TakeRemedy)
"""What is kept, when doubted, by the key that goes on."""


class Voice:
    """`message` is the last word said, `doubt` what is doubted.

    `ways_out` are the keys that answer a doubt, `typed` is what was typed when it was doubted; `named` gives
    the key of an ability as a person reads it.
    """

    def __init__(self, session: Session, named: Callable[[str], str]) -> None:
        self.session = session
        self.message = ""
        self.doubt = ""
        self.typed = ""
        self.ways_out = ""
        self._named = named
        self._said_at = 0.0
        self._of_going_on = False
        self._doubted_at = 0.0

    def greet(self, now: float) -> None:
        """Says how the day was taken up: how long it was away, and whether its last entry was torn."""
        self.heard(self.session.state.log[-1:], now)
        if self.session.torn is not None:
            self.say(f"{telling.torn_said(self.session)} {self.message}", now)

    def say(self, text: str, now: float) -> None:
        """Shows this as the last word said."""
        self.message = cleaned(text)
        self._said_at = now

    def fade(self, now: float) -> None:
        """Lets go of a word that has stood long enough."""
        if self.message and now - self._said_at >= MESSAGE_SECONDS:
            self.message = ""

    def told(self, intent: intents.Intent, outcome: Outcome, now: float) -> None:
        """Takes in what came of an intent."""
        passed_over, self.doubt = bool(self.doubt) and not self._of_going_on, ""
        if outcome.refused is not None:
            self.say(outcome.refused, now)
        elif outcome.doubt is not None:
            self._doubted_at = now
            self.doubt, self.ways_out = cleaned(outcome.doubt), self._keys_out()
            self.typed = getattr(intent, "typed", "")
            self._of_going_on = isinstance(self.session.doubted, GOING_ON)
            self.message = ""
        elif not outcome.entries:
            self.say("Forgotten." if isinstance(intent, intents.Wrong) else "Nothing to do.", now)
        else:
            self.heard(outcome.entries, now)
            line = telling.carried_through(self.session, outcome)
            if line:
                self.say(f"{self.message} {line}.", now)
        if passed_over and not self.doubt and not isinstance(intent, intents.KeepIt | intents.Wrong):
            self.say(f"{self.message} What was doubted is not kept.", now)

    def heard(self, entries: tuple[f.Entry, ...], now: float) -> None:
        """Says what happened, the first line of it; what is no longer doubted does not stand.

        What a check of an instrument came to is said before the line of its item.
        """
        if self.session.doubted is None:
            self.doubt = ""
        state, schedule = self.session.state, self.session.schedule
        told = [line for entry in entries for line in entry_lines(entry, state, schedule)]
        checks = [entry for entry in entries if isinstance(entry.fact, f.InstrumentChecked)]
        found = [line for entry in checks for line in entry_lines(entry, state, schedule)]
        if found:
            self.say(f"{found[0]} {told[0].partition('  ')[2]}", now)
        elif told:
            self.say(told[0], now)

    def asks_sure(self) -> str:
        """What is doubted with the keys that are the ways out, to be read; "" where nothing is."""
        return f"{self.doubt} {self.ways_out}" if self.doubt else ""

    def doubts_too_long(self, now: float) -> bool:
        """True if a doubt has stood unanswered for so long that no key may keep to it any more."""
        return bool(self.doubt) and now - self._doubted_at >= DOUBT_SECONDS

    def was_read(self, pressed: float) -> bool:
        """True if what is doubted had been on show long enough to be read when a key was pressed."""
        return pressed - self._doubted_at >= READ_SECONDS

    def doubts(self, *kinds: type[intents.Intent]) -> bool:
        """True if an intent of one of these kinds is doubted just now."""
        return bool(self.doubt) and isinstance(self.session.doubted, kinds)

    def _keys_out(self) -> str:
        wrong, yes = self._named("wrong"), self._named("keep")
        if isinstance(self.session.doubted, ANSWERED_BY_NUMBER):
            return f"({self._named('commit')} keeps it, {wrong} forgets it)"
        if isinstance(self.session.doubted, GOING_ON):
            return f"({self._named('next')} or {yes}: yes; {wrong}: no)"
        return f"({yes}: yes; {wrong}: no)"
