"""What readings say of a pot and of a thermometer: inverses, bounds and agreement with general libraries."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.stats import linregress

from mashday.science import cooling, fit, heat, losses, ph, starch, thermometer
from mashday.science.limits import OutOfRange
from mashday.science.starch import FRESH

quick = settings(max_examples=60, deadline=None)


@quick
@given(st.floats(0.5, 10.0), st.floats(40.0, 150.0), st.floats(-10.0, 30.0), st.floats(50.0, 75.0))
def test_the_loss_of_a_pot_is_found_in_its_own_cooling(
    loss: float, capacity: float, room: float, start: float
) -> None:
    minutes = (0.0, 10.0, 25.0, 60.0)
    readings = [
        (
            minute,
            losses.drift_celsius(
                from_celsius=start,
                minutes=minute,
                capacity_kj_per_k=capacity,
                loss_w_per_k=loss,
                room_celsius=room,
            ),
        )
        for minute in minutes
    ]
    rate = fit.cooling_rate_per_hour(readings, room)
    assert fit.loss_w_per_k_from_rate(rate, capacity) == pytest.approx(loss, rel=1e-6)


@quick
@given(st.lists(st.floats(50.0, 70.0), min_size=3, max_size=8))
def test_the_rate_of_cooling_is_the_slope_a_library_finds(celsius: list[float]) -> None:
    minutes = [15.0 * number for number in range(len(celsius))]
    # library: scipy linregress of ln(T - T_room) on hours
    slope = linregress(np.array(minutes) / 60.0, np.log(np.array(celsius) - 20.0)).slope
    found = fit.cooling_rate_per_hour(list(zip(minutes, celsius, strict=True)), 20.0)
    assert found == pytest.approx(-slope, abs=1e-9)


@pytest.mark.parametrize("readings", [2, 5, 9])
def test_the_error_of_a_slope_is_the_one_least_squares_gives(readings: int) -> None:
    # library: numpy, the textbook s / sqrt(sum (t - mean)^2)
    hours = np.linspace(0.0, 1.5, readings)
    expected = 0.3 / math.sqrt(float(((hours - hours.mean()) ** 2).sum()))
    found = fit.slope_error_kelvin_per_hour(reading_kelvin=0.3, readings=readings, span_hours=1.5)
    assert found == pytest.approx(expected)


def test_one_reading_or_two_at_the_same_time_tell_no_rate() -> None:
    with pytest.raises(OutOfRange, match="readings at different times"):
        fit.cooling_rate_per_hour(((5.0, 66.0), (5.0, 65.0)), 20.0)
    with pytest.raises(OutOfRange):
        fit.cooling_rate_per_hour((), 20.0)


@quick
@given(st.floats(30.0, 150.0), st.floats(40.0, 70.0), st.floats(0.2, 8.0), st.floats(1.0, 100.0))
def test_the_capacity_is_found_again_in_what_an_addition_did(
    capacity: float, start: float, added: float, warm: float
) -> None:
    assume(abs(warm - start) > 5.0)
    after = heat.after_addition_celsius(
        capacity_kj_per_k=capacity, from_celsius=start, added_kg=added, added_celsius=warm
    )
    found = fit.capacity_from_addition(
        added_kg=added, added_celsius=warm, from_celsius=start, to_celsius=after
    )
    assert found == pytest.approx(capacity, rel=1e-6)


def test_an_addition_that_went_the_wrong_way_tells_no_capacity() -> None:
    for after in (62.0, 61.0, 97.0):
        with pytest.raises(OutOfRange):
            fit.capacity_from_addition(added_kg=2.0, added_celsius=96.0, from_celsius=62.0, to_celsius=after)


@quick
@given(st.floats(0.5, 10.0), st.floats(0.5, 10.0), st.floats(0.01, 2.0))
def test_a_blend_of_two_losses_lies_between_them_and_nearer_the_surer(
    usual: float, fitted: float, error: float
) -> None:
    found = fit.blended_loss(usual_w_per_k=usual, fitted_w_per_k=fitted, relative_error=error)
    assert min(usual, fitted) - 1e-9 <= found <= max(usual, fitted) + 1e-9
    surer = fit.blended_loss(usual_w_per_k=usual, fitted_w_per_k=fitted, relative_error=error / 2.0)
    assert abs(surer - fitted) <= abs(found - fitted) + 1e-9


def test_more_dough_ins_are_believed_more_and_never_wholly() -> None:
    # derived: n / (n + 0.4): 0.71 after one, 0.88 after three
    assert [round(fit.dough_in_weight(count), 2) for count in (0, 1, 3)] == [0.0, 0.71, 0.88]
    assert fit.dough_in_weight(1000) < 1.0


@quick
@given(st.floats(-5.0, 5.0), st.floats(88.0, 104.0), st.floats(90.0, 100.5), st.floats(0.0, 100.0))
def test_a_calibrated_thermometer_shows_and_tells_the_same(
    ice: float, boil: float, boiling: float, true: float
) -> None:
    assume(abs(boil - boiling) < 4.9)
    found = thermometer.two_point(ice, boil, boiling)
    assert found.shown_celsius(0.0) == pytest.approx(ice)
    assert found.shown_celsius(boiling) == pytest.approx(boil)
    assert found.true_celsius(found.shown_celsius(true)) == pytest.approx(true)


def test_a_thermometer_that_is_right_is_left_alone() -> None:
    found = thermometer.two_point(0.0, 99.974, 99.974)
    assert (found.offset_kelvin, found.slope) == (0.0, 1.0)


@pytest.mark.parametrize(
    ("ice", "boil"), [(5.1, 99.0), (-5.1, 99.0), (0.0, 94.9), (0.0, 105.1), (math.nan, 99.0), (0.0, math.nan)]
)
def test_a_broken_thermometer_is_not_put_right(ice: float, boil: float) -> None:
    with pytest.raises(OutOfRange):
        thermometer.two_point(ice, boil, 99.974)


@quick
@given(st.floats(10.0, 90.0), st.floats(10.0, 90.0), st.floats(0.0, 120.0), st.floats(1.0, 60.0))
def test_a_lagging_reading_is_put_right_by_its_rate(
    start: float, true: float, seconds: float, lag: float
) -> None:
    shown = thermometer.lagging_celsius(
        from_celsius=start, true_celsius=true, seconds=seconds, lag_seconds=lag
    )
    rate = (true - shown) / lag * 60.0
    assume(abs(rate) < 600.0)
    found = thermometer.lag_corrected_celsius(shown_celsius=shown, kelvin_per_minute=rate, lag_seconds=lag)
    assert found == pytest.approx(true, abs=1e-6)


@pytest.mark.parametrize("probe", sorted(thermometer.LAG_SECONDS))
def test_after_the_waiting_time_a_probe_has_settled(probe: str) -> None:
    lag = thermometer.LAG_SECONDS[probe]
    shown = thermometer.lagging_celsius(
        from_celsius=20.0, true_celsius=65.0, seconds=thermometer.waiting_seconds(lag), lag_seconds=lag
    )
    assert shown == pytest.approx(65.0, abs=0.007 * 45.0)


@quick
@given(st.floats(4.0, 7.0), st.floats(20.0, 80.0))
def test_ph_goes_to_the_mash_and_back(cooled: float, celsius: float) -> None:
    hot = ph.in_the_mash(cooled, celsius)
    assert hot <= cooled
    assert ph.at_20(hot, celsius) == pytest.approx(cooled)


BATH = {
    "capacity_kj_per_k": 83.6,
    "from_celsius": 100.0,
    "bath_kg": 40.0,
    "bath_from_celsius": 12.0,
    "w_per_k": 50.0,
}


@pytest.mark.parametrize("minutes", [1.0, 10.0, 60.0, 600.0])
def test_a_bath_that_warms_up_follows_a_general_solver(minutes: float) -> None:
    def slopes(_: float, y: list[float]) -> list[float]:
        flow = 50.0 * (y[0] - y[1])
        return [-flow / 83.6e3, flow / (4190.0 * 40.0)]

    # library: scipy LSODA
    exact = solve_ivp(slopes, (0.0, 60.0 * minutes), [100.0, 12.0], method="LSODA", rtol=1e-9, atol=1e-9)
    assert cooling.bath_celsius(minutes=minutes, **BATH) == pytest.approx(exact.y[0, -1], abs=1e-4)


def test_a_bath_cools_no_further_than_to_the_common_temperature() -> None:
    # derived: (83.6 * 100 + 167.6 * 12) / 251.2
    assert cooling.bath_celsius(minutes=10_000.0, **BATH) == pytest.approx((8360.0 + 2011.2) / 251.2)


@quick
@given(st.floats(-5.0, 20.0), st.floats(2.0, 30.0), st.floats(30.0, 95.0))
def test_the_minutes_left_are_those_of_the_curve_it_is_on(coolant: float, above: float, now: float) -> None:
    target = coolant + above
    assume(now > target + 1.0)
    rate = 0.05
    before = coolant + (now - coolant) * math.exp(rate * 4.0)
    assume(before < 102.0)
    left = cooling.minutes_left(
        before=(6.0, before), now=(10.0, now), to_celsius=target, coolant_celsius=coolant
    )
    assert coolant + (now - coolant) * math.exp(-rate * left) == pytest.approx(target, abs=1e-6)


def test_nothing_is_left_of_a_cooling_that_is_done_and_no_end_of_one_that_stands_still() -> None:
    asked = {"to_celsius": 25.0, "coolant_celsius": 12.0}
    assert cooling.minutes_left(before=(0.0, 30.0), now=(5.0, 24.0), **asked) == 0.0
    assert cooling.minutes_left(before=(0.0, 60.0), now=(5.0, 60.0), **asked) == math.inf
    assert (
        cooling.minutes_left(before=(0.0, 60.0), now=(5.0, 50.0), to_celsius=10.0, coolant_celsius=12.0)
        == math.inf
    )


@quick
@given(st.floats(30.0, 100.0), st.floats(5.0, 25.0), st.floats(0.0, 4.0))
def test_the_ice_of_a_bath_takes_up_what_the_wort_gives_off(start: float, target: float, bath: float) -> None:
    kilograms = cooling.bath_ice_kg(
        capacity_kj_per_k=80.0, from_celsius=start, to_celsius=target, bath_celsius=bath
    )
    taken_up = kilograms * (cooling.HEAT_OF_FUSION + 4.19 * bath)
    assert taken_up == pytest.approx(80.0 * (start - target))


def test_a_history_of_readings_is_the_sum_of_its_rests() -> None:
    mash = {"thickness_l_per_kg": 3.0}
    rests = starch.advance(starch.advance(FRESH, 63.0, 30.0, **mash), 68.0, 20.0, **mash)
    found = starch.along(((0.0, 63.0), (30.0, 63.0), (30.0, 68.0), (50.0, 68.0)), **mash)
    assert found.starch.released == pytest.approx(rests.released, abs=1e-9)
    assert found.starch.fermentable == pytest.approx(rests.fermentable, abs=1e-9)
    assert found.has_gap and found.longest_gap_minutes == 30.0


def test_a_falling_mash_lies_between_its_ends() -> None:
    mash = {"thickness_l_per_kg": 3.0}
    found = starch.along([(float(minute), 66.0 - 0.1 * minute) for minute in range(61)], **mash)
    warm, cool = starch.advance(FRESH, 66.0, 60.0, **mash), starch.advance(FRESH, 60.0, 60.0, **mash)
    assert cool.released < found.starch.released < warm.released
    assert warm.alpha < found.starch.alpha < cool.alpha
    assert not found.has_gap


def test_a_history_that_runs_backwards_is_refused() -> None:
    with pytest.raises(OutOfRange, match="time between readings"):
        starch.along(((10.0, 63.0), (0.0, 63.0)), thickness_l_per_kg=3.0)
    with pytest.raises(OutOfRange, match="number of readings"):
        starch.along(((10.0, 63.0),), thickness_l_per_kg=3.0)
