"""Many rehearsed days of one schedule: pots, each with some days in a row, and what they came to.

The same pots and days are lived three times over: as advised, by the hand rules, and (some of them) with a
thermometer nobody has checked.
"""

from __future__ import annotations

import os
import tomllib
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from datetime import UTC, datetime
from statistics import fmean
from typing import Any

import tomli_w

from mashday.engine import landing
from mashday.engine.lessons import learned
from mashday.engine.prospect import prospect
from mashday.engine.state import State
from mashday.report.days import Days, Remedies, Spread
from mashday.schedule.door import load
from mashday.schedule.model import Schedule
from mashday.science import heat
from mashday.science.water import HOTTEST_CELSIUS
from mashday.session.clock import VirtualClock
from mashday.session.person import HandRulePerson
from mashday.session.rehearsal import Result, whole_day
from mashday.session.session import begin

MORNING = datetime(2026, 10, 3, 10, 0, tzinfo=UTC)
"""When every one of the days begins; nothing in them depends on the date."""

DAYS_OF_A_POT = 3
"""Days in a row with one pot, each knowing what the ones before it taught."""
DIAL_SHARE, MOST_DIAL_DAYS = 5, 100
"""One in so many days is lived once more with an unchecked dial, but no more than this."""
FEW_DAYS = 8
"""Days up to which one process is quicker than several."""
UNCHECKED_DIAL = {"kind": "dial"}


@dataclass(frozen=True, slots=True)
class Pot:
    """What is to be lived: the days of the pot of a seed; `by_hand` is the schedule of the hand rule."""

    written: str
    by_hand: str | None
    seed: int
    days: int


@dataclass(frozen=True, slots=True)
class Lived:
    """The days of one pot in their order, as advised and by the hand rules."""

    advised: tuple[Result, ...]
    by_hand: tuple[Result, ...]

    @property
    def quick(self) -> bool:
        """True if the person at this pot is quick at stirring the grain in."""
        return self.advised[0].truth.quick


