"""Where an utterance begins and ends in a stream of sound; pure.

It begins with some frames of voice in a row and ends with a pause. One that was under way when the ear
opened, or that goes on too long, is not whole: a digit may have gone unheard.
"""

from __future__ import annotations

import math
from collections import deque
from dataclasses import dataclass

from mashday.listener.sound_in import FRAME_SECONDS

VOICE = 0.5
"""From here on a frame counts as voice."""
BEGINS_FRAMES = 3
PAUSE_SECONDS = 0.64
BEFORE_SECONDS = 0.3
LONGEST_SECONDS = 7.0
"""How an utterance is cut: found by trial on synthetic speech in steady noise (`tests/bench/listener.py`)."""
TOO_EARLY_FRAMES = 1
"""A voice that is there this soon after the ear opened had begun before."""


@dataclass(frozen=True, slots=True)
class Utterance:
    """The sound of it with a little before, and whether it is all there."""

    pcm: bytes
    whole: bool


@dataclass(frozen=True, slots=True)
class Silence:
    """Nobody began to speak in time."""


class Cutter:
    """Takes frame after frame until there is an utterance, or `patience_seconds` passed without a voice."""

    def __init__(self, patience_seconds: float) -> None:
        self._patience_frames = math.ceil(patience_seconds / FRAME_SECONDS)
        self._before: deque[bytes] = deque(maxlen=round(BEFORE_SECONDS / FRAME_SECONDS) + BEGINS_FRAMES)
        self._kept: list[bytes] = []
        self._seen = 0
        self._in_a_row = 0
        self._pause = 0
        self._whole = True

    @property
    def speaking(self) -> bool:
        """True while an utterance is under way."""
        return bool(self._kept)

    def feed(self, frame: bytes, likely: float) -> Utterance | Silence | None:
        """Take a frame and how likely it holds a voice; what is known now, None if nothing yet."""
        self._seen += 1
        voice = likely >= VOICE
        if self._kept:
            return self._on(frame, voice)
        self._before.append(frame)
        self._in_a_row = self._in_a_row + 1 if voice else 0
        if self._in_a_row == BEGINS_FRAMES:
            self._kept = list(self._before)
            self._whole = self._seen - BEGINS_FRAMES >= TOO_EARLY_FRAMES
        elif not self._in_a_row and self._seen >= self._patience_frames:
            return Silence()
        return None

    def _on(self, frame: bytes, voice: bool) -> Utterance | None:
        self._kept.append(frame)
        self._pause = 0 if voice else self._pause + 1
        if self._pause * FRAME_SECONDS >= PAUSE_SECONDS:
            return Utterance(b"".join(self._kept), self._whole)
        if len(self._kept) * FRAME_SECONDS >= LONGEST_SECONDS:
            return Utterance(b"".join(self._kept), whole=False)
        return None
