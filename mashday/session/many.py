"""Many rehearsed days of one schedule, each with its own pot and person: what the rests came to."""

from __future__ import annotations

import os
from collections.abc import Iterable
from concurrent.futures import ProcessPoolExecutor
from datetime import UTC, datetime
from functools import partial

from mashday.engine import landing
from mashday.engine.prospect import prospect
from mashday.engine.state import State
from mashday.report.days import Days, Spread
from mashday.schedule.door import load
from mashday.schedule.model import Schedule
from mashday.science import heat
from mashday.science.water import HOTTEST_CELSIUS
from mashday.session.clock import VirtualClock
from mashday.session.rehearsal import Result, whole_day
from mashday.session.session import begin

MORNING = datetime(2026, 10, 3, 10, 0, tzinfo=UTC)
"""When every one of the days begins; nothing in them depends on the date."""

FEW_DAYS = 8
"""Days up to which one process is quicker than several."""


def many_days(written: str, days: int, seed: int = 1) -> Days:
    """Lives so many days of a schedule text through, with the seeds from `seed` on; nothing is kept."""
    lived = partial(_lived, written)
    seeds = range(seed, seed + days)
    if days <= FEW_DAYS:
        return _summed(load(written), [lived(one) for one in seeds])
    with ProcessPoolExecutor(os.cpu_count()) as workers:
        results = list(workers.map(lived, seeds, chunksize=4))
    return _summed(load(written), results)


def _lived(written: str, seed: int) -> Result:
    session = begin(written, VirtualClock(MORNING), folder=None, rehearsed=True, seed=seed)
    try:
        return whole_day(session)
    finally:
        session.close()


def _summed(schedule: Schedule, results: Iterable[Result]) -> Days:
    days = list(results)
    rests = [rest for day in days for rest in day.rests]
    landed = [day.rests[0].first_celsius - day.rests[0].target_celsius for day in days if day.rests]
    shift = _hand_rule_shift(schedule)
    return Days(
        days=len(days),
        rests=Spread.of([abs(rest.settled_celsius - rest.target_celsius) for rest in rests]),
        strike=Spread.of([abs(error) for error in landed]),
        by_hand=None if shift is None else Spread.of([abs(error + shift) for error in landed]),
        remedies=Spread.of([float(rest.remedies) for rest in rests]),
        overflowed=sum(day.overflowed for day in days),
        unfinished=sum(not day.finished for day in days),
    )


def _hand_rule_shift(schedule: Schedule) -> float | None:
    """How much warmer the mash would land if the water were heated as the hand rule says, K.

    None where no water is heated for a dough-in, or the hand rule would have it boil.
    """
    plan: landing.Strike | None = prospect(schedule, State()).strike
    if plan is None or plan.water_litres <= 0.0:
        return None
    balance = plan.balance
    grain_kg = sum(grain.mass_kg for grain in schedule.grain_into(plan.dough_in))
    if grain_kg <= 0.0:
        return None
    by_hand = heat.hand_rule_strike_celsius(
        target_celsius=plan.lands_at_celsius,
        grain_celsius=balance["grain_celsius"],
        thickness_l_per_kg=plan.water_litres / grain_kg,
    )
    if not 0.0 < by_hand < HOTTEST_CELSIUS:
        return None
    return landing.lands_at(plan, by_hand) - landing.lands_at(plan, plan.celsius)
