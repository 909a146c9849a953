"""What a day needs: what is bought or weighed out, and what has to stand at hand. From the schedule alone."""

from __future__ import annotations

from dataclasses import dataclass

from mashday.engine import contents as pot
from mashday.engine.prospect import Prospect
from mashday.quantities import Units, show
from mashday.report.finding import little
from mashday.schedule.gear import SEPARATING, fermenter_litres
from mashday.schedule.model import (
    Cool,
    DoughIn,
    Heat,
    MashOut,
    Pitch,
    Raise,
    Schedule,
    Separate,
    StarchCheck,
)
from mashday.science import gravity, yeast

COOLING = {
    "coil": "coil with two hoses, their ends fixed",
    "ice bath": "tub the pot fits into, cold water and ice",
    "cold water": "clean cold water beside the pot",
    "ice": "clean ice that may go into the pot",
}
"""What each way of cooling needs. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Item:
    """Something to have: how much of what, and a word on it."""

    amount: str
    what: str
    note: str = ""


def shopping(schedule: Schedule, plan: Prospect, units: Units) -> tuple[Item, ...]:
    """Grain, yeast, and whatever else goes in."""
    found = [Item(show(grain.mass_kg, "mass", units), grain.name) for grain in schedule.grains]
    for step in schedule.steps:
        if isinstance(step, Pitch):
            found.append(Item(step.amount or "some", step.yeast, _wanted(plan, units)))
        elif step.kind == "add":
            found.append(Item(step.amount or "some", step.what))
    return tuple(found)


def _wanted(plan: Prospect, units: Units) -> str:
    """How much yeast the expected wash asks for."""
    if plan.expected is None:
        return ""
    plato = max(0.0, gravity.plato(plan.expected.wash_gravity))
    cells = yeast.cells_to_pitch(plan.expected.wash_litres, plato)
    dry = f"{little(yeast.dry_yeast_grams(cells), units)} of dry yeast"
    return f"about {cells / 1e9:.0f} billion cells are wanted: about {dry}"


def gear(schedule: Schedule, plan: Prospect, units: Units) -> tuple[str, ...]:
    """What has to stand at hand before the fire is lit, each thing once."""
    found = [*_to_heat_in(schedule, units), *_to_measure(schedule)]
    if any(isinstance(step, StarchCheck) for step in schedule.steps):
        found.append("iodine and a white saucer")
    for step in schedule.steps:
        if isinstance(step, Separate):
            found.append(SEPARATING[step.by])
        elif isinstance(step, Cool) and step.by in COOLING:
            found.append(COOLING[step.by])
    found += _for_the_wort(schedule, plan, units)
    if any(isinstance(step, DoughIn) for step in schedule.steps):
        found.append("scales, long paddle, gloves")
    if any(isinstance(step, Pitch) for step in schedule.steps):
        found += [_fermenter(schedule, plan, units), "cleaner and sanitiser, gloves and goggles"]
    for container in schedule.containers:
        found.append(f"{container.name} of {show(container.volume_litres, 'volume', units)}")
    return tuple(dict.fromkeys(found))


def _for_the_wort(schedule: Schedule, plan: Prospect, units: Units) -> list[str]:
    """A vessel for wort that the pot does not hold."""
    on_the_grain = any(isinstance(step, Separate) and step.by == "on the grain" for step in schedule.steps)
    if plan.expected is None or on_the_grain or plan.expected.wash_litres <= schedule.pot.volume_litres:
        return []
    return [f"vessel for {show(plan.expected.wash_litres, 'volume', units)} of wort, more than the pot holds"]


def _to_heat_in(schedule: Schedule, units: Units) -> list[str]:
    vessel = schedule.pot
    size = show(vessel.volume_litres, "volume", units)
    wrapped = ", jacket or blanket" if vessel.wrapped else ""
    found = [f"{vessel.name}, {size}{', lid' if vessel.lid else ''}{wrapped}"]
    if vessel.heater_kilowatts is not None:
        found.append(f"heater, {show(vessel.heater_kilowatts, 'power', units)}")
    heated = [step.water_litres for step in schedule.steps if isinstance(step, Heat)]
    if heated and not vessel.water_heated_in_it:
        found.append(f"kettle for {show(heated[0], 'volume', units)} of strike water")
    elif heated and vessel.heater_kilowatts is None:
        found.append("stove or burner for the pot")
    sparge = sum(step.sparge_litres for step in schedule.steps if isinstance(step, Separate))
    if sparge > 0.0:
        found.append(f"vessel for {show(sparge, 'volume', units)} of hot sparge water")
    if schedule.spare is not None:
        held = show(schedule.spare.water_litres, "volume", units)
        found.append(f"spare kettle with {held} kept hot")
    elif any(_is_by_hot_water(schedule, number) for number in range(1, len(schedule.steps) + 1)):
        found.append("spare kettle of boiling water")
    return found


def _is_by_hot_water(schedule: Schedule, number: int) -> bool:
    step = schedule.step(number)
    return isinstance(step, Raise | MashOut) and pot.way_of(schedule, number) == "hot water"


def _to_measure(schedule: Schedule) -> list[str]:
    kind = schedule.thermometer.kind
    found = [f"thermometer ({kind})"]
    if schedule.probe is not None:
        found.append("the probe that is read by the program")
    if any(isinstance(step, Separate | Pitch) for step in schedule.steps):
        found.append("hydrometer and sample tube")
        if schedule.refractometer is not None:
            found.append("refractometer")
    return found


def _fermenter(schedule: Schedule, plan: Prospect, units: Units) -> str:
    """The fermenter, large enough for the wash (with its grain, where that stays in) and its foam."""
    on_the_grain = any(isinstance(step, Separate) and step.by == "on the grain" for step in schedule.steps)
    litres = 0.0
    if on_the_grain and plan.mash is not None:
        litres = plan.mash.in_pot_litres
    elif plan.expected is not None:
        litres = plan.expected.wash_litres
    if litres <= 0.0:
        return "fermenter with an airlock"
    return f"fermenter of at least {show(fermenter_litres(litres), 'volume', units)}, airlock"
