"""What a thermometer is worth: its uncertainty in a stirred mash and the band that follows from it."""

from __future__ import annotations

import math

from mashday.science.limits import UnknownName, within

STIRRING_KELVIN = 0.3
"""Standard uncertainty of where in a stirred mash the probe happens to sit, K. Judgement, no source."""

NARROWEST_BAND_KELVIN = 1.0
"""No band is narrower, K: correcting less replaces one error by another. Judgement, no source."""

LIMITS_KELVIN = {
    "digital": 0.5,
    "dial": 2.0,
    "glass": 1.0,
    "Pt100": 0.625,
    "thermocouple": 1.5,
}
"""Error limit at 65 degC by kind, K.

digital: one-wire sensors, data sheet, from memory. dial: EN 13190 class 1, scale 0-120, from memory.
glass: common practice, no source. Pt100: IEC 60751:2008 class B. thermocouple: IEC 60584 type K class 1.
"""

_PT100_CLASSES = {"AA": (0.1, 0.0017), "A": (0.15, 0.002), "B": (0.3, 0.005), "C": (0.6, 0.01)}


def pt100_limit_kelvin(grade: str, celsius: float) -> float:
    """Error limit of a Pt100 of class AA, A, B or C, K, for 0-150 degC: class B at 100 degC is 0.8.

    IEC 60751:2008 (class C from memory).
    """
    if grade not in _PT100_CLASSES:
        raise UnknownName("Pt100 class", grade, _PT100_CLASSES)
    constant, slope = _PT100_CLASSES[grade]
    return constant + slope * within("temperature", celsius, 0.0, 150.0, "degC", "IEC 60751:2008")


def instrument_uncertainty(kind: str, limit_kelvin: float | None = None) -> float:
    """Standard uncertainty of the thermometer alone, K: its error limit divided by the root of 3.

    The limit is the one given, or the usual one of the kind (LIMITS_KELVIN). A rectangular
    distribution is taken: JCGM 100:2008 (GUM) 4.3.7.
    """
    if kind not in LIMITS_KELVIN:
        raise UnknownName("thermometer kind", kind, LIMITS_KELVIN)
    limit = LIMITS_KELVIN[kind] if limit_kelvin is None else limit_kelvin
    return within("thermometer limit", limit, 0.0, 15.0, "K", "common practice, no source") / math.sqrt(3.0)


def standard_uncertainty(kind: str, limit_kelvin: float | None = None) -> float:
    """Standard uncertainty of one reading in a stirred mash, K: instrument and place combined."""
    return math.hypot(instrument_uncertainty(kind, limit_kelvin), STIRRING_KELVIN)


def band_kelvin(kind: str, limit_kelvin: float | None = None) -> float:
    """Half width of the band in which a reading counts as on target, K: twice the uncertainty, at least 1."""
    return max(NARROWEST_BAND_KELVIN, 2.0 * standard_uncertainty(kind, limit_kelvin))


def lagging_celsius(*, from_celsius: float, true_celsius: float, seconds: float, lag_seconds: float) -> float:
    """What a probe of first-order lag shows some seconds after it was put in, degC."""
    source = "first-order lag"
    within("temperature shown at first", from_celsius, -40.0, 150.0, "degC", source)
    within("true temperature", true_celsius, -40.0, 150.0, "degC", source)
    within("waiting time", seconds, 0.0, 1e6, "s", source)
    within("probe lag", lag_seconds, 0.01, 600.0, "s", source)
    return true_celsius + (from_celsius - true_celsius) * math.exp(-seconds / lag_seconds)
