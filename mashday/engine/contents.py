"""What is in the pot: water, grain and vessel by weight, as planned, weighed, measured and added.

Counts everything that steps up to a given one put in, with the amounts the person gave in place of the
planned ones, and the water added as a remedy. What `separate` takes out is wort and is told in litres.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass, replace

from mashday.engine.facts import AmountGiven, WaterAdded
from mashday.engine.state import State
from mashday.schedule.model import (
    OTHER_GRAIN_TEMPERATURE,
    Add,
    Boil,
    Cook,
    Cool,
    DoughIn,
    Grain,
    Heat,
    MashOut,
    Raise,
    Schedule,
    Separate,
)
from mashday.science import cooling, heat, losses, volumes, water
from mashday.science import grain as grain_table

POT_KG_PER_LITRE = 0.15
"""Mass of an empty pot per litre it holds, where the schedule gives none. Common practice, no source."""

MASH_CELSIUS = 65.0
"""How warm a mash is where nothing more is known, and where a thermometer has to be right. Common practice,
no source."""

FREEZER_CELSIUS = -18.0
"""Ice as it comes from a freezer. Common practice, no source."""

LEAST_REST = 0.05
"""Share of the water a step was to pour in below which what is left of it is none: jugs err by as much.
Judgement."""

KILLED_CELSIUS = 74.0
"""Malt cooked hotter than this has lost its enzymes in minutes (see science.starch)."""

WORT_KJ_PER_LITRE_K = 4.0
"""Heat capacity of a litre of wort of about 15 Plato, kJ/K: dissolved sugar takes the place of water
(derived from 1.06 kg/L at about 3.80 kJ/kgK)."""

STARCH_ENZYMES = ("amylase", "amyloglucosidase", "diastase")
"""Names, in whole or in part, of the enzymes that turn starch into sugar. Trade terms."""

OTHER_ENZYMES = ("glucanase", "prote", "pect", "cellul", "xylanase", "pentosanase", "phytase", "lipase")
"""What the names of enzymes for anything but starch have in them. Trade terms."""

HEAT_STABLE = re.compile("(heat|thermo)[ -]?stable")
"""How an enzyme is named that lives through a cook. Trade term."""


Grains = tuple[tuple[Grain, float], ...]
"""Grain and its kilograms."""


@dataclass(frozen=True, slots=True)
class Contents:
    """What is in the pot. Masses in kg; the vessel counts as a heat capacity in kJ/K."""

    water_kg: float
    grains: Grains
    vessel_kj_per_k: float

    @property
    def grain_kg(self) -> float:
        """Grain in the pot, kg."""
        return sum(kg for _, kg in self.grains)

    @property
    def grain_kj_per_k(self) -> float:
        """Heat capacity of the grain, kJ/K."""
        return grain_kj_per_k(self.grains)

    @property
    def kj_per_k(self) -> float:
        """Heat capacity of mash and vessel together, kJ/K."""
        return self.water_kg * water.SPECIFIC_HEAT + self.grain_kj_per_k + self.vessel_kj_per_k

    @property
    def thickness(self) -> float:
        """Litres of (cold) water to a kilogram of grain; infinite without grain."""
        return self.water_kg / self.grain_kg if self.grain_kg else math.inf

    def litres(self, celsius: float) -> float:
        """Room it takes in the pot at this temperature, litres."""
        return volumes.mash_litres(self.water_kg, self.grain_kg, celsius)


def moisture(grain: Grain) -> float:
    """Water in the grain as a fraction of its mass: from the schedule, else from the grain table."""
    return grain.moisture if grain.moisture is not None else grain_table.kind(grain.kind).moisture


def extract_dry(grain: Grain) -> float:
    """Extract of the dry grain as a fraction: from the schedule, else from the grain table."""
    if grain.extract_dry is not None:
        return grain.extract_dry
    return grain_table.kind(grain.kind).extract_dry


def extract_as_is(grain: Grain) -> float:
    """Extract as a fraction of the grain's mass as it is weighed."""
    return extract_dry(grain) * (1.0 - moisture(grain))


