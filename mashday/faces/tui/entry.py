"""Typing without a field: the number and the line being typed, the guard against a cat, the foot."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

LONGEST = 24
LONGEST_LINE = 400
SET_ASIDE_SECONDS = 20.0
UNIT_WORDS = ("c", "f", "l", "p", "sg", "bx", "gal", "qt", "pt", "cup", "ml", "kg", "g", "lb", "min", "at")
"""What may follow a number, letter by letter; "at" stands before the temperature of a sample or of water."""


@dataclass(slots=True)
class NumberEntry:
    """The number being typed. A number left standing is set aside, and comes back by one key.

    `prefix` is the line word it belongs to, "" for the answer to what is asked.
    """

    text: str = ""
    prefix: str = ""
    aside: str = ""
    touched: float = 0.0

    def feed(self, character: str, now: float) -> bool:
        """Takes a character if it can belong to a number or the unit behind it."""
        if not self.takes(character) or len(self.text) >= LONGEST:
            return False
        self.text += character
        self.touched = now
        return True

    def takes(self, character: str) -> bool:
        """True if this character may come next."""
        if not character.isascii() or len(character) != 1:
            return False
        word = self.text.rpartition(" ")[2]
        if character.isdigit():
            return not word[-1:].isalpha()
        if character in ".,":
            return not any(mark in word for mark in ".,") and not word[-1:].isalpha()
        if character == "-":
            return bool(self.prefix) and not self.text
        if character == " ":
            return bool(word)
        letters = f"{word.lstrip('-0123456789.,')}{character}".lower()
        return bool(self.text) and any(unit.startswith(letters) for unit in UNIT_WORDS)

    def erase(self, now: float) -> None:
        """Takes the last character away; with none left, the word before it."""
        if not self.text:
            self.prefix = ""
        self.text = self.text[:-1]
        self.touched = now

    def clear(self) -> None:
        """Forgets what is typed."""
        self.text = self.prefix = ""

    def take(self) -> str:
        """What was typed, with its word before it; the entry is empty afterwards."""
        whole = f"{self.prefix} {self.text}".strip()
        self.clear()
        return whole

    def stale(self, now: float) -> bool:
        """Sets the number aside if it has stood too long; true if it just did."""
        if not (self.text or self.prefix) or now - self.touched < SET_ASIDE_SECONDS:
            return False
        keeps = bool(self.text) and not self.prefix
        self.put_aside()
        return keeps

    def put_aside(self) -> None:
        """Sets the number aside; one with a word before it is forgotten."""
        if self.text and not self.prefix:
            self.aside = self.text
        self.clear()

    def recall(self, now: float) -> bool:
        """Takes the number that was set aside up again."""
        if not self.aside:
            return False
        self.text, self.aside, self.touched = self.aside, "", now
        return True


@dataclass(slots=True)
class LineEntry:
    """The line of words being typed; it grows and shrinks at its end."""

    text: str = ""

    def feed(self, text: str) -> None:
        """Adds text without anything a terminal could act on, as far as there is room."""
        self.text += "".join(character for character in text if character.isprintable())
        self.text = self.text[:LONGEST_LINE]

    def key(self, key: str, character: str | None) -> None:
        """Takes one key: a character, Backspace for the last one, Ctrl+W for a word, Ctrl+U for all."""
        if key == "backspace":
            self.text = self.text[:-1]
        elif key == "ctrl+w":
            self.text = self.text.rstrip().rpartition(" ")[0]
        elif key == "ctrl+u":
            self.text = ""
        elif character is not None:
            self.feed(character)


@dataclass(slots=True)
class KeyGuard:
    """Drops a burst of keys: `most` within `window` seconds, and everything for a second after it."""

    most: int = 6
    window: float = 0.25
    recent: list[float] = field(default_factory=list)
    muted_until: float = -1e9
    last: float = -1e9

    def drops(self, now: float) -> bool:
        """True if this key belongs to a burst."""
        self.last = now
        self.recent = [t for t in self.recent if now - t < self.window] + [now]
        if len(self.recent) >= self.most or now < self.muted_until:
            self.muted_until = now + 1.0
            return True
        return False

    def mutes(self, now: float) -> bool:
        """True for a moment after a burst."""
        return now < self.muted_until


BOUNCE_SECONDS = 0.3
"""The same pedal again within this is one press. Judgement."""
REPEATS_WITHIN_SECONDS = 0.8
"""A keyboard begins to repeat a held key within this (0.25 to 0.66 s are usual; from memory)."""
SLOWEST_SECONDS = 1.2
"""One that is set to be slow begins within this. Judgement."""
REPEAT_SECONDS = 0.15
"""A keyboard repeats a held key at least that often (10 to 40 a second are usual; from memory)."""
TRAIN_SECONDS = 0.6
"""One that is set to be slow repeats at least that often. Judgement."""
CONTACT_SECONDS = 0.25
"""A contact bounces for no longer than this. Judgement."""


@dataclass(slots=True)
class Foot:
    """Presses of a pedal: one that bounces, or is held down for however long, is one press.

    A press counts a moment after it began. One that may be the last one still held down, by its gap to it,
    waits longer: where a third key follows it as a repeated key does, it was a hold and is none.
    """

    name: str = ""
    silence: float = math.inf
    """Seconds without a key before the press that `due` gave last."""
    at: float = -1e9
    """When that press began."""
    last: float = -1e9
    waits: bool = False
    holds: bool = False
    owed: list[tuple[str, float, float]] = field(default_factory=list)
    _began: float = -1e9
    _behind: float = math.inf

    def press(self, name: str, now: float) -> bool:
        """Takes one key of the pedal; true if a press of the other key is let go for it."""
        self._count(now)
        gap = now - self.last if name == self.name else math.inf
        lets_go = self.waits and name != self.name
        self.last = now
        if self.holds and gap < TRAIN_SECONDS:
            return lets_go
        if self.waits and self._may_be_held and not lets_go:
            repeats = self._behind < REPEATS_WITHIN_SECONDS and gap <= REPEAT_SECONDS
            self.holds = repeats or now - self._began > CONTACT_SECONDS
            self.waits = not self.holds
        elif gap >= BOUNCE_SECONDS:
            self.name, self._began, self._behind = name, now, gap
            self.waits, self.holds = True, False
        return lets_go

    def spend(self, name: str, now: float) -> None:
        """Takes one that was for a hand: what bounces or repeats behind it is no press."""
        self.name, self.last, self.waits, self.holds = name, now, False, False

    def due(self, now: float) -> str | None:
        """The press that counts by now, once; None if there is none."""
        self._count(now)
        if not self.owed:
            return None
        name, self.at, self.silence = self.owed.pop(0)
        return name

    def cancel(self) -> bool:
        """Lets go of a press that does not count yet; true if there was one."""
        waited, self.waits = self.waits, False
        return waited

    @property
    def _may_be_held(self) -> bool:
        return self._behind < SLOWEST_SECONDS

    def _count(self, now: float) -> None:
        quiet = TRAIN_SECONDS if self._may_be_held else BOUNCE_SECONDS
        if self.waits and now - self._began >= quiet:
            self.waits = False
            self.owed.append((self.name, self._began, self._behind))
