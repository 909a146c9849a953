"""How far a wash ferments: by the starch and the enzymes its mash has left."""

from __future__ import annotations

from itertools import pairwise

import pytest
from days import BARLEY, Day

from mashday.engine import intents
from mashday.engine.extract import (
    UNBOILED_TRUE_FERMENTATION,
    boiled_off_kg,
    true_fermentation,
    wort_litres,
)
from mashday.engine.prospect import prospect
from mashday.engine.state import State
from mashday.schedule.door import load
from mashday.science import water
from mashday.science.starch import FRESH, Starch, advance

UNBOILED = load(BARLEY)
BOILED = load(
    BARLEY.replace(
        '[[step]]\nkind = "cool"', '[[step]]\nkind = "boil"\ntime = "60 min"\n[[step]]\nkind = "cool"'
    )
)


def mashed(celsius: float) -> Starch:
    return advance(FRESH, celsius, 60.0, thickness_l_per_kg=3.0, crush="normal")


@pytest.mark.parametrize("celsius", [60.0, 63.0, 65.0, 68.0])
def test_an_unboiled_wash_of_a_mash_its_enzymes_survived_ends_as_distillers_washes_do(celsius: float) -> None:
    # common practice, no source: 0.80 to 0.88
    assert true_fermentation(UNBOILED, mashed(celsius)) == UNBOILED_TRUE_FERMENTATION


def test_of_a_mash_that_killed_its_enzymes_no_more_ferments_than_the_wort_allows() -> None:
    # published, relayed: apparent attenuation falls from 82 to 30 % from 65 to 80 degC; true is 0.81 of that
    for celsius, apparent in ((76.0, 0.45), (80.0, 0.30)):
        found = true_fermentation(UNBOILED, mashed(celsius))
        assert found == pytest.approx(0.8146 * apparent, abs=0.06)
        assert found == pytest.approx(mashed(celsius).true_rdf, abs=0.01)


def test_the_hotter_the_mash_the_less_ferments() -> None:
    found = [
        true_fermentation(UNBOILED, mashed(celsius)) for celsius in (64.0, 68.0, 70.0, 72.0, 74.0, 76.0, 80.0)
    ]
    assert all(cooler >= hotter for cooler, hotter in pairwise(found)) and found[0] > found[-1] + 0.5


def test_a_boiled_wort_ferments_as_far_as_it_allows() -> None:
    assert true_fermentation(BOILED, mashed(65.0)) == mashed(65.0).true_rdf


def test_a_mash_out_costs_an_unboiled_wash_a_little() -> None:
    out = advance(mashed(64.0), 76.0, 10.0, thickness_l_per_kg=3.0, crush="normal")
    assert 0.7 < true_fermentation(UNBOILED, out) < UNBOILED_TRUE_FERMENTATION


def test_where_no_mash_is_known_the_usual_is_told() -> None:
    assert true_fermentation(UNBOILED, None) == true_fermentation(UNBOILED, FRESH) == 0.84
    assert true_fermentation(BOILED, None) == 0.66


def test_the_plan_of_a_mash_that_is_too_hot_promises_less_alcohol() -> None:
    cool = prospect(UNBOILED, State()).expected
    hot = prospect(load(BARLEY.replace('target = "63 C"', 'target = "78 C"')), State()).expected
    assert cool is not None and hot is not None
    assert hot.abv_percent < 0.5 * cool.abv_percent and hot.final_gravity > cool.final_gravity + 0.02


REST, SEPARATE, BOIL, COOL = 4, 6, 7, 8


def volume(day: Day, litres: float) -> None:
    day.send(intents.TakeReading("volume", litres, "L", f"{litres} L", litres, sure=True))


def off_litres() -> float:
    return water.litres(boiled_off_kg(BOILED, BOIL), 20.0)


def test_the_wort_that_comes_to_the_boil_is_that_before_the_boil() -> None:
    before, after = (wort_litres(BOILED, State(), number) for number in (BOIL, COOL))
    assert before - after == pytest.approx(off_litres(), rel=0.02)
    planned = prospect(BOILED, State()).expected
    assert planned is not None and after == pytest.approx(planned.wash_litres, rel=1e-3)


def test_a_volume_read_in_the_mash_is_none_of_the_wort() -> None:
    day = Day(BOILED).to_step(REST)
    planned = wort_litres(BOILED, day.state, COOL)
    volume(day, 24.0)
    assert wort_litres(BOILED, day.state, COOL) == planned


@pytest.mark.parametrize("read_in", [SEPARATE, BOIL])
def test_what_boils_off_after_a_reading_is_taken_off(read_in: int) -> None:
    day = Day(BOILED).to_step(read_in)
    volume(day, 20.0)
    assert wort_litres(BOILED, day.state, BOIL) == 20.0
    assert wort_litres(BOILED, day.state, COOL) == pytest.approx(20.0 - off_litres())
    day.send(intents.Skip(sure=True))
    if read_in == SEPARATE:
        day.send(intents.Skip(sure=True))
    assert wort_litres(BOILED, day.state, COOL) == 20.0


def test_a_volume_read_once_it_has_boiled_stands() -> None:
    day = Day(BOILED).to_step(COOL)
    volume(day, 18.0)
    assert wort_litres(BOILED, day.state, COOL) == 18.0


def test_of_a_volume_read_in_mid_boil_the_rest_of_the_boil_is_taken_off() -> None:
    day = Day(BOILED).to_step(BOIL)
    day.send(intents.Done(sure=True))
    record = day.state.record(BOIL)
    assert record is not None and record.clock_run is not None and record.ended is None
    day.after(minutes=45)
    volume(day, 19.0)
    assert wort_litres(BOILED, day.state, COOL) == pytest.approx(19.0 - off_litres() / 4.0)
