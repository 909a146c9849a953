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

    Formula: q = m c (1 - exp(-U A / (m c)))
    Takes: w_per_m2_k 1..5000 W/(m2 K); area_m2 0.001..20 m2; coolant_l_per_minute 0.05..100 L/min
    Gives: W/K
    Source: Incropera, Fundamentals of Heat and Mass Transfer, ch. 11, one fluid well mixed
    Example: coil_w_per_k(w_per_m2_k=500.0, area_m2=0.47, coolant_l_per_minute=6.0) = 180
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

    OutOfRange when the target is not at least 0.5 K above the coolant: it would never be reached.

    Formula: t = C ln((T1 - T_in) / (T2 - T_in)) / UA
    Takes: capacity_kj_per_k 0.001..100000 kJ/K; from_celsius -5..102 degC; to_celsius
        coolant_celsius+0.5..from_celsius degC; coolant_celsius -20..60 degC; w_per_k 0.01..10000 W/K
    Gives: min
    Source: Incropera, Fundamentals of Heat and Mass Transfer, ch. 11, one fluid well mixed
    Example: coil_minutes(capacity_kj_per_k=80.0, from_celsius=90.0, to_celsius=25.0, coolant_celsius=12.0,
        w_per_k=200.0) = 11.9
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
    """Ice to melt into the pot to cool it, kg.

    Formula: m = C (T1 - T2) / (L - c_ice T_ice + c T2)
    Takes: capacity_kj_per_k 0.001..100000 kJ/K; from_celsius 0..102 degC; to_celsius 0..from_celsius degC;
        ice_celsius -40..0 degC
    Gives: kg
    Source: heat balance (derived); heat of fusion of IAPWS R10-06 (2009)
    Example: ice_kg(capacity_kj_per_k=80.0, from_celsius=40.0, to_celsius=25.0, ice_celsius=-18.0) = 2.526
    """
    source = "heat balance with melting ice"
    start = within("wort temperature", from_celsius, 0.0, 102.0, "degC", source)
    target = within("temperature to cool to", to_celsius, 0.0, start, "degC", source)
    cold = within("ice temperature", ice_celsius, -40.0, 0.0, "degC", source)
    within("heat capacity", capacity_kj_per_k, 1e-3, 1e5, "kJ/K", source)
    taken_up = HEAT_OF_FUSION - ICE_SPECIFIC_HEAT * cold + SPECIFIC_HEAT * target
    return capacity_kj_per_k * (start - target) / taken_up


def after_ice_celsius(
    *, capacity_kj_per_k: float, from_celsius: float, ice_kilograms: float, ice_celsius: float = 0.0
) -> float:
    """Temperature of the pot once ice has melted in it and was stirred in, degC: the inverse of ice_kg.

    Formula: T2 = (C T1 - m (L - c_ice T_ice)) / (C + m c)
    Takes: capacity_kj_per_k 0.001..100000 kJ/K; from_celsius 0..102 degC; ice_kilograms 0..1000 kg;
        ice_celsius -40..0 degC
    Gives: degC; never below 0, where ice would be left
    Source: heat balance (derived); heat of fusion of IAPWS R10-06 (2009)
    Example: after_ice_celsius(capacity_kj_per_k=80.0, from_celsius=40.0, ice_kilograms=2.526,
        ice_celsius=-18.0) = 25.0
    """
    source = "heat balance with melting ice"
    start = within("temperature of the pot", from_celsius, 0.0, 102.0, "degC", source)
    mass = within("ice", ice_kilograms, 0.0, 1000.0, "kg", source)
    cold = within("ice temperature", ice_celsius, -40.0, 0.0, "degC", source)
    capacity = within("heat capacity", capacity_kj_per_k, 1e-3, 1e5, "kJ/K", source)
    owed = mass * (HEAT_OF_FUSION - ICE_SPECIFIC_HEAT * cold)
    return max(0.0, (capacity * start - owed) / (capacity + mass * SPECIFIC_HEAT))


