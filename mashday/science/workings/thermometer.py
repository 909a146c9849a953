"""Working of a thermometer's check in ice and at the boil."""

from __future__ import annotations

from mashday.science import thermometer, water
from mashday.science.working import Answer, Figure, Line, Working, line

MASH_CELSIUS = 65.0
"""Where a mash thermometer is used. Common practice, no source."""


def two_point(
    ice_shown_celsius: float,
    boil_shown_celsius: float,
    altitude_metres: float,
    reading_celsius: float | None = None,
) -> Working:
    """Working of thermometer.two_point; a reading is put right with it."""
    boiling = water.boiling_celsius(altitude_metres)
    found = thermometer.two_point(ice_shown_celsius, boil_shown_celsius, boiling)
    at_mash = found.shown_celsius(MASH_CELSIUS) - MASH_CELSIUS
    answers = [
        Answer("offset_kelvin", "in ice it shows too much by", found.offset_kelvin, "K"),
        Answer("slope", "for each true degree it shows", found.slope),
        Answer("at_mash_kelvin", "in a mash it shows too much by", at_mash, "K"),
    ]
    if reading_celsius is not None:
        true = found.true_celsius(reading_celsius)
        answers.insert(0, Answer("celsius", "the reading is truly", true, "degC"))
    return Working(
        answers=tuple(answers),
        formulas=("slope = (shown at the boil - shown in ice) / T_boil, shown = offset + slope * true",),
        inputs=(
            Figure("shown in ice", ice_shown_celsius, "degC"),
            Figure("shown at the boil", boil_shown_celsius, "degC"),
            Figure("T_boil", boiling, "degC"),
        ),
        steps=(
            line("a mash is taken at {}", (MASH_CELSIUS, "degC")),
            line("as offset of a schedule's thermometer write {}", (at_mash, "K")),
        ),
        assumes=(
            Line("crushed ice in water, stirred; a full boil, the probe clear of the bottom"),
            line("the weather moves the boil by up to {}, so {} of doubt stays", (1.0, "K"), (0.4, "K")),
        ),
        source="ice and steam points; ISO 2533:1975 and IAPWS-IF97 for the boil",
    )
