"""Sounds and speech take turns: one at a time, each in a program of its own, the urgent one first.

Nothing here waits for a sound, and nothing raises: what cannot be heard is told once, in words, by `trouble`.
"""

from __future__ import annotations

import atexit
import contextlib
import math
import threading
import time
from collections import deque
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum
from typing import Generic, TypeVar

from mashday.channels.process import Process, end, started
from mashday.text import cleaned, quoted

Item = TypeVar("Item")

LOOK_SECONDS = 0.03
"""How often a child that runs is looked at."""
GRACE_SECONDS = 0.5
"""How long a child has to end when it is asked to."""
MOST_TEXT = 2000
"""Characters given to a child: they fit into any pipe, so that nothing waits for a reader."""


def begun(argv: Sequence[str], text: str = "", environment: Mapping[str, str] | None = None) -> Process:
    """A program that was given `text` on its input; OSError or ValueError if it cannot be started."""
    child = started(argv, reads=bool(text), tells=False, environment=environment)
    if child.stdin is not None:
        with contextlib.suppress(OSError):
            child.stdin.write(f"{text[:MOST_TEXT]}\n".encode(errors="replace"))
        with contextlib.suppress(OSError):
            child.stdin.close()
    return child


def could_not_start(name: str, fault: OSError | ValueError) -> str:
    """Why a command could not be started, or a file not written to, in words."""
    if isinstance(fault, FileNotFoundError):
        return f"{quoted(name)} was not found"
    why = fault.strerror if isinstance(fault, OSError) and fault.strerror else str(fault)
    return f"{quoted(name)} could not be used: {cleaned(why, 80)}"


@dataclass(frozen=True, slots=True)
class Voice(Generic[Item]):
    """One way to make an item heard: it begins, and gives the child to wait for, or None where it is done."""

    name: str
    begin: Callable[[Item], Process | None]


class Weight(IntEnum):
    """What makes room for what, where too much waits."""

    PASSING = 0
    LASTING = 1
    URGENT = 2


@dataclass(frozen=True, slots=True)
class _Waiting(Generic[Item]):
    """Items that belong together and have not been heard yet."""

    items: deque[Item]
    weight: Weight


