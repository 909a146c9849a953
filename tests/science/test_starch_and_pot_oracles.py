"""The starch model and the simulated pot against general solvers (scipy) fed with the same equations."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from oracles import exact_open_pot, exact_starch
from scipy.linalg import expm

from mashday.science import starch, water
from mashday.science.limits import OutOfRange
from mashday.science.pot import PotTruth, SimulatedPot
from mashday.science.starch import FRESH, Starch

quick = settings(max_examples=40, deadline=None)


@pytest.mark.parametrize("celsius", [50, 58, 60, 63, 66, 70, 74, 78])
@pytest.mark.parametrize(("crush", "rate"), [("flour", 1.0), ("normal", 0.15), ("coarse", 0.09)])
def test_the_starch_steps_agree_with_an_exact_solution(celsius: float, crush: str, rate: float) -> None:
    # library: scipy LSODA; the step of a quarter minute costs at most 0.4 points, 0.6 for flour at 78 degC
    tolerance = 0.6 if crush == "flour" else 0.4
    found = starch.advance(FRESH, celsius, 45.0, thickness_l_per_kg=3.0, crush=crush)
    exact = exact_starch(celsius, 45.0, 3.0, rate)
    assert found.released == pytest.approx(exact.released, abs=0.002)
    assert found.alpha == pytest.approx(exact.alpha, abs=1e-6)
    assert found.beta == pytest.approx(exact.beta, abs=1e-6)
    assert found.attenuation_limit_percent == pytest.approx(exact.attenuation_limit_percent, abs=tolerance)


states = st.builds(
    lambda released, share, alpha, beta: Starch(released, 0.79 * released * share, alpha, beta),
    *(st.floats(0.0, 1.0) for _ in range(4)),
)
mash_temperatures = st.floats(0.0, 100.0)


@quick
@given(states, mash_temperatures, st.floats(0.0, 120.0), st.floats(1.0, 8.0))
def test_starch_only_goes_forward_and_enzymes_only_die(
    state: Starch, celsius: float, minutes: float, thickness: float
) -> None:
    after = starch.advance(state, celsius, minutes, thickness_l_per_kg=thickness)
    assert state.released <= after.released <= 1.0
    assert state.fermentable - 1e-12 <= after.fermentable <= 0.79 * after.released + 1e-9
    assert 0.0 <= after.alpha <= state.alpha
    assert 0.0 <= after.beta <= state.beta


@quick
@given(states, st.floats(55.0, 72.0), st.integers(1, 60), st.integers(1, 60))
def test_two_rests_in_a_row_are_one_long_rest(state: Starch, celsius: float, first: int, second: int) -> None:
    mash = {"thickness_l_per_kg": 3.0}
    parted = starch.advance(starch.advance(state, celsius, first, **mash), celsius, second, **mash)
    whole = starch.advance(state, celsius, first + second, **mash)
    assert parted.released == pytest.approx(whole.released, abs=1e-9)
    assert parted.fermentable == pytest.approx(whole.fermentable, abs=1e-9)


@quick
@given(st.floats(60.0, 72.0), st.floats(0.3, 0.98), st.sampled_from(starch.CRUSHES))
def test_the_minutes_told_are_the_minutes_it_takes(celsius: float, fraction: float, crush: str) -> None:
    mash = {"thickness_l_per_kg": 3.0, "crush": crush}
    minutes = starch.minutes_to(FRESH, fraction, celsius, **mash)
    assert starch.advance(FRESH, celsius, minutes, **mash).released >= fraction - 1e-12
    assert starch.advance(FRESH, celsius, max(0.0, minutes - 0.25), **mash).released < fraction


def test_no_time_passes_for_what_is_there_already() -> None:
    done = Starch(0.99, 0.7, 0.5, 0.0)
    assert starch.minutes_to(done, 0.98, 63.0, thickness_l_per_kg=3.0) == 0.0
    assert starch.advance(done, 63.0, 0.0, thickness_l_per_kg=3.0) == done


@pytest.mark.parametrize("state", [Starch(0.6, 0.3, 0.05, 0.0), Starch(0.9, 0.4, 0.099, 0.0)])
def test_no_forecast_is_made_when_the_enzymes_have_given_out(state: Starch) -> None:
    assert state.stalled
    assert starch.minutes_to(state, 0.98, 65.0, thickness_l_per_kg=3.0) == math.inf


def test_a_cold_mash_never_converts_within_a_day() -> None:
    assert starch.minutes_to(FRESH, 0.98, 30.0, thickness_l_per_kg=3.0) == math.inf


def test_scalded_malt_stalls() -> None:
    # derived: alpha-amylase halves in about a minute above 85 degC
    assert starch.advance(FRESH, 90.0, 4.0, thickness_l_per_kg=3.0).stalled


def test_an_early_overshoot_costs_far_more_than_a_late_one() -> None:
    mash = {"thickness_l_per_kg": 3.0}
    spared = starch.advance(FRESH, 63.0, 40.0, **mash)
    early = starch.advance(starch.advance(FRESH, 74.0, 10.0, **mash), 63.0, 60.0, **mash)
    late = starch.advance(starch.advance(spared, 74.0, 10.0, **mash), 63.0, 20.0, **mash)
    assert late.attenuation_limit_percent - early.attenuation_limit_percent > 20.0


def test_a_measured_conversion_replaces_the_reckoned_one() -> None:
    reckoned = starch.advance(FRESH, 63.0, 30.0, thickness_l_per_kg=3.0)
    measured = starch.corrected_to(reckoned, 0.8)
    assert measured.converted == 0.8
    assert measured.fermentable / measured.released == pytest.approx(reckoned.fermentable / reckoned.released)
    assert (measured.alpha, measured.beta) == (reckoned.alpha, reckoned.beta)
    assert 0.0 < starch.corrected_to(FRESH, 0.5).fermentable < 0.5


def _pot(truth: PotTruth, mash: float = 66.0, vessel: float = 66.0) -> SimulatedPot:
    return SimulatedPot(truth, water_kg=17.0, mash_celsius=mash, vessel_celsius=vessel, stirring=True)


@pytest.mark.parametrize("seconds", [30.0, 300.0, 3600.0])
@pytest.mark.parametrize("kilowatts", [0.0, 2.0])
def test_a_lidded_pot_on_a_hotplate_follows_the_matrix_exponential(seconds: float, kilowatts: float) -> None:
    truth = PotTruth(burner_kj_per_k=1.5, heater_efficiency=1.0)
    pot = SimulatedPot(
        truth, water_kg=17.0, mash_celsius=62.0, vessel_celsius=50.0, burner_celsius=30.0, stirring=True
    )
    pot.set_power(kilowatts)
    pot.step(seconds)
    c_mash, c_vessel, c_plate = 17.0 * 4190.0, 2500.0, 1500.0
    system = np.array(
        [
            [-100.0 / c_mash, 100.0 / c_mash, 0.0, 0.0],
            [100.0 / c_vessel, -(100.0 + 4.0 + 8.0) / c_vessel, 8.0 / c_vessel, 4.0 * 20.0 / c_vessel],
            [0.0, 8.0 / c_plate, -(8.0 + 2.0) / c_plate, (1000.0 * kilowatts + 2.0 * 20.0) / c_plate],
            [0.0, 0.0, 0.0, 0.0],
        ]
    )
    # library: scipy expm of the linear model; tolerance for the integrator
    exact = expm(system * seconds) @ np.array([62.0, 50.0, 30.0, 1.0])
    if exact[0] < truth.boiling_celsius:
        assert (pot.mash_celsius, pot.vessel_celsius) == pytest.approx(tuple(exact[:2]), abs=0.003)
        assert pot.burner_celsius == pytest.approx(exact[2], abs=0.01)
    assert pot.mash_celsius <= truth.boiling_celsius


def test_an_open_hydrating_pot_follows_a_general_solver() -> None:
    truth = PotTruth()
    pot = _pot(truth, mash=71.0, vessel=71.0)
    pot.lid_on = False
    pot.add_grain(8.5, 20.0, 107.0, 5.0)
    start = (pot.mash_celsius, pot.vessel_celsius, pot.water_kg, pot.probe_celsius)
    exact = exact_open_pot(truth, start, 900.0)
    pot.step(900.0)
    assert pot.mash_celsius == pytest.approx(exact[0], abs=0.01)
    assert pot.vessel_celsius == pytest.approx(exact[1], abs=0.02)
    assert pot.water_kg == pytest.approx(exact[2], abs=1e-3)
    assert pot.reading() == pytest.approx(exact[3], abs=0.06)


def test_a_hotplate_turned_off_on_target_coasts_up() -> None:
    truth = PotTruth(burner_kj_per_k=1.5, heater_efficiency=1.0)
    pot = SimulatedPot(
        truth,
        water_kg=71.368 / water.SPECIFIC_HEAT,
        mash_celsius=62.0,
        vessel_celsius=62.0,
        burner_celsius=62.0,
        stirring=True,
    )
    pot.set_power(2.0)
    pot.step(416.357)
    pot.set_power(0.0)
    pot.step(295.0)
    # derived: exact solution of the same model gives a peak of 67.87 degC 295 s later
    assert pot.mash_celsius == pytest.approx(67.87, abs=0.01)


def _a_whole_day(pot: SimulatedPot, seed: int) -> None:
    pot.set_power(3.0)
    pot.step(600.0 + seed)
    pot.set_power(0.0)
    pot.add_grain(8.5, 18.0, 107.0, 5.0)
    pot.lid_on = False
    pot.step(300.0)
    pot.lid_on, pot.stirring = True, False
    pot.add_water(1.5, 96.0)
    pot.step(1800.0)
    pulled = pot.take_out(0.25)
    pot.step(60.0)
    pot.put_back(pulled, 95.0)
    pot.draw_off(5.0)
    pot.set_coolant(200.0, 12.0)
    pot.step(900.0)
    pot.set_coolant(0.0, 12.0)
    pot.add_ice(0.5, -10.0)
    pot.set_power(8.0)
    pot.step(3600.0)


@quick
@given(
    st.integers(0, 600),
    st.floats(0.5, 10.0),
    st.floats(0.5, 8.0),
    st.floats(0.0, 2.0),
    st.sampled_from([0.0, 0.4, 1.5]),
)
def test_the_heat_of_a_whole_day_is_accounted_for(
    seed: int, loss: float, vessel: float, hydration: float, plate: float
) -> None:
    truth = PotTruth(
        loss_w_per_k=loss, vessel_kj_per_k=vessel, hydration_factor=hydration, burner_kj_per_k=plate
    )
    pot = SimulatedPot(truth, water_kg=15.0, mash_celsius=40.0, vessel_celsius=35.0)
    _a_whole_day(pot, seed)
    assert pot.stored_kj == pytest.approx(pot.ledger.expected_kj, rel=1e-9, abs=1e-6)
    # derived: water in, less what was run off and evaporated
    assert pot.water_kg + pot.evaporated_kg == pytest.approx(15.0 + 1.5 - 5.0 + 0.5, abs=1e-9)
    assert pot.mash_celsius <= truth.boiling_celsius


def test_the_same_day_twice_gives_the_same_pot() -> None:
    one, other = (SimulatedPot(PotTruth(), water_kg=15.0, mash_celsius=40.0) for _ in range(2))
    _a_whole_day(one, 7)
    _a_whole_day(other, 7)
    assert one == other


def test_a_boiling_pot_loses_water_by_its_latent_heat() -> None:
    truth = PotTruth(heater_efficiency=1.0, loss_w_per_k=0.0)
    pot = SimulatedPot(truth, water_kg=20.0, mash_celsius=99.97, vessel_celsius=99.97)
    pot.stirring = True
    pot.set_power(2.0)
    pot.step(600.0)
    before = pot.water_kg
    pot.step(3600.0)
    # published: 2256.5 kJ/kg; 1.595 kg an hour for each kW
    assert before - pot.water_kg == pytest.approx(2.0 * 1.595, abs=0.01)
    assert pot.mash_celsius == truth.boiling_celsius


def test_an_empty_pot_takes_the_temperature_of_the_water_poured_in() -> None:
    pot = SimulatedPot(PotTruth(), mash_celsius=20.0, vessel_celsius=20.0)
    pot.step(60.0)
    pot.add_water(10.0, 72.0)
    assert pot.mash_celsius == pytest.approx(72.0)
    pot.step(600.0)
    # derived: below the mix with a cold vessel, 69.1, and above the same mix cooling at 4 W/K, 66.5
    assert 66.4 < pot.mash_celsius < 69.1
    assert pot.litres == pytest.approx(10.0 / water.density(pot.mash_celsius))
    assert pot.capacity_kj_per_k == pytest.approx(41.9 + 2.5)


def test_a_reading_lags_and_carries_bias_noise_and_the_step_of_the_display() -> None:
    truth = PotTruth(probe_bias_kelvin=0.5, display_step_kelvin=0.5, probe_lag_seconds=20.0)
    pot = _pot(truth)
    pot.probe_celsius = 20.0
    pot.step(20.0)
    # derived: 66 - 46 / e, less a little cooling; then half a degree of bias
    assert pot.reading() == pytest.approx(49.5, abs=0.26)
    assert pot.reading(2.0) == pytest.approx(pot.reading() + 2.0)
    assert pot.reading() % 0.5 == pytest.approx(0.0)


def test_more_ice_than_the_pot_can_melt_is_refused() -> None:
    pot = SimulatedPot(PotTruth(), water_kg=10.0, mash_celsius=20.0)
    with pytest.raises(OutOfRange, match="ice"):
        pot.add_ice(3.0)


@pytest.mark.parametrize(
    "wrong",
    [{"vessel_kj_per_k": 0.0}, {"loss_w_per_k": -1.0}, {"heater_efficiency": 1.2}, {"surface_m2": math.nan}],
)
def test_an_impossible_truth_is_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(OutOfRange):
        PotTruth(**wrong)


def little_enzyme(lintner: float) -> Starch:
    return replace(FRESH, power=starch.power_of(lintner))


def test_a_grist_of_little_enzyme_is_slow_as_practice_says() -> None:
    # common practice, no source: 40 Lintner and more 60 to 90 min, 30 to 40 slow, 90 min or more
    mash = {"thickness_l_per_kg": 3.0}
    enough = starch.minutes_to(FRESH, 0.98, 65.0, **mash)
    assert starch.minutes_to(little_enzyme(40.0), 0.98, 65.0, **mash) == enough
    assert 55.0 <= starch.minutes_to(little_enzyme(35.0), 0.98, 65.0, **mash) <= 90.0
    assert 85.0 <= starch.minutes_to(little_enzyme(30.0), 0.98, 65.0, **mash) <= 120.0
    assert starch.minutes_to(little_enzyme(6.0), 0.98, 65.0, **mash) == math.inf


def test_where_enzyme_is_all_that_is_missing_twice_as_much_converts_twice_as_fast() -> None:
    # an enzyme far from enough works at a rate in proportion to it (Michaelis and Menten)
    few, twice = (
        starch.advance(little_enzyme(lintner), 65.0, 20.0, thickness_l_per_kg=3.0).released
        for lintner in (1.0, 2.0)
    )
    assert twice / few == pytest.approx(2.0, abs=0.05)
    assert starch.advance(little_enzyme(0.0), 65.0, 60.0, thickness_l_per_kg=3.0).released == 0.0


def test_what_six_lintner_convert_is_what_a_hand_sum_gives() -> None:
    # 1 / k = 1 / 0.346 + 1 / 0.15 + (40 / 6 - 1) / 0.026 = 227.5 min: 1 - exp(-60 / 227.5) = 0.232
    after = starch.advance(little_enzyme(6.0), 65.0, 60.0, thickness_l_per_kg=3.0)
    assert after.released == pytest.approx(0.232, abs=0.005)
    assert after.stalled


def test_malt_lends_a_weak_mash_its_enzymes() -> None:
    weak = replace(little_enzyme(10.0), released=0.3, fermentable=0.2, alpha=0.5)
    helped = starch.with_fresh_malt(weak, 0.25)
    assert helped.power == pytest.approx((0.25 + 0.25) / 1.25)
    assert helped.power * helped.alpha == pytest.approx((0.25 * 0.5 + 0.25) / 1.25)
    mash = {"thickness_l_per_kg": 3.0}
    assert starch.advance(helped, 63.0, 60.0, **mash).released > 1.1 * (
        starch.advance(weak, 63.0, 60.0, **mash).released
    )
