"""Findings about a day that loads: what is not feasible, or would be better otherwise."""

from __future__ import annotations

import math
from collections.abc import Iterator

from mashday.engine import call_load, landing, timetable
from mashday.engine import contents as pot
from mashday.engine.prospect import Mash, Prospect, prospect
from mashday.engine.state import State
from mashday.quantities import Kind, show
from mashday.schedule.door import Problem
from mashday.schedule.model import (
    Cook,
    DoughIn,
    Grain,
    Heat,
    MashOut,
    Pitch,
    Raise,
    Rest,
    Schedule,
    Separate,
    Step,
)
from mashday.science import grain as grain_table
from mashday.science import volumes, water, yeast

LONGEST_LIST = 9
"""Items of a checklist beyond which it is no longer gone through with care (Gawande, The Checklist
Manifesto: five to nine)."""
COOLEST_REST, HOTTEST_REST, HOTTEST_MALT = 58.0, 74.0, 70.0
"""Below the first, starch hardly opens; above the second, alpha-amylase is gone in minutes; above the
third, malt going in loses its beta-amylase at once (see science.starch). Celsius."""
LEAST_CONVERSION = 0.9
"""Share of the starch below which a mash has stopped short. Judgement."""
SLOW_GRIST_MINUTES = 90.0
"""Rest a grist of little enzyme needs (see science.grain)."""
WASH_SLACK, GRAVITY_SLACK = 0.2, 0.01
"""How far from what is hoped for the outlook may be: a share of the volume, and gravity. Judgement."""


def findings(schedule: Schedule) -> tuple[Problem, ...]:
    """What is not feasible about the day (errors) and what to think about (warnings).

    Keys name the place in the file; quantities are told in the schedule's own units.
    """
    plan = prospect(schedule, State())
    found = [*_strike(schedule, plan), *_grist(schedule, plan)]
    if plan.mash is not None:
        found += [*_room(schedule, plan.mash), *_thickness(schedule, plan.mash)]
    found += [*_conversion(schedule, plan), *_nothing_to_mend_with(schedule)]
    found += _nothing_runs_off(schedule, plan)
    found += [*_calls(schedule), *_probe(schedule)]
    for number, step in enumerate(schedule.steps, 1):
        found += _step(schedule, number, step)
    return (*found, *_aim(schedule, plan))


def _told(schedule: Schedule, value: float, kind: Kind, digits: int | None = None) -> str:
    return show(value, kind, schedule.units, digits)


def _error(key: str, found: str, remedy: str) -> Problem:
    return Problem("error", key, None, found, remedy)


def _warning(key: str, found: str, remedy: str) -> Problem:
    return Problem("warning", key, None, found, remedy)


def _strike(schedule: Schedule, plan: Prospect) -> Iterator[Problem]:
    boiling = pot.boiling_celsius(schedule)
    if plan.strike is not None and plan.strike.celsius >= boiling:
        needed = _told(schedule, plan.strike.celsius, "temperature")
        there = _told(schedule, boiling, "temperature")
        yield _error(
            f"step[{plan.strike.step}]",
            f"the strike water would need {needed}, and water boils at {there} here",
            "take more water or a warmer start",
        )


def _room(schedule: Schedule, mash: Mash) -> Iterator[Problem]:
    volume = schedule.pot.volume_litres
    if not mash.fits:
        filled, holds = _told(schedule, mash.in_pot_litres, "volume"), _told(schedule, volume, "volume")
        needed = _told(schedule, mash.in_pot_litres + volumes.headroom_litres(volume), "volume")
        yield _error(
            "pot.volume",
            f"the mash fills {filled} of a pot of {holds} and needs {needed} to be stirred",
            "take less grain or water, or a larger pot",
        )


def _thickness(schedule: Schedule, mash: Mash) -> Iterator[Problem]:
    thickest, thinnest = volumes.THICKNESS_USUAL
    if thickest <= mash.thickness <= thinnest:
        return
    shown = _told(schedule, mash.thickness, "thickness")
    low, high = (_told(schedule, bound, "thickness") for bound in volumes.THICKNESS_USUAL)
    yield _warning(
        f"step[{pot.first_step(schedule, DoughIn) or pot.first_step(schedule, Cook)}]",
        f"a mash of {shown} is {'thick to stir' if mash.thickness < thickest else 'thin'}",
        f"between {low} and {high} works",
    )


