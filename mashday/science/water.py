"""Liquid water and its steam: density, heat, boiling point."""

from __future__ import annotations

import math

from mashday.science.limits import within

SPECIFIC_HEAT = 4.19
"""kJ/(kg K). One constant for 0-100 degC: at most 0.1 K from IAPWS-95 over any span (derived)."""

SEA_LEVEL_KPA = 101.325
"""Standard pressure at sea level, kPa. ISO 2533:1975."""

HOTTEST_CELSIUS = 102.0
"""Hottest open water met in practice, degC: the boiling point some 600 m below sea level (derived)."""

KELL = "Kell 1975, J. Chem. Eng. Data 20, 97-105"
IF97 = "IAPWS-IF97, region 4"
POPIEL = "Popiel and Wojtkowiak 1998, Heat Transfer Eng. 19(3)"


def density(celsius: float) -> float:
    """Density of water at 101.325 kPa, kg/L.

    Within 0.015 kg/m3 of IAPWS-95. A reprint of the equation has two digits of the denominator's constant
    exchanged, which errs by up to 0.63 kg/m3.

    Formula: polynomial of fifth degree in t / (1 + 16.879850e-3 t)
    Takes: celsius 0..102 degC
    Gives: kg/L
    Source: Kell 1975, J. Chem. Eng. Data 20, 97-105 (prints 998.2041 kg/m3 at 20 degC)
    Example: density(20.0) = 0.9982041
    """
    t = within("water temperature", celsius, 0.0, HOTTEST_CELSIUS, "degC", KELL)
    polynomial = 999.83952 + t * (
        16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12)))
    )
    return polynomial / (1.0 + 16.879850e-3 * t) / 1000.0


def mass_kg(litres: float, celsius: float = 20.0) -> float:
    """Mass of so many litres of water measured at a temperature, kg.

    Formula: m = V rho(T)
    Takes: litres 0..100000 L; celsius 0..102 degC
    Gives: kg
    Source: Kell 1975, J. Chem. Eng. Data 20, 97-105
    Example: mass_kg(10.0, 70.0) = 9.778
    """
    return within("water volume", litres, 0.0, 1e5, "L", "amounts for the home") * density(celsius)


def litres(kg: float, celsius: float) -> float:
    """Volume of so much water at a temperature, L.

    Formula: V = m / rho(T)
    Takes: kg 0..100000 kg; celsius 0..102 degC
    Gives: L
    Source: Kell 1975, J. Chem. Eng. Data 20, 97-105
    Example: litres(10.0, 70.0) = 10.227
    """
    return within("water mass", kg, 0.0, 1e5, "kg", "amounts for the home") / density(celsius)


def specific_heat(celsius: float) -> float:
    """Specific heat of water at a temperature, kJ/(kg K); the sums here use the constant SPECIFIC_HEAT.

    Formula: 4.2174356 - 0.0056181625 t + 0.0012992528 t^1.5 - 0.00011535353 t^2 + 4.14964e-6 t^2.5
    Takes: celsius 0..102 degC
    Gives: kJ/(kg K)
    Source: Popiel and Wojtkowiak 1998, Heat Transfer Eng. 19(3); coefficients from memory, within 0.004 of
        IAPWS-95
    Example: specific_heat(60.0) = 4.185
    """
    t = within("water temperature", celsius, 0.0, HOTTEST_CELSIUS, "degC", POPIEL)
    root = math.sqrt(t)
    return (
        4.2174356
        - 0.0056181625 * t
        + 0.0012992528 * t * root
        - 0.00011535353 * t * t
        + 4.14964e-6 * t * t * root
    )


def pressure_kpa(altitude_metres: float) -> float:
    """Standard air pressure at an altitude, kPa.

    Formula: p = 101.325 (1 - 0.0065 z / 288.15)^5.25588
    Takes: altitude_metres -600..6000 m
    Gives: kPa
    Source: ISO 2533:1975, troposphere law
    Example: pressure_kpa(1000.0) = 89.875
    """
    z = within("altitude", altitude_metres, -600.0, 6000.0, "m", "ISO 2533:1975 within the settled world")
    return SEA_LEVEL_KPA * float((1.0 - 0.0065 * z / 288.15) ** 5.25588)


