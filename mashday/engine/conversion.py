"""How far the starch is: the conversion model along the temperatures the mash has had and will have.

What is past follows the readings, joined by straight lines; what is to come follows the schedule.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from mashday.engine import contents as pot
from mashday.engine import extract, landing
from mashday.engine.state import Reading, State
from mashday.schedule.model import Boil, DoughIn, MashOut, Raise, Rest, Schedule, Separate, StarchCheck
from mashday.science import starch, water
from mashday.science.limits import OutOfRange

MOST_DISSOLVED = 1.05
"""Share of the extract above which a gravity is taken for a mistake. Judgement: weights and moisture err by
less."""

LONGEST_STRETCH_MINUTES = 240.0
"""A mash that has stood this long at one temperature no longer changes in a forecast. Judgement."""

RAISE_MINUTES = 8.0
"""Minutes a raise is taken to last in a forecast without a heater. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """Some minutes in which the mash goes evenly from one temperature to another."""

    minutes: float
    from_celsius: float
    to_celsius: float


class Grist(NamedTuple):
    """What the starch model has to know of a mash, by the names of its arguments."""

    thickness_l_per_kg: float
    crush: str
    extract_dry: float
    moisture: float


def grist_of(schedule: Schedule, state: State) -> Grist | None:
    """The grist of the day's mash in the ranges of the model; None before there is one."""
    number = pot.first_step(schedule, DoughIn) or len(schedule.steps)
    mash = pot.contents(schedule, state, max(number, state.from_step - 1))
    if not mash.grains or mash.water_kg <= 0.0:
        return None
    return Grist(
        min(20.0, max(0.8, mash.thickness)),
        mash.grains[0][0].crush,
        extract.mean_extract_dry(mash.grains),
        extract.mean_moisture(mash.grains),
    )


def fresh(schedule: Schedule, state: State) -> starch.Starch:
    """Grain just doughed in, with the enzyme that the grist of the day has, or is given from a bottle."""
    if pot.adds_enzyme(schedule, state):
        return starch.FRESH
    return replace(starch.FRESH, power=starch.power_of(pot.grist_lintner(schedule, state)))


def past(schedule: Schedule, state: State, t: float) -> list[Stretch]:
    """The temperatures from dough-in to session time `t` (or to the end of the mash), by the readings.

    What a mash had lived through when the day was begun with it goes before.
    """
    begun = _dough_in(schedule, state)
    if begun is None or state.started is None:
        return []
    if any(isinstance(step, Separate) for step in schedule.steps[: state.from_step - 1]):
        return _before(schedule, state, None)
    end = min(t, _mash_end(schedule, state) or t)
    points = [
        (r.t, r.metric)
        for r in state.valid("temperature")
        if begun <= r.t <= end and r.fact.subject == "mash" and not r.fact.assumed
        if not landing.is_beside(schedule, r.step)
    ]
    before = _before(schedule, state, points[0][1] if points else None)
    opens = max(begun, state.started)
    if not points:
        points = [(opens, before[-1].to_celsius if before else _doughed_in_celsius(schedule, state))]
    points = [(opens, points[0][1]), *points, (end, points[-1][1])]
    pairs = pairwise(points)
    return [*before, *(Stretch((b[0] - a[0]) / 60.0, a[1], b[1]) for a, b in pairs if b[0] > a[0])]


def _doughed_in_celsius(schedule: Schedule, state: State) -> float:
    """What a mash that is not read yet is taken to have: the target of its dough-in, Celsius."""
    number = pot.first_step(schedule, DoughIn)
    target = landing.target_celsius(schedule, state, number) if number is not None else None
    return target if target is not None else schedule.place.room_celsius


def mashed_before(schedule: Schedule, state: State) -> bool:
    """True if grain was in the water already when the day was begun in mid-mash."""
    return any(isinstance(step, DoughIn) for step in schedule.steps[: state.from_step - 1])