def bath_celsius(
    *,
    capacity_kj_per_k: float,
    from_celsius: float,
    bath_kg: float,
    bath_from_celsius: float,
    minutes: float,
    w_per_k: float,
) -> float:
    """Temperature of the wort after so many minutes in a bath that warms up with it, degC.

    Both near their common temperature; the loss to the room is left out.

    Formula: T = T_mix + (T1 - T_mix) exp(-UA t (1/C + 1/C_bath)),
        T_mix = (C T1 + C_bath T_bath) / (C + C_bath)
    Takes: capacity_kj_per_k 0.001..100000 kJ/K; from_celsius 0..102 degC; bath_kg 0.1..10000 kg;
        bath_from_celsius 0..60 degC; minutes 0..43200 min; w_per_k 0.01..10000 W/K
    Gives: degC
    Source: two lumped bodies, Newton's law of cooling (derived)
    Example: bath_celsius(capacity_kj_per_k=83.6, from_celsius=100.0, bath_kg=40.0, bath_from_celsius=12.0,
        minutes=30.0, w_per_k=50.0) = 53.0
    """
    source = "two lumped bodies, Newton's law of cooling"
    capacity = within("heat capacity", capacity_kj_per_k, 1e-3, 1e5, "kJ/K", source)
    start = within("wort temperature", from_celsius, 0.0, 102.0, "degC", source)
    bath = SPECIFIC_HEAT * within("water in the bath", bath_kg, 0.1, 1e4, "kg", source)
    cold = within("bath temperature", bath_from_celsius, 0.0, 60.0, "degC", source)
    time = within("time", minutes, 0.0, 43200.0, "min", source)
    transfer = within("heat transfer", w_per_k, 0.01, 1e4, "W/K", source)
    mixed = bath_settles_celsius(
        capacity_kj_per_k=capacity, from_celsius=start, bath_kg=bath_kg, bath_from_celsius=cold
    )
    decay = math.exp(-transfer * 60.0 * time / 1000.0 * (1.0 / capacity + 1.0 / bath))
    return mixed + (start - mixed) * decay


def bath_settles_celsius(
    *, capacity_kj_per_k: float, from_celsius: float, bath_kg: float, bath_from_celsius: float
) -> float:
    """Temperature at which wort and bath meet, degC: the coldest that this bath alone can make the wort.

    Changing the water once it is warm starts it anew and reaches lower than a bath of twice the size.

    Formula: T_mix = (C T1 + C_bath T_bath) / (C + C_bath)
    Takes: capacity_kj_per_k 0.001..100000 kJ/K; from_celsius 0..102 degC; bath_kg 0.1..10000 kg;
        bath_from_celsius 0..60 degC
    Gives: degC
    Source: heat balance (derived)
    Example: bath_settles_celsius(capacity_kj_per_k=83.6, from_celsius=100.0, bath_kg=40.0,
        bath_from_celsius=12.0) = 41.3
    """
    source = "heat balance of a pot and its bath"
    capacity = within("heat capacity", capacity_kj_per_k, 1e-3, 1e5, "kJ/K", source)
    start = within("wort temperature", from_celsius, 0.0, 102.0, "degC", source)
    bath = SPECIFIC_HEAT * within("water in the bath", bath_kg, 0.1, 1e4, "kg", source)
    cold = within("bath temperature", bath_from_celsius, 0.0, 60.0, "degC", source)
    return (capacity * start + bath * cold) / (capacity + bath)


def bath_minutes(
    *,
    capacity_kj_per_k: float,
    from_celsius: float,
    to_celsius: float,
    bath_kg: float,
    bath_from_celsius: float,
    w_per_k: float,
) -> float:
    """Minutes until the wort is cooled in a bath that warms up with it; infinite when it never is.

    The inverse of bath_celsius; bath_settles_celsius tells how far such a bath can get. In a bath that stays
    as cold as it is, coil_minutes holds.

    Formula: t = ln((T1 - T_mix) / (T2 - T_mix)) / (UA (1/C + 1/C_bath))
    Takes: capacity_kj_per_k 0.001..100000 kJ/K; from_celsius 0..102 degC; to_celsius 0..from_celsius degC;
        bath_kg 0.1..10000 kg; bath_from_celsius 0..60 degC; w_per_k 0.01..10000 W/K
    Gives: min
    Source: two lumped bodies, Newton's law of cooling (derived)
    Example: bath_minutes(capacity_kj_per_k=83.6, from_celsius=100.0, to_celsius=53.0, bath_kg=40.0,
        bath_from_celsius=12.0, w_per_k=50.0) = 30.0
    """
    source = "two lumped bodies, Newton's law of cooling"
    start = within("wort temperature", from_celsius, 0.0, 102.0, "degC", source)
    target = within("temperature to cool to", to_celsius, 0.0, start, "degC", source)
    mixed = bath_settles_celsius(
        capacity_kj_per_k=capacity_kj_per_k,
        from_celsius=start,
        bath_kg=bath_kg,
        bath_from_celsius=bath_from_celsius,
    )
    transfer = within("heat transfer", w_per_k, 0.01, 1e4, "W/K", source)
    if target == start:
        return 0.0
    if target <= mixed:
        return math.inf
    both = 1.0 / capacity_kj_per_k + 1.0 / (SPECIFIC_HEAT * bath_kg)
    return 1000.0 * math.log((start - mixed) / (target - mixed)) / (transfer * both) / 60.0


