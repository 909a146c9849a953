"""What a thermometer is worth: its uncertainty in a stirred mash and the band that follows from it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from mashday.science.limits import UnknownName, within

STIRRING_KELVIN = 0.3
"""Standard uncertainty of where in a stirred mash the probe happens to sit, K. Judgement, no source."""

NARROWEST_BAND_KELVIN = 1.0
"""No band is narrower, K: a smaller correction is smaller than what it rests on. Judgement, no source."""

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
PT100_GRADES = tuple(_PT100_CLASSES)
"""The classes of a Pt100 known, narrowest first."""


def pt100_limit_kelvin(grade: str, celsius: float) -> float:
    """Error limit of a Pt100, K.

    Formula: a + b T: AA 0.1 + 0.0017 T, A 0.15 + 0.002 T, B 0.3 + 0.005 T, C 0.6 + 0.01 T
    Takes: grade one of PT100_GRADES; celsius 0..150 degC
    Gives: K
    Source: IEC 60751:2008 (class C from memory); prints 0.8 for class B at 100 degC
    Example: pt100_limit_kelvin("B", 100.0) = 0.8
    """
    if grade not in _PT100_CLASSES:
        raise UnknownName("Pt100 class", grade, _PT100_CLASSES)
    constant, slope = _PT100_CLASSES[grade]
    return constant + slope * within("temperature", celsius, 0.0, 150.0, "degC", "IEC 60751:2008")


def instrument_uncertainty(kind: str, limit_kelvin: float | None = None) -> float:
    """Standard uncertainty of the thermometer alone, K.

    The limit is the one given, or the usual one of the kind (LIMITS_KELVIN).

    Formula: u = limit / sqrt(3)
    Takes: kind one of LIMITS_KELVIN; limit_kelvin 0..15 K or None
    Gives: K
    Source: JCGM 100:2008 (GUM) 4.3.7, a rectangular distribution
    Example: instrument_uncertainty("digital") = 0.29
    """
    if kind not in LIMITS_KELVIN:
        raise UnknownName("thermometer kind", kind, LIMITS_KELVIN)
    limit = LIMITS_KELVIN[kind] if limit_kelvin is None else limit_kelvin
    return within("thermometer limit", limit, 0.0, 15.0, "K", "common practice, no source") / math.sqrt(3.0)


def standard_uncertainty(kind: str, limit_kelvin: float | None = None) -> float:
    """Standard uncertainty of one reading in a stirred mash, K: instrument and place combined.

    Formula: sqrt(limit^2 / 3 + 0.3^2)
    Takes: kind one of LIMITS_KELVIN; limit_kelvin 0..15 K or None
    Gives: K
    Source: JCGM 100:2008 (GUM) 5.1.2; 0.3 K for the place is judgement, no source
    Example: standard_uncertainty("digital") = 0.42
    """
    return math.hypot(instrument_uncertainty(kind, limit_kelvin), STIRRING_KELVIN)


def band_kelvin(kind: str, limit_kelvin: float | None = None) -> float:
    """Half width of the band in which a reading counts as on target, K.

    Formula: max(1, 2 u)
    Takes: kind one of LIMITS_KELVIN; limit_kelvin 0..15 K or None
    Gives: K
    Source: JCGM 100:2008 (GUM) 6.3.3, a coverage factor of 2; at least 1 K is judgement, no source
    Example: band_kelvin("dial") = 2.39
    """
    return max(NARROWEST_BAND_KELVIN, 2.0 * standard_uncertainty(kind, limit_kelvin))


def lagging_celsius(*, from_celsius: float, true_celsius: float, seconds: float, lag_seconds: float) -> float:
    """What a probe of first-order lag shows some seconds after it was put in, degC.

    Formula: T + (T0 - T) exp(-t / tau)
    Takes: from_celsius -40..150 degC; true_celsius -40..150 degC; seconds 0..1000000 s; lag_seconds 0.01..600
        s
    Gives: degC
    Source: first-order lag (derived)
    Example: lagging_celsius(from_celsius=20.0, true_celsius=66.0, seconds=30.0, lag_seconds=10.0) = 63.7
    """
    source = "first-order lag"
    within("temperature shown at first", from_celsius, -40.0, 150.0, "degC", source)
    within("true temperature", true_celsius, -40.0, 150.0, "degC", source)
    within("waiting time", seconds, 0.0, 1e6, "s", source)
    within("probe lag", lag_seconds, 0.01, 600.0, "s", source)
    return true_celsius + (from_celsius - true_celsius) * math.exp(-seconds / lag_seconds)


LAG_SECONDS: dict[str, float] = {
    "thermocouple 3 mm": 1.3,
    "thermocouple 6 mm": 4.2,
    "Pt100 3 mm": 4.3,
    "Pt100 6 mm": 10.0,
    "digital": 10.0,
    "dial": 40.0,
    "glass": 25.0,
}
"""First-order lag in gently moving water, s; in a thick mash two to three times as long (judgement).

