"""The amounts and temperatures of a new day: what is chosen, rounded to what can be weighed and measured."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from mashday.engine import contents
from mashday.quantities import TABLE, Kind, Units, in_units, unit_word
from mashday.reckon.answers import Answers
from mashday.science import grain as grain_table
from mashday.science import gravity as gravities
from mashday.science import heat, losses, water, yeast

POUND_KG, OUNCE_GRAMS = TABLE["mass"]["lb"].factor, 1000.0 * TABLE["mass"]["oz"].factor
QUART_LITRES, GALLON_LITRES = TABLE["volume"]["qt"].factor, TABLE["volume"]["gal"].factor

IN_GALLONS_LITRES = 2.0 * GALLON_LITRES * (1.0 - 1e-6)
"""From here on a volume is told in gallons. Common practice, no source."""

REST_CELSIUS = {"metric": 64.0, "us": (147.0 - 32.0) / 1.8}
"""Where a wash rests: warm enough to open malt's starch, cool enough for beta-amylase to last, so that most
of it becomes sugar that yeast takes. Common practice (63-66 C), no source."""

SPARGE_CELSIUS = {"metric": 75.0, "us": (167.0 - 32.0) / 1.8}
"""Warm enough to run freely, not so hot that it draws tannin from the husks. Common practice, no source."""

PITCH_CELSIUS = {"metric": 25.0, "us": (77.0 - 32.0) / 1.8}
"""Cool enough for any yeast and warm enough for a quick start. Common practice, no source."""

COOLEST_PITCH_CELSIUS = 16.0
"""What is left to stand is pitched no cooler: below it yeast starts slowly (see
`science.yeast.pitch_verdict`)."""

WARMEST_PITCH_CELSIUS = 35.0
"""Above it no wash is planned to be pitched: see `science.yeast.pitch_verdict`."""

MORNING_HOURS, NIGHT_HOURS = 12.0, 15.5
"""From the evening to the morning after, and the longest anything is to stand without yeast. Judgement."""

REST_MINUTES = {"fast": 60.0, "enough": 75.0, "slow": 90.0, "will not convert by itself": 90.0}
"""Rest by the verdict on the enzyme power; see `science.grain.PowerVerdict`."""

COOLED_KELVIN = 2.0
"""A cook is hotter than the malt wants it by so much, so that it is cooled to there. Judgement."""

LITTLE_LITRES = 3.0
"""Less than this is measured in a small jug. Judgement."""

SLIP = 1e-9
"""What a number may lie under a whole one by the computer's own rounding."""

SPARE_SHARE = 0.2
"""Water kept boiling for corrections, a share of the mash water: it lifts a mash by some 5 K (derived)."""


@dataclass(frozen=True, slots=True)
class Amounts:
    """What was worked out: kg of each grain, litres, yeast, Celsius of the cook and as the malt goes in.

    `cook_litres` is the water raw cereal is cooked in, None where there is none; what is missing to
    `mash_litres` then goes in cold. `wash_litres` and `gravity` are what is hoped for.
    """

    kilograms: tuple[float, ...]
    mash_litres: float
    sparge_litres: float
    wash_litres: float
    gravity: float
    yeast_grams: float
    cook_litres: float | None = None
    malt_celsius: float | None = None
    cook_celsius: float | None = None

    @property
    def cooled_by_water(self) -> bool:
        """Whether the cooked cereal is cooled by the cold water that it still lacks."""
        return self.cook_litres is not None and self.cook_litres < self.mash_litres - 0.01


def weighable(kilograms: float, units: Units) -> float:
    """The nearest mass that a kitchen scale weighs out: 50 g or 0.1 lb, less of little; never nothing."""
    little = kilograms < 1.0
    step = (0.01 if little else 0.05) if units == "metric" else POUND_KG / (32.0 if little else 10.0)
    return max(1.0, round(kilograms / step)) * step


def measurable(litres: float, units: Units, rounded: Callable[[float], int] = round) -> float:
    """The volume near it that a jug measures: 0.1 L, an eighth of a quart, 0.1 gal of two and more.

    Of little half as much.
    """
    step = 0.1 if units == "metric" else QUART_LITRES / 8.0
    if units == "us" and litres >= IN_GALLONS_LITRES:
        step = GALLON_LITRES / 10.0
    if litres < LITTLE_LITRES:
        step /= 2.0
    return rounded(litres / step + SLIP) * step


def mass(kilograms: float, units: Units) -> str:
    """A mass as it is written: "5.05 kg", "450 g", "11.2 lb", "12.5 oz"."""
    if units == "metric":
        return f"{short(kilograms)} kg" if kilograms >= 0.9995 else f"{short(1000.0 * kilograms, 1)} g"
    pounds = in_units(kilograms, "mass", units)
    return f"{short(pounds)} lb" if pounds >= 0.9995 else f"{short(16.0 * pounds)} oz"


def volume(litres: float, units: Units) -> str:
    """A volume as it is written: "22.5 L", "4.75 gal", "4.625 qt"."""
    if units == "metric":
        return f"{short(litres)} L"
    gallons = in_units(litres, "volume", units)
    whole_quarts = gallons >= 1.0 and abs(4.0 * gallons - round(4.0 * gallons)) < 1e-3
    if whole_quarts or litres >= IN_GALLONS_LITRES:
        return f"{short(gallons)} gal"
    return f"{short(4.0 * gallons)} qt"


