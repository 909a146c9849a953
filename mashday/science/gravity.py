"""Sugar in water: density, gravity, Plato; the hydrometer, the refractometer and the extract balances.

Gravity means true relative density 20/20 degC. Plato is 100 times the mass fraction on the sucrose
scale; Brix is the same for this purpose. Litres are litres at 20 degC unless said otherwise.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Literal, NamedTuple

from mashday.science.limits import OutOfRange, within

SPS4 = "ICUMSA SPS-4 (1998)"
MASS_BALANCE = "mass balance of extract"

LOWEST_PLATO, HIGHEST_PLATO = -8.0, 45.0

WEAKEST = 1.0005
"""Gravity below which there is too little extract to thin or to boil down. Judgement, no source."""

GLASS_EXPANSION = 25e-6
"""Volume expansion of a glass hydrometer, per K. ISO 1768:1975, conventional value."""

REFRACTOMETER_FACTOR = 1.04
"""Brix shown by a refractometer in wort over Plato. Common practice, no source; 1.00-1.06 are met."""

DEXTROSE_EXTRACT = 0.909
"""Extract in a kilogram of dextrose monohydrate, kg: 180.156/198.171, molar masses."""

DISSOLVED_L_PER_KG = 0.62
"""Litres by which a kilogram of extract swells the water it dissolves in. Derived from ICUMSA SPS-4."""

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


def first_wort_plato(
    *, extract_as_is: float, moisture: float, water_per_kg: float, conversion: float = 1.0
) -> float:
    """Plato of the liquid in a mash.

    water_per_kg is all the water in the mash per kilogram of grain.

    Formula: P = 100 h e / (R + M + h e)
    Takes: extract_as_is 0.05..1; moisture 0..0.9; water_per_kg 0.2..50 kg/kg; conversion 0..1.2
    Gives: Plato
    Source: balance of the extract methods EBC 4.5.1 and ASBC Malt-4, for any thickness
    Example: first_wort_plato(extract_as_is=0.78, moisture=0.04, water_per_kg=3.0) = 20.42
    """
    dissolved = _extract(extract_as_is) * within("conversion", conversion, 0.0, 1.2, "", MASS_BALANCE)
    return 100.0 * dissolved / (_liquor(water_per_kg, moisture) + dissolved)


def conversion(*, plato: float, extract_as_is: float, moisture: float, water_per_kg: float) -> float:
    """Share of the extract that is dissolved, from the Plato of the mash liquid.

    Much above 1 means a wrong weight, moisture or sample.

    Formula: h = P (R + M) / ((100 - P) e)
    Takes: plato 0..45 Plato; extract_as_is 0.05..1; moisture 0..0.9; water_per_kg 0.2..50 kg/kg
    Gives: share
    Source: mass balance of extract, the inverse of first_wort_plato (derived)
    Example: conversion(plato=18.0, extract_as_is=0.78, moisture=0.04, water_per_kg=3.0) = 0.856
    """
    p = within("extract of the mash liquid", plato, 0.0, HIGHEST_PLATO, "Plato", MASS_BALANCE)
    return p * _liquor(water_per_kg, moisture) / ((100.0 - p) * _extract(extract_as_is))


def water_for_first_wort(
    *, plato: float, extract_as_is: float, moisture: float, conversion: float = 1.0
) -> float:
    """Water for a kilogram of grain that makes the mash liquid so strong, kg/kg.

    Formula: R = h e (100 - P) / P - M
    Takes: plato 1..45 Plato; extract_as_is 0.05..1; moisture 0..0.9; conversion 0..1.2
    Gives: kg/kg
    Source: mass balance of extract, inverse of first_wort_plato (derived)
    Example: water_for_first_wort(plato=20.42, extract_as_is=0.78, moisture=0.04) = 3.0
    """
    strong = within("extract of the mash liquid", plato, 1.0, HIGHEST_PLATO, "Plato", MASS_BALANCE)
    dissolved = _extract(extract_as_is) * within("conversion", conversion, 0.0, 1.2, "", MASS_BALANCE)
    wet = within("grain moisture", moisture, 0.0, 0.9, "", MASS_BALANCE)
    return dissolved * (100.0 - strong) / strong - wet


def on_the_grain(
    *, grain_kg: float, water_kg: float, extract_as_is: float, moisture: float, conversion: float = 1.0
) -> tuple[float, float]:
    """Gravity and litres of the liquid when grain and water ferment together.

    Formula: P of first_wort_plato; V = (water + moisture + dissolved extract) / density
    Takes: grain_kg 0.001..10000 kg; water_kg 0.001..100000 kg; extract_as_is 0.05..1; moisture 0..0.9;
        conversion 0..1.2
    Gives: gravity 20/20, L at 20 degC
    Source: mass balance of extract (derived)
    Example: on_the_grain(grain_kg=6.0, water_kg=19.964, extract_as_is=0.78, moisture=0.04) = (1.0776, 23.13)
    """
    grain = within("grain mass", grain_kg, 1e-3, 1e4, "kg", MASS_BALANCE)
    liquor = within("water", water_kg, 1e-3, 1e5, "kg", MASS_BALANCE)
    strong = first_wort_plato(
        extract_as_is=extract_as_is, moisture=moisture, water_per_kg=liquor / grain, conversion=conversion
    )
    liquid = liquor + grain * (moisture + extract_as_is * conversion)
    return gravity(strong), 1000.0 * liquid / sucrose_density(strong, 20.0)


def grist_kg(*, wash_litres: float, gravity: float, extract_as_is: float, efficiency: float) -> float:
    """Grain for so much wash of a gravity, kg.

    Formula: m = extract in the wash / (e * efficiency), efficiency = conversion * share that leaves the grain
    Takes: wash_litres 0..100000 L; gravity 1..1.19; extract_as_is 0.05..1; efficiency 0.05..1
    Gives: kg
    Source: mass balance of extract (derived)
    Example: grist_kg(wash_litres=20.0, gravity=1.060, extract_as_is=0.77, efficiency=0.80) = 5.07
    """
    within("gravity", gravity, 1.0, 1.19, "", MASS_BALANCE)
    share = within("efficiency", efficiency, 0.05, 1.0, "", MASS_BALANCE)
    return extract_kg(wash_litres, gravity) / (_extract(extract_as_is) * share)


def lauter_efficiency_from_volumes(
    *,
    water_l_per_kg: float,
    extract_kg_per_kg: float,
    retained_l_per_kg: float,
    sparge_l_per_kg: float = 0.0,
    sparges: int = 0,
) -> float:
    """Share of the extract that leaves the grain, from litres: a rougher sibling of batch_sparge_efficiency.

    Formula: V = R + 0.62 e; 1 - (r / V) [r / (r + S)]^n, S for each sparge
    Takes: water_l_per_kg 0.2..50 L/kg; extract_kg_per_kg 0..1; retained_l_per_kg 0..5 L/kg;
        sparge_l_per_kg 0..50 L/kg; sparges 0..10
    Gives: share
    Source: volume balance (derived); 0.62 L of liquid for a kilogram of dissolved extract
    Example: lauter_efficiency_from_volumes(water_l_per_kg=3.0, extract_kg_per_kg=0.764,
        retained_l_per_kg=1.0, sparge_l_per_kg=2.47, sparges=1) = 0.917
    """
    source = "volume balance"
    litres = within("water per kilogram of grain", water_l_per_kg, 0.2, 50.0, "L/kg", source)
    litres += DISSOLVED_L_PER_KG * within("extract", extract_kg_per_kg, 0.0, 1.0, "", source)
    kept = within("wort kept by the grain", retained_l_per_kg, 0.0, 5.0, "L/kg", source)
    rinse = within("sparge water", sparge_l_per_kg, 0.0, 50.0, "L/kg", source)
    count = within("number of sparges", sparges, 0, 10, "", source)
    left = within("wort kept by the grain", kept / litres, 0.0, 1.0, "of the liquid", source)
    if kept > 0.0:
        left *= float((kept / (kept + rinse)) ** count)
    return 1.0 - left


def no_sparge_efficiency(
    *,
    extract_as_is: float,
    moisture: float,
    water_per_kg: float,
    retained_kg_per_kg: float,
    conversion: float = 1.0,
) -> float:
    """Share of the dissolved extract that leaves the grain without a sparge, an upper bound.

    a is the wort kept by a kilogram of grain, kg, dead space included. Complete mixing is assumed. OutOfRange
    when the grain would keep more than all of it.

    Formula: 1 - a / L, L = R + M + h e
    Takes: extract_as_is 0.05..1; moisture 0..0.9; water_per_kg 0.2..50 kg/kg;
        retained_kg_per_kg 0..water_per_kg+moisture+conversion*extract_as_is kg/kg; conversion 0..1.2
    Gives: share
    Source: mass balance of extract (derived)
    Example: no_sparge_efficiency(extract_as_is=0.78, moisture=0.04, water_per_kg=3.0,
        retained_kg_per_kg=1.0) = 0.738
    """
    liquid = _liquor(water_per_kg, moisture) + _extract(extract_as_is) * within(
        "conversion", conversion, 0.0, 1.2, "", MASS_BALANCE
    )
    return (
        1.0
        - within("wort kept by the grain", retained_kg_per_kg, 0.0, liquid, "kg/kg", MASS_BALANCE) / liquid
    )


def batch_sparge_efficiency(
    *,
    extract_as_is: float,
    moisture: float,
    water_per_kg: float,
    retained_kg_per_kg: float,
    sparge_kg_per_kg: float,
    sparges: int = 1,
    conversion: float = 1.0,
) -> float:
    """Share of the dissolved extract that leaves the grain with n equal batch sparges, an upper bound.

    Each batch is mixed and drained fully; S is all the sparge water, a and L as in no_sparge_efficiency.

    Formula: 1 - (a / L) (a / (a + S / n))^n
    Takes: extract_as_is 0.05..1; moisture 0..0.9; water_per_kg 0.2..50 kg/kg;
        retained_kg_per_kg 0..water_per_kg+moisture+conversion*extract_as_is kg/kg;
        sparge_kg_per_kg 0..50 kg/kg; sparges 0..10; conversion 0..1.2
    Gives: share
    Source: mass balance of extract (derived)
    Example: batch_sparge_efficiency(extract_as_is=0.78, moisture=0.04, water_per_kg=3.0,
        retained_kg_per_kg=1.0, sparge_kg_per_kg=2.0) = 0.913
    """
    within("number of sparges", sparges, 0, 10, "", MASS_BALANCE)
    within("sparge water", sparge_kg_per_kg, 0.0, 50.0, "kg/kg", MASS_BALANCE)
    left = 1.0 - no_sparge_efficiency(
        extract_as_is=extract_as_is,
        moisture=moisture,
        water_per_kg=water_per_kg,
        retained_kg_per_kg=retained_kg_per_kg,
        conversion=conversion,
    )
    if left == 0.0 or sparges == 0:
        return 1.0 - left
    kept = retained_kg_per_kg / (retained_kg_per_kg + sparge_kg_per_kg / sparges)
    return 1.0 - left * float(kept**sparges)


def wort_kg(litres: float, gravity: float) -> float:
    """Mass of so much wort, kg.

    Formula: m = V SG rho_water
    Takes: litres 0..100000 L; gravity 0.97..1.19
    Gives: kg
    Source: ICUMSA SPS-4 (1998)
    Example: wort_kg(20.0, 1.060) = 21.162
    """
    within("gravity", gravity, 0.97, 1.19, "", SPS4)
    return within("wort volume", litres, 0.0, 1e5, "L", MASS_BALANCE) * gravity * WATER_20 / 1000.0


def wort_litres(kg: float, gravity: float) -> float:
    """Volume of so much wort, L at 20 degC.

    Formula: V = m / (SG rho_water)
    Takes: kg 0..100000 kg; gravity 0.97..1.19
    Gives: L at 20 degC
    Source: ICUMSA SPS-4 (1998)
    Example: wort_litres(20.0, 1.060) = 18.902
    """
    within("gravity", gravity, 0.97, 1.19, "", SPS4)
    return within("wort mass", kg, 0.0, 1e5, "kg", MASS_BALANCE) / (gravity * WATER_20 / 1000.0)


def extract_kg(litres: float, gravity: float) -> float:
    """Extract in so much wort, kg.

    Formula: E = m P / 100
    Takes: litres 0..100000 L; gravity 0.97..1.19
    Gives: kg
    Source: ICUMSA SPS-4 (1998); mass balance of extract
    Example: extract_kg(20.0, 1.060) = 3.122
    """
    return wort_kg(litres, gravity) * plato(gravity) / 100.0


def dilution_litres(litres: float, from_gravity: float, to_gravity: float) -> float:
    """Water to add to bring wort down to a gravity, L at 20 degC.

    Formula: m (P1 / P2 - 1) / rho_water
    Takes: litres 0..100000 L; from_gravity 1.0005..1.19; to_gravity 1.0005..from_gravity
    Gives: L at 20 degC
    Source: mass balance of extract (derived)
    Example: dilution_litres(20.0, 1.070, 1.060) = 3.36
    """
    start, target = _pair(from_gravity, to_gravity, least=WEAKEST, down=True)
    return wort_kg(litres, from_gravity) * (start / target - 1.0) / (WATER_20 / 1000.0)


def boil_down_litres(litres: float, from_gravity: float, to_gravity: float) -> float:
    """Water to boil off to bring wort up to a gravity, L measured at 20 degC.

    Formula: m (1 - P1 / P2) / rho_water
    Takes: litres 0..100000 L; from_gravity 1.0005..1.19; to_gravity from_gravity..1.19
    Gives: L at 20 degC
    Source: mass balance of extract (derived)
    Example: boil_down_litres(20.0, 1.055, 1.060) = 1.68
    """
    start, target = _pair(from_gravity, to_gravity, least=WEAKEST, down=False)
    return wort_kg(litres, from_gravity) * (1.0 - start / target) / (WATER_20 / 1000.0)


def sugar_kg(litres: float, from_gravity: float, to_gravity: float, extract: float = 1.0) -> float:
    """Sugar to dissolve to bring wort up to a gravity, kg.

    f is the extract in a kilogram of the sugar (sucrose 1, dextrose monohydrate 0.909). The wort grows by it:
    wort_litres(wort_kg(...) + sugar, to_gravity).

    Formula: m (P2 - P1) / (100 f - P2)
    Takes: litres 0..100000 L; from_gravity 0.97..1.19; to_gravity from_gravity..1.19; extract 0.5..1
    Gives: kg
    Source: mass balance of extract (derived)
    Example: sugar_kg(20.0, 1.050, 1.060) = 0.579
    """
    start, target = _pair(from_gravity, to_gravity, least=0.97, down=False)
    within("extract of the sugar", extract, 0.5, 1.0, "", MASS_BALANCE)
    return wort_kg(litres, from_gravity) * (target - start) / (100.0 * extract - target)


def _pair(from_gravity: float, to_gravity: float, *, least: float, down: bool) -> tuple[float, float]:
    within("gravity as it is", from_gravity, least, 1.19, "", MASS_BALANCE)
    low, high = (least, from_gravity) if down else (from_gravity, 1.19)
    within("gravity aimed at", to_gravity, low, high, "", MASS_BALANCE)
    return plato(from_gravity), plato(to_gravity)


def _extract(extract_as_is: float) -> float:
    return within("extract of the grain as it is", extract_as_is, 0.05, 1.0, "", MASS_BALANCE)


def _liquor(water_per_kg: float, moisture: float) -> float:
    within("water per kilogram of grain", water_per_kg, 0.2, 50.0, "kg/kg", MASS_BALANCE)
    return water_per_kg + within("grain moisture", moisture, 0.0, 0.9, "", MASS_BALANCE)


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
