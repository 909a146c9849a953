"""Heat leaving and entering a pot: walls, open surface, fire, and the drift that follows."""

from __future__ import annotations

import math

from mashday.science.limits import OutOfRange, within
from mashday.science.water import saturation_pressure_kpa

EVAPORATION_W_PER_M2_KPA = 109.0
CONVECTION_W_PER_M2_K = 11.5
OPEN_TANK = "open tanks in still air, fitted to a published engineering table at 49-71 degC"

NEWTON = "Newton's law of cooling, lumped pot"

_SECONDS_PER_MINUTE = 60.0

# Whole-pot loss in W/K at a stirred mash of 65 degC and a room of 20 degC, lid on, pot as high as wide
# and 72 % full. Derived from published correlations (Churchill and Chu; Incropera); expect 25 % either way.
_POT_LITRES = (20.0, 30.0, 50.0)
_BARE = (3.5, 4.4, 6.0)
_WRAPPED = (0.92, 1.17, 1.60)


def loss_w_per_k(pot_litres: float, wrapped: bool) -> float:
    """Usual heat loss of a lidded pot, W/K; the bare one of dull steel.

    Derived from heat-transfer correlations, not measured: a pot of
    one's own may differ by 25 %.

    Formula: table at 20, 30 and 50 L, linear between them, proportional to V^(2/3) beyond
    Takes: pot_litres 3..300 L; wrapped true or false
    Gives: W/K
    Source: correlations of Churchill and Chu, and of Incropera, Fundamentals of Heat and Mass Transfer
        (derived)
    Example: loss_w_per_k(30.0, wrapped=False) = 4.4
    """
    volume = within("pot volume", pot_litres, 3.0, 300.0, "L", "pots for the home")
    table = _WRAPPED if wrapped else _BARE
    if volume <= _POT_LITRES[0]:
        return float(table[0] * (volume / _POT_LITRES[0]) ** (2.0 / 3.0))
    if volume >= _POT_LITRES[-1]:
        return float(table[-1] * (volume / _POT_LITRES[-1]) ** (2.0 / 3.0))
    upper = 1 if volume <= _POT_LITRES[1] else 2
    share = (volume - _POT_LITRES[upper - 1]) / (_POT_LITRES[upper] - _POT_LITRES[upper - 1])
    return table[upper - 1] + share * (table[upper] - table[upper - 1])


def open_surface_watts(
    celsius: float, room_celsius: float, area_m2: float, relative_humidity: float = 0.5
) -> float:
    """Heat leaving an open water surface in still air, W.

    Fitted within 6 % to a published engineering table of open tanks at 49-71 degC in 16 degC air; used for
    0-102 degC. Air below freezing is taken to be as moist as at 0 degC.

    Formula: Q = A (109 (p_sat(T) - phi p_sat(T_room)) + 11.5 (T - T_room)), p in kPa
    Takes: celsius 0..102 degC; room_celsius -30..60 degC; area_m2 0..10 m2; relative_humidity 0..1
    Gives: W
    Source: a published engineering table of open tanks in still air, fitted here
    Example: open_surface_watts(65.0, 20.0, 0.0908) = 283
    """
    within("surface temperature", celsius, 0.0, 102.0, "degC", OPEN_TANK)
    within("room temperature", room_celsius, -30.0, 60.0, "degC", OPEN_TANK)
    within("surface", area_m2, 0.0, 10.0, "m2", OPEN_TANK)
    within("relative humidity", relative_humidity, 0.0, 1.0, "", "a fraction")
    in_the_room = relative_humidity * saturation_pressure_kpa(max(0.0, room_celsius))
    vapour = saturation_pressure_kpa(celsius) - in_the_room
    return area_m2 * (EVAPORATION_W_PER_M2_KPA * vapour + CONVECTION_W_PER_M2_K * (celsius - room_celsius))


def drift_celsius(
    *,
    from_celsius: float,
    minutes: float,
    capacity_kj_per_k: float,
    loss_w_per_k: float,
    room_celsius: float,
) -> float:
    """Temperature after so many minutes of standing, degC.

    Formula: T = T_room + (T1 - T_room) exp(-UA t / C)
    Takes: from_celsius -40..110 degC; minutes 0..43200 min; capacity_kj_per_k 0.001..100000 kJ/K;
        loss_w_per_k 0..1000 W/K; room_celsius -40..60 degC
    Gives: degC
    Source: Newton's law of cooling, lumped pot
    Example: drift_celsius(from_celsius=66.0, minutes=30.0, capacity_kj_per_k=70.0, loss_w_per_k=4.0,
        room_celsius=20.0) = 61.5
    """
    _pot(capacity_kj_per_k, loss_w_per_k, from_celsius, room_celsius)
    within("standing time", minutes, 0.0, 30.0 * 24.0 * 60.0, "min", NEWTON)
    decay = math.exp(-loss_w_per_k * minutes * _SECONDS_PER_MINUTE / (1000.0 * capacity_kj_per_k))
    return room_celsius + (from_celsius - room_celsius) * decay


