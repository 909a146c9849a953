"""What stands in for a voice and for a thermometer beside the pot."""

from __future__ import annotations

import math

from mashday.channels.probe import Shown


class Voice:
    """Keeps what is said."""

    audible = True
    lost = 0
    quiet_seconds = math.inf

    def __init__(self) -> None:
        self.lines: list[str] = []

    def say(self, *lines: str, urgent: bool = False, begins: bool = False) -> None:
        self.lines += lines

    def trouble(self) -> str | None:
        return None

    def stop(self) -> None: ...


class Hung:
    """A thermometer that shows what it is told to."""

    def __init__(self, shown: Shown) -> None:
        self.shown = shown
        self.runs = False

    def start(self) -> None:
        self.runs = True

    def look(self) -> Shown:
        return self.shown

    def stop(self) -> None:
        self.runs = False
