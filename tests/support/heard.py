"""What a source tells from its threads, kept, and a wait for it that polls."""

from __future__ import annotations

import time
from collections.abc import Callable

GIVING_UP_SECONDS = 30.0


def until(condition: Callable[[], object]) -> None:
    """Return as soon as the condition holds; an AssertionError if it does not for very long."""
    end = time.monotonic() + GIVING_UP_SECONDS
    while not condition():
        assert time.monotonic() < end, "what was waited for never came"
        time.sleep(0.005)


class Heard:
    """Takes lines and words of loss as a source tells them."""

    def __init__(self) -> None:
        self.lines: list[str] = []
        self.retained: list[str] = []
        self.words: list[str] = []

    def take(self, line: str, *, retained: bool = False) -> None:
        (self.retained if retained else self.lines).append(line)

    def lost(self, words: str) -> None:
        self.words.append(words)
