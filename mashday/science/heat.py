"""Heat balances of mashing: strike, landing, additions, decoction.

Losses, fire and thermometers have rooms of their own; their functions are handed on from here, so
that a caller finds every thermal sum behind one door.
"""

from __future__ import annotations

import math

from mashday.science.limits import OutOfRange, UnknownName, within
from mashday.science.water import HOTTEST_CELSIUS, SPECIFIC_HEAT

BALANCE = "heat balance of the mash"

DRY_GRAIN_SPECIFIC_HEAT = 1.60
"""kJ/(kg K), malt without moisture. Pauls & Whites Brewing Room Book 1984/85, table of specific heats."""

HAND_RULE_FACTOR = 0.41
"""L/kg: heat of a kilogram of grain in litres of water. Palmer, How to Brew, ch. 16 (0.2 qt/lb)."""

SMALLEST_GAP_KELVIN = 5.0
"""Added water must differ from the target by as much, K, or the amount is mostly error. Judgement."""

_SPECIFIC_HEATS = {
    "stainless steel": 0.477,
    "aluminium": 0.903,
    "copper": 0.385,
    "enamelled steel": 0.434,
    "cast iron": 0.43,
    "plastic": 2.1,
}
# Metals: Incropera, Fundamentals of Heat and Mass Transfer, table A.1 (from memory); plastic: dense
# polyethylene, 1.9-2.3, from memory.


def grain_specific_heat(moisture: float) -> float:
    """Specific heat of grain, kJ/(kg K), for a moisture of 0-0.20 (wet basis): 1.70 at 0.04.

    Dry grain and water in proportion. Pauls & Whites Brewing Room Book 1984/85 (table, 0-8 %) prints
    1.67 at 4 %; component models give up to 1.80.

    Formula: c = 1.60 (1 - x) + 4.19 x
    Takes: moisture 0..0.2
    Gives: kJ/(kg K)
    Source: Pauls & Whites Brewing Room Book 1984/85, table of specific heats
    Example: grain_specific_heat(0.04) = 1.70
    """
    x = _moisture(moisture)
    return DRY_GRAIN_SPECIFIC_HEAT * (1.0 - x) + SPECIFIC_HEAT * x


def hydration_heat(moisture: float) -> float:
    """Heat that shows in the mash when grain wets, kJ/kg, for a moisture of 0-0.20: 22.7 at 0.04.

    39 exp(-13.5 moisture), a fit within 2 kJ/kg to the slaking heats of the Pauls & Whites Brewing Room
    Book 1984/85 (0-8 %); above 8 % it is extrapolated. At 4 % anything from 15 to 45 is plausible.

    Formula: q = 39 exp(-13.5 x)
    Takes: moisture 0..0.2
    Gives: kJ/kg
    Source: fit to Pauls & Whites Brewing Room Book 1984/85, slaking heats, 0-8 %
    Example: hydration_heat(0.04) = 22.7
    """
    return 39.0 * math.exp(-13.5 * _moisture(moisture))


def vessel_heat_capacity(mass_kg: float, material: str) -> float:
    """Heat capacity of an empty vessel, kJ/K, for 0-100 kg: 2.1 for 4.5 kg of stainless steel.

    Metals: Incropera, Fundamentals of Heat and Mass Transfer, table A.1 (from memory). UnknownName for
    another material.

    Formula: C = m c
    Takes: mass_kg 0..100 kg; material one of the materials
    Gives: kJ/K
    Source: Incropera, Fundamentals of Heat and Mass Transfer, table A.1, from memory
    Example: vessel_heat_capacity(4.5, "stainless steel") = 2.1
    """
    if material not in _SPECIFIC_HEATS:
        raise UnknownName("vessel material", material, _SPECIFIC_HEATS)
    return _SPECIFIC_HEATS[material] * within("vessel mass", mass_kg, 0.0, 100.0, "kg", "pots for the home")


