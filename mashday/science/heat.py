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

MOST_ADDED_KG = 1000.0
"""More than anybody pours into a pot at home. Judgement."""
FIRST_PORTION = 0.8
"""Share of an addition that goes in before the next stir and reading. Common practice, no source."""

POURING_KELVIN = 3.0
"""How much cooler boiling water arrives in the mash than it boiled, K. Common practice (2-5), no source."""

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
VESSEL_MATERIALS = tuple(_SPECIFIC_HEATS)
"""What a vessel may be made of."""


def grain_specific_heat(moisture: float) -> float:
    """Specific heat of grain, kJ/(kg K), for a moisture on wet basis.

    The table of the source (0-8 %) prints 1.67 at 4 %, where this gives 1.70; component models give up to
    1.80.

    Formula: c = 1.60 (1 - x) + 4.19 x
    Takes: moisture 0..0.2
    Gives: kJ/(kg K)
    Source: Pauls & Whites Brewing Room Book 1984/85, table of specific heats, for dry malt; water in
        proportion
    Example: grain_specific_heat(0.04) = 1.70
    """
    x = _moisture(moisture)
    return DRY_GRAIN_SPECIFIC_HEAT * (1.0 - x) + SPECIFIC_HEAT * x


def hydration_heat(moisture: float) -> float:
    """Heat that shows in the mash when grain wets, kJ/kg.

    The fit is within 2 kJ/kg of the slaking heats of the source (0-8 % moisture); above 8 % it is
    extrapolated. At 4 % anything from 15 to 45 is plausible. Known disagreement: for flour of 11-12 %
    moisture the baking trade takes 15.1 kJ/kg (6.5 Btu/lb), where this gives 8.3.

    Formula: q = 39 exp(-13.5 x)
    Takes: moisture 0..0.2
    Gives: kJ/kg
    Source: Pauls & Whites Brewing Room Book 1984/85, table of slaking heats, fitted here
    Example: hydration_heat(0.04) = 22.7
    """
    return 39.0 * math.exp(-13.5 * _moisture(moisture))