def many_days(
    written: str,
    days: int,
    seed: int = 1,
    *,
    dial: bool = True,
    lived_so_far: Callable[[int, int], None] = lambda lived, of: None,
) -> Days:
    """Lives so many days of a schedule text, with pots of the seeds from `seed` on; nothing is kept.

    With `dial`, a part of them once more with a thermometer nobody has checked. `lived_so_far` is told at
    times how many of how many days are lived.
    """
    advised = [*_pots(written, hand_rule_schedule(written), days, seed)]
    dial_days = min(MOST_DIAL_DAYS, -(-days // DIAL_SHARE)) if dial else 0
    unchecked = [*_pots(with_table(written, "thermometer", UNCHECKED_DIAL), None, dial_days, seed)]
    lived = _all_lived([*advised, *unchecked], lived_so_far)
    return _summed(lived[: len(advised)], _summed(lived[len(advised) :]) if dial else None)


def with_table(written: str, name: str, table: dict[str, Any]) -> str:
    """The schedule text with another table of this name."""
    return tomli_w.dumps({**tomllib.loads(written), name: table})


def hand_rule_schedule(written: str) -> str | None:
    """The schedule text with the water heated to what the hand rule says.

    None where no water is heated for a dough-in, or the hand rule would have it boil.
    """
    schedule = load(written)
    plan = prospect(schedule, State()).strike
    celsius = _by_hand_celsius(schedule, plan) if plan is not None else None
    if plan is None or celsius is None:
        return None
    table = tomllib.loads(written)
    table["step"][plan.step - 1]["target"] = f"{celsius:.2f} C"
    return tomli_w.dumps(table)


def _by_hand_celsius(schedule: Schedule, plan: landing.Strike) -> float | None:
    grain_kg = sum(grain.mass_kg for grain in schedule.grain_into(plan.dough_in))
    if plan.water_litres <= 0.0 or grain_kg <= 0.0:
        return None
    by_hand = heat.hand_rule_strike_celsius(
        target_celsius=plan.lands_at_celsius,
        grain_celsius=plan.balance["grain_celsius"],
        thickness_l_per_kg=plan.water_litres / grain_kg,
    )
    return by_hand if 0.0 < by_hand < HOTTEST_CELSIUS else None


def _pots(written: str, by_hand: str | None, days: int, seed: int) -> Iterable[Pot]:
    for number, first in enumerate(range(0, days, DAYS_OF_A_POT)):
        yield Pot(written, by_hand, seed + number, min(DAYS_OF_A_POT, days - first))


def _all_lived(pots: Sequence[Pot], lived_so_far: Callable[[int, int], None]) -> list[Lived]:
    days = sum(pot.days for pot in pots)
    if days <= FEW_DAYS:
        return [live(pot) for pot in pots]
    found, so_far = [], 0
    with ProcessPoolExecutor(os.cpu_count()) as workers:
        for pot, lived in zip(pots, workers.map(live, pots, chunksize=2), strict=True):
            found.append(lived)
            so_far += pot.days
            lived_so_far(so_far, days)
    return found


def live(pot: Pot) -> Lived:
    """The days of one pot, each advised one knowing what those before it taught."""
    taught: list[tuple[Schedule, State]] = []
    advised, by_hand = [], []
    for day in range(1, pot.days + 1):
        session = begin(
            pot.written,
            VirtualClock(MORNING),
            folder=None,
            rehearsed=True,
            seed=pot.seed,
            known=learned(taught),
        )
        advised.append(whole_day(session, day=day))
        taught.append((session.schedule, session.state))
        if pot.by_hand is not None:
            session = begin(pot.by_hand, VirtualClock(MORNING), folder=None, rehearsed=True, seed=pot.seed)
            by_hand.append(whole_day(session, day=day, person=HandRulePerson, until="separate"))
    return Lived(tuple(advised), tuple(by_hand))


def _summed(pots: Sequence[Lived], unchecked_dial: Days | None = None) -> Days:
    advised = [day for pot in pots for day in pot.advised]
    by_hand = [day for pot in pots for day in pot.by_hand]
    rests = [rest for day in advised for rest in day.rests]
    landed = [error for day in advised for error in _landed(day)]
    quick, slow = [p for p in pots if p.quick], [p for p in pots if not p.quick]
    return Days(
        days=len(advised),
        pots=len(pots),
        strike=_far(landed),
        strike_bias=fmean(landed) if landed else None,
        strike_by_day=tuple(
            _strike(pot.advised[day : day + 1] for pot in pots) for day in range(DAYS_OF_A_POT)
        ),
        strike_quick=_strike(pot.advised for pot in quick),
        strike_slow=_strike(pot.advised for pot in slow),
        rests_before=_far(rest.first_celsius - rest.target_celsius for rest in rests),
        rests=_far(rest.settled_celsius - rest.target_celsius for rest in rests),
        rests_held=_far(rest.mean_celsius - rest.target_celsius for rest in rests),
        by_hand=_strike(pot.by_hand for pot in pots),
        by_hand_quick=_strike(pot.by_hand for pot in quick),
        by_hand_slow=_strike(pot.by_hand for pot in slow),
        by_hand_rests=_far(r.settled_celsius - r.target_celsius for day in by_hand for r in day.rests),
        remedies_per_rest=Spread.of([float(rest.remedies) for rest in rests]),
        remedies=_remedies(advised),
        overflowed=sum(day.overflowed for day in advised),
        overfull_litres=max((day.overfull_litres for day in advised), default=0.0),
        absurd=sum(day.absurd for day in advised),
        unfinished=sum(not day.finished for day in advised),
        unchecked_dial=unchecked_dial,
    )


def _landed(day: Result) -> list[float]:
    """How far the mash landed above its target at the first reading after the dough-in, K."""
    first = next((rest for rest in day.rests if rest.after_grain), None)
    return [] if first is None else [first.first_celsius - first.target_celsius]


def _strike(days: Iterable[Sequence[Result]]) -> Spread | None:
    return _far(error for some in days for day in some for error in _landed(day))


def _far(errors: Iterable[float]) -> Spread | None:
    return Spread.of([abs(error) for error in errors])


def _remedies(days: Iterable[Result]) -> Remedies:
    taken = [remedy for day in days for remedy in day.remedies]
    worse = [remedy for remedy in taken if remedy.worse]
    return Remedies(len(taken), len(worse), sum(remedy.by_the_thermometer for remedy in worse))
