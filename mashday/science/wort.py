"""The extract in a mash and a wort: balances of water and extract by mass.

Gravity means true relative density 20/20 degC; litres are litres at 20 degC unless said otherwise.
"""

from __future__ import annotations

from mashday.science.gravity import HIGHEST_PLATO, SPS4, WATER_20, plato, sucrose_density
from mashday.science.gravity import gravity as gravity_of
from mashday.science.limits import within

MASS_BALANCE = "mass balance of extract"

WEAKEST = 1.0005
"""Gravity below which there is too little extract to thin or to boil down. Judgement, no source."""

DEXTROSE_EXTRACT = 0.909
"""Extract in a kilogram of dextrose monohydrate, kg: 180.156/198.171, molar masses."""

DISSOLVED_L_PER_KG = 0.62
"""Litres by which a kilogram of extract swells the water it dissolves in. Derived from ICUMSA SPS-4."""


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
    return gravity_of(strong), 1000.0 * liquid / sucrose_density(strong, 20.0)


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
