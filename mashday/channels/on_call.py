"""A command of the person's own, run with each call: a lamp, a message, a bell in another room.

It is never run oftener than every few seconds, so a call may wait its turn; the gravest goes first. A command
that does not end is ended.
"""

from __future__ import annotations

import math
import os
import shlex
import sys
import threading
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from mashday.channels.process import Process, end
from mashday.channels.tones import Urgency
from mashday.channels.turns import GRACE_SECONDS, LOOK_SECONDS, begun, could_not_start
from mashday.text import cleaned, quoted

LEAST_PAUSE_SECONDS = 5.0
LONGEST_SECONDS = 30.0
MOST_RUNNING = 2
MOST_WAITING = 3
_GRAVEST_FIRST = ("danger", "now", "soon")
_REMAINS = "the day goes on without it"


@dataclass(frozen=True, slots=True)
class _Waiting:
    urgency: Urgency
    text: str
    due: float


@dataclass(slots=True)
class _Running:
    child: Process
    too_late: float
    ended: bool = False


class OnCall:
    """Runs the command in a thread: the text of the call on its input, the rest in its environment.

    MASHDAY_CALL_URGENCY is soon, now or danger, MASHDAY_CALL_TEXT the text, MASHDAY_CALL_LATE_SECONDS how
    late the call is, whole seconds. `command` is a command line or its parts; no shell reads it.
    """

    def __init__(
        self,
        command: Sequence[str] | str,
        *,
        least_pause_seconds: float = LEAST_PAUSE_SECONDS,
        longest_seconds: float = LONGEST_SECONDS,
    ) -> None:
        self._least_pause = least_pause_seconds
        self._longest = longest_seconds
        self._changed = threading.Condition()
        self._waiting: list[_Waiting] = []
        self._running: list[_Running] = []
        self._starting = False
        self._stops = 0
        self._last = -math.inf
        self._thread: threading.Thread | None = None
        self._trouble: str | None = None
        self._told = False
        self._argv: tuple[str, ...] = ()
        try:
            parts = (
                shlex.split(command, posix=sys.platform != "win32") if isinstance(command, str) else command
            )
            self._argv = tuple(parts)
        except ValueError:
            self._note("the command for calls has an open quotation mark")
        if not self._argv:
            self._note("the command for calls is empty")

    def call(self, urgency: Urgency, text: str, late_seconds: float = 0.0) -> None:
        """Runs the command with this call, as soon as it may. Never waits, never raises.

        Of those that wait, the least urgent and oldest is dropped when there are more than three.
        """
        if not self._argv:
            return
        with self._changed:
            self._waiting.append(_Waiting(urgency, cleaned(text), time.monotonic() - late_seconds))
            self._waiting.sort(key=lambda one: _GRAVEST_FIRST.index(one.urgency))
            while len(self._waiting) > MOST_WAITING:
                least = self._waiting[-1].urgency
                self._waiting.remove(next(one for one in self._waiting if one.urgency == least))
            self._start()
            self._changed.notify_all()

    def stop(self) -> None:
        """Ends what runs and drops what waits."""
        with self._changed:
            self._waiting.clear()
            self._stops += 1
            self._end_all()
            self._changed.notify_all()

    def trouble(self) -> str | None:
        """What went wrong with the command, in words; once, then None."""
        with self._changed:
            told, self._told = self._told, self._told or self._trouble is not None
            return None if told else self._trouble

    @property
    def quiet(self) -> bool:
        """True while nothing runs and nothing waits."""
        with self._changed:
            return not (self._waiting or self._starting or self._running)

    def _note(self, why: str) -> None:
        if self._trouble is None:
            self._trouble = f"{why}; {_REMAINS}"

    def _start(self) -> None:
        if self._thread is not None:
            return
        thread = threading.Thread(target=self._work, name="mashday calls", daemon=True)
        try:
            thread.start()
        except RuntimeError:
            self._waiting.clear()
            self._note("this machine has no thread left for the command for calls")
            return
        self._thread = thread

    def _work(self) -> None:
        while True:
            call, stops = self._next()
            now = time.monotonic()
            try:
                child = begun(self._argv, call.text, _environment(call, now))
            except (OSError, ValueError) as fault:
                with self._changed:
                    self._last, self._starting = time.monotonic(), False
                    self._note(could_not_start(self._name, fault))
                continue
            with self._changed:
                self._last, self._starting = time.monotonic(), False
                self._running.append(_Running(child, now + self._longest))
                if stops != self._stops:
                    self._end_all()

    def _next(self) -> tuple[_Waiting, int]:
        """The next call whose turn it is; until then what runs is looked after."""
        with self._changed:
            while True:
                self._look_after()
                pause_over = time.monotonic() >= self._last + self._least_pause
                if self._waiting and pause_over and len(self._running) < MOST_RUNNING:
                    self._starting = True
                    return self._waiting.pop(0), self._stops
                self._changed.wait(LOOK_SECONDS if self._waiting or self._running else None)

    def _end_all(self) -> None:
        for one in self._running:
            one.ended = True
            one.too_late = time.monotonic() + GRACE_SECONDS
            end(one.child)

    def _look_after(self) -> None:
        """Notes how those that ran ended, and ends those that do not."""
        for one in tuple(self._running):
            code = one.child.poll()
            if code is not None:
                self._running.remove(one)
                if code != 0 and not one.ended:
                    self._note(f"{quoted(self._name)} failed (exit code {code})")
            elif time.monotonic() > one.too_late:
                end(one.child, at_once=True)
                if not one.ended:
                    self._note(f"{quoted(self._name)} was ended after {self._longest:g} s")
                one.ended = True

    @property
    def _name(self) -> str:
        return Path(self._argv[0]).name


def _environment(call: _Waiting, now: float) -> dict[str, str]:
    return {
        **os.environ,
        "MASHDAY_CALL_URGENCY": call.urgency,
        "MASHDAY_CALL_TEXT": call.text,
        "MASHDAY_CALL_LATE_SECONDS": f"{max(0.0, now - call.due):.0f}",
    }
