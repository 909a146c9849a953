"""What yeast makes of the extract: alcohol, attenuation, final gravity."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import zip_longest

from mashday.science.gravity import WATER_20, plato
from mashday.science.gravity import gravity as gravity_of
from mashday.science.limits import UnknownName, within
from mashday.science.wort import wort_kg

R22 = "OIML R 22 (1975)"
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


# Coefficients B1 to B6 and C(1,k) to C(5,k) of OIML R 22 (1975): the first powers of t - 20, alone and with
# the mass fraction. A1 to A4 and B1 to B4 as printed in Council Directive 76/766/EEC, the rest as agreeing
# public transcriptions give them.
_R22_B = (
    -2.0618513e-1,
    -5.2682542e-3,
    3.6130013e-5,
    -3.8957702e-7,
    7.1693540e-9,
    -9.9739231e-11,
)
_R22_C = (
    (
        1.693443461530087e-1,
        -1.046914743455169e1,
        7.196353469546523e1,
        -7.047478054272792e2,
        3.924090430035045e3,
        -1.210164659068747e4,
        2.248646550400788e4,
        -2.605562982188164e4,
        1.852373922069467e4,
        -7.420201433430137e3,
        1.285617841998974e3,
    ),
    (
        -1.193013005057010e-2,
        2.517399633803461e-1,
        -2.170575700536993,
        1.353034988843029e1,
        -5.029988758547014e1,
        1.096355666577570e2,
        -1.422753946421155e2,
        1.080435942856230e2,
        -4.414153236817392e1,
        7.442971530188783,
    ),
    (
        -6.802995733503803e-4,
        1.876837790289664e-2,
        -2.002561813734156e-1,
        1.022992966719220,
        -2.895696483903638,
        4.810060584300675,
        -4.672147440794683,
        2.458043105903461,
        -5.411227621436812e-1,
    ),
    (4.075376675622027e-6, -8.763058573471110e-6, 6.515031360099368e-6, -1.515784836987210e-6),
    (-2.788074354782409e-8, 1.345612883493354e-8),
)

# Molar masses, g/mol: IUPAC 2021 standard atomic weights.
_ETHANOL, _CARBON_DIOXIDE = 46.069, 44.009
_SUBSTRATES = {
    "glucose": (180.156, 2),
    "maltose": (342.297, 4),
    "sucrose": (342.297, 4),
    "starch": (162.141, 2),
}
SUBSTRATES = tuple(_SUBSTRATES)
"""What yeast makes alcohol of, by name; starch as the glucose it becomes."""

BALLING_CARBON_DIOXIDE = 0.9565
"""Carbon dioxide beside 1 part of ethanol, by mass. Balling; Nielsen et al. 2007 (0.9695 is printed there
too, but only 0.9565 sums)."""

MUST_SUGAR_PER_PERCENT = 16.83
"""Sugar that makes 1 % vol in practice, g/L. OIV, potential alcohol of musts."""


def ethanol_water_density(mass_fraction: float, celsius: float = 20.0) -> float:
    """Density of ethanol in water, kg/m3.

    Within 0.5 kg/m3 of CoolProp's Melinder mixture; its Helmholtz mixture is up to 3.9 off and no reference.

    Formula: sum A_k p^(k-1) + sum B_k d^k + sum sum C_ik p^k d^i, d = t - 20
    Takes: mass_fraction 0..1; celsius -20..40 degC
    Gives: kg/m3
    Source: OIML R 22 (1975), general formula
    Example: ethanol_water_density(0.5) = 913.771
    """
    p = within("ethanol mass fraction", mass_fraction, 0.0, 1.0, "", R22)
    d = within("temperature", celsius, -20.0, 40.0, "degC", R22) - 20.0
    mixed = [p * _polynomial(row, p) for row in _R22_C]
    warmed = [b + c for b, c in zip_longest(_R22_B, mixed, fillvalue=0.0)]
    return _polynomial(_R22, p) + d * _polynomial(warmed, d)


def mass_percent_from_abv(abv_percent: float) -> float:
    """Ethanol by mass of a mixture with water, %, from its % by volume at 20 degC.

    Formula: p density(p) / 789.239 = v / 100, solved for p
    Takes: abv_percent 0..100 %
    Gives: % mass
    Source: OIML R 22 (1975)
    Example: mass_percent_from_abv(40.0) = 33.300
    """
    wanted = within("alcohol", abv_percent, 0.0, 100.0, "% vol", R22) / 100.0 * ETHANOL_20
    low, high = 0.0, 1.0
    while high - low > 1e-13:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if middle * ethanol_water_density(middle) < wanted else (low, middle)
    return 50.0 * (low + high)


def density_from_abv(abv_percent: float) -> float:
    """Density of an ethanol and water mixture at 20 degC, kg/m3, from its % by volume.

    Formula: density of mass_percent_from_abv
    Takes: abv_percent 0..100 %
    Gives: kg/m3
    Source: OIML R 22 (1975)
    Example: density_from_abv(8.0) = 987.164
    """
    return ethanol_water_density(mass_percent_from_abv(abv_percent) / 100.0)


def ethanol_kg_per_kg(substrate: str) -> float:
    """Ethanol that a kilogram could give if yeast made nothing else, kg: never reached.

    Formula: n * 46.069 / molar mass
    Takes: substrate one of SUBSTRATES
    Gives: kg/kg
    Source: stoichiometry with IUPAC atomic weights
    Example: ethanol_kg_per_kg("glucose") = 0.5114
    """
    if substrate not in _SUBSTRATES:
        raise UnknownName("substrate", substrate, SUBSTRATES)
    mass, molecules = _SUBSTRATES[substrate]
    return molecules * _ETHANOL / mass


def must_potential_abv_percent(sugar_g_per_litre: float) -> float:
    """Alcohol that a sugar solution gives in practice, % by volume: 92 % of what stoichiometry would.

    Formula: v = s / 16.83
    Takes: sugar_g_per_litre 0..400 g/L
    Gives: % vol
    Source: OIV potential alcohol of musts, as in the French decree of 14 September 2011, annex IV
    Example: must_potential_abv_percent(237.8) = 14.13
    """
    source = "OIV potential alcohol of musts"
    return within("sugar", sugar_g_per_litre, 0.0, 400.0, "g/L", source) / MUST_SUGAR_PER_PERCENT


def malt_alcohol_litres_per_tonne(fermentable_extract_percent: float) -> float:
    """Pure alcohol that a tonne of malt promises by its fermentable extract, L: the malting trade's figure.

    Formula: L = 6.06 * fermentable extract in %
    Takes: fermentable_extract_percent 0..90 %
    Gives: L/t
    Source: Bringhurst, Brosnan, McInnes and Steele 1996, J. Inst. Brew. 102:433-437
    Example: malt_alcohol_litres_per_tonne(68.0) = 412.1
    """
    source = "Bringhurst et al. 1996, J. Inst. Brew. 102:433-437"
    return 6.06 * within("fermentable extract", fermentable_extract_percent, 0.0, 90.0, "%", source)


def carbon_dioxide_kg(extract_fermented_kg: float) -> float:
    """Carbon dioxide that fermenting so much extract gives off, kg.

    Formula: m = extract * 0.9565 / 2.0665
    Takes: extract_fermented_kg 0..100000 kg
    Gives: kg
    Source: Balling; Nielsen et al. 2007, Balling's formula
    Example: carbon_dioxide_kg(1.0) = 0.463
    """
    eaten = within("extract fermented", extract_fermented_kg, 0.0, 1e5, "kg", BALLING)
    return eaten * BALLING_CARBON_DIOXIDE / BALLING_EXTRACT


def carbon_dioxide_litres(extract_fermented_kg: float) -> float:
    """Carbon dioxide that fermenting so much extract gives off, L of gas at 20 degC and 101.325 kPa.

    Formula: V = m / 44.009 * 8.314463 * 293.15 / 101.325
    Takes: extract_fermented_kg 0..100000 kg
    Gives: L
    Source: Balling; ideal gas with the constant of CODATA 2018
    Example: carbon_dioxide_litres(1.0) = 253
    """
    moles = 1000.0 * carbon_dioxide_kg(extract_fermented_kg) / _CARBON_DIOXIDE
    return moles * 8.314463 * 293.15 / 101.325


def alcohol_by_mass_percent(original: float, final: float) -> float:
    """Ethanol in the wash, % by mass, from original and final gravity.

    Within 0.1 of measured beers (Cutaia, Reid and Speers 2009, table III: 4.72 for 14.08 to 3.11 Plato, where
    this gives 4.63). OutOfRange when the final gravity is above the original or below what full fermentation
    gives.

    Formula: A = (OE - RE) / (2.0665 - 0.010665 OE), RE = (AE + 0.4654 A - 0.003615 A^2) / 0.9962
    Takes: original 1..1.17; final lowest_possible_final_gravity(original)..original
    Gives: % by mass
    Source: Balling for the yield; a maltster's calculation page for RE, relayed
    Example: alcohol_by_mass_percent(1.060, 0.998) = 6.49
    """
    original_extract, apparent_extract = _extracts(original, final)
    return _alcohol_by_mass(original_extract, apparent_extract)


def real_extract_plato(original: float, final: float) -> float:
    """Extract really left in the wash, Plato.

    Within 0.1 of measured beers (Cutaia, Reid and Speers 2009, table III).

    Formula: RE = (AE + 0.4654 A - 0.003615 A^2) / 0.9962
    Takes: original 1..1.17; final lowest_possible_final_gravity(original)..original
    Gives: Plato
    Source: a maltster's calculation page, relayed; held against J. Inst. Brew. 115 (2009) 318-327, table III
    Example: real_extract_plato(1.060, 0.998) = 2.36
    """
    original_extract, apparent_extract = _extracts(original, final)
    return _real_extract(apparent_extract, _alcohol_by_mass(original_extract, apparent_extract))


def abv_percent(original: float, final: float) -> float:
    """Ethanol in the wash, % by volume at 20 degC; 0 when nothing fermented.

    Good to about 0.15 plus the errors of the two readings.

    Formula: ABV = A FG rho_water / rho_ethanol, A the alcohol by mass
    Takes: original 1..1.17; final lowest_possible_final_gravity(original)..original
    Gives: % by volume at 20 degC
    Source: Balling for A; OIML R 22 (1975) for the density of ethanol
    Example: abv_percent(1.060, 0.998) = 8.19
    """
    return alcohol_by_mass_percent(original, final) * final * WATER_20 / ETHANOL_20


def true_rdf(original: float, final: float) -> float:
    """True degree of fermentation, 0-1.

    Formula: RDF = 2.0665 A / (2.0665 A + RE)
    Takes: original 1..1.17; final lowest_possible_final_gravity(original)..original
    Gives: share
    Source: Balling; J. Inst. Brew. 115 (2009) 318-327
    Example: true_rdf(1.060, 0.998) = 0.850
    """
    by_mass = alcohol_by_mass_percent(original, final)
    fermented = BALLING_EXTRACT * by_mass
    if fermented == 0.0:
        return 0.0
    return fermented / (fermented + real_extract_plato(original, final))


def apparent_attenuation(original: float, final: float) -> float:
    """Apparent attenuation, a share; above 1 when the wash ends below 1.000.

    Formula: AA = (OE - AE) / OE
    Takes: original 1.0005..1.17; final lowest_possible_final_gravity(original)..original
    Gives: share
    Source: by definition, on the Plato scale
    Example: apparent_attenuation(1.060, 0.998) = 1.035
    """
    within("original gravity", original, 1.0005, 1.17, "", "something to ferment")
    original_extract, apparent_extract = _extracts(original, final)
    return (original_extract - apparent_extract) / original_extract


def final_gravity(original: float, true_rdf: float) -> float:
    """Gravity 20/20 degC after a true degree of fermentation.

    Formula: A = P / (2.0665 + r - 0.010665 P), r = 2.0665 (1 - RDF) / RDF; AE = 0.9962 r A - 0.4654 A +
        0.003615 A^2
    Takes: original 1..1.17; true_rdf 0..1
    Gives: gravity 20/20
    Source: Balling, the inverse of true_rdf (derived)
    Example: final_gravity(1.060, 0.85) = 0.9980
    """
    within("true degree of fermentation", true_rdf, 0.0, 1.0, "", BALLING)
    extract = plato(within("original gravity", original, 1.0, 1.17, "", BALLING))
    if true_rdf == 0.0 or extract == 0.0:
        return original
    left_per_alcohol = BALLING_EXTRACT * (1.0 - true_rdf) / true_rdf
    by_mass = 100.0 * extract / (100.0 * (BALLING_EXTRACT + left_per_alcohol) - 1.0665 * extract)
    apparent = _C * left_per_alcohol * by_mass - _A * by_mass + _B * by_mass * by_mass
    return gravity_of(apparent)


def lowest_possible_final_gravity(original: float) -> float:
    """Gravity 20/20 degC with every bit of extract fermented, a floor for any reading.

    What is left is taken as ethanol and water alone.

    Formula: FG = rho(p) / rho(0), p = P / (206.65 - 1.0665 P)
    Takes: original 1..1.17
    Gives: gravity 20/20
    Source: Balling for the yield; OIML R 22 (1975) for the density
    Example: lowest_possible_final_gravity(1.060) = 0.9869
    """
    extract = plato(within("original gravity", original, 1.0, 1.17, "", BALLING))
    by_mass = extract / (100.0 * BALLING_EXTRACT - 1.0665 * extract)
    return ethanol_water_density(by_mass) / ethanol_water_density(0.0)


def wash_litres_per_wort_litre(original: float, final: float) -> float:
    """Litres of wash from a litre of wort, carbon dioxide having left.

    Formula: V = (100 / FG) / ((100 + 1.0665 A) / OG)
    Takes: original 1..1.17; final lowest_possible_final_gravity(original)..original
    Gives: L/L
    Source: mass balance of the fermentation after Balling (derived)
    Example: wash_litres_per_wort_litre(1.060, 0.998) = 0.993
    """
    by_mass = alcohol_by_mass_percent(original, final)
    return 100.0 / final / ((100.0 + 1.0665 * by_mass) / original)


def pure_alcohol_litres(wort_litres: float, original: float, final: float) -> float:
    """Pure ethanol in the wash made of so much wort, L at 20 degC.

    Formula: V = m A / (100 + 1.0665 A) / rho_ethanol, m the mass of the wort
    Takes: wort_litres 0..100000 L; original 1..1.17; final lowest_possible_final_gravity(original)..original
    Gives: L at 20 degC
    Source: mass balance of the fermentation after Balling (derived); OIML R 22 (1975) for the density of
        ethanol
    Example: pure_alcohol_litres(20.0, 1.060, 0.998) = 1.628
    """
    mass = wort_kg(wort_litres, original)
    by_mass = alcohol_by_mass_percent(original, final)
    return mass * by_mass / (100.0 + 1.0665 * by_mass) / (ETHANOL_20 / 1000.0)


def _polynomial(coefficients: Sequence[float], x: float) -> float:
    total = 0.0
    for coefficient in reversed(coefficients):
        total = total * x + coefficient
    return total


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
