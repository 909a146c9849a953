"""Cooling a wort: coil, bath, ice and cold water."""

from __future__ import annotations

import math

from mashday.science.limits import within
from mashday.science.water import SPECIFIC_HEAT

HEAT_OF_FUSION = 333.42
"""kJ/kg, melting ice at 0 degC. IAPWS R10-06 (2009) and IAPWS-95; older tables print 333.55."""

ICE_SPECIFIC_HEAT = 2.05
"""kJ/(kg K), mean over -18 to 0 degC. IAPWS R10-06 (2009)."""

STIRRED_COIL_W_PER_M2_K = 500.0
"""Usual heat transfer of an immersion coil in stirred wort; still wort about half. Judgement, no source."""

STIRRED_BATH_W_PER_K = 50.0
"""Usual heat transfer of a pot in a stirred water bath, W/K (25-90). From memory, no source."""

WELL_MIXED = "one fluid well mixed, effectiveness-NTU; Incropera, ch. 11"


def coil_w_per_k(*, w_per_m2_k: float, area_m2: float, coolant_l_per_minute: float) -> float:
    """Heat a coil carries off per kelvin between wort and entering coolant, W/K.

    (1 - exp(-U A / (m c))) m c, one fluid well mixed; Incropera, Fundamentals of Heat and Mass
    Transfer, ch. 11.
    """
    flow = within("coolant flow", coolant_l_per_minute, 0.05, 100.0, "L/min", WELL_MIXED) / 60.0
    coolant_w_per_k = 1000.0 * SPECIFIC_HEAT * flow
    transfer = within("heat transfer", w_per_m2_k, 1.0, 5000.0, "W/(m2 K)", WELL_MIXED) * within(
        "coil surface", area_m2, 0.001, 20.0, "m2", WELL_MIXED
    )
    return coolant_w_per_k * -math.expm1(-transfer / coolant_w_per_k)


def coil_minutes(
    *,
    capacity_kj_per_k: float,
    from_celsius: float,
    to_celsius: float,
    coolant_celsius: float,
    w_per_k: float,
) -> float:
    """Minutes a coil or a constant bath needs to cool the wort to a temperature.

    C ln[(T1 - T_in) / (T2 - T_in)] / UA. OutOfRange when the target is not at least 0.5 K above the
    coolant: it would never be reached.
    """
    start = within("wort temperature", from_celsius, -5.0, 102.0, "degC", WELL_MIXED)
    coolant = within("coolant temperature", coolant_celsius, -20.0, 60.0, "degC", WELL_MIXED)
    target = within("temperature to cool to", to_celsius, coolant + 0.5, start, "degC", WELL_MIXED)
    within("heat transfer", w_per_k, 0.01, 1e4, "W/K", WELL_MIXED)
    within("heat capacity", capacity_kj_per_k, 1e-3, 1e5, "kJ/K", WELL_MIXED)
    seconds = 1000.0 * capacity_kj_per_k / w_per_k * math.log((start - coolant) / (target - coolant))
    return seconds / 60.0


def ice_kg(
    *, capacity_kj_per_k: float, from_celsius: float, to_celsius: float, ice_celsius: float = 0.0
) -> float:
    """Ice to melt into the pot to cool it, kg: 2.52 kg at -18 degC takes 80 kJ/K from 40 to 25 degC.

    C (T1 - T2) / [L + c_ice (0 - T_ice) + c T2].
    """
    source = "heat balance with melting ice"
    start = within("wort temperature", from_celsius, 0.0, 102.0, "degC", source)
    target = within("temperature to cool to", to_celsius, 0.0, start, "degC", source)
    cold = within("ice temperature", ice_celsius, -40.0, 0.0, "degC", source)
    within("heat capacity", capacity_kj_per_k, 1e-3, 1e5, "kJ/K", source)
    taken_up = HEAT_OF_FUSION - ICE_SPECIFIC_HEAT * cold + SPECIFIC_HEAT * target
    return capacity_kj_per_k * (start - target) / taken_up


def bath_ice_kg(
    *, capacity_kj_per_k: float, from_celsius: float, to_celsius: float, bath_celsius: float
) -> float:
    """Ice that keeps a bath at a temperature while it takes up the heat of the wort, kg.

    The ice melts at 0 degC and warms to the bath; what the bath loses to the room is left out.

    Formula: m = C (T1 - T2) / (L + c T_bath)
    Takes: capacity_kj_per_k 0.001..100000 kJ/K; from_celsius 0..102 degC;
        to_celsius bath_celsius..from_celsius degC; bath_celsius 0..30 degC
    Gives: kg
    Source: heat balance (derived); heat of fusion of IAPWS R10-06 (2009)
    Example: bath_ice_kg(capacity_kj_per_k=83.6, from_celsius=60.0, to_celsius=25.0, bath_celsius=2.0) = 8.56
    """
    source = "heat balance with melting ice"
    start = within("wort temperature", from_celsius, 0.0, 102.0, "degC", source)
    bath = within("bath temperature", bath_celsius, 0.0, 30.0, "degC", source)
    target = within("temperature to cool to", to_celsius, bath, start, "degC", source)
    within("heat capacity", capacity_kj_per_k, 1e-3, 1e5, "kJ/K", source)
    return capacity_kj_per_k * (start - target) / (HEAT_OF_FUSION + SPECIFIC_HEAT * bath)
