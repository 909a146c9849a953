"""Questions: what is asked of the person, in a noun, in a sentence, and in which unit a number counts."""

from __future__ import annotations

from mashday.engine import pouring
from mashday.engine.asks import Ask
from mashday.engine.decision import units_of
from mashday.engine.facts import Quantity, Subject, Told
from mashday.engine.state import State
from mashday.quantities import Units, show
from mashday.schedule.model import Schedule

_TEMPERATURE_OF: dict[Subject, str] = {
    "water": "water temperature",
    "mash": "mash temperature",
    "cook": "temperature of the cook",
    "wort": "wort temperature",
    "wash": "wash temperature",
}
_GRAVITY_OF: dict[Subject, str] = {
    "mash": "gravity of the mash liquid",
    "wort": "gravity of the first runnings",
    "wash": "gravity of the wash",
}
_VOLUME_OF: dict[Subject, str] = {"wort": "volume run off", "wash": "volume of the wash"}

_READ_TEMPERATURE: dict[Subject, str] = {
    "water": "Stir the water, then read its temperature",
    "mash": "Stir, then read the mash temperature in two or three places",
    "cook": "Stir down to the bottom, then read the temperature",
    "wort": "Stir, then read the temperature of the wort",
    "wash": "Stir, then read the temperature of the wash",
}
_READ_GRAVITY: dict[Subject, str] = {
    "mash": "Sieve a little of the liquid, cool it, then read the gravity",
    "wort": "Take a sample of what runs off, cool it, then read the gravity",
    "wash": "Take a sample of the wash, then read the gravity",
}
_READ_VOLUME: dict[Subject, str] = {
    "wort": "Read how much has run off, all of it",
    "wash": "Read the volume of the wash",
}


def noun(quantity: Quantity | Told, subject: Subject) -> str:
    """What is asked, as a noun: "mash temperature"."""
    if quantity == "temperature":
        return _TEMPERATURE_OF[subject]
    if quantity == "gravity":
        return _GRAVITY_OF.get(subject, "gravity")
    if quantity == "volume":
        return _VOLUME_OF.get(subject, "volume")
    return {
        "starch": "starch check",
        "sample temperature": "temperature of the sample",
        "added water": "how much water went in",
        "ph": "pH",
        "grain in the pot": "grain in the pot",
        "water in the pot": "water in the pot",
        "minutes mashed": "time since the grain went in",
    }[quantity]


def sentence(ask: Ask) -> str:
    """What is asked, as something to do: "Stir, then read the mash temperature in two or three places"."""
    if ask.quantity == "temperature":
        return _READ_TEMPERATURE[ask.subject]
    if ask.quantity == "gravity":
        return _READ_GRAVITY.get(ask.subject, "Read the gravity")
    if ask.quantity == "volume":
        return _READ_VOLUME.get(ask.subject, "Read the volume")
    return {
        "starch": "Put a drop of mash on something white, let it cool, add a drop of iodine",
        "sample temperature": "Read the temperature of that sample",
        "added water": "Say how much water went in",
        "ph": "Read the pH of a cooled sample",
        "grain in the pot": "Say how much grain is in the pot",
        "water in the pot": "Say how much water went into the pot, all of it",
        "minutes mashed": "Say how long ago the grain went in",
    }[ask.quantity]


def asked_unit(schedule: Schedule, state: State, t: float, ask: Ask) -> str:
    """The unit a bare number is taken in now: water in the unit its amount was told in."""
    units = units_of(schedule, state)
    if ask.quantity == "added water":
        way = state.untold.way_taken if state.untold is not None else None
        planned = (way.litres, 0.0) if way is not None else pouring.water_to_pour(schedule, state, t)
        if planned is not None:
            return show(planned[0], "volume", units).split()[-1]
    return unit(ask.quantity, units)


def unit(quantity: Quantity | Told, units: Units) -> str:
    """The unit a bare number is taken in: "C", "F", "SG", "L", "gal", "qt"; "1 gone, 2 left" for starch."""
    metric = units == "metric"
    return {
        "temperature": "C" if metric else "F",
        "sample temperature": "C" if metric else "F",
        "gravity": "SG",
        "volume": "L" if metric else "gal",
        "added water": "L" if metric else "qt",
        "ph": "pH",
        "starch": "1 gone, 2 left",
        "grain in the pot": "kg" if metric else "lb",
        "water in the pot": "L" if metric else "gal",
        "minutes mashed": "min",
    }[quantity]
