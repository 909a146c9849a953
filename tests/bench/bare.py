"""The floor of the screen: a program of the toolkit that shows a countdown and the digits typed, no more.

    .venv/bin/python tests/bench/bare.py

A minus clears what was typed. Run by the benchmarks of the screen, in the terminal ours runs in.
"""

from __future__ import annotations

import time

from textual.app import App, ComposeResult
from textual.events import Key
from textual.widgets import Digits, Static

PROMPT = " > "


class Bare(App[None]):
    """A countdown of one hour, by the second, and a line of input."""

    ENABLE_COMMAND_PALETTE = False

    def __init__(self, *, ticks: bool = True) -> None:
        super().__init__(ansi_color=True)
        self._ticks = ticks
        self._typed = ""

    def compose(self) -> ComposeResult:
        """The two of them."""
        yield Digits("60:00")
        yield Static(PROMPT, markup=False)

    def on_mount(self) -> None:
        """Starts the countdown."""
        self._ends = time.monotonic() + 3600.0
        if self._ticks:
            self.set_interval(1.0, lambda: self.show(self._ends - time.monotonic()))

    def show(self, left: float) -> None:
        """Shows the seconds left."""
        self.query_one(Digits).update(f"{int(left) // 60:02d}:{int(left) % 60:02d}")

    def on_key(self, event: Key) -> None:
        """Shows a digit."""
        if event.character is not None and event.character in "0123456789":
            self._typed += event.character
        elif event.character == "-":
            self._typed = ""
        self.query_one(Static).update(PROMPT + self._typed)


if __name__ == "__main__":
    Bare().run(mouse=False)
