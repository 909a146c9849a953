"""Workings of gravity: hydrometer, refractometer, mash liquid, and wort made weaker or stronger."""

from __future__ import annotations

from dataclasses import replace

from mashday.science import gravity as sugars
from mashday.science import wort
from mashday.science.limits import within
from mashday.science.working import Answer, Figure, Line, Working, line

SPS4_SOURCE = "ICUMSA SPS-4 (1998) density of sugar solutions"
EXTRACT_SOURCE = "Mass balance of the EBC 4.5.1 / ASBC Malt-4 extract method"
WORT_SOURCE = f"Mass balance of water and extract; {SPS4_SOURCE}"

_TRUST_TOLD = {
    "kept": line(
        "kept: between {} and {} the number is as good as the hydrometer", (10, "degC"), (30, "degC")
    ),
    "rough": Line("rough: good to about 0.001 either way; a cooler sample is better"),
    "estimate": line(
        "estimate: good to about 0.002 either way; cool the sample below {} for a number worth keeping",
        (30, "degC"),
    ),
    "refused": line(
        "refused: no number to record at this temperature; bring the sample to {} to {} first",
        (10, "degC"),
        (30, "degC"),
    ),
}


COLDEST_TOLD, HOTTEST_TOLD = 5.0, 75.0
"""Samples, degC, beyond which no gravity is told at all. Judgement by the size of the error."""


def _gravity_answers(gravity: float) -> tuple[Answer, ...]:
    return (
        Answer("gravity", "gravity at 20/20 C", gravity, "SG"),
        Answer("plato", "extract", sugars.plato(gravity), "Plato"),
    )


def hydrometer(reading: float, sample_celsius: float, calibrated_celsius: float = 20.0) -> Working:
    """Working of gravity.hydrometer_gravity; its last answer tells what the number is worth."""
    answer, trust = sugars.hydrometer_gravity(reading, sample_celsius, calibrated_celsius)
    worth = Answer("trust", "trust", trust)
    numbers = _gravity_answers(answer)
    if trust == "refused":
        extreme = not COLDEST_TOLD <= sample_celsius <= HOTTEST_TOLD
        numbers = tuple(replace(one, value=None) if extreme else replace(one, about=True) for one in numbers)
    plato = sugars.plato(answer)
    return Working(
        answers=(worth, *numbers) if trust == "refused" else (*numbers, worth),
        formulas=("reading * water(T_cal) = density(P, T) [1 + 25e-6 (T - T_cal)], solved for P",),
        inputs=(
            Figure("reading", reading, "SG"),
            Figure("T", sample_celsius, "degC"),
            Figure("T_cal", calibrated_celsius, "degC"),
        ),
        steps=(
            line("water(T_cal) = {}", (sugars.sucrose_density(0.0, calibrated_celsius), "kg/m3")),
            line("density(P, T) = {}", (sugars.sucrose_density(plato, sample_celsius), "kg/m3")),
            line("P = {}", (plato, "Plato")),
            Line(f"correction {answer - reading:+.4f}"),
            _TRUST_TOLD[trust],
        ),
        assumes=(
            Line("the sample is unfermented wort, mixed, strained and without bubbles"),
            Line("thermometer and hydrometer stood in the same sample"),
        ),
        source=f"{SPS4_SOURCE}; glass expansion, ISO 1768:1975",
    )


def converted(gravity: float) -> Working:
    """Gravity and Plato of the same wort: gravity.plato."""
    plato = sugars.plato(gravity)
    return Working(
        answers=_gravity_answers(gravity),
        formulas=("gravity = density(P, 20 C) / density(0, 20 C)",),
        inputs=(),
        steps=(
            line("density(P, 20 C) = {}", (sugars.sucrose_density(plato, 20.0), "kg/m3")),
            line("density(0, 20 C) = {}", (sugars.WATER_20, "kg/m3")),
            Line(f"extract in a litre = {10.0 * plato * gravity * sugars.WATER_20 / 1000.0:.1f} g"),
            line("the laboratories' cubic says {}", (sugars.laboratory_cubic_plato(gravity), "Plato")),
            line("a fit to the printed table of NBS C440 says {}", (sugars.three_term_gravity(plato), "SG")),
        ),
        assumes=(Line("a wort is as dense as a cane sugar solution of its Plato; Brix is taken as Plato"),),
        source=SPS4_SOURCE,
    )


