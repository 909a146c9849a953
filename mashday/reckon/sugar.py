"""Sums of gravity, wort and wash."""

from __future__ import annotations

from dataclasses import replace

from mashday.cautions import GLASS
from mashday.reckon.given import Given, Refused
from mashday.reckon.mash import MALT_MOISTURE
from mashday.science import gravity, water, wort, yeast
from mashday.science.limits import within
from mashday.science.working import Line, Working, line
from mashday.science.workings import sugar as sugars
from mashday.science.workings import wash

COOL_SAMPLE_CELSIUS = 30.0
"""Above it a hydrometer's glass is in danger. Common practice, no source."""

SUGARS = {"sucrose": 1.0, "dextrose": wort.DEXTROSE_EXTRACT}
"""Extract in a kilogram of each sugar, kg; dextrose is the monohydrate of the shops."""


def hydrometer(given: Given) -> Working:
    """What a hydrometer reading is worth."""
    sample = given.number("at")
    made = sugars.hydrometer(given.number("reading"), sample, given.number("calibrated", 20.0))
    return replace(made, cautions=(Line(GLASS),)) if sample > COOL_SAMPLE_CELSIUS else made


def convert(given: Given) -> Working:
    """Gravity and Plato of the same wort."""
    return sugars.converted(given.number("value"))


def refractometer(given: Given) -> Working:
    """What a refractometer reading is worth."""
    factor = given.number("factor", gravity.REFRACTOMETER_FACTOR)
    return sugars.refractometer(given.number("reading"), factor, given.maybe("at"))


def first_runnings(given: Given) -> Working:
    """Gravity of the mash liquid to come."""
    made = sugars.first_wort(conversion=given.number("conversion", 1.0), **_mash(given))
    return _dry(given, made)


def conversion(given: Given) -> Working:
    """How much of the extract is dissolved."""
    made = sugars.conversion(plato=gravity.plato(given.number("gravity")), **_mash(given))
    return _dry(given, made)


def dilute(given: Given) -> Working:
    """Water that makes a wort weaker."""
    return sugars.dilution(*_from_to(given, down=True))


def boil_down(given: Given) -> Working:
    """Water to boil off for a stronger wort."""
    flow = given.maybe("rate")
    return sugars.boil_down(
        *_from_to(given, down=False), litres_per_hour=None if flow is None else 60.0 * flow
    )


def sugar(given: Given) -> Working:
    """Sugar that makes a wort stronger."""
    kind = given.word("kind", "sucrose")
    return sugars.sugar(*_from_to(given, down=False), kind=kind, extract=SUGARS[kind])


def alcohol(given: Given) -> Working:
    """Alcohol in the wash."""
    original, final = given.number("original"), given.number("final")
    if final > original:
        raise Refused("The gravity at the end is above the one at pitching. Were the two exchanged?")
    return wash.alcohol(original, final, given.maybe("volume"))


def pitch(given: Given) -> Working:
    """Yeast for a wort."""
    return wash.yeast(given.number("volume"), given.number("gravity"), given.number("rate", yeast.PITCH_RATE))


def _from_to(given: Given, *, down: bool) -> tuple[float, float, float]:
    now, wanted = given.number("from"), given.number("to")
    if down and wanted > now:
        raise Refused("That is a stronger wort, not a weaker one. Ask boil-down or sugar.")
    if not down and wanted < now:
        raise Refused("That is a weaker wort, not a stronger one. Ask dilute.")
    return given.number("volume"), now, wanted


def _mash(given: Given) -> dict[str, float]:
    moisture = given.number("moisture", MALT_MOISTURE)
    grain_kg = within("grain mass", given.number("grain"), 1e-3, 1e4, "kg", "a mash has grain")
    return {
        "extract_as_is": given.number("extract") * (1.0 - moisture),
        "moisture": moisture,
        "water_per_kg": water.mass_kg(given.number("water")) / grain_kg,
    }


def _dry(given: Given, made: Working) -> Working:
    """Says that the extract is the dry one, and the moisture that was taken."""
    moisture = given.number("moisture", MALT_MOISTURE)
    told = line(
        "extract {} of the dry grain and {} moisture: e = extract (1 - moisture)",
        (given.number("extract"), "share"),
        (moisture, "share"),
    )
    return replace(made, assumes=(told, *made.assumes))