def minutes_before(schedule: Schedule, state: State) -> float:
    """Minutes the grain had been in when the day was begun: as told, else as planned; 0 without a mash."""
    if not mashed_before(schedule, state):
        return 0.0
    told = state.told("minutes mashed")
    return planned_minutes_before(schedule, state) if told is None else told


def planned_minutes_before(schedule: Schedule, state: State) -> float:
    """Minutes the schedule has the grain in before the step the day was begun at."""
    return sum(stretch.minutes for stretch in _planned_before(schedule, state))


def _planned_before(schedule: Schedule, state: State) -> list[Stretch]:
    dough_in = pot.first_step(schedule, DoughIn)
    if dough_in is None or not mashed_before(schedule, state):
        return []
    return to_come(schedule, State(), dough_in - 1, until=state.from_step - 1)


def _before(schedule: Schedule, state: State, celsius: float | None) -> list[Stretch]:
    """What the mash had lived through when the day was begun with it.

    The rests as planned, all as much longer or shorter as told; the last at `celsius`, as first read.
    """
    planned = _planned_before(schedule, state)
    whole, minutes = sum(one.minutes for one in planned), minutes_before(schedule, state)
    if whole <= 0.0 or minutes <= 0.0:
        return []
    lived = [replace(one, minutes=one.minutes * minutes / whole) for one in planned]
    if celsius is not None:
        last = lived[-1]
        level = last.from_celsius == last.to_celsius
        begins = celsius if level else last.from_celsius
        lived[-1] = replace(last, from_celsius=begins, to_celsius=celsius)
    return lived


def _dough_in(schedule: Schedule, state: State) -> float | None:
    """The session second in which the grain was in: before the day where that was begun in mid-mash."""
    if mashed_before(schedule, state):
        return None if state.started is None else state.started - 60.0 * minutes_before(schedule, state)
    for record in state.records:
        if isinstance(schedule.step(record.number), DoughIn) and record.how != "skipped":
            return record.ended if record.ended is not None else record.began
    return None


def _mash_end(schedule: Schedule, state: State) -> float | None:
    for record in state.records:
        if isinstance(schedule.step(record.number), Separate):
            return record.began
    return None


def to_come(
    schedule: Schedule, state: State, after: int, minutes_left: float = 0.0, *, until: int | None = None
) -> list[Stretch]:
    """The temperatures planned for what is left of step `after` and the steps behind it, up to `until`."""
    stretches: list[Stretch] = []
    begun = any(isinstance(step, DoughIn) for step in schedule.steps[:after])
    now = landing.target_celsius(schedule, state, after) if begun else None
    if now is not None and minutes_left > 0.0:
        stretches.append(Stretch(minutes_left, now, now))
    for step in schedule.steps[after:until]:
        if isinstance(step, Separate | Boil):
            break
        if isinstance(step, DoughIn):
            now = step.target_celsius
            stretches.append(Stretch(5.0, now, now))
        elif isinstance(step, Rest):
            now = step.target_celsius
            stretches.append(Stretch(step.minutes, now, now))
        elif isinstance(step, Raise | MashOut) and now is not None:
            stretches.append(Stretch(RAISE_MINUTES, now, step.target_celsius))
            now = step.target_celsius
        elif isinstance(step, StarchCheck) and now is not None:
            stretches.append(Stretch(5.0, now, now))
    return stretches


def by_now(schedule: Schedule, state: State, t: float) -> starch.Starch:
    """The starch at session time `t`, along the readings; a measured gravity overrules the model up to it."""
    start, since = since_measured(schedule, state, t)
    return converted(schedule, state, since, start)


def since_measured(schedule: Schedule, state: State, t: float) -> tuple[starch.Starch, list[Stretch]]:
    """The starch at the last measured gravity (fresh grist if there is none) and the temperatures since."""
    lived = past(schedule, state, t)
    read = measured(schedule, state, t)
    if read is None or not lived:
        return fresh(schedule, state), lived
    minutes, share = read
    before, after = _parted(lived, minutes)
    last = lived[-1].to_celsius
    return starch.corrected_to(converted(schedule, state, before), share), after or [Stretch(0.0, last, last)]


