"""What readings say of a pot: its rate of loss, its heat capacity, and how much to believe of either."""

from __future__ import annotations

import math
from collections.abc import Sequence

from mashday.science.limits import OutOfRange, within
from mashday.science.water import SPECIFIC_HEAT

COOLING = "Newton's law of cooling, least squares"

LOSS_PRIOR_SPREAD = 0.4
"""Standard deviation of the logarithm of a pot's loss before anything is measured. Judgement, no source."""

DOUGH_IN_PRIOR_RATIO = 0.4
"""Variance of one dough-in's miss over that of a pot's usual miss (0.5 K and 0.8 K). Judgement, no source."""

CHANGE_READING_KELVIN = 0.3
"""Error of each of the two readings a change is judged by, K. Judgement, no source."""

THICKEST_L_PER_KG, THINNEST_L_PER_KG = 0.1, 100.0
"""Litres to a kilogram between which a mash is one: beyond, grain or water was weighed wrong. Judgement."""

LEAST_EFFECT, MOST_EFFECT = 0.7, 1.3
"""A pot is not believed to answer less or more than this share of what is reckoned. Judgement, no source."""


def cooling_rate_per_hour(readings: Sequence[tuple[float, float]], surroundings_celsius: float) -> float:
    """Rate at which a standing pot nears its surroundings, per hour, from (minute, degC) readings.

    Only stirred readings with the lid on and nothing added between them; the first and the last carry
    nearly all of it. The surroundings have to be known: an hour's curve cannot tell them too, and 3 K of
    doubt in them is 7 % of the rate.

    Formula: k = -slope of ln(T - T_s) on t, ordinary least squares
    Takes: readings two or more pairs of minute and degC; surroundings_celsius -40..60 degC
    Gives: per hour
    Source: Newton's law of cooling; ordinary least squares (derived)
    Example: cooling_rate_per_hour(((0.0, 66.0), (60.0, 61.7)), 20.0) = 0.0981
    """
    room = within("temperature of the surroundings", surroundings_celsius, -40.0, 60.0, "degC", COOLING)
    points = [
        (
            within("time of a reading", minute, 0.0, 1e5, "min", COOLING) / 60.0,
            math.log(within("temperature read", celsius, room + 1.0, 110.0, "degC", COOLING) - room),
        )
        for minute, celsius in readings
    ]
    middle = sum(hour for hour, _ in points) / max(1, len(points))
    spread = sum((hour - middle) ** 2 for hour, _ in points)
    if spread <= 0.0:
        raise OutOfRange("readings at different times", len(points), 2, math.inf, "", COOLING)
    level = sum(one for _, one in points) / len(points)
    return -sum((hour - middle) * (one - level) for hour, one in points) / spread


def loss_w_per_k_from_rate(rate_per_hour: float, capacity_kj_per_k: float) -> float:
    """Heat loss of a pot from its rate of cooling, W/K.

    A cooling curve gives only the ratio of loss and heat capacity: the capacity comes from the weights.

    Formula: UA = k C
    Takes: rate_per_hour 0..10 per hour; capacity_kj_per_k 0.001..100000 kJ/K
    Gives: W/K
    Source: Newton's law of cooling (derived)
    Example: loss_w_per_k_from_rate(0.0986, 73.85) = 2.02
    """
    rate = within("rate of cooling", rate_per_hour, 0.0, 10.0, "per hour", COOLING)
    return rate * within("heat capacity", capacity_kj_per_k, 1e-3, 1e5, "kJ/K", COOLING) / 3.6


def slope_error_kelvin_per_hour(*, reading_kelvin: float, readings: int, span_hours: float) -> float:
    """Standard error of a slope through evenly spaced readings, K/h.

    Formula: SE = (s / L) sqrt(12 (n - 1) / (n (n + 1)))
    Takes: reading_kelvin 0..10 K; readings 2..10000; span_hours 0.001..1000 h
    Gives: K/h
    Source: ordinary least squares with equally spaced points (derived)
    Example: slope_error_kelvin_per_hour(reading_kelvin=0.3, readings=5, span_hours=1.0) = 0.3795
    """
    error = within("error of a reading", reading_kelvin, 0.0, 10.0, "K", COOLING)
    count = within("number of readings", readings, 2, 10000, "", COOLING)
    span = within("span of the readings", span_hours, 1e-3, 1000.0, "h", COOLING)
    return error / span * math.sqrt(12.0 * (count - 1.0) / (count * (count + 1.0)))


