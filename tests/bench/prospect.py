"""How long the outlook of a day takes, early and late in it.

    .venv/bin/python tests/bench/prospect.py

Exits 1 when the median is over 1.5 ms or the worst over 5 ms with 400 entries.
"""

from __future__ import annotations

import sys
from pathlib import Path
from statistics import median
from time import perf_counter

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))

from days import BARLEY, Day

from mashday.engine import intents
from mashday.engine.prospect import prospect
from mashday.schedule.door import load

ENTRIES = 400
MEDIAN_MS, WORST_MS = 1.5, 5.0


def a_long_rest() -> Day:
    """A day in its rest whose log holds many entries: readings and notes."""
    day = Day(load(BARLEY)).to_step(4).after(minutes=6)
    while day.state.seq < ENTRIES:
        day.after(seconds=15.0)
        if day.state.seq % 2:
            day.read(63.0 + 0.1 * (day.state.seq % 3), sure=True)
        else:
            day.send(intents.WriteNote("stirred"))
    return day


def main() -> int:
    """Prints the times; 1 when they are over the limits."""
    good = True
    fresh = Day(load(BARLEY)).to_step(4).after(minutes=6)
    for name, day in (("a day with few entries", fresh), (f"a day with {ENTRIES} entries", a_long_rest())):
        taken = []
        for second in range(300):
            began = perf_counter()
            prospect(day.schedule, day.state, day.t + second)
            taken.append(1000.0 * (perf_counter() - began))
        print(f"{name}: median {median(taken):.2f} ms, worst {max(taken):.2f} ms")
        good = good and median(taken) <= MEDIAN_MS and max(taken) <= WORST_MS
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