def minutes_left(
    *,
    before: tuple[float, float],
    now: tuple[float, float],
    to_celsius: float,
    coolant_celsius: float,
) -> float:
    """Minutes of cooling still to go, from the last two (minute, degC) readings.

    Infinite where the coolant is too warm or nothing cools. Whatever cools the wort, it is taken to near the
    coolant in the same share each minute as between the two readings.

    Formula: t = ln[(T_now - T_c) / (T2 - T_c)] / k,
        k = ln[(T_before - T_c) / (T_now - T_c)] / (t_now - t_before)
    Takes: before a pair of minute and degC; now a pair of minute and degC; to_celsius -5..102 degC;
        coolant_celsius -20..60 degC
    Gives: min
    Source: Newton's law of cooling (derived)
    Example: minutes_left(before=(0.0, 90.0), now=(5.0, 64.0), to_celsius=25.0, coolant_celsius=12.0) = 17.1
    """
    source = "Newton's law of cooling"
    coolant = within("coolant temperature", coolant_celsius, -20.0, 60.0, "degC", source)
    target = within("temperature to cool to", to_celsius, -5.0, 102.0, "degC", source)
    first = within("temperature before", before[1], -5.0, 102.0, "degC", source)
    last = within("temperature now", now[1], -5.0, 102.0, "degC", source)
    passed = within("minutes between the readings", now[0] - before[0], 0.01, 43200.0, "min", source)
    if last <= target:
        return 0.0
    if not coolant < target or not first > last > coolant:
        return math.inf
    rate = math.log((first - coolant) / (last - coolant)) / passed
    return math.log((last - coolant) / (target - coolant)) / rate


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


def ice_for_bath_kg(
    *,
    capacity_kj_per_k: float,
    from_celsius: float,
    to_celsius: float,
    bath_kg: float,
    bath_from_celsius: float,
    bath_to_celsius: float,
    ice_celsius: float = 0.0,
) -> float:
    """Ice to throw into a bath of water so that it ends no warmer than asked, kg; 0 when it needs none.

    The bath must end colder than the wort, or cooling takes for ever; the colder, the faster. What the bath
    loses to the room is left out. bath_ice_kg is for a bath that is kept at one temperature.

    Formula: m = (C (T1 - T2) - C_bath (T_end - T_bath)) / (L - c_ice T_ice + c T_end)
    Takes: capacity_kj_per_k 0.001..100000 kJ/K; from_celsius 0..102 degC; to_celsius 0..from_celsius degC;
        bath_kg 0.1..10000 kg; bath_from_celsius 0..60 degC; bath_to_celsius 0..to_celsius degC;
        ice_celsius -40..0 degC
    Gives: kg
    Source: heat balance (derived); heat of fusion of IAPWS R10-06 (2009)
    Example: ice_for_bath_kg(capacity_kj_per_k=83.6, from_celsius=60.0, to_celsius=25.0, bath_kg=40.0,
        bath_from_celsius=12.0, bath_to_celsius=15.0) = 6.12
    """
    source = "heat balance with melting ice"
    capacity = within("heat capacity", capacity_kj_per_k, 1e-3, 1e5, "kJ/K", source)
    start = within("wort temperature", from_celsius, 0.0, 102.0, "degC", source)
    target = within("temperature to cool to", to_celsius, 0.0, start, "degC", source)
    bath = SPECIFIC_HEAT * within("water in the bath", bath_kg, 0.1, 1e4, "kg", source)
    cold = within("bath temperature", bath_from_celsius, 0.0, 60.0, "degC", source)
    end = within("temperature the bath ends at", bath_to_celsius, 0.0, target, "degC", source)
    ice = within("ice temperature", ice_celsius, -40.0, 0.0, "degC", source)
    left = capacity * (start - target) - bath * (end - cold)
    return max(0.0, left / (HEAT_OF_FUSION - ICE_SPECIFIC_HEAT * ice + SPECIFIC_HEAT * end))


def coil_coolant_litres(*, minutes: float, coolant_l_per_minute: float) -> float:
    """Water that runs through a coil in so many minutes, L: what has to be caught or drained.

    Formula: V = flow * t
    Takes: minutes 0..43200 min; coolant_l_per_minute 0.05..100 L/min
    Gives: L
    Source: by definition
    Example: coil_coolant_litres(minutes=14.9, coolant_l_per_minute=6.0) = 89
    """
    source = "coils for the home"
    time = within("time", minutes, 0.0, 43200.0, "min", source)
    return time * within("coolant flow", coolant_l_per_minute, 0.05, 100.0, "L/min", source)