def capacity_from_addition(
    *, added_kg: float, added_celsius: float, from_celsius: float, to_celsius: float
) -> float:
    """Heat capacity of the pot before water went in, kJ/K, from what the water did.

    Rough: two readings of 0.3 K and a rise of 3 K leave 14 %.

    Formula: C = m c (Ta - T2) / (T2 - T1)
    Takes: added_kg 0.001..1000 kg; added_celsius 0..102 degC; from_celsius 0..102 degC;
        to_celsius 0..102 degC
    Gives: kJ/K
    Source: heat balance of the mash (derived)
    Example: capacity_from_addition(added_kg=2.0, added_celsius=96.0, from_celsius=62.0,
        to_celsius=65.2) = 80.66
    """
    source = "heat balance of the mash"
    added = within("added water", added_kg, 1e-3, 1000.0, "kg", source)
    warm = within("temperature of the added water", added_celsius, 0.0, 102.0, "degC", source)
    before = within("temperature before", from_celsius, 0.0, 102.0, "degC", source)
    after = within("temperature after", to_celsius, 0.0, 102.0, "degC", source)
    moved = after - before
    if moved == 0.0 or (warm - after) / moved <= 0.0:
        raise OutOfRange("temperature after", after, min(before, warm), max(before, warm), "degC", source)
    return added * SPECIFIC_HEAT * (warm - after) / moved


def blended_loss(
    *, usual_w_per_k: float, fitted_w_per_k: float, relative_error: float, spread: float = LOSS_PRIOR_SPREAD
) -> float:
    """Loss of a pot from what is usual and what was measured, each by its worth, W/K.

    Formula: ln UA = (ln UA0 / s0^2 + ln UA1 / s1^2) / (1 / s0^2 + 1 / s1^2)
    Takes: usual_w_per_k 0.01..1000 W/K; fitted_w_per_k 0.01..1000 W/K; relative_error 0.001..10;
        spread 0.01..2
    Gives: W/K
    Source: product of two log-normal beliefs (derived); the spread of the first is judgement
    Example: blended_loss(usual_w_per_k=4.0, fitted_w_per_k=2.0, relative_error=0.4) = 2.828
    """
    prior = 1.0 / within("spread of what is usual", spread, 0.01, 2.0, "", COOLING) ** 2
    data = 1.0 / within("relative error", relative_error, 1e-3, 10.0, "", COOLING) ** 2
    usual = math.log(within("usual loss", usual_w_per_k, 0.01, 1000.0, "W/K", COOLING))
    fitted = math.log(within("fitted loss", fitted_w_per_k, 0.01, 1000.0, "W/K", COOLING))
    return math.exp((prior * usual + data * fitted) / (prior + data))


def dough_in_weight(count: float) -> float:
    """How much of the mean miss of so many dough-ins to believe for the next one, 0-1.

    Formula: w = n / (n + 0.4)
    Takes: count 0..10000
    Gives: share
    Source: mean of a normal belief with prior 0.8 K and reading 0.5 K (derived); both are judgement
    Example: dough_in_weight(3) = 0.88
    """
    n = within("number of dough-ins", count, 0, 10000, "", "a count is not negative")
    return n / (n + DOUGH_IN_PRIOR_RATIO)


