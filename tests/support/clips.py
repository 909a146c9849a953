"""A small fixed set of spoken answers, kept as `tests/listener/clips`.

    .venv/bin/python tests/support/clips.py

makes them anew with espeak-ng and flite. Each is clean; a test adds the noise.
"""

from __future__ import annotations

import sys
import wave
from dataclasses import dataclass
from pathlib import Path

from speech import RATE, Voice, pcm, spoken

from mashday.channels.listener_lines import Asked

FOLDER = Path(__file__).parents[1] / "listener" / "clips"
US, GB = Voice("espeak-ng", "en-us", 150), Voice("espeak-ng", "en-gb-x-rp+m7", 150)
HASTY = Voice("espeak-ng", "en-gb-x-rp+m7", 170)
RMS, SLT, AWB = Voice("flite", "rms"), Voice("flite", "slt"), Voice("flite", "awb")


@dataclass(frozen=True, slots=True)
class Clip:
    """What is said in a file, what was asked, and the line it means; None for what is no answer."""

    name: str
    voice: Voice
    text: str
    kind: Asked
    line: str | None

    @property
    def path(self) -> Path:
        """Where it lies."""
        return FOLDER / f"{self.name}.wav"


CLIPS = (
    Clip("t1", US, "sixty four point five", "temperature", "64.5"),
    Clip("t2", RMS, "six two point three", "temperature", "62.3"),
    Clip("t3", SLT, "seventy eight degrees", "temperature", "78"),
    Clip("t4", AWB, "sixty seven point five", "temperature", "67.5"),
    Clip("t5", GB, "twenty one point eight", "temperature", "21.8"),
    Clip("g1", US, "one oh six two", "gravity", "1.062"),
    Clip("g2", SLT, "ten forty eight", "gravity", "1.048"),
    Clip("g3", RMS, "ten fifty five", "gravity", "1.055"),
    Clip("g4", AWB, "nine nine eight", "gravity", "0.998"),
    Clip("v1", SLT, "twelve point five litres", "volume", "12.5 L"),
    Clip("k1", US, "keep it", "keep", "keep it"),
    Clip("k2", RMS, "keep it", "keep", "keep it"),
    Clip("k3", US, "wrong", "keep", "wrong"),
    Clip("k4", SLT, "wrong", "keep", "wrong"),
    Clip("w1", RMS, "next step", "words", "done"),
    Clip("w2", SLT, "say again", "words", "again"),
    Clip("w3", AWB, "heat off", "words", "heat off"),
    Clip("c1", SLT, "it was about sixty five", "temperature", None),
    Clip("c2", RMS, "what is wrong with it", "keep", None),
    Clip("n1", US, "skip it", "keep", None),
    Clip("n2", RMS, "heat it", "keep", None),
    Clip("n3", RMS, "eat it", "keep", None),
    Clip("n4", SLT, "keep", "keep", None),
    Clip("n5", RMS, "next stop", "words", None),
    Clip("n6", RMS, "take none", "words", None),
    Clip("n7", HASTY, "skip it", "keep", None),
    Clip("c3", AWB, "the next step is the stairs", "words", None),
)


def main() -> int:
    """Writes them."""
    FOLDER.mkdir(exist_ok=True)
    for clip in CLIPS:
        with wave.open(str(clip.path), "wb") as file:
            file.setparams((1, 2, RATE, 0, "NONE", ""))
            file.writeframes(pcm(spoken(clip.voice, clip.text)))
    return 0


if __name__ == "__main__":
    sys.exit(main())