def celsius(value: float, units: Units) -> str:
    """A temperature as it is written: "64 C", "147 F"."""
    return in_words(value, "temperature", units, 1)


def in_words(value: float, kind: Kind, units: Units, digits: int = 3) -> str:
    """A quantity in the unit of these units, as short as it can be said."""
    return f"{short(in_units(value, kind, units), digits)} {unit_word(kind, units)}"


def short(value: float, digits: int = 3) -> str:
    """A number without the noughts at its end: "22.5", "-50"."""
    text = f"{value:.{digits}f}"
    if float(text) == 0.0:
        return "0"
    return text.rstrip("0").rstrip(".") if "." in text else text


def rest_minutes(answers: Answers) -> float:
    """How long the mash rests, by the enzyme power of its grain."""
    return REST_MINUTES[grain_table.power_verdict(answers.lintner)]


def cook_celsius(answers: Answers, malt_celsius: float) -> float:
    """What the raw cereals are cooked at, whole degrees below the boil: what does for all of them.

    Hotter within what is usual where the malt wants the cooked grain so hot.
    """
    below_the_boil = whole_degrees(boiling_celsius(answers) - 1.0, answers.units, math.floor)
    low = max(_cook(grain.kind).low_celsius for grain in answers.raw)
    wanted = max(low, min(malt_celsius + COOLED_KELVIN, hottest_cook_celsius(answers)))
    return min(whole_degrees(wanted, answers.units, math.floor), below_the_boil)


def hottest_cook_celsius(answers: Answers) -> float:
    """The hottest the raw cereals are usually cooked at, below the boil, whole degrees."""
    high = max(_cook(grain.kind).high_celsius for grain in answers.raw)
    return whole_degrees(min(high, boiling_celsius(answers) - 1.0), answers.units, math.floor)


def boiling_celsius(answers: Answers) -> float:
    """Where water boils at this altitude, Celsius."""
    return water.boiling_celsius(answers.altitude_metres)


def cook_minutes(answers: Answers) -> float:
    """How long the raw cereals are cooked: the middle of what is usual, of the one that takes longest."""
    cooks = [_cook(grain.kind) for grain in answers.raw]
    return max((cook.low_minutes + cook.high_minutes) / 2.0 for cook in cooks)


def _cook(kind: str) -> grain_table.Cook:
    cook = grain_table.kind(kind).cook
    assert cook is not None, kind
    return cook


def pitch_celsius(answers: Answers, litres: float) -> float:
    """What so much wash is cooled to: by ice any, by a coil a little over the tap water, standing what it has
    the next morning; whole degrees."""
    units = answers.units
    wanted = PITCH_CELSIUS[units]
    if answers.cooled_by == "standing":
        return whole_degrees(_next_morning_celsius(answers, litres), units, math.ceil)
    if answers.cooled_by == "coil" and answers.tap_celsius + 4.0 > wanted:
        return whole_degrees(answers.tap_celsius + 4.0, units, math.ceil)
    return wanted


def _next_morning_celsius(answers: Answers, litres: float) -> float:
    """What so much wash comes to in a night in its pot, unwrapped; at least a little over the room.

    Where the usual night leaves it too warm for yeast, by the longest one. The wash counts as so much water,
    which holds it within 5 % (derived).
    """
    vessel = heat.vessel_heat_capacity(contents.POT_KG_PER_LITRE * answers.pot_litres, answers.material)

    def after(hours: float) -> float:
        return losses.drift_celsius(
            from_celsius=REST_CELSIUS[answers.units],
            minutes=60.0 * hours,
            capacity_kj_per_k=water.mass_kg(litres) * water.SPECIFIC_HEAT + vessel,
            loss_w_per_k=losses.loss_w_per_k(answers.pot_litres, wrapped=False),
            room_celsius=answers.room_celsius,
        )

    morning = after(MORNING_HOURS)
    if morning > WARMEST_PITCH_CELSIUS:
        morning = max(after(NIGHT_HOURS), WARMEST_PITCH_CELSIUS - 1.0)
    return max(morning, answers.room_celsius + 1.0, COOLEST_PITCH_CELSIUS)


def whole_degrees(value: float, units: Units, rounded: Callable[[float], int] = round) -> float:
    """A temperature in whole degrees of these units."""
    return float(rounded(value)) if units == "metric" else (rounded(1.8 * value + 32.0) - 32.0) / 1.8


def yeast_grams(litres: float, gravity: float) -> float:
    """Dry yeast for so much wash, whole grams upwards."""
    cells = yeast.cells_to_pitch(litres, max(0.0, gravities.plato(gravity)))
    return float(max(1, math.ceil(yeast.dry_yeast_grams(cells) - 0.05)))


def spare_litres(amounts: Amounts, units: Units) -> float:
    """Water kept boiling beside the pot, in half litres or half quarts."""
    step = 0.5 if units == "metric" else QUART_LITRES / 2.0
    return max(2.0, round(SPARE_SHARE * amounts.mash_litres / step)) * step
