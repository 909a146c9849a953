"""The signals: the two tones of each, how long they are, that none clips, and where their files lie."""

from __future__ import annotations

import io
import stat
import subprocess
import sys
import wave
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from scipy.signal import find_peaks

from mashday.channels.tones import FULL_SCALE, RATE_HERTZ, SIGNALS, ToneFiles, Urgency, wav

URGENCIES: tuple[Urgency, ...] = ("soon", "now", "danger")


def samples(urgency: Urgency, strokes: int = 1) -> np.ndarray:
    with wave.open(io.BytesIO(wav(urgency, strokes)), "rb") as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (1, 2, RATE_HERTZ)
        return np.frombuffer(file.readframes(file.getnframes()), dtype="<i2").astype(float)


def loudest_hertz(heard: np.ndarray) -> float:
    spectrum = np.abs(np.fft.rfft(heard * np.hanning(len(heard)), 2**17))
    return float(np.fft.rfftfreq(2**17, 1 / RATE_HERTZ)[spectrum.argmax()])


@pytest.mark.parametrize("urgency", URGENCIES)
def test_each_note_of_a_signal_is_its_tone(urgency: Urgency) -> None:
    signal = SIGNALS[urgency]
    notes = np.array_split(samples(urgency), signal.notes)
    heard = [loudest_hertz(note) for note in notes]
    # derived: the table of signals; a note of 72 ms tells tones apart to some hertz
    assert heard == pytest.approx([signal.hertz[place % 2] for place in range(signal.notes)], abs=5.0)


@pytest.mark.parametrize("urgency", URGENCIES)
def test_a_signal_holds_its_two_tones_and_no_other(urgency: Urgency) -> None:
    spectrum = np.abs(np.fft.rfft(samples(urgency, 3), 2**16))
    peaks, _ = find_peaks(spectrum, height=0.7 * spectrum.max(), distance=200)
    hertz = sorted(np.fft.rfftfreq(2**16, 1 / RATE_HERTZ)[peaks])
    low, high = sorted(SIGNALS[urgency].hertz)
    assert hertz[0] == pytest.approx(low, abs=25.0) and hertz[-1] == pytest.approx(high, abs=25.0)
    assert low >= 150.0 and high <= 1000.0  # IEC 60601-1-8: fundamentals from 150 to 1000 Hz


@pytest.mark.parametrize("urgency", URGENCIES)
@pytest.mark.parametrize("strokes", [1, 2, 3])
def test_a_signal_is_short_loud_and_never_clips(urgency: Urgency, strokes: int) -> None:
    heard = samples(urgency, strokes)
    assert len(heard) / RATE_HERTZ == pytest.approx(SIGNALS[urgency].seconds(strokes), abs=0.002)
    assert len(heard) / RATE_HERTZ < 1.0
    assert 0.5 * FULL_SCALE < np.abs(heard).max() < 0.9 * FULL_SCALE
    assert np.abs(np.diff(heard)).max() < 0.25 * FULL_SCALE  # no edge that clicks
    assert abs(heard[0]) < 10 and abs(heard[-1]) < 10


def test_the_graver_signal_is_faster_and_danger_is_the_longest() -> None:
    for milder, graver in pairwise(URGENCIES):
        assert SIGNALS[graver].note_seconds < SIGNALS[milder].note_seconds
    assert SIGNALS["danger"].seconds(1) > SIGNALS["soon"].seconds(1)
    for strokes in (1, 2, 3):
        assert SIGNALS["danger"].seconds(strokes) > SIGNALS["now"].seconds(strokes)


def test_strokes_stay_within_one_and_three() -> None:
    assert wav("now", 0) == wav("now", 1) and wav("now", 99) == wav("now", 3)


def test_the_files_are_nobody_elses_and_are_made_once() -> None:
    files = ToneFiles()
    path = files.file("danger", 2)
    assert path.read_bytes() == wav("danger", 2)
    assert files.file("danger", 2) == path
    if sys.platform != "win32":
        assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700
    path.unlink()
    assert files.file("danger", 2).exists(), "a file that was cleared away is made again"
    files.close()
    assert not path.parent.exists()


def test_a_closed_folder_is_opened_anew() -> None:
    files = ToneFiles()
    files.close()
    assert files.file("soon").exists()
    files.close()


def test_the_files_are_gone_when_the_program_ends() -> None:
    script = "from mashday.channels.tones import ToneFiles; f = ToneFiles(); print(f.file('now'))"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip().endswith(".wav") and not Path(done.stdout.strip()).parent.exists()
    assert done.stderr == ""
