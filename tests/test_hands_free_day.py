"""Days hands free with the real program: a probe, a voice, a door and a pedal at once, and nothing else."""

from __future__ import annotations

import os
import shlex
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from real_terminal import RealTerminal

from mashday.session.session import look

pytestmark = pytest.mark.long

KETTLE = """
format = 1
name = "Lock Seven kettle"
hands_free = true
[pot]
name = "lock-keeper's kettle"
volume = "33 L"
mass = "4.6 kg"
heater = "2.5 kW"
[[grain]]
name = "pale barley malt"
kind = "barley malt"
mass = "5 kg"
[[step]]
kind = "heat"
water = "15 L"
target = "30 C"
[[step]]
kind = "dough-in"
target = "63 C"
[[step]]
kind = "rest"
target = "63 C"
time = "60 min"
"""
PROBE = """
import time
celsius = 29.0
while True:
    print(f"T={celsius:.1f}", flush=True)
    celsius += 0.5
    time.sleep(0.1)
"""


class Heard:
    """What was said aloud, as a file that grows."""

    def __init__(self, path: Path) -> None:
        self.path = path

    @property
    def lines(self) -> list[str]:
        return self.path.read_text().splitlines() if self.path.exists() else []

    def until(self, words: str) -> None:
        """Waits until a line with these words was said; gives up after a minute, so that no run hangs."""
        for _ in range(1200):
            if any(words in line for line in self.lines):
                return
            time.sleep(0.05)
        raise AssertionError(f"never said: {words}\n" + "\n".join(self.lines))


@pytest.fixture
def kettle(tmp_path: Path) -> Iterator[tuple[subprocess.Popen[str], Heard, Path]]:
    """A day in lines on the real clock with a probe that is a program, a voice that is a file, and a door."""
    (tmp_path / "day.toml").write_text(KETTLE)
    (tmp_path / "probe.py").write_text(PROBE)
    process = subprocess.Popen(
        [
            *(sys.executable, "-m", "mashday", "run", "day.toml", "--plain", "--sessions", "kept"),
            "--anyway",
            *("--probe", shlex.join([sys.executable, "probe.py"]), "--say", "file:said.txt"),
            *("--listen-to", f"fifo:{tmp_path / 'door'}"),
        ],
        cwd=tmp_path,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(path for path in sys.path if path)},
    )
    yield process, Heard(tmp_path / "said.txt"), tmp_path / "door"
    process.kill()
    process.communicate()


def told(door: Path, line: str) -> None:
    """Says a line by the door, once it is there."""
    for _ in range(1200):
        if door.exists():
            break
        time.sleep(0.05)
    with door.open("w") as fifo:
        fifo.write(f"{line}\n")


def test_a_probe_a_voice_and_a_door_at_once_on_a_real_day(
    kettle: tuple[subprocess.Popen[str], Heard, Path],
) -> None:
    process, heard, door = kettle
    told(door, "heard yes")
    told(door, "start")
    heard.until("Heat fifteen litres of water")
    heard.until("By the probe: ")
    heard.until("Heat off, ")
    told(door, "ninety four")
    heard.until("Heard nine four degrees. It should lie between")
    told(door, "note lid left off")
    heard.until("lid left off")
    told(door, "quit")
    heard.until("is for the keys")
    assert process.stdin is not None
    process.stdin.write("quit\n")
    process.stdin.flush()
    written, _ = process.communicate(timeout=60)
    assert process.returncode == 0
    assert ", by the probe: water temperature" in written and "SUMMARY  Lock Seven kettle" in written
    assert not door.exists()


def pedalled(terminal: RealTerminal, heard: Heard) -> None:
    """Presses the forward key of a presenter whenever nothing is said for a while, until the program ends."""
    seen, quiet_since = 0, time.monotonic()
    while terminal.read(0.05):
        lines = heard.lines
        if len(lines) > seen:
            seen, quiet_since = len(lines), time.monotonic()
        if time.monotonic() - quiet_since > 2.2:
            terminal.type("\x1b[6~")
            quiet_since = time.monotonic()


@pytest.mark.day
def test_a_whole_day_in_a_real_terminal_by_a_presenter_alone(tmp_path: Path) -> None:
    said = tmp_path / "said.txt"
    terminal = RealTerminal(
        [
            *("-m", "mashday", "run", "lock-seven-barley", "--rehearse", "--rate", "120", "--hands-free"),
            *("--pedal", "presenter", "--say", f"file:{said}", "--sessions", str(tmp_path / "kept")),
        ],
        tmp_path,
        columns=100,
        rows=30,
        environment={"PYTHONPATH": os.pathsep.join(path for path in sys.path if path)},
    )
    try:
        terminal.shows("did you hear it?")
        pedalled(terminal, Heard(said))
        assert terminal.exit_code() == 0
    finally:
        terminal.close()
    assert b"SUMMARY  Lock Seven barley wash" in terminal.written
    (path,) = list((tmp_path / "kept").glob("*.toml"))
    _, state, _ = look(path)
    assert state.phase == "complete"
    read = [r for r in state.valid("temperature") if not r.fact.assumed]
    assert read and all(r.fact.source == "probe" for r in read)
    assert any("By the probe" in line for line in Heard(said).lines)