def _grist(schedule: Schedule, plan: Prospect) -> Iterator[Problem]:
    rested = sum(step.minutes for step in schedule.steps if isinstance(step, Rest) and _converts(step))
    if plan.grist_kg and plan.verdict == grain_table.PowerVerdict.TOO_LITTLE:
        yield _warning(
            "grain",
            f"the grist has about {plan.lintner:.0f} Lintner, too little enzyme to convert itself",
            "add malt or bottled enzyme",
        )
    elif plan.verdict == grain_table.PowerVerdict.SLOW and 0.0 < rested < SLOW_GRIST_MINUTES:
        yield _warning(
            "grain",
            f"the grist has about {plan.lintner:.0f} Lintner, which is slow for {rested:.0f} min of rest",
            plan.verdict.advice,
        )
    raw, cooked = pot.uncooked(schedule), pot.cooked_by_a_step(schedule)
    for place, grain in enumerate(schedule.grains, 1):
        if grain.name in raw:
            yield _warning(
                f"grain[{place}].kind",
                f"{grain.name} is raw and needs cooking before malt can convert it",
                "add a cook step, or write cooked = true if it is",
            )
        elif grain.name not in cooked:
            yield from _never_opened(schedule, place, grain)


def _never_opened(schedule: Schedule, place: int, grain: Grain) -> Iterator[Problem]:
    opens = pot.gelatinises_celsius(grain)
    warmest = max(
        (
            step.target_celsius
            for step in schedule.steps
            if isinstance(step, DoughIn | Rest | Raise | MashOut)
        ),
        default=None,
    )
    if opens is not None and warmest is not None and warmest < opens:
        yield _warning(
            f"grain[{place}]",
            f"the mash never gets warmer than {_told(schedule, warmest, 'temperature')}, and the starch of"
            f" {grain.name} opens at about {_told(schedule, opens, 'temperature')}",
            "rest warmer, or cook it first",
        )


def _converts(rest: Rest) -> bool:
    return COOLEST_REST <= rest.target_celsius <= HOTTEST_REST


def _conversion(schedule: Schedule, plan: Prospect) -> Iterator[Problem]:
    if not plan.grist_kg or pot.first_step(schedule, DoughIn) is None:
        return
    rests = [n for n, step in enumerate(schedule.steps, 1) if isinstance(step, Rest)]
    first = next((n for n in rests if _converts(_rest(schedule, n))), None)
    if first is None:
        low, high = (_told(schedule, bound, "temperature", 0) for bound in (COOLEST_REST, HOTTEST_REST))
        yield _warning(
            f"step[{rests[-1]}].target" if rests else "step",
            f"no rest between {low} and {high}",
            "starch converts there: add a rest, or leave it if planned",
        )
    elif plan.conversion_end < LEAST_CONVERSION and plan.verdict != grain_table.PowerVerdict.TOO_LITTLE:
        yield _warning(
            f"step[{first}].time",
            f"only about {100.0 * plan.conversion_end:.0f} % of the starch is expected to convert",
            "give the rest more time or more water, or crush finer",
        )
    for number in (n for n in rests if first is not None and n < first):
        target = _rest(schedule, number).target_celsius
        if target > HOTTEST_REST:
            shown = _told(schedule, target, "temperature")
            low, high = _told(schedule, 62.0, "temperature", 0), _told(schedule, 72.0, "temperature", 0)
            yield _warning(
                f"step[{number}].target",
                f"a rest at {shown} before the starch has converted",
                f"the enzymes are gone there in minutes: rest at {low} to {high} first",
            )


def _rest(schedule: Schedule, number: int) -> Rest:
    step = schedule.step(number)
    assert isinstance(step, Rest)
    return step


