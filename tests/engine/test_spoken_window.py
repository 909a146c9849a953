"""Between what a heard value is believed. Expected values are derived by hand from the rules in the room."""

from __future__ import annotations

import pytest
from days import BARLEY, Day, temperature
from hypothesis import given
from hypothesis import strategies as st

from mashday.engine import intents, landing, pace, plausible
from mashday.schedule.door import load
from mashday.schedule.samples import sample_text


def span(day: Day, quantity: str = "temperature") -> tuple[float, float]:
    found = plausible.spoken_window(day.schedule, day.state, quantity, day.t)
    assert found is not None
    return found


def wide(day: Day, quantity: str = "temperature") -> tuple[float, float] | None:
    return plausible.window(day.schedule, day.state, quantity, day.t)


def heating() -> Day:
    return Day(load(BARLEY)).to_step(2)


def target(day: Day) -> float:
    found = landing.target_celsius(day.schedule, day.state, day.state.step)
    assert found is not None
    return found


def test_an_unread_heating_lies_between_the_coldest_water_and_a_little_over_its_target() -> None:
    day = heating()
    # tap 12 C less 10 K; target and 8 K
    assert span(day) == pytest.approx((2.0, target(day) + 8.0))


def test_a_heating_cannot_have_come_further_than_twice_its_pace() -> None:
    day = heating().after(minutes=10)
    day.read(35.0)
    left = pace.minutes_left(day.schedule, day.state, 2)
    assert left is not None
    day.after(minutes=5)
    kelvin_per_minute = (target(day) - 35.0) / left
    # down 3 K and 0.2 K a minute of standing; up twice the pace and 3 K
    assert span(day) == pytest.approx((31.0, 35.0 + 2.0 * 5.0 * kelvin_per_minute + 3.0))


def test_digits_that_changed_places_are_not_believed_of_a_heating() -> None:
    day = heating().after(minutes=10)
    day.read(35.0)
    day.after(minutes=5)
    low, high = span(day)
    assert low <= 45.0 <= high
    assert not low <= 54.0 + 40.0 <= high
    day.after(minutes=4)
    assert low <= 47.0 and not span(day)[0] <= 74.0 <= span(day)[1]


def test_a_heating_left_alone_for_long_still_ends_a_little_over_its_target() -> None:
    day = heating().after(minutes=10)
    day.read(35.0)
    assert span(day.after(minutes=60))[1] == pytest.approx(target(day) + 8.0)


def test_without_a_heater_the_pace_is_that_of_the_readings_or_unknown() -> None:
    day = Day(load(BARLEY.replace('heater = "2.5 kW"\n', ""))).to_step(2).after(minutes=10)
    day.read(35.0)
    day.after(minutes=10)
    assert span(day) == pytest.approx((30.0, target(day) + 8.0))
    day.read(45.0)
    # 1 K a minute by the two readings, twice that for 5 minutes, and 3 K
    assert span(day.after(minutes=5))[1] == pytest.approx(58.0)


def test_water_read_beyond_its_target_may_be_read_there_again() -> None:
    day = heating().after(minutes=30)
    day.send(temperature(80.0, sure=True))
    day.after(minutes=1)
    low, high = span(day)
    assert low <= 80.0 <= high


def test_water_that_was_added_widens_what_is_believed() -> None:
    day = heating().after(minutes=20)
    day.read(60.0)
    day.send(intents.AddWater(5.0, "5 L", 12.0, sure=True))
    expected = landing.expected_celsius(day.schedule, day.state, day.t)
    assert expected is not None and expected < 57.0
    assert span(day)[0] == pytest.approx(expected - 8.0)


def test_a_reading_that_was_assumed_tells_nothing() -> None:
    day = heating().after(minutes=30)
    day.send(intents.AnswerUnknown())
    assert span(day) == pytest.approx((2.0, target(day) + 8.0))


def test_what_cools_is_not_read_warmer_than_before() -> None:
    day = Day(load(BARLEY)).to_step(7)
    assert span(day) == wide(day)
    day.after(minutes=10).read(60.0)
    day.after(minutes=20)
    assert span(day) == pytest.approx((2.0, 63.0))
    assert not span(day)[0] <= 82.0 <= span(day)[1]


def test_a_cook_on_its_way_up_is_narrow_and_at_its_heat_as_wide_as_ever() -> None:
    day = Day(load(sample_text("sluice-maize"))).to_step(2).after(minutes=10)
    day.read(40.0, sure=True)
    day.after(minutes=1)
    assert span(day)[1] < 60.0
    day.send(temperature(95.0, sure=True))
    assert day.state.current is not None and day.state.current.clock_run is not None
    assert span(day) == wide(day)


@pytest.mark.parametrize("quantity", ["gravity", "volume", "ph", "added water", "starch"])
def test_other_quantities_are_believed_as_they_are_when_typed(quantity: str) -> None:
    for step in (2, 4, 6):
        day = Day(load(BARLEY)).to_step(step)
        found = plausible.spoken_window(day.schedule, day.state, quantity, day.t)
        assert found == wide(day, quantity)


def test_a_rest_and_the_day_before_it_begins_are_as_they_are_when_typed() -> None:
    day = Day(load(BARLEY))
    assert plausible.spoken_window(day.schedule, day.state, "temperature", 0.0) is None
    day.to_step(4).after(minutes=6)
    assert span(day) == wide(day)


@given(st.integers(1, 8), st.floats(0.0, 100.0), st.floats(0.0, 300.0))
def test_what_was_just_read_may_be_said_again(step: int, celsius: float, minutes: float) -> None:
    day = Day(load(BARLEY)).to_step(step)
    day.read(celsius, sure=True)
    low, high = span(day)
    assert low <= high
    if day.schedule.step(step).kind in ("heat", "cool"):
        assert low <= celsius <= high
    later = span(day.after(minutes=minutes))
    assert later[0] <= later[1]
