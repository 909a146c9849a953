"""What the screen costs at rest: share of a core, bytes to the terminal, memory, beside a bare program.

    .venv/bin/python tests/bench/idle.py [--quick]

A day in its rest, at the pace of a real one, in a pseudo-terminal of each size; beside it in the same
seconds `bare.py`, which shows nothing but the countdown, once a second. Processor time of all threads and
resident memory as the kernel counts them (proc(5)). That the day takes less than 1 % of a core is a
promise; the limits of the ratio are judgement: four looks a second at the day, beside one. Linux only.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from screens import RealTerminal, bare, drained, resting
from table import Row, alone

SECONDS, QUICK_SECONDS = 20.0, 6.0
SETTLING_SECONDS = 3.0
PROMISED_SHARE = 0.01
LIMIT = 4.5
SIZES = ((80, 24), (120, 40), (200, 60))


@dataclass(frozen=True, slots=True)
class Cost:
    """Share of one core, bytes a second to the terminal, resident megabytes."""

    share: float
    bytes_a_second: float
    megabytes: float

    def __str__(self) -> str:
        return f"{100.0 * self.share:.2f} %, {self.bytes_a_second:.0f} B/s, {self.megabytes:.0f} MB"


class Measured:
    """A program in a terminal and what it has cost since."""

    def __init__(self, terminal: RealTerminal) -> None:
        self.terminal = terminal
        self._began, self._busy, self._written = time.monotonic(), self._busy_seconds(), self._bytes()

    def cost(self) -> Cost:
        """What it came to since."""
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


def measured(columns: int, lines: int, seconds: float) -> tuple[Cost, Cost]:
    """The day and the bare program, side by side."""
    with TemporaryDirectory() as kept:
        both = (resting(Path(kept), columns, lines), bare(Path(kept), columns, lines))
        try:
            drained(both, SETTLING_SECONDS)
            day, floor = (Measured(terminal) for terminal in both)
            drained(both, seconds)
            return day.cost(), floor.cost()
        finally:
            for terminal in both:
                terminal.close()


def rows(quick: bool = False) -> Iterator[Row]:
    """One a size."""
    for columns, lines in SIZES:
        day, floor = measured(columns, lines, QUICK_SECONDS if quick else SECONDS)
        yield Row(
            f"at rest, {columns}x{lines} / bare countdown",
            str(day),
            str(floor),
            day.share / floor.share,
            LIMIT,
            "under 1 % of a core",
            day.share < PROMISED_SHARE,
        )


if __name__ == "__main__":
    sys.exit(alone(rows, __doc__))
