"""How long the outlook of a day takes, early and late in it, beside one bare run of the starch model.

    .venv/bin/python tests/bench/prospect.py [--quick]

`prospect` of the barley sample in its rest, seen from another second each time: with few entries, and with
400 readings and notes. The floor is one run of the starch model along the same temperatures, read and
planned, and nothing else: no strike, volumes, yield or times, but nothing remembered from the look before
either, which is why a long day can be below it. Limits: judgement.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))

from days import BARLEY, Day
from table import Row, alone, in_turn, seconds

from mashday.engine import conversion, intents
from mashday.engine.prospect import prospect
from mashday.schedule.door import load
from mashday.science import starch

ENTRIES = 400
ROUNDS, QUICK_ROUNDS = 300, 100
EARLY_LIMIT, LATE_LIMIT = 4.0, 1.5


def early() -> Day:
    """A day in its rest with few entries."""
    return Day(load(BARLEY)).to_step(4).after(minutes=6)


def late() -> Day:
    """The same day, whose log holds many entries: readings and notes."""
    day = early()
    while day.state.seq < ENTRIES:
        day.after(seconds=15.0)
        if day.state.seq % 2:
            day.read(63.0 + 0.1 * (day.state.seq % 3), sure=True)
        else:
            day.send(intents.WriteNote("stirred"))
    return day


def model_alone(day: Day) -> Callable[[], object]:
    """One run of the starch model along what the mash of the day has had and is to have."""
    lived = conversion.past(day.schedule, day.state, day.t)
    stretches = [*lived, *conversion.to_come(day.schedule, day.state, day.state.step, 60.0)]
    grist = conversion.grist_of(day.schedule, day.state)
    assert grist is not None

    def run() -> object:
        now = starch.FRESH
        for one in stretches:
            celsius = 0.5 * (one.from_celsius + one.to_celsius)
            now = starch.advance(now, celsius, one.minutes, **grist._asdict())
        return now

    return run


def passing(day: Day) -> Callable[[], object]:
    """The outlook of the day, a second later each time."""
    later = count()
    return lambda: prospect(day.schedule, day.state, day.t + next(later))


def rows(quick: bool = False) -> Iterator[Row]:
    """Early, then late."""
    for name, day, limit in (("few", early(), EARLY_LIMIT), (str(ENTRIES), late(), LATE_LIMIT)):
        rounds = QUICK_ROUNDS if quick else ROUNDS
        taken = in_turn(seconds(passing(day)), seconds(model_alone(day)), rounds)
        yield taken.row(f"outlook with {name} entries / starch model alone", limit)


if __name__ == "__main__":
    sys.exit(alone(rows, __doc__))