def strike_celsius(
    *,
    target_celsius: float,
    water_kg: float,
    grain_kj_per_k: float,
    grain_celsius: float,
    hydration_kj: float = 0.0,
    vessel_kj_per_k: float = 0.0,
    vessel_celsius: float | None = None,
    loss_kj: float = 0.0,
    boiling_celsius: float = HOTTEST_CELSIUS,
) -> float:
    """Temperature to which the water is heated so that the mash lands on target, degC.

    The balance of strike_from_capacity with water in the pot. 5 kg of malt at 20 degC into 15 kg of
    water for 65 degC: 71.1 without hydration or vessel (derived).

    Formula: strike_from_capacity with C_contents = 4.19 m
    Takes: target_celsius 0..102 degC; water_kg 0.0003..23000 kg; grain_kj_per_k 0..100000 kJ/K; grain_celsius
        -40..90 degC; hydration_kj 0..100000 kJ; vessel_kj_per_k 0..100000 kJ/K; vessel_celsius -40..110 degC
        or None; loss_kj -100000..100000 kJ; boiling_celsius 50..102 degC
    Gives: degC
    Source: heat balance of the mash (derived)
    Example: strike_celsius(target_celsius=65.0, water_kg=15.0, grain_kj_per_k=8.5, grain_celsius=20.0) = 71.1
    """
    return strike_from_capacity(
        target_celsius=target_celsius,
        contents_kj_per_k=SPECIFIC_HEAT * water_kg,
        grain_kj_per_k=grain_kj_per_k,
        grain_celsius=grain_celsius,
        hydration_kj=hydration_kj,
        vessel_kj_per_k=vessel_kj_per_k,
        vessel_celsius=vessel_celsius,
        loss_kj=loss_kj,
        boiling_celsius=boiling_celsius,
    )


def strike_from_capacity(
    *,
    target_celsius: float,
    contents_kj_per_k: float,
    grain_kj_per_k: float,
    grain_celsius: float,
    hydration_kj: float = 0.0,
    vessel_kj_per_k: float = 0.0,
    vessel_celsius: float | None = None,
    loss_kj: float = 0.0,
    boiling_celsius: float = HOTTEST_CELSIUS,
) -> float:
    """Temperature whatever is in the pot (water or a cooked mash) must have before the grain goes in, degC.

    Heated in the pot (vessel_celsius None), the vessel is as hot as its contents:
    T = T_target + [C_grain (T_target - T_grain) - q + loss] / (C_contents + C_vessel).
    Poured into a vessel at T_vessel:
    T = T_target + [C_grain (T_target - T_grain) + C_vessel (T_target - T_vessel) - q + loss] / C_contents.
    OutOfRange when the contents would have to boil or freeze.

    Formula: T = T_target + [C_grain (T_target - T_grain) - q + loss] / (C_contents + C_vessel); poured: T =
        T_target + [C_grain (T_target - T_grain) + C_vessel (T_target - T_vessel) - q + loss] / C_contents
    Takes: target_celsius 0..102 degC; contents_kj_per_k 0.001..100000 kJ/K; grain_kj_per_k 0..100000 kJ/K;
        grain_celsius -40..90 degC; hydration_kj 0..100000 kJ; vessel_kj_per_k 0..100000 kJ/K; vessel_celsius
        -40..110 degC or None; loss_kj -100000..100000 kJ; boiling_celsius 50..102 degC
    Gives: degC
    Source: heat balance of the mash (derived)
    Example: strike_from_capacity(target_celsius=65.0, contents_kj_per_k=62.85, grain_kj_per_k=8.5,
        grain_celsius=20.0, hydration_kj=107.5, vessel_kj_per_k=2.5) = 69.2
    """
    _parts(contents_kj_per_k, grain_kj_per_k, vessel_kj_per_k, hydration_kj, loss_kj)
    target = _liquid("target temperature", target_celsius)
    needed_kj = grain_kj_per_k * (target - _grain(grain_celsius)) - hydration_kj + loss_kj
    carrier_kj_per_k = contents_kj_per_k
    if vessel_celsius is None:
        carrier_kj_per_k += vessel_kj_per_k
    else:
        needed_kj += vessel_kj_per_k * (target - _vessel(vessel_celsius))
    strike = target + needed_kj / carrier_kj_per_k
    if not 0.0 <= strike < boiling_celsius:
        raise OutOfRange("strike temperature", strike, 0.0, boiling_celsius, "degC", "neither ice nor steam")
    return strike


def landing_celsius(
    *,
    contents_kj_per_k: float,
    contents_celsius: float,
    grain_kj_per_k: float,
    grain_celsius: float,
    hydration_kj: float = 0.0,
    vessel_kj_per_k: float = 0.0,
    vessel_celsius: float | None = None,
    loss_kj: float = 0.0,
) -> float:
    """Temperature at which the mash lands, degC: the inverse of strike_from_capacity.

    Formula: T = (C_contents T_contents + C_vessel T_vessel + C_grain T_grain + q - loss) / (C_contents +
        C_vessel + C_grain)
    Takes: contents_kj_per_k 0.001..100000 kJ/K; contents_celsius 0..102 degC; grain_kj_per_k 0..100000 kJ/K;
        grain_celsius -40..90 degC; hydration_kj 0..100000 kJ; vessel_kj_per_k 0..100000 kJ/K; vessel_celsius
        -40..110 degC or None; loss_kj -100000..100000 kJ
    Gives: degC
    Source: heat balance of the mash (derived), inverse of strike_from_capacity
    Example: landing_celsius(contents_kj_per_k=62.85, contents_celsius=71.1, grain_kj_per_k=8.5,
        grain_celsius=20.0) = 65.0
    """
    _parts(contents_kj_per_k, grain_kj_per_k, vessel_kj_per_k, hydration_kj, loss_kj)
    contents = _liquid("temperature of the contents", contents_celsius)
    vessel = contents if vessel_celsius is None else _vessel(vessel_celsius)
    heat_kj = (
        contents_kj_per_k * contents
        + vessel_kj_per_k * vessel
        + grain_kj_per_k * _grain(grain_celsius)
        + hydration_kj
        - loss_kj
    )
    return heat_kj / (contents_kj_per_k + vessel_kj_per_k + grain_kj_per_k)


