"""Sugar to come: first runnings, wash, and what the mash gave, by extract balances.

Water in the mash counts whole, remedies included; volumes at the separation use apparent absorption.
"""

from __future__ import annotations

from dataclasses import dataclass

from mashday.engine import contents as pot
from mashday.engine.facts import WaterAdded
from mashday.engine.state import Reading, State
from mashday.schedule.model import Boil, Cool, Schedule, Separate
from mashday.science import alcohol, cooling, gravity, volumes, water, wort
from mashday.science.starch import Starch

BOILED_OFF_LITRES_PER_HOUR = 3.0
"""Evaporation of an open boil where no heater is known. Common practice, no source."""

STRONGEST_SHARE = 0.4
"""Share of extract beyond which no wort is reckoned: SPS-4 is used to 45 Plato. Judgement."""

STRONGEST_GRAVITY = 1.17
"""Gravity beyond which no fermentation is reckoned: where the formulas of `science.alcohol` end."""

UNBOILED_TRUE_FERMENTATION = 0.84
"""True degree of fermentation of an unboiled malt wash, middle of the range 0.80 to 0.88 distillers
work with. Common practice, no source."""

BOILED_TRUE_FERMENTATION = 0.66
"""The same of a boiled wort of which no mash is known, its enzymes gone. Common practice, no source."""

ALPHA_THAT_GOES_ON = 0.3
"""Share of the alpha-amylase that lives on into an unboiled wash from which on that wash ends as distillers'
washes do; with less, so much less of the way there. A mash kept below about 70 degC has that much left.
Judgement: the limit by the model of the starch is a lower bound for such a wash, and what it has without any
enzyme."""


@dataclass(frozen=True, slots=True)
class Yield:
    """What a mash is expected to give. Gravities at 20/20 C, litres at 20 C."""

    first_runnings_gravity: float
    first_runnings_litres: float
    wash_gravity: float
    wash_litres: float
    final_gravity: float
    abv_percent: float
    true_fermentation: float


def mean_extract(grains: pot.Grains) -> float:
    """Extract of this grain together, a fraction of its mass as weighed."""
    return sum(pot.extract_as_is(grain) * kg for grain, kg in grains) / sum(kg for _, kg in grains)


def mean_extract_dry(grains: pot.Grains) -> float:
    """Extract of this grain together, a fraction of its dry mass."""
    return sum(pot.extract_dry(grain) * kg for grain, kg in grains) / sum(kg for _, kg in grains)


def mean_moisture(grains: pot.Grains) -> float:
    """Moisture of this grain together, a fraction of its mass."""
    return sum(pot.moisture(grain) * kg for grain, kg in grains) / sum(kg for _, kg in grains)


def is_mash(inside: pot.Contents) -> bool:
    """True if there is grain and water enough for an extract balance."""
    return bool(inside.grains) and volumes.THICKNESS_REFUSED <= inside.thickness <= 40.0


def first_wort_gravity(mash: pot.Contents, conversion: float) -> float:
    """Gravity of the liquid in this mash when the fraction `conversion` of its extract is dissolved."""
    plato = wort.first_wort_plato(
        extract_as_is=mean_extract(mash.grains),
        moisture=mean_moisture(mash.grains),
        water_per_kg=mash.thickness,
        conversion=conversion,
    )
    return gravity.gravity(min(100.0 * STRONGEST_SHARE, plato))


def conversion_from(mash: pot.Contents, measured_gravity: float) -> float:
    """The fraction of the extract that is dissolved, from a gravity of the mash's liquid."""
    return wort.conversion(
        plato=gravity.plato(measured_gravity),
        extract_as_is=mean_extract(mash.grains),
        moisture=mean_moisture(mash.grains),
        water_per_kg=mash.thickness,
    )


def sparge_litres(schedule: Schedule, state: State) -> float:
    """Sparge water still to use: as planned, less what the mash was given beyond its own, litres."""
    number = pot.first_step(schedule, Separate)
    if number is None:
        return 0.0
    step = schedule.step(number)
    assert isinstance(step, Separate)
    used = sum(
        water.litres(addition.fact.kilograms, 20.0)
        for addition in state.additions
        if addition.fact.step < number and not _planned(schedule, addition.fact)
    )
    used += sum(
        max(0.0, pot.water_litres(schedule, state, one) - pot.water_litres(schedule, State(), one))
        for one in range(state.from_step, number)
        if pot.takes_water(schedule, one)
    )
    told = state.told("water in the pot")
    if told is not None:
        planned = pot.contents(schedule, State(), state.from_step - 1)
        used += max(0.0, told - water.litres(planned.water_kg, 20.0))
    return max(0.0, step.sparge_litres - used)


def _planned(schedule: Schedule, fact: WaterAdded) -> bool:
    return fact.offer is None and pot.poured_celsius(schedule, fact.step) is not None


