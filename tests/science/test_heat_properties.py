"""What must hold of every heat balance, whatever the numbers."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from mashday.science import cooling, heat, water
from mashday.science.limits import OutOfRange
from mashday.science.losses import (
    drift_celsius,
    heating_minutes,
    loss_w_per_k,
    minutes_until,
    open_surface_watts,
)

quick = settings(max_examples=60, deadline=None)

capacities = st.floats(5.0, 400.0)
grain_capacities = st.floats(0.5, 40.0)
grain_temperatures = st.floats(-10.0, 40.0)
targets = st.floats(40.0, 78.0)
vessels = st.floats(0.0, 8.0)
vessel_temperatures = st.one_of(st.none(), st.floats(0.0, 60.0))
hydrations = st.floats(0.0, 150.0)
losses = st.floats(0.0, 200.0)
rooms = st.floats(-10.0, 35.0)
loss_rates = st.floats(0.2, 90.0)


@quick
@given(
    capacities,
    grain_capacities,
    grain_temperatures,
    targets,
    vessels,
    vessel_temperatures,
    hydrations,
    losses,
)
def test_a_mash_struck_as_told_lands_on_target(
    contents: float,
    grain: float,
    grain_celsius: float,
    target: float,
    vessel: float,
    vessel_celsius: float | None,
    hydration: float,
    loss: float,
) -> None:
    parts = {
        "contents_kj_per_k": contents,
        "grain_kj_per_k": grain,
        "grain_celsius": grain_celsius,
        "vessel_kj_per_k": vessel,
        "vessel_celsius": vessel_celsius,
        "hydration_kj": hydration,
        "loss_kj": loss,
    }
    try:
        strike = heat.strike_from_capacity(target_celsius=target, **parts)
    except OutOfRange as refusal:
        assert refusal.quantity == "strike temperature"
        assume(False)
    assert heat.landing_celsius(contents_celsius=strike, **parts) == pytest.approx(target, abs=1e-8)


@quick
@given(capacities, st.floats(0.0, 100.0), grain_capacities, grain_temperatures)
def test_a_mash_without_other_heat_lands_between_water_and_grain(
    contents: float, celsius: float, grain: float, grain_celsius: float
) -> None:
    landed = heat.landing_celsius(
        contents_kj_per_k=contents,
        contents_celsius=celsius,
        grain_kj_per_k=grain,
        grain_celsius=grain_celsius,
    )
    low, high = sorted((celsius, grain_celsius))
    assert low - 1e-9 <= landed <= high + 1e-9
    # derived: heat above 0 degC before and after is the same
    before = contents * celsius + grain * grain_celsius
    assert (contents + grain) * landed == pytest.approx(before, rel=1e-9, abs=1e-6)


@quick
@given(targets, grain_capacities, st.floats(5.0, 15.0), st.floats(5.0, 40.0))
def test_colder_grain_and_thicker_mash_need_hotter_water(
    target: float, grain: float, grain_celsius: float, water_kg: float
) -> None:
    assume(grain / water_kg < 1.0)
    kwargs = {"target_celsius": target, "grain_kj_per_k": grain}
    base = heat.strike_celsius(water_kg=water_kg + 20.0, grain_celsius=grain_celsius, **kwargs)
    colder = heat.strike_celsius(water_kg=water_kg + 20.0, grain_celsius=grain_celsius - 3.0, **kwargs)
    thicker = heat.strike_celsius(water_kg=water_kg + 15.0, grain_celsius=grain_celsius, **kwargs)
    assert base < colder
    assert base < thicker


def test_strike_of_water_is_strike_of_its_capacity() -> None:
    kwargs = {"target_celsius": 63.0, "grain_kj_per_k": 8.5, "grain_celsius": 18.0, "vessel_kj_per_k": 2.2}
    of_water = heat.strike_celsius(water_kg=15.0, **kwargs)
    assert of_water == heat.strike_from_capacity(contents_kj_per_k=15.0 * water.SPECIFIC_HEAT, **kwargs)


def test_warm_grain_may_want_water_below_the_target() -> None:
    # derived: hydration alone can carry the mash up
    strike = heat.strike_celsius(
        target_celsius=40.0, water_kg=10.0, grain_kj_per_k=8.5, grain_celsius=39.0, hydration_kj=100.0
    )
    assert strike < 40.0


def test_a_strike_that_would_boil_is_refused_at_altitude() -> None:
    asked = {"target_celsius": 78.0, "water_kg": 8.0, "grain_kj_per_k": 10.0, "grain_celsius": 0.0}
    # derived: 78 + 780 / 33.52 = 101.3 degC
    assert heat.strike_celsius(**asked) == pytest.approx(101.27, abs=0.01)
    with pytest.raises(OutOfRange, match="strike temperature"):
        heat.strike_celsius(boiling_celsius=water.boiling_celsius(1500.0), **asked)


@quick
@given(capacities, st.floats(30.0, 80.0), st.floats(-20.0, 20.0), st.floats(0.0, 100.0))
def test_the_water_added_brings_the_pot_where_it_was_asked(
    capacity: float, start: float, change: float, added: float
) -> None:
    target = start + change
    if change > 0.0:
        assume(added >= target + heat.SMALLEST_GAP_KELVIN)
    else:
        assume(added <= target - heat.SMALLEST_GAP_KELVIN)
    kg = heat.addition_kg(
        capacity_kj_per_k=capacity, from_celsius=start, to_celsius=target, with_celsius=added
    )
    after = heat.after_addition_celsius(
        capacity_kj_per_k=capacity, from_celsius=start, added_kg=kg, added_celsius=added
    )
    assert kg >= 0.0
    assert after == pytest.approx(target, abs=1e-8)


@pytest.mark.parametrize(("to", "added"), [(67.0, 60.0), (67.0, 71.9), (60.0, 55.1), (60.0, 90.0)])
def test_water_on_the_wrong_side_of_the_target_or_too_near_is_refused(to: float, added: float) -> None:
    with pytest.raises(OutOfRange, match="temperature of the added water"):
        heat.addition_kg(capacity_kj_per_k=70.0, from_celsius=63.0, to_celsius=to, with_celsius=added)


def test_nothing_is_added_to_a_mash_on_target() -> None:
    asked = {"capacity_kj_per_k": 70.0, "from_celsius": 63.0, "to_celsius": 63.0}
    assert heat.addition_kg(with_celsius=63.0, **asked) == 0.0
    assert heat.decoction_fraction(from_celsius=63.0, to_celsius=63.0, return_celsius=98.0) == 0.0


@quick
@given(st.floats(40.0, 70.0), st.floats(0.5, 20.0), st.floats(91.0, 100.0), capacities)
def test_a_decoction_conserves_heat(start: float, rise: float, hot: float, capacity: float) -> None:
    share = heat.decoction_fraction(from_celsius=start, to_celsius=start + rise, return_celsius=hot)
    mixed = capacity * ((1.0 - share) * start + share * hot)
    assert 0.0 < share < 1.0
    assert mixed == pytest.approx(capacity * (start + rise), rel=1e-9)


def test_a_decoction_is_pulled_by_its_own_specific_heat() -> None:
    # derived: 27.8 % of 73.85 kJ/K over 3.5675 kJ/(kg K)
    pulled = heat.decoction_kg(
        capacity_kj_per_k=73.85,
        from_celsius=62.0,
        to_celsius=72.0,
        return_celsius=98.0,
        thickness_l_per_kg=3.0,
    )
    assert pulled == pytest.approx(0.277778 * 73.85 / 3.5675, abs=1e-3)


@quick
@given(st.floats(5.0, 100.0), st.floats(0.0, 600.0), capacities, loss_rates, rooms)
def test_a_standing_pot_moves_toward_the_room_and_never_past_it(
    start: float, minutes: float, capacity: float, loss: float, room: float
) -> None:
    pot = {"capacity_kj_per_k": capacity, "loss_w_per_k": loss, "room_celsius": room}
    after = drift_celsius(from_celsius=start, minutes=minutes, **pot)
    low, high = sorted((start, room))
    assert low - 1e-9 <= after <= high + 1e-9
    later = drift_celsius(from_celsius=start, minutes=minutes + 5.0, **pot)
    assert abs(later - room) <= abs(after - room) + 1e-9


@quick
@given(st.floats(40.0, 100.0), st.floats(1.0, 600.0), capacities, loss_rates, rooms)
def test_the_minutes_until_a_temperature_undo_the_drift(
    start: float, minutes: float, capacity: float, loss: float, room: float
) -> None:
    assume(loss * minutes * 60.0 / (1000.0 * capacity) < 12.0)
    pot = {"capacity_kj_per_k": capacity, "loss_w_per_k": loss, "room_celsius": room}
    after = drift_celsius(from_celsius=start, minutes=minutes, **pot)
    assert minutes_until(from_celsius=start, to_celsius=after, **pot) == pytest.approx(minutes, rel=1e-5)


@pytest.mark.parametrize(
    ("start", "to", "loss"), [(66, 20, 4), (66, 15, 4), (66, 70, 4), (66, 60, 0), (5, 30, 4), (20, 30, 4)]
)
def test_a_temperature_never_reached_takes_for_ever(start: float, to: float, loss: float) -> None:
    never = minutes_until(
        from_celsius=start, to_celsius=to, capacity_kj_per_k=70.0, loss_w_per_k=loss, room_celsius=20.0
    )
    assert never == math.inf


def test_a_cold_pot_warms_to_a_temperature_below_the_room() -> None:
    pot = {"capacity_kj_per_k": 70.0, "loss_w_per_k": 4.0, "room_celsius": 20.0}
    # derived: 70000 / 4 * ln(15 / 10) s
    found = minutes_until(from_celsius=5.0, to_celsius=10.0, **pot)
    assert found == pytest.approx(70000.0 / 4.0 * math.log(1.5) / 60.0)
    assert minutes_until(from_celsius=10.0, to_celsius=10.0, **pot) == 0.0


@quick
@given(st.floats(5.0, 60.0), st.floats(0.5, 39.0), capacities, st.floats(1.0, 8.0), rooms)
def test_a_lossless_fire_takes_heat_over_power(
    start: float, rise: float, capacity: float, kilowatts: float, room: float
) -> None:
    fire = {"kilowatts": kilowatts, "efficiency": 0.8, "room_celsius": room}
    pot = {"capacity_kj_per_k": capacity, "from_celsius": start, "to_celsius": start + rise}
    # derived: C dT / P
    assert heating_minutes(loss_w_per_k=0.0, **fire, **pot) == pytest.approx(
        capacity * rise / (0.8 * kilowatts) / 60.0
    )
    slight = heating_minutes(loss_w_per_k=1e-4, **fire, **pot)
    assert slight == pytest.approx(capacity * rise / (0.8 * kilowatts) / 60.0, rel=1e-3)
    assume(start >= room)
    assert heating_minutes(loss_w_per_k=2.0, **fire, **pot) > slight


def test_a_fire_too_small_for_its_pot_is_refused_with_what_it_would_take() -> None:
    pot = {"capacity_kj_per_k": 70.0, "from_celsius": 60.0, "to_celsius": 70.0, "loss_w_per_k": 6.0}
    with pytest.raises(OutOfRange) as refusal:
        heating_minutes(kilowatts=0.3, efficiency=0.8, room_celsius=20.0, **pot)
    # derived: 6 W/K * 50 K / 0.8
    assert refusal.value.low == pytest.approx(0.375)


@quick
@given(st.floats(25.0, 99.0), st.floats(-10.0, 25.0), st.floats(0.02, 0.2))
def test_an_open_surface_loses_more_the_hotter_and_the_wider_it_is(
    celsius: float, room: float, area: float
) -> None:
    lost = open_surface_watts(celsius, room, area)
    assert open_surface_watts(celsius + 1.0, room, area) > lost
    assert open_surface_watts(celsius, room, 2.0 * area) == pytest.approx(2.0 * lost)


@pytest.mark.parametrize(
    ("litres", "wrapped", "expected"),
    [
        (20, False, 3.5),
        (30, False, 4.4),
        (50, False, 6.0),
        (25, False, 3.95),
        (30, True, 1.17),
        (40, True, 1.385),
    ],
)
def test_the_usual_loss_of_a_pot_is_read_from_the_table(
    litres: float, wrapped: bool, expected: float
) -> None:
    # derived: correlations of Churchill and Chu and of Incropera, straight lines between
    assert loss_w_per_k(litres, wrapped) == pytest.approx(expected)


@quick
@given(st.floats(3.0, 295.0), st.booleans())
def test_a_larger_pot_loses_more_and_a_wrapped_one_less(litres: float, wrapped: bool) -> None:
    assert loss_w_per_k(litres + 5.0, wrapped) > loss_w_per_k(litres, wrapped)
    assert loss_w_per_k(litres, True) < loss_w_per_k(litres, False)


@quick
@given(capacities, st.floats(30.0, 80.0), st.floats(1.0, 25.0), st.floats(-25.0, 0.0))
def test_melted_ice_balances_the_heat_it_took(
    capacity: float, start: float, fall: float, ice_celsius: float
) -> None:
    target = start - fall
    kg = cooling.ice_kg(
        capacity_kj_per_k=capacity, from_celsius=start, to_celsius=target, ice_celsius=ice_celsius
    )
    melted = kg * (cooling.HEAT_OF_FUSION - cooling.ICE_SPECIFIC_HEAT * ice_celsius)
    # derived: heat above 0 degC is conserved
    assert capacity * start - melted == pytest.approx((capacity + water.SPECIFIC_HEAT * kg) * target)


@quick
@given(st.floats(20.0, 1000.0), st.floats(0.1, 2.0), st.floats(0.5, 20.0))
def test_a_coil_never_carries_off_more_than_its_water_can_hold(
    transfer: float, area: float, flow: float
) -> None:
    carried = cooling.coil_w_per_k(w_per_m2_k=transfer, area_m2=area, coolant_l_per_minute=flow)
    assert 0.0 < carried < min(transfer * area, 1000.0 * water.SPECIFIC_HEAT * flow / 60.0) + 1e-9


def test_a_wort_is_never_cooled_to_the_temperature_of_its_coolant() -> None:
    wort = {"capacity_kj_per_k": 80.0, "from_celsius": 90.0, "coolant_celsius": 12.0, "w_per_k": 200.0}
    with pytest.raises(OutOfRange, match="temperature to cool to"):
        cooling.coil_minutes(to_celsius=12.4, **wort)


def test_the_vessel_and_the_grain_hold_the_heat_of_their_mass() -> None:
    # from memory: 0.477 kJ/(kg K), stainless steel, Incropera table A.1
    assert heat.vessel_heat_capacity(4.5, "stainless steel") == pytest.approx(4.5 * 0.477)
    # derived: 1.60 * 0.96 + 4.19 * 0.04
    assert heat.grain_specific_heat(0.04) == pytest.approx(1.7036)
    assert heat.hydration_heat(0.04) > heat.hydration_heat(0.12)