def hand_rule_strike_celsius(
    *,
    target_celsius: float,
    grain_celsius: float,
    thickness_l_per_kg: float,
    factor_l_per_kg: float = HAND_RULE_FACTOR,
) -> float:
    """Strike temperature by the hand rule T + 0.41 / r (T - T_grain), degC, for comparison.

    Palmer, How to Brew, ch. 16. It leaves out hydration, vessel and losses, which often cancel; in a
    thick mash doughed in fast in the heated pot it overshoots by 2-3 K (derived).

    Formula: T + f / r (T - T_grain), f = 0.41 L/kg
    Takes: target_celsius 0..102 degC; grain_celsius -40..90 degC; thickness_l_per_kg 0.5..20 L/kg;
        factor_l_per_kg 0..1 L/kg
    Gives: degC
    Source: Palmer, How to Brew, ch. 16
    Example: hand_rule_strike_celsius(target_celsius=65.0, grain_celsius=20.0, thickness_l_per_kg=3.0) = 71.15
    """
    within("thickness", thickness_l_per_kg, 0.5, 20.0, "L/kg", "Palmer, How to Brew, ch. 16")
    within("hand rule factor", factor_l_per_kg, 0.0, 1.0, "L/kg", "Palmer, How to Brew, ch. 16")
    target = _liquid("target temperature", target_celsius)
    return target + factor_l_per_kg / thickness_l_per_kg * (target - _grain(grain_celsius))


def addition_kg(
    *, capacity_kj_per_k: float, from_celsius: float, to_celsius: float, with_celsius: float
) -> float:
    """Water to add to bring the whole pot from one temperature to another, kg.

    m = C (T2 - T1) / [c (Ta - T2)], C being all that is in the pot and the vessel. OutOfRange when the
    water lies on the wrong side of the target or within 5 K of it.

    Formula: m = C (T2 - T1) / [c (Ta - T2)]
    Takes: capacity_kj_per_k 0.001..100000 kJ/K; from_celsius 0..102 degC; to_celsius 0..102 degC;
        with_celsius 0..102 degC
    Gives: kg
    Source: heat balance of the mash (derived)
    Example: addition_kg(capacity_kj_per_k=73.85, from_celsius=62.0, to_celsius=67.0, with_celsius=100.0) =
        2.67
    """
    _capacity("heat capacity of the mash", capacity_kj_per_k, 1e-3)
    start, target = _liquid("mash temperature", from_celsius), _liquid("target temperature", to_celsius)
    added = _liquid("temperature of the added water", with_celsius)
    if target == start:
        return 0.0
    if target > start:
        low, high = target + SMALLEST_GAP_KELVIN, HOTTEST_CELSIUS
    else:
        low, high = 0.0, target - SMALLEST_GAP_KELVIN
    if not low <= added <= high:
        raise OutOfRange("temperature of the added water", added, low, high, "degC", BALANCE)
    return capacity_kj_per_k * (target - start) / (SPECIFIC_HEAT * (added - target))


def after_addition_celsius(
    *, capacity_kj_per_k: float, from_celsius: float, added_kg: float, added_celsius: float
) -> float:
    """Temperature of the pot after water was added and stirred in, degC: the inverse of addition_kg.

    Formula: T2 = (C T1 + m c Ta) / (C + m c)
    Takes: capacity_kj_per_k 0.001..100000 kJ/K; from_celsius 0..102 degC; added_kg 0..1000 kg; added_celsius
        0..102 degC
    Gives: degC
    Source: heat balance of the mash (derived), inverse of addition_kg
    Example: after_addition_celsius(capacity_kj_per_k=73.85, from_celsius=62.0, added_kg=2.67,
        added_celsius=100.0) = 67.0
    """
    _capacity("heat capacity of the mash", capacity_kj_per_k, 1e-3)
    added_kj_per_k = SPECIFIC_HEAT * within("added water", added_kg, 0.0, 1000.0, "kg", BALANCE)
    heat_kj = capacity_kj_per_k * _liquid("mash temperature", from_celsius) + added_kj_per_k * _liquid(
        "temperature of the added water", added_celsius
    )
    return heat_kj / (capacity_kj_per_k + added_kj_per_k)


