"""What the screen costs at rest: share of a core, bytes to the terminal, memory, beside a bare program.

    .venv/bin/python tests/bench/idle.py [SECONDS]

A rehearsed day in its rest step, at the pace of a real one, in a real terminal of each size; beside it in the
same seconds a program of the toolkit that shows nothing but the countdown, once a second. So many seconds (20
if left out) a size. Exits 1 when the day takes 1 % of a core or more at any size. Linux only: it reads /proc.
"""

from __future__ import annotations

import sys
import time
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))

from days import temperature
from real_terminal import RealTerminal

from mashday.engine import intents
from mashday.schedule.samples import find
from mashday.session.clock import VirtualClock
from mashday.session.rehearsal import whole_day
from mashday.session.session import begin

SECONDS = 20.0
SETTLING_SECONDS = 3.0
LIMIT = 0.01
SIZES = ((80, 24), (120, 40), (200, 60))
BARE = """
import time
from textual.app import App
from textual.widgets import Digits

class Bare(App):
    ENABLE_COMMAND_PALETTE = False
    def compose(self):
        yield Digits("00:00")
    def on_mount(self):
        self.ends = time.monotonic() + 3600
        self.set_interval(1.0, self.tick)
    def tick(self):
        left = int(self.ends - time.monotonic())
        self.query_one(Digits).update(f"{left // 60:02d}:{left % 60:02d}")

Bare(ansi_color=True).run(mouse=False)
"""


@dataclass(frozen=True, slots=True)
class Cost:
    """Share of one core, bytes a second to the terminal, resident megabytes."""

    share: float
    bytes_a_second: float
    megabytes: float


class Measured:
    """A program in a terminal and what it has cost since `begin`."""

    def __init__(self, terminal: RealTerminal) -> None:
        self.terminal = terminal
        self.begin()

    def begin(self) -> None:
        """Counts from here on."""
        self._began, self._busy, self._written = time.monotonic(), self._busy_seconds(), self._bytes()

    def cost(self) -> Cost:
        """What it came to since `begin`."""
        seconds = time.monotonic() - self._began
        return Cost(
            (self._busy_seconds() - self._busy) / seconds,
            (self._bytes() - self._written) / seconds,
            self._megabytes(),
        )

    def _busy_seconds(self) -> float:
        """Processor time of all its threads, s: nanoseconds of the scheduler (proc(5), schedstat)."""
        tasks = Path(f"/proc/{self.terminal.pid}/task").iterdir()
        return sum(float((task / "schedstat").read_text().split()[0]) for task in tasks) / 1e9

    def _bytes(self) -> int:
        return len(self.terminal.written)

    def _megabytes(self) -> float:
        status = Path(f"/proc/{self.terminal.pid}/status").read_text()
        return float(status.partition("VmRSS:")[2].split()[0]) / 1024.0


def resting_day(folder: Path) -> str:
    """Keeps a rehearsed day in `folder` that has come to its rest and was read there; its name."""
    session = begin(
        find("lock-seven-barley")[1], VirtualClock(), folder=folder, rehearsed=True, seed=1, rate=1.0
    )
    whole_day(session, until="rest")
    session.send(temperature(63.0, sure=True))
    session.send(intents.Acknowledge())
    assert session.path is not None
    session.close()
    return session.path.stem


def measured(columns: int, rows: int, seconds: float) -> tuple[Cost, Cost]:
    """The day and the bare program, side by side."""
    with TemporaryDirectory() as kept:
        folder = Path(kept)
        name = resting_day(folder / "sessions")
        words = ["-m", "mashday", "resume", name, "--sessions", str(folder / "sessions")]
        terminals = [
            RealTerminal(words, folder, columns=columns, rows=rows),
            RealTerminal(["-c", BARE], folder, columns=columns, rows=rows),
        ]
        try:
            terminals[0].shows("Rest")
            both = [Measured(terminal) for terminal in terminals]
            drained(terminals, SETTLING_SECONDS)
            for one in both:
                one.begin()
            drained(terminals, seconds)
            return both[0].cost(), both[1].cost()
        finally:
            for terminal in terminals:
                terminal.close()


def drained(terminals: list[RealTerminal], seconds: float) -> None:
    """Reads what all of them write for so long."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        for terminal in terminals:
            if not terminal.read(0.1):
                raise SystemExit(f"it ended:\n{terminal.picture.text}")


def main() -> int:
    """Prints the table; 1 when the day takes too much at any size."""
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else SECONDS
    print(f"{seconds:.0f} s a size; the day in its rest, a bare countdown of the toolkit, and their ratio")
    print(f"{'':10}{'share of a core, %':>26}{'bytes a second':>26}{'resident, MB':>26}")
    within = True
    for columns, rows in SIZES:
        day, bare = measured(columns, rows, seconds)
        pairs = (
            (100.0 * day.share, 100.0 * bare.share, 2),
            (day.bytes_a_second, bare.bytes_a_second, 0),
            (day.megabytes, bare.megabytes, 1),
        )
        cells = [f"{ours:10.{n}f}{theirs:9.{n}f}{ours / max(theirs, 1e-9):7.2f}" for ours, theirs, n in pairs]
        print(f"{columns:4d}x{rows:<5d}" + "".join(cells))
        within = within and day.share < LIMIT
    return 0 if within else 1


if __name__ == "__main__":
    sys.exit(main())
