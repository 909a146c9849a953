"""How long many rehearsed days take, beside the simulated pots alone for as many simulated seconds.

    .venv/bin/python tests/bench/rehearsals.py [DAYS]

`many_days` of the barley sample with a worker for each core, 1,000 days if left out, a hundred a round:
each day is lived to its end as advised and, to the end of its mash, by the hand rules, by a simulated
person through a session in memory. The floor is as many pots of the same workers, each filled and stirred
once and then stepped for as long, in slices as the rehearsal takes: no engine, no person, no session, no
starch. The limit of the ratio is judgement; that every day ends, and none runs over or is offered an amount
that cannot be, is a promise.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from math import ceil, inf
from statistics import fmean

from table import Row, in_turn, progress, seconds, told

from mashday.report.days import Days
from mashday.schedule.samples import find
from mashday.science.pot import PotTruth, SimulatedPot
from mashday.session.clock import VirtualClock
from mashday.session.many import DAYS_OF_A_POT, hand_rule_schedule, many_days
from mashday.session.person import HandRulePerson
from mashday.session.rehearsal import UNSEEN_SLICE_SECONDS, whole_day
from mashday.session.session import begin

DAYS, QUICK_DAYS, DAYS_A_ROUND = 1000, 100, 100
LIMIT = 10.0


def simulated_seconds(written: str, pots: int = 5) -> float:
    """How long a day lasts, as advised and by hand together: the mean of some pots."""
    lived = []
    by_hand = hand_rule_schedule(written)
    assert by_hand is not None
    for seed in range(1, pots + 1):
        advised = begin(written, VirtualClock(), folder=None, rehearsed=True, seed=seed)
        whole_day(advised)
        other = begin(by_hand, VirtualClock(), folder=None, rehearsed=True, seed=seed)
        whole_day(other, person=HandRulePerson, until="separate")
        lived.append(advised.t() + other.t())
    return fmean(lived)


def pot_alone(lasts: float) -> float:
    """Steps a pot for so many seconds; what it comes to, Celsius."""
    pot = SimulatedPot(PotTruth(), water_kg=17.0, mash_celsius=71.0, vessel_celsius=71.0, stirring=True)
    pot.add_grain(8.5, 20.0, 107.0, 5.0)
    for _ in range(ceil(lasts / UNSEEN_SLICE_SECONDS)):
        pot.step(UNSEEN_SLICE_SECONDS)
        pot.stirring = False
    return pot.mash_celsius


def pots_alone(lasts: float, days: int) -> None:
    """So many days of pots, by as many workers."""
    with ProcessPoolExecutor(os.cpu_count()) as workers:
        for _ in workers.map(pot_alone, [lasts] * days, chunksize=2 * DAYS_OF_A_POT):
            pass


def rows(quick: bool = False, days: int | None = None) -> Iterator[Row]:
    """One row."""
    days = days or (QUICK_DAYS if quick else DAYS)
    written = find("lock-seven-barley")[1]
    lasts = simulated_seconds(written)
    a_round = min(days, DAYS_A_ROUND)
    done: list[Days] = []

    def some() -> None:
        done.append(many_days(written, a_round, 1 + len(done) * a_round, dial=False))

    taken = in_turn(
        seconds(some),
        seconds(lambda: pots_alone(lasts, a_round)),
        max(1, days // a_round),
        most_seconds=inf,
    )
    faults = sum(one.overflowed + one.unfinished + one.absurd for one in done)
    ours, floor = sum(taken.ours), sum(taken.floor)
    lived = a_round * len(taken.ours)
    yield Row(
        f"{lived:,} rehearsed days / pots alone",
        f"{ours:.1f} s, {lived / ours:.0f} a second",
        f"{floor:.1f} s, {lived / floor:.0f} a second",
        taken.ratio,
        LIMIT,
        "all end, none runs over or is absurd",
        faults == 0,
    )


def main() -> int:
    """Prints the row; 1 when a limit is passed."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("days", metavar="DAYS", type=int, nargs="?", default=DAYS)
    return told(progress(parser.prog, rows(days=parser.parse_args().days)))


if __name__ == "__main__":
    sys.exit(main())
