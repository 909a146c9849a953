"""The rest of the mash water, by which cooked grain is cooled for the malt: all of it goes in."""

from __future__ import annotations

import pytest
from days import BEGAN, Day

from mashday.engine import asks, intents, pouring
from mashday.engine import contents as pot
from mashday.faces.instructions import instruction
from mashday.faces.moment import Moment
from mashday.schedule.door import load
from mashday.schedule.samples import sample_text

COOKED_KJ_PER_K = 16.0 * 0.9982 * 4.19 + 4.0 * 1.8 + 5.2 * 0.90
"""16 L of water, 4 kg of maize (about 1.8 kJ/kgK at 12 % moisture) and 5.2 kg of aluminium (from memory)."""
PLANNED_KG = COOKED_KJ_PER_K * 30.0 / (4.19 * 53.0)
"""From 95 to 65 C by water of 12 C."""


@pytest.fixture
def cooked() -> Day:
    """The maize is cooked; the cold water is to go in now."""
    day = Day(load(sample_text("sluice-maize"))).to_step(2)
    day.read(95.0)
    for _ in range(6):
        day.after(minutes=10.2).read(95.0)
    if day.state.step == 2:
        day.send(intents.Done(sure=True))
    return day


def told(day: Day) -> str:
    return instruction(Moment(day.schedule, day.state, day.t, lambda t: BEGAN))


def to_pour(day: Day) -> tuple[float, float]:
    found = pouring.water_to_pour(day.schedule, day.state, day.t)
    assert found is not None
    return found


def after(celsius: float, litres: float, water_celsius: float) -> float:
    """Where the cooked grain comes to by this water, on paper."""
    kj_per_k = 0.99 * litres * 4.19
    return (COOKED_KJ_PER_K * celsius + kj_per_k * water_celsius) / (COOKED_KJ_PER_K + kj_per_k)


@pytest.mark.parametrize("celsius", [85.0, 78.0, 70.0, 66.0])
def test_all_the_water_goes_in_however_far_the_grain_has_cooled(cooked: Day, celsius: float) -> None:
    cooked.after(minutes=2).read(celsius, sure=True)
    litres, warm = to_pour(cooked)
    assert 0.99 * litres == pytest.approx(PLANNED_KG, rel=0.03)
    assert after(celsius, litres, warm) == pytest.approx(65.0, abs=0.4)
    assert "hot and cold mixed" in told(cooked) and "0.0 L" not in told(cooked)


def test_what_is_still_hotter_than_planned_takes_more_cold_water(cooked: Day) -> None:
    cooked.after(minutes=1).read(97.0, sure=True)
    litres, celsius = to_pour(cooked)
    assert celsius == 12.0 and litres > 1.03 * PLANNED_KG
    assert "mixed" not in told(cooked)


def test_after_a_part_of_it_the_rest_is_asked_for_as_warm_as_the_pot_is_to_be(cooked: Day) -> None:
    cooked.after(minutes=2).read(78.0, sure=True)
    cooked.after(minutes=2).send(intents.AddWater(4.0, "4 L at 12 C", celsius=12.0))
    cooked.after(minutes=4).read(65.2, sure=True)
    litres, celsius = to_pour(cooked)
    assert litres == pytest.approx(PLANNED_KG - 4.0, abs=0.4)
    assert celsius == pytest.approx(65.0, abs=1.5)
    ask = asks.question(cooked.schedule, cooked.state, cooked.t)
    assert ask is not None and ask.quantity == "added water"
    cooked.after(minutes=2).send(intents.AddWater(litres, f"{litres} L"))
    assert cooked.state.additions[-1].fact.celsius == pytest.approx(celsius, abs=1.0)
    cooked.after(minutes=4).read(65.0, sure=True)
    assert told(cooked) == "Cool enough; go on to the next step"
    whole = pot.contents(cooked.schedule, cooked.state, 4).water_kg
    assert whole == pytest.approx(16.0 * 0.9982 + PLANNED_KG, rel=0.02)


def test_who_pours_none_is_not_asked_again(cooked: Day) -> None:
    cooked.after(minutes=2).read(78.0, sure=True)
    cooked.after(minutes=1).send(intents.AddWater(0.0, "0 L"))
    assert all(ask.quantity != "added water" for ask in asks.asks(cooked.schedule, cooked.state))


def test_water_still_to_be_poured_is_in_the_mash_to_come(cooked: Day) -> None:
    planned = pot.contents(load(sample_text("sluice-maize")), Day(cooked.schedule).state, 4).water_kg
    cooked.after(minutes=2).read(78.0, sure=True)
    assert pot.contents(cooked.schedule, cooked.state, 4).water_kg == pytest.approx(planned, rel=0.01)
    assert pot.contents(cooked.schedule, cooked.state, 3).water_kg == pytest.approx(16.0 * 0.9982, abs=0.01)
