"""Whether a day of 24 hours grows: the memory of the screen, painted each second of a virtual clock.

    .venv/bin/python tests/bench/long_day.py [HOURS] [traced] [rehearsed]

The barley sample in its rest, on a screen of 80 by 24 without a terminal, with a note each hour; beside a
simulated pot, which keeps the truth of each second, if `rehearsed`. Prints resident memory, blocks allocated
and objects at the start, after 1 h, half way and at the end (24 h if left out); traced memory too if asked,
which takes three times as long. The caches of the toolkit are full after some hours: exits 1 when more than
1 MB came in the second half. Linux only: it reads /proc.
"""

from __future__ import annotations

import asyncio
import gc
import sys
import tracemalloc
from pathlib import Path

from mashday.engine import intents
from mashday.faces.tui.app import BoardApp
from mashday.faces.tui.desk import Desk
from mashday.schedule.samples import find
from mashday.session.clock import VirtualClock
from mashday.session.rehearsal import Rehearsal, whole_day
from mashday.session.session import begin

HOURS = 24.0
LIMIT_MB = 1.0
MEGABYTE = 1024.0 * 1024.0
NOTE_EVERY_SECONDS = 3600


def resident_megabytes() -> float:
    """Resident memory of this process."""
    status = Path("/proc/self/status").read_text()
    return float(status.partition("VmRSS:")[2].split()[0]) / 1024.0


def told(name: str) -> float:
    """Prints where memory stands; the resident megabytes."""
    gc.collect()
    resident = resident_megabytes()
    traced = f"{tracemalloc.get_traced_memory()[0] / MEGABYTE:12.2f}" if tracemalloc.is_tracing() else ""
    counts = f"{sys.getallocatedblocks():12d}{len(gc.get_objects()):12d}"
    print(f"{name:>8}{resident:12.1f}{counts}{traced}", flush=True)
    return resident


async def lived(hours: float, *, rehearsed: bool) -> tuple[float, float]:
    """Lives so many hours; the resident megabytes that came after the first one, and in the second half."""
    clock = VirtualClock()
    session = begin(find("lock-seven-barley")[1], clock, folder=None, rehearsed=True, seed=1)
    whole_day(session, until="rest")
    desk = Desk(session, Rehearsal(session) if rehearsed else None)
    app = BoardApp(desk, seconds=clock.elapsed, ticks=False, threads=False)
    marks = {3600: "1 h", int(1800 * hours): f"{hours / 2:g} h", int(3600 * hours): f"{hours:g} h"}
    after = [0.0]
    async with app.run_test(size=(80, 24)) as pilot:
        told("start")
        for second in range(1, int(3600 * hours) + 1):
            clock.advance(1.0)
            app.tick()
            await pilot.pause(0)
            app.screen._compositor.render_strips()
            if second % NOTE_EVERY_SECONDS == 0:
                session.send(intents.WriteNote("stirred"))
            if second in marks:
                after.append(told(marks[second]))
    return after[-1] - after[1], after[-1] - after[-2]


def main() -> int:
    """Prints the table; 1 when it grew too much."""
    words = sys.argv[1:]
    if "traced" in words:
        tracemalloc.start()
    hours = next((float(word) for word in words if word[:1].isdigit()), HOURS)
    traced = f"{'traced MB':>12}" if tracemalloc.is_tracing() else ""
    print(f"{'':8}{'resident MB':>12}{'blocks':>12}{'objects':>12}{traced}")
    since, late = asyncio.run(lived(hours, rehearsed="rehearsed" in words))
    print(f"after the first hour {since:+.1f} MB, in the second half {late:+.1f} MB")
    return 0 if late < LIMIT_MB else 1


if __name__ == "__main__":
    sys.exit(main())
