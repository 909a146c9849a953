"""The tables of a new day's schedule: every key with its value as the file will hold it, no comments yet.

Amounts are rounded to what can be weighed and measured before they come here, and written in the person's
units. The tables load as a `Schedule` just as the file does.
"""

from __future__ import annotations

import math
from typing import Any

from mashday.engine import contents
from mashday.quantities import show
from mashday.reckon.answers import Answers, Fuel
from mashday.reckon.day_amounts import (
    OUNCE_GRAMS,
    REST_CELSIUS,
    SPARGE_CELSIUS,
    Amounts,
    boiling_celsius,
    celsius,
    cook_minutes,
    in_words,
    mass,
    measurable,
    pitch_celsius,
    rest_minutes,
    short,
    spare_litres,
    volume,
)
from mashday.schedule.gear import SEPARATING, fermenter_litres
from mashday.science import heat, volumes, water, yeast

Table = dict[str, Any]

SMALLEST_POT, LARGEST_POT, LEAST_KG = 3.001, 299.95, 0.0011
"""A hair inside the limits of the schedule, so that rounding in other units does not carry it over them."""


HEATER_EFFICIENCY: dict[Fuel, float] = {"gas": 0.4, "electric": 0.8}
"""How much of a heater's power reaches the pot: of a gas ring 0.4 to 0.5. Common practice, no source."""

HEAT_SAFELY: dict[Fuel, str] = {
    "gas": "Gas: only in the open air, never under a roof",
    "electric": "Electric heat: a socket with residual-current protection",
}


ENZYME: Table = {
    "kind": "add",
    "what": "bottled amylase enzyme",
    "checklist": ("As much as its label says, and at the warmth and pH it wants; stirred in well",),
}


def day_table(answers: Answers, amounts: Amounts) -> Table:
    """All keys and values of the schedule, in the order of the file."""
    units = answers.units
    place = {
        "room": celsius(answers.room_celsius, units),
        "tap": celsius(answers.tap_celsius, units),
        "altitude": in_words(answers.altitude_metres, "length", units, 0),
    }
    aim = {"wash": volume(amounts.wash_litres, units), "gravity": f"{amounts.gravity:.3f}"}
    if answers.by == "on the grain":
        del aim["wash"]
    return {
        "format": 1,
        "name": answers.name,
        "units": units,
        "pot": _pot(answers),
        "place": place,
        "thermometer": {"kind": answers.thermometer},
        "spare": {"water": volume(spare_litres(amounts, units), units), "temperature": "boiling"},
        "grain": tuple(
            {
                "name": grain.name,
                "kind": grain.kind,
                "mass": mass(max(kilograms, LEAST_KG), units),
                "temperature": celsius(answers.room_celsius, units),
            }
            for grain, kilograms in zip(answers.grains, amounts.kilograms, strict=True)
        ),
        "aim": aim,
        "step": tuple(_steps(answers, amounts)),
    }


def _pot(answers: Answers) -> Table:
    holds = volume(min(max(answers.pot_litres, SMALLEST_POT), LARGEST_POT), answers.units)
    made: Table = {
        "name": f"{holds} {answers.material} pot",
        "volume": holds,
        "material": answers.material,
        "wrapped": answers.wrapped,
    }
    if answers.heater_kilowatts is None:
        return made | {"water_heated_in_it": False}
    return made | {
        "heater": f"{short(answers.heater_kilowatts)} kW",
        "heater_efficiency": HEATER_EFFICIENCY[answers.fuel],
    }