def minutes_until(
    *,
    from_celsius: float,
    to_celsius: float,
    capacity_kj_per_k: float,
    loss_w_per_k: float,
    room_celsius: float,
) -> float:
    """Minutes of standing until a temperature is reached; infinite when it never is.

    The inverse of drift_celsius. The surroundings may be a room or a large bath of water.

    Formula: t = C / UA ln((T1 - T_room) / (T2 - T_room))
    Takes: from_celsius -40..110 degC; to_celsius -40..110 degC; capacity_kj_per_k 0.001..100000 kJ/K;
        loss_w_per_k 0..1000 W/K; room_celsius -40..60 degC
    Gives: min
    Source: Newton's law of cooling, lumped pot
    Example: minutes_until(from_celsius=66.0, to_celsius=60.0, capacity_kj_per_k=70.0, loss_w_per_k=4.0,
        room_celsius=20.0) = 40.8
    """
    _pot(capacity_kj_per_k, loss_w_per_k, from_celsius, room_celsius)
    within("temperature to reach", to_celsius, -40.0, 110.0, "degC", NEWTON)
    if to_celsius == from_celsius:
        return 0.0
    gap, remaining = from_celsius - room_celsius, to_celsius - room_celsius
    if loss_w_per_k == 0.0 or gap * remaining <= 0.0 or abs(remaining) > abs(gap):
        return math.inf
    return 1000.0 * capacity_kj_per_k / loss_w_per_k * math.log(gap / remaining) / _SECONDS_PER_MINUTE


def lid_off_minutes(
    *,
    capacity_kj_per_k: float,
    from_celsius: float,
    to_celsius: float,
    loss_w_per_k: float,
    room_celsius: float,
    area_m2: float,
) -> float:
    """Minutes until a pot with its lid off has cooled to a temperature; infinite where it never does.

    The loss at the middle of the span is taken for all of it: within 1 % over 10 K.

    Formula: t = C (T1 - T2) / (P_open + UA (T - T_room)), both at T = (T1 + T2) / 2
    Takes: capacity_kj_per_k 0.001..100000 kJ/K; from_celsius 0..102 degC; to_celsius 0..from_celsius degC;
        loss_w_per_k 0..1000 W/K; room_celsius -30..60 degC; area_m2 0..10 m2
    Gives: min; inf when it is never reached
    Source: heat balance of a lumped pot (derived), with open_surface_watts
    Example: lid_off_minutes(capacity_kj_per_k=73.85, from_celsius=66.0, to_celsius=64.0, loss_w_per_k=4.0,
        room_celsius=20.0, area_m2=0.0908) = 5.3
    """
    within("heat capacity", capacity_kj_per_k, 1e-3, 1e5, "kJ/K", NEWTON)
    within("heat loss", loss_w_per_k, 0.0, 1000.0, "W/K", NEWTON)
    start = within("temperature", from_celsius, 0.0, 102.0, "degC", OPEN_TANK)
    target = within("temperature to cool to", to_celsius, 0.0, start, "degC", OPEN_TANK)
    middle = (start + target) / 2.0
    watts = open_surface_watts(middle, room_celsius, area_m2) + loss_w_per_k * (middle - room_celsius)
    if target == start:
        return 0.0
    if watts <= 1.0:
        return math.inf
    return 1000.0 * capacity_kj_per_k * (start - target) / watts / _SECONDS_PER_MINUTE


def heating_minutes(
    *,
    capacity_kj_per_k: float,
    from_celsius: float,
    to_celsius: float,
    kilowatts: float,
    efficiency: float,
    loss_w_per_k: float,
    room_celsius: float,
) -> float:
    """Minutes of fire from one temperature to a higher one.

    OutOfRange when the fire cannot reach the temperature against the loss.

    Formula: C dT/dt = efficiency P - UA (T - T_room), solved for t
    Takes: capacity_kj_per_k 0.001..100000 kJ/K; from_celsius -40..110 degC; to_celsius from_celsius..110
        degC; kilowatts 0..100 kW; efficiency 0.01..1; loss_w_per_k 0..1000 W/K; room_celsius -40..60 degC
    Gives: min
    Source: Newton's law of cooling with a constant fire, lumped pot (derived)
    Example: heating_minutes(capacity_kj_per_k=70.0, from_celsius=62.0, to_celsius=72.0, kilowatts=2.0,
        efficiency=0.8, loss_w_per_k=4.0, room_celsius=20.0) = 8.3
    """
    _pot(capacity_kj_per_k, loss_w_per_k, from_celsius, room_celsius)
    within("temperature to reach", to_celsius, from_celsius, 110.0, "degC", "a fire only heats")
    within("fire", kilowatts, 0.0, 100.0, "kW", "fires for the home")
    within("efficiency of the fire", efficiency, 0.01, 1.0, "", "a fraction")
    if to_celsius == from_celsius:
        return 0.0
    watts = 1000.0 * kilowatts * efficiency
    net_at_start = watts - loss_w_per_k * (from_celsius - room_celsius)
    net_at_end = watts - loss_w_per_k * (to_celsius - room_celsius)
    if net_at_end <= 0.0:
        needed = loss_w_per_k * (to_celsius - room_celsius) / efficiency / 1000.0
        raise OutOfRange("fire", kilowatts, needed, math.inf, "kW", "it must beat the loss of the pot")
    capacity = 1000.0 * capacity_kj_per_k
    ratio = loss_w_per_k * (to_celsius - from_celsius) / net_at_start
    if ratio < 1e-9:
        return capacity * (to_celsius - from_celsius) / net_at_start / _SECONDS_PER_MINUTE
    return -capacity / loss_w_per_k * math.log1p(-ratio) / _SECONDS_PER_MINUTE


def _pot(capacity_kj_per_k: float, loss_w_per_k: float, celsius: float, surroundings_celsius: float) -> None:
    within("heat capacity", capacity_kj_per_k, 1e-3, 1e5, "kJ/K", NEWTON)
    within("heat loss", loss_w_per_k, 0.0, 1000.0, "W/K", NEWTON)
    within("temperature", celsius, -40.0, 110.0, "degC", NEWTON)
    within("temperature of the surroundings", surroundings_celsius, -40.0, 60.0, "degC", NEWTON)