def lintner(grain: Grain) -> float:
    """Diastatic power in Lintner: from the schedule, else from the grain table."""
    return grain.lintner if grain.lintner is not None else grain_table.kind(grain.kind).lintner


def is_enzyme(step: object) -> bool:
    """Whether a step adds bottled enzyme to the mash that makes up for what the malt lacks.

    Told by its own word for what it adds: a starch enzyme by name, or just enzyme. What is heat-stable only
    keeps a cooked cereal pourable, and an enzyme for anything but starch makes up for nothing.
    """
    if not isinstance(step, Add):
        return False
    what = step.what.casefold()
    if HEAT_STABLE.search(what):
        return False
    if any(name in what for name in STARCH_ENZYMES):
        return True
    return "enzyme" in what and not any(name in what for name in OTHER_ENZYMES)


def adds_enzyme(schedule: Schedule, state: State) -> bool:
    """Whether bottled enzyme goes into the mash before it is separated, and was not left out."""
    end = first_step(schedule, Separate) or len(schedule.steps)
    return any(
        is_enzyme(step) and not _skipped(state, number) for number, step in enumerate(schedule.steps[:end], 1)
    )


def grist_lintner(schedule: Schedule, state: State) -> float:
    """Mean diastatic power of all the grain of the mash, Lintner; malt that was cooked brings none."""
    end = first_step(schedule, Separate) or len(schedule.steps)
    whole = contents(schedule, state, max(end, state.from_step - 1)).grains
    if sum(kg for _, kg in whole) <= 0.0:
        return 0.0
    dead = {
        grain.name
        for number, step in enumerate(schedule.steps[:end], 1)
        if isinstance(step, Cook) and step.target_celsius > KILLED_CELSIUS
        for grain in schedule.grain_into(number)
    }
    return grain_table.grist_lintner((kg, 0.0 if one.name in dead else lintner(one)) for one, kg in whole)


def gelatinises_celsius(grain: Grain) -> float | None:
    """Where the starch of the grain begins to open, Celsius; None where it is open or has none."""
    if grain.cooked:
        return None
    if grain.gelatinises_celsius is not None:
        return grain.gelatinises_celsius
    known = grain_table.kind(grain.kind).gelatinises
    return known[0] if known is not None else None


def needs_cook(grain: Grain) -> bool:
    """Whether the grain must be cooked before the malt: not if it has been, else as told or by its kind."""
    if grain.cooked:
        return False
    return grain_table.kind(grain.kind).needs_cook if grain.needs_cook is None else grain.needs_cook


def cooked_by_a_step(schedule: Schedule) -> frozenset[str]:
    """Names of the grain that a cook step takes."""
    return frozenset(
        grain.name
        for number, step in enumerate(schedule.steps, 1)
        if isinstance(step, Cook)
        for grain in schedule.grain_into(number)
    )


def uncooked(schedule: Schedule) -> tuple[str, ...]:
    """Names of the grain that has to be cooked before the malt and that no cook step takes."""
    cooked = cooked_by_a_step(schedule)
    return tuple(one.name for one in schedule.grains if needs_cook(one) and one.name not in cooked)


def grain_kj_per_k(grains: Grains) -> float:
    """Heat capacity of these masses of grain, kJ/K."""
    return sum(kg * heat.grain_specific_heat(moisture(grain)) for grain, kg in grains)


def hydration_kj(grains: Grains) -> float:
    """Heat these masses of grain set free as they take up water, kJ."""
    return sum(kg * heat.hydration_heat(moisture(grain)) for grain, kg in grains)


