"""The two programs of the benchmarks of the screen, in real terminals: a day in its rest, and the bare one.

Linux only: a pseudo-terminal, and /proc in what is measured of them.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))

from days import temperature
from real_terminal import RealTerminal

from mashday.engine import intents
from mashday.schedule.samples import find
from mashday.session.clock import VirtualClock
from mashday.session.rehearsal import whole_day
from mashday.session.session import begin

BARE = Path(__file__).with_name("bare.py")


def resting(folder: Path, columns: int = 80, rows: int = 24) -> RealTerminal:
    """A rehearsed day of the barley sample, come to its rest and read there, at the pace of a real one."""
    session = begin(
        find("lock-seven-barley")[1],
        VirtualClock(),
        folder=folder / "sessions",
        rehearsed=True,
        seed=1,
        rate=1.0,
    )
    whole_day(session, until="rest")
    session.send(temperature(63.0, sure=True))
    session.send(intents.Acknowledge())
    assert session.path is not None
    session.close()
    words = ["-m", "mashday", "resume", session.path.stem, "--sessions", str(folder / "sessions")]
    terminal = RealTerminal(words, folder, columns=columns, rows=rows)
    terminal.shows("Rest", "q leave")
    return terminal


def bare(folder: Path, columns: int = 80, rows: int = 24) -> RealTerminal:
    """The bare program."""
    terminal = RealTerminal([str(BARE)], folder, columns=columns, rows=rows)
    terminal.shows(" >")
    return terminal


def drained(terminals: tuple[RealTerminal, ...], seconds: float) -> None:
    """Reads what all of them write for so long."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        for terminal in terminals:
            if not terminal.read(min(0.1, 0.5 * seconds)):
                raise SystemExit(f"it ended:\n{terminal.picture.text}")
