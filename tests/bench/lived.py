"""A program of the toolkit lived through hours of virtual seconds, each painted, and its memory meanwhile.

    .venv/bin/python tests/bench/lived.py HOURS

Lives the bare program, in a process that loads no more than that: the floor of `long_day.py`. Prints the
resident megabytes at the start, half way and at the end. Linux only: it reads /proc.
"""

from __future__ import annotations

import asyncio
import gc
import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from bare import Bare
from textual.app import App

HOUR = 3600


def resident_megabytes() -> float:
    """Resident memory of this process as the kernel counts it (proc(5)), after a collection of garbage."""
    gc.collect()
    status = Path("/proc/self/status").read_text()
    return float(status.partition("VmRSS:")[2].split()[0]) / 1024.0


async def lived(app: App[Any], live: Callable[[int], None], hours: int) -> list[float]:
    """Resident megabytes at the start, half way and at the end; `live` is told each second and paints."""
    found = []
    async with app.run_test(size=(80, 24)) as pilot:
        found.append(resident_megabytes())
        for second in range(1, HOUR * hours + 1):
            live(second)
            await pilot.pause(0)
            app.screen._compositor.render_strips()
            if second in (HOUR * hours // 2, HOUR * hours):
                found.append(resident_megabytes())
    return found


def tell(app: App[Any], live: Callable[[int], None], hours: int) -> None:
    """Lives it and prints the megabytes."""
    print(json.dumps(asyncio.run(lived(app, live, hours))))


if __name__ == "__main__":
    bare = Bare(ticks=False)
    tell(bare, lambda second: bare.show(HOUR - second % HOUR), int(sys.argv[1]))