def believed_dough_in_kelvin(misses: Sequence[tuple[float, float]], thickness_l_per_kg: float) -> float:
    """How much warmer than the heat balance says a mash of this thickness is likely to land, K.

    From (L/kg, K) of earlier dough-ins of the same pot, each what it landed too warm. One at another
    thickness counts less, and at twice or half of it hardly.

    Formula: w = 1 / (1 + (1.6 min(1, |ln(r / ri)| / ln 2))^2); n / (n + 0.4) * sum(w d) / n with n = sum(w)
    Takes: misses pairs of thickness and K; thickness_l_per_kg 0.1..100 L/kg
    Gives: K
    Source: mean of a normal belief (derived); prior 0.8 K, reading 0.5 K and the scale of the thickness are
        judgement
    Example: believed_dough_in_kelvin(((3.0, -0.7), (3.0, -0.5), (3.0, -0.6)), 3.0) = -0.529
    """
    source = "mean of a normal belief"
    r = within("thickness", thickness_l_per_kg, THICKEST_L_PER_KG, THINNEST_L_PER_KG, "L/kg", source)
    count = total = 0.0
    for thickness, kelvin in misses:
        other = within("thickness", thickness, THICKEST_L_PER_KG, THINNEST_L_PER_KG, "L/kg", source)
        apart = abs(math.log(r / other)) / math.log(2.0)
        weight = 1.0 / (1.0 + (1.6 * min(1.0, apart)) ** 2)
        count += weight
        total += weight * within("miss of a dough-in", kelvin, -30.0, 30.0, "K", source)
    return dough_in_weight(count) * total / count if count else 0.0


def believed_effect(moves: Sequence[tuple[float, float]], spread: float) -> float:
    """What share of the reckoned change of temperature a way of changing it brings in this pot.

    From (reckoned, came) in K of earlier changes; each is believed by its size, as its two readings are good
    to 0.3 K, beside a first belief that the reckoning is right give or take `spread`.

    Formula: mean of 1 (weight 1 / spread^2) and of came / reckoned (weight reckoned^2 / (2 0.3^2)), 0.7..1.3
    Takes: moves pairs of K reckoned and come; spread 0.01..1
    Gives: share
    Source: mean of a normal belief (derived); 0.3 K and the bounds are judgement
    Example: believed_effect(((3.0, 2.4), (2.0, 1.6)), 0.1) = 0.916
    """
    source = "mean of a normal belief"
    weight = 1.0 / within("spread", spread, 0.01, 1.0, "", source) ** 2
    total = weight
    for reckoned, came in moves:
        within("reckoned change", reckoned, -100.0, 100.0, "K", source)
        within("change that came", came, -100.0, 100.0, "K", source)
        worth = 1.0 / (2.0 * CHANGE_READING_KELVIN**2)
        weight += worth * reckoned**2
        total += worth * reckoned * came
    return min(MOST_EFFECT, max(LEAST_EFFECT, total / weight))


def correction_relative_error(
    *,
    reading_kelvin: float,
    deviation_kelvin: float,
    capacity_share: float,
    water_kelvin: float,
    gap_kelvin: float,
) -> float:
    """Relative standard error of the water a correction asks for, a fraction of its amount.

    What matters for the next reading is not this: the mash lands within about the error of the reading,
    however large the correction.

    Formula: sqrt((s / |T2 - T1|)^2 + (u_C / C)^2 + (u_Ta / (Ta - T2))^2)
    Takes: reading_kelvin 0..10 K; deviation_kelvin 0.01..100 K; capacity_share 0..1;
        water_kelvin 0..50 K; gap_kelvin 1..102 K
    Gives: share
    Source: JCGM 100:2008 (GUM) 5.1.2, first-order propagation
    Example: correction_relative_error(reading_kelvin=0.5, deviation_kelvin=2.0, capacity_share=0.04,
        water_kelvin=3.0, gap_kelvin=30.0) = 0.2722
    """
    source = "JCGM 100:2008 (GUM) 5.1.2"
    within("error of a reading", reading_kelvin, 0.0, 10.0, "K", source)
    within("deviation", deviation_kelvin, 0.01, 100.0, "K", source)
    within("relative error of the heat capacity", capacity_share, 0.0, 1.0, "", source)
    within("error of the water's temperature", water_kelvin, 0.0, 50.0, "K", source)
    within("gap between water and target", gap_kelvin, 1.0, 102.0, "K", source)
    return math.hypot(reading_kelvin / deviation_kelvin, capacity_share, water_kelvin / gap_kelvin)
