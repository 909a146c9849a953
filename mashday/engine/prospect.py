"""Prospect: what is still to come, from schedule and state alone.

Before the day it is the plan, during the day the outlook, after it what had been expected.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from mashday.engine import calls, conversion, extract, landing, timetable
from mashday.engine import contents as pot
from mashday.engine.state import State
from mashday.schedule.model import DoughIn, Schedule, Separate
from mashday.science import grain as grain_table
from mashday.science import water
from mashday.science.starch import Starch


@dataclass(frozen=True, slots=True)
class StepOutlook:
    """When a step begins (minutes from the start of the day), how long it takes, what it should reach."""

    number: int
    kind: str
    title: str
    starts_minute: float
    minutes: float
    target_celsius: float | None
    state: str


@dataclass(frozen=True, slots=True)
class Mash:
    """The mash at its fullest."""

    in_pot_litres: float
    thickness: float
    fits: bool
    headroom_litres: float
    kj_per_k: float


@dataclass(frozen=True, slots=True)
class Prospect:
    """What is to come. Litres cold, temperatures in Celsius, gravities at 20/20 C."""

    strike: landing.Strike | None
    mash: Mash | None
    grist_kg: float
    lintner: float
    verdict: grain_table.PowerVerdict
    enzyme_added: bool
    mash_litres: float
    sparge_litres: float
    starch_now: Starch
    starch_end: Starch
    expected: extract.Yield | None
    steps: tuple[StepOutlook, ...]
    out_of_reach: tuple[int, ...] = ()

    @property
    def conversion_now(self) -> float:
        """The fraction of the starch converted by now."""
        return self.starch_now.released

    @property
    def conversion_end(self) -> float:
        """The fraction of the starch converted at the end of the mash."""
        return self.starch_end.released

    @property
    def lacks_enzyme(self) -> bool:
        """Whether the grist has too little enzyme for anything to be promised of its conversion."""
        return self.verdict == grain_table.PowerVerdict.TOO_LITTLE and not self.enzyme_added

    @property
    def total_litres(self) -> float:
        """All the water of the day that goes through the mash, cold litres."""
        return self.mash_litres + self.sparge_litres

    def is_timed(self, number: int) -> bool:
        """Whether it can be told when step `number` begins and how long it takes: not from a step on that the
        heater never brings to its target."""
        return not self.out_of_reach or number < self.out_of_reach[0]

    @property
    def ends_minute(self) -> float:
        """When the last step ends, minutes from the start of the day."""
        last = self.steps[-1]
        return last.starts_minute + last.minutes


class StrikeMeant(NamedTuple):
    """What the pot is brought to before the grain, where the mash lands then, where it should and by what."""

    celsius: float
    lands_at_celsius: float
    aim_celsius: float
    needed_celsius: float


def strike_meant(schedule: Schedule, plan: Prospect) -> StrikeMeant | None:
    """The strike by the temperature written for it, else by the one worked out; None without a strike."""
    strike = plan.strike
    if strike is None:
        return None
    aim, celsius = strike.lands_at_celsius, strike.celsius
    if getattr(schedule.step(strike.step), "target_celsius", None) is None:
        return StrikeMeant(celsius, aim, aim, celsius)
    written = landing.target_celsius(schedule, State(), strike.step) or celsius
    return StrikeMeant(written, landing.lands_at(strike, written), aim, celsius)


def prospect(schedule: Schedule, state: State, t: float = 0.0, *, overruled: bool = True) -> Prospect:
    """What is to come, seen from session time `t`; unless overruled, by the model of the starch alone."""
    left = calls.remaining_seconds(schedule, state, t) or 0.0
    coming = conversion.to_come(schedule, state, state.step, max(0.0, left) / 60.0)
    if _mash_over(schedule, state):
        coming = []
    if overruled:
        now = conversion.by_now(schedule, state, t)
    else:
        now = conversion.converted(schedule, state, conversion.past(schedule, state, t))
    end = conversion.converted(schedule, state, coming, now)
    separate = pot.first_step(schedule, Separate) or len(schedule.steps)
    whole = pot.contents(schedule, state, separate)
    strike = _strike(schedule, state)
    mash = _mash(schedule, whole) if whole.grains else None
    diastatic = pot.grist_lintner(schedule, state)
    return Prospect(
        strike=strike,
        mash=mash,
        grist_kg=whole.grain_kg,
        lintner=diastatic,
        verdict=grain_table.power_verdict(diastatic),
        enzyme_added=pot.adds_enzyme(schedule, state),
        mash_litres=water.litres(whole.water_kg, 20.0),
        sparge_litres=extract.sparge_litres(schedule, state),
        starch_now=now,
        starch_end=end,
        expected=extract.expected(schedule, state, end.released, end),
        steps=step_outlooks(schedule, state, t),
        out_of_reach=tuple(
            number
            for number in range(max(1, state.step), len(schedule.steps) + 1)
            if timetable.is_out_of_reach(schedule, state, number)
        ),
    )


def _mash_over(schedule: Schedule, state: State) -> bool:
    begun = [schedule.step(record.number) for record in state.records]
    return any(isinstance(step, Separate) for step in (*schedule.steps[: state.from_step - 1], *begun))


def _strike(schedule: Schedule, state: State) -> landing.Strike | None:
    dough_in = pot.first_step(schedule, DoughIn, after=state.from_step - 1)
    if dough_in is None:
        return None
    for number in range(dough_in - 1, 0, -1):
        plan = landing.strike(schedule, state, number)
        if plan is not None and schedule.step(number).kind in ("heat", "cool"):
            return plan
    return None


def _mash(schedule: Schedule, whole: pot.Contents) -> Mash:
    volume = schedule.pot.volume_litres
    in_pot = whole.litres(pot.MASH_CELSIUS)
    spare = volume - in_pot
    fits = spare >= pot.headroom_litres(schedule)
    return Mash(in_pot, whole.thickness, fits, spare, whole.kj_per_k)


def step_outlooks(schedule: Schedule, state: State, t: float = 0.0) -> tuple[StepOutlook, ...]:
    """Past steps as they were, the one under way as it goes, later ones as expected.

    Those before a day begun in mid-mash take no time of it.
    """
    started = state.started if state.started is not None else t
    minute = 0.0
    outlook = []
    for number, step in enumerate(schedule.steps, 1):
        record = state.record(number)
        planned = timetable.step_minutes(
            schedule, state, number, timetable.starts_at(schedule, state, number)
        )
        if number < state.from_step:
            minutes, how = 0.0, "before"
        elif record is not None and number <= state.step:
            minute = (record.began - started) / 60.0
            ended = record.ended
            gone = ((ended if ended is not None else t) - record.began) / 60.0
            minutes = gone if ended is not None else max(planned, gone)
            how = record.how or "under way"
        else:
            minutes, how = planned, "to come"
        target = landing.target_celsius(schedule, state, number)
        title = step.title or step.kind
        outlook.append(StepOutlook(number, step.kind, title, minute, minutes, target, how))
        minute += minutes
    return tuple(outlook)
