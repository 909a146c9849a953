"""A person who answers a rehearsed day by speech alone, whenever its lines say that the microphone is open.

Their voice goes as raw sound into a FIFO, paced as a real microphone would be, with the hiss of a quiet room.
"""

from __future__ import annotations

import os
import re
import threading
import time
from collections import deque
from collections.abc import Callable
from pathlib import Path

import numpy as np
from speech import RATE, Voice, pcm, spoken

from mashday.faces.said_numbers import spoken_digits

FRAME = 512
HISS = 1e-4
BEFORE_SECONDS = 0.6
"""So long after the microphone opened the person begins to speak."""
_SHOWS = re.compile(r"The simulated (?:thermometer|hydrometer|measure) shows ([0-9.]+)")
_ITEM = re.compile(r"\[ \] +([0-9]+)  (.*)")


class Throat:
    """Writes sound into a FIFO as time goes by: what it is to `say`, else the hiss of a room."""

    def __init__(self, fifo: Path) -> None:
        self._fifo = fifo
        self._waiting: deque[bytes] = deque()
        self._stopping = threading.Event()
        self._chance = np.random.default_rng(8)
        self._thread = threading.Thread(target=self._run, daemon=True)

    def start(self) -> None:
        self._thread.start()

    def stop(self) -> None:
        self._stopping.set()

    def say(self, sound: np.ndarray) -> None:
        data = pcm(sound)
        size = 2 * FRAME
        padded = data + bytes(-len(data) % size)
        self._waiting += [padded[place : place + size] for place in range(0, len(padded), size)]

    def _run(self) -> None:
        with open(self._fifo, "wb", buffering=0) as out:
            due = time.monotonic()
            while not self._stopping.is_set():
                frame = self._waiting.popleft() if self._waiting else self._hiss()
                try:
                    out.write(frame)
                except BrokenPipeError:
                    return
                due += FRAME / RATE
                time.sleep(max(0.0, due - time.monotonic()))

    def _hiss(self) -> bytes:
        return pcm(HISS * self._chance.standard_normal(FRAME))


class Mouth:
    """Takes the day's lines and answers by `say`; `said` is what was said, in order."""

    def __init__(self, say: Callable[[str], None]) -> None:
        self._say = say
        self._asked = ""
        self._shows = ""
        self._items: list[str] = []
        self._keeps = False
        self._ways = False
        self._goes_on = False
        self._is_open = False
        self.began = False
        self.said: list[str] = []

    def line(self, line: str) -> None:
        """Takes in one line of the day; speaks once, while the microphone is open, as soon as there is a word
        to say."""
        if line.startswith("MIC "):
            self._is_open = line.endswith(" open")
        else:
            self._note(line)
        text = self._answer() if self._is_open else ""
        if text:
            self._is_open = False
            self.said.append(text)
            self._say(text)

    def _note(self, line: str) -> None:
        if line.startswith("ASKED  "):
            self._asked = line.removeprefix("ASKED  ").partition(" (")[0]
            self._shows = ""
        elif (shows := _SHOWS.search(line)) is not None:
            self._shows = shows[1]
        elif "stays yellow: pass" in line:
            self._shows = "pass"
        elif "turns blue-black: fail" in line:
            self._shows = "fail"
        elif (item := _ITEM.search(line)) is not None:
            self._items.append(item[2])
        elif "] " in line and "[x]" in line:
            self._items, self._keeps = self._items[1:], False
        elif "  Step " in line and " begins" in line:
            self._items, self._asked, self._goes_on, self._keeps = [], "", False, False
        if "Keep it, or wrong?" in line or "Say 'keep it' for yes" in line:
            self._keeps = True
        elif "[x]" in line or "Reading " in line or "Forgotten" in line or "Written down" in line:
            self._keeps, self._asked = False, ""
        if "Ways to put it right" in line:
            self._ways = True
        elif "is left as it is" in line or "is taken" in line or "Left" in line:
            self._ways = self._keeps = False
        if "next step" in line.lower() or "Go on to end the day" in line:
            self._goes_on = True
        if "The day has begun" in line:
            self.began = True

    def _answer(self) -> str:
        if not self.began:
            return "begin the day"
        if self._keeps:
            return "keep it"
        if self._ways:
            return "leave it"
        if self._asked:
            return self._number() if self._shows or "sample" in self._asked else ""
        if self._items:
            return "as it should" if self._items[0].endswith("?") else "item done"
        return "next step" if self._goes_on else ""

    def _number(self) -> str:
        if self._asked == "temperature of the sample":
            return "twenty"
        if self._shows in ("pass", "fail"):
            return f"starch {self._shows}"
        if "gravity" in self._asked:
            return spoken_digits(self._shows.replace(".", "")).replace("zero", "oh")
        if "volume" in self._asked:
            return f"{spoken_digits(self._shows)} litres"
        return spoken_digits(self._shows)


def voice_into(throat: Throat, voice: Voice) -> Callable[[str], None]:
    """Says a text in this voice, a moment after the microphone opened."""

    def say(text: str) -> None:
        silence = np.zeros(int(BEFORE_SECONDS * RATE))
        throat.say(np.concatenate([silence, spoken(voice, text), silence]))

    return say


def fifo_at(path: Path) -> Path:
    """A FIFO to be written into."""
    os.mkfifo(path, 0o600)
    return path