def _nothing_to_mend_with(schedule: Schedule) -> Iterator[Problem]:
    first = pot.first_step(schedule, Rest)
    if first is not None and schedule.spare is None and schedule.pot.heater_kilowatts is None:
        yield _warning(
            "spare",
            f"neither a heater nor a spare kettle: if step[{first}] lands low, nothing puts it right",
            f"keep 2 to 3 {'qt' if schedule.units == 'us' else 'L'} of hot water and write it as [spare]",
        )


def _calls(schedule: Schedule) -> Iterator[Problem]:
    """Whether the day calls more often than one person can answer beside the work."""
    steady = {
        number: call_load.steady_per_hour(schedule, number) for number in range(1, len(schedule.steps) + 1)
    }
    often = {
        number: rate for number, rate in steady.items() if rate is not None and rate > call_load.STEADY_MOST
    }
    for number, rate in often.items():
        yield _warning(
            f"step[{number}].read_every",
            f"{rate:.0f} readings an hour, more than one keeps up with beside other work",
            f"read every {60.0 / call_load.STEADY_MOST:.0f} min, or leave read_every out",
        )
    count, number = call_load.busiest_hour(call_load.planned_calls(schedule))
    if count > call_load.PEAK_MOST and not often:
        yield _warning(
            f"step[{number}]",
            f"about {count} calls in the hour from here on, more than one can answer beside the work",
            "put short steps together, or give them more time",
        )


def _probe(schedule: Schedule) -> Iterator[Problem]:
    if schedule.hands_free and schedule.probe is None:
        yield _warning(
            "hands_free",
            "readings are to be taken by themselves, and no probe is named",
            "name one in [probe], or when the day is run: --probe",
        )


def _step(schedule: Schedule, number: int, step: Step) -> Iterator[Problem]:
    """What one step by itself gives to think about."""
    key = f"step[{number}]"
    if len(step.checklist) > LONGEST_LIST:
        yield _warning(
            f"{key}.checklist",
            f"{len(step.checklist)} items",
            f"split it: at most {LONGEST_LIST} are read with care",
        )
    if isinstance(step, Rest) and step.target_celsius >= pot.boiling_celsius(schedule):
        shown = _told(schedule, step.target_celsius, "temperature")
        yield _error(f"{key}.target", f"a rest at {shown} boils here", "choose a lower target")
    if isinstance(step, DoughIn):
        yield from _dough_in(schedule, number, step)
    if isinstance(step, Separate):
        yield from _separate(schedule, number, step)
    if isinstance(step, Raise | MashOut):
        yield from _raise(schedule, number, step)
    if isinstance(step, Heat):
        yield from _heat(schedule, number)
    if isinstance(step, Pitch):
        yield from _pitch(schedule, number)


def _dough_in(schedule: Schedule, number: int, step: DoughIn) -> Iterator[Problem]:
    malt = any(pot.lintner(grain) > 0.0 for grain in schedule.grain_into(number))
    if malt and step.target_celsius > HOTTEST_MALT:
        shown = _told(schedule, step.target_celsius, "temperature")
        low, high = _told(schedule, 60.0, "temperature", 0), _told(schedule, 68.0, "temperature", 0)
        yield _warning(
            f"step[{number}].target",
            f"dough-in at {shown}",
            f"malt loses its enzymes there: aim at {low} to {high}",
        )


def _separate(schedule: Schedule, number: int, step: Separate) -> Iterator[Problem]:
    if not any(isinstance(earlier, DoughIn | Cook) for earlier in schedule.steps[:number]):
        yield _warning(f"step[{number}]", "nothing is mashed before it", "put a dough-in before it")
    if step.by == "on the grain" and step.sparge_litres > 0.0:
        yield _warning(
            f"step[{number}].sparge",
            "a sparge, though nothing is parted from the grain",
            "leave sparge out, or choose another way of separating",
        )