def refractometer(
    brix: float, factor: float = sugars.REFRACTOMETER_FACTOR, celsius: float | None = None
) -> Working:
    """Working of gravity.refractometer_plato."""
    plato = sugars.refractometer_plato(brix, factor, celsius)
    added = 0.0 if celsius is None else sugars.refractometer_correction_brix(brix, celsius)
    assumes = [
        Line("nothing has fermented yet: alcohol makes a refractometer read too high"),
        Line("the factor is common practice (1.00 to 1.06 are met); check yours against a hydrometer"),
    ]
    if celsius is None:
        assumes.append(
            Line("the instrument corrects for temperature itself, and the drops have cooled on it")
        )
    return Working(
        answers=(
            Answer("gravity", "gravity at 20/20 C", sugars.gravity(plato), "SG"),
            Answer("plato", "extract", plato, "Plato"),
        ),
        formulas=("P = (Bx + correction to 20 C) / factor",),
        inputs=(
            Figure("Bx", brix, "Brix"),
            Figure("factor", factor),
            *(() if celsius is None else (Figure("T", celsius, "degC"),)),
        ),
        steps=(line("correction to 20 C = {}", (added, "Brix")),),
        assumes=tuple(assumes),
        source=f"OIV-MA-AS2-02, table I (temperature); factor: common practice, no source; {SPS4_SOURCE}",
    )


def first_wort(
    *, extract_as_is: float, moisture: float, water_per_kg: float, conversion: float = 1.0
) -> Working:
    """Working of wort.first_wort_plato: the gravity of the liquid in the mash, and its Plato."""
    answer = wort.first_wort_plato(
        extract_as_is=extract_as_is, moisture=moisture, water_per_kg=water_per_kg, conversion=conversion
    )
    dissolved = conversion * extract_as_is
    return Working(
        answers=(
            Answer("gravity", "gravity of the mash liquid", sugars.gravity(answer), "SG"),
            Answer("plato", "extract of the mash liquid", answer, "Plato"),
        ),
        formulas=("P = 100 h e / (R + M + h e)",),
        inputs=(
            Figure("e", extract_as_is, "kg/kg"),
            Figure("M", moisture, "kg/kg"),
            Figure("R", water_per_kg, "kg/kg"),
            Figure("h", conversion, "share"),
        ),
        steps=(
            line("dissolved extract h e = {}", (dissolved, "kg/kg")),
            line("liquid R + M + h e = {}", (water_per_kg + moisture + dissolved, "kg/kg")),
        ),
        assumes=(
            Line("all water in the mash is counted, additions too"),
            Line("the mash is stirred to one strength"),
        ),
        source=f"{EXTRACT_SOURCE}; {SPS4_SOURCE}",
    )


def conversion(*, plato: float, extract_as_is: float, moisture: float, water_per_kg: float) -> Working:
    """Working of wort.conversion, with what the number may mean."""
    answer = wort.conversion(
        plato=plato, extract_as_is=extract_as_is, moisture=moisture, water_per_kg=water_per_kg
    )
    return Working(
        answers=(Answer("fraction", "of the extract is dissolved", answer, "share"),),
        formulas=("h = P (R + M) / [(100 - P) e]",),
        inputs=(
            Figure("P", plato, "Plato"),
            Figure("e", extract_as_is, "kg/kg"),
            Figure("M", moisture, "kg/kg"),
            Figure("R", water_per_kg, "kg/kg"),
        ),
        steps=(_meaning(answer),),
        cautions=(_TOO_MUCH,) if answer > MOST_MEASURED else (),
        assumes=(
            Line("the sample is mash liquid before any sparge, stirred, cooled and read"),
            Line("all water in the mash is counted, additions too"),
        ),
        source=EXTRACT_SOURCE,
    )


MOST_MEASURED = 1.03
"""Share dissolved above which something was weighed or read wrong. Judgement, no source."""

_TOO_MUCH = Line("More extract than the grain holds: do not go by this number, look for the mistake first.")


