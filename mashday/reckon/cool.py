"""Sums of cooling, of the boiling point and of the check of a thermometer."""

from __future__ import annotations

from dataclasses import replace

from mashday.cautions import FIRST_OUT
from mashday.reckon.given import TAP_CELSIUS, Given
from mashday.reckon.mash import ROOM_CELSIUS, usual_loss_w_per_k
from mashday.science import cooling as coolers
from mashday.science.working import Line, Working, line
from mashday.science.workings import cooling, thermometer
from mashday.science.workings import pot as pots

ICE_WATER_CELSIUS = 2.0
"""A bath with ice swimming in it. Common practice, no source."""
COIL_L_PER_MINUTE = 6.0
"""Flow of a garden tap through a coil. Common practice, no source."""


def cool(given: Given) -> Working:
    """Time, water or ice that cools a wort."""
    span = {
        "litres": given.number("volume"),
        "from_celsius": given.number("from"),
        "to_celsius": given.number("to"),
    }
    match given.word("by"):
        case "coil":
            coolant, assumed = _coolant(given, TAP_CELSIUS, "water enters the coil at {}")
            flow = given.number("flow", COIL_L_PER_MINUTE)
            if not given.has("flow"):
                assumed += (line("{} run through it", (flow, "L/min")),)
            made = cooling.coil(coolant_celsius=coolant, l_per_minute=flow, **span)
            made = replace(made, cautions=(Line(FIRST_OUT),))
        case "ice bath":
            coolant, assumed = _coolant(given, ICE_WATER_CELSIUS, "the bath is kept at {} by ice")
            rate = given.number("loss-rate", coolers.STIRRED_BATH_W_PER_K)
            if not given.has("loss-rate"):
                assumed += (line("the pot gives the bath {}; 25 to 90 W/K are met", (rate, "W/K")),)
            made = cooling.ice_bath(bath_celsius=coolant, w_per_k=rate, **span)
        case "cold water":
            coolant, assumed = _coolant(given, TAP_CELSIUS, "the water comes at {}")
            made = cooling.cold_water(water_celsius=coolant, **span)
        case "ice":
            coolant, assumed = _coolant(given, 0.0, "the ice is at {}, about to melt")
            made = cooling.ice(ice_celsius=coolant, **span)
        case _:
            coolant, assumed = _coolant(given, ROOM_CELSIUS, "the room has {}")
            if given.has("loss-rate"):
                rate = given.number("loss-rate")
            else:
                rate = usual_loss_w_per_k(span["litres"])
                assumed += (line("a bare pot of this size loses about {}", (rate, "W/K")),)
            made = cooling.standing(room_celsius=coolant, loss_w_per_k=rate, **span)
    return replace(made, assumes=(*assumed, *made.assumes))


def boiling(given: Given) -> Working:
    """Where water boils."""
    return pots.boiling(given.number("altitude"))


def two_point(given: Given) -> Working:
    """What a thermometer shows wrong."""
    return thermometer.two_point(
        given.number("ice"), given.number("boil"), given.number("altitude"), given.maybe("reading")
    )


def _coolant(given: Given, usual: float, says: str) -> tuple[float, tuple[Line, ...]]:
    if given.has("coolant"):
        return given.number("coolant"), ()
    return usual, (line(says, (usual, "degC")),)
