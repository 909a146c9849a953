"""Three signals of two tones each, made in code: a heads-up, a call, a danger.

That the graver signal is the faster one with more pulses follows IEC 60601-1-8, and so do fundamentals from
150 to 1000 Hz; which tones and lengths is judgement.
"""

from __future__ import annotations

import io
import math
import shutil
import sys
import tempfile
import threading
import wave
import weakref
from array import array
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

Urgency = Literal["soon", "now", "danger"]

RATE_HERTZ = 22_050
FULL_SCALE = 32_767
LOUDNESS = 0.7
"""Peak as a share of full scale: loud, and far from clipping."""
RAMP_SECONDS = 0.008
"""How long a tone rises and falls, so that no edge clicks."""
MOST_STROKES = 3


@dataclass(frozen=True, slots=True)
class Signal:
    """Two tones in Hz, taking turns `notes` times in a stroke."""

    hertz: tuple[float, float]
    notes: int
    note_seconds: float
    pause_seconds: float

    def seconds(self, strokes: int) -> float:
        """How long so many strokes are heard, seconds."""
        return strokes * self.notes * self.note_seconds + (strokes - 1) * self.pause_seconds


SIGNALS: dict[Urgency, Signal] = {
    "soon": Signal((440.0, 554.4), 2, 0.130, 0.080),
    "now": Signal((659.3, 880.0), 2, 0.110, 0.080),
    "danger": Signal((987.8, 740.0), 4, 0.072, 0.050),
}


def wav(urgency: Urgency, strokes: int = 1) -> bytes:
    """The signal as a WAV file: mono, 16 bit, less than a second; one to three strokes."""
    signal = SIGNALS[urgency]
    stroke = array("h")
    for note in range(signal.notes):
        stroke.extend(_note(signal.hertz[note % 2], signal.note_seconds))
    pause = array("h", bytes(2 * round(signal.pause_seconds * RATE_HERTZ)))
    samples = array("h")
    for number in range(_bounded(strokes)):
        samples.extend(pause if number else array("h"))
        samples.extend(stroke)
    if sys.byteorder == "big":
        samples.byteswap()
    told = io.BytesIO()
    with wave.open(told, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE_HERTZ)
        file.writeframes(samples.tobytes())
    return told.getvalue()


class ToneFiles:
    """The signals as files in a folder of our own that nobody else can read, made when first asked for.

    The folder is removed at the end, also when nobody closes it.
    """

    def __init__(self) -> None:
        self._made: dict[tuple[Urgency, int], Path] = {}
        self._folder: Path | None = None
        self._removal: weakref.finalize[..., ToneFiles] | None = None
        self._lock = threading.Lock()

    def file(self, urgency: Urgency, strokes: int = 1) -> Path:
        """Where the signal lies; OSError if it cannot be written."""
        key = (urgency, _bounded(strokes))
        with self._lock:
            path = self._made.get(key)
            if path is None or not path.exists():
                path = self._own_folder() / f"{urgency}-{key[1]}.wav"
                path.write_bytes(wav(*key))
                self._made[key] = path
            return path

    def close(self) -> None:
        """Removes the folder with all that is in it."""
        with self._lock:
            if self._removal is not None:
                self._removal()
            self._folder, self._removal = None, None
            self._made.clear()

    def _own_folder(self) -> Path:
        if self._folder is None or not self._folder.is_dir():
            self._folder = Path(tempfile.mkdtemp(prefix="mashday-"))
            self._removal = weakref.finalize(self, shutil.rmtree, self._folder, ignore_errors=True)
        return self._folder


def _bounded(strokes: int) -> int:
    return min(max(strokes, 1), MOST_STROKES)


def _note(hertz: float, seconds: float) -> array[int]:
    """One tone that rises and falls along a half cosine."""
    count = round(seconds * RATE_HERTZ)
    ramp = round(RAMP_SECONDS * RATE_HERTZ)
    turn = 2.0 * math.pi * hertz / RATE_HERTZ
    samples = array("h")
    for place in range(count):
        edge = min(place, count - 1 - place)
        rise = 1.0 if edge >= ramp else 0.5 - 0.5 * math.cos(math.pi * edge / ramp)
        samples.append(round(LOUDNESS * FULL_SCALE * rise * math.sin(turn * place)))
    return samples
