"""Findings about pot, water and fire: is there room, does it boil here, is the heater able, who lifts it."""

from __future__ import annotations

import math
from collections.abc import Iterator

from mashday.engine import contents as pot
from mashday.engine import extract, landing, timetable
from mashday.engine.prospect import Mash, Prospect
from mashday.engine.state import State
from mashday.report.finding import error, told, warning
from mashday.schedule.door import Problem
from mashday.schedule.model import (
    Boil,
    Cook,
    Cool,
    DoughIn,
    Heat,
    MashOut,
    Pitch,
    Raise,
    Rest,
    Schedule,
    Separate,
)
from mashday.science import volumes, water
from mashday.science.workings.volumes import HEAVIEST_LIFT_KG

LONGEST_HEATING_MINUTES = 120.0
"""A heating that takes longer wants another fire, or an earlier start. Judgement."""
BAGS = ("squeezed bag", "hung bag")
"""Ways of separating in which the wet grain is lifted out of the pot."""


def pot_findings(schedule: Schedule, plan: Prospect) -> Iterator[Problem]:
    """What is amiss with the pot and what heats it."""
    yield from _strike(schedule, plan)
    if plan.mash is not None:
        yield from _room(schedule, plan.mash)
        yield from _thickness(schedule, plan.mash)
    yield from _nothing_to_mend_with(schedule)
    yield from _hot_water(schedule)
    for number, step in enumerate(schedule.steps, 1):
        if isinstance(step, Rest | Raise | MashOut):
            yield from _boils_here(schedule, number, step)
        if isinstance(step, Raise | MashOut):
            yield from _raise(schedule, number, step)
        if isinstance(step, Heat):
            yield from _water_alone(schedule, number)
            yield from _heat(schedule, number)
        if isinstance(step, Boil):
            yield from _boil(schedule, number, plan)
        if isinstance(step, Cook | Boil):
            yield from _heat(schedule, number)
        if isinstance(step, Cook):
            yield from _cooks_here(schedule, number, step)
        if isinstance(step, Cool):
            yield from _thinned(schedule, number, step)
        if isinstance(step, Separate):
            yield from _wet_bag(schedule, number, step)
    yield from _wort(schedule, plan)


def _strike(schedule: Schedule, plan: Prospect) -> Iterator[Problem]:
    boiling = pot.boiling_celsius(schedule)
    if plan.strike is not None and plan.strike.celsius >= boiling:
        needed = told(schedule, plan.strike.celsius, "temperature")
        there = told(schedule, boiling, "temperature")
        yield error(
            f"step[{plan.strike.step}]",
            f"the strike water would need {needed}, and water boils at {there} here",
            "take more water or a warmer start",
        )


def _room(schedule: Schedule, mash: Mash) -> Iterator[Problem]:
    volume = schedule.pot.volume_litres
    if not mash.fits:
        filled, holds = told(schedule, mash.in_pot_litres, "volume"), told(schedule, volume, "volume")
        needed = told(schedule, mash.in_pot_litres + pot.headroom_litres(schedule), "volume")
        yield error(
            "pot.volume",
            f"the mash fills {filled} of a pot of {holds} and needs {needed} to be stirred",
            "take less grain or water, or a larger pot",
        )


def _thickness(schedule: Schedule, mash: Mash) -> Iterator[Problem]:
    thickest, thinnest = volumes.THICKNESS_USUAL
    if thickest <= mash.thickness <= thinnest:
        return
    shown = told(schedule, mash.thickness, "thickness")
    low, high = (told(schedule, bound, "thickness") for bound in volumes.THICKNESS_USUAL)
    yield warning(
        f"step[{pot.first_step(schedule, DoughIn) or pot.first_step(schedule, Cook)}]",
        f"a mash of {shown} is {'thick to stir' if mash.thickness < thickest else 'thin'}",
        f"between {low} and {high} works",
    )


def _nothing_to_mend_with(schedule: Schedule) -> Iterator[Problem]:
    first = pot.first_step(schedule, Rest)
    if first is not None and schedule.spare is None and schedule.pot.heater_kilowatts is None:
        yield warning(
            "spare",
            f"neither a heater nor a spare kettle: if step[{first}] lands low, nothing puts it right",
            f"keep 2 to 3 {'qt' if schedule.units == 'us' else 'L'} of hot water and write it as [spare]",
        )