def mean_grain_celsius(grains: Grains) -> float:
    """Temperature of these masses of grain together, Celsius, weighted by heat capacity; that of grain nobody
    told of for none."""
    if not grains:
        return OTHER_GRAIN_TEMPERATURE
    capacity = grain_kj_per_k(grains)
    weighted = (
        kg * heat.grain_specific_heat(moisture(grain)) * grain.temperature_celsius for grain, kg in grains
    )
    return sum(weighted) / capacity


def vessel_kj_per_k(schedule: Schedule) -> float:
    """Heat capacity of the empty pot, kJ/K."""
    pot = schedule.pot
    mass = pot.mass_kg if pot.mass_kg is not None else POT_KG_PER_LITRE * pot.volume_litres
    return heat.vessel_heat_capacity(mass, pot.material)


def usual_loss_w_per_k(schedule: Schedule) -> float:
    """Heat such a standing pot usually loses, W/K: as the schedule states, else by its size."""
    pot = schedule.pot
    return pot.loss_w_per_k or losses.loss_w_per_k(pot.volume_litres, pot.wrapped)


def bare_loss_w_per_k(schedule: Schedule) -> float:
    """The same with its jacket off, W/K; a loss that is stated stands for both."""
    pot = schedule.pot
    return pot.loss_w_per_k or losses.loss_w_per_k(pot.volume_litres, False)


def open_area_m2(schedule: Schedule) -> float:
    """Surface of the mash with the lid off, square metres; a pot as high as it is wide if not told."""
    pot = schedule.pot
    if pot.diameter_cm is not None:
        return volumes.surface_m2(pot.diameter_cm / 100.0)
    return volumes.surface_m2(volumes.usual_diameter_metres(pot.volume_litres))


def headroom_litres(schedule: Schedule) -> float:
    """Room the pot needs above what is stirred in it, or foams, litres."""
    wide = schedule.pot.diameter_cm
    return volumes.headroom_litres(schedule.pot.volume_litres, None if wide is None else wide / 100.0)


def boiling_celsius(schedule: Schedule) -> float:
    """Where water boils at this place, Celsius."""
    return water.boiling_celsius(schedule.place.altitude_metres)


def _skipped(state: State, number: int) -> bool:
    record = state.record(number)
    return record is not None and record.how == "skipped"


def water_litres(schedule: Schedule, state: State, number: int) -> float:
    """Cold litres that step `number` puts into the pot: as measured, else as planned."""
    for amount in reversed(state.amounts):
        if amount.what == "water" and amount.step == number:
            return amount.amount
    step = schedule.step(number)
    if isinstance(step, Heat):
        return step.water_litres
    if isinstance(step, Cook):
        return step.water_litres or 0.0
    return 0.0


def takes_water(schedule: Schedule, number: int) -> bool:
    """True if step `number` puts water of its own into the mash pot."""
    step = schedule.step(number)
    return isinstance(step, Cook) or (isinstance(step, Heat) and heats_in_pot(schedule, number))


def grain_in(schedule: Schedule, state: State, number: int) -> Grains:
    """Grain and kilograms that step `number` puts in: as weighed, else as planned; its temperature too.

    A weight given without a name is that of all the grain of the step; the kinds share it as planned.
    """
    planned = tuple((grain, grain.mass_kg) for grain in schedule.grain_into(number))
    weighed = (amount for amount in state.amounts if amount.what == "grain" and amount.step == number)
    grains = _as_weighed(schedule, planned, weighed)
    for amount in state.amounts:
        if amount.what == "grain temperature" and amount.step == number:
            warm = {"temperature_celsius": amount.amount}
            grains = tuple((grain.model_copy(update=warm), kg) for grain, kg in grains)
    return grains


def _as_weighed(schedule: Schedule, planned: Grains, weighed: Iterable[AmountGiven]) -> Grains:
    """The grain planned with what was weighed in its place, the last word on each kind."""
    masses = {grain.name: kg for grain, kg in planned}
    for amount in weighed:
        if amount.name is not None:
            masses[amount.name] = amount.amount
        elif total := sum(masses.values()):
            masses = {name: mass * amount.amount / total for name, mass in masses.items()}
    return tuple((schedule.grain_named(name), mass) for name, mass in masses.items())