def held_since(
    schedule: Schedule, state: State, t: float
) -> tuple[starch.Starch, tuple[tuple[float, float], ...]]:
    """The starch at the last measured gravity, and each temperature (mean, degC) and its minutes since."""
    start, since = since_measured(schedule, state, t)
    return start, tuple(
        (0.5 * (one.from_celsius + one.to_celsius), min(one.minutes, LONGEST_STRETCH_MINUTES))
        for one in since
    )


def measured(schedule: Schedule, state: State, t: float) -> tuple[float, float] | None:
    """The last gravity read of the mash or of its first runnings: minutes after dough-in, share dissolved.

    A gravity that would need clearly more extract than there is overrules nothing: it is a mistake.
    """
    begun = _dough_in(schedule, state)
    separation = pot.first_step(schedule, Separate)
    if begun is None:
        return None
    for reading in reversed(state.valid("gravity")):
        fact = reading.fact
        first = separation is not None and reading.step == separation and _is_first(state, reading)
        if fact.assumed or reading.t > t or not (fact.subject == "mash" or first):
            continue
        share = _dissolved(schedule, state, reading)
        if share is not None and share <= MOST_DISSOLVED:
            return (reading.t - begun) / 60.0, min(1.0, share)
    return None


def _dissolved(schedule: Schedule, state: State, reading: Reading) -> float | None:
    """The share of the extract a gravity says is dissolved, in the mash as it stood when it was read."""
    then = replace(state, additions=tuple(a for a in state.additions if a.t <= reading.t))
    mash = pot.contents(schedule, then, reading.step)
    try:
        return extract.conversion_from(mash, reading.metric) if extract.is_mash(mash) else None
    except OutOfRange:
        return None


def _is_first(state: State, reading: Reading) -> bool:
    return state.valid("gravity", reading.step)[0].number == reading.number


def _parted(stretches: list[Stretch], minutes: float) -> tuple[list[Stretch], list[Stretch]]:
    """The stretches up to so many minutes, and those after."""
    before: list[Stretch] = []
    after: list[Stretch] = []
    for stretch in stretches:
        if minutes >= stretch.minutes:
            before.append(stretch)
        elif minutes <= 0.0:
            after.append(stretch)
        else:
            share = minutes / stretch.minutes
            between = stretch.from_celsius + share * (stretch.to_celsius - stretch.from_celsius)
            before.append(Stretch(minutes, stretch.from_celsius, between))
            after.append(Stretch(stretch.minutes - minutes, between, stretch.to_celsius))
        minutes -= stretch.minutes
    return before, after


def converted(
    schedule: Schedule, state: State, stretches: list[Stretch], now: starch.Starch | None = None
) -> starch.Starch:
    """The starch after these stretches of temperature, from `now` on; from fresh grist where that is None."""
    now = fresh(schedule, state) if now is None else now
    grist = grist_of(schedule, state)
    if grist is None:
        return now
    for stretch in stretches:
        now = _after(now, stretch, grist)
    return now


@lru_cache(maxsize=4096)
def _after(now: starch.Starch, stretch: Stretch, grist: Grist) -> starch.Starch:
    """The starch after one stretch. Remembered, so that a long history is carried forward and not redone."""
    pieces = max(1, round(abs(stretch.to_celsius - stretch.from_celsius)))
    for piece in range(pieces):
        share = (piece + 0.5) / pieces
        celsius = stretch.from_celsius + share * (stretch.to_celsius - stretch.from_celsius)
        now = starch.advance(
            now,
            min(water.HOTTEST_CELSIUS, max(0.0, celsius)),
            min(stretch.minutes, LONGEST_STRETCH_MINUTES) / pieces,
            **grist._asdict(),
        )
    return now
