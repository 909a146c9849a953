"""Whether a day of 24 hours grows: the memory of the screen, painted each second of a virtual clock.

    .venv/bin/python tests/bench/long_day.py [--quick]

The barley sample in its rest, on a screen of 80 by 24 without a terminal, with a note each hour. The floor
is `bare.py`, its countdown painted as many times. Each in a process of its own, both at once; resident
memory as the kernel counts it. The caches of the toolkit fill for some hours: what must not be is more than
1 MB in the second half (in the second two of four quick hours 2 MB, for they fill still). Limits:
judgement. Linux only.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

from lived import HOUR, tell
from table import Row, alone

from mashday.engine import intents
from mashday.faces.tui.app import BoardApp
from mashday.faces.tui.desk import Desk
from mashday.schedule.samples import find
from mashday.session.clock import VirtualClock
from mashday.session.rehearsal import whole_day
from mashday.session.session import begin

HOURS, QUICK_HOURS = 24, 4
LIMIT = 2.0
LIMIT_MB, QUICK_LIMIT_MB = 1.0, 2.0


def board(hours: int) -> None:
    """Lives our screen for so many hours and prints its memory."""
    clock = VirtualClock()
    session = begin(find("lock-seven-barley")[1], clock, folder=None, rehearsed=True, seed=1)
    whole_day(session, until="rest")
    app = BoardApp(Desk(session, None), seconds=clock.elapsed, ticks=False, threads=False)

    def live(second: int) -> None:
        clock.advance(1.0)
        app.tick()
        if second % HOUR == 0:
            session.send(intents.WriteNote("stirred"))

    tell(app, live, hours)


def rows(quick: bool = False) -> Iterator[Row]:
    """What is resident at the end, and what came in the second half."""
    hours = QUICK_HOURS if quick else HOURS
    words = ([__file__, "lived"], [str(Path(__file__).with_name("lived.py"))])
    running = [
        subprocess.Popen([sys.executable, *one, str(hours)], stdout=subprocess.PIPE, text=True)
        for one in words
    ]
    told = [json.loads(one.communicate()[0]) for one in running]
    (_, ours_half, ours), (_, floor_half, floor) = told
    yield Row(f"memory after {hours} h / bare app", f"{ours:.1f} MB", f"{floor:.1f} MB", ours / floor, LIMIT)
    late, most = ours - ours_half, QUICK_LIMIT_MB if quick else LIMIT_MB
    yield Row(
        f"memory come in the last {hours // 2} h / bare app",
        f"{late:+.1f} MB",
        f"{floor - floor_half:+.1f} MB",
        promise=f"under {most:g} MB",
        kept=late < most,
    )


if __name__ == "__main__":
    if sys.argv[1:2] == ["lived"]:
        board(int(sys.argv[2]))
    else:
        sys.exit(alone(rows, __doc__))
