"""Where the mash lands and what it should read: strike in cold vessels, drift, water added, cooked mashes."""

from __future__ import annotations

import math

import pytest
from days import BARLEY, Day

from mashday.engine import contents as pot
from mashday.engine import facts as f
from mashday.engine import intents, landing, plausible, timetable
from mashday.engine.state import State
from mashday.schedule.door import load
from mashday.schedule.samples import sample_text


def test_water_poured_into_a_cold_vessel_is_heated_further() -> None:
    schedule = load(sample_text("winding-hole-box"))
    plan = landing.strike(schedule, State(), 2)
    assert plan is not None and plan.balance["vessel_celsius"] == 50.0
    # What the grain takes up to 65 C and the box from 50 to 65 C comes out of the water:
    grain = (
        plan.balance["grain_kj_per_k"] * (65.0 - plan.balance["grain_celsius"]) - plan.balance["hydration_kj"]
    )
    vessel = plan.balance["vessel_kj_per_k"] * (65.0 - 50.0)
    water = 18.0 * 0.9982 * 4.19
    assert plan.celsius == pytest.approx(65.0 + (grain + vessel + plan.balance["loss_kj"]) / water, abs=0.05)
    assert landing.lands_at(plan, plan.celsius) == pytest.approx(65.0, abs=1e-9)


def test_a_kelvin_more_in_the_water_is_less_than_a_kelvin_more_in_the_mash() -> None:
    plan = landing.strike(load(BARLEY), State(), 2)
    assert plan is not None
    gain = landing.lands_at(plan, plan.celsius + 1.0) - plan.lands_at_celsius
    whole = (
        plan.balance["contents_kj_per_k"] + plan.balance["grain_kj_per_k"] + plan.balance["vessel_kj_per_k"]
    )
    assert gain == pytest.approx(
        (plan.balance["contents_kj_per_k"] + plan.balance["vessel_kj_per_k"]) / whole, abs=1e-6
    )


def test_a_cooked_mash_is_cooled_to_where_the_malt_takes_it_to_its_target() -> None:
    schedule = load(sample_text("sluice-maize").replace('target = "65 C"', ""))
    plan = landing.strike(schedule, State(), 3)
    assert plan is not None and plan.dough_in == 4
    target = landing.target_celsius(schedule, State(), 3)
    assert target == plan.celsius
    assert 63.0 < plan.celsius < 68.0
    assert landing.lands_at(plan, plan.celsius) == pytest.approx(63.0, abs=1e-9)


def test_no_strike_where_no_grain_follows(resting: Day) -> None:
    assert landing.strike(resting.schedule, resting.state, 7) is None
    assert landing.target_celsius(resting.schedule, resting.state, 1) is None


def test_before_the_first_reading_the_mash_is_expected_where_the_strike_water_puts_it(day: Day) -> None:
    day.to_step(3)
    plan = landing.strike(day.schedule, day.state, 2)
    assert plan is not None
    day.after(minutes=8).send(intents.Done(sure=True))
    expected = landing.expected_celsius(day.schedule, day.state, day.t)
    assert expected == pytest.approx(landing.lands_at(plan, 69.0), abs=0.01)


def test_without_any_reading_the_mash_is_expected_at_its_target() -> None:
    day = Day(load(BARLEY))
    day.send(intents.Start())
    for _ in range(3):
        day.send(intents.Skip(sure=True))
    assert day.state.step == 4
    assert landing.expected_celsius(day.schedule, day.state, day.t) == pytest.approx(63.0, abs=0.01)


def test_a_standing_mash_is_expected_to_cool_by_newton_s_law(resting: Day) -> None:
    resting.after(minutes=6).read(63.0)
    capacity = pot.contents(resting.schedule, resting.state, 4).kj_per_k * 1000.0
    loss = pot.usual_loss_w_per_k(resting.schedule)
    cooled = 19.0 + 44.0 * math.exp(-loss * 1800.0 / capacity)
    found = landing.expected_celsius(resting.schedule, resting.state, resting.t + 1800.0)
    assert found == pytest.approx(cooled, abs=0.01)
    minutes = landing.drift_minutes(resting.schedule, resting.state, 4, 63.0, cooled)
    assert minutes == pytest.approx(30.0, abs=0.01)


def test_a_held_mash_goes_on_cooling(resting: Day) -> None:
    resting.after(minutes=6).read(63.0)
    resting.send(intents.Hold())
    later = landing.expected_celsius(resting.schedule, resting.state, resting.t + 3600.0)
    assert later is not None and later < 62.0


