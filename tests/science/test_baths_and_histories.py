"""A bath that warms up with its pot, ice in it, and the starch along a history of readings."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from mashday.science import cooling, losses, starch, water
from mashday.science.limits import OutOfRange
from mashday.science.starch import FRESH, Starch

quick = settings(max_examples=60, deadline=None)
capacities = st.floats(20.0, 250.0)
baths = st.floats(5.0, 200.0)
cold = st.floats(0.0, 25.0)
hot = st.floats(60.0, 100.0)
transfers = st.floats(10.0, 200.0)
MASH = {"thickness_l_per_kg": 3.0}


@quick
@given(capacities, hot, baths, cold, transfers, st.floats(0.5, 600.0))
def test_the_minutes_in_a_warming_bath_undo_its_curve(
    capacity: float, start: float, bath: float, bath_celsius: float, transfer: float, minutes: float
) -> None:
    pot = {
        "capacity_kj_per_k": capacity,
        "from_celsius": start,
        "bath_kg": bath,
        "bath_from_celsius": bath_celsius,
        "w_per_k": transfer,
    }
    after = cooling.bath_celsius(minutes=minutes, **pot)
    settled = cooling.bath_settles_celsius(**{name: pot[name] for name in pot if name != "w_per_k"})
    assert settled <= after <= start
    assume(after - settled > 0.01)
    assert cooling.bath_minutes(to_celsius=after, **pot) == pytest.approx(minutes, rel=1e-6)


@quick
@given(capacities, hot, baths, cold)
def test_a_pot_and_its_bath_meet_with_the_heat_they_had(
    capacity: float, start: float, bath: float, bath_celsius: float
) -> None:
    settled = cooling.bath_settles_celsius(
        capacity_kj_per_k=capacity, from_celsius=start, bath_kg=bath, bath_from_celsius=bath_celsius
    )
    held = water.SPECIFIC_HEAT * bath
    assert bath_celsius <= settled <= start
    assert (capacity + held) * settled == pytest.approx(capacity * start + held * bath_celsius)


BATH = {
    "capacity_kj_per_k": 83.6,
    "from_celsius": 100.0,
    "bath_kg": 40.0,
    "bath_from_celsius": 12.0,
    "w_per_k": 50.0,
}


def test_a_bath_never_cools_below_where_the_two_meet() -> None:
    # derived: they meet at 41.3 degC
    assert cooling.bath_minutes(to_celsius=41.0, **BATH) == math.inf
    assert cooling.bath_minutes(to_celsius=42.0, **BATH) < math.inf
    assert cooling.bath_minutes(to_celsius=100.0, **BATH) == 0.0


def test_a_very_large_bath_cools_as_one_that_stays_cold() -> None:
    ocean = BATH | {"bath_kg": 10_000.0}
    constant = cooling.coil_minutes(
        capacity_kj_per_k=83.6, from_celsius=100.0, to_celsius=25.0, coolant_celsius=12.0, w_per_k=50.0
    )
    assert cooling.bath_minutes(to_celsius=25.0, **ocean) == pytest.approx(constant, rel=0.03)


def test_the_same_water_in_two_baths_cools_further_than_in_one() -> None:
    pot = {"capacity_kj_per_k": 83.6, "bath_from_celsius": 12.0}
    first = cooling.bath_settles_celsius(from_celsius=100.0, bath_kg=20.0, **pot)
    second = cooling.bath_settles_celsius(from_celsius=first, bath_kg=20.0, **pot)
    assert second < cooling.bath_settles_celsius(from_celsius=100.0, bath_kg=40.0, **pot)


@quick
@given(capacities, hot, st.floats(15.0, 30.0), baths, cold, st.floats(0.0, 15.0), st.floats(-20.0, 0.0))
def test_ice_and_water_of_a_bath_take_up_what_the_wort_gives_off(
    capacity: float,
    start: float,
    target: float,
    bath: float,
    bath_celsius: float,
    bath_end: float,
    ice_celsius: float,
) -> None:
    kilograms = cooling.ice_for_bath_kg(
        capacity_kj_per_k=capacity,
        from_celsius=start,
        to_celsius=target,
        bath_kg=bath,
        bath_from_celsius=bath_celsius,
        bath_to_celsius=bath_end,
        ice_celsius=ice_celsius,
    )
    given_off = capacity * (start - target)
    warmed = water.SPECIFIC_HEAT * bath * (bath_end - bath_celsius)
    melted = kilograms * (
        cooling.HEAT_OF_FUSION - cooling.ICE_SPECIFIC_HEAT * ice_celsius + water.SPECIFIC_HEAT * bath_end
    )
    if kilograms > 0.0:
        assert warmed + melted == pytest.approx(given_off, abs=1e-6)
    else:
        assert warmed >= given_off


def test_a_bath_kept_at_one_temperature_wants_the_ice_of_one_that_ends_where_it_began() -> None:
    wort = {"capacity_kj_per_k": 83.6, "from_celsius": 60.0, "to_celsius": 25.0}
    kept = cooling.bath_ice_kg(bath_celsius=4.0, **wort)
    ended = cooling.ice_for_bath_kg(bath_kg=50.0, bath_from_celsius=4.0, bath_to_celsius=4.0, **wort)
    assert ended == pytest.approx(kept)


def test_a_bath_cannot_end_warmer_than_the_wort_it_cooled() -> None:
    with pytest.raises(OutOfRange, match="temperature the bath ends at"):
        cooling.ice_for_bath_kg(
            capacity_kj_per_k=83.6,
            from_celsius=60.0,
            to_celsius=25.0,
            bath_kg=50.0,
            bath_from_celsius=12.0,
            bath_to_celsius=26.0,
        )


def test_a_quarter_of_an_hour_of_coil_takes_ninety_litres() -> None:
    # derived: 14.9 min at 6 L/min
    assert cooling.coil_coolant_litres(minutes=14.9, coolant_l_per_minute=6.0) == pytest.approx(89.4)


def _exact_along(readings: tuple[tuple[float, float], ...]) -> Starch:
    """The model's own equations along straight lines between readings, in the hands of scipy's LSODA."""
    state = [0.0, 0.0, 1.0, 1.0]
    for (began, start), (ended, end) in pairwise(readings):

        def slopes(
            minute: float,
            y: list[float],
            began: float = began,
            start: float = start,
            slope: float = (end - start) / (ended - began),
        ) -> list[float]:
            released, fermentable, alpha, beta = y
            celsius = start + slope * (minute - began)
            shift = 1.0 / (celsius + 273.15) - 1.0 / 338.15
            dissolved = 0.80 * 0.955 * (0.15 + 0.85 * released)
            plato = 100.0 * dissolved / (dissolved + 3.0 + 0.045)
            effective = celsius - max(0.0, (plato - 12.0) / 2.5)
            rate = 1.0 / (1.0 / starch.gelatinisation_per_minute(effective) + 1.0 / 0.15)
            release = rate * (1.0 - released)
            by_alpha = 0.0335 * math.exp(-95000.0 / 8.314 * shift) * alpha
            by_beta = 0.100 * math.exp(-50000.0 / 8.314 * shift) * beta
            missing = max(0.0, 0.79 * released - fermentable)
            return [
                release,
                (0.05 + 0.40 * beta) * release + (by_alpha + by_beta) * missing,
                -starch.alpha_death_per_minute(celsius) * alpha,
                -starch.beta_death_per_minute(celsius) * beta,
            ]

        solved = solve_ivp(slopes, (began, ended), state, method="LSODA", rtol=1e-9, atol=1e-11)
        state = [float(value) for value in solved.y[:, -1]]
    return Starch(*state)


@pytest.mark.parametrize(
    "readings",
    [
        ((0.0, 66.0), (60.0, 60.0)),
        ((0.0, 52.0), (10.0, 52.0), (25.0, 63.0), (60.0, 62.0), (70.0, 72.0), (90.0, 71.0)),
        ((0.0, 64.0), (20.0, 63.0), (22.0, 74.0), (32.0, 73.0), (36.0, 63.0), (90.0, 61.0)),
        ((0.0, 40.0), (60.0, 78.0)),
    ],
)
def test_a_history_agrees_with_an_exact_solution(readings: tuple[tuple[float, float], ...]) -> None:
    # library: scipy LSODA of the same equations; steps of a quarter minute and a kelvin cost up to 0.4 points
    found, exact = starch.along(readings, **MASH).starch, _exact_along(readings)
    assert found.released == pytest.approx(exact.released, abs=0.003)
    assert found.alpha == pytest.approx(exact.alpha, abs=0.003)
    assert found.beta == pytest.approx(exact.beta, abs=0.005)
    assert found.attenuation_limit_percent == pytest.approx(exact.attenuation_limit_percent, abs=0.4)


@pytest.mark.parametrize(("gap", "told"), [(9.9, False), (10.0, False), (10.1, True)])
def test_a_gap_of_more_than_ten_minutes_is_told(gap: float, told: bool) -> None:
    # judgement, no source: a longer gap was only joined by a straight line
    assert starch.along(((0.0, 64.0), (gap, 63.0)), **MASH).has_gap is told


@pytest.mark.parametrize(
    ("minutes_at_65", "attenuations"),
    [(0, (58, 64, 69, 72)), (10, (72, 74, 76, 77)), (20, (78, 78, 79, 79)), (30, (81, 80, 80, 80))],
)
def test_malt_mends_a_part_of_what_ten_minutes_at_74_cost(
    minutes_at_65: float, attenuations: tuple[float, ...]
) -> None:
    # model: the same model run by a second, independent program, without malt and with 10, 20 and 30 %,
    # rounded to a point
    spared = starch.advance(FRESH, 65.0, minutes_at_65, **MASH)
    scalded = starch.advance(spared, 74.0, 10.0, **MASH)
    found = [
        starch.advance(starch.with_fresh_malt(scalded, share), 63.0, 60.0, **MASH)
        for share in (0.0, 0.1, 0.2, 0.3)
    ]
    limits = [one.attenuation_limit_percent for one in found]
    assert limits == pytest.approx(attenuations, abs=0.6)
    assert max(limits) < starch.advance(spared, 63.0, 60.0, **MASH).attenuation_limit_percent


@pytest.mark.parametrize(("start", "end"), [(66.0, 64.0), (70.0, 63.0), (75.0, 65.0)])
def test_a_pot_with_its_lid_off_cools_as_a_general_solver_says(start: float, end: float) -> None:
    pot = {"capacity_kj_per_k": 73.85, "loss_w_per_k": 4.0, "room_celsius": 20.0, "area_m2": 0.0908}

    def slopes(_: float, y: list[float]) -> list[float]:
        watts = losses.open_surface_watts(y[0], 20.0, 0.0908) + 4.0 * (y[0] - 20.0)
        return [-watts / 73850.0]

    minutes = losses.lid_off_minutes(from_celsius=start, to_celsius=end, **pot)
    # library: scipy LSODA of the same balance, second by second
    exact = solve_ivp(slopes, (0.0, 60.0 * minutes), [start], method="LSODA", rtol=1e-9, atol=1e-9)
    assert exact.y[0, -1] == pytest.approx(end, abs=0.01 * (start - end))


def test_a_pot_as_cool_as_the_room_is_not_cooled_by_taking_its_lid_off() -> None:
    pot = {"capacity_kj_per_k": 73.85, "loss_w_per_k": 4.0, "room_celsius": 25.0, "area_m2": 0.0908}
    assert losses.lid_off_minutes(from_celsius=21.0, to_celsius=20.0, **pot) == math.inf
    assert losses.lid_off_minutes(from_celsius=66.0, to_celsius=66.0, **pot) == 0.0
