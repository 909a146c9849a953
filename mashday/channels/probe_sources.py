"""Where a probe's lines come from: the contract of every source, and a command as one of them."""

from __future__ import annotations

import threading
from abc import ABC, abstractmethod
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Protocol

from mashday.channels.child import UNBUFFERED, Child
from mashday.text import quoted

Lost = Callable[[str], None]
"""Takes the words for why nothing can be had just now."""


class TakeLine(Protocol):
    """Takes one whole line; `retained` where a broker had kept it, for nobody knows how long."""

    def __call__(self, line: str, *, retained: bool = False) -> None: ...


class Source(Protocol):
    """Something that yields lines. Both callbacks are called from threads of the source's own."""

    def start(self, take_line: TakeLine, lost: Lost) -> None:
        """Begin, once; returns at once."""

    def stop(self) -> None:
        """End; returns at once, and nothing more is told."""


class ThreadedSource(ABC):
    """A source that is one loop in a thread: `once` opens, reads until nothing more comes, and returns."""

    RETRY_SECONDS = 1.0

    def __init__(self) -> None:
        self._stopping = threading.Event()
        self._take_line: TakeLine | None = None
        self._lost: Lost | None = None
        self._last_lost = ""

    def start(self, take_line: TakeLine, lost: Lost) -> None:
        """Begin, once; returns at once."""
        self._take_line = take_line
        self._lost = lost
        threading.Thread(target=self._run, name=type(self).__name__, daemon=True).start()

    def stop(self) -> None:
        """End; returns at once, and nothing more is told."""
        self._stopping.set()

    @abstractmethod
    def once(self) -> None:
        """Open and read; what goes wrong is told by `tell_lost`. Called again and again until stopped."""

    def tell_line(self, line: str) -> None:
        """Hand a line on."""
        self._last_lost = ""
        if self._take_line is not None and not self._stopping.is_set():
            self._take_line(line)

    def tell_lost(self, words: str) -> None:
        """Say why nothing can be had; the same words are said once until a line comes."""
        if self._lost is not None and not self._stopping.is_set() and words != self._last_lost:
            self._last_lost = words
            self._lost(words)

    @property
    def stopped(self) -> bool:
        """True from the moment it was stopped."""
        return self._stopping.is_set()

    def wait(self, seconds: float) -> None:
        """Rest, at most until stopped."""
        self._stopping.wait(seconds)

    def _run(self) -> None:
        while not self.stopped:
            self.once()
            self.wait(self.RETRY_SECONDS)


class CommandSource:
    """The lines of a program, which is started again when it ends."""

    def __init__(self, argv: Sequence[str]) -> None:
        self._argv = tuple(argv)
        self._child: Child | None = None
        self._lines = 0

    def start(self, take_line: TakeLine, lost: Lost) -> None:
        """Start the program; returns at once."""

        def took(line: str) -> None:
            self._lines += 1
            take_line(line)

        def ended(code: int | None, words: str) -> None:
            lines, self._lines = self._lines, 0
            if code == 0 and lines:
                return
            silent = " without a line" if code == 0 else ""
            lost(f"{quoted(Path(self._argv[0]).name)} {words}{silent}")

        self._child = Child(self._argv, took, ended, environment=UNBUFFERED)
        self._child.start()

    def stop(self) -> None:
        """End the program; returns at once."""
        if self._child is not None:
            self._child.stop()