def _steps(answers: Answers, amounts: Amounts) -> list[Table]:
    units = answers.units
    rest = celsius(REST_CELSIUS[units], units)
    dough_in: Table = {"kind": "dough-in", "target": rest}
    if answers.raw:
        dough_in["grain"] = tuple(grain.name for grain in answers.grains if not grain.is_raw)
    return [
        {"kind": "set-up", "checklist": _set_up(answers, amounts)},
        *(
            _cooked_first(answers, amounts)
            if answers.raw
            else [{"kind": "heat", "water": volume(amounts.mash_litres, units)}]
        ),
        dough_in
        | {
            "checklist": (
                "Heat off",
                *(("Bag in, its rim over the edge of the pot",) if _mashed_in_bag(answers) else ()),
                "Grain in by portions, each stirred under: no dry lumps",
                "Careful: a mash this hot scalds in seconds; open the lid away from you",
            ),
            "if_it_goes_wrong": (
                "Dry lumps: press them against the side with the paddle",
                "Off the target: wait five minutes, stir, read in three places, then put it right",
            ),
        },
        *([ENZYME] if answers.enzyme else []),
        {
            "kind": "rest",
            "target": rest,
            "time": f"{rest_minutes(answers):.0f} min",
            "if_it_goes_wrong": ("Drifting down: blanket on, lid on, hot water in portions, stirred in",),
        },
        {
            "kind": "starch-check",
            "retry": "15 min",
            "checklist": ("Iodine is poisonous: the sample is thrown away, never back into the pot",),
            "if_it_goes_wrong": ("Still blue: stir, read in three places, give it the time again",),
        },
        _separate(answers, amounts),
        _cool(answers, amounts),
        {
            "kind": "pitch",
            "yeast": answers.yeast,
            "amount": yeast_amount(answers, amounts),
            "checklist": (
                "Volume and gravity read at a temperature you know, both written down",
                "Fermenter never sealed tight; keep the room aired: the gas gathers low down",
            ),
        },
        {
            "kind": "clean-up",
            "checklist": (
                "Heat off at the wall or the tap, kettles empty",
                "Grain out of pot and bag today, it sours overnight",
                "Gloves and goggles; never mix chlorine with acid",
                "Three lines while you remember: what went wrong, how it was mended, what to change",
            ),
        },
    ]


def _mashed_in_bag(answers: Answers) -> bool:
    """Whether the bag is in the pot before the grain: not where cooked cereal is in it already."""
    return "bag" in answers.by and not answers.raw


def yeast_amount(answers: Answers, amounts: Amounts) -> str:
    """How much yeast: by weight, or in cells where it is none that is weighed dry."""
    if any(word in answers.yeast.casefold() for word in ("liquid", "slurry")):
        return f"{amounts.yeast_grams * yeast.DRY_CELLS_PER_GRAM / 1e9:.0f} billion cells"
    if answers.units == "us":
        return f"{math.ceil(amounts.yeast_grams / OUNCE_GRAMS * 10.0 - 1e-6) / 10.0:.1f} oz"
    return f"{amounts.yeast_grams:.0f} g"


def _set_up(answers: Answers, amounts: Amounts) -> tuple[str, ...]:
    units = answers.units
    spare = volume(spare_litres(amounts, units), units)
    if amounts.sparge_litres:
        sparge = volume(amounts.sparge_litres, units)
        if spare.endswith("qt") and sparge.endswith("gal"):
            spare = in_words(spare_litres(amounts, units), "volume", units, 1)
        spare = f"{spare} kept boiling for corrections, and {sparge} for the sparge"
    else:
        spare += " kept boiling for corrections"
    needs = SEPARATING[answers.by]
    laid_out = [
        "Read your own law first: this day ends at the pitched wash",
        "Grain weighed, each kind by itself, and a thermometer put into it",
        "What does the thermometer show in melting ice?",
        "What does the hydrometer show in water as warm as it is marked for?",
        f"{needs[:1].upper()}{needs[1:]}, paddle; iodine, white saucer and sample tube",
        f"{_fermenter(answers, amounts)} and all that touches cooled wash sanitised; gloves and goggles for"
        " the cleaner",
        f"Second kettle: {spare}",
    ]
    if answers.heater_kilowatts is not None:
        laid_out.append(HEAT_SAFELY[answers.fuel])
    if amounts.cooled_by_water:
        cold = volume(measurable(amounts.mash_litres - (amounts.cook_litres or 0.0), units), units)
        laid_out.append(f"About {cold} of cold tap water beside the pot, to cool the cooked grain")
    return tuple(laid_out)