def vessel_heat_capacity(mass_kg: float, material: str) -> float:
    """Heat capacity of an empty vessel, kJ/K.

    UnknownName for a material that is not in VESSEL_MATERIALS.

    Formula: C = m c, c a table by material
    Takes: mass_kg 0..100 kg; material one of VESSEL_MATERIALS
    Gives: kJ/K
    Source: Incropera, Fundamentals of Heat and Mass Transfer, table A.1 (from memory); plastic from memory
    Example: vessel_heat_capacity(4.5, "stainless steel") = 2.15
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

    The balance of strike_from_capacity with water in the pot.

    Formula: T = T_target + (C_grain (T_target - T_grain) - q + loss) / (c m_water + C_vessel)
    Takes: target_celsius 0..102 degC; water_kg 0.001..10000 kg; grain_kj_per_k 0..100000 kJ/K; grain_celsius
        -40..90 degC; hydration_kj 0..100000 kJ; vessel_kj_per_k 0..100000 kJ/K; vessel_celsius -40..110 degC
        or None; loss_kj -100000..100000 kJ; boiling_celsius 70..102 degC
    Gives: degC
    Source: heat balance of the mash (derived)
    Example: strike_celsius(target_celsius=65.0, water_kg=15.0, grain_kj_per_k=8.5, grain_celsius=20.0) = 71.1
    """
    return strike_from_capacity(
        target_celsius=target_celsius,
        contents_kj_per_k=SPECIFIC_HEAT * within("water", water_kg, 1e-3, 1e4, "kg", BALANCE),
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

    Heated in the pot (vessel_celsius None), the vessel is as hot as its contents; else the contents are
    poured into a vessel at T_vessel. OutOfRange when the contents would have to boil or freeze.

    Formula: T = T_target + (C_grain (T_target - T_grain) - q + loss) / (C_contents + C_vessel); poured:
        T = T_target + (C_grain (T_target - T_grain) + C_vessel (T_target - T_vessel) - q + loss) / C_contents
    Takes: target_celsius 0..102 degC; contents_kj_per_k 0.001..100000 kJ/K; grain_kj_per_k 0..100000 kJ/K;
        grain_celsius -40..90 degC; hydration_kj 0..100000 kJ; vessel_kj_per_k 0..100000 kJ/K; vessel_celsius
        -40..110 degC or None; loss_kj -100000..100000 kJ; boiling_celsius 70..102 degC
    Gives: degC
    Source: heat balance of the mash (derived)
    Example: strike_from_capacity(target_celsius=65.0, contents_kj_per_k=62.85, grain_kj_per_k=8.5,
        grain_celsius=20.0) = 71.1
    """
    _parts(contents_kj_per_k, grain_kj_per_k, vessel_kj_per_k, hydration_kj, loss_kj)
    within("boiling point", boiling_celsius, 70.0, HOTTEST_CELSIUS, "degC", "open water in the settled world")
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

    Formula: T = (C_contents T_contents + C_vessel T_vessel + C_grain T_grain + q - loss) / sum of C
    Takes: contents_kj_per_k 0.001..100000 kJ/K; contents_celsius 0..102 degC; grain_kj_per_k 0..100000 kJ/K;
        grain_celsius -40..90 degC; hydration_kj 0..100000 kJ; vessel_kj_per_k 0..100000 kJ/K;
        vessel_celsius -40..110 degC or None; loss_kj -100000..100000 kJ
    Gives: degC
    Source: heat balance of the mash (derived)
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
    """Strike temperature by the hand rule, degC, for comparison.

    It leaves out hydration, vessel and losses, which often cancel; in a thick mash doughed in fast in the
    heated pot it overshoots by 2-3 K (derived).

    Formula: T = T_target + 0.41 / r (T_target - T_grain)
    Takes: target_celsius 0..102 degC; grain_celsius -40..90 degC; thickness_l_per_kg 0.5..20 L/kg;
        factor_l_per_kg 0..1 L/kg
    Gives: degC
    Source: Palmer, How to Brew, ch. 16
    Example: hand_rule_strike_celsius(target_celsius=61.0, grain_celsius=18.0, thickness_l_per_kg=2.0) = 69.8
    """
    within("thickness", thickness_l_per_kg, 0.5, 20.0, "L/kg", "Palmer, How to Brew, ch. 16")
    within("hand rule factor", factor_l_per_kg, 0.0, 1.0, "L/kg", "Palmer, How to Brew, ch. 16")
    target = _liquid("target temperature", target_celsius)
    return target + factor_l_per_kg / thickness_l_per_kg * (target - _grain(grain_celsius))


def addition_kg(
    *, capacity_kj_per_k: float, from_celsius: float, to_celsius: float, with_celsius: float
) -> float:
    """Water to add to bring the whole pot from one temperature to another, kg.

    C is all that is in the pot and the vessel. OutOfRange when the water lies on the wrong side of the target
    or within 5 K of it.

    Formula: m = C (T2 - T1) / (c (Ta - T2))
    Takes: capacity_kj_per_k 0.001..100000 kJ/K; from_celsius 0..102 degC; to_celsius 0..102 degC;
        with_celsius 0..102 degC
    Gives: kg
    Source: heat balance of the mash (derived)
    Example: addition_kg(capacity_kj_per_k=70.0, from_celsius=62.0, to_celsius=67.0, with_celsius=96.0) = 2.88
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

    Formula: T = (C T1 + m c Ta) / (C + m c)
    Takes: capacity_kj_per_k 0.001..100000 kJ/K; from_celsius 0..102 degC; added_kg 0..1000 kg;
        added_celsius 0..102 degC
    Gives: degC
    Source: heat balance of the mash (derived)
    Example: after_addition_celsius(capacity_kj_per_k=70.0, from_celsius=62.0, added_kg=2.0,
        added_celsius=96.0) = 65.6
    """
    _capacity("heat capacity of the mash", capacity_kj_per_k, 1e-3)
    added_kj_per_k = SPECIFIC_HEAT * within("added water", added_kg, 0.0, MOST_ADDED_KG, "kg", BALANCE)
    heat_kj = capacity_kj_per_k * _liquid("mash temperature", from_celsius) + added_kj_per_k * _liquid(
        "temperature of the added water", added_celsius
    )
    return heat_kj / (capacity_kj_per_k + added_kj_per_k)


def hand_rule_addition_litres(
    *,
    water_litres: float,
    grain_kg: float,
    from_celsius: float,
    to_celsius: float,
    with_celsius: float,
    factor_l_per_kg: float = HAND_RULE_FACTOR,
) -> float:
    """Water to add by the hand rule, L, for comparison.

    It leaves out the vessel and takes hot litres for cold ones: the rise falls a tenth or so short.

    Formula: V = (T2 - T1) (f G + W) / (Ta - T2), f = 0.41 L/kg
    Takes: water_litres 0..10000 L; grain_kg 0..10000 kg; from_celsius 0..102 degC; to_celsius 0..102 degC;
        with_celsius 0..102 degC; factor_l_per_kg 0..1 L/kg
    Gives: L
    Source: Palmer, How to Brew, ch. 16
    Example: hand_rule_addition_litres(water_litres=15.0, grain_kg=5.0, from_celsius=62.0, to_celsius=67.0,
        with_celsius=100.0) = 2.58
    """
    source = "Palmer, How to Brew, ch. 16"
    litres = within("water in the mash", water_litres, 0.0, 1e4, "L", source)
    litres += within("hand rule factor", factor_l_per_kg, 0.0, 1.0, "L/kg", source) * within(
        "grain mass", grain_kg, 0.0, 1e4, "kg", source
    )
    start, target = _liquid("mash temperature", from_celsius), _liquid("target temperature", to_celsius)
    added = _liquid("temperature of the added water", with_celsius)
    gap = added - target
    if gap == 0.0 or (target - start) / gap < 0.0:
        raise OutOfRange("temperature of the added water", added, target, HOTTEST_CELSIUS, "degC", source)
    return litres * (target - start) / gap


def decoction_fraction(*, from_celsius: float, to_celsius: float, return_celsius: float) -> float:
    """Share of the pot's whole heat capacity to pull, boil and return, 0-1.

    Exact without losses; Td is the temperature at which the pull comes back.

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

    Formula: m = f C (r + 1) / (r c + c_grain), f = (T2 - T1) / (Td - T1)
    Takes: capacity_kj_per_k 0.001..100000 kJ/K; from_celsius 0..102 degC; to_celsius from_celsius..102 degC;
        return_celsius to_celsius..102 degC; thickness_l_per_kg 0.5..20 L/kg;
        grain_kj_per_kg_k 1..3 kJ/(kg K)
    Gives: kg
    Source: heat balance of the mash (derived)
    Example: decoction_kg(capacity_kj_per_k=70.0, from_celsius=62.0, to_celsius=72.0, return_celsius=98.0,
        thickness_l_per_kg=3.0) = 5.45
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