def heats_in_pot(schedule: Schedule, number: int) -> bool:
    """True if the water of step `number` goes into the mash pot: no grain is in it yet."""
    earlier = schedule.steps[: number - 1]
    return not any(isinstance(step, DoughIn | Cook | Separate) for step in earlier)


def contents(schedule: Schedule, state: State, upto: int) -> Contents:
    """What is in the pot when the steps up to and with `upto` have put theirs in.

    The water of a heat counts though the step was left out: without it there is no mash. What was poured in
    counts whatever became of its step. A step that moves the temperature by pouring counts with what was
    poured once it has begun, before that with what it will take. A day begun in mid-mash goes on from what
    stood in the pot then.
    """
    inside = Contents(0.0, (), vessel_kj_per_k(schedule))
    before = state.from_step - 1 if state.from_step <= upto + 1 else 0
    if before:
        inside = stood(schedule, state)
    for number, step in enumerate(schedule.steps[before:upto], before + 1):
        kilograms = sum(a.fact.kilograms for a in state.additions if a.fact.step == number)
        if _skipped(state, number) and not isinstance(step, Heat):
            inside = Contents(inside.water_kg + kilograms, inside.grains, inside.vessel_kj_per_k)
            continue
        if takes_water(schedule, number):
            kilograms += water.mass_kg(water_litres(schedule, state, number))
        record = state.record(number)
        if record is None:
            kilograms += _to_pour_kg(schedule, number, inside)
        elif record.ended is None and number < upto:
            kilograms += rest_to_pour_kg(schedule, state, number)
        grains = grain_in(schedule, state, number) if isinstance(step, DoughIn | Cook) else ()
        inside = Contents(inside.water_kg + kilograms, inside.grains + grains, inside.vessel_kj_per_k)
    return inside


def planned_celsius(schedule: Schedule, number: int) -> float:
    """What the pot has by the plan when step `number` begins, Celsius: the last target written before it, at
    most boiling; the tap's at first."""
    celsius, boiling = schedule.place.tap_celsius, boiling_celsius(schedule)
    for earlier, step in enumerate(schedule.steps[: number - 1], 1):
        if isinstance(step, Heat) and not heats_in_pot(schedule, earlier):
            continue
        written: float | None = getattr(step, "target_celsius", None)
        if isinstance(step, Boil):
            celsius = boiling
        elif written is not None:
            celsius = min(written, boiling)
    return celsius


def stood(schedule: Schedule, state: State) -> Contents:
    """What was in the pot when the day was begun in mid-mash: as told, else as planned up to there."""
    planned = contents(schedule, replace(state, from_step=1), state.from_step - 1)
    litres = state.told("water in the pot")
    weighed = (amount for amount in state.amounts if amount.what == "grain in the pot")
    return Contents(
        planned.water_kg if litres is None else water.mass_kg(litres),
        _as_weighed(schedule, planned.grains, weighed),
        planned.vessel_kj_per_k,
    )


def _to_pour_kg(schedule: Schedule, number: int, inside: Contents) -> float:
    with_celsius, target = poured_celsius(schedule, number), _pour_target_celsius(schedule, number)
    if with_celsius is None or target is None or not inside.grains or is_separated(schedule, number):
        return 0.0
    return water_needed_kg(inside, planned_celsius(schedule, number), target, with_celsius) or 0.0


def _pour_target_celsius(schedule: Schedule, number: int) -> float | None:
    """What a step that pours is to reach: as written, else about what the dough-in after it is to land at."""
    written: float | None = getattr(schedule.step(number), "target_celsius", None)
    dough_in = first_step(schedule, DoughIn, after=number)
    if written is not None or dough_in is None:
        return written
    step = schedule.step(dough_in)
    assert isinstance(step, DoughIn)
    return step.target_celsius