def _raise(schedule: Schedule, number: int, step: Raise | MashOut) -> Iterator[Problem]:
    target = _told(schedule, step.target_celsius, "temperature")
    way = pot.way_of(schedule, number)
    if way == "fire":
        yield from _fire(schedule, number, f"raised to {target} by fire")
    if way != "hot water" or not pot.contents(schedule, State(), number - 1).grains:
        return
    before, after = (pot.contents(schedule, State(), upto).water_kg for upto in (number - 1, number))
    litres = water.litres(after - before, pot.spare_celsius(schedule))
    amount = _told(schedule, litres, "volume")
    if litres == 0.0 and timetable.starts_at(schedule, State(), number) < step.target_celsius:
        yield _warning(f"step[{number}]", f"hot water cannot bring it to {target}", "raise it another way")
    elif schedule.spare is None and litres > 0.0:
        yield _warning(
            f"step[{number}]",
            f"raised to {target} with about {amount} of boiling water, and no kettle for it is named",
            "keep that much hot and write it as [spare]",
        )
    elif schedule.spare is not None and litres > schedule.spare.water_litres:
        held = _told(schedule, schedule.spare.water_litres, "volume")
        yield _warning(
            f"step[{number}]",
            f"raised to {target} with about {amount} of hot water, and the spare kettle holds {held}",
            "keep more of it hot",
        )


def _fire(schedule: Schedule, number: int, what: str) -> Iterator[Problem]:
    if schedule.pot.heater_kilowatts is None:
        yield _warning(
            f"step[{number}]",
            f"{what}, and the pot has no heater",
            'write what it is heated with, such as heater = "2.5 kW" in [pot], or choose another way',
        )
    else:
        yield from _heat(schedule, number)


def _heat(schedule: Schedule, number: int) -> Iterator[Problem]:
    if not pot.heats_in_pot(schedule, number) and isinstance(schedule.step(number), Heat):
        return
    target = landing.target_celsius(schedule, State(), number)
    if target is None or target >= pot.boiling_celsius(schedule):
        return
    start = timetable.starts_at(schedule, State(), number)
    minutes = landing.heating_minutes(schedule, State(), number, start, target)
    if minutes is not None and math.isinf(minutes):
        yield _warning(
            f"step[{number}]",
            f"the heater is too weak to bring it to {_told(schedule, target, 'temperature')}",
            "take a stronger heater, or heat the water elsewhere",
        )


def _pitch(schedule: Schedule, number: int) -> Iterator[Problem]:
    celsius = timetable.starts_at(schedule, State(), number)
    if celsius > yeast.HOTTEST_PITCH_CELSIUS:
        shown = _told(schedule, celsius, "temperature", 0)
        cool = _told(schedule, 30.0, "temperature", 0)
        yield _warning(
            f"step[{number}]",
            f"yeast goes in at about {shown}, where it dies",
            f"put a cool step before it, down to {cool} or less",
        )


def _nothing_runs_off(schedule: Schedule, plan: Prospect) -> Iterator[Problem]:
    number = pot.first_step(schedule, Separate)
    wetted = plan.mash is not None and plan.mash.thickness >= volumes.THICKNESS_REFUSED
    if number is not None and wetted and plan.expected is None and plan.mash_litres > 0.0:
        shown = _told(schedule, plan.mash_litres, "volume")
        yield _error(
            f"step[{number}]",
            f"nothing runs off: the grain and the dead space keep all {shown} of the mash water",
            "take more water, or less grain",
        )


def _aim(schedule: Schedule, plan: Prospect) -> Iterator[Problem]:
    aim, expected = schedule.aim, plan.expected
    if expected is None:
        return
    litres = expected.wash_litres
    if aim.wash_litres is not None and abs(litres / aim.wash_litres - 1.0) > WASH_SLACK:
        shown, hoped = _told(schedule, litres, "volume"), _told(schedule, aim.wash_litres, "volume")
        change = "less" if litres > aim.wash_litres else "more"
        found = f"about {shown} of wash where {hoped} is hoped for"
        yield _warning("aim.wash", found, f"take {change} water")
    short = plan.conversion_end < LEAST_CONVERSION
    if aim.gravity is not None and not short and abs(expected.wash_gravity - aim.gravity) > GRAVITY_SLACK:
        change = "less" if expected.wash_gravity > aim.gravity else "more"
        yield _warning(
            "aim.gravity",
            f"a wash of about {expected.wash_gravity:.3f} where {aim.gravity:.3f} is hoped for",
            f"take {change} grain to the same water",
        )
