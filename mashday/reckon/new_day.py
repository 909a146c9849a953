"""A new day worked out from its answers: its amounts, its tables, and how the engine sees it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from mashday.engine import contents as pot
from mashday.engine import timetable
from mashday.engine.landing import Strike, lands_at
from mashday.engine.prospect import Prospect, prospect
from mashday.engine.state import State
from mashday.quantities import show
from mashday.reckon import day_amounts
from mashday.reckon.answers import Answers, agreed, usual_name
from mashday.reckon.day_amounts import Amounts
from mashday.reckon.day_table import Table, day_table
from mashday.reckon.given import Refused
from mashday.reckon.grain_bill import Mix, fitted
from mashday.reckon.smaller_day import largest, too_small
from mashday.schedule.model import Cook, Heat, Schedule
from mashday.science import water
from mashday.science.workings.volumes import HEAVIEST_LIFT_KG

USUAL_GRAVITY = 1.060
"""What a wash is made to where nothing is wished. Common practice, no source."""

USUAL_WASH_LITRES = {"metric": 20.0, "us": 5.0 * day_amounts.GALLON_LITRES}
"""20 L or 5 gal, where nothing is wished. Common practice, no source."""

THICKEST_COOK = 2.5
"""Water to raw cereal below which it can hardly be stirred as it swells, L/kg. Judgement."""

MOST_TRIES, NEAR_ENOUGH = 8, 0.03
"""How often the water of a cook is put right, and how near, a share, the water in all then has to be."""

MOST_OFF_KELVIN = 2.0
"""A mash that lands colder than this below its target is not planned, as the check has it. Judgement."""

LONGEST_FIRST_HEATING_MINUTES = 720.0
"""A heater that takes longer for the first heating makes no brew day. Judgement."""

HEATERS_KILOWATTS = (
    *(0.1, 0.2, 0.3, 0.5, 0.75, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0),
    *(10.0, 12.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0),
)
"""Heaters that are named where one is too weak, as strong as a schedule takes them. Judgement."""

USUAL_LITRES_PER_KG = 4.0
"""Wash from a kilogram of grain, before it is worked out: near enough to say whether a night cools it."""


@dataclass(frozen=True, slots=True)
class NewDay:
    """A day worked out: its answers and amounts, its tables, and how the engine sees it."""

    answers: Answers
    amounts: Amounts
    table: Table
    schedule: Schedule
    outlook: Prospect

    @property
    def heavy_kg(self) -> float | None:
        """Mash and pot together, kg, where that is more than one person may lift; else None."""
        vessel = pot.POT_KG_PER_LITRE * self.answers.pot_litres
        together = water.mass_kg(self.amounts.mash_litres) + sum(self.amounts.kilograms) + vessel
        return together if together > HEAVIEST_LIFT_KG else None


class DoesNotFit(Refused):
    """A mash its pot does not hold; `largest` are the answers of the largest like it that fits, if any."""

    def __init__(self, sentence: str, largest: Answers | None) -> None:
        super().__init__(sentence)
        self.largest = largest


def new_day(answers: Answers) -> NewDay:
    """The day that gives what was asked for.

    Refused with what cannot be and what would do; DoesNotFit where the pot is too small for it.
    """
    answers = agreed(_completed(answers))
    refuse_what_stays_warm(answers)
    mix = fitted(answers)
    if not mix.fits:
        raise DoesNotFit(too_small(answers, mix), largest(answers, mix))
    refuse_what_stays_warm(answers, mix.gives.wash_litres)
    return _day(answers, mix)


def _completed(answers: Answers) -> Answers:
    name = answers.name or usual_name(answers.grains)
    if answers.weighed:
        wish = USUAL_GRAVITY if answers.gravity is None and answers.wash_litres is None else answers.gravity
        return replace(answers, name=name, gravity=wish)
    litres = answers.wash_litres if answers.wash_litres is not None else USUAL_WASH_LITRES[answers.units]
    gravity = answers.gravity if answers.gravity is not None else USUAL_GRAVITY
    return replace(answers, name=name, wash_litres=litres, gravity=gravity)


def refuse_what_stays_warm(answers: Answers, litres: float | None = None) -> None:
    """Refused where the way of cooling never brings the wash, of so many litres, to where yeast lives."""
    wash = litres if litres is not None else _about_litres(answers)
    if day_amounts.pitch_celsius(answers, wash) <= day_amounts.WARMEST_PITCH_CELSIUS:
        return
    if answers.cooled_by == "coil":
        has = f"With tap water of {show(answers.tap_celsius, 'temperature', answers.units)}"
    else:
        has = f"In a room of {show(answers.room_celsius, 'temperature', answers.units)} overnight"
    raise Refused(f"{has} the wash does not get cool enough for yeast: cool it in an ice bath.")


def _about_litres(answers: Answers) -> float:
    """How much wash there will be, as far as it is known before it is worked out."""
    if answers.wash_litres is not None:
        return answers.wash_litres
    if answers.weighed:
        return USUAL_LITRES_PER_KG * sum(grain.kilograms or 0.0 for grain in answers.grains)
    return USUAL_WASH_LITRES[answers.units]


def _day(answers: Answers, mix: Mix) -> NewDay:
    gives = mix.gives
    amounts = Amounts(
        kilograms=mix.kilograms,
        mash_litres=mix.mash_litres,
        sparge_litres=mix.sparge_litres,
        wash_litres=answers.wash_litres or day_amounts.measurable(gives.wash_litres, answers.units),
        gravity=answers.gravity if answers.gravity is not None else round(gives.wash_gravity, 3),
        yeast_grams=day_amounts.yeast_grams(gives.wash_litres, gives.wash_gravity),
    )
    if answers.raw:
        amounts = _cooked(answers, amounts)
    table = day_table(answers, amounts)
    schedule = Schedule.model_validate(table)
    outlook = prospect(schedule, State())
    _refuse_a_weak_heater(answers, schedule, outlook)
    return NewDay(answers, amounts, table, schedule, outlook)


def _refuse_a_weak_heater(answers: Answers, schedule: Schedule, outlook: Prospect) -> None:
    """Refused where the heater never brings the day to its targets, or takes half a day for the first."""
    if answers.heater_kilowatts is None or _heats(schedule, outlook):
        return
    has = f"A heater of {day_amounts.short(answers.heater_kilowatts)} kW"
    said = f"{has} never brings it hot enough."
    if not outlook.out_of_reach:
        said = f"{has} takes {_first_heating_minutes(schedule) / 60.0:.0f} h for the first heating."
    would_do = next((one for one in HEATERS_KILOWATTS if _heats_by(schedule, one)), None)
    if would_do is None:
        raise Refused(f"{said} What would do: a smaller wash, or a smaller pot.")
    raise Refused(f"{said} What would do: one of {would_do:g} kW or more.")


def _heats_by(schedule: Schedule, kilowatts: float) -> bool:
    stronger = schedule.pot.model_copy(update={"heater_kilowatts": kilowatts})
    other = schedule.model_copy(update={"pot": stronger})
    return _heats(other, prospect(other, State()))


def _heats(schedule: Schedule, outlook: Prospect) -> bool:
    return not outlook.out_of_reach and _first_heating_minutes(schedule) <= LONGEST_FIRST_HEATING_MINUTES


def _first_heating_minutes(schedule: Schedule) -> float:
    """How long it takes until what is heated first is hot, the water or the cook."""
    number = next(number for number, step in enumerate(schedule.steps, 1) if isinstance(step, Heat | Cook))
    start = timetable.starts_at(schedule, State(), number)
    return timetable.heat_up_minutes(schedule, State(), number, start)


def _cooked(answers: Answers, amounts: Amounts) -> Amounts:
    """With the water for the cook, and what the cooked grain is cooled to before the malt goes in.

    The rest of the water cools it, unless the cook would be too thick for that or the tap too warm.
    """
    units = answers.units
    malt_celsius = day_amounts.REST_CELSIUS[units] + 2.0
    hottest = day_amounts.hottest_cook_celsius(answers)
    poured = True
    for _ in range(MOST_TRIES):
        cooked = replace(
            amounts, malt_celsius=malt_celsius, cook_celsius=day_amounts.cook_celsius(answers, malt_celsius)
        )
        litres = _cook_litres(answers, cooked) if poured else amounts.mash_litres
        planned = replace(cooked, cook_litres=litres)
        outlook = prospect(Schedule.model_validate(day_table(answers, planned)), State())
        assert outlook.strike is not None
        poured = poured and abs(outlook.mash_litres / amounts.mash_litres - 1.0) < NEAR_ENOUGH
        needed = outlook.strike.celsius
        nearer = min(day_amounts.whole_degrees(needed, units), hottest)
        if abs(nearer - malt_celsius) < 0.1 and (poured or litres == amounts.mash_litres):
            break
        malt_celsius = nearer
    assert outlook.strike is not None
    _refuse_what_lands_cold(answers, outlook.strike, malt_celsius)
    return planned


def _refuse_what_lands_cold(answers: Answers, strike: Strike, celsius: float) -> None:
    """Refused where cooked grain of this temperature leaves the mash too cold."""
    short = strike.lands_at_celsius - lands_at(strike, celsius)
    if short <= MOST_OFF_KELVIN:
        return
    units, raw = answers.units, answers.raw[0]
    needed, has, room = (
        show(one, "temperature", units, 0) for one in (strike.celsius, celsius, answers.room_celsius)
    )
    raise Refused(
        f"It cannot be done: for the malt the cooked grain would need {needed}, and {raw.name} is cooked at"
        f" {has} at most. What would do: a larger wash, or a smaller pot; grain warmer than {room}"
        f" (room); or the flaked kind instead of {raw.name}."
    )


def _cook_litres(answers: Answers, amounts: Amounts) -> float:
    """Cold litres to cook in, so that the rest, poured in cold, brings the cook to malt temperature.

    By the heat balance of `science.heat.addition_kg`: m1 = a (m0 + C / c), m0 + m1 = m, with C the heat
    capacity of grain and pot and a = (cook - malt) / (malt - tap) (derived).
    """
    whole = Schedule.model_validate(day_table(answers, replace(amounts, cook_litres=amounts.mash_litres)))
    malt, hot = amounts.malt_celsius, amounts.cook_celsius
    assert malt is not None and hot is not None
    cook = pot.first_step(whole, Cook)
    assert cook is not None
    inside = pot.contents(whole, State(), cook)
    ratio = (hot - malt) / (malt - answers.tap_celsius)
    others = (inside.kj_per_k - inside.water_kg * water.SPECIFIC_HEAT) / water.SPECIFIC_HEAT
    kilograms = (water.mass_kg(amounts.mash_litres) - ratio * others) / (1.0 + ratio)
    litres = day_amounts.measurable(water.litres(max(0.0, kilograms), 20.0), answers.units, math.floor)
    thinnest = THICKEST_COOK * inside.grain_kg
    return litres if thinnest <= litres < amounts.mash_litres else amounts.mash_litres
