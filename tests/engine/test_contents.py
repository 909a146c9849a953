"""What is in the pot, by weight: planned, weighed, measured, left out. Sums are done here on paper."""

from __future__ import annotations

import pytest
from days import BARLEY, Day

from mashday.engine import contents as pot
from mashday.engine import intents
from mashday.engine.state import State
from mashday.schedule.door import load
from mashday.schedule.model import Add
from mashday.schedule.samples import sample_names, sample_text

WATER_KG_PER_L = 0.9982
"""Water at 20 C (IAPWS-95)."""

TWO_GRAINS = BARLEY.replace(
    '[[step]]\nkind = "set-up"',
    '[[grain]]\nname = "wheat malt"\nkind = "wheat malt"\nmass = "1 kg"\n[[step]]\nkind = "set-up"',
)


def grains(day: Day, upto: int = 4) -> dict[str, float]:
    return {grain.name: kg for grain, kg in pot.contents(day.schedule, day.state, upto).grains}


@pytest.mark.parametrize("name", sample_names())
def test_all_the_grain_of_a_sample_goes_in_once(name: str) -> None:
    schedule = load(sample_text(name))
    inside = pot.contents(schedule, State(), len(schedule.steps))
    assert inside.grain_kg == pytest.approx(sum(grain.mass_kg for grain in schedule.grains))
    assert len(inside.grains) == len(schedule.grains)


def test_water_goes_in_with_its_step(day: Day) -> None:
    assert pot.contents(day.schedule, day.state, 1).water_kg == 0.0
    inside = pot.contents(day.schedule, day.state, 2)
    assert inside.water_kg == pytest.approx(15.0 * WATER_KG_PER_L, abs=0.002)
    assert inside.grains == () and inside.thickness == float("inf")
    assert pot.contents(day.schedule, day.state, 3).thickness == pytest.approx(3.0 * WATER_KG_PER_L, rel=1e-4)


def test_the_heat_of_all_together_is_the_sum_of_its_parts(day: Day) -> None:
    inside = pot.contents(day.schedule, day.state, 4)
    # kJ/K: water 4.19, malt 0.96 x 1.60 + 0.04 x 4.19 (Pauls & Whites), 4.6 kg of 18/8 steel (Incropera)
    parts = 15.0 * WATER_KG_PER_L * 4.19 + 5.0 * (0.96 * 1.60 + 0.04 * 4.19) + 4.6 * 0.477
    assert inside.kj_per_k == pytest.approx(parts, rel=0.005)


def test_a_weight_of_one_grain_changes_that_one() -> None:
    day = Day(load(TWO_GRAINS)).to_step(2)
    day.send(intents.GiveAmount("grain", 1.3, "1.3 kg", "wheat malt"))
    assert grains(day) == {"pale barley malt": 5.0, "wheat malt": 1.3}


def test_a_weight_of_all_the_grain_is_shared_as_planned() -> None:
    day = Day(load(TWO_GRAINS)).to_step(2)
    day.send(intents.GiveAmount("grain", 6.6, "6.6 kg"))
    assert grains(day) == pytest.approx({"pale barley malt": 5.5, "wheat malt": 1.1})


def test_the_last_weight_counts() -> None:
    day = Day(load(TWO_GRAINS)).to_step(2)
    day.send(intents.GiveAmount("grain", 6.6, "6.6 kg"))
    day.send(intents.GiveAmount("grain", 5.2, "5.2 kg", "pale barley malt"))
    assert grains(day) == pytest.approx({"pale barley malt": 5.2, "wheat malt": 1.1})


def test_grain_of_another_name_is_refused_with_what_goes_in(day: Day) -> None:
    why = day.to_step(2).refused(intents.GiveAmount("grain", 5.0, "5 kg", "oats"))
    assert "pale barley malt" in why


@pytest.mark.parametrize("amount", [float("nan"), float("inf"), -1.0, 0.0, 1e9])
@pytest.mark.parametrize("what", ["grain", "water"])
def test_what_is_no_amount_is_refused_however_sure(day: Day, what: str, amount: float) -> None:
    day.to_step(2)
    intent = intents.GiveAmount(what, amount, "that", sure=True)  # type: ignore[arg-type]
    assert "cannot be an amount" in day.refused(intent)


def test_a_measure_of_water_after_the_dough_in_still_belongs_to_the_strike(resting: Day) -> None:
    resting.send(intents.GiveAmount("water", 14.0, "14 L"))
    assert resting.state.amounts[-1].step == 2
    inside = pot.contents(resting.schedule, resting.state, 4)
    assert inside.water_kg == pytest.approx(14.0 * WATER_KG_PER_L, abs=0.002)


def test_a_dough_in_left_out_puts_no_grain_in(day: Day) -> None:
    day.to_step(3)
    day.send(intents.Skip(sure=True))
    inside = pot.contents(day.schedule, day.state, 4)
    assert inside.grains == () and inside.water_kg > 14.0


def test_a_cook_brings_its_own_water_and_grain() -> None:
    schedule = load(sample_text("sluice-maize"))
    inside = pot.contents(schedule, State(), 2)
    assert inside.water_kg == pytest.approx(16.0 * WATER_KG_PER_L, abs=0.002)
    assert [(grain.name, kg) for grain, kg in inside.grains] == [("maize meal", 4.0)]
    assert pot.contents(schedule, State(), 4).grain_kg == 6.0


def test_cold_water_that_a_step_will_pour_is_planned_until_it_begins() -> None:
    schedule = load(sample_text("sluice-maize"))
    cooked = pot.contents(schedule, State(), 2)
    # from 95 to 65 C with tap water of 12 C: m = C 30 K / (4.19 x 53 K)
    poured = pot.contents(schedule, State(), 3).water_kg - cooked.water_kg
    assert poured == pytest.approx(cooked.kj_per_k * 30.0 / (4.19 * 53.0), rel=0.005)


def test_where_water_boils_follows_the_altitude() -> None:
    high = load(BARLEY.replace('room = "19 C"', 'room = "19 C"\naltitude = "1500 m"'))
    # 95.0 C at 1500 m: ICAO standard atmosphere 84.56 kPa, saturation by IAPWS-IF97
    assert pot.boiling_celsius(high) == pytest.approx(95.0, abs=0.15)
    assert pot.spare_celsius(high) == pytest.approx(pot.boiling_celsius(high) - 3.0)


def test_a_spare_kettle_is_as_hot_as_the_schedule_says_but_not_hotter_than_boiling_water_arrives() -> None:
    warm = load(BARLEY.replace('temperature = "boiling"', 'temperature = "85 C"'))
    hot = load(BARLEY.replace('temperature = "boiling"', 'temperature = "99 C"'))
    assert pot.spare_celsius(warm) == 85.0
    assert pot.spare_celsius(hot) == pytest.approx(96.97, abs=0.05)


@pytest.mark.parametrize(
    ("what", "counts"),
    [
        ("bottled amylase enzyme", True),
        ("alpha-amylase", True),
        ("Glucoamylase", True),
        ("amyloglucosidase", True),
        ("diastase", True),
        ("enzyme", True),
        ("shelf-stable amylase", True),
        ("heat-stable alpha-amylase", False),
        ("thermostable amylase", False),
        ("beta-glucanase enzyme", False),
        ("protease enzyme", False),
        ("pectinase", False),
        ("pectic enzyme", False),
        ("diastatic malt", False),
        ("gypsum", False),
    ],
)
def test_only_an_enzyme_for_starch_makes_up_for_weak_malt(what: str, counts: bool) -> None:
    assert pot.is_enzyme(Add(kind="add", what=what)) == counts
