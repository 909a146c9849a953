"""What is being typed on the screen: a number, a line of words, or how long calls are to be quiet."""

from __future__ import annotations

from collections.abc import Callable

from mashday.engine import intents
from mashday.faces.tui.asked import Asked
from mashday.faces.tui.entry import SET_ASIDE_SECONDS, LineEntry, NumberEntry
from mashday.faces.tui.voice import Voice
from mashday.text import cleaned

ENTER = ("enter", "ctrl+j")
LEAVES_THE_LINE = ("escape", "ctrl+c", "ctrl+q")


class Typed:
    """The number and the line being typed, since when. `take_line` takes a finished one, `ask` an intent."""

    def __init__(
        self,
        voice: Voice,
        named: Callable[[str], str],
        take_line: Callable[[str], None],
        ask: Callable[[Asked], None],
    ) -> None:
        self.entry = NumberEntry()
        self.line: LineEntry | None = None
        self.line_since = -1e9
        self._voice = voice
        self._named = named
        self._take_line = take_line
        self._ask = ask
        self._snoozing_at: float | None = None
        self.set_aside_at = -1e9

    def tick(self, now: float) -> None:
        """Sets a number aside that stood too long, and lets go of a word that did."""
        if self._snoozing_at is not None and now - self._snoozing_at > SET_ASIDE_SECONDS:
            self._snoozing_at, self._voice.message = None, ""
        if self.entry.stale(now):
            self.set_aside_at = now
            aside = f"{self.entry.aside} set aside, not lost"
            self._voice.say(f"{aside}: {self._named('recall')} takes it up again.", now)
        if self.line is None:
            self._voice.fade(now)

    def paste(self, text: str, now: float) -> None:
        """Takes pasted text: into the line being written, else as the number being typed."""
        pasted = cleaned(text, 200)
        if self.line is not None:
            self.line.feed(pasted)
        elif not all(self.entry.feed(character, now) for character in pasted):
            self.entry.clear()
            word = self._named("word")
            self._voice.say(f"Not taken: that was no number. {word} opens a line for words.", now)

    def burst(self, now: float) -> None:
        """Takes none of the keys of a burst; what was typed is set aside, for the first of them are in it."""
        said = "Too many keys at once; none of them was taken."
        if self.entry.text:
            self.entry.put_aside()
        if self.entry.aside:
            said += f" {self.entry.aside} is set aside: {self._named('recall')} takes it up again."
        self._voice.say(said, now)

    def write(self, text: str, now: float) -> None:
        """Opens a line for words, with this text in it."""
        self.line, self.line_since = LineEntry(text), now
        self._voice.say("Enter takes the line, Esc leaves it.", now)

    def begin(self, text: str) -> None:
        """Opens a line for words that began with this text, for what is asked already."""
        self.line = LineEntry()
        self.line.feed(text)

    def write_on(self, key: str, character: str | None) -> bool:
        """Takes a key into the line being written; false if none is."""
        line = self.line
        if line is None:
            return False
        if key in ENTER:
            self.line, self._voice.message = None, ""
            if line.text.strip():
                self._take_line(line.text)
        elif key in LEAVES_THE_LINE:
            self.line, self._voice.message = None, ""
        else:
            line.key(key, character)
        return True

    def more(self, now: float) -> None:
        """Asks for minutes."""
        self.entry.clear()
        self.entry.prefix, self.entry.touched = "more", now
        self._voice.say(f"How many minutes more? Type them, then {self._named('commit')}.", now)

    def snooze(self, now: float) -> None:
        """Asks for how long calls are to be quiet."""
        self._snoozing_at = now
        self._voice.say("Quiet for how long? 1, 2 or 5 minutes.", now)

    def snoozed(self, character: str | None, now: float) -> bool:
        """Takes the answer to that; false if it is none, or none was asked for a moment ago."""
        asked, self._snoozing_at = self._snoozing_at, None
        if (
            asked is None
            or now - asked > SET_ASIDE_SECONDS
            or character is None
            or character not in ("1", "2", "5")
        ):
            return False
        self._voice.message = ""
        self._ask(intents.Snooze(int(character)))
        return True

    def wrong(self) -> None:
        """Clears what is typed, else forgets what was doubted."""
        if self.entry.text or self.entry.prefix:
            self.entry.clear()
            self._voice.message = ""
        elif self._voice.doubt:
            self._ask(intents.Wrong())

    def erase(self, now: float) -> None:
        """Takes the last character away, else forgets what was doubted."""
        if self.entry.text or self.entry.prefix:
            self.entry.erase(now)
        else:
            self.wrong()

    def recall(self, now: float) -> None:
        """Takes up a number that was set aside."""
        if self.entry.recall(now):
            self._voice.message = ""
        else:
            self._voice.say("No number was set aside.", now)