def _boils_here(schedule: Schedule, number: int, step: Rest | Raise | MashOut) -> Iterator[Problem]:
    if step.target_celsius >= pot.boiling_celsius(schedule):
        shown = told(schedule, step.target_celsius, "temperature")
        what = "a rest at" if isinstance(step, Rest) else "raised to"
        yield error(f"step[{number}].target", f"{what} {shown} boils here", "choose a lower target")


def _cooks_here(schedule: Schedule, number: int, step: Cook) -> Iterator[Problem]:
    boiling = pot.boiling_celsius(schedule)
    if step.target_celsius > boiling:
        shown, there = (told(schedule, celsius, "temperature") for celsius in (step.target_celsius, boiling))
        yield warning(
            f"step[{number}].target",
            f"cooked at {shown}, and it boils at {there} here, no hotter: that cooks slower",
            "give it more time, and see that it is soft",
        )


def _thinned(schedule: Schedule, number: int, step: Cool) -> Iterator[Problem]:
    """Water or ice that is stirred into wort stays in it, and needs its room."""
    if not pot.is_separated(schedule, number):
        return
    wort = extract.wort_litres(schedule, State(), number)
    poured = water.litres(
        extract.cooling_kg(schedule, number, landing.capacity_kj_per_k(schedule, State(), number)), 20.0
    )
    holds = schedule.pot.volume_litres
    if poured <= 0.0 or wort + poured <= holds:
        return
    into, takes, room = (told(schedule, litres, "volume") for litres in (wort, poured, holds))
    what = "ice, melted," if step.by == "ice" else "cold water"
    yield error(
        f"step[{number}].by",
        f"about {takes} of {what} would go into {into} of wort, and the pot holds {room}",
        "cool it by a coil, an ice bath or standing, which put nothing in",
    )


def _wort(schedule: Schedule, plan: Prospect) -> Iterator[Problem]:
    """Whether the pot holds the wort it is to cool; where it boils there, see `_boil`."""
    if plan.expected is None or pot.first_step(schedule, Boil) is not None:
        return
    cools = (
        number
        for number, step in enumerate(schedule.steps, 1)
        if isinstance(step, Cool | Pitch) and pot.is_separated(schedule, number)
    )
    number = next(cools, None)
    if number is None:
        return
    wort, holds = extract.wort_litres(schedule, State(), number), schedule.pot.volume_litres
    if wort > holds:
        shown, room = told(schedule, wort, "volume"), told(schedule, holds, "volume")
        yield warning(
            f"step[{number}]",
            f"about {shown} of wort, and the pot holds {room}",
            f"have a vessel of {shown} for it, and cool it there or in parts",
        )


def _water_alone(schedule: Schedule, number: int) -> Iterator[Problem]:
    inside = pot.contents(schedule, State(), number)
    target = landing.target_celsius(schedule, State(), number)
    if inside.grains or target is None or not pot.heats_in_pot(schedule, number):
        return
    filled, holds = inside.litres(min(target, pot.boiling_celsius(schedule))), schedule.pot.volume_litres
    if filled > holds:
        hot, room = told(schedule, filled, "volume"), told(schedule, holds, "volume")
        yield error(
            f"step[{number}].water",
            f"the water alone is {hot} once it is hot, and the pot holds {room}",
            "take less water and rinse with the rest, or a larger pot",
        )


def _boil(schedule: Schedule, number: int, plan: Prospect) -> Iterator[Problem]:
    """Wort foams up as it comes to the boil: that needs the room a mash needs to be stirred.

    What no water is heated in, no wort is boiled in: the other kettle is not told of.
    """
    separated = pot.is_separated(schedule, number)
    if plan.expected is None or not separated or not schedule.pot.water_heated_in_it:
        return
    before = plan.expected.wash_litres + water.litres(extract.boiled_off_kg(schedule, number), 20.0)
    filled = before * water.density(20.0) / water.density(pot.boiling_celsius(schedule))
    needed = filled + pot.headroom_litres(schedule)
    if needed > schedule.pot.volume_litres:
        hot, holds = told(schedule, filled, "volume"), told(schedule, schedule.pot.volume_litres, "volume")
        yield error(
            f"step[{number}]",
            f"about {hot} of wort comes to the boil in a pot of {holds}, and would boil over",
            f"rinse with less, boil in two parts, or take a pot of {told(schedule, needed, 'volume')}",
        )