def decoction_fraction(*, from_celsius: float, to_celsius: float, return_celsius: float) -> float:
    """Share of the pot's whole heat capacity to pull, boil and return, 0-1: 0.278 for 62 to 72 with 98 degC.

    (T2 - T1) / (Td - T1), exact without losses; Td is the temperature at which the pull comes back.

    Formula: f = (T2 - T1) / (Td - T1)
    Takes: from_celsius 0..102 degC; to_celsius from_celsius..102 degC; return_celsius to_celsius..102 degC
    Gives: share
    Source: heat balance of the mash (derived)
    Example: decoction_fraction(from_celsius=62.0, to_celsius=72.0, return_celsius=98.0) = 0.278
    """
    start, target = _liquid("mash temperature", from_celsius), _liquid("target temperature", to_celsius)
    hot = _liquid("temperature of the returned pull", return_celsius)
    if target == start:
        return 0.0
    within("target temperature", target, start, HOTTEST_CELSIUS, "degC", "a decoction only heats")
    within("temperature of the returned pull", hot, target, HOTTEST_CELSIUS, "degC", BALANCE)
    return (target - start) / (hot - start)


def decoction_kg(
    *,
    capacity_kj_per_k: float,
    from_celsius: float,
    to_celsius: float,
    return_celsius: float,
    thickness_l_per_kg: float,
    grain_kj_per_kg_k: float = 1.70,
) -> float:
    """Mass of mash to pull for a decoction, kg, when the pull has the thickness given (L water per kg grain).

    The pull's specific heat is that of its water and grain in proportion: 3.57 kJ/(kg K) at 3 L/kg.

    Formula: m = f C / c_pull, c_pull = (r c + c_grain) / (r + 1)
    Takes: capacity_kj_per_k 0.001..100000 kJ/K; from_celsius 0..102 degC; to_celsius from_celsius..102 degC;
        return_celsius to_celsius..102 degC; thickness_l_per_kg 0.5..20 L/kg; grain_kj_per_kg_k 1..3 kJ/(kg K)
    Gives: kg
    Source: heat balance of the mash (derived)
    Example: decoction_kg(capacity_kj_per_k=73.85, from_celsius=62.0, to_celsius=72.0, return_celsius=98.0,
        thickness_l_per_kg=3.0) = 5.75
    """
    within("thickness", thickness_l_per_kg, 0.5, 20.0, "L/kg", BALANCE)
    within("specific heat of the grain", grain_kj_per_kg_k, 1.0, 3.0, "kJ/(kg K)", BALANCE)
    share = decoction_fraction(
        from_celsius=from_celsius, to_celsius=to_celsius, return_celsius=return_celsius
    )
    specific = (thickness_l_per_kg * SPECIFIC_HEAT + grain_kj_per_kg_k) / (thickness_l_per_kg + 1.0)
    return share * _capacity("heat capacity of the mash", capacity_kj_per_k, 1e-3) / specific


def _moisture(moisture: float) -> float:
    return within("grain moisture", moisture, 0.0, 0.20, "", "Pauls & Whites Brewing Room Book 1984/85")


def _liquid(quantity: str, celsius: float) -> float:
    return within(quantity, celsius, 0.0, HOTTEST_CELSIUS, "degC", "liquid water")


def _grain(celsius: float) -> float:
    return within("grain temperature", celsius, -40.0, 90.0, "degC", "common practice, no source")


def _vessel(celsius: float) -> float:
    return within("vessel temperature", celsius, -40.0, 110.0, "degC", "common practice, no source")


def _capacity(quantity: str, kj_per_k: float, least: float = 0.0) -> float:
    return within(quantity, kj_per_k, least, 1e5, "kJ/K", BALANCE)


def _parts(
    contents_kj_per_k: float,
    grain_kj_per_k: float,
    vessel_kj_per_k: float,
    hydration_kj: float,
    loss_kj: float,
) -> None:
    _capacity("heat capacity of the contents", contents_kj_per_k, 1e-3)
    _capacity("heat capacity of the grain", grain_kj_per_k)
    _capacity("heat capacity of the vessel", vessel_kj_per_k)
    within("heat of hydration", hydration_kj, 0.0, 1e5, "kJ", BALANCE)
    within("heat loss while doughing in", loss_kj, -1e5, 1e5, "kJ", BALANCE)
