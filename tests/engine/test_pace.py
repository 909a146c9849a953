"""How long a step that heats or cools still needs, and when it comes no further."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from days import BARLEY, Day

from mashday.engine import pace
from mashday.faces.instructions import step_instruction
from mashday.faces.moment import Moment
from mashday.schedule.door import load
from mashday.science.pot import PotTruth, SimulatedPot
from mashday.session.truth import truth_of

COOL = 7
"""The step of this day that cools, to 24 C, by a coil."""


def cooling(*celsius: float, every_minutes: float = 10.0) -> Day:
    """The day in its cooling, read so often."""
    day = Day(load(BARLEY)).to_step(COOL)
    for value in celsius:
        day.after(minutes=every_minutes).read(value, sure=True)
    return day


def told(day: Day) -> str:
    begun = datetime(2026, 10, 3, 10, 0, tzinfo=UTC)
    return step_instruction(
        Moment(day.schedule, day.state, day.t, lambda t: begun + timedelta(seconds=t)), COOL
    )


@pytest.mark.parametrize(
    ("read", "stands"),
    [
        ((38.0,), False),
        ((38.0, 31.0), False),
        ((31.0, 30.4), False),
        ((38.0, 30.4, 30.2), True),
        ((30.4, 30.9), True),
        ((38.0, 31.0, 30.3, 29.5), False),
    ],
)
def test_a_cooling_that_comes_no_further_for_ten_minutes_stands_still(
    read: tuple[float, ...], stands: bool
) -> None:
    day = cooling(*read)
    assert pace.stands_still(day.schedule, day.state, COOL) is stands
    assert ("as cold as it gets" in told(day)) is stands


def test_readings_close_together_tell_nothing_of_a_standstill() -> None:
    day = cooling(30.4, 30.3, 30.3, every_minutes=3.0)
    assert not pace.stands_still(day.schedule, day.state, COOL)


def test_a_cooling_that_is_there_does_not_stand_still_in_words() -> None:
    assert "Cool enough" in told(cooling(24.1, 24.0))


@pytest.mark.parametrize("seed", range(1, 13))
def test_rehearsed_water_heats_as_long_as_its_heat_and_its_heater_say(seed: int) -> None:
    # 15 kg x 4.186 kJ/kg K x 57 K and the steel, over 2.5 kW x 0.8: half an hour. The pots differ by what is
    # drawn for their heater (8 %) and their loss; a plate has to become warm itself.
    schedule = load(BARLEY)
    truth = truth_of(schedule, seed).pot
    kettle = SimulatedPot(truth, water_kg=15.0, mash_celsius=12.0, vessel_celsius=12.0)
    assert schedule.pot.heater_kilowatts is not None
    kettle.set_power(schedule.pot.heater_kilowatts)
    seconds = 0.0
    while kettle.mash_celsius < 69.0:
        kettle.step(10.0)
        seconds += 10.0
    needed_kj = (15.0 * 4.186 + truth.vessel_kj_per_k) * 57.0
    efficiency = truth.heater_efficiency * (0.78 if truth.burner_kj_per_k else 1.0)
    assert seconds == pytest.approx(needed_kj / (2.5 * efficiency), rel=0.15)


def test_water_without_grain_takes_up_heat_as_if_it_were_stirred() -> None:
    truth = PotTruth(stirred_w_per_k=100.0, idle_w_per_k=10.0)
    water, mash = (SimulatedPot(truth, water_kg=15.0, mash_celsius=20.0) for _ in range(2))
    mash.add_grain(5.0 * 1.6, 20.0, 0.0, 5.0)
    for pot in (water, mash):
        pot.set_power(2.0)
        for _ in range(60):
            pot.step(10.0)
    assert water.vessel_celsius - water.mash_celsius < 30.0 < mash.vessel_celsius - mash.mash_celsius