def _wet_bag(schedule: Schedule, number: int, step: Separate) -> Iterator[Problem]:
    grain_kg = pot.contents(schedule, State(), number).grain_kg
    wet_kg = grain_kg * (1.0 + volumes.absorption("hung bag"))
    if step.by in BAGS and wet_kg > HEAVIEST_LIFT_KG:
        shown, most = (told(schedule, kg, "mass", 0) for kg in (wet_kg, HEAVIEST_LIFT_KG))
        yield warning(
            f"step[{number}].by",
            f"the wet bag weighs about {shown} before it has dripped off",
            f"more than {most} is no lift for one: hang it on a hoist, or take the grain out by parts",
        )


def _raise(schedule: Schedule, number: int, step: Raise | MashOut) -> Iterator[Problem]:
    target = told(schedule, step.target_celsius, "temperature")
    way = pot.way_of(schedule, number)
    if way == "fire":
        yield from _fire(schedule, number, f"raised to {target} by fire")
    if way != "hot water" or not pot.contents(schedule, State(), number - 1).grains:
        return
    litres = _poured_litres(schedule, number)
    if litres == 0.0 and timetable.starts_at(schedule, State(), number) < step.target_celsius:
        yield warning(f"step[{number}]", f"hot water cannot bring it to {target}", "raise it another way")


def _poured_litres(schedule: Schedule, number: int) -> float:
    before, after = (pot.contents(schedule, State(), upto).water_kg for upto in (number - 1, number))
    return water.litres(after - before, pot.spare_celsius(schedule))


def _hot_water(schedule: Schedule) -> Iterator[Problem]:
    """Whether the spare kettle holds what all raises by hot water take together."""
    takes = {
        number: litres
        for number, step in enumerate(schedule.steps, 1)
        if isinstance(step, Raise | MashOut)
        and pot.way_of(schedule, number) == "hot water"
        and (litres := _poured_litres(schedule, number)) > 0.0
    }
    whole = sum(takes.values())
    if not takes or (schedule.spare is not None and whole <= schedule.spare.water_litres):
        return
    amount = told(schedule, whole, "volume")
    first = schedule.step(min(takes))
    assert isinstance(first, Raise | MashOut)
    does = f"raised to {told(schedule, first.target_celsius, 'temperature')}"
    if len(takes) > 1:
        does = f"raised {len(takes)} times"
    if schedule.spare is None:
        yield warning(
            f"step[{min(takes)}]",
            f"{does} with about {amount} of boiling water, and no kettle for it is named",
            "keep that much hot and write it as [spare]",
        )
    else:
        held = told(schedule, schedule.spare.water_litres, "volume")
        yield warning(
            f"step[{min(takes)}]",
            f"{does} with about {amount} of hot water, and the spare kettle holds {held}",
            "keep more of it hot",
        )


def _fire(schedule: Schedule, number: int, what: str) -> Iterator[Problem]:
    if schedule.pot.heater_kilowatts is None:
        yield warning(
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
    if target is None:
        return
    target = min(target, pot.boiling_celsius(schedule) - timetable.SHORT_OF_BOILING_KELVIN)
    start = timetable.starts_at(schedule, State(), number)
    minutes = landing.heating_minutes(schedule, State(), number, start, target)
    if minutes is not None and LONGEST_HEATING_MINUTES < minutes < math.inf:
        yield warning(
            f"step[{number}]",
            f"about {minutes / 60.0:.1f} h of heating to {told(schedule, target, 'temperature')}",
            "take a stronger heater, or heat a part of it in another kettle",
        )
    if timetable.is_out_of_reach(schedule, State(), number):
        yield error(
            f"step[{number}]",
            f"the heater is too weak to bring it to {told(schedule, target, 'temperature')}",
            "take a stronger heater, or heat the water elsewhere",
        )