def _fermenter(answers: Answers, amounts: Amounts) -> str:
    """The fermenter, and its size where the grain goes into it, as the plan tells it."""
    if answers.by != "on the grain":
        return "Fermenter"
    mash = volumes.mash_litres(
        water.mass_kg(amounts.mash_litres), sum(amounts.kilograms), contents.MASH_CELSIUS
    )
    return f"Fermenter of at least {show(fermenter_litres(mash), 'volume', answers.units)}"


def _cooked_first(answers: Answers, amounts: Amounts) -> list[Table]:
    units = answers.units
    assert amounts.cook_litres is not None
    assert amounts.malt_celsius is not None and amounts.cook_celsius is not None
    return [
        {
            "kind": "cook",
            "grain": tuple(grain.name for grain in answers.raw),
            "water": volume(amounts.cook_litres, units),
            "target": celsius(amounts.cook_celsius, units),
            "time": f"{cook_minutes(answers):.0f} min",
            "confirm": True,
            "checklist": (
                "Grain sprinkled into the cold or lukewarm water, stirring all the time",
                "Stir along the bottom until it has thinned again",
                "A hand's breadth of room below the rim; heat down when it rises",
            ),
            "if_it_goes_wrong": (
                "Sets like cement: heat down, hot water in portions, stir",
                "Smells burnt: heat off, leave the bottom alone, pour off into another pot",
            ),
        },
        {
            "kind": "cool",
            "title": "Cool to malt temperature",
            "by": "cold water" if amounts.cooled_by_water else "ice bath",
            "target": celsius(amounts.malt_celsius, units),
            "checklist": ("Heat off", "Stir to the bottom, read in three places"),
            "if_it_goes_wrong": ("Too hot in one place: stir and wait, it would kill the malt's enzymes",),
        },
    ]


def _separate(answers: Answers, amounts: Amounts) -> Table:
    units = answers.units
    made: Table = {"kind": "separate", "by": answers.by}
    if amounts.sparge_litres:
        hot = min(SPARGE_CELSIUS[units], boiling_celsius(answers) - heat.POURING_KELVIN)
        made["sparge"] = volume(amounts.sparge_litres, units)
        made["sparge_temperature"] = celsius(hot, units)
    sample = "Sample cooled below {} before the hydrometer goes in: hot wort cracks glass"
    lift = {
        "squeezed bag": "The wet bag is heavy and hot: a hook or a second pair of hands, and gloves",
        "hung bag": "The wet bag is heavy and hot: hang it up, nobody under it, let it drip",
        "drained": "First wort back on top until it runs clear, then slowly",
        "batch sparge": "Drain, pour the sparge in, stir it through, ten minutes, drain again",
        "on the grain": "Nothing is parted: only sieve a sample",
    }
    first = lift[answers.by]
    if "bag" in answers.by and not _mashed_in_bag(answers):
        first = "Ladled into the bag over a bucket, a little at a time; gloves: it is thick and hot"
    return made | {"checklist": (first, sample.format(celsius(30.0, units)))}


def _cool(answers: Answers, amounts: Amounts) -> Table:
    made: Table = {
        "kind": "cool",
        "by": answers.cooled_by,
        "target": celsius(pitch_celsius(answers, amounts.wash_litres), answers.units),
    }
    if answers.cooled_by == "standing":
        return made | {
            "title": "Stand overnight",
            "checklist": ("Blanket off, lid on but never sealed; the yeast goes in tomorrow morning",),
        }
    checklist = {
        "coil": "Outlet hose fixed: the first water out of the coil scalds",
        "ice bath": "Pour off or ladle it: never carry the full pot; change the water once it is warm",
    }
    return made | {
        "checklist": (checklist[answers.cooled_by],),
        "if_it_goes_wrong": ("Not cold today: never keep it sealed; pitch at the latest tomorrow",),
    }