def pours_mash_water(schedule: Schedule, number: int) -> bool:
    """True for a step that cools cooked grain for the malt by the rest of the mash water."""
    step = schedule.step(number)
    cools = isinstance(step, Cool) and step.by == "cold water" and not is_separated(schedule, number)
    return cools and first_step(schedule, DoughIn, after=number) is not None


def rest_to_pour_kg(schedule: Schedule, state: State, number: int) -> float:
    """Mash water that step `number` was to pour in by the plan and that is not in yet, kg.

    All of it goes in, whatever the pot has come to by itself: without it the mash is too thick and there is
    too little wash.
    """
    if not pours_mash_water(schedule, number):
        return 0.0
    planned = _to_pour_kg(schedule, number, contents(schedule, State(), number - 1))
    poured = sum(a.fact.kilograms for a in state.additions if a.fact.step == number)
    rest = planned - poured
    return rest if rest > LEAST_REST * planned else 0.0


def water_needed_kg(inside: Contents | float, start: float, to: float, with_celsius: float) -> float | None:
    """Kilograms of water of `with_celsius` that bring the pot (what is in it, or its heat capacity in kJ/K)
    from `start` to `to`; None if none that can be poured does."""
    capacity = inside.kj_per_k if isinstance(inside, Contents) else inside
    try:
        kilograms = heat.addition_kg(
            capacity_kj_per_k=capacity,
            from_celsius=start,
            to_celsius=to,
            with_celsius=with_celsius,
        )
    except ValueError:
        return None
    return kilograms if kilograms <= heat.MOST_ADDED_KG else None


def stirred_in(celsius: float, capacity_kj_per_k: float, fact: WaterAdded) -> float:
    """Where water (or ice) of one addition brings a pot of this heat capacity, Celsius."""
    if fact.ice:
        return cooling.after_ice_celsius(
            capacity_kj_per_k=capacity_kj_per_k,
            from_celsius=celsius,
            ice_kilograms=fact.kilograms,
            ice_celsius=FREEZER_CELSIUS,
        )
    return heat.after_addition_celsius(
        capacity_kj_per_k=capacity_kj_per_k,
        from_celsius=celsius,
        added_kg=fact.kilograms,
        added_celsius=fact.celsius,
    )


def way_of(schedule: Schedule, number: int) -> str:
    """How step `number` raises the mash: as written, else by fire with a heater, else by hot water."""
    step = schedule.step(number)
    assert isinstance(step, Raise | MashOut)
    if step.by is not None:
        return step.by
    return "fire" if schedule.pot.heater_kilowatts is not None else "hot water"


def poured_celsius(schedule: Schedule, number: int) -> float | None:
    """The temperature of the water step `number` pours in to move the pot; None if it pours none."""
    step = schedule.step(number)
    if isinstance(step, Raise | MashOut) and way_of(schedule, number) == "hot water":
        return spare_celsius(schedule)
    if isinstance(step, Cool) and step.by == "cold water":
        return schedule.place.tap_celsius
    return None


def spare_celsius(schedule: Schedule) -> float:
    """What the water of the spare kettle has when it enters the mash, Celsius."""
    poured = boiling_celsius(schedule) - heat.POURING_KELVIN
    spare = schedule.spare
    if spare is None or spare.temperature_celsius is None:
        return poured
    return min(spare.temperature_celsius, poured)


def first_step(schedule: Schedule, kind: type, after: int = 0) -> int | None:
    """The number of the first step of this kind after step `after`, None if there is none."""
    for number, step in enumerate(schedule.steps, 1):
        if number > after and isinstance(step, kind):
            return number
    return None


def is_separated(schedule: Schedule, number: int) -> bool:
    """True if at step `number` the wort has been parted from the grain."""
    return any(
        isinstance(step, Separate) and step.by != "on the grain" for step in schedule.steps[: number - 1]
    )
