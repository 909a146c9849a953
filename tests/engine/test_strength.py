"""A wort stronger or weaker than wanted: split into sugar and water, and the ways to what was wanted."""

from __future__ import annotations

import pytest
from days import BARLEY, Day, gravity, volume

from mashday.engine.prospect import prospect
from mashday.engine.state import State
from mashday.engine.strength import Strength, strength
from mashday.schedule.door import load
from mashday.science import wort

AIM = BARLEY + '\n[aim]\nwash = "20 L"\ngravity = "1.060"\n'


def pitched(read: float, litres: float, text: str = AIM) -> Strength | None:
    """What is said of a wash of so much and so strong, before its yeast."""
    day = Day(load(text)).to_step(8)
    day.send(gravity(read, 20.0))
    day.send(volume(litres))
    return strength(day.schedule, day.state)


def test_a_weak_wash_can_be_boiled_down_or_sugared_or_left() -> None:
    found = pitched(1.055, 20.0)
    assert found is not None
    ways = {one.way: one for one in found.ways}
    assert [*ways] == ["boil down", "sugar", "leave it"]
    # computed: 20 L from 1.055 to 1.060: 1.676 L boiled off, or 0.290 kg of sucrose
    assert ways["boil down"].litres == pytest.approx(1.676, abs=0.003)
    assert ways["sugar"].kilograms == pytest.approx(0.290, abs=0.002)
    # derived: 1.67 kg at 2257 kJ/kg with 2.5 kW at 0.8 less what a wrapped 33 L pot loses: 32 to 34 min
    assert ways["boil down"].minutes == pytest.approx(33.0, abs=2.0)


def test_extract_is_the_same_before_and_after_each_way() -> None:
    found = pitched(1.052, 21.0)
    assert found is not None
    boiled, sugared, _ = found.ways
    made = wort.extract_kg(21.0, 1.052)
    assert wort.extract_kg(boiled.final_litres, 1.060) == pytest.approx(made, rel=1e-6)
    assert wort.extract_kg(sugared.final_litres, 1.060) == pytest.approx(made + sugared.kilograms, rel=1e-6)


def test_a_strong_wash_is_diluted() -> None:
    found = pitched(1.070, 20.0)
    assert found is not None
    assert [one.way for one in found.ways] == ["dilute", "leave it"]
    # computed: 20 L from 1.070 to 1.060: 3.36 L
    assert found.ways[0].litres == pytest.approx(3.36, abs=0.01)
    assert wort.extract_kg(found.ways[0].final_litres, 1.060) == pytest.approx(wort.extract_kg(20.0, 1.070))


@pytest.mark.parametrize("read", [1.058, 1.060, 1.062])
def test_two_thousandths_are_left_alone(read: float) -> None:
    found = pitched(read, 20.0)
    assert found is not None
    assert [one.way for one in found.ways] == ["leave it"]


def test_a_shortfall_is_split_into_sugar_and_water() -> None:
    planned = prospect(load(AIM), State()).expected
    assert planned is not None
    thin = pitched(1.050, planned.wash_litres * 1.15)
    poor = pitched(1.050, planned.wash_litres * 0.98)
    assert thin is not None and poor is not None
    assert thin.too_much_water and not poor.too_much_water
    assert poor.too_little_sugar
    sugar = wort.extract_kg(planned.wash_litres, planned.wash_gravity)
    assert poor.sugar_share == pytest.approx(wort.extract_kg(planned.wash_litres * 0.98, 1.050) / sugar)


def test_nothing_is_said_before_both_are_read() -> None:
    day = Day(load(AIM)).to_step(8)
    day.send(gravity(1.050, 20.0))
    assert strength(day.schedule, day.state) is None
    assert strength(day.schedule, Day(load(AIM)).to_step(4).state) is None
