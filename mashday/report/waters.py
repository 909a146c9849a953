"""The waters of a plan: how much of the day's water goes in where, how warm, and where it ends."""

from __future__ import annotations

from dataclasses import dataclass

from mashday.engine import contents as pot
from mashday.engine import extract, landing
from mashday.engine.prospect import Prospect
from mashday.engine.state import State
from mashday.quantities import Units, show
from mashday.schedule.model import Boil, Cook, Heat, Schedule, Separate
from mashday.science import volumes, water

LEAST_LITRES = 0.005
"""Less water than this is none: rounding of kilograms to litres and back."""


@dataclass(frozen=True, slots=True)
class Water:
    """A part of the day's water: its step, cold litres, how warm it goes in, and from where."""

    step: int
    title: str
    litres: float
    celsius: float | None
    source: str


def waters(schedule: Schedule, state: State) -> tuple[Water, ...]:
    """All water that is to go through the mash, step by step; `state` carries what is known of the pot."""
    found = []
    for number, step in enumerate(schedule.steps, 1):
        title = step.title or step.kind
        if isinstance(step, Separate):
            litres, celsius = step.sparge_litres, step.sparge_celsius
            if litres > LEAST_LITRES:
                found.append(Water(number, f"{title}: sparge", litres, celsius, "heated beside it"))
            break
        before, after = (pot.contents(schedule, state, upto).water_kg for upto in (number - 1, number))
        litres = water.litres(after - before, 20.0)
        if litres > LEAST_LITRES:
            celsius, source = _from(schedule, state, number)
            found.append(Water(number, title, litres, celsius, source))
    return tuple(found)


def _from(schedule: Schedule, state: State, number: int) -> tuple[float | None, str]:
    step = schedule.step(number)
    poured = pot.poured_celsius(schedule, number)
    if poured is not None:
        return poured, "from the tap" if step.kind == "cool" else "from the spare kettle"
    if isinstance(step, Heat | Cook) and not schedule.pot.water_heated_in_it:
        return landing.target_celsius(schedule, state, number), "another kettle, poured in"
    return landing.target_celsius(schedule, state, number), "heated in the pot"


def ends(schedule: Schedule, plan: Prospect, units: Units) -> str:
    """Where the day's water ends, in a sentence; "" where nothing is separated."""
    number = pot.first_step(schedule, Separate)
    if number is None or plan.expected is None:
        return ""
    step = schedule.step(number)
    assert isinstance(step, Separate)
    told = []
    if step.by != "on the grain":
        kept = step.absorption_litres_per_kg
        absorbed = volumes.absorption(step.by) if kept is None else kept
        told.append(f"the grain keeps {show(absorbed * plan.grist_kg, 'volume', units)}")
        if schedule.pot.dead_space_litres > 0.0:
            told.append(f"the pot {show(schedule.pot.dead_space_litres, 'volume', units)}")
    boil = pot.first_step(schedule, Boil)
    if boil is not None:
        off = water.litres(extract.boiled_off_kg(schedule, boil), 20.0)
        told.append(f"the boil drives off {show(off, 'volume', units)}")
    wash = show(plan.expected.wash_litres, "volume", units)
    return f"Of it {', '.join((*told, f'{wash} of wash is left'))}." if told else ""