class Turns(Generic[Item]):
    """Items made heard one after the other in a thread, by the first voice that does not fail.

    What is put at once belongs together. At most `room` such wait; when more come, the oldest of the least
    weight is dropped whole. The voice that worked last is tried first. With no voice at all nothing is ever
    heard, and `missing`, if any, is the trouble.
    """

    def __init__(
        self,
        voices: Sequence[Voice[Item]],
        *,
        room: int,
        longest_seconds: float,
        missing: str | None,
        remains: str,
    ) -> None:
        self._voices = list(voices)
        self._room = room
        self._longest = longest_seconds
        self._remains = remains
        self._changed = threading.Condition()
        self._waiting: list[_Waiting[Item]] = []
        self._child: Process | None = None
        self._cut_at: float | None = None
        self._busy = False
        self._lost = 0
        self._heard_at = -math.inf
        self._thread: threading.Thread | None = None
        self._trouble = missing if not voices else None
        self._told = False

    def put(self, *items: Item, weight: Weight = Weight.PASSING) -> None:
        """Lets items wait for their turn, one behind the other.

        Urgent ones cut off what is heard now and come next; lasting ones take the place of those that wait.
        """
        if not self._voices or not items:
            return
        with self._changed:
            if weight is Weight.URGENT:
                self._cut()
            elif weight is Weight.LASTING:
                self._lost += any(one.weight is Weight.LASTING for one in self._waiting)
                self._waiting = [one for one in self._waiting if one.weight is not Weight.LASTING]
            place = 0 if weight is Weight.URGENT else len(self._waiting)
            self._waiting.insert(place, _Waiting(deque(items), weight))
            while len(self._waiting) > self._room:
                self._make_room()
            self._start()
            self._changed.notify_all()

    @property
    def lost(self) -> int:
        """How often something was cut off, dropped or failed, so that it was not heard to its end."""
        with self._changed:
            return self._lost

    def stop(self) -> None:
        """Silence: cuts off what is heard, and drops what waits."""
        with self._changed:
            self._waiting.clear()
            self._cut()
            self._changed.notify_all()

    @property
    def works(self) -> bool:
        """True while there is a voice, and none of them has failed."""
        with self._changed:
            return bool(self._voices) and self._trouble is None

    @property
    def quiet(self) -> bool:
        """True while nothing is heard and nothing waits."""
        with self._changed:
            return not self._busy and not self._waiting

    @property
    def quiet_seconds(self) -> float:
        """For how long no child has made anything heard, 0 while one does or an item waits; s.

        Infinite before the first; what could not be begun was not heard.
        """
        with self._changed:
            return time.monotonic() - self._heard_at if not self._busy and not self._waiting else 0.0

    def trouble(self) -> str | None:
        """What cannot be heard and why; once, then None."""
        with self._changed:
            told, self._told = self._told, self._told or self._trouble is not None
            return None if told else self._trouble

    def _make_room(self) -> None:
        """Drops the oldest of the least weight; of what is urgent the newest stands first."""
        self._lost += 1
        least = min(one.weight for one in self._waiting)
        places = [place for place, one in enumerate(self._waiting) if one.weight is least]
        del self._waiting[places[-1 if least is Weight.URGENT else 0]]

    def _start(self) -> None:
        if self._thread is not None:
            return
        thread = threading.Thread(target=self._work, name="mashday sounds", daemon=True)
        try:
            thread.start()
        except RuntimeError:
            self._waiting.clear()
            self._note("this machine has no thread left for sounds")
            return
        self._thread = thread
        atexit.register(self._at_exit)

    def _at_exit(self) -> None:
        """Silence, waited for: what does not end when it is asked to would outlive the program."""
        self.stop()
        gives_up = time.monotonic() + 2.0 * GRACE_SECONDS
        while not self.quiet and time.monotonic() < gives_up:
            time.sleep(LOOK_SECONDS)

    def _cut(self) -> None:
        if self._busy and self._cut_at is None:
            self._lost += 1
            self._cut_at = time.monotonic()
            if self._child is not None:
                end(self._child)

    def _note(self, why: str) -> None:
        if self._trouble is None:
            self._trouble = f"{why}; {self._remains}"

    def _work(self) -> None:
        while True:
            with self._changed:
                self._busy = False
                while not self._waiting:
                    self._changed.wait()
                item = self._waiting[0].items.popleft()
                if not self._waiting[0].items:
                    del self._waiting[0]
                self._busy, self._cut_at = True, None
            self._turn(item)

    def _turn(self, item: Item) -> None:
        faults = []
        for voice in tuple(self._voices):
            fault = self._heard(voice, item)
            if fault is None:
                self._voices.sort(key=lambda one: one is not voice)
                return
            faults.append(fault)
        with self._changed:
            self._lost += 1
            self._note(", ".join(faults))

    def _heard(self, voice: Voice[Item], item: Item) -> str | None:
        """None once the item was heard or cut off, else why it was not."""
        try:
            child = voice.begin(item)
        except (OSError, ValueError) as fault:
            return could_not_start(voice.name, fault)
        return None if child is None else self._watched(voice, child)

    def _watched(self, voice: Voice[Item], child: Process) -> str | None:
        """Waits for a child; only under the lock, so that no other thread ends a stranger with its number."""
        too_late = time.monotonic() + self._longest
        overdue = False
        with self._changed:
            self._child = child
            if self._cut_at is not None:
                end(child)
            while (code := child.poll()) is None:
                now = time.monotonic()
                overdue = overdue or (self._cut_at is None and now > too_late)
                if overdue or (self._cut_at is not None and now > self._cut_at + GRACE_SECONDS):
                    end(child, at_once=True)
                self._changed.wait(LOOK_SECONDS)
            self._child = None
            self._heard_at = time.monotonic()
            if overdue:
                return f"{quoted(voice.name)} did not come to an end"
            if code != 0 and self._cut_at is None:
                return f"{quoted(voice.name)} failed (exit code {code})"
        return None