def test_water_added_since_the_reading_is_reckoned_in(resting: Day) -> None:
    resting.after(minutes=6).read(61.0)
    before = pot.contents(resting.schedule, resting.state, 4).kj_per_k
    resting.after(minutes=1).send(intents.AddWater(1.2, "1.2 L at 95 C", 95.0))
    hot = 1.2 * 0.9619 * 4.19  # IAPWS-95 density at 95 C
    mixed = (before * 61.0 + hot * 95.0) / (before + hot)
    found = landing.expected_celsius(resting.schedule, resting.state, resting.t)
    assert found == pytest.approx(mixed, abs=0.06)


@pytest.mark.parametrize(("limit", "kelvin"), [("0.2 K", 1.0), ("1.5 K", 1.73), ("3 K", 3.46)])
def test_without_a_band_the_worth_of_the_thermometer_sets_it(limit: str, kelvin: float) -> None:
    """Twice the standard uncertainty of an error limit, limit / sqrt(3) (GUM 4.3.7), and never below 1 K."""
    text = BARLEY.replace('band = "1 C"\n', "").replace(
        "[spare]", f'[thermometer]\nlimit = "{limit}"\n[spare]'
    )
    assert landing.band_kelvin(load(text), 4) == pytest.approx(kelvin, rel=0.1)


def test_a_band_that_is_written_counts() -> None:
    assert landing.band_kelvin(load(BARLEY.replace('band = "1 C"', 'band = "2 C"')), 4) == 2.0


def test_a_thermometer_that_shows_too_much_is_put_right(resting: Day) -> None:
    day = Day(load(BARLEY.replace("[spare]", '[thermometer]\noffset = "0.5 K"\n[spare]'))).to_step(4)
    day.after(minutes=6).read(63.2)
    reading = day.state.valid("temperature")[-1]
    assert reading.metric == pytest.approx(62.7) and reading.fact.value == 63.2
    day.send(intents.Correct(reading.number, 63.4, "C", "63.4", 63.4))
    assert day.state.valid("temperature")[-1].metric == pytest.approx(62.9)


def test_heating_takes_what_the_heater_gives_less_what_is_lost(day: Day) -> None:
    day.to_step(2)
    minutes = timetable.heat_up_minutes(day.schedule, day.state, 2, 12.0)
    target = landing.target_celsius(day.schedule, day.state, 2)
    assert target is not None
    capacity = pot.contents(day.schedule, day.state, 2).kj_per_k
    mean_loss = pot.usual_loss_w_per_k(day.schedule) / 1000.0 * ((12.0 + target) / 2.0 - 19.0)
    assert minutes == pytest.approx(capacity * (target - 12.0) / (2.0 - mean_loss) / 60.0, rel=0.02)


def test_no_window_lets_a_rest_reading_by_that_is_far_from_all_that_is_known(resting: Day) -> None:
    resting.after(minutes=6).read(63.0)
    window = plausible.window(resting.schedule, resting.state, "temperature", resting.t)
    # 2.5 K round what was read a moment ago; the mean of several places is believed within 8 K
    assert window is not None and window == pytest.approx((60.5, 65.5), abs=0.1)
    several = plausible.window(resting.schedule, resting.state, "temperature", resting.t, places=3)
    assert several is not None and several == pytest.approx((55.0, 71.0), abs=0.1)


def test_a_pot_reckoned_below_ice_is_not_expected_at_all(day: Day) -> None:
    # Days that taught that water moves this pot half as far again: what is near freezing would be below it.
    days = {"ways": ("hot water",) * 6, "reckoned": (2.0,) * 6, "came": (3.0,) * 6}
    day.write((f.PotKnown(day.schedule.pot.name, 3, **days),))
    day.to_step(4).after(minutes=5)
    day.read(0.5, sure=True)
    for _ in range(2):
        day.send(intents.AddWater(150.0, "150 L", 0.0, sure=True))
    assert landing.expected_celsius(day.schedule, day.state, day.t) is None
    assert "cannot be" in day.refused(intents.TakeReading("temperature", -1.0, "C", "-1", -1.0))


def test_a_wort_that_was_read_is_what_is_known_though_its_mash_never_was() -> None:
    day = Day(load(BARLEY)).to_step(7).after(minutes=20)
    day.read(24.1, sure=True)
    day.send(intents.Done(sure=True))
    assert day.state.step == 8
    day.send(intents.AnswerUnknown())
    assumed = day.state.readings[-1]
    assert assumed.fact.assumed and assumed.metric == pytest.approx(24.1, abs=0.1)
