"""A listener run beside the day: asked for an answer it opens a microphone, and what it tells waits here.

It is a program of its own that speaks `listener_lines`. Its crash, its memory and its noise harm nothing: it
is started again, and what was asked of it meanwhile counts as not heard.
"""

from __future__ import annotations

import math
import threading
import time
from collections import deque
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Literal

from mashday.channels.child import UNBUFFERED, Child
from mashday.channels.listener_lines import Ask, Shut, Told, asked_line, told_from
from mashday.text import cleaned, quoted

State = Literal["starting", "shut", "open", "gone"]
"""Of the microphone: a listener that loads its model, one at rest, one that hears, none."""

LONGEST_ANSWER_SECONDS = 20.0
"""So much longer than it waits for a voice nobody listens and understands: a listener that still owes its
answer hangs. Judgement."""
MOST_WAITING = 20
LONGEST_TROUBLE = 300


class Listener:
    """Listens from `start` to `close`, when it is asked. Nothing here waits, and nothing raises."""

    def __init__(self, argv: Sequence[str]) -> None:
        self._name = Path(argv[0]).name
        self._child = Child(argv, self._took, self._ended, takes_lines=True, environment=UNBUFFERED)
        self._guard = threading.Lock()
        self._state: State = "starting"
        self._asked = False
        self._number = 0
        self._owed_by = math.inf
        self._told: deque[Told] = deque(maxlen=MOST_WAITING)
        self._troubles: deque[str] = deque(maxlen=MOST_WAITING)
        self._known: set[str] = set()

    def start(self) -> None:
        """Begins, once; what fails is told as trouble."""
        self._child.start()

    def close(self) -> None:
        """Ends it, and the microphone with it."""
        self._child.stop()

    @property
    def state(self) -> State:
        """Of the microphone, as the listener told it last."""
        with self._guard:
            return self._state

    @property
    def is_asked(self) -> bool:
        """True from `ask` until an answer of whatever kind has come; one that never comes is given up."""
        with self._guard:
            hangs = self._asked and time.monotonic() > self._owed_by
            if hangs:
                self._state = "gone"
                self._closed()
                self._trouble(f"The listener {quoted(self._name)} does not answer; it is started again.")
            found = self._asked
        if hangs:
            self._child.again()
        return found

    def ask(self, asked: Ask) -> bool:
        """Opens the microphone; False where there is nobody to ask, or something is asked already."""
        with self._guard:
            if self._state != "shut" or self._asked:
                return False
            self._asked = True
            self._number += 1
            asked = replace(asked, number=self._number)
            self._owed_by = time.monotonic() + asked.seconds + LONGEST_ANSWER_SECONDS
        if self._child.tell(asked_line(asked)):
            return True
        with self._guard:
            self._asked = False
            self._trouble(f"The listener {quoted(self._name)} cannot be asked; it is started again.")
        self._child.again()
        return False

    def shut(self) -> None:
        """Closes the microphone: something is said aloud now."""
        with self._guard:
            if not self._asked:
                return
        self._child.tell(asked_line(Shut()))

    def told(self) -> list[Told]:
        """What answers came since the last look, oldest first: heard, unclear, silence or closed. One to what
        is not asked now was not taken."""
        with self._guard:
            found = list(self._told)
            self._told.clear()
        return found

    def trouble(self) -> str | None:
        """What is wrong with it, in words, each once; None when there is nothing more to tell."""
        with self._guard:
            return self._troubles.popleft() if self._troubles else None

    def _took(self, line: str) -> None:
        told = told_from(line)
        if told is None:
            return
        with self._guard:
            match told.word:
                case "ready":
                    self._state = "shut"
                    self._closed()
                    self._known.clear()
                case "trouble":
                    self._trouble(told.line)
                case _ if not self._asked or told.number != self._number:
                    return
                case "open":
                    self._state = "open"
                case _:
                    self._state, self._asked = "shut", False
                    self._told.append(told)

    def _ended(self, code: int | None, words: str) -> None:
        with self._guard:
            self._state = "gone" if code is None or code != 0 else "starting"
            self._closed()
            again = "it is tried again" if code is None else "it is started again"
            self._trouble(f"The listener {quoted(self._name)} {words}; {again}.")

    def _closed(self) -> None:
        """What was asked, if anything, counts as not heard."""
        if self._asked:
            self._asked = False
            self._told.append(Told("closed"))

    def _trouble(self, words: str) -> None:
        if words not in self._known:
            self._known.add(words)
            self._troubles.append(cleaned(words, LONGEST_TROUBLE))