def true_fermentation(schedule: Schedule, end: Starch | None) -> float:
    """True degree of fermentation to expect, 0-1, of a mash whose starch ends so (None: no mash is known).

    Boiled, what the wort allows; unboiled, the enzymes that are left go on with it in the fermenter.
    """
    boiled = pot.first_step(schedule, Boil) is not None
    if end is None or end.released == 0.0:
        return BOILED_TRUE_FERMENTATION if boiled else UNBOILED_TRUE_FERMENTATION
    if boiled:
        return end.true_rdf
    goes_on = min(1.0, end.power * end.alpha / ALPHA_THAT_GOES_ON)
    return end.true_rdf + goes_on * max(0.0, UNBOILED_TRUE_FERMENTATION - end.true_rdf)


def expected(
    schedule: Schedule,
    state: State,
    conversion: float,
    end: Starch | None = None,
    *,
    until: int | None = None,
) -> Yield | None:
    """What the mash as it stands will give; None where nothing is mashed, separated or runs off.

    `end` is what becomes of its starch, for how far the wash will ferment; of the steps after the separation
    those up to `until` count that pour water into the wort or boil some off (None: all).
    """
    number = pot.first_step(schedule, Separate)
    mash = pot.contents(schedule, state, number or len(schedule.steps))
    if number is None or not is_mash(mash):
        return None
    step = schedule.step(number)
    assert isinstance(step, Separate)
    first = first_wort_gravity(mash, conversion)
    plato = gravity.plato(first)
    extract_kg = mean_extract(mash.grains) * mash.grain_kg * conversion
    liquid_kg = 100.0 * extract_kg / plato if plato > 0.01 else mash.water_kg
    density = gravity.sucrose_density(plato, 20.0) / 1000.0
    if step.by == "on the grain":
        litres = liquid_kg / density
        wash_kg = _thinned_kg(schedule, state, extract_kg, liquid_kg, until)
        wash_kg = _boiled_kg(schedule, extract_kg, wash_kg, until)
        return _finished(schedule, first, litres, extract_kg, wash_kg, end)
    absorbed = step.absorption_litres_per_kg
    if absorbed is None:
        absorbed = volumes.absorption(step.by)
    mash_litres = water.litres(mash.water_kg, 20.0)
    if mash_litres <= absorbed * mash.grain_kg + schedule.pot.dead_space_litres:
        return None
    runs_off = volumes.first_runnings_litres(
        water_litres=mash_litres,
        grain_kg=mash.grain_kg,
        absorption_l_per_kg=absorbed,
        dead_litres=schedule.pot.dead_space_litres,
    )
    drained_kg = min(liquid_kg, runs_off * density)
    sparge_kg = water.mass_kg(sparge_litres(schedule, state))
    held_kg = liquid_kg - drained_kg
    rinsed = held_kg * plato / 100.0 * sparge_kg / (held_kg + sparge_kg) if sparge_kg else 0.0
    wash_extract = drained_kg * plato / 100.0 + rinsed
    wash_kg = _thinned_kg(schedule, state, wash_extract, drained_kg + sparge_kg, until)
    wash_kg = _boiled_kg(schedule, wash_extract, wash_kg, until)
    return _finished(schedule, first, runs_off, wash_extract, wash_kg, end)


def _thinned_kg(
    schedule: Schedule, state: State, extract_kg: float, wash_kg: float, until: int | None
) -> float:
    """Wort and the water that is poured or melted into it after the separation, kg: as told, else as planned.

    How much ice a step took is asked of nobody, so that what is planned of it stands until some is told.
    """
    separation = pot.first_step(schedule, Separate)
    assert separation is not None
    on_the_grain = not pot.is_separated(schedule, separation + 1)
    mash = pot.contents(schedule, state, separation)
    boil = pot.first_step(schedule, Boil)
    off_kg = boiled_off_kg(schedule, boil) if boil is not None else 0.0
    for number in range(separation + 1, (until or len(schedule.steps)) + 1):
        told = sum(a.fact.kilograms for a in state.additions if a.fact.step == number)
        record, step = state.record(number), schedule.step(number)
        over = record is not None and (record.ended is not None or told > 0.0)
        if told > 0.0 or not isinstance(step, Cool) or (over and step.by != "ice"):
            wash_kg += told
            continue
        if record is not None and record.how == "skipped":
            continue
        litres = _litres(extract_kg, wash_kg - (off_kg if boil is not None and boil < number else 0.0))
        capacity = mash.kj_per_k if on_the_grain else _wort_kj_per_k(schedule, litres)
        wash_kg += cooling_kg(schedule, number, capacity)
    return wash_kg