def boiling_celsius(altitude_metres: float = 0.0) -> float:
    """Boiling point of water at an altitude in standard air, degC.

    The weather moves it by about 1 degC.

    Formula: T = T_sat(p), p = 101.325 (1 - 0.0065 z / 288.15)^5.25588
    Takes: altitude_metres -600..6000 m
    Gives: degC
    Source: ISO 2533:1975 for the pressure; IAPWS-IF97 (2007), eq. 31
    Example: boiling_celsius(1500.0) = 94.98
    """
    return saturation_celsius(pressure_kpa(altitude_metres))


# Coefficients of the saturation line, IAPWS-IF97 (2007 release), table 34.
_N1, _N2, _N3, _N4, _N5 = (
    1167.0521452767,
    -724213.16703206,
    -17.073846940092,
    12020.82470247,
    -3232555.0322333,
)
_N6, _N7, _N8, _N9, _N10 = (
    14.91510861353,
    -4823.2657361591,
    405113.40542057,
    -0.23855557567849,
    650.17534844798,
)


def saturation_pressure_kpa(celsius: float) -> float:
    """Vapour pressure of water, kPa.

    Formula: p = 1000 (2 C / (-B + sqrt(B^2 - 4 A C)))^4, A, B, C quadratic in a reduced temperature
    Takes: celsius 0..120 degC
    Gives: kPa
    Source: IAPWS-IF97 (2007), eq. 30, table 34
    Example: saturation_pressure_kpa(65.0) = 25.04
    """
    kelvin = within("steam temperature", celsius, 0.0, 120.0, "degC", IF97) + 273.15
    theta = kelvin + _N9 / (kelvin - _N10)
    a = theta * (theta + _N1) + _N2
    b = theta * (_N3 * theta + _N4) + _N5
    c = theta * (_N6 * theta + _N7) + _N8
    return 1000.0 * float((2.0 * c / (-b + math.sqrt(b * b - 4.0 * a * c))) ** 4)


def saturation_celsius(kpa: float) -> float:
    """Boiling point of water under a pressure, degC: the inverse of saturation_pressure_kpa.

    Formula: quadratic in a reduced temperature, coefficients quadratic in p^(1/4)
    Takes: kpa 0.62..200 kPa
    Gives: degC
    Source: IAPWS-IF97 (2007), eq. 31, table 34
    Example: saturation_celsius(101.325) = 99.974
    """
    beta = math.sqrt(math.sqrt(within("pressure", kpa, 0.62, 200.0, "kPa", IF97) / 1000.0))
    e = beta * (beta + _N3) + _N6
    f = beta * (_N1 * beta + _N4) + _N7
    g = beta * (_N2 * beta + _N5) + _N8
    d = 2.0 * g / (-f - math.sqrt(f * f - 4.0 * e * g))
    root = math.sqrt((_N10 + d) ** 2 - 4.0 * (_N9 + _N10 * d))
    return (_N10 + d - root) / 2.0 - 273.15


def latent_heat(celsius: float) -> float:
    """Heat of evaporation of water, kJ/kg.

    Within 0.04 kJ/kg of the saturation line of the source.

    Formula: L = 2500.916 - 2.373938 t + 5.1188e-4 t^2 - 1.21473e-5 t^3
    Takes: celsius 0..102 degC
    Gives: kJ/kg
    Source: IAPWS-IF97 (2007), saturation, fitted here (derived)
    Example: latent_heat(100.0) = 2256.5
    """
    t = within("steam temperature", celsius, 0.0, HOTTEST_CELSIUS, "degC", IF97)
    return 2500.916 - 2.373938 * t + 5.1188e-4 * t * t - 1.21473e-5 * t**3