def _meaning(share: float) -> Line:
    """What a measured conversion means. Limits: judgement, no source."""
    if share > MOST_MEASURED:
        return Line("more than all of it: a weight, the moisture, or the temperature of the sample is wrong")
    if share < 0.85:
        return Line("starch is left, or the sample was not mixed through")
    return Line("as a mash near its end reads")


def dilution(litres: float, from_gravity: float, to_gravity: float) -> Working:
    """Working of wort.dilution_litres."""
    answer = wort.dilution_litres(litres, from_gravity, to_gravity)
    mass = wort.wort_kg(litres, from_gravity)
    return Working(
        answers=(
            Answer("litres", "water to add, measured cold", answer, "L"),
            Answer(
                "final_litres",
                "that makes",
                wort.wort_litres(mass + answer * sugars.WATER_20 / 1000.0, to_gravity),
                "L",
            ),
        ),
        formulas=("water = m (P1 / P2 - 1)",),
        inputs=(Figure("V", litres, "L"),),
        steps=_two_strengths(mass, from_gravity, to_gravity),
        assumes=_at_twenty("mixed through before it is read again"),
        source=WORT_SOURCE,
    )


def boil_down(
    litres: float, from_gravity: float, to_gravity: float, litres_per_hour: float | None = None
) -> Working:
    """Working of wort.boil_down_litres; with a rate, in cold litres per hour, the minutes too."""
    answer = wort.boil_down_litres(litres, from_gravity, to_gravity)
    mass = wort.wort_kg(litres, from_gravity)
    final = wort.wort_litres(mass - answer * sugars.WATER_20 / 1000.0, to_gravity)
    inputs = [Figure("V", litres, "L")]
    minutes = None
    if litres_per_hour is not None:
        within("boil-off rate", litres_per_hour, 0.05, 100.0, "L/h", "boils for the home")
        minutes = 60.0 * answer / litres_per_hour
        inputs.append(Figure("rate", litres_per_hour, "L/h"))
    return Working(
        answers=(
            Answer("litres", "water to boil off, measured cold", answer, "L"),
            *(() if minutes is None else (Answer("minutes", "boil for", minutes, "min", about=True),)),
            Answer("final_litres", "that leaves", final, "L"),
        ),
        formulas=("water = m (1 - P1 / P2)",),
        inputs=tuple(inputs),
        steps=_two_strengths(mass, from_gravity, to_gravity),
        assumes=_at_twenty("the rate is yours: check it by the level in the pot"),
        source=WORT_SOURCE,
    )


def sugar(litres: float, from_gravity: float, to_gravity: float, kind: str, extract: float) -> Working:
    """Working of wort.sugar_kg for a named sugar with this extract in a kilogram."""
    answer = wort.sugar_kg(litres, from_gravity, to_gravity, extract)
    mass = wort.wort_kg(litres, from_gravity)
    return Working(
        answers=(
            Answer("kilograms", f"{kind} to dissolve", answer, "kg"),
            Answer("final_litres", "that makes", wort.wort_litres(mass + answer, to_gravity), "L"),
        ),
        formulas=("sugar = m (P2 - P1) / (100 f - P2)",),
        inputs=(Figure("V", litres, "L"), Figure("f", extract, "kg/kg")),
        steps=_two_strengths(mass, from_gravity, to_gravity),
        assumes=_at_twenty("all of it is dissolved; sugar changes what the wash is, so decide before adding"),
        source=f"{WORT_SOURCE}; extract of dextrose monohydrate from molar masses",
    )


def _two_strengths(mass_kg: float, from_gravity: float, to_gravity: float) -> tuple[Line, ...]:
    return (
        line("the wort weighs m = {}", (mass_kg, "kg")),
        line("P1 = {} at {}", (sugars.plato(from_gravity), "Plato"), (from_gravity, "SG")),
        line("P2 = {} at {}", (sugars.plato(to_gravity), "Plato"), (to_gravity, "SG")),
    )


def _at_twenty(further: str) -> tuple[Line, ...]:
    return (
        line(
            "volumes are those of wort at {}; hot wort measures up to {} more",
            (20.0, "degC"),
            (0.04, "share"),
        ),
        Line(further),
    )