def cooling_kg(schedule: Schedule, number: int, capacity_kj_per_k: float) -> float:
    """Cold water or ice a cool step stirs into so much heat capacity, by the plan, kg; 0 where it takes none
    or none would do."""
    step = schedule.step(number)
    start = pot.planned_celsius(schedule, number)
    if not isinstance(step, Cool) or step.target_celsius is None or step.target_celsius >= start:
        return 0.0
    if step.by == "ice":
        return cooling.ice_kg(
            capacity_kj_per_k=capacity_kj_per_k,
            from_celsius=start,
            to_celsius=max(0.0, step.target_celsius),
            ice_celsius=pot.FREEZER_CELSIUS,
        )
    if step.by != "cold water":
        return 0.0
    tap = schedule.place.tap_celsius
    return pot.water_needed_kg(capacity_kj_per_k, start, step.target_celsius, tap) or 0.0


def wort_litres(schedule: Schedule, state: State, number: int) -> float:
    """Wort in the pot as step `number` after the separation begins, litres: as read since the separation,
    with what was poured in and without what boiled off since, else as the mash should give it."""
    separation = pot.first_step(schedule, Separate) or 0
    read = [one for one in state.valid("volume") if not one.fact.assumed and separation <= one.step <= number]
    if read:
        since = sum(a.fact.kilograms for a in state.additions if a.t >= read[-1].t)
        off = _boiled_off_since_kg(schedule, state, read[-1], number)
        return max(0.0, read[-1].metric + water.litres(since, 20.0) - water.litres(off, 20.0))
    result = expected(schedule, state, 1.0, until=number - 1)
    told = sum(a.fact.kilograms for a in state.additions if a.fact.step == number)
    return told + (result.wash_litres if result is not None else 0.0)


def _boiled_off_since_kg(schedule: Schedule, state: State, reading: Reading, number: int) -> float:
    """Water that boils off after this reading and before step `number`, kg."""
    boil = pot.first_step(schedule, Boil)
    if boil is None or not reading.step <= boil < number:
        return 0.0
    record, step = state.record(boil), schedule.step(boil)
    assert isinstance(step, Boil)
    if record is None or record.clock_run is None:
        skipped = record is not None and record.how == "skipped"
        return 0.0 if skipped else boiled_off_kg(schedule, boil)
    boiled_minutes = max(0.0, reading.run - record.clock_run) / 60.0
    share = max(0.0, 1.0 - boiled_minutes / step.minutes) if step.minutes > 0.0 else 0.0
    return boiled_off_kg(schedule, boil) * share


def wort_kj_per_k(schedule: Schedule, state: State, number: int) -> float:
    """Heat capacity of the pot and the wort in it at step `number`, kJ/K."""
    return _wort_kj_per_k(schedule, wort_litres(schedule, state, number))


def _wort_kj_per_k(schedule: Schedule, litres: float) -> float:
    return litres * pot.WORT_KJ_PER_LITRE_K + pot.vessel_kj_per_k(schedule)


def _litres(extract_kg: float, wort_kg: float) -> float:
    plato = 100.0 * min(STRONGEST_SHARE, extract_kg / wort_kg) if wort_kg > 0.0 else 0.0
    return max(0.0, 1000.0 * wort_kg / gravity.sucrose_density(plato, 20.0))


def _boiled_kg(schedule: Schedule, extract_kg: float, wash_kg: float, until: int | None) -> float:
    """What is left of so much wort by the end of step `until` (None: of the day), kg."""
    boil = pot.first_step(schedule, Boil)
    if boil is None or (until is not None and boil > until):
        return wash_kg
    return max(wash_kg - boiled_off_kg(schedule, boil), extract_kg / STRONGEST_SHARE)


def _finished(
    schedule: Schedule, first: float, runs_off: float, extract_kg: float, wash_kg: float, end: Starch | None
) -> Yield:
    plato = 100.0 * extract_kg / wash_kg if wash_kg else 0.0
    original = gravity.gravity(plato)
    litres = 1000.0 * wash_kg / gravity.sucrose_density(plato, 20.0)
    fermented = true_fermentation(schedule, end)
    strongest = min(original, STRONGEST_GRAVITY)
    final = alcohol.final_gravity(strongest, fermented)
    abv = alcohol.abv_percent(strongest, final)
    return Yield(first, runs_off, original, litres, final, abv, fermented)


def boiled_off_kg(schedule: Schedule, number: int) -> float:
    """Water a boil at step `number` takes out of the wort, kg."""
    step = schedule.step(number)
    assert isinstance(step, Boil)
    by_heater = boil_off_kg_per_minute(schedule)
    if by_heater is None:
        return water.mass_kg(BOILED_OFF_LITRES_PER_HOUR) * step.minutes / 60.0
    return by_heater * step.minutes


def boil_off_kg_per_minute(schedule: Schedule) -> float | None:
    """Water the pot's own heater boils off, kg a minute, what the pot loses taken off; None without one."""
    kilowatts = schedule.pot.heater_kilowatts
    if kilowatts is None:
        return None
    boiling = pot.boiling_celsius(schedule)
    lost = pot.usual_loss_w_per_k(schedule) * (boiling - schedule.place.room_celsius) / 1000.0
    net = max(0.0, kilowatts * schedule.pot.heater_efficiency - lost)
    return net * 60.0 / water.latent_heat(boiling)
