"""Typing without a cursor: the number being typed, and the guard against a cat or a spoon."""

from __future__ import annotations

from dataclasses import dataclass, field

LONGEST = 24
SET_ASIDE_SECONDS = 20.0


@dataclass(slots=True)
class NumberEntry:
    """The number being typed. A number left standing is set aside, and comes back by one key."""

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
        if character.isdigit():
            return True
        if character in ".,":
            return not any(mark in self.text.split(" ")[-1] for mark in ".,")
        return bool(self.text) and (character.isalpha() or character == " ")

    def erase(self, now: float) -> None:
        """Takes the last character away."""
        self.text = self.text[:-1]
        self.touched = now
        if not self.text:
            self.prefix = ""

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
        if not self.text or now - self.touched < SET_ASIDE_SECONDS:
            return False
        self.aside = self.text
        self.clear()
        return True

    def recall(self, now: float) -> bool:
        """Takes the number that was set aside up again."""
        if not self.aside:
            return False
        self.text, self.aside, self.touched = self.aside, "", now
        return True


@dataclass(slots=True)
class KeyGuard:
    """Drops a burst of keys: `most` within `window` seconds, and everything for a second after it."""

    most: int = 6
    window: float = 0.25
    recent: list[float] = field(default_factory=list)
    muted_until: float = 0.0
    last: float = -1e9

    def drops(self, now: float) -> bool:
        """True if this key belongs to a burst."""
        self.last = now
        self.recent = [t for t in self.recent if now - t < self.window] + [now]
        if len(self.recent) >= self.most or now < self.muted_until:
            self.muted_until = now + 1.0
            return True
        return False
