"""Sugar in water: density, gravity, Plato; the hydrometer and the refractometer.

Gravity means true relative density 20/20 degC. Plato is 100 times the mass fraction on the sucrose
scale; Brix is the same for this purpose.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Literal, NamedTuple

from mashday.science.limits import OutOfRange, within

SPS4 = "ICUMSA SPS-4 (1998)"

LOWEST_PLATO, HIGHEST_PLATO = -8.0, 45.0


GLASS_EXPANSION = 25e-6
"""Volume expansion of a glass hydrometer, per K. ISO 1768:1975, conventional value."""

REFRACTOMETER_FACTOR = 1.04
"""Brix shown by a refractometer in wort over Plato. Common practice, no source; 1.00-1.06 are met."""


Trust = Literal["kept", "rough", "estimate", "refused"]


class HydrometerReading(NamedTuple):
    """Gravity 20/20 degC of a reading, and what it is worth at the temperature of the sample.

    kept: silently corrected. rough: about 0.001 either way. estimate: about 0.002. refused: the sample
    is too hot or too cold for the number to be recorded.
    """

    gravity: float
    trust: Trust


_WATER = (999.83952, 16.952577, -7.9905127e-3, -46.241757e-6, 105.84601e-9, -281.03006e-12)
_SUGAR = (
    (385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890),
    (-46.2720, -7.1720, 1.1597, 5.1126, 17.5254),
    (59.7712, 7.2491, 12.3630, -35.4791),
    (-47.2207, -21.6977, 27.6301),
    (18.3184, 12.3081),
)


def sucrose_density(plato: float, celsius: float) -> float:
    """Density of a sucrose solution, kg/m3.

    Within 0.1 kg/m3 of the CRC Handbook table (0-40 %, 20 degC) and 0.006 of IAPWS-95 for water; the sugar
    term above 40 degC has little outside support.

    Formula: rho = rho_water(t) + sum C_ij w^(i+1) tau^j, tau = (t - 20) / 100
    Takes: plato -8..45 Plato; celsius 0..100 degC
    Gives: kg/m3
    Source: ICUMSA SPS-4 (1998), as transcribed after Bubnik et al., Sugar Technologists Manual (1995), p. 164
    Example: sucrose_density(10.0, 20.0) = 1038.115
    """
    w = within("extract", plato, LOWEST_PLATO, HIGHEST_PLATO, "Plato", SPS4) / 100.0
    t = within("temperature of the solution", celsius, 0.0, 100.0, "degC", SPS4)
    tau = (t - 20.0) / 100.0
    sugar = _horner([w * _horner(row, w) for row in _SUGAR], tau)
    return _horner(_WATER, t) / (1.0 + 16.887236e-3 * t) + sugar


def gravity(plato: float) -> float:
    """Gravity 20/20 degC of so many Plato.

    Formula: SG = rho(P, 20) / rho(0, 20)
    Takes: plato -8..45 Plato
    Gives: gravity 20/20
    Source: ICUMSA SPS-4 (1998)
    Example: gravity(10.0) = 1.03998
    """
    return sucrose_density(plato, 20.0) / WATER_20


def plato(gravity: float) -> float:
    """Plato of a gravity 20/20 degC; 0 at 1.000, slightly negative below.

    Formula: P where rho(P, 20) = SG rho(0, 20), solved by secants
    Takes: gravity 0.97..1.19
    Gives: Plato
    Source: ICUMSA SPS-4 (1998), the numerical inverse of gravity
    Example: plato(1.060) = 14.751
    """
    sought = within("gravity", gravity, 0.97, 1.19, "", SPS4) * WATER_20
    return _solve_plato(lambda extract: sucrose_density(extract, 20.0), sought)


def laboratory_cubic_plato(gravity: float) -> float:
    """Plato by the cubic that brewing laboratories use, for comparison.

    Within 0.011 of plato() to 20 Plato and 0.04 to 30; not zero at 1.000.

    Formula: -616.868 + 1111.14 S - 630.272 S^2 + 135.997 S^3
    Takes: gravity 0.97..1.19
    Gives: Plato
    Source: third-order fit to the ASBC tables, published widely
    Example: laboratory_cubic_plato(1.050) = 12.388
    """
    s = within("gravity", gravity, 0.97, 1.19, "", "fit to the ASBC tables")
    return -616.868 + s * (1111.14 + s * (-630.272 + s * 135.997))


def three_term_gravity(plato: float) -> float:
    """Gravity by a three-term fit to a printed sugar table, for comparison.

    Within 6e-5 of gravity() to 30 Plato.

    Formula: the root S of P = 28.14203 S + 202.4427 - 230.5870 / S
    Takes: plato -8..45 Plato
    Gives: gravity 20/20
    Source: fit to NBS Circular C440, table 114
    Example: three_term_gravity(10.0) = 1.0400
    """
    b = within("extract", plato, LOWEST_PLATO, HIGHEST_PLATO, "Plato", "fit to NBS Circular C440") - 202.4427
    return (b + math.sqrt(b * b + 4.0 * 28.14203 * 230.5870)) / (2.0 * 28.14203)


def hydrometer_gravity(
    reading: float, sample_celsius: float, calibrated_celsius: float = 20.0
) -> HydrometerReading:
    """Gravity 20/20 degC of a hydrometer read in a sample at some temperature, and what it is worth.

    The hydrometer keeps its mass, its glass widens. A scale marked 60/60 degF has a calibrated_celsius of
    15.556. What it is worth: see hydrometer_trust.

    Formula: R rho(0, Tcal) = rho(P, T) (1 + 25e-6 (T - Tcal)), solved for P
    Takes: reading 0.97..1.19; sample_celsius 0..100 degC; calibrated_celsius 0..40 degC
    Gives: gravity 20/20 and a Trust
    Source: ICUMSA SPS-4 (1998); ISO 1768:1975 for the glass
    Example: hydrometer_gravity(1.050, 40.0).gravity = 1.0565
    """
    source = f"{SPS4}, glass after ISO 1768:1975"
    shown = within("hydrometer reading", reading, 0.97, 1.19, "", source)
    t = within("sample temperature", sample_celsius, 0.0, 100.0, "degC", source)
    calibrated = within("calibration temperature", calibrated_celsius, 0.0, 40.0, "degC", source)
    floating = shown * sucrose_density(0.0, calibrated) / (1.0 + GLASS_EXPANSION * (t - calibrated))
    true_plato = _solve_plato(lambda extract: sucrose_density(extract, t), floating)
    return HydrometerReading(sucrose_density(true_plato, 20.0) / WATER_20, hydrometer_trust(t))


def hydrometer_trust(sample_celsius: float) -> Trust:
    """What a hydrometer reading is worth at a sample temperature: kept, rough, estimate or refused.

    The limits follow from the size of the errors of surface tension, glass and thermometer.

    Formula: table: kept 10-30 degC, rough 5-10 and 30-50, estimate 50-60, refused elsewhere
    Takes: sample_celsius 0..100 degC
    Gives: a Trust
    Source: judgement, no source
    Example: hydrometer_trust(40.0) = rough
    """
    within("sample temperature", sample_celsius, 0.0, 100.0, "degC", "water between ice and steam")
    if 10.0 <= sample_celsius <= 30.0:
        return "kept"
    if 5.0 <= sample_celsius <= 50.0:
        return "rough"
    if 50.0 < sample_celsius <= 60.0:
        return "estimate"
    return "refused"


def refractometer_plato(
    brix: float, factor: float = REFRACTOMETER_FACTOR, celsius: float | None = None
) -> float:
    """Plato of an unfermented wort from a refractometer.

    With the temperature of an instrument that does not correct itself, the reading is first brought to
    20 degC. Invalid once yeast is in: alcohol raises the reading.

    Formula: P = Bx / f
    Takes: brix 0..45 Brix; factor 0.9..1.2; celsius 5..30 degC or None
    Gives: Plato
    Source: common practice, no source, for the factor; OIV-MA-AS2-02, table I, for the temperature
    Example: refractometer_plato(15.0) = 14.42
    """
    shown = within("refractometer reading", brix, 0.0, HIGHEST_PLATO, "Brix", "scale of the instrument")
    if celsius is not None:
        shown += refractometer_correction_brix(shown, celsius)
    return shown / within("refractometer factor", factor, 0.9, 1.2, "", "common practice, no source")


def refractometer_correction_brix(brix: float, celsius: float) -> float:
    """Brix to add to a refractometer reading at a temperature.

    Within 0.01 of the standard's table (5-17 degC); above 20 degC it is extrapolated.

    Formula: c = d (0.06239 + 0.000464 Bx) + 0.000719 d^2, d = T - 20
    Takes: brix 0..45 Brix; celsius 5..30 degC
    Gives: Brix
    Source: OIV-MA-AS2-02, table I (prints -0.51), fitted here
    Example: refractometer_correction_brix(15.0, 12.0) = -0.51
    """
    source = "OIV-MA-AS2-02, table I"
    within("refractometer reading", brix, 0.0, HIGHEST_PLATO, "Brix", source)
    d = within("refractometer temperature", celsius, 5.0, 30.0, "degC", source) - 20.0
    return d * (0.06239 + 0.000464 * brix) + 0.000719 * d * d


_REFRACTION = (0.0012937, 700.23649, -1828.90719, 4630.99426)


def brix_from_refraction(refractive_index: float) -> float:
    """Brix of a sucrose solution from its refractive index at 20 degC and 589 nm.

    A cubic within 0.006 of the standard's table; a quintic that is passed around is 0.02 off.

    Formula: Bx = 0.0012937 + 700.23649 x - 1828.90719 x^2 + 4630.99426 x^3, x = n - 1.33299
    Takes: refractive_index 1.33299..1.38115
    Gives: Brix
    Source: OIV-MA-AS2-02, table II, fitted here
    Example: brix_from_refraction(1.34782) = 10.00
    """
    source = "OIV-MA-AS2-02, table II"
    x = within("refractive index", refractive_index, 1.33299, 1.38115, "", source) - 1.33299
    return _horner(_REFRACTION, x)


def volume_at_20_factor(plato: float, celsius: float) -> float:
    """Litres at 20 degC of one litre of wort measured hot.

    Formula: V20 / V = rho(P, T) / rho(P, 20)
    Takes: plato -8..45 Plato; celsius 0..100 degC
    Gives: L/L
    Source: ICUMSA SPS-4 (1998)
    Example: volume_at_20_factor(15.0, 65.0) = 0.9815
    """
    return sucrose_density(plato, celsius) / sucrose_density(plato, 20.0)


def _horner(coefficients: tuple[float, ...] | list[float], x: float) -> float:
    total = 0.0
    for coefficient in reversed(coefficients):
        total = total * x + coefficient
    return total


def _solve_plato(density: Callable[[float], float], sought: float) -> float:
    """The Plato at which a rising density meets the value sought, by secants from 0 Plato."""
    low, high = density(LOWEST_PLATO), density(HIGHEST_PLATO)
    if not low <= sought <= high:
        raise OutOfRange("density", sought, low, high, "kg/m3", SPS4)
    extract, step, error = 0.0, 1.0, density(0.0) - sought
    slope = density(step) - density(0.0)
    while abs(error) > 1e-10 and abs(step) > 1e-12:
        step = -error / slope
        following = min(max(extract + step, LOWEST_PLATO), HIGHEST_PLATO)
        following_error = density(following) - sought
        if following != extract and following_error != error:
            slope = (following_error - error) / (following - extract)
        extract, error = following, following_error
    return extract


WATER_20 = sucrose_density(0.0, 20.0)
"""Density of water at 20 degC in ICUMSA SPS-4, kg/m3: 998.203."""
