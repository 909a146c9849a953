"""Speech to try a listener with: rule-made voices, digits spliced from recordings, a burner, an echo.

Voices come from programs that may be absent: espeak-ng, flite, festival with its voices. The recordings are
Debian's asterisk-core-sounds-en-g722 (one woman, 16 kHz, CC BY-SA 3.0), decoded by PyAV. Sound is numpy
arrays of floats between -1 and 1, 16,000 a second. All chance is seeded by the caller.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import tempfile
import wave
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy import signal

Sound = NDArray[np.float64]
Chance = np.random.Generator

RATE = 16_000
RECORDINGS = next(iter(sorted(Path("/usr/share/asterisk/sounds").glob("en_US_*"))), Path("none"))
FESTIVAL = Path("/usr/share/festival/voices")
PEAK = 0.5
FLOOR = 1e-4
"""A clean recording still hisses: -80 dB."""


@dataclass(frozen=True, slots=True)
class Voice:
    """A rule-made voice of a program; `pace` in words a minute where it takes one."""

    program: str
    name: str
    pace: int = 0

    def __str__(self) -> str:
        return f"{self.program} {self.name}"


VOICES = (
    Voice("espeak-ng", "en-us", 150),
    Voice("espeak-ng", "en-us+f3", 160),
    Voice("espeak-ng", "en-gb", 150),
    Voice("espeak-ng", "en-gb-scotland+m3", 140),
    Voice("espeak-ng", "en-gb-x-rp+m7", 170),
    Voice("espeak-ng", "en-gb-x-gbclan+f2", 160),
    Voice("flite", "rms"),
    Voice("flite", "slt"),
    Voice("flite", "awb"),
    Voice("flite", "kal16"),
    Voice("festival", "kal_diphone"),
    Voice("festival", "ked_diphone"),
    Voice("festival", "cmu_us_slt_arctic_hts"),
)


def present(voices: Iterable[Voice] = VOICES) -> tuple[list[Voice], list[Voice]]:
    """Those that can speak here, and those that cannot."""
    can: list[Voice] = []
    cannot: list[Voice] = []
    for voice in voices:
        program = "text2wave" if voice.program == "festival" else voice.program
        has = shutil.which(program) is not None
        if voice.program == "festival":
            has = has and any(FESTIVAL.glob(f"*/{voice.name}"))
        (can if has else cannot).append(voice)
    return can, cannot


@cache
def kept() -> Path:
    """Where spoken clips wait for the next run."""
    folder = Path(tempfile.gettempdir()) / f"mashday-speech-{os.getuid()}"
    folder.mkdir(mode=0o700, exist_ok=True)
    return folder


def spoken(voice: Voice, text: str) -> Sound:
    """The text in this voice, peak at `PEAK`, silence at both ends cut off."""
    name = hashlib.sha256(f"{voice} {voice.pace} {text}".encode()).hexdigest()[:24]
    path = kept() / f"{name}.wav"
    if not path.exists():
        beside = path.with_suffix(f".{os.getpid()}")
        subprocess.run(_speaks(voice, text, beside), input=text, text=True, check=True, capture_output=True)
        beside.rename(path)
    return levelled(trimmed(read_wav(path)))


def _speaks(voice: Voice, text: str, path: Path) -> list[str]:
    match voice.program:
        case "espeak-ng":
            return ["espeak-ng", "-v", voice.name, "-s", str(voice.pace), "-w", str(path), "--", text]
        case "flite":
            return ["flite", "-voice", voice.name, "-t", text, "-o", str(path)]
    return ["text2wave", "-eval", f"(voice_{voice.name})", "-o", str(path)]


def read_wav(path: Path) -> Sound:
    """A WAV file of 16 bits as sound, its rate made ours."""
    with wave.open(str(path), "rb") as file:
        rate, channels = file.getframerate(), file.getnchannels()
        data = np.frombuffer(file.readframes(file.getnframes()), np.int16).astype(float) / 32768.0
    data = data.reshape(-1, channels)[:, 0]
    return data if rate == RATE else signal.resample_poly(data, RATE, rate)


def pcm(sound: Sound) -> bytes:
    """The sound as 16-bit samples."""
    return bytes((np.clip(sound, -1.0, 1.0) * 32767.0).astype("<i2").tobytes())


def trimmed(sound: Sound) -> Sound:
    """Without what is 40 dB below its peak at both ends."""
    loud = np.flatnonzero(np.abs(sound) > 0.01 * np.abs(sound).max())
    return sound[loud[0] : loud[-1] + 1] if loud.size else sound


def levelled(sound: Sound) -> Sound:
    """Its peak at `PEAK`."""
    return PEAK * sound / max(np.abs(sound).max(), 1e-9)


@cache
def recorded(name: str) -> Sound:
    """A recording of the Debian package by its name without ending, such as "digits/6"."""
    import av  # noqa: PLC0415 - heavy

    with av.open(str(RECORDINGS / f"{name}.g722"), format="g722") as file:
        frames = [frame.to_ndarray().reshape(-1) for frame in file.decode(audio=0)]
    return np.concatenate(frames).astype(float) / 32768.0


@cache
def word(name: str) -> Sound:
    """A recorded word, trimmed. "point" is the end of another one."""
    if name == "point":
        return _point()
    return trimmed(recorded(f"digits/{name}"))


POINT_SECONDS = 0.47


def _point() -> Sound:
    sound = trimmed(recorded("letters/exclaimation-point"))
    samples = round(POINT_SECONDS * RATE)
    return sound[-samples:] * np.minimum(1.0, np.arange(samples) / 160.0)


def spliced(words: Sequence[str], chance: Chance) -> Sound:
    """Recorded words one after the other, with pauses of 40 to 120 ms."""
    pieces: list[Sound] = []
    for name in words:
        pieces += [word(name), np.zeros(int(chance.uniform(0.04, 0.12) * RATE))]
    return levelled(np.concatenate(pieces[:-1]))


def burner(seconds: float, chance: Chance) -> Sound:
    """A made-up gas burner under a pot: a low rumble, a hiss that flutters, and bubbles. RMS 1."""
    samples = int(seconds * RATE)
    time = np.arange(samples) / RATE
    rumble = signal.sosfilt(
        signal.butter(2, 40.0, "highpass", fs=RATE, output="sos"),
        np.cumsum(chance.standard_normal(samples)),
    )
    hiss = signal.sosfilt(
        signal.butter(2, (200.0, 5000.0), "bandpass", fs=RATE, output="sos"), chance.standard_normal(samples)
    ) * (1.0 + 0.3 * np.sin(2.0 * np.pi * 7.0 * time + chance.uniform(0.0, 6.28)))
    bubbles = np.zeros(samples)
    for start in chance.integers(0, samples, int(12.0 * seconds)):
        length = min(int(chance.uniform(0.02, 0.06) * RATE), samples - int(start))
        at = np.arange(length) / RATE
        pitch = chance.uniform(300.0, 1200.0)
        chirp = np.sin(2.0 * np.pi * (pitch * at + 4000.0 * at**2)) * np.exp(-at / 0.012)
        bubbles[start : start + length] += chance.uniform(0.3, 1.0) * chirp
    return _unit(_unit(rumble) + _unit(hiss) + 0.7 * _unit(bubbles))


LONG_SECONDS = 60.0


@cache
def _long_burner() -> Sound:
    return burner(LONG_SECONDS, np.random.default_rng(4))


def some_burner(samples: int, chance: Chance) -> Sound:
    """So much of one minute of burner, from somewhere in it; less than a minute."""
    start = int(chance.integers(0, int(LONG_SECONDS * RATE) - samples))
    return _unit(_long_burner()[start : start + samples])


def _unit(sound: Sound) -> Sound:
    return sound / max(float(np.sqrt(np.mean(sound**2))), 1e-12)


def echoing(sound: Sound, chance: Chance, *, decay_seconds: float = 0.5, direct_db: float = 3.0) -> Sound:
    """The sound in a made-up kitchen: noise that dies away 60 dB in `decay_seconds`, first after 5 ms; the
    direct sound is so much stronger than all of the echo."""
    samples = int(decay_seconds * RATE)
    tail = chance.standard_normal(samples) * 10.0 ** (-3.0 * np.arange(samples) / samples)
    tail[: int(0.005 * RATE)] = 0.0
    tail /= np.sqrt(np.sum(tail**2)) * 10.0 ** (direct_db / 20.0)
    tail[0] = 1.0
    return levelled(signal.fftconvolve(sound, tail))


@dataclass(frozen=True, slots=True)
class Condition:
    """What a voice is heard in: how far it is above the burner, in dB (None: none burns), and an echo."""

    name: str
    above_db: float | None = None
    echo: bool = False


CONDITIONS = (
    Condition("clean"),
    Condition("burner 20 dB", 20.0),
    Condition("burner 10 dB", 10.0),
    Condition("echo, burner 15 dB", 15.0, echo=True),
)
ALONE = 0.03
"""RMS of a burner that nobody speaks over."""
BEFORE_SECONDS, AFTER_SECONDS = 0.7, 1.2


def heard_in(condition: Condition, sound: Sound | None, chance: Chance, seconds: float = 6.0) -> Sound:
    """The sound as a microphone would have it, with some time before and after; the noise alone for None."""
    if sound is None:
        made = np.zeros(int(seconds * RATE))
        if condition.above_db is not None:
            made = ALONE * some_burner(made.size, chance)
        return made + FLOOR * chance.standard_normal(made.size)
    if condition.echo:
        sound = echoing(sound, chance)
    before, after = int(BEFORE_SECONDS * RATE), int(AFTER_SECONDS * RATE)
    made = np.concatenate((np.zeros(before), sound, np.zeros(after)))
    made += FLOOR * chance.standard_normal(made.size)
    if condition.above_db is not None:
        level = float(np.sqrt(np.mean(sound**2))) / 10.0 ** (condition.above_db / 20.0)
        made += level * some_burner(made.size, chance)
    return made / max(1.0, np.abs(made).max())
