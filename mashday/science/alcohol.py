"""What yeast makes of the extract: alcohol, attenuation, final gravity."""

from __future__ import annotations

import math

from mashday.science.gravity import WATER_20, plato, wort_kg
from mashday.science.gravity import gravity as gravity_of
from mashday.science.limits import within

BALLING = "Balling; J. Inst. Brew. 115 (2009) 318-327 for its accuracy"

BALLING_EXTRACT = 2.0665
"""Extract that becomes 1 part of ethanol by mass. Balling; Nielsen et al. 2007."""

ETHANOL_20 = 789.239
"""Density of ethanol at 20 degC, kg/m3. OIML R 22 (1975)."""

ATTENUATION_FACTOR = 0.8192
"""True over apparent degree of fermentation. Balling, published widely."""

# Real extract from apparent extract and alcohol: RE = (AE + a A - b A^2) / c. A maltster's calculation
# page; against measured beers (Cutaia, Reid and Speers 2009, table III) it is within 0.1 % by mass.
_A, _B, _C = 0.4654, 0.003615, 0.9962

# Density of ethanol-water at 20 degC by mass fraction, kg/m3. OIML R 22 (1975), coefficients A1 to A12.
_R22 = (
    9.982012300e2,
    -1.929769495e2,
    3.891238958e2,
    -1.668103923e3,
    1.352215441e4,
    -8.829278388e4,
    3.062874042e5,
    -6.138381234e5,
    7.470172998e5,
    -5.478461354e5,
    2.234460334e5,
    -3.903285426e4,
)


def ethanol_water_density(mass_fraction: float) -> float:
    """Density of ethanol in water at 20 degC, kg/m3, for a mass fraction of 0-1. OIML R 22 (1975)."""
    p = within("ethanol mass fraction", mass_fraction, 0.0, 1.0, "", "OIML R 22 (1975)")
    total = 0.0
    for coefficient in reversed(_R22):
        total = total * p + coefficient
    return total


def alcohol_by_mass_percent(original: float, final: float) -> float:
    """Ethanol in the wash, % by mass, from original and final gravity: 4.63 for 14.08 to 3.11 Plato.

    Balling's A = (OE - RE) / (2.0665 - 0.010665 OE) with the real extract eliminated by
    RE = (AE + 0.4654 A - 0.003615 A^2) / 0.9962. Within 0.1 of measured beers (Cutaia, Reid and Speers
    2009, J. Inst. Brew. 115:318-327, table III). OutOfRange when the final gravity is above the original
    or below what full fermentation gives.
    """
    original_extract, apparent_extract = _extracts(original, final)
    return _alcohol_by_mass(original_extract, apparent_extract)


def real_extract_plato(original: float, final: float) -> float:
    """Extract really left in the wash, Plato."""
    original_extract, apparent_extract = _extracts(original, final)
    return _real_extract(apparent_extract, _alcohol_by_mass(original_extract, apparent_extract))


def abv_percent(original: float, final: float) -> float:
    """Ethanol in the wash, % by volume at 20 degC: 8.19 from 1.060 to 0.998, 0 when nothing fermented.

    Alcohol by mass times the density of the wash over that of ethanol. Good to about 0.15 plus the
    errors of the two readings.
    """
    return alcohol_by_mass_percent(original, final) * final * WATER_20 / ETHANOL_20


def true_rdf(original: float, final: float) -> float:
    """True degree of fermentation, 0-1: 0.850 from 1.060 to 0.998. 2.0665 A / (2.0665 A + RE)."""
    by_mass = alcohol_by_mass_percent(original, final)
    fermented = BALLING_EXTRACT * by_mass
    if fermented == 0.0:
        return 0.0
    return fermented / (fermented + real_extract_plato(original, final))


def apparent_attenuation(original: float, final: float) -> float:
    """Apparent attenuation (OE - AE) / OE; above 1 when the wash ends below 1.000."""
    original_extract, apparent_extract = _extracts(original, final)
    within("original gravity", original, 1.0005, 1.17, "", "something to ferment")
    return (original_extract - apparent_extract) / original_extract


def final_gravity(original: float, true_rdf: float) -> float:
    """Gravity after a true degree of fermentation (0-1): 0.9980 from 1.060 at 0.85."""
    within("true degree of fermentation", true_rdf, 0.0, 1.0, "", BALLING)
    extract = plato(within("original gravity", original, 1.0, 1.17, "", BALLING))
    if true_rdf == 0.0 or extract == 0.0:
        return original
    left_per_alcohol = BALLING_EXTRACT * (1.0 - true_rdf) / true_rdf
    by_mass = 100.0 * extract / (100.0 * (BALLING_EXTRACT + left_per_alcohol) - 1.0665 * extract)
    apparent = _C * left_per_alcohol * by_mass - _A * by_mass + _B * by_mass * by_mass
    return gravity_of(apparent)


def lowest_possible_final_gravity(original: float) -> float:
    """Gravity with every bit of extract fermented, a floor for any reading: 0.9869 from 1.060.

    Ethanol and water alone: Balling's yield, density of OIML R 22 (1975).
    """
    extract = plato(within("original gravity", original, 1.0, 1.17, "", BALLING))
    by_mass = extract / (100.0 * BALLING_EXTRACT - 1.0665 * extract)
    return ethanol_water_density(by_mass) / ethanol_water_density(0.0)


def wash_litres_per_wort_litre(original: float, final: float) -> float:
    """Volume of wash from a litre of wort, carbon dioxide having left: 0.993 for 1.060 to 0.998."""
    by_mass = alcohol_by_mass_percent(original, final)
    return 100.0 / final / ((100.0 + 1.0665 * by_mass) / original)


def pure_alcohol_litres(wort_litres: float, original: float, final: float) -> float:
    """Pure ethanol in the wash made of so much wort, L at 20 degC: 1.628 from 20 L, 1.060 to 0.998."""
    mass = wort_kg(wort_litres, original)
    by_mass = alcohol_by_mass_percent(original, final)
    return mass * by_mass / (100.0 + 1.0665 * by_mass) / (ETHANOL_20 / 1000.0)


def _extracts(original: float, final: float) -> tuple[float, float]:
    within("original gravity", original, 1.0, 1.17, "", BALLING)
    floor = lowest_possible_final_gravity(original)
    within("final gravity", final, floor, original, "", "between full fermentation and none; Balling")
    return plato(original), plato(final)


def _alcohol_by_mass(original_extract: float, apparent_extract: float) -> float:
    a = 100.0 * _B / _C
    b = 1.0665 * original_extract - 100.0 * BALLING_EXTRACT - 100.0 * _A / _C
    c = 100.0 * (original_extract - apparent_extract / _C)
    return max(0.0, (-b - math.sqrt(b * b - 4.0 * a * c)) / (2.0 * a))


def _real_extract(apparent_extract: float, by_mass: float) -> float:
    return (apparent_extract + _A * by_mass - _B * by_mass * by_mass) / _C