Thermocouples and Pt100: a maker's response table in water of 0.2 m/s, time to 90 % over 2.303. Digital, dial
and glass: from memory.
"""

MOST_OFF_KELVIN = 5.0
"""A thermometer this far off in ice or at the boil is broken, K. Judgement, no source."""


@dataclass(frozen=True, slots=True)
class Calibration:
    """What a thermometer shows as a straight line of what is true: shown = offset + slope * true."""

    offset_kelvin: float
    slope: float

    def true_celsius(self, shown_celsius: float) -> float:
        """True temperature of a shown one, degC."""
        return (shown_celsius - self.offset_kelvin) / self.slope

    def shown_celsius(self, true_celsius: float) -> float:
        """What the thermometer shows at a true temperature, degC: the inverse of true_celsius."""
        return self.offset_kelvin + self.slope * true_celsius


def two_point(ice_shown_celsius: float, boil_shown_celsius: float, boiling_celsius: float) -> Calibration:
    """Offset and slope of a thermometer from melting ice and from water at the boil.

    0.3-0.5 K of doubt stays: the ice has to be a slush, stirred, and the weather moves the boil by 1 K.

    Formula: slope = (shown boil - shown ice) / boil, offset = shown ice
    Takes: ice_shown_celsius -5..5 degC; boil_shown_celsius 60..115 degC; boiling_celsius 75..102 degC
    Gives: a Calibration
    Source: two-point calibration on the ice and steam points; common practice
    Example: two_point(0.6, 99.4, 99.97) = Calibration(offset_kelvin=0.6, slope=0.9883)
    """
    source = "ice and steam points; a thermometer further off is broken"
    ice = within(
        "temperature shown in ice", ice_shown_celsius, -MOST_OFF_KELVIN, MOST_OFF_KELVIN, "degC", source
    )
    true = within("boiling point", boiling_celsius, 75.0, 102.0, "degC", source)
    boil = within("temperature shown at the boil", boil_shown_celsius, 60.0, 115.0, "degC", source)
    within(
        "temperature shown at the boil", boil, true - MOST_OFF_KELVIN, true + MOST_OFF_KELVIN, "degC", source
    )
    return Calibration(ice, (boil - ice) / true)


def lag_corrected_celsius(*, shown_celsius: float, kelvin_per_minute: float, lag_seconds: float) -> float:
    """True temperature while a lagging probe still moves, degC.

    Formula: T = shown + tau dT/dt
    Takes: shown_celsius -40..150 degC; kelvin_per_minute -600..600 K/min; lag_seconds 0.01..600 s
    Gives: degC
    Source: first-order lag (derived)
    Example: lag_corrected_celsius(shown_celsius=62.0, kelvin_per_minute=3.0, lag_seconds=10.0) = 62.5
    """
    source = "first-order lag"
    shown = within("temperature shown", shown_celsius, -40.0, 150.0, "degC", source)
    rate = within("rate of the reading", kelvin_per_minute, -600.0, 600.0, "K/min", source)
    return shown + rate / 60.0 * within("probe lag", lag_seconds, 0.01, 600.0, "s", source)


def waiting_seconds(lag_seconds: float) -> float:
    """How long to wait after stirring until a probe has settled, s: to 0.7 % of the way.

    Formula: 5 tau
    Takes: lag_seconds 0.01..600 s
    Gives: s
    Source: first-order lag (derived)
    Example: waiting_seconds(10.0) = 50
    """
    return 5.0 * within("probe lag", lag_seconds, 0.01, 600.0, "s", "first-order lag")
